//! How hard the car may go, wherever the boom points; the driver's card; what would help.

use super::prose::words;
use super::said::{blocks, figure, long, medium, printed};
use super::{Answer, Wrong, opened};
use crate::command::advise::advice_of;
use crate::command::check::cannot;
use crate::command::envelope::{envelope_of, stretched};
use crate::drawing::{Desk, SUBJECTS, Shown};
use crate::io::Stop;
use crate::print;
use crate::print::card::Card;
use crate::print::report::Report;
use crate::sheet::card::body;
use crate::web::frame::{Place, segment};
use crate::web::gate::Person;
use crate::web::shelf::Known;
use crate::web::state::Station;
use crate::web::works::{Limits, begin};
use axum::extract::{Form, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect};
use axum::routing::get;
use axum::{Extension, Router};
use draw::view::Medium;
use maud::{Markup, html};
use rig::Rig;
use serde::Deserialize;
use std::sync::Arc;
use verdict::context::Resolution;
use verdict::limits::around;
use verdict::structure::BuildOptions;

pub(super) const PLACE: Place = Place {
    path: "envelope",
    title: "Envelope",
    says: "how hard the car may go, the driver's card, what would help",
};

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/envelope", get(page).post(work))
}

/// The charts, in the order in which they are read.
const CHARTS: [&str; 6] = ["speeds", "sectors", "bends", "braking", "bends-braking", "bearings"];

/// All limits of a rig.
pub(super) fn limits_of(rig: &Rig) -> Result<Limits, Stop> {
    Ok(Limits {
        envelope: envelope_of(rig, Vec::new(), 12, false)?,
        stretched: stretched(rig, false)?,
        around: around(rig, Resolution::fine(), BuildOptions::default()).map_err(|f| cannot(&f))?,
    })
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    headers: HeaderMap,
) -> Answer {
    let medium = medium(&headers);
    super::of_rig(&station, &person, name, &PLACE, move |known, rig| {
        let name = known.name.as_str();
        Ok(html! {
            h1 { "How hard the car may go" }
            div #drawing data-live {
                (long(&known.works.limits, (name, "envelope", "limits"),
                    "every speed, every sector, dry and wet; takes up to a minute", |l| limits(known, rig, l, medium)))
                h2 { "What would help" }
                (long(&known.works.advice, (name, "envelope", "advice"), "each change tried alone; takes up to a minute", |a| {
                    Ok(words("What would help", &printed(|out| print::advice::write(out, rig, None, (a, true)))?))
                }))
            }
        })
    })
    .await
}

fn limits(known: &Known, rig: &Rig, l: &Limits, medium: Medium) -> Result<Markup, Wrong> {
    let desk = Desk::new(rig, Shown::default(), false).knowing_limits(&l.envelope, &l.stretched, &l.around);
    let mut charts = Vec::new();
    for name in CHARTS {
        let subject = SUBJECTS.iter().find(|s| s.name == name);
        charts.extend(subject.map(|s| (s.make)(&desk, medium)).transpose()?.flatten());
    }
    let said = printed(|out| print::envelope::write(out, rig, &l.envelope, &l.stretched, &l.around))?;
    Ok(html! {
        (card(known, rig, l)?)
        h2 { "Charts" }
        @for chart in &charts { (figure(chart)) }
        h2 { "In words" }
        (words("The limits in words", &said))
    })
}

/// The driver's card, or why there is none.
fn card(known: &Known, rig: &Rig, l: &Limits) -> Result<Markup, Wrong> {
    Ok(match known.verdict_so_far() {
        None => html! { p.verdict.working { b { "Working it out" } span { "whether there is a card" } } },
        Some(Err(why)) => crate::web::frame::wrong("this rig cannot be computed", why),
        Some(Ok(verdict)) if verdict.answer == verdict::Answer::Go => {
            let card = Card::of(rig, &l.envelope, &l.stretched);
            html! {
                section.card.wide aria-label="The driver's card" { (blocks(&body(rig, &card))) }
                p { a href={ "/rig/" (segment(&known.name)) "/sheet" } { "Print it: on the page Sheet" } }
            }
        }
        Some(Ok(verdict)) => {
            let report = Report::of(rig, verdict);
            words("Why there is no card", &printed(|out| print::card::refuse(out, &report))?)
        }
    })
}

#[derive(Debug, Deserialize)]
struct Wanted {
    work: String,
}

async fn work(
    State(station): State<Arc<Station>>,
    Path(name): Path<String>,
    Form(wanted): Form<Wanted>,
) -> Answer {
    let known = opened(&station, name).await?;
    if known.rig.is_some() {
        match wanted.work.as_str() {
            "limits" => begin(&station, &known, &known.works.limits, |k| limits_of(rig_of(k)?)),
            "advice" => begin(&station, &known, &known.works.advice, |k| advice_of(rig_of(k)?, None, false)),
            _ => {
                return Err(Wrong::new(
                    StatusCode::UNPROCESSABLE_ENTITY,
                    "nothing of that name can be worked out",
                    "load the page again",
                ));
            }
        }
    }
    Ok(Redirect::to(&format!("/rig/{}/envelope", segment(&known.name))).into_response())
}

/// The model, where the text has no faults.
pub(super) fn rig_of(known: &Known) -> Result<&Rig, Stop> {
    known.rig.as_ref().ok_or(Stop::Said)
}
