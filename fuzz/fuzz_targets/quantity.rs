//! Any text, read as any kind: a finite value that shows and reads again, or a fault inside the text.
#![no_main]

use libfuzzer_sys::fuzz_target;
use quantity::{Kind, System, parse_kind, show_kind};

fuzz_target!(|input: (u8, &str)| {
    let (pick, text) = input;
    let kind = Kind::ALL[usize::from(pick) % Kind::ALL.len()];
    match parse_kind(text, kind) {
        Ok(si) => {
            assert!(si.is_finite());
            for system in [System::Metric, System::Us] {
                let shown = show_kind(si, kind, system);
                match parse_kind(&shown, kind) {
                    // Three digits, or half of a shown step of a length (1/32 in, 0.5 mm) or temperature (0.05 degree).
                    Ok(back) => {
                        let step = match kind {
                            Kind::Length => 0.0254 / 32.0 + 1e-9,
                            Kind::Temperature => 0.0501,
                            _ => 0.0,
                        };
                        let reach = (si.abs() * 0.005_001).max(step);
                        assert!((back - si).abs() <= reach, "{text:?} = {si} -> {shown:?} -> {back}");
                    }
                    // Rounding may carry the ends of the number range over it, or a temperature below zero.
                    Err(fault) => assert!(
                        si.abs() > 1e290 || si.abs() < 1e-290 || (kind == Kind::Temperature && si < 0.06),
                        "{text:?} = {si} -> {shown:?}: {fault}"
                    ),
                }
            }
        }
        Err(fault) => assert!(text.get(fault.span.clone()).is_some(), "{:?} in {text:?}", fault.span),
    }
});
