//! One browser window of a known size: what it opens, how it looks, pictures of it.

use crate::chrome::{self, Chrome};
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use fantoccini::Client;
use fantoccini::wd::{PrintConfigurationBuilder, WebDriverCompatibleCommand};
use serde_json::{Value, json};
use std::cell::RefCell;
use std::path::PathBuf;
use url::{ParseError, Url};

/// A screen that people hold or sit at.
#[derive(Clone, Copy)]
pub(crate) struct Size {
    /// In CSS pixels.
    pub(crate) width: u32,
    /// In CSS pixels.
    pub(crate) height: u32,
    /// Device pixels in one CSS pixel.
    pub(crate) scale: f64,
    /// Fingers instead of a mouse, and a page as wide as it says itself.
    pub(crate) phone: bool,
}

/// A phone, upright.
pub(crate) const PHONE: Size = Size { width: 390, height: 844, scale: 3.0, phone: true };
/// A laptop's whole screen.
pub(crate) const LAPTOP: Size = Size { width: 1440, height: 900, scale: 1.0, phone: false };

/// What a person set their device to.
#[derive(Clone, Copy, Default)]
pub(crate) struct Look {
    /// Light letters on dark.
    pub(crate) dark: bool,
    /// Reduced motion.
    pub(crate) still: bool,
}

/// A command of chromedriver that no standard names.
#[derive(Debug)]
pub(crate) struct Own {
    /// Its end of the address: `goog/cdp/execute`.
    pub(crate) place: &'static str,
    /// What is sent.
    pub(crate) body: Value,
}

impl WebDriverCompatibleCommand for Own {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, ParseError> {
        base.join(&format!("session/{}/{}", session.unwrap_or_default(), self.place))
    }

    fn method_and_body(&self, _: &Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.body.to_string()))
    }
}

/// A browser window that looks at one server.
pub(crate) struct Screen<'a> {
    pub(crate) chrome: &'a Chrome,
    pub(crate) client: Client,
    /// `http://127.0.0.1:PORT`: the one place that pages may ask.
    pub(crate) origin: String,
    /// Words of console lines that the test itself provokes.
    pub(crate) excused: RefCell<Vec<&'static str>>,
    size: Size,
    pub(crate) profile: PathBuf,
}

impl<'a> Screen<'a> {
    /// A fresh browser: light, with motion, nothing open.
    pub(crate) fn new(chrome: &'a Chrome, size: Size, origin: &str) -> Self {
        let (client, profile) = chrome.session();
        let origin = origin.trim_end_matches('/').to_owned();
        let screen = Self { chrome, client, origin, excused: RefCell::default(), size, profile };
        let Size { width, height, scale, phone } = size;
        screen.cdp(
            "Emulation.setDeviceMetricsOverride",
            &json!({ "width": width, "height": height, "deviceScaleFactor": scale, "mobile": phone }),
        );
        let touch = json!({ "enabled": phone, "maxTouchPoints": if phone { 5 } else { 1 } });
        screen.cdp("Emulation.setTouchEmulationEnabled", &touch);
        screen.look(Look::default());
        screen
    }

    /// A command of the Chrome `DevTools` Protocol.
    pub(crate) fn cdp(&self, command: &str, values: &Value) -> Value {
        let body = json!({ "cmd": command, "params": values });
        self.chrome.run(command, self.client.issue_cmd(Own { place: "goog/cdp/execute", body }))
    }

    /// Opens an address of the server: `/rounds`, or the whole of it.
    pub(crate) fn open(&self, address: &str) {
        let whole =
            if address.starts_with('/') { format!("{}{address}", self.origin) } else { address.to_owned() };
        self.chrome.run(&format!("cannot open {whole}"), self.client.goto(&whole));
    }

    /// What the body of a script function returns.
    pub(crate) fn script(&self, script: &str) -> Value {
        self.chrome.run(script, self.client.execute(script, Vec::new()))
    }

    /// The address, title and words now on the page, for messages.
    pub(crate) fn page(&self) -> String {
        let words = self.script(
            "return `${location.href}\\n${document.title}\\n${document.body ? document.body.innerText : ''}`;",
        );
        words.as_str().unwrap_or_default().to_owned()
    }

    /// Light or dark, moving or still, as the device says it to the page.
    pub(crate) fn look(&self, look: Look) {
        let scheme = if look.dark { "dark" } else { "light" };
        let motion = if look.still { "reduce" } else { "no-preference" };
        let features = json!([
            { "name": "prefers-color-scheme", "value": scheme },
            { "name": "prefers-reduced-motion", "value": motion },
        ]);
        self.cdp("Emulation.setEmulatedMedia", &json!({ "features": features }));
    }

    /// The page as it would be printed, as PDF.
    pub(crate) fn print(&self) -> Vec<u8> {
        let paper = PrintConfigurationBuilder::default().background(true).build().unwrap();
        self.chrome.run("cannot print", self.client.print(paper))
    }

    /// A picture of the whole page, below the fold too, as `NAME-WIDTH.png` in the folder `CLINGFISH_SHOTS` or that
    /// of these tests.
    pub(crate) fn shot(&self, name: &str) -> PathBuf {
        let folder = std::env::var_os("CLINGFISH_SHOTS").map_or_else(chrome::folder, PathBuf::from);
        std::fs::create_dir_all(&folder).unwrap();
        let height = self.script("return document.documentElement.scrollHeight;").as_f64().unwrap();
        let clip = json!({
            "x": 0, "y": 0, "scale": 1, "width": self.size.width, "height": height.max(self.size.height.into()),
        });
        let wish = json!({ "format": "png", "captureBeyondViewport": true, "clip": clip });
        let picture = self.cdp("Page.captureScreenshot", &wish);
        let bytes = BASE64_STANDARD.decode(picture["data"].as_str().unwrap()).unwrap();
        let path = folder.join(format!("{name}-{}.png", self.size.width));
        std::fs::write(&path, bytes).unwrap();
        path
    }
}

impl Drop for Screen<'_> {
    /// Closes the browser. A fault that nobody has taken fails the test, unless it fails already.
    fn drop(&mut self) {
        let failing = std::thread::panicking();
        let faults = if failing { Vec::new() } else { self.try_faults() };
        self.chrome.try_run(self.client.clone().close());
        let _ = std::fs::remove_dir_all(&self.profile);
        assert!(failing || faults.is_empty(), "the browser saw faults:\n{}", faults.join("\n"));
    }
}
