//! Stress at every station of every tube against yield.

use super::at_most::{Measure, length, length_from_above};
use super::shares::{Along, Shares};
use super::{ALONG, Item, Side, Source, Swept, utilisation};
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
pub(super) fn quick_most(item: &Item, shares: Shares<'_>) -> f64 {
    used(item, shares.most(Stress::<true>::of(item, &shares.wide)))
}

/// The same where it is over so much.
pub(super) fn most(item: &Item, shares: Shares<'_>, over: f64) -> f64 {
    let stress = over * item.data[4];
    // Squares lose the sign.
    let square = if stress > 0.0 { stress * stress * (1.0 - 1e-12) } else { f64::NEG_INFINITY };
    let [quick, own] = [&shares.wide; 2];
    let most = shares.most_over(Stress::<true>::of(item, quick), square, Stress::<false>::of(item, own));
    used(item, most.max(0.0))
}

/// How much of yield the square of a stress is.
fn used(item: &Item, square: f64) -> f64 {
    utilisation(square.sqrt(), item.data[4])
}

/// The square of von Mises' stress, with what rounding may put on the stress along and across. Stress across is told times root
/// three.
struct Stress<const QUICK: bool> {
    per_area: f64,
    per_w: f64,
    per_torsion: f64,
    per_shear: f64,
    sigma: f64,
    tau: f64,
}

impl<const QUICK: bool> Stress<QUICK> {
    fn of(item: &Item, wide: &[f64; 6]) -> Self {
        let ([per_area, per_w, torsion, shear, ..], (_, sigma, tau)) =
            (item.data, von_mises(&item.data, wide));
        let [per_torsion, per_shear, tau] = [torsion, shear, tau].map(|across| across * 3.0_f64.sqrt());
        Self { per_area, per_w, per_torsion, per_shear, sigma, tau }
    }
}

impl<const QUICK: bool> Measure for Stress<QUICK> {
    const ROWS: [bool; 6] = [true; 6];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, [n, vy, vz, t, my, mz]: [S::f64s; 6]) -> S::f64s {
        let [per_area, per_w, per_torsion, per_shear] =
            [self.per_area, self.per_w, self.per_torsion, self.per_shear].map(|v| simd.splat_f64s(v));
        let (sigma, tau) = (simd.splat_f64s(self.sigma), simd.splat_f64s(self.tau));
        let (shear, bending) = if QUICK {
            (length_from_above(simd, vy, vz), length_from_above(simd, my, mz))
        } else {
            (length(simd, vy, vz), length(simd, my, mz))
        };
        let sigma =
            simd.mul_add_e_f64s(bending, per_w, simd.mul_add_e_f64s(simd.abs_f64s(n), per_area, sigma));
        let turned = simd.mul_add_e_f64s(simd.abs_f64s(t), per_torsion, tau);
        let tau = simd.mul_add_e_f64s(shear, per_shear, turned);
        simd.mul_add_e_f64s(sigma, sigma, simd.mul_f64s(tau, tau))
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
        let items = ctx.layout.station.iter().filter_map(|station| {
            let source = Source::Rows { start: station.row, len: 6 };
            let mut item = Item::new(PartRef::Tube(station.tube), source, data[station.tube]?);
            let at = show_kind(station.at_m, Kind::Length, System::Metric);
            item.place = format!("{at} from its first end");
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

    fn at_most(&self, item: &Item, shares: Shares<'_>, over: f64) -> f64 {
        most(item, shares, over)
    }

    fn quickly_at_most(&self, item: &Item, shares: Shares<'_>) -> f64 {
        quick_most(item, shares)
    }

    fn quickly_along(
        &self,
        (first, shares): (&Item, Shares<'_>),
        others: &[(&Item, Along<'_>)],
    ) -> [f64; ALONG] {
        let tube = |item: &Item| item.data.map(f64::to_bits);
        if others.iter().any(|(item, _)| tube(item) != tube(first)) {
            return [f64::INFINITY; ALONG];
        }
        // One tube, one measure: with what may be off at any of its stations.
        let wide = others
            .iter()
            .fold(shares.wide, |wide, (_, along)| core::array::from_fn(|k| wide[k].max(along.wide[k])));
        let measure = Stress::<true>::of(first, &wide);
        let most = match *others {
            [(_, a)] => {
                let (first, [a]) = shares.most_along(measure, [a]);
                [first, a, f64::INFINITY]
            }
            [(_, a), (_, b)] => {
                let (first, [a, b]) = shares.most_along(measure, [a, b]);
                [first, a, b]
            }
            _ => [f64::INFINITY; ALONG],
        };
        most.map(|most| used(first, most))
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Size; 6]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        stress_hand(&item.data, r)
    }
}

#[cfg(test)]
mod tests {
    use super::super::shares::{Instant, Share, Sums};
    use super::*;
    use crate::testing::{context, rig, scattered};
    use glam::DVec3;
    use mechanics::frame::beam;

    #[test]
    fn no_state_uses_more_of_any_station_than_the_look_along_the_member_says() {
        let rig = rig();
        let ctx = context(&rig);
        let check = TubeStress::of(&ctx);
        let items: [&Item; ALONG] = core::array::from_fn(|k| &check.items()[k]);
        let mut next = scattered();
        for turn in 0..200 {
            let scale = 10_f64.powf(3.0 * next());
            let six = |next: &mut dyn FnMut() -> f64, by: f64| -> [f64; 6] { [(); 6].map(|()| by * next()) };
            let forces: [[f64; 6]; 3] = [(); 3].map(|()| six(&mut next, scale));
            let factors: [[f64; 6]; 6] = [(); 6].map(|()| six(&mut next, scale));
            let mut share = || Share([(); 6].map(|()| [(); 8].map(|()| next())));
            let wrenches = [share(), share()];
            let wide = six(&mut next, 1e-3 * scale).map(f64::abs);
            let between: [[[f64; 6]; 3]; ALONG - 1] =
                [(); ALONG - 1].map(|()| [(); 3].map(|()| six(&mut next, 0.3 * scale)));
            let along = |k: usize, next: &mut dyn FnMut() -> f64| Along {
                at: 1.3 * next(),
                between: &between[k],
                wide: six(next, 1e-3 * scale).map(f64::abs),
                rough: turn % 3 == 0,
            };
            let others: Vec<(&Item, Along<'_>)> =
                (0..=turn % 2).map(|k| (items[k + 1], along(k, &mut next))).collect();
            let poses = if turn % 2 == 0 { u8::MAX } else { 0b0110_0001 };
            let instants: Vec<Instant> =
                (0..6).map(|k| Instant { force: k % 3, kick: 0, flow: k / 3, poses }).collect();
            let sums = Sums::Plain { forces: &forces, wrenches: &wrenches, factors: &factors };
            let shares = Shares { instants: &instants, sums, wide };
            let most = check.quickly_along((items[0], shares), &others);
            let mut greatest = vec![0.0_f64; 1 + others.len()];
            for i in &instants {
                let (force, wrench) = (i.force as usize, &wrenches[i.flow as usize]);
                for pose in (0..8).filter(|pose| poses >> pose & 1 == 1) {
                    let first: [f64; 6] = core::array::from_fn(|row| {
                        let by = factors[row].iter().zip(&wrench.0).map(|(factor, w)| factor * w[pose]);
                        forces[force][row] + by.sum::<f64>()
                    });
                    let mut see = |k: usize, mut r: [f64; 6], wide: &[f64; 6]| {
                        r.iter_mut().zip(wide).for_each(|(r, wide)| *r += wide * next());
                        let (demand, capacity) = check.demand_capacity(items[k], &r);
                        greatest[k] = greatest[k].max(utilisation(demand, capacity));
                    };
                    see(0, first, &wide);
                    for (k, (_, a)) in others.iter().enumerate() {
                        // Equilibrium of what lies between.
                        let ([n, vy, vz, t, my, mz], b) = (first, a.between[force]);
                        let [x, y, z] = if a.rough { [0.0; 3] } else { [b[0], b[1], b[2]] };
                        let r = [n + x, vy + y, vz + z, t, my + vz * a.at + b[4], mz - vy * a.at + b[5]];
                        see(k + 1, r, &a.wide);
                    }
                }
            }
            for (most, greatest) in most.into_iter().zip(greatest) {
                assert!(greatest <= most * (1.0 + 2e-12), "{greatest} over {most}");
                assert!(most <= 1.1 * greatest, "{most} for {greatest}");
            }
            let mut lost = others;
            lost[0].1.wide[turn % 6] = f64::NAN;
            assert!(check.quickly_along((items[0], shares), &lost).iter().all(|most| most.is_infinite()));
        }
    }

    #[test]
    fn between_stations_stress_is_theirs_and_no_more_than_what_lies_between_bends() {
        let data = stress_data(&crate::testing::tube_section(0.0483, 0.0032)).unwrap();
        let mut next = scattered();
        let (mut most, mut over) = (0.0_f64, 0);
        for turn in 0..2000 {
            let length = 0.29 * next().abs();
            // What lies between, and ends that carry little or much of it.
            let w = DVec3::new(next(), next(), next()) * 400.0;
            let scale = 10_f64.powf(2.0 * next());
            let held = [0.5 * w.x, 0.5 * w.y, 0.5 * w.z].map(|w| -w * length);
            let first: [f64; 6] = core::array::from_fn(|k| {
                held.get(k).unwrap_or(&0.0) + if turn % 3 == 0 { 0.0 } else { scale * next() }
            });
            let stress = |x: f64| {
                let f = beam::internal(first, w, x);
                von_mises(&data, &[f.n, f.vy, f.vz, f.t, f.my, f.mz]).0
            };
            let of_stations = stress(0.0).max(stress(length));
            let bent = w.y.hypot(w.z) * length * length / 8.0 * data[1];
            for k in 1..40 {
                let between = stress(length * f64::from(k) / 40.0);
                assert!(
                    between <= (of_stations + bent) * (1.0 + 1e-12),
                    "{between} over {of_stations} + {bent}"
                );
                over += u32::from(between > of_stations);
                most = most.max((between - of_stations) / bent);
            }
        }
        assert!(over > 100 && most > 0.5, "{over} times over, by {most} of what it may");
    }
}
