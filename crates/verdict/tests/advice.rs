//! Every change that advice tries gives a rig that the reader would take and that can be computed.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]

mod common;
#[path = "common/ladder.rs"]
mod ladder;

use common::{EXAMPLES, example};
use ladder::ladders;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use quantity::Kind;
use rig::Rig;
use rig::model::Hold;
use rig::policy::CheckId;
use verdict::advise::changes;
use verdict::structure::BuildOptions;
use verdict::verdict::Options;
use verdict::{Context, Finding, PartRef};

/// Places that the reader checks, checked again on the model: a millimetre of slack on what it allows.
fn readable(rig: &Rig, what: &str) -> Result<(), TestCaseError> {
    for cup in &rig.cups {
        let panel = &rig.panels[cup.panel];
        let on = cup.place.0.abs() <= 0.5 * panel.size.0 && cup.place.1.abs() <= 0.5 * panel.size.1;
        prop_assert!(on, "{what}: cup {} is off its panel", cup.tag);
        prop_assert!(cup.at.distance(panel.point(cup.place.0, cup.place.1)) < 1e-9, "{what}: {}", cup.tag);
        let (low, high) = cup.height_range;
        prop_assert!((low - 1e-3..=high + 1e-3).contains(&cup.height), "{what}: {} {}", cup.tag, cup.height);
        if let Hold::Tube { tube, s } = cup.holds {
            prop_assert!(rig.tubes[tube].point(s).distance(cup.head) < 0.041, "{what}: {}", cup.tag);
        }
    }
    for c in &rig.clamps {
        let ((i, s), (j, t)) = (c.first, c.second);
        let (one, other) = (&rig.tubes[i], &rig.tubes[j]);
        let gap = one.point(s).distance(other.point(t));
        let spacing = 0.5 * (one.section.outer + other.section.outer);
        prop_assert!((gap - spacing).abs() < 6e-3, "{what}: clamp {} {gap} {spacing}", c.tag);
        prop_assert!(
            s.min(one.length() - s) > 0.024 && t.min(other.length() - t) > 0.024,
            "{what}: {}",
            c.tag
        );
    }
    for l in &rig.legs {
        let p = &rig.platforms[l.platform];
        let d = l.top - p.at;
        let across = p.normal.cross(p.along);
        let inside =
            d.dot(p.along).abs() <= 0.5 * p.size.x + 1e-3 && d.dot(across).abs() <= 0.5 * p.size.y + 1e-3;
        prop_assert!(inside, "{what}: leg {} is off its platform", l.tag);
        let rise = (l.top - rig.tubes[l.foot.0].point(l.foot.1)).dot(p.normal);
        prop_assert!(rise > 0.0, "{what}: leg {} has no length", l.tag);
    }
    let tags: std::collections::BTreeSet<&str> = rig.cups.iter().map(|c| c.tag.as_str()).collect();
    prop_assert_eq!(tags.len(), rig.cups.len());
    Ok(())
}

fn sound(rig: &Rig) -> Result<usize, TestCaseError> {
    let target = Finding::of(CheckId::TubeStress, PartRef::Tube(0), Kind::Number, 1.0, 1.0, 1.0);
    let target = target.when(rig.manoeuvres.first().map_or("", |m| m.tag.as_str()));
    let list = changes(rig, &target, &Options::default()).unwrap();
    for c in &list {
        readable(&c.rig, &c.what)?;
        let ctx = Context::new(&c.rig, BuildOptions::default());
        let solved = ctx.as_ref().is_ok_and(|ctx| ctx.failures[0].responses.is_ok());
        prop_assert!(solved, "{} cannot be computed", c.what);
    }
    Ok(list.len())
}

#[test]
fn changes_of_random_ladders_can_be_built_and_computed() {
    let mut runner = TestRunner::new_with_rng(
        Config { cases: 12, failure_persistence: None, ..Config::default() },
        proptest::test_runner::TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha),
    );
    let done = runner.run(&ladders(), |ladder| {
        let n = sound(&ladder.rig())?;
        prop_assert!(n > 20, "only {n} changes");
        Ok(())
    });
    assert!(done.is_ok(), "{}", done.unwrap_err());
}

#[test]
fn changes_of_the_examples_can_be_built_and_computed() {
    for (name, _) in EXAMPLES {
        let n = sound(&example(name));
        assert!(n.as_ref().is_ok_and(|n| *n > 5), "{name}: {n:?}");
    }
}
