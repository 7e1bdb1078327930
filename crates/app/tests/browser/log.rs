//! What went wrong without the page showing it: errors on the console, requests to other hosts.

use crate::screen::{Own, Screen};
use serde_json::{Value, json};
use url::Url;

impl Screen<'_> {
    /// Faults since they were last asked for, one line each. Who asks deals with them: they fail the test no more.
    pub(crate) fn faults(&self) -> Vec<String> {
        let console = self.chrome.run("the console", self.client.issue_cmd(wish("browser")));
        let network = self.chrome.run("the network log", self.client.issue_cmd(wish("performance")));
        self.told(&console, &network)
    }

    /// The same when the test is over. A browser that does not answer any more is a fault.
    pub(crate) fn try_faults(&self) -> Vec<String> {
        let console = self.chrome.try_run(self.client.issue_cmd(wish("browser")));
        let network = self.chrome.try_run(self.client.issue_cmd(wish("performance")));
        match (console, network) {
            (Some(console), Some(network)) => self.told(&console, &network),
            _ => vec!["the browser does not say what it logged".to_owned()],
        }
    }

    /// From now on a console error with these words is none, for the test provokes it. A request to another host
    /// stays one.
    pub(crate) fn excuse(&self, words: &'static str) {
        self.excused.borrow_mut().push(words);
    }

    fn told(&self, console: &Value, network: &Value) -> Vec<String> {
        let excused = self.excused.borrow();
        let errors = errors(console).into_iter().filter(|e| !excused.iter().any(|w| e.contains(w)));
        let outside = outside(network, &self.origin);
        errors
            .map(|e| format!("console: {e}"))
            .chain(outside.into_iter().map(|u| format!("outside: {u}")))
            .collect()
    }
}

fn wish(kind: &str) -> Own {
    Own { place: "se/log", body: json!({ "type": kind }) }
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn errors(console: &Value) -> Vec<String> {
    let severe = list(console).filter(|line| line["level"] == "SEVERE");
    severe.filter_map(|line| line["message"].as_str()).map(str::to_owned).collect()
}

/// Addresses that were asked for and are not the server's.
fn outside(network: &Value, origin: &str) -> Vec<String> {
    let mut found = Vec::new();
    for line in list(network) {
        // The log holds events as text within JSON.
        let event: Value =
            serde_json::from_str(line["message"].as_str().unwrap_or_default()).unwrap_or_default();
        let event = &event["message"];
        let address = match event["method"].as_str() {
            Some("Network.requestWillBeSent") => &event["params"]["request"]["url"],
            Some("Network.webSocketCreated") => &event["params"]["url"],
            _ => continue,
        };
        let address = address.as_str().unwrap_or_default();
        if !ours(address, origin) {
            found.push(address.to_owned());
        }
    }
    found
}

/// Whether an address stays with the server or within the browser.
fn ours(address: &str, origin: &str) -> bool {
    let (Ok(address), Ok(origin)) = (Url::parse(address), Url::parse(origin)) else { return false };
    match address.scheme() {
        "data" | "blob" | "about" | "chrome" | "devtools" => true,
        _ => {
            address.host() == origin.host()
                && address.port_or_known_default() == origin.port_or_known_default()
        }
    }
}

#[test]
fn only_the_server_itself_is_no_other_host() {
    let origin = "http://127.0.0.1:4000";
    for own in ["http://127.0.0.1:4000/a?b", "ws://127.0.0.1:4000/x", "data:text/plain,a", "about:blank"] {
        assert!(ours(own, origin), "{own}");
    }
    for other in
        ["http://127.0.0.1:4001/", "http://127.0.0.1:4000.example.invalid/", "https://example.invalid"]
    {
        assert!(!ours(other, origin), "{other}");
    }
}
