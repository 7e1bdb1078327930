//! Parts taken out, added and mirrored.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/editing.rs"]
mod editing;

use editing::{EXAMPLES, block, difference, example, model, reading, remarks};
use glam::DVec3;
use rig::{Change, EditFault, Rig, dependents};

fn remove(text: &str, parts: &[&str]) -> Result<String, EditFault> {
    rig::edited(text, &Change::Remove { parts })
}

fn mirror(text: &str, part: &str) -> Result<String, EditFault> {
    rig::edited(text, &Change::Mirror { part, rig: &model(text) })
}

fn add(text: &str, kind: &str, at: DVec3, with: &[(&str, &str)]) -> Result<String, EditFault> {
    rig::edited(text, &Change::Add { kind, part: None, with, at, rig: &model(text) })
}

/// A new part stands in one piece behind the last of its kind, and reads.
fn grown(first: &str, changed: &str) -> (String, Rig) {
    let (out, put) = block(first, changed);
    assert!(out.is_empty() && !put.is_empty(), "{}", difference(first, changed));
    (put.concat(), model(changed))
}

#[test]
fn who_names_a_part_is_told_before_it_goes() {
    let first = example("estate-arm");
    assert_eq!(dependents(&first, "tube.LL"), ["clamp.K1", "clamp.K3", "clamp.K5", "leg.FL", "leg.RL"]);
    assert_eq!(dependents(&first, "platform.base"), ["leg.FL", "leg.FR", "leg.RL", "leg.RR", "arm"]);
    let of_tf = dependents(&first, "tube.TF");
    for part in ["cup.FL", "cup.FR", "tube.LL", "tube.LR", "clamp.K6", "leg.RR", "strap.SF", "strap.ahead"] {
        assert!(of_tf.iter().any(|p| p == part), "{part}: {of_tf:?}");
    }
    assert!(!of_tf.iter().any(|p| p == "strap.SR" || p == "tube.TF" || p == "cup.RL"), "{of_tf:?}");
    assert_eq!(dependents(&first, "consumer.radio"), ["cable.radio"], "and not item.radio");
    assert_eq!(dependents(&first, "cup.FL"), Vec::<String>::new());
    assert_eq!(dependents("= nonsense", "cup.FL"), Vec::<String>::new());
    let fault = remove(&first, &["tube.LL", "clamp.K1"]).unwrap_err();
    assert_eq!(fault.why, "it is named by clamp.K3, clamp.K5, leg.FL, leg.RL");
}

#[test]
fn a_part_goes_with_all_that_names_it_and_nothing_else() {
    for name in EXAMPLES {
        let first = example(name);
        let rig = model(&first);
        let mut parts: Vec<String> = rig.cups.iter().map(|c| format!("cup.{}", c.tag)).collect();
        parts.extend(rig.straps.iter().map(|s| format!("strap.{}", s.tag)));
        parts.extend(rig.tubes.iter().map(|t| format!("tube.{}", t.tag)));
        parts.extend(rig.items.iter().map(|i| format!("item.{}", i.tag)));
        for part in parts {
            let mut all = dependents(&first, &part);
            all.push(part.clone());
            let asked: Vec<&str> = all.iter().map(String::as_str).collect();
            let changed = remove(&first, &asked).unwrap();
            for gone in &all {
                assert_eq!(rig::written(&changed, gone), None);
            }
            // Every line that is left stood there, in that order, and no heading but those is gone.
            let mut lines = first.lines();
            assert!(changed.lines().all(|l| lines.any(|f| f == l)), "{name} {part}");
            let heads = |t: &str| t.lines().filter(|l| l.starts_with('[')).count();
            assert_eq!(heads(&first) - heads(&changed), all.len(), "{name} {part} {all:?}");
            assert!(!changed.contains("\n\n\n"), "{name} {part}: blank lines are left over");
            let wrong: Vec<_> = reading(&changed)
                .diagnostics
                .into_iter()
                .filter(|d| d.code != "R023" && d.code != "R021")
                .collect();
            assert!(
                wrong.iter().all(|d| d.code == "R006" || d.code == "R008" && part.starts_with("tube")),
                "{name} {part} {wrong:?}"
            );
        }
    }
    // Remark lines directly above go along; its own at the end of the file too.
    let text = "# The file.\nversion = 1\n\n# Of A.\n[cup.A]\naft = \"1 m\"\n\n# Of B,\n# two lines.\n[cup.B]   # b\naft = \"1 m\"\n# B again\n";
    assert_eq!(
        remove(text, &["cup.B"]).unwrap(),
        "# The file.\nversion = 1\n\n# Of A.\n[cup.A]\naft = \"1 m\"\n"
    );
    assert_eq!(remove(text, &["cup.A"]).unwrap().matches("Of A").count(), 0);
    assert!(remove(text, &["cup.A", "cup.B"]).unwrap().starts_with("# The file.\nversion = 1\n"));
}

#[test]
fn a_cup_is_added_under_the_nearest_tube() {
    for (name, at, tag) in [
        ("estate-arm", DVec3::new(-1.43, 0.15, 1.45), "FL2"),
        ("pickup-arm", DVec3::new(-1.56, 0.02, 1.8), "FL2"),
    ] {
        let first = example(name);
        let before = model(&first);
        let changed = add(&first, "cup", at, &[]).unwrap();
        let (put, rig) = grown(&first, &changed);
        let cup = rig.cups.iter().find(|c| before.cups.iter().all(|b| b.tag != c.tag)).unwrap();
        assert_eq!(cup.tag, tag, "{put}");
        assert!((cup.at.y - at.y).abs() < 0.006 && (cup.at.x - at.x).abs() < 0.06, "{put}");
        assert!(reading(&changed).diagnostics.is_empty(), "square under the tube");
        assert_eq!(remove(&changed, &[&format!("cup.{tag}")]).unwrap(), first);
    }
    let first = example("door-camera");
    let changed = add(&first, "cup", DVec3::new(-1.58, 0.8, 0.8), &[("vacuum", "80 kPa")]).unwrap();
    let (put, rig) = grown(&first, &changed);
    assert!(
        put.contains("aft = \"700 mm\"\ndown = \"560 mm\"\nholds = \"plate\"\nvacuum = \"80 kPa\"\n"),
        "{put}"
    );
    assert_eq!(rig.cups.len(), 5);
    for (at, says) in [
        (DVec3::new(3.0, 0.0, 1.0), "no panel is there"),
        (DVec3::new(-1.05 - 1.7, 0.3, 1.45), "nothing for a cup to hold"),
        (DVec3::new(-1.05 - 0.38, 0.42, 1.45), "`cup.FL` stands there"),
    ] {
        let fault = add(&example("estate-arm"), "cup", at, &[]).unwrap_err();
        assert!(fault.what.contains(says), "{fault}");
    }
}

#[test]
fn a_tube_is_added_beside_the_nearest_and_clamps_where_it_crosses() {
    let first = example("estate-arm");
    let along = add(&first, "tube", DVec3::new(-1.68, 0.45, 1.6), &[]).unwrap();
    let (put, rig) = grown(&first, &along);
    assert_eq!(rig.tubes.len(), 6, "{put}");
    let fault = add(&first, "tube", DVec3::new(-1.43, 0.0, 1.58), &[]).unwrap_err();
    assert!(fault.what.contains("runs there"), "{fault}");
    // A rail of its own: then it can be clamped to the three across.
    let rail = add(&first, "tube", DVec3::new(-1.68, 0.3, 1.66), &[]).unwrap();
    let (put, rig) = grown(&first, &rail);
    assert!(
        put.contains("[tube.LL2]")
            && put.contains("from = { aft = \"280 mm\", left = \"300 mm\", on = \"TF\" }"),
        "{put}"
    );
    let tube = rig.tubes.last().unwrap();
    let clamped = add(&rail, "clamp", DVec3::new(-1.43, 0.31, 1.62), &[]).unwrap();
    let (put, rig) = grown(&rail, &clamped);
    assert_eq!(
        put,
        "[clamp.K7]\npart = \"kit right-angle clamp\"\njoins = [\"TF\", \"LL2\"]\ntorque = \"50 N·m\"\n\n"
    );
    let at = tube.point(rig.clamps.last().unwrap().second.1);
    assert!((at - DVec3::new(-1.43, 0.3, at.z)).length() < 1e-3);
    let again = add(&clamped, "clamp", DVec3::new(-1.43, 0.31, 1.62), &[]).unwrap_err();
    assert_eq!(again.what, "`clamp.K7` joins them already");
    // Tubes that cross with air between take no clamp.
    let low = remove(&first, &["clamp.K3", "clamp.K4"]).unwrap().replace("\"136 mm\"", "\"120 mm\"");
    assert!(add(&low, "clamp", DVec3::new(-1.93, 0.18, 1.6), &[]).is_err());
    assert_eq!(
        add(&first, "clamp", DVec3::new(2.0, 0.0, 1.0), &[]).unwrap_err().what,
        "no two tubes cross there"
    );
}

#[test]
fn straps_and_items_are_added_and_say_what_they_lack() {
    let first = example("estate-arm");
    let changed = add(&first, "strap", DVec3::new(-1.45, 0.7, 1.35), &[]).unwrap();
    let (put, rig) = grown(&first, &changed);
    let path = &rig.straps.iter().find(|s| s.tag == "S1").unwrap().path;
    assert!((path[1].at - DVec3::new(-1.45, 0.7, 1.35)).length() < 0.005, "{put}");
    let item = add(&first, "item", DVec3::new(-1.9, 0.1, 1.9), &[("mass", "1.4 kg")]).unwrap();
    let (put, rig) = grown(&first, &item);
    assert!(put.contains("[item.I1]\nmass = \"1.4 kg\"\nat = { aft = \"850 mm\", left = \"100 mm\", up = \"470 mm\" }\non = \"base\"\n"), "{put}");
    assert!((rig.items.last().unwrap().mass.value - 1.4).abs() < 1e-12);
    assert_eq!(add(&first, "item", DVec3::X, &[]).unwrap_err().what, "a new item needs its mass");
    assert!(add(&first, "arm", DVec3::X, &[]).unwrap_err().what.contains("cannot be placed"));
    assert!(add(&first, "cup", DVec3::splat(f64::INFINITY), &[]).is_err());
}

#[test]
fn the_image_of_a_part_stands_across_the_centreline() {
    for name in EXAMPLES {
        let first = example(name);
        let rig = model(&first);
        let mut parts: Vec<(String, String)> =
            rig.cups.iter().map(|c| ("cup".into(), c.tag.clone())).collect();
        parts.extend(rig.legs.iter().map(|c| ("leg".into(), c.tag.clone())));
        parts.extend(rig.clamps.iter().map(|c| ("clamp".into(), c.tag.clone())));
        parts.extend(rig.straps.iter().map(|c| ("strap".into(), c.tag.clone())));
        let mut made = 0;
        for (kind, tag) in parts {
            let part = format!("{kind}.{}", rig::key_text(&tag));
            match mirror(&first, &part) {
                Ok(changed) => {
                    grown(&first, &changed);
                }
                // It stands there: take that out, and it comes back as it was, but for its place in the file and remarks in it.
                Err(fault) => {
                    let Some(there) = fault.what.strip_suffix("` stands there already") else { continue };
                    let there = there.trim_start_matches('`');
                    if !dependents(&first, there).is_empty() {
                        continue;
                    }
                    let without = remove(&first, &[there]).unwrap();
                    let changed = mirror(&without, &part).unwrap();
                    let (put, _) = grown(&without, &changed);
                    let tag = put.trim_start().lines().next().unwrap().trim_matches(['[', ']']).to_owned();
                    assert_eq!(
                        rig::written(&changed, &tag),
                        rig::written(&first, there),
                        "{name} {part}\n{put}"
                    );
                    made += 1;
                }
            }
        }
        assert!(made >= if name == "door-camera" { 0 } else { 4 }, "{name} {made}");
    }
}

#[test]
fn an_image_takes_the_sides_names_and_tags_of_the_other_side() {
    let first = example("estate-arm");
    let without = remove(&first, &["cup.FR"]).unwrap();
    assert_eq!(
        difference(&without, &mirror(&without, "cup.FL").unwrap()),
        "+[cup.FR]\n+part = \"kit-250\"\n+panel = \"roof\"\n+aft = \"380 mm\"\n+right = \"420 mm\"\n+holds = \"TF\"\n+vacuum = \"23 inHg\"\n+\n"
    );
    let without = remove(&first, &["leg.FR"]).unwrap();
    assert!(
        difference(&without, &mirror(&without, "leg.FL").unwrap())
            .contains("+foot = { tube = \"LR\", aft = \"720 mm\" }")
    );
    let without = remove(&first, &["clamp.K2"]).unwrap();
    assert!(
        difference(&without, &mirror(&without, "clamp.K1").unwrap())
            .contains("+[clamp.K2]\n+part = \"kit right-angle clamp\"\n+joins = [\"TF\", \"LR\"]")
    );
    for (part, says) in [
        ("cup.FL", "`cup.FR` stands there already"),
        ("strap.SF", "is its own image"),
        ("item.radio", "is its own image"),
        ("manoeuvre.brake", "has no image"),
        ("cup", "has no image"),
        ("cup.XX", "the file has no `cup.XX`"),
    ] {
        assert!(mirror(&first, part).unwrap_err().what.contains(says), "{part}");
    }
    let door = mirror(&example("door-camera"), "cup.UF").unwrap_err();
    assert!(door.what.contains("has no image on the other side"), "{door}");
    assert_eq!(remarks(&first), remarks(&mirror(&without, "clamp.K1").unwrap()));
}
