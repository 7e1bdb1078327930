//! The sum on paper: everything over the cups is one rigid body on springs.

use super::{OnCup, bodies};
use glam::{DMat2, DVec2, DVec3};
use mechanics::cup::group::{Stand, share_n};
use mechanics::wrench::Wrench;
use rig::model::{Hold, StrapKind};
use verdict::{Context, PartRef, StateId};

/// Everything that acts on the rig in a state about a point, straps at the tension that was read on them.
fn acting(ctx: &Context<'_>, state: &StateId, about: DVec3) -> Wrench {
    let mut sum = bodies::acts(ctx, state);
    let lost = ctx.failures[state.failure].lost;
    for (s, strap) in ctx.rig.straps.iter().enumerate() {
        if strap.kind == StrapKind::Tether || lost == Some(PartRef::Strap(s)) {
            continue;
        }
        for (i, p) in strap.path.iter().enumerate().filter(|(_, p)| p.on != Hold::Body) {
            for k in [i.wrapping_sub(1), i + 1] {
                if let Some(other) = strap.path.get(k) {
                    let pull = (other.at - p.at).normalize() * strap.pretension.value;
                    sum += Wrench::of_force_at(pull, p.at);
                }
            }
        }
    }
    sum.about(DVec3::ZERO, about)
}

/// The sum on paper for one cup in one state.
pub(crate) struct Paper {
    pub(crate) count: usize,
    /// Along, across, out of the panel, N, at the middle of the cups.
    pub(crate) force: DVec3,
    /// About the same three lines, N m.
    pub(crate) moment: DVec3,
    /// The cup from the middle, m.
    pub(crate) at: DVec2,
    /// Share of the tilting moment that the cups take by rocking, about the worse line.
    pub(crate) rocking_share: f64,
    pub(crate) on_cup: OnCup,
}

pub(crate) fn paper(ctx: &Context<'_>, state: &StateId, cup: usize) -> Paper {
    let rig = ctx.rig;
    let lost = ctx.failures[state.failure].lost;
    let standing: Vec<usize> = (0..rig.cups.len()).filter(|c| lost != Some(PartRef::Cup(*c))).collect();
    let count = standing.len();
    let n = standing.len() as f64;
    let mean = |f: &dyn Fn(usize) -> DVec3| standing.iter().map(|c| f(*c)).sum::<DVec3>() / n;
    let middle = mean(&|c| rig.cups[c].at);
    let out = mean(&|c| rig.cups[c].normal).normalize();
    let along = mean(&|c| rig.cups[c].along);
    let along = (along - out * along.dot(out)).normalize();
    let across = out.cross(along);
    let local = |v: DVec3| DVec3::new(v.dot(along), v.dot(across), v.dot(out));
    let w = acting(ctx, state, middle);
    let (force, moment) = (local(w.force), local(w.moment));
    let place = |c: usize| local(rig.cups[c].at - middle).truncate();
    let part = &rig.cups[cup];
    let panel = &rig.panels[part.panel];
    let series = |a: f64, b: f64| a * b / (a + b);
    let axial = series(part.axial.value, panel.stiffness.value);
    let rocking = series(part.rocking.value, panel.rocking.value);
    // Tilting: the base turns by t with (sum k r r' + n kr) t = Q; what the cups' springs along their axes take is I t.
    let q = DVec2::new(moment.y, -moment.x);
    let spread = standing.iter().fold(DMat2::ZERO, |m, c| {
        let r = place(*c);
        m + DMat2::from_cols(r * r.x, r * r.y)
    });
    let tilt = (spread * axial + DMat2::from_diagonal(DVec2::splat(n * rocking))).inverse() * q;
    let by_springs = spread * axial * tilt;
    let stands: Vec<Stand> = standing.iter().map(|c| Stand { at_m: place(*c), stiffness: 1.0 }).collect();
    let pressed = share_n(&stands, -force.z, by_springs).unwrap();
    let me = standing.iter().position(|c| *c == cup).unwrap();
    // Shear: equal parts, and turning about the middle by the polar rule beside the cups' own stiffness against turning.
    let polar: f64 = standing.iter().map(|c| place(*c).length_squared()).sum();
    let angle = -moment.z / (part.shear.value * polar + n * part.torsional.value);
    let shear = -force.truncate() / n + place(cup).perp() * (part.shear.value * angle);
    Paper {
        count,
        force,
        moment,
        at: place(cup),
        rocking_share: if q.length() > 0.0 { 1.0 - by_springs.length() / q.length() } else { 0.0 },
        on_cup: OnCup {
            pull: -pressed[me],
            rock: (tilt * rocking).length(),
            shear: shear.length(),
            turn: (part.torsional.value * angle).abs(),
        },
    }
}
