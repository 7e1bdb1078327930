//! Exact elimination of constraints: `C u = 0` becomes `u = T q`.

/// `u = T q` for `n` unknowns: row-major `T`, and how many `q` there are.
#[derive(Clone)]
pub(crate) struct Elimination {
    /// `n` rows of `width` numbers.
    pub(crate) t: Vec<f64>,
    /// Number of independent unknowns.
    pub(crate) width: usize,
}

/// A pivot below this (rows have unit-size entries) is a constraint that others already make.
const REDUNDANT: f64 = 1e-10;

/// Gauss-Jordan with full pivoting over the few constraint rows; each pivot column becomes dependent.
pub(crate) fn eliminate(mut rows: Vec<Vec<f64>>, n: usize) -> Elimination {
    let mut pivots: Vec<(usize, usize)> = Vec::new(); // (row, column)
    let mut used = vec![false; rows.len()];
    loop {
        let mut best = (REDUNDANT, None);
        for (r, row) in rows.iter().enumerate().filter(|(r, _)| !used[*r]) {
            for (c, v) in row.iter().enumerate() {
                if v.abs() > best.0 {
                    best = (v.abs(), Some((r, c)));
                }
            }
        }
        let Some((r, c)) = best.1 else { break };
        used[r] = true;
        let pivot = rows[r][c];
        for v in &mut rows[r] {
            *v /= pivot;
        }
        let base = rows[r].clone();
        for (_, row) in rows.iter_mut().enumerate().filter(|(other, _)| *other != r) {
            let factor = row[c];
            if factor != 0.0 {
                for (v, b) in row.iter_mut().zip(&base) {
                    *v -= factor * b;
                }
                row[c] = 0.0;
            }
        }
        pivots.push((r, c));
    }
    let mut dependent = vec![None; n];
    for (r, c) in &pivots {
        dependent[*c] = Some(*r);
    }
    let kept: Vec<usize> = (0..n).filter(|c| dependent[*c].is_none()).collect();
    let width = kept.len();
    let mut t = vec![0.0; n * width];
    for (q, c) in kept.iter().enumerate() {
        t[c * width + q] = 1.0;
    }
    for (r, c) in &pivots {
        for (q, k) in kept.iter().enumerate() {
            t[c * width + q] = -rows[*r][*k];
        }
    }
    Elimination { t, width }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constraints_hold_and_repeated_ones_fall_out() {
        // u0 = u1, u1 = u2, u0 = u2 (repeated), u3 = 2 u0.
        let rows = vec![
            vec![1.0, -1.0, 0.0, 0.0, 0.0],
            vec![0.0, 1.0, -1.0, 0.0, 0.0],
            vec![1.0, 0.0, -1.0, 0.0, 0.0],
            vec![-2.0, 0.0, 0.0, 1.0, 0.0],
        ];
        let e = eliminate(rows.clone(), 5);
        assert_eq!(e.width, 2);
        for q in 0..2 {
            for row in &rows {
                let sum: f64 = (0..5).map(|c| row[c] * e.t[c * 2 + q]).sum();
                assert!(sum.abs() < 1e-14);
            }
        }
    }
}
