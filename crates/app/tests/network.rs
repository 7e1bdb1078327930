//! What a network may bring: requests that nobody honest sends, and thirty phones at once.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;
mod served;

use common::folder;
use served::Program;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

struct Server {
    program: Program,
    record: PathBuf,
}

impl Server {
    fn over(folder: &Path) -> Self {
        let examples = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
        for name in ["bonnet-camera.toml", "kit.toml"] {
            std::fs::copy(examples.join(name), folder.join(name)).unwrap();
        }
        Self { program: Program::over(folder), record: folder.join("clingfish.record") }
    }

    /// Sends bytes as they are; what comes back until the other side closes.
    fn raw(&self, bytes: &[u8]) -> String {
        let mut stream = TcpStream::connect(&self.program.at).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
        // Refused early, the rest may not be taken.
        let _ = stream.write_all(bytes);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        String::from_utf8_lossy(&all).into_owned()
    }

    fn ask(&self, line: &str, more: &str, body: &str) -> String {
        let host = &self.program.at;
        let length =
            if body.is_empty() { String::new() } else { format!("Content-Length: {}\r\n", body.len()) };
        self.raw(
            format!("{line} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{more}{length}\r\n{body}")
                .as_bytes(),
        )
    }

    /// A form from a page of the program itself.
    fn post(&self, path: &str, cookie: &str, form: &str) -> String {
        let own = format!("Cookie: {cookie}\r\nOrigin: http://{}\r\n", self.program.at);
        self.ask(
            &format!("POST {path}"),
            &format!("{own}Content-Type: application/x-www-form-urlencoded\r\n"),
            form,
        )
    }

    fn session(answer: &str) -> String {
        let set = answer.lines().find_map(|l| l.strip_prefix("set-cookie: "));
        set.unwrap_or_else(|| panic!("nobody is let in: {answer}")).split(';').next().unwrap().to_owned()
    }

    /// A job with the small rig: the address of its rounds, and the code that lets crew in.
    fn begun(&self) -> (String, String) {
        let lead = self.lead();
        let begun = self.post("/job", &lead, "rig=bonnet-camera");
        let job = begun.lines().find_map(|l| l.strip_prefix("location: "));
        let job = job.unwrap_or_else(|| panic!("no job: {begun}")).replace("/build", "/rounds");
        let people = self.ask("GET /people", &format!("Cookie: {lead}\r\n"), "");
        (job, people.split("<p class=\"code\">").nth(1).unwrap()[..9].to_owned())
    }

    /// Entries of one kind in the record.
    fn kinds(&self, kind: &str) -> usize {
        let out = Command::new(env!("CARGO_BIN_EXE_clingfish"))
            .args(["job", "show", "--json", "--zone", "UTC", "--record"])
            .arg(&self.record)
            .output()
            .unwrap();
        let shown: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        shown["entries"].as_array().unwrap().iter().filter(|e| e["kind"] == kind).count()
    }

    fn lead(&self) -> String {
        Self::session(&self.ask(&format!("GET {}", self.program.key), "", ""))
    }
}

fn status(answer: &str) -> u16 {
    answer.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0)
}

#[test]
fn what_nobody_honest_sends_is_refused_and_the_next_request_is_answered() {
    let folder = folder("network-hostile");
    let server = Server::over(&folder);
    let lead = server.lead();
    let with = format!("Cookie: {lead}\r\n");
    let own = format!("{with}Origin: http://{}\r\n", server.program.at);
    let form = "Content-Type: application/x-www-form-urlencoded\r\n";
    let before = std::fs::read_to_string(folder.join("bonnet-camera.toml")).unwrap();

    // Nobody is in without a session, and a made-up one is none.
    assert_eq!(status(&server.ask("GET /rig/bonnet-camera/file", "", "")), 401);
    assert_eq!(status(&server.ask("GET /rig/bonnet-camera/file", "Cookie: clingfish=00\r\n", "")), 401);
    assert_eq!(status(&server.ask("GET /", "Accept: text/html\r\n", "")), 303);
    assert_eq!(status(&server.ask("GET /open/00", "", "")), 403);
    // Another host's name, two of them, none.
    for head in ["Host: rebound.example:80\r\n", "Host: 127.0.0.1:1\r\nHost: x\r\n", ""] {
        let answer =
            server.raw(format!("GET / HTTP/1.1\r\n{head}Connection: close\r\n{with}\r\n").as_bytes());
        assert!([400, 421].contains(&status(&answer)), "{head}: {answer}");
    }
    // Pages of others that send here.
    for origin in
        ["", "Origin: null\r\n", "Origin: http://rebound.example\r\n", "Origin: http://127.0.0.1:1\r\n"]
    {
        let answer = server.ask("POST /rig/bonnet-camera/undo", &format!("{with}{origin}{form}"), "back=");
        assert_eq!(status(&answer), 403, "{origin}");
    }
    let cross = format!("{own}Sec-Fetch-Site: cross-site\r\n{form}");
    assert_eq!(status(&server.ask("POST /rig/bonnet-camera/undo", &cross, "back=")), 403);
    // Ways out of the folder.
    for path in [
        "..%2Fnetwork",
        "..%2F..%2Fetc%2Fpasswd",
        "%2Fetc%2Fpasswd",
        "bonnet-camera.toml%00",
        "kit",
        "%ff",
        ".",
        "C%3A%5Cx",
    ] {
        let answer = server.ask(&format!("GET /rig/{path}/file"), &with, "");
        assert!([400, 404].contains(&status(&answer)), "{path}: {answer}");
        assert!(!answer.contains("root:"), "{path}");
    }
    for path in
        ["/assets/../look.css", "/assets/x", "/rig", "/job/x/rounds", "/job/%2e%2e/rounds", "/no/such"]
    {
        assert_eq!(status(&server.ask(&format!("GET {path}"), &with, "")), 404, "{path}");
    }
    // Verbs that it does not have.
    for verb in ["DELETE", "PUT", "TRACE", "OPTIONS"] {
        assert_eq!(status(&server.ask(&format!("{verb} /rig/bonnet-camera/file"), &own, "")), 405, "{verb}");
    }
    // Too much: a body, a head.
    let much = "x".repeat(600_000);
    let answer = server.post("/rig/bonnet-camera/file", &lead, &format!("revision=1&text={much}"));
    assert_eq!(status(&answer), 413, "{}", &answer[..answer.len().min(200)]);
    let head = format!("{with}X-Much: {}\r\n", "y".repeat(900_000));
    assert!([0, 400, 431].contains(&status(&server.ask("GET /", &head, ""))));
    // No requests at all.
    for bytes in
        [&b"\x16\x03\x01\x02\x00"[..], b"GET\r\n\r\n", b"\0\0\0\0\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n"]
    {
        assert!([0, 400, 505].contains(&status(&server.raw(bytes))), "{bytes:?}");
    }
    // Forms and drags that make no sense.
    for body in [
        "",
        "{",
        "[]",
        "{\"part\":\"cup-FL\"}",
        "{\"part\":\"cup-FL\",\"from\":[1e999,0],\"to\":[0,0]}",
        "{\"part\":\"x\",\"from\":[0,0],\"to\":[0,0]}",
    ] {
        let answer = server.ask(
            "POST /rig/bonnet-camera/try",
            &format!("{own}Content-Type: application/json\r\n"),
            body,
        );
        assert!([200, 400, 411, 415, 422].contains(&status(&answer)), "{body}: {answer}");
    }
    for typed in [
        "key=&value=",
        "key=cup&value=1",
        "key=cup.FL.left&value=%00",
        "key=%22&value=x",
        "key=a.b.c.d&value=%5B%5B",
    ] {
        let answer = server.post("/rig/bonnet-camera/set", &lead, &format!("revision=1&back=&{typed}"));
        assert!([303, 422].contains(&status(&answer)), "{typed}: {}", status(&answer));
    }
    // A wrong code is slowed down after a few.
    let codes: Vec<u16> = (0..8).map(|_| status(&server.post("/join", "", "code=WRONGONE&name=x"))).collect();
    assert_eq!((codes[0], codes[7]), (403, 429), "{codes:?}");
    // One who trickles is not waited for longer than ten seconds.
    let mut slow = TcpStream::connect(&server.program.at).unwrap();
    slow.write_all(b"GET / HTTP/1.1\r\nHost: ").unwrap();
    slow.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    let began = Instant::now();
    let _ = slow.read(&mut [0; 64]);
    assert!(began.elapsed() < Duration::from_secs(25), "{:?}", began.elapsed());
    // It still answers, and nothing was changed.
    let answer = server.ask("GET /rig/bonnet-camera/file", &with, "");
    assert_eq!(status(&answer), 200);
    assert!(answer.contains("content-security-policy: default-src 'none'"), "{answer}");
    assert_eq!(std::fs::read_to_string(folder.join("bonnet-camera.toml")).unwrap(), before);
}

/// Memory that the program holds, kB; none where the system does not tell.
fn memory_kb(child: &Child) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    status.lines().find_map(|l| l.strip_prefix("VmRSS:"))?.trim().trim_end_matches(" kB").parse().ok()
}

#[test]
fn thirty_phones_read_at_once_and_nothing_is_lost_or_written_twice() {
    const PHONES: usize = 30;
    const READINGS: usize = 8;
    let folder = folder("network-load");
    let server = Arc::new(Server::over(&folder));
    let (job, code) = server.begun();
    let lead = server.lead();
    let (heard, over) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicBool::new(false)));
    let phone = |n: usize| {
        let (server, job, code, heard, over) =
            (Arc::clone(&server), job.clone(), code.clone(), Arc::clone(&heard), Arc::clone(&over));
        std::thread::spawn(move || {
            let cookie = Server::session(&server.post("/join", "", &format!("code={code}&name=Phone+{n}")));
            let mut news = TcpStream::connect(&server.program.at).unwrap();
            news.set_read_timeout(Some(Duration::from_millis(200))).unwrap();
            write!(news, "GET /news HTTP/1.1\r\nHost: {}\r\nCookie: {cookie}\r\n\r\n", server.program.at)
                .unwrap();
            let listening = std::thread::spawn(move || {
                let mut got = Vec::new();
                let mut part = [0; 4096];
                while !over.load(Ordering::Relaxed) {
                    match news.read(&mut part) {
                        Ok(0) => break,
                        Ok(n) => got.extend_from_slice(&part[..n]),
                        Err(_) => {}
                    }
                }
                heard.fetch_add(
                    String::from_utf8_lossy(&got).matches("event: entry").count(),
                    Ordering::Relaxed,
                );
            });
            for k in 0..READINGS {
                let form = format!("cup=FL&vacuum=23.{k}+inHg&token=phone-{n}-reading-{k}-of-this-test");
                // Sent twice, as by a phone that did not hear the answer.
                for _ in 0..=usize::from(k % 4 == 0) {
                    let answer = server.post(&job, &cookie, &form);
                    assert_eq!(status(&answer), 303, "{answer}");
                }
                std::thread::sleep(Duration::from_millis(50));
            }
            listening
        })
    };
    let before = memory_kb(&server.program.child);
    let phones: Vec<_> = (0..PHONES).map(phone).collect();
    let listening: Vec<_> = phones.into_iter().map(|p| p.join().unwrap()).collect();
    // What is told may still be under way.
    std::thread::sleep(Duration::from_millis(500));
    over.store(true, Ordering::Relaxed);
    for l in listening {
        l.join().unwrap();
    }
    // A photo, kept once; what is no picture is not.
    let photo = |picture: &str| {
        let part = |name: &str, more: &str, is: &str| {
            format!("--b\r\nContent-Disposition: form-data; name=\"{name}\"{more}\r\n\r\n{is}\r\n")
        };
        let body = part("token", "", "photo-of-this-test-000000000000")
            + &part("photo", "; filename=\"p\"", picture)
            + "--b--\r\n";
        let own = format!(
            "Cookie: {lead}\r\nOrigin: http://{}\r\nContent-Type: multipart/form-data; boundary=b\r\n",
            server.program.at
        );
        status(&server.ask(&format!("POST {}", job.replace("/rounds", "/photo")), &own, &body))
    };
    assert_eq!(
        [photo("GIF89a"), photo("RIFF\u{10}\0\0\0WEBPVP8 "), photo("RIFF\u{10}\0\0\0WEBPVP8 ")],
        [422, 303, 303]
    );
    assert_eq!(server.kinds("reading"), PHONES * READINGS);
    assert_eq!(server.kinds("photo"), 1);
    // Everybody hears of nearly everything; whoever comes late misses what was before.
    let heard = heard.load(Ordering::Relaxed);
    assert!(heard > PHONES * READINGS * PHONES / 2, "{heard}");
    if let (Some(before), Some(after)) = (before, memory_kb(&server.program.child)) {
        assert!(after < before + 60_000, "from {before} to {after} kB");
    }
}

/// How long the steady load lasts, s, unless `CLINGFISH_LOAD_SECONDS` says: `CLINGFISH_LOAD_SECONDS=180 cargo test -p clingfish --test
/// network steady -- --nocapture` also prints what it measured.
const LOAD_S: u64 = 6;
/// A phone looks at its page so often: what is told makes it fetch the page again, though not for each of thirty readings a second.
const LOOKS_S: u64 = 5;

/// One phone of a steady load: when it sent each reading, and when it heard of each.
#[derive(Default)]
struct Steady {
    sent: Vec<Instant>,
    heard: Vec<Instant>,
    slowest: Duration,
    slowest_page: Duration,
}

/// Lines of news as they come, with their time.
fn hear(mut news: TcpStream, over: &AtomicBool) -> Vec<Instant> {
    let (mut part, mut line, mut heard) = ([0; 4096], Vec::new(), Vec::new());
    while !over.load(Ordering::Relaxed) {
        let Ok(n) = news.read(&mut part) else { continue };
        if n == 0 {
            break;
        }
        for b in &part[..n] {
            if *b != b'\n' {
                line.push(*b);
                continue;
            }
            if line.starts_with(b"event: entry") {
                heard.push(Instant::now());
            }
            assert!(!line.starts_with(b"event: all"), "a phone was too slow to be told each");
            line.clear();
        }
    }
    heard
}

fn steady(server: &Server, (job, code): (&str, &str), n: u64, (phones, seconds): (u64, u64)) -> Steady {
    let cookie = Server::session(&server.post("/join", "", &format!("code={code}&name=Phone+{n}")));
    let mut news = TcpStream::connect(&server.program.at).unwrap();
    news.set_read_timeout(Some(Duration::from_millis(100))).unwrap();
    write!(news, "GET /news HTTP/1.1\r\nHost: {}\r\nCookie: {cookie}\r\n\r\n", server.program.at).unwrap();
    let over = Arc::new(AtomicBool::new(false));
    let until = Arc::clone(&over);
    let hearing = std::thread::spawn(move || hear(news, &until));
    // All are in before the first reads; each reads at its own moment of the second.
    std::thread::sleep(Duration::from_secs(2));
    let (mut out, began) = (Steady::default(), Instant::now() + Duration::from_millis(1000 * n / phones));
    for k in 0..seconds {
        std::thread::sleep((began + Duration::from_secs(k)).saturating_duration_since(Instant::now()));
        let form = format!("cup=FL&vacuum=23.{}+inHg&token=steady-{n}-reading-{k}-of-this-test", k % 10);
        let sent = Instant::now();
        assert_eq!(status(&server.post(job, &cookie, &form)), 303);
        out.sent.push(sent);
        out.slowest = out.slowest.max(sent.elapsed());
        if (k + n).is_multiple_of(LOOKS_S) {
            let asked = Instant::now();
            let page = server.ask(&format!("GET {job}"), &format!("Cookie: {cookie}\r\n"), "");
            assert_eq!(status(&page), 200);
            out.slowest_page = out.slowest_page.max(asked.elapsed());
        }
    }
    std::thread::sleep(Duration::from_secs(2));
    over.store(true, Ordering::Relaxed);
    out.heard = hearing.join().unwrap();
    out
}

#[allow(clippy::cast_precision_loss, reason = "kilobytes")]
fn mean(all: &[u64]) -> f64 {
    all.iter().sum::<u64>() as f64 / all.len().max(1) as f64
}

#[test]
#[allow(clippy::print_stdout, reason = "what was measured is for a person to read")]
fn a_steady_load_loses_nothing_tells_everybody_in_time_and_takes_no_more_memory_with_time() {
    const PHONES: u64 = 30;
    let seconds = std::env::var("CLINGFISH_LOAD_SECONDS").ok().and_then(|s| s.parse().ok()).unwrap_or(LOAD_S);
    let folder = folder("network-steady");
    let server = Arc::new(Server::over(&folder));
    let (job, code) = server.begun();
    let phones: Vec<_> = (0..PHONES)
        .map(|n| {
            let (server, job, code) = (Arc::clone(&server), job.clone(), code.clone());
            std::thread::spawn(move || steady(&server, (&job, &code), n, (PHONES, seconds)))
        })
        .collect();
    let mut memory = Vec::new();
    std::thread::sleep(Duration::from_secs(3));
    for _ in 0..seconds {
        memory.extend(memory_kb(&server.program.child));
        std::thread::sleep(Duration::from_secs(1));
    }
    let phones: Vec<Steady> = phones.into_iter().map(|p| p.join().unwrap()).collect();
    // Nothing is lost.
    let written = usize::try_from(PHONES * seconds).unwrap();
    assert_eq!(server.kinds("reading"), written);
    // What is told comes in the order in which it was sent, or nearly so: each is held against the reading in its place.
    let mut sent: Vec<Instant> = phones.iter().flat_map(|p| p.sent.iter().copied()).collect();
    sent.sort();
    let mut late: Vec<Duration> = Vec::new();
    for phone in &phones {
        assert_eq!(phone.heard.len(), written, "every phone is told of every reading");
        late.extend(
            phone.heard.iter().zip(&sent).map(|(heard, sent)| heard.saturating_duration_since(*sent)),
        );
    }
    late.sort();
    let [half, most, worst] = [50, 99, 100].map(|part| late[(late.len() * part / 100).min(late.len() - 1)]);
    let slowest = phones.iter().map(|p| p.slowest).max().unwrap();
    let page = phones.iter().map(|p| p.slowest_page).max().unwrap();
    let third = memory.len() / 3;
    let [middle, last] = [&memory[third..2 * third], &memory[2 * third..]].map(mean);
    println!(
        "{seconds} s, {written} readings: told within {half:?} (half), {most:?} (99 %), {worst:?} (all); the slowest answer took {slowest:?}, \
         the slowest page {page:?}; memory {middle:.0} kB in the middle third, {last:.0} kB in the last"
    );
    assert!(worst < Duration::from_secs(1), "told after {worst:?}");
    // The record itself is kept in memory: so much an entry, and room for what an allocator does.
    let (of_entries, room) =
        (2.0 * mean(&[PHONES * seconds]) / 3.0, if seconds >= 60 { 2_000.0 } else { 30_000.0 });
    assert!(last < middle + of_entries + room, "from {middle:.0} to {last:.0} kB");
}
