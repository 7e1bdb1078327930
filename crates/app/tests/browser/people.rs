//! Who is in, and what they have begun: the same for every test of the pages.

use crate::chrome::Chrome;
use crate::screen::{PHONE, Screen, Size};
use crate::server::Server;
use fantoccini::key::Key;
use serde_json::Value;
use std::process::Command;
use std::time::Duration;

/// The lead, at a screen.
pub(crate) fn lead<'c>(chrome: &'c Chrome, server: &Server, size: Size) -> Screen<'c> {
    let screen = Screen::new(chrome, size, &server.origin());
    screen.open(&server.lead);
    screen.wait_text("Pickup, long arm on the cab roof");
    screen
}

/// A phone whose person joined as crew, by the code on the lead's screen.
pub(crate) fn crew<'c>(chrome: &'c Chrome, server: &Server, lead: &Screen<'_>, name: &str) -> Screen<'c> {
    lead.open("/people");
    let phone = Screen::new(chrome, PHONE, &server.origin());
    phone.open(&format!("/join?code={}", text(lead, ".code")));
    phone.write("input[name=name]", name);
    phone.key(Key::Enter);
    phone.wait_text("Jobs");
    phone
}

/// Waits until the whole answer is there.
pub(crate) fn judged(screen: &Screen<'_>) {
    let there = "document.querySelector('.verdict') && !document.querySelector('.working')";
    screen.wait_at_most(Duration::from_mins(2), "the answer", there);
}

/// The words in an element; none where it is not there.
pub(crate) fn text(screen: &Screen<'_>, selector: &str) -> String {
    let got = screen.script(&format!(
        "return (document.querySelector({}) || {{}}).innerText || '';",
        Value::from(selector)
    ));
    got.as_str().unwrap().to_owned()
}

/// A job begun by the lead; its address.
pub(crate) fn job(screen: &Screen<'_>) -> String {
    screen.press("form[action='/job'] input[value='bonnet-camera'] + button");
    screen.wait("location.pathname.startsWith('/job/')");
    let path = screen.script("return location.pathname.split('/').slice(0, 3).join('/');");
    path.as_str().unwrap().to_owned()
}

/// Nothing has to be scrolled sideways.
pub(crate) fn fits(screen: &Screen<'_>, page: &str) {
    let wide = screen.script("return document.documentElement.scrollWidth - innerWidth;");
    assert!(wide.as_f64().unwrap() <= 0.0, "{page} is {wide} too wide");
}

/// What the record says, by the command.
pub(crate) fn entries(server: &Server) -> Vec<Value> {
    let out = Command::new(env!("CARGO_BIN_EXE_clingfish"))
        .args(["job", "show", "--json", "--zone", "UTC", "--record"])
        .arg(server.folder.join("clingfish.record"))
        .output()
        .unwrap();
    let shown: Value = serde_json::from_slice(&out.stdout).unwrap();
    shown["entries"].as_array().unwrap().clone()
}
