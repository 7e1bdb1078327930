//! The panel's surface, vacuum, straps, clamps.

use super::Change;
use super::words::and;
use crate::context::Context;
use glam::DVec3;
use quantity::{Kind, both_kind};
use rig::fact::{Fact, Origin};
use rig::model::{Hold, PathPoint, Rig, Strap, StrapKind, Tube};
use rig::{friction_of, tether};

/// Raised vacuum that is worth the walk, Pa.
const WORTH_PA: f64 = 2e3;
/// One turn more of the ratchets, N.
const TIGHTER_N: f64 = 100.0;
/// The most of a strap's capacity to fit it with, EN 12195-2.
const FITTED: f64 = 0.5;
/// A second strap beside the first, m.
const BESIDE_M: f64 = 0.06;
/// Where a tether would reach the body: so far out from the rig and so far down, m. Where the hook really holds must be found.
const HOOK_M: (f64, f64) = (0.35, 0.35);

fn stated(fact: &mut Fact, value: f64) {
    (fact.value, fact.low, fact.high) = (value, value, value);
    (fact.origin, fact.text) = (Origin::Stated, None);
}

/// Wiped dry, wax off, both: only where the file says wet or waxed and friction comes from the list of finishes.
pub(super) fn surface(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    for (p, panel) in rig.panels.iter().enumerate() {
        let stands = rig.cups.iter().any(|c| c.panel == p);
        if !stands || friction_of(&panel.finish, panel.wet).is_none_or(|f| differs(&f, &panel.friction)) {
            continue;
        }
        let waxed = panel.finish == "waxed";
        let clean = "clean paint";
        let to = |finish: &str, wet: bool| {
            let mut changed = rig.clone();
            let now = changed.panels.get_mut(p)?;
            let (key, group) = (now.friction.key.clone(), now.friction.group.clone());
            now.friction = Fact { key, group, ..friction_of(finish, wet)? };
            (now.finish, now.wet) = (finish.to_owned(), wet);
            Some(changed)
        };
        let tag = &panel.tag;
        let stays = "Only while it stays so: check again after rain or dew.";
        if panel.wet
            && let Some(changed) = to(&panel.finish, false)
        {
            out.push(Change::new(format!("wipe panel {tag} dry and keep it dry"), stays, changed));
        }
        if waxed && let Some(changed) = to(clean, panel.wet) {
            let what = format!("take the wax off panel {tag} under the cups");
            out.push(Change::new(what, "Ask the owner; wipe until a cloth grips.", changed));
        }
        if waxed
            && panel.wet
            && let Some(changed) = to(clean, false)
        {
            out.push(Change::new(format!("take the wax off panel {tag} and keep it dry"), stays, changed));
        }
    }
    out
}

fn differs(a: &Fact, b: &Fact) -> bool {
    (a.value - b.value).abs() > 1e-9
}

/// All cups pumped as far as the pump reaches at this height.
pub(super) fn vacuum(ctx: &Context<'_>) -> Vec<Change> {
    let rig = ctx.rig;
    // Whole kilopascals, as a gauge is read.
    let reach = ((ctx.actions.pressure - rig.policy.pump_ultimate.value) / 1e3).floor() * 1e3;
    let mut changed = rig.clone();
    let mut tags = Vec::new();
    for (cup, before) in changed.cups.iter_mut().zip(&rig.cups) {
        if let Some(v) = cup.vacuum.as_mut().filter(|v| reach.is_finite() && v.value < reach - WORTH_PA) {
            stated(v, reach);
            tags.push(before.tag.as_str());
        }
    }
    if tags.is_empty() {
        return Vec::new();
    }
    let who =
        if tags.len() == rig.cups.len() { "every cup".to_owned() } else { format!("cups {}", and(&tags)) };
    let what =
        format!("pump {who} to {}, as far as this pump reaches here", both_kind(reach, Kind::Pressure));
    vec![Change::new(what, "It counts only once the gauge shows it and keeps it.", changed)]
}

/// Straps tighter; one more; tethers where there is nothing.
pub(super) fn straps(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    let mut changed = rig.clone();
    let mut tags = Vec::new();
    for s in changed.straps.iter_mut().filter(|s| s.kind == StrapKind::Strap) {
        let tight = s.pretension.value + TIGHTER_N;
        if tight <= FITTED * s.capacity.value {
            stated(&mut s.pretension, tight);
            tags.push(s.tag.clone());
        }
    }
    if !tags.is_empty() {
        let names: Vec<&str> = tags.iter().map(String::as_str).collect();
        let (word, each) = if names.len() == 1 { ("strap", "") } else { ("straps", " each") };
        let more = both_kind(TIGHTER_N, Kind::Force);
        let what = format!("tighten {word} {} by {more}{each}", and(&names));
        out.push(Change::new(what, "Read the tension; look at the panel and the edges under it.", changed));
    }
    for (i, strap) in rig.straps.iter().enumerate() {
        out.extend(copies(rig, i, strap));
    }
    if rig.straps.is_empty() {
        out.extend(tethers(rig));
    }
    out
}

/// A strap's path with its points on one tube carried to another; `None` for other paths.
fn carried(rig: &Rig, strap: &Strap, to: usize) -> Option<Strap> {
    let mut from = None;
    for p in &strap.path {
        match p.on {
            Hold::Tube { tube, .. } if from.is_none_or(|f| f == tube) => from = Some(tube),
            Hold::Body => {}
            _ => return None,
        }
    }
    let (a, b): (&Tube, &Tube) = (rig.tubes.get(from?)?, rig.tubes.get(to)?);
    let unit = |t: &Tube| (t.b - t.a).normalize_or_zero();
    if from? == to || unit(a).dot(unit(b)).abs() < 0.99 {
        return None;
    }
    let mut out = strap.clone();
    let across = (b.a + b.b) * 0.5 - (a.a + a.b) * 0.5;
    for p in &mut out.path {
        let at = p.at + across;
        *p = if let Hold::Tube { .. } = p.on {
            let s = (at - b.a).dot(unit(b)).clamp(0.0, b.length());
            PathPoint { at: b.point(s), on: Hold::Tube { tube: to, s } }
        } else {
            // The body's sides run fore and aft: its height stays.
            PathPoint { at: DVec3::new(at.x, at.y, p.at.z), on: p.on }
        };
    }
    Some(out)
}

/// The same strap over every other cup tube that has none, and a second one beside it.
fn copies(rig: &Rig, index: usize, strap: &Strap) -> Vec<Change> {
    let has = |t: usize| {
        let on = |p: &PathPoint| matches!(p.on, Hold::Tube { tube, .. } if tube == t);
        rig.straps.iter().any(|s| s.path.iter().any(on))
    };
    let mut out = Vec::new();
    let word = if strap.kind == StrapKind::Strap { "strap" } else { "tether" };
    let with = |new: Strap| {
        let mut changed = rig.clone();
        changed.straps.push(Strap { tag: format!("{}-2", strap.tag), ..new });
        changed
    };
    let find = "Find what its hooks hold on the body there.";
    for (t, tube) in rig.tubes.iter().enumerate() {
        let bears = rig.cups.iter().any(|c| matches!(c.holds, Hold::Tube { tube, .. } if tube == t));
        if bears
            && !has(t)
            && let Some(new) = carried(rig, strap, t)
        {
            out.push(Change::new(
                format!("add a {word} like {} over tube {}", strap.tag, tube.tag),
                find,
                with(new),
            ));
        }
    }
    // Beside it: the same points on the rig, the body's points a little to the side of the line.
    let first = rig.straps.iter().position(|s| s.part == strap.part && s.kind == strap.kind);
    let line = strap.path.first().zip(strap.path.last()).map(|(a, b)| b.at - a.at);
    let aside = line.map_or(DVec3::ZERO, |l| l.cross(DVec3::Z).normalize_or(DVec3::X));
    let mut new = strap.clone();
    new.path.iter_mut().filter(|p| p.on == Hold::Body).for_each(|p| p.at += aside * BESIDE_M);
    if first.is_some() && index < rig.straps.len() {
        out.push(Change::new(format!("add a second {word} beside {}", strap.tag), find, with(new)));
    }
    out
}

/// Four wire tethers from the rig's outermost things to the body, fore and aft to each side.
fn tethers(rig: &Rig) -> Vec<Change> {
    let mut changed = rig.clone();
    let ends: Vec<(Hold, DVec3)> = if let Some(p) = rig.platforms.first() {
        let across = p.normal.cross(p.along);
        let under = p.at - p.normal * (0.5 * p.size.z);
        let corner =
            |x: f64, y: f64| under + p.along * (x * 0.45 * p.size.x) + across * (y * 0.45 * p.size.y);
        [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)]
            .map(|(x, y)| (Hold::Platform(0), corner(x, y)))
            .to_vec()
    } else {
        let at = |t: usize, s: f64| Some((Hold::Tube { tube: t, s }, rig.tubes.get(t)?.point(s)));
        let ends = |t: usize| rig.tubes.get(t).map_or(0.0, Tube::length);
        let last = rig.tubes.len().saturating_sub(1);
        [at(0, 0.03), at(0, ends(0) - 0.03), at(last, 0.03), at(last, ends(last) - 0.03)]
            .into_iter()
            .flatten()
            .collect()
    };
    let count = ends.len().max(1);
    let mut middle = DVec3::ZERO;
    for (_, p) in &ends {
        middle += *p;
    }
    #[allow(clippy::cast_precision_loss, reason = "four ends")]
    let middle = middle / count as f64;
    for (k, (on, at)) in ends.iter().enumerate() {
        let tag = format!("tether-{}", k + 1);
        let Some(mut t) = tether("wire tether 4", &tag) else { return Vec::new() };
        let out = (*at - middle) * DVec3::new(1.0, 1.0, 0.0);
        let hook = *at + out.normalize_or(DVec3::X) * HOOK_M.0 - DVec3::Z * HOOK_M.1;
        t.path = vec![PathPoint { at: *at, on: *on }, PathPoint { at: hook, on: Hold::Body }];
        changed.straps.push(t);
    }
    if ends.len() < 3 {
        return Vec::new();
    }
    let what = format!("add {} wire tethers, one at each outer corner, out and down to the body", ends.len());
    vec![Change::new(what, "Find hook points first and enter where they really are.", changed)]
}

/// Clamps at the torque that their slip values go with.
pub(super) fn clamps(rig: &Rig) -> Vec<Change> {
    let mut changed = rig.clone();
    let mut tags = Vec::new();
    let mut rated = 0.0;
    for (clamp, before) in changed.clamps.iter_mut().zip(&rig.clamps) {
        if clamp.torque.value < clamp.rated_torque * 0.99 {
            rated = clamp.rated_torque;
            stated(&mut clamp.torque, rated);
            tags.push(before.tag.as_str());
        }
    }
    if tags.is_empty() {
        return Vec::new();
    }
    let who = if tags.len() == rig.clamps.len() {
        "every clamp".to_owned()
    } else {
        format!("clamps {}", and(&tags))
    };
    let what = format!("tighten {who} to its rated torque, {}", both_kind(rated, Kind::Moment));
    vec![Change::new(what, "With a torque wrench, never beyond the rating.", changed)]
}
