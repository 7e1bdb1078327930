//! Rows in some poses and instants, eight poses side by side: what they are the sums of, and how they are put together.

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

/// A source's rows in some poses and instants.
#[derive(Clone, Copy, Debug)]
pub struct Shares<'a> {
    /// The instants.
    pub instants: &'a [Instant],
    /// What each row is the sum of.
    pub sums: Sums<'a>,
    /// What rounding may do to each row.
    pub wide: [f64; 6],
}

/// What rows are the sums of.
#[derive(Clone, Copy, Debug)]
pub enum Sums<'a> {
    /// Three shares.
    Shares {
        /// By force per mass.
        forces: &'a [Share],
        /// By accelerations.
        kicks: &'a [Share],
        /// By flow.
        flows: &'a [Share],
    },
    /// Three shares, that by flow still as the arm's wrench.
    Folded {
        /// By force per mass.
        forces: &'a [Share],
        /// By accelerations.
        kicks: &'a [Share],
        /// The wrench by flow.
        flows: &'a [Share],
        /// Each row by a unit of the wrench.
        factors: &'a [[f64; 6]; 6],
    },
    /// What the force per mass does in all poses, and the arm's wrench.
    Plain {
        /// By force per mass.
        forces: &'a [[f64; 6]],
        /// The wrench in each instant, which gives its index as that of its flow.
        wrenches: &'a [Share],
        /// Each row by a unit of the wrench.
        factors: &'a [[f64; 6]; 6],
    },
}

/// Rows at one place of a tube's member by those at another in the same state: forces bend it more the farther they are.
#[derive(Clone, Copy, Debug)]
pub struct Along<'a> {
    /// How far along from the other, m.
    pub at: f64,
    /// What lies between does to each row, by force per mass. Nothing turns a tube about itself there.
    pub between: &'a [[f64; 6]],
    /// How far each row may be from what is said.
    pub wide: [f64; 6],
    /// Whether what lies between matters so little to the forces that they may be taken as they are at the other place; it is
    /// in `wide` then.
    pub rough: bool,
}

impl Along<'_> {
    /// Rows there from rows at the other place.
    #[inline(always)]
    pub(super) fn of<S: pulp::Simd, const ROUGH: bool>(
        &self,
        simd: S,
        r: &[S::f64s; 6],
        force: usize,
    ) -> [S::f64s; 6] {
        let ([n, vy, vz, turn, my, mz], [at, back]) = (*r, [self.at, -self.at].map(|v| simd.splat_f64s(v)));
        let between = &self.between[force];
        let with = |row: usize, v: S::f64s| simd.add_f64s(v, simd.splat_f64s(between[row]));
        let my = simd.mul_add_e_f64s(vz, at, with(4, my));
        let mz = simd.mul_add_e_f64s(vy, back, with(5, mz));
        if ROUGH { [n, vy, vz, turn, my, mz] } else { [with(0, n), with(1, vy), with(2, vz), turn, my, mz] }
    }

    /// The same for one state.
    pub fn of_one(&self, r: &[f64; 6], force: usize) -> [f64; 6] {
        if self.rough {
            self.of::<_, true>(pulp::Scalar, r, force)
        } else {
            self.of::<_, false>(pulp::Scalar, r, force)
        }
    }
}

/// How rows are put together, one instant after the other.
pub(super) trait Rows {
    /// The rows of a flow, where they are needed by themselves.
    fn of_flow<S: pulp::Simd>(&self, simd: S, asked: [bool; 6], flow: u32, out: &mut Share);

    /// An instant's rows in those poses that stand at a place among the groups of poses; what is not asked for is zero.
    fn at<S: pulp::Simd>(&self, simd: S, asked: [bool; 6], of: (&Instant, &Share), at: usize)
    -> [S::f64s; 6];
}

/// Rows of three shares; those of one flow come one after the other.
pub(super) struct Blended<'a, F> {
    pub(super) forces: &'a [Share],
    pub(super) kicks: &'a [Share],
    pub(super) flows: F,
}

impl<F: Flows> Rows for Blended<'_, F> {
    #[inline(always)]
    fn of_flow<S: pulp::Simd>(&self, simd: S, asked: [bool; 6], flow: u32, out: &mut Share) {
        self.flows.rows(simd, asked, flow as usize, out);
    }

    #[inline(always)]
    fn at<S: pulp::Simd>(
        &self,
        simd: S,
        asked: [bool; 6],
        (instant, flow): (&Instant, &Share),
        at: usize,
    ) -> [S::f64s; 6] {
        let (force, kick) = (&self.forces[instant.force as usize], &self.kicks[instant.kick as usize]);
        let of = |share: &Share, row: usize| S::as_simd_f64s(&share[row]).0[at];
        let mut r = [simd.splat_f64s(0.0); 6];
        for row in 0..6 {
            if asked[row] {
                let others = simd.add_f64s(of(flow, row), of(kick, row));
                r[row] = simd.add_f64s(of(force, row), others);
            }
        }
        r
    }
}

/// How shares by flow give rows.
pub(super) trait Flows {
    fn rows<S: pulp::Simd>(&self, simd: S, asked: [bool; 6], flow: usize, out: &mut Share);
}

/// The rows themselves.
pub(super) struct AsTheyAre<'a>(pub(super) &'a [Share]);

impl Flows for AsTheyAre<'_> {
    #[inline(always)]
    fn rows<S: pulp::Simd>(&self, _: S, _: [bool; 6], flow: usize, out: &mut Share) {
        *out = self.0[flow];
    }
}

/// By each row's share of the wrench.
pub(super) struct ByWrench<'a>(pub(super) &'a [Share], pub(super) &'a [[f64; 6]; 6]);

impl Flows for ByWrench<'_> {
    #[inline(always)]
    fn rows<S: pulp::Simd>(&self, simd: S, asked: [bool; 6], flow: usize, out: &mut Share) {
        by(simd, (asked, &[0.0; 6]), self.1, &self.0[flow], out);
    }
}

/// Rows by the force per mass and the wrench of each instant.
pub(super) struct Straight<'a> {
    pub(super) forces: &'a [[f64; 6]],
    pub(super) wrenches: &'a [Share],
    pub(super) factors: &'a [[f64; 6]; 6],
}

impl Rows for Straight<'_> {
    #[inline(always)]
    fn of_flow<S: pulp::Simd>(&self, _: S, _: [bool; 6], _: u32, _: &mut Share) {}

    #[inline(always)]
    fn at<S: pulp::Simd>(
        &self,
        simd: S,
        asked: [bool; 6],
        (instant, _): (&Instant, &Share),
        at: usize,
    ) -> [S::f64s; 6] {
        let (force, wrench) = (&self.forces[instant.force as usize], &self.wrenches[instant.flow as usize]);
        sums::<S>(simd, (asked, force), self.factors, wrench, at)
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
    for at in 0..POSES / S::F64_LANES {
        let r = sums::<S>(simd, (asked, same), factors, wrench, at);
        for row in 0..6 {
            if asked[row] {
                S::as_mut_simd_f64s(&mut out[row]).0[at] = r[row];
            }
        }
    }
}

/// The same in those poses that stand at a place among the groups of poses.
#[inline(always)]
fn sums<S: pulp::Simd>(
    simd: S,
    (asked, same): ([bool; 6], &[f64; 6]),
    factors: &[[f64; 6]; 6],
    wrench: &Share,
    at: usize,
) -> [S::f64s; 6] {
    let mut r = [simd.splat_f64s(0.0); 6];
    for row in 0..6 {
        if asked[row] {
            r[row] = simd.splat_f64s(same[row]);
        }
    }
    for k in 0..6 {
        let wrench = S::as_simd_f64s(&wrench[k]).0[at];
        for row in 0..6 {
            if asked[row] {
                r[row] = simd.mul_add_e_f64s(simd.splat_f64s(factors[row][k]), wrench, r[row]);
            }
        }
    }
    r
}
