//! The cone program of the limit analysis, dimensionless: columns are support forces, rows equilibrium and limits.

use super::contact::{Contact, Kind, Support};
use crate::wrench::Wrench;
use clarabel::solver::SupportedConeT;
use glam::DVec3;

/// Loads and lengths by which the program is made dimensionless.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    pub(super) force_n: f64,
    pub(super) length_m: f64,
    pub(super) variable_n: f64,
}

impl Scale {
    pub(super) fn of(supports: &[Support], fixed: Wrench, variable: Wrench, about: DVec3) -> Option<Self> {
        let mut length_m =
            supports.iter().flat_map(Support::positions).map(|p| p.distance(about)).fold(0.0_f64, f64::max);
        for s in supports {
            if let Kind::Contact(c) = &s.0 {
                length_m = length_m.max(c.friction.core_radius_m).max(c.friction.torsion_radius_m);
            }
        }
        if length_m <= 0.0 {
            length_m = 1.0;
        }
        let size = |w: Wrench| w.force.length().max(w.moment.length() / length_m);
        let vacuum = supports
            .iter()
            .map(|s| if let Kind::Contact(c) = &s.0 { c.vacuum_n } else { 0.0 })
            .fold(0.0, f64::max);
        let scale = Self {
            force_n: size(fixed).max(size(variable)).max(vacuum),
            length_m,
            variable_n: size(variable),
        };
        (scale.variable_n > 0.0 && scale.force_n.is_finite() && length_m.is_finite()).then_some(scale)
    }

    /// `[F, M/L] / unit`.
    pub(super) fn row(self, w: Wrench, unit_n: f64) -> [f64; 6] {
        Wrench::new(w.force / unit_n, w.moment / (unit_n * self.length_m)).to_array()
    }
}

/// The program in the form `min q x,  A x + s = b,  s in K`, built row by row.
#[derive(Default)]
pub(super) struct Program {
    pub(super) rows: Vec<usize>,
    pub(super) cols: Vec<usize>,
    pub(super) vals: Vec<f64>,
    pub(super) b: Vec<f64>,
    pub(super) cones: Vec<SupportedConeT<f64>>,
    pub(super) columns: usize,
}

impl Program {
    /// A new variable with its unit wrench on the rig, scaled.
    pub(super) fn column(&mut self, wrench: [f64; 6]) -> usize {
        let col = self.columns;
        self.columns += 1;
        for (row, value) in wrench.into_iter().enumerate() {
            self.entry(row, col, value);
        }
        col
    }

    pub(super) fn entry(&mut self, row: usize, col: usize, value: f64) {
        if value != 0.0 {
            self.rows.push(row);
            self.cols.push(col);
            self.vals.push(value);
        }
    }

    /// A row `s = constant + factor * x_col` of the current cone.
    pub(super) fn slack(&mut self, constant: f64, factor: f64, col: Option<usize>) {
        let row = self.b.len();
        if let Some(col) = col {
            self.entry(row, col, -factor);
        }
        self.b.push(constant);
    }

    /// `constant + factor * x_col >= 0`.
    pub(super) fn at_least_zero(&mut self, constant: f64, factor: f64, col: usize) {
        self.slack(constant, factor, Some(col));
        self.cones.push(SupportedConeT::NonnegativeConeT(1));
    }

    /// `|x_tail| <= constant + factor * x_head`.
    pub(super) fn cone(&mut self, constant: f64, factor: f64, head: Option<usize>, tail: &[usize]) {
        self.slack(constant, factor, head);
        for &t in tail {
            self.slack(0.0, 1.0, Some(t));
        }
        self.cones.push(SupportedConeT::SecondOrderConeT(1 + tail.len()));
    }
}

/// Unit wrenches of a contact on the rig.
pub(super) struct ContactWrenches {
    pub(super) normal: Wrench,
    /// Two shears and torsion, as far as the contact rubs.
    pub(super) rub: Vec<Wrench>,
    /// Two moments in the contact plane, if it has a width.
    pub(super) tilt: Vec<Wrench>,
}

impl ContactWrenches {
    /// About `about`; torsion and moments in units of the force they ask for at their radius.
    pub(super) fn of(c: &Contact, about: DVec3) -> Self {
        let arm = c.at_m - about;
        let (t1, t2) = c.normal.any_orthonormal_pair();
        let couple = |axis: DVec3, radius_m: f64| Wrench::new(DVec3::ZERO, axis * radius_m);
        let (mut rub, mut tilt) = (Vec::with_capacity(3), Vec::with_capacity(2));
        if c.friction.mu > 0.0 {
            rub.push(Wrench::of_force_at(t1, arm));
            rub.push(Wrench::of_force_at(t2, arm));
            if c.friction.torsion_radius_m > 0.0 {
                rub.push(couple(c.normal, c.friction.torsion_radius_m));
            }
        }
        if c.friction.core_radius_m > 0.0 {
            tilt.push(couple(t1, c.friction.core_radius_m));
            tilt.push(couple(t2, c.friction.core_radius_m));
        }
        Self { normal: Wrench::of_force_at(c.normal, arm), rub, tilt }
    }
}

/// Where the variables of a support are.
pub(super) struct Block {
    pub(super) first: usize,
    pub(super) rub: usize,
    pub(super) tilt: usize,
}

pub(super) fn add_support(p: &mut Program, s: &Support, about: DVec3, scale: Scale) -> Block {
    let first = p.columns;
    let mut block = Block { first, rub: 0, tilt: 0 };
    match &s.0 {
        Kind::Contact(c) => {
            let ContactWrenches { normal, rub, tilt } = ContactWrenches::of(c, about);
            let n = p.column(scale.row(normal, 1.0));
            let rub_cols: Vec<usize> = rub.iter().map(|w| p.column(scale.row(*w, 1.0))).collect();
            let tilt_cols: Vec<usize> = tilt.iter().map(|w| p.column(scale.row(*w, 1.0))).collect();
            p.at_least_zero(-c.least_n() / scale.force_n, 1.0, n);
            if !rub_cols.is_empty() {
                p.cone(0.0, c.friction.mu, Some(n), &rub_cols);
                if let Some(limit) = c.shear_limit_n {
                    p.cone(limit / scale.force_n, 0.0, None, rub_cols.get(..2).unwrap_or_default());
                }
            }
            if !tilt_cols.is_empty() {
                p.cone(0.0, 1.0, Some(n), &tilt_cols);
            }
            block.rub = rub_cols.len();
            block.tilt = tilt_cols.len();
        }
        Kind::Strap { capacity_n, pulls } => {
            let unit = pulls
                .iter()
                .map(|q| Wrench::of_force_at(q.per_newton, q.at_m - about))
                .fold(Wrench::ZERO, |a, b| a + b);
            let t = p.column(scale.row(unit, 1.0));
            p.at_least_zero(0.0, 1.0, t);
            p.at_least_zero(capacity_n / scale.force_n, -1.0, t);
        }
        Kind::Hold { at_m, moments } => {
            for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
                p.column(scale.row(Wrench::of_force_at(axis, *at_m - about), 1.0));
            }
            if *moments {
                for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
                    p.column(scale.row(Wrench::new(DVec3::ZERO, axis * scale.length_m), 1.0));
                }
            }
        }
    }
    block
}

/// Wrench of the vacuum of all cups on the rig: it presses each cup to its panel.
pub(super) fn vacuum_wrench(supports: &[Support], about: DVec3) -> Wrench {
    supports
        .iter()
        .filter_map(|s| if let Kind::Contact(c) = &s.0 { Some(c) } else { None })
        .fold(Wrench::ZERO, |w, c| w + Wrench::of_force_at(-c.vacuum_n * c.normal, c.at_m - about))
}
