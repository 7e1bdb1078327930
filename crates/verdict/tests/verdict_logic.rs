//! GO, HOLD and NO-GO: what each missing fact, guess and fault does to the answer.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;

use common::{EXAMPLES, all_known, example, read, set};
use rayon::prelude::*;
use rig::model::{Drag, Vertical};
use rig::policy::{CheckId, Factors};
use rig::{Fact, Origin, Rig};
use verdict::context::Resolution;
use verdict::verdict::{Options, Verdict, check};
use verdict::{Answer, Outcome, PartRef};

/// A few poses: enough for the logic, which is the same for all.
fn options() -> Options<'static> {
    let resolution = Resolution { pan: 120.0_f64.to_radians(), elevation: 60.0_f64.to_radians() };
    Options { resolution, ..Options::default() }
}

fn verdict(rig: &Rig) -> Verdict {
    check(rig, &options()).unwrap()
}

/// A GO is only ever given when every finding holds or is a note, and nothing is left to settle.
fn sound(v: &Verdict) {
    let bad = v.findings.iter().find(|f| !matches!(f.outcome, Outcome::Holds | Outcome::Note));
    assert!(v.answer != Answer::Go || (bad.is_none() && v.holds.is_empty()), "GO with {bad:?}");
    for f in &v.findings {
        let short = f.margin.is_some_and(|m| m.is_nan() || m < 1.0);
        assert!(!short || f.outcome == Outcome::Fails, "{f:?}");
    }
}

/// An example that is a GO with everything known.
fn go(name: &str) -> Rig {
    let mut rig = example(name);
    all_known(&mut rig);
    assert_eq!(verdict(&rig).answer, Answer::Go);
    rig
}

#[test]
fn an_answer_is_never_go_with_anything_failing_or_unchecked() {
    for (name, _) in EXAMPLES {
        sound(&verdict(&example(name)));
    }
    // Each factor in turn so high that its check cannot hold.
    let rig = go("estate-arm");
    let before = verdict(&rig);
    rig::policy::CHECKS.par_iter().for_each(|row| {
        let mut rig = rig.clone();
        rig.policy.factors.push((row.id, Factors { intact: 1e9, lost: 1e9 }));
        let v = verdict(&rig);
        sound(&v);
        let ranked = |f: &&verdict::Finding| f.check == row.id && f.margin.is_some_and(f64::is_finite);
        // The distance from buckling is answered by yes or no, and hangs on its factor.
        let decides = before.findings.iter().any(|f| ranked(&f)) || row.id == CheckId::SecondOrder;
        let expected = if decides { Answer::NoGo } else { Answer::Go };
        // What is asked with nothing demanded, noted, or answered by yes or no does not hang on a factor.
        let plain = [CheckId::CupFit, CheckId::CupVacuum, CheckId::Clash, CheckId::Clearance];
        if !plain.contains(&row.id) {
            assert_eq!(v.answer, expected, "{}", row.name);
        }
    });
}

#[test]
fn a_lost_number_anywhere_is_never_a_go() {
    for name in ["bonnet-camera", "estate-arm"] {
        let rig = go(name);
        let mut count = 0;
        rig::facts_mut(&mut rig.clone(), &mut |_| count += 1);
        assert!(count > 60, "{name}: {count} facts");
        (0..count).into_par_iter().for_each(|lost| {
            let mut rig = rig.clone();
            let (mut at, mut key) = (0, String::new());
            rig::facts_mut(&mut rig, &mut |f: &mut Fact| {
                if at == lost {
                    // A flat panel's crown is infinite by right.
                    let endless = lost % 3 == 0 && !f.key.contains("crown");
                    f.value = if endless { f64::INFINITY } else { f64::NAN };
                    key.clone_from(&f.key);
                }
                at += 1;
            });
            if let Ok(v) = check(&rig, &options()) {
                assert!(v.answer != Answer::Go, "{name}: {key} lost and GO");
                sound(&v);
            }
        });
    }
}

#[test]
fn no_vacuum_reading_is_a_hold_that_names_the_cup() {
    let mut rig = go("estate-arm");
    let tag = rig.cups[2].tag.clone();
    rig.cups[2].vacuum = None;
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::Hold);
    let hold = v.holds.iter().find(|h| h.key == format!("cup.{tag}.vacuum")).unwrap();
    assert!(hold.what.contains(&tag) && hold.settle.contains("gauge"), "{hold:?}");
    sound(&v);
}

#[test]
fn no_roof_rating_is_a_hold_that_names_it() {
    let mut rig = go("estate-arm");
    rig.vehicle.roof_rating = None;
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::Hold);
    assert!(v.holds.iter().any(|h| h.key.ends_with("roof_rating")), "{:?}", v.holds);
    sound(&v);
}

#[test]
fn a_rig_without_strap_or_tether_is_no_go() {
    let mut rig = go("bonnet-camera");
    rig.straps.clear();
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::NoGo);
    let failing: Vec<_> = v.findings.iter().filter(|f| f.outcome == Outcome::Fails).collect();
    assert!(failing.iter().all(|f| f.check == CheckId::Retention), "{failing:?}");
    assert!(failing[0].situation.contains("no strap or tether"));
}

fn guessed(fact: &mut Fact, low: f64, high: f64) {
    (fact.low, fact.high, fact.origin) = (low, high, Origin::Assumed);
    "pull it with a spring scale".clone_into(&mut fact.settle);
}

#[test]
fn a_guess_whose_low_end_fails_is_a_hold_that_names_it_and_how_to_settle_it() {
    let mut rig = go("bonnet-camera");
    let friction = &mut rig.panels[0].friction;
    let value = friction.value;
    guessed(friction, 0.2 * value, 1.2 * value);
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::Hold);
    let hold = v.holds.iter().find(|h| h.key.contains("friction")).unwrap();
    assert_eq!(hold.settle, "pull it with a spring scale");
    assert!(hold.why.contains("would fail"), "{hold:?}");
    // Known, the same value is a GO; known at the low end it is a NO-GO.
    set(&mut rig.panels[0].friction, value);
    assert_eq!(verdict(&rig).answer, Answer::Go);
    set(&mut rig.panels[0].friction, 0.2 * value);
    assert_eq!(verdict(&rig).answer, Answer::NoGo);
}

#[test]
fn what_a_guess_may_save_is_a_hold_and_what_none_can_save_is_no_go() {
    let mut rig = go("bonnet-camera");
    let value = rig.panels[0].friction.value;
    rig.panels[0].friction.value = 0.2 * value;
    guessed(&mut rig.panels[0].friction, 0.1 * value, value);
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::Hold);
    assert!(v.holds.iter().any(|h| h.key.contains("friction") && h.why.contains("nothing would fail")));
    // The same guess beside a fault that it has nothing to do with.
    rig.vehicle.gross_limit.as_mut().unwrap().value = 100.0;
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::NoGo);
    assert!(v.runs > 0, "the guess was tried");
    sound(&v);
}

/// Two guesses, each harmless alone, that fail together.
#[test]
fn guesses_that_fail_only_together_are_a_hold() {
    let mut rig = go("bonnet-camera");
    let value = rig.panels[0].friction.value;
    // Each as low as it may be alone.
    let holds_at = |share: f64, vacuum: f64| {
        let mut rig = rig.clone();
        rig.panels[0].friction.value = value * share;
        rig.cups.iter_mut().for_each(|c| c.vacuum.as_mut().unwrap().value *= vacuum);
        verdict(&rig).answer == Answer::Go
    };
    let lowest = |holds: &dyn Fn(f64) -> bool| {
        let (mut fails, mut stands) = (0.1, 1.0);
        for _ in 0..7 {
            let middle = f64::midpoint(fails, stands);
            if holds(middle) { stands = middle } else { fails = middle }
        }
        stands
    };
    let friction = lowest(&|s| holds_at(s, 1.0));
    let share = lowest(&|s| holds_at(1.0, s));
    assert!(!holds_at(friction, share));
    guessed(&mut rig.panels[0].friction, value * friction, value);
    for c in &mut rig.cups {
        let vacuum = c.vacuum.as_mut().unwrap();
        let v = vacuum.value;
        guessed(vacuum, v * share, v);
        "cup.vacuum".clone_into(&mut vacuum.group);
    }
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::Hold);
    for word in ["friction", "vacuum"] {
        assert!(v.holds.iter().any(|h| h.key.contains(word)), "{word}: {:?}", v.holds);
    }
}

/// Air pushes back while a steep way down at steady speed pulls ahead: less drag than thought is then the bad side. (Braking
/// will not do: it is looked at near standstill too.)
#[test]
fn drag_that_relieves_is_not_counted_on() {
    let mut rig = go("bonnet-camera");
    rig.manoeuvres.retain(|m| m.forward.value < -6.0);
    rig.manoeuvres.truncate(1);
    let m = &mut rig.manoeuvres[0];
    m.gust = false;
    set(&mut m.forward, 0.0);
    m.grade = -0.75;
    set(&mut m.speed, 35.0);
    m.vertical = Vertical::Range(Fact::stated(0.0, quantity::Kind::Acceleration, "vertical"));
    let item = &mut rig.items[0];
    let mut coefficient = item.drag.as_ref().unwrap().coefficient.clone();
    set(&mut coefficient, 1.2);
    item.drag = Some(Drag { areas: glam::DVec3::new(0.06, 0.02, 0.02), coefficient });
    let slip = |rig: &Rig| {
        let found = verdict(rig).findings;
        let slip = found.iter().filter(|f| f.check == CheckId::CupSlip && f.state.unwrap().failure == 0);
        slip.filter_map(|f| f.margin).fold(f64::INFINITY, f64::min)
    };
    let with = slip(&rig);
    let mut calm = rig.clone();
    calm.items[0].drag.as_mut().unwrap().coefficient.value = 0.3;
    let without = slip(&calm);
    assert!(without < 0.97 * with, "drag relieves: {with} with it, {without} without");
    // A factor between the two margins: it holds with the drag and not without.
    let was = rig.policy.factors(CheckId::CupSlip);
    let intact = was.intact * (with * without).sqrt();
    rig.policy.factors.push((CheckId::CupSlip, Factors { intact, lost: 0.1 }));
    assert_eq!(verdict(&rig).answer, Answer::Go);
    let coefficient = &mut rig.items[0].drag.as_mut().unwrap().coefficient;
    guessed(coefficient, 0.3, 1.4);
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::Hold);
    assert!(v.holds.iter().any(|h| h.key.contains("drag")), "{:?}", v.holds);
}

#[test]
fn a_free_swivel_is_no_go_in_words_that_name_the_part() {
    let (_, text) = EXAMPLES.iter().find(|(n, _)| *n == "estate-arm").unwrap();
    let more = r#"
[tube.X]
part = "tube 48.3 x 4.0 EN AW-6082 T6"
from = { aft = "420 mm", left = "300 mm", on = "LL" }
to = { aft = "420 mm", right = "300 mm", on = "LR" }

[clamp.SW]
part = "swivel clamp"
joins = ["X", "LL"]
torque = "50 N·m"
slip = "9 kN"
slip_on_aluminium = "9 kN"
twist = "100 N·m"
twist_on_aluminium = "100 N·m"
"#;
    let mut rig = read("estate-arm with a swivel", &format!("{text}{more}"));
    all_known(&mut rig);
    let v = verdict(&rig);
    assert_eq!(v.answer, Answer::NoGo);
    let f = v.findings.iter().find(|f| f.check == CheckId::Stable).unwrap();
    assert_eq!(f.outcome, Outcome::Fails);
    assert!(matches!(f.part, PartRef::Tube(_)) && f.part.name(&rig) == "tube X");
    assert!(f.situation.contains("tube X can turn about an upright line"), "{}", f.situation);
    assert!(f.situation.contains("swivel SW"), "{}", f.situation);
}
