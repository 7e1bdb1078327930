//! A server of a few fixed pages, for the tests of these tests.

use std::io::{BufRead, BufReader, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::JoinHandle;
use std::time::Duration;

/// Nothing but what the server itself gives as a file.
const STRICT: &str = "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'\r\n";

/// Ends when it is dropped.
pub(crate) struct StandIn {
    place: SocketAddr,
    over: Arc<AtomicBool>,
    thread: Option<JoinHandle<()>>,
}

impl StandIn {
    /// Serves each path's body, as a script if it has `.js` in its name. Those that begin with `/strict` have a
    /// strict policy.
    pub(crate) fn new(pages: &'static [(&'static str, &'static str)]) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let place = listener.local_addr().unwrap();
        let over = Arc::new(AtomicBool::new(false));
        let asked = Arc::clone(&over);
        let thread = std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                if asked.load(Ordering::SeqCst) {
                    return;
                }
                // A browser opens connections that it may never use: each waits by itself.
                std::thread::spawn(move || answer(&stream, pages));
            }
        });
        Self { place, over, thread: Some(thread) }
    }

    /// `http://127.0.0.1:PORT`
    pub(crate) fn origin(&self) -> String {
        format!("http://{}", self.place)
    }
}

impl Drop for StandIn {
    fn drop(&mut self) {
        self.over.store(true, Ordering::SeqCst);
        // Wakes it up to see that it is over.
        let _ = TcpStream::connect(self.place);
        let _ = self.thread.take().map(JoinHandle::join);
    }
}

fn answer(mut stream: &TcpStream, pages: &[(&str, &str)]) {
    let mut head = BufReader::new(stream).lines().map_while(Result::ok).take_while(|line| !line.is_empty());
    let Some(first) = head.next() else { return };
    head.for_each(drop);
    let path = first.split(' ').nth(1).unwrap_or_default();
    let page = pages.iter().find(|(own, _)| *own == path).map(|(_, body)| *body);
    let (status, body) = match page {
        Some(body) => ("200 OK", body),
        // Every browser asks for it unbidden.
        None if path == "/favicon.ico" => ("204 No Content", ""),
        None => ("404 Not Found", "not here"),
    };
    if path == "/stream" {
        stream_on(stream);
        return;
    }
    let kind = if path.contains(".js") { "text/javascript" } else { "text/html; charset=utf-8" };
    let policy = if path.starts_with("/strict") { STRICT } else { "" };
    let length = body.len();
    let _ = write!(
        stream,
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\nCache-Control: no-store\r\n\
         {policy}Connection: close\r\n\r\n{body}"
    );
}

/// Server-sent events, one after the other until nobody listens.
fn stream_on(mut stream: &TcpStream) {
    let head = "HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\nCache-Control: no-store\r\n\r\n";
    let mut open = stream.write_all(head.as_bytes()).is_ok();
    while open {
        open = stream.write_all(b"retry: 200\ndata: on\n\n").is_ok();
        std::thread::sleep(Duration::from_millis(100));
    }
}
