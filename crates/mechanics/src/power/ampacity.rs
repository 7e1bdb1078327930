//! How much current a cable may carry without growing too hot.

use super::{PowerError, positive};

/// DIN VDE 0298-4:2023, table 11, column 5: flexible cables with two or three loaded cores on a surface, 30 °C around them and
/// 70 °C in the conductor, mm² and A (looked up in a copy). 0.5 mm² is not in it: 3 A of the older edition, column 3.
const TABLE: &[(f64, f64)] = &[
    (0.5, 3.0),
    (0.75, 12.0),
    (1.0, 15.0),
    (1.5, 18.0),
    (2.5, 26.0),
    (4.0, 34.0),
    (6.0, 44.0),
    (10.0, 61.0),
    (16.0, 82.0),
    (25.0, 108.0),
    (35.0, 135.0),
    (50.0, 168.0),
    (70.0, 207.0),
    (95.0, 250.0),
    (120.0, 292.0),
];

/// Factor for loaded cables that lie together: IEC 60364-5-52, table B.52.17, first row [from memory].
const TOGETHER: &[(usize, f64)] = &[
    (1, 1.0),
    (2, 0.80),
    (3, 0.70),
    (4, 0.65),
    (5, 0.60),
    (6, 0.57),
    (9, 0.50),
    (12, 0.45),
    (16, 0.41),
    (20, 0.38),
];

/// What is around a cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surroundings {
    /// Air around it, K.
    pub air_k: f64,
    /// What its insulation bears, K.
    pub insulation_k: f64,
    /// Loaded cables that lie together, itself counted.
    pub together: usize,
}

/// Current that a cable of two loaded cores may carry for good, A.
///
/// ```text
/// I = I(table) sqrt((Ti - Ta) / (70 - 30)) sqrt((234.5 + 70) / (234.5 + Ti)) k          °C
/// ```
///
/// Heat made, `I² R(Ti)`, goes with the difference of temperature to the air; a size between two of the table (a wire gauge) lies on
/// the power law through both. Under the smallest size there is no value; over the largest, that of the largest.
///
/// # Assumes
///
/// Still air, on a surface, not coiled: on a drum or under a carpet it is far less.
///
/// # Source
///
/// DIN VDE 0298-4 table 11; the square root is IEC 60364-5-52 B.52's rule for other air. `docs/mechanics.md` §16.4.
///
/// # Errors
///
/// [`PowerError`] for a size under the table, or insulation that is no warmer than the air.
pub fn current_a(area_m2: f64, around: &Surroundings) -> Result<f64, PowerError> {
    let area = positive("conductor size", area_m2)? * 1e6;
    let spare = positive("insulation's temperature over the air's", around.insulation_k - around.air_k)?;
    let together = TOGETHER.iter().take_while(|t| t.0 < around.together).count();
    // Between two rows the stricter one; past the last one the rule of 1 over the root of the number.
    let k = match TOGETHER.get(together) {
        Some(t) => t.1,
        None => 1.7 / count(around.together).sqrt(),
    };
    let hot = (234.5 + 70.0) / positive("insulation temperature", around.insulation_k - 273.15 + 234.5)?;
    Ok(table(area)? * (spare / 40.0).sqrt() * hot.sqrt() * k)
}

fn count(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::from(u32::MAX), f64::from)
}

fn table(area_mm2: f64) -> Result<f64, PowerError> {
    // Rounding of mm² to m² and back must not push a size off its row.
    let at_most = |a: f64| a <= area_mm2 * (1.0 + 1e-9);
    let Some(low) = TABLE.iter().rev().find(|row| at_most(row.0)) else {
        return Err(PowerError::NoSuchSize { area_mm2 });
    };
    let Some(high) = TABLE.iter().find(|row| !at_most(row.0)) else { return Ok(low.1) };
    let share = ((area_mm2 / low.0).ln() / (high.0 / low.0).ln()).max(0.0);
    Ok(low.1 * (high.1 / low.1).powf(share))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn around(air_c: f64, insulation_c: f64, together: usize) -> Surroundings {
        Surroundings { air_k: air_c + 273.15, insulation_k: insulation_c + 273.15, together }
    }

    /// DIN VDE 0298-4 table 11 as printed, and the factors for other air of its table 17 (IEC 60364-5-52 B.52.14), PVC 70 °C
    /// [from memory]: 1.22 at 10 °C, 0.87 at 40, 0.71 at 50, 0.50 at 60.
    #[test]
    fn currents_are_those_of_the_table() {
        for (mm2, a) in [(0.75, 12.0), (2.5, 26.0), (10.0, 61.0), (35.0, 135.0)] {
            assert!((current_a(mm2 * 1e-6, &around(30.0, 70.0, 1)).unwrap() - a).abs() < 1e-9);
        }
        for (air, factor) in [(10.0, 1.22), (40.0, 0.87), (50.0, 0.71), (60.0, 0.50)] {
            // Printed to two decimals.
            assert!(
                (current_a(10e-6, &around(air, 70.0, 1)).unwrap() / 61.0 - factor).abs() < 0.006,
                "{air}"
            );
        }
    }

    #[test]
    fn gauges_lie_between_their_neighbours_and_bundles_carry_less() {
        // AWG 10 is 5.26 mm², between 4 and 6.
        let ten = current_a(5.261e-6, &around(30.0, 70.0, 1)).unwrap();
        assert!(ten > 34.0 && ten < 44.0, "{ten}");
        let mut last = f64::INFINITY;
        for n in 1..40 {
            let now = current_a(6e-6, &around(30.0, 70.0, n)).unwrap();
            assert!(now <= last + 1e-12, "{n}");
            last = now;
        }
        assert!(current_a(0.1e-6, &around(30.0, 70.0, 1)).is_err());
        assert!(current_a(6e-6, &around(75.0, 70.0, 1)).is_err());
        assert!((current_a(300e-6, &around(30.0, 70.0, 1)).unwrap() - 292.0).abs() < 1e-9);
    }
}
