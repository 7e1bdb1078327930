//! What `boom --json` prints.

use super::finding::Found;
use rig::Rig;
use serde::Serialize;
use verdict::boom::{Boom, Look, Meeting, Missing};

/// The boom's shape and strength.
#[derive(Debug, Serialize)]
pub(crate) struct Shape {
    rig: String,
    exit_status: u8,
    elevation_rad: f64,
    length_m: f64,
    front_kg: f64,
    tip_kg: f64,
    fitted: Lies,
    without_braces: Option<Lies>,
    /// Without one of them, where there are two or more.
    without: Vec<Without>,
    braces: Vec<Brace>,
    meetings: Vec<Meets>,
    left_out: &'static str,
}

#[derive(Debug, Serialize)]
struct Lies {
    sag_m: f64,
    left_m: f64,
    /// About the boom's axis: positive leans the payload's top to the right.
    twist_rad: f64,
    up_down_hz: Option<f64>,
    sideways_hz: Option<f64>,
    twist_hz: Option<f64>,
    slack_braces: usize,
}

#[derive(Debug, Serialize)]
struct Without {
    brace: String,
    lies: Lies,
}

#[derive(Debug, Serialize)]
struct Brace {
    brace: String,
    /// `null`: slack.
    tension_n: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Meets {
    section: String,
    along_m: f64,
    /// Of the outer part on the inner one, boom axes: N Vy Vz in N, T My Mz in N·m.
    at_rest: [f64; 6],
    stress: Option<Found>,
    bolts: Option<Found>,
}

/// Why there is no answer.
#[derive(Debug, Serialize)]
pub(crate) struct NotKnown {
    rig: String,
    exit_status: u8,
    answer: &'static str,
    missing: String,
    key: Option<String>,
}

impl Lies {
    fn of(l: &Look) -> Self {
        Self {
            sag_m: l.rest.sag_m,
            left_m: l.rest.left_m,
            twist_rad: l.rest.twist_rad,
            up_down_hz: l.ways.up_down_hz,
            sideways_hz: l.ways.sideways_hz,
            twist_hz: l.ways.twist_hz,
            slack_braces: l.rest.slack,
        }
    }
}

impl Shape {
    pub(crate) fn of(rig: &Rig, boom: &Boom, exit_status: u8) -> Self {
        let arm = rig.arm.as_ref();
        let tag = |strand: usize| {
            let brace = boom.frame.brace_of.get(strand).copied();
            arm.zip(brace).and_then(|(a, b)| a.braces.get(b)).map_or(String::new(), |b| b.tag.clone())
        };
        let meets = |m: &Meeting| Meets {
            section: arm.and_then(|a| a.sections.get(m.section)).map_or(String::new(), |s| s.tag.clone()),
            along_m: m.along_m,
            at_rest: m.at_rest,
            stress: m.stress.as_ref().map(|f| Found::of(rig, f)),
            bolts: m.bolts.as_ref().map(|f| Found::of(rig, f)),
        };
        let tensions = boom.fitted.rest.tension_n.iter().enumerate();
        Self {
            rig: rig.name.clone(),
            exit_status,
            elevation_rad: boom.elevation_rad,
            length_m: boom.frame.length_m,
            front_kg: boom.frame.front_kg(),
            tip_kg: boom.frame.tip_kg,
            fitted: Lies::of(&boom.fitted),
            without_braces: boom.bare.as_ref().map(Lies::of),
            without: boom
                .without
                .iter()
                .enumerate()
                .map(|(i, l)| Without { brace: tag(i), lies: Lies::of(l) })
                .collect(),
            braces: tensions.map(|(i, t)| Brace { brace: tag(i), tension_n: *t }).collect(),
            meetings: boom.meetings.iter().map(meets).collect(),
            left_out: crate::print::boom::LEFT_OUT,
        }
    }
}

impl NotKnown {
    pub(crate) fn of(rig: &Rig, missing: &Missing, exit_status: u8) -> Self {
        let (what, key) = match missing {
            Missing::Tube(tag) => {
                (format!("tube of boom section {tag}"), Some(format!("arm.section.{tag}.tube")))
            }
            Missing::Gap(place) => (format!("boom section {place}"), None),
        };
        Self { rig: rig.name.clone(), exit_status, answer: "HOLD", missing: what, key }
    }
}
