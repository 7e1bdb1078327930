//! The working drawing: what stands where, what is let go, where the boom points, what is worst.

use super::drive::{self, Car, Driving};
use super::parts::{self, Chosen};
use super::said;
use super::{Answer, Wrong};
use crate::drawing::{Desk, Shown, Worst, on_parts, scene};
use crate::web::frame::{self, Place, segment};
use crate::web::gate::{Person, Role};
use crate::web::shelf::Known;
use crate::web::state::Station;
use crate::web::strip;
use axum::extract::{Path, Query, State};
use axum::http::HeaderMap;
use axum::routing::get;
use axum::{Extension, Router};
use draw::view::{self, Drawing, Medium, Part, Pose, Scene, View};
use maud::{Markup, html};
use mechanics::arm;
use rig::Rig;
use rig::policy::{CHECKS, CheckId};
use serde::Deserialize;
use std::fmt::Write as _;
use std::sync::Arc;
use verdict::PartRef;
use verdict::situation::{self, Situation};
use verdict::structure::BuildOptions;
use verdict::verdict::{Options, at_once};

pub(super) const PLACE: Place =
    Place { path: "layout", title: "Layout", says: "the drawing: move parts, let a cup go, point the boom" };

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/layout", get(page))
}

/// What is shown, as the address has it. Angles are whole degrees, left and up positive.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Asked {
    view: String,
    bearing: String,
    elevation: String,
    lost: String,
    worst: String,
    forces: String,
    moved: String,
    from: String,
    over: String,
    #[serde(flatten)]
    pub(super) car: Car,
    pub(super) part: String,
    #[serde(skip)]
    small: bool,
}

impl Asked {
    /// The address of the page with some of it changed; nothing stands there as if it had not been asked.
    pub(super) fn with(&self, name: &str, changes: &[(&str, &str)]) -> String {
        let now = [
            ("view", &self.view),
            ("bearing", &self.bearing),
            ("elevation", &self.elevation),
            ("lost", &self.lost),
            ("worst", &self.worst),
            ("forces", &self.forces),
            ("moved", &self.moved),
            ("from", &self.from),
            ("over", &self.over),
            ("drive", &self.car.drive),
            ("of_drive", &self.car.of_drive),
            ("speed", &self.car.speed),
            ("along", &self.car.along),
            ("bend", &self.car.bend),
            ("payload", &self.car.payload),
            ("part", &self.part),
        ];
        let mut out = format!("/rig/{}/layout", segment(name));
        let mut sign = '?';
        for (key, value) in now {
            let value = changes.iter().find(|(k, _)| *k == key).map_or(value.as_str(), |(_, v)| v);
            if !value.is_empty() {
                // Writing to a string does not fail.
                let _ = write!(out, "{sign}{key}={}", segment(value));
                sign = '&';
            }
        }
        out
    }

    /// What the drawing's places hang on, as one word.
    pub(super) fn sight(&self) -> String {
        format!(
            "{} {}",
            self.with("", &[("part", ""), ("worst", ""), ("forces", ""), ("moved", "")]),
            self.small
        )
    }

    /// What an address of the page asks.
    pub(super) fn of(address: &str) -> Self {
        address
            .parse()
            .ok()
            .and_then(|uri| Query::try_from_uri(&uri).ok())
            .map_or_else(Self::default, |Query(asked)| asked)
    }

    /// On the screen that asks: the script says in a cookie whether it is a small one.
    pub(super) fn on(self, headers: &HeaderMap) -> Self {
        Self { small: said::medium(headers) == Medium::Phone, ..self }
    }

    fn degrees(text: &str) -> Option<f64> {
        text.parse::<f64>().ok().filter(|v| v.is_finite() && v.abs() <= 360.0).map(f64::to_radians)
    }

    pub(super) fn view(&self) -> View {
        match self.view.as_str() {
            "side" => View::Side,
            "front" => View::Front,
            "corner" => View::Corner {
                bearing: Self::degrees(&self.from).unwrap_or(0.6),
                over: Self::degrees(&self.over).unwrap_or(0.45).clamp(-1.5, 1.5),
            },
            _ => View::Plan,
        }
    }

    /// A page for a phone is drawn for a phone.
    pub(super) fn medium(&self) -> Medium {
        if self.small { Medium::Phone } else { Medium::Page }
    }

    fn pose(&self, rig: &Rig) -> Option<Pose> {
        let arm = rig.arm.as_ref()?;
        let (pan, elevation) = (Self::degrees(&self.bearing), Self::degrees(&self.elevation));
        if pan.is_none() && elevation.is_none() {
            return None;
        }
        Some(Pose {
            pan: pan.unwrap_or(arm.parked.0).clamp(arm.pan.0, arm.pan.1),
            elevation: elevation.unwrap_or(arm.parked.1).clamp(arm.elevation.0, arm.elevation.1),
        })
    }

    /// What is let go; what the rig does not have is nothing.
    fn lost(&self, rig: &Rig) -> Option<(Part, PartRef)> {
        let part = view::parts(rig).into_iter().find(|p| view::mark(rig, *p) == self.lost)?;
        match part {
            Part::Cup(i) => Some((part, PartRef::Cup(i))),
            Part::Strap(i) => Some((part, PartRef::Strap(i))),
            _ => None,
        }
    }

    /// Whether this is let go.
    pub(super) fn is_lost(&self, mark: &str) -> bool {
        self.lost == mark
    }

    fn worst(&self) -> Option<Worst> {
        match self.worst.as_str() {
            "" => None,
            "any" => Some(Worst::OfAll),
            name => CHECKS.iter().find(|row| row.name == name).map(|row| Worst::Of(row.id)),
        }
    }

    fn shown(&self, rig: &Rig, worst: Option<Worst>) -> Shown {
        let moved = !self.moved.is_empty();
        Shown {
            state: None,
            pose: self.pose(rig),
            lost: self.lost(rig).map(|(part, _)| part),
            worst,
            plain: false,
            margins: true,
            forces: !self.forces.is_empty(),
            moved,
            eye: (None, None),
        }
    }
}

/// The drawing of a rig, and what is said of it.
pub(super) struct Sheet {
    pub(super) drawing: Drawing,
    /// Where the margins on it come from, in a sentence.
    pub(super) says: String,
}

/// Where the numbers on a drawing come from.
enum Numbers {
    /// The whole verdict.
    Verdict,
    /// What can be had at once of every situation.
    Quick,
    /// The situation that is picked, alone.
    Here,
}

/// Draws a rig: with the margins of the situation that is picked; else with the whole verdict's where they are known; else, or with a
/// part let go, with those that can be had at once.
pub(super) fn drawn(rig: &Rig, verdict: Option<&verdict::Verdict>, asked: &Asked) -> Result<Sheet, Wrong> {
    let driving = Driving::of(rig, &asked.car);
    let lost = asked.lost(rig);
    let worst = asked.worst().filter(|_| verdict.is_some() && driving == Driving::No);
    let mut shown = asked.shown(rig, worst);
    let numbers = if driving != Driving::No {
        Numbers::Here
    } else if verdict.is_none() || (lost.is_some() && worst.is_none()) {
        Numbers::Quick
    } else {
        Numbers::Verdict
    };
    let fault = |f| Wrong::from(crate::command::check::cannot(&f));
    let findings = match numbers {
        Numbers::Verdict => Vec::new(),
        Numbers::Quick => at_once(rig, &Options::default(), lost.map(|(_, part)| part)).map_err(fault)?,
        Numbers::Here => {
            let pose = asked.pose(rig).map(|p| arm::Pose { pan_rad: p.pan, elevation_rad: p.elevation });
            let here = Situation { manoeuvre: driving.index(), pose, lost: lost.map(|(_, part)| part) };
            situation::margins(rig, BuildOptions::default(), &here).map_err(fault)?
        }
    };
    let least = findings.iter().find(|f| f.margin.is_some());
    if matches!(numbers, Numbers::Here) {
        shown.state = least.and_then(|f| f.state);
    }
    let desk = Desk::new(rig, Shown { plain: !matches!(numbers, Numbers::Verdict), ..shown }, false);
    let desk = match verdict {
        Some(verdict) => desk.knowing(verdict),
        None => desk,
    };
    let medium = asked.medium();
    let mut scene = scene(&desk, medium)?;
    let mut says = match (&numbers, lost) {
        (Numbers::Verdict, _) => String::new(),
        (Numbers::Here, _) => "Numbers on the parts: margins in what is shown alone. The answer looks at \
                               everything the plan may bring."
            .to_owned(),
        (Numbers::Quick, Some((_, part))) => format!(
            "Numbers on the parts: least margins with {} let go, everything else as it stands.",
            part.name(rig)
        ),
        (Numbers::Quick, None) => {
            "Numbers on the parts: margins so far. The whole verdict follows.".to_owned()
        }
    };
    if !matches!(numbers, Numbers::Verdict) {
        scene.margins = on_parts(&findings);
        if let Some(f) = least {
            let word = crate::print::report::Word::of(f).map_or("", crate::print::report::Word::text);
            let _ = write!(
                says,
                " Least: {} {} ({word}), {}.",
                f.check.row().title.to_lowercase(),
                crate::print::text::margin(f.margin.unwrap_or_default()),
                f.part.name(rig)
            );
        }
        scene.notes.push(says.clone());
    }
    Ok(Sheet { drawing: view::draw(&scene, asked.view(), medium), says })
}

/// The bare drawing of a rig, as its page has it: where its points stand.
pub(super) fn ground(rig: &Rig, asked: &Asked) -> Drawing {
    let shown = asked.shown(rig, None);
    let mut scene = Scene::new(rig);
    scene.pose = shown.pose.unwrap_or(scene.pose);
    scene.lost = shown.lost;
    view::draw(&scene, asked.view(), asked.medium())
}

/// The drawing with what the script needs to move things on it.
pub(super) fn figure(known: &Known, asked: &Asked, sheet: &Sheet, person: &Person) -> Markup {
    let flat = !matches!(asked.view(), View::Corner { .. });
    html! {
        figure.drawing #drawing tabindex="0" aria-label="The drawing; arrow keys move the chosen part" data-live data-revision=(known.revision)
            data-moves=(if person.role == Role::Lead && flat { "yes" } else { "no" })
            data-turns=(if flat { "no" } else { "yes" }) {
            (frame::svg(&sheet.drawing.svg))
        }
    }
}

/// What was asked for and cannot be done: the key of the field, `part` or `add`; what was typed; why.
pub(super) struct Refused {
    pub(super) key: String,
    pub(super) typed: String,
    pub(super) why: Wrong,
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Answer {
    show(station, person, name, asked.on(&headers), None).await
}

/// The page, and on it what could not be done.
pub(super) async fn show(
    station: Arc<Station>,
    person: Person,
    name: String,
    asked: Asked,
    refused: Option<Refused>,
) -> Answer {
    let (of, who) = (Arc::clone(&station), person.clone());
    super::of_rig(&station, &person, name, &PLACE, move |known, rig| {
        let steps = of.shelf.steps(&known.name);
        let verdict = known.verdict_so_far().and_then(|v| v.as_ref().ok());
        let tried = drive::tried(rig, &asked.car);
        let (drawn_rig, tried) = tried.as_ref().map_or((rig, &[][..]), |(with, list)| (with, list.as_slice()));
        let sheet = drawn(drawn_rig, verdict, &asked);
        let chosen = Chosen::of(known, rig, &asked.part);
        let lead = who.role == Role::Lead;
        let (refused, at_part) = (refused.as_ref(), refused.as_ref().filter(|r| r.key == "part"));
        Ok(html! {
            div.layout {
                section.answer #answer data-live { (strip::answer(known, rig, asked.small)) }
                section.sheet aria-label="Drawing" {
                    (views(&known.name, &asked))
                    div #refused data-live { @if let Some(r) = at_part { (r.why.words()) } }
                    @match &sheet {
                        Ok(sheet) => { (figure(known, &asked, sheet, &who)) p.says #says data-live role="status" { (sheet.says) } }
                        Err(wrong) => { figure.drawing #drawing data-live { (wrong.words()) } p.says #says data-live {} }
                    }
                }
                section.controls {
                    @if lead { (parts::undo(known, &steps, &asked)) }
                    (controls(&known.name, rig, &asked))
                    (drive::told(known, &asked, tried, lead))
                    div #part data-live { @if let Some(chosen) = &chosen { (parts::panel(known, chosen, &asked, lead, refused)) } }
                    (parts::list(known, rig, &asked))
                    @if lead { (parts::add(known, rig, &asked, refused)) }
                }
            }
        })
    })
    .await
}

fn views(name: &str, asked: &Asked) -> Markup {
    let views =
        [("", "From above"), ("side", "From the left"), ("front", "From ahead"), ("corner", "In the round")];
    html! {
        nav.views #views data-live aria-label="Views" {
            @for (view, words) in views {
                a href=(asked.with(name, &[("view", view)])) data-in-place
                    aria-current=[(asked.view == view).then_some("true")] { (words) }
            }
        }
    }
}

/// Where the boom points, what is lost, what is shown.
fn controls(name: &str, rig: &Rig, asked: &Asked) -> Markup {
    let lost = view::parts(rig).into_iter().filter(|p| matches!(p, Part::Cup(_) | Part::Strap(_)));
    let degrees = |rad: f64| rad.to_degrees().round();
    html! {
        form.shown #shown method="get" action={ "/rig/" (segment(name)) "/layout" } data-in-place data-live {
            input type="hidden" name="view" value=(asked.view);
            input type="hidden" name="part" value=(asked.part);
            input type="hidden" name="from" value=(asked.from);
            input type="hidden" name="over" value=(asked.over);
            @if let Some(arm) = &rig.arm {
                (slider("bearing", "Boom points", "R", "L", (degrees(arm.pan.0), degrees(arm.pan.1)), degrees(arm.parked.0), &asked.bearing))
                (slider("elevation", "Boom goes up", "down", "up", (degrees(arm.elevation.0), degrees(arm.elevation.1)), degrees(arm.parked.1), &asked.elevation))
            }
            (drive::fields(rig, &asked.car))
            label { "Let go"
                select name="lost" {
                    option value="" { "nothing" }
                    @for part in lost {
                        @let mark = view::mark(rig, part);
                        option value=(mark) selected[mark == asked.lost] { (mark.replacen('-', " ", 1)) }
                    }
                }
            }
            label { "Show the worst of"
                select name="worst" {
                    option value="" { "nothing: as it stands" }
                    option value="any" selected[asked.worst == "any"] { "everything" }
                    @for row in CHECKS.iter().filter(|r| r.id != CheckId::Stable) {
                        option value=(row.name) selected[asked.worst == row.name] { (row.title) }
                    }
                }
            }
            label.tick { input type="checkbox" name="forces" value="yes" checked[!asked.forces.is_empty()]; "Forces" }
            label.tick { input type="checkbox" name="moved" value="yes" checked[!asked.moved.is_empty()]; "Bent shape" }
            button.plain { "Show" }
        }
    }
}

fn slider(
    name: &str,
    words: &str,
    low: &str,
    high: &str,
    range: (f64, f64),
    parked: f64,
    now: &str,
) -> Markup {
    let value = now.parse::<f64>().ok().filter(|v| v.is_finite()).unwrap_or(parked).clamp(range.0, range.1);
    html! {
        label { (words)
            input type="range" name=(name) min=(range.0) max=(range.1) step="5" value=(value) data-low=(low) data-high=(high);
            output { (value.abs()) "° " @if value < 0.0 { (low) } @else if value > 0.0 { (high) } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_keeps_what_is_shown_and_leaves_out_what_is_not() {
        let asked = Asked { view: "side".into(), lost: "cup-a b".into(), ..Asked::default() };
        assert_eq!(asked.with("my rig", &[]), "/rig/my%20rig/layout?view=side&lost=cup-a%20b");
        assert_eq!(
            asked.with("r", &[("lost", ""), ("part", "cup-FL")]),
            "/rig/r/layout?view=side&part=cup-FL"
        );
    }

    #[test]
    fn angles_that_are_none_are_passed_over() {
        for text in ["", "NaN", "inf", "1e9", "x"] {
            assert_eq!(Asked::degrees(text), None, "{text}");
        }
        assert!((Asked::degrees("-90").unwrap() + core::f64::consts::FRAC_PI_2).abs() < 1e-6);
    }
}
