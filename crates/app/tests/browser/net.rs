//! Out of reach of the server, and back: a device that knows it, and a way there that is cut without a word.

use crate::screen::Screen;
use serde_json::json;
use std::io;
use std::net::{Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;

impl Screen<'_> {
    /// The device is offline and says so: new requests fail. Streams that are open stay open; [`Way::cut`] ends them.
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

#[derive(Default)]
struct State {
    over: AtomicBool,
    cut: AtomicBool,
    ends: Mutex<Vec<TcpStream>>,
}

/// A way to a server, on a port of its own, that can be cut as when a phone is carried off. Ends when it is dropped.
pub(crate) struct Way {
    place: SocketAddr,
    state: Arc<State>,
    thread: Option<JoinHandle<()>>,
}

impl Way {
    /// Leads to `http://127.0.0.1:PORT`.
    pub(crate) fn to(origin: &str) -> Self {
        let server: SocketAddr = origin.trim_start_matches("http://").parse().unwrap();
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let place = listener.local_addr().unwrap();
        let state = Arc::new(State::default());
        let own = Arc::clone(&state);
        let thread = std::thread::spawn(move || {
            for here in listener.incoming().map_while(Result::ok) {
                if own.over.load(Ordering::SeqCst) {
                    return;
                }
                // A fault of one connection is one more way to be cut off: the browser sees it end.
                let _ = own.lead(here, server);
            }
        });
        Self { place, state, thread: Some(thread) }
    }

    /// Its own address, for a screen.
    pub(crate) fn origin(&self) -> String {
        format!("http://{}", self.place)
    }

    /// Ends what is open; what is asked anew gets no answer.
    pub(crate) fn cut(&self) {
        self.state.cut.store(true, Ordering::SeqCst);
        for end in self.state.ends.lock().unwrap().drain(..) {
            let _ = end.shutdown(Shutdown::Both);
        }
    }

    /// Leads there again.
    pub(crate) fn mend(&self) {
        self.state.cut.store(false, Ordering::SeqCst);
    }
}

impl State {
    fn lead(&self, here: TcpStream, server: SocketAddr) -> io::Result<()> {
        let there = TcpStream::connect(server)?;
        let mut ends = self.ends.lock().unwrap();
        // Asked under the lock: nothing is let through while the way is being cut.
        if self.cut.load(Ordering::SeqCst) {
            return Ok(());
        }
        for (from, to) in [(here.try_clone()?, there.try_clone()?), (there.try_clone()?, here.try_clone()?)] {
            std::thread::spawn(move || {
                let _ = io::copy(&mut &from, &mut &to);
                let _ = to.shutdown(Shutdown::Write);
            });
        }
        ends.extend([here, there]);
        Ok(())
    }
}

impl Drop for Way {
    fn drop(&mut self) {
        self.cut();
        self.state.over.store(true, Ordering::SeqCst);
        // Wakes it up to see that it is over.
        let _ = TcpStream::connect(self.place);
        let _ = self.thread.take().map(JoinHandle::join);
    }
}
