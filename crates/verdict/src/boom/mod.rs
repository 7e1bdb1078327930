//! The boom by itself: how it sags, twists and shakes, what its joints carry, what each brace buys.
//!
//! One frame ([`BoomFrame`]) for the check of sag and for `clingfish boom`. `docs/mechanics.md` §13.7 and on.

mod frame;
mod rest;
#[cfg(test)]
mod tests;
mod ways;

pub use frame::{BoomFrame, Missing};
pub use rest::Rest;
pub use ways::Ways;

use crate::Fault;
use crate::finding::Finding;
use crate::verdict::{Options, nominal_of};
use frame::MEET_M;
use mechanics::STANDARD_GRAVITY;
use rig::model::{Arm, Rig};
use rig::policy::CheckId;

/// The boom with some of its braces.
#[derive(Clone, Debug)]
pub struct Look {
    /// At rest.
    pub rest: Rest,
    /// Its frequencies.
    pub ways: Ways,
}

/// A place where a section ends towards the pivot: the pivot itself, or the joint to the section before.
#[derive(Clone, Debug)]
pub struct Meeting {
    /// Index of the outer section.
    pub section: usize,
    /// Distance from the pivot, m.
    pub along_m: f64,
    /// Forces of the outer part on the inner one at rest, braces as fitted: `N Vy Vz T My Mz`, boom axes (x ahead, so `N` of a
    /// tail that hangs off is negative).
    pub at_rest: [f64; 6],
    /// The joint's bolts in the worst state of all manoeuvres, where bolts are stated.
    pub bolts: Option<Finding>,
    /// The section's stress there in the worst state, where its tube is stated.
    pub stress: Option<Finding>,
}

/// The boom's shape and strength.
#[derive(Clone, Debug)]
pub struct Boom {
    /// The frame.
    pub frame: BoomFrame,
    /// Elevation looked at: level, or the nearest that the arm may take, rad.
    pub elevation_rad: f64,
    /// With all its braces.
    pub fitted: Look,
    /// Without any, if it has some.
    pub bare: Option<Look>,
    /// Without one of them, in the order of the frame's strands, if there are two or more.
    pub without: Vec<Look>,
    /// Where sections meet, from the pivot out, then down the tail.
    pub meetings: Vec<Meeting>,
}

/// The elevation nearest to level that an arm may take, rad: there the boom sags most.
pub fn nearest_to_level(arm: &Arm) -> f64 {
    let (low, high) = (arm.elevation.0.min(arm.elevation.1), arm.elevation.0.max(arm.elevation.1));
    0.0_f64.max(low).min(high)
}

impl BoomFrame {
    /// At rest and shaking, with some strands taken away.
    ///
    /// # Errors
    ///
    /// [`Fault`] where the frame cannot be solved.
    pub fn look(&self, elevation_rad: f64, gone: &[usize]) -> Result<Look, Fault> {
        let rest = self.at_rest(elevation_rad, gone).map_err(Fault::from_error)?;
        let ways = self.ways(&rest.lost).map_err(Fault::from_error)?;
        Ok(Look { rest, ways })
    }
}

/// Why there is no answer about a boom.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoBoom {
    /// The rig has no arm.
    NoArm,
    /// A fact is missing.
    Missing(Missing),
    /// It cannot be computed with.
    Fault(Fault),
}

impl From<Fault> for NoBoom {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

impl Boom {
    /// Looks at a rig's boom.
    ///
    /// # Errors
    ///
    /// [`NoBoom`]: no arm, a tube that is not stated, or numbers that cannot be computed with.
    pub fn of(rig: &Rig, options: &Options<'_>) -> Result<Self, NoBoom> {
        let arm = rig.arm.as_ref().ok_or(NoBoom::NoArm)?;
        let elevation_rad = nearest_to_level(arm);
        let frame = BoomFrame::of(arm, elevation_rad).map_err(NoBoom::Missing)?;
        let all: Vec<usize> = (0..frame.frame.strands.len()).collect();
        let fitted = frame.look(elevation_rad, &[])?;
        let bare = if all.is_empty() { None } else { Some(frame.look(elevation_rad, &all)?) };
        let without = if all.len() < 2 {
            Vec::new()
        } else {
            all.iter().map(|i| frame.look(elevation_rad, &[*i])).collect::<Result<_, _>>()?
        };
        let bolts = nominal_of(rig, options, CheckId::BoomBolts)?;
        let stress = nominal_of(rig, options, CheckId::BoomStress)?;
        let meetings = meetings(arm, elevation_rad, &fitted.rest, (&bolts, &stress));
        Ok(Self { frame, elevation_rad, fitted, bare, without, meetings })
    }
}

/// Forces of the tail beyond a place on what lies before it, at rest: its weights, at their distances.
fn tail_at_rest(arm: &Arm, along_m: f64, elevation_rad: f64) -> [f64; 6] {
    let (s, c) = elevation_rad.sin_cos();
    let beyond = arm.sections.iter().filter(|s| s.span.1 < 0.0 && s.span.0 <= along_m + MEET_M);
    let weights = beyond.map(|s| (s.mass.value, f64::midpoint(s.span.0, s.span.1), 0.0));
    let w = &arm.counterweight;
    let hung = [(w.mass.value, -w.behind.value, -w.under)];
    let mut out = [0.0; 6];
    for (kg, x, z) in weights.chain(hung.into_iter().filter(|h| h.1 <= along_m + MEET_M)) {
        let (fx, fz) = (-s * STANDARD_GRAVITY * kg, -c * STANDARD_GRAVITY * kg);
        out[0] += fx;
        out[2] += fz;
        out[4] += z * fx - (x - along_m) * fz;
    }
    out
}

fn meetings(
    arm: &Arm,
    elevation: f64,
    rest: &Rest,
    (bolts, stress): (&[Finding], &[Finding]),
) -> Vec<Meeting> {
    let of = |found: &[Finding], section: usize| {
        found.iter().find(|f| f.part == crate::PartRef::BoomSection(section)).cloned()
    };
    arm.sections
        .iter()
        .enumerate()
        .filter(|(_, s)| s.span.1 > 0.0 || s.bolts.is_some())
        .map(|(section, s)| {
            let along_m = s.span.0;
            let near = |c: &&(f64, [f64; 6])| s.span.1 > 0.0 && (c.0 - along_m).abs() < MEET_M.max(1e-9);
            Meeting {
                section,
                along_m,
                at_rest: rest
                    .cuts
                    .iter()
                    .find(near)
                    .map_or_else(|| tail_at_rest(arm, along_m, elevation), |c| c.1),
                bolts: of(bolts, section),
                stress: of(stress, section),
            }
        })
        .collect()
}
