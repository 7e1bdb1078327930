//! Bars and rigid blocks that hold each other, solved by least work (Menabrea, Castigliano): of all forces in the joints
//! that balance every body, the true ones store the least energy.
//!
//! The unknowns are forces; nothing is asked about movements, and no stiffness of a bar is ever written down. A bar's
//! energy is the integral along it of `N² / 2EA + V² / 2kGA + T² / 2GJ + M² / 2EI`, each by statics from what hangs on
//! the bar beyond the cut. Between two places where something hangs, `M` is at most a square of the way along under an
//! even load, so the integrand is of the fourth degree at most, and Gauss's three points give it exactly.
//!
//! Source: Timoshenko, *Strength of Materials*, part I, ch. 11 (strain energy, theorem of least work) \[from memory\].

use faer::linalg::solvers::Solve;
use glam::DVec3;
use mechanics::wrench::Wrench;

/// Gauss's three points on 0 to 1 with their weights.
const GAUSS: [(f64, f64); 3] =
    [(0.112_701_665_379_258_31, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];
/// Energy is counted in microjoules, so that its numbers are of the size of those of the balance.
const MICRO: f64 = 1e6;
/// A strap that pulls less than this, N, is slack or as good as slack.
const SLACK_N: f64 = 1e-6;

/// What a bar gives by, per unit of length.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bar {
    pub(crate) a: DVec3,
    pub(crate) b: DVec3,
    /// 1/N: stretch, shear.
    pub(crate) stretch: f64,
    pub(crate) shear: f64,
    /// 1/(N m²): twist, bending.
    pub(crate) twist: f64,
    pub(crate) bending: f64,
    /// Even load, N/m.
    pub(crate) line: DVec3,
}

/// A body: a bar, or a rigid block.
#[derive(Clone, Debug, Default)]
struct Body {
    bar: Option<Bar>,
    /// Distance along the bar, which unknown (none: a known action), the action of one unit of it about the origin.
    hung: Vec<(f64, Option<usize>, Wrench)>,
}

/// Bodies and the unknown forces between them and from the ground.
#[derive(Clone, Debug, Default)]
pub(crate) struct Work {
    bodies: Vec<Body>,
    /// Compliance of each unknown's own spring, m/N or rad/(N m); 0 is rigid.
    give: Vec<f64>,
}

/// Unknown forces, and the movement that each would make if it were let go: 0 but for those that were held.
pub(crate) struct Answer {
    pub(crate) force: Vec<f64>,
    pub(crate) gap: Vec<f64>,
}

/// Matrix of the energy with a last column for the known actions, and rows of the balance likewise.
struct System {
    energy: Vec<Vec<f64>>,
    balance: Vec<Vec<f64>>,
}

impl Work {
    pub(crate) fn body(&mut self, bar: Option<Bar>) -> usize {
        self.bodies.push(Body { bar, hung: Vec::new() });
        self.bodies.len() - 1
    }

    /// A new unknown force with a spring of its own.
    pub(crate) fn unknown(&mut self, give: f64) -> usize {
        self.give.push(give);
        self.give.len() - 1
    }

    /// Unknown forces in all, and conditions of balance.
    pub(crate) fn size(&self) -> (usize, usize) {
        (self.give.len(), 6 * self.bodies.len())
    }

    /// One unit of `unknown` (or a known action) hangs on a body, `s` along it.
    pub(crate) fn hang(&mut self, body: usize, s: f64, unknown: Option<usize>, at: DVec3, unit: Wrench) {
        self.bodies[body].hung.push((s, unknown, unit.about(at, DVec3::ZERO)));
    }

    /// Six rigid unknowns between two bodies at a point.
    pub(crate) fn join(&mut self, first: (usize, f64), second: (usize, f64), at: DVec3) {
        for k in 0..6 {
            let mut unit = [0.0; 6];
            unit[k] = 1.0;
            let unit = Wrench::from_array(unit);
            let u = Some(self.unknown(0.0));
            self.hang(first.0, first.1, u, at, unit);
            self.hang(second.0, second.1, u, at, -unit);
        }
    }

    /// Everything known that acts, about the origin.
    pub(crate) fn known(&self) -> Wrench {
        let n = self.give.len();
        self.bodies.iter().map(|b| b.beyond(-1.0, DVec3::ZERO, n)[n]).fold(Wrench::ZERO, |a, b| a + b)
    }

    fn system(&self) -> System {
        let n = self.give.len();
        let mut energy = vec![vec![0.0; n + 1]; n];
        let mut balance = Vec::new();
        for (i, give) in self.give.iter().enumerate() {
            energy[i][i] = give * MICRO;
        }
        for body in &self.bodies {
            let about = body.bar.map_or(DVec3::ZERO, |b| (b.a + b.b) / 2.0);
            let whole = body.beyond(-1.0, about, n);
            for k in 0..6 {
                balance.push(whole.iter().map(|w| w.to_array()[k]).collect());
            }
            let Some(bar) = body.bar else { continue };
            let length = (bar.b - bar.a).length();
            let axis = (bar.b - bar.a) / length;
            let mut places: Vec<f64> = body.hung.iter().map(|h| h.0).chain([0.0, length]).collect();
            places.sort_by(f64::total_cmp);
            for piece in places.windows(2) {
                for (share, weight) in GAUSS {
                    let (s, weight) =
                        (piece[0] + share * (piece[1] - piece[0]), weight * (piece[1] - piece[0]));
                    let cut = body.beyond(s, bar.a + axis * s, n);
                    for (i, row) in energy.iter_mut().enumerate().filter(|(i, _)| cut[*i] != Wrench::ZERO) {
                        for (w, e) in cut.iter().zip(row.iter_mut()) {
                            *e += weight * MICRO * bar.mutual(axis, cut[i], *w);
                        }
                    }
                }
            }
        }
        System { energy, balance }
    }

    /// Least work with some unknowns held at a force, and some made too short by a length.
    pub(crate) fn solve(&self, held: &[(usize, f64)], short: &[(usize, f64)]) -> Answer {
        let s = self.system();
        let (n, m) = (self.give.len(), s.balance.len());
        let mut k = faer::Mat::<f64>::zeros(n + m, n + m);
        let mut rhs = faer::Mat::<f64>::zeros(n + m, 1);
        for i in 0..n {
            if let Some((_, force)) = held.iter().find(|h| h.0 == i) {
                (k[(i, i)], rhs[(i, 0)]) = (1.0, *force);
                continue;
            }
            for j in 0..n {
                k[(i, j)] = s.energy[i][j];
            }
            for j in 0..m {
                k[(i, n + j)] = s.balance[j][i];
            }
            let short: f64 = short.iter().filter(|x| x.0 == i).map(|x| x.1).sum();
            rhs[(i, 0)] = short * MICRO - s.energy[i][n];
        }
        for (j, row) in s.balance.iter().enumerate() {
            for i in 0..n {
                k[(n + j, i)] = row[i];
            }
            rhs[(n + j, 0)] = -row[n];
        }
        let x = k.partial_piv_lu().solve(&rhs);
        let miss = (&k * &x - &rhs).norm_max();
        assert!(miss <= 1e-7 * rhs.norm_max(), "least work is off by {miss:e}");
        let gap = (0..n).map(|i| {
            let stored: f64 = (0..n).map(|j| s.energy[i][j] * x[(j, 0)]).sum::<f64>() + s.energy[i][n];
            (stored + (0..m).map(|j| s.balance[j][i] * x[(n + j, 0)]).sum::<f64>()) / MICRO
        });
        let gap = gap.collect();
        Answer { force: (0..n).map(|i| x[(i, 0)]).collect(), gap }
    }

    /// The same where the unknowns of `short` only pull: those that would push are slack.
    pub(crate) fn solve_taut(&self, held: &[(usize, f64)], short: &[(usize, f64)]) -> Answer {
        let mut slack: Vec<usize> = Vec::new();
        for _ in 0..20 {
            let mut all = held.to_vec();
            all.extend(slack.iter().map(|i| (*i, 0.0)));
            let answer = self.solve(&all, short);
            let free = |i: &usize| held.iter().all(|h| h.0 != *i);
            let next: Vec<usize> = short
                .iter()
                .filter(|(i, _)| free(i))
                .filter(|(i, short)| {
                    // A slack one stays so while its ends are too near for it.
                    if slack.contains(i) { answer.gap[*i] > *short } else { answer.force[*i] < -SLACK_N }
                })
                .map(|(i, _)| *i)
                .collect();
            if next == slack {
                return answer;
            }
            slack = next;
        }
        panic!("straps find no rest");
    }
}

impl Body {
    /// For each unknown and, last, for what is known: the action about `at` of all that hangs beyond `s`.
    fn beyond(&self, s: f64, at: DVec3, n: usize) -> Vec<Wrench> {
        let mut out = vec![Wrench::ZERO; n + 1];
        for (_, unknown, unit) in self.hung.iter().filter(|h| h.0 > s) {
            out[unknown.unwrap_or(n)] += unit.about(DVec3::ZERO, at);
        }
        if let Some(bar) = &self.bar {
            let length = (bar.b - bar.a).length();
            let rest = length - s.max(0.0);
            let middle = bar.b + (bar.a - bar.b) * (0.5 * rest / length);
            out[n] += Wrench::of_force_at(bar.line * rest, middle - at);
        }
        out
    }
}

impl Bar {
    /// Energy per length that two actions over a cut store with each other: stretch, shear, twist, bending.
    fn mutual(&self, axis: DVec3, p: Wrench, q: Wrench) -> f64 {
        let split = |v: DVec3| (v.dot(axis), v - axis * v.dot(axis));
        let ((pn, pv), (pt, pm)) = (split(p.force), split(p.moment));
        let ((qn, qv), (qt, qm)) = (split(q.force), split(q.moment));
        pn * qn * self.stretch + pv.dot(qv) * self.shear + pt * qt * self.twist + pm.dot(qm) * self.bending
    }
}
