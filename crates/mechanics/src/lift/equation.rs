//! The recommended weight limit of one person.

use super::frequency::{Duration, KNUCKLE_M, frequency_multiplier};
use super::{LiftError, not_negative};
use core::f64::consts::PI;

/// Which of the manual's two ways to write the equation. They are not the same: 10 in are 25.4 cm, 51 lb are 23.13 kg, so the
/// metric one allows up to 2 % less. The metric one is used; the other is there to check the manual's examples, which are in inches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// 23 kg, 25 cm.
    Metric,
    /// 51 lb, 10 in.
    Inches,
}

struct Constants {
    load_kg: f64,
    reach_m: f64,
    most_reach_m: f64,
    height_per_m: f64,
    middle_m: f64,
    most_height_m: f64,
    travel_m: f64,
    least_travel_m: f64,
    most_travel_m: f64,
}

const INCH_M: f64 = 0.0254;
const POUND_KG: f64 = 0.453_592_37;

const METRIC: Constants = Constants {
    load_kg: 23.0,
    reach_m: 0.25,
    most_reach_m: 0.63,
    height_per_m: 0.3,
    middle_m: 0.75,
    most_height_m: 1.75,
    travel_m: 0.045,
    least_travel_m: 0.25,
    most_travel_m: 1.75,
};
const INCHES: Constants = Constants {
    load_kg: 51.0 * POUND_KG,
    reach_m: 10.0 * INCH_M,
    most_reach_m: 25.0 * INCH_M,
    height_per_m: 0.0075 / INCH_M,
    middle_m: 30.0 * INCH_M,
    most_height_m: 70.0 * INCH_M,
    travel_m: 1.8 * INCH_M,
    least_travel_m: 10.0 * INCH_M,
    most_travel_m: 70.0 * INCH_M,
};

/// Largest twist of the trunk, degrees.
const MOST_TWIST_DEG: f64 = 135.0;
/// Limits count as kept within rounding.
const ROUNDING: f64 = 1e-9;

fn constants(form: Form) -> &'static Constants {
    match form {
        Form::Metric => &METRIC,
        Form::Inches => &INCHES,
    }
}

/// What one person may lift with every multiplier at 1, kg.
pub fn load_constant_kg(form: Form) -> f64 {
    constants(form).load_kg
}

/// Where the hands are at one end of the lift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// `H`: from the middle between the ankles to the middle between the hands, level, m.
    pub reach_m: f64,
    /// `V`: of the hands over the floor, m.
    pub height_m: f64,
    /// `A`: of the load out of the plane straight ahead, rad, 0 or more.
    pub twist_rad: f64,
}

/// Quality of the grip (table 7 of the manual).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grip {
    /// Handles, cut-outs, or a part that the hand goes round.
    Good,
    /// Poor handles, or a box whose lower edge the fingers hold at a right angle.
    Fair,
    /// Nothing to hold: bulky, sharp, sagging, smooth.
    Poor,
}

/// A lift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Task {
    /// Where it begins.
    pub from: Place,
    /// Where it ends.
    pub to: Place,
    /// Lifts per second, 0 or more; under 0.2 a minute counts as 0.2.
    pub rate_hz: f64,
    /// For how long.
    pub duration: Duration,
    /// How it can be held.
    pub grip: Grip,
    /// Whether it must be set down with care: placed on something, held while somebody bolts it, or gripped anew. If so, the end counts too.
    pub control_at_end: bool,
}

/// A limit outside which the equation gives nothing: no weight may be lifted that way by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// Hands more than 63 cm away.
    Reach,
    /// Hands more than 175 cm up.
    Height,
    /// More than 175 cm up or down.
    Travel,
    /// Twisted by more than 135 degrees.
    Twist,
    /// More often than the table goes.
    Rate,
}

/// The six multipliers, each from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Multipliers {
    /// `HM`: reach.
    pub reach: f64,
    /// `VM`: height.
    pub height: f64,
    /// `DM`: way up or down.
    pub travel: f64,
    /// `AM`: twist.
    pub twist: f64,
    /// `FM`: how often.
    pub rate: f64,
    /// `CM`: grip.
    pub grip: f64,
}

impl Multipliers {
    /// `HM VM DM AM FM CM`.
    pub fn product(self) -> f64 {
        self.reach * self.height * self.travel * self.twist * self.rate * self.grip
    }

    /// At one end of a lift.
    ///
    /// ```text
    /// HM = 25 / H     VM = 1 - 0.003 |V - 75|     DM = 0.82 + 4.5 / D     AM = 1 - 0.0032 A     (cm, degrees)
    /// ```
    ///
    /// `H` and `D` under 25 cm count as 25. Outside a limit the multiplier is 0.
    ///
    /// # Symbols
    ///
    /// | here | in the source | unit | meaning |
    /// |---|---|---|---|
    /// | `reach_m` | `H` | m | ankles to hands, level |
    /// | `height_m` | `V` | m | hands over the floor |
    /// | way | `D` | m | between the two heights |
    /// | `twist_rad` | `A` | rad | out of straight ahead |
    ///
    /// # Source
    ///
    /// DHHS (NIOSH) 94-110 (1994, revised 9/2021); `docs/mechanics.md` §17.1. Checked by NL-* in `tests/sources/niosh-94-110`.
    ///
    /// # Errors
    ///
    /// [`LiftError`] if a value is negative or not finite.
    pub fn at(task: &Task, end: End, form: Form) -> Result<Self, LiftError> {
        let c = constants(form);
        let place = task.checked(end)?;
        let travel = (task.checked(End::To)?.height_m - task.checked(End::From)?.height_m).abs();
        let twist = place.twist_rad * 180.0 / PI;
        let within =
            |value: f64, most: f64, then: f64| if value <= most + ROUNDING { then.max(0.0) } else { 0.0 };
        Ok(Self {
            reach: within(place.reach_m, c.most_reach_m, c.reach_m / place.reach_m.max(c.reach_m)),
            height: within(
                place.height_m,
                c.most_height_m,
                1.0 - c.height_per_m * (place.height_m - c.middle_m).abs(),
            ),
            travel: within(
                travel,
                c.most_travel_m,
                (0.82 + c.travel_m / travel.max(c.least_travel_m)).min(1.0),
            ),
            twist: within(twist, MOST_TWIST_DEG, 1.0 - 0.0032 * twist),
            rate: frequency_multiplier(task.rate_hz, task.duration, place.height_m)?,
            grip: match task.grip {
                Grip::Fair if place.height_m < KNUCKLE_M => 0.95,
                Grip::Good | Grip::Fair => 1.0,
                Grip::Poor => 0.90,
            },
        })
    }

    /// Which limits are passed.
    pub fn beyond(self) -> Vec<Beyond> {
        [
            (self.reach, Beyond::Reach),
            (self.height, Beyond::Height),
            (self.travel, Beyond::Travel),
            (self.twist, Beyond::Twist),
            (self.rate, Beyond::Rate),
        ]
        .into_iter()
        .filter_map(|(m, b)| (m <= 0.0).then_some(b))
        .collect()
    }
}

/// An end of the lift.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Where it is taken up.
    From,
    /// Where it is set down.
    To,
}

impl Task {
    fn checked(&self, end: End) -> Result<Place, LiftError> {
        let place = match end {
            End::From => self.from,
            End::To => self.to,
        };
        not_negative("reach of the hands", place.reach_m)?;
        not_negative("height of the hands", place.height_m)?;
        not_negative("twist", place.twist_rad)?;
        Ok(place)
    }
}

/// Recommended weight limit of one person.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// `RWL`, kg; 0 where a limit is passed.
    pub kg: f64,
    /// The end that sets it.
    pub end: End,
    /// The multipliers at that end.
    pub multipliers: Multipliers,
    /// Why it is 0, if it is.
    pub beyond: Vec<Beyond>,
}

/// Recommended weight limit of one person with two hands: `RWL = LC HM VM DM AM FM CM`.
///
/// At the start; where the load must be set down with care, also at the end, and the smaller counts.
///
/// # Source
///
/// DHHS (NIOSH) 94-110; `docs/mechanics.md` §17.1. Checked by NL-* in `tests/sources/niosh-94-110`.
///
/// # Errors
///
/// [`LiftError`] if a value is negative or not finite.
///
/// # Examples
///
/// ```
/// # use mechanics::lift::{Duration, Form, Grip, Place, Task, limit};
/// let straight = |height_m| Place { reach_m: 0.25, height_m, twist_rad: 0.0 };
/// let mut task = Task {
///     from: straight(0.75), to: straight(0.80), rate_hz: 0.0, duration: Duration::UpTo1h, grip: Grip::Good, control_at_end: true,
/// };
/// assert!(limit(&task, Form::Metric)?.kg > 22.6);
/// // On a roof 1.8 m up: the equation allows nothing.
/// task.to.height_m = 1.8;
/// assert!(limit(&task, Form::Metric)?.kg <= 0.0);
/// # Ok::<(), mechanics::lift::LiftError>(())
/// ```
pub fn limit(task: &Task, form: Form) -> Result<Limit, LiftError> {
    let at = |end| -> Result<Limit, LiftError> {
        let multipliers = Multipliers::at(task, end, form)?;
        Ok(Limit {
            kg: load_constant_kg(form) * multipliers.product(),
            end,
            multipliers,
            beyond: multipliers.beyond(),
        })
    };
    let (from, to) = (at(End::From)?, at(End::To)?);
    Ok(if task.control_at_end && to.kg < from.kg { to } else { from })
}

/// Reach of the hands where it was not measured, from how far the load stands out from the body.
///
/// ```text
/// H = 20 cm + W/2,   H = 25 cm + W/2 with the hands less than 25 cm over the floor
/// ```
///
/// # Source
///
/// DHHS (NIOSH) 94-110 \[looked up in a transcription\]; `docs/mechanics.md` §17.1.
///
/// # Errors
///
/// [`LiftError`] if a value is negative or not finite.
pub fn reach_from_width_m(width_m: f64, height_m: f64) -> Result<f64, LiftError> {
    let half = not_negative("width of the load", width_m)? / 2.0;
    let body = if not_negative("height of the hands", height_m)? < 0.25 { 0.25 } else { 0.20 };
    Ok(body + half)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn task(from: f64, to: f64) -> Task {
        let at = |height_m| Place { reach_m: 0.4, height_m, twist_rad: 0.0 };
        Task {
            from: at(from),
            to: at(to),
            rate_hz: 0.0,
            duration: Duration::UpTo1h,
            grip: Grip::Good,
            control_at_end: true,
        }
    }

    #[test]
    fn the_end_counts_only_where_control_is_needed() {
        let up = task(0.75, 1.6);
        assert_eq!(limit(&up, Form::Metric).unwrap().end, End::To);
        let thrown = Task { control_at_end: false, ..up };
        let free = limit(&thrown, Form::Metric).unwrap();
        assert!(free.end == End::From && free.kg > limit(&up, Form::Metric).unwrap().kg);
        // Down from the roof the start is the worse one.
        assert_eq!(limit(&task(1.6, 0.75), Form::Metric).unwrap().end, End::From);
    }

    #[test]
    fn each_limit_gives_nothing_and_says_which() {
        let t = task(0.75, 1.0);
        let far = Task { from: Place { reach_m: 0.64, ..t.from }, ..t };
        let high = task(0.75, 1.76);
        let twisted = Task { to: Place { twist_rad: 136.0_f64.to_radians(), ..t.to }, ..t };
        let often = Task { rate_hz: 16.0 / 60.0, ..t };
        for (task, why) in
            [(far, Beyond::Reach), (high, Beyond::Height), (twisted, Beyond::Twist), (often, Beyond::Rate)]
        {
            let l = limit(&task, Form::Metric).unwrap();
            assert!(l.kg <= 0.0 && l.beyond == [why], "{l:?}");
        }
        let both = limit(&task(0.0, 1.76), Form::Metric).unwrap();
        assert_eq!(both.beyond, [Beyond::Travel]);
        // On the limits themselves there is an answer.
        assert!(limit(&task(0.0, 1.75), Form::Metric).unwrap().kg > 0.0);
    }

    #[test]
    fn reach_is_estimated_from_the_width() {
        assert!((reach_from_width_m(0.5, 0.9).unwrap() - 0.45).abs() < 1e-15);
        assert!((reach_from_width_m(0.5, 0.2).unwrap() - 0.50).abs() < 1e-15);
        assert!(reach_from_width_m(-0.1, 0.9).is_err() && reach_from_width_m(0.1, f64::NAN).is_err());
    }

    #[test]
    fn bad_places_are_refused() {
        let t = task(0.75, 1.0);
        for bad in [
            Task { from: Place { reach_m: -0.1, ..t.from }, ..t },
            Task { to: Place { height_m: f64::NAN, ..t.to }, ..t },
            Task { to: Place { twist_rad: f64::INFINITY, ..t.to }, ..t },
            Task { rate_hz: -1.0, ..t },
        ] {
            assert!(limit(&bad, Form::Metric).is_err(), "{bad:?}");
        }
    }
}
