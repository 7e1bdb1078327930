//! Batteries, supplies, consumers and cables.

use super::context::{Context, Reported, View};
use super::wiring;
use crate::chemistry::{self, Typical, traits};
use crate::diagnostic::Diagnostic;
use crate::fact::Fact;
use crate::model::Site;
use crate::model::power::{
    Amount, Battery, Block, Cable, Chemistry, Consumer, From, Fuse, FuseKind, Power, Strands, Supply, To,
    Wire,
};
use crate::record::{Record, Value};
use crate::spec::power::POWER;
use quantity::Kind;

/// The most that this page goes up to, V: the usual limit of extra-low voltage for direct current that may be touched.
const MOST_V: f64 = 60.0;

/// Everything electrical; `Ok(None)` where the file has nothing of it, `Err` where a fault stops it.
pub(crate) fn power(cx: &mut Context<'_>, site: Option<&Site>) -> Result<Option<Power>, Reported> {
    let root = cx.root;
    let any = ["battery", "supply", "consumer", "cable"].iter().any(|k| !root.tagged(k).is_empty());
    if !any && !root.has("power") {
        return Ok(None);
    }
    let empty = Record::empty(&POWER, "power", &root.at);
    let day = View::plain(root.sub("power").unwrap_or(&empty));
    let batteries: Vec<_> = root.tagged("battery").iter().map(|r| battery(cx, r, site)).collect();
    let supplies: Vec<_> = root.tagged("supply").iter().map(|r| supply(cx, r)).collect();
    let consumers: Vec<_> = root.tagged("consumer").iter().map(|r| consumer(cx, r)).collect();
    let cables: Vec<_> = root.tagged("cable").iter().map(|r| cable(cx, r)).collect();
    let surroundings = cx.fact(day, "surroundings");
    let hours = day.maybe("hours");
    let whole = || {
        Some(Power {
            hours,
            surroundings: surroundings?,
            batteries: super::all(batteries)?,
            supplies: super::all(supplies)?,
            consumers: super::all(consumers)?,
            cables: super::all(cables)?,
        })
    };
    let power = whole().ok_or(Reported)?;
    wiring::sound(cx, &power).ok_or(Reported)?;
    Ok(Some(power))
}

/// The stated value of a key, or a typical one of the chemistry.
fn typical(view: View<'_>, key: &str, kind: Kind, value: Typical, scale: f64) -> Fact {
    let settle = view.record.table.row(key).map_or("", |r| r.settle);
    view.maybe(key).unwrap_or_else(|| chemistry::fact(value, scale, kind, &view.record.path, key, settle))
}

fn battery(cx: &mut Context<'_>, record: &Record, site: Option<&Site>) -> Option<Battery> {
    let view = View::plain(record);
    let chemistry = match view.word("chemistry") {
        Some("lithium iron phosphate") => Some(Chemistry::LithiumIronPhosphate),
        Some("lithium-ion") => Some(Chemistry::LithiumIon),
        Some("lead-acid AGM") => Some(Chemistry::LeadAcidAgm),
        Some(_) => Some(Chemistry::NickelMetalHydride),
        None => None,
    };
    let voltage = cx.fact(view, "voltage");
    let capacity = capacity(cx, view, voltage.as_ref());
    let health = cx.fact(view, "health");
    // Only lead-acid gives less at a larger current: for the rest the hours do not matter.
    let rated_time = if chemistry == Some(Chemistry::LeadAcidAgm) || record.has("rated_time") {
        cx.fact(view, "rated_time")
    } else {
        Some(chemistry::fact((72e3, 72e3, 72e3), 1.0, Kind::Time, &record.path, "rated_time", ""))
    };
    let (series, parallel) = (record.count("series").unwrap_or(1), record.count("parallel").unwrap_or(1));
    let (chemistry, voltage, capacity) = (chemistry?, voltage?, capacity?);
    let traits = traits(chemistry);
    let nominal = voltage.value;
    let full = typical(view, "voltage_full", Kind::Voltage, traits.full, nominal);
    if full.value * wiring::number(series) > MOST_V {
        cx.faults.push(
            Diagnostic::error("R012", record.spot("series"), format!("{} comes to more than 60 V when full", record.title()))
                .why("over 60 V direct current is not touch-safe, and licensed work in most places; it is not planned here")
                .mend("put fewer in series, or leave it to a licensed electrician"),
        );
        return None;
    }
    let readings = measures(record, "readings");
    let ages = measures(record, "ages");
    for (key, found) in [("readings", readings.len()), ("ages", ages.len())] {
        if record.has(key) && !record.is_faulty(key) && found != series * parallel {
            cx.faults.push(
                Diagnostic::error(
                    "R028",
                    record.spot(key),
                    format!("`{key}` of {} has {found} of {}", record.title(), series * parallel),
                )
                .why(format!(
                    "{series} in series and {parallel} in parallel are {} batteries",
                    series * parallel
                ))
                .mend("state one for each, row by row"),
            );
            return None;
        }
    }
    let ah = capacity.value / 3600.0;
    let temperature = view.maybe("temperature").or_else(|| {
        let air = &site?.temperature;
        Some(Fact { key: format!("{}.temperature", record.path), group: air.group.clone(), ..air.clone() })
    })?;
    let cold = traits.cold_share(temperature.value);
    let bank = Battery {
        tag: record.tag.clone(),
        chemistry,
        series,
        parallel,
        readings,
        ages,
        resistance: typical(view, "resistance", Kind::Resistance, traits.resistance, nominal / ah),
        greatest_current: view.maybe("greatest_current"),
        charge_current: view.maybe("charge_current"),
        usable: typical(view, "usable", Kind::Number, traits.usable, 1.0),
        health: health?,
        cold_share: typical(view, "cold_share", Kind::Number, cold, 1.0),
        temperature,
        voltage_full: full,
        voltage_low: typical(view, "voltage_low", Kind::Voltage, traits.low, nominal),
        cut_off: view.maybe("cut_off"),
        peukert: typical(view, "peukert", Kind::Number, traits.peukert, 1.0),
        rated_time: rated_time?,
        charged: view.maybe("charged"),
        mass: view.maybe("mass"),
        voltage,
        capacity,
    };
    if bank.voltage_low.value >= bank.voltage_full.value {
        cx.faults.push(
            Diagnostic::error(
                "R028",
                record.spot("voltage_low"),
                format!("{} has more volts low than full", record.title()),
            )
            .why("at rest its voltage falls as it empties")
            .mend("measure both again, each an hour after charging or discharging"),
        );
        return None;
    }
    Some(bank)
}

fn measures(record: &Record, key: &str) -> Vec<f64> {
    let value = |c: &crate::record::Cell| if let Value::Fact(f) = &c.value { Some(f.value) } else { None };
    record.list(key).iter().filter_map(value).collect()
}

/// Charge, from `capacity` or from `energy` over the label's voltage.
fn capacity(cx: &mut Context<'_>, view: View<'_>, voltage: Option<&Fact>) -> Option<Fact> {
    match one_of(cx, view, ["capacity", "energy"], true).ok()?? {
        ("capacity", fact) => Some(fact),
        (_, fact) => {
            let volts = voltage?.value;
            Some(Fact {
                value: fact.value / volts,
                low: fact.low / volts,
                high: fact.high / volts,
                kind: Kind::Charge,
                ..fact
            })
        }
    }
}

/// The one of two keys that is stated. `None` where neither is and none is needed.
fn one_of(
    cx: &mut Context<'_>,
    view: View<'_>,
    keys: [&'static str; 2],
    needed: bool,
) -> Result<Option<(&'static str, Fact)>, Reported> {
    let record = view.record;
    let [first, second] = keys;
    if record.has(first) && record.has(second) {
        cx.faults.push(
            Diagnostic::error(
                "R014",
                record.spot(second),
                format!("{} has `{first}` and `{second}`", record.title()),
            )
            .why("they say the same thing, and may say it differently")
            .mend("keep the one that you measured")
            .related(record.spot(first), "the other one"),
        );
        return Err(Reported);
    }
    for key in keys {
        if record.has(key) {
            return view.maybe(key).map(|f| Some((key, f))).ok_or(Reported);
        }
    }
    if needed {
        let example = record.table.row(first).map_or("", |r| r.example);
        cx.faults.push(
            Diagnostic::error(
                "R006",
                &record.at,
                format!("{} has no `{first}` and no `{second}`", record.title()),
            )
            .why("one of them must be there")
            .mend(format!("add, for example, `{first} = {example}`")),
        );
        return Err(Reported);
    }
    Ok(None)
}

fn supply(cx: &mut Context<'_>, record: &Record) -> Option<Supply> {
    let view = View::plain(record);
    let [voltage, resistance, efficiency] = ["voltage", "resistance", "efficiency"].map(|k| cx.fact(view, k));
    let is_car = view.word("kind")? == "car";
    let mut efficiency = efficiency?;
    if is_car {
        // The engine feeds it: what it takes to do so is no one's question here.
        efficiency = Fact::stated(1.0, Kind::Number, &efficiency.key);
    }
    Some(Supply {
        tag: record.tag.clone(),
        is_car,
        voltage: voltage?,
        voltage_high: view.maybe("voltage_high"),
        resistance: resistance?,
        greatest_current: view.maybe("greatest_current"),
        efficiency,
        lowest_input: view.maybe("lowest_input"),
        highest_input: view.maybe("highest_input"),
    })
}

fn amount((key, fact): (&'static str, Fact)) -> Amount {
    if key.ends_with("power") { Amount::Power(fact) } else { Amount::Current(fact) }
}

fn consumer(cx: &mut Context<'_>, record: &Record) -> Option<Consumer> {
    let view = View::plain(record);
    let voltage = cx.fact(view, "voltage");
    let average = one_of(cx, view, ["power", "current"], true);
    let peak = one_of(cx, view, ["peak_power", "peak_current"], false);
    let start = one_of(cx, view, ["start_power", "start_current"], false);
    let duty = cx.fact(view, "duty");
    let blocks: Vec<Option<Block>> = record
        .list("blocks")
        .iter()
        .map(|c| if let Value::Table(r) = &c.value { block(cx, r) } else { None })
        .collect();
    let (lowest, highest) = (view.maybe("lowest"), view.maybe("highest"));
    if let (Some(low), Some(high)) = (&lowest, &highest)
        && low.value >= high.value
    {
        cx.faults.push(
            Diagnostic::error(
                "R028",
                record.spot("lowest"),
                format!("{} has `lowest` over `highest`", record.title()),
            )
            .why("it would work at no voltage at all")
            .mend("read both off its label again"),
        );
        return None;
    }
    let start = start.ok()?.map(amount);
    if let (Some(_), None) = (&start, view.maybe("start_time")) {
        cx.faults.push(
            Diagnostic::error(
                "R006",
                &record.at,
                format!("{} has a start but no `start_time`", record.title()),
            )
            .why("whether a fuse lives through a start depends on how long it lasts")
            .mend("add, for example, `start_time = \"200 ms\"`"),
        );
        return None;
    }
    let measured = record.sub("measured").map(|m| (m.measure("source"), m.measure("here")));
    let measured = match measured {
        Some((source, here)) => Some((source?, here?)),
        None => None,
    };
    if record.is_faulty("measured") || record.is_faulty("blocks") {
        return None;
    }
    if measured.is_some_and(|(source, here)| here > source) {
        cx.faults.push(
            Diagnostic::error(
                "R028",
                record.spot("measured"),
                format!("{} measures more than its source", record.title()),
            )
            .why("a cable only loses voltage on the way")
            .mend("measure both at one time with one meter"),
        );
        return None;
    }
    Some(Consumer {
        tag: record.tag.clone(),
        constant_current: view.word("draws")? == "constant current",
        voltage: voltage?,
        lowest,
        highest,
        average: amount(average.ok()??),
        peak: peak.ok()?.map(amount),
        start,
        start_time: view.maybe("start_time"),
        starts_alone: view.flag("starts_alone"),
        moves: view.flag("moves"),
        duty: duty?,
        blocks: super::all(blocks)?,
        measured,
    })
}

fn block(cx: &mut Context<'_>, record: &Record) -> Option<Block> {
    let view = View::plain(record);
    let [from, to, duty] = ["from", "to", "duty"].map(|k| cx.measure(view, k));
    let (from, to) = (from?, to?);
    if from >= to {
        cx.faults.push(
            Diagnostic::error("R028", record.spot("to"), "a block of the day ends before it begins")
                .why("`from` and `to` count from the day's start")
                .mend("put the earlier one under `from`"),
        );
        return None;
    }
    Some(Block { from, to, duty: duty? })
}

fn fuse(record: &Record) -> Option<Fuse> {
    let kind = match View::plain(record).word("kind")? {
        "blade" => FuseKind::Blade,
        "bolt-down" => FuseKind::BoltDown,
        "time-lag" => FuseKind::TimeLag,
        _ => FuseKind::Breaker,
    };
    Some(Fuse {
        rating: record.measure("rating")?,
        kind,
        voltage: record.measure("voltage"),
        interrupts: record.measure("interrupts"),
    })
}

fn cable(cx: &mut Context<'_>, record: &Record) -> Option<Cable> {
    let view = View::plain(record);
    let from = cx.refer(record, "from").map(|(table, i)| match table {
        "battery" => From::Battery(i),
        "supply" => From::Supply(i),
        "cable" => From::Cable(i),
        _ => From::Consumer(i),
    });
    let to = if record.has("to") {
        cx.refer(record, "to")
            .map(|(table, i)| if table == "supply" { To::Supply(i) } else { To::Consumer(i) })
    } else {
        Some(To::Box)
    };
    let [length, temperature, contact] = ["length", "temperature", "contact"].map(|k| cx.fact(view, k));
    let stated = one_of(cx, view, ["size", "resistance"], true);
    let insulation = cx.measure(view, "insulation");
    let (wire, resistance) = match stated.ok()?? {
        ("size", f) => {
            let is_gauge = f.text.as_deref().is_some_and(|t| quantity::awg(t).is_some());
            (Some(Wire { area: f.value, is_gauge }), None)
        }
        (_, f) => (None, Some(f)),
    };
    let fuse = match record.sub("fuse") {
        Some(r) => Some(fuse(r)?),
        None if record.is_faulty("fuse") => return None,
        None => None,
    };
    Some(Cable {
        tag: record.tag.clone(),
        from: from?,
        to: to?,
        length: length?,
        wire,
        strands: match view.word("strands")? {
            "coarse" => Strands::Coarse,
            "solid" => Strands::Solid,
            _ => Strands::Fine,
        },
        resistance,
        temperature: temperature?,
        insulation: insulation?,
        carries: view.maybe("carries"),
        together: record.count("together").unwrap_or(1),
        fuse,
        connectors: record.count("connectors").unwrap_or(2),
        connector_rating: view.maybe("connector_rating"),
        contact: contact?,
    })
}
