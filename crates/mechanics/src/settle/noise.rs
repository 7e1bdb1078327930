//! Medians, noise, and how many independent samples there are.

/// Middle value; NaN of nothing.
pub(crate) fn median(values: &[f64]) -> f64 {
    let mut v: Vec<f64> = values.iter().copied().filter(|x| x.is_finite()).collect();
    if v.is_empty() {
        return f64::NAN;
    }
    let (count, middle) = (v.len(), v.len() / 2);
    let (low, at, _) = v.select_nth_unstable_by(middle, f64::total_cmp);
    let below = low.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if count % 2 == 1 { *at } else { 0.5 * (*at + below) }
}

/// Standard deviation of what jumps from sample to sample, from second differences; whatever stands out is left aside.
///
/// `d = y_(i-1) - 2 y_i + y_(i+1)` has variance `6 s²` for independent noise; the median of `|d|` is 0.6745 of its deviation.
pub(super) fn jumpiness(values: &[f64]) -> f64 {
    let d: Vec<f64> = values
        .windows(3)
        .filter_map(|w| if let [a, b, c] = w { Some((a - 2.0 * b + c).abs()) } else { None })
        .collect();
    if d.is_empty() { 0.0 } else { median(&d) / (0.6745 * 6.0_f64.sqrt()) }
}

/// By how much the variance of a fitted slow quantity grows because neighbouring samples share their error.
///
/// ```text
/// n_eff = n / f,   f = 1 + 2 (rho_1 + rho_2 + ...)
/// ```
///
/// The sum ends at the first autocorrelation below `2 / sqrt(n)`, which is what independent noise shows by chance; what such an end cuts off is
/// guarded by the whole sum for noise of which each sample keeps the share `rho_1` of the one before, `(1 + rho_1) / (1 - rho_1)`. Never below one.
///
/// Source: Bayley and Hammersley, *J. R. Statist. Soc.* Suppl. 8 (1946) [from memory]; the cut-off is ours. `docs/mechanics.md` §15.5.
/// Checked by `shared_errors_are_counted_once`.
pub(super) fn inflation(residuals: &[f64]) -> f64 {
    let n = residuals.len();
    let variance: f64 = residuals.iter().map(|r| r * r).sum();
    if n < 8 || variance.is_nan() || variance <= 0.0 {
        return 1.0;
    }
    let chance = 2.0 / (n as f64).sqrt();
    let (mut sum, mut least) = (1.0, 1.0_f64);
    for lag in 1..n / 4 {
        let shared: f64 = residuals.iter().zip(residuals.iter().skip(lag)).map(|(a, b)| a * b).sum();
        let rho = shared / variance;
        if rho < chance {
            break;
        }
        sum += 2.0 * rho;
        if lag == 1 {
            least = (1.0 + rho) / (1.0 - rho).max(1e-3);
        }
    }
    sum.max(least)
}

/// The 97.5 % point of Student's t: twice it spans 95 %.
///
/// Expansion in `1/nu` (Abramowitz and Stegun 26.7.5 [from memory]). Checked by `student_points_are_those_of_the_tables`.
pub(crate) fn student(freedom: f64) -> f64 {
    let (v, z) = (freedom.max(3.0), 1.959_963_985_f64);
    let g1 = (z.powi(3) + z) / 4.0;
    let g2 = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    let g3 = (3.0 * z.powi(7) + 19.0 * z.powi(5) + 17.0 * z.powi(3) - 15.0 * z) / 384.0;
    z + g1 / v + g2 / (v * v) + g3 / v.powi(3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_of_even_and_odd() {
        for (v, m) in
            [(&[3.0, 1.0, 2.0][..], 2.0), (&[4.0, 1.0, 2.0, 3.0], 2.5), (&[7.0], 7.0), (&[1.0, 1.0], 1.0)]
        {
            assert!((median(v) - m).abs() < 1e-15, "{v:?}");
        }
        assert!(median(&[]).is_nan());
    }

    #[test]
    fn student_points_are_those_of_the_tables() {
        // Tables of Student's t, two-sided 5 % (any statistics text): the expansion errs by 1 % at four degrees of freedom.
        for (v, t, off) in
            [(4.0, 2.776, 0.02), (10.0, 2.228, 0.001), (30.0, 2.042, 0.001), (1e9, 1.96, 0.001)]
        {
            assert!((student(v) - t).abs() < off, "{v} {}", student(v));
        }
    }

    #[test]
    fn shared_errors_are_counted_once() {
        // Each value held for two samples: half as many are independent (1 + 2/2 = 2), and (1 + 1/2)/(1 - 1/2) = 3 guards it.
        // Where a sample keeps 0.7 of the one before, (1 + 0.7)/(1 - 0.7) = 5.67 samples share one error.
        let mut seed = 1_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            f64::from((seed >> 33) as u32) / f64::from(u32::MAX >> 1) - 0.5
        };
        let each: Vec<f64> = (0..4000).map(|_| next()).collect();
        let held: Vec<f64> = each.iter().flat_map(|v| [*v; 2]).collect();
        // The sums scatter by some percent with 4000 independent values.
        assert!((inflation(&held) - 3.0).abs() < 0.3, "{}", inflation(&held));
        let mut last = 0.0;
        let kept: Vec<f64> = each
            .iter()
            .map(|v| {
                last = 0.7 * last + v;
                last
            })
            .collect();
        assert!((inflation(&kept) - 5.67).abs() < 0.8, "{}", inflation(&kept));
        assert!(inflation(&each) < 1.2, "{}", inflation(&each));
        let s = jumpiness(&each);
        // Uniform noise of width one has a deviation of 0.2887; its second differences are flatter than normal ones, by a tenth.
        assert!((s - 0.2887).abs() < 0.035, "{s}");
    }

    /// A slow half under a quick half: neighbours share little, but for long. `1 + 2 (0.475 + 0.475 0.95 + ...)` = 20, of which the
    /// sum ends near 18 where chance begins; the guard alone, from neighbours, says 2.8.
    #[test]
    fn errors_that_hang_together_for_long_are_seen() {
        let mut seed = 7_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            f64::from((seed >> 33) as u32) / f64::from(u32::MAX >> 1) - 0.5
        };
        let mut slow = 0.0;
        let both: Vec<f64> = (0..20_000)
            .map(|_| {
                slow = 0.95 * slow + next();
                // The slow part's variance is that of `next` over 1 - 0.95²; the quick part is made as large.
                slow + next() / (1.0 - 0.95_f64 * 0.95).sqrt()
            })
            .collect();
        let f = inflation(&both);
        assert!((14.0..24.0).contains(&f), "{f}");
    }
}
