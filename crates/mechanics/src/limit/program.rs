//! The largest multiplier of an action for which a rigid rig can be in equilibrium: a second-order cone
//! program.

use super::contact::{Kind, LimitError, Support, finite_vec};
use super::scaled::{Block, ContactWrenches, Program, Scale, add_support, vacuum_wrench};
use crate::wrench::Wrench;
use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettings, DefaultSettingsBuilder, DefaultSolver, IPSolver, SolverStatus, SupportedConeT,
};
use glam::DVec3;

/// Multipliers beyond this are not told apart: nothing on a car needs a hundredfold action.
pub const LAMBDA_CAP: f64 = 100.0;

/// Largest unbalanced remainder, as a share of the characteristic load, with which an answer is believed.
const RESIDUAL_TOL: f64 = 1e-6;

/// Part of the fixed action that may be missing, as a share of the characteristic load, before it counts as not
/// held: what rounding down by the remainder can take from it.
const MISSING_TOL: f64 = 1e-6;

/// Multiple of the remainder by which the multiplier is lowered: a remainder across the action may cost more
/// than its own size through the levers of the rig.
const REMAINDER_FACTOR: f64 = 10.0;

/// What a support does in the equilibrium found, at the largest multiplier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SupportAction {
    /// A contact or cup.
    Contact {
        /// Contact force between seal and panel `N`, N, 0 or more.
        contact_n: f64,
        /// Pull on the cup `T = N0 - N`, N, + away from the panel.
        pull_n: f64,
        /// Net action of the panel on the rig, vacuum included, moment about the contact point.
        on_rig: Wrench,
    },
    /// A strap.
    Strap {
        /// Tension, N.
        tension_n: f64,
    },
    /// A pin or clamped joint: its action on the rig, moment about the joint.
    Hold {
        /// Force and moment.
        on_rig: Wrench,
    },
}

/// Answer of the limit analysis.
#[derive(Clone, Debug, PartialEq)]
#[must_use]
pub enum Outcome {
    /// The variable action can grow to this multiple and no further.
    Multiplier {
        /// Largest multiplier, verified and rounded down.
        lambda: f64,
        /// Action of each support at that multiplier, in the order given.
        supports: Vec<SupportAction>,
    },
    /// It can grow at least to the stated multiple; beyond was not looked for.
    AtLeast(f64),
    /// Already the fixed action cannot be held.
    FixedActionNotHeld {
        /// The share of it that can, 0 to 1.
        share: f64,
    },
    /// The solver gave no answer that passes the check: nothing is known.
    NotSolved {
        /// Why.
        status: &'static str,
    },
}

/// Largest multiple of the variable action that the supports can hold beside the fixed action.
///
/// ```text
/// maximise lambda   subject to
///   sum G_i f_i + w_fixed + lambda w_variable = 0        equilibrium of the rigid rig
///   contact   N >= 0,  |M| <= e N,  sqrt(V² + (Mz/r_t)²) <= mu N
///   cup       the same with N = N0 - T, T free, ratings T <= T_max, |V| <= V_max
///   strap     0 <= tension <= capacity
///   pin, clamped joint: any force (and moment)
///   0 <= lambda <= cap
/// ```
///
/// # Symbols
///
/// | here       | unit   | meaning                                                      |
/// |------------|--------|--------------------------------------------------------------|
/// | `fixed`    | N, N m | action on the rig that stays, about `about`                  |
/// | `variable` | N, N m | action on the rig that is multiplied, about `about`          |
/// | `about`    | m      | point of the moments, in the axes of the support positions   |
///
/// # Assumes
///
/// A rigid rig and supports that give way plastically. Friction is not associative (a sliding contact does
/// not open), so what is found is where **equilibrium becomes impossible**: above it the rig lets go for
/// certain; below it an equilibrium exists, but stiffness and history decide whether the rig finds it.
/// Compare it with first slip and first lift, do not replace them by it. Pretension needs no input: any
/// tension within the capacity may set itself.
///
/// # Method
///
/// Interior-point solution with loads scaled by the characteristic load and lengths by the rig's size. The
/// multiplier is not taken from the solver on trust: support forces are moved into their limits, the unbalanced
/// remainder is formed from the unscaled data, and the multiplier is lowered by ten times
/// its share of the variable action; a remainder above 1e-6 of the characteristic load is no answer.
///
/// # Source
///
/// Static theorem of limit analysis (Drucker, Prager & Greenberg 1952) and its limits with friction (Drucker
/// 1954) [from memory]; grasp and contact statics as cone programs (Lobo, Vandenberghe, Boyd & Lebret,
/// "Applications of second-order cone programming", 1998, §3.4) [from memory]. `docs/mechanics.md` §6. Checked by the closed forms and
/// properties beside this file and by LR-6 in `tests/sources/cup_bolt`.
///
/// # Errors
///
/// [`LimitError`] if a wrench or the point is not finite.
///
/// # Examples
///
/// ```
/// # use mechanics::limit::{Friction, Outcome, Support, largest_multiplier};
/// # use mechanics::wrench::Wrench;
/// # use glam::DVec3;
/// // One cup, 3 kN of vacuum, pulled straight off with 1 kN: three times that lets go.
/// let cup = Support::cup(DVec3::ZERO, DVec3::Z, Friction::new(0.4, 0.055, 0.118)?, 3_000.0)?;
/// let pull = Wrench::new(DVec3::Z * 1_000.0, DVec3::ZERO);
/// let Outcome::Multiplier { lambda, .. } = largest_multiplier(&[cup], Wrench::ZERO, pull, DVec3::ZERO)? else {
///     return Err("no multiplier".into());
/// };
/// assert!((lambda - 3.0).abs() < 1e-5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn largest_multiplier(
    supports: &[Support],
    fixed: Wrench,
    variable: Wrench,
    about: DVec3,
) -> Result<Outcome, LimitError> {
    largest_multiplier_within(LAMBDA_CAP, supports, fixed, variable, about)
}

/// [`largest_multiplier`] with another cap.
///
/// # Errors
///
/// As there, and if the cap is not positive and finite.
pub fn largest_multiplier_within(
    cap: f64,
    supports: &[Support],
    fixed: Wrench,
    variable: Wrench,
    about: DVec3,
) -> Result<Outcome, LimitError> {
    if !cap.is_finite() {
        return Err(LimitError::NotFinite { what: "cap on the multiplier" });
    }
    if cap <= 0.0 {
        return Err(LimitError::OutOfRange {
            what: "cap on the multiplier",
            value: cap,
            needs: "more than 0",
        });
    }
    all_finite(fixed, variable, about)?;
    // Nothing at all is always held (each cup at rest on its own vacuum), so the share of the fixed
    // action that is held is itself a multiplier, and a well-posed one.
    if fixed != Wrench::ZERO {
        match solve(1.0, supports, Wrench::ZERO, fixed, about) {
            Outcome::AtLeast(_) => {}
            Outcome::Multiplier { lambda, .. } => {
                let missing = |s: Scale| (1.0 - lambda) * s.variable_n / s.force_n;
                let held = Scale::of(supports, Wrench::ZERO, fixed, about).map(missing);
                if !held.is_some_and(|m| m <= MISSING_TOL) {
                    return Ok(Outcome::FixedActionNotHeld { share: lambda });
                }
            }
            other => return Ok(other),
        }
    }
    Ok(beside(cap, supports, fixed, variable, about))
}

/// [`largest_multiplier`] where the fixed action is known to be held by these supports, or by some of them: that is not asked
/// again. Where it is not held the answer is that of an action which first has to grow to be held, and no answer at all.
///
/// # Errors
///
/// As there.
pub fn largest_multiplier_of_held(
    supports: &[Support],
    fixed: Wrench,
    variable: Wrench,
    about: DVec3,
) -> Result<Outcome, LimitError> {
    all_finite(fixed, variable, about)?;
    Ok(beside(LAMBDA_CAP, supports, fixed, variable, about))
}

fn all_finite(fixed: Wrench, variable: Wrench, about: DVec3) -> Result<(), LimitError> {
    for (what, v) in [
        ("fixed force", fixed.force),
        ("fixed moment", fixed.moment),
        ("variable force", variable.force),
        ("variable moment", variable.moment),
        ("point of the moments", about),
    ] {
        finite_vec(what, v)?;
    }
    Ok(())
}

fn beside(cap: f64, supports: &[Support], fixed: Wrench, variable: Wrench, about: DVec3) -> Outcome {
    if variable == Wrench::ZERO {
        Outcome::AtLeast(cap)
    } else {
        solve(cap, supports, fixed, variable, about)
    }
}

pub(super) fn settings(careful: bool) -> Option<DefaultSettings<f64>> {
    // The careful pass regularises less and lets the solver grind on where the first gave up.
    DefaultSettingsBuilder::default()
        .verbose(false)
        .max_threads(1)
        .tol_gap_abs(1e-10)
        .tol_gap_rel(1e-10)
        .tol_feas(1e-10)
        .reduced_tol_gap_abs(1e-7)
        .reduced_tol_gap_rel(1e-7)
        .reduced_tol_feas(1e-7)
        .equilibrate_enable(!careful)
        .static_regularization_constant(if careful { 1e-10 } else { 1e-8 })
        .max_iter(if careful { 400 } else { 100 })
        .build()
        .ok()
}

fn solve(cap: f64, supports: &[Support], fixed: Wrench, variable: Wrench, about: DVec3) -> Outcome {
    let Some(scale) = Scale::of(supports, fixed, variable, about) else {
        return Outcome::NotSolved { status: "loads or lengths out of range" };
    };
    let constant = fixed + vacuum_wrench(supports, about);
    let mut p = Program::default();
    p.b.extend(scale.row(-constant, scale.force_n));
    p.cones.push(SupportedConeT::ZeroConeT(6));
    let blocks: Vec<Block> = supports.iter().map(|s| add_support(&mut p, s, about, scale)).collect();
    // lambda in units in which the variable action has the characteristic size.
    let per_lambda = scale.variable_n / scale.force_n;
    let lambda_col = p.column(scale.row(variable, scale.variable_n));
    p.at_least_zero(0.0, 1.0, lambda_col);
    p.at_least_zero(cap * per_lambda, -1.0, lambda_col);

    let n = p.columns;
    let mut q = vec![0.0; n];
    if let Some(last) = q.last_mut() {
        *last = -1.0;
    }
    let a = CscMatrix::new_from_triplets(p.b.len(), n, p.rows, p.cols, p.vals);
    let quadratic = CscMatrix::zeros((n, n));
    let mut status = "the solver could not be set up";
    for careful in [false, true] {
        let Some(settings) = settings(careful) else { break };
        let Ok(mut solver) = DefaultSolver::new(&quadratic, &q, &a, &p.b, &p.cones, settings) else { break };
        solver.solve();
        status = status_text(solver.solution.status);
        if !matches!(solver.solution.status, SolverStatus::Solved | SolverStatus::AlmostSolved) {
            continue;
        }
        match verify(&solver.solution.x, &blocks, supports, constant, (variable, about), scale) {
            Ok((lambda, actions)) => {
                return if lambda >= cap * (1.0 - 1e-6) {
                    Outcome::AtLeast(cap)
                } else {
                    Outcome::Multiplier { lambda, supports: actions }
                };
            }
            Err(why) => status = why,
        }
    }
    Outcome::NotSolved { status }
}

/// Moves the support forces into their limits, forms the unbalanced remainder and lowers lambda by it.
fn verify(
    x: &[f64],
    blocks: &[Block],
    supports: &[Support],
    constant: Wrench,
    (variable, about): (Wrench, DVec3),
    scale: Scale,
) -> Result<(f64, Vec<SupportAction>), &'static str> {
    const UNREADABLE: &str = "the solver's answer is incomplete";
    let lambda = x.last().copied().ok_or(UNREADABLE)? * scale.force_n / scale.variable_n;
    let mut balance = constant + variable * lambda;
    let mut actions = Vec::with_capacity(supports.len());
    for (s, block) in supports.iter().zip(blocks) {
        let values = x.get(block.first..).ok_or(UNREADABLE)?;
        let at = |i: usize| values.get(i).map(|v| v * scale.force_n).ok_or(UNREADABLE);
        match &s.0 {
            Kind::Contact(c) => {
                let ContactWrenches { normal, rub, tilt } = ContactWrenches::of(c, about);
                let mut rubbing = (0..block.rub).map(|i| at(1 + i)).collect::<Result<Vec<_>, _>>()?;
                let tilting =
                    (0..block.tilt).map(|i| at(1 + block.rub + i)).collect::<Result<Vec<_>, _>>()?;
                let norm = |v: &[f64]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
                if let Some(limit) = c.shear_limit_n {
                    let shear = norm(rubbing.get(..2).unwrap_or_default());
                    if shear > limit {
                        rubbing.iter_mut().take(2).for_each(|v| *v *= limit / shear);
                    }
                }
                let mut n = at(0)?.max(c.least_n()).max(norm(&tilting));
                if c.friction.mu > 0.0 {
                    n = n.max(norm(&rubbing) / c.friction.mu);
                }
                let mut on_rig = normal * n;
                for (w, v) in rub.iter().chain(&tilt).zip(rubbing.iter().chain(&tilting)) {
                    on_rig += *w * *v;
                }
                balance += on_rig;
                let net = (on_rig + Wrench::of_force_at(-c.vacuum_n * c.normal, c.at_m - about))
                    .about(about, c.at_m);
                actions.push(SupportAction::Contact { contact_n: n, pull_n: c.vacuum_n - n, on_rig: net });
            }
            Kind::Strap { capacity_n, pulls } => {
                let tension_n = at(0)?.clamp(0.0, *capacity_n);
                for q in pulls {
                    balance += Wrench::of_force_at(q.per_newton * tension_n, q.at_m - about);
                }
                actions.push(SupportAction::Strap { tension_n });
            }
            Kind::Hold { at_m, moments } => {
                let force = DVec3::new(at(0)?, at(1)?, at(2)?);
                let moment =
                    if *moments { DVec3::new(at(3)?, at(4)?, at(5)?) * scale.length_m } else { DVec3::ZERO };
                let on_rig = Wrench::new(force, moment);
                balance += on_rig.about(*at_m, about);
                actions.push(SupportAction::Hold { on_rig });
            }
        }
    }
    let remainder = balance.force.length().max(balance.moment.length() / scale.length_m);
    // Written so that a NaN fails.
    if remainder <= RESIDUAL_TOL * scale.force_n && lambda.is_finite() {
        Ok(((lambda - REMAINDER_FACTOR * remainder / scale.variable_n).max(0.0), actions))
    } else {
        Err("the solver's answer is not in equilibrium")
    }
}

pub(super) fn status_text(status: SolverStatus) -> &'static str {
    match status {
        SolverStatus::Solved => "solved",
        SolverStatus::AlmostSolved => "solved to reduced accuracy",
        SolverStatus::PrimalInfeasible | SolverStatus::AlmostPrimalInfeasible => "no equilibrium found",
        SolverStatus::DualInfeasible | SolverStatus::AlmostDualInfeasible => "unbounded",
        SolverStatus::MaxIterations | SolverStatus::MaxTime => "too many iterations",
        SolverStatus::NumericalError | SolverStatus::InsufficientProgress => "numerical trouble",
        _ => "stopped without an answer",
    }
}
