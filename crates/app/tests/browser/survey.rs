//! The survey at the car and the standing of a job, as a person uses them.

use crate::chrome::Chrome;
use crate::people::{fits, lead};
use crate::screen::{LAPTOP, Look, PHONE, Screen};
use crate::server::Server;
use fantoccini::key::Key;
use std::time::Duration;

/// Readable, and nothing has to be scrolled sideways.
fn good(screen: &Screen<'_>, page: &str) {
    screen.wcag();
    fits(screen, page);
    // What is pressed is big enough for a thumb.
    let small = screen.script(
        "return [...document.querySelectorAll('main a.button, main button, main input:not([type=hidden]), main select, main .walked a, main summary')]
            .filter(e => e.offsetParent && e.getBoundingClientRect().height < 39.5).map(e => e.outerHTML.slice(0, 120));",
    );
    assert_eq!(small, serde_json::json!([]), "{page}");
}

#[test]
fn survey_and_standing_are_readable_on_a_phone_and_a_laptop_by_day_and_by_night() {
    let (server, chrome) = (Server::start("survey-looks"), Chrome::start());
    let mut standing = None;
    for (size, name) in [(PHONE, "phone"), (LAPTOP, "laptop")] {
        let screen = lead(&chrome, &server, size);
        let standing = standing.get_or_insert_with(|| {
            screen.press("form[action='/job'] input[value='estate-arm'] + button");
            screen.wait("location.pathname.startsWith('/job/')");
            let path =
                screen.script("return location.pathname.split('/').slice(0, 3).join('/') + '/standing';");
            path.as_str().unwrap().to_owned()
        });
        for (dark, light) in [(false, "day"), (true, "night")] {
            screen.look(Look { dark, still: true });
            for (page, shot) in [
                ("/rig/estate-arm/survey", "survey"),
                ("/rig/door-camera/survey?step=panel.door.pull_limit#step", "survey-pull"),
                ("/rig/estate-arm/survey?step=panel.roof.keep_out#step", "survey-clear"),
                ("/rig/pickup-arm/survey?step=panel.roof.crown_across#step", "survey-crown"),
                (standing.as_str(), "standing"),
            ] {
                screen.open(page);
                if page == standing.as_str() {
                    // It fills itself in.
                    screen.wait_at_most(
                        Duration::from_mins(2),
                        "the standing",
                        "document.querySelector('#standing h2')",
                    );
                }
                good(&screen, page);
                screen.shot(&format!("{shot}-{name}-{light}"));
            }
        }
    }
}

#[test]
fn a_step_is_measured_in_inches_explained_when_wrong_and_taken_back() {
    let (server, chrome) = (Server::start("survey-inches"), Chrome::start());
    let screen = lead(&chrome, &server, PHONE);
    let path = server.folder.join("estate-arm.toml");
    let before = std::fs::read_to_string(&path).unwrap();
    let field = "input[data-of='vehicle.datum.aft']";
    screen.open("/rig/estate-arm/survey");
    screen.excuse("422");
    // The page is made anew when the verdict comes: not in the middle of a word.
    screen.wait_at_most(
        Duration::from_mins(2),
        "the verdict",
        "!document.body.innerText.includes('follows with the verdict')",
    );
    screen.write(field, "13-5/8 lb");
    screen.key(Key::Enter);
    screen.wait_for(&format!("{field}[aria-invalid=true]"));
    screen.wait_text("a length is wanted here");
    let typed = format!("return document.querySelector(\"{field}\").value;");
    assert_eq!(screen.script(&typed), "13-5/8 lb");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    good(&screen, "a wrong unit");
    screen.shot("survey-wrong");
    // Typed, and gone to the next step before it was saved: it waits in its field.
    screen.write(field, "13-5/8 in");
    screen.open("/rig/estate-arm/layout");
    screen.wait_for("#drawing svg");
    screen.open("/rig/estate-arm/survey");
    screen.wait(&format!("document.querySelector(\"{field}\").value === '13-5/8 in'"));
    screen.wait_text("not saved yet");
    screen.script(&format!("document.querySelector(\"{field}\").form.requestSubmit();"));
    screen.wait("document.querySelector('#undo .step')");
    screen.wait_text("346 mm (13-5/8 in)");
    assert_eq!(screen.script("return sessionStorage.getItem('clingfish-typed');"), "{}");
    let after = std::fs::read_to_string(&path).unwrap();
    assert!(
        after.contains("datum = { aft = \"13-5/8 in\", up = \"1.43 m\" }   # windscreen's top edge, from the front axle and the road"),
        "{after}"
    );
    // On to the next step: its picture and field are what is seen.
    screen.press(".steps a:last-child");
    screen.wait("location.search.includes('vehicle.wheelbase')");
    screen.wait("document.querySelector('#step h2').getBoundingClientRect().top < innerHeight / 2");
    screen.press("#undo");
    screen.wait("document.querySelector('#redo .step')");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
}

#[test]
fn a_sunroof_that_is_kept_clear_on_one_phone_stands_on_the_other() {
    let (server, chrome) = (Server::start("survey-clear"), Chrome::start());
    let (phone, laptop) = (lead(&chrome, &server, PHONE), lead(&chrome, &server, LAPTOP));
    let page = "/rig/estate-arm/survey?step=panel.roof.keep_out";
    laptop.open(page);
    phone.open(page);
    phone.script("document.querySelector('#step details').open = true;");
    for (name, value) in
        [("tag", "sunroof"), ("aft", "20 in"), ("left", "0 mm"), ("length", "400 mm"), ("width", "24 in")]
    {
        phone.write(&format!("#step input[name={name}]"), value);
    }
    phone.key(Key::Enter);
    for screen in [&phone, &laptop] {
        screen.wait_text("Sunroof");
        screen.wait("[...document.querySelectorAll('#step h3')].some(h => h.textContent === 'Sunroof')");
    }
    let text = std::fs::read_to_string(server.folder.join("estate-arm.toml")).unwrap();
    assert!(text.contains("[panel.roof.keep_out.sunroof]\naft = \"20 in\"\nleft = \"0 mm\"\n"), "{text}");
    laptop.shot("survey-sunroof");
}
