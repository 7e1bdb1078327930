//! How the payload settles on its isolator: a logger's file is looked at and not kept.

use super::prose::words;
use super::said::{figure, medium, printed};
use super::{Answer, Wrong, away, opened};
use crate::chart::{settling, width};
use crate::command::settle::{Answer as Settled, Cut, told_of};
use crate::io::Stop;
use crate::print;
use crate::sheet::cover::one_line;
use crate::web::frame::{self, Of, Place, segment};
use crate::web::gate::Person;
use crate::web::shelf::Known;
use crate::web::state::Station;
use crate::web::strip;
use axum::extract::multipart::MultipartError;
use axum::extract::{DefaultBodyLimit, Multipart, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Extension, Router};
use draw::view::Medium;
use maud::{Markup, html};
use std::sync::Arc;
use trace::Ask;

pub(super) const PLACE: Place =
    Place { path: "settle", title: "Settle", says: "how the payload settles, from a release test's log" };

/// Largest log, in bytes; the rest of the form needs a little more.
const LOG: usize = 8 << 20;
const FORM: usize = 64 << 10;
/// Longest name of a column or unit, in bytes.
const WORD: usize = 200;

pub(super) fn routes() -> Router<Arc<Station>> {
    let route = get(page).post(look).layer(DefaultBodyLimit::max(LOG + FORM));
    Router::new().route("/rig/{name}/settle", route)
}

/// What was sent.
#[derive(Default)]
struct Sent {
    name: String,
    log: Vec<u8>,
    signal: String,
    unit: String,
    time: String,
    time_unit: String,
}

/// The columns and units of the form: field, words, what may be written.
const FIELDS: [(&str, &str, &str); 4] = [
    ("signal", "Column of the signal", "its name or number"),
    ("unit", "Unit of the signal", "deg, rad, deg/s, rad/s, m/s2, g, mm, in"),
    ("time", "Column of time", "its name or number"),
    ("time_unit", "Unit of time", "s, ms, us or ns"),
];

impl Sent {
    fn field(&self, name: &str) -> &str {
        match name {
            "signal" => &self.signal,
            "unit" => &self.unit,
            "time" => &self.time,
            "time_unit" => &self.time_unit,
            _ => "",
        }
    }

    async fn of(mut form: Multipart) -> Result<Self, Wrong> {
        let mut out = Self::default();
        while let Some(field) = form.next_field().await.map_err(|e| not_read(&e))? {
            let name = field.name().unwrap_or_default().to_owned();
            let file = field.file_name().map(one_line);
            let bytes = field.bytes().await.map_err(|e| not_read(&e))?;
            let put = match name.as_str() {
                "log" => {
                    if bytes.len() > LOG {
                        return Err(too_large());
                    }
                    out.name = file.unwrap_or_default();
                    out.log = bytes.to_vec();
                    continue;
                }
                "signal" => &mut out.signal,
                "unit" => &mut out.unit,
                "time" => &mut out.time,
                "time_unit" => &mut out.time_unit,
                _ => continue,
            };
            let text = bytes.get(..bytes.len().min(WORD)).unwrap_or_default();
            put.push_str(one_line(&String::from_utf8_lossy(text)).trim());
        }
        Ok(out)
    }
}

fn too_large() -> Wrong {
    Wrong::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "this log is larger than 8 MB",
        "cut out the release itself: ten seconds before it and a minute after are plenty",
    )
}

fn not_read(fault: &MultipartError) -> Wrong {
    if fault.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return too_large();
    }
    Wrong::new(fault.status(), "what was sent cannot be read", "choose the log again and send it once more")
}

/// What the log tells.
fn answer(sent: &Sent, medium: Medium) -> Result<Markup, Wrong> {
    if sent.log.is_empty() {
        return Err(
            Stop::bad("no log was chosen, or it is empty", "choose the file that the logger wrote").into()
        );
    }
    let text = std::str::from_utf8(&sent.log).map_err(|_| {
        Wrong::from(Stop::bad(format!("{} is not plain text (UTF-8)", sent.name), "save the log as CSV text"))
    })?;
    let word = |text: &'static str| Some(sent.field(text)).filter(|t| !t.is_empty());
    let ask =
        Ask { time: word("time"), signal: word("signal"), unit: word("unit"), time_unit: word("time_unit") };
    let told = told_of(&sent.name, text, &ask, &Cut::default())?;
    let chart = settling::over_time(&told).svg_for(width(medium));
    let answer = Settled { told: Some(told), pair: None, turn: None, swings: None };
    Ok(html! {
        (figure(&chart))
        (words("How it settles, in words", &printed(|out| print::settle::write(out, &answer))?))
    })
}

fn form(name: &str, sent: &Sent) -> Markup {
    html! {
        form.card method="post" enctype="multipart/form-data" action={ "/rig/" (segment(name)) "/settle" } {
            label { "The log, as text (CSV), at most 8 MB" input type="file" name="log" required accept=".csv,.txt,.tsv,text/*"; }
            details.more {
                summary { "Columns and units" }
                p { "They are read from the file's first lines; write them here where those do not say." }
                @for (field, words, form) in FIELDS {
                    label { (words) input name=(field) maxlength="80" autocomplete="off" placeholder=(form) value=(sent.field(field)); }
                }
            }
            button { "Look at it" }
        }
    }
}

/// The phone's own sensor, where it has one and gives it: the script shows this, and sends what it recorded as the form sends a file.
fn by_phone() -> Markup {
    html! {
        section.card #motion hidden aria-label="By this phone" {
            h2 { "By this phone" }
            p role="status" aria-live="polite" data-motion-says {}
            button data-motion="start" { "Start" }
            button data-motion="stop" hidden { "Stop" }
            figure.drawing #motion-trace hidden {
                svg viewBox="0 0 600 200" role="img" aria-label="What was recorded, over time" {
                    line x1="0" x2="600" y1="100" y2="100" stroke="#9aa3aa" {}
                    polyline fill="none" stroke="#0b4f8a" stroke-width="1.5" points="" {}
                }
                figcaption {}
            }
            button #motion-send data-motion="send" hidden { "Work out how it settles" }
        }
    }
}

fn body(name: &str, sent: &Sent, told: &Markup) -> Markup {
    html! {
        h1 { "How the payload settles" }
        p { "Press the payload down, hold, let go, hands off; log until it hangs still. The file is looked at and not kept." }
        div #told { (told) }
        (by_phone())
        (form(name, sent))
    }
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
) -> Answer {
    let known = opened(&station, name).await?;
    let body = match &known.rig {
        None => strip::faults(&known),
        Some(_) => body(&known.name, &Sent::default(), &html! {}),
    };
    Ok(framed(&station, &person, &known, body))
}

/// Nothing that changes meanwhile makes the page look again: what a log told stands on it, and what a phone records.
fn framed(station: &Station, person: &Person, known: &Known, body: Markup) -> Response {
    let title = format!("{} · {}", PLACE.title, known.name);
    let page = frame::Page { title: &title, of: Of::Rig(&known.name, PLACE.path), hears: "", body };
    frame::page(station, person, &page).into_response()
}

async fn look(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    headers: HeaderMap,
    sent: Multipart,
) -> Answer {
    let known = opened(&station, name).await?;
    let medium = medium(&headers);
    let (sent, told) = match Sent::of(sent).await {
        Err(wrong) => (Sent::default(), Err(wrong)),
        Ok(sent) => {
            away(move || {
                let told = answer(&sent, medium);
                Ok((sent, told))
            })
            .await?
        }
    };
    // What was written in the form stands there again; the file itself has to be chosen anew.
    let (status, told) = match told {
        Ok(told) => (StatusCode::OK, told),
        Err(wrong) => (wrong.status(), wrong.words()),
    };
    let page = framed(&station, &person, &known, body(&known.name, &sent, &told));
    Ok((status, page).into_response())
}
