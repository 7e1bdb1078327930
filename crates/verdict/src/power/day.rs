//! A battery over the day that the file states.

use super::{Charge, Net, Plan, Source, number, steady};
use mechanics::power::PowerError;
use mechanics::power::battery::Plate;
use mechanics::power::day::{RunDown, Store, run_down};
use mechanics::power::tree::Draw;
use rig::model::power::{Battery, Consumer};

/// How a battery's day ends.
#[derive(Clone, Debug)]
pub struct Day {
    /// Length, s.
    pub length_s: f64,
    /// What the battery gives, C: label, age and cold.
    pub charge_c: f64,
    /// Share of that in it at the start.
    pub start: f64,
    /// Share that is to stay in it.
    pub floor: f64,
    /// What became of it.
    pub run: RunDown,
}

/// The bank's charge as it is, C.
pub(crate) fn charge_c(b: &Battery) -> f64 {
    b.capacity.value * number(b.parallel) * b.health.value * b.cold_share.value
}

/// Share of the charge in it at the day's start; `None` when it is not stated when it was full.
pub(super) fn start_share(b: &Battery) -> Option<f64> {
    let days = b.charged.as_ref()?.value / 86_400.0;
    Some((1.0 - days * b.chemistry.fades_by_day()).clamp(0.0, 1.0))
}

/// The share of an interval in which a consumer draws its average.
pub(super) fn duty(c: &Consumer, from_s: f64, to_s: f64) -> f64 {
    if c.blocks.is_empty() {
        return c.duty.value;
    }
    let middle = 0.5 * (from_s + to_s);
    c.blocks.iter().filter(|b| b.from <= middle && middle < b.to).map(|b| b.duty).fold(0.0, f64::max)
}

impl Plan<'_> {
    /// The day in intervals within which nothing changes: from, to, s.
    pub fn intervals(&self, length_s: f64) -> Vec<(f64, f64)> {
        let mut marks = vec![0.0, length_s];
        let blocks = self.power.consumers.iter().flat_map(|c| &c.blocks);
        marks.extend(blocks.flat_map(|b| [b.from, b.to]).filter(|t| *t > 0.0 && *t < length_s));
        marks.sort_by(f64::total_cmp);
        marks.dedup();
        marks.windows(2).filter_map(|w| if let [a, b] = w { Some((*a, *b)) } else { None }).collect()
    }

    /// Current out of a battery in an interval with a share of its charge left, A.
    fn current(&self, net: usize, (from, to): (f64, f64), share: f64) -> Result<f64, PowerError> {
        let draw = |c: usize| {
            let consumer = &self.power.consumers[c];
            let part = duty(consumer, from, to);
            let average = self.draw(c, super::Moment::Average);
            Draw { power_w: average.power_w * part, current_a: average.current_a * part }
        };
        let solved = self.solve(Charge::Share(share), &draw)?;
        let flow = solved.get(net).and_then(steady).ok_or(PowerError::Collapse)?;
        Ok(flow.branch_a.first().copied().unwrap_or_default())
    }

    /// A battery's day of a length, if it is known how full it begins.
    ///
    /// # Errors
    ///
    /// [`PowerError`] where a value is out of range, or its voltage collapses.
    pub fn day(&self, battery: usize, length_s: f64) -> Result<Option<Day>, PowerError> {
        let b = &self.power.batteries[battery];
        let Some(start) = start_share(b) else { return Ok(None) };
        let Some(net) = self.nets.iter().position(|n: &Net| n.source == Source::Battery(battery)) else {
            return Ok(None);
        };
        let plate = Plate::new(charge_c(b), b.rated_time.value, b.peukert.value)?;
        let floor = (1.0 - b.usable.value).max(0.0);
        let intervals = self.intervals(length_s);
        let lengths: Vec<f64> = intervals.iter().map(|(a, b)| b - a).collect();
        let run = run_down(&Store { plate, start, floor }, &lengths, |k, share| {
            self.current(net, intervals.get(k).copied().unwrap_or_default(), share)
        })?;
        Ok(Some(Day { length_s, charge_c: plate.charge_c, start, floor, run }))
    }
}
