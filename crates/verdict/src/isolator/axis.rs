//! Natural frequency and damping of an isolator along each axis, as stated or from its spring and pivot.

use crate::Fault;
use mechanics::STANDARD_GRAVITY;
use mechanics::air::atmosphere::Air;
use mechanics::shaking::oscillator::Oscillator;
use mechanics::shaking::spring::{AirSpring, Lever, QUICK, SLOW};
use mechanics::shaking::swing::{Swing, box_gyration_m};
use rig::Fact;
use rig::isolator::{Spring, Unit};
use rig::model::{Arm, Payload, Rig};

/// A value and the range it may lie in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Lowest.
    pub low: f64,
    /// Likeliest.
    pub value: f64,
    /// Highest.
    pub high: f64,
}

impl Spread {
    pub(crate) fn of(fact: &Fact) -> Self {
        Self { low: fact.low, value: fact.value, high: fact.high }
    }

    /// Whether it is a range at all.
    pub fn is_range(&self) -> bool {
        self.high - self.low > 1e-9 * self.high.abs()
    }
}

/// Damping of an isolator that nobody has measured: common practice, no source.
pub const UNKNOWN_DAMPING: Spread = Spread { low: 0.05, value: 0.15, high: 0.4 };
/// Damping of a swing that nobody has measured: common practice, no source.
pub const UNKNOWN_SWING_DAMPING: Spread = Spread { low: 0.02, value: 0.05, high: 0.3 };

/// Where a frequency comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// Measured, the file states it.
    Stated,
    /// From the spring.
    Spring,
    /// A payload that hangs and swings.
    Swing,
    /// Nothing gives it.
    Unknown,
}

/// One axis of an isolator.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// In words.
    pub name: &'static str,
    /// Natural frequency, Hz; none where nothing gives it.
    pub frequency: Option<Spread>,
    /// Where that comes from.
    pub by: By,
    /// What spring or swing give, beside a stated frequency.
    pub beside: Option<Spread>,
    /// Damping ratio.
    pub damping: Spread,
    /// Whether the damping is stated.
    pub damping_known: bool,
    /// Key of the damping in the rig file.
    pub damping_key: &'static str,
    /// Pivot over the mass centre and radius of gyration, m, where the payload swings.
    pub pendulum: Option<(f64, f64)>,
}

/// The three axes: up and down, fore and aft, sideways (of the boom's heading).
pub(crate) fn axes(rig: &Rig, arm: &Arm) -> Result<[Axis; 3], Fault> {
    let unit = &arm.isolator.unit;
    let spring = from_spring(rig, arm)?;
    let (frequency, by) = match (&arm.isolator.frequency, spring) {
        (Some(f), _) => (Some(Spread::of(f)), By::Stated),
        (None, Some(s)) => (Some(s), By::Spring),
        (None, None) => (None, By::Unknown),
    };
    let beside = spring.filter(|_| by == By::Stated);
    let up = Axis {
        name: "up and down",
        frequency,
        by,
        beside,
        damping: damping(unit, 0, UNKNOWN_DAMPING),
        damping_known: known(unit, 0),
        damping_key: "isolator.damping",
        pendulum: None,
    };
    Ok([up, side(arm, 0)?, side(arm, 1)?])
}

fn known(unit: &Unit, axis: usize) -> bool {
    unit.damping.get(axis).is_some_and(Option::is_some)
}

fn damping(unit: &Unit, axis: usize, unknown: Spread) -> Spread {
    unit.damping.get(axis).and_then(Option::as_ref).map_or(unknown, Spread::of)
}

fn side(arm: &Arm, which: usize) -> Result<Axis, Fault> {
    let unit = &arm.isolator.unit;
    let hung = pendulum(arm, which)?;
    let swing = hung.map(|(_, _, f)| f);
    let stated = unit.sideways.get(which).and_then(Option::as_ref).map(Spread::of);
    let (frequency, by) = match (stated, swing) {
        (Some(f), _) => (Some(f), By::Stated),
        (None, Some(f)) => (Some(f), By::Swing),
        (None, None) => (None, By::Unknown),
    };
    let unknown = if hung.is_some() { UNKNOWN_SWING_DAMPING } else { UNKNOWN_DAMPING };
    Ok(Axis {
        name: if which == 0 { "fore and aft" } else { "sideways" },
        frequency,
        by,
        beside: swing.filter(|_| by == By::Stated),
        damping: damping(unit, which + 1, unknown),
        damping_known: known(unit, which + 1),
        damping_key: if which == 0 { "isolator.damping_fore_aft" } else { "isolator.damping_sideways" },
        pendulum: hung.map(|(l, rho, _)| (l, rho)),
    })
}

/// Length, width and height of a payload from its face areas, where its size is stated.
pub(crate) fn payload_size(payload: &Payload) -> Option<[f64; 3]> {
    let a = payload.drag.as_ref()?.areas;
    let size = [(a.y * a.z / a.x).sqrt(), (a.x * a.z / a.y).sqrt(), (a.x * a.y / a.z).sqrt()];
    size.iter().all(|s| s.is_finite()).then_some(size)
}

/// Pivot over the mass centre, radius of gyration and frequency of the swing along one axis; none where there is no pivot.
fn pendulum(arm: &Arm, which: usize) -> Result<Option<(f64, f64, Spread)>, Fault> {
    let Some(pivot) = &arm.isolator.unit.pivot else { return Ok(None) };
    let length = -arm.payload.centre.z - pivot.value;
    let frequency = |rho: f64| {
        Swing::new(length, rho, 0.0).map(|s| s.frequency_hz()).map_err(|_| Fault {
            what: "the payload's centre is not under the isolator's pivot, so it does not hang: tape `pivot` and \
                   payload `centre` again"
                .to_owned(),
        })
    };
    Ok(Some(match payload_size(&arm.payload) {
        Some([l, w, h]) => {
            let rho = box_gyration_m(if which == 0 { l } else { w }, h);
            let f = frequency(rho)?;
            (length, rho, Spread { low: f, value: f, high: f })
        }
        // Without a size: from a point to a payload as wide as it hangs.
        None => (
            length,
            0.5 * length,
            Spread { low: frequency(length)?, value: frequency(0.5 * length)?, high: frequency(0.0)? },
        ),
    }))
}

/// Lever of a unit.
pub(crate) fn lever(unit: &Unit) -> Result<Lever, Fault> {
    let count = f64::from(u32::try_from(unit.spring_count()).unwrap_or(u32::MAX));
    match &unit.lever {
        Some((spring, payload)) => Lever::new(count, spring.value, payload.value),
        None => Lever::none(count),
    }
    .map_err(Fault::from_error)
}

/// Ambient pressure at the site, Pa.
pub(crate) fn outside_pa(rig: &Rig) -> Result<f64, Fault> {
    Air::with_temperature(rig.site.altitude.value, rig.site.temperature.value)
        .map(|a| a.pressure_pa())
        .map_err(Fault::from_error)
}

/// Natural frequency of the payload on its springs: the range over the facts' ranges, air from slow to quick.
fn from_spring(rig: &Rig, arm: &Arm) -> Result<Option<Spread>, Fault> {
    let unit = &arm.isolator.unit;
    let lever = lever(unit)?;
    let mass = arm.payload.mass.value;
    let hz =
        |each: f64| Oscillator::natural_hz(lever.rate_at_payload_n_m(each), mass).map_err(Fault::from_error);
    match &unit.spring {
        None => Ok(None),
        Some(Spring::Coil(c)) => {
            Ok(Some(Spread { low: hz(c.rate.low)?, value: hz(c.rate.value)?, high: hz(c.rate.high)? }))
        }
        Some(Spring::Air(a)) => {
            let outside = outside_pa(rig)?;
            let load = lever.load_on_each_n(mass * STANDARD_GRAVITY);
            let rate = |area: f64, volume: f64, n: f64| {
                let s = AirSpring::new(area, volume).map_err(Fault::from_error)?;
                hz(s.rate_n_m(s.gauge_pa(load) + outside, n).map_err(Fault::from_error)?)
            };
            // A larger area and less air are stiffer.
            Ok(Some(Spread {
                low: rate(a.area.low, a.volume.high, SLOW)?,
                value: rate(a.area.value, a.volume.value, QUICK)?,
                high: rate(a.area.high, a.volume.low, QUICK)?,
            }))
        }
    }
}
