//! Mass that the roof carries against the maker's rating.

use super::masses::strap_mass;
use crate::check::once::{intact, mass, need, pose_words, poses_used};
use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::responses::mast_node;
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::Pose;
use mechanics::frame::{Load, Lost};
use mechanics::wrench::Wrench;
use quantity::Kind;
use rig::model::Cup;
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
    // No answer on how it is shared: count all of it.
    let (share, pose, pressed) = worst_share(ctx, &on_roof)
        .map_or((whole, None, 0.0), |(share, pose, pressed)| (share, Some(pose), pressed));
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
        source: "frame analysis under 1 g, straps left out; the owner's manual; mechanics.md §4.8",
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
        intact(ctx, (CheckId::RoofLoad, PartRef::Vehicle), Kind::Mass, demand, rating.value)
            .when(note)
            .hand(hand),
    ]
}

/// Upward part of a cup's six forces (along, across and out of its panel), N.
fn upward(cup: &Cup, force: [f64; 3]) -> f64 {
    let axes = [cup.along, cup.normal.cross(cup.along), cup.normal];
    axes.iter().zip(force).map(|(axis, f)| axis.z * f).sum()
}

/// The greatest static share over the poses that are used, the pose, and the mass whose weight the straps press down with
/// at their stated tension, all in kg; `None` without an answer.
///
/// Straps are left out: one that slackens as the rig settles would otherwise seem to carry some of its mass.
fn worst_share(ctx: &Context<'_>, cups: &[usize]) -> Option<(f64, Pose, f64)> {
    let s = &ctx.structure;
    let straps: Vec<Lost> = (0..s.frame.strands.len()).map(Lost::Strand).collect();
    let factored = s.frame.factor(&straps).ok()?;
    let mut loads = vec![Load { specific_force: DVec3::Z, ..Load::default() }];
    for d in 0..6 {
        let mut w = [0.0; 6];
        w[d] = 1.0;
        let nodal = mast_node(ctx.rig, s).map(|n| (n, Wrench::from_array(w))).into_iter().collect();
        loads.push(Load { nodal, ..Load::default() });
    }
    // Straps at the tension that they are fitted with, as forces at their points.
    let mut pull = Load::default();
    for strand in &s.frame.strands {
        for (p, g) in strand.path.iter().zip(strand.gradient()) {
            if let Some(node) = p.node {
                let arm = p.at - s.frame.nodes[node];
                pull.nodal.push((node, Wrench::of_force_at(-g * strand.pretension_n, arm)));
            }
        }
    }
    loads.push(pull);
    let solution = factored.solve(&loads).ok()?;
    let up: Vec<f64> = (0..loads.len())
        .map(|case| {
            let one = |c: &usize| {
                let f = solution.support(case, *c);
                upward(&ctx.rig.cups[*c], [f[0], f[1], f[2]])
            };
            cups.iter().map(one).sum()
        })
        .collect();
    let mut worst: Option<(f64, Pose)> = None;
    for pose in poses_used(ctx) {
        let mut force = -STANDARD_GRAVITY * up[0];
        if let Some(arm) = &ctx.arm {
            let weight = DVec3::NEG_Z * (STANDARD_GRAVITY * arm.chain.mass_kg());
            let at = arm.chain.mass_centre_m(pose).ok()?;
            let wrench = Wrench::of_force_at(weight, at).to_array();
            force += wrench.iter().zip(&up[1..7]).map(|(w, u)| w * u).sum::<f64>();
        }
        let share = force / STANDARD_GRAVITY;
        if worst.is_none_or(|(w, _)| share > w) {
            worst = Some((share, pose));
        }
    }
    worst.map(|(share, pose)| (share, pose, up[7] / STANDARD_GRAVITY))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Outcome;
    use crate::testing::{context, rig};

    #[test]
    fn a_rig_on_the_roof_alone_puts_all_its_mass_there() {
        // A strap that slackens as the rig settles carries none of its mass.
        let rig = rig();
        let ctx = context(&rig);
        let found = roof_load(&ctx);
        let whole = ctx.structure.frame.mass() + 63.533_333_333;
        // Equilibrium: cups carry all of it, and 1 kg of strap; solver residual under 1e-8.
        assert!((found[0].demand - whole - 1.0).abs() < 1e-5, "{} {whole}", found[0].demand);
        assert_eq!(found[0].outcome, Outcome::Holds);
        // The strap pulls down with 2 x 400 N cos of its slant: 0.10 out, 0.23 down.
        let slant = 0.23 / 0.1_f64.hypot(0.23);
        let pulled = 800.0 * slant / STANDARD_GRAVITY;
        let pressed = found[0].hand.steps[5].value;
        assert!((pressed - pulled).abs() < 1e-5, "{pressed} {pulled}");
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
