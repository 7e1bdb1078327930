//! What each part weighs: the list behind the mass that the frame, the arm and the car are reckoned with.

use crate::parts::PartRef;
use crate::structure::{BuildOptions, beam_of};
use rig::model::Rig;

/// A part and its mass.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// The part; of the arm's pieces without a [`PartRef`] of their own the arm.
    pub part: PartRef,
    /// Which piece of the arm (`counterweight`), or empty.
    pub piece: &'static str,
    /// kg.
    pub mass_kg: f64,
}

/// Everything on the car that has a mass, the arm's pieces last; a tube by its section and length.
pub fn weigh(rig: &Rig) -> Vec<Weighed> {
    let mut out: Vec<Weighed> = Vec::new();
    let mut add =
        |part: PartRef, piece: &'static str, mass_kg: f64| out.push(Weighed { part, piece, mass_kg });
    for (i, c) in rig.cups.iter().enumerate() {
        add(PartRef::Cup(i), "", c.mass.value);
    }
    for (i, t) in rig.tubes.iter().enumerate() {
        let line = beam_of(&t.section, BuildOptions::default()).map_or(0.0, |b| b.line_mass());
        add(PartRef::Tube(i), "", line * t.length());
    }
    for (i, c) in rig.clamps.iter().enumerate() {
        add(PartRef::Clamp(i), "", c.mass.value);
    }
    for (i, p) in rig.platforms.iter().enumerate() {
        add(PartRef::Platform(i), "", p.mass.value);
    }
    for (i, l) in rig.legs.iter().enumerate() {
        add(PartRef::Leg(i), "", l.mass.value);
    }
    for (i, s) in rig.straps.iter().enumerate() {
        add(PartRef::Strap(i), "", s.mass.value);
    }
    for (i, t) in rig.items.iter().enumerate() {
        add(PartRef::Item(i), "", t.mass.value);
    }
    if let Some(arm) = &rig.arm {
        add(PartRef::Arm, "mast base", arm.base_mass.0.value);
        add(PartRef::Arm, "mast head", arm.head_mass.0.value);
        for (i, s) in arm.sections.iter().enumerate() {
            add(PartRef::BoomSection(i), "", s.mass.value);
        }
        add(PartRef::Arm, "counterweight", arm.counterweight.mass.value);
        add(PartRef::Arm, "isolator", arm.isolator.mass.value);
        add(PartRef::Arm, "payload", arm.payload.mass.value);
    }
    out
}
