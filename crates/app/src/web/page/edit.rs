//! Changes to a rig file from its pages, each in the file's own text; undone and redone.

use super::layout::{self, Asked, Refused};
use super::parts::{key_of_mark, marked};
use super::{Answer, Wrong, away};
use crate::web::gate::{Person, Role};
use crate::web::guard::must_be;
use crate::web::news::News;
use crate::web::shelf::{About, Known, NotChanged};
use crate::web::state::Station;
use axum::extract::{Form, Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect};
use axum::routing::{MethodRouter, post};
use axum::{Extension, Router};
use draw::view::Part;
use glam::DVec3;
use rig::{Change, Reading, Rig, Severity};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::sync::Arc;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new()
        .route("/rig/{name}/undo", post(undo))
        .route("/rig/{name}/redo", post(redo))
        .route("/rig/{name}/set", on(set))
        .route("/rig/{name}/nudge", on(nudge))
        .route("/rig/{name}/mirror", on(mirror))
        .route("/rig/{name}/remove", on(remove))
        .route("/rig/{name}/add", on(add))
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

/// The text with a change and what the reader says of it: a change makes no file that cannot be read.
pub(super) fn changed(station: &Station, known: &Known, change: &Change<'_>) -> Changed {
    let text = rig::edited(&known.text, change)
        .map_err(|f| NotChanged::Bad(format!("{}: {}", f.what, f.why), f.mend))?;
    let mut reading = station.shelf.tried(&known.name, &text);
    if reading.rig.is_some() || known.rig.is_none() {
        return Ok((text, reading));
    }
    reading.diagnostics.retain(|d| d.severity == Severity::Error);
    Err(reading.diagnostics.into_iter().next().map_or_else(
        || NotChanged::Bad("the file could not be read with this".into(), String::new()),
        |d| {
            NotChanged::Bad(
                if d.why.is_empty() { d.message } else { format!("{}: {}", d.message, d.why) },
                d.mend,
            )
        },
    ))
}

/// What a change makes of a text.
pub(super) type Changed = Result<(String, Reading), NotChanged>;

/// Makes a change of a text.
type Make = Box<dyn FnOnce(&Station, &Known) -> Changed + Send>;

/// A change that somebody asks for.
pub(super) struct Wish {
    /// What it is about, so that nobody else's change of the same is written over.
    pub(super) about: About,
    /// In words, for undo.
    pub(super) what: String,
    /// The field that it was asked in, and what was typed there.
    pub(super) field: (String, String),
    /// Makes it.
    pub(super) make: Make,
}

/// What every form of a change sends along.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Base {
    revision: String,
    back: String,
}

#[derive(Debug, Deserialize)]
struct Sent<T> {
    #[serde(flatten)]
    asked: T,
    #[serde(flatten)]
    base: Base,
}

/// A form that asks for a change.
fn on<T: DeserializeOwned + Send + 'static>(wish: fn(T) -> Wish) -> MethodRouter<Arc<Station>> {
    post(
        move |State(station): State<Arc<Station>>,
              Extension(person): Extension<Person>,
              headers: HeaderMap,
              Path(name): Path<String>,
              Form(sent): Form<Sent<T>>| async move {
            let asked = Asked::of(&back_to(&name, &sent.base.back)).on(&headers);
            carry_out(station, person, (name, asked), &sent.base, wish(sent.asked)).await
        },
    )
}

/// Makes a change and tells everybody; or gives back what is wrong, with what was typed and its field.
pub(super) async fn made(
    station: &Arc<Station>,
    person: &Person,
    name: &str,
    base: &Base,
    wish: Wish,
) -> Result<Option<Refused>, Wrong> {
    must_be(person, Role::Lead)?;
    let Wish { about, what, field: (key, typed), make } = wish;
    let (of, file, revision) =
        (Arc::clone(station), name.to_owned(), base.revision.parse().unwrap_or_default());
    let done = away(move || {
        of.shelf.change(&file, (revision, &about), &what, |known| make(&of, known)).map_err(not_changed)
    });
    Ok(match done.await {
        Ok(known) => {
            station.tell(News::Rig(known.name.clone()));
            station.work_out(&known);
            None
        }
        Err(why) => Some(Refused { key, typed, why }),
    })
}

/// Makes a change and goes back to the drawing; or shows it again with what is wrong.
pub(super) async fn carry_out(
    station: Arc<Station>,
    person: Person,
    (name, asked): (String, Asked),
    base: &Base,
    wish: Wish,
) -> Answer {
    let Some(refused) = made(&station, &person, &name, base, wish).await? else {
        return Ok(Redirect::to(&asked.with(&name, &[])).into_response());
    };
    let status = refused.why.status();
    let page = layout::show(station, person, name, asked, Some(refused)).await?;
    Ok((status, page).into_response())
}

#[derive(Debug, Deserialize)]
struct Typed {
    key: String,
    value: String,
}

fn set(Typed { key, value }: Typed) -> Wish {
    let (of, to) = (key.clone(), value.trim().to_owned());
    Wish {
        about: About::Key(key.clone()),
        what: format!("{key} set to {to}"),
        field: (key, value),
        make: Box::new(move |station, known| changed(station, known, &Change::Set { key: &of, value: &to })),
    }
}

/// Something done to a part: its words, and what it makes of the part in the model and its table in the file.
pub(super) fn to_part(
    mark: String,
    words: &str,
    make: impl FnOnce(&Station, &Known, (&Rig, Part, &str)) -> Changed + Send + 'static,
) -> Wish {
    Wish {
        about: About::Key(key_of_mark(&mark)),
        what: format!("{} {words}", mark.replacen('-', " ", 1)),
        field: ("part".to_owned(), String::new()),
        make: Box::new(move |station, known| {
            let part = known.rig.as_ref().and_then(|rig| Some((rig, marked(rig, &mark)?)));
            let (rig, part) = part.ok_or_else(|| {
                NotChanged::Bad("that part is not in the file any more".into(), "load the page again".into())
            })?;
            make(station, known, (rig, part, &key_of_mark(&mark)))
        }),
    }
}

#[derive(Debug, Deserialize)]
struct Pushed {
    part: String,
    way: String,
}

fn nudge(Pushed { part, way }: Pushed) -> Wish {
    let towards = match way.as_str() {
        "forward" => DVec3::X,
        "back" => -DVec3::X,
        "left" => DVec3::Y,
        "right" => -DVec3::Y,
        "up" => DVec3::Z,
        "down" => -DVec3::Z,
        _ => DVec3::ZERO,
    };
    let words = format!("moved {way}");
    to_part(part, &words, move |station, known, (rig, part, _)| {
        super::drag::step(station, known, rig, part, towards)
    })
}

#[derive(Debug, Deserialize)]
struct Named {
    part: String,
}

fn mirror(Named { part }: Named) -> Wish {
    to_part(part, "mirrored", |station, known, (rig, _, table)| {
        changed(station, known, &Change::Mirror { part: table, rig })
    })
}

fn remove(Named { part }: Named) -> Wish {
    to_part(part, "removed", |station, known, (_, _, table)| {
        let also = rig::dependents(&known.text, table);
        let parts: Vec<&str> = std::iter::once(table).chain(also.iter().map(String::as_str)).collect();
        changed(station, known, &Change::Remove { parts: &parts })
    })
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
}

fn length(words: &str, typed: &str) -> Result<f64, NotChanged> {
    quantity::parse_kind(typed.trim(), quantity::Kind::Length)
        .map_err(|f| NotChanged::Bad(format!("{words}: {f}"), "write it with its unit: 380 mm, 15 in".into()))
}

fn add(new: New) -> Wish {
    Wish {
        about: About::New,
        what: format!("{} added", new.kind),
        field: ("add".to_owned(), format!("{}, {}", new.aft, new.left)),
        make: Box::new(move |station, known| {
            let at = DVec3::new(-length("aft", &new.aft)?, length("left", &new.left)?, 0.0);
            let faulty = || NotChanged::Bad("the file has faults".into(), "mend them first".into());
            let rig = known.rig.as_ref().ok_or_else(faulty)?;
            let part = Some(new.item.trim()).filter(|p| !p.is_empty());
            let mass = [("mass", new.mass.trim())];
            let with = if mass[0].1.is_empty() { &[][..] } else { &mass[..] };
            changed(station, known, &Change::Add { kind: &new.kind, part, with, at, rig })
        }),
    }
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
