//! Fuses and breakers: what they are sure to carry, and for how long.

use super::{PowerError, not_negative, positive};

/// How a fuse or breaker answers to too much current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FuseClass {
    /// Blade fuse of a car.
    Blade,
    /// Bolted strip fuse of a car.
    BoltDown,
    /// Glass or ceramic tube, time-lag.
    TimeLag,
    /// Thermal breaker.
    Breaker,
}

impl FuseClass {
    /// Multiples of the rating and the least time that it is sure to carry them, s. ISO 8820-3 (blade), ISO 8820-5 (strip),
    /// IEC 60127-2 sheet 3 (time-lag), all [from memory]; breaker: common practice, no source.
    fn curve(self) -> &'static [(f64, f64)] {
        match self {
            Self::Blade => &[(1.10, 360e3), (1.35, 0.75), (1.6, 0.25), (2.0, 0.15), (3.5, 0.04), (6.0, 0.02)],
            Self::BoltDown => &[(1.0, 360e3), (1.35, 120.0), (2.0, 1.0), (3.5, 0.3), (6.0, 0.1)],
            Self::TimeLag => &[(1.5, 3600.0), (2.75, 0.6), (4.0, 0.15), (10.0, 0.02)],
            Self::Breaker => &[(1.0, 360e3), (1.35, 60.0), (2.0, 5.0), (3.0, 2.0), (6.0, 0.5)],
        }
    }

    /// Multiple of the rating at which it is sure to open, sooner or later: 1.35 for car fuses and breakers, 2.1 for a time-lag tube.
    pub fn opens_at(self) -> f64 {
        match self {
            Self::Blade | Self::BoltDown | Self::Breaker => 1.35,
            Self::TimeLag => 2.1,
        }
    }

    /// Where the curve comes from.
    pub fn source(self) -> &'static str {
        match self {
            Self::Blade => "ISO 8820-3 [from memory]",
            Self::BoltDown => "ISO 8820-5 [from memory]",
            Self::TimeLag => "IEC 60127-2 [from memory]",
            Self::Breaker => "common practice, no source",
        }
    }
}

/// Share of its rating that a fuse may carry for hours: 80 %, common practice, no source.
pub const FOR_HOURS: f64 = 0.8;

/// The least time that a fuse is sure to carry a current, s; infinite up to the multiple that it must hold for 100 h.
///
/// ```text
/// t = time of the next multiple of the curve from I / In up;   past the last one   t = t_last (m_last In / I)²
/// ```
///
/// Between two points of the curve nothing is promised but the later one; past the last one the wire has no time to lose heat, so `I² t` is
/// what melts it.
///
/// # Source
///
/// [`FuseClass::source`]; `docs/mechanics.md` §16.5.
///
/// # Errors
///
/// [`PowerError`] for a rating that is not positive or a negative current.
///
/// # Examples
///
/// ```
/// # use mechanics::power::fuse::{FuseClass, least_time_s};
/// // Twice the rating: a blade fuse is sure to last 0.15 s.
/// assert!((least_time_s(FuseClass::Blade, 20.0, 40.0)? - 0.15).abs() < 1e-12);
/// # Ok::<(), mechanics::power::PowerError>(())
/// ```
pub fn least_time_s(class: FuseClass, rating_a: f64, current_a: f64) -> Result<f64, PowerError> {
    let multiple = not_negative("current", current_a)? / positive("fuse rating", rating_a)?;
    let curve = class.curve();
    let (first, last) =
        (curve.first().copied().unwrap_or((1.0, 0.0)), curve.last().copied().unwrap_or((1.0, 0.0)));
    // Rounding must not push a current that stands on a point past it.
    let within = |m: f64| multiple <= m * (1.0 + 1e-12);
    if within(first.0) {
        return Ok(f64::INFINITY);
    }
    let sure = curve.iter().find(|p| within(p.0)).map(|p| p.1);
    Ok(sure.unwrap_or_else(|| last.1 * (last.0 / multiple).powi(2)))
}

/// The greatest rating that protects a cable, A.
///
/// ```text
/// In <= Iz   and   m In <= 1.45 Iz          m: multiple at which it is sure to open
/// ```
///
/// # Source
///
/// IEC 60364-4-43, 433.1 [from memory]; `docs/mechanics.md` §16.5.
///
/// # Errors
///
/// [`PowerError`] for a capacity that is not positive.
pub fn greatest_rating_a(class: FuseClass, cable_a: f64) -> Result<f64, PowerError> {
    let cable = positive("current that the cable may carry", cable_a)?;
    Ok(cable * (1.45 / class.opens_at()).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [FuseClass; 4] =
        [FuseClass::Blade, FuseClass::BoltDown, FuseClass::TimeLag, FuseClass::Breaker];

    #[test]
    fn more_current_is_never_carried_longer() {
        for class in ALL {
            let mut last = f64::INFINITY;
            for k in 0..400 {
                let t = least_time_s(class, 10.0, 0.5 * f64::from(k)).unwrap();
                assert!(t <= last, "{class:?} {k}");
                last = t;
            }
            assert!(least_time_s(class, 10.0, 10.0).unwrap().is_infinite());
            assert!(least_time_s(class, 0.0, 1.0).is_err() && least_time_s(class, 1.0, f64::NAN).is_err());
        }
    }

    #[test]
    fn past_the_curve_the_heat_is_the_same() {
        let (a, b) = (
            least_time_s(FuseClass::Blade, 1.0, 6.0).unwrap(),
            least_time_s(FuseClass::Blade, 1.0, 12.0).unwrap(),
        );
        assert!((a * 36.0 - b * 144.0).abs() < 1e-12);
        // On a point the point counts, just past it the next one.
        assert!((least_time_s(FuseClass::Blade, 3.0, 4.8).unwrap() - 0.25).abs() < 1e-12);
        assert!((least_time_s(FuseClass::Blade, 3.0, 4.81).unwrap() - 0.15).abs() < 1e-12);
    }

    #[test]
    fn a_fuse_that_opens_late_must_be_smaller() {
        assert!((greatest_rating_a(FuseClass::Blade, 40.0).unwrap() - 40.0).abs() < 1e-12);
        assert!((greatest_rating_a(FuseClass::TimeLag, 42.0).unwrap() - 29.0).abs() < 1e-12);
        assert!(greatest_rating_a(FuseClass::Blade, 0.0).is_err());
    }
}
