//! What the rig is checked for: manoeuvres, and the factors that each check must reach.

use super::Sheet;
use super::table::{faint, fit, head, number, share, table, text, under};
use mechanics::STANDARD_GRAVITY;
use paper::{Block, Cell};
use quantity::{Kind, System, both_kind, show_kind};
use rig::Fact;
use rig::model::{ArmUse, Manoeuvre, Vertical};
use rig::policy::{CHECKS, CheckId};

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let mut out = vec![head("What it is checked for")];
    let arm = sheet.rig.arm.is_some();
    let mut columns = vec![
        fit("manoeuvre"),
        fit("speed"),
        number("forward"),
        number("left"),
        share("up and down", 2.6),
        share("road and wind", 1.2),
    ];
    if arm {
        columns.push(share("boom", 1.5));
    }
    let rows = sheet.rig.manoeuvres.iter().map(|m| {
        let mut cells = manoeuvre(m, sheet.rig.site.road);
        if arm {
            cells.push(Cell::plain(match m.arm {
                ArmUse::Parked => "parked",
                ArmUse::Still => "anywhere, still",
                ArmUse::Live => "anywhere, working",
            }));
        }
        cells
    });
    out.extend(table("", columns, rows.collect()));
    out.push(site(sheet));
    out.push(faint("Forward under 0 is braking; left over 0 is a left bend. g is 9.81 m/s² (32.2 ft/s²)."));
    out.extend(factors(sheet));
    out
}

fn g(f: &Fact) -> String {
    let g = f.value / STANDARD_GRAVITY;
    if g.abs() < 0.005 { "-".to_owned() } else { format!("{g:.2} g") }
}

fn manoeuvre(m: &Manoeuvre, road: char) -> Vec<Cell> {
    let up = match &m.vertical {
        Vertical::Range(f) if f.value == 0.0 => "none".to_owned(),
        Vertical::Range(f) => format!("up and down {}", g(f)),
        Vertical::Road => format!("road of class {road} at that speed"),
        Vertical::Kerb { height, length } => {
            format!(
                "bump {} high, {} long",
                both_kind(height.value, Kind::Length),
                both_kind(length.value, Kind::Length)
            )
        }
    };
    let mut road = Vec::new();
    let angle = |rad: f64| show_kind(rad.abs(), Kind::Angle, System::Metric);
    if m.grade != 0.0 {
        road.push(format!("{} {}", angle(m.grade), if m.grade > 0.0 { "uphill" } else { "downhill" }));
    }
    if m.bank != 0.0 {
        road.push(format!(
            "banked {}, {} side up",
            angle(m.bank),
            if m.bank > 0.0 { "left" } else { "right" }
        ));
    }
    if let Some(rate) = &m.yaw_rate {
        road.push(format!("yaw {}", show_kind(rate.value, Kind::AngularSpeed, System::Metric)));
    }
    if m.gust {
        road.push("gusts".to_owned());
    }
    if road.is_empty() {
        road.push("level".to_owned());
    }
    [m.tag.clone(), both_kind(m.speed.value, Kind::Speed), g(&m.forward), g(&m.left), up, road.join(", ")]
        .map(Cell::plain)
        .to_vec()
}

/// Where it is driven.
fn site(sheet: &Sheet<'_>) -> Block {
    let s = &sheet.rig.site;
    let mut rows = vec![
        ("altitude", both_kind(s.altitude.value, Kind::Length)),
        ("air", both_kind(s.temperature.value, Kind::Temperature)),
        ("gusts", both_kind(s.gust.value, Kind::Speed)),
        ("road", format!("class {} (ISO 8608)", s.road)),
    ];
    if let Some(f) = &s.highest {
        rows.push(("highest point of the route", both_kind(f.value, Kind::Length)));
    }
    if let Some(f) = &s.hottest {
        rows.push(("warmest that cups get", both_kind(f.value, Kind::Temperature)));
    }
    if let Some(f) = &s.clearance {
        rows.push(("posted clearance", both_kind(f.value, Kind::Length)));
    }
    if let Some((height, voltage)) = &s.overhead_line {
        let line = format!(
            "{} up, {}",
            both_kind(height.value, Kind::Length),
            both_kind(voltage.value, Kind::Voltage)
        );
        rows.push(("overhead line", line));
    }
    let words: Vec<String> = rows.iter().map(|(name, value)| format!("{name} {value}")).collect();
    text(format!("Site: {}.", words.join("; ")))
}

/// The factors of the checks that apply, and the accelerations that the second line must hold.
fn factors(sheet: &Sheet<'_>) -> Vec<Block> {
    let policy = &sheet.rig.policy;
    let applies = |id: CheckId| sheet.verdict.findings.iter().any(|f| f.check == id);
    // Checks of the same factors and source share a row.
    let mut groups: Vec<([String; 3], Vec<String>)> = Vec::new();
    for c in CHECKS.iter().filter(|c| applies(c.id)) {
        let f = policy.factors(c.id);
        let source = if f == c.factors {
            c.source.to_owned()
        } else {
            format!("set in the rig file; else {} and {}: {}", c.factors.intact, c.factors.lost, c.source)
        };
        let key = [format!("{}", f.intact), format!("{}", f.lost), source];
        match groups.iter_mut().find(|(k, _)| *k == key) {
            Some((_, titles)) => titles.push(c.title.to_lowercase()),
            None => groups.push((key, vec![c.title.to_owned()])),
        }
    }
    let rows = groups.into_iter().map(|([intact, lost, source], titles)| {
        [titles.join("; "), intact, lost, source].map(Cell::plain).to_vec()
    });
    let columns = vec![share("check", 3.0), number("intact"), number("1 lost"), share("source", 3.0)];
    let mut out = vec![under("Required factors")];
    out.extend(table("", columns, rows.collect()));
    let r = &policy.retention;
    let each = [
        ("forward", &r.forward),
        ("rearward", &r.rearward),
        ("to each side", &r.sideways),
        ("up, net of gravity", &r.upward),
    ];
    let words: Vec<String> = each.iter().map(|(name, f)| format!("{name} {}", g(f))).collect();
    let sources: Vec<&str> = each.iter().map(|(_, f)| f.source.as_str()).filter(|s| !s.is_empty()).collect();
    let mut told: Vec<&str> = Vec::new();
    for source in sources {
        if !told.contains(&source) {
            told.push(source);
        }
    }
    let why = if told.is_empty() { String::new() } else { format!(" ({})", told.join("; ")) };
    out.push(text(format!("With all vacuum gone the second line must hold: {}{why}.", words.join(", "))));
    let not: Vec<String> = CHECKS.iter().filter(|c| !applies(c.id)).map(|c| c.title.to_lowercase()).collect();
    if !not.is_empty() {
        out.push(faint(format!("Checks that find nothing of their kind on this rig: {}.", not.join("; "))));
    }
    out
}
