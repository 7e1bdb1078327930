//! Any requests to the pages, of anybody: no panic, no fault of the program's own, nothing outside its folder, and nobody changes what
//! is not theirs. What is asked and what must hold stand in the tests of the program.
#![no_main]

#[allow(dead_code, reason = "the tests ask for more")]
#[path = "../../crates/app/tests/anything/mod.rs"]
mod anything;

use anything::Ground;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let folder = std::env::temp_dir().join(format!("clingfish-requests-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    Ground::new(&folder).feed(bytes);
    let _ = std::fs::remove_dir_all(&folder);
});
