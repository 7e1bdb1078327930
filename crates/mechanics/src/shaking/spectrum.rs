//! Sums of spectra over frequency.

use super::ShakingError;
use crate::range::OutOfRange;

/// Change of each number at a halving, as a share of it, that counts as settled.
const SETTLED: f64 = 1e-6;
/// Most strips in one piece.
const MOST: u32 = 1 << 20;
/// A piece under this share of what its number has so far need not settle on its own.
const NOTHING: f64 = 1e-12;
/// A number under this share of the largest one is rounding: movements that are nothing by symmetry. The squares of a turning and of an
/// acceleration differ by some 1e-11 at 100 Hz, those of rounding by 1e-32 more.
const ROUNDING: f64 = 1e-24;

/// Integrals of several one-sided spectra over frequency: mean squares.
///
/// `cuts_hz` are the ends of the band and the places where the spectra are steep (resonances), in any order; those outside the
/// band are left out. Simpson's rule in `ln f` on each piece, strips doubled until every number moves by less than 10⁻⁶.
///
/// # Source
///
/// W. H. Press et al., *Numerical Recipes*, §4.2 [from memory]. `docs/mechanics.md` §14.7. Checked by
/// `a_random_walk_has_its_known_variance` and `white_shaking_gives_the_closed_form`.
///
/// # Errors
///
/// [`ShakingError::OutOfRange`] unless the band is positive and has a width; [`ShakingError::NotSettled`].
pub fn mean_squares<const N: usize>(
    (low_hz, high_hz): (f64, f64),
    cuts_hz: &[f64],
    at: impl Fn(f64) -> [f64; N],
) -> Result<[f64; N], ShakingError> {
    let fine = low_hz > 0.0 && high_hz > low_hz && high_hz.is_finite();
    if !fine {
        let (what, unit) = ("lower end of the band", "Hz");
        return Err(ShakingError::OutOfRange(OutOfRange {
            what,
            value: low_hz,
            low: f64::MIN_POSITIVE,
            high: high_hz,
            unit,
        }));
    }
    let mut ends: Vec<f64> = cuts_hz.iter().copied().filter(|f| *f > low_hz && *f < high_hz).collect();
    ends.extend([low_hz, high_hz]);
    ends.sort_by(f64::total_cmp);
    let mut sum = [0.0; N];
    for pair in ends.windows(2) {
        if let [from, to] = *pair
            && to > from * (1.0 + 1e-9)
        {
            let piece = piece((from, to), &sum, &at)?;
            for (total, p) in sum.iter_mut().zip(piece) {
                *total += p;
            }
        }
    }
    Ok(sum)
}

fn piece<const N: usize>(
    (from_hz, to_hz): (f64, f64),
    sum: &[f64; N],
    at: &impl Fn(f64) -> [f64; N],
) -> Result<[f64; N], ShakingError> {
    let (from, to) = (from_hz.ln(), to_hz.ln());
    let value = |x: f64| {
        // Rounding must not leave the band.
        let f = x.exp().clamp(from_hz, to_hz);
        at(f).map(|s| s * f)
    };
    let add = |a: &mut [f64; N], b: [f64; N]| a.iter_mut().zip(b).for_each(|(a, b)| *a += b);
    let mut strips = 8_u32;
    let width = |strips: u32| (to - from) / f64::from(strips);
    let mut inner = [0.0; N];
    add(&mut inner, value(from));
    add(&mut inner, value(to));
    inner = inner.map(|v| v / 2.0);
    for k in 1..strips {
        add(&mut inner, value(from + f64::from(k) * width(strips)));
    }
    let mut coarse = inner.map(|v| v * width(strips));
    let mut last: Option<[f64; N]> = None;
    let mut change = f64::INFINITY;
    while strips < MOST {
        strips *= 2;
        for k in (1..strips).step_by(2) {
            add(&mut inner, value(from + f64::from(k) * width(strips)));
        }
        let finer = inner.map(|v| v * width(strips));
        let simpson: [f64; N] = std::array::from_fn(|i| (4.0 * finer[i] - coarse[i]) / 3.0);
        if let Some(last) = last {
            change = 0.0;
            let largest = simpson.iter().chain(sum).fold(0.0_f64, |a, b| a.max(b.abs()));
            for i in 0..N {
                let size = simpson[i].abs().max(NOTHING * sum[i].abs()).max(ROUNDING * largest);
                let moved = (simpson[i] - last[i]).abs();
                // A lost number must not settle.
                if moved.is_nan() || moved.is_infinite() {
                    change = f64::INFINITY;
                } else if size > 0.0 {
                    change = f64::max(change, moved / size);
                }
            }
            if change < SETTLED {
                return Ok(simpson);
            }
            if change.is_infinite() {
                break;
            }
        }
        coarse = finer;
        last = Some(simpson);
    }
    Err(ShakingError::NotSettled { change })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaking::oscillator::Oscillator;
    use std::f64::consts::PI;

    #[test]
    fn white_shaking_gives_the_closed_form() {
        // Foot acceleration of one-sided spectrum G: E[z''²] = G π f_n (1 + 4ζ²) / 4ζ (Crandall and Mark, *Random
        // Vibration in Mechanical Systems* [from memory]; Miles' rule for small ζ).
        for (f, z) in [(2.2_f64, 0.2_f64), (12.0, 0.02), (7.0, 0.7)] {
            let o = Oscillator::new(f, z).unwrap();
            let cuts = [f, f * (1.0 - 3.0 * z).max(0.3), f * (1.0 + 3.0 * z)];
            let [sum] =
                mean_squares((1e-4 * f, 1e5 * f), &cuts, |x| [o.transmissibility(x).powi(2)]).unwrap();
            let closed = PI * f * (1.0 + 4.0 * z * z) / (4.0 * z);
            // Tail over 1e5 f: 4ζ²/1e5 of f; below 1e-4 f: 1e-4 of f.
            assert!((sum / closed - 1.0).abs() < 1e-3 * z.max(0.1), "{f} {z}: {sum} {closed}");
        }
    }

    #[test]
    fn rounding_beside_a_number_does_not_keep_it_from_settling() {
        // The second number is what symmetry leaves: noise that no strip settles.
        let noise = |f: f64| 1e-34 * (f * 1e9).sin().abs();
        let [a, b] = mean_squares((1.0, 10.0), &[], |f| [f, noise(f)]).unwrap();
        assert!((a - 49.5).abs() < 1e-4 && b < 1e-32);
        assert!(mean_squares((1.0, 10.0), &[], |f| [noise(f)]).is_err(), "alone it is all there is");
    }

    #[test]
    fn pieces_add_and_bad_bands_are_refused() {
        let s = |f: f64| [f.powi(-2), 1.0];
        let [a, b] = mean_squares((0.5, 50.0), &[2.0, 7.0, 900.0, f64::NAN], s).unwrap();
        assert!((a - (2.0 - 0.02)).abs() < 1e-6 && (b - 49.5).abs() < 1e-5);
        for (low, high) in [(0.0, 1.0), (2.0, 1.0), (1.0, 1.0), (f64::NAN, 1.0), (1.0, f64::INFINITY)] {
            assert!(mean_squares((low, high), &[], s).is_err());
        }
        assert!(mean_squares((1.0, 2.0), &[], |_| [f64::NAN]).is_err());
        assert!(mean_squares((1.0, 2.0), &[], |_| [f64::INFINITY]).is_err());
    }
}
