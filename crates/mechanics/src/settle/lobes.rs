//! Swings to either side of a level.

/// One swing to one side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lobe {
    /// First and last time beyond the threshold, s.
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    /// Time of the largest departure, s.
    pub(super) top_s: f64,
    /// Largest departure from the level, with its sign.
    pub(super) top: f64,
}

impl Lobe {
    pub(super) fn size(&self) -> f64 {
        self.top.abs()
    }
}

/// Swings beyond `threshold` to either side: noise about the level makes none. They alternate, but for one to the same side after a rest of
/// longer than one and a half swings.
pub(super) fn lobes(series: &[(f64, f64)], level: impl Fn(f64) -> f64, threshold: f64) -> Vec<Lobe> {
    let mut out: Vec<Lobe> = Vec::new();
    for &(t, y) in series {
        let d = y - level(t);
        if d.is_nan() || d.abs() <= threshold {
            continue;
        }
        let usual = match out.as_slice() {
            [.., a, b] => b.from_s - a.from_s,
            _ => f64::INFINITY,
        };
        match out.last_mut() {
            Some(l) if l.top * d > 0.0 && t - l.to_s < 1.5 * usual => {
                l.to_s = t;
                if d.abs() > l.top.abs() {
                    (l.top_s, l.top) = (t, d);
                }
            }
            _ => out.push(Lobe { from_s: t, to_s: t, top_s: t, top: d }),
        }
    }
    out
}

/// The usual time from one top to the next, s.
pub(super) fn half_period_s(lobes: &[Lobe]) -> Option<f64> {
    let gaps: Vec<f64> = lobes
        .windows(2)
        .filter_map(|w| if let [a, b] = w { Some(b.top_s - a.top_s) } else { None })
        .collect();
    Some(super::noise::median(&gaps)).filter(|g| *g > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn swings_are_counted_and_noise_is_not() {
        let series: Vec<(f64, f64)> = (0..1000)
            .map(|i| {
                let t = f64::from(i) * 0.01;
                // A ripple small beside the threshold, quick beside the swing.
                (t, 2.0 + (-0.2 * t).exp() * (6.0 * t).cos() + 0.05 * (200.0 * t).sin())
            })
            .collect();
        let found = lobes(&series, |_| 2.0, 0.2);
        // With the ripple 0.15 to 0.25 is passed until 6.9 to 9.5 s; a top each pi/6 s: 13 to 18 after the first.
        assert!((14..=19).contains(&found.len()), "{}", found.len());
        assert!(found.windows(2).all(|w| w[0].top * w[1].top < 0.0));
        // Tops lie within a ripple's width of the true ones.
        assert!((half_period_s(&found).unwrap() - std::f64::consts::PI / 6.0).abs() < 0.04);
        assert!(half_period_s(&found[..1]).is_none());
    }
}
