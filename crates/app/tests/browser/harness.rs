//! That these tests see a fault: each page here has one, or does what it should.

use crate::chrome::Chrome;
use crate::net::Way;
use crate::screen::{LAPTOP, Look, PHONE, Screen, Size};
use crate::stand_in::StandIn;
use fantoccini::key::Key;
use serde_json::json;
use std::net::TcpStream;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

macro_rules! page {
    ($($body:literal)*) => {
        concat!(
            "<!doctype html><html lang=\"en\"><head><title>A page</title>",
            "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"></head>",
            "<body><main><h1>A page</h1>",
            $($body,)* "</main></body></html>"
        )
    };
}

const PAGES: &[(&str, &str)] = &[
    ("/fine", page!("<p>All is well.</p><label>Cups <input id=cups></label>")),
    ("/wide", "<!doctype html><title>Says no width</title><p>Wide.</p>"),
    ("/pale", page!("<p id=pale style='color:#aaa;background:#fff'>Pale words.</p>")),
    ("/unlabelled", page!("<input id=bare>")),
    ("/cramped", page!("<style>button{width:9px;height:9px;padding:0;border:0;margin:0;font-size:1px}</style>
        <button aria-label=One></button><button id=two aria-label=Two></button>")),
    ("/strict", page!("<p id=said>Nothing.</p><script src='/strict.js'></script>")),
    ("/strict.js", "document.querySelector('#said').textContent = 'Said from a file.';"),
    ("/strict-inline", page!("<p id=said>Nothing.</p><script>document.querySelector('#said').textContent = 'x';</script>")),
    ("/outside", page!("<img alt='' src='http://example.invalid/spy.png'>")),
    ("/missing", page!("<script src='/not-there.js'></script>")),
    ("/shouts", page!("<script>console.error('a valve is stuck');</script>")),
    ("/throws", page!("<script>setTimeout(() => { throw new Error('no such cup'); });</script>")),
    ("/late", page!("<p id=late>Wait.</p><script>setTimeout(() => {
        document.querySelector('#late').innerHTML = 'Here   <b class=now>now</b>.'; }, 300);</script>")),
    ("/drag", page!("<style>svg{touch-action:none}</style><div style='height:1500px'></div>
        <svg width=300 height=300><circle id=cup cx=60 cy=60 r=20 /></svg><div style='height:600px'></div><p id=log></p><script>
        const cup = document.querySelector('#cup'), log = document.querySelector('#log'); let from = null, moves = 0;
        cup.onpointerdown = e => { from = e; cup.setPointerCapture(e.pointerId); };
        cup.onpointermove = e => { if (!from) return; moves += 1;
            cup.setAttribute('cx', 60 + e.clientX - from.clientX); cup.setAttribute('cy', 60 + e.clientY - from.clientY); };
        cup.onpointerup = e => { from = null; log.textContent = `${e.pointerType} ${moves > 4 ? 'in steps' : 'at once'}`; };
        </script>")),
    ("/covered", page!("<svg width=200 height=200 style='position:absolute'><circle id=cup cx=60 cy=60 r=20 /></svg>
        <div style='position:absolute;width:400px;height:400px'></div>")),
    ("/keys", page!("<button id=a>First</button><button id=b>Second</button><label>Name <input id=name value=old></label>
        <p id=log></p><script>const log = document.querySelector('#log');
        document.querySelector('#b').onclick = () => { log.textContent += ' pressed'; };
        document.onkeydown = e => { log.textContent += ' ' + e.key; };
        document.onkeyup = e => { log.textContent += ' up'; };</script>")),
    ("/net", page!("<p id=state>unasked</p><script>window.ask = () => fetch('/fine').then(r => r.text()).then(
        () => 'reached', () => 'not reached').then(t => { document.querySelector('#state').textContent = t; });</script>")),
    ("/live", page!("<p id=state>Nothing yet.</p><script>const stream = new EventSource('/stream'),
        say = t => { document.querySelector('#state').textContent = t; };
        stream.onmessage = () => say('heard'); stream.onerror = () => say('lost');</script>")),
    ("/looks", page!("<style>body{background:#fff;color:#000} p{transition-duration:1s}
        @media (prefers-color-scheme: dark) {body{background:#000;color:#fff}}
        @media (prefers-reduced-motion: reduce) {p{transition-duration:0s}}
        @media print {h1{break-after:page}}</style><p>Words.</p>")),
];

/// A stand-in and a screen on it.
fn on(size: Size, test: impl FnOnce(&Screen)) {
    let server = StandIn::new(PAGES);
    let chrome = Chrome::start();
    test(&Screen::new(&chrome, size, &server.origin()));
}

/// What a test that fails says.
fn failure(test: impl FnOnce()) -> String {
    let fault = catch_unwind(AssertUnwindSafe(test)).err().unwrap_or_else(|| panic!("it did not fail"));
    let text = fault.downcast_ref::<String>().cloned();
    text.or_else(|| fault.downcast_ref::<&str>().map(|t| (*t).to_owned())).unwrap()
}

#[test]
fn screens_have_the_size_they_say() {
    let server = StandIn::new(PAGES);
    let chrome = Chrome::start();
    let sizes =
        "return [innerWidth, innerHeight, devicePixelRatio, matchMedia('(pointer: coarse)').matches];";
    let phone = Screen::new(&chrome, PHONE, &server.origin());
    phone.open("/fine");
    assert_eq!(phone.script(sizes), json!([390, 844, 3, true]));
    // A page that forgets to say how wide it is is not laid out for a phone, and that is seen.
    phone.open("/wide");
    assert_eq!(phone.script("return innerWidth;"), 980);
    let laptop = Screen::new(&chrome, LAPTOP, &server.origin());
    laptop.open("/fine");
    assert_eq!(laptop.script(sizes), json!([1440, 900, 1, false]));
}

#[test]
fn rules_that_a_page_breaks_are_named() {
    on(LAPTOP, |screen| {
        for (page, rule, element) in [
            ("/pale", "color-contrast", "#pale"),
            ("/unlabelled", "label", "#bare"),
            ("/cramped", "target-size", "#two"),
        ] {
            screen.open(page);
            let said = failure(|| screen.wcag());
            for words in [rule, element, "Fix any of the following"] {
                assert!(said.contains(words), "{page}: no {words} in {said}");
            }
        }
        screen.open("/fine");
        screen.wcag();
    });
}

#[test]
fn a_strict_policy_holds_and_does_not_stop_the_rules() {
    on(PHONE, |screen| {
        screen.open("/strict");
        screen.wait_text("Said from a file.");
        screen.wcag();
        assert_eq!(screen.faults(), Vec::<String>::new());
        screen.open("/strict-inline");
        screen.wait_text("Nothing.");
        let faults = screen.faults();
        assert!(faults.len() == 1 && faults[0].contains("Content Security Policy"), "{faults:?}");
    });
}

#[test]
fn what_only_the_log_shows_is_a_fault() {
    on(LAPTOP, |screen| {
        for (page, words) in [
            ("/outside", "outside: http://example.invalid/spy.png"),
            ("/missing", "/not-there.js"),
            ("/shouts", "a valve is stuck"),
            ("/throws", "no such cup"),
        ] {
            screen.open(page);
            screen.wait("document.readyState === 'complete'");
            let faults = screen.faults();
            assert!(faults.iter().any(|f| f.contains(words)), "{page}: {faults:?}");
            assert_eq!(screen.faults(), Vec::<String>::new(), "{page}: told once");
        }
    });
}

#[test]
fn a_fault_that_nobody_asked_about_fails_the_test() {
    let said = failure(|| on(LAPTOP, |screen| screen.open("/shouts")));
    assert!(said.contains("a valve is stuck"), "{said}");
    on(LAPTOP, |screen| {
        screen.excuse("a valve");
        screen.open("/shouts");
    });
    // No excuse lets a page ask others.
    let said = failure(|| {
        on(LAPTOP, |screen| {
            screen.excuse("example.invalid");
            screen.excuse("ERR_NAME_NOT_RESOLVED");
            screen.open("/outside");
        });
    });
    assert!(said.contains("outside: http://example.invalid/spy.png"), "{said}");
}

#[test]
fn what_comes_late_is_waited_for_and_what_does_not_come_is_told() {
    on(LAPTOP, |screen| {
        screen.open("/late");
        screen.wait_text("Here now.");
        screen.wait_for("b.now");
        let said = failure(|| screen.wait_at_most(Duration::from_millis(200), "a crane", "false"));
        assert!(said.contains("a crane") && said.contains("/late") && said.contains("Here now."), "{said}");
    });
}

#[test]
fn mouse_and_finger_drag_a_circle() {
    let server = StandIn::new(PAGES);
    let chrome = Chrome::start();
    let place =
        "const c = document.querySelector('#cup'); return [+c.getAttribute('cx'), +c.getAttribute('cy')];";
    let laptop = Screen::new(&chrome, LAPTOP, &server.origin());
    laptop.open("/drag");
    laptop.mouse_drag("#cup", 110.0, -25.0);
    laptop.wait_text("mouse in steps");
    assert_eq!(laptop.script(place), json!([170, 35]));
    laptop.open("/covered");
    let said = failure(|| laptop.mouse_drag("#cup", 10.0, 0.0));
    assert!(said.contains("#cup cannot be taken"), "{said}");
    drop(laptop);
    let phone = Screen::new(&chrome, PHONE, &server.origin());
    phone.open("/drag");
    phone.touch_drag("#cup", 90.0, 40.0);
    phone.wait_text("touch in steps");
    assert_eq!(phone.script(place), json!([150, 100]));
}

#[test]
fn keys_and_writing_reach_the_page() {
    on(LAPTOP, |screen| {
        screen.open("/keys");
        screen.key(Key::Tab);
        screen.key(Key::Tab);
        screen.key(Key::Enter);
        screen.key(Key::Left);
        screen.wait_text("Tab up Tab up Enter pressed up ArrowLeft up");
        screen.press("#b");
        screen.wait_text("ArrowLeft up pressed");
        screen.write("#name", "FL");
        assert_eq!(screen.script("return document.querySelector('#name').value;"), "FL");
    });
}

#[test]
fn a_page_out_of_reach_comes_back() {
    on(PHONE, |screen| {
        screen.open("/net");
        screen.script("ask();");
        screen.wait_text("A page reached");
        screen.excuse("ERR_INTERNET_DISCONNECTED");
        screen.offline();
        screen.script("ask();");
        screen.wait_text("not reached");
        assert_eq!(screen.script("return navigator.onLine;"), false);
        screen.online();
        screen.script("ask();");
        screen.wait_text("A page reached");
    });
}

#[test]
fn a_stream_ends_where_the_way_is_cut_and_comes_back() {
    let server = StandIn::new(PAGES);
    let way = Way::to(&server.origin());
    let chrome = Chrome::start();
    let screen = Screen::new(&chrome, PHONE, &way.origin());
    screen.open("/live");
    screen.wait_text("heard");
    screen.excuse("net::ERR_");
    way.cut();
    screen.wait_text("lost");
    screen.script(
        "fetch('/fine').then(() => { document.title = 'there'; }, () => { document.title = 'gone'; });",
    );
    screen.wait("document.title !== 'A page'");
    assert_eq!(screen.script("return document.title;"), "gone");
    way.mend();
    screen.wait_text("heard");
}

#[test]
fn dark_still_and_printed_pages_differ() {
    on(PHONE, |screen| {
        screen.open("/looks");
        let seen = "const style = name => getComputedStyle(document.querySelector(name));
            return [style('body').backgroundColor, style('p').transitionDuration];";
        assert_eq!(screen.script(seen), json!(["rgb(255, 255, 255)", "1s"]));
        let light = std::fs::read(screen.shot("looks-light")).unwrap();
        screen.look(Look { dark: true, still: true });
        assert_eq!(screen.script(seen), json!(["rgb(0, 0, 0)", "0s"]));
        let dark = std::fs::read(screen.shot("looks-dark")).unwrap();
        assert_ne!(light, dark);
        // Width and height in a PNG's header, in device pixels.
        assert_eq!(dark[16..24], [0, 0, 4, 146, 0, 0, 9, 228]);
        let pdf = hayro_syntax::Pdf::new(screen.print()).unwrap();
        assert_eq!(pdf.pages().len(), 2, "a heading, and what is printed after it");
    });
}

/// Programs that run with this profile, where the system tells what runs.
fn running(profile: &Path) -> usize {
    let profile = profile.to_str().unwrap();
    let programs = std::fs::read_dir("/proc").into_iter().flatten().flatten();
    let lines = programs.filter_map(|p| std::fs::read(p.path().join("cmdline")).ok());
    lines.filter(|line| String::from_utf8_lossy(line).contains(profile)).count()
}

fn must_end(profile: &Path) {
    let ended = Instant::now();
    while running(profile) > 0 {
        assert!(ended.elapsed() < Duration::from_secs(10), "Chromium still runs");
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn a_test_that_fails_leaves_no_browser() {
    let mut left = None;
    let said = failure(|| {
        on(LAPTOP, |screen| {
            screen.open("/fine");
            assert!(!cfg!(target_os = "linux") || running(&screen.profile) > 0, "the browser is not seen");
            left = Some((screen.chrome.port, screen.profile.clone()));
            panic!("the test's own fault");
        });
    });
    assert_eq!(said, "the test's own fault");
    let (port, profile) = left.unwrap();
    assert!(TcpStream::connect(("127.0.0.1", port)).is_err(), "chromedriver still listens");
    must_end(&profile);
    assert!(!profile.exists(), "{} is still there", profile.display());
    // Not even one that nobody closed.
    let chrome = Chrome::start();
    let (_client, profile) = chrome.session();
    drop(chrome);
    must_end(&profile);
    std::fs::remove_dir_all(&profile).unwrap();
}
