//! The rig's own parts.

use super::number;
use glam::DVec3;
use quantity::Kind;
use rig::fact::{Fact, Origin};
use rig::model::{Arm, Bolts, Clamp, ClampKind, Cup, Hold, Leg, Rig, Section, Strap, StrapKind, Tube};
use serde::Serialize;

/// A part in its place.
#[derive(Debug, Default, Serialize)]
pub(crate) struct PartRow {
    pub(crate) kind: &'static str,
    pub(crate) tag: String,
    /// As the parts list names it.
    pub(crate) part: String,
    /// What it is fixed to: panel, tube, platform.
    pub(crate) on: String,
    /// What it holds.
    pub(crate) holds: String,
    aft_mm: Option<f64>,
    aft_in: Option<f64>,
    left_mm: Option<f64>,
    left_in: Option<f64>,
    up_mm: Option<f64>,
    up_in: Option<f64>,
    /// The other end, for what has two.
    to_aft_mm: Option<f64>,
    to_aft_in: Option<f64>,
    to_left_mm: Option<f64>,
    to_left_in: Option<f64>,
    to_up_mm: Option<f64>,
    to_up_in: Option<f64>,
    length_mm: Option<f64>,
    length_in: Option<f64>,
    /// Of what is flat: across and thick.
    width_mm: Option<f64>,
    width_in: Option<f64>,
    thickness_mm: Option<f64>,
    thickness_in: Option<f64>,
    mass_kg: Option<f64>,
    mass_lb: Option<f64>,
    /// `rig file`, `parts list`, `assumed`, or `worked out` from a tube's section.
    pub(crate) mass_from: &'static str,
    torque_n_m: Option<f64>,
    torque_ft_lbf: Option<f64>,
    vacuum_kpa: Option<f64>,
    vacuum_inhg: Option<f64>,
    /// Keys whose values are assumed.
    pub(crate) assumed: String,
    /// In SI, for words and the total.
    #[serde(skip)]
    pub(crate) mass: f64,
    #[serde(skip)]
    pub(crate) length: Option<f64>,
    #[serde(skip)]
    pub(crate) flat: Option<(f64, f64)>,
}

/// Every part in the order of the file, the arm's after the rest. Batteries and cables are not among them.
pub(crate) fn parts(rig: &Rig) -> Vec<PartRow> {
    let names = Names { rig };
    let mut out: Vec<PartRow> = Vec::new();
    out.extend(rig.cups.iter().map(|c| names.cup(c)));
    out.extend(rig.tubes.iter().map(|t| names.tube(t)));
    out.extend(rig.clamps.iter().map(|c| names.clamp(c)));
    for p in &rig.platforms {
        let part = PartRow { kind: "platform", tag: p.tag.clone(), ..PartRow::default() };
        out.push(
            part.at(rig, p.at)
                .long(p.size.x)
                .flat(p.size.y, p.size.z)
                .weighing(&p.mass)
                .knowing([&p.mass, &p.drag].map(Some)),
        );
    }
    out.extend(rig.legs.iter().map(|l| names.leg(l)));
    out.extend(rig.straps.iter().map(|s| names.strap(s)));
    for i in &rig.items {
        let part = PartRow { kind: "item", tag: i.tag.clone(), on: names.hold(&i.on), ..PartRow::default() };
        let drag = i.drag.as_ref().map(|d| &d.coefficient);
        out.push(part.at(rig, i.at).weighing(&i.mass).knowing([Some(&i.mass), drag]));
    }
    if let Some(arm) = &rig.arm {
        of_arm(arm, rig, &names, &mut out);
    }
    out
}

struct Names<'a> {
    rig: &'a Rig,
}

impl Names<'_> {
    fn tube_tag(&self, index: usize) -> String {
        self.rig.tubes.get(index).map_or(String::new(), |t| format!("tube {}", t.tag))
    }

    fn platform_tag(&self, index: usize) -> String {
        self.rig.platforms.get(index).map_or(String::new(), |p| format!("platform {}", p.tag))
    }

    fn hold(&self, hold: &Hold) -> String {
        match hold {
            Hold::Tube { tube, .. } => self.tube_tag(*tube),
            Hold::Platform(p) => self.platform_tag(*p),
            Hold::Cup(c) => self.rig.cups.get(*c).map_or(String::new(), |c| format!("cup {}", c.tag)),
            Hold::Body => "the body".to_owned(),
        }
    }

    fn cup(&self, c: &Cup) -> PartRow {
        let panel = self.rig.panels.get(c.panel).map_or(String::new(), |p| format!("panel {}", p.tag));
        let part = PartRow {
            kind: "cup",
            tag: c.tag.clone(),
            part: c.part.clone(),
            on: panel,
            holds: self.hold(&c.holds),
            ..PartRow::default()
        };
        let vacuum = c.vacuum.as_ref().map(|v| v.value);
        PartRow {
            vacuum_kpa: vacuum.and_then(|v| number(v, Kind::Pressure, "kPa")),
            vacuum_inhg: vacuum.and_then(|v| number(v, Kind::Pressure, "inHg")),
            ..part.at(self.rig, c.at).long(c.height).weighing(&c.mass).knowing(
                [&c.mass, &c.loss, &c.axial, &c.shear, &c.rocking, &c.torsional, &c.lip_follow]
                    .into_iter()
                    .map(Some)
                    .chain([c.vacuum.as_ref(), c.pull_rating.as_ref(), c.shear_rating.as_ref()]),
            )
        }
    }

    fn tube(&self, t: &Tube) -> PartRow {
        let part =
            PartRow { kind: "tube", tag: t.tag.clone(), part: t.section.part.clone(), ..PartRow::default() };
        let part = part.at(self.rig, t.a).to(self.rig, t.b).long(t.length());
        let part = part.massive(line_mass(&t.section) * t.length(), "worked out");
        part.knowing(of_section(&t.section))
    }

    fn clamp(&self, c: &Clamp) -> PartRow {
        let kind = match c.kind {
            ClampKind::RightAngle => "right-angle clamp",
            ClampKind::Swivel => "swivel clamp",
            ClampKind::End => "end clamp",
        };
        let part = PartRow {
            kind,
            tag: c.tag.clone(),
            part: c.part.clone(),
            on: self.tube_tag(c.first.0),
            holds: self.tube_tag(c.second.0),
            ..PartRow::default()
        };
        let at = self.rig.tubes.get(c.first.0).map(|t| t.point(c.first.1));
        let part = match at {
            Some(at) => part.at(self.rig, at),
            None => part,
        };
        let facts = [Some(&c.mass), Some(&c.torque), c.slip.as_ref(), c.twist.as_ref()];
        part.weighing(&c.mass).tightened(&c.torque).knowing(facts)
    }

    fn leg(&self, l: &Leg) -> PartRow {
        let mut part = PartRow {
            kind: "leg",
            tag: l.tag.clone(),
            part: l.section.as_ref().map_or(String::new(), |s| s.part.clone()),
            on: self.tube_tag(l.foot.0),
            holds: self.platform_tag(l.platform),
            ..PartRow::default()
        };
        if let Some(tube) = self.rig.tubes.get(l.foot.0) {
            let foot = tube.point(l.foot.1);
            part = part.at(self.rig, foot).to(self.rig, l.top).long((l.top - foot).length());
        }
        if let Some(b) = &l.bolts {
            part = part.tightened(&b.torque);
        }
        let mut facts = vec![Some(&l.mass), l.slip.as_ref(), l.twist.as_ref()];
        facts.extend(of_bolts(l.bolts.as_ref()));
        facts.extend(l.section.iter().flat_map(of_section));
        part.weighing(&l.mass).knowing(facts)
    }

    fn strap(&self, s: &Strap) -> PartRow {
        let kind = if s.kind == StrapKind::Strap { "strap" } else { "tether" };
        let ends: Vec<String> =
            [s.path.first(), s.path.last()].into_iter().flatten().map(|p| self.hold(&p.on)).collect();
        let mut part = PartRow {
            kind,
            tag: s.tag.clone(),
            part: s.part.clone(),
            on: ends.join(" to "),
            ..PartRow::default()
        };
        if let (Some(from), Some(to)) = (s.path.first(), s.path.last()) {
            let along = s.path.windows(2).map(|w| (w[1].at - w[0].at).length()).sum();
            part = part.at(self.rig, from.at).to(self.rig, to.at).long(along);
        }
        part.weighing(&s.mass).knowing([&s.capacity, &s.stretch, &s.pretension, &s.mass].map(Some))
    }
}

fn of_section(s: &Section) -> [Option<&Fact>; 2] {
    [Some(&s.drag), Some(&s.material.yield_pa)]
}

fn of_bolts(b: Option<&Bolts>) -> Vec<Option<&Fact>> {
    b.map_or_else(Vec::new, |b| vec![Some(&b.torque), Some(&b.thread_friction), Some(&b.face_friction)])
}

/// kg/m.
fn line_mass(s: &Section) -> f64 {
    let inner = s.outer - 2.0 * s.wall;
    core::f64::consts::FRAC_PI_4 * (s.outer * s.outer - inner * inner) * s.material.density
}

fn of_arm(arm: &Arm, rig: &Rig, names: &Names<'_>, out: &mut Vec<PartRow>) {
    let platform = names.platform_tag(arm.platform);
    let up = |m: f64| arm.base + DVec3::Z * m;
    let mut put =
        |kind: &'static str, tag: &str, on: &str, at: Option<DVec3>, long: Option<f64>, mass: &Fact| {
            let mut part = PartRow { kind, tag: tag.to_owned(), on: on.to_owned(), ..PartRow::default() };
            if let Some(at) = at {
                part = part.at(rig, at);
            }
            if let Some(long) = long {
                part = part.long(long);
            }
            out.push(part.weighing(mass).knowing([Some(mass)]));
        };
    put("arm base", "", &platform, Some(up(arm.base_mass.1)), None, &arm.base_mass.0);
    put("arm head", "", "arm base", Some(up(arm.head_mass.1)), None, &arm.head_mass.0);
    for s in &arm.sections {
        put("boom section", &s.tag, "arm head", None, Some((s.span.1 - s.span.0).abs()), &s.mass);
    }
    put("counterweight", "", "tail of the boom", None, None, &arm.counterweight.mass);
    if arm.isolator.mass.value > 0.0 {
        put("isolator", "", "boom tip", None, None, &arm.isolator.mass);
    }
    put("payload", "", "isolator", None, None, &arm.payload.mass);
}

impl PartRow {
    fn at(mut self, rig: &Rig, at: DVec3) -> Self {
        [self.aft_mm, self.aft_in, self.left_mm, self.left_in, self.up_mm, self.up_in] = from_datum(rig, at);
        self
    }

    fn to(mut self, rig: &Rig, at: DVec3) -> Self {
        [self.to_aft_mm, self.to_aft_in, self.to_left_mm, self.to_left_in, self.to_up_mm, self.to_up_in] =
            from_datum(rig, at);
        self
    }

    fn long(mut self, m: f64) -> Self {
        self.length = Some(m);
        (self.length_mm, self.length_in) = (number(m, Kind::Length, "mm"), number(m, Kind::Length, "in"));
        self
    }

    fn flat(mut self, width: f64, thickness: f64) -> Self {
        let both = |m: f64| (number(m, Kind::Length, "mm"), number(m, Kind::Length, "in"));
        self.flat = Some((width, thickness));
        (self.width_mm, self.width_in) = both(width);
        (self.thickness_mm, self.thickness_in) = both(thickness);
        self
    }

    fn massive(mut self, kg: f64, from: &'static str) -> Self {
        (self.mass, self.mass_from) = (kg, from);
        (self.mass_kg, self.mass_lb) = (number(kg, Kind::Mass, "kg"), number(kg, Kind::Mass, "lb"));
        self
    }

    fn weighing(self, mass: &Fact) -> Self {
        let from = match mass.origin {
            Origin::Stated => "rig file",
            Origin::Part => "parts list",
            Origin::Assumed => "assumed",
        };
        self.massive(mass.value, from)
    }

    fn tightened(mut self, torque: &Fact) -> Self {
        self.torque_n_m = number(torque.value, Kind::Moment, "N·m");
        self.torque_ft_lbf = number(torque.value, Kind::Moment, "ft·lbf");
        self
    }

    /// With the keys of those facts that are assumed.
    fn knowing<'a>(mut self, facts: impl IntoIterator<Item = Option<&'a Fact>>) -> Self {
        let guessed = facts.into_iter().flatten().filter(|f| f.is_assumed());
        let keys: Vec<&str> = guessed.map(|f| f.key.as_str()).collect();
        self.assumed = keys.join("; ");
        self
    }
}

/// Aft, left and up from the datum, each in mm and in.
fn from_datum(rig: &Rig, at: DVec3) -> [Option<f64>; 6] {
    let d = rig.vehicle.datum;
    let both = |m: f64| [number(m, Kind::Length, "mm"), number(m, Kind::Length, "in")];
    let ([a, b], [c, e], [f, g]) = (both(d.x - at.x), both(at.y - d.y), both(at.z - d.z));
    [a, b, c, e, f, g]
}
