//! What a survey changes: values as they were found, and places to keep clear.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/editing.rs"]
mod editing;

use editing::{EXAMPLES, block, clear, difference, example, model, reading};
use rig::{Change, EditFault};

fn state(text: &str, key: &str, value: &str) -> Result<String, EditFault> {
    rig::edited(text, &Change::State { key, value })
}

fn table(text: &str, key: &str, with: &[(&str, &str)]) -> Result<String, EditFault> {
    rig::edited(text, &Change::Table { key, with })
}

const ROOF_LIGHT: &[(&str, &str)] =
    &[("aft", "13-5/8 in"), ("left", "0 mm"), ("length", "400 mm"), ("width", "24 in")];

#[test]
fn a_value_that_was_found_takes_the_place_of_a_range_and_its_remark_stays() {
    let first = example("door-camera");
    let found = state(&first, "aboard.crew.mass", "320 lb").unwrap();
    assert_eq!(
        difference(&first, &found),
        "-mass = { value = \"150 kg\", low = \"130 kg\", high = \"170 kg\" }   # driver and a small passenger, not weighed\n\
         +mass = \"320 lb\"   # driver and a small passenger, not weighed\n"
    );
    let fact = &model(&found).vehicle.aboard[0].mass;
    assert!(!fact.is_assumed() && (fact.value - 145.15).abs() < 0.01);
    // What is no range is set as ever, what is not there is put in.
    let set = state(&first, "vehicle.mass", "2600 lb").unwrap();
    assert_eq!(difference(&first, &set), "-mass = \"1180 kg\"\n+mass = \"2600 lb\"\n");
    let new = state(&first, "panel.door.friction", "0.45").unwrap();
    assert_eq!(difference(&first, &new).trim(), "+friction = 0.45");
    assert!(!model(&new).panels[0].friction.is_assumed());
    let lines = "[vehicle.mass]\nvalue = \"1 t\"\nlow = \"0.9 t\"\nhigh = \"1.1 t\"\n";
    assert!(state(lines, "vehicle.mass", "1 t").unwrap_err().what.contains("lines of its own"));
}

#[test]
fn a_place_to_keep_clear_is_put_behind_the_others_of_its_panel_and_nothing_else_changes() {
    for name in EXAMPLES {
        let first = example(name);
        for panel in model(&first).panels.iter().map(|p| p.tag.clone()) {
            let key = format!("panel.{panel}.keep_out.\"roof light\"");
            // Every face takes the coordinates that lie in it; the rest are not read.
            let with: Vec<(&str, &str)> = match panel.as_str() {
                "door" => {
                    vec![("aft", "13-5/8 in"), ("down", "560 mm"), ("length", "40 mm"), ("width", "2 in")]
                }
                _ => ROOF_LIGHT.to_vec(),
            };
            let changed = table(&first, &key, &with).unwrap();
            let (out, put) = block(&first, &changed);
            assert!(
                out.is_empty() && put.len() == with.len() + 2,
                "{name}: {}",
                difference(&first, &changed)
            );
            assert!(put.concat().contains("aft = \"13-5/8 in\"\n"), "{put:?}");
            let rig = model(&changed);
            let on = rig.panels.iter().find(|p| p.tag == panel).unwrap();
            let before = model(&first).panels.iter().find(|p| p.tag == panel).unwrap().keep_outs.len();
            assert_eq!(on.keep_outs.len(), before + 1);
            assert_eq!(on.keep_outs.last().unwrap().tag, "roof light", "behind the others");
            // Taken out again, byte for byte.
            assert_eq!(rig::edited(&changed, &Change::Remove { parts: &[&key] }).unwrap(), first, "{name}");
            assert_eq!(clear(&changed, &key).unwrap(), first, "{name}");
        }
    }
}

#[test]
fn a_place_to_keep_clear_goes_into_files_written_in_other_ways() {
    // Line ends and a last line without one stay.
    let text = "[panel.roof]\r\nfaces = \"up\"\r\n\r\n[cup.A]\r\npart = \"x\"";
    let put = table(text, "panel.roof.keep_out.fin", &[("width", "1 in")]).unwrap();
    assert_eq!(
        put,
        "[panel.roof]\r\nfaces = \"up\"\r\n\r\n[panel.roof.keep_out.fin]\r\nwidth = \"1 in\"\r\n\r\n[cup.A]\r\npart = \"x\""
    );
    let last = "[panel.roof]\nfaces = \"up\"";
    assert_eq!(
        table(last, "panel.roof.keep_out.fin", &[("width", "1 in")]).unwrap(),
        "[panel.roof]\nfaces = \"up\"\n\n[panel.roof.keep_out.fin]\nwidth = \"1 in\""
    );
    // Two panels: it stands with its own.
    let two =
        "[panel.a]\nx = 1\n[panel.a.keep_out.m]\ny = 2   # here\n# and here\n\n# of b\n[panel.b]\nx = 1\n";
    assert_eq!(
        table(two, "panel.a.keep_out.n", &[("length", "1 in")]).unwrap(),
        "[panel.a]\nx = 1\n[panel.a.keep_out.m]\ny = 2   # here\n# and here\n\n[panel.a.keep_out.n]\nlength = \"1 in\"\n\n# of b\n[panel.b]\nx = 1\n"
    );
    // Between braces a heading does not go: told, not broken.
    let braces = "panel = { roof = { faces = \"up\" } }\n";
    assert!(table(braces, "panel.roof.keep_out.fin", &[("width", "1 in")]).is_err());
}

#[test]
fn what_cannot_be_kept_clear_is_told() {
    let first = example("estate-arm");
    for (key, with, says) in [
        ("panel.roof.keep_out.aerial", ROOF_LIGHT, "the file has a `panel.roof.keep_out.aerial` already"),
        ("panel.lid.keep_out.fin", ROOF_LIGHT, "the file has no `panel.lid`"),
        ("panel.roof.keep_out", ROOF_LIGHT, "is no table of the format"),
        ("panel.roof.wings.fin", ROOF_LIGHT, "is no table of the format"),
        ("panel.roof.keep_out.fin", &[("depth", "1 m")], "has no `panel.roof.keep_out.fin.depth`"),
    ] {
        let fault = table(&first, key, with).unwrap_err();
        assert!(fault.what.contains(says), "{key}: {fault}");
    }
    // What is typed is the reader's to judge.
    let odd = table(&first, "panel.roof.keep_out.fin", &[("length", "3 lb"), ("width", "1 m\"")]).unwrap();
    assert!(reading(&odd).has_errors() && odd.contains("width = \"1 m\\\"\""), "{odd}");
}
