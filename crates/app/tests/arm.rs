//! `clingfish balance` and `clingfish boom`: words, status, JSON, chart.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{Ran, fits, folder, plate, run_with};
use serde_json::Value;
use std::path::Path;

const BEHIND: &str = "behind = \"600 mm\"";
const PLATES: &str = "plates = [\"5 kg\", \"5 kg\", \"2.5 kg\", \"1 kg\", \"0.5 kg\"]\n";
const PAYLOAD: &str = "mass = \"5.9 kg\" ";
const BRACES: &str = "[arm.brace.left]\nalong = \"1.6 m\"\nheight = \"300 mm\"\nleft = \"120 mm\"\ndiameter = \"5 mm\"\n\
material = \"S235\"\n\n[arm.brace.right]\nalong = \"1.6 m\"\nheight = \"300 mm\"\nright = \"120 mm\"\ndiameter = \"5 mm\"\n\
material = \"S235\"\n\n[arm.counterweight]";
const FRONT: &str = "mass = \"2.1 kg\"\n";
const TAIL: &str = "to = \"-650 mm\"\n";
const RING: &str =
    "bolts = { thread = \"M6\", class = \"8.8\", count = 6, circle = \"90 mm\", torque = \"9 N·m\" }\n";

/// The estate car's rig with some texts replaced, run through a command.
fn ran(name: &str, command: &str, more: &[&str], edits: &[(&str, &str)]) -> Ran {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut text = std::fs::read_to_string(examples.join("estate-arm.toml")).unwrap();
    for (old, new) in edits {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replace(old, new);
    }
    let folder = folder(name);
    std::fs::write(folder.join("rig.toml"), text).unwrap();
    std::fs::copy(examples.join("kit.toml"), folder.join("kit.toml")).unwrap();
    let file = folder.join("rig.toml");
    let mut args = vec![command, file.to_str().unwrap()];
    args.extend(more);
    let ran = run_with(&args, "");
    if !more.contains(&"--json") {
        fits(&ran.out);
    }
    fits(&ran.err);
    ran
}

fn json(ran: &Ran) -> Value {
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn plates_for_an_arm() {
    let ran = ran("balance-plates", "balance", &[], &[]);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    insta::assert_snapshot!("balance_plates", ran.out);
}

#[test]
fn a_carrier_that_slides_and_plates_that_come_off() {
    let slides = format!(
        "{BEHIND}\nbehind_from = \"520 mm\"\nbehind_to = \"610 mm\"\nfitted = [\"10 kg\", \"5 kg\", \"2.5 kg\"]"
    );
    let ran = ran(
        "balance-slide",
        "balance",
        &["--payload", "4 kg, 16 lb", "--lens", "350 g,-0.5 lb"],
        &[(BEHIND, &slides)],
    );
    assert_eq!(ran.status, 0, "{}", ran.err);
    insta::assert_snapshot!("balance_slide", ran.out);
}

#[test]
fn a_payload_that_is_not_weighed_is_a_hold() {
    let range = "mass = { value = \"6 kg\", low = \"5 kg\", high = \"8 kg\" } ";
    let held = ran("balance-hold", "balance", &[], &[(PAYLOAD, range)]);
    assert_eq!(held.status, 10);
    insta::assert_snapshot!("balance_hold", held.out);
    for word in ["DO THIS", "margin", "Put on"] {
        assert!(!held.out.contains(word), "{word}");
    }
    let json = json(&ran("balance-hold-json", "balance", &["--json"], &[(PAYLOAD, range)]));
    assert!(json["plans"].is_null() && json["tilt_drive"].is_null() && json["exit_status"] == 10);
    assert_eq!(json["not_weighed"]["facts"][0]["key"], "payload.mass");
    // When the counterweight is a guess as well, no table by payload stands either, and there is nothing to draw.
    let both = [
        (PAYLOAD, range),
        ("mass = \"25.0 kg\"", "mass = { value = \"25 kg\", low = \"23 kg\", high = \"27 kg\" }"),
    ];
    let ran2 = ran("balance-hold-two", "balance", &[], &both);
    assert!(ran2.status == 10 && !ran2.out.contains("OTHER PAYLOADS"), "{}", ran2.out);
    let file = folder("balance-no-chart").join("c.svg");
    let no = ran("balance-hold-chart", "balance", &["--chart", file.to_str().unwrap()], &both);
    assert!(no.status == 2 && no.err.contains("not weighed") && !file.exists(), "{}", no.err);
}

/// From one headline to the next.
fn part<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let start = text.find(from).unwrap();
    &text[start..start + text[start..].find(to).unwrap()]
}

#[test]
fn what_cannot_be_balanced_says_so_and_how_to_mend_it() {
    // No plates, a tail too short for the weight to slide to.
    let heavy = "mass = \"9 kg\" ";
    let none = ran("balance-none", "balance", &[], &[(PLATES, ""), (PAYLOAD, heavy)]);
    insta::assert_snapshot!("balance_no_plates", part(&none.out, "NOW", "WITH THE ANGLE"));
    // A carrier that runs out.
    let slides = format!("{BEHIND}\nbehind_from = \"520 mm\"\nbehind_to = \"620 mm\"");
    let short = ran("balance-short", "balance", &[], &[(PLATES, ""), (PAYLOAD, heavy), (BEHIND, &slides)]);
    insta::assert_snapshot!("balance_carrier_runs_out", part(&short.out, "NOW", "WITH THE ANGLE"));
    // A front that is lighter than the tail.
    let light = ran(
        "balance-light",
        "balance",
        &[],
        &[
            (PAYLOAD, "mass = \"0.1 kg\" "),
            ("mass = \"3.4 kg\"", "mass = \"0.3 kg\""),
            (FRONT, "mass = \"0.1 kg\"\n"),
            ("[isolator]\nmass = \"1.2 kg\"", "[isolator]\nmass = \"0 kg\""),
            ("mass = \"2.6 kg\"", "mass = \"9 kg\""),
        ],
    );
    insta::assert_snapshot!("balance_front_too_light", part(&light.out, "NOW", "WITH THE ANGLE"));
    // More plates than can be tried.
    let many: Vec<String> = (1..=20).map(|k| format!("\"{} g\"", 137 * k)).collect();
    let many = format!("plates = [{}]\n", many.join(", "));
    let many = ran("balance-many", "balance", &[], &[(PLATES, &many)]);
    assert_eq!(many.status, 2);
    insta::assert_snapshot!("balance_too_many_plates", many.err);
}

#[test]
fn drives_decide_the_status() {
    let limit = |to: &'static str| [(", tilt_torque = \"160 N·m\"", to)];
    let hold = ran("balance-no-limit", "balance", &[], &limit(""));
    assert_eq!(hold.status, 10);
    assert!(hold.out.contains("HOLD: its limit is not stated"), "{}", hold.out);
    let weak = ran("balance-weak", "balance", &[], &limit(", tilt_torque = \"70 N·m\""));
    assert_eq!(weak.status, 20);
    assert!(weak.out.contains("TOO MUCH"), "{}", weak.out);
}

#[test]
fn a_rig_without_an_arm_has_no_boom() {
    for command in ["balance", "boom"] {
        let ran = run_with(&[command, "-"], &plate());
        assert_eq!((ran.status, ran.out.as_str()), (2, ""));
        fits(&ran.err);
        insta::assert_snapshot!("no_arm", ran.err);
    }
}

#[test]
fn masses_on_the_command_line_are_told_when_wrong() {
    for (option, asked, says) in [
        ("--payload", "6", "write a mass with its unit"),
        ("--payload", "900 kg", "no mass for the tip"),
        ("--lens", "big", "--lens big"),
    ] {
        let ran = ran("balance-wrong", "balance", &[option, asked], &[]);
        assert!(ran.status == 2 && ran.err.contains(says), "{}", ran.err);
    }
}

#[test]
fn json_and_words_and_chart_agree() {
    let file = folder("balance-chart").join("payloads.svg");
    let ran1 = ran("balance-json", "balance", &["--json", "--chart", file.to_str().unwrap()], &[]);
    let json1 = json(&ran1);
    let svg = std::fs::read_to_string(&file).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("payload") && svg.contains("lb"));
    assert_eq!(json1["plans"]["advised"]["put_on_kg"], serde_json::json!([1.0]));
    // Closed form from paper: A = 7.1 x 1.7 + 3.4 x 0.45 + 2.1 x 1.3 - 2.6 x 0.325 - 25 x 0.6 = 0.485 kg m.
    let level = json1["plans"]["now"]["level_n_m"].as_f64().unwrap();
    assert!((level - 9.806_65 * 0.485).abs() < 1e-9, "{level}");
    // B = -25 x 0.02: the moment at the top of the range, 30 deg.
    let rows = json1["elevations"].as_array().unwrap();
    let top = rows.last().unwrap()["hold_n_m"].as_f64().unwrap();
    let (s, c) = 30.0_f64.to_radians().sin_cos();
    assert!((top - 9.806_65 * (0.485 * c + 0.5 * s)).abs() < 1e-9, "{top}");
    // The drive's check is that of `check`.
    let check = json(&ran("balance-check", "check", &["--json"], &[]));
    let found = check["findings"].as_array().unwrap();
    let tilt = found.iter().find(|f| f["check"] == "tilt-drive" && f["outcome"] == "holds").unwrap();
    let (a, b) = (&tilt["numbers"]["demand"], &json1["tilt_drive"]["check"]["numbers"]["demand"]);
    assert!((a.as_f64().unwrap() / b.as_f64().unwrap() - 1.0).abs() < 1e-9, "{a} {b}");
}

#[test]
fn a_boom_with_braces_and_bolts() {
    let edits = [
        ("[arm.counterweight]", BRACES),
        ("centre = { up = \"-210 mm\" }", "centre = { up = \"-210 mm\", left = \"40 mm\" }"),
        (FRONT, &format!("{FRONT}{RING}")),
        (TAIL, &format!("{TAIL}{RING}")),
    ];
    let words = ran("boom-braced", "boom", &[], &edits);
    assert_eq!((words.status, words.err.as_str()), (0, ""));
    insta::assert_snapshot!("boom_braced", words.out);
    let json = json(&ran("boom-braced-json", "boom", &["--json"], &edits));
    // Twist from paper: m g y L / (G J) over two tubes, G = 26.9 GPa: 5.9 kg at 40 mm.
    assert!(json["fitted"]["twist_rad"].as_f64().unwrap() < 0.0, "the left side goes down");
    assert_eq!(
        (json["without"].as_array().unwrap().len(), json["meetings"].as_array().unwrap().len()),
        (2, 3)
    );
    // Hardly tightened, the joint slips and the answer is NO-GO.
    let loose = RING.replace("9 N·m", "1 N·m");
    let ran3 = ran("boom-loose", "boom", &[], &[(FRONT, &format!("{FRONT}{loose}"))]);
    assert_eq!(ran3.status, 20);
    assert!(ran3.out.contains("FAILS"), "{}", ran3.out);
    // Two bolts are a HOLD.
    let two = RING.replace("count = 6", "count = 2");
    let ran4 = ran("boom-two", "boom", &[], &[(FRONT, &format!("{FRONT}{two}"))]);
    assert_eq!(ran4.status, 10);
    assert!(ran4.out.contains("NOT CHECKED"), "{}", ran4.out);
}

#[test]
fn a_boom_whose_tube_is_not_stated_is_a_hold() {
    let edits = [("tube = \"tube 60.3 x 4.0 EN AW-6082 T6\"\n", "")];
    let words = ran("boom-no-tube", "boom", &[], &edits);
    assert_eq!(words.status, 10);
    insta::assert_snapshot!("boom_no_tube", words.out);
    let json = json(&ran("boom-no-tube-json", "boom", &["--json"], &edits));
    assert_eq!((&json["answer"], &json["key"]), (&"HOLD".into(), &"arm.section.front.tube".into()));
}
