//! Changes to a rig file from its pages, each in the file's own text; undone and redone.

use super::layout::{self, Asked, Refused};
use super::parts::{marked, table_of};
use super::{Answer, Wrong, away};
use crate::web::gate::{Person, Role};
use crate::web::guard::must_be;
use crate::web::news::News;
use crate::web::shelf::{Known, NotChanged};
use crate::web::state::Station;
use axum::extract::{Form, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect};
use axum::routing::post;
use axum::{Extension, Router};
use glam::DVec3;
use rig::{Change, Rig};
use serde::Deserialize;
use std::sync::Arc;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new()
        .route("/rig/{name}/undo", post(undo))
        .route("/rig/{name}/redo", post(redo))
        .route("/rig/{name}/set", post(set))
        .route("/rig/{name}/nudge", post(nudge))
        .route("/rig/{name}/mirror", post(mirror))
        .route("/rig/{name}/remove", post(remove))
        .route("/rig/{name}/add", post(add))
}

/// The page to go back to: one of this rig's.
pub(super) fn back_to(name: &str, back: &str) -> String {
    let start = format!("/rig/{}/", crate::web::frame::segment(name));
    if back.starts_with(&start) { back.to_owned() } else { format!("{start}layout") }
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

/// The text with a change, if the reader takes it: a change makes no file that cannot be read.
pub(super) fn changed(station: &Station, known: &Known, change: &Change<'_>) -> Result<String, NotChanged> {
    let text = rig::edited(&known.text, change)
        .map_err(|f| NotChanged::Bad(format!("{}: {}", f.what, f.why), f.mend))?;
    taken(station, known, text)
}

/// A text, if the reader takes it.
fn taken(station: &Station, known: &Known, text: String) -> Result<String, NotChanged> {
    let reading = station.shelf.tried(&known.name, &text);
    if reading.rig.is_some() || known.rig.is_none() {
        return Ok(text);
    }
    let fault = reading.diagnostics.into_iter().find(|d| d.severity == rig::Severity::Error);
    Err(fault.map_or_else(
        || NotChanged::Bad("the file could not be read with this".into(), String::new()),
        |d| {
            NotChanged::Bad(
                if d.why.is_empty() { d.message } else { format!("{}: {}", d.message, d.why) },
                d.mend,
            )
        },
    ))
}

/// What every form of a change sends along.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Base {
    pub(super) revision: String,
    pub(super) back: String,
}

impl Base {
    fn revision(&self) -> u64 {
        self.revision.parse().unwrap_or_default()
    }
}

/// Makes a change, tells everybody, and goes back to the page. `about`: the key that it is about.
pub(super) async fn make(
    station: &Arc<Station>,
    person: &Person,
    name: &str,
    (base, about, what): (&Base, String, String),
    change: impl FnOnce(&Station, &Known) -> Result<String, NotChanged> + Send + 'static,
) -> Result<Arc<Known>, NotChanged> {
    must_be(person, Role::Lead).map_err(|w| NotChanged::Bad(w.what(), String::new()))?;
    let (of, name, revision) = (Arc::clone(station), name.to_owned(), base.revision());
    let done = tokio::task::spawn_blocking(move || {
        of.shelf.change(&name, (revision, &about), &what, |known| change(&of, known))
    });
    let known = done
        .await
        .unwrap_or_else(|_| Err(NotChanged::Bad("this could not be worked out".into(), String::new())))?;
    station.tell(News::Rig(known.name.clone()));
    station.work_out(&known);
    Ok(known)
}

/// Back to the page, or the page again with what is wrong.
async fn finish(
    station: Arc<Station>,
    person: Person,
    headers: &HeaderMap,
    (name, base): (String, Base),
    done: Result<Arc<Known>, NotChanged>,
    refused: impl FnOnce(Wrong) -> Refused,
) -> Answer {
    let to = back_to(&name, &base.back);
    match done {
        Ok(_) => Ok(Redirect::to(&to).into_response()),
        Err(fault) => {
            let why = not_changed(fault);
            let status = why.status();
            let asked = Asked::of(&to).on(headers);
            let page = layout::show(station, person, name, asked, Some(refused(why))).await?;
            Ok((status, page).into_response())
        }
    }
}

#[derive(Debug, Deserialize)]
struct Typed {
    key: String,
    value: String,
    #[serde(flatten)]
    base: Base,
}

async fn set(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Path(name): Path<String>,
    Form(typed): Form<Typed>,
) -> Answer {
    let Typed { key, value, base } = typed;
    let (of, typed) = (key.clone(), value.trim().to_owned());
    let what = format!("{key} set to {typed}");
    let change = move |station: &Station, known: &Known| {
        changed(station, known, &Change::Set { key: &of, value: &typed })
    };
    let done = make(&station, &person, &name, (&base, key.clone(), what), change).await;
    finish(station, person, &headers, (name, base), done, |why| Refused { key, typed: value, why }).await
}

/// A part by its mark, in the model of a text.
fn part_of<'k>(known: &'k Known, mark: &str) -> Result<(&'k Rig, String), NotChanged> {
    let gone =
        || NotChanged::Bad("that part is not in the file any more".into(), "load the page again".into());
    let rig = known.rig.as_ref().ok_or_else(gone)?;
    let part = marked(rig, mark).ok_or_else(gone)?;
    Ok((rig, table_of(rig, part)))
}

#[derive(Debug, Deserialize)]
struct Pushed {
    part: String,
    way: String,
    #[serde(flatten)]
    base: Base,
}

async fn nudge(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Path(name): Path<String>,
    Form(pushed): Form<Pushed>,
) -> Answer {
    let Pushed { part, way, base } = pushed;
    let what = format!("{} moved {way}", part.replacen('-', " ", 1));
    let (mark, towards) = (part.clone(), way.clone());
    let change = move |station: &Station, known: &Known| {
        let (rig, _) = part_of(known, &mark)?;
        let part =
            marked(rig, &mark).ok_or_else(|| NotChanged::Bad("that part is gone".into(), String::new()))?;
        let towards = match towards.as_str() {
            "forward" => DVec3::X,
            "back" => -DVec3::X,
            "left" => DVec3::Y,
            "right" => -DVec3::Y,
            "up" => DVec3::Z,
            _ => -DVec3::Z,
        };
        super::drag::step(station, known, rig, part, towards)
    };
    let about = super::parts::key_of_mark(&part);
    let done = make(&station, &person, &name, (&base, about, what), change).await;
    finish(station, person, &headers, (name, base), done, |why| Refused {
        key: "part".into(),
        typed: String::new(),
        why,
    })
    .await
}

#[derive(Debug, Deserialize)]
struct Named {
    part: String,
    #[serde(flatten)]
    base: Base,
}

async fn mirror(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Path(name): Path<String>,
    Form(named): Form<Named>,
) -> Answer {
    let Named { part, base } = named;
    let what = format!("{} mirrored", part.replacen('-', " ", 1));
    let (mark, about) = (part.clone(), super::parts::key_of_mark(&part));
    let change = move |station: &Station, known: &Known| {
        let (rig, table) = part_of(known, &mark)?;
        changed(station, known, &Change::Mirror { part: &table, rig })
    };
    let done = make(&station, &person, &name, (&base, about, what), change).await;
    finish(station, person, &headers, (name, base), done, |why| Refused {
        key: "part".into(),
        typed: String::new(),
        why,
    })
    .await
}

async fn remove(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Path(name): Path<String>,
    Form(named): Form<Named>,
) -> Answer {
    let Named { part, base } = named;
    let what = format!("{} removed", part.replacen('-', " ", 1));
    let (mark, about) = (part.clone(), super::parts::key_of_mark(&part));
    let change = move |station: &Station, known: &Known| {
        let (_, table) = part_of(known, &mark)?;
        let also = rig::dependents(&known.text, &table);
        let parts: Vec<&str> =
            std::iter::once(table.as_str()).chain(also.iter().map(String::as_str)).collect();
        changed(station, known, &Change::Remove { parts: &parts })
    };
    let done = make(&station, &person, &name, (&base, about, what), change).await;
    finish(station, person, &headers, (name, base), done, |why| Refused {
        key: "part".into(),
        typed: String::new(),
        why,
    })
    .await
}

#[derive(Debug, Deserialize)]
struct New {
    kind: String,
    #[serde(default)]
    item: String,
    #[serde(default)]
    mass: String,
    aft: String,
    left: String,
    #[serde(flatten)]
    base: Base,
}

impl New {
    fn length(words: &str, typed: &str) -> Result<f64, NotChanged> {
        quantity::parse_kind(typed.trim(), quantity::Kind::Length).map_err(|f| {
            NotChanged::Bad(format!("{words}: {f}"), "write it with its unit: 380 mm, 15 in".into())
        })
    }
}

async fn add(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Path(name): Path<String>,
    Form(new): Form<New>,
) -> Answer {
    let base = new.base.clone();
    let what = format!("{} added", new.kind);
    let typed = format!("{}, {}", new.aft, new.left);
    let change = move |station: &Station, known: &Known| {
        let at = DVec3::new(-New::length("aft", &new.aft)?, New::length("left", &new.left)?, 0.0);
        let rig = known
            .rig
            .as_ref()
            .ok_or_else(|| NotChanged::Bad("the file has faults".into(), "mend them first".into()))?;
        let part = Some(new.item.trim()).filter(|p| !p.is_empty());
        let with: &[(&str, &str)] =
            if new.mass.trim().is_empty() { &[] } else { &[("mass", new.mass.trim())] };
        changed(station, known, &Change::Add { kind: &new.kind, part, with, at, rig })
    };
    let done = make(&station, &person, &name, (&base, "name".into(), what), change).await;
    finish(station, person, &headers, (name, base), done, |why| Refused { key: "add".into(), typed, why })
        .await
}

async fn turn(station: Arc<Station>, person: Person, name: String, back: &str, again: bool) -> Answer {
    must_be(&person, Role::Lead)?;
    let to = back_to(&name, back);
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
    Form(base): Form<Base>,
) -> Answer {
    turn(station, person, name, &base.back, false).await
}

async fn redo(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Form(base): Form<Base>,
) -> Answer {
    turn(station, person, name, &base.back, true).await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_leads_back_to_its_own_rig_and_nowhere_else() {
        assert_eq!(back_to("a b", "/rig/a%20b/layout?lost=cup-FL"), "/rig/a%20b/layout?lost=cup-FL");
        for elsewhere in
            ["", "//example.invalid/rig/a", "https://example.invalid", "/rig/other/layout", "javascript:1"]
        {
            assert_eq!(back_to("a b", elsewhere), "/rig/a%20b/layout");
        }
    }
}
