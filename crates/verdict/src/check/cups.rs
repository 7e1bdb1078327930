//! What the checks of a cup share: the vacuum force, the seal's core radius, friction.

use crate::context::Context;
use crate::finding::Need;
use mechanics::cup::seal::{Annulus, Core};
use mechanics::cup::slip::torsion_radius_m;
use rig::model::Cup;

/// Numbers of one cup.
#[derive(Clone, Copy, Debug)]
pub struct CupFacts {
    /// Vacuum force on the sealed area, N.
    pub vacuum_force: f64,
    /// Vacuum used, Pa.
    pub vacuum: f64,
    /// Core radius of the contact ring, m.
    pub core: f64,
    /// Radius at which friction resists turning, m.
    pub torsion_radius: f64,
    /// Friction on its panel.
    pub friction: f64,
}

/// The vacuum that the checks use: the reading, less what leaks until the next round, but never more than the pump can
/// leave at this ambient pressure.
pub fn vacuum(ctx: &Context<'_>, cup: &Cup) -> Option<f64> {
    let reading = cup.vacuum.as_ref()?.value;
    let possible = (ctx.actions.pressure - ctx.rig.policy.pump_ultimate.value).max(0.0);
    Some((reading.min(possible) - cup.loss.value).max(0.0))
}

/// The facts of a cup, or what is missing.
///
/// # Errors
///
/// [`Need`] when there is no vacuum reading, or the radii make no ring.
pub fn facts(ctx: &Context<'_>, index: usize) -> Result<CupFacts, Need> {
    let cup = &ctx.rig.cups[index];
    let vacuum = vacuum(ctx, cup).ok_or_else(|| Need {
        what: format!("vacuum of cup {}", cup.tag),
        key: format!("cup.{}.vacuum", cup.tag),
        settle: "pump it and read its gauge, or state the vacuum you plan with".to_owned(),
    })?;
    let ring = Annulus::new(cup.seal_radius, cup.outer_radius).map_err(|e| Need {
        what: format!("seal of cup {}: {e}", cup.tag),
        key: format!("cup.{}.part", cup.tag),
        settle: "measure the lip: outer diameter and the diameter that seals".to_owned(),
    })?;
    let vacuum_force = ring.vacuum_force_n(vacuum).unwrap_or(0.0);
    Ok(CupFacts {
        vacuum_force,
        vacuum,
        core: ring.core_radius_m(Core::Annulus),
        torsion_radius: torsion_radius_m(ring),
        friction: ctx.rig.panels[cup.panel].friction.value,
    })
}
