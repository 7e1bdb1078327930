//! What the supports hold, by limit analysis: the same question is answered once, however often a value is varied that it does
//! not hang on.

use glam::DVec3;
use mechanics::limit::contact::Support;
use mechanics::limit::program::{Outcome, largest_multiplier};
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
    /// The largest share of `variable` that can be held beside `fixed`; 0 where not even that is.
    pub(super) fn share(
        &self,
        supports: &[Support],
        fixed: Wrench,
        variable: Wrench,
        about: DVec3,
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
        let answer = asked(supports, fixed, variable, about);
        let mut map = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        map.entry(key).or_default().push((supports.to_vec(), answer));
        answer
    }
}

fn asked(supports: &[Support], fixed: Wrench, variable: Wrench, about: DVec3) -> Answer {
    match largest_multiplier(supports, fixed, variable, about) {
        Ok(Outcome::Multiplier { lambda, .. }) => (lambda, None),
        Ok(Outcome::AtLeast(cap)) => (cap, None),
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
        let ask = |mu: f64, vacuum: f64, n: f64| {
            held.share(&[cup(mu, vacuum)], Wrench::ZERO, side(n), DVec3::ZERO).0
        };
        // A cup pressed on by its vacuum slides at mu N0.
        for _ in 0..2 {
            assert!((ask(0.5, 1000.0, 100.0) / 5.0 - 1.0).abs() < 1e-3);
            assert!((ask(0.4, 1000.0, 100.0) / 4.0 - 1.0).abs() < 1e-3);
            assert!((ask(0.5, 1000.0, 200.0) / 2.5 - 1.0).abs() < 1e-3);
            assert!((ask(0.5, 2000.0, 200.0) / 5.0 - 1.0).abs() < 1e-3);
        }
        assert_eq!(held.0.lock().unwrap().values().map(Vec::len).sum::<usize>(), 4);
    }
}
