//! The program's own pages, as a person uses them.

use crate::chrome::Chrome;
use crate::people::{crew, entries, fits, job, judged, lead, text};
use crate::screen::{LAPTOP, Look, PHONE, Screen};
use crate::server::Server;
use fantoccini::key::Key;
use serde_json::Value;
use std::time::Duration;

const RIG: &str = "/rig/estate-arm";

#[test]
fn every_page_is_readable_on_a_phone_and_a_laptop_by_day_and_by_night() {
    let (server, chrome) = (Server::start("looks"), Chrome::start());
    for size in [PHONE, LAPTOP] {
        let screen = lead(&chrome, &server, size);
        for (dark, name) in [(false, "day"), (true, "night")] {
            screen.look(Look { dark, still: true });
            for (page, shot) in [
                ("/", "home"),
                ("/people", "people"),
                ("/me", "me"),
                ("/rig/estate-arm/layout?part=cup-FL&lost=cup-FL", "layout"),
                ("/rig/pickup-arm/margins", "margins"),
                ("/rig/estate-arm/file", "file"),
            ] {
                screen.open(page);
                if page.contains("layout") || page.contains("margins") {
                    judged(&screen);
                }
                screen.wcag();
                fits(&screen, page);
                screen.shot(&format!("{shot}-{name}"));
            }
        }
    }
    // On paper.
    let screen = lead(&chrome, &server, LAPTOP);
    screen.open("/rig/estate-arm/margins");
    judged(&screen);
    assert!(screen.print().starts_with(b"%PDF"));
}

#[test]
fn a_cup_is_dragged_let_go_and_put_back_and_the_file_keeps_its_remarks() {
    let (server, chrome) = (Server::start("drag"), Chrome::start());
    let screen = lead(&chrome, &server, LAPTOP);
    let path = server.folder.join("estate-arm.toml");
    let before = std::fs::read_to_string(&path).unwrap();
    screen.open(&format!("{RIG}/layout?part=cup-FL"));
    judged(&screen);
    let (margins, of_cup) = (text(&screen, "#answer"), text(&screen, "#part .rows"));
    assert!(of_cup.contains("Cup slides on the panel"), "{of_cup}");
    // Inwards along its tube.
    screen.mouse_drag("#drawing g.cup[data-part=cup-FL], #drawing g[data-part=cup-FL]", 12.0, 0.0);
    screen.wait("document.querySelector('#undo .step')");
    let moved = std::fs::read_to_string(&path).unwrap();
    assert_ne!(moved, before);
    let changed: Vec<(&str, &str)> = before.lines().zip(moved.lines()).filter(|(a, b)| a != b).collect();
    assert_eq!((before.lines().count(), changed.len()), (moved.lines().count(), 1), "{changed:?}");
    assert!(changed[0].0.contains("420 mm") && changed[0].1.starts_with("left = "), "{changed:?}");
    // The margins of that cup are others now.
    let others = format!(
        "document.querySelector('#part .rows') && document.querySelector('#part .rows').innerText !== {}",
        Value::from(of_cup)
    );
    screen.wait_at_most(Duration::from_mins(1), "other margins of the cup", &others);
    judged(&screen);
    screen.press("#undo");
    screen.wait("document.querySelector('#redo .step')");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    judged(&screen);
    screen.wait_at_most(
        Duration::from_mins(1),
        "the first margins",
        &format!("document.querySelector('#answer').innerText === {}", Value::from(margins)),
    );
    screen.press("#redo");
    screen.wait("document.querySelector('#undo .step')");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), moved);
    // Let go, and back.
    screen.press("#part a.button");
    screen.wait("location.search.includes('lost=cup-FL')");
    screen.wait_text("with cup FL let go");
    screen.press("#part a.button");
    screen.wait("!location.search.includes('lost=')");
    // Gone back to by the browser's own way.
    screen.script("history.back();");
    screen.wait_text("with cup FL let go");
}

#[test]
fn a_value_is_typed_in_inches_and_a_wrong_unit_is_explained_beside_it() {
    let (server, chrome) = (Server::start("typed"), Chrome::start());
    let screen = lead(&chrome, &server, PHONE);
    let path = server.folder.join("estate-arm.toml");
    let before = std::fs::read_to_string(&path).unwrap();
    screen.open(&format!("{RIG}/layout?part=cup-FL"));
    screen.excuse("422");
    screen.wait_for("input[data-of='cup.FL.left']");
    screen.write("input[data-of='cup.FL.left']", "16-1/2 lb");
    screen.key(Key::Enter);
    screen.wait_for("input[data-of='cup.FL.left'][aria-invalid=true]");
    screen.wait_text("a length is wanted here");
    assert_eq!(
        screen.script("return document.querySelector(\"input[data-of='cup.FL.left']\").value;"),
        "16-1/2 lb"
    );
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    screen.wcag();
    screen.shot("wrong-unit");
    // What was typed stays while something else is done.
    screen.press("form[action$='/nudge'] button");
    screen.wait("document.querySelector('#undo .step')");
    assert_ne!(std::fs::read_to_string(&path).unwrap(), before);
    assert_eq!(
        screen.script("return document.querySelector(\"input[data-of='cup.FL.left']\").value;"),
        "16-1/2 lb"
    );
    screen.wait_text("a length is wanted here");
    screen.write("input[data-of='cup.FL.left']", "16-1/2 in");
    screen.key(Key::Enter);
    screen.wait("!document.querySelector('[aria-invalid=true]')");
    assert!(std::fs::read_to_string(&path).unwrap().contains("left = \"16-1/2 in\""));
    screen.wait_text("419 mm (16-1/2 in)");
}

#[test]
fn all_of_the_drawing_can_be_done_by_the_keyboard() {
    let (server, chrome) = (Server::start("keys"), Chrome::start());
    let screen = lead(&chrome, &server, LAPTOP);
    screen.open(&format!("{RIG}/layout"));
    // To the list of parts, and in it to the cup.
    for _ in 0..120 {
        screen.key(Key::Tab);
        if screen.script("return document.activeElement.textContent;") == "All parts" {
            break;
        }
    }
    screen.key(Key::Enter);
    screen.key(Key::Tab);
    screen.key(Key::Enter);
    screen.wait(
        "document.querySelector('#part h2') && document.querySelector('#part h2').textContent === 'Cup FL'",
    );
    for _ in 0..200 {
        screen.key(Key::Tab);
        if screen.script("return document.activeElement.id;") == "drawing" {
            break;
        }
    }
    assert_eq!(screen.script("return document.activeElement.id;"), "drawing", "the drawing is reached");
    screen.key(Key::Right);
    screen.wait("document.querySelector('#undo .step')");
    let moved = std::fs::read_to_string(server.folder.join("estate-arm.toml")).unwrap();
    assert!(moved.contains("left = \"415 mm\""), "one step inwards");
}

#[test]
fn two_phones_read_the_gauges_at_once_and_one_is_cut_off_meanwhile() {
    let (server, chrome) = (Server::start("rounds"), Chrome::start());
    let laptop = lead(&chrome, &server, LAPTOP);
    let job = job(&laptop);
    let (rounds, first) = (format!("{job}/rounds"), "section.cup:first-child");
    let phones =
        [Screen::new(&chrome, PHONE, &server.origin()), Screen::new(&chrome, PHONE, &server.origin())];
    laptop.open("/people");
    let code = text(&laptop, ".code");
    for (phone, name) in phones.iter().zip(["Ada", "Ben"]) {
        phone.open("/join");
        phone.excuse("403");
        phone.write("input[name=code]", "WRNG-CDEX");
        phone.write("input[name=name]", name);
        phone.key(Key::Enter);
        phone.wait_text("No code is like that");
        phone.write("input[name=code]", &code.to_lowercase());
        phone.key(Key::Enter);
        phone.wait_text("Jobs");
        phone.open(&rounds);
        phone.wait_for(first);
    }
    laptop.open(&rounds);
    let field = format!("{first} input[name=vacuum]");
    let [ada, ben] = &phones;
    ada.excuse("422");
    ada.write(&field, "23 kg");
    ada.key(Key::Enter);
    ada.wait_for("input[aria-invalid=true]");
    assert_eq!(ada.script("return document.querySelector('input[aria-invalid=true]').value;"), "23 kg");
    ada.wcag();
    ada.shot("rounds-wrong");
    ada.write(&field, "23 inHg");
    ada.key(Key::Enter);
    // Seen on the others without asking.
    for other in [ben, &laptop] {
        other.wait_text("23 inHg");
    }
    ben.excuse("Failed to load resource");
    ben.offline();
    // What cannot be taken later is not lost either.
    ben.write(&field, "21 lb");
    ben.key(Key::Enter);
    ben.wait_text("1 kept on this phone");
    ben.write(&field, "22.5 inHg");
    ben.key(Key::Enter);
    ben.wait_text("2 kept on this phone");
    ben.shot("rounds-offline");
    ada.write(&field, "22.8 inHg");
    ada.key(Key::Enter);
    laptop.wait_text("22.8 inHg");
    ben.online();
    ben.wait_text("Not taken: cup FL, vacuum 21 lb.");
    ben.wait("JSON.parse(localStorage.getItem('clingfish-kept')).every((e) => e.why)");
    ben.wcag();
    ben.shot("rounds-refused");
    ben.press("[data-waiting] button");
    ben.wait("localStorage.getItem('clingfish-kept') === '[]'");
    laptop.shot("rounds");
    // Each once, by who read it.
    let entries = entries(&server);
    for (reading, who) in [("23 inHg", "Ada"), ("22.5 inHg", "Ben"), ("22.8 inHg", "Ada")] {
        let is = |e: &&Value| {
            e["kind"] == "reading" && e["by"] == who && e["words"].as_str().unwrap().contains(reading)
        };
        assert_eq!(entries.iter().filter(is).count(), 1, "{reading} by {who}: {entries:?}");
    }
}

#[test]
fn a_viewer_sees_and_changes_nothing() {
    let (server, chrome) = (Server::start("viewer"), Chrome::start());
    let laptop = lead(&chrome, &server, LAPTOP);
    laptop.open("/people");
    let code = laptop.script("return document.querySelectorAll('.code')[1].innerText;");
    let viewer = Screen::new(&chrome, PHONE, &server.origin());
    viewer.open(&format!("/join?code={}", code.as_str().unwrap()));
    viewer.write("input[name=name]", "Vera");
    viewer.key(Key::Enter);
    viewer.wait_text("Rigs in this folder");
    viewer.open(&format!("{RIG}/layout?part=cup-FL"));
    viewer.wait_text("420 mm");
    for thing in ["#undo", "form[action$='/set']", "form[action$='/nudge']"] {
        assert_eq!(
            viewer.script(&format!("return document.querySelector(\"{thing}\") === null;")),
            true,
            "{thing}"
        );
    }
    assert_eq!(viewer.script("return document.querySelector('#drawing').dataset.moves;"), "no");
}

#[test]
fn a_build_is_written_down_on_the_phone_and_waits_for_a_signature() {
    let (server, chrome) = (Server::start("build"), Chrome::start());
    let rig = server.folder.join("bonnet-camera.toml");
    let plan = std::fs::read_to_string(&rig).unwrap();
    let with = plan.replacen("version = 1\n", "version = 1\nsteps = [\"house.toml\"]\n", 1);
    assert_ne!(plan, with);
    std::fs::write(&rig, with).unwrap();
    let house = "version = 1\n[step.\"crew: brief\"]\ndoes = \"Everybody hears the plan.\"\nwhy = \"Nobody guesses then.\"\n\
                 stage = \"car\"\nbefore = [\"car: look over\"]\nsigned_by = \"safety officer\"\n";
    std::fs::write(server.folder.join("house.toml"), house).unwrap();
    let laptop = lead(&chrome, &server, LAPTOP);
    let job = job(&laptop);
    let phone = crew(&chrome, &server, &laptop, "Ada");
    phone.excuse("422");
    phone.open(&format!("{job}/build"));
    phone.wait_text("Crew: brief");
    phone.wcag();
    phone.shot("build");
    phone.press("section[aria-label='crew: brief'] form button");
    // Nobody goes on before it is signed.
    phone.wait_for("section[aria-label='Hold point: crew: brief']");
    assert!(!text(&phone, "#build").contains("Car: look over"));
    phone.wcag();
    phone.press("section[aria-label='Hold point: crew: brief'] button");
    phone.wait_text("Car: look over");
    // Not done before it is written down; a wrong unit is told beside its field.
    phone.press("button[aria-label='Done: car: look over']");
    phone.wait_text("is not written down");
    let note = "input[data-of='car: look over 0'][name=value]";
    phone.write(note, "scratch on the bonnet, agreed with the owner");
    phone.key(Key::Enter);
    phone.wait_text("Written: scratch on the bonnet, agreed with the owner, by Ada");
    phone.press("button[aria-label='Done: car: look over']");
    phone.wait_text("Car: survey");
    laptop.open(&format!("{job}/build"));
    laptop.wait_text("2 of");
    phone.wcag();
    phone.shot("build-later");
}

#[test]
fn what_others_write_takes_no_answer_and_no_press_away() {
    let (server, chrome) = (Server::start("meanwhile"), Chrome::start());
    let laptop = lead(&chrome, &server, LAPTOP);
    let job = job(&laptop);
    let phone = crew(&chrome, &server, &laptop, "Ada");
    phone.excuse("422");
    phone.open(&format!("{job}/build"));
    laptop.open(&format!("{job}/build"));
    phone.press("button[aria-label='Done: car: look over']");
    phone.wait_text("is not written down");
    // The laptop's list of what was written stands on the phone, and so does what the phone was told.
    let note = |words: &str| {
        laptop.write("input[data-of='car: look over 0'][name=value]", words);
        laptop.key(Key::Enter);
        laptop.wait_text(&format!("Written: {words}"));
    };
    note("a dent on the left door");
    phone.wait_text("Written: a dent on the left door");
    phone.wait_text("is not written down");
    phone.wait_text("Written: a dent on the left door");
    // A finger is on the button while the laptop writes again.
    let finger = |what: &str| {
        let sent = phone.script(&format!(
            "window.under ||= document.querySelector(\"button[aria-label='Done: car: look over']\");
             under.dispatchEvent(new PointerEvent('{what}', {{ bubbles: true }}));
             return under.isConnected;"
        ));
        assert_eq!(sent, true, "{what}");
    };
    finger("pointerdown");
    note("a scratch on the bonnet");
    std::thread::sleep(Duration::from_millis(700));
    finger("pointerup");
    phone.wait_text("Written: a scratch on the bonnet");
    assert_eq!(phone.script("return under.isConnected;"), false);
    phone.press("button[aria-label='Done: car: look over']");
    phone.wait_text("Car: survey");
    assert!(!text(&phone, "#build").contains("is not written down"));
}
