//! What the supports hold, by limit analysis: the same question is answered once, however often a value is varied that it does
//! not hang on.

use glam::DVec3;
use mechanics::limit::contact::{LimitError, Support};
use mechanics::limit::program::{Outcome, largest_multiplier, largest_multiplier_of_held};
use mechanics::wrench::Wrench;
use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

/// How much of an action is held, and why none where none is.
pub(super) type Answer = (f64, Option<&'static str>);

/// Fixed and variable action, and the point about which they turn, bit for bit.
type Key = [u64; 15];

/// The questions with one key: their supports and the answer.
type Same = Vec<(Vec<Support>, Answer)>;

/// Answers so far.
#[derive(Debug, Default)]
pub struct Held(Mutex<HashMap<Key, Same>>);

impl Held {
    /// The largest share of `variable` that can be held by itself.
    pub(super) fn share(&self, supports: &[Support], variable: Wrench, about: DVec3) -> Answer {
        self.answer(supports, (Wrench::ZERO, variable, about), || {
            told(&largest_multiplier(supports, Wrench::ZERO, variable, about))
        })
    }

    /// The largest share of `variable` that can be held beside `fixed`; 0 where not even that is. Where a few of the supports hold
    /// what is fixed, all of them do, for a strap may hang idle: `few` is how many of the first are asked first. Their answer does
    /// for every throw and every strap lost.
    pub(super) fn share_beside(
        &self,
        fixed: Wrench,
        (supports, few): (&[Support], usize),
        variable: Wrench,
        about: DVec3,
    ) -> Answer {
        self.answer(supports, (fixed, variable, about), || {
            let holds = |supports: &[Support]| {
                let question = (fixed, Wrench::ZERO, about);
                self.answer(supports, question, || {
                    told(&largest_multiplier(supports, fixed, Wrench::ZERO, about))
                })
            };
            let mut at_rest = holds(supports.get(..few).unwrap_or_default());
            if at_rest.1.is_some() {
                at_rest = holds(supports);
            }
            if at_rest.1.is_some() {
                return at_rest;
            }
            told(&largest_multiplier_of_held(supports, fixed, variable, about))
        })
    }

    fn answer(
        &self,
        supports: &[Support],
        (fixed, variable, about): (Wrench, Wrench, DVec3),
        ask: impl FnOnce() -> Answer,
    ) -> Answer {
        let mut key = [0; 15];
        let numbers = fixed.to_array().into_iter().chain(variable.to_array()).chain(about.to_array());
        key.iter_mut().zip(numbers).for_each(|(k, v)| *k = v.to_bits());
        // An answer is put in whole or not at all, so what a worker that came to grief left behind is sound.
        let known = |map: &HashMap<Key, Same>| {
            map.get(&key)?.iter().find(|(s, _)| s == supports).map(|(_, answer)| *answer)
        };
        if let Some(answer) = known(&self.0.lock().unwrap_or_else(PoisonError::into_inner)) {
            return answer;
        }
        let answer = ask();
        let mut map = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        map.entry(key).or_default().push((supports.to_vec(), answer));
        answer
    }
}

fn told(outcome: &Result<Outcome, LimitError>) -> Answer {
    match outcome {
        Ok(Outcome::Multiplier { lambda, .. }) => (*lambda, None),
        Ok(Outcome::AtLeast(cap)) => (*cap, None),
        Ok(Outcome::FixedActionNotHeld { .. }) => (0.0, Some("not even its own weight is held")),
        Ok(Outcome::NotSolved { .. }) | Err(_) => {
            (0.0, Some("the limit analysis found no answer, which counts as not held"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use mechanics::limit::contact::Friction;

    #[test]
    fn a_question_with_other_supports_or_another_action_is_another_question() {
        let cup = |mu: f64, vacuum: f64| {
            Support::cup(DVec3::ZERO, DVec3::Z, Friction::new(mu, 0.05, 0.05).unwrap(), vacuum).unwrap()
        };
        let held = Held::default();
        let side = |n: f64| Wrench::new(DVec3::X * n, DVec3::ZERO);
        let ask = |mu: f64, vacuum: f64, n: f64| held.share(&[cup(mu, vacuum)], side(n), DVec3::ZERO).0;
        // A cup pressed on by its vacuum slides at mu N0.
        for _ in 0..2 {
            assert!((ask(0.5, 1000.0, 100.0) / 5.0 - 1.0).abs() < 1e-3);
            assert!((ask(0.4, 1000.0, 100.0) / 4.0 - 1.0).abs() < 1e-3);
            assert!((ask(0.5, 1000.0, 200.0) / 2.5 - 1.0).abs() < 1e-3);
            assert!((ask(0.5, 2000.0, 200.0) / 5.0 - 1.0).abs() < 1e-3);
        }
        assert_eq!(held.0.lock().unwrap().values().map(Vec::len).sum::<usize>(), 4);
    }

    #[test]
    fn the_weight_is_asked_of_few_supports_and_then_of_all() {
        use mechanics::limit::contact::Pull;
        let pad = |x: f64, y: f64| {
            let friction = Friction::new(0.5, 0.01, 0.01).unwrap();
            Support::cup(DVec3::new(x, y, 0.0), DVec3::Z, friction, 0.0).unwrap()
        };
        let strap = |capacity: f64| {
            let pull = Pull::new(DVec3::new(-1.0, 0.0, 0.5), DVec3::new(-0.3, 0.0, -1.0)).unwrap();
            Support::strap(capacity, vec![pull]).unwrap()
        };
        let pads = [pad(0.4, 0.4), pad(0.4, -0.4), pad(-0.4, 0.4), pad(-0.4, -0.4)];
        let push = Wrench::of_force_at(DVec3::X * 300.0, DVec3::Z * 0.2);
        // Within the pads, beyond them where the strap helps, beyond all help.
        for (x, capacity, held) in [(0.1, 2_000.0, true), (0.6, 2_000.0, true), (0.6, 10.0, false)] {
            let mut supports = pads.to_vec();
            supports.push(strap(capacity));
            let weight = Wrench::of_force_at(DVec3::Z * -1_000.0, DVec3::X * x);
            let plain = told(&largest_multiplier(&supports, weight, push, DVec3::ZERO));
            let got = Held::default().share_beside(weight, (&supports, pads.len()), push, DVec3::ZERO);
            assert_eq!(got, plain, "{x} {capacity}");
            assert_eq!(got.1.is_none(), held, "{x} {capacity}");
        }
    }
}
