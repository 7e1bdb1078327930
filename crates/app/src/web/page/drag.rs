//! A part that is dragged on the drawing: tried while it moves, put where it is let go.

use super::edit::{Base, Changed, carry_out, changed, not_changed, to_part};
use super::layout::{self, Asked};
use super::parts::{marked, table_of};
use super::{Answer, away, opened};
use crate::web::gate::{Person, Role};
use crate::web::guard::must_be;
use crate::web::shelf::{Known, NotChanged};
use crate::web::state::Station;
use axum::extract::{Form, Path, Query, State};
use axum::http::HeaderMap;
use axum::response::IntoResponse;
use axum::routing::post;
use axum::{Extension, Json, Router};
use draw::view::Part;
use glam::DVec3;
use rig::model::Tube;
use rig::{Change, Reading, Rig, Snap};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A tube that is taken this near to an end moves that end alone, m.
const END: f64 = 0.12;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/try", post(attempt)).route("/rig/{name}/place", post(place))
}

/// What is moved: a key of the file, where it stands, and whether a tube goes as a whole.
struct Target {
    key: String,
    at: DVec3,
    whole: bool,
}

fn fault(what: &str, mend: &str) -> NotChanged {
    NotChanged::Bad(what.to_owned(), mend.to_owned())
}

fn nearest_of(points: &[DVec3], to: DVec3) -> Option<usize> {
    let far = |i: &usize| (points[*i] - to).truncate().length();
    (0..points.len()).min_by(|a, b| far(a).total_cmp(&far(b)))
}

/// What is moved when a part is taken at a point; none: by the keyboard, as a whole.
fn target(rig: &Rig, part: Part, taken: Option<DVec3>) -> Result<Target, NotChanged> {
    let key = table_of(rig, part);
    let one = |at: Option<DVec3>| {
        let at = at.ok_or_else(|| fault("that part is not in the file any more", "load the page again"))?;
        Ok(Target { key: key.clone(), at, whole: false })
    };
    let on_tube = |(tube, s): (usize, f64)| rig.tubes.get(tube).map(|t: &Tube| t.point(s));
    match part {
        Part::Cup(i) => one(rig.cups.get(i).map(|c| c.at)),
        Part::Platform(i) => one(rig.platforms.get(i).map(|p| p.at)),
        Part::Item(i) => one(rig.items.get(i).map(|p| p.at)),
        Part::Leg(i) => one(rig.legs.get(i).and_then(|l| on_tube(l.foot))),
        Part::Clamp(i) => one(rig.clamps.get(i).and_then(|c| on_tube(c.first))),
        Part::Tube(i) => {
            let tube = rig.tubes.get(i).ok_or_else(|| fault("that tube is gone", "load the page again"))?;
            let ends = [(tube.a, "from"), (tube.b, "to")];
            let near = taken.and_then(|p| ends.iter().find(|(end, _)| (*end - p).truncate().length() < END));
            Ok(match near {
                Some((at, end)) => Target { key: format!("{key}.{end}"), at: *at, whole: false },
                None => Target { key, at: tube.a, whole: true },
            })
        }
        Part::Strap(i) => {
            let points: Vec<DVec3> =
                rig.straps.get(i).map(|s| s.path.iter().map(|p| p.at).collect()).unwrap_or_default();
            let taken = taken.ok_or_else(|| {
                fault("a strap has many points", "drag one of them on the drawing, or set it below")
            })?;
            let k = nearest_of(&points, taken)
                .ok_or_else(|| fault("that strap is gone", "load the page again"))?;
            Ok(Target { key: format!("{key}.path.{}", k + 1), at: points[k], whole: false })
        }
        // The mast goes with what it stands on.
        Part::Arm | Part::BoomSection(_) => {
            let on = rig.arm.as_ref().map_or(0, |a| a.platform);
            let at = rig.platforms.get(on).map(|p| p.at);
            let at = at.ok_or_else(|| fault("the arm stands on no platform", "load the page again"))?;
            Ok(Target { key: table_of(rig, Part::Platform(on)), at, whole: false })
        }
    }
}

fn moved(station: &Station, known: &Known, rig: &Rig, target: &Target, by: DVec3) -> Changed {
    let snap = Snap::Tape;
    if target.whole {
        return changed(station, known, &Change::Slide { tube: &target.key, by, snap, rig });
    }
    changed(station, known, &Change::Place { part: &target.key, to: target.at + by, snap, rig })
}

/// One step of a part, as an arrow key makes it.
pub(super) fn step(station: &Station, known: &Known, rig: &Rig, part: Part, towards: DVec3) -> Changed {
    let target = target(rig, part, None)?;
    let of = if target.whole { format!("{}.from", target.key) } else { target.key.clone() };
    let size = rig::step_m(&known.text, &of, Snap::Tape, rig)
        .map_err(|f| NotChanged::Bad(format!("{}: {}", f.what, f.why), f.mend))?;
    moved(station, known, rig, &target, towards * size)
}

/// The text after a drag over the drawing, from one of its points to another.
fn dragged(
    station: &Station,
    known: &Known,
    (rig, part): (&Rig, Part),
    asked: &Asked,
    [from, to]: [(f64, f64); 2],
) -> Changed {
    if ![from.0, from.1, to.0, to.1].iter().all(|v| v.is_finite()) {
        return Err(fault("that is no place", ""));
    }
    let drawing = known.ground(&asked.sight(), || layout::ground(rig, asked));
    let depth = target(rig, part, None).or_else(|_| target(rig, part, Some(DVec3::ZERO)))?.at;
    let flat =
        || fault("this view does not show which way", "use the view from above, from the left or from ahead");
    let (a, b) = (drawing.find(from, depth).ok_or_else(flat)?, drawing.find(to, depth).ok_or_else(flat)?);
    moved(station, known, rig, &target(rig, part, Some(a))?, b - a)
}

#[derive(Debug, Deserialize)]
struct Drag {
    part: String,
    from: (f64, f64),
    to: (f64, f64),
}

/// The drawing as it would be.
#[derive(Debug, Default, Serialize)]
struct Told {
    #[serde(skip_serializing_if = "Option::is_none")]
    svg: Option<String>,
    says: String,
}

async fn attempt(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
    Json(drag): Json<Drag>,
) -> Answer {
    must_be(&person, Role::Lead)?;
    let known = opened(&station, name).await?;
    let asked = asked.on(&headers);
    let told = away(move || {
        let part = known.rig.as_ref().and_then(|rig| Some((rig, marked(rig, &drag.part)?)));
        let Some(part) = part else { return Ok(Told { svg: None, says: "That part is gone.".to_owned() }) };
        match dragged(&station, &known, part, &asked, [drag.from, drag.to]) {
            Ok((_, Reading { rig: Some(rig), .. })) => {
                let tried = super::drive::tried(&rig, &asked.car);
                let sheet = layout::drawn(tried.as_ref().map_or(&rig, |(with, _)| with), None, &asked)?;
                Ok(Told { svg: Some(sheet.drawing.svg), says: sheet.says })
            }
            Ok(_) => Ok(Told { svg: None, says: "It cannot stand there.".to_owned() }),
            Err(fault) => Ok(Told { svg: None, says: not_changed(fault).what() }),
        }
    })
    .await?;
    Ok(Json(told).into_response())
}

#[derive(Debug, Deserialize)]
struct Dropped {
    part: String,
    from: String,
    to: String,
    #[serde(flatten)]
    base: Base,
}

fn pair(text: &str) -> Option<(f64, f64)> {
    let (x, y) = text.split_once(' ')?;
    Some((x.parse().ok()?, y.parse().ok()?))
}

async fn place(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    headers: HeaderMap,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
    Form(Dropped { part, from, to, base }): Form<Dropped>,
) -> Answer {
    let view = asked.on(&headers);
    let mut asked = view.clone();
    asked.part.clone_from(&part);
    let wish = to_part(part, "moved", move |station, known, (rig, part, _)| {
        let way = pair(&from).zip(pair(&to)).ok_or_else(|| fault("that is no place", ""))?;
        dragged(station, known, (rig, part), &view, way.into())
    });
    carry_out(station, person, (name, asked), &base, wish).await
}
