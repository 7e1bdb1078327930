//! The pages: one file each, and one line each in [`PLACES`] or [`routes`].

mod alerts;
mod arm;
mod build;
mod drag;
mod drive;
mod edit;
mod envelope;
mod file;
mod home;
mod join;
mod layout;
mod margins;
mod parts;
mod people;
mod power;
mod prose;
mod rounds;
mod said;
mod settle;
mod sheet;
mod standing;
mod survey;

pub(super) use alerts::bar;

use super::frame::{self, Of, Place};
use super::gate::{Person, Role};
use super::guard::must_be;
use super::news::News;
use super::shelf::Known;
use super::state::Station;
use super::strip;
use crate::io::Stop;
use axum::Router;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::Markup;
use rig::Rig;
pub(crate) use standing::Standings;
use std::sync::Arc;

/// The pages about a rig, in the order of the work.
pub(crate) const PLACES: &[Place] = &[
    survey::PLACE,
    layout::PLACE,
    margins::PLACE,
    envelope::PLACE,
    power::PLACE,
    arm::PLACE,
    settle::PLACE,
    sheet::PLACE,
    file::PLACE,
];

/// The pages about a job.
pub(crate) const OF_JOB: &[Place] = &[build::PLACE, rounds::PLACE, standing::PLACE];

/// Where each page is.
pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new()
        .merge(alerts::routes())
        .merge(home::routes())
        .merge(join::routes())
        .merge(people::routes())
        .merge(rounds::routes())
        .merge(standing::routes())
        .merge(survey::routes())
        .merge(layout::routes())
        .merge(build::routes())
        .merge(drag::routes())
        .merge(edit::routes())
        .merge(file::routes())
        .merge(margins::routes())
        .merge(envelope::routes())
        .merge(power::routes())
        .merge(arm::routes())
        .merge(settle::routes())
        .merge(sheet::routes())
}

/// An address that is none.
pub(super) async fn lost() -> Response {
    (
        StatusCode::NOT_FOUND,
        frame::bare(
            "No such page",
            "The address may be mistyped, or the rig file may have another name now.",
        ),
    )
        .into_response()
}

/// An answer that is a page, or says what is wrong.
pub(crate) type Answer = Result<Response, Wrong>;

/// What is wrong, as a page.
pub(crate) struct Wrong(StatusCode, String, String);

impl Wrong {
    pub(crate) fn new(status: StatusCode, what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self(status, what.into(), mend.into())
    }
}

impl Wrong {
    fn status(&self) -> StatusCode {
        self.0
    }

    /// What is wrong, and how to mend it, in one.
    pub(crate) fn what(&self) -> String {
        let said = [&self.1, &self.2].into_iter().filter(|t| !t.is_empty());
        said.map(|t| frame::plain(t)).collect::<Vec<_>>().join(". ")
    }

    /// In words, where the rest of the page stands.
    fn words(&self) -> Markup {
        frame::wrong(&self.1, &self.2)
    }
}

impl From<Stop> for Wrong {
    fn from(stop: Stop) -> Self {
        match stop {
            Stop::Bad(what, mend) => Self(StatusCode::UNPROCESSABLE_ENTITY, what, mend),
            Stop::Said => Self(
                StatusCode::UNPROCESSABLE_ENTITY,
                "the file has faults".into(),
                "clingfish check names them".into(),
            ),
            Stop::Stream(e) => {
                Self(StatusCode::INTERNAL_SERVER_ERROR, format!("cannot write or read: {e}"), String::new())
            }
        }
    }
}

impl IntoResponse for Wrong {
    fn into_response(self) -> Response {
        let words = self.what();
        (self.0, frame::bare("Not done", &words)).into_response()
    }
}

/// Does what takes its time where nobody else waits for it.
async fn away<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Wrong> + Send + 'static,
) -> Result<T, Wrong> {
    tokio::task::spawn_blocking(work).await.unwrap_or_else(|_| {
        Err(Wrong::new(StatusCode::INTERNAL_SERVER_ERROR, "this could not be worked out", ""))
    })
}

/// A rig file by its name, as it stands now; its verdict is begun.
async fn opened(station: &Arc<Station>, name: String) -> Result<Arc<Known>, Wrong> {
    let of = Arc::clone(station);
    let known = away(move || {
        of.shelf.open(&name).map_err(|stop| match stop {
            Stop::Bad(what, mend) => Wrong::new(StatusCode::NOT_FOUND, what, mend),
            other => other.into(),
        })
    })
    .await?;
    station.work_out(&known);
    Ok(known)
}

/// A page about a rig that says what stands now; of a file with faults it says those.
async fn of_rig(
    station: &Arc<Station>,
    person: &Person,
    name: String,
    place: &Place,
    body: impl FnOnce(&Known, &Rig) -> Result<Markup, Wrong> + Send + 'static,
) -> Answer {
    let known = opened(station, name).await?;
    let of = Arc::clone(&known);
    let body = away(move || match &of.rig {
        Some(rig) => body(&of, rig),
        None => Ok(strip::faults(&of)),
    })
    .await?;
    Ok(about(station, person, &known, place, body))
}

/// A page about a rig.
fn about(station: &Station, person: &Person, known: &Known, place: &Place, body: Markup) -> Response {
    let title = format!("{} · {}", place.title, known.name);
    let page =
        frame::Page { title: &title, of: Of::Rig(&known.name, place.path), hears: "rig verdict", body };
    frame::page(station, person, &page).into_response()
}

/// A page about a job: its id and name.
fn of_job(
    station: &Station,
    person: &Person,
    (id, name): (&str, &str),
    place: &Place,
    body: Markup,
) -> Response {
    let title = format!("{} · {name}", place.title);
    let page = frame::Page { title: &title, of: Of::Job(id, name, place.path), hears: "entry", body };
    frame::page(station, person, &page).into_response()
}

/// What was sent from a page of a job and not taken.
struct Refused<T> {
    typed: T,
    why: Wrong,
}

/// A page of a job: its name and what stands on it, beside what was sent and not taken.
type JobPage<T> = fn(&Station, &Person, &str, Option<&Refused<T>>) -> Result<(String, Markup), Wrong>;

/// Takes what was sent from a page of a job.
type JobEntry<T> = fn(&Station, &Person, &str, &T) -> Result<(), Wrong>;

/// A page about a job as it stands now.
async fn shown<T: 'static>(
    station: Arc<Station>,
    person: Person,
    id: String,
    place: &Place,
    page: JobPage<T>,
) -> Answer {
    let (of, who, job) = (Arc::clone(&station), person.clone(), id.clone());
    let (name, body) = away(move || page(&of, &who, &job, None)).await?;
    Ok(of_job(&station, &person, (&id, &name), place, body))
}

/// Takes what was sent from a page of a job, tells everybody and goes back to it; or shows it again with what is wrong, and with what
/// was typed in its field.
async fn sent<T: Send + 'static>(
    station: Arc<Station>,
    person: Person,
    id: String,
    place: &Place,
    typed: T,
    (take, page): (JobEntry<T>, JobPage<T>),
) -> Answer {
    must_be(&person, Role::Crew)?;
    let (of, who, job) = (Arc::clone(&station), person.clone(), id.clone());
    let refused = away(move || {
        let Err(why) = take(&of, &who, &job, &typed) else { return Ok(None) };
        let status = why.0;
        // A job that is not there has no page.
        if status == StatusCode::NOT_FOUND {
            return Err(why);
        }
        Ok(Some((status, page(&of, &who, &job, Some(&Refused { typed, why }))?)))
    })
    .await?;
    Ok(match refused {
        None => {
            station.tell(News::Entry);
            Redirect::to(&format!("/job/{}/{}", frame::segment(&id), place.path)).into_response()
        }
        Some((status, (name, body))) => {
            (status, of_job(&station, &person, (&id, &name), place, body)).into_response()
        }
    })
}
