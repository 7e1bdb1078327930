//! Exact stepping of a quarter car over a profile sampled at equal steps.

use super::RoadError;
use super::quarter_car::{Corner, QuarterCar};
use crate::range::Range;

const STEP: Range = Range { what: "time step", low: 1e-7, high: 1.0, unit: "s" };

/// Height and upward velocity of body and wheel from static equilibrium: `[z_s, z_s', z_u, z_u']`, m and m/s.
pub type State = [f64; 4];

/// One step of a quarter car with the road height held over the step: `x⁺ = S x + p z_r`.
///
/// `S = exp(A Δt)` and `p = ∫ exp(A τ) b dτ`, both read from the exponential of `[[A, b], [0, 0]] Δt`.
///
/// # Source
///
/// M. W. Sayers, T. D. Gillespie and W. D. O. Paterson, *Guidelines for conducting and calibrating road roughness
/// measurements*, World Bank Technical Paper 46 (1986) [from memory]. `docs/mechanics.md` §3.7. Checked by
/// `tests/sources/sayers-1986`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Transition {
    /// `S`, rows in the order of [`State`].
    pub state: [[f64; 4]; 4],
    /// `p`.
    pub input: [f64; 4],
}

impl Transition {
    /// The step of `step_s` seconds for a quarter car.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] for a step outside 0.1 µs to 1 s; [`RoadError::TooStiff`] when the car's own times are
    /// shorter than the step by a factor of about 10⁹.
    pub fn new(car: &QuarterCar, step_s: f64) -> Result<Self, RoadError> {
        let dt = STEP.check(step_s)?;
        let (a, b) = equations(car.corner());
        let mut whole = [[0.0; 5]; 5];
        for (row, (a_row, b_row)) in whole.iter_mut().zip(a.iter().zip(b)) {
            for (to, from) in row.iter_mut().zip(a_row) {
                *to = from * dt;
            }
            row[4] = b_row * dt;
        }
        let e = exponential(&whole)?;
        let mut step = Self { state: [[0.0; 4]; 4], input: [0.0; 4] };
        for (i, [zs, vs, zu, vu, road]) in e.into_iter().take(4).enumerate() {
            step.state[i] = [zs, vs, zu, vu];
            step.input[i] = road;
        }
        Ok(step)
    }

    /// The state one step later, with the road at `road_m` all through it.
    #[must_use]
    pub fn step(&self, x: &State, road_m: f64) -> State {
        let mut next = [0.0; 4];
        for (to, (row, input)) in next.iter_mut().zip(self.state.iter().zip(self.input)) {
            *to = row.iter().zip(x).map(|(s, x)| s * x).sum::<f64>() + input * road_m;
        }
        next
    }
}

/// `x' = A x + b z_r` of a quarter car; see [`QuarterCar`].
fn equations(corner: &Corner) -> ([[f64; 4]; 4], [f64; 4]) {
    let Corner { sprung_kg: ms, unsprung_kg: mu, spring_n_m: ks, damper_n_s_m: cs, tyre_n_m: kt } = *corner;
    let a = [
        [0.0, 1.0, 0.0, 0.0],
        [-ks / ms, -cs / ms, ks / ms, cs / ms],
        [0.0, 0.0, 0.0, 1.0],
        [ks / mu, cs / mu, -(ks + kt) / mu, -cs / mu],
    ];
    (a, [0.0, 0.0, 0.0, kt / mu])
}

/// `exp(M)` by Taylor series on `M / 2^k`, then `k` squarings; `|M| / 2^k ≤ 1/2`, 18 terms, so truncation is below 10⁻²¹.
///
/// # Source
///
/// C. Moler and C. Van Loan, "Nineteen dubious ways to compute the exponential of a matrix", *SIAM Review* 45 (2003),
/// method 3 [from memory].
fn exponential<const N: usize>(m: &[[f64; N]; N]) -> Result<[[f64; N]; N], RoadError> {
    let norm = m.iter().map(|row| row.iter().map(|v| v.abs()).sum::<f64>()).fold(0.0, f64::max);
    let mut squarings = 0;
    let mut scale = 1.0;
    while norm * scale > 0.5 {
        squarings += 1;
        scale *= 0.5;
        if squarings > 30 {
            return Err(RoadError::TooStiff { steps: 1.0 / scale });
        }
    }
    let mut small = *m;
    for v in small.iter_mut().flatten() {
        *v *= scale;
    }
    let mut sum = identity();
    let mut term = identity();
    for k in 1..=18_u32 {
        term = product(&term, &small);
        for (total, t) in sum.iter_mut().flatten().zip(term.iter_mut().flatten()) {
            *t /= f64::from(k);
            *total += *t;
        }
    }
    for _ in 0..squarings {
        sum = product(&sum, &sum);
    }
    Ok(sum)
}

fn identity<const N: usize>() -> [[f64; N]; N] {
    let mut one = [[0.0; N]; N];
    for (i, row) in one.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    one
}

fn product<const N: usize>(a: &[[f64; N]; N], b: &[[f64; N]; N]) -> [[f64; N]; N] {
    let mut c = [[0.0; N]; N];
    for (c_row, a_row) in c.iter_mut().zip(a) {
        for (a_ik, b_row) in a_row.iter().zip(b) {
            for (c_ij, b_kj) in c_row.iter_mut().zip(b_row) {
                *c_ij += a_ik * b_kj;
            }
        }
    }
    c
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::road::quarter_car::GOLDEN_CAR;

    #[test]
    fn exponential_of_a_turn_is_a_rotation() {
        let e = exponential(&[[0.0, -20.0], [20.0, 0.0]]).unwrap();
        // Six squarings of double rounding.
        assert!((e[0][0] - 20.0_f64.cos()).abs() < 1e-12);
        assert!((e[1][0] - 20.0_f64.sin()).abs() < 1e-12);
    }

    #[test]
    fn two_half_steps_make_a_step_and_a_raised_road_is_a_raised_car() {
        let car = QuarterCar::new(GOLDEN_CAR).unwrap();
        let whole = Transition::new(&car, 0.02).unwrap();
        let half = Transition::new(&car, 0.01).unwrap();
        let x = [0.01, -0.2, 0.004, 0.7];
        let (once, twice) = (whole.step(&x, 0.003), half.step(&half.step(&x, 0.003), 0.003));
        for (a, b) in once.iter().zip(twice) {
            assert!((a - b).abs() < 1e-12);
        }
        // Equilibrium on a road that is 5 cm up stays put.
        let up = [0.05, 0.0, 0.05, 0.0];
        for (a, b) in whole.step(&up, 0.05).iter().zip(up) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn a_step_out_of_range_or_a_car_too_stiff_is_refused() {
        let car = QuarterCar::new(GOLDEN_CAR).unwrap();
        assert!(Transition::new(&car, 0.0).is_err());
        assert!(Transition::new(&car, f64::NAN).is_err());
        let stiff = Corner { unsprung_kg: 1e-3, tyre_n_m: 1e9, ..GOLDEN_CAR };
        let stiff = QuarterCar::new(stiff).unwrap();
        assert!(matches!(Transition::new(&stiff, 1.0), Err(RoadError::TooStiff { .. })));
    }
}
