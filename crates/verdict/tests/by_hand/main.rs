//! The governing cup of each example by a second way, beside the frame's own answer (`docs/mechanics/12-by-hand.md`).
//!
//! Plates: a sum on paper that takes all over the cups as one rigid body (`paper.rs`). Ladders of tubes: least work, with
//! forces as unknowns (`ladder.rs`, `least_work.rs`), which shares no formula with the frame. Both put gravity, the car's
//! acceleration, wind and straps on from the rig's facts; the arm's action on its platform is the engine's.
//!
//! `WRITE_DOCS=1 cargo test -p verdict --test by_hand` writes the page's numbers anew.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_precision_loss,
    reason = "a test program: a fault stops the test"
)]

#[path = "../common/mod.rs"]
mod common;
mod ladder;
mod least_work;
mod page;
mod paper;

use common::{all_known, example};
use core::f64::consts::PI;
use glam::DVec3;
use ladder::{Worked, worked};
use paper::{Paper, paper};
use rig::Rig;
use rig::policy::CheckId;
use verdict::check::{cups, swept};
use verdict::context::Resolution;
use verdict::structure::BuildOptions;
use verdict::{Context, sweep};

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

/// One governing cup: on paper, by least work where the rig is a ladder, and by the frame.
struct Line {
    id: CheckId,
    cup: usize,
    words: String,
    paper: Paper,
    worked: Option<Worked>,
    frame: Vec<[f64; 6]>,
    by_paper: (f64, f64),
    by_work: Option<(f64, f64)>,
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

    /// Farthest that a cup's force (or moment) by least work is from the frame's, over the largest of all cups.
    fn farthest(&self) -> f64 {
        let worked = self.worked.as_ref().unwrap();
        let largest = |part: core::ops::Range<usize>| {
            let off = worked.cups.iter().zip(&self.frame).flat_map(|(w, f)| {
                part.clone().map(|k| ((w[k] - f[k]).abs(), f[k].abs())).collect::<Vec<_>>()
            });
            let (off, most) = off.fold((0.0_f64, 0.0_f64), |a, b| (a.0.max(b.0), a.1.max(b.1)));
            off / most
        };
        largest(0..3).max(largest(3..6))
    }
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
                .max_by(|a, b| a.1.utilisation.total_cmp(&b.1.utilisation))
                .unwrap();
            let frame: Vec<_> = items.iter().map(|i| sweep::numbers(&ctx, i.source, &worst.state)).collect();
            let paper = paper(&ctx, &worst.state, cup);
            let worked = (!rig.tubes.is_empty()).then(|| worked(&ctx, &worst.state));
            let factors = rig.policy.factors(id);
            out.push(Line {
                id,
                cup,
                words: worst.state.words(&ctx),
                by_paper: demand_capacity(&ctx, id, paper.on_cup, cup),
                by_work: worked.as_ref().map(|w| demand_capacity(&ctx, id, OnCup::of(&w.cups[cup]), cup)),
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

const LADDERS: [&str; 3] = ["estate-arm", "pickup-arm", "pickup-arm-mended"];

/// Both ways solve the same beams exactly; what is left is rounding of two solves whose entries differ by up to 1e9.
const SAME: f64 = 1e-6;

#[test]
fn least_work_on_a_ladder_is_the_frames_answer() {
    for name in LADDERS {
        for line in lines(&known(name)) {
            let governing = (ratio(line.by_work.unwrap(), line.by_frame) - 1.0).abs();
            let all = line.farthest();
            assert!(
                governing < SAME && all < SAME,
                "{name} {:?} {}: off by {governing:e}, of all cups {all:e}; straps {:?}",
                line.id,
                line.words,
                line.worked.unwrap().straps
            );
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
