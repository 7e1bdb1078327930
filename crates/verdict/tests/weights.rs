//! What was weighed is in the structure once: a leg with its tube, a cup with its stem.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;

use common::{EXAMPLES, all_known, example};
use core::f64::consts::PI;
use glam::DVec3;
use rig::Rig;
use rig::model::Hold;
use verdict::Context;
use verdict::structure::{BuildOptions, Structure};

/// The examples, and a rig whose cups have slender stems.
fn rigs() -> Vec<(&'static str, Rig)> {
    let mut rigs: Vec<(&str, Rig)> = EXAMPLES.iter().map(|(name, _)| (*name, example(name))).collect();
    rigs.push(("reference-a", common::read("reference-a", include_str!("rigs/reference-a.toml"))));
    rigs
}

#[test]
fn every_part_is_weighed_once() {
    for (name, rig) in rigs() {
        let tubes: f64 = rig
            .tubes
            .iter()
            .map(|t| {
                let (o, w) = (t.section.outer, t.section.wall);
                PI / 4.0 * (o * o - (o - 2.0 * w).powi(2)) * t.length() * t.section.material.density
            })
            .sum();
        let lumps: f64 = rig
            .cups
            .iter()
            .map(|p| &p.mass)
            .chain(rig.clamps.iter().map(|p| &p.mass))
            .chain(rig.legs.iter().map(|p| &p.mass))
            .chain(rig.platforms.iter().map(|p| &p.mass))
            .chain(rig.items.iter().filter(|i| i.on != Hold::Body).map(|p| &p.mass))
            .map(|m| m.value)
            .sum();
        let built = Structure::new(&rig, BuildOptions::default()).frame.mass();
        // Sums of some forty numbers.
        assert!((built - tubes - lumps).abs() < 1e-9 * built, "{name}: {built} kg, not {}", tubes + lumps);
    }
}

/// Under its own weight a platform is held up by what its legs give it at their tops.
#[test]
fn legs_hold_up_the_platform_and_not_themselves() {
    for name in ["estate-arm", "pickup-arm-mended"] {
        let mut rig = example(name);
        all_known(&mut rig);
        let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
        let responses = ctx.failures[0].responses.as_ref().unwrap();
        for (column, pull) in [DVec3::X, DVec3::Y, DVec3::Z].into_iter().enumerate() {
            let platform = &rig.platforms[0];
            let axes = [platform.along, platform.normal.cross(platform.along), platform.normal];
            let sum: DVec3 = ctx
                .layout
                .leg_top
                .iter()
                .flatten()
                .flat_map(|row| (0..3).map(move |k| (k, row + k)))
                .map(|(k, row)| axes[k] * responses.row(row)[column])
                .sum();
            let missed = (sum + pull * platform.mass.value).length();
            // The frame's own residual check is 1e-8 of the whole rig's load.
            assert!(missed < 1e-6 * platform.mass.value, "{name}, {column}: misses by {missed:.3e} N");
        }
    }
}
