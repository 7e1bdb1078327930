//! What a check finds, in a form that a person can follow by hand.

use crate::parts::PartRef;
use crate::state::StateId;
use quantity::Kind;
use rig::policy::CheckId;

/// How a check came out.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// The margin is 1.00 or more.
    Holds,
    /// The margin is under 1.00.
    Fails,
    /// It could not be checked: a fact is missing.
    NotChecked(Need),
    /// Worth knowing; does not decide.
    Note,
}

/// A fact that is missing, and how to get it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// What is missing, in words.
    pub what: String,
    /// The key that would state it.
    pub key: String,
    /// How to get it.
    pub settle: String,
}

/// One line of a hand check.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Symbol (`T`, `N0`).
    pub symbol: &'static str,
    /// What it is, or how it follows from the others.
    pub text: String,
    /// SI.
    pub value: f64,
    /// What it measures.
    pub kind: Kind,
}

impl Step {
    /// A line.
    pub fn new(symbol: &'static str, text: impl Into<String>, value: f64, kind: Kind) -> Self {
        Self { symbol, text: text.into(), value, kind }
    }
}

/// A check that can be followed with a hand calculator.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HandCheck {
    /// The formula in plain symbols.
    pub formula: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// Values and steps in order.
    pub steps: Vec<Step>,
}

/// One check of one part at its worst.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which check.
    pub check: CheckId,
    /// Which part.
    pub part: PartRef,
    /// More of where, in words (`412 mm from its left end`), or empty.
    pub place: String,
    /// Demand.
    pub demand: f64,
    /// Capacity, in the same unit.
    pub capacity: f64,
    /// What demand and capacity measure.
    pub kind: Kind,
    /// Required factor.
    pub factor: f64,
    /// `capacity / (factor x demand)`; infinite when nothing is asked; `None` when not checked or only noted.
    pub margin: Option<f64>,
    /// How it came out.
    pub outcome: Outcome,
    /// The worst state, for checks that sweep.
    pub state: Option<StateId>,
    /// Words about the situation, for checks that do not sweep.
    pub situation: String,
    /// The hand check.
    pub hand: HandCheck,
    /// Where the linear answer is past its assumption: what contact makes of the state, or empty. It decides nothing.
    pub contact: String,
}

impl Finding {
    /// A finding from demand and capacity; a margin that is not a number counts as failing.
    pub fn of(check: CheckId, part: PartRef, kind: Kind, factor: f64, demand: f64, capacity: f64) -> Self {
        let margin = margin(demand, capacity, factor);
        Self {
            check,
            part,
            place: String::new(),
            demand,
            capacity,
            kind,
            factor,
            margin: Some(margin),
            outcome: if margin >= 1.0 { Outcome::Holds } else { Outcome::Fails },
            state: None,
            situation: String::new(),
            hand: HandCheck::default(),
            contact: String::new(),
        }
    }

    /// A check that a missing fact stops.
    pub fn not_checked(check: CheckId, part: PartRef, need: Need) -> Self {
        Self {
            margin: None,
            outcome: Outcome::NotChecked(need),
            ..Self::of(check, part, Kind::Number, 1.0, 0.0, 1.0)
        }
    }

    /// Something worth knowing.
    pub fn note(check: CheckId, part: PartRef, situation: impl Into<String>) -> Self {
        Self {
            margin: None,
            outcome: Outcome::Note,
            situation: situation.into(),
            ..Self::of(check, part, Kind::Number, 1.0, 0.0, 1.0)
        }
    }

    /// Geometry fits or it does not, a gauge can read that or it cannot, a sum stands or it does not: a spare millimetre is no
    /// margin to rank beside forces. Such a check keeps its margin only where it fails.
    pub fn answer_yes_or_no(&mut self) {
        let plain = matches!(
            self.check,
            CheckId::CupFit
                | CheckId::CupVacuum
                | CheckId::Clash
                | CheckId::Clearance
                | CheckId::Stable
                | CheckId::SecondOrder
        );
        if plain && self.outcome == Outcome::Holds {
            self.margin = None;
        }
    }

    /// The same with words on where.
    #[must_use]
    pub fn at(mut self, place: impl Into<String>) -> Self {
        self.place = place.into();
        self
    }

    /// The same with words on the situation.
    #[must_use]
    pub fn when(mut self, situation: impl Into<String>) -> Self {
        self.situation = situation.into();
        self
    }

    /// The same with a hand check.
    #[must_use]
    pub fn hand(mut self, hand: HandCheck) -> Self {
        self.hand = hand;
        self
    }
}

/// `capacity / (factor x demand)`: infinite when nothing is asked, 0 when there is nothing to give or a number is lost.
pub fn margin(demand: f64, capacity: f64, factor: f64) -> f64 {
    if !(demand.is_finite() && capacity.is_finite() && factor.is_finite()) || capacity <= 0.0 {
        // A lost number is never a pass; an unlimited capacity is written as "not checked", not as infinity.
        return if demand.is_finite() && demand <= 0.0 && capacity >= 0.0 { f64::INFINITY } else { 0.0 };
    }
    if demand <= 0.0 { f64::INFINITY } else { capacity / (factor * demand) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lost_number_is_never_a_pass() {
        for (d, c) in [(f64::NAN, 1.0), (1.0, f64::NAN), (f64::INFINITY, 1.0), (1.0, 0.0), (1.0, -2.0)] {
            assert!(margin(d, c, 1.0) < 1.0, "{d} {c}");
        }
        assert!((margin(2.0, 6.0, 1.5) - 2.0).abs() < 1e-15);
        assert!(margin(-1.0, 6.0, 1.5).is_infinite());
    }
}
