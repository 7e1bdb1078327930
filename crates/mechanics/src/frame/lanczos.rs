//! The largest eigenvalue of a symmetric operator by Lanczos' iteration.

use faer::{Mat, Side};

/// Steps before giving up; some 20 are usual.
const STEPS: usize = 96;
/// Steps between looks at what has been found.
const LOOK: usize = 8;
/// Residual of the eigenvector, as a share of its eigenvalue, that ends the iteration: the eigenvalue is then right to about
/// the square of it.
const SETTLED: f64 = 1e-7;

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Largest eigenvalue and unit eigenvector; `None` where it is not positive, no number, or does not settle.
///
/// Every new direction is made square to all before, twice, so that rounding brings no false copies (Paige; Golub and Van
/// Loan, *Matrix Computations*, ch. 10 \[from memory\]). The start is a fixed vector without symmetry. A start square to the
/// wanted vector would miss it: the caller proves the answer.
pub(super) fn largest(n: usize, apply: impl Fn(&[f64]) -> Vec<f64>) -> Option<(f64, Vec<f64>)> {
    let mut seed = 0x2545_F491_4F6C_DD1D_u64;
    let mut v: Vec<f64> = (0..n)
        .map(|_| {
            // Xorshift; the upper 32 bits as a number from -1 to 1.
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            f64::from(u32::try_from(seed >> 32).unwrap_or(1)) / 2_147_483_648.0 - 1.0
        })
        .collect();
    let size = dot(&v, &v).sqrt();
    for x in &mut v {
        *x /= size;
    }
    let mut basis: Vec<Vec<f64>> = Vec::new();
    let (mut diagonal, mut beside): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    for step in 1..=STEPS.min(n) {
        let mut w = apply(&v);
        diagonal.push(dot(&w, &v));
        basis.push(v);
        for _ in 0..2 {
            for b in &basis {
                let c = dot(&w, b);
                w.iter_mut().zip(b).for_each(|(x, y)| *x -= c * y);
            }
        }
        let beta = dot(&w, &w).sqrt();
        let size = diagonal.iter().chain(&beside).fold(0.0_f64, |a, d| a.max(d.abs()));
        let ended = beta <= 1e-14 * size || step == n;
        if ended || step % LOOK == 0 {
            let t = Mat::from_fn(step, step, |i, j| match i.abs_diff(j) {
                0 => diagonal[i],
                1 => beside[i.min(j)],
                _ => 0.0,
            });
            let e = t.self_adjoint_eigen(Side::Lower).ok()?;
            let (mu, last) = (e.S()[step - 1], e.U()[(step - 1, step - 1)]);
            if ended || beta * last.abs() <= SETTLED * mu {
                let vector = (0..n)
                    .map(|i| basis.iter().enumerate().map(|(k, b)| b[i] * e.U()[(k, step - 1)]).sum())
                    .collect();
                return (mu.is_finite() && mu > 0.0).then_some((mu, vector));
            }
        }
        beside.push(beta);
        v = w.iter().map(|x| x / beta).collect();
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `Q D Qᵀ` with `Q` a reflection, so that the vectors are known and no axis is special.
    fn operator(d: &[f64]) -> impl Fn(&[f64]) -> Vec<f64> {
        let n = f64::from(u32::try_from(d.len()).unwrap());
        let reflect = move |v: &[f64]| -> Vec<f64> {
            let mean = 2.0 * v.iter().sum::<f64>() / n;
            v.iter().map(|x| x - mean).collect()
        };
        move |v| {
            let turned: Vec<f64> = reflect(v).iter().zip(d).map(|(x, d)| x * d).collect();
            reflect(&turned)
        }
    }

    #[test]
    fn the_largest_is_found_among_large_negative_ones() {
        let d: Vec<f64> = (0..120).map(|i| if i == 37 { 2.5 } else { -f64::from(i) * 3.0 }).collect();
        let (mu, v) = largest(120, operator(&d)).unwrap();
        assert!((mu - 2.5).abs() < 1e-9, "{mu}");
        let av = operator(&d)(&v);
        assert!(av.iter().zip(&v).all(|(a, v)| (a - 2.5 * v).abs() < 1e-4)); // residual of 1e-7 of 2.5, and room
        assert!((dot(&v, &v) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn repeated_and_near_ones_settle_on_the_largest() {
        let d: Vec<f64> = (0..60).map(|i| if i < 3 { 7.0 } else { 6.9 - f64::from(i) / 20.0 }).collect();
        assert!((largest(60, operator(&d)).unwrap().0 - 7.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_positive_is_none_and_small_ones_end() {
        assert!(largest(4, operator(&[-1.0, -2.0, -3.0, -4.0])).is_none());
        assert!(largest(3, operator(&[0.0; 3])).is_none());
        assert!(largest(0, operator(&[])).is_none());
        assert!(largest(3, operator(&[f64::NAN, 1.0, 2.0])).is_none());
        assert!((largest(2, operator(&[-5.0, 0.25])).unwrap().0 - 0.25).abs() < 1e-14);
    }
}
