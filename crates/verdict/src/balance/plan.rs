//! What brings the boom into balance: plates, a slide of the counterweight, or both.

use super::moments::{Left, Moments};
use super::plates::{Choice, TooMany, WORTH_NM, best, choices};
use mechanics::arm::{ArmError, TiltBalance};
use rig::model::Arm;

/// A slide shorter than this is not worth a spanner, m.
const WORTH_M: f64 = 0.002;

/// One way to mend the balance, and what it leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Plates put on and taken off.
    pub plates: Choice,
    /// The counterweight then, kg.
    pub weight_kg: f64,
    /// Where it then hangs behind the pivot, m.
    pub behind_m: f64,
    /// How far it slides, m: away from the pivot is positive.
    pub slides_m: f64,
    /// What is left to hold.
    pub left: Left,
}

impl Plan {
    /// Nothing is moved.
    pub fn is_nothing(&self) -> bool {
        self.plates.moved() == 0 && self.slides_m == 0.0
    }
}

/// Ways to mend the balance of a boom.
#[derive(Clone, Debug)]
pub struct Plans {
    /// As it hangs.
    pub now: Left,
    /// Counterweight that would balance it at its present place, kg, if any would.
    pub weight_kg: Option<f64>,
    /// Place where the present counterweight would balance it, m behind the pivot, whether it gets there or not.
    pub place_m: Option<f64>,
    /// With plates alone, where the file lists any.
    pub plates: Option<Plan>,
    /// With a slide alone, where the carrier's range is stated; at the end of its range if the place lies beyond.
    pub slide: Option<Plan>,
    /// With plates and a slide, where both are there.
    pub both: Option<Plan>,
}

impl Plans {
    /// Looks for them.
    ///
    /// # Errors
    ///
    /// [`NoPlan`] where a number is not finite or there are too many plates.
    pub fn of(whole: &TiltBalance, arm: &Arm) -> Result<Self, NoPlan> {
        let m = Moments::of(whole, arm);
        let w = &arm.counterweight;
        let now = m.left(m.weight_kg, m.behind_m)?;
        let every = choices(&w.plates, &w.fitted)?;
        let plan = |plates: &Choice, behind_m: f64| -> Result<Plan, NoPlan> {
            let weight_kg = m.weight_kg + plates.kg;
            let slides_m = if (behind_m - m.behind_m).abs() < WORTH_M { 0.0 } else { behind_m - m.behind_m };
            let behind_m = m.behind_m + slides_m;
            let left = m.left(weight_kg, behind_m)?;
            Ok(Plan { plates: plates.clone(), weight_kg, behind_m, slides_m, left })
        };
        let stays = |c: &Choice| m.weight_kg + c.kg > 0.0;
        let size = |weight_kg: f64, behind_m: f64| {
            m.left(weight_kg, behind_m).map_or(f64::INFINITY, |l| l.worst_nm.abs())
        };
        let listed = every.len() > 1;
        let plates = if listed {
            let at = |c: &Choice| if stays(c) { size(m.weight_kg + c.kg, m.behind_m) } else { f64::INFINITY };
            best(&every, at).map(|(c, _)| plan(c, m.behind_m)).transpose()?
        } else {
            None
        };
        let none = Choice::default();
        let slid = |c: &Choice| w.slide.and_then(|reach| m.place_m(m.weight_kg + c.kg, Some(reach)));
        let slide = slid(&none).map(|b| plan(&none, b)).transpose()?;
        let both = if listed && w.slide.is_some() {
            let at = |c: &Choice| match slid(c) {
                Some(b) if stays(c) => size(m.weight_kg + c.kg, b),
                _ => f64::INFINITY,
            };
            let found = best(&every, at);
            found.and_then(|(c, _)| Some((c, slid(c)?))).map(|(c, b)| plan(c, b)).transpose()?
        } else {
            None
        };
        Ok(Self { now, weight_kg: m.weight_kg(), place_m: m.place_m(m.weight_kg, None), plates, slide, both })
    }

    /// The plan to follow: what leaves least over the range; of those that leave about the same, the one that moves fewest
    /// plates. None where leaving it alone is as good.
    pub fn advice(&self) -> Option<&Plan> {
        let plans = [&self.slide, &self.plates, &self.both].into_iter().flatten();
        let least =
            plans.clone().map(|p| p.left.worst_nm.abs()).fold(self.now.worst_nm.abs(), f64::min) + WORTH_NM;
        if self.now.worst_nm.abs() <= least {
            return None;
        }
        plans.filter(|p| p.left.worst_nm.abs() <= least).min_by_key(|p| p.plates.moved())
    }
}

/// The arm with a plan carried out: its plates have changed sides.
#[must_use]
pub fn after(arm: &Arm, plan: &Plan) -> Arm {
    let mut out = arm.clone();
    let w = &mut out.counterweight;
    (w.mass.value, w.behind.value) = (plan.weight_kg, plan.behind_m);
    change_sides(&plan.plates.on, &mut w.plates, &mut w.fitted);
    change_sides(&plan.plates.off, &mut w.fitted, &mut w.plates);
    out
}

fn change_sides(gone: &[f64], from: &mut Vec<f64>, to: &mut Vec<f64>) {
    for kg in gone {
        if let Some(at) = from.iter().position(|p| (p - kg).abs() < 1e-6) {
            to.push(from.remove(at));
        }
    }
}

/// Why no plan can be made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoPlan {
    /// The arm's numbers.
    Arm(ArmError),
    /// The plates.
    Plates(TooMany),
}

impl core::fmt::Display for NoPlan {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Arm(e) => e.fmt(f),
            Self::Plates(e) => e.fmt(f),
        }
    }
}

impl core::error::Error for NoPlan {}

impl From<ArmError> for NoPlan {
    fn from(e: ArmError) -> Self {
        Self::Arm(e)
    }
}

impl From<TooMany> for NoPlan {
    fn from(e: TooMany) -> Self {
        Self::Plates(e)
    }
}
