//! Where the boom is asked to point: `90 L`, `straight back`, `10 deg`, within what the arm can do.

use crate::io::Stop;
use core::f64::consts::{PI, TAU};
use draw::view::Pose;
use quantity::Kind;
use rig::model::Arm;
use verdict::state::{bearing_words, elevation_words};

/// Rounding of an angle at the end of a range, rad.
const TOUCHES: f64 = 1e-6;

/// An angle, whose unit is degrees where none is written.
fn degrees(text: &str) -> Option<f64> {
    let text = text.trim();
    let read = |t: &str| quantity::parse_kind(t, Kind::Angle).ok();
    read(text).or_else(|| read(&format!("{text} deg"))).filter(|v| v.is_finite())
}

/// A direction, rad, left positive: `90 L`, `30° R`, `straight ahead`, `back`, or as in a rig file, `-30 deg`.
pub(crate) fn bearing(option: &str, text: &str) -> Result<f64, Stop> {
    let low = text.trim().to_lowercase();
    let sided = |words: [&str; 2]| {
        let rest = words.iter().find_map(|w| low.strip_suffix(w))?;
        degrees(rest).filter(|v| (-TOUCHES..=PI + TOUCHES).contains(v))
    };
    let value = match low.strip_prefix("straight").unwrap_or(&low).trim() {
        "ahead" => Some(0.0),
        "back" => Some(PI),
        _ => sided(["left", "l"]).or_else(|| sided(["right", "r"]).map(|v| -v)).or_else(|| {
            quantity::parse_kind(&low, Kind::Angle).ok().filter(|v| v.is_finite() && v.abs() <= TAU + TOUCHES)
        }),
    };
    value.ok_or_else(|| {
        Stop::bad(
            format!("{option} {text}: not a bearing"),
            "write degrees from straight ahead and the side, as \"90 L\" or \"30 R\"; or \"straight back\"",
        )
    })
}

/// An angle over the level, rad: `10 deg`, `5 down`, `level`.
pub(crate) fn elevation(option: &str, text: &str) -> Result<f64, Stop> {
    let low = text.trim().to_lowercase();
    let side = |word: &str| low.strip_suffix(word).and_then(degrees).filter(|v| *v >= 0.0);
    let value = if low == "level" {
        Some(0.0)
    } else {
        side("up").or_else(|| side("down").map(|v| -v)).or_else(|| quantity::parse_kind(&low, Kind::Angle).ok())
    };
    value.filter(|v| v.abs() <= PI / 2.0 + TOUCHES).ok_or_else(|| {
        Stop::bad(
            format!("{option} {text}: not an angle over the level"),
            "write it with its unit, as \"10 deg\", \"5 deg down\" or \"level\"",
        )
    })
}

/// The pose that is asked for, if the arm can take it; what is not asked for is as parked.
pub(crate) fn within(arm: &Arm, pan: Option<f64>, elevation: Option<f64>) -> Result<Pose, Stop> {
    let wanted = pan.unwrap_or(arm.parked.0);
    let inside = |v: &f64| (arm.pan.0 - TOUCHES..=arm.pan.1 + TOUCHES).contains(v);
    let pan = [wanted, wanted - TAU, wanted + TAU].into_iter().find(inside).ok_or_else(|| {
        Stop::bad(
            format!("--bearing: the arm does not reach {}", bearing_words(wanted)),
            format!(
                "its `pan` goes from {} to {}",
                bearing_words(arm.pan.0),
                bearing_words(arm.pan.1)
            ),
        )
    })?;
    let elevation = elevation.unwrap_or(arm.parked.1);
    if !(arm.elevation.0 - TOUCHES..=arm.elevation.1 + TOUCHES).contains(&elevation) {
        return Err(Stop::bad(
            format!("--elevation: the boom does not reach {}", elevation_words(elevation)),
            format!(
                "its `elevation` goes from {} to {}",
                elevation_words(arm.elevation.0),
                elevation_words(arm.elevation.1)
            ),
        ));
    }
    Ok(Pose { pan, elevation })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_are_read_as_they_are_said() {
        let deg = |t: &str| bearing("--bearing", t).ok().map(|v| (v.to_degrees() * 1e6).round() / 1e6);
        for (text, value) in [
            ("90 L", 90.0),
            ("90l", 90.0),
            ("37.5° R", -37.5),
            ("30 deg right", -30.0),
            ("straight ahead", 0.0),
            ("Ahead", 0.0),
            ("straight back", 180.0),
            ("180 R", -180.0),
            ("-30 deg", -30.0),
            ("0 L", 0.0),
        ] {
            assert_eq!(deg(text), Some(value), "{text}");
        }
        for text in ["", "L", "90", "190 L", "-90 L", "up", "90 kg", "NaN L", "1e999 deg", "straight", "l l"] {
            assert_eq!(deg(text), None, "{text}");
        }
    }

    #[test]
    fn elevations_are_read_as_they_are_said() {
        let deg = |t: &str| elevation("--elevation", t).ok().map(|v| (v.to_degrees() * 1e6).round() / 1e6);
        for (text, value) in
            [("10 deg", 10.0), ("10 up", 10.0), ("5° down", -5.0), ("level", 0.0), ("-7.5 deg", -7.5)]
        {
            assert_eq!(deg(text), Some(value), "{text}");
        }
        for text in ["", "10", "down", "-5 down", "100 deg", "NaN deg", "10 L"] {
            assert_eq!(deg(text), None, "{text}");
        }
    }
}
