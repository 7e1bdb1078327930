//! Every page of a rig, asked for as a browser asks: what stands on it, what is taken away from it, what it refuses.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;
mod served;

use common::folder;
use served::Program;
use std::fmt::Write as _;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// The pages about a rig, each with a word that it says of any rig.
const PLACES: [(&str, &str); 8] = [
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

/// The program over a folder, and the lead's session.
struct Server {
    program: Program,
    cookie: String,
}

struct Told {
    status: u16,
    head: String,
    body: Vec<u8>,
}

impl Told {
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

impl Server {
    fn over(folder: &Path) -> Self {
        let mut server = Self { program: Program::over(folder), cookie: String::new() };
        let told = server.get(&server.program.key);
        let set = told.head.lines().find_map(|l| l.strip_prefix("set-cookie: ")).expect("a cookie");
        set.split(';').next().unwrap().clone_into(&mut server.cookie);
        server
    }

    fn ask(&self, method: &str, path: &str, kind: &str, body: &[u8]) -> Told {
        let mut stream = TcpStream::connect(&self.program.at).unwrap();
        let mut head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nAccept: text/html\r\nConnection: close\r\n",
            self.program.at
        );
        if !self.cookie.is_empty() {
            let _ = write!(head, "Cookie: {}\r\n", self.cookie);
        }
        if method == "POST" {
            let _ = write!(
                head,
                "Origin: http://{}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n",
                self.program.at,
                body.len()
            );
        }
        stream.write_all(format!("{head}\r\n").as_bytes()).unwrap();
        // A server that refuses a body need not read it to its end.
        let _ = stream.write_all(body);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let end = all.windows(4).position(|w| w == b"\r\n\r\n").expect("an answer");
        let head = String::from_utf8_lossy(&all[..end]).into_owned();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        let rest = &all[end + 4..];
        let body = if head.to_lowercase().contains("transfer-encoding: chunked") {
            unchunked(rest)
        } else {
            rest.to_vec()
        };
        Told { status, head, body }
    }

    fn get(&self, path: &str) -> Told {
        self.ask("GET", path, "", b"")
    }

    fn post(&self, path: &str, form: &str) -> Told {
        self.ask("POST", path, "application/x-www-form-urlencoded", form.as_bytes())
    }

    /// Sends a log as a form does.
    fn log(&self, rig: &str, name: &str, log: &[u8]) -> Told {
        let mut body = format!(
            "--b\r\nContent-Disposition: form-data; name=\"log\"; filename=\"{name}\"\r\nContent-Type: text/csv\r\n\r\n"
        )
        .into_bytes();
        body.extend_from_slice(log);
        body.extend_from_slice(b"\r\n--b--\r\n");
        self.ask("POST", &format!("/rig/{rig}/settle"), "multipart/form-data; boundary=b", &body)
    }

    /// The page once it says this.
    fn until(&self, path: &str, words: &str) -> String {
        let begun = Instant::now();
        loop {
            let page = self.get(path).text();
            if page.contains(words) {
                return page;
            }
            assert!(begun.elapsed() < Duration::from_secs(50), "{path} never says {words}: {page}");
            std::thread::sleep(Duration::from_millis(100));
        }
    }
}

fn unchunked(mut rest: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    while let Some(end) = rest.windows(2).position(|w| w == b"\r\n") {
        let size = usize::from_str_radix(std::str::from_utf8(&rest[..end]).unwrap().trim(), 16).unwrap();
        if size == 0 {
            break;
        }
        out.extend_from_slice(&rest[end + 2..end + 2 + size]);
        rest = &rest[end + 4 + size..];
    }
    out
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
