//! The pages about a rig's limits, power, arm, settling and sheet, at a phone and at a laptop.

use crate::chrome::Chrome;
use crate::screen::{LAPTOP, PHONE, Screen};
use crate::server::Server;
use serde_json::json;

#[test]
fn pages_of_a_rig_can_be_used_by_everybody_on_a_phone_and_a_laptop() {
    let server = Server::start("browser-pages");
    let chrome = Chrome::start();
    for size in [PHONE, LAPTOP] {
        let screen = Screen::new(&chrome, size, &server.origin());
        screen.open(&server.lead);
        for (rig, place) in [("estate-arm", "power"), ("estate-arm", "arm"), ("bonnet-camera", "settle")] {
            screen.open(&format!("/rig/{rig}/{place}"));
            seen(&screen, place);
        }
        screen.open("/rig/bonnet-camera/envelope");
        // The first screen asks; the second finds it there.
        for work in ["limits", "advice"] {
            screen.script(&format!("document.querySelector('input[value={work}] ~ button')?.click();"));
            screen.wait(&format!("!document.querySelector('input[value={work}]')"));
        }
        screen.wait_text("Each change was tried alone");
        screen.wait_text("These are limits of the rig");
        seen(&screen, "envelope");
        screen.open("/rig/bonnet-camera/sheet");
        screen.press("form.card button");
        screen.wait_text("Take the PDF");
        seen(&screen, "sheet");
    }
}

/// Nothing but what scrolls by itself is wider than the screen, and no rule is broken.
fn seen(screen: &Screen<'_>, name: &str) {
    // The page is drawn anew where the first drawing was for another screen.
    screen.wait("document.body.classList.contains('lively')");
    std::thread::sleep(std::time::Duration::from_millis(400));
    screen.shot(&format!("page-{name}"));
    let wide = "return document.documentElement.scrollWidth > innerWidth;";
    assert_eq!(screen.script(wide), json!(false), "{name} is wider than the screen");
    screen.wcag();
}
