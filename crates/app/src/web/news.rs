//! What changed, told to every open page as server-sent events; a page then fetches what it shows.

use super::gate::Person;
use super::page::bar;
use super::state::Station;
use axum::Extension;
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
    /// What everybody must see is another now.
    Alerts,
    /// Somebody came or left.
    People,
    /// The program ends.
    End,
}

impl News {
    /// As it is told to a device.
    fn event(&self, station: &Station, device: u32) -> Event {
        let (kind, of) = match self {
            Self::Rig(name) => ("rig", name.as_str()),
            Self::Verdict(name) => ("verdict", name.as_str()),
            Self::Entry => ("entry", ""),
            Self::Alerts => return alerts(station, device),
            Self::People => ("people", ""),
            Self::End => ("end", ""),
        };
        // Data is never empty, or a browser passes over the event.
        Event::default().event(kind).data(format!("{of} "))
    }
}

/// The bar as the device should have it, as it stands on a page.
fn alerts(station: &Station, device: u32) -> Event {
    let bar = bar(&station.alerts.of(device)).into_string();
    // An event cannot carry the one, and ends a line at the other.
    Event::default().event("alerts").data(bar.replace(['\r', '\n'], " "))
}

/// `GET /news`.
pub(crate) async fn stream_of(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let first = stream::once(async {
        Ok(Event::default().event("hello").data("hello").retry(Duration::from_secs(2)))
    });
    let (listening, device) = (station.listen(), person.device);
    // Whoever was away meanwhile is told what stands.
    let stands = stream::once(std::future::ready(Ok(alerts(&station, device))));
    let heard = stream::unfold((station, Some(listening)), move |(station, listening)| async move {
        let mut listening = listening?;
        let (event, left) = match listening.recv().await {
            Ok(News::End) | Err(RecvError::Closed) => (News::End.event(&station, device), None),
            Ok(news) => (news.event(&station, device), Some(listening)),
            // Whoever was too slow looks at everything anew.
            Err(RecvError::Lagged(_)) => (Event::default().event("all").data("all"), Some(listening)),
        };
        Some((event, (station, left)))
    });
    Sse::new(first.chain(stands).chain(heard.map(Ok)))
        .keep_alive(KeepAlive::new().interval(Duration::from_secs(15)))
}
