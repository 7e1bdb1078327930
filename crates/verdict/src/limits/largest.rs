//! How far the plan itself may be stretched: the largest pan rate, payload and gust at which every check still holds.

use crate::Fault;
use crate::finding::Outcome;
use crate::parts::PartRef;
use crate::vary::{self, End, Group};
use crate::verdict::{Look, Options, Run, run};
use rayon::prelude::*;
use rig::model::{ArmUse, Rig};
use rig::policy::CheckId;

/// What is stretched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stretch {
    /// Full pan rate, rad/s; starts and stops as hard as before.
    PanRate,
    /// Payload, kg, with as much more counterweight as balances it.
    Payload,
    /// Gust, m/s.
    Gust,
}

impl Stretch {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::PanRate, Self::Payload, Self::Gust];

    /// What the plan has; none where the plan does not have it.
    pub fn planned(self, rig: &Rig) -> Option<f64> {
        let arm = rig.arm.as_ref();
        match self {
            Self::PanRate => {
                let live = rig.manoeuvres.iter().any(|m| m.arm == ArmUse::Live);
                arm.map(|a| a.drives.pan_rate.value).filter(|v| live && *v > 0.0)
            }
            Self::Payload => arm.map(|a| a.payload.mass.value),
            Self::Gust => rig.manoeuvres.iter().any(|m| m.gust).then_some(rig.site.gust.value),
        }
    }

    /// The rig with another value.
    pub fn with(self, rig: &Rig, value: f64) -> Rig {
        let mut out = rig.clone();
        match (self, &mut out.arm) {
            (Self::PanRate, Some(arm)) => arm.drives.pan_rate.value = value,
            (Self::Payload, Some(arm)) => {
                let tip = arm.sections.iter().map(|s| s.span.0.max(s.span.1)).fold(0.0, f64::max);
                let more = value - arm.payload.mass.value;
                arm.payload.mass.value = value;
                if arm.counterweight.behind.value > 0.0 {
                    let balance = more * tip / arm.counterweight.behind.value;
                    arm.counterweight.mass.value = (arm.counterweight.mass.value + balance).max(0.0);
                }
            }
            (Self::Gust, _) => out.site.gust.value = value,
            (Self::PanRate | Self::Payload, None) => {}
        }
        out
    }

    /// How far it is looked at: so many times the plan.
    fn cap(self, planned: f64) -> f64 {
        match self {
            // 60 m/s is over any gust in which a car is driven.
            Self::Gust => 60.0,
            Self::PanRate | Self::Payload => 4.0 * planned,
        }
    }
}

/// The largest value.
#[derive(Clone, Debug, PartialEq)]
pub struct Largest {
    /// What is stretched.
    pub what: Stretch,
    /// Value in the plan.
    pub planned: f64,
    /// The largest at which every check holds; none where none was found down to nothing.
    pub value: Option<f64>,
    /// Looked no farther than this.
    pub cap: f64,
    /// What would fail next; none at the cap.
    pub by: Option<(CheckId, PartRef)>,
}

/// The largest value may be so much under the true one, as a share of it.
const FINE: f64 = 0.01;
const ROUNDS: usize = 6;

/// What fails in a run, the worst of it.
fn failing(run: &Run) -> Option<(CheckId, PartRef)> {
    let fails = run.findings.iter().filter(|f| f.outcome == Outcome::Fails);
    let margin = |f: &&crate::Finding| f.margin.unwrap_or(0.0);
    fails.min_by(|a, b| margin(a).total_cmp(&margin(b))).map(|f| (f.check, f.part))
}

/// The largest value of one thing at which every check holds, on typical values and on all bad ends together.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn largest(rig: &Rig, options: &Options<'_>, what: Stretch) -> Result<Option<Largest>, Fault> {
    let Some(planned) = what.planned(rig) else { return Ok(None) };
    let groups = vary::groups(rig);
    let corners: Vec<Vec<(&Group, End)>> =
        if groups.is_empty() { Vec::new() } else { vary::bad_corners(&groups) };
    let sets: Vec<Rig> =
        core::iter::once(rig.clone()).chain(corners.iter().map(|c| vary::with(rig, c))).collect();
    let cap = what.cap(planned);
    let quiet = Options { tick: &|_, _| {}, ..*options };
    let whole = |value: f64| -> Result<Vec<Run>, Fault> {
        sets.iter().map(|set| run(&what.with(set, value), &quiet, &Look::All)).collect()
    };
    let mut at = cap;
    let mut known: Vec<Vec<Run>> = Vec::new();
    let mut by = None;
    for _ in 0..ROUNDS {
        let runs = whole(at)?;
        let Some(why) = runs.iter().find_map(failing) else {
            return Ok(Some(Largest { what, planned, value: Some(at), cap, by }));
        };
        by = Some(why);
        known.push(runs);
        let of_known = |value: f64| -> Result<Option<(CheckId, PartRef)>, Fault> {
            let each: Vec<Option<(CheckId, PartRef)>> = known
                .par_iter()
                .flat_map(|runs| sets.par_iter().zip(runs))
                .map(|(set, before)| Ok(failing(&run(&what.with(set, value), &quiet, &Look::Known(before))?)))
                .collect::<Result<_, Fault>>()?;
            Ok(each.into_iter().flatten().next())
        };
        if of_known(0.0)?.is_some() {
            break;
        }
        let (mut low, mut high) = (0.0, at);
        while high - low > FINE * high.max(1e-6) {
            let middle = f64::midpoint(low, high);
            match of_known(middle)? {
                Some(why) => (high, by) = (middle, Some(why)),
                None => low = middle,
            }
        }
        at = low;
    }
    Ok(Some(Largest { what, planned, value: None, cap, by }))
}
