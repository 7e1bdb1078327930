//! Conductor sizes by wire gauge: `AWG 10`, `10 AWG`, `AWG 2/0`.
//!
//! ```text
//! d = 0.127 mm x 92^((36 - n) / 39)          A = pi d² / 4          (n = 0, -1, -2, -3 for 1/0, 2/0, 3/0, 4/0)
//! ```
//!
//! Source: ASTM B258 [from memory]: 0000 is 0.46 in and 36 is 0.005 in across, with 39 even steps of the ratio between.

use crate::Fault;

/// Diameter of gauge 36, m: 0.005 in, exact.
const D36_M: f64 = 0.127e-3;
/// The finest gauge that is read; thinner wire carries no power.
const FINEST: i32 = 40;
/// 4/0.
const THICKEST: i32 = -3;

/// Area of a gauge's solid wire, m².
pub fn area_m2(gauge: i32) -> f64 {
    let d = D36_M * 92.0_f64.powf(f64::from(36 - gauge) / 39.0);
    core::f64::consts::PI * d * d / 4.0
}

/// The gauge that a text names (`0`, `-1` and on for 1/0, 2/0 and on), if it names one at all.
///
/// ```
/// assert_eq!(quantity::awg("AWG 10"), Some(10));
/// assert_eq!(quantity::awg("2/0 awg"), Some(-1));
/// assert_eq!(quantity::awg("16 mm2"), None);
/// ```
pub fn awg(text: &str) -> Option<i32> {
    named(text).and_then(|n| number(&n))
}

/// What stands beside the letters `AWG`, if they are there.
fn named(text: &str) -> Option<String> {
    let low = text.trim().to_ascii_lowercase();
    let rest = low.strip_prefix("awg").or_else(|| low.strip_suffix("awg"))?;
    Some(rest.trim().trim_start_matches('#').to_owned())
}

fn number(text: &str) -> Option<i32> {
    let aught = |n: i32| (1..=1 - THICKEST).contains(&n).then_some(1 - n);
    if let Some(count) = text.strip_suffix("/0") {
        return aught(count.trim().parse().ok()?);
    }
    if text.len() > 1 && text.bytes().all(|b| b == b'0') {
        return aught(i32::try_from(text.len()).ok()?);
    }
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    text.parse().ok().filter(|n| digits && (0..=FINEST).contains(n))
}

/// The area of a text that names a gauge; `None` where it names none.
pub(crate) fn read(text: &str) -> Option<Result<f64, Fault>> {
    let named = named(text)?;
    Some(match number(&named) {
        Some(gauge) => Ok(area_m2(gauge)),
        None => Err(Fault::new(
            0..text.len(),
            format!("`{}` is no wire gauge", text.trim()),
            "gauges run from 4/0, the thickest, over 1/0 to 40",
            "write `AWG 10` or `AWG 2/0`, or the size in mm2",
        )),
    })
}

/// `AWG 10` where an area is that of a gauge to a part in a thousand.
pub(crate) fn show(area_m2_: f64) -> Option<String> {
    let gauge = (THICKEST..=FINEST).find(|n| (area_m2(*n) / area_m2_ - 1.0).abs() < 1e-3)?;
    Some(if gauge > 0 { format!("AWG {gauge}") } else { format!("AWG {}/0", 1 - gauge) })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Diameters of ASTM B258, in [from memory]: the two ends are exact, the others rounded to four places.
    #[test]
    fn gauges_are_those_of_the_table() {
        for (n, inch) in [(-3, 0.46), (0, 0.3249), (10, 0.1019), (18, 0.0403), (36, 0.005)] {
            let d = (area_m2(n) * 4.0 / core::f64::consts::PI).sqrt() / 0.0254;
            assert!((d - inch).abs() < 0.000_051, "AWG {n}: {d}");
        }
    }

    #[test]
    fn a_gauge_is_read_on_either_side_of_its_letters_and_shown_again() {
        for (text, n) in [
            ("AWG 10", 10),
            ("10 awg", 10),
            ("AWG10", 10),
            (" AWG #4 ", 4),
            ("AWG 0", 0),
            ("1/0 AWG", 0),
            ("AWG 4/0", -3),
            ("AWG 000", -2),
        ] {
            assert_eq!(awg(text), Some(n), "{text}");
            let shown = show(area_m2(n)).unwrap();
            assert_eq!(awg(&shown), Some(n), "{shown}");
        }
        for bad in
            ["AWG", "AWG 10.5", "AWG -3", "AWG 41", "5/0 AWG", "AWG 1/2", "AWG ten", "16 mm2", "", "AWG +4"]
        {
            assert_eq!(awg(bad), None, "{bad}");
        }
        assert!(read("AWG 5/0").unwrap().is_err() && read("16 mm2").is_none());
        assert_eq!(show(16e-6), None);
    }
}
