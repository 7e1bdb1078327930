//! Two and three people at one load.

use super::equation::{Form, Limit, Task, limit};
use super::{LiftError, not_negative};

/// Lifting index above which some are at risk of harm.
pub const INDEX_SOME_RISK: f64 = 1.0;
/// Lifting index above which nearly all are.
pub const INDEX_MOST_AT_RISK: f64 = 3.0;
/// Largest team for which a share is published.
pub const LARGEST_TEAM: usize = 3;

/// Share of the sum of what its members could lift alone that a team can lift; `None` where none is published.
///
/// Two people two thirds, three people one half. For four nothing is published that we know; larger teams "are unlikely to work".
///
/// # Source
///
/// HSE guidance L23 on the Manual Handling Operations Regulations 1992 \[looked up in pages that quote it\]; `docs/mechanics.md` §17.2.
/// Checked by TEAM-* in `tests/sources/niosh-94-110`.
pub fn team_share(people: usize) -> Option<f64> {
    match people {
        1 => Some(1.0),
        2 => Some(2.0 / 3.0),
        3 => Some(0.5),
        _ => None,
    }
}

/// A load and what it asks of one, two and three people.
#[derive(Clone, Debug, PartialEq)]
pub struct Lift {
    /// What one person may lift that way, and why.
    pub limit: Limit,
    /// Lifting index of each person in a team of one, two and three; `None` where the equation allows nothing at all.
    pub index: [Option<f64>; LARGEST_TEAM],
    /// Lifting index of each person in the team that was asked about; `None` where the equation allows nothing or no share is published.
    pub asked: Option<f64>,
    /// Fewest people at whom the index is 1 or less; `None`: use a hoist or another aid, or another way.
    pub least: Option<usize>,
}

/// What a lift asks of each person.
///
/// ```text
/// LI = L / (n share(n) RWL)
/// ```
///
/// The equation is for one person with two hands. That its limit is what a member "could lift alone" is our combination of two guides; each
/// member is taken to stand at the task's reach, heights and twist.
///
/// # Symbols
///
/// | here | in the source | unit | meaning |
/// |---|---|---|---|
/// | `load_kg` | `L` | kg | whole load |
/// | `people` | | | how many there are to lift it |
///
/// # Source
///
/// DHHS (NIOSH) 94-110 and HSE L23; `docs/mechanics.md` §17.2. Checked by TEAM-* and NL-* in `tests/sources/niosh-94-110`.
///
/// # Errors
///
/// [`LiftError`] if there is nobody, or a value is negative or not finite.
pub fn lift(load_kg: f64, task: &Task, people: usize) -> Result<Lift, LiftError> {
    let load = not_negative("load", load_kg)?;
    if people == 0 {
        return Err(LiftError::Nobody);
    }
    let one = limit(task, Form::Metric)?;
    let index = |n: usize| -> Option<f64> {
        #[allow(clippy::cast_precision_loss, reason = "at most three people")]
        let all = n as f64 * team_share(n)?;
        (one.kg > 0.0).then(|| load / (all * one.kg))
    };
    let teams = [index(1), index(2), index(3)];
    let least = (1..=LARGEST_TEAM).find(|&n| index(n).is_some_and(|i| i <= INDEX_SOME_RISK));
    Ok(Lift { index: teams, asked: index(people), least, limit: one })
}

#[cfg(test)]
mod tests {
    use super::super::{Beyond, Duration, Grip, Place};
    use super::*;

    fn waist() -> Task {
        let at = |height_m| Place { reach_m: 0.25, height_m, twist_rad: 0.0 };
        Task {
            from: at(0.75),
            to: at(0.75),
            rate_hz: 0.0,
            duration: Duration::UpTo1h,
            grip: Grip::Good,
            control_at_end: true,
        }
    }

    #[test]
    fn more_people_until_none_is_enough() {
        // 23 kg each: one 23, two 4/3 of it, three 3/2 of it.
        for (load, least) in [(23.0, Some(1)), (30.6, Some(2)), (34.4, Some(3)), (34.6, None), (0.0, Some(1))]
        {
            assert_eq!(lift(load, &waist(), 1).unwrap().least, least, "{load}");
        }
    }

    #[test]
    fn four_have_no_share_and_nobody_is_a_fault() {
        let four = lift(10.0, &waist(), 4).unwrap();
        assert!(four.asked.is_none() && four.least == Some(1));
        assert_eq!(lift(10.0, &waist(), 0), Err(LiftError::Nobody));
        assert!(lift(f64::NAN, &waist(), 1).is_err() && lift(-1.0, &waist(), 1).is_err());
    }

    #[test]
    fn nobody_lifts_onto_a_high_roof() {
        let mut t = waist();
        t.to.height_m = 1.8;
        let roof = lift(1.0, &t, 3).unwrap();
        assert!(roof.least.is_none() && roof.asked.is_none() && roof.index == [None; 3]);
        assert_eq!(roof.limit.beyond, [Beyond::Height]);
    }
}
