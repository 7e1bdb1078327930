//! The arm slower, less on it, the manoeuvre gentler.

use super::Change;
use super::words::{and, mass};
use crate::context::Context;
use crate::finding::Finding;
use mechanics::STANDARD_GRAVITY;
use quantity::{Kind, both_kind};
use rig::fact::Fact;
use rig::model::{ArmUse, Manoeuvre, Rig};

/// 10 km/h, m/s.
const SLOWER_MPS: f64 = 10.0 / 3.6;
/// Kept of the manoeuvre's accelerations.
const GENTLER: f64 = 0.8;
/// Kept of the drives' rates and accelerations.
const SOFTER: f64 = 0.7;
/// Kept of what is carried.
const LIGHTER: f64 = 0.9;
/// Left at home, kg.
const ASHORE_KG: f64 = 25.0;
/// Taken off the top of the boom's range, rad.
const FLATTER: f64 = core::f64::consts::PI / 18.0;

fn scale(fact: &mut Fact, by: f64) {
    (fact.value, fact.low, fact.high) = (fact.value * by, fact.low * by, fact.high * by);
    fact.text = None;
}

/// Drives slower, the boom kept lower.
pub(super) fn arm(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    let Some(now) = &rig.arm else { return out };
    let set = "Set it in the drive's menu and try it at standstill.";
    let rate = |f: &Fact| both_kind(f.value * SOFTER, Kind::AngularSpeed);
    let mut pan = rig.clone();
    if let Some(a) = pan.arm.as_mut() {
        let d = &mut a.drives;
        for f in [&mut d.pan_rate, &mut d.pan_acceleration, &mut d.pan_stop] {
            scale(f, SOFTER);
        }
    }
    let what = format!("slow the pan to 70 %: {}, starts and emergency stop too", rate(&now.drives.pan_rate));
    out.push(Change::new(what, set, pan));
    let mut tilt = rig.clone();
    if let Some(a) = tilt.arm.as_mut() {
        let d = &mut a.drives;
        for f in [&mut d.tilt_rate, &mut d.tilt_acceleration, &mut d.tilt_stop] {
            scale(f, SOFTER);
        }
    }
    let what =
        format!("slow the tilt to 70 %: {}, starts and emergency stop too", rate(&now.drives.tilt_rate));
    out.push(Change::new(what, set, tilt));
    let top = now.elevation.1 - FLATTER;
    if top > now.elevation.0 + FLATTER && top >= now.parked.1 {
        let mut flat = rig.clone();
        if let Some(a) = flat.arm.as_mut() {
            a.elevation.1 = top;
        }
        let what = format!("keep the boom at or under {} (10° less)", both_kind(top, Kind::Angle));
        out.push(Change::new(what, "Set the end stop; a promise is not a stop.", flat));
    }
    out
}

/// The payload lighter with its counterweight in balance; a fixed thing lighter; less aboard.
pub(super) fn masses(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    out.extend(payload(rig));
    let weighed = |m: &Fact| m.value > 1.0;
    if rig.arm.is_none()
        && let Some((i, item)) = rig
            .items
            .iter()
            .enumerate()
            .filter(|(_, i)| weighed(&i.mass))
            .max_by(|a, b| a.1.mass.value.total_cmp(&b.1.mass.value))
    {
        let mut changed = rig.clone();
        if let Some(f) = changed.items.get_mut(i) {
            scale(&mut f.mass, LIGHTER);
        }
        let less = mass(item.mass.value * (1.0 - LIGHTER));
        out.push(Change::new(format!("take 10 % off {}, {less}", item.tag), "Weigh it again.", changed));
    }
    for (i, aboard) in rig.vehicle.aboard.iter().enumerate() {
        // One person does not come lighter.
        let person = ["driver", "operator", "passenger"].iter().any(|p| aboard.tag.contains(p));
        if aboard.mass.value > 1.2 * ASHORE_KG && !person {
            let mut changed = rig.clone();
            let left = aboard.mass.value - ASHORE_KG;
            if let Some(a) = changed.vehicle.aboard.get_mut(i) {
                scale(&mut a.mass, left / aboard.mass.value);
            }
            let what = format!("carry {} less aboard ({})", mass(ASHORE_KG), aboard.tag);
            out.push(Change::new(what, "Weigh the car again.", changed));
        }
    }
    out
}

/// `Δm (L + x) / c` less counterweight for `Δm` less payload: the boom's moment about its pivot when level stays as it is.
fn payload(rig: &Rig) -> Option<Change> {
    let mut changed = rig.clone();
    let arm = changed.arm.as_mut()?;
    let less = arm.payload.mass.value * (1.0 - LIGHTER);
    let tip = arm.sections.iter().flat_map(|s| [s.span.0, s.span.1]).fold(0.0, f64::max);
    let behind = arm.counterweight.behind.value;
    let off = less * (tip + arm.payload.centre.x) / behind;
    let heavy = arm.counterweight.mass.value;
    if !(less > 0.01 && off.is_finite() && off > 0.0 && off < heavy) {
        return None;
    }
    scale(&mut arm.payload.mass, LIGHTER);
    scale(&mut arm.counterweight.mass, (heavy - off) / heavy);
    let what = format!("take 10 % off the payload, {}, and {} off the counterweight", mass(less), mass(off));
    Some(Change::new(what, "Weigh the payload and balance the arm again.", changed))
}

/// The manoeuvre that a finding speaks of, and those that are the same but for the side.
fn aimed_at(ctx: &Context<'_>, target: &Finding) -> Vec<usize> {
    let list = &ctx.rig.manoeuvres;
    let by_state = target.state.and_then(|s| ctx.actions.drives.get(s.drive)).map(|d| d.manoeuvre);
    // Checks without a state begin their words with the manoeuvre's tag.
    let begins = |m: &Manoeuvre| {
        let rest = target.situation.strip_prefix(m.tag.as_str());
        rest.is_some_and(|r| r.is_empty() || r.starts_with([';', ' ', ',', ':']))
    };
    let named = || {
        let all = list.iter().enumerate().filter(|(_, m)| begins(m));
        all.max_by_key(|(_, m)| m.tag.len()).map(|(i, _)| i)
    };
    let Some(one) = by_state.or_else(named).and_then(|i| list.get(i)) else { return Vec::new() };
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let twin = |m: &Manoeuvre| {
        m.tag == one.tag
            || near(m.left.value.abs(), one.left.value.abs())
                && m.left.value.abs() > 1e-9
                && near(m.forward.value, one.forward.value)
                && near(m.speed.value, one.speed.value)
    };
    list.iter().enumerate().filter(|(_, m)| twin(m)).map(|(i, _)| i).collect()
}

fn in_g(mps2: f64) -> String {
    format!("{:.2} g", mps2.abs() / STANDARD_GRAVITY)
}

/// The governing manoeuvre slower, gentler, with the arm still or parked.
pub(super) fn manoeuvres(ctx: &Context<'_>, target: &Finding) -> Vec<Change> {
    let rig = ctx.rig;
    let which = aimed_at(ctx, target);
    let Some(first) = which.first().and_then(|i| rig.manoeuvres.get(*i)) else { return Vec::new() };
    let tags: Vec<&str> =
        which.iter().filter_map(|i| rig.manoeuvres.get(*i)).map(|m| m.tag.as_str()).collect();
    let names = and(&tags);
    let with = |change: &dyn Fn(&mut Manoeuvre)| {
        let mut changed = rig.clone();
        for i in &which {
            if let Some(m) = changed.manoeuvres.get_mut(*i) {
                change(m);
            }
        }
        changed
    };
    let agree = "Agree it with the driver; it goes on the card.";
    let mut out = Vec::new();
    let kmh = |v: f64| both_kind(v, Kind::Speed);
    let (side, ahead) = (first.left.value, first.forward.value);
    if first.speed.value > 1.5 * SLOWER_MPS {
        let slow = first.speed.value - SLOWER_MPS;
        let share = slow / first.speed.value;
        // On the same line sideways acceleration goes with the square of the speed, yaw with the speed.
        let changed = with(&|m| {
            scale(&mut m.speed, share);
            scale(&mut m.left, share * share);
            m.yaw_rate.iter_mut().for_each(|y| scale(y, share));
        });
        let line = if side.abs() > 1e-9 {
            format!(" on the same line ({} becomes {})", in_g(side), in_g(side * share * share))
        } else {
            String::new()
        };
        let what = format!("in {names} drive 10 km/h (6 mph) slower, at {}{line}", kmh(slow));
        out.push(Change::new(what, agree, changed));
    }
    let largest = if side.abs() > ahead.abs() { side } else { ahead };
    if largest.abs() > 1e-9 {
        let changed = with(&|m| {
            scale(&mut m.left, GENTLER);
            scale(&mut m.forward, GENTLER);
            m.yaw_rate.iter_mut().for_each(|y| scale(y, GENTLER));
        });
        let what = format!(
            "in {names} drive 20 % more gently, at {} instead of {}",
            in_g(largest * GENTLER),
            in_g(largest)
        );
        let minds = if ahead < -0.6 * STANDARD_GRAVITY {
            "An emergency stop is as hard as it must be: keep more distance, drive slower."
        } else {
            agree
        };
        out.push(Change::new(what, minds, changed));
    }
    if rig.arm.is_some() {
        let stop = "Agree it with the operator; it goes on the card.";
        if first.arm == ArmUse::Live {
            let changed = with(&|m| m.arm = ArmUse::Still);
            out.push(Change::new(format!("do not move the arm during {names}"), stop, changed));
        }
        if first.arm != ArmUse::Parked {
            let changed = with(&|m| m.arm = ArmUse::Parked);
            out.push(Change::new(format!("park the arm for {names}"), stop, changed));
        }
    }
    out
}
