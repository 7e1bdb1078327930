//! What a phone is for beside the pages: it tells its crew at once, keeps photos while it is out of reach, and records a release test.

use crate::chrome::Chrome;
use crate::people::{crew, entries, fits, job, lead, text};
use crate::screen::{LAPTOP, Look, Screen};
use crate::server::Server;
use fantoccini::key::Key;
use serde_json::{Value, json};
use std::time::Duration;

/// Reads every cup, as long ago as it says.
fn read_all(screen: &Screen<'_>, job: &str, vacuum: &str, waited_ms: u64) {
    screen.script(&format!(
        "window.done = 0; window.all = null;
         fetch('{job}/rounds', {{ headers: {{ Accept: 'text/html' }} }}).then((a) => a.text()).then(async (text) => {{
           const page = new DOMParser().parseFromString(text, 'text/html');
           const cups = [...page.querySelectorAll('input[name=cup]')].map((i) => i.value);
           for (const cup of cups) {{
             const token = cup.padEnd(20, 'x') + Math.random();
             const body = new URLSearchParams({{ cup, vacuum: '{vacuum}', pumped: 'yes', waited: '{waited_ms}', token }});
             await fetch('{job}/rounds', {{ method: 'POST', body }});
           }}
           window.done = cups.length;
         }});"
    ));
    screen.wait("window.done > 0");
}

fn shots(screen: &Screen<'_>, name: &str) {
    for (dark, of) in [(false, "day"), (true, "night")] {
        screen.look(Look { dark, still: true });
        screen.wcag();
        fits(screen, name);
        screen.shot(&format!("{name}-{of}"));
    }
    screen.look(Look::default());
}

#[test]
fn everybody_is_told_on_whatever_page_and_puts_it_away_on_their_own_phone() {
    let (server, chrome) = (Server::start("alerts"), Chrome::start());
    let laptop = lead(&chrome, &server, LAPTOP);
    let job = job(&laptop);
    let phone = crew(&chrome, &server, &laptop, "Ada");
    phone.open("/me");
    phone.wait_for("button[data-sound]:not([hidden])");
    phone.press("button[data-sound]");
    phone.wait_text("Sound is on");
    // A clock that stands still in 1970, and no question of the phone's own.
    phone.script(
        "Date.now = () => 0; window.asked = []; const ask = window.fetch;
         window.fetch = (...all) => { window.asked.push(String(all[0])); return ask(...all); };
         window.tones = 0; const made = AudioContext.prototype.createOscillator;
         AudioContext.prototype.createOscillator = function () { window.tones += 1; return made.call(this); };",
    );
    laptop.open(&format!("{job}/build"));
    read_all(&laptop, &job, "80 kPa", 3_600_000 - 6_000);
    assert!(!phone.page().to_lowercase().contains("round due"), "not before it is due");
    phone.wait_text("since");
    assert!(text(&phone, "#alerts").to_lowercase().contains("round due"), "{}", phone.page());
    phone.wait("window.tones === 3");
    assert_eq!(phone.script("return window.asked;"), json!([]), "told, not asked for");
    laptop.wait_for("#alerts [data-alert]");
    shots(&phone, "alert");
    // Away on the phone, and there on the laptop.
    phone.press("#alerts [data-away] button");
    phone.wait("document.querySelector('#alerts').textContent.trim() === ''");
    phone.open("/");
    phone.wait_text("Jobs");
    assert_eq!(text(&phone, "#alerts"), "");
    assert!(text(&laptop, "#alerts").contains("read every gauge"));
    // Seen to, it is gone everywhere; one cup has lost its vacuum.
    read_all(&laptop, &job, "80 kPa", 0);
    laptop.wait("document.querySelector('#alerts').textContent.trim() === ''");
    phone.open(&format!("{job}/rounds"));
    laptop.open("/rig/estate-arm/file");
    phone.write("section.cup:first-child input[name=vacuum]", "20 kPa");
    phone.key(Key::Enter);
    laptop.wait_text("cup FL: 20 kPa");
    assert!(text(&laptop, "#alerts").to_lowercase().starts_with("pump"), "{}", laptop.page());
    shots(&laptop, "alert-cup");
    laptop.press("#alerts a");
    laptop.wait("location.pathname.endsWith('/rounds') && location.hash === '#cup-FL'");
    phone.write("section.cup:first-child input[name=vacuum]", "80 kPa");
    phone.press("section.cup:first-child input[name=pumped]");
    phone.press("section.cup:first-child button");
    for screen in [&phone, &laptop] {
        screen.wait("document.querySelector('#alerts').textContent.trim() === ''");
    }
}

#[test]
fn a_step_that_is_taken_back_or_not_signed_is_told() {
    let (server, chrome) = (Server::start("alerts-steps"), Chrome::start());
    let rig = server.folder.join("bonnet-camera.toml");
    let plan = std::fs::read_to_string(&rig).unwrap();
    std::fs::write(&rig, plan.replacen("version = 1\n", "version = 1\nsteps = [\"house.toml\"]\n", 1))
        .unwrap();
    let house = "version = 1\n[step.\"crew: brief\"]\ndoes = \"Everybody hears the plan.\"\nwhy = \"Nobody guesses then.\"\n\
                 stage = \"car\"\nbefore = [\"car: look over\"]\nsigned_by = \"safety officer\"\n";
    std::fs::write(server.folder.join("house.toml"), house).unwrap();
    let laptop = lead(&chrome, &server, LAPTOP);
    let job = job(&laptop);
    let phone = crew(&chrome, &server, &laptop, "Ada");
    phone.open(&format!("{job}/build"));
    phone.press("section[aria-label='crew: brief'] form button");
    phone.wait_for("section[aria-label='Hold point: crew: brief']");
    phone.press("section[aria-label='Hold point: crew: brief'] summary");
    phone.write("section[aria-label='Hold point: crew: brief'] input[name=why]", "two were not there");
    phone.key(Key::Enter);
    for screen in [&phone, &laptop] {
        screen.wait_text("crew: brief, by Ada: two were not there. Nobody goes on");
        assert!(text(screen, "#alerts").to_lowercase().starts_with("not signed"), "{}", screen.page());
    }
    phone.wcag();
    phone.shot("alert-hold");
    assert_eq!(phone.script("return document.querySelector('#alerts a').hash;"), "#step-0");
    // Done again, it stands no more; taken back, it is told with its reason.
    phone.press("section[aria-label='crew: brief'] form button");
    phone.wait_for("section[aria-label='Hold point: crew: brief']");
    laptop.wait("document.querySelector('#alerts').textContent.trim() === ''");
    phone.script("document.querySelectorAll('details').forEach((d) => { d.open = true; });");
    phone.write(".record form input[name=why][data-of='crew: brief']", "the plan is another");
    phone.key(Key::Enter);
    laptop.wait_text("crew: brief, by Ada: the plan is another. Look at what was built on it");
}

/// Puts a small picture into the form, as the camera does.
const PICTURE: &str = "const bytes = new Uint8Array([82, 73, 70, 70, 16, 0, 0, 0, 87, 69, 66, 80, 86, 80, 56, 32, window.nth = (window.nth || 0) + 1]);
    const files = new DataTransfer(); files.items.add(new File([bytes], 'p.webp'));
    document.querySelector('input[name=photo]').files = files.files;";

#[test]
fn a_photo_taken_out_of_reach_waits_on_the_phone_and_is_sent_once() {
    let (server, chrome) = (Server::start("photos"), Chrome::start());
    let laptop = lead(&chrome, &server, LAPTOP);
    let job = job(&laptop);
    let phone = crew(&chrome, &server, &laptop, "Ada");
    let build = format!("{job}/build");
    phone.excuse("Failed to load resource");
    phone.open(&build);
    phone.wait_for("form[data-photo]");
    phone.offline();
    for caption in ["cup FL on the bonnet", "its gauge"] {
        phone.script(PICTURE);
        phone.write("form[data-photo] input[name=step]", "car: look over");
        phone.write("form[data-photo] input[name=caption]", caption);
        phone.press("form[data-photo] button");
        phone.wait_text(&format!("{caption}, of car: look over. Taken at"));
    }
    phone.wait_text("2 photos on this phone, not yet sent");
    shots(&phone, "photos-offline");
    laptop.open(&build);
    laptop.wait_for("form[data-photo]");
    shots(&laptop, "photos");
    // The page is there, the way for photos is not: another page load loses nothing.
    phone.cdp("Network.enable", &json!({}));
    phone.cdp("Network.setBlockedURLs", &json!({ "urls": ["*/photo"] }));
    phone.online();
    phone.open(&build);
    phone.wait_text("2 photos on this phone, not yet sent");
    phone.wait_text("by Ada");
    // Under another name now: who took it is said.
    phone.open("/me");
    phone.write("input[name=name]", "Ben");
    phone.key(Key::Enter);
    phone.wait_text("Ben, crew");
    phone.cdp("Network.setBlockedURLs", &json!({ "urls": [] }));
    phone.open(&build);
    phone.wait("document.querySelector('[data-photos]').hidden");
    let kept: Vec<Value> = entries(&server).into_iter().filter(|e| e["kind"] == "photo").collect();
    assert_eq!(kept.len(), 2, "{kept:?}");
    assert!(kept.iter().all(|e| e["by"] == "Ben" && e["about"] == "car: look over"), "{kept:?}");
    assert!(kept[0]["words"].as_str().unwrap().contains("cup FL on the bonnet, taken by Ada"), "{kept:?}");
    // Full: said, and not as if it were kept.
    phone.script(
        "window.put = IDBObjectStore.prototype.put;
         IDBObjectStore.prototype.put = () => { throw new DOMException('', 'QuotaExceededError'); };",
    );
    phone.script(PICTURE);
    phone.press("form[data-photo] button");
    phone.wait_text("This phone's storage is full: the photo is not kept.");
    phone.script("IDBObjectStore.prototype.put = window.put;");
    // As many as it keeps.
    phone.offline();
    phone.script(
        "const opening = indexedDB.open('clingfish', 1); window.many = false;
         opening.onsuccess = () => {
           const trade = opening.result.transaction('photos', 'readwrite');
           for (let n = 0; n < 60; n += 1) trade.objectStore('photos').put({ token: `t${n}`, to: '/x', step: '', caption: '', who: 'Ada', made: n, bytes: new ArrayBuffer(1) });
           trade.oncomplete = () => { window.many = true; opening.result.close(); };
         };",
    );
    phone.wait("window.many");
    phone.press("form[data-photo] button");
    phone.wait_text("60 photos wait on this phone, and it keeps no more.");
    // What the page tries by itself meanwhile does not take those words away.
    std::thread::sleep(Duration::from_secs(12));
    phone.wait_text("60 photos wait on this phone, and it keeps no more.");
}

#[test]
fn the_phone_itself_records_a_release_test() {
    let (server, chrome) = (Server::start("motion"), Chrome::start());
    let laptop = lead(&chrome, &server, LAPTOP);
    let phone = crew(&chrome, &server, &laptop, "Ada");
    phone.open("/rig/estate-arm/settle");
    phone.wait_for("#motion:not([hidden]) [data-motion=start]");
    phone.wcag();
    laptop.open("/rig/estate-arm/settle");
    laptop.wait_for("#motion:not([hidden]) [data-motion=start]");
    shots(&laptop, "motion-first");
    // The sensor of a payload that hangs still, is held, and swings at 2 Hz with a tenth of the damping that stops it at once.
    phone.script(
        "const from = performance.now() + 4200; let n = 0;
         window.sensor = setInterval(() => {
           const t = (performance.now() - from) / 1000, w = 4 * Math.PI;
           const swing = t < 0 ? -3 : 3 * Math.exp(-0.1 * w * t / Math.sqrt(0.99)) * Math.cos(w * t);
           n += 1;
           const noise = 0.02 * Math.sin(n * 12.9898) * Math.cos(n * 78.233);
           window.dispatchEvent(new DeviceMotionEvent('devicemotion', { interval: 16,
             accelerationIncludingGravity: { x: 0.3 + noise, y: -0.1 - noise, z: 9.81 + swing + noise } }));
         }, 16);",
    );
    phone.press("[data-motion=start]");
    phone.wait_text("Let go in 2");
    phone.wait_text("LET GO, hands off");
    std::thread::sleep(Duration::from_secs(9));
    phone.press("[data-motion=stop]");
    phone.wait_for("#motion-send:not([hidden])");
    assert!(text(&phone, "#motion-trace figcaption").starts_with("Acceleration along z"), "{}", phone.page());
    shots(&phone, "motion");
    phone.press("#motion-send");
    phone.wait_for("#told .said");
    let told = text(&phone, "#told .said");
    let number = |after: &str| {
        let rest = told.split(after).nth(1).unwrap_or_else(|| panic!("no {after}: {told}"));
        rest.split_whitespace().next().unwrap().parse::<f64>().unwrap()
    };
    // By its own clock, at 60 samples a second or so.
    assert!((number("damping ratio") - 0.1).abs() < 0.01, "{told}");
    assert!((number("damped frequency") - 2.0).abs() < 0.03, "{told}");
    assert!(told.contains("release-by-this-phone.csv") || told.contains("acc z"), "{told}");
    phone.shot("motion-told");
    // By plain http there is no sensor, and the page says so.
    phone.cdp(
        "Page.addScriptToEvaluateOnNewDocument",
        &json!({ "source": "Object.defineProperty(window, 'isSecureContext', { value: false });" }),
    );
    phone.open("/rig/estate-arm/settle");
    phone.wait_text("This page came by plain http");
    assert_eq!(phone.script("return document.querySelector('[data-motion=start]').hidden;"), true);
    phone.wcag();
}
