//! What a person does: looks for a thing, presses, drags with mouse or finger, writes, uses the keyboard.

use crate::screen::Screen;
use fantoccini::Locator;
use fantoccini::actions::{
    InputSource, KeyAction, KeyActions, MOUSE_BUTTON_LEFT, MouseActions, PointerAction, TouchActions,
};
use fantoccini::elements::Element;
use fantoccini::error::CmdError;
use fantoccini::key::Key;
use serde_json::Value;
use std::time::{Duration, Instant};

/// How long a page may take, on a slow machine that does other things.
const PATIENCE: Duration = Duration::from_secs(15);
/// A drag is so many small moves, as a hand makes it.
const STEPS: u32 = 10;
const STEP: Duration = Duration::from_millis(15);

impl Screen<'_> {
    /// Waits until the script's expression is true.
    pub(crate) fn wait(&self, condition: &str) {
        self.wait_at_most(PATIENCE, condition, condition);
    }

    /// Waits until an element is there.
    pub(crate) fn wait_for(&self, selector: &str) {
        let condition = format!("document.querySelector({}) !== null", Value::from(selector));
        self.wait_at_most(PATIENCE, &format!("an element {selector}"), &condition);
    }

    /// Waits until words stand on the page, whatever space is between them.
    pub(crate) fn wait_text(&self, words: &str) {
        let flat = words.split_whitespace().collect::<Vec<_>>().join(" ");
        let text = "document.body.innerText.replace(/\\s+/g, ' ')";
        let condition = format!("document.body && {text}.includes({})", Value::from(flat));
        self.wait_at_most(PATIENCE, &format!("the words \"{words}\""), &condition);
    }

    /// As the others; the message shows what was on the page instead.
    pub(crate) fn wait_at_most(&self, patience: Duration, what: &str, condition: &str) {
        let began = Instant::now();
        while self.script(&format!("return !!({condition});")) != true {
            assert!(
                began.elapsed() < patience,
                "not there after {} s: {what}. The page was:\n{}",
                patience.as_secs(),
                self.page()
            );
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Waits for an element, then presses in its middle.
    pub(crate) fn press(&self, selector: &str) {
        self.on(&format!("cannot press {selector}"), selector, &async |element: &Element| {
            element.click().await
        });
    }

    /// Waits for a field, goes into it, and writes in place of what it held.
    pub(crate) fn write(&self, selector: &str, text: &str) {
        let all = format!("{}a{}", char::from(Key::Control), char::from(Key::Null));
        let typed = if text.is_empty() { String::from(char::from(Key::Delete)) } else { text.to_owned() };
        self.on(&format!("cannot write into {selector}"), selector, &async |element: &Element| {
            element.click().await?;
            element.send_keys(&format!("{all}{typed}")).await
        });
    }

    /// The page may put a fresh element in the place of the one that was found: then it is looked for again, as a
    /// person taps again.
    fn on(&self, what: &str, selector: &str, act: &impl AsyncFn(&Element) -> Result<(), CmdError>) {
        let began = Instant::now();
        loop {
            self.wait_for(selector);
            let done = self.chrome.run(what, async {
                let found = self.client.find(Locator::Css(selector)).await;
                match async { act(&found?).await }.await {
                    Err(gone) if is_gone(&gone) => Ok(Some(gone)),
                    other => other.map(|()| None),
                }
            });
            let Some(gone) = done else { return };
            assert!(began.elapsed() < PATIENCE, "{what}: {gone}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// One key down and up, wherever the focus is.
    pub(crate) fn key(&self, key: Key) {
        let value = char::from(key);
        let keys = KeyActions::new("keyboard".to_owned())
            .then(KeyAction::Down { value })
            .then(KeyAction::Up { value });
        self.chrome.run("cannot press a key", self.client.perform_actions(keys));
    }

    /// Drags an element by its middle with the mouse, so many CSS pixels to the right and down.
    pub(crate) fn mouse_drag(&self, selector: &str, right: f64, down: f64) {
        let moves = self.drag(selector, right, down);
        let hand = moves.into_iter().fold(MouseActions::new("mouse".to_owned()), InputSource::then);
        self.chrome.run("cannot drag with the mouse", self.client.perform_actions(hand));
    }

    /// The same with a finger.
    pub(crate) fn touch_drag(&self, selector: &str, right: f64, down: f64) {
        let moves = self.drag(selector, right, down);
        let hand = moves.into_iter().fold(TouchActions::new("finger".to_owned()), InputSource::then);
        self.chrome.run("cannot drag with a finger", self.client.perform_actions(hand));
    }

    /// Moves from the middle of an element that nothing covers, but for what is drawn over it in the same picture.
    fn drag(&self, selector: &str, right: f64, down: f64) -> Vec<PointerAction> {
        self.wait_for(selector);
        let middle = self.script(&format!(
            "const it = document.querySelector({});
             it.scrollIntoView({{ block: 'center', inline: 'center', behavior: 'instant' }});
             const box = it.getBoundingClientRect();
             const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
             const top = document.elementFromPoint(x, y);
             const drawn = top instanceof SVGElement && document.elementsFromPoint(x, y).some((e) => it.contains(e));
             return {{ x, y, free: it.contains(top) || drawn, top: top ? top.outerHTML.slice(0, 120) : 'nothing' }};",
            Value::from(selector)
        ));
        assert!(middle["free"] == true, "{selector} cannot be taken: over its middle is {}", middle["top"]);
        let (x, y) = (middle["x"].as_f64().unwrap(), middle["y"].as_f64().unwrap());
        let to = |part: f64| PointerAction::MoveTo {
            duration: Some(STEP),
            x: (x + right * part).round(),
            y: (y + down * part).round(),
        };
        let mut moves = vec![to(0.0), PointerAction::Down { button: MOUSE_BUTTON_LEFT }];
        moves.extend((1..=STEPS).map(|n| to(f64::from(n) / f64::from(STEPS))));
        moves.push(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
        moves
    }
}

/// Whether the page took the element away before it could be used.
fn is_gone(error: &CmdError) -> bool {
    error.is_no_such_element() || error.is_stale_element_reference() || error.is_element_not_interactable()
}
