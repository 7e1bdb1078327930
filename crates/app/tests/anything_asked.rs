//! Any requests, some hundred of them: no fault, nothing reached that is not theirs. The fuzz target goes on where this stops.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]
mod anything;
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use anything::Ground;
use common::folder;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Requests that are asked unless `CLINGFISH_REQUESTS` says how many.
const REQUESTS: usize = 400;

/// A row of numbers that is the same each time (xorshift64, Marsaglia 2003, from memory).
struct Numbers(u64);

impl Numbers {
    fn bytes(&mut self, many: usize) -> Vec<u8> {
        let mut next = || {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            self.0.to_be_bytes()
        };
        (0..many.div_ceil(8)).flat_map(|_| next()).collect()
    }
}

#[test]
fn whatever_is_asked_nothing_breaks_and_nobody_does_what_is_not_theirs() {
    let most = std::env::var("CLINGFISH_REQUESTS").ok().and_then(|n| n.parse().ok()).unwrap_or(REQUESTS);
    // A panic beside a request, where no answer shows it.
    let panics = Arc::new(AtomicUsize::new(0));
    let (seen, before) = (Arc::clone(&panics), std::panic::take_hook());
    std::panic::set_hook(Box::new(move |info| {
        seen.fetch_add(1, Ordering::SeqCst);
        before(info);
    }));
    let folder = folder("anything-asked");
    let mut numbers = Numbers(0x9E37_79B9_7F4A_7C15);
    let mut answered = Ground::new(&folder.join("all")).all();
    for round in 0.. {
        let mut ground = Ground::new(&folder.join(round.to_string()));
        for _ in 0..10 {
            answered.extend(ground.feed(&numbers.bytes(4096)));
        }
        if answered.len() >= most {
            break;
        }
    }
    // They come as far as being taken, and are refused for every reason.
    for status in [200, 303, 401, 403, 404, 405, 421, 422] {
        assert!(answered.contains(&status), "nothing was answered with {status}");
    }
    assert_eq!(panics.load(Ordering::SeqCst), 0, "what panicked is above");
}

#[test]
fn honest_requests_are_taken_by_the_same_way() {
    let ground = Ground::new(&folder("anything-honest"));
    let status = |role, method, path, form| ground.honest(role, method, path, form).status;
    let reading = "cup=FL&vacuum=23.5+inHg&token=aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa";
    assert_eq!(status("crew", "POST", "/job/JOB/rounds", reading), 303);
    assert_eq!(status("viewer", "POST", "/job/JOB/rounds", reading), 403);
    assert_eq!(status("", "POST", "/job/JOB/rounds", reading), 401);
    assert_eq!(status("lead", "GET", "/rig/bonnet-camera/file", ""), 200);
    assert_eq!(status("crew", "POST", "/rig/bonnet-camera/undo", "back="), 403);
}
