//! The few different things of which a group's instants are put together.
//!
//! In one pose what the arm does is linear in what an instant gives it, and instants are put together of the force per mass,
//! of the accelerations of pan, tilt and yaw, and of the flow with the rates in it. Each occurs in many instants. So a number of the arm
//! is the sum of three shares, each reckoned once.

use super::forest::{BODY, Laid};
use crate::check::at_most::{Instant, Share};
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
    /// The farthest from zero of each axis of the force per mass.
    pub(super) most_force: [f64; BODY],
    /// That of each term of the arm.
    most: [f64; TERMS],
}

impl Blend {
    /// Of instants as they are laid down.
    pub(super) fn of(laid: &Laid) -> Self {
        let mut out = Self::default();
        let winds = laid.winds().flat_map(|(wind, places)| places.map(move |_| wind));
        let mut all = Vec::with_capacity(laid.order.len());
        for ((place, (terms, flow)), wind) in laid.moves.each().enumerate().zip(winds) {
            let body = laid.force_at(place);
            let force = place_of(&mut out.forces, (wind, body, FORCE.map(|t| terms[t])), |a, b| {
                a.0 == b.0 && bits(&a.1) == bits(&b.1) && bits(&a.2) == bits(&b.2)
            });
            let kick = place_of(&mut out.kicks, KICK.map(|t| terms[t]), |a, b| bits(a) == bits(b));
            let flow = place_of(&mut out.flows, (flow, RATES.map(|t| terms[t])), |a, b| {
                a.0 == b.0 && bits(&a.1) == bits(&b.1)
            });
            all.push((Instant { force, kick, flow, poses: u8::MAX }, place));
            out.most = core::array::from_fn(|t| largest(&[out.most[t], terms[t]]));
            out.most_force = core::array::from_fn(|t| largest(&[out.most_force[t], body[t]]));
        }
        all.sort_by_key(|(instant, _)| (instant.flow, instant.kick));
        (out.instants, out.places) = all.into_iter().unzip();
        out
    }

    /// How many shares there are: of forces, of kicks, of flows, one after the other.
    pub(super) fn count(&self) -> usize {
        self.forces.len() + self.kicks.len() + self.flows.len()
    }

    /// What six numbers of the arm are by each force, kick and flow, from what they are by each term and flow; and how large what is
    /// summed to each of them can be.
    pub(super) fn shares<'a>(
        &self,
        per_term: &[Six; TERMS],
        flow: impl Fn(usize) -> &'a Six,
    ) -> (Vec<Share>, [f64; 6]) {
        let mut out = vec![[[0.0; POSES]; 6]; self.count()];
        let (forces, others) = out.split_at_mut(self.forces.len());
        let (kicks, flows) = others.split_at_mut(self.kicks.len());
        let mut most_of_flows = [0.0; 6];
        for (share, (number, _)) in flows.iter_mut().zip(&self.flows) {
            *share = *flow(*number);
            for (most, row) in most_of_flows.iter_mut().zip(share) {
                *most = largest(&[*most, largest(row)]);
            }
        }
        let arch = pulp::Arch::new();
        for (share, (.., terms)) in forces.iter_mut().zip(&self.forces) {
            arch.dispatch(Adding { per_term, which: &FORCE, terms, share });
        }
        for (share, terms) in kicks.iter_mut().zip(&self.kicks) {
            arch.dispatch(Adding { per_term, which: &KICK, terms, share });
        }
        for (share, (_, terms)) in flows.iter_mut().zip(&self.flows) {
            arch.dispatch(Adding { per_term, which: &RATES, terms, share });
        }
        let size = |row: usize| {
            let terms = per_term.iter().zip(&self.most);
            terms.fold(most_of_flows[row], |sum, (per_unit, most)| sum + largest(&per_unit[row]) * most)
        };
        (out, [0, 1, 2, 3, 4, 5].map(size))
    }
}

/// Some terms more, for the widest numbers side by side that the machine has.
struct Adding<'a> {
    per_term: &'a [Six; TERMS],
    which: &'a [usize],
    terms: &'a [f64],
    share: &'a mut Share,
}

impl pulp::WithSimd for Adding<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) {
        for (which, term) in self.which.iter().zip(self.terms).filter(|(_, term)| **term != 0.0) {
            for (sum, row) in self.share.iter_mut().zip(&self.per_term[*which]) {
                for (sum, v) in sum.iter_mut().zip(row) {
                    *sum += v * term;
                }
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
