//! Tests that need the inside of the store.

mod disk;
mod forged;
mod nth_call;
mod words;
mod write;

use crate::*;

pub(crate) const JOB: &str = "00112233445566778899aabbccddeeff";

pub(crate) fn job() -> Job {
    Job { id: JOB.into(), name: "Night".into(), rig: "night.toml".into(), at_ms: 1_000, by: "A. B.".into() }
}

pub(crate) fn draft(token: &str, about: &str, value: Value) -> Draft {
    Draft {
        at_ms: 2_000,
        by: "A. B.".into(),
        device: "phone 1".into(),
        token: token.into(),
        about: about.into(),
        value,
        corrects: None,
        bytes: None,
    }
}

pub(crate) fn measured(token: &str, value: &str) -> Draft {
    let value = Value::Measured(Measured { value: value.into(), with: "tape".into() });
    draft(token, "cup.FL.aft", value)
}

pub(crate) fn photo(token: &str, bytes: &[u8]) -> Draft {
    let value = Value::Photo(Photo::of("cup FL", "image/jpeg", bytes));
    Draft { bytes: Some(bytes.into()), ..draft(token, "", value) }
}
