//! The state that a drawing shows: as it is asked for, or the worst of a check.

use super::desk::{Desk, Worst};
use crate::io::Stop;
use crate::print::report::Word;
use crate::print::text::margin;
use draw::view::{Part, Pose};
use mechanics::arm;
use std::fmt::Write as _;
use verdict::state::{bearing_words, elevation_words};
use verdict::{Finding, PartRef, StateId};

/// A state, and what is said of it.
pub(crate) struct Seen {
    pub(crate) pose: Pose,
    pub(crate) lost: Option<Part>,
    /// A state of a manoeuvre; none: the car stands still.
    pub(crate) state: Option<StateId>,
    /// What is shown, in a sentence; empty where there is nothing to say.
    pub(crate) words: String,
    /// What contact makes of the state, where the linear answer is past its assumption.
    pub(crate) contact: String,
}

/// A part of a verdict on a drawing, if it is drawn.
pub(crate) fn drawn(part: PartRef) -> Option<Part> {
    Some(match part {
        PartRef::Cup(i) => Part::Cup(i),
        PartRef::Tube(i) => Part::Tube(i),
        PartRef::Clamp(i) => Part::Clamp(i),
        PartRef::Leg(i) => Part::Leg(i),
        PartRef::Platform(i) => Part::Platform(i),
        PartRef::Strap(i) => Part::Strap(i),
        PartRef::Item(i) => Part::Item(i),
        PartRef::Arm => Part::Arm,
        PartRef::BoomSection(i) => Part::BoomSection(i),
        _ => return None,
    })
}

/// The part of the verdict that can be lost.
fn losable(part: Part) -> Option<PartRef> {
    match part {
        Part::Cup(i) => Some(PartRef::Cup(i)),
        Part::Strap(i) => Some(PartRef::Strap(i)),
        _ => None,
    }
}

pub(super) fn of(desk: &Desk<'_>) -> Result<Seen, Stop> {
    match (desk.shown.state, desk.shown.worst) {
        (Some(state), _) => {
            let words = format!("Shown: {}.", state.words(desk.context()?));
            in_state(desk, state, words, String::new())
        }
        (None, Some(worst)) => of_worst(desk, worst),
        (None, None) => Ok(as_asked(desk)),
    }
}

fn in_state(desk: &Desk<'_>, state: StateId, words: String, contact: String) -> Result<Seen, Stop> {
    Ok(Seen {
        pose: Pose { pan: state.pose.pan_rad, elevation: state.pose.elevation_rad },
        lost: desk.context()?.failures.get(state.failure).and_then(|f| f.lost).and_then(drawn),
        state: Some(state),
        words,
        contact,
    })
}

fn as_asked(desk: &Desk<'_>) -> Seen {
    let parked = desk.rig.arm.as_ref().map(|a| Pose { pan: a.parked.0, elevation: a.parked.1 });
    let pose = desk.shown.pose.or(parked).unwrap_or_default();
    let mut words = Vec::new();
    if desk.rig.arm.is_some() {
        let as_parked = if desk.shown.pose.is_none() { ", as it is parked" } else { "" };
        let (bearing, elevation) = (bearing_words(pose.pan), elevation_words(pose.elevation));
        words.push(format!("boom {bearing}, {elevation}{as_parked}"));
    }
    if let Some(lost) = desk.shown.lost.and_then(losable) {
        words.push(format!("{} lost", lost.name(desk.rig)));
    }
    if desk.shown.forces || desk.shown.moved {
        words.insert(0, "standing still on the level".to_owned());
    }
    let words = if words.is_empty() { String::new() } else { format!("Shown: {}.", words.join("; ")) };
    Seen { pose, lost: desk.shown.lost, state: None, words, contact: String::new() }
}

fn of_worst(desk: &Desk<'_>, worst: Worst) -> Result<Seen, Stop> {
    let Some(f) = desk.worst(worst)? else { return Err(no_state(desk, worst)?) };
    let state = f.state.unwrap_or_default();
    let ctx = desk.context()?;
    let mut words = format!(
        "Shown: the least margin of {}{}, {} ({}), {}",
        if worst == Worst::OfAll { "all checks of states: " } else { "" },
        f.check.row().name,
        f.margin.map_or_else(String::new, margin),
        Word::of(f).map_or("", Word::text),
        f.part.name(desk.rig)
    );
    let _ = write!(words, ": {}.", state.words(ctx));
    in_state(desk, state, words, f.contact.clone())
}

/// Why there is no worst state, and which checks have one.
fn no_state(desk: &Desk<'_>, worst: Worst) -> Result<Stop, Stop> {
    let mut names: Vec<&str> = Vec::new();
    let shows = |f: &&Finding| f.state.is_some() && f.margin.is_some();
    for f in desk.verdict()?.findings.iter().filter(shows) {
        if !names.contains(&f.check.row().name) {
            names.push(f.check.row().name);
        }
    }
    let mend = if names.is_empty() {
        "leave out --worst".to_owned()
    } else {
        format!("checks that have one: {}", names.join(", "))
    };
    Ok(match worst {
        Worst::Of(check) => {
            Stop::bad(format!("{} has no worst state to show on this rig", check.row().name), mend)
        }
        Worst::OfAll => Stop::bad("no check has a worst state to show on this rig", mend),
    })
}

impl Seen {
    /// The pose as the verdict has it.
    pub(super) fn arm_pose(&self) -> arm::Pose {
        arm::Pose { pan_rad: self.pose.pan, elevation_rad: self.pose.elevation }
    }

    /// The failure that is shown, by index, and the action on the rig then.
    pub(super) fn action(&self, desk: &Desk<'_>) -> Result<(usize, Vec<f64>), Stop> {
        let ctx = desk.context()?;
        if let Some(state) = self.state {
            return Ok((state.failure, ctx.action_of(&state).0));
        }
        let lost = self.lost.and_then(losable);
        let failure = ctx.failures.iter().position(|f| f.lost == lost).unwrap_or(0);
        Ok((failure, ctx.standing(failure, self.arm_pose())))
    }
}
