//! Values set and taken out: what is not touched stays byte for byte.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/editing.rs"]
mod editing;

use editing::{EXAMPLES, block, clear, difference, example, model, reading, remarks, set, texts};

#[test]
fn a_value_set_and_set_back_gives_the_first_text() {
    for name in EXAMPLES {
        let first = example(name);
        let all = texts(&first);
        assert!(all.len() > 60, "{name}");
        for (key, was) in all.into_iter().step_by(5) {
            let new = if was.parse::<i64>().is_ok() { "7" } else { "7 of \"something\" else" };
            let changed = set(&first, &key, new).unwrap();
            assert_eq!(
                rig::written(&changed, &key).as_deref(),
                Some(new).filter(|_| rig::written(&first, &key).is_some()),
                "{key}"
            );
            let (out, put) = block(&first, &changed);
            assert!(out.len() == 1 && put.len() == 1, "{name} {key}: {out:?} {put:?}");
            assert_eq!(remarks(&first), remarks(&changed), "{name} {key}");
            let back = set(&changed, &key, &was).unwrap();
            assert!(back == first, "{name} {key}\n{}", difference(&first, &back));
        }
    }
}

#[test]
fn a_new_key_goes_behind_its_neighbours_and_comes_out_again() {
    for name in EXAMPLES {
        for first in [example(name), example(name).replace('\n', "\r\n"), example(name).trim_end().to_owned()]
        {
            let tag = model(&first).cups[0].tag.clone();
            for key in [
                "site.over_roof",
                "vehicle.roll_axis_height",
                &format!("cup.{tag}.loss"),
                "vehicle.datum.left",
                "policy.sway",
            ] {
                let changed = set(&first, key, "4 kPa").unwrap();
                assert_eq!(rig::written(&changed, key).as_deref(), Some("4 kPa"), "{name} {key}");
                assert_eq!(changed.matches('\r').count() > 0, first.contains('\r'));
                assert!(
                    !changed.replace("\r\n", "").contains('\r')
                        && (!first.contains('\r') || !changed.replace("\r\n", "").contains('\n'))
                );
                let (out, put) = block(&first, &changed);
                assert!(out.len() <= 1 && put.len() <= 4, "{name} {key} {out:?} {put:?}");
                if key != "policy.sway" || rig::written(&first, "policy.sway_limit").is_some() {
                    let back = clear(&changed, key).unwrap();
                    assert!(back == first, "{name} {key}\n{}", difference(&first, &back));
                }
            }
        }
    }
}

#[test]
fn every_key_of_the_examples_can_be_taken_out() {
    for name in EXAMPLES {
        let first = example(name);
        for (key, _) in texts(&first).into_iter().step_by(5) {
            let changed = clear(&first, &key).unwrap();
            let mut left = texts(&changed);
            let mut expected = texts(&first);
            expected.retain(|(k, _)| *k != key);
            // Places behind one that is taken out of a list move up.
            if key.split('.').any(|s| s.parse::<usize>().is_ok()) {
                left.iter_mut().chain(&mut expected).for_each(|(k, _)| k.clear());
                left.sort();
                expected.sort();
            }
            assert_eq!(left, expected, "{name} {key}");
        }
    }
}

#[test]
fn kinds_of_values_quotes_and_remarks_are_kept() {
    let text =
        "a = 1\n[camera]\npixels = 4096   # of it\nshutter = 'half'\nlevel = true\nlist = [\"1 kg\"]\n";
    for (key, typed, line) in [
        ("camera.pixels", "2048", "pixels = 2048   # of it"),
        ("camera.pixels", "2.5e3", "pixels = 2.5e3   # of it"),
        ("camera.pixels", "many", "pixels = \"many\"   # of it"),
        ("camera.pixels", "1 # 2", "pixels = \"1 # 2\"   # of it"),
        ("camera.shutter", "180", "shutter = '180'"),
        ("camera.shutter", "it's", "shutter = \"it's\""),
        ("camera.shutter", "a\nb", "shutter = \"a\\u000Ab\""),
        ("camera.level", "false", "level = false"),
        ("camera.level", "no", "level = \"no\""),
        ("camera.list", "[\"2 kg\", \"3 kg\"]", "list = [\"2 kg\", \"3 kg\"]"),
        ("camera.list.1", "5 kg", "list = [\"5 kg\"]"),
        ("camera.steadied", "0.05", "steadied = 0.05"),
        ("camera.steadied", "5 %", "steadied = \"5 %\""),
        ("camera.distance", "6", "distance = \"6\""),
        ("camera.frame_rate", "25 Hz", "frame_rate = \"25 Hz\""),
    ] {
        let changed = set(text, key, typed).unwrap();
        assert!(changed.lines().any(|l| l == line), "{key}: {changed}");
    }
    let fault = set(text, "camera.list", "2 kg").unwrap_err();
    assert!(fault.what.contains("is a list") && fault.mend.contains('['), "{fault}");
}

#[test]
fn a_range_keeps_its_ends_unless_a_range_is_typed() {
    let first = example("door-camera");
    let changed = set(&first, "aboard.crew.mass", "155 kg").unwrap();
    assert!(
        changed.contains("mass = { value = \"155 kg\", low = \"130 kg\", high = \"170 kg\" }   # driver")
    );
    let mass = &model(&changed).vehicle.aboard[0].mass;
    assert!((mass.value - 155.0).abs() < 1e-9 && (mass.low - 130.0).abs() < 1e-9);
    // Out of the range: said by the reader, and not put right in silence.
    let wide = set(&first, "aboard.crew.mass", "180 kg").unwrap();
    assert!(reading(&wide).diagnostics.iter().any(|d| d.code == "R027"));
    let typed = "{ value = \"180 kg\", low = \"170 kg\", high = \"190 kg\" }";
    let whole = set(&first, "aboard.crew.mass", typed).unwrap();
    assert!(whole.contains(&format!("mass = {typed}   # driver")) && reading(&whole).rig.is_some());
    let range = set(&first, "cup.UF.vacuum", typed).unwrap();
    assert!(range.contains(&format!("vacuum = {typed}\n")), "a range in the place of a value");
}

#[test]
fn the_other_way_of_a_measure_takes_its_place() {
    let first = example("estate-arm");
    let changed = set(&first, "cup.FL.right", "420 mm").unwrap();
    let (out, put) = block(&first, &changed);
    assert_eq!((out, put), (vec!["left = \"420 mm\"\n".to_owned()], vec!["right = \"420 mm\"\n".to_owned()]));
    assert_eq!(set(&changed, "cup.FL.left", "420 mm").unwrap(), first);
    let inline = set(&first, "tube.TF.from.forward", "-380 mm").unwrap();
    assert!(
        inline.contains(
            "from = { forward = \"-380 mm\", left = \"560 mm\", above = \"150 mm\" }    # axis above"
        )
    );
    // Both ways of an isolator's travel are facts of their own.
    let one = clear(&first, "isolator.travel.down").unwrap();
    assert!(one.contains("travel = { up = \"40 mm\" }"), "{one}");
    assert_eq!(set(&one, "isolator.travel.down", "40 mm").unwrap(), first);
}

#[test]
fn a_table_that_is_not_there_is_made_and_a_part_is_not() {
    let first = example("door-camera");
    let line = set(&first, "site.overhead_line.height", "5.5 m").unwrap();
    assert!(line.contains("road = \"B\"\noverhead_line = { height = \"5.5 m\" }\n\n[vehicle]"));
    let policy = set(&first, "policy.sway_limit", "25 mm").unwrap();
    assert!(policy.starts_with(&first) && policy.ends_with("\n\n[policy]\nsway_limit = \"25 mm\"\n"));
    let factor = set(&policy, "policy.factor.cup-seal.intact", "2.5").unwrap();
    assert!(
        factor.ends_with("factor = { cup-seal = { intact = 2.5 } }\n"),
        "{}",
        difference(&policy, &factor)
    );
    assert!(reading(&factor).rig.is_some());
    for key in [
        "cup.XX.vacuum",
        "cup.XX",
        "strap.front-1.path.9.aft",
        "cup.UF.aft.more",
        "site..gust",
        "",
        "cup.UF",
        "a b",
    ] {
        let fault = set(&first, key, "1 m");
        assert!(
            fault.as_ref().is_err_and(|f| !f.what.is_empty() && !f.why.is_empty() && !f.mend.is_empty()),
            "{key} {fault:?}"
        );
    }
    let fault = clear(&first, "cup.UF.loss").unwrap_err();
    assert_eq!(fault.what, "the file has no `cup.UF.loss`");
}

#[test]
fn odd_files_are_changed_as_they_are_written() {
    for (text, key, value, expected) in [
        (
            "cup.FL.aft = '1 m'\ncup.FL.left = '2 m'\n",
            "cup.FL.vacuum",
            "20 inHg",
            "cup.FL.aft = '1 m'\ncup.FL.left = '2 m'\ncup.FL.vacuum = \"20 inHg\"\n",
        ),
        ("cup.FL.aft=\"1 m\"", "cup.FL.vacuum", "20 inHg", "cup.FL.aft=\"1 m\"\ncup.FL.vacuum=\"20 inHg\""),
        (
            "[cup]\n\tFL.aft = \"1 m\"\n",
            "cup.FL.left",
            "2 m",
            "[cup]\n\tFL.aft = \"1 m\"\n\tFL.left = \"2 m\"\n",
        ),
        (
            "cup = { FL = { aft = \"1 m\" } } # x\n",
            "cup.FL.left",
            "2 m",
            "cup = { FL = { aft = \"1 m\", left = \"2 m\" } } # x\n",
        ),
        (
            "cup = { FL.aft = \"1 m\" }\n",
            "cup.FL.left",
            "2 m",
            "cup = { FL.aft = \"1 m\", FL.left = \"2 m\" }\n",
        ),
        ("[cup.FL]\n\n[x]\n", "cup.FL.left", "2 m", "[cup.FL]\nleft = \"2 m\"\n\n[x]\n"),
        ("[cup.FL]", "cup.FL.left", "2 m", "[cup.FL]\nleft = \"2 m\""),
        (
            "[cup.FL]\r\naft = \"1 m\" # a\r\n",
            "cup.FL.left",
            "2 m",
            "[cup.FL]\r\naft = \"1 m\" # a\r\nleft = \"2 m\"\r\n",
        ),
        (
            "[site]\naltitude    = \"1 m\"\n",
            "site.gust",
            "2 km/h",
            "[site]\naltitude    = \"1 m\"\ngust        = \"2 km/h\"\n",
        ),
        ("\u{feff}name = \"a\"\n", "name", "b", "\u{feff}name = \"b\"\n"),
        ("\u{feff}[site]\n", "name", "b", "\u{feff}name = \"b\"\n[site]\n"),
        (
            "[cup.\"a.b \\\" ü مرحبا\"]\naft = \"1 m\"\n",
            "cup.\"a.b \\\" ü مرحبا\".aft",
            "2 m",
            "[cup.\"a.b \\\" ü مرحبا\"]\naft = \"2 m\"\n",
        ),
        (
            "[[strap.S.path]]\ntube = \"T\"\n[[strap.S.path]]\naft = \"1 m\"\n",
            "strap.S.path.2.aft",
            "2 m",
            "[[strap.S.path]]\ntube = \"T\"\n[[strap.S.path]]\naft = \"2 m\"\n",
        ),
        ("", "name", "b", "name = \"b\"\n"),
    ] {
        assert_eq!(set(text, key, value).unwrap(), expected, "{text}");
    }
    for (text, key, expected) in [
        (
            "cup.FL = { aft = \"1 m\", # why\n left = \"2 m\", }\n",
            "cup.FL.left",
            "cup.FL = { aft = \"1 m\", }\n",
        ),
        ("a = { b = 1 }\n", "a.b", "a = {  }\n"),
        ("a = [1, 2, 3]\n", "a.1", "a = [2, 3]\n"),
        ("a = [1, 2, 3]\n", "a.3", "a = [1, 2]\n"),
        ("a = { x.b = 1, c = 2, x.d = 3 }\n", "a.x", "a = { c = 2 }\n"),
        ("a = 1\nb = 2", "b", "a = 1"),
        ("[a]\nb = 1\n# of a\n\n# own\n\n# of c\n[c]\nd = 1\n", "a", "# own\n\n# of c\n[c]\nd = 1\n"),
        ("[c]\nd = 1\n\n# of a\n[a]\nb = 1\n", "a", "[c]\nd = 1\n"),
    ] {
        assert_eq!(clear(text, key).unwrap(), expected, "{text}");
    }
}
