//! What is said while a part is moved, beside what the whole verdict finds.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;

use common::{EXAMPLES, example};
use rig::policy::CheckId;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use verdict::check::swept;
use verdict::context::Resolution;
use verdict::losses::losses;
use verdict::structure::BuildOptions;
use verdict::verdict::{Options, at_once, check, nominal};
use verdict::{Context, Finding, PartRef};

/// Least margin of each check.
fn least(findings: &[Finding]) -> BTreeMap<CheckId, f64> {
    let mut out = BTreeMap::new();
    for f in findings {
        if let Some(m) = f.margin {
            let least = out.entry(f.check).or_insert(f64::INFINITY);
            *least = f64::min(*least, m);
        }
    }
    out
}

#[test]
fn wide_steps_find_what_the_fine_ones_do_to_a_few_parts_in_a_hundred() {
    for (name, _) in EXAMPLES {
        let rig = example(name);
        let options = Options::default();
        let (quick, whole) =
            (least(&at_once(&rig, &options, None).unwrap()), least(&nominal(&rig, &options).unwrap()));
        assert!(!quick.is_empty(), "{name}");
        for (check, margin) in &quick {
            let Some(found) = whole.get(check) else {
                panic!("{name}: {check:?} is not in the whole answer")
            };
            let same = margin.is_infinite() && found.is_infinite();
            assert!(same || (margin / found - 1.0).abs() < 0.03, "{name}: {check:?} {margin} beside {found}");
        }
    }
}

#[test]
fn with_one_part_let_go_it_is_what_the_others_then_bear() {
    for (name, _) in EXAMPLES {
        let rig = example(name);
        let options = Options { resolution: Resolution::glance(), ..Options::default() };
        let ctx = Context::new(&rig, BuildOptions::default()).unwrap();
        let decides: Vec<CheckId> = swept(&ctx).iter().filter(|c| !c.informs()).map(|c| c.id()).collect();
        for loss in losses(&rig, &options).unwrap() {
            let found = at_once(&rig, &options, Some(loss.lost)).unwrap();
            let of_states = found.iter().filter(|f| decides.contains(&f.check)).filter_map(|f| f.margin);
            let got = of_states.fold(f64::INFINITY, f64::min);
            let want = loss.least.map_or(f64::INFINITY, |l| l.margin);
            let same = got.is_infinite() && want.is_infinite();
            assert!(same || (got / want - 1.0).abs() < 1e-6, "{name} {:?}: {got} beside {want}", loss.lost);
        }
    }
}

#[test]
fn a_tether_that_is_let_go_changes_no_force() {
    let mut seen = 0;
    for (name, _) in EXAMPLES {
        let rig = example(name);
        let tethers = (0..rig.straps.len()).filter(|i| rig.straps[*i].kind == rig::model::StrapKind::Tether);
        for i in tethers {
            let found = at_once(&rig, &Options::default(), Some(PartRef::Strap(i))).unwrap();
            assert!(found.iter().any(|f| f.check == CheckId::CupSlip && f.margin.is_some()), "{name} {i}");
            seen += 1;
        }
    }
    assert!(seen > 0, "no example has a tether");
}

#[test]
fn a_verdict_that_nobody_waits_for_is_none_however_far_it_was() {
    let rig = example("bonnet-camera");
    let asked = AtomicUsize::new(0);
    let whole = Options {
        stop: &|| {
            asked.fetch_add(1, Ordering::Relaxed);
            false
        },
        ..Options::default()
    };
    let answer = check(&rig, &whole).unwrap().answer;
    let asked = asked.into_inner();
    assert!(asked > 5, "asked {asked} times on the way to {answer:?}");
    for after in [0, 1, 2, asked / 2, asked - 1] {
        let count = AtomicUsize::new(0);
        let stop = || count.fetch_add(1, Ordering::Relaxed) >= after;
        let stopped = check(&rig, &Options { stop: &stop, ..Options::default() });
        assert!(stopped.is_err(), "stopped after {after} of {asked}");
    }
}
