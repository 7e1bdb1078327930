//! The survey and the standing, asked for as a browser asks: every step of every rig, what is saved, what is refused.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]
#[allow(dead_code, reason = "each test file uses its own share")]
mod asking;
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;
mod served;

use asking::{Server, Told};
use common::folder;
use std::path::PathBuf;

const RIGS: [&str; 5] = ["bonnet-camera", "door-camera", "estate-arm", "pickup-arm", "pickup-arm-mended"];

fn example(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    std::fs::read_to_string(path).expect("the example is there")
}

/// A server over these examples and its folder.
fn served(name: &str, rigs: &[&str]) -> (Server, PathBuf) {
    let place = folder(name);
    std::fs::write(place.join("kit.toml"), example("kit.toml")).unwrap();
    for rig in rigs {
        let rig = format!("{rig}.toml");
        std::fs::write(place.join(&rig), example(&rig)).unwrap();
    }
    (Server::over(&place), place)
}

fn escaped(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, b| {
        use std::fmt::Write as _;
        let _ = if b.is_ascii_alphanumeric() {
            write!(out, "{}", char::from(b))
        } else {
            write!(out, "%{b:02X}")
        };
        out
    })
}

/// A value of a hidden field.
fn hidden(page: &str, name: &str) -> String {
    let start = format!("name=\"{name}\" value=\"");
    page.split(&start).nth(1).expect("the field is there").split('"').next().unwrap().to_owned()
}

/// Sends a form of the survey of the estate car, with the revision that the page has or another one.
fn send(server: &Server, revision: Option<&str>, fields: &[(&str, &str)]) -> Told {
    let page = server.get("/rig/estate-arm/survey").text();
    let revision = revision.map_or_else(|| hidden(&page, "revision"), str::to_owned);
    let mut form = format!("revision={revision}");
    for (name, value) in fields {
        form.extend(["&", name, "=", escaped(value).as_str()]);
    }
    server.post("/rig/estate-arm/survey", &form)
}

/// Lines that went and lines that came.
fn lines(before: &str, after: &str) -> (Vec<String>, Vec<String>) {
    let only =
        |a: &str, b: &str| a.lines().filter(|l| !b.lines().any(|m| m == *l)).map(str::to_owned).collect();
    (only(before, after), only(after, before))
}

#[test]
fn every_step_of_every_rig_opens_with_a_picture_that_says_what_it_shows() {
    let (server, _) = served("survey-every", &RIGS);
    for rig in RIGS {
        let page = server.get(&format!("/rig/{rig}/survey")).text();
        let start = format!("href=\"/rig/{rig}/survey?step=");
        let walk = page.split("id=\"walk\"").nth(1).expect("all steps are listed");
        let steps: Vec<&str> = walk.split(&start).skip(1).map(|s| s.split('#').next().unwrap()).collect();
        assert!(steps.len() > 40, "{rig}: {}", steps.len());
        // The others ask what the estate car asks.
        let most = if matches!(rig, "door-camera" | "estate-arm") { usize::MAX } else { 3 };
        for (i, step) in steps.iter().enumerate().take(most) {
            let told = server.get(&format!("/rig/{rig}/survey?step={step}"));
            let page = told.text();
            assert_eq!(told.status, 200, "{rig} {step}: {page}");
            let card = page.split("id=\"step\"").nth(1).unwrap().split("</section>").next().unwrap();
            assert!(card.contains(&format!("step {} of {}", i + 1, steps.len())), "{rig} {step}: {card}");
            assert!(card.contains("<svg") && card.contains(": what to measure</title>"), "{rig} {step}");
            let how = card.split("<p class=\"how\">").nth(1).unwrap();
            assert!(!how.starts_with(".</p>") && !how.starts_with("</p>"), "{rig} {step} does not say how");
            // Each value's field has its name, and there is one, or places to keep clear.
            let ids: Vec<&str> =
                card.split("<label for=\"").skip(1).map(|s| s.split('"').next().unwrap()).collect();
            assert!(ids.iter().all(|id| card.contains(&format!("id=\"{id}\""))), "{rig} {step}");
            assert!(!ids.is_empty() || step.ends_with("keep_out"), "{rig} {step}");
        }
    }
    // A step that is none is the first.
    assert!(server.get("/rig/estate-arm/survey?step=x.y").text().contains("step 1 of"));
}

#[test]
fn what_is_saved_stands_in_the_file_with_its_remark_and_is_taken_back() {
    let (server, folder) = served("survey-save", &["estate-arm"]);
    let file = folder.join("estate-arm.toml");
    let before = std::fs::read_to_string(&file).unwrap();
    let step = "vehicle.datum.aft";
    let told = send(
        &server,
        None,
        &[("does", "set"), ("step", "vehicle.mass"), ("key", "vehicle.mass"), ("value", " 3300 lb ")],
    );
    assert_eq!(told.status, 303, "{}", told.text());
    assert!(told.head.contains("location: /rig/estate-arm/survey?step=vehicle.mass"), "{}", told.head);
    let after = std::fs::read_to_string(&file).unwrap();
    let (gone, came) = lines(&before, &after);
    assert_eq!(gone, ["mass = \"1480 kg\"               # weighed, full tank, nobody inside"]);
    assert_eq!(came, ["mass = \"3300 lb\"               # weighed, full tank, nobody inside"]);
    let page = server.get("/rig/estate-arm/survey?step=vehicle.mass").text();
    assert!(page.contains("1500 kg (3300 lb)"), "the echo: {page}");
    // In inches where the rest is metric; what is not there comes in.
    assert_eq!(
        send(&server, None, &[("does", "set"), ("step", step), ("key", step), ("value", "3 ft 5-3/8 in")])
            .status,
        303
    );
    assert_eq!(
        send(&server, None, &[("does", "set"), ("key", "panel.roof.friction"), ("value", "0.45")]).status,
        303
    );
    let more = std::fs::read_to_string(&file).unwrap();
    assert!(more.contains("aft = \"3 ft 5-3/8 in\", up = \"1.43 m\" }   # windscreen's top edge"), "{more}");
    assert_eq!(lines(&after, &more).1.len(), 2);
    for _ in 0..3 {
        assert_eq!(server.post("/rig/estate-arm/undo", "back=/rig/estate-arm/survey").status, 303);
    }
    assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
}

#[test]
fn a_straightedge_gives_the_crown() {
    let (server, folder) = served("survey-crown", &["estate-arm"]);
    let key = "panel.roof.crown_across";
    // R = L²/8h: 1.2 m over a gap of 2 in at its ends.
    let told = send(
        &server,
        None,
        &[("does", "crown"), ("step", key), ("key", key), ("long", "1.2 m"), ("gap", "2 in")],
    );
    assert_eq!(told.status, 303, "{}", told.text());
    let text = std::fs::read_to_string(folder.join("estate-arm.toml")).unwrap();
    let stated = rig::written(&text, key).unwrap();
    let radius = quantity::parse_kind(&stated, quantity::Kind::Length).unwrap();
    assert!((radius - 1.2 * 1.2 / (8.0 * 0.0508)).abs() < 0.005, "{stated}");
    assert_eq!(
        send(&server, None, &[("does", "crown"), ("key", key), ("long", "1.2 m"), ("gap", "0 mm")]).status,
        303
    );
    assert_eq!(
        rig::written(&std::fs::read_to_string(folder.join("estate-arm.toml")).unwrap(), key).unwrap(),
        "flat"
    );
    let told = send(
        &server,
        None,
        &[("does", "crown"), ("step", key), ("key", key), ("long", "1.2"), ("gap", "5 mm")],
    );
    let page = told.text();
    assert!(
        told.status == 422 && page.contains("straightedge's length") && page.contains("value=\"5 mm\""),
        "{page}"
    );
}

#[test]
fn what_cannot_be_is_told_beside_its_field_and_what_was_typed_stays() {
    let (server, folder) = served("survey-wrong", &["estate-arm"]);
    let file = folder.join("estate-arm.toml");
    let before = std::fs::read_to_string(&file).unwrap();
    for (key, value, says) in [
        ("vehicle.wheelbase", "2.68 lb", "a length is wanted here"),
        ("vehicle.wheelbase", "2.68", "unit"),
        ("vehicle.wheelbase", "68 m", "8 m"),
        ("vehicle.wheelbase", "4.5 m", "the car is shorter than its wheelbase"),
        ("vehicle.wheelbase", "  ", "Nothing is typed"),
        ("panel.roof.crown_along", "0.4 m", "crowned too tightly"),
        ("vehicle.wheelbase", "\"><script>alert(1)</script>", "script"),
    ] {
        let told = send(&server, None, &[("does", "set"), ("step", key), ("key", key), ("value", value)]);
        let page = told.text();
        assert_eq!(told.status, 422, "{key} {value}: {page}");
        let typed = value.replace('"', "&quot;").replace('<', "&lt;").replace('>', "&gt;");
        let card = page.split("id=\"step\"").nth(1).unwrap();
        assert!(card.to_lowercase().contains(&says.to_lowercase()), "{key} {value}: {card}");
        assert!(
            card.contains(&format!("value=\"{typed}\"")) && card.contains("aria-invalid=\"true\""),
            "{card}"
        );
        assert!(!page.contains("<script>alert"), "{page}");
    }
    assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
}

#[test]
fn two_who_measure_at_once_lose_nothing() {
    let (server, folder) = served("survey-both", &["estate-arm"]);
    let page = server.get("/rig/estate-arm/survey").text();
    let seen = hidden(&page, "revision");
    let of = |key: &str, value: &str| {
        send(&server, Some(&seen), &[("does", "set"), ("step", key), ("key", key), ("value", value)])
    };
    assert_eq!(of("vehicle.wheelbase", "2.69 m").status, 303);
    assert_eq!(of("vehicle.width", "1.82 m").status, 303, "another value goes in beside it");
    let told = of("vehicle.wheelbase", "2.70 m");
    let page = told.text();
    assert_eq!(told.status, 409, "{page}");
    assert!(page.contains("from 2.68 m to 2.69 m") && page.contains("value=\"2.70 m\""), "{page}");
    let text = std::fs::read_to_string(folder.join("estate-arm.toml")).unwrap();
    assert!(text.contains("wheelbase = \"2.69 m\"") && text.contains("width = \"1.82 m\""));
}

#[test]
fn a_place_to_keep_clear_is_put_in_changed_and_taken_out() {
    let (server, folder) = served("survey-clear", &["estate-arm"]);
    let file = folder.join("estate-arm.toml");
    let before = std::fs::read_to_string(&file).unwrap();
    let table = "panel.roof.keep_out";
    let sunroof = [
        ("does", "keep_out"),
        ("step", table),
        ("key", table),
        ("tag", "sun roof"),
        ("aft", "13-5/8 in"),
        ("left", "-20 mm"),
    ];
    let wrong: Vec<_> = sunroof.iter().copied().chain([("length", "40 lb"), ("width", "24 in")]).collect();
    let told = send(&server, None, &wrong);
    let page = told.text();
    assert!(told.status == 422 && page.contains("a length is wanted here"), "{page}");
    for typed in ["sun roof", "13-5/8 in", "-20 mm", "40 lb", "24 in"] {
        assert!(page.contains(&format!("value=\"{typed}\"")), "{typed} is lost: {page}");
    }
    assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
    let right: Vec<_> = sunroof.iter().copied().chain([("length", "400 mm"), ("width", "24 in")]).collect();
    assert_eq!(send(&server, None, &right).status, 303);
    let (gone, came) = lines(&before, &std::fs::read_to_string(&file).unwrap());
    assert_eq!((gone.len(), came[0].as_str()), (0, "[panel.roof.keep_out.\"sun roof\"]"), "{came:?}");
    let again = send(&server, None, &right);
    assert!(again.status == 422 && again.text().contains("already"));
    let page = server.get(&format!("/rig/estate-arm/survey?step={table}")).text();
    assert!(page.contains("<h3>Sun roof</h3>") && page.contains("<h3>Aerial</h3>"), "{page}");
    let key = "panel.roof.keep_out.\"sun roof\"";
    let width = format!("{key}.width");
    assert_eq!(
        send(&server, None, &[("does", "set"), ("step", table), ("key", &width), ("value", "25 in")]).status,
        303
    );
    assert!(std::fs::read_to_string(&file).unwrap().contains("width = \"25 in\""));
    assert_eq!(send(&server, None, &[("does", "remove"), ("step", table), ("key", key)]).status, 303);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
}

#[test]
fn what_is_assumed_is_counted_and_led_to() {
    let (server, _) = served("survey-open", &["door-camera"]);
    let page = server.get("/rig/door-camera/survey").text();
    let top = page.split("id=\"assumed\"").nth(1).unwrap().split("</ul>").next().unwrap();
    assert!(top.contains("still assumed or missing"), "{top}");
    assert!(top.contains("?step=aboard.crew.mass") || top.contains("Aboard: crew"), "a range is open: {top}");
    // The verdict's own HOLDs are said at the step that ends them.
    let path = "/rig/door-camera/survey?step=panel.door.pull_limit";
    let page = server.until(path, "HOLD until it is known");
    assert!(page.contains("missing"), "{page}");
}

#[test]
fn a_job_stands_as_the_command_says() {
    let (server, folder) = served("survey-standing", &RIGS);
    let record = folder.join("clingfish.record");
    for name in RIGS {
        let told = server.post("/job", &format!("rig={name}"));
        assert_eq!(told.status, 303, "{name}: {}", told.text());
        let build = told.head.lines().find_map(|l| l.strip_prefix("location: ")).unwrap().trim().to_owned();
        let path = build.replace("/build", "/standing");
        let id = path.split('/').nth(2).unwrap().to_owned();
        let first = server.get(&path);
        assert_eq!(first.status, 200);
        assert!(first.text().contains("Working it out"), "{}", first.text());
        let page = server.until(&path, "<h2>Missing</h2>");
        let said =
            common::run_with(&["go", "--record", record.to_str().unwrap(), "--job", &id, "--json"], "");
        let said: serde_json::Value = serde_json::from_str(&said.out).unwrap();
        assert!(page.contains(&format!("<b>{}</b>", said["answer"].as_str().unwrap())), "{name}: {page}");
        for list in ["against", "missing"] {
            for reason in said[list].as_array().unwrap() {
                let what = reason["what"].as_str().unwrap();
                let what = what
                    .replace('&', "&amp;")
                    .replace('<', "&lt;")
                    .replace('>', "&gt;")
                    .replace('"', "&quot;");
                assert!(page.contains(&what[1..]), "{name}: no {what} in {page}");
            }
        }
        assert!(page.contains(said["last_hash"].as_str().unwrap()), "{name}");
        // Not worked out again while nothing is written; anew when something is.
        assert!(!server.get(&path).text().contains("Working it out"), "{name}");
        if name == "bonnet-camera" {
            let told = server.post(
                &path.replace("/standing", "/rounds"),
                "cup=FL&vacuum=80+kPa&token=0123456789abcdef0123456789abcdef",
            );
            assert_eq!(told.status, 303, "{}", told.text());
            let page = server.get(&path).text();
            assert!(
                page.contains("Working it out") && page.contains("Before the newest entry it was"),
                "{page}"
            );
            server.until(&path, "<h2>Missing</h2>");
        }
    }
    assert_eq!(server.get("/job/none/standing").status, 404);
}
