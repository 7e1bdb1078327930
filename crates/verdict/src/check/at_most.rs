//! The most that an item can be used in many instants of a few poses, from shares of its rows.

use super::shares::{Along, AsTheyAre, Blended, ByWrench, Instant, Rows, Share, Shares, Straight, Sums};
use super::{Item, Side, Swept, utilisation};
use mechanics::arm::POSES;

/// Where rounding may do more than this, numbers are so large that their squares may be lost.
const LARGE: f64 = 1e80;

fn may_be_lost(wide: &[f64; 6]) -> bool {
    !wide.iter().all(|wide| *wide < LARGE)
}

impl Shares<'_> {
    /// The greatest measure of all; infinite where one could be lost.
    pub(super) fn most(self, measure: impl Measure) -> f64 {
        if may_be_lost(&self.wide) {
            return f64::INFINITY;
        }
        let (most, []) = self.look::<true, 0, _>(measure, []);
        most
    }

    /// The same where it is over so much by a quicker measure, which never says less; else minus infinity.
    pub(super) fn most_over(self, quick: impl Measure, over: f64, measure: impl Measure) -> f64 {
        self.most(Over { quick, least: over, measure })
    }

    /// The greatest measure, and that of the rows at some other places of the tube's member.
    pub(super) fn most_along<const OTHERS: usize, M: Measure>(
        self,
        measure: M,
        others: [Along<'_>; OTHERS],
    ) -> (f64, [f64; OTHERS]) {
        if may_be_lost(&self.wide) || others.iter().any(|along| may_be_lost(&along.wide)) {
            return (f64::INFINITY, [f64::INFINITY; OTHERS]);
        }
        if others.iter().all(|along| along.rough) {
            self.look::<true, OTHERS, M>(measure, others)
        } else {
            self.look::<false, OTHERS, M>(measure, others)
        }
    }

    fn look<const ROUGH: bool, const OTHERS: usize, M: Measure>(
        self,
        measure: M,
        others: [Along<'_>; OTHERS],
    ) -> (f64, [f64; OTHERS]) {
        let Self { instants, .. } = self;
        let arch = pulp::Arch::new();
        match self.sums {
            Sums::Shares { forces, kicks, flows } => {
                let rows = Blended { forces, kicks, flows: AsTheyAre(flows) };
                arch.dispatch(Most::<ROUGH, OTHERS, _, _> { instants, rows, measure, others })
            }
            Sums::Folded { forces, kicks, flows, factors } => {
                let rows = Blended { forces, kicks, flows: ByWrench(flows, factors) };
                arch.dispatch(Most::<ROUGH, OTHERS, _, _> { instants, rows, measure, others })
            }
            Sums::Plain { forces, wrenches, factors } => {
                let rows = Straight { forces, wrenches, factors };
                arch.dispatch(Most::<ROUGH, OTHERS, _, _> { instants, rows, measure, others })
            }
        }
    }
}

/// A number of a state that grows with what is used of an item.
pub(super) trait Measure {
    /// The rows that it looks at.
    const ROWS: [bool; 6];

    /// From those rows in some poses: sums of shares as they are, what rounding may do is for the measure to put on top.
    fn of<S: pulp::Simd>(&self, simd: S, r: [S::f64s; 6]) -> S::f64s;
}

/// By a check's own formula.
pub(super) struct Own<'a, C: ?Sized> {
    pub(super) check: &'a C,
    pub(super) item: &'a Item,
    pub(super) wide: [f64; 6],
}

impl<C: Swept + ?Sized> Measure for Own<'_, C> {
    const ROWS: [bool; 6] = [true; 6];

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, _: S, mut r: [S::f64s; 6]) -> S::f64s {
        let sides = self.check.worse();
        for ((r, side), wide) in r.iter_mut().zip(sides).zip(self.wide) {
            for r in lanes::<S>(r) {
                *r = match side {
                    Side::Idle => 0.0,
                    Side::Up => *r + wide,
                    Side::Down => *r - wide,
                    Side::Size => r.abs() + wide,
                };
            }
        }
        let [mut a, mut b, mut c, mut d, mut e, mut f] = r;
        let mut out = a;
        let [a, b, c, d, e, f] =
            [&mut a, &mut b, &mut c, &mut d, &mut e, &mut f].map(|row| &*lanes::<S>(row));
        for (k, out) in lanes::<S>(&mut out).iter_mut().enumerate() {
            let (demand, capacity) =
                self.check.demand_capacity(self.item, &[a[k], b[k], c[k], d[k], e[k], f[k]]);
            *out = utilisation(demand, capacity);
        }
        out
    }
}

/// A measure of those poses alone where a quicker one is over so much.
struct Over<Q, M> {
    quick: Q,
    least: f64,
    measure: M,
}

impl<Q: Measure, M: Measure> Measure for Over<Q, M> {
    const ROWS: [bool; 6] = {
        let (mut rows, mut k) = (M::ROWS, 0);
        while k < 6 {
            rows[k] = rows[k] || Q::ROWS[k];
            k += 1;
        }
        rows
    };

    #[inline(always)]
    fn of<S: pulp::Simd>(&self, simd: S, r: [S::f64s; 6]) -> S::f64s {
        let quick = self.quick.of(simd, r);
        // A lost number is not less.
        let less = simd.less_than_or_equal_f64s(quick, simd.splat_f64s(self.least));
        if simd.first_true_m64s(simd.not_m64s(less)) == S::F64_LANES {
            return simd.splat_f64s(f64::NEG_INFINITY);
        }
        self.measure.of(simd, r)
    }
}

/// Numbers side by side, one by one.
#[inline(always)]
fn lanes<S: pulp::Simd>(some: &mut S::f64s) -> &mut [f64] {
    pulp::bytemuck::cast_slice_mut(core::slice::from_mut(some))
}

/// The look over all, for the widest numbers side by side that the machine has.
struct Most<'a, const ROUGH: bool, const OTHERS: usize, R, M> {
    instants: &'a [Instant],
    rows: R,
    measure: M,
    others: [Along<'a>; OTHERS],
}

impl<const ROUGH: bool, const OTHERS: usize, R: Rows, M: Measure> pulp::WithSimd
    for Most<'_, ROUGH, OTHERS, R, M>
{
    type Output = (f64, [f64; OTHERS]);

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, simd: S) -> Self::Output {
        let Self { instants, rows, measure, others } = self;
        let (mut flow, mut in_flow) = (Share::NONE, u32::MAX);
        let mut of_first = Greatest::NONE;
        let mut of_others = [Greatest::NONE; OTHERS];
        for instant in instants {
            if instant.flow != in_flow {
                in_flow = instant.flow;
                rows.of_flow(simd, M::ROWS, in_flow, &mut flow);
            }
            for at in 0..POSES / S::F64_LANES {
                let r = rows.at(simd, M::ROWS, (instant, &flow), at);
                of_first.take(simd, (at, instant.poses), measure.of(simd, r));
                for (along, greatest) in others.iter().zip(&mut of_others) {
                    let r = along.of::<S, ROUGH>(simd, &r, instant.force as usize);
                    greatest.take(simd, (at, instant.poses), measure.of(simd, r));
                }
            }
        }
        (of_first.all(), of_others.map(Greatest::all))
    }
}

/// The greatest so far, pose by pose.
#[derive(Clone, Copy)]
#[repr(align(64))]
struct Greatest([f64; POSES]);

impl Greatest {
    const NONE: Self = Self([f64::NEG_INFINITY; POSES]);

    /// Takes some more, of the poses that are asked for, from the group of poses at a place.
    #[inline(always)]
    fn take<S: pulp::Simd>(&mut self, simd: S, (at, poses): (usize, u8), mut v: S::f64s) {
        if poses != u8::MAX {
            for (k, v) in lanes::<S>(&mut v).iter_mut().enumerate() {
                *v = if poses >> (at * S::F64_LANES + k) & 1 == 1 { *v } else { f64::NEG_INFINITY };
            }
        }
        let most = &mut S::as_mut_simd_f64s(&mut self.0).0[at];
        *most = simd.max_f64s(v, *most);
    }

    fn all(self) -> f64 {
        self.0.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }
}

/// The length of two numbers across each other.
#[inline(always)]
pub(super) fn length<S: pulp::Simd>(simd: S, a: S::f64s, b: S::f64s) -> S::f64s {
    simd.sqrt_f64s(simd.mul_add_e_f64s(a, a, simd.mul_f64s(b, b)))
}

/// The same or up to a fiftieth more, without a root: the circle's polygon of sixteen corners.
#[inline(always)]
pub(super) fn length_from_above<S: pulp::Simd>(simd: S, a: S::f64s, b: S::f64s) -> S::f64s {
    // Of the two sides of the polygon that lie in an eighth of the circle, cos and sin of where they look, over that of pi/16.
    const FLAT: f64 = 0.198_912_367_379_658;
    const STEEP: [f64; 2] = [0.847_759_065_022_573_5, 0.566_454_497_350_521_5];
    let (a, b) = (simd.abs_f64s(a), simd.abs_f64s(b));
    let (long, short) = (simd.max_f64s(a, b), simd.min_f64s(a, b));
    let flat = simd.mul_add_e_f64s(short, simd.splat_f64s(FLAT), long);
    let along = simd.mul_f64s(long, simd.splat_f64s(STEEP[0]));
    simd.max_f64s(flat, simd.mul_add_e_f64s(short, simd.splat_f64s(STEEP[1]), along))
}

/// A number, or zero where it is less.
#[inline(always)]
pub(super) fn above_zero<S: pulp::Simd>(simd: S, v: S::f64s) -> S::f64s {
    simd.max_f64s(v, simd.splat_f64s(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::swept;
    use crate::testing::{context, rig, scattered};

    #[test]
    fn no_state_uses_more_than_the_most_and_in_a_hurry_the_most_is_no_less() {
        let rig = rig();
        let ctx = context(&rig);
        let (mut next, mut looked) = (scattered(), std::collections::BTreeSet::new());
        for check in swept(&ctx) {
            let items: Vec<_> = check.items().iter().filter(|i| i.missing.is_none()).take(3).collect();
            let times = if check.items().is_empty() { 0 } else { 60 };
            for (turn, item) in items.into_iter().cycle().take(times).enumerate() {
                looked.insert(format!("{:?}", check.id()));
                let scale = 10_f64.powf(4.0 * next());
                let mut share = |by: f64| {
                    let mut out = Share::NONE;
                    out.as_flattened_mut().iter_mut().for_each(|v| *v = by * next());
                    out
                };
                let [forces, kicks] = [[scale; 3], [scale, 0.1 * scale, 0.0]].map(|by| by.map(&mut share));
                let flows = [share(1.0), share(0.01)];
                let factors: [[f64; 6]; 6] =
                    core::array::from_fn(|_| core::array::from_fn(|_| scale * next()));
                let wide: [f64; 6] = core::array::from_fn(|_| 1e-3 * scale * next().abs());
                let instants: Vec<Instant> = (0..18)
                    .map(|k| Instant {
                        force: k % 3,
                        kick: k / 3 % 3,
                        flow: k / 9,
                        poses: if k % 4 == 0 { 0b0101_1000 } else { u8::MAX },
                    })
                    .collect();
                let plain = forces.map(|force| force.map(|row| row[0]));
                let (forces, kicks, flows) = (&forces[..], &kicks[..], &flows[..]);
                let sums = match turn % 3 {
                    0 => Sums::Shares { forces, kicks, flows },
                    1 => Sums::Folded { forces, kicks, flows, factors: &factors },
                    _ => Sums::Plain { forces: &plain, wrenches: flows, factors: &factors },
                };
                let shares = Shares { instants: &instants, sums, wide };
                let mut greatest = 0.0_f64;
                for i in &instants {
                    for pose in (0..POSES).filter(|pose| i.poses >> pose & 1 == 1) {
                        let flow = &flows[i.flow as usize];
                        let r = core::array::from_fn(|row| {
                            let by = factors[row].iter().zip(&flow.0).map(|(f, w)| f * w[pose]).sum::<f64>();
                            let (force, kick) = (i.force as usize, kicks[i.kick as usize][row][pose]);
                            let shares = forces[force][row][pose] + kick;
                            let off = wide[row] * next();
                            off + match turn % 3 {
                                0 => shares + flow[row][pose],
                                1 => shares + by,
                                _ => plain[force][row] + by,
                            }
                        });
                        let (demand, capacity) = check.demand_capacity(item, &r);
                        greatest = greatest.max(utilisation(demand, capacity));
                    }
                }
                let (most, quick) =
                    (check.at_most(item, shares, f64::NEG_INFINITY), check.quickly_at_most(item, shares));
                for over in [0.5, 0.999, 1.0, 1.001].map(|share| share * greatest) {
                    let most = check.at_most(item, shares, over).max(over);
                    assert!(greatest <= most * (1.0 + 2e-12), "{:?}: {greatest} over {most}", check.id());
                }
                let more = 1.0 + 2e-12;
                assert!(greatest <= most * more, "{:?}: {greatest} over {most}", check.id());
                assert!(most <= quick * more, "{:?}: {most} over {quick}", check.id());
                assert!(most <= 1.1 * greatest + 0.01 && quick <= 1.45 * most, "{:?}: {quick}", check.id());
                let mut lost = wide;
                lost[0] = f64::NAN;
                let lost = Shares { wide: lost, ..shares };
                assert!(
                    check.at_most(item, lost, greatest).is_infinite()
                        && check.quickly_at_most(item, lost).is_infinite()
                );
            }
        }
        assert!(looked.len() >= 12, "{looked:?}");
    }
}
