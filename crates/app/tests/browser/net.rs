//! Out of reach of the server, and back.

use crate::screen::Screen;
use serde_json::json;

impl Screen<'_> {
    /// Pages reach nothing any more.
    pub(crate) fn offline(&self) {
        self.reach(false);
    }

    /// Pages reach the server again.
    pub(crate) fn online(&self) {
        self.reach(true);
    }

    fn reach(&self, reach: bool) {
        self.cdp(
            "Network.emulateNetworkConditions",
            &json!({ "offline": !reach, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 }),
        );
    }
}
