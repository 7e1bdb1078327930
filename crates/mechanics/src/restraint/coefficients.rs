//! What the standards and the law ask a load to be held against, and friction factors.

/// Accelerations to hold a load against, as multiples of gravity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficients {
    /// Name in the trade.
    pub name: &'static str,
    /// Against sliding or tipping forward (braking), `c_x`.
    pub forward: f64,
    /// Rearward, `c_x`.
    pub rearward: f64,
    /// Sideways against sliding, `c_y`.
    pub sideways: f64,
    /// Sideways against tipping of a load that does not stand by itself, `c_y`; the sliding figure where a source has no
    /// other (only EN 12195-1 has).
    pub sideways_tipping: f64,
    /// Downward share of weight that presses the load on its bed, `c_z`.
    pub down: f64,
    /// Least downward hold as a share of the weight when nothing contains the load.
    pub hold_down: f64,
    /// Capacity that these figures go with.
    pub against: &'static str,
    /// Source, and how well it is known.
    pub source: &'static str,
}

/// EN 12195-1:2010, road.
pub const EN_12195_1: Coefficients = Coefficients {
    name: "EN 12195-1, road, vehicles above 3.5 t",
    forward: 0.8,
    rearward: 0.5,
    sideways: 0.5,
    sideways_tipping: 0.6,
    down: 1.0,
    hold_down: 0.0,
    against: "lashing capacity LC, or standard tension STF over the top",
    source: "EN 12195-1:2010, cl. 4.2, table 2 (secondary copies: IRU slides on prEN 12195-1, Nov 2010)",
};

/// 49 CFR 393.102(a)(1), against breaking strength.
pub const CFR_393_102_BREAKING: Coefficients = Coefficients {
    name: "49 CFR 393.102(a)(1)",
    forward: 0.8,
    rearward: 0.5,
    sideways: 0.5,
    sideways_tipping: 0.5,
    down: 1.0,
    hold_down: 0.2,
    against: "breaking strength",
    source: "49 CFR 393.102(a)(1), (b); applies to commercial vehicles",
};

/// 49 CFR 393.102(a)(2), against the working load limit.
pub const CFR_393_102_WORKING: Coefficients = Coefficients {
    name: "49 CFR 393.102(a)(2)",
    forward: 0.435,
    rearward: 0.5,
    sideways: 0.25,
    sideways_tipping: 0.25,
    down: 1.0,
    hold_down: 0.2,
    against: "working load limit",
    source: "49 CFR 393.102(a)(2), (b); applies to commercial vehicles",
};

/// VDI 2700 sheet 16, vans up to 3.5 t.
pub const VAN_UP_TO_3_5_T: Coefficients = Coefficients {
    name: "VDI 2700 sheet 16, up to 3.5 t",
    forward: 0.8,
    rearward: 0.5,
    sideways: 0.6,
    sideways_tipping: 0.6,
    down: 1.0,
    hold_down: 0.0,
    against: "lashing capacity LC, or standard tension STF over the top",
    source: "VDI 2700 sheet 16 (quoted in a van-equipment manual)",
};

/// VDI 2700 sheet 16, vehicles up to 2.0 t.
pub const CAR_UP_TO_2_T: Coefficients = Coefficients {
    name: "VDI 2700 sheet 16, up to 2.0 t",
    forward: 0.9,
    rearward: 0.5,
    sideways: 0.7,
    sideways_tipping: 0.7,
    down: 1.0,
    hold_down: 0.0,
    against: "lashing capacity LC, or standard tension STF over the top",
    source: "VDI 2700 sheet 16 [from memory, unverified]",
};

/// What this project asks of a rig on a car or light van.
pub const CAR_DEFAULT: Coefficients = Coefficients {
    name: "car or light van, default",
    forward: 1.0,
    rearward: 0.5,
    sideways: 0.7,
    sideways_tipping: 0.7,
    down: 1.0,
    hold_down: 0.2,
    against: "lashing capacity LC, or standard tension STF over the top",
    source: "own choice: tyre-limited braking of a car, side figure of VDI 2700 sheet 16; docs/mechanics.md §3.1",
};

/// All sets.
pub const COEFFICIENT_SETS: [Coefficients; 6] =
    [EN_12195_1, CFR_393_102_BREAKING, CFR_393_102_WORKING, VAN_UP_TO_3_5_T, CAR_UP_TO_2_T, CAR_DEFAULT];

/// Safety factor on blocking and over-the-top straps, forward (EN 12195-1:2010, cl. 5.4).
pub const SAFETY_FORWARD: f64 = 1.25;
/// The same factor, sideways and rearward.
pub const SAFETY_OTHER: f64 = 1.1;
/// Factor on friction with direct lashing, where the load has to move a little first (EN 12195-1:2010, cl. 5.5 [from memory]).
pub const DIRECT_FRICTION: f64 = 0.75;
/// Friction factor to use for a pair that nobody has measured (secondary copy of EN 12195-1).
pub const FRICTION_UNKNOWN: f64 = 0.2;

/// A pair of surfaces and its friction factor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// The pair.
    pub pair: &'static str,
    /// Friction factor.
    pub mu: f64,
}

/// Friction factors of EN 12195-1:2010, annex B [from memory; 0.40 and 0.45 for sawn wood seen in secondary copies].
pub const FRICTION: [Friction; 12] = [
    Friction { pair: "sawn wood on plywood or fabric-base laminate", mu: 0.45 },
    Friction { pair: "sawn wood on grooved aluminium", mu: 0.40 },
    Friction { pair: "sawn wood on steel sheet", mu: 0.40 },
    Friction { pair: "shrink film on laminate", mu: 0.30 },
    Friction { pair: "shrink film on grooved aluminium", mu: 0.30 },
    Friction { pair: "shrink film on steel sheet", mu: 0.30 },
    Friction { pair: "cardboard on cardboard", mu: 0.50 },
    Friction { pair: "steel crate on laminate", mu: 0.45 },
    Friction { pair: "steel crate on grooved aluminium", mu: 0.30 },
    Friction { pair: "steel crate on steel sheet", mu: 0.20 },
    Friction { pair: "rough concrete on wood battens", mu: 0.70 },
    Friction { pair: "anti-slip mat, certified", mu: 0.60 },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_car_default_is_never_below_the_law() {
        for set in COEFFICIENT_SETS {
            assert!(CAR_DEFAULT.forward >= set.forward, "{}", set.name);
            assert!(CAR_DEFAULT.rearward >= set.rearward, "{}", set.name);
            assert!(CAR_DEFAULT.sideways >= set.sideways, "{}", set.name);
            assert!(CAR_DEFAULT.sideways_tipping >= set.sideways_tipping, "{}", set.name);
            assert!(CAR_DEFAULT.hold_down >= set.hold_down, "{}", set.name);
        }
        assert!(FRICTION.iter().all(|f| f.mu >= FRICTION_UNKNOWN));
    }
}
