//! The few files that pages need, in the program itself. Their names carry what is in them, so a browser keeps them.

use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::sync::LazyLock;

/// A file.
pub(crate) struct Asset {
    /// Its name in the address.
    pub(crate) name: String,
    kind: &'static str,
    text: &'static str,
}

fn asset(name: &str, end: &str, kind: &'static str, text: &'static str) -> Asset {
    let mark = Sha256::digest(text.as_bytes()).iter().take(6).fold(String::new(), |mut out, b| {
        // Writing to a string does not fail.
        let _ = write!(out, "{b:02x}");
        out
    });
    Asset { name: format!("{name}-{mark}.{end}"), kind, text }
}

/// How it looks.
pub(crate) static STYLE: LazyLock<Asset> =
    LazyLock::new(|| asset("look", "css", "text/css; charset=utf-8", include_str!("look.css")));
/// What it does in the browser.
pub(crate) static SCRIPT: LazyLock<Asset> =
    LazyLock::new(|| asset("page", "js", "text/javascript; charset=utf-8", SCRIPTS));
/// One module of files by concern: the last one begins.
const SCRIPTS: &str = concat!(
    include_str!("page.js"),
    "\n",
    include_str!("alerts.js"),
    include_str!("photos.js"),
    include_str!("motion.js"),
    include_str!("typed.js"),
    include_str!("begin.js"),
);
const ICON: &str = include_str!("icon.svg");

/// `GET /assets/NAME`.
pub(crate) async fn file(Path(name): Path<String>) -> Response {
    if name == "icon.svg" {
        let head = [(header::CONTENT_TYPE, "image/svg+xml"), (header::CACHE_CONTROL, "max-age=86400")];
        return (head, ICON).into_response();
    }
    match [&*STYLE, &*SCRIPT].into_iter().find(|a| a.name == name) {
        Some(a) => {
            let head = [
                (header::CONTENT_TYPE, a.kind),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ];
            (head, a.text).into_response()
        }
        None => StatusCode::NOT_FOUND.into_response(),
    }
}
