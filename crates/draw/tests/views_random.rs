//! Random rigs, sensible and absurd: the drawing is well-formed, its texts stand apart, and it comes back at all.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

mod common;

use common::{apart, example};
use draw::view::{Arrow, Margin, Medium, Moved, Part, Pose, Scene, View, Word, draw};
use glam::DVec3;
use proptest::prelude::*;
use rig::Rig;
use std::sync::LazyLock;

static ESTATE: LazyLock<Rig> = LazyLock::new(|| example("estate-arm"));

fn point(reach: f64) -> impl Strategy<Value = DVec3> {
    (-reach..reach, -reach..reach, -reach..reach).prop_map(|(x, y, z)| DVec3::new(x, y, z))
}

fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        "[A-Z]{1,3}",
        "\\PC{0,40}",
        Just("<b>&\"'</b>".to_owned()),
        Just("שמאל קדמי \u{202e}abc".to_owned()),
        Just("🎥🧰👩‍🔧".to_owned()),
        Just("a very long name ".repeat(12)),
    ]
}

fn medium() -> impl Strategy<Value = Medium> {
    prop_oneof![
        Just(Medium::Page),
        Just(Medium::Phone),
        (1.0..400.0, 1.0..400.0).prop_map(|(width, height)| Medium::Print { width, height }),
        Just(Medium::Print { width: f64::NAN, height: -3.0 }),
    ]
}

fn view() -> impl Strategy<Value = View> {
    prop_oneof![
        Just(View::Plan),
        Just(View::Side),
        Just(View::Front),
        (-7.0..7.0, -2.0..2.0).prop_map(|(bearing, over)| View::Corner { bearing, over }),
        Just(View::Corner { bearing: f64::NAN, over: f64::INFINITY }),
    ]
}

/// What is put into a rig.
#[derive(Debug)]
struct Wild {
    cups: Vec<(String, DVec3, DVec3)>,
    tubes: Vec<(String, DVec3, DVec3)>,
    straps: Vec<(String, Vec<DVec3>)>,
    name: String,
    size: f64,
    pose: (f64, f64),
    value: f64,
    broken: u8,
}

fn wild() -> impl Strategy<Value = Wild> {
    let reach = prop_oneof![3 => Just(2.0), 1 => Just(0.02), 1 => Just(400.0), 1 => Just(1e9)];
    reach.prop_flat_map(|reach| {
        (
            prop::collection::vec((name(), point(reach), point(1.0)), 0..40),
            prop::collection::vec((name(), point(reach), point(reach)), 0..40),
            prop::collection::vec((name(), prop::collection::vec(point(reach), 0..5)), 0..6),
            name(),
            prop_oneof![3 => 0.5..2.0, 1 => Just(1e-9), 1 => Just(1e12), 1 => Just(f64::NAN)],
            (-10.0..10.0, -3.0..3.0),
            prop_oneof![0.0..4.0, Just(f64::NAN), Just(f64::INFINITY), Just(-1e300)],
            any::<u8>(),
        )
            .prop_map(|(cups, tubes, straps, name, size, pose, value, broken)| Wild {
                cups,
                tubes,
                straps,
                name,
                size,
                pose,
                value,
                broken,
            })
    })
}

fn rig_of(w: &Wild) -> Rig {
    let mut rig = ESTATE.clone();
    let (cup, tube, strap) = (rig.cups[0].clone(), rig.tubes[0].clone(), rig.straps[0].clone());
    rig.name.clone_from(&w.name);
    rig.cups = w
        .cups
        .iter()
        .map(|(tag, at, n)| {
            let mut c = cup.clone();
            c.tag.clone_from(tag);
            (c.at, c.normal) = (*at, n.normalize_or_zero());
            c.head = c.at + c.normal * c.height;
            c.outer_radius *= w.size;
            c
        })
        .collect();
    rig.tubes = w
        .tubes
        .iter()
        .map(|(tag, a, b)| {
            let mut t = tube.clone();
            t.tag.clone_from(tag);
            (t.a, t.b) = (*a, *b);
            t.section.outer *= w.size;
            t
        })
        .collect();
    let point = strap.path[0];
    rig.straps = w
        .straps
        .iter()
        .map(|(tag, path)| {
            let mut s = strap.clone();
            s.tag.clone_from(tag);
            s.path = path.iter().map(|at| rig::model::PathPoint { at: *at, ..point }).collect();
            s
        })
        .collect();
    match w.broken % 8 {
        0 => rig.arm = None,
        1 => rig.vehicle.outline.length.value = f64::NAN,
        2 => rig.vehicle.datum = DVec3::splat(f64::INFINITY),
        3 => rig.panels[0].size = (1e7 * w.size, 0.0),
        4 => rig.panels[0].keep_outs[0].size = (f64::NAN, 1e12),
        5 => {
            let arm = rig.arm.as_mut().unwrap();
            (arm.pan, arm.elevation) = ((-0.5, f64::NAN), (2.0, -3.0));
            arm.sections.clear();
        }
        6 => rig.vehicle.outline.height.value = 1e-3,
        _ => {}
    }
    rig
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn random_rigs_are_drawn_with_their_texts_apart(w in wild(), view in view(), medium in medium()) {
        let rig = rig_of(&w);
        let mut scene = Scene::new(&rig);
        scene.pose = Pose { pan: w.pose.0, elevation: w.pose.1 };
        // One more than there is of each: a part that is not there is no fault.
        let parts = (0..=rig.cups.len()).map(Part::Cup).chain((0..=rig.tubes.len()).map(Part::Tube));
        if w.broken % 2 == 0 {
            let words = [Word::Holds, Word::Close, Word::Fails, Word::Unknown];
            scene.margins = parts
                .enumerate()
                .map(|(k, part)| Margin { part, value: (k % 3 > 0).then_some(w.value), word: words[k % 4] })
                .collect();
        }
        scene.lost = (w.broken % 3 == 0).then_some(Part::Strap(0));
        scene.notes = vec![w.name.clone()];
        if w.broken % 5 == 0 {
            scene.arrows = w.cups.iter().map(|(label, at, n)| Arrow { at: *at, force: *n * w.value, label: label.clone() }).collect();
            scene.moved = Some(Moved { times: w.value, lines: w.straps.iter().map(|s| s.1.iter().map(|p| (*p, *p * 1e-3)).collect()).collect() });
        }
        let drawing = draw(&scene, view, medium);
        apart(&drawing.svg, "random");
        prop_assert!(drawing.scale.is_finite() && drawing.scale > 0.0);
        prop_assert!(drawing.svg.len() < 2_000_000, "{} bytes", drawing.svg.len());
        let flats = draw::view::flat::plan(&scene);
        prop_assert!(!flats.is_empty());
        for f in flats {
            use draw::view::flat::Shape;
            let fine = match f.shape {
                Shape::Line(p) | Shape::Outline(p) => p.iter().all(|p| p.is_finite()),
                Shape::Circle { centre, radius } => centre.is_finite() && radius.is_finite(),
                Shape::Text { at, .. } => at.is_finite(),
            };
            prop_assert!(fine);
        }
    }
}
