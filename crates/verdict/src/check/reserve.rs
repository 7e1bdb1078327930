//! How far a rig with its vacuum is from letting go altogether, against the first cup that lifts or slides.

use super::cups;
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::responses::{mast_node, wind_load};
use crate::state::StateId;
use crate::sweep::Sweep;
use glam::DVec3;
use mechanics::cup::seal::{Annulus, Core};
use mechanics::cup::slip::{RING_SHARE, torsion_radius_m};
use mechanics::frame::model::{Strand, StrandPoint};
use mechanics::limit::contact::{Friction, Pull, Support};
use mechanics::wrench::Wrench;
use quantity::Kind;
use rayon::prelude::*;
use rig::model::Hold;
use rig::policy::CheckId;

/// Cups as contacts of the limit program, one left out, with or without their vacuum.
pub(super) fn contacts(ctx: &Context<'_>, lost: Option<usize>, with_vacuum: bool) -> Vec<Support> {
    let mut out = Vec::new();
    for (c, cup) in ctx.rig.cups.iter().enumerate().filter(|(c, _)| Some(*c) != lost) {
        let mu = ctx.rig.panels[cup.panel].friction.value;
        let (core, torsion) = Annulus::new(cup.seal_radius, cup.outer_radius)
            .map_or((0.0, 0.0), |ring| (ring.core_radius_m(Core::Annulus), torsion_radius_m(ring)));
        let Ok(friction) = Friction::new(mu * RING_SHARE, core, torsion) else { continue };
        let vacuum = if with_vacuum { cups::facts(ctx, c).map_or(0.0, |f| f.vacuum_force) } else { 0.0 };
        if let Ok(s) = Support::cup(cup.at, cup.normal, friction, vacuum) {
            out.push(s);
        }
    }
    out
}

/// Straps and tethers as tensions of the limit program, one left out.
pub(super) fn straps(ctx: &Context<'_>, lost: Option<usize>) -> Vec<Support> {
    let mut out = Vec::new();
    for (_, strap) in ctx.rig.straps.iter().enumerate().filter(|(i, _)| Some(*i) != lost) {
        let path = strap.path.iter().map(|p| StrandPoint { at: p.at, node: None }).collect();
        let gradient = Strand { path, k_n_per_m: 0.0, pretension_n: 0.0 }.gradient();
        let pulls: Vec<Pull> = strap
            .path
            .iter()
            .zip(gradient)
            .filter(|(p, _)| p.on != Hold::Body)
            .filter_map(|(p, g)| Pull::new(p.at, -g).ok())
            .collect();
        if let Ok(s) = Support::strap(strap.capacity.value, pulls) {
            out.push(s);
        }
    }
    out
}

/// Everything that acts on the rig in a state, about the origin.
pub fn total_action(ctx: &Context<'_>, state: &StateId) -> Wrench {
    let d = &ctx.actions.drives[state.drive];
    let mut load = wind_load(ctx.rig, &ctx.structure, ctx.actions.density, ctx.actions.winds[d.wind]);
    load.specific_force = d.body_force();
    let mut sum = ctx.structure.frame.total(&load, DVec3::ZERO);
    if let Some(node) = mast_node(ctx.rig, &ctx.structure).filter(|_| ctx.arm.is_some()) {
        let (_, arm) = ctx.action_of(state);
        sum += Wrench::from_array(arm.wrench).about(ctx.structure.frame.nodes[node], DVec3::ZERO);
    }
    sum
}

/// The reserve in the worst states of the cups: one finding intact, one with a part lost.
pub fn check(ctx: &Context<'_>, swept: &Sweep, cup_checks: &[usize]) -> Vec<Finding> {
    let factors = ctx.rig.policy.factors(CheckId::Reserve);
    if ctx.rig.cups.is_empty() || (0..ctx.rig.cups.len()).any(|c| cups::facts(ctx, c).is_err()) {
        return Vec::new(); // The missing vacuum is already a HOLD of the cups.
    }
    let mut out = Vec::new();
    for one_lost in [false, true] {
        let mut states: Vec<(StateId, f64)> = Vec::new();
        for c in cup_checks {
            for pair in &swept.pairs[*c] {
                if let Some(w) = if one_lost { pair.lost } else { pair.intact } {
                    // Two cups may be at their worst in one state.
                    match states.iter_mut().find(|(state, _)| *state == w.state) {
                        Some((_, most)) => *most = most.max(w.utilisation),
                        None => states.push((w.state, w.utilisation)),
                    }
                }
            }
        }
        let about = ctx.rig.cups[0].at;
        let answers: Vec<f64> = states
            .par_iter()
            .map(|(state, _)| {
                let lost = ctx.failures[state.failure].lost;
                let cup = match lost {
                    Some(PartRef::Cup(i)) => Some(i),
                    _ => None,
                };
                let strap = match lost {
                    Some(PartRef::Strap(i)) => Some(i),
                    _ => None,
                };
                let mut supports = contacts(ctx, cup, true);
                supports.extend(straps(ctx, strap));
                let action = total_action(ctx, state).about(DVec3::ZERO, about);
                ctx.held.share(&supports, action, about).0
            })
            .collect();
        let worst = states.iter().zip(&answers).min_by(|a, b| a.1.total_cmp(b.1));
        let Some(((state, _), lambda)) = worst else { continue };
        let first = states.iter().map(|s| s.1).fold(0.0, f64::max);
        let first = if first > 0.0 { 1.0 / first } else { f64::INFINITY };
        let factor = if one_lost { factors.lost } else { factors.intact };
        let gap = if first.is_finite() && first > 0.0 { lambda / first } else { 1.0 };
        let mut words = state.words(ctx);
        if gap < 1.2 {
            words += "; lets go soon after the first cup: little redundancy";
        }
        let mut f = Finding::of(CheckId::Reserve, PartRef::Rig, Kind::Number, factor, 1.0, *lambda).when(words).hand(HandCheck {
            formula: "largest L with: every cup inside its seal and slip limits, straps 0 to LC, L x (whole action) in balance",
            source: "static theorem of limit analysis, solved as a second-order cone program; mechanics.md §6",
            steps: vec![
                Step::new("L1", "multiplier at which the first cup lifts or slides", first, Kind::Number),
                Step::new("L", "multiplier at which the rig lets go", *lambda, Kind::Number),
                Step::new("L/L1", "redundancy", gap, Kind::Number),
            ],
        });
        f.state = Some(*state);
        out.push(f);
    }
    out
}
