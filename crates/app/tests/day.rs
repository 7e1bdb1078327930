//! A day with the record, by commands: build with holds, a measured value that differs, a slow leak found in time, a lens change,
//! wrap, export, and the same answers from the file taken in elsewhere.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use common::{Ran, folder, run_with};
use std::path::Path;

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

struct Day {
    record: String,
}

impl Day {
    /// Runs a command at a time of the day; `by` is named where it is taken.
    fn ran(&self, at: &str, args: &[&str]) -> Ran {
        let at = format!("2026-11-28 {at}");
        let mut all = args.to_vec();
        all.extend(["--record", &self.record, "--zone", "UTC", "--at", &at]);
        run_with(&all, "")
    }

    fn by(&self, at: &str, args: &[&str]) -> Ran {
        self.ran(at, &[args, &["--by", "R. Berg"]].concat())
    }

    /// The same, and it must be taken.
    fn does(&self, at: &str, args: &[&str]) -> String {
        let ran = self.by(at, args);
        assert_eq!(ran.status, 0, "{args:?}: {}{}", ran.out, ran.err);
        words(&ran.out)
    }

    fn refused(&self, at: &str, args: &[&str], says: &str) {
        let ran = self.by(at, args);
        assert_eq!(ran.status, 2, "{args:?}: {}", ran.out);
        assert!(words(&ran.err).contains(says), "{args:?}: {}", ran.err);
    }
}

fn example(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name).to_string_lossy().into_owned()
}

/// Does all steps that are left, in order, writing down what the plan says where a value is asked for, up to a step.
fn build_up_to(day: &Day, at: &str, last: &str) {
    let built = run_with(&["build", &example("estate-arm.toml"), "--json"], "");
    let order: serde_json::Value = serde_json::from_str(&built.out).unwrap();
    let entries: serde_json::Value =
        serde_json::from_str(&day.ran(at, &["job", "show", "--json"]).out).unwrap();
    let known = |kind: &str, about: &str| {
        entries["entries"].as_array().unwrap().iter().any(|e| {
            e["kind"] == kind
                && e["about"] == about
                && (kind != "step" || e["words"].as_str().unwrap().starts_with("done"))
        })
    };
    for step in order["steps"].as_array().unwrap() {
        let name = step["name"].as_str().unwrap();
        if !known("step", name) {
            let mut note: Vec<&str> = Vec::new();
            for record in step["records"].as_array().unwrap() {
                let key = record["key"].as_str().unwrap();
                let kind = record["kind"].as_str().unwrap();
                if kind == "note" {
                    note = vec!["--note", "as planned"];
                    continue;
                }
                if kind == "reading" {
                    day.ran(at, &["round", &format!("{key}=23 inHg"), "--by", "R. Berg"]);
                    continue;
                }
                if known(kind, key) {
                    continue;
                }
                let value = match key.rsplit('.').next().unwrap() {
                    "torque" if key.starts_with("leg") => "40 N·m",
                    "torque" => "50 N·m",
                    "pretension" if key.contains("ahead") => "300 N",
                    "pretension" => "450 N",
                    "mass" if key.starts_with("payload") => "5.9 kg",
                    "mass" => "25 kg",
                    "aft" if key.contains(".F") => "380 mm",
                    "aft" if key.contains(".M") => "880 mm",
                    "aft" => "1380 mm",
                    _ => "420 mm",
                };
                let command = match kind {
                    "torque" => "torque",
                    "weight" => "weigh",
                    _ => "measure",
                };
                day.does(at, &["job", command, key, value, "--with", "tool"]);
            }
            day.does(at, &[&["job", "done", name], &note[..]].concat());
        }
        if !step["signed_by"].is_null() && !known("signature", name) {
            let role = step["signed_by"].as_str().unwrap();
            let by = if role.starts_with("second") { "M. Lind" } else { "R. Berg" };
            if by == "M. Lind" {
                day.refused(at, &["job", "sign", name], "has signed as the first");
            }
            day.does(at, &["job", "sign", name, "--name", by]);
        }
        if name == last {
            return;
        }
    }
}

#[test]
fn a_day_from_plan_to_wrap_and_the_same_answers_elsewhere() {
    let folder = folder("a_day");
    let path = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let day = Day { record: path("harbour.record") };
    let none = day.ran("13:00", &["go"]);
    assert!(none.status == 2 && words(&none.err).contains("there is no record"), "{}", none.err);

    // Plan.
    let begun =
        day.does("14:00", &["job", "start", &example("estate-arm.toml"), "--name", "Harbour, night 2"]);
    assert!(begun.contains("Harbour, night 2"), "{begun}");

    // Nobody builds in the wrong order, or past a hold point, or without writing down.
    day.refused("14:01", &["job", "done", "cup FL: place"], "is not its turn: \"cup FL: seat\" first");
    day.refused("14:01", &["job", "done", "car: look over"], "is not written down: damage found");
    day.does("14:05", &["job", "done", "car: look over", "--note", "scratch, left rear door; owner agreed"]);
    let held = day.does("14:20", &["job", "done", "car: survey", "--note", "as planned"]);
    assert!(held.contains("HOLD POINT: rigging technician signs"), "{held}");
    day.refused("14:21", &["job", "done", "panel roof: clean"], "waits for a signature: \"car: survey\"");
    day.refused("14:21", &["job", "sign", "panel roof: clean"], "is no hold point");
    day.refused("14:21", &["job", "leave", "car: survey", "--why", "no time"], "cannot be left out");
    day.does("14:22", &["job", "sign", "car: survey"]);
    let done = day.does("14:30", &["job", "done", "panel roof: clean", "cup *: seat"]);
    assert!(done.contains("done: cup RR: seat"), "{done}");

    // A wrong value is told in its place and not kept.
    day.refused("14:35", &["job", "measure", "cup.FL.aft", "38 apples", "--with", "tape"], "38 apples");
    day.refused(
        "14:35",
        &["job", "measure", "cup.XX.aft", "38 mm", "--with", "tape"],
        "the plan has no [cup.XX] to measure",
    );
    day.refused("14:35", &["round", "FL=on the mark"], "cup FL");
    day.refused("14:35", &["round", "FX=80 kPa"], "no cup is called \"FX\"");
    day.refused("14:35", &["round", "FL=2 bar"], "is no vacuum");

    // A cup stands elsewhere than planned; all else as planned, up to the walk-round.
    day.does("14:40", &["job", "measure", "cup.MR.aft", "905 mm", "--with", "tape"]);
    day.does("14:41", &["job", "measure", "cup.MR.right", "418 mm", "--with", "tape"]);
    build_up_to(&day, "15:00", "stop button: try");
    let open = day.ran("15:05", &["go", "--json"]);
    let open: serde_json::Value = serde_json::from_str(&open.out).unwrap();
    assert_eq!(open["answer"], "HOLD");
    let missing = open["missing"].to_string();
    assert!(missing.contains("4 steps are not done") && missing.contains("car: height"), "{missing}");
    let measured = open["measured"].to_string();
    assert!(measured.contains("cup.MR.aft") && measured.contains("905 mm"), "{measured}");
    assert!(!open["margins"].as_array().unwrap().is_empty(), "the cup's place moves some margin");
    build_up_to(&day, "15:10", "rig: released");
    let go = day.by("15:12", &["go", "--keep"]);
    assert_eq!(go.status, 0, "{}{}", go.out, go.err);
    let said = words(&go.out);
    assert!(said.contains("GO") && said.contains("cup.MR.aft: 905 mm (planned 880 mm)"), "{said}");
    assert!(said.contains("Next round of the gauges by 28 Nov 16:10"), "{said}");

    // Rounds: one cup leaks, slowly.
    let gauges = |at: &str, leaking: &str| {
        let all = ["FL=23 inHg", "FR=23 inHg", "ML=23 inHg", "MR=23 inHg", leaking, "RR=23 inHg"];
        day.by(at, &[&["round"], &all[..]].concat())
    };
    gauges("15:30", "RL=72 kPa");
    let later = gauges("15:50", "RL=66 kPa");
    assert_eq!(later.status, 10, "{}", later.out);
    let text = words(&later.out);
    assert!(text.contains("cup RL LOOK") && text.contains("leaks more than the others"), "{text}");
    let rounds: serde_json::Value =
        serde_json::from_str(&day.ran("15:50", &["round", "--json", "--chart", &path("rounds.svg")]).out)
            .unwrap();
    let rl = &rounds["cups"][4];
    let (low, high) =
        (rl["leak"]["low_pa_per_s"].as_f64().unwrap(), rl["leak"]["high_pa_per_s"].as_f64().unwrap());
    // 6 kPa in 20 min.
    assert!(low < 5.0 && 5.0 < high, "{low} {high}");
    // Found in time: hours before it would let go, and the next round is due sooner than the plan's hour.
    let earliest = rl["earliest_to_least_s"].as_f64().unwrap();
    assert!((3600.0..6.0 * 3600.0).contains(&earliest), "{earliest}");
    assert!(std::fs::read_to_string(path("rounds.svg")).unwrap().contains("round by round"));
    let hold = day.ran("15:51", &["go"]);
    assert_eq!(hold.status, 10, "{}", hold.out);
    let text = words(&hold.out);
    assert!(
        text.contains("cup RL leaks more than the others") && text.contains("cup RL read at 66 kPa"),
        "{text}"
    );
    // Lip wiped, pumped: it holds again.
    day.by("16:00", &["round", "RL=79 kPa", "--pumped"]);
    day.does("16:00", &["job", "note", "grit under the lip, wiped", "--about", "cup RL"]);
    let again = gauges("16:05", "RL=79 kPa");
    assert_eq!(again.status, 0, "{}", again.out);

    // A lens change: the payload that was weighed is another one now.
    let lens = std::fs::read_to_string(example("estate-arm.toml"))
        .unwrap()
        .replace("mass = \"5.9 kg\"", "mass = \"6.6 kg\"");
    std::fs::write(path("lens.toml"), lens).unwrap();
    std::fs::copy(example("kit.toml"), path("kit.toml")).unwrap();
    day.does("16:10", &["job", "change", &path("lens.toml")]);
    let stale = words(&day.ran("16:11", &["go"]).out);
    assert!(stale.contains("payload.mass was measured as 5.9 kg before the plan was changed"), "{stale}");
    // The payload's own steps, the hold points after them, and the last looks come again.
    assert!(stale.contains("8 steps are not done") && stale.contains("next: \"payload: weigh\""), "{stale}");
    day.refused("16:12", &["job", "done", "rig: walk round"], "first");
    day.does("16:12", &["job", "weigh", "payload.mass", "6.6 kg", "--with", "luggage scale"]);
    day.does("16:15", &["job", "done", "payload: weigh", "payload: hang"]);
    for hold in ["arm: balance", "stop button: try"] {
        day.does("16:18", &["job", "done", hold, "--note", "stays, 1 kg put on"]);
        day.does("16:18", &["job", "sign", hold]);
    }
    build_up_to_last(&day, "16:20");
    let go = day.by("16:21", &["go", "--keep"]);
    assert_eq!(go.status, 0, "{}{}", go.out, go.err);

    // Rain.
    day.does("16:30", &["job", "weather", "--surface", "wet", "--temperature", "9 C"]);
    let wet = day.ran("16:31", &["go"]);
    assert_ne!(wet.status, 0, "{}", wet.out);
    assert!(words(&wet.out).contains("weather: 9 C, wet"), "{}", wet.out);

    // Wrap.
    day.does("22:00", &["job", "damage", "car", "roof", "no marks, wiped", "--sound"]);
    day.does("22:01", &["job", "note", "stripped, kit in its cases"]);
    let verified = day.does_plain("22:02", &["job", "verify"]);
    assert!(verified.contains("none changed"), "{verified}");
    let job = path("harbour.job");
    let exported = day.does_plain("22:03", &["job", "export", &job]);
    assert!(exported.contains("entries of Harbour, night 2 written"), "{exported}");

    // Elsewhere.
    let other = Day { record: path("office.record") };
    let taken = other.does_plain("23:00", &["job", "import", &job]);
    assert!(taken.contains("a new job, Harbour, night 2"), "{taken}");
    assert!(other.does_plain("23:01", &["job", "import", &job]).contains(": 0 entries taken in"));
    let (here, there) = (day.ran("22:30", &["go", "--json"]), other.ran("22:30", &["go", "--json"]));
    assert_eq!((here.status, &here.out), (there.status, &there.out));
    let rounds = |d: &Day| d.ran("16:40", &["round", "--json"]).out;
    assert_eq!(rounds(&day), rounds(&other));
}

/// The last looks, again.
fn build_up_to_last(day: &Day, at: &str) {
    day.does(at, &["job", "done", "car: height", "--note", "2.36 m"]);
    let all = ["FL=23 inHg", "FR=23 inHg", "ML=23 inHg", "MR=23 inHg", "RL=79 kPa", "RR=23 inHg"];
    day.by(at, &[&["round"], &all[..]].concat());
    day.does(at, &["job", "done", "rounds: first", "rig: walk round"]);
    day.does(at, &["job", "sign", "rig: walk round"]);
    day.does(at, &["job", "done", "rig: released", "--note", "one firm stop, gauges as before"]);
    day.does(at, &["job", "sign", "rig: released", "--name", "M. Lind"]);
}

impl Day {
    fn does_plain(&self, at: &str, args: &[&str]) -> String {
        let ran = self.ran(at, args);
        assert_eq!(ran.status, 0, "{args:?}: {}{}", ran.out, ran.err);
        words(&ran.out)
    }
}
