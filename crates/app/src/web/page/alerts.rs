//! The bar over every page: what everybody must see now, and a button to put it away on this phone.

use crate::web::alerts::Alert;
use crate::web::gate::Person;
use crate::web::state::Station;
use axum::extract::{Form, State};
use axum::http::uri::Authority;
use axum::http::{HeaderMap, Uri, header};
use axum::response::Redirect;
use axum::routing::post;
use axum::{Extension, Router};
use maud::{Markup, html};
use serde::Deserialize;
use std::sync::Arc;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/alerts/away", post(away))
}

/// It is there also when it is empty: a reader of screens says what comes into it.
pub(in crate::web) fn bar(all: &[Alert]) -> Markup {
    html! {
        section.alerts #alerts aria-label="Alerts" aria-live="assertive" {
            @for a in all {
                div.alert data-alert=(a.id) {
                    p { b { (a.topic.word()) } " " a href=(a.address) { (a.words) } "." span.of { (a.job) } }
                    form method="post" action="/alerts/away" data-away {
                        input type="hidden" name="id" value=(a.id);
                        button.plain aria-label={ "Put away on this phone: " (a.topic.word()) " " (a.words) } { "Put away" }
                    }
                }
            }
        }
    }
}

#[derive(Debug, Deserialize)]
struct Away {
    id: String,
}

/// Back to the page that it was sent from, if that is one of these.
fn back(headers: &HeaderMap) -> String {
    let text = |name| headers.get(name).and_then(|v| v.to_str().ok());
    let from = text(header::REFERER).and_then(|r| r.parse::<Uri>().ok());
    let own = from.filter(|u| u.authority().map(Authority::as_str) == text(header::HOST));
    let path = own.and_then(|u| u.path_and_query().map(ToString::to_string));
    path.filter(|p| p.starts_with('/') && !p.starts_with("//")).unwrap_or_else(|| "/".to_owned())
}

async fn away(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Form(away): Form<Away>,
) -> Redirect {
    station.alerts.put_away(person.device, &away.id);
    Redirect::to(&back(&headers))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_is_led_to_another_host() {
        let sent_back = |referer: &str| {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, "192.0.2.7:8640".parse().unwrap());
            headers.insert(header::REFERER, referer.parse().unwrap());
            back(&headers)
        };
        assert_eq!(sent_back("http://192.0.2.7:8640/rig/a/layout?x=1"), "/rig/a/layout?x=1");
        for other in ["http://192.0.2.8:8640/x", "x", "", "http://192.0.2.7:8640//elsewhere.example"] {
            assert_eq!(sent_back(other), "/", "{other}");
        }
    }
}
