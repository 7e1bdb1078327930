//! Least squares where most unknowns are linear: variable projection.
//!
//! Level, drift and the two halves of the swing enter linearly; decay, frequency and friction do not. For each guess of the
//! few that do not, the best of the others is one linear solve, so a poor first guess of level or phase cannot lead astray
//! and a search over two or three numbers is left. That search is Levenberg's and Marquardt's on the whole Jacobian, of
//! which only the part of the nonlinear unknowns is used (Golub and Pereyra 1973; Ruhe and Wedin 1980, their second
//! algorithm [from memory]). `docs/mechanics.md` §15.4. Checked by `a_fit_agrees_with_another_program` in
//! `tests/settle_reference.rs`.

use super::solve::{Column, MOST, Square};

/// Unknowns that enter linearly: level, drift, cosine half, sine half.
pub(super) const LINEAR: usize = 4;

/// A model `y = sum of linear_k basis_k(p, t)` with `P` nonlinear unknowns.
pub(super) trait Shape<const P: usize> {
    /// The four basis functions.
    fn basis(&self, p: &[f64; P], t: f64) -> [f64; LINEAR];
    /// How the model changes with each nonlinear unknown.
    fn slopes(&self, p: &[f64; P], linear: &[f64; LINEAR], t: f64) -> [f64; P];
    /// Whether the nonlinear unknowns are ones that the search may try.
    fn allowed(&self, p: &[f64; P]) -> bool;
}

/// Samples of a fit, time scaled so that the swing takes about one radian a unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Data<'a> {
    pub(super) t: &'a [f64],
    pub(super) y: &'a [f64],
}

impl Data<'_> {
    fn pairs(&self) -> impl Iterator<Item = (f64, f64)> {
        self.t.iter().copied().zip(self.y.iter().copied())
    }
}

/// Where the search ended.
#[derive(Debug, Clone)]
pub(super) struct Fit<const P: usize> {
    pub(super) p: [f64; P],
    pub(super) linear: [f64; LINEAR],
    pub(super) sum_squares: f64,
    /// `(JᵀJ)⁻¹`: linear unknowns first, then the others; `None` when some cannot be told apart.
    pub(super) spread: Option<Square>,
}

impl<const P: usize> Fit<P> {
    pub(super) fn value(&self, shape: &impl Shape<P>, t: f64) -> f64 {
        dot(&shape.basis(&self.p, t), &self.linear)
    }
}

fn dot(a: &[f64; LINEAR], b: &[f64; LINEAR]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn column(first: &[f64]) -> Column {
    let mut c = [0.0; MOST];
    c.iter_mut().zip(first).for_each(|(c, v)| *c = *v);
    c
}

/// The best linear unknowns for these others, and the squares that stay.
fn project<const P: usize>(
    shape: &impl Shape<P>,
    p: &[f64; P],
    data: Data<'_>,
) -> Option<([f64; LINEAR], f64)> {
    if !shape.allowed(p) {
        return None;
    }
    let mut normal = Square::zero(LINEAR);
    let mut right = [0.0; MOST];
    for (t, y) in data.pairs() {
        let j = column(&shape.basis(p, t));
        normal.add(&j);
        right.iter_mut().zip(j).for_each(|(r, j)| *r += j * y);
    }
    let solved = normal.solve(&right)?;
    let mut linear = [0.0; LINEAR];
    linear.iter_mut().zip(solved).for_each(|(l, s)| *l = s);
    let sum = data.pairs().map(|(t, y)| (y - dot(&shape.basis(p, t), &linear)).powi(2)).sum::<f64>();
    sum.is_finite().then_some((linear, sum))
}

/// Normal matrix and right side of all unknowns.
fn normal<const P: usize>(
    shape: &impl Shape<P>,
    p: &[f64; P],
    linear: &[f64; LINEAR],
    data: Data<'_>,
) -> (Square, Column) {
    let mut normal = Square::zero(LINEAR + P);
    let mut right = [0.0; MOST];
    for (t, y) in data.pairs() {
        let basis = shape.basis(p, t);
        let mut j = column(&basis);
        j.iter_mut().skip(LINEAR).zip(shape.slopes(p, linear, t)).for_each(|(j, s)| *j = s);
        let rest = y - dot(&basis, linear);
        normal.add(&j);
        right.iter_mut().zip(j).for_each(|(r, j)| *r += j * rest);
    }
    (normal, right)
}

/// Searches from one start. `None` when the start itself is impossible.
pub(super) fn fit<const P: usize>(shape: &impl Shape<P>, start: [f64; P], data: Data<'_>) -> Option<Fit<P>> {
    const ROUNDS: usize = 60;
    let (mut linear, mut sum) = project(shape, &start, data)?;
    let (mut p, mut damping) = (start, 1e-3);
    'search: for _ in 0..ROUNDS {
        let (matrix, right) = normal(shape, &p, &linear, data);
        let before = sum;
        let moved = loop {
            let mut damped = matrix;
            for i in 0..damped.n {
                damped.a[i][i] *= 1.0 + damping;
            }
            if let Some(step) = damped.solve(&right) {
                let mut to = p;
                to.iter_mut().zip(step.iter().skip(LINEAR)).for_each(|(p, s)| *p += s);
                if let Some((l, s)) = project(shape, &to, data).filter(|(_, s)| *s < sum) {
                    let moved = to.iter().zip(&p).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                    (p, linear, sum) = (to, l, s);
                    damping = (damping * 0.1).max(1e-12);
                    break moved;
                }
            }
            damping *= 10.0;
            if damping > 1e9 {
                break 'search;
            }
        };
        if before - sum <= 1e-13 * before && moved < 1e-9 {
            break;
        }
    }
    let spread = normal(shape, &p, &linear, data).0.inverse();
    Some(Fit { p, linear, sum_squares: sum, spread })
}

/// The best of several starts.
pub(super) fn best<const P: usize>(
    shape: &impl Shape<P>,
    starts: impl IntoIterator<Item = [f64; P]>,
    data: Data<'_>,
) -> Option<Fit<P>> {
    let fits = starts.into_iter().filter_map(|s| fit(shape, s, data));
    fits.min_by(|a, b| a.sum_squares.total_cmp(&b.sum_squares))
}
