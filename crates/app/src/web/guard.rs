//! What every request passes: from this host and this page, by someone who is in; and what every answer carries.

use super::frame;
use super::gate::{Person, Role};
use super::page::Wrong;
use super::state::Station;
use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::time::Instant;

/// The name of the cookie.
pub(crate) const COOKIE: &str = "clingfish";

/// Nothing comes from elsewhere, nothing goes there, and no script stands in a page.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; \
connect-src 'self'; form-action 'self'; manifest-src 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Of every answer.
const HEADERS: [(HeaderName, &str); 6] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "same-origin"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// Paths for which nobody needs to be in.
fn is_open(path: &str) -> bool {
    path == "/join" || path.starts_with("/open/") || path.starts_with("/assets/")
}

/// Looks at a request before anything else does.
pub(crate) async fn at_the_door(
    State(station): State<Arc<Station>>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    mut request: Request,
    next: Next,
) -> Response {
    let (path, method) = (request.uri().path().to_owned(), request.method().clone());
    let mut answer = match checked(&station, from.ip(), &mut request) {
        Ok(()) => next.run(request).await,
        Err(refusal) => {
            if let Some(why) = refusal.log {
                super::state::log(&format!("refused {method} {} from {}: {why}", shown(&path), from.ip()));
            }
            *refusal.answer
        }
    };
    for (name, value) in HEADERS {
        answer.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    // What a page says is for who is in, and new each time; what never changes says so itself.
    answer.headers_mut().entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    answer
}

/// A path as the log shows it.
fn shown(path: &str) -> String {
    path.chars().filter(|c| !c.is_control()).take(120).collect()
}

struct Refusal {
    log: Option<&'static str>,
    answer: Box<Response>,
}

fn refusal(log: &'static str, status: StatusCode, words: &str) -> Refusal {
    Refusal { log: Some(log), answer: Box::new((status, frame::bare("Not done", words)).into_response()) }
}

fn checked(station: &Station, from: IpAddr, request: &mut Request) -> Result<(), Refusal> {
    let headers = request.headers();
    let host = host_of(headers, request.uri());
    if !host.as_deref().is_some_and(|h| station.is_host(h)) {
        return Err(refusal(
            "wrong host",
            StatusCode::MISDIRECTED_REQUEST,
            "This program answers only under the address that it printed.",
        ));
    }
    if !matches!(*request.method(), Method::GET | Method::HEAD | Method::POST) {
        return Err(refusal(
            "wrong method",
            StatusCode::METHOD_NOT_ALLOWED,
            "Pages are read or sent to, nothing else.",
        ));
    }
    if *request.method() == Method::POST && !from_own_page(headers, host.as_deref().unwrap_or_default()) {
        return Err(refusal(
            "wrong origin",
            StatusCode::FORBIDDEN,
            "This was not sent from a page of this program.",
        ));
    }
    let person = token_of(headers).and_then(|t| station.gate().person(&t, Instant::now()));
    match person {
        Some(person) => {
            request.extensions_mut().insert(person);
            request.extensions_mut().insert(from);
            Ok(())
        }
        None if is_open(request.uri().path()) => {
            request.extensions_mut().insert(from);
            Ok(())
        }
        None if wants_page(request) => {
            Err(Refusal { log: None, answer: Box::new(Redirect::to("/join").into_response()) })
        }
        None => {
            Err(refusal("not in", StatusCode::UNAUTHORIZED, "Join first: by the code on the lead's screen."))
        }
    }
}

/// Someone who opens a page, not a script that asks.
fn wants_page(request: &Request) -> bool {
    let html = |v: &HeaderValue| v.to_str().is_ok_and(|v| v.contains("text/html"));
    *request.method() == Method::GET && request.headers().get(header::ACCEPT).is_some_and(html)
}

fn host_of(headers: &HeaderMap, uri: &Uri) -> Option<String> {
    let mut all = headers.get_all(header::HOST).iter();
    let host = all.next().and_then(|h| h.to_str().ok()).map(str::to_owned);
    // Two of them, or another one in the line itself: one would be checked and the other believed.
    if all.next().is_some() {
        return None;
    }
    match uri.authority() {
        Some(a) if host.as_deref() != Some(a.as_str()) => None,
        _ => host,
    }
}

/// By plain http on a local network the browser sends no `Sec-Fetch-Site`: the origin is what counts there.
fn from_own_page(headers: &HeaderMap, host: &str) -> bool {
    if let Some(site) = headers.get("sec-fetch-site")
        && site != "same-origin"
    {
        return false;
    }
    let origin = headers.get(header::ORIGIN).and_then(|o| o.to_str().ok());
    origin.and_then(|o| o.strip_prefix("http://")).is_some_and(|o| o.eq_ignore_ascii_case(host))
}

/// The session's token in the cookies.
pub(crate) fn token_of(headers: &HeaderMap) -> Option<String> {
    cookie_of(headers, COOKIE)
}

/// A cookie's value.
pub(crate) fn cookie_of(headers: &HeaderMap, name: &str) -> Option<String> {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok());
    let mut pairs = cookies.flat_map(|c| c.split(';')).filter_map(|p| p.trim().split_once('='));
    pairs.find(|(n, _)| *n == name).map(|(_, value)| value.to_owned())
}

/// The cookie of a session.
pub(crate) fn cookie(token: &str) -> String {
    format!("{COOKIE}={token}; HttpOnly; SameSite=Strict; Path=/; Max-Age=129600")
}

/// Refuses who may not do this.
pub(crate) fn must_be(person: &Person, least: Role) -> Result<(), Wrong> {
    if person.role >= least {
        return Ok(());
    }
    let words = format!("this is for the {}; you are in as {}", least.word(), person.role.word());
    Err(Wrong::new(StatusCode::FORBIDDEN, words, ""))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        let mut out = HeaderMap::new();
        for (name, value) in pairs {
            out.append(*name, value.parse().unwrap());
        }
        out
    }

    #[test]
    fn only_own_pages_may_send() {
        let own = |pairs: &[(&'static str, &str)]| from_own_page(&headers(pairs), "192.0.2.7:8640");
        assert!(own(&[("origin", "http://192.0.2.7:8640")]));
        assert!(own(&[("origin", "http://192.0.2.7:8640"), ("sec-fetch-site", "same-origin")]));
        assert!(!own(&[]), "no origin at all");
        assert!(!own(&[("sec-fetch-site", "same-origin")]), "no origin at all");
        assert!(!own(&[("origin", "null")]));
        assert!(!own(&[("origin", "http://192.0.2.7")]), "another port");
        assert!(!own(&[("origin", "https://192.0.2.7:8640")]));
        assert!(!own(&[("origin", "http://192.0.2.7:8640.example")]));
        assert!(!own(&[("origin", "http://192.0.2.7:8640"), ("sec-fetch-site", "cross-site")]));
    }

    #[test]
    fn one_host_and_no_other_beside_it() {
        let page: Uri = "/join".parse().unwrap();
        assert_eq!(host_of(&headers(&[("host", "a:1")]), &page).as_deref(), Some("a:1"));
        assert_eq!(host_of(&headers(&[("host", "a:1"), ("host", "b:1")]), &page), None);
        let whole: Uri = "http://b:1/join".parse().unwrap();
        assert_eq!(host_of(&headers(&[("host", "a:1")]), &whole), None);
        assert_eq!(host_of(&headers(&[]), &page), None);
    }

    #[test]
    fn the_session_is_found_among_other_cookies() {
        let found = |c: &str| token_of(&headers(&[("cookie", c)]));
        assert_eq!(found("a=b; clingfish=xyz; c=d").as_deref(), Some("xyz"));
        assert_eq!(found("notclingfish=xyz"), None);
        assert_eq!(found("clingfish"), None);
    }
}
