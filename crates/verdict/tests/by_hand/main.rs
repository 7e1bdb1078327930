//! The governing cup of each example by a second way, beside the frame's own answer (`docs/mechanics/12-by-hand.md`).
//!
//! Least work, with forces as unknowns, shares no step with the frame (`bodies.rs`, `least_work.rs`). A sum on paper takes all
//! over the cups as one rigid body (`paper.rs`): right for plates, a rule of thumb for ladders of tubes. Both put gravity,
//! the car's acceleration, wind and straps on from the rig's facts; the arm's action on its platform is the engine's.
//!
//! `WRITE_DOCS=1 cargo test -p verdict --test by_hand` writes the page's numbers anew.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_precision_loss,
    reason = "a test program: a fault stops the test"
)]

mod bodies;
#[path = "../common/mod.rs"]
mod common;
mod least_work;
mod page;
mod paper;

use bodies::{Worked, worked};
use common::{EXAMPLES, all_known, example};
use core::f64::consts::PI;
use glam::DVec3;
use mechanics::arm::Pose;
use paper::{Paper, paper};
use rig::Rig;
use rig::policy::CheckId;
use verdict::check::{cups, swept};
use verdict::context::Resolution;
use verdict::structure::BuildOptions;
use verdict::{Context, PartRef, StateId, sweep};

/// What one cup has to take.
#[derive(Clone, Copy)]
struct OnCup {
    pull: f64,
    rock: f64,
    shear: f64,
    turn: f64,
}

impl OnCup {
    /// From force and moment on the rig along, across and out of the panel.
    fn of(f: &[f64; 6]) -> Self {
        Self { pull: -f[2], rock: f[3].hypot(f[4]), shear: f[0].hypot(f[1]), turn: f[5].abs() }
    }
}

/// Demand and capacity of seal and slip by the closed forms of §5.
fn demand_capacity(ctx: &Context<'_>, id: CheckId, p: OnCup, cup: usize) -> (f64, f64) {
    let part = &ctx.rig.cups[cup];
    let f = cups::facts(ctx, cup).unwrap();
    let n0 = f.vacuum * PI * part.seal_radius * part.seal_radius;
    let (ro, ri) = (part.outer_radius, part.seal_radius);
    let press = (-p.pull).max(0.0);
    if id == CheckId::CupSeal {
        let core = (ro * ro + ri * ri) / (4.0 * ro);
        (p.pull.max(0.0) + p.rock / core, n0 + press)
    } else {
        let mu = ctx.rig.panels[part.panel].friction.value;
        let sideways = p.shear.hypot(p.turn / f.torsion_radius);
        (sideways / (mu * mechanics::cup::slip::RING_SHARE) + p.pull.max(0.0), n0 + press)
    }
}

/// One governing cup: on paper, by least work and by the frame.
struct Line {
    id: CheckId,
    cup: usize,
    words: String,
    paper: Paper,
    worked: Worked,
    frame: Vec<[f64; 6]>,
    by_paper: (f64, f64),
    by_work: (f64, f64),
    by_frame: (f64, f64),
    factor: f64,
}

/// Utilisation by one way over that by another.
fn ratio(one: (f64, f64), other: (f64, f64)) -> f64 {
    (one.0 / one.1) / (other.0 / other.1)
}

impl Line {
    /// Utilisation on paper over the frame's.
    fn paper_ratio(&self) -> f64 {
        ratio(self.by_paper, self.by_frame)
    }
}

/// Farthest that any cup's force (or moment) by least work is from the frame's, over the largest of all cups.
fn farthest(work: &[[f64; 6]], frame: &[[f64; 6]]) -> f64 {
    let share = |part: core::ops::Range<usize>| {
        let pairs = || work.iter().zip(frame).flat_map(|(w, f)| part.clone().map(|k| (w[k], f[k])));
        let off = pairs().map(|(w, f)| (w - f).abs()).fold(0.0, f64::max);
        off / pairs().map(|(_, f)| f.abs()).fold(0.0, f64::max)
    };
    share(0..3).max(share(3..6))
}

/// Worst cup for seal and slip, with nothing lost and with one part lost.
fn lines(rig: &Rig) -> Vec<Line> {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    let checks = swept(&ctx);
    let step = Resolution { pan: 30.0_f64.to_radians(), elevation: 15.0_f64.to_radians() };
    let found = sweep::sweep(&ctx, &checks, step, &|_| {});
    let mut out = Vec::new();
    for id in [CheckId::CupSeal, CheckId::CupSlip] {
        let k = checks.iter().position(|c| c.id() == id).unwrap();
        let items = checks[k].items();
        for lost in [false, true] {
            let worst = |p: &sweep::Pair| if lost { p.lost } else { p.intact };
            let (cup, worst) = found.pairs[k]
                .iter()
                .enumerate()
                .filter_map(|(c, p)| Some((c, worst(p)?)))
                // Of cups that mirror each other the first, however the last bits are rounded.
                .reduce(|a, b| if b.1.utilisation > a.1.utilisation * (1.0 + 1e-9) { b } else { a })
                .unwrap();
            let frame: Vec<_> = items.iter().map(|i| sweep::numbers(&ctx, i.source, &worst.state)).collect();
            let paper = paper(&ctx, &worst.state, cup);
            let worked = worked(&ctx, &worst.state);
            let factors = rig.policy.factors(id);
            out.push(Line {
                id,
                cup,
                words: worst.state.words(&ctx),
                by_paper: demand_capacity(&ctx, id, paper.on_cup, cup),
                by_work: demand_capacity(&ctx, id, OnCup::of(&worked.cups[cup]), cup),
                by_frame: checks[k].demand_capacity(&items[cup], &frame[cup]),
                paper,
                worked,
                frame,
                factor: if lost { factors.lost } else { factors.intact },
            });
        }
    }
    out
}

fn known(name: &str) -> Rig {
    let mut rig = example(name);
    all_known(&mut rig);
    rig
}

/// The rig with its cups' panel pressed flat: all seals in one plane, all axes side by side.
fn flat(mut rig: Rig) -> Rig {
    let panel = rig.panels[0].clone();
    for cup in &mut rig.cups {
        cup.at = panel.centre + panel.ea * cup.place.0 + panel.eb * cup.place.1;
        cup.normal = panel.normal;
        cup.along = (DVec3::X - panel.normal * DVec3::X.dot(panel.normal)).normalize();
    }
    rig
}

#[test]
fn on_a_plate_the_sum_on_paper_is_the_frames_answer() {
    for name in ["bonnet-camera", "door-camera"] {
        for line in lines(&known(name)) {
            // The panel is crowned: cups lean apart by up to some 4 degrees, which the sum leaves out.
            let off = (line.paper_ratio() - 1.0).abs();
            assert!(
                off < 0.08,
                "{name} {:?} {}: paper {:?}, frame {:?}",
                line.id,
                line.words,
                line.by_paper,
                line.by_frame
            );
        }
    }
}

#[test]
fn on_a_flat_panel_the_two_agree_to_rounding() {
    for name in ["bonnet-camera", "door-camera"] {
        for line in lines(&flat(known(name))) {
            let off = (line.paper_ratio() - 1.0).abs();
            assert!(off < 1e-9, "{name} {:?} {}: off by {off:e}", line.id, line.words);
        }
    }
}

/// Both ways solve the same beams exactly: rounding leaves 2e-12 in these states. The frame settles slack straps in sweeps
/// that stop at 1e-8 N, on forces of some hundred newtons.
const SAME: f64 = 1e-8;

#[test]
fn least_work_is_the_frames_answer() {
    for (name, _) in EXAMPLES {
        for line in lines(&known(name)) {
            let governing = (ratio(line.by_work, line.by_frame) - 1.0).abs();
            let all = farthest(&line.worked.cups, &line.frame);
            assert!(
                governing < SAME && all < SAME,
                "{name} {:?} {}: off by {governing:e}, of all cups {all:e}; straps {:?}",
                line.id,
                line.words,
                line.worked.straps
            );
            // On a ladder the sum on paper is a rule of thumb; it must still be of the right size.
            let paper = line.paper_ratio();
            assert!((0.4..2.0).contains(&paper), "{name} {:?} {}: {paper:.3}", line.id, line.words);
        }
    }
}

/// The windiest instant, with nothing lost and with each part lost in turn, boom across: every cup and strap.
#[test]
fn least_work_follows_the_frame_in_the_wind_whatever_is_lost() {
    for (name, _) in EXAMPLES {
        let rig = known(name);
        let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
        let (winds, drives) = (&ctx.actions.winds, &ctx.actions.drives);
        let gale = |d: &usize| winds[drives[*d].wind].length() + winds[drives[*d].wind].y.abs();
        let drive = (0..drives.len()).max_by(|a, b| gale(a).total_cmp(&gale(b))).unwrap();
        assert!(gale(&drive) > 8.0, "{name}: there is wind");
        let pose = Pose { pan_rad: 1.2, elevation_rad: 0.3 };
        for failure in 0..ctx.failures.len() {
            let state = StateId { failure, drive, motion: 0, pose };
            let (u, _) = ctx.action_of(&state);
            let r = ctx.failures[failure].responses.as_ref().unwrap().respond(&u);
            let frame: Vec<_> =
                ctx.layout.cup.iter().map(|row| core::array::from_fn(|k| r[row + k])).collect();
            let worked = worked(&ctx, &state);
            let off = farthest(&worked.cups, &frame);
            assert!(off < SAME, "{name} {}: of all cups {off:e}", state.words(&ctx));
            let lost = ctx.failures[failure].lost;
            for (i, row) in ctx.layout.strap.iter().enumerate().filter(|s| lost != Some(PartRef::Strap(s.0)))
            {
                let (by_work, by_frame) = (worked.straps[i], row.map_or(0.0, |row| r[row]));
                // Of the largest tension that was fitted.
                let off = (by_work - by_frame).abs() / 600.0;
                assert!(off < SAME, "{name} {}: strap {by_work} and {by_frame} N", state.words(&ctx));
            }
        }
    }
}

/// What tubes a thousand times as stiff still bend.
const STIFF: f64 = 0.02;

/// Tubes so stiff that the ladder is the rigid body of the sum, straps so long that their tension stays as read.
#[test]
fn a_ladder_of_stiff_tubes_comes_to_the_sum_on_paper() {
    for name in ["estate-arm", "pickup-arm-mended"] {
        let mut rig = flat(known(name));
        let stiffer = |s: &mut rig::model::Section| {
            s.material.e_pa *= 1e3;
            s.material.g_pa *= 1e3;
        };
        rig.tubes.iter_mut().for_each(|t| stiffer(&mut t.section));
        rig.legs.iter_mut().filter_map(|l| l.section.as_mut()).for_each(stiffer);
        rig.straps.iter_mut().for_each(|s| s.stretch.value = 1e6);
        for line in lines(&rig) {
            let off = (line.paper_ratio() - 1.0).abs();
            assert!(off < STIFF, "{name} {:?} {}: off by {off:.3}", line.id, line.words);
        }
    }
}
