//! The survey at the car: what is measured, in the order of a walk round it, one step at a time, each with a picture.

mod entry;
mod keep_out;
mod panel;
mod steps;
mod value;

use super::edit::{Base, Wish, changed, made};
use super::layout::Refused;
use super::{Answer, parts};
use crate::web::frame::{Place, capital, segment, svg};
use crate::web::gate::{Person, Role};
use crate::web::shelf::{About, Known, NotChanged};
use crate::web::state::Station;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse, Redirect};
use axum::routing::get;
use axum::{Extension, Router};
use entry::{entry, state};
use maud::{Markup, html};
use quantity::Kind;
use rig::{Change, Rig};
use serde::Deserialize;
use std::sync::Arc;
use steps::{Shows, Step};
use value::{Value, Values};

pub(super) const PLACE: Place = Place {
    path: "survey",
    title: "Survey",
    says: "the car and the roof: what to measure, and what is still assumed",
};

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/survey", get(page).post(act))
}

/// Which step is shown: by its name; the first where none is asked for.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    step: String,
}

impl Asked {
    fn address(&self, name: &str) -> String {
        let start = format!("/rig/{}/survey", segment(name));
        if self.step.is_empty() { start } else { format!("{start}?step={}", segment(&self.step)) }
    }
}

/// What a form of the page asks.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
struct Act {
    does: String,
    step: String,
    key: String,
    value: String,
    /// A straightedge's length, and the gap under its end.
    long: String,
    gap: String,
    /// A new place to keep clear.
    tag: String,
    aft: String,
    left: String,
    down: String,
    length: String,
    width: String,
    #[serde(flatten)]
    base: Base,
}

impl Act {
    fn places(&self) -> [(&'static str, String); 5] {
        [
            ("aft", self.aft.clone()),
            ("left", self.left.clone()),
            ("down", self.down.clone()),
            ("length", self.length.clone()),
            ("width", self.width.clone()),
        ]
    }

    /// All that was typed of a new place, in one text.
    fn gathered(&self) -> String {
        let all = std::iter::once(("tag", self.tag.clone())).chain(self.places());
        all.map(|(k, v)| format!("{k}\u{1f}{v}")).collect::<Vec<_>>().join("\u{1e}")
    }

    /// The way back.
    fn spread(text: &str) -> Vec<(String, String)> {
        text.split('\u{1e}')
            .filter_map(|p| p.split_once('\u{1f}'))
            .map(|(k, v)| (k.into(), v.into()))
            .collect()
    }
}

/// What the page knows while it is made.
struct Doing<'p> {
    known: &'p Known,
    values: &'p Values<'p>,
    asked: &'p Asked,
    lead: bool,
    refused: Option<&'p Refused>,
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    show(station, person, name, asked, None).await
}

/// Makes the change that a form asks for, and goes back to its step.
async fn act(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Form(act): Form<Act>,
) -> Answer {
    let asked = Asked { step: act.step.clone() };
    let base = act.base.clone();
    let wish = match act.does.as_str() {
        "keep_out" => keep_out::add(&act),
        "remove" => keep_out::remove(act.key, &asked),
        "crown" => crown(act),
        _ => set(act.key, act.value),
    };
    let Some(refused) = made(&station, &person, &name, &base, wish).await? else {
        return Ok(Redirect::to(&asked.address(&name)).into_response());
    };
    let status = refused.why.status();
    let page = show(station, person, name, asked, Some(refused)).await?;
    Ok((status, page).into_response())
}

fn set(key: String, value: String) -> Wish {
    let (of, to) = (key.clone(), value.trim().to_owned());
    Wish {
        about: About::Key(key.clone()),
        what: format!("{key} set to {to}"),
        field: (key, value),
        make: Box::new(move |station, known| {
            if to.is_empty() {
                let example = rig::key(&of).map_or("", |k| k.example);
                return Err(NotChanged::Bad(
                    "nothing is typed".into(),
                    format!(
                        "write what you measured, with its unit: {example}. Undo takes back what was changed"
                    ),
                ));
            }
            changed(station, known, &Change::State { key: &of, value: &to })
        }),
    }
}

/// The radius of a crown from a straightedge that touches in its middle and the gap under its ends: `L²/8h`, as the format has it. A
/// circle's is larger by half the gap; the smaller radius is the more curved panel.
fn crown(act: Act) -> Wish {
    let Act { key, long, gap, .. } = act;
    let of = key.clone();
    let (l, h) = (long.trim().to_owned(), gap.trim().to_owned());
    Wish {
        about: About::Key(key.clone()),
        what: format!("{key} from a gap of {h} under {l}"),
        field: (format!("{key} crown"), format!("{long}\u{1f}{gap}")),
        make: Box::new(move |station, known| {
            let read = |words: &str, typed: &str| {
                let length = quantity::parse_kind(typed, Kind::Length);
                length.map_err(|f| {
                    NotChanged::Bad(format!("{words}: {f}"), "write it with its unit: 1 m, 12 mm".into())
                })
            };
            let (long, gap) = (read("the straightedge's length", &l)?, read("the gap", &h)?);
            if long <= 0.0 || gap < 0.0 || gap >= long / 4.0 {
                return Err(NotChanged::Bad(
                    "a gap like that is no crown".into(),
                    "the gap is much less than the straightedge's length; measure both again".into(),
                ));
            }
            let radius = if gap == 0.0 {
                "flat".to_owned()
            } else {
                quantity::show_kind(long * long / (8.0 * gap), Kind::Length, quantity::System::Metric)
            };
            changed(station, known, &Change::State { key: &of, value: &radius })
        }),
    }
}

/// The page, and on it what could not be done.
async fn show(
    station: Arc<Station>,
    person: Person,
    name: String,
    asked: Asked,
    refused: Option<Refused>,
) -> Answer {
    let (of, lead) = (Arc::clone(&station), person.role == Role::Lead);
    super::of_rig(&station, &person, name, &PLACE, move |known, rig| {
        let values = Values::of(known, rig);
        let all = steps::steps(rig, values.written());
        let at = all.iter().position(|s| s.id == asked.step).unwrap_or(0);
        let asked = Asked { step: all.get(at).map_or_else(String::new, |s| s.id.clone()) };
        let undo = of.shelf.steps(&known.name);
        let doing = Doing { known, values: &values, asked: &asked, lead, refused: refused.as_ref() };
        Ok(whole(&doing, rig, (&all, at), &undo))
    })
    .await
}

fn whole(
    doing: &Doing<'_>,
    rig: &Rig,
    (all, at): (&[Step], usize),
    undo: &crate::web::shelf::Steps,
) -> Markup {
    let found: Vec<Vec<Option<Value>>> =
        all.iter().map(|s| s.fields.iter().map(|f| doing.values.value(&f.key)).collect()).collect();
    html! {
        h1 { "Survey" }
        div #assumed data-live { (assumed(doing, rig, all, &found)) }
        @if doing.lead { (parts::undo_to(doing.known, undo, &doing.asked.address(&doing.known.name))) }
        @else { p { "The lead writes what is measured into the rig file." } }
        div.survey {
            section.at-hand #step data-live aria-label="The step at hand" {
                @if let Some(step) = all.get(at) { (card(doing, rig, step, (all, at))) }
            }
            section.walk aria-label="All steps" {
                div #walk data-live { (list(doing, all, &found, at)) }
            }
            section.seen #overview data-live aria-label="The car with the steps" {
                h2 { "Where each step is" }
                @for drawing in steps::overview(rig, all) { figure.drawing { (svg(&drawing)) } }
            }
        }
    }
}

fn link(doing: &Doing<'_>, step: &Step) -> String {
    format!("{}#step", Asked { step: step.id.clone() }.address(&doing.known.name))
}

/// What is still assumed, with ways to its steps.
fn assumed(doing: &Doing<'_>, rig: &Rig, all: &[Step], found: &[Vec<Option<Value>>]) -> Markup {
    let is_open = |values: &Vec<Option<Value>>| values.iter().flatten().any(Value::is_open);
    let open: Vec<(usize, &Step)> =
        all.iter().enumerate().zip(found).filter(|(_, v)| is_open(v)).map(|(s, _)| s).collect();
    let count = found.iter().flatten().flatten().filter(|v| v.is_open()).count();
    let keys: Vec<&str> = all.iter().flat_map(|s| &s.fields).map(|f| f.key.as_str()).collect();
    let elsewhere = rig::assumed(rig).iter().filter(|f| !keys.contains(&f.key.as_str())).count();
    html! {
        @if count == 0 { p.note { b { "Nothing of the survey is assumed. " } } }
        @else {
            details.note open[open.len() <= 6] {
                summary { (count) @if count == 1 { " value is" } @else { " values are" } " still assumed or missing" }
                ul.open { @for (i, step) in &open { li { a href=(link(doing, step)) { (i + 1) " " (step.title) } } } }
            }
        }
        @if !doing.values.is_judged() { p.says { "What each of them decides follows with the verdict." } }
        @if elsewhere > 0 {
            p.says { "Assumed of the rig itself: " (elsewhere) ". " a href={ "/rig/" (segment(&doing.known.name)) "/margins" } { "What is to be settled" } }
        }
    }
}

fn list(doing: &Doing<'_>, all: &[Step], found: &[Vec<Option<Value>>], at: usize) -> Markup {
    let mut sections: Vec<&str> = all.iter().map(|s| s.section.as_str()).collect();
    sections.dedup();
    html! {
        h2 { "All steps" }
        @for section in sections {
            @let here = all.get(at).is_some_and(|s| s.section == section);
            @let open = all.iter().zip(found).filter(|(s, _)| s.section == section).flat_map(|(_, v)| v).flatten().filter(|v| v.is_open()).count();
            details.more open[here] {
                summary { (section) @if open > 0 { span.count { (open) " open" } } }
                ol.walked {
                    @for (i, (step, values)) in all.iter().zip(found).enumerate().filter(|(_, (s, _))| s.section == section) {
                        li { a href=(link(doing, step)) aria-current=[(i == at).then_some("step")] {
                            span.number { (i + 1) }
                            span.what { (step.title) }
                            span.found {
                                @for v in values.iter().flatten() {
                                    @let (word, class) = state(v);
                                    span { (if v.echo.is_empty() { v.typed.as_str() } else { v.echo.as_str() }) " " span.word.(class) { (word) } }
                                }
                            }
                        } }
                    }
                }
            }
        }
    }
}

/// The step at hand.
fn card(doing: &Doing<'_>, rig: &Rig, step: &Step, (all, at): (&[Step], usize)) -> Markup {
    let (back, next) = (at.checked_sub(1).and_then(|i| all.get(i)), all.get(at + 1));
    html! {
        p.section { (step.section) ", step " (at + 1) " of " (all.len()) }
        h2 { (step.title) }
        figure.drawing { (svg(&step.picture(rig))) }
        p.how { @if step.how.is_empty() { (settle(step)) } @else { (step.how) } }
        @match &step.shows {
            Shows::KeepOuts(index) => { @if let Some(panel) = rig.panels.get(*index) { (keep_out::of(doing, panel)) } }
            _ => { @for f in &step.fields { (entry(doing, &f.key, &f.label, f.mark)) } }
        }
        nav.steps aria-label="Steps" {
            @if let Some(s) = back { a.button.other href=(link(doing, s)) { span { "Back" } (s.title) } }
            @if let Some(s) = next { a.button href=(link(doing, s)) { span { "Next" } (s.title) } }
        }
    }
}

fn settle(step: &Step) -> String {
    step.fields
        .first()
        .and_then(|f| rig::key(&f.key))
        .map_or_else(String::new, |k| format!("{}.", capital(k.settle)))
}
