//! What `lift --json` prints.

use crate::command::lift::Sheet;
use crate::print::lift::{CAUTIONS, grip, mend, reason};
use mechanics::lift::Exclusion;
use mechanics::overhead::Doing;
use method::lifts::Lifted;
use method::line::Under;
use serde::Serialize;

/// Lifts and heights, SI.
#[derive(Debug, Serialize)]
pub(crate) struct Printed {
    rig: String,
    exit_status: u8,
    load_lies_m: f64,
    hands_over_it_m: f64,
    people_stand_m: f64,
    lifts: Vec<Lift>,
    mass_not_stated: Vec<String>,
    tops: Vec<Top>,
    line: Option<Line>,
    cautions: &'static [&'static str],
    not_covered: Vec<&'static str>,
}

#[derive(Debug, Serialize)]
struct Lift {
    name: String,
    mass_kg: f64,
    hands_from_m: f64,
    hands_to_m: f64,
    reach_alone_m: f64,
    reach_team_m: f64,
    boom_across: bool,
    grip: &'static str,
    /// Of each in a team of one, two, three; `null`: the equation allows nothing.
    index: [Option<f64>; 3],
    /// `null`: no team of three is enough.
    people: Option<usize>,
    why_not: Vec<&'static str>,
    arrange: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Top {
    what: String,
    doing: &'static str,
    over_the_road_m: f64,
}

#[derive(Debug, Serialize)]
struct Line {
    height_m: f64,
    voltage_v: f64,
    states: Vec<State>,
}

#[derive(Debug, Serialize)]
struct State {
    what: String,
    distance_m: f64,
    asked_m: Option<f64>,
    rule: Option<&'static str>,
    margin_m: Option<f64>,
    /// Why there is no distance.
    no_rule: Option<String>,
}

fn doing(d: Doing) -> &'static str {
    match d {
        Doing::Work => "at work",
        Doing::Transit => "in transit",
    }
}

impl Printed {
    pub(crate) fn of(sheet: &Sheet<'_>, exit_status: u8) -> Self {
        let top = |t: &method::line::Top| Top {
            what: t.what.clone(),
            doing: doing(t.doing),
            over_the_road_m: t.top_m,
        };
        Self {
            rig: sheet.rig.name.clone(),
            exit_status,
            load_lies_m: sheet.stand.from_m,
            hands_over_it_m: sheet.stand.hands_m,
            people_stand_m: sheet.stand.stand_m,
            lifts: sheet.lifts.lifts.iter().map(lift).collect(),
            mass_not_stated: sheet.lifts.unweighed.clone(),
            tops: sheet.tops.iter().map(top).collect(),
            line: sheet.rig.site.overhead_line.as_ref().map(|(height, volts)| Line {
                height_m: height.value,
                voltage_v: volts.value,
                states: sheet.under.iter().map(state).collect(),
            }),
            cautions: &CAUTIONS,
            not_covered: Exclusion::ALL.iter().map(|e| e.text()).collect(),
        }
    }
}

fn lift(l: &Lifted) -> Lift {
    Lift {
        name: l.name.clone(),
        mass_kg: l.mass_kg,
        hands_from_m: l.from_m,
        hands_to_m: l.to_m,
        reach_alone_m: l.reach_alone_m,
        reach_team_m: l.reach_team_m,
        boom_across: l.boom_across,
        grip: grip(l.grip),
        index: l.index,
        people: l.least,
        why_not: l.why.iter().map(|r| reason(*r)).collect(),
        arrange: l.least.is_none().then(|| mend(l)),
    }
}

fn state(u: &Under) -> State {
    State {
        what: u.top.what.clone(),
        distance_m: u.have_m,
        asked_m: u.asked.as_ref().ok().map(|d| d.least_m),
        rule: u.asked.as_ref().ok().map(|d| d.rule.name()),
        margin_m: u.margin_m(),
        no_rule: u.asked.as_ref().err().map(ToString::to_string),
    }
}
