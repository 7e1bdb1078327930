//! A limit is one: a plan that asks for it holds, a plan that asks for a little more does not.
#![allow(clippy::unwrap_used, reason = "a test program: a fault stops the test")]

#[path = "common/always.rs"]
mod always;
mod common;
#[path = "common/ladder.rs"]
mod ladder;

use always::always;
use common::{all_known, example};
use ladder::ladders;
use proptest::prelude::*;
use quantity::Kind;
use rig::Rig;
use rig::fact::Fact;
use rig::model::{ArmUse, Manoeuvre, Vertical};
use verdict::check::swept;
use verdict::context::Resolution;
use verdict::limits::{Ask, CAP, Envelope, Options, Place, Stretch, envelope, largest};
use verdict::structure::BuildOptions;
use verdict::{Context, sweep};

const G: f64 = 9.806_65;

/// A plan with just this manoeuvre to both sides, the boom kept within a sector and a band.
fn plan(rig: &Rig, e: &Envelope, place: Place, speed: f64, ask: Ask, acceleration: f64) -> Rig {
    let mut out = rig.clone();
    let fact = |v: f64| Fact::stated(v, Kind::Acceleration, "asked");
    let gust = rig.manoeuvres.iter().any(|m| m.gust);
    let arm = if e.moving { ArmUse::Live } else { ArmUse::Still };
    let (forward, left) = match ask {
        Ask::Side => (0.0, acceleration),
        Ask::Brake => (-acceleration, 0.0),
        Ask::Both => (-acceleration, acceleration),
    };
    out.manoeuvres = [left, -left]
        .iter()
        .map(|left| Manoeuvre {
            tag: "asked".to_owned(),
            forward: fact(forward),
            left: fact(*left),
            vertical: Vertical::Road,
            speed: Fact::stated(speed, Kind::Speed, "asked"),
            yaw_rate: None,
            grade: 0.0,
            bank: 0.0,
            gust,
            arm,
        })
        .collect();
    if let (Place::Boom { sector, band }, Some(arm)) = (place, &mut out.arm) {
        arm.pan = (e.sectors[sector].from, e.sectors[sector].to);
        arm.elevation = (e.bands[band].from, e.bands[band].to);
    }
    out
}

fn holds(rig: &Rig) -> bool {
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    sweep::holds(&ctx, &swept(&ctx), Resolution::fine())
}

fn few(speed: f64) -> Options<'static> {
    Options { speeds: vec![speed], sectors: 4, ..Options::default() }
}

#[test]
fn a_plan_at_the_limit_holds_and_one_over_it_does_not() {
    // Everything known, so that the plan's own values are the only ones that count.
    always(3, &(ladders(), 8.0..22.0_f64), |(ladder, speed)| {
        let mut rig = ladder.rig();
        all_known(&mut rig);
        let e = envelope(&rig, &few(speed)).unwrap();
        prop_assert_eq!(e.cells.len(), e.sectors.len() * e.bands.len() * e.surfaces.len());
        let own = rig.panels[0].wet;
        let mut inside = 0;
        for (k, cell) in e.cells.iter().filter(|c| c.wet == own).enumerate() {
            // Every third cell: all of them take long.
            let limit = &cell.limits[k % 3];
            let Some(a) = limit.acceleration else {
                prop_assert!(!holds(&plan(&rig, &e, cell.place, speed, limit.ask, 0.001)));
                continue;
            };
            prop_assert!(holds(&plan(&rig, &e, cell.place, speed, limit.ask, a)), "{limit:?}");
            if a < CAP - 1e-9 {
                inside += 1;
                let over = plan(&rig, &e, cell.place, speed, limit.ask, a + 0.02 * G);
                prop_assert!(!holds(&over), "{limit:?}");
                prop_assert!(limit.by.is_some());
            }
        }
        prop_assert!(inside > 0 || e.cells.iter().all(|c| c.limits[0].acceleration.is_none()));
        Ok(())
    });
}

#[test]
fn a_limit_mirrors_with_the_rig_and_wet_is_never_more() {
    let rig = example("estate-arm");
    let e = envelope(&rig, &few(14.0)).unwrap();
    let side = |sector: usize, wet: bool, ask: usize| {
        let at = |c: &&verdict::limits::Cell| {
            c.wet == wet && matches!(c.place, Place::Boom { sector: s, band: 1 } if s == sector)
        };
        e.cells.iter().find(at).unwrap().limits[ask].acceleration.unwrap_or(0.0)
    };
    // Sectors: ahead, left, behind, right. The estate's rig is the same on both sides.
    for ask in 0..3 {
        assert!((side(1, true, ask) - side(3, true, ask)).abs() < 0.011 * G);
        for sector in 0..4 {
            assert!(side(sector, true, ask) <= side(sector, false, ask) + 1e-9);
        }
    }
    assert!(side(0, true, 2) <= side(0, true, 0), "both at once is never more than one alone");
}

#[test]
fn the_plan_is_stretched_to_where_the_verdict_turns() {
    let mut rig = example("bonnet-camera");
    all_known(&mut rig);
    let options = verdict::verdict::Options::default();
    let gust = largest(&rig, &options, Stretch::Gust).unwrap().unwrap();
    let value = gust.value.unwrap();
    assert!(value > gust.planned && value < gust.cap);
    let answer = |v: f64| verdict::verdict::check(&Stretch::Gust.with(&rig, v), &options).unwrap().answer;
    assert_eq!(answer(value), verdict::Answer::Go);
    // It is found to a hundredth.
    assert_eq!(answer(value * 1.02), verdict::Answer::NoGo);
    assert_eq!(largest(&rig, &options, Stretch::PanRate).unwrap(), None, "there is no arm");
}
