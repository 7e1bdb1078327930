//! The voltage that reaches each consumer and converter, and that batteries' protections see.

use super::{found, lacks, plan, refused, worst};
use crate::finding::{Finding, HandCheck, Need, Step};
use crate::parts::PartRef;
use crate::power::{Charge, Moment, Net, Plan, Source, number, steady};
use mechanics::power::PowerError;
use mechanics::power::tree::Solution;
use quantity::{Kind, both_kind};
use rig::model::Rig;
use rig::model::power::{Chemistry, To};
use rig::policy::CheckId;

const ID: CheckId = CheckId::PowerVoltage;

/// The lowest voltage at the end of a cable, when, and the current there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lowest {
    /// V; `None` where it collapses.
    pub(crate) volts: Option<f64>,
    /// When.
    pub(crate) moment: Moment,
    /// A, in the cable that ends there.
    pub(crate) amps: f64,
    /// Measured drop over that of the sum, where both are known.
    pub(crate) measured: Option<f64>,
}

/// Measured drop over the drop by sum at the measured source voltage, everything at its average.
fn measured_ratio(plan: &Plan<'_>, net: &Net, place: usize) -> Result<Option<f64>, PowerError> {
    let To::Consumer(c) = plan.power.cables[net.cables[place]].to else { return Ok(None) };
    let Some((source, here)) = plan.power.consumers[c].measured else { return Ok(None) };
    let input: Vec<f64> = inputs(plan, &plan.at(Charge::Low, Moment::Average)?);
    let draws = net.draws(plan.power, &|c| plan.draw(c, Moment::Average), &input);
    let Solution::Steady(flow) = net.tree_of(source, 0.0)?.solve(&draws)? else { return Ok(None) };
    let sum = source - flow.node_v.get(Net::node(place)).copied().unwrap_or(source);
    // A drop of less than a hundredth of a volt is not measured but noise.
    Ok((sum > 0.01).then(|| ((source - here) / sum).max(0.0)))
}

/// What the converters take in, W, from the solutions of their own trees.
fn inputs(plan: &Plan<'_>, solved: &[Solution]) -> Vec<f64> {
    let power = plan.power;
    (0..power.supplies.len())
        .map(|s| {
            let own = plan.nets.iter().position(|n| n.source == Source::Supply(s));
            let amps =
                own.and_then(|n| solved.get(n)).and_then(steady).and_then(|f| f.branch_a.first().copied());
            amps.unwrap_or_default() * power.supplies[s].voltage.value / power.supplies[s].efficiency.value
        })
        .collect()
}

/// The lowest voltage at the end of the cable at `place` of tree `n` over all moments, batteries low.
pub(crate) fn lowest(plan: &Plan<'_>, n: usize, place: usize) -> Result<Lowest, PowerError> {
    let net = &plan.nets[n];
    let measured = measured_ratio(plan, net, place)?;
    let mut out = Lowest { volts: Some(f64::INFINITY), moment: Moment::Average, amps: 0.0, measured };
    for moment in Moment::ALL {
        let solved = plan.at(Charge::Low, moment)?;
        let Some(flow) = solved.get(n).and_then(steady) else {
            return Ok(Lowest { volts: None, moment, ..out });
        };
        let terminal = flow.node_v.get(1).copied().unwrap_or_default();
        let here = flow.node_v.get(Net::node(place)).copied().unwrap_or_default();
        let volts = terminal - (terminal - here) * measured.unwrap_or(1.0);
        if out.volts.is_some_and(|v| volts < v) {
            let amps = flow.branch_a.get(place + 1).copied().unwrap_or_default();
            out = Lowest { volts: Some(volts), moment, amps, measured };
        }
    }
    Ok(out)
}

/// Two findings a consumer and converter, too little and too much, and one a battery with a protection.
pub(crate) fn voltage(rig: &Rig) -> Vec<Finding> {
    let plan = match plan(rig, ID) {
        Ok(Some(plan)) => plan,
        Ok(None) => return Vec::new(),
        Err(found) => return found,
    };
    let mut out = Vec::new();
    for (n, net) in plan.nets.iter().enumerate() {
        for place in 0..net.cables.len() {
            out.extend(end(rig, &plan, n, place));
        }
        if let Source::Battery(b) = net.source {
            out.extend(worst(protection(rig, &plan, n, b)));
        }
    }
    out
}

/// What stands at the end of a cable.
fn end(rig: &Rig, plan: &Plan<'_>, n: usize, place: usize) -> Vec<Finding> {
    let power = plan.power;
    let net = &plan.nets[n];
    let (part, table, tag, low, high, keys) = match power.cables[net.cables[place]].to {
        To::Box => return Vec::new(),
        To::Consumer(i) => {
            let c = &power.consumers[i];
            let asked = missing_draws(plan, i);
            if !asked.is_empty() {
                return asked;
            }
            (PartRef::Consumer(i), "consumer", &c.tag, &c.lowest, &c.highest, ("lowest", "highest"))
        }
        To::Supply(i) => {
            let s = &power.supplies[i];
            (
                PartRef::Supply(i),
                "supply",
                &s.tag,
                &s.lowest_input,
                &s.highest_input,
                ("lowest_input", "highest_input"),
            )
        }
    };
    let mut all = Vec::new();
    match low {
        None => all.push(Finding::not_checked(
            ID,
            part,
            lacks(table, tag, "the lowest voltage", keys.0, "read its label"),
        )),
        Some(least) => match lowest(plan, n, place) {
            Err(e) => all.push(refused(ID, part, &e)),
            Ok(at) => all.push(low_finding(rig, plan, n, place, (part, least.value), &at)),
        },
    }
    match high {
        None => all.push(Finding::not_checked(
            ID,
            part,
            lacks(table, tag, "the highest voltage", keys.1, "read its label"),
        )),
        Some(_) if unknown_high(plan, net).is_some() => {
            all.extend(unknown_high(plan, net).map(|need| Finding::not_checked(ID, part, need)));
        }
        Some(most) => {
            let full = net.source.volts(power, Charge::Full);
            let hand = HandCheck {
                formula: "demand = E full;  capacity = the highest that it bears",
                source: "nothing drawn, no drop; mechanics.md §16.8",
                steps: vec![
                    Step::new("E full", "source with nothing drawn, battery full", full, Kind::Voltage),
                    Step::new("highest", "on its label", most.value, Kind::Voltage),
                ],
            };
            all.push(
                Finding::of(ID, part, Kind::Voltage, 1.0, full, most.value)
                    .at("too much")
                    .when("battery full, nothing else on")
                    .hand(hand),
            );
        }
    }
    // Too little and too much are two questions: both stay.
    all
}

/// A car's system gives more with the engine running than the voltage that counts for drops.
fn unknown_high(plan: &Plan<'_>, net: &Net) -> Option<Need> {
    let Source::Supply(s) = net.source else { return None };
    let s = &plan.power.supplies[s];
    let settle = "measure it with the engine running fast and nothing else on";
    (s.is_car && s.voltage_high.is_none())
        .then(|| lacks("supply", &s.tag, "the highest voltage that it gives", "voltage_high", settle))
}

fn missing_draws(plan: &Plan<'_>, i: usize) -> Vec<Finding> {
    let c = &plan.power.consumers[i];
    let meter = "measure it with a clamp meter that keeps the greatest value";
    [("the peak draw", "peak_power", c.peak.is_none()), ("the start draw", "start_power", c.start.is_none())]
        .into_iter()
        .filter(|(.., none)| *none)
        .map(|(what, key, _)| {
            Finding::not_checked(ID, PartRef::Consumer(i), lacks("consumer", &c.tag, what, key, meter))
        })
        .collect()
}

fn low_finding(
    rig: &Rig,
    plan: &Plan<'_>,
    n: usize,
    place: usize,
    (part, least): (PartRef, f64),
    at: &Lowest,
) -> Finding {
    let (power, net) = (plan.power, &plan.nets[n]);
    let open = net.source.volts(power, Charge::Low);
    let Some(volts) = at.volts else {
        return found(rig, (ID, part), Kind::Voltage, open, 0.0).when(format!(
            "the voltage collapses: {}; the cables cannot carry that power at all",
            plan.words(at.moment)
        ));
    };
    let mut said = format!("{} left: {}", both_kind(volts, Kind::Voltage), plan.words(at.moment));
    if open <= least {
        said = format!(
            "{} gives only {} at its lowest charge",
            net.source.name(power),
            both_kind(open, Kind::Voltage)
        );
    }
    if let Some(ratio) = at.measured.filter(|r| *r > 1.5) {
        said = format!("{said}; the measured drop is {ratio:.1} times the sum's: feel for a warm joint");
    }
    let ohm = net.ohm_to(power, Net::node(place));
    let hand = HandCheck {
        formula: "V = E - sum of I R;  demand = E - V;  capacity = E - lowest",
        source: "Ohm's law along the way; mechanics.md §16.2 and §16.3",
        steps: vec![
            Step::new("E", "source with nothing drawn, battery low", open, Kind::Voltage),
            Step::new("R", "source and cables up to here, out and back", ohm, Kind::Resistance),
            Step::new("I", "in the last cable", at.amps, Kind::Current),
            Step::new("V", "here, other currents in shared cables counted", volts, Kind::Voltage),
            Step::new("demand", "E - V", open - volts, Kind::Voltage),
            Step::new("capacity", "E - the lowest that it works at", open - least, Kind::Voltage),
        ],
    };
    found(rig, (ID, part), Kind::Voltage, open - volts, open - least).when(said).hand(hand)
}

/// The protection of a battery must not open under load.
fn protection(rig: &Rig, plan: &Plan<'_>, n: usize, b: usize) -> Vec<Finding> {
    let battery = &plan.power.batteries[b];
    let part = PartRef::Battery(b);
    let Some(cut) = &battery.cut_off else {
        // Lead and nickel cells mostly have none.
        let has_one = matches!(battery.chemistry, Chemistry::LithiumIronPhosphate | Chemistry::LithiumIon);
        let settle = "read the maker's sheet: its protection parts everything at once, drives too";
        return if has_one {
            vec![Finding::not_checked(
                ID,
                part,
                lacks("battery", &battery.tag, "the cut-off voltage", "cut_off", settle),
            )]
        } else {
            Vec::new()
        };
    };
    let (open, least) =
        (plan.nets[n].source.volts(plan.power, Charge::Low), cut.value * number(battery.series));
    let mut all = Vec::new();
    for moment in Moment::ALL {
        let solved = match plan.at(Charge::Low, moment) {
            Ok(s) => s,
            Err(e) => return vec![refused(ID, part, &e)],
        };
        let volts = solved.get(n).and_then(steady).and_then(|f| f.node_v.get(1).copied()).unwrap_or(0.0);
        let hand = HandCheck {
            formula: "V = E - I R;  demand = E - V;  capacity = E - cut-off",
            source: "Ohm's law inside the battery; mechanics.md §16.6",
            steps: vec![
                Step::new("E", "battery low, at rest", open, Kind::Voltage),
                Step::new("R", "inside it", plan.nets[n].source.ohm(plan.power), Kind::Resistance),
                Step::new("V", "at its terminals", volts, Kind::Voltage),
                Step::new("cut-off", "at which its protection opens", least, Kind::Voltage),
            ],
        };
        all.push(
            found(rig, (ID, part), Kind::Voltage, open - volts, open - least)
                .at("its own cut-off")
                .when(plan.words(moment))
                .hand(hand),
        );
    }
    // The worst moment says it all.
    all.sort_by(|a, b| a.margin.unwrap_or(0.0).total_cmp(&b.margin.unwrap_or(0.0)));
    all.truncate(1);
    all
}
