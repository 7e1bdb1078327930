//! Views as files: read back as XML, held against the model, text against text.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

mod common;

use common::{EXAMPLES, MEDIA, VIEWS, apart, boxes, example, middle_of, parse, path_length, points_of};
use draw::view::{Arrow, Margin, Medium, Moved, Part, Pose, Scene, View, Word, draw};
use glam::DVec3;
use rig::Rig;

/// Everything that a scene can show, on one rig.
fn full(rig: &Rig) -> Scene<'_> {
    let mut scene = Scene::new(rig);
    let words = [Word::Holds, Word::Close, Word::Fails, Word::Unknown];
    let parts = (0..rig.cups.len()).map(Part::Cup).chain((0..rig.tubes.len()).map(Part::Tube));
    let parts =
        parts.chain((0..rig.straps.len()).map(Part::Strap)).chain((0..rig.clamps.len()).map(Part::Clamp));
    for (k, part) in parts.enumerate() {
        let value = [Some(1.31), Some(1.02), Some(0.74), None][k % 4];
        scene.margins.push(Margin { part, value, word: words[k % 4] });
    }
    scene.lost = (rig.cups.len() > 1).then_some(Part::Cup(1));
    if rig.arm.is_some() {
        scene.pose = Pose { pan: 0.7, elevation: 0.2 };
    }
    for c in &rig.cups {
        scene.arrows.push(Arrow {
            at: c.at,
            force: DVec3::new(100.0, -50.0, 600.0),
            label: "610 N (137 lbf)".to_owned(),
        });
    }
    let lines = rig.tubes.iter().map(|t| vec![(t.a, DVec3::ZERO), (t.b, DVec3::new(0.0, 0.0, -0.004))]);
    scene.moved = Some(Moved { times: 30.0, lines: lines.collect() });
    scene.notes = vec!["Firm braking from 50 km/h (31.1 mph), cup FR lost.".to_owned()];
    scene
}

#[test]
fn no_text_covers_another_or_leaves_the_paper_in_any_example() {
    for name in EXAMPLES {
        let rig = example(name);
        for (what, scene) in [("plain", Scene::new(&rig)), ("full", full(&rig))] {
            for view in VIEWS {
                for medium in MEDIA {
                    let drawing = draw(&scene, view, medium);
                    apart(&drawing.svg, &format!("{name} {what} {view:?} {medium:?}"));
                }
            }
        }
    }
}

#[test]
fn every_cup_and_tube_is_named_on_the_page() {
    for name in EXAMPLES {
        let rig = example(name);
        let svg = draw(&Scene::new(&rig), View::Plan, Medium::Page).svg;
        // Where one stands behind another, one name is for both.
        let texts: Vec<String> =
            boxes(&svg).iter().flat_map(|b| b.0.split(", ").map(str::to_owned).collect::<Vec<_>>()).collect();
        let tags = rig.cups.iter().map(|c| &c.tag).chain(rig.tubes.iter().map(|t| &t.tag));
        for tag in tags {
            assert!(texts.iter().any(|t| t == tag), "{name}: {tag} is not among {texts:?}");
        }
        assert!(!svg.contains("left out"), "{name}: something is left out");
    }
}

/// In print a cup stands on the paper where it stands on the car: millimetres by the stated scale, read from the file itself.
#[test]
fn cups_stand_to_scale_in_print() {
    let rig = example("estate-arm");
    let drawing = draw(&Scene::new(&rig), View::Plan, Medium::Print { width: 190.0, height: 277.0 });
    let doc = parse(&drawing.svg);
    let root = doc.root_element();
    let view_box: Vec<f64> =
        root.attribute("viewBox").unwrap().split(' ').map(|v| v.parse().unwrap()).collect();
    let width_mm: f64 = root.attribute("width").unwrap().strip_suffix("mm").unwrap().parse().unwrap();
    let per_mm = view_box[2] / width_mm;
    assert!((width_mm - 190.0).abs() < 1e-9);
    let height_mm: f64 = root.attribute("height").unwrap().strip_suffix("mm").unwrap().parse().unwrap();
    assert!((view_box[3] / height_mm - per_mm).abs() < 1e-9, "one scale both ways");
    let said = boxes(&drawing.svg).into_iter().find_map(|b| b.0.split("Scale 1:").nth(1).map(str::to_owned));
    let said: f64 = said.unwrap().split(' ').next().unwrap().parse().unwrap();
    assert!((said - drawing.scale).abs() < 1e-9 && [5.0, 10.0, 20.0, 25.0, 50.0, 100.0].contains(&said));
    let datum = middle_of(&doc, "datum", None);
    for cup in &rig.cups {
        let at = middle_of(&doc, "cup", Some(&format!("cup-{}", cup.tag)));
        let aft_mm = (at.1 - datum.1) / per_mm * said;
        let right_mm = (at.0 - datum.0) / per_mm * said;
        let d = rig.vehicle.datum - cup.at;
        // Two digits of a quarter millimetre, 25 times larger; the lip's rim stands out by up to 2 mm with the roof's lean.
        assert!((aft_mm - d.x * 1000.0).abs() < 2.5, "{}: {aft_mm} for {}", cup.tag, d.x);
        assert!((right_mm - d.y * 1000.0).abs() < 2.5, "{}: {right_mm} for {}", cup.tag, d.y);
        // Its lip is as large as it is.
        let points = points_of(&doc, "cup", Some(&format!("cup-{}", cup.tag)));
        let high = points.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
        let low = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        assert!(
            ((high - low) / per_mm * said - 250.0).abs() < 4.0,
            "{}: {}",
            cup.tag,
            (high - low) / per_mm * said
        );
    }
}

#[test]
fn places_agree_with_the_file_and_lead_back() {
    let rig = example("estate-arm");
    for view in VIEWS {
        for medium in MEDIA {
            let drawing = draw(&Scene::new(&rig), view, medium);
            let doc = parse(&drawing.svg);
            if !matches!(view, View::Corner { .. }) {
                let (x, y) = middle_of(&doc, "datum", None);
                let place = drawing.place(rig.vehicle.datum);
                assert!((x - place.0).abs() < 0.02 && (y - place.1).abs() < 0.02, "{view:?} {medium:?}");
            }
            let p = rig.cups[2].at;
            let back = drawing.find(drawing.place(p), p).unwrap();
            assert!((back - p).length() < 1e-9);
            assert_eq!(drawing.place_mm(p).is_some(), matches!(medium, Medium::Print { .. }));
        }
    }
}

/// A rig and its mirror image across the car's middle.
fn mirrored(rig: &Rig) -> Rig {
    let mut out = rig.clone();
    let flip = |p: &mut DVec3| p.y = -p.y;
    for c in &mut out.cups {
        flip(&mut c.at);
        flip(&mut c.head);
        flip(&mut c.normal);
    }
    for t in &mut out.tubes {
        flip(&mut t.a);
        flip(&mut t.b);
    }
    for s in &mut out.straps {
        s.path.iter_mut().for_each(|p| flip(&mut p.at));
    }
    for i in &mut out.items {
        flip(&mut i.at);
    }
    for l in &mut out.legs {
        flip(&mut l.top);
    }
    out
}

#[test]
fn a_mirrored_rig_is_drawn_mirrored() {
    let mut rig = example("estate-arm");
    // Not its own mirror image.
    rig.cups[0].at.y += 0.07;
    rig.cups[0].head.y += 0.07;
    let other = mirrored(&rig);
    for view in [View::Plan, View::Front] {
        let (a, b) =
            (draw(&Scene::new(&rig), view, Medium::Page), draw(&Scene::new(&other), view, Medium::Page));
        assert!((a.scale - b.scale).abs() < 1e-9);
        let (da, db) = (parse(&a.svg), parse(&b.svg));
        let middle = |d: &draw::view::Drawing| d.place(DVec3::ZERO).0;
        for cup in &rig.cups {
            let name = format!("cup-{}", cup.tag);
            let (p, q) = (middle_of(&da, "cup", Some(&name)), middle_of(&db, "cup", Some(&name)));
            let (left, right) = (p.0 - middle(&a), q.0 - middle(&b));
            assert!((left + right).abs() < 0.05 && (p.1 - q.1).abs() < 0.05, "{view:?} {name} {p:?} {q:?}");
            assert!(left.abs() > 5.0);
        }
    }
    // From the left a right door's rig is behind the car: both sides are told apart.
    let door = example("door-camera");
    let side = |rig: &Rig| draw(&Scene::new(rig), View::Side, Medium::Page).svg;
    let hidden_cups = |svg: &str| {
        let doc = parse(svg);
        let hidden = doc.descendants().find(|n| n.attribute("class") == Some("hidden")).unwrap();
        hidden.descendants().filter(|n| n.attribute("class") == Some("cup")).count()
    };
    assert_eq!(hidden_cups(&side(&door)), 0);
    assert!(hidden_cups(&side(&mirrored(&door))) > 3);
}

#[test]
fn a_ring_is_as_long_as_its_margin_in_the_file() {
    let rig = example("estate-arm");
    let mut scene = Scene::new(&rig);
    let values = [0.4, 0.8, 1.0, 1.5, 2.0, 9.0];
    for (k, v) in values.iter().enumerate() {
        let word = if *v < 1.0 { Word::Fails } else { Word::Holds };
        scene.margins.push(Margin { part: Part::Cup(k), value: Some(*v), word });
    }
    scene.margins.push(Margin { part: Part::Tube(3), value: Some(0.5), word: Word::Fails });
    let drawing = draw(&scene, View::Plan, Medium::Page);
    let doc = parse(&drawing.svg);
    let length = |part: &str| {
        let group = doc
            .descendants()
            .find(|n| n.attribute("class") == Some("margin") && n.attribute("data-part") == Some(part))
            .unwrap_or_else(|| panic!("no margin of {part}"));
        let line = group.descendants().find(|n| n.attribute("class") == Some("margin-length")).unwrap();
        let circle = group.descendants().find(|n| n.has_tag_name("circle"));
        let radius = circle.map(|c| c.attribute("r").unwrap().parse::<f64>().unwrap());
        (path_length(line.first_element_child().unwrap().attribute("d").unwrap()), radius)
    };
    for (k, v) in values.iter().enumerate() {
        let (long, radius) = length(&format!("cup-{}", rig.cups[k].tag));
        let want = std::f64::consts::TAU * radius.unwrap() * (v / 2.0_f64).min(1.0);
        // Straight pieces of a fortieth of a ring, and two digits.
        assert!((long - want).abs() < 0.004 * want + 0.2, "{v}: {long} for {want}");
    }
    let (long, _) = length("tube-LL");
    let want = rig.tubes[3].length() * drawing.scale / 4.0;
    assert!((long - want).abs() < 0.1, "{long} for {want}");
}

#[test]
fn a_margin_is_told_by_line_and_word_without_colour() {
    let rig = example("estate-arm");
    let mut seen = Vec::new();
    for (word, said) in [
        (Word::Holds, "1.20 holds"),
        (Word::Close, "1.20 close"),
        (Word::Fails, "1.20 fails"),
        (Word::Unknown, "1.20 not checked"),
    ] {
        let mut scene = Scene::new(&rig);
        scene.margins = vec![Margin { part: Part::Cup(0), value: Some(1.2), word }];
        let svg = draw(&scene, View::Plan, Medium::Page).svg;
        assert!(boxes(&svg).iter().any(|b| b.0 == said), "{said}");
        let doc = parse(&svg);
        let line = doc.descendants().find(|n| n.attribute("class") == Some("margin-length")).unwrap();
        let path = line.first_element_child().unwrap();
        seen.push((
            path.attribute("stroke-width").map(str::to_owned),
            path.attribute("stroke-dasharray").map(str::to_owned),
        ));
    }
    seen.dedup();
    assert_eq!(seen.len(), 4, "{seen:?}");
}

#[test]
fn on_a_phone_the_numbers_of_what_holds_stand_below_and_no_others() {
    let rig = example("estate-arm");
    let mut scene = Scene::new(&rig);
    let at = |part, value, word| Margin { part, value: Some(value), word };
    scene.margins = vec![
        at(Part::Cup(0), 1.91, Word::Holds),
        at(Part::Tube(0), 3.21, Word::Holds),
        at(Part::Tube(1), 0.55, Word::Fails),
        at(Part::Clamp(0), 1.07, Word::Close),
    ];
    let said = |medium| {
        let svg = draw(&scene, View::Plan, medium).svg;
        let all: Vec<String> = boxes(&svg).into_iter().map(|b| b.0).collect();
        let alone = |t: &str| all.iter().any(|b| b == t);
        assert!(alone("1.91 holds") && alone("0.55 fails") && alone("1.07 close"), "{all:?}");
        (
            alone("3.21 holds"),
            all.join(" ").replace('\u{a0}', " ").contains("Least margins: tube TF 3.21 holds."),
        )
    };
    assert_eq!((said(Medium::Phone), said(Medium::Page)), ((false, true), (true, false)));
}

#[test]
fn what_is_lost_is_crossed_out_and_said() {
    let rig = example("estate-arm");
    for part in [Part::Cup(0), Part::Strap(0)] {
        let scene = Scene { lost: Some(part), ..Scene::new(&rig) };
        for view in VIEWS {
            let svg = draw(&scene, view, Medium::Page).svg;
            assert!(boxes(&svg).iter().any(|b| b.0.ends_with(" lost")), "{view:?}");
            let doc = parse(&svg);
            let cross = doc.descendants().find(|n| n.attribute("class") == Some("lost")).unwrap();
            assert_eq!(cross.children().filter(roxmltree::Node::is_element).count(), 4);
        }
    }
    let svg = draw(&Scene::new(&rig), View::Plan, Medium::Page).svg;
    assert!(!svg.contains("class=\"lost\"") && !svg.contains(" lost"));
}

#[test]
fn parts_can_be_found_whatever_they_are_called() {
    let mut rig = example("estate-arm");
    rig.cups[0].tag = "\"><script>alert(1)</script>&".to_owned();
    rig.name = "<b>\u{202e}name & \u{1f3a5}</b>".repeat(12);
    rig.straps[0].tag = "קדימה שמאל".to_owned();
    rig.tubes[0].tag = "🧰🧰 long ".repeat(30);
    rig.panels[0].tag = String::new();
    for view in VIEWS {
        for medium in MEDIA {
            let svg = draw(&full(&rig), view, medium).svg;
            apart(&svg, &format!("hostile {view:?} {medium:?}"));
            let doc = parse(&svg);
            assert!(doc.descendants().all(|n| !n.has_tag_name("script") && !n.has_tag_name("b")));
            let name = format!("cup-{}", rig.cups[0].tag);
            assert!(doc.descendants().any(|n| n.attribute("data-part") == Some(name.as_str())));
        }
    }
}

#[test]
fn files_use_only_what_converters_draw() {
    let rig = example("pickup-arm");
    for view in VIEWS {
        let svg = draw(&full(&rig), view, Medium::Print { width: 180.0, height: 250.0 }).svg;
        let doc = parse(&svg);
        let root = doc.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        assert!(root.first_element_child().unwrap().has_tag_name("title"));
        for n in doc.descendants().filter(roxmltree::Node::is_element) {
            let known =
                ["svg", "title", "rect", "g", "path", "circle", "ellipse", "text", "tspan", "clipPath"];
            assert!(known.contains(&n.tag_name().name()), "{}", n.tag_name().name());
            assert!(
                n.attributes()
                    .all(|a| !a.name().starts_with("on") && a.name() != "href" && a.name() != "style")
            );
        }
        // Type of at least 2.5 mm: 7 pt.
        let per_mm = 4.0;
        let sizes =
            doc.descendants().filter_map(|n| n.attribute("font-size")).map(|s| s.parse::<f64>().unwrap());
        assert!(sizes.map(|s| s / per_mm).fold(f64::INFINITY, f64::min) >= 2.5);
    }
    let phone = draw(&full(&rig), View::Plan, Medium::Phone).svg;
    let doc = parse(&phone);
    let sizes = doc.descendants().filter_map(|n| n.attribute("font-size")).map(|s| s.parse::<f64>().unwrap());
    assert!(sizes.fold(f64::INFINITY, f64::min) >= 12.0);
}

/// A small rig, so that its files can be read.
fn small() -> Rig {
    let mut rig = example("bonnet-camera");
    rig.panels.clear();
    rig.straps.truncate(1);
    rig.cups.truncate(2);
    rig.vehicle.outline.length.value = f64::NAN;
    rig
}

#[test]
fn views_look_as_they_did() {
    let rig = small();
    let mut scene = Scene::new(&rig);
    scene.margins = vec![Margin { part: Part::Cup(0), value: Some(1.18), word: Word::Holds }];
    scene.lost = Some(Part::Cup(1));
    scene.arrows = vec![Arrow {
        at: rig.cups[0].at,
        force: DVec3::new(0.0, 0.0, 400.0),
        label: "400 N (89.9 lbf)".to_owned(),
    }];
    for (name, view) in ["plan", "side", "front", "corner"].into_iter().zip(VIEWS) {
        insta::assert_snapshot!(format!("small_{name}"), draw(&scene, view, Medium::Page).svg);
    }
    insta::assert_snapshot!("small_phone", draw(&scene, View::Plan, Medium::Phone).svg);
}
