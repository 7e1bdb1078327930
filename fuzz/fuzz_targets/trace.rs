//! Reads any text as a logger's file: samples in order and finite, or a fault inside the text.
#![no_main]

use libfuzzer_sys::fuzz_target;
use trace::{Ask, read};

fuzz_target!(|text: &str| {
    let stated = Ask { time: Some("1"), signal: Some("2"), unit: Some("mm"), time_unit: Some("s") };
    for ask in [Ask::default(), stated] {
        match read(text, &ask) {
            Ok(trace) => {
                assert!(trace.samples.iter().all(|(t, y)| t.is_finite() && y.is_finite()));
                assert!(trace.samples.windows(2).all(|w| w[0].0 < w[1].0));
            }
            Err(fault) => {
                assert!(!fault.what.is_empty() && !fault.mend.is_empty());
                // A line ends with its end: text after the last one is one more.
                assert!(fault.line.is_none_or(|l| l >= 1 && l <= text.lines().count() as u64 + 1));
            }
        }
    }
});
