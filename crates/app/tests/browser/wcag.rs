//! Whether people who see, hear or move otherwise can use a page: axe-core's rules for WCAG 2.0, 2.1 and 2.2, levels
//! A and AA.

use crate::chrome;
use crate::screen::Screen;
use serde_json::{Value, json};
use std::fmt::Write;

/// Only the page itself is looked at: nothing is fetched for it.
const RUN: &str =
    "axe.run(document, { preload: false, resultTypes: ['violations'], runOnly: { type: 'tag', values:
    ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22a', 'wcag22aa'] } }).then(found => found.violations)";

impl Screen<'_> {
    /// The page as it stands breaks no rule.
    pub(crate) fn wcag(&self) {
        let broken = self.wcag_faults();
        assert!(broken.is_empty(), "{}\nbreaks rules:\n{}", self.page(), broken.join("\n"));
    }

    /// Rule, what it asks, and each element that breaks it, one text a rule.
    pub(crate) fn wcag_faults(&self) -> Vec<String> {
        let path = chrome::installed("CLINGFISH_AXE", || Some(chrome::folder().join("axe.min.js")));
        let source = std::fs::read_to_string(path).unwrap();
        // By the debugger's door: a page's security policy keeps scripts out, and is not switched off for this.
        if self.evaluate("typeof axe") == "undefined" {
            self.evaluate(&format!("{source}; typeof axe"));
        }
        let found = self.evaluate(RUN);
        found.as_array().unwrap_or_else(|| panic!("axe-core gave {found}")).iter().map(told).collect()
    }

    fn evaluate(&self, script: &str) -> Value {
        let wish = json!({ "expression": script, "awaitPromise": true, "returnByValue": true });
        let answer = self.cdp("Runtime.evaluate", &wish);
        let exception = &answer["exceptionDetails"];
        assert!(exception.is_null(), "axe-core failed: {exception}");
        answer["result"]["value"].clone()
    }
}

fn told(rule: &Value) -> String {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let mut told = format!("{}: {} ({})", text(&rule["id"]), text(&rule["help"]), text(&rule["helpUrl"]));
    for node in rule["nodes"].as_array().into_iter().flatten() {
        let why = text(&node["failureSummary"]).split_whitespace().collect::<Vec<_>>().join(" ");
        let _ = write!(told, "\n  {} {}\n    {why}", node["target"], text(&node["html"]));
    }
    told
}
