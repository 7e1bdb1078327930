//! One line of a spectrum of unevenly spaced samples.

/// The strongest sine in what a fit left over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    pub(super) hz: f64,
    /// Share of the energy left over that this one sine takes.
    pub(super) share: f64,
}

/// The sine that takes most of the energy out of the samples, between two frequencies.
///
/// At each frequency the best cosine and sine are fitted by least squares (the spectrum of Lomb 1976 [from memory]); frequencies lie
/// a quarter of the line's width `1/T` apart. `docs/mechanics.md` §15.7. Checked by `a_second_swing_is_found_at_its_frequency`.
pub(super) fn strongest(t: &[f64], y: &[f64], from_hz: f64, to_hz: f64) -> Option<Line> {
    const MOST_LINES: u32 = 2000;
    let long = t.last()? - t.first()?;
    let energy: f64 = y.iter().map(|v| v * v).sum();
    if !(long > 0.0 && energy > 0.0 && from_hz > 0.0 && to_hz > from_hz) {
        return None;
    }
    let step = (0.25 / long).max((to_hz - from_hz) / f64::from(MOST_LINES));
    let mut best: Option<Line> = None;
    for k in 0..=MOST_LINES {
        let hz = from_hz + f64::from(k) * step;
        if hz > to_hz {
            break;
        }
        let w = std::f64::consts::TAU * hz;
        let (mut cc, mut cs, mut ss, mut cy, mut sy) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (t, y) in t.iter().zip(y) {
            let (s, c) = (w * t).sin_cos();
            cc += c * c;
            cs += c * s;
            ss += s * s;
            cy += c * y;
            sy += s * y;
        }
        let d = cc * ss - cs * cs;
        if d <= 1e-9 * cc * ss {
            continue;
        }
        let taken = (ss * cy * cy - 2.0 * cs * cy * sy + cc * sy * sy) / d;
        let share = taken / energy;
        if best.is_none_or(|b| share > b.share) {
            best = Some(Line { hz, share });
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_swing_is_found_at_its_frequency() {
        // Uneven, and longer than ten cycles: the line is narrower than 0.1 Hz.
        let t: Vec<f64> = (0..900).map(|i| f64::from(i) * 0.012 + 0.004 * f64::from(i * i % 7)).collect();
        let y: Vec<f64> = t.iter().map(|t| (std::f64::consts::TAU * 2.3 * t + 0.4).sin()).collect();
        let line = strongest(&t, &y, 0.3, 5.0).unwrap();
        assert!((line.hz - 2.3).abs() < 0.03 && line.share > 0.9, "{line:?}");
        assert!(strongest(&t, &vec![0.0; 900], 0.3, 5.0).is_none());
        assert!(strongest(&[], &[], 0.3, 5.0).is_none());
    }
}
