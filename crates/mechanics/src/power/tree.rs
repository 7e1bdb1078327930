//! Voltages and currents in a tree of cables.

use super::{PowerError, not_negative, positive};

/// Most rounds of Newton's rule; it doubles its digits each round, and halves its error at the very edge of collapse.
const MOST_ROUNDS: usize = 200;

/// A source and the cables that hang on it.
///
/// Node 0 is the source's own voltage. Branch `k` ends in node `k + 1` and begins in a node before that one.
#[derive(Clone, Debug, PartialEq)]
pub struct Tree {
    emf_v: f64,
    branches: Vec<(usize, f64)>,
}

/// What is drawn at a node.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Draw {
    /// Drawn whatever the voltage is, W.
    pub power_w: f64,
    /// Drawn whatever the voltage is, A.
    pub current_a: f64,
}

/// Voltages and currents.
#[derive(Clone, Debug, PartialEq)]
pub struct Flow {
    /// At each node, V.
    pub node_v: Vec<f64>,
    /// In each branch, A.
    pub branch_a: Vec<f64>,
    /// Rounds taken.
    pub rounds: usize,
}

/// How a tree answers to what is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Solution {
    /// There is a steady state.
    Steady(Flow),
    /// There is none: whatever the current, the node does not get its power. The voltage runs away downward.
    Collapse {
        /// The first node found so.
        node: usize,
    },
}

impl Tree {
    /// A tree; each branch by the node that it begins in and its loop's resistance, ohm.
    ///
    /// # Errors
    ///
    /// [`PowerError`] for a voltage that is not positive, a negative resistance, or a branch that begins in no node before it.
    pub fn new(emf_v: f64, branches: Vec<(usize, f64)>) -> Result<Self, PowerError> {
        positive("source voltage", emf_v)?;
        for (k, (parent, ohm)) in branches.iter().enumerate() {
            not_negative("resistance", *ohm)?;
            if *parent > k {
                return Err(PowerError::NotATree { branch: k });
            }
        }
        Ok(Self { emf_v, branches })
    }

    /// The steady state with `draws[k]` at node `k + 1`; what is not given draws nothing.
    ///
    /// ```text
    /// V_k = V_parent - r_k I_k,    I_k = I0 + P / V_k + the branches that begin there
    /// ```
    ///
    /// Newton: about a voltage `v` a constant power draws `2 P / v - (P / v²) V`, a straight line, so each round is one pass from the ends to
    /// the source (current as a line of the voltage before it) and one back. From the source's voltage everywhere, the rounds come down to the
    /// highest solution and never pass it, because what is drawn is convex in the voltages; where a round finds a branch that cannot
    /// carry more (`1 - r P / v² <= 0`) or a voltage of nothing, no solution is below either: collapse.
    ///
    /// # Assumes
    ///
    /// Steady state; no inductance or capacitance.
    ///
    /// # Source
    ///
    /// Kirchhoff's two laws; monotone Newton for convex functions: Ortega and Rheinboldt, *Iterative Solution of Nonlinear Equations in
    /// Several Variables*, 13.3 [from memory]. `docs/mechanics.md` §16.3.
    ///
    /// # Errors
    ///
    /// [`PowerError`] for a negative draw.
    pub fn solve(&self, draws: &[Draw]) -> Result<Solution, PowerError> {
        for d in draws {
            not_negative("power drawn", d.power_w)?;
            not_negative("current drawn", d.current_a)?;
        }
        let n = self.branches.len();
        let draw = |k: usize| draws.get(k).copied().unwrap_or_default();
        let mut flow = Flow { node_v: vec![self.emf_v; n + 1], branch_a: vec![0.0; n], rounds: 0 };
        // Current into node k + 1 and all behind it: line[k].0 + line[k].1 V, first by its own voltage, then by the one before.
        let mut line = vec![(0.0, 0.0); n];
        while flow.rounds < MOST_ROUNDS {
            flow.rounds += 1;
            for (k, (d, v)) in (0..n).map(draw).zip(flow.node_v.iter().skip(1)).enumerate() {
                if let Some(l) = line.get_mut(k) {
                    *l = (d.current_a + 2.0 * d.power_w / v, -d.power_w / (v * v));
                }
            }
            for (k, (parent, ohm)) in self.branches.iter().enumerate().rev() {
                let Some(l) = line.get_mut(k) else { continue };
                let pivot = 1.0 + ohm * l.1;
                if pivot.is_nan() || pivot <= 0.0 {
                    return Ok(Solution::Collapse { node: k + 1 });
                }
                *l = (l.0 / pivot, l.1 / pivot);
                let (a, b) = *l;
                if let Some(before) = parent.checked_sub(1).and_then(|p| line.get_mut(p)) {
                    *before = (before.0 + a, before.1 + b);
                }
            }
            let mut moved = 0.0_f64;
            for (k, ((parent, ohm), l)) in self.branches.iter().zip(&line).enumerate() {
                let before = flow.node_v.get(*parent).copied().unwrap_or(self.emf_v);
                let current = l.0 + l.1 * before;
                let volts = before - ohm * current;
                if volts.is_nan() || volts <= 0.0 {
                    return Ok(Solution::Collapse { node: k + 1 });
                }
                if let (Some(v), Some(i)) = (flow.node_v.get_mut(k + 1), flow.branch_a.get_mut(k)) {
                    moved = moved.max((*v - volts).abs());
                    (*v, *i) = (volts, current);
                }
            }
            if moved <= 1e-13 * self.emf_v {
                break;
            }
        }
        if self.residual(&flow, draws) <= 1e-9 {
            Ok(Solution::Steady(flow))
        } else {
            Ok(Solution::Collapse { node: self.lowest(&flow) })
        }
    }

    /// Largest breach of Kirchhoff's laws in a flow, over the source's voltage or the whole current.
    pub fn residual(&self, flow: &Flow, draws: &[Draw]) -> f64 {
        let mut into = vec![0.0; self.branches.len()];
        for (k, v) in flow.node_v.iter().skip(1).enumerate() {
            let d = draws.get(k).copied().unwrap_or_default();
            if let Some(i) = into.get_mut(k) {
                *i = d.current_a + d.power_w / v;
            }
        }
        let all: f64 = into.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        let mut worst = 0.0_f64;
        for (k, (parent, ohm)) in self.branches.iter().enumerate().rev() {
            let want = into.get(k).copied().unwrap_or_default();
            let has = flow.branch_a.get(k).copied().unwrap_or(f64::NAN);
            let drop = flow.node_v.get(*parent).zip(flow.node_v.get(k + 1)).map_or(f64::NAN, |(a, b)| a - b);
            let breach = ((want - has).abs() / all).max((drop - ohm * has).abs() / self.emf_v);
            worst = if breach.is_nan() { f64::INFINITY } else { worst.max(breach) };
            if let Some(before) = parent.checked_sub(1).and_then(|p| into.get_mut(p)) {
                *before += want;
            }
        }
        worst
    }

    fn lowest(&self, flow: &Flow) -> usize {
        (1..=self.branches.len())
            .min_by(|a, b| {
                let v = |k: &usize| flow.node_v.get(*k).copied().unwrap_or_default();
                v(a).total_cmp(&v(b))
            })
            .unwrap_or(0)
    }

    /// Heat in each branch, W: `I² r`.
    pub fn heat_w(&self, flow: &Flow) -> Vec<f64> {
        self.branches.iter().zip(&flow.branch_a).map(|((_, ohm), i)| i * i * ohm).collect()
    }

    /// What the source gives, A: all branches that begin at it.
    pub fn source_a(&self, flow: &Flow) -> f64 {
        self.branches.iter().zip(&flow.branch_a).filter(|((parent, _), _)| *parent == 0).map(|(_, i)| i).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tree_must_be_one() {
        assert!(Tree::new(24.0, vec![(1, 0.1)]).is_err());
        assert!(Tree::new(0.0, vec![]).is_err() && Tree::new(24.0, vec![(0, -0.1)]).is_err());
        let t = Tree::new(24.0, vec![(0, 0.1)]).unwrap();
        assert!(t.solve(&[Draw { power_w: -1.0, current_a: 0.0 }]).is_err());
        assert!(t.solve(&[Draw { power_w: f64::NAN, current_a: 0.0 }]).is_err());
    }

    #[test]
    fn nothing_drawn_is_no_drop() {
        let t = Tree::new(24.0, vec![(0, 0.1), (1, 0.2)]).unwrap();
        let Solution::Steady(flow) = t.solve(&[]).unwrap() else { panic!("nothing is drawn") };
        assert!(flow.node_v.iter().all(|v| (v - 24.0).abs() < 1e-12));
    }
}
