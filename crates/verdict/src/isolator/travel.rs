//! How far the payload goes from where it floats when the car is pushed up and drops away.

use super::axis::Axis;
use crate::Fault;
use crate::actions::Actions;
use crate::picture::rig_part::corner;
use mechanics::road::kerb::Bump;
use mechanics::road::quarter_car::QuarterCar;
use mechanics::shaking::kerb::give_over;
use mechanics::shaking::oscillator::Oscillator;
use rig::model::{Rig, Vertical};

/// What one manoeuvre's vertical acceleration does to the payload.
#[derive(Clone, Debug, PartialEq)]
pub struct Push {
    /// Tag of the manoeuvre.
    pub manoeuvre: String,
    /// The car's greatest acceleration up and down, m/s², as sizes.
    pub up_m_s2: f64,
    /// Down.
    pub down_m_s2: f64,
    /// A kerb or pothole: worked out step by step; else a push that comes suddenly and stays.
    pub kerb: bool,
    /// Way of the payload down and up when the push comes slowly and stays, m.
    pub held_m: (f64, f64),
    /// Way of the payload down and up, m: over the kerb, or under the push with its overshoot.
    pub goes_m: (f64, f64),
    /// Travel left at the lower and at the upper stop then, m; negative is a hit.
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
    let mut out = Vec::new();
    for (m, (rise, drop)) in rig.manoeuvres.iter().zip(&actions.vertical) {
        let held_m = (o.held_m(*rise), o.held_m(*drop));
        let kerb = matches!(m.vertical, Vertical::Kerb { .. }) && m.speed.value >= 0.1;
        let goes_m = match &m.vertical {
            Vertical::Kerb { height, length } if kerb => {
                let car = QuarterCar::new(corner(rig)).map_err(Fault::from_error)?;
                let bump = Bump::new(height.value, length.value).map_err(Fault::from_error)?;
                let give = give_over(&car, &bump, m.speed.value, &o).map_err(Fault::from_error)?;
                (give.down_m, give.up_m)
            }
            _ => (held_m.0 * once, held_m.1 * once),
        };
        out.push(Push {
            manoeuvre: m.tag.clone(),
            up_m_s2: *rise,
            down_m_s2: *drop,
            kerb,
            held_m,
            goes_m,
            left_m: travel.map(|(upper, lower)| (lower - goes_m.0, upper - goes_m.1)),
        });
    }
    out.sort_by(|a, b| b.goes_m.0.max(b.goes_m.1).total_cmp(&a.goes_m.0.max(a.goes_m.1)));
    Ok(out)
}
