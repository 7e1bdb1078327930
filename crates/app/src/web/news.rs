//! What changed, told to every open page as server-sent events; a page then fetches what it shows.

use super::state::Station;
use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::{Stream, StreamExt as _, stream};
use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::broadcast::error::RecvError;

/// Something others should see.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum News {
    /// A rig's text is another now.
    Rig(String),
    /// Its verdict is worked out, or something else that takes long.
    Verdict(String),
    /// An entry of the record.
    Entry,
    /// Somebody came or left.
    People,
    /// The program ends.
    End,
}

impl News {
    fn event(&self) -> Event {
        let (kind, of) = match self {
            Self::Rig(name) => ("rig", name.as_str()),
            Self::Verdict(name) => ("verdict", name.as_str()),
            Self::Entry => ("entry", ""),
            Self::People => ("people", ""),
            Self::End => ("end", ""),
        };
        // Data is never empty, or a browser passes over the event.
        Event::default().event(kind).data(format!("{of} "))
    }
}

/// `GET /news`.
pub(crate) async fn stream_of(
    State(station): State<Arc<Station>>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let first = stream::once(async {
        Ok(Event::default().event("hello").data("hello").retry(Duration::from_secs(2)))
    });
    let heard = stream::unfold(Some(station.listen()), |listening| async {
        let mut listening = listening?;
        match listening.recv().await {
            Ok(News::End) | Err(RecvError::Closed) => Some((News::End.event(), None)),
            Ok(news) => Some((news.event(), Some(listening))),
            // Whoever was too slow looks at everything anew.
            Err(RecvError::Lagged(_)) => Some((Event::default().event("all").data("all"), Some(listening))),
        }
    });
    Sse::new(first.chain(heard.map(Ok))).keep_alive(KeepAlive::new().interval(Duration::from_secs(15)))
}
