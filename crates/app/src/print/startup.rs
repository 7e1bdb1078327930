//! The order in which power comes on and goes off, with what must be so before each step.

use super::power::{Sheet, head};
use super::text::hang;
use quantity::{Kind, both_kind};
use rig::model::power::{Battery, From, Power, To};
use std::io::{self, Write};
use verdict::Answer;
use verdict::power::{Charge, Moment, Net, Plan};

/// The steps, on and off.
pub(crate) struct Order {
    pub(crate) on: Vec<String>,
    pub(crate) off: Vec<String>,
}

fn names(list: &[&str]) -> String {
    match list {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// How far apart the rows of a bank may be before they are joined.
fn joining(b: &Battery) -> Option<String> {
    let row = f64::from(u32::try_from(b.series).ok()?);
    let mut said = Vec::new();
    if b.series > 1 {
        said.push(format!("within {} in a row", both_kind(0.004 * b.voltage.value, Kind::Voltage)));
    }
    if b.parallel > 1 {
        let limit = b.charge_current.as_ref()?.value;
        let apart = verdict::power::greatest_difference_v(limit, 2.0 * b.resistance.value * row)?;
        said.push(format!("rows within {} of each other", both_kind(apart, Kind::Voltage)));
    }
    (!said.is_empty()).then(|| format!("battery {}: {}", b.tag, said.join(", ")))
}

/// What a voltmeter should show at each consumer, everything at its average, battery full.
fn expected(plan: &Plan<'_>) -> Vec<String> {
    let Ok(solved) = plan.at(Charge::Full, Moment::Average) else { return Vec::new() };
    let mut out = Vec::new();
    for (net, solution) in plan.nets.iter().zip(&solved) {
        let Some(flow) = verdict::power::steady(solution) else { continue };
        for (place, c) in net.cables.iter().enumerate() {
            if let To::Consumer(i) = plan.power.cables[*c].to
                && let Some(v) = flow.node_v.get(Net::node(place))
            {
                out.push(format!("{} {v:.1} V", plan.power.consumers[i].tag));
            }
        }
    }
    out
}

impl Order {
    /// The order for a plan.
    pub(crate) fn of(sheet: &Sheet<'_>, plan: &Plan<'_>) -> Self {
        let power = plan.power;
        let arm = sheet.rig.arm.is_some();
        let tags = |moves: bool| -> Vec<&str> {
            power.consumers.iter().filter(|c| c.moves == moves).map(|c| c.tag.as_str()).collect()
        };
        let (moving, still) = (tags(true), tags(false));
        let mut on = Vec::new();
        if arm || !moving.is_empty() {
            on.push(
                "Boom clear of people: one person watches and says so. Stop button pressed in.".to_owned(),
            );
            on.push("Travel pins out, boom balanced and free by hand. A drive that starts against a pin burns or breaks it.".to_owned());
        }
        on.push(
            "All breakers and switches off, every fuse in its holder as planned, every plug dry and seated."
                .to_owned(),
        );
        let joined: Vec<String> = power.batteries.iter().filter_map(joining).collect();
        if !joined.is_empty() {
            on.push(format!("Measure every battery at rest before it is joined: {}. Charge alike what is apart; only then join.", joined.join("; ")));
        }
        for (k, b) in power.batteries.iter().enumerate() {
            let first: Vec<&str> =
                power.cables.iter().filter(|c| c.from == From::Battery(k)).map(|c| c.tag.as_str()).collect();
            if first.is_empty() {
                continue;
            }
            let (low, full) = (plan_volts(plan, k, Charge::Low), plan_volts(plan, k, Charge::Full));
            on.push(format!(
                "Battery {}: measure {low:.1} to {full:.1} V and the right way round, then its main breaker, then {}.",
                b.tag,
                names(&first)
            ));
        }
        on.extend(supplies(power));
        if !still.is_empty() {
            on.push(format!("Breakers of what does not move, one at a time: {}.", names(&still)));
        }
        if !moving.is_empty() {
            on.push(format!("Last, and people still clear: {}, one at a time.", names(&moving)));
        }
        let expected = expected(plan);
        if !expected.is_empty() {
            on.push(format!(
                "Everything running, measure at the source and at each plug. With full batteries the sum says {}. Where more is lost than \
                 the sum says, find the joint; note both readings under `measured`.",
                expected.join(", ")
            ));
        }
        if arm || !moving.is_empty() {
            on.push(
                "Say \"moving\", wait for the answer, release the stop button, first move slow and small."
                    .to_owned(),
            );
        }
        let mut off = Vec::new();
        if arm || !moving.is_empty() {
            off.push("Boom parked and still, stop button pressed in, people clear.".to_owned());
        }
        if !moving.is_empty() {
            off.push(format!("First off: {}.", names(&moving)));
        }
        if !still.is_empty() {
            off.push(format!(
                "Then {}, one at a time, each shut down by its own switch first.",
                names(&still)
            ));
        }
        let supplies: Vec<&str> = power.supplies.iter().map(|s| s.tag.as_str()).collect();
        if !supplies.is_empty() {
            off.push(format!("Supplies: {}.", names(&supplies)));
        }
        if !power.batteries.is_empty() {
            off.push("Battery main breakers, then the cables off at the battery, poles covered.".to_owned());
        }
        if arm || !moving.is_empty() {
            off.push("Travel pins in before the car moves with the boom unattended.".to_owned());
        }
        let part = if joined.is_empty() { "" } else { "Part batteries that were joined. " };
        off.push(format!("{part}After an hour's rest note each battery's voltage and the time; charge it where somebody watches."));
        Self { on, off }
    }
}

fn supplies(power: &Power) -> Vec<String> {
    let cars: Vec<&str> = power.supplies.iter().filter(|s| s.is_car).map(|s| s.tag.as_str()).collect();
    let rest: Vec<&str> = power.supplies.iter().filter(|s| !s.is_car).map(|s| s.tag.as_str()).collect();
    let mut out = Vec::new();
    if !cars.is_empty() {
        out.push(format!("Engine running before anything hangs on {}.", names(&cars)));
    }
    if !rest.is_empty() {
        out.push(format!(
            "Converters: {}; measure what each gives before anything is plugged in.",
            names(&rest)
        ));
    }
    out
}

fn plan_volts(plan: &Plan<'_>, battery: usize, charge: Charge) -> f64 {
    verdict::power::Source::Battery(battery).volts(plan.power, charge)
}

/// Writes the orders; only for a GO.
pub(super) fn write(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    head(out, "START-UP ORDER")?;
    let (Answer::Go, Some(plan)) = (sheet.answer, sheet.plan) else {
        return hang(out, "  ", "None before the power is a GO: settle or mend the above, and leave it off.");
    };
    let order = Order::of(sheet, plan);
    steps(out, &order.on)?;
    head(out, "SHUT-DOWN ORDER")?;
    steps(out, &order.off)
}

fn steps(out: &mut dyn Write, list: &[String]) -> io::Result<()> {
    for (k, text) in list.iter().enumerate() {
        hang(out, &format!("  {:>2}. [ ] ", k + 1), text)?;
    }
    Ok(())
}
