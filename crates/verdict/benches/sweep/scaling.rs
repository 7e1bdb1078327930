//! How cost grows with the number of states and with the number of cups.

use crate::ladder::Ladder;
use crate::{common, measure};
use core::f64::consts::TAU;
use rig::Rig;
use verdict::check;
use verdict::context::Resolution;
use verdict::structure::BuildOptions;
use verdict::sweep::Way;
use verdict::{Context, sweep};

/// A run that would take longer than this is left out, s.
const PATIENCE_S: f64 = 75.0;

pub(crate) struct ByStates {
    pub(crate) states: f64,
    pub(crate) passing_over_s: f64,
    pub(crate) folded_s: Option<f64>,
    pub(crate) most_memory_mb: Option<f64>,
}

pub(crate) struct ByCups {
    pub(crate) cups: f64,
    pub(crate) states: f64,
    pub(crate) context_s: f64,
    pub(crate) passing_over_s: f64,
}

/// Steps of pan and elevation that make about so many poses, about as fine one way as the other.
fn steps(rig: &Rig, poses: f64) -> Resolution {
    let arm = rig.arm.as_ref().unwrap();
    let (pan, elevation) = (arm.pan.1 - arm.pan.0, arm.elevation.1 - arm.elevation.0);
    // Both ends of the elevation count.
    let up = (poses * elevation / pan).sqrt().round().max(2.0);
    let round = (poses / up).round().max(1.0);
    // One step less than places where both ends count, which is the case unless the arm turns all round.
    let all_round = (pan - TAU).abs() < 1e-9;
    let gaps = |n: f64, both_ends: bool| if both_ends { (n - 1.0).max(0.5) } else { n };
    Resolution { pan: pan / gaps(round, !all_round), elevation: elevation / gaps(up, true) }
}

/// The same rig, more and more poses, up to about so many states.
pub(crate) fn by_states(rig: &Rig, most: f64) -> Vec<ByStates> {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    let checks = check::swept(&ctx);
    let fine = Resolution::fine();
    let per_pose = sweep::count(&ctx, fine) as f64 / ctx.poses(fine).len() as f64;
    let mut out: Vec<ByStates> = Vec::new();
    for target in [1e4, 1e5, 1e6, 1e7, 1e8].into_iter().filter(|t| *t <= most) {
        let resolution = steps(rig, target / per_pose);
        let states = sweep::count(&ctx, resolution) as f64;
        let expected = |before: Option<f64>| before.is_none_or(|s| 10.0 * s < PATIENCE_S);
        let repeats = |s: Option<f64>| if s.is_none_or(|s| s < 0.5) { 5 } else { 1 };
        let last = out.last().map(|b| b.passing_over_s);
        if !expected(last) {
            break;
        }
        let run = || sweep::grid(&ctx, &checks, resolution, &|_| {});
        let passing_over_s = median(repeats(last), run);
        // Before all are reckoned, which needs more.
        let most_memory_mb = measure::most_memory_mb();
        let last = out.last().map(|b| b.folded_s);
        let folded_s = match last {
            Some(None) => None,
            Some(Some(s)) if !expected(Some(s)) => None,
            other => {
                let run = || sweep::grid_in_full(&ctx, &checks, resolution, Way::Folded);
                Some(median(repeats(other.flatten()), run))
            }
        };
        out.push(ByStates { states, passing_over_s, folded_s, most_memory_mb });
    }
    out
}

/// Longest ladder, mm: what tubes come in and a panel may be. Past it the rows stand closer.
const LONGEST: f64 = 6000.0;

/// A ladder that grows longer, two cups a row, on a roof as long as it needs; the platform stays in the middle.
fn ladder(cups: usize) -> Rig {
    let rows = cups / 2;
    let long = (450.0 * (rows as f64 - 1.0)).clamp(700.0, LONGEST);
    let ladder = Ladder {
        rows,
        long,
        wide: 430.0,
        lopsided: 0.0,
        rail: 180.0,
        ahead: 0.0,
        tall: 370.0,
        straps: 2,
        pretension: 450.0,
        payload: 6.0,
        bend: 0.35,
        steel: false,
    };
    let roof = format!("length = \"{} mm\"", long + 1500.0);
    common::read("ladder", &ladder.text().replace("length = \"2.4 m\"", &roof))
}

/// More and more cups up to so many; each can be lost, so there are more states too.
pub(crate) fn by_cups(most: usize) -> Vec<ByCups> {
    [4, 8, 16, 32, 64]
        .into_iter()
        .filter(|cups| *cups <= most)
        .map(|cups| {
            let rig = ladder(cups);
            assert_eq!(rig.cups.len(), cups);
            let repeats = if cups > 16 { 1 } else { 5 };
            let build = || Context::new(&rig, BuildOptions::default()).unwrap();
            let context_s = median(repeats, || build().failures.len());
            let ctx = build();
            assert!(ctx.failures.iter().all(|f| f.responses.is_ok()));
            let checks = check::swept(&ctx);
            let wide = Resolution::wide();
            let passing_over_s = median(repeats, || sweep::grid(&ctx, &checks, wide, &|_| {}));
            let states = sweep::count(&ctx, wide) as f64;
            ByCups { cups: cups as f64, states, context_s, passing_over_s }
        })
        .collect()
}

/// A single run stands for itself where it takes long enough.
fn median<T>(repeats: usize, mut run: impl FnMut() -> T) -> f64 {
    if repeats == 1 { measure::once(run) } else { measure::time(repeats, &mut run).median }
}
