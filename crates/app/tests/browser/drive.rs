//! What the car does, picked on the drawing; speed, bend and braking tried before they are written.

use crate::chrome::Chrome;
use crate::people::{fits, lead};
use crate::screen::{LAPTOP, PHONE, Screen};
use crate::server::Server;
use serde_json::Value;

fn pick(screen: &Screen<'_>, name: &str, value: &str) {
    screen.script(&format!(
        "const s = document.querySelector('#shown [name={name}]'); s.value = {}; \
         s.dispatchEvent(new Event('input', {{ bubbles: true }}));",
        Value::from(value)
    ));
}

#[test]
fn a_manoeuvre_is_picked_stretched_and_written_into_the_file() {
    let (server, chrome) = (Server::start("drive"), Chrome::start());
    let path = server.folder.join("estate-arm.toml");
    let before = std::fs::read_to_string(&path).unwrap();
    for size in [PHONE, LAPTOP] {
        let screen = lead(&chrome, &server, size);
        screen.open("/rig/estate-arm/layout?bearing=60&elevation=10&forces=yes");
        screen.wait_for("#shown [name=drive]");
        pick(&screen, "drive", "left-bend");
        screen.wait_text("left-bend at 40 km/h");
        screen.wait_text("margins in what is shown alone");
        screen.wait("location.search.includes('drive=left-bend')");
        screen.wcag();
        // Another speed and a harder bend change what is shown and nothing in the file.
        pick(&screen, "speed", "55");
        screen.wait_text("left-bend at 55 km/h");
        screen.wait_text("Speed: 55 km/h (34.2 mph)");
        pick(&screen, "bend", "0.45");
        screen.wait_text("Bend: 0.45 g left, 4.41 m/s2 (14.5 ft/s2)");
        assert!(std::fs::read_to_string(&path).unwrap() == before, "as it was");
        screen.wcag();
        fits(&screen, "with a manoeuvre");
        screen.shot("drive");
        // One of them is written, and taken back.
        screen.press("#tried li:last-of-type button");
        screen.wait("document.querySelector('#undo .step')");
        let after = std::fs::read_to_string(&path).unwrap();
        assert!(after == before.replacen("left = \"0.35 g\"", "left = \"0.45 g\"", 1), "the bend alone");
        screen.wait("!document.querySelector('#tried').innerText.includes('Bend')");
        screen.wait_text("Speed: 55 km/h");
        // The strip with the answer stands over the top of a phone's screen.
        screen.script("document.querySelector('#undo').scrollIntoView({ block: 'center' });");
        screen.press("#undo");
        screen.wait("document.querySelector('#undo').disabled");
        assert!(std::fs::read_to_string(&path).unwrap() == before, "as it was");
        screen.press("#tried > a");
        screen.wait_text("left-bend at 40 km/h");
        screen.wait("document.querySelector('#tried').innerText === ''");
        // Each manoeuvre in turn, with a cup let go.
        pick(&screen, "drive", "each");
        pick(&screen, "lost", "cup-FL");
        screen.wait_text("cup FL lost");
        screen.wait_text("margins in what is shown alone");
    }
}
