//! The power plan for the terminal.

use super::startup;
use super::style::{self, paint};
use super::text::{hang, margin};
use quantity::{Kind, both_kind, show_kind};
use rig::Rig;
use rig::model::power::{Battery, Cable, Power};
use std::io::{self, Write};
use verdict::power::{BatteryRow, CableRow, ConsumerRow, Plan, Report};
use verdict::{Answer, Finding, Need, Outcome};

/// Everything that the command has to say.
pub(crate) struct Sheet<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) plan: Option<&'a Plan<'a>>,
    pub(crate) answer: Answer,
    pub(crate) findings: &'a [Finding],
    pub(crate) needs: &'a [Need],
    pub(crate) tables: Option<&'a Report>,
}

impl Sheet<'_> {
    /// The findings that fail, least margin first.
    pub(crate) fn failing(&self) -> Vec<&Finding> {
        let mut out: Vec<&Finding> = self.findings.iter().filter(|f| f.outcome == Outcome::Fails).collect();
        let m = |f: &Finding| f.margin.unwrap_or(0.0);
        out.sort_by(|a, b| m(a).total_cmp(&m(b)));
        out
    }

    /// The finding with the least margin.
    pub(crate) fn least(&self) -> Option<&Finding> {
        let m = |f: &&Finding| f.margin.unwrap_or(f64::INFINITY);
        self.findings.iter().filter(|f| f.margin.is_some()).min_by(|a, b| m(a).total_cmp(&m(b)))
    }
}

/// What is always said, whatever the sum says.
pub(crate) const CAUTIONS: &[&str] = &[
    "Fuse at the battery, within a hand's breadth of its pole. No cable leaves a battery without one.",
    "A short circuit across a battery is thousands of amperes: insulated tools, no rings or watches, one hand, cover the poles.",
    "Feel cables, plugs and fuses after ten minutes at work: too hot to hold means stop and find the joint.",
    "Lithium: no blows, no charging below freezing, only its own charger, never alone, never swollen; a fire needs water in plenty, \
     distance and the fire service. Fix every battery against a hard stop.",
    "Lead-acid gives off gas as it charges: air and no sparks.",
    "Plugs off the ground and out of the wet; a wet plug is opened, dried and looked at before power.",
    "Over 60 V, mains, and the car's own harness are for a licensed person. Local code and the car maker's rules come first.",
];

/// Heading of what is missing.
const TO_SETTLE: &str = "To settle first";

/// Writes the sheet.
pub(crate) fn write(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    let word = format!("{}: power", sheet.answer.word());
    writeln!(out, "{}", paint(style::of_answer(sheet.answer), &word))?;
    hang(out, "", &sheet.rig.name)?;
    verdict(out, sheet)?;
    if let (Some(plan), Some(tables)) = (sheet.plan, sheet.tables) {
        consumers(out, plan, &tables.consumers)?;
        cables(out, plan, &tables.cables)?;
        batteries(out, plan.power, &tables.batteries)?;
    }
    startup::write(out, sheet)?;
    head(out, "CAUTIONS")?;
    for text in CAUTIONS {
        hang(out, "  - ", text)?;
    }
    Ok(())
}

pub(super) fn head(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, text))
}

/// What fails, what is to settle, or else what comes nearest to its limit: headings with their lines.
pub(crate) fn findings(sheet: &Sheet<'_>) -> Vec<(&'static str, Vec<String>)> {
    let mut out = Vec::new();
    let failing: Vec<String> = sheet.failing().iter().map(|f| line(sheet.rig, f)).collect();
    let needs: Vec<String> = sheet.needs.iter().map(|n| format!("{}: {}", n.what, n.settle)).collect();
    let nearest = if failing.is_empty() { sheet.least() } else { None };
    if !failing.is_empty() {
        out.push(("What fails", failing));
    }
    if !needs.is_empty() {
        out.push((TO_SETTLE, needs));
    }
    if let Some(f) = nearest {
        out.push(("Nearest to its limit", vec![line(sheet.rig, f)]));
    }
    out
}

fn verdict(out: &mut dyn Write, sheet: &Sheet<'_>) -> io::Result<()> {
    for (name, lines) in findings(sheet) {
        head(out, name)?;
        let first = if name == TO_SETTLE { "  - " } else { "  " };
        lines.iter().try_for_each(|l| hang(out, first, l))?;
    }
    Ok(())
}

fn line(rig: &Rig, f: &Finding) -> String {
    let place = if f.place.is_empty() { String::new() } else { format!(", {}", f.place) };
    let asked = if f.kind == Kind::Number {
        String::new()
    } else {
        format!("{} asked, {} there; ", both_kind(f.demand, f.kind), both_kind(f.capacity, f.kind))
    };
    let m = f.margin.map_or_else(|| "none".to_owned(), margin);
    format!("{m} {}{place}: {asked}{} [{}]", f.part.name(rig), f.situation, f.check.row().name)
}

pub(crate) fn volts(v: Option<f64>) -> String {
    v.map_or_else(|| "-".to_owned(), |v| format!("{v:.1} V"))
}

/// Three digits, as `show` has it; what is infinite is a collapse.
pub(crate) fn amps(a: f64) -> String {
    if a.is_finite() { format!("{a:.1} A") } else { "no end".to_owned() }
}

pub(crate) fn heat(w: f64) -> String {
    if !w.is_finite() {
        "no end".to_owned()
    } else if w < 0.05 {
        "<0.1 W".to_owned()
    } else {
        format!("{w:.1} W")
    }
}

/// A tag cut to a width.
pub(super) fn cut(tag: &str, width: usize) -> String {
    if tag.chars().count() <= width {
        tag.to_owned()
    } else {
        tag.chars().take(width.saturating_sub(1)).chain(['~']).collect()
    }
}

fn consumers(out: &mut dyn Write, plan: &Plan<'_>, rows: &[ConsumerRow]) -> io::Result<()> {
    head(out, "CONSUMERS, battery at the end of its charge")?;
    writeln!(out, "  {:<18}{:>8}{:>8}{:>7}  when it is lowest", "", "lowest", "needs", "lost")?;
    for row in rows {
        let c = &plan.power.consumers[row.consumer];
        let lost = row.lost.map_or_else(|| "-".to_owned(), |l| format!("{:.1} %", 100.0 * l));
        let lowest = if row.volts.is_some() { volts(row.volts) } else { "none".to_owned() };
        let first = format!("  {:<18}{:>8}{:>8}{:>7}  ", cut(&c.tag, 17), lowest, volts(row.needs), lost);
        hang(out, &first, &plan.words(row.moment))?;
    }
    Ok(())
}

fn cables(out: &mut dyn Write, plan: &Plan<'_>, rows: &[CableRow]) -> io::Result<()> {
    head(out, "CABLES, out and back")?;
    writeln!(
        out,
        "  {:<18}{:>8}{:>9}{:>16}{:>8}{:>9}  fuse",
        "", "average", "peak", "drop at peak", "heat", "carries"
    )?;
    for row in rows {
        let cable = &plan.power.cables[row.cable];
        let drop = if row.drop_v.is_finite() {
            format!("{:.2} V {:.1} %", row.drop_v, 100.0 * row.drop_share)
        } else {
            "no end".to_owned()
        };
        let carries = row.carries_a.map_or_else(|| "-".to_owned(), |a| format!("{a:.0} A"));
        let fuse = cable
            .fuse
            .as_ref()
            .map_or_else(|| "-".to_owned(), |f| show_kind(f.rating, Kind::Current, quantity::System::Metric));
        writeln!(
            out,
            "  {:<18}{:>8}{:>9}{:>16}{:>8}{:>9}  {fuse}",
            cut(&cable.tag, 17),
            amps(row.average_a),
            amps(row.peak_a),
            drop,
            heat(row.heat_w),
            carries
        )?;
        let trip = match &row.trip {
            Some(t) if t.load > 1.0 => {
                format!("gives way first at {:.1} times its average: {}", t.load, t.what)
            }
            Some(t) => format!("gives way at its average already: {}", t.what),
            None => "nothing gives way, however much is drawn".to_owned(),
        };
        hang(out, "    ", &format!("{}; {trip}", kind(cable)))?;
    }
    Ok(())
}

pub(crate) fn kind(cable: &Cable) -> String {
    let size = match (cable.wire, &cable.resistance) {
        (Some(w), _) => both_kind(w.area, Kind::Conductor),
        (None, Some(r)) => both_kind(r.value, Kind::LineResistance),
        (None, None) => String::new(),
    };
    format!("{size}, {}", both_kind(cable.length.value, Kind::Length))
}

pub(crate) fn bank(b: &Battery) -> String {
    let many = match (b.series, b.parallel) {
        (1, 1) => String::new(),
        (s, 1) => format!(", {s} in series"),
        (1, p) => format!(", {p} in parallel"),
        (s, p) => format!(", {s} in series and {p} in parallel"),
    };
    format!(
        "{} {}, {}{many}, at {}",
        b.chemistry.words(),
        both_kind(b.voltage.value, Kind::Voltage),
        both_kind(b.capacity.value, Kind::Charge),
        both_kind(b.temperature.value, Kind::Temperature)
    )
}

/// A battery in sentences: what may be taken of it and how long it lasts; its voltage and mass; what it must not.
pub(crate) fn battery(b: &Battery, row: &BatteryRow) -> Vec<String> {
    let usable = format!("about {} may be taken of it", both_kind(row.usable_j, Kind::Energy));
    let lasts = match &row.day {
        None => "how long it lasts is not known yet".to_owned(),
        Some(day) => {
            let asked = both_kind(day.length_s, Kind::Time);
            match day.run.lasts_s {
                None => format!("nothing to speak of is drawn in {asked}"),
                Some(t) => format!(
                    "lasts {} of such work, {asked} asked; {:.0} % left at the day's end, {:.0} % must stay",
                    both_kind(t, Kind::Time),
                    100.0 * day.run.left,
                    100.0 * day.floor
                ),
            }
        }
    };
    let mut out = vec![format!("{usable}; {lasts}")];
    let worst = row.volts.map_or_else(
        || "its voltage collapses".to_owned(),
        |v| format!("{v:.1} V at its poles at the worst moment"),
    );
    let mass = row.mass.map_or_else(String::new, |m| {
        format!("; {}, to be counted under `item` or `aboard`", both_kind(m, Kind::Mass))
    });
    out.push(format!("{worst}{mass}"));
    if b.temperature.value < b.chemistry.no_charge_under() {
        out.push(format!(
            "do not charge it under {}",
            both_kind(b.chemistry.no_charge_under(), Kind::Temperature)
        ));
    }
    out
}

fn batteries(out: &mut dyn Write, power: &Power, rows: &[BatteryRow]) -> io::Result<()> {
    head(out, "BATTERIES")?;
    for row in rows {
        let b = &power.batteries[row.battery];
        hang(out, "  ", &format!("{}: {}", b.tag, bank(b)))?;
        battery(b, row).iter().try_for_each(|text| hang(out, "    ", text))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::cut;

    #[test]
    fn a_long_tag_keeps_its_column() {
        assert_eq!(cut("drives", 17), "drives");
        assert_eq!(cut("a-very-long-tag-of-a-cable", 10).chars().count(), 10);
    }
}
