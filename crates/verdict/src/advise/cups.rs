//! Cups set elsewhere, and more of them.

use super::Change;
use super::words::{STEP, and, length, way};
use glam::DVec3;
use rig::model::{Cup, Hold, Panel, Rig};
use rig::stand_cup;

const SEAL: &str = "Check the seal by hand and read its gauge again.";
const NEW: &str = "It needs a cup like that one; check its seal and read its gauge.";
/// Two cups whose places differ by less than this across their join stand in line, m.
const IN_LINE_M: f64 = 0.02;
/// Between two lips, m.
const LIPS_APART_M: f64 = 0.01;
/// From a cup's head to the next clamp along the tube, m: as the check of clashes wants.
const FROM_CLAMP_M: f64 = 0.06;
/// At most so many places for one more cup under one platform: the ones that fit first.
const MOST_PLACES: usize = 6;

fn panel_of<'a>(rig: &'a Rig, cup: &Cup) -> Option<&'a Panel> {
    rig.panels.get(cup.panel)
}

/// Moves a cup along its panel by `by`, vehicle axes.
fn push(rig: &mut Rig, index: usize, by: DVec3) -> Option<()> {
    let cup = rig.cups.get(index)?;
    let panel = panel_of(rig, cup)?;
    let place = (cup.place.0 + by.dot(panel.ea), cup.place.1 + by.dot(panel.eb));
    stand_cup(rig, index, place)?;
    lips_clear(rig, index).then_some(())
}

fn lips_clear(rig: &Rig, index: usize) -> bool {
    let Some(cup) = rig.cups.get(index) else { return false };
    rig.cups
        .iter()
        .enumerate()
        .all(|(i, c)| i == index || c.at.distance(cup.at) >= c.outer_radius + cup.outer_radius + LIPS_APART_M)
}

/// Directions in which a cup can be moved with what it holds staying put.
fn ways(rig: &Rig, cup: &Cup) -> Vec<DVec3> {
    match cup.holds {
        Hold::Tube { tube, .. } => {
            let along = rig.tubes.get(tube).map_or(DVec3::ZERO, |t| (t.b - t.a).normalize_or_zero());
            vec![along, -along]
        }
        Hold::Platform(_) => panel_of(rig, cup).map_or_else(Vec::new, |p| vec![-p.ea, p.ea, -p.eb, p.eb]),
        Hold::Cup(_) | Hold::Body => Vec::new(),
    }
}

fn holder(cup: &Cup) -> Option<(bool, usize)> {
    match cup.holds {
        Hold::Tube { tube, .. } => Some((true, tube)),
        Hold::Platform(p) => Some((false, p)),
        Hold::Cup(_) | Hold::Body => None,
    }
}

/// Two cups to be moved apart: the one, the other, and the way from it to the other.
type Couple = (usize, usize, DVec3);

/// The outer two cups of each tube, and the cups of a platform that stand in line.
fn couples(rig: &Rig) -> Vec<Couple> {
    let mut out = Vec::new();
    for t in 0..rig.tubes.len() {
        let on = on_tube(rig, t);
        if let (Some((_, i)), Some((_, j)), Some(tube)) = (on.first(), on.last(), rig.tubes.get(t))
            && i != j
        {
            out.push((*i, *j, (tube.b - tube.a).normalize_or_zero()));
        }
    }
    for (i, a) in rig.cups.iter().enumerate() {
        for (j, b) in rig.cups.iter().enumerate().skip(i + 1) {
            let same = matches!((a.holds, b.holds), (Hold::Platform(p), Hold::Platform(q)) if p == q);
            let (da, db) = (b.place.0 - a.place.0, b.place.1 - a.place.1);
            let Some(panel) = panel_of(rig, a).filter(|_| same && a.panel == b.panel) else { continue };
            if da.abs() < IN_LINE_M {
                out.push((i, j, panel.eb * db.signum()));
            } else if db.abs() < IN_LINE_M {
                out.push((i, j, panel.ea * da.signum()));
            }
        }
    }
    out
}

/// The cups of a tube by their distance along it.
fn on_tube(rig: &Rig, tube: usize) -> Vec<(f64, usize)> {
    let mut on: Vec<(f64, usize)> = rig
        .cups
        .iter()
        .enumerate()
        .filter_map(|(i, c)| match c.holds {
            Hold::Tube { tube: t, s } if t == tube => Some((s, i)),
            _ => None,
        })
        .collect();
    on.sort_by(|a, b| a.0.total_cmp(&b.0));
    on
}

fn spread(rig: &Rig, couples: &[Couple], sign: f64) -> Option<Rig> {
    let mut out = rig.clone();
    for (i, j, to) in couples {
        push(&mut out, *i, *to * (-sign * STEP.0))?;
        push(&mut out, *j, *to * (sign * STEP.0))?;
    }
    Some(out)
}

/// Each cup moved a step each way; cups in line moved apart and together.
pub(super) fn moves(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    for (i, cup) in rig.cups.iter().enumerate() {
        for to in ways(rig, cup) {
            let mut changed = rig.clone();
            if push(&mut changed, i, to * STEP.0).is_some() {
                let along = match cup.holds {
                    Hold::Tube { tube, .. } => {
                        rig.tubes.get(tube).map_or(String::new(), |t| format!(" along tube {}", t.tag))
                    }
                    _ => String::new(),
                };
                let what = format!("move cup {} {} {}{along}", cup.tag, STEP.1, way(to));
                out.push(Change::new(what, SEAL, changed));
            }
        }
    }
    let couples = couples(rig);
    out.extend(side_by_side(rig, &couples));
    let tag = |i: &usize| rig.cups.get(*i).map_or("", |c| c.tag.as_str());
    for (sign, word) in [(1.0, "farther apart"), (-1.0, "closer together")] {
        for couple in &couples {
            if let Some(changed) = spread(rig, core::slice::from_ref(couple), sign) {
                let names = and(&[tag(&couple.0), tag(&couple.1)]);
                out.push(Change::new(format!("move cups {names} {word}, {} each", STEP.1), SEAL, changed));
            }
        }
        let on_tubes: Vec<Couple> = couples
            .iter()
            .filter(|c| rig.cups.get(c.0).and_then(holder).is_some_and(|(tube, _)| tube))
            .copied()
            .collect();
        if on_tubes.len() > 1
            && let Some(changed) = spread(rig, &on_tubes, sign)
        {
            let what = format!("move the outer cups of every tube {word}, {} each", STEP.1);
            out.push(Change::new(what, SEAL, changed));
        }
    }
    out
}

/// Cups of a platform that stand in line, both moved square to their line.
fn side_by_side(rig: &Rig, couples: &[Couple]) -> Vec<Change> {
    let mut out = Vec::new();
    for (i, j, to) in couples {
        let (Some(a), Some(b)) = (rig.cups.get(*i), rig.cups.get(*j)) else { continue };
        let Some(panel) = panel_of(rig, a).filter(|_| matches!(a.holds, Hold::Platform(_))) else { continue };
        let square = panel.normal.cross(*to);
        for by in [square, -square] {
            let mut changed = rig.clone();
            let done = push(&mut changed, *i, by * STEP.0).and_then(|()| push(&mut changed, *j, by * STEP.0));
            if done.is_some() {
                let names = and(&[&a.tag, &b.tag]);
                out.push(Change::new(
                    format!("move cups {names} {} {}, both", STEP.1, way(by)),
                    SEAL,
                    changed,
                ));
            }
        }
    }
    out
}

/// One more cup like `index`, `by` from it; its index in the rig, which changes only where it fits.
fn add(rig: &mut Rig, index: usize, by: DVec3) -> Option<usize> {
    let mut changed = rig.clone();
    let mut cup = changed.cups.get(index)?.clone();
    cup.tag = format!("{}-2", cup.tag);
    let new = changed.cups.len();
    changed.cups.push(cup);
    push(&mut changed, new, by)?;
    if let Some(Hold::Tube { tube, s }) = changed.cups.get(new).map(|c| c.holds) {
        let clamped = changed.clamps.iter().flat_map(|c| [c.first, c.second]);
        let held = clamped.chain(changed.legs.iter().map(|l| l.foot));
        if held.into_iter().any(|(t, at)| t == tube && (at - s).abs() < FROM_CLAMP_M) {
            return None;
        }
    }
    *rig = changed;
    Some(new)
}

/// A place for a new cup: the cup that it is like, and from it.
type Beside = (usize, DVec3);

/// Places on a tube for one more cup: near the middle between two, then beside the outer ones; the cup beside it, and from it.
fn places(rig: &Rig, tube: usize) -> (Vec<Beside>, Vec<Beside>) {
    let on = on_tube(rig, tube);
    let along = rig.tubes.get(tube).map_or(DVec3::ZERO, |t| (t.b - t.a).normalize_or_zero());
    let mut between = Vec::new();
    for pair in on.windows(2) {
        if let [(s, i), (t, _)] = pair {
            let middle = 0.5 * (t - s);
            between.extend([0.0, 0.04, -0.04, 0.08, -0.08].map(|off| (*i, along * (middle + off))));
        }
    }
    let mut beside = Vec::new();
    for (end, sign) in [(on.first(), -1.0), (on.last(), 1.0)] {
        let Some((_, i)) = end else { continue };
        let Some(cup) = rig.cups.get(*i) else { continue };
        let least = 2.0 * cup.outer_radius + LIPS_APART_M;
        beside.extend([0.01, 0.05].map(|more| (*i, along * (sign * (least + more)))));
        // Inward too: a wide tube may have room there.
        beside.extend([0.01, 0.05].map(|more| (*i, along * (-sign * (least + more)))));
    }
    (between, beside)
}

/// One more cup on each tube and under each platform, and one in the middle of every cup tube together.
pub(super) fn more(rig: &Rig) -> Vec<Change> {
    let mut out = Vec::new();
    let mut every = rig.clone();
    let mut in_middle = 0;
    let mut bearing = 0;
    for (t, tube) in rig.tubes.iter().enumerate() {
        let (between, beside) = places(rig, t);
        bearing += usize::from(!beside.is_empty());
        // The first place of each sort that has room.
        let mut used: Vec<(usize, &'static str)> = Vec::new();
        for (k, (i, by)) in between.iter().chain(&beside).enumerate() {
            let sort = if k < between.len() { (usize::MAX, "") } else { (*i, way(*by)) };
            let mut changed = rig.clone();
            if used.contains(&sort) || add(&mut changed, *i, *by).is_none() {
                continue;
            }
            used.push(sort);
            if k < between.len() && add(&mut every, *i, *by).is_some() {
                in_middle += 1;
            }
            out.push(Change::new(added(rig, *i, *by, &format!(" on tube {}", tube.tag)), NEW, changed));
        }
    }
    if in_middle > 1 && in_middle == bearing {
        let what = format!("add {in_middle} cups: one between the cups of every tube");
        out.push(Change::new(what, "It needs as many cups more; check each seal and gauge.", every));
    }
    for (p, platform) in rig.platforms.iter().enumerate() {
        let under: Vec<usize> = (0..rig.cups.len())
            .filter(|i| rig.cups.get(*i).is_some_and(|c| c.holds == Hold::Platform(p)))
            .collect();
        let mut candidates = Vec::new();
        for (n, i) in under.iter().enumerate() {
            for j in under.iter().skip(n + 1) {
                if let (Some(a), Some(b)) = (rig.cups.get(*i), rig.cups.get(*j)) {
                    candidates.push((*i, (b.at - a.at) * 0.5));
                }
            }
        }
        for i in &under {
            let Some(cup) = rig.cups.get(*i) else { continue };
            let least = 2.0 * cup.outer_radius + LIPS_APART_M + 0.01;
            candidates.extend(ways(rig, cup).into_iter().map(|w| (*i, w * least)));
        }
        let mut taken: Vec<DVec3> = Vec::new();
        for (i, by) in candidates {
            let mut changed = rig.clone();
            let Some(at) = add(&mut changed, i, by).and_then(|n| changed.cups.get(n)).map(|c| c.at) else {
                continue;
            };
            if taken.len() >= MOST_PLACES || taken.iter().any(|t| t.distance(at) < LIPS_APART_M) {
                continue;
            }
            taken.push(at);
            out.push(Change::new(added(rig, i, by, &format!(" under {}", platform.tag)), NEW, changed));
        }
    }
    out
}

fn added(rig: &Rig, like: usize, by: DVec3, on: &str) -> String {
    let tag = rig.cups.get(like).map_or("", |c| c.tag.as_str());
    // Halfway in a slant: both ways are told.
    let parts = [DVec3::new(by.x, 0.0, 0.0), DVec3::new(0.0, by.y, 0.0), DVec3::new(0.0, 0.0, by.z)];
    let most = by.abs().max_element();
    let told: Vec<String> = parts
        .into_iter()
        .filter(|p| p.length() > 0.25 * most)
        .map(|p| format!("{} {}", length(p.length()), way(p)))
        .collect();
    format!("add a cup like {tag}{on}, {} of it", told.join(" and "))
        .replace("to the left of", "left of")
        .replace("to the right of", "right of")
}
