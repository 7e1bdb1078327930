//! The first page: the rigs of the folder.

use super::Answer;
use crate::io::Stop;
use crate::web::frame::{self, Of, Page, segment};
use crate::web::gate::Person;
use crate::web::gate::Role;
use crate::web::guard::must_be;
use crate::web::job;
use crate::web::news::News;
use crate::web::state::Station;
use axum::extract::{Form, State};
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use axum::{Extension, Router};
use maud::html;
use serde::Deserialize;
use std::sync::Arc;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/", get(page)).route("/job", post(begin))
}

#[derive(Debug, Deserialize)]
struct Begun {
    rig: String,
}

async fn begin(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Form(begun): Form<Begun>,
) -> Answer {
    must_be(&person, Role::Lead)?;
    let known = super::opened(&station, begun.rig).await?;
    let of = Arc::clone(&station);
    let job = super::away(move || {
        let Some(rig) = &known.rig else { return Err(super::Wrong::from(Stop::Said)) };
        crate::command::build::method_of(rig)?;
        let plan = job::plan_of(&known).ok_or_else(|| super::Wrong::from(Stop::Said))?;
        job::begin(&of, &person, plan, &rig.name)
    })
    .await?;
    station.tell(News::Entry);
    Ok(Redirect::to(&format!("/job/{}/{}", job.id, super::OF_JOB[0].path)).into_response())
}

async fn page(State(station): State<Arc<Station>>, Extension(person): Extension<Person>) -> Answer {
    let of = Arc::clone(&station);
    let (rigs, jobs) = super::away(move || {
        let open = |name: String| of.shelf.open(&name).ok();
        Ok((of.shelf.names().into_iter().filter_map(open).collect::<Vec<_>>(), job::jobs(&of)?))
    })
    .await?;
    let body = html! {
        h1 { "Rigs in this folder" }
        @if rigs.is_empty() {
            p { "There is no rig file here yet. " code { "clingfish new" } " asks about the car and the camera and writes a first one." }
        }
        ul.rigs #rigs data-live {
            @for known in &rigs {
                li {
                    a href={ "/rig/" (segment(&known.name)) "/layout" } {
                        strong { (known.rig.as_ref().map_or(known.name.as_str(), |r| r.name.as_str())) }
                        span.file { (known.name) ".toml" }
                        @if known.rig.is_none() { span.word.fails { "has faults" } }
                    }
                    @if person.role == Role::Lead && known.rig.is_some() {
                        form.row method="post" action="/job" {
                            input type="hidden" name="rig" value=(known.name);
                            button.plain { "Begin a job with it" }
                        }
                    }
                }
            }
        }
        h2 { "Jobs" }
        ul.rigs #jobs data-live {
            @if jobs.is_empty() { li { "No job has been begun." } }
            @for j in &jobs {
                li { a href={ "/job/" (j.id) "/" (super::OF_JOB[0].path) } {
                    strong { (j.name) } span.file { (j.rig) ", begun " (station.which.clock.shown(j.at_ms)) " by " (j.by) }
                } }
            }
        }
    };
    let page = Page { title: "Rigs", of: Of::Nothing, hears: "rig entry", body };
    Ok(frame::page(&station, &person, &page).into_response())
}
