//! The rig file itself: its text, and what is wrong with it.

use super::edit::not_changed;
use super::{Answer, about, away, opened};
use crate::web::frame::{self, Place, segment};
use crate::web::gate::{Person, Role};
use crate::web::guard::must_be;
use crate::web::news::News;
use crate::web::shelf::{About, Known, NotChanged};
use crate::web::state::Station;
use crate::web::strip;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use rig::Severity;
use serde::Deserialize;
use std::sync::Arc;

pub(super) const PLACE: Place =
    Place { path: "file", title: "File", says: "the rig file's own text, and what is wrong with it" };

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/file", get(page).post(keep))
}

fn body(known: &Known, person: &Person, text: &str, refused: Option<&Markup>) -> Markup {
    let lead = person.role == Role::Lead;
    let faults = known.reading.diagnostics.iter().filter(|d| d.severity == Severity::Error).count();
    html! {
        h1 { (known.name) ".toml" }
        @if let Some(why) = refused { (why) }
        div #faults data-live {
            @if faults > 0 { (strip::faults(known)) } @else { p { "It is read without a fault." } }
            @let notes: Vec<_> = known.reading.diagnostics.iter().filter(|d| d.severity != Severity::Error).collect();
            @if !notes.is_empty() { details.more { summary { (notes.len()) " to look at" } ol.faults { @for d in notes { (strip::fault(known, d)) } } } }
        }
        form #text method="post" action={ "/rig/" (segment(&known.name)) "/file" } {
            input type="hidden" name="revision" value=(known.revision);
            label { "Text" textarea.file name="text" rows="30" spellcheck="false" readonly[!lead] { (text) } }
            @if lead { button { "Save" } }
        }
    }
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
) -> Answer {
    let known = opened(&station, name).await?;
    let text = known.text.clone();
    Ok(about(&station, &person, &known, &PLACE, body(&known, &person, &text, None)))
}

#[derive(Debug, Deserialize)]
struct Typed {
    revision: u64,
    text: String,
}

async fn keep(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Form(typed): Form<Typed>,
) -> Answer {
    must_be(&person, Role::Lead)?;
    let known = opened(&station, name).await?;
    let (of, name) = (Arc::clone(&station), known.name.clone());
    // A form sends line ends of its own: the file keeps those that it has.
    let typed_text = typed.text.replace("\r\n", "\n");
    let text = if known.text.contains("\r\n") { typed_text.replace('\n', "\r\n") } else { typed_text };
    let kept = text.clone();
    let done = away(move || {
        let reading = of.shelf.tried(&name, &kept);
        Ok(of.shelf.change(&name, (typed.revision, &About::Text), "the text", |_| Ok((kept, reading))))
    })
    .await?;
    match done {
        Ok(known) => {
            station.tell(News::Rig(known.name.clone()));
            station.work_out(&known);
            Ok(Redirect::to(&format!("/rig/{}/file", segment(&known.name))).into_response())
        }
        // What was typed stays in the form, whatever else happened.
        Err(fault) => {
            let why = match fault {
                NotChanged::Conflict { .. } => frame::wrong(
                    "somebody else changed the file meanwhile",
                    "your text stands below and is not saved: copy what you want to keep, load the page again, and put it in there",
                ),
                bad @ NotChanged::Bad(..) => not_changed(bad).words(),
            };
            let page = about(&station, &person, &known, &PLACE, body(&known, &person, &text, Some(&why)));
            Ok((StatusCode::CONFLICT, page).into_response())
        }
    }
}
