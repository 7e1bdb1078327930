//! How near to an overhead power line: distances of rules of the United States, by voltage (`docs/mechanics.md` §17.3).
//!
//! Volts and metres. Local rules come first: these are one country's, and the owner of the line may ask for more. The voltage of a line is
//! given between its conductors; the rule for vehicles counts to ground, which is less, so that reading it with the line's voltage is safe.

use core::fmt;

const FOOT_M: f64 = 0.3048;
const INCH_M: f64 = 0.0254;
/// Above this the rules give no figure, V.
const LAST_V: f64 = 1e6;

/// Distance for a line of unknown voltage whose owner says that it is not above 350 kV, m: 20 ft.
///
/// 29 CFR 1926.1408(a)(2) option 2 \[looked up in pages that quote it\].
pub const UNKNOWN_UP_TO_350_KV_M: f64 = 20.0 * FOOT_M;
/// Distance for a line of which nothing is known, m: 50 ft, which 29 CFR 1926.1409(a) puts in place of 20 ft above 350 kV \[looked up\].
pub const UNKNOWN_M: f64 = 50.0 * FOOT_M;

/// Why there is no distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OverheadError {
    /// Nobody knows the voltage.
    UnknownVoltage,
    /// Not a number, or negative.
    NotAVoltage {
        /// As given, V.
        value: f64,
    },
    /// Above 1000 kV the owner of the line or a registered engineer sets the distance.
    AskTheOwner {
        /// As given, V.
        value: f64,
    },
}

impl fmt::Display for OverheadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownVoltage => f.write_str(
                "the voltage of the line is not known: stay 50 ft (15.24 m) away, or 20 ft (6.10 m) where its owner says that it is \
                 350 kV at most; take it as live and ask its owner",
            ),
            Self::NotAVoltage { value } => write!(f, "{value} V is no voltage of a line; state 0 or more"),
            Self::AskTheOwner { value } => write!(
                f,
                "for {:.0} kV the rules give no distance: the owner of the line must state it",
                value / 1e3
            ),
        }
    }
}

impl core::error::Error for OverheadError {}

fn known(volt: f64) -> Result<f64, OverheadError> {
    if !volt.is_finite() || volt < 0.0 {
        Err(OverheadError::NotAVoltage { value: volt })
    } else if volt > LAST_V {
        Err(OverheadError::AskTheOwner { value: volt })
    } else {
        Ok(volt)
    }
}

/// Distance of the first row whose voltage is not passed; rows are kV "up to and including" and feet.
fn row(volt: f64, rows: &[(f64, f64)], beyond_ft: f64) -> f64 {
    FOOT_M * rows.iter().find(|r| volt <= r.0 * 1e3).map_or(beyond_ft, |r| r.1)
}

/// Lifting equipment at work, table A, m: up to 50, 200, 350, 500, 750, 1000 kV it is 10, 15, 20, 25, 35, 45 ft.
///
/// Above 350 kV it holds only where the distance was set with the line's owner; [`crane_work_m`] is the rule without that.
///
/// # Source
///
/// 29 CFR 1926.1408, table A \[looked up\]; `docs/mechanics.md` §17.3. Checked by OH-A in `tests/sources/overhead-lines`.
///
/// # Errors
///
/// [`OverheadError`] if it is no voltage, or above 1000 kV.
pub fn table_a_m(volt: f64) -> Result<f64, OverheadError> {
    let v = known(volt)?;
    Ok(row(v, &[(50.0, 10.0), (200.0, 15.0), (350.0, 20.0), (500.0, 25.0), (750.0, 35.0)], 45.0))
}

/// Lifting equipment at work, m: table A up to 350 kV, 50 ft above.
///
/// # Source
///
/// 29 CFR 1926.1408 and 1926.1409(a) \[looked up\]; `docs/mechanics.md` §17.3. Checked by OH-A and OH-1409 in
/// `tests/sources/overhead-lines`.
///
/// # Errors
///
/// [`OverheadError`] if it is no voltage, or above 1000 kV.
pub fn crane_work_m(volt: f64) -> Result<f64, OverheadError> {
    Ok(if known(volt)? > 350e3 { 50.0 * FOOT_M } else { table_a_m(volt)? })
}

/// Lifting equipment that travels without a load and with its boom down, table T, m: up to 0.75, 50, 345, 750, 1000 kV it is
/// 4, 6, 10, 16, 20 ft.
///
/// # Source
///
/// 29 CFR 1926.1411, table T \[looked up in a page that reprints it\]; `docs/mechanics.md` §17.3. Checked by OH-T in
/// `tests/sources/overhead-lines`.
///
/// # Errors
///
/// [`OverheadError`] if it is no voltage, or above 1000 kV.
pub fn crane_transit_m(volt: f64) -> Result<f64, OverheadError> {
    Ok(row(known(volt)?, &[(0.75, 4.0), (50.0, 6.0), (345.0, 10.0), (750.0, 16.0)], 20.0))
}

fn with_four_inches_per_10_kv(volt: f64, feet: f64) -> Result<f64, OverheadError> {
    Ok(feet * FOOT_M + 4.0 * INCH_M * ((known(volt)? - 50e3) / 10e3).max(0.0))
}

/// A vehicle with something raised, at work, m: 10 ft, and 4 in for each 10 kV above 50 kV.
///
/// Parts of 10 kV count in proportion.
///
/// # Source
///
/// 29 CFR 1910.333(c)(3)(iii)(A) \[looked up in a transcription\]; `docs/mechanics.md` §17.3. Checked by OH-V in
/// `tests/sources/overhead-lines`.
///
/// # Errors
///
/// [`OverheadError`] if it is no voltage, or above 1000 kV.
pub fn vehicle_work_m(volt: f64) -> Result<f64, OverheadError> {
    with_four_inches_per_10_kv(volt, 10.0)
}

/// A vehicle in transit with everything lowered, m: 4 ft, and 4 in for each 10 kV above 50 kV.
///
/// # Source
///
/// 29 CFR 1910.333(c)(3)(iii)(A)(1) \[looked up in a transcription\]; `docs/mechanics.md` §17.3. Checked by OH-V in
/// `tests/sources/overhead-lines`.
///
/// # Errors
///
/// [`OverheadError`] if it is no voltage, or above 1000 kV.
pub fn vehicle_transit_m(volt: f64) -> Result<f64, OverheadError> {
    with_four_inches_per_10_kv(volt, 4.0)
}

/// Booms and masts on the surface of a coal mine, m: under 69, up to 114, 229, 344, 499 kV and from there it is 10, 12, 15, 20, 25, 35 ft.
///
/// The rule's rows end at whole kilovolts; what lies between two rows counts to the upper one.
///
/// # Source
///
/// 30 CFR 77.807-2 \[looked up\]; 77.807-3 carries it over to passing under a line \[looked up\]; `docs/mechanics.md` §17.3. Checked by OH-M
/// in `tests/sources/overhead-lines`.
///
/// # Errors
///
/// [`OverheadError`] if it is no voltage, or above 1000 kV.
pub fn mine_boom_m(volt: f64) -> Result<f64, OverheadError> {
    let v = known(volt)?;
    Ok(if v < 69e3 {
        10.0 * FOOT_M
    } else {
        row(v, &[(114.0, 12.0), (229.0, 15.0), (344.0, 20.0), (499.0, 25.0)], 35.0)
    })
}

/// What the vehicle does under the line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// It is rigged, lifted from, shot with: something is up or may go up.
    Work,
    /// It drives, with nothing raised and nobody on top.
    Transit,
}

/// A rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// 29 CFR 1926.1408.
    CraneWork,
    /// 29 CFR 1926.1409.
    CraneWorkOver350Kv,
    /// 29 CFR 1926.1411.
    CraneTransit,
    /// 29 CFR 1910.333(c)(3)(iii).
    Vehicle,
    /// 30 CFR 77.807-2.
    Mine,
}

impl Rule {
    /// The rule's place in the code.
    pub fn name(self) -> &'static str {
        match self {
            Self::CraneWork => "29 CFR 1926.1408 table A",
            Self::CraneWorkOver350Kv => "29 CFR 1926.1409",
            Self::CraneTransit => "29 CFR 1926.1411 table T",
            Self::Vehicle => "29 CFR 1910.333(c)(3)(iii)",
            Self::Mine => "30 CFR 77.807-2",
        }
    }
}

/// A distance and the rule that asks for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distance {
    /// From the line to the nearest part of car, rig, load or person, in any direction, m.
    pub least_m: f64,
    /// The rule.
    pub rule: Rule,
}

/// The greatest of the distances that the rules ask for.
///
/// Whether a car with a rig on it is a crane, a vehicle or both is for a court; so all of them count, and the mine's where `on_a_mine`.
///
/// # Errors
///
/// [`OverheadError::UnknownVoltage`] without a voltage: there is no distance that the tables state for it, and the error says what to keep.
/// Else if it is no voltage, or above 1000 kV.
///
/// # Examples
///
/// ```
/// # use mechanics::overhead::{Doing, OverheadError, Rule, least_distance};
/// let near = least_distance(Some(132e3), Doing::Work, false)?;
/// assert!((near.least_m - 4.572).abs() < 1e-9 && near.rule == Rule::CraneWork);
/// assert_eq!(least_distance(None, Doing::Work, false), Err(OverheadError::UnknownVoltage));
/// # Ok::<(), OverheadError>(())
/// ```
pub fn least_distance(volt: Option<f64>, doing: Doing, on_a_mine: bool) -> Result<Distance, OverheadError> {
    let v = volt.ok_or(OverheadError::UnknownVoltage)?;
    let mut all = match doing {
        Doing::Work => vec![
            (crane_work_m(v)?, if v > 350e3 { Rule::CraneWorkOver350Kv } else { Rule::CraneWork }),
            (vehicle_work_m(v)?, Rule::Vehicle),
        ],
        Doing::Transit => {
            vec![(crane_transit_m(v)?, Rule::CraneTransit), (vehicle_transit_m(v)?, Rule::Vehicle)]
        }
    };
    if on_a_mine {
        all.push((mine_boom_m(v)?, Rule::Mine));
    }
    let first = Distance { least_m: 0.0, rule: Rule::Vehicle };
    Ok(all.into_iter().fold(
        first,
        |best, (least_m, rule)| if least_m > best.least_m { Distance { least_m, rule } } else { best },
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_greatest_rule_is_named() {
        let at = |kv: f64, doing, mine| least_distance(Some(kv * 1e3), doing, mine).unwrap();
        assert_eq!(at(11.0, Doing::Work, false).rule, Rule::CraneWork);
        assert_eq!(at(400.0, Doing::Work, false).rule, Rule::CraneWorkOver350Kv);
        // 10 ft + 83 in of 4 in for each 10 kV at 300 kV are 18.3 ft, less than table A's 20; at 349 kV 19.97.
        assert_eq!(at(349.0, Doing::Work, false).rule, Rule::CraneWork);
        // On the road at 33 kV 6 ft beat 4; at 300 kV 4 ft + 100 in are 12.3 ft and beat 10.
        assert_eq!(at(33.0, Doing::Transit, false).rule, Rule::CraneTransit);
        assert_eq!(at(300.0, Doing::Transit, false).rule, Rule::Vehicle);
        assert_eq!(at(33.0, Doing::Transit, true).rule, Rule::Mine);
    }

    #[test]
    fn no_rule_gives_less_for_more_volts() {
        let rules: [fn(f64) -> Result<f64, OverheadError>; 6] =
            [table_a_m, crane_work_m, crane_transit_m, vehicle_work_m, vehicle_transit_m, mine_boom_m];
        for rule in rules {
            let mut last = 0.0;
            for step in 0..=4000 {
                let now = rule(f64::from(step) * 250.0).unwrap();
                assert!(now >= last && now > 1.0, "{step}");
                last = now;
            }
        }
    }

    #[test]
    fn without_a_voltage_there_is_no_distance_but_a_word() {
        let unknown = least_distance(None, Doing::Transit, false).unwrap_err();
        assert!(unknown.to_string().contains("50 ft") && unknown.to_string().contains("owner"));
        assert!((UNKNOWN_M - 15.24).abs() < 1e-12 && (UNKNOWN_UP_TO_350_KV_M - 6.096).abs() < 1e-12);
        for bad in [f64::NAN, -1.0, f64::INFINITY] {
            assert!(matches!(
                least_distance(Some(bad), Doing::Work, false),
                Err(OverheadError::NotAVoltage { .. })
            ));
        }
        assert!(matches!(crane_transit_m(1.1e6), Err(OverheadError::AskTheOwner { .. })));
    }
}
