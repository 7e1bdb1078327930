//! The most that an item can be used in many instants of a few poses, from shares of its rows.

use super::{Item, Side, Swept, utilisation};
use core::ops::{Deref, DerefMut};
use mechanics::arm::{POSES, Six};

/// Six rows in some poses. Each row lies in one line of the machine's memory, so that it is read at once.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub struct Share(pub Six);

impl Share {
    /// Nothing in any pose.
    pub const NONE: Self = Self([[0.0; POSES]; 6]);
}

impl Deref for Share {
    type Target = Six;

    #[inline(always)]
    fn deref(&self) -> &Six {
        &self.0
    }
}

impl DerefMut for Share {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut Six {
        &mut self.0
    }
}

/// Of which shares an instant is put together, by index, and in which poses it is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Instant {
    /// Its share by its force per mass.
    pub force: u32,
    /// That by its accelerations.
    pub kick: u32,
    /// That by its flow.
    pub flow: u32,
    /// The poses, bit by bit.
    pub poses: u8,
}

/// A bit for each.
const _: () = assert!(POSES == u8::BITS as usize);

/// A source's rows in some poses and instants, each row the sum of three shares.
#[derive(Clone, Copy, Debug)]
pub struct Shares<'a> {
    /// The instants.
    pub instants: &'a [Instant],
    /// Shares by force per mass.
    pub forces: &'a [Share],
    /// Shares by accelerations.
    pub kicks: &'a [Share],
    /// Shares by flow: the rows, or the arm's wrench.
    pub flows: &'a [Share],
    /// Each row by a unit of the wrench; nothing where shares by flow are the rows themselves.
    pub factors: Option<&'a [[f64; 6]; 6]>,
    /// What rounding may do to each row.
    pub wide: [f64; 6],
}

/// Where rounding may do more than this, numbers are so large that their squares may be lost.
const LARGE: f64 = 1e80;

impl Shares<'_> {
    /// The greatest measure of all; infinite where one could be lost.
    pub(super) fn most(self, measure: impl Measure) -> f64 {
        if !self.wide.iter().all(|wide| *wide < LARGE) {
            return f64::INFINITY;
        }
        let arch = pulp::Arch::new();
        match self.factors {
            Some(factors) => arch.dispatch(Most { shares: self, flows: ByWrench(*factors), measure }),
            None => arch.dispatch(Most { shares: self, flows: AsTheyAre, measure }),
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

/// Numbers side by side, one by one.
#[inline(always)]
fn lanes<S: pulp::Simd>(some: &mut S::f64s) -> &mut [f64] {
    pulp::bytemuck::cast_slice_mut(core::slice::from_mut(some))
}

/// How shares by flow give rows.
trait Flows {
    fn rows<S: pulp::Simd>(&self, simd: S, asked: [bool; 6], flow: &Share, out: &mut Share);
}

struct AsTheyAre;

impl Flows for AsTheyAre {
    #[inline(always)]
    fn rows<S: pulp::Simd>(&self, _: S, _: [bool; 6], flow: &Share, out: &mut Share) {
        *out = *flow;
    }
}

struct ByWrench([[f64; 6]; 6]);

impl Flows for ByWrench {
    #[inline(always)]
    fn rows<S: pulp::Simd>(&self, simd: S, asked: [bool; 6], flow: &Share, out: &mut Share) {
        by(simd, (asked, &[0.0; 6]), &self.0, flow, out);
    }
}

/// The look over all, for the widest numbers side by side that the machine has.
struct Most<'a, F, M> {
    shares: Shares<'a>,
    flows: F,
    measure: M,
}

impl<F: Flows, M: Measure> pulp::WithSimd for Most<'_, F, M> {
    type Output = f64;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, simd: S) -> f64 {
        let Self { shares: Shares { instants, forces, kicks, flows, .. }, flows: rows_of, measure } = self;
        let mut all = [f64::NEG_INFINITY; POSES];
        let most = S::as_mut_simd_f64s(&mut all).0;
        let (mut in_flow, mut of_flow) = (u32::MAX, Share::NONE);
        for Instant { force, kick, flow, poses } in instants {
            if *flow != in_flow {
                in_flow = *flow;
                rows_of.rows(simd, M::ROWS, &flows[in_flow as usize], &mut of_flow);
            }
            let (force, kick) = (&forces[*force as usize], &kicks[*kick as usize]);
            for (at, most) in most.iter_mut().enumerate() {
                let of = |share: &Share, row: usize| S::as_simd_f64s(&share[row]).0[at];
                let mut r = [simd.splat_f64s(0.0); 6];
                for row in (0..6).filter(|row| M::ROWS[*row]) {
                    let others = simd.add_f64s(of(&of_flow, row), of(kick, row));
                    r[row] = simd.add_f64s(of(force, row), others);
                }
                let mut v = measure.of(simd, r);
                if *poses != u8::MAX {
                    let some = lanes::<S>(&mut v);
                    let count = some.len();
                    for (k, v) in some.iter_mut().enumerate() {
                        *v = if *poses >> (at * count + k) & 1 == 1 { *v } else { f64::NEG_INFINITY };
                    }
                }
                *most = simd.max_f64s(v, *most);
            }
        }
        all.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }
}

/// Rows by so much of each row of a wrench, those that are asked for; with what is the same for all poses.
#[inline(always)]
pub(crate) fn by<S: pulp::Simd>(
    simd: S,
    (asked, same): ([bool; 6], &[f64; 6]),
    factors: &[[f64; 6]; 6],
    wrench: &Share,
    out: &mut Share,
) {
    for row in (0..6).filter(|row| asked[*row]) {
        for (k, out) in S::as_mut_simd_f64s(&mut out[row]).0.iter_mut().enumerate() {
            let mut sum = simd.splat_f64s(same[row]);
            for (factor, wrench) in factors[row].iter().zip(&wrench.0) {
                sum = simd.mul_add_e_f64s(simd.splat_f64s(*factor), S::as_simd_f64s(wrench).0[k], sum);
            }
            *out = sum;
        }
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
            for item in items.into_iter().cycle().take(if check.items().is_empty() { 0 } else { 60 }) {
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
                let by_wrench = next() > 0.0;
                let instants: Vec<Instant> = (0..18)
                    .map(|k| Instant {
                        force: k % 3,
                        kick: k / 3 % 3,
                        flow: k / 9,
                        poses: if k % 4 == 0 { 0b0101_1000 } else { u8::MAX },
                    })
                    .collect();
                let shares = Shares {
                    instants: &instants,
                    forces: &forces,
                    kicks: &kicks,
                    flows: &flows,
                    factors: by_wrench.then_some(&factors),
                    wide,
                };
                let mut greatest = 0.0_f64;
                for i in &instants {
                    for pose in (0..POSES).filter(|pose| i.poses >> pose & 1 == 1) {
                        let flow = &flows[i.flow as usize];
                        let r = core::array::from_fn(|row| {
                            let by = factors[row].iter().zip(&flow.0).map(|(f, w)| f * w[pose]).sum();
                            let flow = if by_wrench { by } else { flow[row][pose] };
                            let off = wide[row] * next();
                            forces[i.force as usize][row][pose]
                                + kicks[i.kick as usize][row][pose]
                                + flow
                                + off
                        });
                        let (demand, capacity) = check.demand_capacity(item, &r);
                        greatest = greatest.max(utilisation(demand, capacity));
                    }
                }
                let (most, quick) = (check.at_most(item, shares), check.quickly_at_most(item, shares));
                let more = 1.0 + 2e-12;
                assert!(greatest <= most * more, "{:?}: {greatest} over {most}", check.id());
                assert!(most <= quick * more, "{:?}: {most} over {quick}", check.id());
                assert!(most <= 1.1 * greatest + 0.01 && quick <= 1.45 * most, "{:?}: {quick}", check.id());
                let mut lost = wide;
                lost[0] = f64::NAN;
                let lost = Shares { wide: lost, ..shares };
                assert!(
                    check.at_most(item, lost).is_infinite()
                        && check.quickly_at_most(item, lost).is_infinite()
                );
            }
        }
        assert!(looked.len() >= 12, "{looked:?}");
    }
}
