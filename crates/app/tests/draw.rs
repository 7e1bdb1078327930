//! `clingfish draw`: what is written where, what is said, and what is refused.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{Ran, fits, folder, plate, plate_with, run_with};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The views, which every rig has.
const VIEWS: [&str; 4] = ["plan", "side", "front", "corner"];

fn drawn(args: &[&str], rig: &str) -> Ran {
    let all: Vec<&str> = ["draw", "-"].iter().chain(args).copied().collect();
    let ran = run_with(&all, rig);
    fits(&ran.err);
    ran
}

/// What is said of a wrong command, its folder left out.
fn refused(name: &str, args: &[&str], rig: &str) {
    let ran = drawn(args, rig);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{}", ran.err);
    insta::assert_snapshot!(name, ran.err);
}

fn svg(args: &[&str], rig: &str) -> String {
    let args: Vec<&str> = args.iter().chain(&["--out", "-"]).copied().collect();
    let ran = drawn(&args, rig);
    assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{args:?}");
    assert!(ran.out.starts_with("<svg") && ran.out.trim_end().ends_with("</svg>"), "{:.300}", ran.out);
    ran.out
}

/// All that can be read in a drawing, its line breaks and marks left out.
fn words(svg: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in svg.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                out.push(' ');
            }
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// An example's text, its parts file beside it in a folder of the test's own.
fn example(name: &str, rig: &str, edits: &[(&str, &str)]) -> PathBuf {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut text = std::fs::read_to_string(examples.join(rig)).unwrap();
    for (old, new) in edits {
        assert_eq!(text.matches(old).count(), 1, "{old}");
        text = text.replace(old, new);
    }
    let folder = folder(name);
    std::fs::write(folder.join(rig), text).unwrap();
    std::fs::copy(examples.join("kit.toml"), folder.join("kit.toml")).unwrap();
    folder.join(rig)
}

fn text_of(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn every_view_goes_into_a_folder_that_is_made_for_it() {
    let into = folder("draw_into").join("new/drawings");
    let args = [&VIEWS[..], &["--plain", "--into", text_of(&into)]].concat();
    let ran = drawn(&args, &plate());
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    for view in VIEWS {
        let file = into.join(format!("rig-{view}.svg"));
        assert!(ran.out.contains(&format!("Drawn in {}\n", file.display())), "{}", ran.out);
        assert!(words(&std::fs::read_to_string(file).unwrap()).contains("Plate on a test panel"));
    }
}

#[test]
fn without_a_name_all_goes_into_the_current_folder_under_the_rig_file_s_name() {
    let folder = folder("draw_here");
    std::fs::write(folder.join("night.two.toml"), plate()).unwrap();
    let done = Command::new(env!("CARGO_BIN_EXE_clingfish"))
        .args(["draw", "night.two.toml", "--plain"])
        .current_dir(&folder)
        .output()
        .unwrap();
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    let said = String::from_utf8(done.stdout).unwrap();
    for view in VIEWS {
        let name = format!("night.two-{view}.svg");
        assert!(folder.join(&name).is_file() && said.contains(&format!("Drawn in {name}\n")), "{said}");
    }
    // No arm: nothing to chart by its bearing, and nothing is said of it.
    assert!(!said.contains("bearings") && !folder.join("night.two-bearings.svg").exists(), "{said}");
    let later = Command::new(env!("CARGO_BIN_EXE_clingfish"))
        .args(["draw", "night.two.toml", "plan", "--plain"])
        .current_dir(&folder)
        .output()
        .unwrap();
    assert_eq!(later.stdout, b"Drawn in night.two-plan.svg\n", "an older drawing is written over");
}

#[test]
fn the_same_rig_gives_the_same_drawing_and_each_use_and_view_its_own() {
    let rig = plate();
    let plan = svg(&["plan"], &rig);
    assert_eq!(plan, svg(&["plan"], &rig));
    let mut seen = vec![plan];
    for args in [
        &["side"][..],
        &["front"],
        &["corner"],
        &["corner", "--from", "120 R"],
        &["corner", "--over", "40 deg"],
        &["plan", "--for", "phone"],
        &["plan", "--for", "print"],
        &["plan", "--lost", "A"],
        &["plan", "--plain"],
    ] {
        let drawing = svg(args, &rig);
        assert!(!seen.contains(&drawing), "{args:?}");
        seen.push(drawing);
    }
}

#[test]
fn a_drawing_says_the_verdict_and_what_is_shown() {
    let go = words(&svg(&["plan"], &plate()));
    assert!(go.contains("GO: Every check holds") && go.contains("1.00 is just what is required"), "{go}");
    let plain = words(&svg(&["plan", "--plain"], &plate()));
    assert!(!plain.contains("GO:") && !plain.contains("Numbers on the parts"), "{plain}");
    let no_go = words(&svg(&["plan"], &plate_with("mass = \"4 kg\"", "mass = \"120 kg\"")));
    assert!(no_go.contains("NO-GO: "), "{no_go}");
    let hold = words(&svg(&["plan"], &plate_with("pull_rating = \"800 N\"\n", "")));
    assert!(hold.contains("HOLD: ") && hold.contains("listed by clingfish check"), "{hold}");
    let lost = words(&svg(&["plan", "--lost", "cup b"], &plate()));
    assert!(lost.contains("Shown: cup B lost."), "{lost}");
}

#[test]
fn the_worst_state_of_a_check_is_named_and_shown_with_its_forces() {
    let all = ["side", "--worst", "cup-slip", "--forces", "--moved"];
    let text = words(&svg(&all, &plate()));
    let said = run_with(&["check", "-", "--json"], &plate()).out;
    let json: serde_json::Value = serde_json::from_str(&said).unwrap();
    let worst = json["findings"].as_array().unwrap().iter().filter(|f| f["check"] == "cup-slip");
    let worst =
        worst.min_by(|a, b| a["margin"].as_f64().unwrap().total_cmp(&b["margin"].as_f64().unwrap())).unwrap();
    assert!(text.contains(worst["state"].as_str().unwrap()), "{text}\n{worst}");
    assert!(text.contains("Shown: the least margin of cup-slip") && text.contains("Arrows: "), "{text}");
    assert!(text.contains("Movement drawn") && text.contains("What moves most is "), "{text}");
    assert!(text.contains("GO: ") && !text.contains("Numbers on the parts"), "{text}");
    let both = words(&svg(&[&all[..], &["--margins"]].concat(), &plate()));
    assert!(both.contains("Numbers on the parts"), "{both}");
    let any = words(&svg(&["plan", "--worst", "any"], &plate()));
    assert!(any.contains("Shown: the least margin of all checks of states: "), "{any}");
}

/// Vacuum and cups hold up a weight of 4.5 + 4 kg and three cups: the arrows add up to it.
#[test]
fn forces_of_standing_still_carry_the_weight() {
    let text = words(&svg(&["side", "--forces"], &plate()));
    assert!(text.contains("Shown: standing still on the level."), "{text}");
    let press: Vec<f64> =
        text.split("press ").skip(1).map(|t| t.split_whitespace().next().unwrap().parse().unwrap()).collect();
    let json: serde_json::Value =
        serde_json::from_str(&run_with(&["list", "-", "--json"], &plate()).out).unwrap();
    let rows = json["rows"].as_array().unwrap();
    let mass: f64 =
        rows.iter().filter(|r| r["kind"] != "tether").map(|r| r["mass_kg"].as_f64().unwrap()).sum();
    // Three forces rounded to three digits each.
    assert!(
        press.len() == 3 && (press.iter().sum::<f64>() / 9.806_65 - mass).abs() < 0.1,
        "{press:?} {mass}"
    );
}

#[test]
fn a_boom_points_where_it_is_asked_and_where_it_can() {
    let limits = "pan = { from = \"-120 deg\", to = \"120 deg\" }\nelevation = { from = \"-10 deg\"";
    let rig = example("draw_pose", "estate-arm.toml", &[("elevation = { from = \"-10 deg\"", limits)]);
    let run = |args: &[&str]| {
        let all = [&["draw", text_of(&rig), "plan", "--plain", "--out", "-"], args].concat();
        let ran = run_with(&all, "");
        fits(&ran.err);
        ran
    };
    let at = |args: &[&str]| words(&run(args).out);
    assert!(at(&[]).contains("Shown: boom straight ahead, level, as it is parked."), "{}", at(&[]));
    assert!(at(&["--bearing", "90 L"]).contains("Shown: boom 90° L, level."));
    assert!(at(&["--bearing", "300 deg", "--elevation", "10 deg"]).contains("boom 60° R, 10° up"));
    for (name, args) in [
        ("draw_bearing_out", &["--bearing", "straight back"][..]),
        ("draw_elevation_out", &["--elevation", "40 deg"]),
        ("draw_bearing_wrong", &["--bearing", "90"]),
        ("draw_elevation_wrong", &["--elevation", "ten"]),
    ] {
        let ran = run(args);
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{}", ran.err);
        insta::assert_snapshot!(name, ran.err);
    }
}

#[test]
fn the_mast_foot_s_force_and_moment_are_drawn() {
    let rig = example("draw_mast", "estate-arm.toml", &[]);
    let ran = run_with(&["draw", text_of(&rig), "side", "--plain", "--forces", "--moved", "--out", "-"], "");
    assert_eq!(ran.status, 0, "{}", ran.err);
    let text = words(&ran.out);
    assert!(text.contains("At the mast foot: ") && text.contains("The boom is drawn straight"), "{text}");
}

#[test]
fn wrong_commands_are_refused_with_a_way_to_mend_them() {
    refused("draw_no_such_drawing", &["paln"], &plate());
    refused("draw_wrong_suffix", &["plan", "--out", "plan.png"], &plate());
    refused("draw_two_in_one_file", &["plan", "side", "--out", "both.svg"], &plate());
    refused("draw_no_such_cup", &["plan", "--lost", "AA"], &plate());
    refused("draw_no_such_check", &["plan", "--worst", "cup-slpi"], &plate());
    refused("draw_no_state", &["plan", "--worst", "cup-fit"], &plate());
    refused("draw_no_arm", &["plan", "--bearing", "10 L"], &plate());
    refused("draw_nothing_of_the_kind", &["bearings", "--out", "-"], &plate());
    let both = drawn(&["plan", "--worst", "cup-slip", "--lost", "A"], &plate());
    assert!(both.status == 2 && both.err.contains("cannot be used with"), "{}", both.err);
    let faulty = drawn(&["plan"], &plate_with("mass = \"4.5 kg\"", "mass = \"4.5\""));
    assert!(faulty.status == 2 && faulty.err.contains("error[R005]"), "{}", faulty.err);
}

#[test]
fn a_folder_that_cannot_be_made_and_a_file_that_is_no_drawing_are_left_alone() {
    let folder = folder("draw_blocked");
    std::fs::write(folder.join("file"), "mine").unwrap();
    let into = folder.join("file/drawings");
    let ran = drawn(&["plan", "--plain", "--into", text_of(&into)], &plate());
    assert!(ran.status == 2 && words(&ran.err).contains("cannot make the folder"), "{}", ran.err);
    let into = folder.join("file");
    let ran = drawn(&["plan", "--plain", "--into", text_of(&into)], &plate());
    assert!(ran.status == 2 && words(&ran.err).contains("is not a folder"), "{}", ran.err);
    std::fs::create_dir(folder.join("plan.svg")).unwrap();
    let ran = drawn(&["plan", "--plain", "--out", text_of(&folder.join("plan.svg"))], &plate());
    assert!(ran.status == 2 && words(&ran.err).contains("cannot write"), "{}", ran.err);
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(folder.join("file"), folder.join("name.svg")).unwrap();
        let ran = drawn(&["plan", "--plain", "--out", text_of(&folder.join("name.svg"))], &plate());
        assert!(ran.status == 2 && words(&ran.err).contains("is not the name of a drawing"), "{}", ran.err);
    }
    assert_eq!(std::fs::read_to_string(folder.join("file")).unwrap(), "mine");
}

#[test]
fn a_rig_that_moves_freely_is_drawn_without_forces() {
    // One cup whose head may tilt holds nothing upright.
    let text = plate();
    let (before, cups) = text.split_once("[cup.A]").unwrap();
    let (_, after) = cups.split_once("[platform.plate]").unwrap();
    let cup = cups.split("[cup.B]").next().unwrap().replace("part =", "head = \"free\"\npart =");
    let rig = format!("{before}[cup.A]{cup}[platform.plate]{after}");
    let drawing = words(&svg(&["plan"], &rig));
    assert!(drawing.contains("NO-GO: "), "{drawing}");
    refused("draw_forces_of_a_mechanism", &["plan", "--forces", "--out", "-"], &rig);
    refused("draw_moved_of_a_mechanism", &["plan", "--moved", "--plain", "--out", "-"], &rig);
}

#[test]
fn the_help_and_the_list_name_every_drawing() {
    let listed = run_with(&["draw", "--list"], "").out;
    fits(&listed);
    let help = run_with(&["draw", "--help"], "").out;
    for line in listed.lines() {
        assert!(help.contains(line), "{line}");
    }
    for view in VIEWS {
        assert!(listed.contains(&format!("  {view} ")), "{listed}");
    }
}

#[test]
fn names_that_are_markup_and_names_without_an_end_are_drawn() {
    let name = "a<b>&\"c\" עברית 🚗 ".repeat(40);
    let rig = plate_with("Plate on a test panel", &name.replace('"', "\\\""));
    for view in VIEWS {
        let drawing = svg(&[view, "--plain"], &rig);
        assert!(!drawing.contains("<b>") && !drawing.contains("a<b"), "{view}");
    }
}
