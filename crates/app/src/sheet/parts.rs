//! Every part: what it is, where it stands, what it weighs, how tight it is.

use super::Sheet;
use super::table::{faint, head, number, share, table};
use paper::{Block, Cell, Run};
use quantity::{Kind, both_kind};
use rig::Rig;
use rig::model::{Bolts, ClampKind, StrapKind};
use verdict::PartRef;
use verdict::weigh::{Weighed, weigh};

/// A part's row, without its mass.
struct Row {
    kind: &'static str,
    tag: String,
    part: String,
    at: Vec<Point>,
    torque: String,
}

/// A place in vehicle axes: forward, left, up, m.
type Point = [f64; 3];

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let rig = sheet.rig;
    let all = weigh(rig);
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for w in all.iter().filter(|w| w.mass_kg > 0.0) {
        let r = row(rig, w);
        let [aft, side, up] = places(rig, &r.at);
        let part = match (r.part.is_empty(), r.torque.is_empty()) {
            (_, true) => r.part,
            (true, false) => r.torque,
            (false, false) => format!("{}; {}", r.part, r.torque),
        };
        let named = vec![Run::plain(format!("{} ", r.kind)), Run::bold(r.tag)];
        let mut cells = vec![Cell { text: named }];
        cells.extend([part, aft, side, up, mass(w.mass_kg)].map(Cell::plain));
        rows.push(cells);
    }
    let columns = vec![
        share("", 1.2),
        share("part", 2.3),
        share("aft", 1.85),
        share("left (L), right (R)", 2.0),
        share("up", 1.9),
        number("mass"),
    ];
    let mut out = vec![head("Parts and masses")];
    out.extend(table("", columns, rows));
    out.extend(totals(&all));
    out.push(faint(
        "Places count from the top edge of the windscreen on the centreline. Tubes and boom sections: both ends. Arm: with the boom \
         straight ahead and level.",
    ));
    out
}

fn mass(kg: f64) -> String {
    both_kind(kg, Kind::Mass)
}

fn length(m: f64) -> String {
    both_kind(m, Kind::Length)
}

/// Aft, left or right, and up from the datum; of several points the first and the last, once where they agree.
fn places(rig: &Rig, at: &[Point]) -> [String; 3] {
    let d = rig.vehicle.datum;
    let datum = [d.x, d.y, d.z];
    core::array::from_fn(|axis| {
        let words: Vec<String> = at
            .iter()
            .map(|p| match axis {
                0 => signed(datum[0] - p[0], "", "ahead "),
                1 => signed(p[1] - datum[1], "L ", "R "),
                _ => signed(p[2] - datum[2], "", "down "),
            })
            .collect();
        match &words[..] {
            [] => String::new(),
            [first, .., last] if first != last => format!("{first}\n{last}"),
            [first, ..] => first.clone(),
        }
    })
}

/// A length with a word for its sign.
fn signed(m: f64, over: &str, under: &str) -> String {
    // Half a millimetre is nothing that a tape shows.
    if m.abs() < 0.0005 && over == "L " {
        "middle".to_owned()
    } else if m > -0.0005 {
        format!("{over}{}", length(m.abs()))
    } else {
        format!("{under}{}", length(-m))
    }
}

fn bolts(b: &Bolts) -> String {
    format!("{} x {} {} at {}", b.count, b.thread, b.class, both_kind(b.torque.value, Kind::Moment))
}

fn row(rig: &Rig, w: &Weighed) -> Row {
    let row = |kind, tag: &str, part: String, at: Vec<Point>, torque: String| Row {
        kind,
        tag: tag.to_owned(),
        part,
        at,
        torque,
    };
    match w.part {
        PartRef::Cup(i) => {
            let c = &rig.cups[i];
            let panel = rig.panels.get(c.panel).map_or("", |p| p.tag.as_str());
            row("cup", &c.tag, format!("{} on {panel}", c.part), vec![c.at.to_array()], String::new())
        }
        PartRef::Tube(i) => {
            let t = &rig.tubes[i];
            row(
                "tube",
                &t.tag,
                format!("{}, {} long", t.section.part, length(t.length())),
                vec![t.a.to_array(), t.b.to_array()],
                String::new(),
            )
        }
        PartRef::Clamp(i) => {
            let c = &rig.clamps[i];
            let kind = match c.kind {
                ClampKind::RightAngle => "right-angle",
                ClampKind::Swivel => "swivel",
                ClampKind::End => "end",
            };
            let tube = |(t, _): (usize, f64)| rig.tubes.get(t).map_or("?", |t| t.tag.as_str());
            let at = rig.tubes.get(c.first.0).map(|t| t.point(c.first.1).to_array());
            let kind = if c.part.contains(kind) { String::new() } else { format!(" ({kind})") };
            let part = format!("{}{kind}, {} to {}", c.part, tube(c.first), tube(c.second));
            let torque = format!("torque {}", both_kind(c.torque.value, Kind::Moment));
            row("clamp", &c.tag, part, at.into_iter().collect(), torque)
        }
        PartRef::Leg(i) => {
            let l = &rig.legs[i];
            let tube = rig.tubes.get(l.foot.0).map_or("?", |t| t.tag.as_str());
            row(
                "leg",
                &l.tag,
                format!("{tube} to {}", rig.platforms.get(l.platform).map_or("?", |p| p.tag.as_str())),
                vec![l.top.to_array()],
                l.bolts.as_ref().map(bolts).unwrap_or_default(),
            )
        }
        PartRef::Platform(i) => {
            let t = &rig.platforms[i];
            let size = t.size.to_array().map(length);
            row("platform", &t.tag, size.join(" x "), vec![t.at.to_array()], String::new())
        }
        PartRef::Strap(i) => {
            let s = &rig.straps[i];
            let (kind, torque) = match s.kind {
                StrapKind::Strap => {
                    ("strap", format!("tension {}", both_kind(s.pretension.value, Kind::Force)))
                }
                StrapKind::Tether => ("tether", "just slack".to_owned()),
            };
            let ends = [s.path.first(), s.path.last()].into_iter().flatten().map(|p| p.at.to_array());
            row(kind, &s.tag, s.part.clone(), ends.collect(), torque)
        }
        PartRef::Item(i) => {
            let t = &rig.items[i];
            row("item", &t.tag, String::new(), vec![t.at.to_array()], String::new())
        }
        PartRef::BoomSection(i) => match rig.arm.as_ref().and_then(|a| Some((a, a.sections.get(i)?))) {
            Some((arm, s)) => {
                let part = s.section.as_ref().map_or_else(|| length(s.diameter), |t| t.part.clone());
                let at = |along: f64| on_boom(arm, along, 0.0);
                row(
                    "boom",
                    &s.tag,
                    part,
                    vec![at(s.span.0), at(s.span.1)],
                    s.bolts.as_ref().map(bolts).unwrap_or_default(),
                )
            }
            None => row("boom", "?", String::new(), Vec::new(), String::new()),
        },
        _ => arm_piece(rig, w.piece),
    }
}

/// A point of the boom pointing straight ahead and level.
fn on_boom(arm: &rig::model::Arm, along: f64, up: f64) -> Point {
    let b = arm.base.to_array();
    [b[0] + along, b[1], b[2] + arm.pivot_height + up]
}

fn arm_piece(rig: &Rig, piece: &'static str) -> Row {
    let row = |at: Vec<Point>| Row {
        kind: "arm",
        tag: piece.to_owned(),
        part: String::new(),
        at,
        torque: String::new(),
    };
    let Some(arm) = &rig.arm else { return row(Vec::new()) };
    let b = arm.base.to_array();
    let tip = arm.sections.iter().map(|s| s.span.0.max(s.span.1)).fold(0.0, f64::max);
    row(match piece {
        "mast base" => vec![[b[0], b[1], b[2] + arm.base_mass.1]],
        "mast head" => vec![[b[0], b[1], b[2] + arm.head_mass.1]],
        "counterweight" => vec![on_boom(arm, -arm.counterweight.behind.value, -arm.counterweight.under)],
        "payload" => {
            let c = arm.payload.centre.to_array();
            let t = on_boom(arm, tip, 0.0);
            vec![[t[0] + c[0], t[1] + c[1], t[2] + c[2]]]
        }
        _ => vec![on_boom(arm, tip, 0.0)],
    })
}

/// Totals by kind and of all.
fn totals(all: &[Weighed]) -> Option<Block> {
    let kind = |p: PartRef| match p {
        PartRef::Cup(_) => "cups",
        PartRef::Tube(_) => "tubes",
        PartRef::Clamp(_) => "clamps",
        PartRef::Leg(_) => "legs",
        PartRef::Platform(_) => "platforms",
        PartRef::Strap(_) => "straps and tethers",
        PartRef::Item(_) => "items",
        _ => "arm",
    };
    let mut sums: Vec<(&str, f64)> = Vec::new();
    for w in all {
        match sums.iter_mut().find(|(k, _)| *k == kind(w.part)) {
            Some((_, sum)) => *sum += w.mass_kg,
            None => sums.push((kind(w.part), w.mass_kg)),
        }
    }
    let each: Vec<String> = sums.iter().map(|(k, kg)| format!("{k} {}", mass(*kg))).collect();
    let whole: f64 = sums.iter().map(|(_, kg)| kg).sum();
    (!each.is_empty()).then(|| {
        Block::Text(vec![
            Run::bold(format!("In all {}", mass(whole))),
            Run::plain(format!(": {}.", each.join(", "))),
        ])
    })
}
