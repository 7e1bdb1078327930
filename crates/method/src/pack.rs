//! What to load for a rig: its parts by name and count, its fasteners, tools, what is used up, spares, and what carries power.

use crate::graph::Method;
use crate::step::Stage;
use quantity::{Kind, both_kind};
use rig::Rig;
use rig::model::power::Cable;
use std::collections::{BTreeMap, BTreeSet};
use verdict::PartRef;
use verdict::weigh::weigh;

/// Pieces longer than this go in bundles, m (the inside of a case: common practice, no source).
pub const LONG_M: f64 = 0.8;

/// What a line belongs to, in the order of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Group {
    /// Vacuum cups.
    Cups,
    /// Tubes.
    Tubes,
    /// Clamps.
    Clamps,
    /// Platforms.
    Platforms,
    /// Legs and feet.
    Legs,
    /// Straps and tethers.
    Straps,
    /// Items.
    Items,
    /// The arm's pieces, with payload and counterweight.
    Arm,
    /// Batteries and converters.
    Power,
    /// Cables.
    Cables,
    /// Bolts by thread and class.
    Bolts,
    /// Fuses that stand at cables.
    Fuses,
    /// Spares.
    Spares,
    /// Tools.
    Tools,
    /// What is used up.
    UsedUp,
}

impl Group {
    /// As a heading.
    pub fn word(self) -> &'static str {
        match self {
            Self::Cups => "Cups",
            Self::Tubes => "Tubes",
            Self::Clamps => "Clamps",
            Self::Platforms => "Platforms",
            Self::Legs => "Legs",
            Self::Straps => "Straps and tethers",
            Self::Items => "Items",
            Self::Arm => "The arm",
            Self::Power => "Batteries and supplies",
            Self::Cables => "Cables",
            Self::Bolts => "Bolts",
            Self::Fuses => "Fuses",
            Self::Spares => "Spares",
            Self::Tools => "Tools",
            Self::UsedUp => "Used up",
        }
    }
}

/// Some pieces that are alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What it belongs to.
    pub group: Group,
    /// The name that it is packed by.
    pub name: String,
    /// How many.
    pub count: usize,
    /// Of one, kg; `None`: not stated.
    pub each_kg: Option<f64>,
    /// Of one, m, where it has one that counts.
    pub length_m: Option<f64>,
    /// Tags of those that are on the rig, in the order of the file.
    pub tags: Vec<String>,
    /// Why so many, for a spare.
    pub why: &'static str,
}

/// All that is loaded.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Load {
    /// By group, in the order in which the rig has them.
    pub lines: Vec<Line>,
}

impl Load {
    /// Mass of everything that has one, kg.
    pub fn mass_kg(&self) -> f64 {
        let of = |l: &Line| l.each_kg.map_or(0.0, |m| m * count(l.count));
        self.lines.iter().map(of).sum()
    }

    /// Adds pieces to the line of their name, or begins one.
    fn add(&mut self, new: Line) {
        let same = |l: &&mut Line| {
            l.group == new.group
                && l.name == new.name
                && l.each_kg.map(f64::to_bits) == new.each_kg.map(f64::to_bits)
        };
        match self.lines.iter_mut().find(same) {
            Some(line) => {
                line.count += new.count;
                line.tags.extend(new.tags);
            }
            None => self.lines.push(new),
        }
    }
}

pub(crate) fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

fn line(group: Group, name: impl Into<String>, each_kg: Option<f64>) -> Line {
    Line { group, name: name.into(), count: 1, each_kg, length_m: None, tags: Vec::new(), why: "" }
}

/// Everything to load for a rig that is built in this order.
pub fn load(rig: &Rig, method: &Method) -> Load {
    let mut out = Load::default();
    parts(rig, &mut out);
    power(rig, &mut out);
    bolts(rig, &mut out);
    fuses(rig, &mut out);
    spares(rig, &mut out);
    tools(method, &mut out);
    out.lines.sort_by_key(|l| l.group);
    out
}

/// Every part that has a mass on the rig, once.
fn parts(rig: &Rig, out: &mut Load) {
    let long = |m: f64| both_kind(m, Kind::Length);
    for w in weigh(rig) {
        let arm = rig.arm.as_ref();
        let (group, name, length_m, tag) = match w.part {
            PartRef::Cup(i) => match rig.cups.get(i) {
                Some(c) => (Group::Cups, c.part.clone(), None, c.tag.as_str()),
                None => continue,
            },
            PartRef::Tube(i) => match rig.tubes.get(i) {
                Some(t) => {
                    let name = format!("{}, {}", t.section.part, long(t.length()));
                    (Group::Tubes, name, Some(t.length()), t.tag.as_str())
                }
                None => continue,
            },
            PartRef::Clamp(i) => match rig.clamps.get(i) {
                Some(c) => (Group::Clamps, c.part.clone(), None, c.tag.as_str()),
                None => continue,
            },
            PartRef::Platform(i) => match rig.platforms.get(i) {
                Some(p) => (Group::Platforms, format!("platform {}", p.tag), None, p.tag.as_str()),
                None => continue,
            },
            PartRef::Leg(i) => match rig.legs.get(i) {
                Some(l) => {
                    let of = l.section.as_ref().map_or(String::new(), |s| format!(" of {}", s.part));
                    (Group::Legs, format!("leg{of}"), None, l.tag.as_str())
                }
                None => continue,
            },
            PartRef::Strap(i) => match rig.straps.get(i) {
                Some(s) => (Group::Straps, s.part.clone(), None, s.tag.as_str()),
                None => continue,
            },
            PartRef::Item(i) => match rig.items.get(i) {
                Some(t) => (Group::Items, format!("item {}", t.tag), None, t.tag.as_str()),
                None => continue,
            },
            PartRef::BoomSection(i) => match arm.and_then(|a| a.sections.get(i)) {
                Some(s) => {
                    let length = (s.span.1 - s.span.0).abs();
                    let name = format!("boom section {}, {}", s.tag, long(length));
                    (Group::Arm, name, Some(length), s.tag.as_str())
                }
                None => continue,
            },
            _ if w.piece == "counterweight" => {
                counterweight(rig, out);
                continue;
            }
            // An arm without an isolator has one of no mass in the model.
            _ if w.piece == "isolator" && w.mass_kg <= 0.0 => continue,
            _ => (Group::Arm, w.piece.to_owned(), None, ""),
        };
        let tags = if tag.is_empty() { Vec::new() } else { vec![tag.to_owned()] };
        out.add(Line { length_m, tags, ..line(group, name, Some(w.mass_kg)) });
    }
    // A brace's mass is no part of the model.
    for b in rig.arm.iter().flat_map(|a| &a.braces) {
        out.add(Line { tags: vec![b.tag.clone()], ..line(Group::Arm, format!("brace {}", b.tag), None) });
    }
}

/// The counterweight as it is fitted, plate by plate where its plates are stated, and the plates at hand beside it.
fn counterweight(rig: &Rig, out: &mut Load) {
    let Some(w) = rig.arm.as_ref().map(|a| &a.counterweight) else { return };
    let plate =
        |kg: f64| line(Group::Arm, format!("counterweight plate {}", both_kind(kg, Kind::Mass)), Some(kg));
    let rest = w.mass.value - w.fitted.iter().sum::<f64>();
    let name = if w.fitted.is_empty() { "counterweight" } else { "counterweight without its plates" };
    out.add(line(Group::Arm, name, Some(rest)));
    w.fitted.iter().for_each(|kg| out.add(plate(*kg)));
    for kg in &w.plates {
        let mass = both_kind(*kg, Kind::Mass);
        out.add(Line {
            why: "plates at hand, to balance with",
            ..line(Group::Spares, format!("counterweight plate {mass}"), Some(*kg))
        });
    }
}

fn cable_name(c: &Cable) -> String {
    let size = match (&c.wire, &c.resistance) {
        (Some(w), _) => both_kind(w.area, Kind::Conductor),
        (None, Some(r)) => both_kind(r.value, Kind::LineResistance),
        (None, None) => "size not stated".to_owned(),
    };
    format!("cable {}, {size}, {}", c.tag, both_kind(c.length.value, Kind::Length))
}

/// Batteries that are not items of the rig, converters and cables. What draws power is packed as the part that it is in.
fn power(rig: &Rig, out: &mut Load) {
    let Some(power) = &rig.power else { return };
    for b in &power.batteries {
        if rig.items.iter().any(|i| i.tag == b.tag) {
            continue;
        }
        let name = format!(
            "battery {}, {} {}, {}",
            b.tag,
            b.chemistry.words(),
            both_kind(b.voltage.value, Kind::Voltage),
            both_kind(b.capacity.value, Kind::Charge)
        );
        let each = b.mass.as_ref().map(|m| m.value);
        out.add(Line {
            count: b.series * b.parallel,
            tags: vec![b.tag.clone()],
            ..line(Group::Power, name, each)
        });
    }
    for s in power.supplies.iter().filter(|s| !s.is_car && !rig.items.iter().any(|i| i.tag == s.tag)) {
        let name = format!("supply {}, {}", s.tag, both_kind(s.voltage.value, Kind::Voltage));
        out.add(Line { tags: vec![s.tag.clone()], ..line(Group::Power, name, None) });
    }
    for c in &power.cables {
        out.add(Line { tags: vec![c.tag.clone()], ..line(Group::Cables, cable_name(c), None) });
    }
}

/// Bolts of the rig's joints by thread and class.
fn kinds_of_bolt(rig: &Rig) -> BTreeMap<String, (usize, Vec<String>)> {
    let legs = rig.legs.iter().filter_map(|l| l.bolts.as_ref().map(|b| (b, format!("leg {}", l.tag))));
    let sections = rig.arm.iter().flat_map(|a| &a.sections);
    let boom = sections.filter_map(|s| s.bolts.as_ref().map(|b| (b, format!("boom {}", s.tag))));
    let mut out: BTreeMap<String, (usize, Vec<String>)> = BTreeMap::new();
    for (b, tag) in legs.chain(boom) {
        let kind = out.entry(format!("bolt {}, class {}", b.thread, b.class)).or_default();
        kind.0 += b.count;
        kind.1.push(tag);
    }
    out
}

fn bolts(rig: &Rig, out: &mut Load) {
    for (name, (count, tags)) in kinds_of_bolt(rig) {
        out.add(Line { count, tags, ..line(Group::Bolts, name, None) });
    }
}

/// Fuses by rating and voltage, with the cables that they stand at.
fn kinds_of_fuse(rig: &Rig) -> Vec<(String, Vec<String>)> {
    let mut out: Vec<(String, Vec<String>)> = Vec::new();
    for cable in rig.power.iter().flat_map(|p| &p.cables) {
        let Some(f) = cable.fuse else { continue };
        let kind = match f.kind {
            rig::model::power::FuseKind::Blade => "blade fuse",
            rig::model::power::FuseKind::BoltDown => "bolt-down fuse",
            rig::model::power::FuseKind::TimeLag => "time-lag fuse",
            rig::model::power::FuseKind::Breaker => "breaker",
        };
        let name = format!("{kind} {}", both_kind(f.rating, Kind::Current));
        match out.iter_mut().find(|(n, _)| *n == name) {
            Some((_, tags)) => tags.push(cable.tag.clone()),
            None => out.push((name, vec![cable.tag.clone()])),
        }
    }
    out
}

fn fuses(rig: &Rig, out: &mut Load) {
    for (name, tags) in kinds_of_fuse(rig) {
        out.add(Line { count: tags.len(), tags, ..line(Group::Fuses, name, None) });
    }
}

/// Spares by a rule of ours (common practice, no source): `docs/mechanics.md` §18.6.
fn spares(rig: &Rig, out: &mut Load) {
    let spare = |name: &str, count: usize, each_kg: Option<f64>, why: &'static str| Line {
        count,
        why,
        ..line(Group::Spares, name, each_kg)
    };
    let mut seen = BTreeSet::new();
    for c in &rig.cups {
        if seen.insert(&c.part) {
            out.add(spare(&c.part, 1, Some(c.mass.value), "one of each make of cup"));
        }
    }
    let mut clamps: BTreeMap<&str, (usize, f64)> = BTreeMap::new();
    for c in &rig.clamps {
        clamps.entry(&c.part).or_insert((0, c.mass.value)).0 += 1;
    }
    for (part, (n, kg)) in clamps {
        out.add(spare(part, n.div_ceil(10), Some(kg), "one for every ten begun"));
    }
    if let Some(s) = rig.straps.iter().max_by(|a, b| a.capacity.value.total_cmp(&b.capacity.value)) {
        out.add(spare(&s.part, 1, Some(s.mass.value), "one, of the strongest"));
    }
    for (name, (n, _)) in kinds_of_bolt(rig) {
        out.add(spare(&name, n.div_ceil(10).max(2), None, "one in ten, two at least"));
    }
    for (name, _) in kinds_of_fuse(rig) {
        out.add(spare(&name, 2, None, "two of each rating"));
    }
}

/// Words of the steps for things that do not come back.
const USED_UP: [&str; 8] = [
    "water",
    "clean cloths",
    "clean cloth",
    "solvent that the paint stands",
    "ties",
    "tape",
    "chalk tape",
    "paint pen",
];

/// Tools and what is used up: what the steps of the build ask for, each once.
fn tools(method: &Method, out: &mut Load) {
    let names: BTreeSet<&str> = method.steps.iter().flat_map(|s| &s.tools).map(|t| t.trim()).collect();
    for name in names.into_iter().filter(|n| !n.is_empty()) {
        let group = if USED_UP.contains(&name) { Group::UsedUp } else { Group::Tools };
        // One word for both.
        let name = if name == "clean cloth" { "clean cloths" } else { name };
        if !out.lines.iter().any(|l| l.group == group && l.name == name) {
            out.add(line(group, name, None));
        }
    }
    if method.steps.iter().any(|s| s.stage == Stage::Cups) {
        out.add(Line { why: "for lips and valves", ..line(Group::UsedUp, "lint-free cloths", None) });
    }
}
