//! The few different things of which a group's instants are put together.
//!
//! In one pose what the arm does is linear in what an instant gives it, and instants are put together of the force per mass,
//! of the accelerations of pan, tilt and yaw, and of the flow with the rates in it. Each occurs in many instants. So a number of the arm
//! is the sum of three shares, each reckoned once.

use super::forest::{BODY, Laid};
use super::instants::Moves;
use crate::check::shares::{Instant, Share};
use mechanics::arm::{POSES, Six, TERMS};

/// Terms of the arm that each share has: specific force; accelerations; rates.
const FORCE: [usize; 3] = [0, 1, 2];
const KICK: [usize; 3] = [3, 4, 8];
const RATES: [usize; 4] = [5, 6, 7, 9];

/// A group's instants by what they are put together of.
#[derive(Default)]
pub(super) struct Blend {
    /// Wind and force per mass of each force, and its terms of the arm.
    pub(super) forces: Vec<(usize, [f64; BODY], [f64; FORCE.len()])>,
    /// The terms of each kick.
    pub(super) kicks: Vec<[f64; KICK.len()]>,
    /// Each flow with the terms of the rates in it.
    pub(super) flows: Vec<(usize, [f64; RATES.len()])>,
    /// The instants in all poses, those of one flow beside each other.
    pub(super) instants: Vec<Instant>,
    /// Their places.
    pub(super) places: Vec<usize>,
    /// By place the three shares of each instant.
    at: Vec<[u32; 3]>,
    /// The farthest from zero of each axis of the force per mass.
    pub(super) most_force: [f64; BODY],
}

impl Blend {
    /// Of instants as they are laid down; `moves` by instant.
    pub(super) fn of(laid: &Laid, moves: &Moves) -> Self {
        let mut out = Self::default();
        let winds = laid.winds().flat_map(|(wind, places)| places.map(move |_| wind));
        let mut all = Vec::with_capacity(laid.order.len());
        for ((place, instant), wind) in laid.order.iter().enumerate().zip(winds) {
            let (terms, flow) = (&moves.terms[*instant], moves.flow[*instant]);
            let body = laid.force_at(place);
            let force = place_of(&mut out.forces, (wind, body, FORCE.map(|t| terms[t])), |a, b| {
                a.0 == b.0 && bits(&a.1) == bits(&b.1) && bits(&a.2) == bits(&b.2)
            });
            let kick = place_of(&mut out.kicks, KICK.map(|t| terms[t]), |a, b| bits(a) == bits(b));
            let flow = place_of(&mut out.flows, (flow, RATES.map(|t| terms[t])), |a, b| {
                a.0 == b.0 && bits(&a.1) == bits(&b.1)
            });
            all.push((Instant { force, kick, flow, poses: u8::MAX }, place));
            out.most_force = core::array::from_fn(|t| largest(&[out.most_force[t], body[t]]));
        }
        let (forces, kicks) = (out.forces.len(), out.kicks.len());
        let number = |before: usize, at: u32| u32::try_from(before).unwrap_or(u32::MAX).saturating_add(at);
        let three =
            |(i, _): &(Instant, usize)| [i.force, number(forces, i.kick), number(forces + kicks, i.flow)];
        out.at = all.iter().map(three).collect();
        all.sort_by_key(|(instant, _)| (instant.flow, instant.kick));
        (out.instants, out.places) = all.into_iter().unzip();
        out
    }

    /// How many shares there are: of forces, of kicks, of flows, one after the other.
    pub(super) fn count(&self) -> usize {
        self.forces.len() + self.kicks.len() + self.flows.len()
    }

    /// What the first so many numbers of the arm are by each force, kick and flow, from what they are by each term and flow. Returns
    /// zero, or no number where one of them is infinite or none.
    pub(super) fn put<'a>(
        &self,
        rows: usize,
        per_term: &[Six; TERMS],
        flow: impl Fn(usize) -> &'a Six,
        out: &mut [Share],
    ) -> f64 {
        let mut lost = [0.0; POSES];
        let (forces, others) = out.split_at_mut(self.forces.len());
        let (kicks, flows) = others.split_at_mut(self.kicks.len());
        let arch = pulp::Arch::new();
        for (share, (.., terms)) in forces.iter_mut().zip(&self.forces) {
            arch.dispatch(Adding {
                rows,
                to: &Share::NONE,
                per_term,
                which: &FORCE,
                terms,
                share,
                lost: &mut lost,
            });
        }
        for (share, terms) in kicks.iter_mut().zip(&self.kicks) {
            arch.dispatch(Adding {
                rows,
                to: &Share::NONE,
                per_term,
                which: &KICK,
                terms,
                share,
                lost: &mut lost,
            });
        }
        for (share, (number, terms)) in flows.iter_mut().zip(&self.flows) {
            let to = flow(*number);
            arch.dispatch(Adding { rows, to, per_term, which: &RATES, terms, share, lost: &mut lost });
        }
        lost.iter().sum()
    }

    /// The rows in each of the instants, in their order.
    pub(super) fn put_together(&self, shares: &[Share]) -> Vec<Share> {
        let mut out = vec![Share::NONE; self.instants.len()];
        pulp::Arch::new().dispatch(Together { blend: self, shares, out: &mut out });
        out
    }

    /// How large a sum of shares can be, row by row; lost where a number is.
    pub(super) fn sizes(&self, shares: &[Share]) -> [f64; 6] {
        let (forces, others) = shares.split_at(self.forces.len());
        let (kicks, flows) = others.split_at(self.kicks.len());
        core::array::from_fn(|row| {
            let most =
                |shares: &[Share]| largest(&shares.iter().map(|s| largest(&s[row])).collect::<Vec<_>>());
            most(forces) + most(kicks) + most(flows)
        })
    }

    /// A row in the instant at a place.
    #[inline(always)]
    pub(super) fn row(&self, shares: &[Share], place: usize, row: usize) -> [f64; POSES] {
        let [force, kick, flow] = self.at[place].map(|at| &shares[at as usize][row]);
        let mut sum = *force;
        for (sum, (kick, flow)) in sum.iter_mut().zip(kick.iter().zip(flow)) {
            *sum += kick + flow;
        }
        sum
    }
}

/// A share and some terms more, for the widest numbers side by side that the machine has.
struct Adding<'a> {
    rows: usize,
    to: &'a Six,
    per_term: &'a [Six; TERMS],
    which: &'a [usize],
    terms: &'a [f64],
    share: &'a mut Share,
    /// Zero where all are numbers.
    lost: &'a mut [f64; POSES],
}

impl pulp::WithSimd for Adding<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        let Self { rows, to, per_term, which, terms, share, lost } = self;
        for (row, share) in share.iter_mut().enumerate().take(rows) {
            let mut sum = to[row];
            for (which, term) in which.iter().zip(terms) {
                for (sum, v) in sum.iter_mut().zip(&per_term[*which][row]) {
                    *sum += v * term;
                }
            }
            for (lost, v) in lost.iter_mut().zip(&sum) {
                *lost += v * 0.0;
            }
            *share = sum;
        }
    }
}

/// The rows of instants from their shares, likewise.
struct Together<'a> {
    blend: &'a Blend,
    shares: &'a [Share],
    out: &'a mut [Share],
}

impl pulp::WithSimd for Together<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        for (place, out) in self.blend.places.iter().zip(self.out) {
            for row in 0..6 {
                out[row] = self.blend.row(self.shares, *place, row);
            }
        }
    }
}

/// The place of a thing among those that are different.
fn place_of<T>(all: &mut Vec<T>, thing: T, same: impl Fn(&T, &T) -> bool) -> u32 {
    let at = all.iter().position(|one| same(one, &thing)).unwrap_or_else(|| {
        all.push(thing);
        all.len() - 1
    });
    u32::try_from(at).unwrap_or(u32::MAX)
}

fn bits<const N: usize>(v: &[f64; N]) -> [u64; N] {
    v.map(f64::to_bits)
}

/// The farthest from zero of some numbers; lost where one is.
fn largest(some: &[f64]) -> f64 {
    some.iter().fold(0.0, |most, v| if v.abs() > most || v.is_nan() { v.abs() } else { most })
}

/// That of each of the first six rows.
pub(super) fn largest_of_rows<const N: usize>(all: &[[f64; N]]) -> [f64; 6] {
    core::array::from_fn(|row| largest(&all.iter().map(|rows| rows[row]).collect::<Vec<_>>()))
}

#[cfg(test)]
mod tests {
    use super::super::forest::TERMS as SWEPT_TERMS;
    use super::super::instants::Instants;
    use super::*;
    use crate::testing::{context, rig};

    #[test]
    fn shares_add_up_to_what_terms_and_flow_do_in_every_instant() {
        let rig = rig();
        let ctx = context(&rig);
        let instants = Instants::of(&ctx, false);
        let laid = Laid::of(&instants, ctx.columns.winds, &[], &[1.0; SWEPT_TERMS]);
        let blend = &laid.blend;
        let few = blend.forces.len().max(blend.kicks.len()).max(blend.flows.len());
        assert!(2 * few <= laid.order.len(), "{few} of {}", laid.order.len());
        let number = |k: usize| (f64::from(u32::try_from(k).unwrap()) * 0.7).sin();
        let six = |k: usize| -> Six {
            core::array::from_fn(|r| core::array::from_fn(|p| number(97 * k + 8 * r + p)))
        };
        let per_term: [Six; TERMS] = core::array::from_fn(six);
        let flows: Vec<Six> = (0..instants.flows.len()).map(|k| six(50 + k)).collect();
        let mut shares = vec![Share::NONE; blend.count()];
        blend.put(6, &per_term, |flow| &flows[flow], &mut shares);
        let sizes = blend.sizes(&shares);
        for (place, instant) in laid.order.iter().enumerate() {
            let (terms, flow) = (&instants.moves.terms[*instant], instants.moves.flow[*instant]);
            for (row, size) in sizes.iter().enumerate() {
                let is = blend.row(&shares, place, row);
                for pose in 0..POSES {
                    let each = per_term.iter().zip(terms).map(|(per_unit, term)| per_unit[row][pose] * term);
                    let should = flows[flow][row][pose] + each.sum::<f64>();
                    assert!((is[pose] - should).abs() <= 1e-13 * size && is[pose].abs() <= *size);
                }
            }
        }
        for (instant, place) in blend.instants.iter().zip(&blend.places) {
            let (_, body, _) = blend.forces[instant.force as usize];
            assert_eq!(bits(&body), bits(&laid.force_at(*place)));
        }
        shares[1][3][2] = f64::NAN;
        assert!(blend.sizes(&shares)[3].is_nan() && blend.sizes(&shares)[2].is_finite());
    }
}
