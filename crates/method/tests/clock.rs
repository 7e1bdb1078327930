//! The critical path and the crew's timetable.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
#![allow(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "small counts")]

mod common;

use common::{EXAMPLES, example};
use method::{Method, Stage, Step, critical_path, schedule};
use proptest::prelude::*;

fn step(name: &str, minutes: f64, people: usize) -> Step {
    Step {
        name: name.to_owned(),
        about: None,
        stage: Stage::Grid,
        does: "work".to_owned(),
        why: String::new(),
        people,
        minutes,
        tools: Vec::new(),
        torque_nm: None,
        records: Vec::new(),
        hold: None,
        kept: None,
        is_own: false,
    }
}

fn method(rows: &[(&str, f64, &str)]) -> Method {
    let place = |name: char| rows.iter().position(|r| r.0.starts_with(name)).unwrap();
    Method {
        steps: rows.iter().map(|r| step(r.0, r.1, 1)).collect(),
        before: rows.iter().map(|r| r.2.chars().map(place).collect()).collect(),
    }
}

/// Hillier and Lieberman, Introduction to Operations Research, the construction project of the chapter on project
/// management: fourteen activities in weeks, 44 weeks along A B C E F J L N. From memory.
#[test]
fn the_textbook_s_project_takes_44_weeks() {
    let project = method(&[
        ("A excavate", 2.0, ""),
        ("B foundation", 4.0, "A"),
        ("C rough wall", 10.0, "B"),
        ("D roof", 6.0, "C"),
        ("E exterior plumbing", 4.0, "C"),
        ("F interior plumbing", 5.0, "E"),
        ("G exterior siding", 7.0, "D"),
        ("H exterior painting", 9.0, "EG"),
        ("I electrical work", 7.0, "C"),
        ("J wallboard", 8.0, "FI"),
        ("K flooring", 4.0, "J"),
        ("L interior painting", 5.0, "J"),
        ("M exterior fixtures", 2.0, "H"),
        ("N interior fixtures", 6.0, "KL"),
    ]);
    let (path, weeks) = critical_path(&project);
    let names: String = path.iter().map(|s| &project.steps[*s].name[..1]).collect();
    assert_eq!((names.as_str(), weeks), ("ABCEFJLN", 44.0));
    // With hands enough the timetable is that long too, and one alone takes the sum.
    assert!((schedule(&project, 14).minutes - 44.0).abs() < 1e-12);
    assert!((schedule(&project, 1).minutes - 79.0).abs() < 1e-12);
}

#[test]
fn more_hands_never_beat_the_longest_chain() {
    for name in EXAMPLES {
        let method = Method::of(&example(name)).unwrap();
        let (path, least) = critical_path(&method);
        let sum: f64 = path.iter().map(|s| method.steps[*s].minutes).sum();
        assert!((sum - least).abs() < 1e-9, "{name}");
        assert!(path.windows(2).all(|w| method.before[w[1]].contains(&w[0])), "{name}");
        assert!((schedule(&method, 60).minutes - least).abs() < 1e-9, "{name}");
        let alone: f64 = method.steps.iter().map(|s| s.minutes).sum();
        let one = schedule(&method, 1);
        assert!((one.minutes - alone).abs() < 1e-6);
        assert_eq!(one.short.is_empty(), method.steps.iter().all(|s| s.people == 1));
    }
}

fn project() -> impl Strategy<Value = Method> {
    prop::collection::vec((0.0..20.0_f64, 1..5_usize, any::<u64>()), 1..40).prop_map(|rows| Method {
        steps: rows.iter().enumerate().map(|(i, r)| step(&format!("s{i}"), r.0, r.1)).collect(),
        before: rows
            .iter()
            .enumerate()
            .map(|(i, r)| (0..i).filter(|b| r.2.rotate_left(*b as u32 * 7) % 5 == 0).collect())
            .collect(),
    })
}

proptest! {
    #[test]
    fn a_timetable_keeps_the_order_the_crew_and_its_bounds(method in project(), crew in 1..7_usize) {
        let s = schedule(&method, crew);
        prop_assert_eq!(s.tasks.len(), method.steps.len());
        let mut times = vec![(f64::NAN, f64::NAN); method.steps.len()];
        for t in &s.tasks {
            prop_assert!(times[t.step].0.is_nan());
            times[t.step] = (t.begins, t.ends);
            prop_assert!((t.ends - t.begins - method.steps[t.step].minutes).abs() < 1e-9);
        }
        for (step, before) in method.before.iter().enumerate() {
            for b in before {
                prop_assert!(times[*b].1 <= times[step].0 + 1e-9);
            }
        }
        for t in &s.tasks {
            // Hands in use just after it begins.
            let at = t.begins;
            let busy: usize = s.tasks.iter().filter(|o| o.begins <= at && o.ends > at).map(|o| method.steps[o.step].people.min(crew)).sum();
            prop_assert!(busy <= crew, "{} of {}", busy, crew);
        }
        let (_, least) = critical_path(&method);
        let work: f64 = method.steps.iter().map(|s| s.minutes * s.people.min(crew) as f64).sum();
        let sum: f64 = method.steps.iter().map(|s| s.minutes).sum();
        prop_assert!(s.minutes >= least - 1e-9 && s.minutes >= work / crew as f64 - 1e-9 && s.minutes <= sum + 1e-9);
    }
}
