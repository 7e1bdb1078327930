//! What all pages share.

use super::alerts::Alerts;
use super::gate::Gate;
use super::job::Least;
use super::kept::Kept;
use super::news::News;
use super::page::Standings;
use super::shelf::{Known, Shelf};
use crate::notebook::Which;
use std::io::Write as _;
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::broadcast;

/// News that a slow page may be behind.
const BEHIND: usize = 256;

/// The folder, who is in, and what is told.
pub(crate) struct Station {
    /// The rig files.
    pub(crate) shelf: Shelf,
    /// Which record, and the clock.
    pub(crate) which: Which,
    /// The least vacuum of each cup of a job.
    pub(crate) least: Least,
    /// The jobs as they were read last.
    pub(crate) kept: Kept,
    /// What everybody must see now.
    pub(crate) alerts: Alerts,
    /// How each job stands, as it was last worked out.
    pub(crate) standings: Standings,
    /// Where it listens.
    pub(crate) at: SocketAddr,
    gate: Mutex<Gate>,
    news: broadcast::Sender<News>,
}

impl Station {
    /// Nobody is in yet.
    pub(crate) fn new(folder: PathBuf, which: Which, at: SocketAddr, gate: Gate) -> Self {
        Self {
            shelf: Shelf::new(folder),
            which,
            least: Least::default(),
            kept: Kept::default(),
            alerts: Alerts::default(),
            standings: Standings::default(),
            at,
            gate: Mutex::new(gate),
            news: broadcast::channel(BEHIND).0,
        }
    }

    /// Codes and sessions.
    pub(crate) fn gate(&self) -> MutexGuard<'_, Gate> {
        self.gate.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Hears all news from now on.
    pub(crate) fn listen(&self) -> broadcast::Receiver<News> {
        self.news.subscribe()
    }

    /// Tells every open page.
    pub(crate) fn tell(&self, news: News) {
        // Nobody may be listening.
        let _ = self.news.send(news);
    }

    /// Whether a request's host is this program: a number for an address and its port. A name that somebody else gave to the
    /// address is none.
    pub(crate) fn is_host(&self, host: &str) -> bool {
        let port = format!(":{}", self.at.port());
        let Some(name) = host.strip_suffix(&port) else { return false };
        let address = name.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>();
        match address {
            Ok(ip) => ip.is_loopback() || !self.at.ip().is_loopback(),
            Err(_) => name.eq_ignore_ascii_case("localhost"),
        }
    }

    /// Works out a rig's verdict beside everything else, and tells when it is there.
    pub(crate) fn work_out(self: &Arc<Self>, known: &Arc<Known>) {
        if known.rig.is_none() || !known.begins() {
            return;
        }
        let (station, known) = (Arc::clone(self), Arc::clone(known));
        tokio::spawn(async move {
            let of = Arc::clone(&known);
            // The answer stays with the text; here only that it is there.
            let done = tokio::task::spawn_blocking(move || of.verdict().is_ok()).await;
            if done.is_err() {
                known.gives_up();
            }
            station.tell(News::Verdict(known.name.clone()));
        });
    }
}

/// A line on the error output, for the person at the laptop.
pub(crate) fn log(line: &str) {
    // Nowhere is left to say that the error output is gone.
    let _ = writeln!(std::io::stderr().lock(), "clingfish serve: {line}");
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(at: &str) -> Station {
        let which = Which {
            record: PathBuf::new(),
            job: None,
            clock: crate::notebook::Clock { at: None, zone: None },
        };
        Station::new(PathBuf::new(), which, at.parse().unwrap(), Gate::new().unwrap())
    }

    #[test]
    fn only_addresses_of_this_machine_are_its_host() {
        let local = station("127.0.0.1:8640");
        for host in ["127.0.0.1:8640", "localhost:8640", "[::1]:8640"] {
            assert!(local.is_host(host), "{host}");
        }
        for host in [
            "127.0.0.1",
            "127.0.0.1:80",
            "192.0.2.7:8640",
            "example.com:8640",
            "localhost.example.com:8640",
            ":8640",
            "",
        ] {
            assert!(!local.is_host(host), "{host}");
        }
        let open = station("0.0.0.0:8640");
        assert!(open.is_host("192.0.2.7:8640") && open.is_host("[fe80::1]:8640"));
        // A name that an outsider points at this address.
        assert!(!open.is_host("rebound.example.com:8640"));
    }
}
