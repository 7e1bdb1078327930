//! Parts moved on the drawing: the model moves as asked, in the person's own words.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/editing.rs"]
mod editing;

use editing::{EXAMPLES, block, difference, example, facts, model, reading, remarks};
use glam::DVec3;
use rig::{Change, EditFault, Rig, Snap};

fn place(text: &str, part: &str, to: DVec3, snap: Snap) -> Result<String, EditFault> {
    rig::edited(text, &Change::Place { part, to, snap, rig: &model(text) })
}

/// Where a part is, and which axes its own words state.
fn at(rig: &Rig, part: &str) -> DVec3 {
    let steps: Vec<&str> = part.split('.').collect();
    match steps[..] {
        ["cup", tag] => rig.cups.iter().find(|c| c.tag == tag).unwrap().at,
        ["tube", tag, end] => {
            let tube = rig.tubes.iter().find(|t| t.tag == tag).unwrap();
            if end == "from" { tube.a } else { tube.b }
        }
        ["leg", tag] => {
            let leg = rig.legs.iter().find(|l| l.tag == tag).unwrap();
            rig.tubes[leg.foot.0].point(leg.foot.1)
        }
        ["platform", tag] => rig.platforms.iter().find(|p| p.tag == tag).unwrap().at,
        ["item", tag] => rig.items.iter().find(|i| i.tag == tag).unwrap().at,
        ["strap", tag, _, n] => {
            rig.straps.iter().find(|s| s.tag == tag).unwrap().path[n.parse::<usize>().unwrap() - 1].at
        }
        ["panel", tag] => rig.panels.iter().find(|p| p.tag == tag).unwrap().centre,
        ["aboard", tag] => rig.vehicle.aboard.iter().find(|a| a.tag == tag).unwrap().at,
        _ => DVec3::NAN,
    }
}

fn parts(rig: &Rig) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(rig.cups.iter().map(|c| format!("cup.{}", c.tag)));
    out.extend(rig.tubes.iter().flat_map(|t| [format!("tube.{}.from", t.tag), format!("tube.{}.to", t.tag)]));
    out.extend(rig.legs.iter().map(|l| format!("leg.{}", l.tag)));
    out.extend(rig.platforms.iter().map(|p| format!("platform.{}", p.tag)));
    out.extend(rig.items.iter().map(|i| format!("item.{}", i.tag)));
    out.extend(rig.panels.iter().map(|p| format!("panel.{}", p.tag)));
    out.extend(rig.vehicle.aboard.iter().map(|a| format!("aboard.{}", a.tag)));
    for strap in &rig.straps {
        out.extend((1..=strap.path.len()).map(|n| format!("strap.{}.path.{n}", strap.tag)));
    }
    out
}

#[test]
fn a_part_goes_where_it_is_put_within_half_a_step_and_nothing_else_is_written() {
    let (mut moved, mut read) = (0, 0);
    for name in EXAMPLES.into_iter().filter(|n| *n != "pickup-arm-mended") {
        let first = example(name);
        let rig = model(&first);
        for (index, part) in parts(&rig).into_iter().enumerate() {
            let steps = rig::step_m(&first, &part, Snap::Tape, &rig).unwrap();
            for axis in 0..3 {
                let step = steps[axis];
                // Each part one way along each axis, its neighbour the other.
                for by in [[3.2 * step, -1.7 * step][(index + axis) % 2]] {
                    let mut to = at(&rig, &part);
                    to[axis] += by;
                    let Ok(changed) = place(&first, &part, to, Snap::Tape) else { continue };
                    let (out, put) = block(&first, &changed);
                    assert!(
                        out.len() <= put.len() && put.len() <= 1,
                        "{name} {part} {axis}: {out:?} {put:?}"
                    );
                    assert_eq!(remarks(&first), remarks(&changed));
                    moved += usize::from(!put.is_empty());
                    let Some(now) = reading(&changed).rig else { continue };
                    read += 1;
                    assert_eq!(facts(&rig), facts(&now), "{name} {part}");
                    if !put.is_empty() {
                        let off = (at(&now, &part)[axis] - to[axis]).abs();
                        assert!(
                            off <= 0.5 * step + 1e-6,
                            "{name} {part} {axis} {by}: off {off}\n{}",
                            difference(&first, &changed)
                        );
                    }
                    // What is not asked stays as it is, but for the height over a crown and along a slanting tube.
                    for other in (0..3).filter(|o| *o != axis) {
                        let off = (at(&now, &part)[other] - to[other]).abs();
                        let height = if other == 2 || name == "door-camera" { 0.05 } else { 1e-9 };
                        assert!(
                            off <= height,
                            "{name} {part} {axis}->{other}: {off}\n{}",
                            difference(&first, &changed)
                        );
                    }
                }
            }
        }
    }
    assert!(moved > 200 && read > 180, "{moved} {read}");
}

#[test]
fn words_units_and_sides_are_the_persons_own() {
    let estate = example("estate-arm");
    let rig = model(&estate);
    let cup = at(&rig, "cup.FL");
    let said = |text: &str, part: &str, by: DVec3, snap: Snap| {
        let rig = model(text);
        difference(text, &place(text, part, at(&rig, part) + by, snap).unwrap())
    };
    // Across the centreline.
    assert_eq!(
        said(&estate, "cup.FL", DVec3::new(0.0, -0.5, 0.0), Snap::Tape),
        "-left = \"420 mm\"\n+right = \"80 mm\"\n"
    );
    assert_eq!(
        said(&estate, "cup.FL", DVec3::new(0.0, -0.42, 0.0), Snap::Tape),
        "-left = \"420 mm\"\n+left = \"0 mm\"\n"
    );
    assert_eq!(
        said(&estate, "cup.FL", DVec3::new(0.0123, 0.0, 0.0), Snap::Fine),
        "-aft = \"380 mm\"\n+aft = \"368 mm\"\n"
    );
    assert_eq!(
        said(&estate, "cup.FL", DVec3::new(0.4, 0.0, 0.0), Snap::Tape),
        "-aft = \"380 mm\"\n+forward = \"20 mm\"\n"
    );
    // A minus sign of the person's own stays.
    assert!(
        said(&estate, "strap.ahead.path.2", DVec3::new(0.1, 0.0, 0.0), Snap::Tape)
            .contains("+  { aft = \"-1000 mm\", left")
    );
    // A height over the panel follows the panel; a rise is a rise.
    assert!(
        said(&estate, "tube.TF.to", DVec3::new(0.0, 0.0, 0.012), Snap::Tape).contains("above = \"160 mm\" }")
    );
    assert!(
        said(&estate, "tube.TF.to", DVec3::new(-0.02, 0.0, 0.0), Snap::Tape)
            .contains("aft = \"400 mm\", right = \"560 mm\", above = \"150 mm\" }")
    );
    // A foot stays on its tube.
    assert!(
        said(&estate, "leg.FL", DVec3::new(-9.0, 0.3, 0.0), Snap::Tape)
            .contains("foot = { tube = \"LL\", aft = \"1480 mm\" }")
    );
    assert!(
        said(&estate, "platform.base", DVec3::new(0.0, -0.05, 0.0), Snap::Tape)
            .contains("at = { aft = \"880 mm\", up = \"320 mm\", right = \"50 mm\" }")
    );
    let bonnet = example("bonnet-camera");
    assert!(
        said(&bonnet, "item.camera", DVec3::new(0.0, 0.0, -0.008), Snap::Tape)
            .contains("down = \"8-1/4 in\" }")
    );
    assert!(
        said(&bonnet, "item.camera", DVec3::new(0.0, 0.0, -0.008), Snap::Fine)
            .contains("down = \"8-5/16 in\" }")
    );
    assert!(
        said(&bonnet, "item.camera", DVec3::new(0.0, 0.0, 9.0 * 0.0254), Snap::Fine)
            .contains("up = \"1 in\" }")
    );
    // 1.061 m is on no step, and stays while only the height changes.
    assert!(
        said(&bonnet, "platform.plate", DVec3::new(0.0, 0.0, 0.02), Snap::Tape)
            .contains("at = { forward = \"1.061 m\", down = \"335 mm\" }")
    );
    // Not moved, nothing written.
    assert_eq!(place(&estate, "cup.FL", cup, Snap::Tape).unwrap(), estate);
}

#[test]
fn what_has_no_place_of_its_own_says_so() {
    let estate = example("estate-arm");
    let rig = model(&estate);
    for (part, by, says) in [
        ("clamp.K1", DVec3::X, "where its two tubes cross"),
        ("tube.TF", DVec3::X, "has two ends"),
        ("arm", DVec3::X, "has no place"),
        ("manoeuvre.brake", DVec3::X, "has no place"),
        ("cup.XX", DVec3::X, "the file has no `cup.XX`"),
        ("cup.FL", DVec3::Z, "follows its panel"),
        ("tube.LL.from", DVec3::Z, "follows the tube that it lies on"),
        ("cup.FL", DVec3::new(f64::NAN, 0.0, 0.0), "no place"),
        ("cup.FL", DVec3::new(1e9, 0.0, 0.0), "no place"),
        ("strap.SF.path.9", DVec3::X, "the file has no"),
    ] {
        let from = if part.starts_with("cup.FL") { at(&rig, part) } else { DVec3::new(0.0, 0.0, 2.0) };
        let from = if part == "tube.LL.from" { at(&rig, part) } else { from };
        let fault = place(&estate, part, from + 0.1 * by, Snap::Tape).unwrap_err();
        assert!(fault.to_string().contains(says), "{part}: {fault}");
    }
    // A model of another text.
    let mut other = rig.clone();
    other.cups.clear();
    let fault =
        rig::edited(&estate, &Change::Place { part: "cup.FL", to: DVec3::X, snap: Snap::Tape, rig: &other });
    assert!(fault.unwrap_err().mend.contains("read the file again"));
}

#[test]
fn a_tube_slides_whole() {
    for (name, tag, by) in [
        ("estate-arm", "TF", DVec3::new(-0.101, 0.0, 0.0)),
        ("estate-arm", "LL", DVec3::new(0.0, -0.052, 0.0)),
        ("estate-arm", "TR", DVec3::new(0.0, 0.6, 0.01)),
        ("pickup-arm", "TF", DVec3::new(0.023, 0.0, 0.0)),
    ] {
        let first = example(name);
        let rig = model(&first);
        let key = format!("tube.{tag}");
        let changed =
            rig::edited(&first, &Change::Slide { tube: &key, by, snap: Snap::Tape, rig: &rig }).unwrap();
        assert!(block(&first, &changed).1.len() <= 2);
        let near = |a: DVec3, b: DVec3| (a - b).abs().max_element() <= 0.0025 + 1e-9;
        // The cups under it may be left behind: then the reader says so, and the ends are read from the text.
        if let Some(now) = reading(&changed).rig {
            let tube = |r: &Rig| r.tubes.iter().find(|t| t.tag == tag).unwrap().clone();
            let (was, is) = (tube(&rig), tube(&now));
            let plan = |v: DVec3| DVec3::new(v.x, v.y, 0.0);
            assert!(near(plan(was.a + by), plan(is.a)) && near(plan(was.b + by), plan(is.b)), "{name} {tag}");
            assert!((plan(is.b - is.a) - plan(was.b - was.a)).length() < 1e-9);
        } else {
            let said = difference(&first, &changed);
            let written = [
                "aft = \"480 mm\"",
                "left = \"130 mm\"",
                "left = \"1160 mm\"",
                "left = \"40 mm\"",
                "aft = \"305 mm\"",
            ];
            assert_eq!(written.iter().map(|w| said.matches(w).count()).sum::<usize>(), 2, "{said}");
        }
    }
}

#[test]
fn ends_off_the_step_keep_their_length_and_a_foot_stays_on_a_tube_that_ends_between_steps() {
    let text = example("estate-arm")
        .replace(
            "from = { aft = \"380 mm\", left = \"560 mm\"",
            "from = { aft = \"381 mm\", left = \"560 mm\"",
        )
        .replace(
            "to = { aft = \"1480 mm\", left = \"180 mm\"",
            "to = { aft = \"1483 mm\", left = \"180 mm\"",
        );
    let rig = model(&text);
    let by = DVec3::new(-0.1012, 0.0, 0.0);
    let slid =
        rig::edited(&text, &Change::Slide { tube: "tube.TF", by, snap: Snap::Tape, rig: &rig }).unwrap();
    assert_eq!(rig::written(&slid, "tube.TF.from.aft").as_deref(), Some("481 mm"));
    assert_eq!(rig::written(&slid, "tube.TF.to.aft").as_deref(), Some("480 mm"));
    let foot = place(&text, "leg.FL", at(&rig, "leg.FL") - 3.0 * DVec3::X, Snap::Tape).unwrap();
    assert_eq!(rig::written(&foot, "leg.FL.foot.aft").as_deref(), Some("1480 mm"));
}
