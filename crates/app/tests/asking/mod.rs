//! The lead's browser without a screen: pages are asked for and forms are sent as a browser does it.

use crate::served::Program;
use std::fmt::Write as _;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::{Duration, Instant};

/// The program over a folder, and the lead's session.
pub(crate) struct Server {
    program: Program,
    cookie: String,
}

/// An answer.
pub(crate) struct Told {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: Vec<u8>,
}

impl Told {
    pub(crate) fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }
}

impl Server {
    pub(crate) fn over(folder: &Path) -> Self {
        let mut server = Self { program: Program::over(folder), cookie: String::new() };
        let told = server.get(&server.program.key);
        let set = told.head.lines().find_map(|l| l.strip_prefix("set-cookie: ")).expect("a cookie");
        set.split(';').next().unwrap().clone_into(&mut server.cookie);
        server
    }

    pub(crate) fn ask(&self, method: &str, path: &str, kind: &str, body: &[u8]) -> Told {
        let mut stream = TcpStream::connect(&self.program.at).unwrap();
        let mut head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nAccept: text/html\r\nConnection: close\r\n",
            self.program.at
        );
        if !self.cookie.is_empty() {
            let _ = write!(head, "Cookie: {}\r\n", self.cookie);
        }
        if method == "POST" {
            let _ = write!(
                head,
                "Origin: http://{}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\n",
                self.program.at,
                body.len()
            );
        }
        stream.write_all(format!("{head}\r\n").as_bytes()).unwrap();
        // A server that refuses a body need not read it to its end.
        let _ = stream.write_all(body);
        let mut all = Vec::new();
        let _ = stream.read_to_end(&mut all);
        let end = all.windows(4).position(|w| w == b"\r\n\r\n").expect("an answer");
        let head = String::from_utf8_lossy(&all[..end]).into_owned();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        let rest = &all[end + 4..];
        let body = if head.to_lowercase().contains("transfer-encoding: chunked") {
            unchunked(rest)
        } else {
            rest.to_vec()
        };
        Told { status, head, body }
    }

    pub(crate) fn get(&self, path: &str) -> Told {
        self.ask("GET", path, "", b"")
    }

    pub(crate) fn post(&self, path: &str, form: &str) -> Told {
        self.ask("POST", path, "application/x-www-form-urlencoded", form.as_bytes())
    }

    /// Sends a log as a form does.
    pub(crate) fn log(&self, rig: &str, name: &str, log: &[u8]) -> Told {
        let mut body = format!(
            "--b\r\nContent-Disposition: form-data; name=\"log\"; filename=\"{name}\"\r\nContent-Type: text/csv\r\n\r\n"
        )
        .into_bytes();
        body.extend_from_slice(log);
        body.extend_from_slice(b"\r\n--b--\r\n");
        self.ask("POST", &format!("/rig/{rig}/settle"), "multipart/form-data; boundary=b", &body)
    }

    /// The page once it says this.
    pub(crate) fn until(&self, path: &str, words: &str) -> String {
        let begun = Instant::now();
        loop {
            let page = self.get(path).text();
            if page.contains(words) {
                return page;
            }
            assert!(begun.elapsed() < Duration::from_secs(50), "{path} never says {words}: {page}");
            std::thread::sleep(Duration::from_millis(100));
        }
    }
}

fn unchunked(mut rest: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    while let Some(end) = rest.windows(2).position(|w| w == b"\r\n") {
        let size = usize::from_str_radix(std::str::from_utf8(&rest[..end]).unwrap().trim(), 16).unwrap();
        if size == 0 {
            break;
        }
        out.extend_from_slice(&rest[end + 2..end + 2 + size]);
        rest = &rest[end + 4 + size..];
    }
    out
}
