//! How far the payload goes from where it floats when the car is pushed up and drops away.

use super::axis::Axis;
use crate::Fault;
use crate::actions::Actions;
use mechanics::shaking::oscillator::Oscillator;
use rig::model::Rig;

/// What one manoeuvre's vertical acceleration does to the payload.
#[derive(Clone, Debug, PartialEq)]
pub struct Push {
    /// Tag of the manoeuvre.
    pub manoeuvre: String,
    /// The car's greatest acceleration up and down, m/s², as sizes.
    pub up_m_s2: f64,
    /// Down.
    pub down_m_s2: f64,
    /// Way of the payload down and up when the push comes slowly and stays, m.
    pub held_m: (f64, f64),
    /// The same when it comes suddenly and stays: overshoot added.
    pub sudden_m: (f64, f64),
    /// Travel left at the lower and at the upper stop under the sudden push, m; negative is a hit.
    pub left_m: Option<(f64, f64)>,
}

/// One line for each manoeuvre, worst first; empty where the frequency is not known.
///
/// The car pushed up leaves the payload behind: it goes down. Softest spring and least damping of the ranges are taken. Not
/// counted: what rig and boom add or take.
pub(crate) fn pushes(rig: &Rig, up: &Axis, travel: Option<(f64, f64)>) -> Result<Vec<Push>, Fault> {
    let Some(f) = up.frequency else { return Ok(Vec::new()) };
    let o = Oscillator::new(f.low, up.damping.low).map_err(Fault::from_error)?;
    let actions = Actions::of(rig)?;
    let once = 1.0 + o.overshoot();
    let mut out: Vec<Push> = rig
        .manoeuvres
        .iter()
        .zip(&actions.vertical)
        .map(|(m, (rise, drop))| {
            let held = (o.held_m(*rise), o.held_m(*drop));
            let sudden = (held.0 * once, held.1 * once);
            Push {
                manoeuvre: m.tag.clone(),
                up_m_s2: *rise,
                down_m_s2: *drop,
                held_m: held,
                sudden_m: sudden,
                left_m: travel.map(|(upper, lower)| (lower - sudden.0, upper - sudden.1)),
            }
        })
        .collect();
    out.sort_by(|a, b| b.sudden_m.0.max(b.sudden_m.1).total_cmp(&a.sudden_m.0.max(a.sudden_m.1)));
    Ok(out)
}
