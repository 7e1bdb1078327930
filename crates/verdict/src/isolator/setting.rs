//! How the spring is to be set for this payload.

use super::axis::{lever, outside_pa};
use crate::Fault;
use mechanics::STANDARD_GRAVITY;
use mechanics::shaking::spring::{AirSpring, QUICK, SLOW};
use rig::isolator::{Air, Coil, Spring};
use rig::model::{Arm, Rig};

/// The setting of a spring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Setting {
    /// A coil spring.
    Coil(CoilSetting),
    /// An air spring.
    Air(AirSetting),
}

/// A coil spring under this payload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilSetting {
    /// Load on each spring, N.
    pub load_n: f64,
    /// Rate that the payload meets, N/m.
    pub rate_at_payload_n_m: f64,
    /// How much each spring gives from its free length, m.
    pub gives_m: f64,
    /// Length of each spring then, m, where the free length is known.
    pub length_m: Option<f64>,
    /// Way of the payload down to turns that touch, m, where both lengths are known.
    pub to_solid_m: Option<f64>,
    /// As it is set now.
    pub set: Option<CoilNow>,
}

/// A coil spring as it is set now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilNow {
    /// Length between its seats, payload in mid travel, m.
    pub length_m: f64,
    /// Payload that floats in mid travel with that, kg.
    pub carries_kg: f64,
    /// How much nearer the seats must come for this payload, m; negative is apart.
    pub closer_m: f64,
}

/// An air spring under this payload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirSetting {
    /// Load on each spring, N.
    pub load_n: f64,
    /// What its gauge must read, Pa over the air outside.
    pub gauge_pa: f64,
    /// Air outside at the site, Pa.
    pub outside_pa: f64,
    /// More for each kilogram of payload, Pa/kg.
    pub per_kg_pa: f64,
    /// Change of the reading for 10 K of the shut-in air, Pa.
    pub per_10_k_pa: f64,
    /// Rate that the payload meets, slow and quick, N/m.
    pub rate_at_payload_n_m: (f64, f64),
    /// What its gauge reads now, Pa, and the payload that it carries, kg.
    pub now: Option<(f64, f64)>,
    /// Most that it may read, Pa, and the payload that it then carries, kg.
    pub greatest: Option<(f64, f64)>,
}

/// The setting, where a spring is described.
pub(crate) fn setting(rig: &Rig, arm: &Arm) -> Result<Option<Setting>, Fault> {
    Ok(match &arm.isolator.unit.spring {
        None => None,
        Some(Spring::Coil(c)) => Some(Setting::Coil(coil(arm, c)?)),
        Some(Spring::Air(a)) => Some(Setting::Air(air(rig, arm, a)?)),
    })
}

fn coil(arm: &Arm, c: &Coil) -> Result<CoilSetting, Fault> {
    let lever = lever(&arm.isolator.unit)?;
    let load_n = lever.load_on_each_n(arm.payload.mass.value * STANDARD_GRAVITY);
    let gives_m = load_n / c.rate.value;
    let free = c.free_length.as_ref().map(|f| f.value);
    let length_m = free.map(|f| f - gives_m);
    let to_solid_m = length_m.zip(c.solid_length.as_ref()).map(|(l, s)| (l - s.value) / lever.ratio());
    let set = c.set_length.as_ref().zip(free).map(|(s, free)| {
        let carried_n = (free - s.value) * c.rate.value;
        CoilNow {
            length_m: s.value,
            // A weight of 1 N at the payload loads each spring by load_on_each_n(1).
            carries_kg: carried_n / lever.load_on_each_n(STANDARD_GRAVITY),
            closer_m: s.value - (free - gives_m),
        }
    });
    Ok(CoilSetting {
        load_n,
        rate_at_payload_n_m: lever.rate_at_payload_n_m(c.rate.value),
        gives_m,
        length_m,
        to_solid_m,
        set,
    })
}

fn air(rig: &Rig, arm: &Arm, a: &Air) -> Result<AirSetting, Fault> {
    let lever = lever(&arm.isolator.unit)?;
    let spring = AirSpring::new(a.area.value, a.volume.value).map_err(Fault::from_error)?;
    let outside = outside_pa(rig)?;
    let load_n = lever.load_on_each_n(arm.payload.mass.value * STANDARD_GRAVITY);
    let gauge_pa = spring.gauge_pa(load_n);
    let inside = gauge_pa + outside;
    let rate =
        |n: f64| spring.rate_n_m(inside, n).map(|k| lever.rate_at_payload_n_m(k)).map_err(Fault::from_error);
    let per_kg_pa = spring.gauge_pa(lever.load_on_each_n(STANDARD_GRAVITY));
    let carries = |pa: f64| (pa, pa / per_kg_pa);
    Ok(AirSetting {
        load_n,
        gauge_pa,
        outside_pa: outside,
        per_kg_pa,
        per_10_k_pa: 10.0
            * AirSpring::warming_pa_k(inside, rig.site.temperature.value).map_err(Fault::from_error)?,
        rate_at_payload_n_m: (rate(SLOW)?, rate(QUICK)?),
        now: a.pressure.as_ref().map(|p| carries(p.value)),
        greatest: a.greatest_pressure.as_ref().map(|p| carries(p.value)),
    })
}
