//! Clicks of a damper against the ratios that were tested.

use super::decrement::Between;
use super::error::{SettleError, in_range};

/// One setting that was tested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tested {
    /// Clicks from one end, as counted on the damper.
    pub clicks: f64,
    /// Damping ratio found.
    pub ratio: f64,
    /// Half of its 95 % interval.
    pub half_width: f64,
}

/// A curve through tested settings, rising or falling all the way.
///
/// Piecewise cubic in Hermite form with the slopes of Fritsch and Carlson: through every test, without a hump between two.
///
/// # Source
///
/// F. N. Fritsch and R. E. Carlson, *SIAM J. Numer. Anal.* 17 (1980) 238-246; end slopes and means as commonly written out [from memory].
/// `docs/mechanics.md` §15.8. Checked by `the_curve_goes_through_every_test_and_has_no_hump`.
#[derive(Debug, Clone)]
pub struct Curve {
    tests: Vec<Tested>,
    slopes: Vec<f64>,
}

/// Where to turn to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Setting {
    /// A setting between the tests.
    At {
        /// Clicks, not rounded.
        clicks: f64,
        /// Whole clicks below, and the ratio there.
        below: (f64, f64),
        /// Whole clicks above, and the ratio there.
        above: (f64, f64),
        /// How far the setting may be off, in clicks, by the uncertainty of the tests beside it.
        off: f64,
    },
    /// Not reached by any setting that was tested: the end that comes nearest.
    Beyond {
        /// Its clicks.
        clicks: f64,
        /// Its ratio.
        ratio: f64,
    },
}

impl Curve {
    /// Through at least two tests of different clicks whose ratios go one way.
    ///
    /// # Errors
    ///
    /// [`SettleError`] naming the clicks that do not fit.
    pub fn new(tests: &[Tested]) -> Result<Self, SettleError> {
        let mut tests = tests.to_vec();
        for t in &tests {
            in_range("number of clicks", t.clicks, -1000.0, 1000.0)?;
            in_range("damping ratio", t.ratio, 1e-6, 10.0)?;
            in_range("uncertainty of the ratio", t.half_width, 0.0, 10.0)?;
        }
        tests.sort_by(|a, b| a.clicks.total_cmp(&b.clicks));
        let (Some(first), Some(last)) = (tests.first(), tests.last()) else {
            return Err(SettleError::TooFewTests(0));
        };
        if tests.len() < 2 {
            return Err(SettleError::TooFewTests(tests.len()));
        }
        let up = (last.ratio - first.ratio).signum();
        for w in tests.windows(2) {
            if let [a, b] = w {
                if b.clicks - a.clicks < 1e-9 {
                    return Err(SettleError::SameClick(a.clicks));
                }
                if (b.ratio - a.ratio) * up <= 0.0 {
                    return Err(SettleError::NotMonotone { from: a.clicks, to: b.clicks });
                }
            }
        }
        let slopes = slopes(&tests);
        Ok(Self { tests, slopes })
    }

    /// The tests, by rising clicks.
    pub fn tests(&self) -> &[Tested] {
        &self.tests
    }

    /// Ratio at a setting between the tests.
    pub fn ratio(&self, clicks: f64) -> Option<f64> {
        let k = self
            .tests
            .windows(2)
            .position(|w| matches!(w, [a, b] if (a.clicks..=b.clicks).contains(&clicks)))?;
        let (a, b) = (self.tests.get(k)?, self.tests.get(k + 1)?);
        let (ma, mb) = (self.slopes.get(k)?, self.slopes.get(k + 1)?);
        let h = b.clicks - a.clicks;
        let x = (clicks - a.clicks) / h;
        let (x2, x3) = (x * x, x * x * x);
        Some(
            a.ratio * (2.0 * x3 - 3.0 * x2 + 1.0)
                + h * ma * (x3 - 2.0 * x2 + x)
                + b.ratio * (3.0 * x2 - 2.0 * x3)
                + h * mb * (x3 - x2),
        )
    }

    /// The setting that has a ratio.
    ///
    /// # Errors
    ///
    /// [`SettleError`] for a ratio that is none.
    pub fn setting(&self, ratio: f64) -> Result<Setting, SettleError> {
        let ratio = in_range("wanted damping ratio", ratio, 1e-6, 10.0)?;
        let inside = |w: &[Tested]| matches!(w, [a, b] if (a.ratio.min(b.ratio)..=a.ratio.max(b.ratio)).contains(&ratio));
        let Some([a, b]) = self.tests.windows(2).find(|w| inside(w)) else {
            let far = |t: &Tested| (t.ratio - ratio).abs();
            let end = self.tests.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
            let end = end.ok_or(SettleError::TooFewTests(0))?;
            return Ok(Setting::Beyond { clicks: end.clicks, ratio: end.ratio });
        };
        let (mut low, mut high) = (a.clicks, b.clicks);
        let up = b.ratio > a.ratio;
        // Halved until a thousandth of a thousandth of a click.
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if (self.ratio(middle).unwrap_or(f64::NAN) < ratio) == up { low = middle } else { high = middle }
        }
        let clicks = 0.5 * (low + high);
        let whole = |c: f64| (c, self.ratio(c.clamp(self.first(), self.last())).unwrap_or(f64::NAN));
        // The nearest whole click counts as met when rounding alone parts them.
        let (down, up_to) = ((clicks - 1e-6).floor(), (clicks + 1e-6).ceil());
        let (down, up_to) = if (clicks - clicks.round()).abs() < 1e-6 {
            (clicks.round(), clicks.round())
        } else {
            (down, up_to)
        };
        let steep = (b.ratio - a.ratio).abs() / (b.clicks - a.clicks);
        Ok(Setting::At {
            clicks,
            below: whole(down),
            above: whole(up_to),
            off: a.half_width.max(b.half_width) / steep,
        })
    }

    fn first(&self) -> f64 {
        self.tests.first().map_or(0.0, |t| t.clicks)
    }

    fn last(&self) -> f64 {
        self.tests.last().map_or(0.0, |t| t.clicks)
    }
}

/// Slopes of Fritsch and Carlson for data that go one way: weighted harmonic means inside, one-sided and held back at the ends.
fn slopes(tests: &[Tested]) -> Vec<f64> {
    let parts: Vec<(f64, f64)> = tests
        .windows(2)
        .filter_map(|w| {
            if let [a, b] = w {
                Some((b.clicks - a.clicks, (b.ratio - a.ratio) / (b.clicks - a.clicks)))
            } else {
                None
            }
        })
        .collect();
    let end = |(h0, d0): (f64, f64), (h1, d1): (f64, f64)| {
        let m = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
        if m * d0 <= 0.0 { 0.0 } else { m.signum() * m.abs().min(3.0 * d0.abs()) }
    };
    let (Some(&first), Some(&last)) = (parts.first(), parts.last()) else { return Vec::new() };
    if parts.len() == 1 {
        return vec![first.1; 2];
    }
    let mut out = Vec::with_capacity(tests.len());
    for w in parts.windows(2) {
        if let [a, b] = w {
            if out.is_empty() {
                out.push(end(first, *b));
            }
            let (wa, wb) = (2.0 * b.0 + a.0, b.0 + 2.0 * a.0);
            out.push((wa + wb) / (wa / a.1 + wb / b.1));
        }
    }
    let before = parts.get(parts.len() - 2).copied().unwrap_or(last);
    out.push(end(last, before));
    out
}

/// Whether two dampers of an axis differ by more than their uncertainties: the difference over its 95 % half width.
///
/// `|z1 - z2| / sqrt(h1² + h2²)`; above one they differ. `docs/mechanics.md` §15.8. Checked by `two_dampers_differ_beyond_their_uncertainty`.
pub fn differ(a: &Between, b: &Between) -> f64 {
    let width = a.half_width().hypot(b.half_width());
    let apart = (a.value - b.value).abs();
    if width > 0.0 {
        apart / width
    } else if apart > 0.0 {
        f64::INFINITY
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tested(rows: &[(f64, f64)]) -> Vec<Tested> {
        rows.iter()
            .map(|(clicks, ratio)| Tested { clicks: *clicks, ratio: *ratio, half_width: 0.01 })
            .collect()
    }

    #[test]
    fn the_curve_goes_through_every_test_and_has_no_hump() {
        // A jump between flat parts: a plain cubic would swing past it on both sides.
        let rows = [(0.0, 0.10), (4.0, 0.11), (8.0, 0.12), (9.0, 0.40), (14.0, 0.41), (20.0, 0.43)];
        let curve = Curve::new(&tested(&rows)).unwrap();
        for (c, z) in rows {
            assert!((curve.ratio(c).unwrap() - z).abs() < 1e-12);
        }
        let fine: Vec<f64> = (0..=2000).map(|i| curve.ratio(f64::from(i) * 0.01).unwrap()).collect();
        assert!(fine.windows(2).all(|w| w[1] >= w[0] - 1e-12));
        assert!(curve.ratio(20.1).is_none() && curve.ratio(-0.1).is_none());
        // There and back.
        let Setting::At { clicks, .. } = curve.setting(curve.ratio(11.3).unwrap()).unwrap() else { panic!() };
        assert!((clicks - 11.3).abs() < 1e-6, "{clicks}");
    }

    #[test]
    fn straight_tests_give_straight_answers() {
        let curve = Curve::new(&tested(&[(2.0, 0.1), (6.0, 0.3), (10.0, 0.5)])).unwrap();
        let Setting::At { clicks, below, above, off } = curve.setting(0.275).unwrap() else { panic!() };
        assert!((clicks - 5.5).abs() < 1e-9, "{clicks}");
        assert!((below.0 - 5.0).abs() < 1e-12 && (above.0 - 6.0).abs() < 1e-12);
        assert!((below.1 - 0.25).abs() < 1e-9 && (above.1 - 0.3).abs() < 1e-9);
        // 0.01 in ratio at 0.05 a click.
        assert!((off - 0.2).abs() < 1e-9);
        // Turned the other way round.
        let falling = Curve::new(&tested(&[(0.0, 0.5), (10.0, 0.1)])).unwrap();
        let Setting::At { clicks, .. } = falling.setting(0.3).unwrap() else { panic!() };
        assert!((clicks - 5.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_said_beyond_the_tests() {
        let curve = Curve::new(&tested(&[(2.0, 0.1), (6.0, 0.3)])).unwrap();
        assert_eq!(curve.setting(0.4).unwrap(), Setting::Beyond { clicks: 6.0, ratio: 0.3 });
        assert_eq!(curve.setting(0.05).unwrap(), Setting::Beyond { clicks: 2.0, ratio: 0.1 });
        assert!(matches!(Curve::new(&tested(&[(2.0, 0.1)])), Err(SettleError::TooFewTests(1))));
        assert!(matches!(Curve::new(&tested(&[(2.0, 0.1), (2.0, 0.2)])), Err(SettleError::SameClick(_))));
        let back = tested(&[(0.0, 0.1), (2.0, 0.3), (4.0, 0.25), (6.0, 0.4)]);
        assert!(
            matches!(Curve::new(&back), Err(SettleError::NotMonotone { from, .. }) if (from - 2.0).abs() < 1e-12)
        );
        assert!(Curve::new(&tested(&[(0.0, f64::NAN), (2.0, 0.3)])).is_err());
        assert!(curve.setting(f64::NAN).is_err());
    }

    #[test]
    fn two_dampers_differ_beyond_their_uncertainty() {
        let at = |value: f64, h: f64| Between { value, low: value - h, high: value + h };
        assert!((differ(&at(0.2, 0.03), &at(0.25, 0.04)) - 1.0).abs() < 1e-12);
        assert!(differ(&at(0.2, 0.0), &at(0.2, 0.0)).abs() < 1e-12);
        assert!(differ(&at(0.2, 0.0), &at(0.21, 0.0)).is_infinite());
    }
}
