//! A short day played through: the car surveyed, the drawing tried, limits looked at, the rig built and signed for by two, the
//! gauges read, a leak found, the sheet taken away.

use crate::chrome::Chrome;
use crate::people::{crew, entries, job, judged, lead};
use crate::screen::{LAPTOP, Screen};
use crate::server::Server;
use serde_json::Value;
use std::process::Command;
use std::time::Duration;

/// The order of the work, as the command tells it.
fn order(server: &Server) -> Value {
    let out = Command::new(env!("CARGO_BIN_EXE_clingfish"))
        .args(["build", "--json"])
        .arg(server.folder.join("bonnet-camera.toml"))
        .output()
        .unwrap();
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Presses what is there, wherever the page is scrolled to.
fn press(screen: &Screen<'_>, selector: &str) {
    screen.wait_for(selector);
    screen.script(&format!("document.querySelector({}).click();", Value::from(selector)));
}

fn quoted(text: &str) -> String {
    format!("'{text}'")
}

/// Writes a value down in a step's own field. At once, as the page may be made anew by what the other phone does.
fn written(phone: &Screen<'_>, step: &str, record: usize, value: &str, keyed: bool) {
    let mark = quoted(&format!("{step} {record}"));
    phone.wait_for(&format!("input[data-of={mark}][name=value]"));
    let with = if keyed { "form.elements.with.value = 'tape';" } else { "" };
    phone.script(&format!(
        "const form = document.querySelector(\"input[data-of={mark}][name=value]\").form; \
         form.elements.value.value = {}; {with} form.requestSubmit();",
        Value::from(value)
    ));
    let said = format!("document.querySelector(\"input[data-of={mark}]\").closest('.record').innerText");
    phone.wait(&format!("{said}.includes({})", Value::from(format!("Written: {value}"))));
}

/// What a person finds at the car: as planned, the first cup 10 mm further ahead.
fn found(text: &str, kind: &str, key: &str) -> String {
    match kind {
        "reading" => "21.5 inHg".to_owned(),
        "measured" if key == "cup.FL.forward" => "1.20 m".to_owned(),
        "measured" => rig::written(text, key)
            .unwrap_or_else(|| panic!("the plan has no {key}"))
            .trim_matches('"')
            .to_owned(),
        _ if key == "car: height" => "1.66 m".to_owned(),
        _ => "as planned".to_owned(),
    }
}

#[test]
fn a_short_day_from_the_survey_to_the_sheet() {
    let (server, chrome) = (Server::start("day"), Chrome::start());
    let path = server.folder.join("bonnet-camera.toml");
    let laptop = lead(&chrome, &server, LAPTOP);
    laptop.shot("day-1-home");

    // Survey: the rear track, in inches, for what was planned in metres.
    laptop.open("/rig/bonnet-camera/survey?step=vehicle.track_rear");
    laptop.wait_for("input[data-of='vehicle.track_rear']");
    laptop.script(
        "const field = document.querySelector(\"input[data-of='vehicle.track_rear']\"); \
         field.value = '58-1/4 in'; field.form.requestSubmit();",
    );
    laptop.wait_text("1480 mm (58-1/4 in)");
    laptop.wait("document.querySelector('#undo .step')");
    laptop.shot("day-2-survey");
    let plan = std::fs::read_to_string(&path).unwrap();
    assert!(plan.contains("track_rear = \"58-1/4 in\""));

    // The drawing: a cup is moved by hand, its margin follows, it is put back.
    laptop.open("/rig/bonnet-camera/layout?part=cup-FL");
    judged(&laptop);
    laptop.mouse_drag("#drawing g.cup[data-part=cup-FL], #drawing g[data-part=cup-FL]", 12.0, 0.0);
    laptop.wait("document.querySelector('#undo .step')?.textContent.includes('cup FL')");
    assert!(std::fs::read_to_string(&path).unwrap() != plan, "the cup was moved");
    judged(&laptop);
    laptop.shot("day-3-layout");
    press(&laptop, "#undo");
    laptop.wait("!document.querySelector('#undo .step')?.textContent.includes('cup FL')");
    assert!(std::fs::read_to_string(&path).unwrap() == plan, "as it was, byte for byte");

    // Limits before anybody drives.
    laptop.open("/rig/bonnet-camera/envelope");
    press(&laptop, "input[value=limits] ~ button");
    laptop.wait_at_most(
        Duration::from_mins(2),
        "the limits",
        "!document.querySelector('input[value=limits]')",
    );
    laptop.wait_text("These are limits of the rig");
    laptop.shot("day-4-limits");

    // The job, and two at the car.
    laptop.open("/");
    let job = job(&laptop);
    let (ada, ben) = (crew(&chrome, &server, &laptop, "Ada"), crew(&chrome, &server, &laptop, "Ben"));
    ada.open(&format!("{job}/build"));
    ben.open(&format!("{job}/build"));
    laptop.open(&format!("{job}/build"));
    let order = order(&server);
    let steps = order["steps"].as_array().unwrap();
    for step in steps {
        let name = step["name"].as_str().unwrap();
        let done = format!("button[aria-label={}]", quoted(&format!("Done: {name}")));
        ada.wait_for(&done);
        for (r, record) in step["records"].as_array().unwrap().iter().enumerate() {
            let (kind, key) = (record["kind"].as_str().unwrap(), record["key"].as_str().unwrap());
            written(&ada, name, r, &found(&plan, kind, key), kind == "measured");
        }
        press(&ada, &done);
        ada.wait(&format!("!document.querySelector({})", Value::from(done.as_str())));
        if !step["signed_by"].is_null() {
            let hold = format!("section[aria-label={}]", quoted(&format!("Hold point: {name}")));
            // Whoever did it does not sign as the second.
            let second = step["signed_by"].as_str().unwrap().starts_with("second");
            let who = if second { &ben } else { &ada };
            who.wait_for(&hold);
            if second {
                who.shot("day-5-hold");
            }
            press(who, &format!("{hold} form:has([value=sign]) button"));
            for screen in [&ada, &ben] {
                screen.wait(&format!("!document.querySelector({})", Value::from(hold.as_str())));
            }
        }
    }
    laptop.wait_text(&format!("{0} of {0} steps done", steps.len()));
    laptop.shot("day-6-built");

    // How it stands: GO or what is missing, and the cup that stands elsewhere.
    laptop.open(&format!("{job}/standing"));
    judged(&laptop);
    laptop.wait_text("cup.FL.forward");
    laptop.shot("day-7-standing");

    // Rounds: one gauge has fallen; both phones are told.
    ada.open(&format!("{job}/rounds"));
    ben.open(&format!("{job}/build"));
    ada.write("input[data-of=R][name=vacuum]", "12 inHg");
    press(&ada, "#cup-R form button");
    for screen in [&ada, &ben] {
        screen.wait_for("#alerts .alert");
    }
    ada.shot("day-8-rounds");
    ben.shot("day-8-told");
    ada.write("input[data-of=R][name=vacuum]", "21.5 inHg");
    press(&ada, "#cup-R input[name=pumped]");
    press(&ada, "#cup-R form button");
    ada.wait_text("21.5 inHg");
    ben.wait("!document.querySelector('#alerts')?.innerText.includes('cup R')");

    // The sheet goes with the car.
    laptop.open("/rig/bonnet-camera/sheet");
    press(&laptop, "form.card button");
    laptop.wait_at_most(
        Duration::from_mins(1),
        "the sheet",
        "document.body.innerText.includes('Take the PDF')",
    );
    laptop.shot("day-9-sheet");

    // All of it is in the record, by whom.
    let entries = entries(&server);
    let count = |kind: &str, who: &str| {
        let is = |e: &&Value| e["kind"] == kind && e["by"] == who;
        entries.iter().filter(is).count()
    };
    assert_eq!(count("step", "Ada"), steps.len(), "{entries:?}");
    let holds = steps.iter().filter(|s| !s["signed_by"].is_null()).count();
    assert_eq!((count("signature", "Ada"), count("signature", "Ben")), (holds - 1, 1));
    assert!(std::fs::read_to_string(&path).unwrap() == plan, "the plan is as it was");
}
