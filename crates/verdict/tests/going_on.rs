//! A context that goes on from another has the forces it would have by itself.
#![allow(clippy::unwrap_used, reason = "a test program: a fault stops the test")]

mod common;

use common::{EXAMPLES, example};
use mechanics::arm::Pose;
use verdict::structure::BuildOptions;
use verdict::vary::{self, End};
use verdict::{Context, StateId};

/// Some states of every drive and failure, the boom pointing all ways.
fn states(ctx: &Context<'_>) -> Vec<StateId> {
    let drives = 0..ctx.actions.drives.len();
    let all = drives.flat_map(|drive| (0..ctx.failures.len()).map(move |failure| (drive, failure)));
    all.enumerate()
        .filter(|(_, (_, failure))| ctx.failures[*failure].responses.is_ok())
        .map(|(k, (drive, failure))| {
            let turn = f64::from(u32::try_from(k).unwrap());
            let pose = Pose { pan_rad: turn * 0.7, elevation_rad: 0.3 * (turn * 0.3).sin() };
            let pose = if ctx.arm.is_some() { pose } else { ctx.parked() };
            StateId { failure, drive, motion: k % ctx.motions(drive), pose }
        })
        .collect()
}

#[test]
fn going_on_from_another_rig_changes_no_force() {
    let (mut shared, mut solved, mut forces) = (0, 0, 0);
    for (name, _) in EXAMPLES {
        let rig = example(name);
        let before = Context::new(&rig, BuildOptions::default()).unwrap();
        let known = before.solved();
        for group in &vary::groups(&rig) {
            for end in [End::Low, End::High] {
                let varied = vary::with(&rig, &[(group, end)]);
                let alone = Context::new(&varied, BuildOptions::default()).unwrap();
                let after = Context::after(Some(&known), &varied, BuildOptions::default()).unwrap();
                let what = format!("{name}: {} {end:?}", group.name);
                if std::sync::Arc::ptr_eq(&after.failures, &before.failures) {
                    shared += 1;
                } else {
                    solved += 1;
                }
                assert_eq!(alone.failures.len(), after.failures.len(), "{what}");
                for (a, b) in alone.failures.iter().zip(&*after.failures) {
                    assert_eq!(a.lost, b.lost, "{what}");
                    assert_eq!(a.responses.as_ref().ok(), b.responses.as_ref().ok(), "{what}");
                }
                assert_eq!(alone.taken_up, after.taken_up, "{what}");
                if known.same_forces(&after) {
                    forces += 1;
                    for state in states(&before) {
                        let (of_before, of_alone) = (before.action_of(&state), alone.action_of(&state));
                        assert_eq!(of_before.0, of_alone.0, "{what}");
                        let alike =
                            |a: &[f64; 6], b: &[f64; 6]| a.iter().zip(b).all(|(a, b)| a.total_cmp(b).is_eq());
                        assert!(alike(&of_before.1.wrench, &of_alone.1.wrench), "{what}");
                    }
                }
            }
        }
    }
    // All three ways have been seen.
    assert!(
        shared > forces && forces > 20 && solved > 20,
        "{shared} shared, {solved} solved, {forces} with all forces"
    );
}
