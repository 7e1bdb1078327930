//! Three ready vehicles for trying things out, from open data; a real job uses the vehicle's own plate and weighing slip.

use super::VehicleError;
use super::loads::{Chassis, PointMass, checked};
use super::stability::{AxleRoll, roll_rate_rad_g, roll_stiffness};
use crate::STANDARD_GRAVITY;
use crate::road::quarter_car::Corner;
use glam::DVec3;

/// Measured parameters of one vehicle, empty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VehicleSet {
    /// Body type.
    pub name: &'static str,
    /// Where the numbers come from.
    pub source: &'static str,
    /// Whole mass, kg.
    pub mass_kg: f64,
    /// Body mass on the springs, kg.
    pub sprung_kg: f64,
    /// Front axle with its wheels, kg.
    pub unsprung_front_kg: f64,
    /// Rear axle with its wheels, kg.
    pub unsprung_rear_kg: f64,
    /// Mass centre behind the front axle, m.
    pub front_to_centre_m: f64,
    /// Rear axle behind the mass centre, m.
    pub centre_to_rear_m: f64,
    /// Front track, m.
    pub track_front_m: f64,
    /// Rear track, m.
    pub track_rear_m: f64,
    /// Height of the mass centre, m.
    pub height_m: f64,
    /// Height of the body's mass centre, m.
    pub sprung_height_m: f64,
    /// Yaw inertia of the vehicle, kg m².
    pub yaw_inertia_kg_m2: f64,
    /// Pitch inertia of the body, kg m².
    pub pitch_inertia_kg_m2: f64,
    /// Roll inertia of the body, kg m².
    pub roll_inertia_kg_m2: f64,
    /// Front spring rate at one wheel, N/m.
    pub spring_front_n_m: f64,
    /// Rear spring rate at one wheel, N/m.
    pub spring_rear_n_m: f64,
    /// Front damper rate at one wheel, N s/m.
    pub damper_front_n_s_m: f64,
    /// Rear damper rate at one wheel, N s/m.
    pub damper_rear_n_s_m: f64,
    /// Front anti-roll bar, N m/rad (the source counts it negative).
    pub bar_front_n_m_rad: f64,
    /// Rear anti-roll bar, N m/rad.
    pub bar_rear_n_m_rad: f64,
    /// Vertical rate of one tyre, N/m.
    pub tyre_n_m: f64,
    /// Length over all, m.
    pub length_m: f64,
    /// Width over all, m.
    pub width_m: f64,
}

const SOURCE: &str = "commonroad-vehicle-models 3.0.2 (open data)";

/// Compact car.
pub const COMPACT: VehicleSet = VehicleSet {
    name: "compact hatchback-size car",
    source: SOURCE,
    mass_kg: 1225.888,
    sprung_kg: 1094.543,
    unsprung_front_kg: 65.673,
    unsprung_rear_kg: 65.673,
    front_to_centre_m: 0.883_92,
    centre_to_rear_m: 1.508_76,
    track_front_m: 1.389_888,
    track_rear_m: 1.423_416,
    height_m: 0.557_784,
    sprung_height_m: 0.594_36,
    yaw_inertia_kg_m2: 1538.85,
    pitch_inertia_kg_m2: 1342.26,
    roll_inertia_kg_m2: 244.05,
    spring_front_n_m: 21_898.0,
    spring_rear_n_m: 21_898.0,
    damper_front_n_s_m: 1_459.0,
    damper_rear_n_s_m: 1_459.0,
    bar_front_n_m_rad: 12_880.0,
    bar_rear_n_m_rad: 0.0,
    tyre_n_m: 189_786.0,
    length_m: 4.298,
    width_m: 1.674,
};

/// Saloon.
pub const SALOON: VehicleSet = VehicleSet {
    name: "saloon",
    source: SOURCE,
    mass_kg: 1093.295,
    sprung_kg: 965.711,
    unsprung_front_kg: 63.792,
    unsprung_rear_kg: 63.792,
    front_to_centre_m: 1.156_196,
    centre_to_rear_m: 1.422_717,
    track_front_m: 1.386_84,
    track_rear_m: 1.363_98,
    height_m: 0.574_869,
    sprung_height_m: 0.613_73,
    yaw_inertia_kg_m2: 1791.60,
    pitch_inertia_kg_m2: 1565.82,
    roll_inertia_kg_m2: 207.27,
    spring_front_n_m: 24_453.0,
    spring_rear_n_m: 19_636.0,
    damper_front_n_s_m: 1_786.0,
    damper_rear_n_s_m: 1_649.0,
    bar_front_n_m_rad: 6_915.0,
    bar_rear_n_m_rad: 2_644.0,
    tyre_n_m: 158_294.0,
    length_m: 4.508,
    width_m: 1.610,
};

/// Van.
pub const VAN: VehicleSet = VehicleSet {
    name: "van",
    source: SOURCE,
    mass_kg: 1478.898,
    sprung_kg: 1316.609,
    unsprung_front_kg: 81.144,
    unsprung_rear_kg: 81.144,
    front_to_centre_m: 1.150_792,
    centre_to_rear_m: 1.321_136,
    track_front_m: 1.574_292,
    track_rear_m: 1.543_812,
    height_m: 0.747_817,
    sprung_height_m: 0.804_49,
    yaw_inertia_kg_m2: 2473.12,
    pitch_inertia_kg_m2: 2204.32,
    roll_inertia_kg_m2: 479.88,
    spring_front_n_m: 33_577.0,
    spring_rear_n_m: 39_125.0,
    damper_front_n_s_m: 2_406.0,
    damper_rear_n_s_m: 2_770.0,
    bar_front_n_m_rad: 33_948.0,
    bar_rear_n_m_rad: 7_731.0,
    tyre_n_m: 212_642.0,
    length_m: 4.569,
    width_m: 1.844,
};

/// All sets.
pub const SETS: [VehicleSet; 3] = [COMPACT, SALOON, VAN];

impl VehicleSet {
    /// Empty vehicle as one mass, mass centre on the centreline.
    pub fn empty(&self) -> PointMass {
        PointMass { mass_kg: self.mass_kg, at_m: DVec3::new(-self.front_to_centre_m, 0.0, self.height_m) }
    }

    /// Wheelbase and tracks.
    ///
    /// # Errors
    ///
    /// [`VehicleError::OutOfRange`] when a length of the set is no vehicle's.
    pub fn chassis(&self) -> Result<Chassis, VehicleError> {
        Chassis::new(self.front_to_centre_m + self.centre_to_rear_m, self.track_front_m, self.track_rear_m)
    }

    /// Front and rear springs and bars against roll.
    pub fn axles(&self) -> (AxleRoll, AxleRoll) {
        let front = AxleRoll {
            spring_n_m: self.spring_front_n_m,
            track_m: self.track_front_m,
            bar_n_m_rad: self.bar_front_n_m_rad,
        };
        let rear = AxleRoll {
            spring_n_m: self.spring_rear_n_m,
            track_m: self.track_rear_m,
            bar_n_m_rad: self.bar_rear_n_m_rad,
        };
        (front, rear)
    }

    /// Roll of the body per g of side acceleration with `load` on the body, rad/g, about a roll axis on the ground.
    ///
    /// A roll axis on the ground gives the longest arm, so the most roll. See [`roll_rate_rad_g`].
    ///
    /// # Errors
    ///
    /// [`VehicleError::OutOfRange`] or [`VehicleError::FallsOver`].
    pub fn roll_rate_rad_g(&self, load: &[PointMass]) -> Result<f64, VehicleError> {
        let mut moment = self.sprung_kg * self.sprung_height_m;
        for part in load {
            moment += checked(part)? * part.at_m.z;
        }
        let (front, rear) = self.axles();
        roll_rate_rad_g(moment * STANDARD_GRAVITY, roll_stiffness(&front, &rear)?)
    }

    /// Front corner as a quarter car: half of the body mass that the front axle carries, half of the axle.
    ///
    /// The body's share is taken by its own mass centre: `x_s = (m x - m_ur L) / m_s` behind the front axle.
    pub fn front_corner(&self) -> Corner {
        let wheelbase = self.front_to_centre_m + self.centre_to_rear_m;
        let behind =
            (self.mass_kg * self.front_to_centre_m - self.unsprung_rear_kg * wheelbase) / self.sprung_kg;
        Corner {
            sprung_kg: 0.5 * self.sprung_kg * (1.0 - behind / wheelbase),
            unsprung_kg: 0.5 * self.unsprung_front_kg,
            spring_n_m: self.spring_front_n_m,
            damper_n_s_m: self.damper_front_n_s_m,
            tyre_n_m: self.tyre_n_m,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vehicle::loads::{Motion, ground_loads};

    #[test]
    fn masses_of_a_set_add_up() {
        for set in SETS {
            let sum = set.sprung_kg + set.unsprung_front_kg + set.unsprung_rear_kg;
            // Printed to a gram.
            assert!((sum - set.mass_kg).abs() < 2e-3, "{}", set.name);
        }
    }

    #[test]
    fn corner_and_axle_share_the_same_weight() {
        for set in SETS {
            let corner = set.front_corner();
            let loads = ground_loads(&set.empty(), &set.chassis().unwrap(), &Motion::default()).unwrap();
            let front = 2.0 * (corner.sprung_kg + corner.unsprung_kg) * STANDARD_GRAVITY;
            // The set's own masses close to 2 g.
            assert!(
                (front - loads.front_n).abs() < 0.05,
                "{}: {front} N against {}",
                set.name,
                loads.front_n
            );
        }
    }

    #[test]
    fn a_load_on_the_roof_rolls_the_body_further() {
        let rig = PointMass { mass_kg: 120.0, at_m: DVec3::new(-1.0, 0.0, 2.0) };
        for set in SETS {
            assert!(set.roll_rate_rad_g(&[rig]).unwrap() > set.roll_rate_rad_g(&[]).unwrap());
        }
        let nothing = PointMass { mass_kg: -1.0, ..rig };
        assert!(VAN.roll_rate_rad_g(&[nothing]).is_err());
        let absurd = PointMass { mass_kg: 5e3, at_m: DVec3::new(-1.0, 0.0, 3.0) };
        assert!(matches!(COMPACT.roll_rate_rad_g(&[absurd]), Err(VehicleError::FallsOver { .. })));
    }
}
