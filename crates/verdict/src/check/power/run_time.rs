//! How long each battery lasts, beside the day's hours.

use super::{found, lacks, plan, refused};
use crate::finding::{Finding, HandCheck, Need, Step};
use crate::parts::PartRef;
use crate::power::{Day, number};
use mechanics::power::PowerError;
use mechanics::power::day::MOST_DAYS;
use quantity::{Kind, both_kind};
use rig::model::Rig;
use rig::model::power::Battery;
use rig::policy::CheckId;

const ID: CheckId = CheckId::PowerRunTime;
/// One finding a battery.
pub(crate) fn run_time(rig: &Rig) -> Vec<Finding> {
    let plan = match plan(rig, ID) {
        Ok(Some(plan)) => plan,
        Ok(None) => return Vec::new(),
        Err(found) => return found,
    };
    let hours = plan.power.hours.as_ref().map(|h| h.value);
    (0..plan.power.batteries.len())
        .map(|b| {
            let part = PartRef::Battery(b);
            let battery = &plan.power.batteries[b];
            let Some(length) = hours else {
                return Finding::not_checked(
                    ID,
                    part,
                    Need {
                        what: "the hours of the working day".to_owned(),
                        key: "power.hours".to_owned(),
                        settle: "state `hours` under [power], or give --hours".to_owned(),
                    },
                );
            };
            if let Some(need) = stale(battery) {
                return Finding::not_checked(ID, part, need);
            }
            match plan.day(b, length) {
                Ok(Some(day)) => lasts(rig, part, battery, &day),
                Ok(None) => Finding::not_checked(
                    ID,
                    part,
                    lacks("battery", &battery.tag, "when it was full", "charged", "charge it and note when"),
                ),
                Err(PowerError::Collapse) => found(rig, (ID, part), Kind::Time, length, 0.0)
                    .when("the voltage collapses under everything at its average"),
                Err(e) => refused(ID, part, &e),
            }
        })
        .collect()
}

/// A charge that is missing or too long ago.
fn stale(b: &Battery) -> Option<Need> {
    let settle = "charge it full, let it rest for an hour, measure its voltage, and note when";
    match &b.charged {
        None => Some(lacks("battery", &b.tag, "when it was full", "charged", settle)),
        Some(ago) if ago.value > b.chemistry.stale_after() => Some(Need {
            what: format!(
                "a fresh charge of battery {}: the last was {:.0} days before",
                b.tag,
                ago.value / 86_400.0
            ),
            key: format!("battery.{}.charged", b.tag),
            settle: settle.to_owned(),
        }),
        Some(_) => None,
    }
}

fn lasts(rig: &Rig, part: PartRef, b: &Battery, day: &Day) -> Finding {
    // What lasts longer is not asked about.
    let most = day.length_s * f64::from(MOST_DAYS);
    let lasts = day.run.lasts_s.unwrap_or(most);
    let said = match day.run.lasts_s {
        None => "nothing to speak of is drawn".to_owned(),
        Some(t) if t >= day.length_s => format!("{:.0} % left at the day's end", 100.0 * day.run.left),
        Some(t) => format!("down to what must stay in it after {}", both_kind(t, Kind::Time)),
    };
    let hand = HandCheck {
        formula: "capacity = Q (start - floor) / I';  demand = the day's hours",
        source: "charge that flows is gone; above the rated current Peukert: I' = I (I H / C)^(k - 1); mechanics.md §16.6",
        steps: vec![
            Step::new("C", "label, all rows", b.capacity.value * number(b.parallel), Kind::Charge),
            Step::new("health", "share of the label that it still holds", b.health.value, Kind::Number),
            Step::new("cold", "share that it gives at its temperature", b.cold_share.value, Kind::Number),
            Step::new("Q", "C x health x cold", day.charge_c, Kind::Charge),
            Step::new("start", "share in it at the start", day.start, Kind::Number),
            Step::new("floor", "share that stays in it", day.floor, Kind::Number),
            Step::new("drawn", "in the day", day.run.drawn_c, Kind::Charge),
            Step::new("I", "on average over the day", day.run.drawn_c / day.length_s, Kind::Current),
            Step::new("lasts", "step by step over the day, and on", lasts, Kind::Time),
        ],
    };
    found(rig, (ID, part), Kind::Time, day.length_s, lasts).when(said).hand(hand)
}
