//! Coming in: by the address that the program printed, or by a code.

use super::Answer;
use crate::web::frame::{alone, wrong};
use crate::web::gate::Refused;
use crate::web::guard::cookie;
use crate::web::news::News;
use crate::web::state::Station;
use axum::extract::{Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use serde::Deserialize;
use std::net::IpAddr;
use std::sync::Arc;
use std::time::Instant;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/open/{key}", get(open)).route("/join", get(ask).post(join))
}

/// What stands in the form; a code may come with the address from a picture.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    code: String,
    name: String,
}

fn page(asked: &Asked, refused: Option<&Markup>) -> Markup {
    alone(
        "Join",
        &html! {
            h1 { "Join" }
            p { "The code stands on the lead's screen, on the page \"Phones\"." }
            @if let Some(why) = refused { (why) }
            form.card method="post" action="/join" {
                label { "Code" input name="code" required maxlength="20" autocomplete="off" autocapitalize="characters"
                    spellcheck="false" value=(asked.code) aria-invalid=[refused.map(|_| "true")]; }
                label { "Your name, as it shall stand beside what you write"
                    input name="name" required maxlength="60" autocomplete="name" value=(asked.name); }
                button { "Join" }
            }
        },
    )
}

async fn ask(Query(asked): Query<Asked>) -> Markup {
    page(&asked, None)
}

fn refused(why: Refused) -> (StatusCode, Markup) {
    match why {
        Refused::Wrong => (
            StatusCode::FORBIDDEN,
            wrong("no code is like that", "read it again; the lead may have changed it"),
        ),
        Refused::Wait(time) => (
            StatusCode::TOO_MANY_REQUESTS,
            wrong(
                "too many wrong codes",
                &format!("wait {} minutes, then try again", time.as_secs().div_ceil(60).max(1)),
            ),
        ),
        Refused::NoChance => {
            (StatusCode::INTERNAL_SERVER_ERROR, wrong("this machine gives no random numbers", ""))
        }
    }
}

fn let_in(station: &Station, token: &str) -> Response {
    station.tell(News::People);
    ([(header::SET_COOKIE, cookie(token))], Redirect::to("/")).into_response()
}

async fn join(
    State(station): State<Arc<Station>>,
    Extension(from): Extension<IpAddr>,
    Form(asked): Form<Asked>,
) -> Answer {
    let answer = station.gate().join(&asked.code, &asked.name, from, Instant::now());
    Ok(match answer {
        Ok(token) => let_in(&station, &token),
        Err(why) => {
            crate::web::state::log(&format!("a wrong code from {from}"));
            let (status, words) = refused(why);
            (status, page(&asked, Some(&words))).into_response()
        }
    })
}

async fn open(
    State(station): State<Arc<Station>>,
    Extension(from): Extension<IpAddr>,
    Path(key): Path<String>,
) -> Answer {
    let answer = station.gate().open(&key, from, Instant::now());
    Ok(match answer {
        Ok(token) => let_in(&station, &token),
        Err(why) => {
            crate::web::state::log(&format!("a wrong opening address from {from}"));
            let (status, words) = refused(why);
            (status, page(&Asked::default(), Some(&words))).into_response()
        }
    })
}
