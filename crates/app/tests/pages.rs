//! Every page of a rig, asked for as a browser asks: what stands on it, what is taken away from it, what it refuses.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]
#[allow(dead_code, reason = "each test file uses its own share")]
mod asking;
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;
mod served;

use asking::Server;
use common::folder;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// The pages about a rig, each with a word that it says of any rig.
const PLACES: [(&str, &str); 9] = [
    ("survey", "All steps"),
    ("layout", "<svg"),
    ("margins", "Margins"),
    ("envelope", "How hard the car may go"),
    ("power", "Power"),
    ("arm", "Balance"),
    ("settle", "How the payload settles"),
    ("sheet", "Make the sheet"),
    ("file", ".toml"),
];

/// What would run if it were markup.
const HOSTILE: &str = "<script>alert(1)</script><img src=x onerror=alert(2)>";

fn example(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    std::fs::read_to_string(path).expect("the example is there")
}

/// A server over these examples.
fn served(name: &str, rigs: &[&str]) -> Server {
    let place = folder(name);
    for rig in rigs.iter().chain(&["kit.toml"]) {
        std::fs::write(place.join(rig), example(rig)).unwrap();
    }
    let hostile = common::plate().replacen("name = \"", &format!("name = \"{HOSTILE} "), 1);
    assert!(hostile.contains(HOSTILE), "the rig has its name");
    let hostile =
        hostile.replace("[cup.A]", "[cup.\"A<b onclick=x>\"]").replace("\"A\"", "\"A<b onclick=x>\"");
    std::fs::write(place.join("hostile.toml"), hostile).unwrap();
    std::fs::write(place.join("broken.toml"), common::plate().replacen("name", "nmae", 1)).unwrap();
    Server::over(&place)
}

#[test]
fn every_page_of_every_rig_is_there_and_none_runs_what_a_rig_is_called() {
    let rigs = [
        "bonnet-camera.toml",
        "door-camera.toml",
        "estate-arm.toml",
        "pickup-arm.toml",
        "pickup-arm-mended.toml",
    ];
    let server = served("pages-every", &rigs);
    for rig in rigs.iter().map(|r| r.trim_end_matches(".toml")).chain(["hostile"]) {
        for (place, word) in PLACES {
            let told = server.get(&format!("/rig/{rig}/{place}"));
            let page = told.text();
            assert_eq!(told.status, 200, "{rig}/{place}: {page}");
            assert!(page.contains(word), "{rig}/{place} has no {word}: {page}");
            assert!(page.contains(&format!("· {rig} · clingfish</title>")), "{rig}/{place}: {page}");
            for bad in ["<script>alert", "<img src=x", "<b onclick"] {
                assert!(!page.contains(bad), "{rig}/{place}: {bad}");
            }
        }
    }
    // With what the car does: each manoeuvre, one of them, none that the plan has.
    for rig in rigs.iter().map(|r| r.trim_end_matches(".toml")) {
        let brakes = if rig == "estate-arm" { "what is shown alone" } else { "<svg" };
        for (drive, word) in [("each", "what is shown alone"), ("brake", brakes), ("none+such", "<svg")] {
            let told = server.get(&format!("/rig/{rig}/layout?drive={drive}&forces=yes"));
            assert!(told.status == 200 && told.text().contains(word), "{rig}, {drive}, {word}");
        }
    }
    for (place, _) in PLACES {
        let page = server.get(&format!("/rig/broken/{place}")).text();
        assert!(page.contains("faults") && page.contains("nmae"), "{place}: {page}");
        assert_eq!(server.get(&format!("/rig/none/{place}")).status, 404);
    }
    assert!(server.get("/rig/bonnet-camera/arm").text().contains("This rig has no arm"));
    assert!(server.get("/rig/bonnet-camera/power").text().contains("This rig states no power"));
    let power = server.get("/rig/estate-arm/power").text();
    assert!(power.contains("<svg") && power.contains("Fuse at the battery"));
    let arm = server.get("/rig/estate-arm/arm").text();
    assert!(arm.matches("<figure").count() >= 2, "{arm}");
}

#[test]
fn limits_and_advice_are_asked_for_and_come() {
    let server = served("pages-limits", &["bonnet-camera.toml"]);
    for rig in ["bonnet-camera", "hostile"] {
        let path = format!("/rig/{rig}/envelope");
        let first = server.get(&path).text();
        assert_eq!(first.matches("Work it out</button>").count(), 2, "{first}");
        for work in ["limits", "advice"] {
            assert_eq!(server.post(&path, &format!("work={work}")).status, 303);
        }
        let page = server.until(&path, "These are limits of the rig");
        assert!(page.contains("<figure"), "{page}");
        let page = server.until(&path, "Each change was tried alone");
        assert!(!page.contains("<script>alert") && !page.contains("<img src=x"), "{page}");
    }
    let wrong = server.post("/rig/bonnet-camera/envelope", "work=gold");
    assert_eq!(wrong.status, 422);
}

#[test]
fn sheet_card_and_lists_are_taken_away() {
    let server = served("pages-sheet", &["bonnet-camera.toml"]);
    let page = "/rig/bonnet-camera/sheet";
    assert_eq!(server.get("/rig/bonnet-camera/sheet.pdf").status, 409);
    let told = server.post(page, "date=2026-11-27&revision=3&job=%3Cscript%3Ealert&by=&paper=letter");
    assert_eq!(told.status, 303, "{}", told.text());
    let query = "?date=2026-11-27&revision=3&job=%3Cscript%3Ealert&paper=letter";
    assert!(told.head.contains(&format!("location: {page}{query}")), "{}", told.head);
    let shown = server.until(&format!("{page}{query}"), "Take the PDF");
    assert!(
        shown.contains("Cautions and scope")
            && shown.contains("2026-11-27")
            && !shown.contains("<script>alert"),
        "{shown}"
    );
    let pdf = server.get(&format!("/rig/bonnet-camera/sheet.pdf{query}"));
    assert!(pdf.body.starts_with(b"%PDF"), "{}", pdf.head);
    assert!(pdf.head.contains("application/pdf"), "{}", pdf.head);
    assert!(
        pdf.head.contains("content-disposition: attachment; filename=\"bonnet-camera-sheet.pdf\""),
        "{}",
        pdf.head
    );
    assert_eq!(
        server.get("/rig/bonnet-camera/sheet.pdf?date=1999").status,
        409,
        "another cover is another sheet"
    );
    let long = server.post(page, &format!("job={}", "x".repeat(61)));
    assert!(long.status == 422 && long.text().contains("longer than 60"), "{}", long.text());
    // The lists are what the command prints.
    let rig = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples/bonnet-camera.toml");
    let rig = rig.to_str().unwrap();
    server.until(page, "checks.csv");
    for (file, args) in [
        ("parts.csv", ["list", rig, "parts", "--csv"].as_slice()),
        ("checks.csv", &["list", rig, "checks", "--csv"]),
        ("check.json", &["check", rig, "--json"]),
    ] {
        assert_eq!(
            server.get(&format!("/rig/bonnet-camera/{file}")).text(),
            common::run_with(args, "").out,
            "{file}"
        );
    }
    assert_eq!(server.get("/rig/bonnet-camera/card.pdf").status, 409);
    assert_eq!(server.post("/rig/bonnet-camera/envelope", "work=limits").status, 303);
    server.until("/rig/bonnet-camera/envelope", "In words");
    let card = server.get("/rig/bonnet-camera/card.pdf");
    let answer = common::run_with(&["check", rig], "");
    if answer.status == 0 {
        assert!(card.body.starts_with(b"%PDF"), "{}", card.head);
    } else {
        assert!(card.status == 409 && card.text().contains("No card"), "{}", card.text());
    }
}

#[test]
fn a_log_is_looked_at_and_a_wrong_one_is_told() {
    let server = served("pages-settle", &["bonnet-camera.toml"]);
    let good = server.log("bonnet-camera", "bounce-release.csv", example("bounce-release.csv").as_bytes());
    let page = good.text();
    assert_eq!(good.status, 200, "{page}");
    assert!(
        page.contains("damping ratio       0.1178 +- 0.0019 (95 %)") && page.contains("<figure"),
        "{page}"
    );
    for (name, log, words) in [
        ("empty.csv", b"".as_slice(), "No log was chosen"),
        ("<img src=x>.csv", b"\xff\xfe\x00", "is not plain text"),
        ("words.csv", b"this is a letter\nand no log", "Words.csv"),
    ] {
        let told = server.log("bonnet-camera", name, log);
        let page = told.text();
        assert!(
            told.status == 422 && page.contains(words) && page.contains("class=\"wrong\""),
            "{name}: {page}"
        );
        assert!(!page.contains("<img"), "{page}");
    }
    let large = server.log("bonnet-camera", "large.csv", &vec![b'1'; (8 << 20) + 1]);
    assert!(
        large.status == 413 && large.text().contains("larger than 8 MB"),
        "{} {}",
        large.status,
        large.text()
    );
    assert_eq!(server.ask("POST", "/rig/bonnet-camera/settle", "text/plain", b"x").status, 400);
}

#[test]
fn what_everybody_must_see_stands_on_the_next_page_also_without_a_script() {
    let server = served("pages-alerts", &["bonnet-camera.toml"]);
    let begun = server.post("/job", "rig=bonnet-camera");
    let build = begun.head.lines().find_map(|l| l.strip_prefix("location: ")).unwrap().to_owned();
    let rounds = build.replace("/build", "/rounds");
    let empty = "aria-live=\"assertive\"></section>";
    assert!(server.get("/me").text().contains(empty));
    let read = |cup: &str, vacuum: &str, waited: u64| {
        let token = format!("{cup}-{vacuum}-{waited}-of-this-test").replace(' ', "-");
        let form = format!("cup={cup}&vacuum={vacuum}&pumped=yes&waited={waited}&token={token}");
        assert_eq!(server.post(&rounds, &form).status, 303);
    };
    // One hour and eleven minutes ago; the rig's policy asks for a round each hour.
    for cup in ["FL", "FR", "R"] {
        read(cup, "80+kPa", 71 * 60_000);
    }
    let page = server.until("/me", "Round overdue");
    assert!(page.contains(&format!("href=\"{rounds}\"")), "{page}");
    let id = page.split("data-alert=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
    let away = server.post("/alerts/away", &format!("id={id}"));
    assert!(away.status == 303 && away.head.contains("location: /\r\n"), "{}", away.head);
    assert!(server.get("/me").text().contains(empty), "put away on this device");
    // A round since, but a cup that lost nearly all.
    for cup in ["FL", "R", "FR"] {
        read(cup, if cup == "FR" { "9+kPa" } else { "80+kPa" }, 0);
    }
    let page = server.until("/rig/bonnet-camera/file", "cup FR: 9 kPa");
    assert!(page.contains(&format!("href=\"{rounds}#cup-FR\"")) && !page.contains("overdue"), "{page}");
    read("FR", "79+kPa", 0);
    let begun = Instant::now();
    while !server.get("/me").text().contains(empty) {
        assert!(begun.elapsed() < Duration::from_secs(20), "it stands though it was seen to");
        std::thread::sleep(Duration::from_millis(100));
    }
    // A step without a hold point has nobody who could refuse.
    let refused = server.post(&build, "act=refuse&step=car:+look+over&why=x&token=aaaaaaaaaaaaaaaaaaaaaaaa");
    assert_eq!(refused.status, 422, "{}", refused.text());
}
