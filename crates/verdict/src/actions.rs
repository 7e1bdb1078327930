//! What the manoeuvres do to the car: specific force, yaw, wind. One [`Drive`] is one instant of one manoeuvre.

use crate::Fault;
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::air::atmosphere::Air;
use mechanics::road::kerb::{Bump, jolt};
use mechanics::road::profile::RoadClass;
use mechanics::road::quarter_car::{Corner, QuarterCar};
use rig::model::{Manoeuvre, Rig, Vertical};

/// Which way a gust blows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gust {
    /// No gust: only the speed's own wind.
    None,
    /// From straight ahead.
    Ahead,
    /// From the left.
    Left,
    /// From the right.
    Right,
}

impl Gust {
    /// In words, empty for none.
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Ahead => "gust from ahead",
            Self::Left => "gust from the left",
            Self::Right => "gust from the right",
        }
    }

    fn blows_towards(self) -> DVec3 {
        match self {
            Self::None => DVec3::ZERO,
            Self::Ahead => -DVec3::X,
            Self::Left => -DVec3::Y,
            Self::Right => DVec3::Y,
        }
    }
}

/// One instant of one manoeuvre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    /// Index into [`Rig::manoeuvres`].
    pub manoeuvre: usize,
    /// The car's vertical acceleration, m/s², up positive.
    pub vertical: f64,
    /// The car's acceleration, vehicle axes, m/s².
    pub acceleration: DVec3,
    /// Gravity in vehicle axes, m/s².
    pub gravity: DVec3,
    /// Yaw rate, rad/s, left positive.
    pub yaw_rate: f64,
    /// Gust.
    pub gust: Gust,
    /// Index into [`Actions::winds`].
    pub wind: usize,
    /// Hardly rolling: the same acceleration without the speed's wind, which may have relieved it.
    pub slow: bool,
}

impl Drive {
    /// Force per mass that the rig feels in the car's frame: gravity less the car's acceleration.
    pub fn body_force(&self) -> DVec3 {
        self.gravity - self.acceleration
    }
}

/// All instants, winds and the air.
#[derive(Clone, Debug, PartialEq)]
pub struct Actions {
    /// Instants.
    pub drives: Vec<Drive>,
    /// Air past the car, m/s, vehicle axes; the first is calm.
    pub winds: Vec<DVec3>,
    /// Air density, kg/m³.
    pub density: f64,
    /// Ambient pressure, Pa.
    pub pressure: f64,
    /// Vertical range of each manoeuvre, m/s²: up and down.
    pub vertical: Vec<(f64, f64)>,
}

/// Index of the calm in [`Actions::winds`].
const CALM: usize = 0;
/// Braking under this, m/s², is steady driving.
const SLOW_CHANGE: f64 = 0.05;

/// Gravity in vehicle axes on a road that climbs by `grade` and is banked left side up by `bank` (rad).
///
/// Uphill pulls rearward, a bank with its left side up pulls to the right:
/// `g (-sin a, -cos a sin b, -cos a cos b)`.
pub fn gravity(grade: f64, bank: f64) -> DVec3 {
    DVec3::new(-grade.sin(), -grade.cos() * bank.sin(), -grade.cos() * bank.cos()) * STANDARD_GRAVITY
}

/// Up and down peaks of the body's vertical acceleration, m/s².
fn vertical_range(rig: &Rig, m: &Manoeuvre) -> Result<(f64, f64), Fault> {
    let ride = &rig.vehicle.ride;
    let corner = Corner {
        sprung_kg: ride.sprung_corner.value,
        unsprung_kg: ride.unsprung_corner.value,
        spring_n_m: ride.spring.value,
        damper_n_s_m: ride.damper.value,
        tyre_n_m: ride.tyre.value,
    };
    let speed = m.speed.value;
    match &m.vertical {
        Vertical::Range(f) => Ok((f.value.abs(), f.value.abs())),
        _ if speed < 0.1 => Ok((0.0, 0.0)),
        Vertical::Road => {
            let class = match rig.site.road {
                'A' => RoadClass::A,
                'B' => RoadClass::B,
                'C' => RoadClass::C,
                'D' => RoadClass::D,
                'E' => RoadClass::E,
                'F' => RoadClass::F,
                'G' => RoadClass::G,
                _ => RoadClass::H,
            };
            let car = QuarterCar::new(corner).map_err(Fault::from_error)?;
            let spectrum = class.road().velocity_psd(speed).map_err(Fault::from_error)?;
            let peak =
                car.ride(spectrum).map_err(Fault::from_error)?.body_m_s2 * rig.policy.peak_factor.value;
            Ok((peak, peak))
        }
        Vertical::Kerb { height, length } => {
            let car = QuarterCar::new(corner).map_err(Fault::from_error)?;
            let bump = Bump::new(height.value, length.value).map_err(Fault::from_error)?;
            let j = jolt(&car, &bump, speed).map_err(Fault::from_error)?;
            Ok((j.up_m_s2.abs(), j.down_m_s2.abs()))
        }
    }
}

impl Actions {
    /// All instants of a rig's manoeuvres: each with the road pushing up and dropping away, and each gust where it blows.
    ///
    /// # Errors
    ///
    /// [`Fault`] where air or ride data cannot be computed with.
    pub fn of(rig: &Rig) -> Result<Self, Fault> {
        let air = Air::with_temperature(rig.site.altitude.value, rig.site.temperature.value)
            .map_err(Fault::from_error)?;
        let mut out = Self {
            drives: Vec::new(),
            winds: vec![DVec3::ZERO], // CALM
            density: air.density_kg_m3(),
            pressure: air.pressure_pa(),
            vertical: Vec::new(),
        };
        for (index, m) in rig.manoeuvres.iter().enumerate() {
            let (up, down) = vertical_range(rig, m)?;
            out.vertical.push((up, down));
            let speed = m.speed.value;
            let yaw_rate = match &m.yaw_rate {
                Some(f) => f.value,
                None if speed > 1.0 => m.left.value / speed,
                None => 0.0,
            };
            let gusts: &[Gust] = if m.gust { &[Gust::Ahead, Gust::Left, Gust::Right] } else { &[Gust::None] };
            for gust in gusts {
                let wind = (-DVec3::X * speed + gust.blows_towards() * rig.site.gust.value)
                    * rig.site.over_roof.value.max(0.0);
                let wind = out.wind(wind);
                let verticals: &[f64] = if up.max(down) > 0.0 { &[up, -down] } else { &[0.0] };
                for vertical in verticals {
                    let drive = Drive {
                        manoeuvre: index,
                        vertical: *vertical,
                        acceleration: DVec3::new(m.forward.value, m.left.value, *vertical),
                        gravity: gravity(m.grade, m.bank),
                        yaw_rate,
                        gust: *gust,
                        wind,
                        slow: false,
                    };
                    out.drives.push(drive);
                    // Braking lasts to a standstill. Pulling away and the wind throw the same way.
                    if m.forward.value < -SLOW_CHANGE && speed > 0.1 && *gust == gusts[0] {
                        out.drives.push(Drive { gust: Gust::None, wind: CALM, slow: true, ..drive });
                    }
                }
            }
        }
        Ok(out)
    }

    fn wind(&mut self, v: DVec3) -> usize {
        if let Some(i) = self.winds.iter().position(|w| (*w - v).length() < 1e-9) {
            i
        } else {
            self.winds.push(v);
            self.winds.len() - 1
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_and_banks_tilt_gravity() {
        let g = STANDARD_GRAVITY;
        assert!((gravity(0.0, 0.0) - DVec3::new(0.0, 0.0, -g)).length() < 1e-12);
        // A 10 % climb pulls rearward, a bank with its left side up pulls right.
        let climb = gravity(0.1_f64.atan(), 0.0);
        assert!(climb.x < 0.0 && (climb.x / climb.z - 0.1).abs() < 1e-12);
        assert!(gravity(0.0, 0.05).y < 0.0);
        assert!((gravity(0.3, -0.4).length() - g).abs() < 1e-12);
    }

    #[test]
    fn braking_is_looked_at_down_to_a_standstill() {
        use crate::testing::{manoeuvre, rig};
        use rig::model::ArmUse;
        let mut rig = rig();
        rig.manoeuvres =
            vec![manoeuvre("stop", -8.0, 0.0, ArmUse::Still), manoeuvre("bend", 0.0, 3.0, ArmUse::Still)];
        let actions = Actions::of(&rig).unwrap();
        let of = |m: usize| actions.drives.iter().filter(move |d| d.manoeuvre == m).collect::<Vec<_>>();
        let (stop, bend) = (of(0), of(1));
        assert_eq!(stop.len(), 2 * bend.len(), "each instant of braking once more without wind");
        let slow: Vec<_> = stop.iter().filter(|d| d.slow).collect();
        assert_eq!(slow.len(), bend.len());
        assert!(slow.iter().all(|d| actions.winds[d.wind] == DVec3::ZERO && d.acceleration.x < -7.9));
        assert!(bend.iter().all(|d| !d.slow));
    }
}
