//! The motions the drives can make (`docs/mechanics.md` §3.4.5).

use super::dynamics::{Accelerations, Rates};
use super::error::{ArmError, not_negative, positive};

/// What the drives can do. A rate of zero means that the axis is locked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DriveLimits {
    /// Full pan rate, rad/s.
    pub pan_rate_rps: f64,
    /// Pan acceleration when starting and stopping, rad/s².
    pub pan_acc_rps2: f64,
    /// Pan deceleration of an emergency stop, rad/s².
    pub pan_stop_rps2: f64,
    /// Full tilt rate, rad/s.
    pub tilt_rate_rps: f64,
    /// Tilt acceleration when starting and stopping, rad/s².
    pub tilt_acc_rps2: f64,
    /// Tilt deceleration of an emergency stop, rad/s².
    pub tilt_stop_rps2: f64,
}

/// The phase of a motion.
#[derive(Clone, Copy, Debug, Eq, Hash, PartialEq)]
pub enum MotionKind {
    /// Nothing moves.
    Still,
    /// Full rate, no acceleration.
    Steady,
    /// From rest, full acceleration.
    Starting,
    /// Full rate just reached, still accelerating.
    ReachingSpeed,
    /// Full rate, braking.
    Stopping,
    /// Full rate, emergency stop.
    EmergencyStop,
}

/// One motion of the arm relative to the car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Plain name: "pan left, starting".
    pub name: &'static str,
    /// Phase.
    pub kind: MotionKind,
    /// Rates at the instant.
    pub rates: Rates,
    /// Accelerations at the instant.
    pub accelerations: Accelerations,
}

/// One phase of one axis: kind, names in the positive and the negative direction.
type Phase = (MotionKind, [&'static str; 2]);

const PAN: [Phase; 5] = [
    (MotionKind::Steady, ["pan left, steady", "pan right, steady"]),
    (MotionKind::Starting, ["pan left, starting", "pan right, starting"]),
    (MotionKind::ReachingSpeed, ["pan left, reaching speed", "pan right, reaching speed"]),
    (MotionKind::Stopping, ["pan left, stopping", "pan right, stopping"]),
    (MotionKind::EmergencyStop, ["pan left, emergency stop", "pan right, emergency stop"]),
];

const TILT: [Phase; 5] = [
    (MotionKind::Steady, ["boom up, steady", "boom down, steady"]),
    (MotionKind::Starting, ["boom up, starting", "boom down, starting"]),
    (MotionKind::ReachingSpeed, ["boom up, reaching speed", "boom down, reaching speed"]),
    (MotionKind::Stopping, ["boom up, stopping", "boom down, stopping"]),
    (MotionKind::EmergencyStop, ["boom up, emergency stop", "boom down, emergency stop"]),
];

const BOTH: [(MotionKind, [[&str; 2]; 2]); 2] = [
    (
        MotionKind::Steady,
        [
            ["pan left and boom up, steady", "pan left and boom down, steady"],
            ["pan right and boom up, steady", "pan right and boom down, steady"],
        ],
    ),
    (
        MotionKind::EmergencyStop,
        [
            ["pan left and boom up, emergency stop", "pan left and boom down, emergency stop"],
            ["pan right and boom up, emergency stop", "pan right and boom down, emergency stop"],
        ],
    ),
];

/// The two directions of an axis, in the order of the names.
const DIRECTIONS: [f64; 2] = [1.0, -1.0];

impl DriveLimits {
    /// The limits, if they make sense: no negative number; an axis that moves must also start and stop.
    ///
    /// # Errors
    ///
    /// [`ArmError`] that names the first number at fault.
    pub fn checked(self) -> Result<Self, ArmError> {
        if not_negative("pan rate", self.pan_rate_rps)? > 0.0 {
            positive("pan acceleration", self.pan_acc_rps2)?;
            positive("pan emergency stop", self.pan_stop_rps2)?;
        }
        if not_negative("tilt rate", self.tilt_rate_rps)? > 0.0 {
            positive("tilt acceleration", self.tilt_acc_rps2)?;
            positive("tilt emergency stop", self.tilt_stop_rps2)?;
        }
        Ok(self)
    }

    /// All motions of these drives, "still" first: each axis in both directions through its phases, then both
    /// axes together steady (the Coriolis terms) and in an emergency stop. A locked axis has no motions.
    ///
    /// # Errors
    ///
    /// [`ArmError`] as from [`DriveLimits::checked`].
    pub fn motions(self) -> Result<Vec<Motion>, ArmError> {
        self.checked()?;
        let still = Motion {
            name: "still",
            kind: MotionKind::Still,
            rates: Rates::default(),
            accelerations: Accelerations::default(),
        };
        let (pans, tilts) = (self.pan_rate_rps > 0.0, self.tilt_rate_rps > 0.0);
        let mut all = vec![still];
        if pans {
            for (kind, names) in PAN {
                for (name, way) in names.into_iter().zip(DIRECTIONS) {
                    all.push(self.motion(name, kind, way, 0.0));
                }
            }
        }
        if tilts {
            for (kind, names) in TILT {
                for (name, way) in names.into_iter().zip(DIRECTIONS) {
                    all.push(self.motion(name, kind, 0.0, way));
                }
            }
        }
        if pans && tilts {
            for (kind, names) in BOTH {
                for (row, pan_way) in names.into_iter().zip(DIRECTIONS) {
                    for (name, tilt_way) in row.into_iter().zip(DIRECTIONS) {
                        all.push(self.motion(name, kind, pan_way, tilt_way));
                    }
                }
            }
        }
        Ok(all)
    }

    /// One motion; a direction of zero leaves that axis still.
    fn motion(self, name: &'static str, kind: MotionKind, pan_way: f64, tilt_way: f64) -> Motion {
        let axis = |way: f64, rate: f64, acc: f64, stop: f64| {
            let (rate, acc) = match kind {
                MotionKind::Still => (0.0, 0.0),
                MotionKind::Steady => (rate, 0.0),
                MotionKind::Starting => (0.0, acc),
                MotionKind::ReachingSpeed => (rate, acc),
                MotionKind::Stopping => (rate, -acc),
                MotionKind::EmergencyStop => (rate, -stop),
            };
            // A locked axis may carry no figures at all: never let them into the product.
            if way == 0.0 { (0.0, 0.0) } else { (way * rate, way * acc) }
        };
        let (pan_rps, pan_rps2) = axis(pan_way, self.pan_rate_rps, self.pan_acc_rps2, self.pan_stop_rps2);
        let (tilt_rps, tilt_rps2) =
            axis(tilt_way, self.tilt_rate_rps, self.tilt_acc_rps2, self.tilt_stop_rps2);
        Motion {
            name,
            kind,
            rates: Rates { pan_rps, tilt_rps },
            accelerations: Accelerations { pan_rps2, tilt_rps2 },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const LIMITS: DriveLimits = DriveLimits {
        pan_rate_rps: 1.2,
        pan_acc_rps2: 0.8,
        pan_stop_rps2: 2.5,
        tilt_rate_rps: 0.6,
        tilt_acc_rps2: 0.5,
        tilt_stop_rps2: 1.5,
    };

    fn numbers(m: &Motion) -> [f64; 4] {
        [m.rates.pan_rps, m.rates.tilt_rps, m.accelerations.pan_rps2, m.accelerations.tilt_rps2]
    }

    #[test]
    fn the_list_is_complete_and_each_name_means_what_it_says() {
        let all = LIMITS.motions().unwrap();
        assert_eq!(all.len(), 29);
        assert_eq!(all.iter().map(|m| m.name).collect::<BTreeSet<_>>().len(), 29);
        let of = |name: &str| numbers(all.iter().find(|m| m.name == name).unwrap());
        let expected = [
            ("still", [0.0, 0.0, 0.0, 0.0]),
            ("pan left, steady", [1.2, 0.0, 0.0, 0.0]),
            ("pan right, starting", [0.0, 0.0, -0.8, 0.0]),
            ("pan left, reaching speed", [1.2, 0.0, 0.8, 0.0]),
            ("pan right, stopping", [-1.2, 0.0, 0.8, 0.0]),
            ("pan left, emergency stop", [1.2, 0.0, -2.5, 0.0]),
            ("boom up, starting", [0.0, 0.0, 0.0, 0.5]),
            ("boom down, stopping", [0.0, -0.6, 0.0, 0.5]),
            ("boom up, emergency stop", [0.0, 0.6, 0.0, -1.5]),
            ("pan right and boom up, steady", [-1.2, 0.6, 0.0, 0.0]),
            ("pan left and boom down, emergency stop", [1.2, -0.6, -2.5, 1.5]),
        ];
        for (name, want) in expected {
            let got = of(name);
            assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-15), "{name}: {got:?}");
        }
    }

    #[test]
    fn names_agree_with_signs() {
        for m in LIMITS.motions().unwrap() {
            let [pan, tilt, pan_acc, tilt_acc] = numbers(&m);
            let sign = |rate: f64, acc: f64| if rate == 0.0 { acc } else { rate };
            assert_eq!(m.name.contains("left"), sign(pan, pan_acc) > 0.0, "{}", m.name);
            assert_eq!(m.name.contains("right"), sign(pan, pan_acc) < 0.0, "{}", m.name);
            assert_eq!(m.name.contains("up,"), sign(tilt, tilt_acc) > 0.0, "{}", m.name);
            assert_eq!(m.name.contains("down"), sign(tilt, tilt_acc) < 0.0, "{}", m.name);
            if m.name.contains("stop") {
                assert!(pan * pan_acc + tilt * tilt_acc < 0.0, "{}", m.name);
            }
        }
    }

    #[test]
    fn a_locked_axis_has_no_motions() {
        let no_tilt = DriveLimits { tilt_rate_rps: 0.0, tilt_acc_rps2: f64::NAN, ..LIMITS };
        let all = no_tilt.motions().unwrap();
        assert_eq!(all.len(), 11);
        assert!(all.iter().all(|m| numbers(m).iter().all(|n| n.is_finite()) && !m.name.contains("boom")));
        let locked = DriveLimits { pan_rate_rps: 0.0, ..no_tilt };
        assert_eq!(locked.motions().unwrap().len(), 1);
    }

    #[test]
    fn nonsense_is_refused() {
        for bad in [
            DriveLimits { pan_rate_rps: -1.0, ..LIMITS },
            DriveLimits { pan_acc_rps2: 0.0, ..LIMITS },
            DriveLimits { pan_stop_rps2: f64::NAN, ..LIMITS },
            DriveLimits { tilt_rate_rps: f64::INFINITY, ..LIMITS },
            DriveLimits { tilt_acc_rps2: -0.1, ..LIMITS },
            DriveLimits { tilt_stop_rps2: 0.0, ..LIMITS },
        ] {
            assert!(bad.motions().is_err());
        }
    }
}
