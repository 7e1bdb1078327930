//! The rounds: each cup's gauge, big enough for gloves; what it says; when to walk round again.

use super::{Answer, Refused, Wrong, sent, shown};
use crate::command::round::gauge;
use crate::print::rounds::{View, Word, lines};
use crate::web::frame::{Place, capital};
use crate::web::gate::{Person, Role};
use crate::web::job::{self, Sent};
use crate::web::state::Station;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::routing::get;
use axum::{Extension, Router};
use draw::chart::Width;
use maud::{Markup, html};
use record::{Reading, Value};
use serde::Deserialize;
use std::sync::Arc;
use watch::rounds::{CupRounds, due_ms};

pub(super) const PLACE: Place = Place {
    path: "rounds",
    title: "Rounds",
    says: "read the gauges, see leaks and when to walk round again",
};

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/job/{id}/rounds", get(page).post(read))
}

fn word_class(word: Word) -> &'static str {
    match word {
        Word::Holds => "holds",
        Word::Read | Word::Look => "close",
        Word::Pump => "fails",
    }
}

fn cup(view: &View<'_>, c: &CupRounds, job: &str, may: bool, refused: Option<&Refused<Typed>>) -> Markup {
    let tag = view.rig.cups.get(c.cup).map_or("?", |c| c.tag.as_str());
    let word = view.word(c);
    let mine = refused.filter(|r| r.typed.cup == tag);
    html! {
        section.card.cup id={ "cup-" (tag) } aria-label={ "Cup " (tag) } {
            h2 { "Cup " (tag) " " span.word.(word_class(word)) { (word.text()) } }
            @for line in lines(view, c) { p { (capital(&line)) } }
            @if may {
                form method="post" action={ "/job/" (job) "/rounds" } data-keep {
                    input type="hidden" name="cup" value=(tag);
                    input type="hidden" name="token" value=(job::fresh());
                    label { "Gauge of " (tag)
                        input.big name="vacuum" required placeholder="23.5 inHg or 79 kPa" autocomplete="off" data-of=(tag)
                            value=(mine.map_or("", |r| r.typed.vacuum.as_str())) aria-invalid=[mine.map(|_| "true")]
                            aria-describedby=[mine.map(|_| "why")]; }
                    @if let Some(r) = mine { div #why { (r.why.words()) } }
                    label.tick { input type="checkbox" name="pumped" value="yes"; "Pumped just before" }
                    button { "Write it down" }
                }
            }
        }
    }
}

fn whole(
    station: &Station,
    person: &Person,
    id: &str,
    refused: Option<&Refused<Typed>>,
) -> Result<(String, Markup), Wrong> {
    let book = job::open(station, id)?;
    let (rig, rounds) = station.kept.rounds(&book, &station.least)?;
    let due = due_ms(&rig, &rounds);
    let view = View { rig: &rig, rounds: &rounds, due_ms: due, now_ms: book.now_ms(), clock: &book.clock };
    let may = person.role >= Role::Crew;
    let body = html! {
        h1 { "Rounds" }
        div.waiting data-waiting hidden role="status" {}
        div #due data-live {
            @match due {
                Some(due) => { p.due { "Next round " b data-due=(due) { (book.clock.shown(due)) } ", by " (book.clock.shown(due)) "." } }
                None => { p.due { b { "No round yet: " } "not every cup was read." } }
            }
        }
        div.cups #cups data-live { @for c in rounds.iter() { (cup(&view, c, id, may, refused)) } }
        div #trend data-live {
            @if let Some(chart) = crate::chart::rounds::of(&rig, &rounds) {
                h2 { "Since they were pumped" }
                figure.drawing { (crate::web::frame::svg(&chart.svg_for(Width::Phone))) }
            }
        }
    };
    Ok((book.job.name, body))
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(id): Path<String>,
) -> Answer {
    shown(station, person, id, &PLACE, whole).await
}

#[derive(Debug, Deserialize)]
struct Typed {
    cup: String,
    vacuum: String,
    #[serde(default)]
    pumped: String,
    #[serde(flatten)]
    sent: Sent,
}

fn taken(station: &Station, person: &Person, id: &str, typed: &Typed) -> Result<(), Wrong> {
    let mut book = job::open(station, id)?;
    let rig = station.kept.rig(&book)?;
    if !rig.cups.iter().any(|c| c.tag == typed.cup) {
        return Err(Wrong::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            format!("no cup is called \"{}\"", typed.cup),
            "the plan may have changed: load the page again",
        ));
    }
    gauge(&typed.cup, typed.vacuum.trim())?;
    let value = Value::Reading(Reading {
        vacuum: typed.vacuum.trim().to_owned(),
        with: "its gauge".to_owned(),
        pumped: !typed.pumped.is_empty(),
        temperature: None,
        pressure: None,
        altitude: None,
    });
    job::write(&mut book, person, &typed.sent, &typed.cup, value, None)?;
    Ok(())
}

async fn read(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(id): Path<String>,
    Form(typed): Form<Typed>,
) -> Answer {
    sent(station, person, id, &PLACE, typed, (taken, whole)).await
}
