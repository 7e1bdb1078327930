//! Two other ways to the damping ratio, beside the fit: successive tops, and the envelope.

use super::attempt::Attempt;
use super::lobes::lobes;
use super::solve::{MOST, Square};
use std::f64::consts::PI;

/// A ratio found another way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// Damping ratio.
    pub ratio: f64,
    /// Half of its 95 % interval.
    pub half_width: f64,
    /// Tops or stretches that it rests on.
    pub points: usize,
    /// Whether it agrees with the fit within both uncertainties.
    pub agrees: bool,
}

/// A point of a falling line: place, logarithm of a size, and that logarithm's deviation.
#[derive(Debug, Clone, Copy)]
struct Point {
    x: f64,
    log: f64,
    off: f64,
}

/// Slope of a weighted line and its deviation.
fn slope(points: &[Point]) -> Option<(f64, f64)> {
    let sum = |f: &dyn Fn(&Point) -> f64| points.iter().map(|p| f(p) / (p.off * p.off)).sum::<f64>();
    let (w, wx, wy) = (sum(&|_| 1.0), sum(&|p| p.x), sum(&|p| p.log));
    let (wxx, wxy) = (sum(&|p| p.x * p.x), sum(&|p| p.x * p.log));
    let d = w * wxx - wx * wx;
    (points.len() >= 2 && d > 0.0 && d.is_finite()).then(|| ((w * wxy - wx * wy) / d, (w / d).sqrt()))
}

/// Polynomial or sine through some samples: the best factors of three columns, and the first diagonal terms of the inverse.
fn three(rows: impl Iterator<Item = ([f64; 3], f64)>) -> Option<([f64; 3], [f64; 3])> {
    let (mut normal, mut right) = (Square::zero(3), [0.0; MOST]);
    for ([a, b, c], y) in rows {
        let j = [a, b, c, 0.0, 0.0, 0.0, 0.0];
        normal.add(&j);
        right.iter_mut().zip(j).for_each(|(r, j)| *r += j * y);
    }
    let ([a, b, c, ..], i) = (normal.solve(&right)?, normal.inverse()?);
    Some(([a, b, c], [i.a[0][0], i.a[1][1], i.a[2][2]]))
}

/// Logarithmic decrement of successive tops, both sides.
///
/// Each top is the vertex of a parabola through the samples a fifth of a half period to both sides of it; the logarithms of the tops'
/// sizes fall by half a decrement each half cycle. Level and drift are those of the fit.
///
/// Source: Rao, *Mechanical Vibrations*, section 2.6 [from memory]. `docs/mechanics.md` §15.5. Checked by
/// `three_ways_to_one_ratio` in `tests/settle.rs`.
pub(super) fn by_tops(a: &Attempt, noise: f64) -> Option<(f64, f64, usize)> {
    let half = PI / a.viscous.p[1].max(1e-6).sqrt();
    let [b, d, ..] = a.viscous.linear;
    let series: Vec<(f64, f64)> = a.t.iter().zip(&a.y).map(|(t, y)| (*t, y - b - d * t)).collect();
    let found = lobes(&series, |_| 0.0, (5.0 * noise).max(0.01 * a.size()));
    let mut points: Vec<Point> = Vec::new();
    for (i, lobe) in found.iter().enumerate() {
        let mut middle = lobe.top_s;
        let mut top = None;
        for _ in 0..3 {
            // Whole parabolas only: at the ends of the window there are none.
            let reach = 0.2 * half;
            if middle - reach < 0.0 || middle + reach > *a.t.last()? {
                top = None;
                break;
            }
            let near = series.iter().filter(|(t, _)| (t - middle).abs() <= reach);
            let count = near.clone().count();
            if count < 4 {
                break;
            }
            let Some(([y0, y1, y2], [v0, ..])) =
                three(near.map(|(t, y)| ([1.0, t - middle, (t - middle).powi(2)], *y)))
            else {
                break;
            };
            let vertex = (-0.5 * y1 / y2).clamp(-reach, reach);
            top = Some((y0 + 0.5 * y1 * vertex, v0.sqrt()));
            middle += vertex;
        }
        if let Some((size, spread)) = top.filter(|(s, v)| s.abs() > 4.0 * noise * v) {
            points.push(Point {
                x: i as f64,
                log: size.abs().ln(),
                off: (noise * spread / size.abs()).max(1e-9),
            });
        }
    }
    let (fall, off) = slope(&points)?;
    let delta = -2.0 * fall;
    let root = (4.0 * PI * PI + delta * delta).sqrt();
    Some((delta / root, 2.0 * off * 4.0 * PI * PI / root.powi(3), points.len()))
}

/// Fall of the envelope found by quadrature.
///
/// In stretches of one period, half a period apart, a level and a falling sine and cosine of the damped frequency are fitted; the size of
/// the two is the envelope at the stretch's beginning (what a Hilbert transform gives of an evenly sampled swing, here for any spacing).
/// Only the fall within a stretch is taken from the fit; that from stretch to stretch is what is measured.
///
/// Derived in `docs/mechanics.md` §15.5. Checked by `three_ways_to_one_ratio` in `tests/settle.rs`.
pub(super) fn by_envelope(a: &Attempt, noise: f64) -> Option<(f64, f64, usize)> {
    let (fall, w) = (a.viscous.p[0], a.viscous.p[1].max(1e-6).sqrt());
    let period = 2.0 * PI / w;
    let [b, d, ..] = a.viscous.linear;
    let end = *a.t.last()?;
    let mut points = Vec::new();
    for k in 0..4000_u32 {
        let from = 0.5 * period * f64::from(k);
        if from + period > end {
            break;
        }
        let inside = || a.t.iter().zip(&a.y).filter(|(t, _)| (from..from + period).contains(*t));
        if inside().count() < 8 {
            continue;
        }
        let rows = inside().map(|(t, y)| {
            let e = (-fall * (t - from)).exp();
            ([e * (w * t).cos(), e * (w * t).sin(), 1.0], y - b - d * t)
        });
        let Some(([c, s, _], [vc, vs, _])) = three(rows) else { continue };
        let (size, off) = (c.hypot(s), noise * (0.5 * (vc + vs)).sqrt());
        if size < 5.0 * off {
            break;
        }
        // Neighbouring stretches share half of their samples.
        points.push(Point { x: from, log: size.ln(), off: (off * 2.0_f64.sqrt() / size).max(1e-9) });
    }
    if points.len() < 3 {
        return None;
    }
    let (fall, off) = slope(&points)?;
    let (s, n) = (-fall, fall.hypot(w));
    Some((s / n, off * w * w / n.powi(3), points.len()))
}

/// Puts a second way beside the fit's ratio: apart by more than three deviations of both, and two percent, is no agreement.
pub(super) fn beside(found: Option<(f64, f64, usize)>, ratio: f64, deviation: f64) -> Option<Check> {
    let (other, off, points) = found?;
    let apart = (other - ratio).abs();
    let agrees = apart <= 3.0 * off.hypot(deviation) + 0.02 * ratio + 5e-4;
    Some(Check { ratio: other, half_width: 1.96 * off, points, agrees })
}
