//! The pages without a network: a station over a folder, asked as a connection would ask. For tests that throw anything at it.

use super::gate::{Gate, Role};
use super::router;
use super::state::Station;
use crate::notebook::{Clock, Which};
use axum::Extension;
use axum::body::{Body, to_bytes};
use axum::extract::ConnectInfo;
use axum::http::{Method, Request, Uri, header};
use hyper::service::Service as _;
use hyper_util::service::TowerToHyperService;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;
use tokio::runtime::{Builder, Runtime};

/// Larger than any page or sheet.
const MOST: usize = 64 << 20;

/// What is asked.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// `GET`, or anything else.
    pub method: String,
    /// Address with its query, from the first slash on.
    pub path: String,
    /// Lines of the head.
    pub head: Vec<(String, String)>,
    /// What is sent.
    pub body: Vec<u8>,
}

/// What is answered.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// The status.
    pub status: u16,
    /// Lines of the head.
    pub head: Vec<(String, String)>,
    /// The body; empty for a stream of news, which has no end.
    pub body: Vec<u8>,
}

impl Told {
    /// A line of the head.
    pub fn line(&self, name: &str) -> Option<&str> {
        self.head.iter().find(|(n, _)| n == name).map(|(_, v)| v.as_str())
    }
}

/// A station that nobody can reach.
pub struct Within {
    station: Arc<Station>,
    run: Runtime,
    at: SocketAddr,
}

impl Within {
    /// Over the rigs of a folder, its record beside them.
    ///
    /// # Errors
    ///
    /// A machine that gives no random numbers or no threads.
    pub fn over(folder: &Path) -> std::io::Result<Self> {
        let gate = Gate::new().map_err(|_| std::io::Error::other("no random numbers"))?;
        let run = Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
        let at = SocketAddr::new([127, 0, 0, 1].into(), 8640);
        let clock = Clock { at: None, zone: Some("UTC".to_owned()) };
        let which = Which { record: folder.join("clingfish.record"), job: None, clock };
        Ok(Self { station: Arc::new(Station::new(folder.to_owned(), which, at, gate)), run, at })
    }

    /// The host that it answers under.
    pub fn host(&self) -> String {
        self.at.to_string()
    }

    /// The cookie of somebody who is in as `viewer`, `crew` or `lead`; none for other words.
    pub fn session(&self, role: &str) -> Option<String> {
        let mut gate = self.station.gate();
        let (from, now) = (self.at.ip(), Instant::now());
        let of = [Role::Viewer, Role::Crew, Role::Lead].into_iter().find(|r| r.word() == role)?;
        let token = if let Some(code) = gate.code(of) {
            gate.join(&code, role, from, now)
        } else {
            let key = gate.key().to_owned();
            gate.open(&key, from, now)
        };
        token.ok().map(|t| format!("{}={t}", super::guard::COOKIE))
    }

    /// Asks, and waits for the answer; none where no connection would pass such a request on.
    pub fn ask(&self, asked: &Asked) -> Option<Told> {
        let method = Method::from_bytes(asked.method.as_bytes()).ok()?;
        let uri: Uri = asked.path.parse().ok()?;
        let mut request = Request::builder().method(method).uri(uri);
        for (name, value) in &asked.head {
            request = request.header(name, value);
        }
        let request = request.body(Body::from(asked.body.clone())).ok()?;
        let router = router(&self.station).layer(Extension(ConnectInfo(self.at)));
        self.run.block_on(async {
            let answer = match TowerToHyperService::new(router).call(request).await {
                Ok(answer) => answer,
                Err(never) => match never {},
            };
            let (parts, body) = answer.into_parts();
            let line = |(n, v): (&header::HeaderName, &header::HeaderValue)| {
                (n.to_string(), String::from_utf8_lossy(v.as_bytes()).into_owned())
            };
            let mut told = Told {
                status: parts.status.as_u16(),
                head: parts.headers.iter().map(line).collect(),
                body: Vec::new(),
            };
            if told.line("content-type") != Some("text/event-stream") {
                told.body = to_bytes(body, MOST).await.map(|b| b.to_vec()).unwrap_or_default();
            }
            Some(told)
        })
    }
}
