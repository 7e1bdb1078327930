//! The forces within all limits that are nearest in energy to the linear ones: a second-order cone program.

use super::influence::Influence;
use super::program::{settings, status_text};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{DefaultSolver, IPSolver, SolverStatus, SupportedConeT};
use faer::{Mat, Side};

/// Eigenvalue under which a movement costs nothing, as a share of the largest: rounding leaves 1e-12, a soft tube 1e-6.
const FREE: f64 = 1e-9;
/// By how much a limit may be passed, as a share of the characteristic force.
const LIMIT_TOL: f64 = 1e-7;
/// By how much the forces may miss what the movements ask for, as a share of the characteristic force.
const GIVE_TOL: f64 = 1e-6;
/// A refusal is proved for all changes of force up to this many characteristic forces.
const PROVED_TO: f64 = 1e3;

/// A limit on some of the forces.
#[derive(Clone, Copy, Debug)]
pub(super) enum Limit {
    /// `|tail| <= vacuum + normal`: press all round the seal.
    Press { cup: usize, vacuum_n: f64, normal: usize, tail: [usize; 2] },
    /// `|tail| <= mu (vacuum + normal)`: friction.
    Rub { cup: usize, vacuum_n: f64, normal: usize, tail: [usize; 3], mu: f64 },
    /// `0 <= force <= capacity`.
    Strap { force: usize, capacity_n: f64 },
}

/// One row of a limit: `constant + factor * force`, of which cones are made.
#[derive(Clone, Copy)]
struct Row {
    constant_n: f64,
    factor: f64,
    force: usize,
}

impl Limit {
    fn rows(&self) -> Vec<Row> {
        let of = |constant_n, factor, force| Row { constant_n, factor, force };
        match *self {
            Self::Press { vacuum_n, normal, tail, .. } => {
                vec![of(vacuum_n, 1.0, normal), of(0.0, 1.0, tail[0]), of(0.0, 1.0, tail[1])]
            }
            Self::Rub { vacuum_n, normal, tail, mu, .. } => {
                let rub = tail.map(|i| of(0.0, 1.0, i));
                if mu > 0.0 {
                    let [a, b, c] = rub;
                    vec![of(mu * vacuum_n, mu, normal), a, b, c]
                } else {
                    rub.to_vec()
                }
            }
            Self::Strap { force, capacity_n } => vec![of(0.0, 1.0, force), of(capacity_n, -1.0, force)],
        }
    }

    fn cone(&self) -> SupportedConeT<f64> {
        match *self {
            Self::Press { .. } => SupportedConeT::SecondOrderConeT(3),
            Self::Rub { mu, .. } if mu > 0.0 => SupportedConeT::SecondOrderConeT(4),
            Self::Rub { .. } => SupportedConeT::ZeroConeT(3),
            Self::Strap { .. } => SupportedConeT::NonnegativeConeT(2),
        }
    }

    /// By how much rows of this limit lie outside it; not a number counts as far outside.
    fn outside(&self, s: &[f64]) -> f64 {
        let out = match self.cone() {
            SupportedConeT::SecondOrderConeT(_) => {
                norm(s.get(1..).unwrap_or(&[])) - s.first().copied().unwrap_or(f64::NAN)
            }
            SupportedConeT::ZeroConeT(_) => norm(s),
            _ => -s.iter().fold(f64::INFINITY, |a, b| if b.is_nan() { f64::NAN } else { a.min(*b) }),
        };
        if out.is_nan() { f64::INFINITY } else { out }
    }

    /// Moves multipliers of this limit to where they push outwards only.
    fn outwards(&self, z: &mut [f64]) {
        match self.cone() {
            SupportedConeT::SecondOrderConeT(_) => {
                let tail = norm(z.get(1..).unwrap_or(&[]));
                if let Some(head) = z.first_mut() {
                    *head = head.max(tail);
                }
            }
            SupportedConeT::ZeroConeT(_) => {}
            _ => z.iter_mut().for_each(|v| *v = v.max(0.0)),
        }
    }
}

fn norm(v: &[f64]) -> f64 {
    v.iter().map(|x| x * x).sum::<f64>().sqrt()
}

/// The nearest forces and what gave.
#[derive(Clone, Debug)]
pub(super) struct At {
    /// Forces, N and N m.
    pub(super) forces: Vec<f64>,
    /// How parts gave, m and rad: pushed by their limits alone.
    pub(super) movement: Vec<f64>,
    /// For each cup the opening at its seal, m.
    pub(super) press: Vec<Option<f64>>,
    /// For each cup the way it slid, m, turning at the torsion radius with it.
    pub(super) rub: Vec<Option<f64>>,
    /// The characteristic force, N.
    pub(super) unit_n: f64,
}

/// What was found.
pub(super) enum Found {
    At(At),
    /// No forces within the limits, and that is proved.
    Nowhere,
    Unknown(&'static str),
}

/// Influences by their movements that cost something: `A = a0 L Lᵀ`, moments over their radii.
#[derive(Clone, Debug)]
pub(super) struct Nearest {
    radii: Vec<f64>,
    a0: f64,
    /// Row-major, a row a force, a column a movement.
    l: Vec<f64>,
    width: usize,
    supports: usize,
    /// The program's matrix, the same for every action: `-B L`.
    program: CscMatrix<f64>,
}

impl Nearest {
    pub(super) fn new(influence: &Influence, limits: &[Limit], radii: &[f64]) -> Self {
        let n = influence.count();
        let scaled = Mat::from_fn(n, n, |i, j| influence.at(i, j) / (radii[i] * radii[j]));
        let a0 = (0..n).fold(0.0_f64, |m, i| m.max(scaled[(i, i)]));
        let mut columns: Vec<Vec<f64>> = Vec::new();
        if a0 > 0.0
            && let Ok(e) = (&scaled * faer::Scale(1.0 / a0)).self_adjoint_eigen(Side::Lower)
        {
            for k in 0..n {
                let value = e.S()[k];
                if value > FREE {
                    columns.push((0..n).map(|i| e.U()[(i, k)] * value.sqrt()).collect());
                }
            }
        }
        let width = columns.len();
        let l: Vec<f64> =
            (0..n).flat_map(|i| columns.iter().map(move |c| c[i]).collect::<Vec<_>>()).collect();
        let rows: Vec<Row> = limits.iter().flat_map(Limit::rows).collect();
        let (mut at, mut col, mut val) = (Vec::new(), Vec::new(), Vec::new());
        for (r, row) in rows.iter().enumerate() {
            for k in 0..width {
                at.push(r);
                col.push(k);
                val.push(-row.factor * l[row.force * width + k]);
            }
        }
        let program = CscMatrix::new_from_triplets(rows.len(), width, at, col, val);
        Self {
            radii: radii.to_vec(),
            a0: if a0 > 0.0 { a0 } else { 1.0 },
            l,
            width,
            supports: influence.supports(),
            program,
        }
    }

    /// Stiffness of the stiffest part in its place, N/m.
    pub(super) fn stiffest(&self) -> f64 {
        self.a0
    }

    /// `L x` or `Lᵀ x`.
    fn times(&self, x: &[f64]) -> Vec<f64> {
        if self.width == 0 {
            return vec![0.0; self.radii.len()];
        }
        self.l.chunks_exact(self.width).map(|row| row.iter().zip(x).map(|(a, b)| a * b).sum()).collect()
    }

    fn transposed(&self, p: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.width];
        if self.width > 0 {
            for (row, p) in self.l.chunks_exact(self.width).zip(p) {
                for (o, v) in out.iter_mut().zip(row) {
                    *o += v * p;
                }
            }
        }
        out
    }

    /// Forces nearest to `linear + A back` within the limits.
    ///
    /// With `F = F' + L x` (forces over the characteristic force, moments over their radii): `min |x|²`, rows `c + B F` in their
    /// cones. The multipliers `z` are the movements, `p = Bᵀ z`, and `x = Lᵀ p`.
    pub(super) fn of(&self, limits: &[Limit], linear: &[f64], back: &[f64]) -> Found {
        let rows: Vec<Row> = limits.iter().flat_map(Limit::rows).collect();
        let vacuum = |l: &Limit| match *l {
            Limit::Press { vacuum_n, .. } | Limit::Rub { vacuum_n, .. } => vacuum_n,
            Limit::Strap { .. } => 0.0,
        };
        let mut unit_n = limits.iter().map(vacuum).fold(0.0, f64::max);
        for (f, r) in linear.iter().zip(&self.radii) {
            unit_n = unit_n.max((f / r).abs());
        }
        if unit_n <= 0.0 {
            unit_n = 1.0;
        }
        let per = self.a0 / unit_n;
        let back: Vec<f64> = back.iter().zip(&self.radii).map(|(b, r)| b * r * per).collect();
        let shift = self.times(&self.transposed(&back));
        let start: Vec<f64> =
            linear.iter().zip(&self.radii).zip(&shift).map(|((f, r), s)| f / (r * unit_n) + s).collect();
        let read = |f: &[f64]| -> Vec<f64> {
            rows.iter()
                .map(|r| r.constant_n / unit_n + r.factor * f.get(r.force).copied().unwrap_or(f64::NAN))
                .collect()
        };
        let b = read(&start);
        if self.width == 0 {
            let z = vec![0.0; b.len()];
            // Statically determinate: nothing can be shared out anew.
            return if outside(limits, &b) <= LIMIT_TOL {
                self.at(limits, &rows, &start, &z, unit_n)
            } else {
                Found::Nowhere
            };
        }
        let cones: Vec<SupportedConeT<f64>> = limits.iter().map(Limit::cone).collect();
        let energy = CscMatrix::identity(self.width);
        let q = vec![0.0; self.width];
        let mut status = "the solver could not be set up";
        for careful in [false, true] {
            let Some(settings) = settings(careful) else { break };
            let Ok(mut solver) = DefaultSolver::new(&energy, &q, &self.program, &b, &cones, settings) else {
                break;
            };
            solver.solve();
            let mut z = solver.solution.z.clone();
            each(limits, &mut z, Limit::outwards);
            let give = self.transposed(&pushed(&rows, &z, self.radii.len()));
            status = status_text(solver.solution.status);
            match solver.solution.status {
                SolverStatus::Solved | SolverStatus::AlmostSolved => {
                    let x = &solver.solution.x;
                    let forces: Vec<f64> = start.iter().zip(self.times(x)).map(|(a, b)| a + b).collect();
                    let miss = x.iter().zip(&give).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                    let inside = outside(limits, &read(&forces)) <= LIMIT_TOL;
                    if inside && miss <= GIVE_TOL {
                        return self.at(limits, &rows, &forces, &z, unit_n);
                    }
                    status = if inside {
                        "the solver's answer is not the nearest"
                    } else {
                        "the solver's answer is not within its limits"
                    };
                }
                SolverStatus::PrimalInfeasible | SolverStatus::AlmostPrimalInfeasible => {
                    // z·(c + B F) >= 0 for all F within the limits, and here it is negative for every F = F' + L x up to a size.
                    let gain: f64 = -b.iter().zip(&z).map(|(b, z)| b * z).sum::<f64>();
                    if gain > PROVED_TO * norm(&give) && gain > 0.0 {
                        return Found::Nowhere;
                    }
                    status = "no equilibrium found, and none ruled out";
                }
                _ => {}
            }
        }
        Found::Unknown(status)
    }

    fn at(&self, limits: &[Limit], rows: &[Row], forces: &[f64], z: &[f64], unit_n: f64) -> Found {
        let m = unit_n / self.a0;
        let (mut press, mut rub) = (vec![None; self.supports], vec![None; self.supports]);
        let mut z = z.to_vec();
        each(limits, &mut z, |l, z| {
            let (list, cup, value) = match *l {
                Limit::Press { cup, .. } => (&mut press, cup, z.first().map_or(0.0, |v| v * m)),
                Limit::Rub { cup, mu, .. } => {
                    (&mut rub, cup, norm(z.get(usize::from(mu > 0.0)..).unwrap_or(&[])) * m)
                }
                Limit::Strap { .. } => return,
            };
            if let Some(v) = list.get_mut(cup) {
                *v = Some(value);
            }
        });
        let movement = pushed(rows, &z, self.radii.len());
        Found::At(At {
            forces: forces.iter().zip(&self.radii).map(|(f, r)| f * r * unit_n).collect(),
            movement: movement.iter().zip(&self.radii).map(|(p, r)| p * m / r).collect(),
            press,
            rub,
            unit_n,
        })
    }
}

/// `Bᵀ z`.
fn pushed(rows: &[Row], z: &[f64], n: usize) -> Vec<f64> {
    let mut p = vec![0.0; n];
    for (row, z) in rows.iter().zip(z) {
        if let Some(v) = p.get_mut(row.force) {
            *v += row.factor * z;
        }
    }
    p
}

/// Each limit with its rows.
fn each(limits: &[Limit], values: &mut [f64], mut f: impl FnMut(&Limit, &mut [f64])) {
    let mut rest = values;
    for l in limits {
        let n = l.rows().len().min(rest.len());
        let (own, after) = rest.split_at_mut(n);
        f(l, own);
        rest = after;
    }
}

fn outside(limits: &[Limit], rows: &[f64]) -> f64 {
    let mut worst = 0.0_f64;
    let mut rows = rows.to_vec();
    each(limits, &mut rows, |l, s| worst = worst.max(l.outside(s)));
    worst
}
