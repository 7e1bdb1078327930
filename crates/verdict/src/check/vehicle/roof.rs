//! Mass that the roof carries against the maker's rating.

use super::masses::strap_mass;
use crate::check::once::{intact, mass, need, pose_words, poses_used};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::responses::{ARM_COLUMN, Responses};
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::Pose;
use mechanics::wrench::Wrench;
use quantity::Kind;
use rig::policy::CheckId;

/// Static share of the rig on roof panels, in the pose that puts most there.
pub(in crate::check) fn roof_load(ctx: &Context<'_>) -> Vec<Finding> {
    let rig = ctx.rig;
    let on_roof: Vec<usize> = (0..rig.cups.len())
        .filter(|c| rig.panels.get(rig.cups[*c].panel).is_some_and(|p| p.is_roof))
        .collect();
    if on_roof.is_empty() {
        return vec![Finding::note(CheckId::RoofLoad, PartRef::Vehicle, "no cup stands on the roof")];
    }
    let Some(rating) = &rig.vehicle.roof_rating else {
        let need = need(
            "roof rating of the car",
            "vehicle.roof_rating",
            "read the owner's manual: the value for driving, with the carrier counted in",
        );
        return vec![Finding::not_checked(CheckId::RoofLoad, PartRef::Vehicle, need)];
    };
    let straps = strap_mass(rig);
    let whole = ctx.structure.frame.mass() + ctx.arm.as_ref().map_or(0.0, |a| a.chain.mass_kg());
    let (share, pose, pressed) = match ctx.failures.first().map(|f| &f.responses) {
        Some(Ok(r)) => {
            let (share, pose) = worst_share(ctx, r, &on_roof);
            let mut u = vec![0.0; r.columns];
            for (strand, s) in ctx.structure.frame.strands.iter().enumerate() {
                u[ctx.columns.strand(strand)] = s.pretension_n;
            }
            (share, Some(pose), carried(ctx, r, &on_roof, &u))
        }
        // No answer on how it is shared: count all of it.
        _ => (whole, None, 0.0),
    };
    let demand = share + straps;
    let at = match pose {
        Some(pose) if ctx.arm.is_some() => format!("at rest, {}; ", pose_words(pose)),
        Some(_) => "at rest; ".to_owned(),
        None => "the whole rig counted; ".to_owned(),
    };
    let note = if pressed > 0.5 {
        format!("{at}straps press the roof with the weight of another {}, not counted as load", mass(pressed))
    } else {
        format!("{at}straps add nothing")
    };
    let hand = HandCheck {
        formula: "demand = sum of F_up of the cups on the roof / g + straps;  capacity = the maker's rating",
        source: "frame analysis under 1 g; the owner's manual; mechanics.md §4.8",
        steps: vec![
            Step::new("whole", "mass of rig and arm without straps", whole, Kind::Mass),
            Step::new("cups", "share of it on cups of roof panels", share, Kind::Mass),
            Step::new("straps", "straps and tethers, all counted", straps, Kind::Mass),
            Step::new("demand", "cups + straps", demand, Kind::Mass),
            Step::new("capacity", "roof rating for driving", rating.value, Kind::Mass),
            Step::new("pressed", "mass whose weight strap pretension presses down with", pressed, Kind::Mass),
        ],
    };
    vec![
        intact(ctx, (CheckId::RoofLoad, PartRef::Vehicle), Kind::Mass, demand, rating.value).when(note).hand(hand),
    ]
}

/// Upward force of the panels on some cups under one action, as a mass under standard gravity, kg.
fn carried(ctx: &Context<'_>, r: &Responses, cups: &[usize], u: &[f64]) -> f64 {
    let dot = |row: usize| r.row(row).iter().zip(u).map(|(a, b)| a * b).sum::<f64>();
    let up = cups.iter().map(|c| {
        let (cup, row) = (&ctx.rig.cups[*c], ctx.layout.cup[*c]);
        let axes = [cup.along, cup.normal.cross(cup.along), cup.normal];
        axes.iter().enumerate().map(|(k, axis)| axis.z * dot(row + k)).sum::<f64>()
    });
    up.sum::<f64>() / STANDARD_GRAVITY
}

/// The greatest static share over the poses that are used, and the pose.
fn worst_share(ctx: &Context<'_>, r: &Responses, cups: &[usize]) -> (f64, Pose) {
    let mut worst = (f64::NEG_INFINITY, ctx.parked());
    for pose in poses_used(ctx) {
        let mut u = vec![0.0; r.columns];
        u[2] = -STANDARD_GRAVITY;
        if let Some(arm) = &ctx.arm {
            let weight = DVec3::NEG_Z * (STANDARD_GRAVITY * arm.chain.mass_kg());
            let at = arm.chain.mass_centre_m(pose).unwrap_or(DVec3::NAN);
            u[ARM_COLUMN..ARM_COLUMN + 6].copy_from_slice(&Wrench::of_force_at(weight, at).to_array());
        }
        let share = carried(ctx, r, cups, &u);
        if share > worst.0 || share.is_nan() {
            worst = (share, pose);
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, rig};

    #[test]
    fn a_rig_on_the_roof_alone_puts_all_its_mass_there() {
        let mut rig = rig();
        rig.straps[0].stretch.value = 1e9; // So soft that it carries nothing.
        let ctx = context(&rig);
        let found = roof_load(&ctx);
        let whole = ctx.structure.frame.mass() + 63.533_333_333;
        // Equilibrium: cups carry all of it, and 1 kg of strap; solver residual under 1e-8.
        assert!((found[0].demand - whole - 1.0).abs() < 1e-5, "{} {whole}", found[0].demand);
        assert_eq!(found[0].outcome, Outcome::Holds);
        // The strap pulls down with 2 x 400 N cos of its slant: 0.10 out, 0.23 down.
        let slant = 0.23 / 0.1_f64.hypot(0.23);
        assert!((found[0].hand.steps[5].value - 800.0 * slant / STANDARD_GRAVITY).abs() < 1e-3);
    }

    #[test]
    fn cups_on_another_panel_take_their_share_off_the_roof() {
        let mut rig = rig();
        let mut bonnet = rig.panels[0].clone();
        bonnet.is_roof = false;
        rig.panels.push(bonnet);
        (rig.cups[0].panel, rig.cups[1].panel) = (1, 1);
        rig.straps.clear();
        rig.arm = None;
        let ctx = context(&rig);
        // The rig is the same fore and aft of its middle: half each.
        let half = ctx.structure.frame.mass() / 2.0;
        assert!((roof_load(&ctx)[0].demand - half).abs() < 1e-5);
    }

    #[test]
    fn an_unknown_rating_is_never_a_pass() {
        let mut rig = rig();
        rig.vehicle.roof_rating = None;
        assert!(matches!(roof_load(&context(&rig))[0].outcome, Outcome::NotChecked(_)));
        rig.panels[0].is_roof = false;
        assert_eq!(roof_load(&context(&rig))[0].outcome, Outcome::Note);
    }
}
