//! What people lift onto the car: how heavy, how high, how far away, and how many it takes.

use crate::bulk;
use mechanics::lift::{
    Beyond, Duration, End, Form, Grip, LiftError, Multipliers, Place, Task, lift, reach_from_width_m,
};
use rig::Rig;
use rig::model::Arm;
use std::f64::consts::FRAC_PI_2;

/// What weighs less is not looked at, kg.
pub const LEAST_KG: f64 = 3.0;
/// From the car's side to between the ankles of who leans against it, m: the body's own share of the reach in 94-110.
pub const ANKLES_M: f64 = 0.20;
/// Where hands put what rides inside the car, over the ground and from the ankles, m (assumed: common practice, no source).
const INSIDE_M: (f64, f64) = (0.75, 0.50);
/// Depth of a load of which no size is stated, m (assumed: common practice, no source).
const DEPTH_M: f64 = 0.30;

/// From where, and on what.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// What the load lies on, over where people stand, m.
    pub from_m: f64,
    /// Hands over what the load lies on, m.
    pub hands_m: f64,
    /// What people and load stand on, over the road, m.
    pub stand_m: f64,
}

impl Default for Stand {
    fn default() -> Self {
        Self { from_m: 0.0, hands_m: 0.2, stand_m: 0.0 }
    }
}

/// Why no team can.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// The hands end more than 1.75 m over where people stand.
    TooHigh,
    /// The way up or down is more than 1.75 m.
    TooFarUp,
    /// The hands are more than 63 cm from the ankles.
    TooFar,
    /// Three people are not enough.
    TooHeavy,
}

/// One thing that is lifted in one go.
#[derive(Clone, Debug, PartialEq)]
pub struct Lifted {
    /// `platform base`, `mast`.
    pub name: String,
    /// kg.
    pub mass_kg: f64,
    /// Hands at the start, over where people stand, m.
    pub from_m: f64,
    /// Hands at the end, over where people stand, m.
    pub to_m: f64,
    /// From the ankles to the hands of one who holds it by its middle, at the end, m.
    pub reach_alone_m: f64,
    /// The same for a team, m: less where it is broad enough to be held from both sides of the car.
    pub reach_team_m: f64,
    /// Whether the boom stands across the car for that.
    pub boom_across: bool,
    /// How it can be held.
    pub grip: Grip,
    /// Lifting index of each person in a team of one, two and three; none where the equation allows nothing.
    pub index: [Option<f64>; 3],
    /// Fewest people at whom it is 1 or less.
    pub least: Option<usize>,
    /// Why there is no such team; empty where there is one.
    pub why: Vec<Reason>,
}

/// What is lifted, heaviest first, and what has no mass to say it with.
#[derive(Clone, Debug, PartialEq)]
pub struct Lifts {
    /// Lifts of [`LEAST_KG`] and more.
    pub lifts: Vec<Lifted>,
    /// Things of which no mass is stated.
    pub unweighed: Vec<String>,
}

/// A load before it is judged.
struct Load {
    name: String,
    mass_kg: f64,
    grip: Grip,
    /// Towards the lifter, m.
    depth_m: f64,
    /// Where the hands end.
    spot: Spot,
}

enum Spot {
    /// In vehicle axes: x, y, z of its middle, and the y of its two sides.
    Car { at: [f64; 3], sides: (f64, f64), across: bool },
    /// Inside the car.
    Inside,
}

/// Every lift of a rig onto its car.
///
/// # Errors
///
/// [`LiftError`] if a height or mass is no number, or negative.
pub fn lifts(rig: &Rig, stand: Stand) -> Result<Lifts, LiftError> {
    let mut unweighed = Vec::new();
    let mut out = Vec::new();
    for load in loads(rig, &mut unweighed) {
        // What is no number is not passed over: the equation refuses it.
        if load.mass_kg >= LEAST_KG || load.mass_kg.is_nan() {
            out.push(judged(rig, stand, load)?);
        }
    }
    out.sort_by(|a, b| b.mass_kg.total_cmp(&a.mass_kg));
    Ok(Lifts { lifts: out, unweighed })
}

fn judged(rig: &Rig, stand: Stand, load: Load) -> Result<Lifted, LiftError> {
    let from_m = stand.from_m + stand.hands_m;
    let (to_m, alone, team, boom_across) = match &load.spot {
        Spot::Inside => (positive(INSIDE_M.0 - stand.stand_m), INSIDE_M.1, INSIDE_M.1, false),
        Spot::Car { at, sides, across } => {
            let (alone, team) = reaches(rig, *at, *sides);
            // Below where people stand they stoop to their feet.
            (positive(at[2] - stand.stand_m), alone, team, *across)
        }
    };
    let (begin, end) = (reach_from_width_m(load.depth_m, from_m)?, reach_from_width_m(load.depth_m, to_m)?);
    let task = |reach: f64| Task {
        from: Place { reach_m: begin, height_m: from_m, twist_rad: 0.0 },
        to: Place { reach_m: larger(end, reach), height_m: to_m, twist_rad: 0.0 },
        rate_hz: 0.0,
        duration: Duration::UpTo1h,
        grip: load.grip,
        control_at_end: true,
    };
    let (one, many) = (lift(load.mass_kg, &task(alone), 1)?, lift(load.mass_kg, &task(team), 2)?);
    let index = [one.index[0], many.index[1], many.index[2]];
    let least = (1..=3).find(|n| index[n - 1].is_some_and(|i| i <= 1.0));
    let why = if least.is_some() { Vec::new() } else { reasons(&task(team))? };
    Ok(Lifted {
        name: load.name,
        mass_kg: load.mass_kg,
        from_m,
        to_m,
        reach_alone_m: larger(end, alone),
        reach_team_m: larger(end, team),
        boom_across,
        grip: load.grip,
        index,
        least,
        why,
    })
}

/// At least 0; what is no number stays none, and the equation refuses it.
fn positive(m: f64) -> f64 {
    if m < 0.0 { 0.0 } else { m }
}

fn larger(a: f64, b: f64) -> f64 {
    if b < a { a } else { b }
}

/// What stands in a team's way, at either end of the lift.
fn reasons(task: &Task) -> Result<Vec<Reason>, LiftError> {
    let mut out = Vec::new();
    for end in [End::From, End::To] {
        out.extend(Multipliers::at(task, end, Form::Metric)?.beyond().into_iter().filter_map(reason));
    }
    out.sort();
    out.dedup();
    // What ends too high is too far up as well: once is enough.
    if out.contains(&Reason::TooHigh) {
        out.retain(|r| *r != Reason::TooFarUp);
    }
    if out.is_empty() {
        out.push(Reason::TooHeavy);
    }
    Ok(out)
}

fn reason(beyond: Beyond) -> Option<Reason> {
    match beyond {
        Beyond::Height => Some(Reason::TooHigh),
        Beyond::Travel => Some(Reason::TooFarUp),
        Beyond::Reach => Some(Reason::TooFar),
        // Nobody twists here, and nothing is lifted often.
        Beyond::Twist | Beyond::Rate => None,
    }
}

/// Reach of one who holds a load by its middle, and of a team that may hold its sides from both sides of the car.
///
/// People lean against the car's outline: its sides, its front, its rear.
fn reaches(rig: &Rig, at: [f64; 3], sides: (f64, f64)) -> (f64, f64) {
    let o = &rig.vehicle.outline;
    let [x, y, _] = at;
    let half = o.width.value / 2.0;
    let front = o.front_overhang.value - x;
    let rear = x - (o.front_overhang.value - o.length.value);
    let alone = ANKLES_M + (half - y.abs()).min(front).min(rear);
    let (low, high) = (sides.0.min(sides.1), sides.0.max(sides.1));
    let both = ANKLES_M + half - high.min(-low);
    (positive(alone), positive(if both < alone { both } else { alone }))
}

fn loads(rig: &Rig, unweighed: &mut Vec<String>) -> Vec<Load> {
    let mut out = Vec::new();
    let car = |at: [f64; 3], sides| Spot::Car { at, sides, across: false };
    let masses = verdict::weigh::weigh(rig);
    for w in &masses {
        let (grip, depth_m, spot) = match w.part {
            verdict::PartRef::Cup(i) => {
                let Some(c) = rig.cups.get(i) else { continue };
                let at = (c.at + c.head) / 2.0;
                (Grip::Good, 2.0 * c.outer_radius, car(at.into(), (at.y, at.y)))
            }
            verdict::PartRef::Tube(i) => {
                let Some(t) = rig.tubes.get(i) else { continue };
                let at = [f64::midpoint(t.a.x, t.b.x), f64::midpoint(t.a.y, t.b.y), t.a.z.max(t.b.z)];
                (Grip::Good, t.section.outer, car(at, (t.a.y, t.b.y)))
            }
            verdict::PartRef::Clamp(i) => {
                let Some(c) = rig.clamps.get(i) else { continue };
                let Some(at) = rig.tubes.get(c.first.0).map(|t| t.point(c.first.1)) else { continue };
                (Grip::Good, 0.1, car(at.into(), (at.y, at.y)))
            }
            verdict::PartRef::Platform(i) => {
                let Some(p) = rig.platforms.get(i) else { continue };
                let across = p.normal.cross(p.along);
                let side = (p.along.y * p.size.x).abs().max((across.y * p.size.y).abs()) / 2.0;
                (Grip::Fair, p.size.x.min(p.size.y), car(p.at.into(), (p.at.y - side, p.at.y + side)))
            }
            verdict::PartRef::Leg(i) => {
                let Some(l) = rig.legs.get(i) else { continue };
                (Grip::Good, 0.1, car(l.top.into(), (l.top.y, l.top.y)))
            }
            verdict::PartRef::Strap(i) => {
                let Some(at) = rig.straps.get(i).and_then(|s| s.path.first()).map(|p| p.at) else { continue };
                (Grip::Good, DEPTH_M, car(at.into(), (at.y, at.y)))
            }
            verdict::PartRef::Item(i) => {
                let Some(t) = rig.items.get(i) else { continue };
                let depth = t.drag.as_ref().and_then(bulk::size).map_or(DEPTH_M, |s| s[0].min(s[1]));
                (Grip::Poor, depth, car(t.at.into(), (t.at.y, t.at.y)))
            }
            // The arm's pieces follow.
            _ => continue,
        };
        out.push(Load { name: w.part.name(rig), mass_kg: w.mass_kg, grip, depth_m, spot });
    }
    if let Some(arm) = &rig.arm {
        of_arm(rig, arm, &mut out);
    }
    inside(rig, &mut out, unweighed);
    out
}

/// Batteries that are not on the rig as items.
fn inside(rig: &Rig, out: &mut Vec<Load>, unweighed: &mut Vec<String>) {
    for b in rig.power.iter().flat_map(|p| &p.batteries) {
        if rig.items.iter().any(|i| i.tag == b.tag) {
            continue;
        }
        let name = format!("battery {}", b.tag);
        match &b.mass {
            Some(mass) => out.push(Load {
                name,
                mass_kg: mass.value,
                grip: Grip::Fair,
                depth_m: DEPTH_M,
                spot: Spot::Inside,
            }),
            None => unweighed.push(name),
        }
    }
}

fn of_arm(rig: &Rig, arm: &Arm, out: &mut Vec<Load>) {
    let b = arm.base;
    let pivot = b.z + arm.pivot_height;
    let (base, head) = (arm.base_mass.0.value, arm.head_mass.0.value);
    let all = base + head;
    let centre = if all > 0.0 { (base * arm.base_mass.1 + head * arm.head_mass.1) / all } else { 0.0 };
    out.push(Load {
        name: "mast, base and head".to_owned(),
        mass_kg: all,
        grip: Grip::Good,
        depth_m: arm.mast_diameter,
        spot: Spot::Car { at: [b.x, b.y, b.z + centre], sides: (b.y, b.y), across: false },
    });
    let mut put = |name: String, mass_kg: f64, grip, depth_m: f64, along: f64, up: f64| {
        out.push(Load { name, mass_kg, grip, depth_m, spot: on_boom(rig, arm, along, pivot + up) });
    };
    for s in &arm.sections {
        let grip = if s.diameter <= 0.06 { Grip::Good } else { Grip::Fair };
        let middle = f64::midpoint(s.span.0, s.span.1);
        put(format!("boom section {}", s.tag), s.mass.value, grip, s.diameter, middle, 0.0);
    }
    let w = &arm.counterweight;
    let deep = w.drag.as_ref().and_then(bulk::size).map_or(DEPTH_M, |s| s[0].min(s[1]));
    let behind = -w.behind.value;
    let plates: f64 = w.fitted.iter().sum();
    for (i, plate) in w.fitted.iter().enumerate() {
        put(format!("counterweight plate {}", i + 1), *plate, Grip::Fair, deep, behind, -w.under);
    }
    let rest = if w.fitted.is_empty() { "counterweight, whole" } else { "counterweight without its plates" };
    put(rest.to_owned(), w.mass.value - plates, Grip::Fair, deep, behind, -w.under);
    let tip = arm.sections.iter().map(|s| s.span.0.max(s.span.1)).fold(0.0, f64::max);
    put("isolator".to_owned(), arm.isolator.mass.value, Grip::Fair, 0.2, tip, 0.0);
    let p = &arm.payload;
    let deep = p.drag.as_ref().and_then(bulk::size).map_or(DEPTH_M, |s| s[0].min(s[1]));
    put("payload".to_owned(), p.mass.value, Grip::Poor, deep, tip + p.centre.x, p.centre.z);
}

/// A place along the level boom, parked or turned across the car where its pan allows: whichever is nearer to who stands beside it.
fn on_boom(rig: &Rig, arm: &Arm, along: f64, z: f64) -> Spot {
    let bearing = |pan: f64| {
        let (x, y) = (arm.base.x + along * pan.cos(), arm.base.y + along * pan.sin());
        ([x, y, z], (y, y))
    };
    let parked = bearing(arm.parked.0);
    let turned =
        [FRAC_PI_2, -FRAC_PI_2].into_iter().filter(|p| (arm.pan.0..=arm.pan.1).contains(p)).map(bearing);
    let reach = |s: &([f64; 3], (f64, f64))| reaches(rig, s.0, s.1).0;
    let best = turned.min_by(|a, b| reach(a).total_cmp(&reach(b)));
    match best {
        Some(best) if reach(&best) < reach(&parked) => Spot::Car { at: best.0, sides: best.1, across: true },
        _ => Spot::Car { at: parked.0, sides: parked.1, across: false },
    }
}
