//! Changes to a rig file from its pages: undo and redo.

use super::{Answer, Wrong, away};
use crate::web::gate::{Person, Role};
use crate::web::guard::must_be;
use crate::web::news::News;
use crate::web::shelf::NotChanged;
use crate::web::state::Station;
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::post;
use axum::{Extension, Router};
use serde::Deserialize;
use std::sync::Arc;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/undo", post(undo)).route("/rig/{name}/redo", post(redo))
}

/// The page to go back to: one of this program's.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Back {
    back: String,
}

impl Back {
    fn to(&self, name: &str) -> String {
        let start = format!("/rig/{}/", crate::web::frame::segment(name));
        if self.back.starts_with(&start) { self.back.clone() } else { format!("{start}layout") }
    }
}

/// As a page says it.
pub(super) fn not_changed(fault: NotChanged) -> Wrong {
    match fault {
        NotChanged::Bad(what, mend) => Wrong::new(StatusCode::UNPROCESSABLE_ENTITY, what, mend),
        NotChanged::Conflict { stands, was } => Wrong::new(
            StatusCode::CONFLICT,
            format!("somebody else changed this meanwhile, from {was} to {stands}"),
            "look at it, then change it again if yours shall stand",
        ),
    }
}

async fn step(station: Arc<Station>, person: Person, name: String, back: Back, again: bool) -> Answer {
    must_be(&person, Role::Lead)?;
    let to = back.to(&name);
    let of = Arc::clone(&station);
    let known = away(move || of.shelf.step(&name, again).map_err(not_changed)).await?;
    station.tell(News::Rig(known.name.clone()));
    station.work_out(&known);
    Ok(Redirect::to(&to).into_response())
}

async fn undo(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Form(back): Form<Back>,
) -> Answer {
    step(station, person, name, back, false).await
}

async fn redo(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Form(back): Form<Back>,
) -> Answer {
    step(station, person, name, back, true).await
}
