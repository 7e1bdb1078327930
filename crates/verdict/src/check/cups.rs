//! What the checks of a cup share: the vacuum force, the seal's core radius, friction.

use crate::context::Context;
use crate::finding::Need;
use mechanics::air::atmosphere::Air;
use mechanics::cup::seal::{Annulus, Core};
use mechanics::cup::slip::torsion_radius_m;
use mechanics::cup::vacuum::{Conditions, TrappedAir};
use rig::fact::Fact;
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

/// The vacuum that the checks use: the reading, but never more than the pump can leave at this ambient pressure; then what
/// is left of it at the highest and warmest of the route, and after the loss until the next round.
///
/// The trapped air keeps its mass (`p2 = p1 T2 / T1`, the lip seals) and the air outside gets thinner with height. Where the
/// route only goes down or gets cooler nothing is gained by it: the reading counts.
pub fn vacuum(ctx: &Context<'_>, cup: &Cup) -> Option<f64> {
    let reading = cup.vacuum.as_ref()?.value;
    let site = &ctx.rig.site;
    let ambient = ctx.actions.pressure;
    let used = reading.min((ambient - ctx.rig.policy.pump_ultimate.value).max(0.0));
    let mut least = used;
    if site.highest.is_some() || site.hottest.is_some() {
        let value = |f: &Option<Fact>, own: f64| f.as_ref().map_or(own, |f| f.value.max(own));
        let (height, warmth) =
            (value(&site.highest, site.altitude.value), value(&site.hottest, site.temperature.value));
        let outside = Air::with_temperature(height, site.temperature.value).ok()?.pressure_pa();
        let there = Conditions {
            ambient_pa: outside,
            temperature_k: warmth,
            leak_pa_per_s: 0.0,
            until_next_round_s: 0.0,
        };
        let trapped = TrappedAir::from_reading(used, ambient, site.temperature.value).ok()?;
        least = least.min(trapped.vacuum_pa(there).ok()?);
    }
    Some((least - cup.loss.value).max(0.0))
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
