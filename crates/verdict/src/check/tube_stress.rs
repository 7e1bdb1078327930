//! Stress at every station of every tube against yield.

use super::at_most::{Measure, Shares, length, length_from_above};
use super::{Item, Side, Source, Swept, utilisation};
use crate::context::Context;
use crate::finding::{HandCheck, Step};
use crate::parts::PartRef;
use mechanics::frame::section::RoundTube;
use quantity::{Kind, System, show_kind};
use rig::policy::CheckId;

/// Von Mises stress. Item data: area, modulus, outer radius / torsion constant, peak shear factor, yield.
pub(super) struct TubeStress(Vec<Item>);

/// Numbers of a section for stress: `[1/A, 1/W, R/J, peak shear / A, yield]`, or `None` for no section.
pub(super) fn stress_data(section: &rig::model::Section) -> Option<[f64; 8]> {
    let t = RoundTube::new(section.outer, section.wall).ok()?;
    let (area, w, j) = (t.area_m2(), t.modulus_m3(), t.torsion_m4());
    let yield_pa = section.material.yield_pa.value;
    Some([1.0 / area, 1.0 / w, t.outer_m() / 2.0 / j, t.shear_peak() / area, yield_pa, 0.0, 0.0, 0.0])
}

/// `sqrt(s² + 3 t²)`, bending, torsion and shear at their peaks together.
#[inline(always)]
pub(super) fn von_mises(data: &[f64; 8], r: &[f64; 6]) -> (f64, f64, f64) {
    let [per_area, per_w, per_torsion, per_shear, ..] = *data;
    let root = |a: f64, b: f64| (a * a + b * b).sqrt();
    let sigma = r[0].abs() * per_area + root(r[4], r[5]) * per_w;
    let tau = r[3].abs() * per_torsion + root(r[1], r[2]) * per_shear;
    ((sigma * sigma + 3.0 * tau * tau).sqrt(), sigma, tau)
}

/// The most that yield is used.
pub(super) fn most<const QUICK: bool>(item: &Item, shares: Shares<'_>) -> f64 {
    let (_, sigma, tau) = von_mises(&item.data, &shares.wide);
    utilisation(shares.most(Stress::<QUICK> { data: item.data, sigma, tau }).sqrt(), item.data[4])
}

/// The square of von Mises' stress, with what rounding may put on the stress along and across.
struct Stress<const QUICK: bool> {
    data: [f64; 8],
    sigma: f64,
    tau: f64,
}

impl<const QUICK: bool> Measure for Stress<QUICK> {
    const ROWS: [bool; 6] = [true; 6];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [n, vy, vz, t, my, mz]: [S::f64s; 6]) -> S::f64s {
        let [per_area, per_w, per_torsion, per_shear, three, ..] =
            [self.data[0], self.data[1], self.data[2], self.data[3], 3.0].map(|v| simd.splat_f64s(v));
        let (sigma, tau) = (simd.splat_f64s(self.sigma), simd.splat_f64s(self.tau));
        let (bending, shear) = if QUICK {
            (length_from_above(simd, my, mz), simd.add_f64s(simd.abs_f64s(vy), simd.abs_f64s(vz)))
        } else {
            (length(simd, my, mz), length(simd, vy, vz))
        };
        let sigma =
            simd.mul_add_e_f64s(bending, per_w, simd.mul_add_e_f64s(simd.abs_f64s(n), per_area, sigma));
        let tau =
            simd.mul_add_e_f64s(shear, per_shear, simd.mul_add_e_f64s(simd.abs_f64s(t), per_torsion, tau));
        simd.mul_add_e_f64s(sigma, sigma, simd.mul_f64s(three, simd.mul_f64s(tau, tau)))
    }
}

/// The steps of the hand check.
pub(super) fn stress_hand(data: &[f64; 8], r: &[f64; 6]) -> HandCheck {
    let (vm, sigma, tau) = von_mises(data, r);
    HandCheck {
        formula: "s = N/A + M/W;  t = T R/J + k V/A;  demand = sqrt(s² + 3 t²);  capacity = yield",
        source: "von Mises; peaks of bending, torsion and shear taken at one point, which is the safe side; mechanics.md §4.3",
        steps: vec![
            Step::new("N", "axial force", r[0], Kind::Force),
            Step::new("M", "bending moment", r[4].hypot(r[5]), Kind::Moment),
            Step::new("T", "torsion", r[3].abs(), Kind::Moment),
            Step::new("V", "shear", r[1].hypot(r[2]), Kind::Force),
            Step::new("A", "area", 1.0 / data[0], Kind::Area),
            Step::new("M/W", "bending stress", r[4].hypot(r[5]) * data[1], Kind::Pressure),
            Step::new("s", "N/A + M/W", sigma, Kind::Pressure),
            Step::new("t", "T R/J + k V/A", tau, Kind::Pressure),
            Step::new("demand", "sqrt(s² + 3 t²)", vm, Kind::Pressure),
            Step::new("capacity", "yield", data[4], Kind::Pressure),
        ],
    }
}

impl TubeStress {
    pub(super) fn of(ctx: &Context<'_>) -> Self {
        let data: Vec<Option<[f64; 8]>> = ctx.rig.tubes.iter().map(|t| stress_data(&t.section)).collect();
        let items = ctx.layout.station.iter().filter_map(|(tube, s, row)| {
            let mut item =
                Item::new(PartRef::Tube(*tube), Source::Rows { start: *row, len: 6 }, data[*tube]?);
            item.place = format!("{} from its first end", show_kind(*s, Kind::Length, System::Metric));
            Some(item)
        });
        Self(items.collect())
    }
}

impl Swept for TubeStress {
    fn id(&self) -> CheckId {
        CheckId::TubeStress
    }

    fn kind(&self) -> Kind {
        Kind::Pressure
    }

    fn items(&self) -> &[Item] {
        &self.0
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        (von_mises(&item.data, r).0, item.data[4])
    }

    fn at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        most::<false>(item, shares)
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        most::<true>(item, shares)
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Size; 6]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        stress_hand(&item.data, r)
    }
}
