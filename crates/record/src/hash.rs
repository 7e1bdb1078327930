//! The chain: SHA-256 over every field, each with its length before it.
//!
//! A field is its length in bytes as 8 bytes, high byte first, then its UTF-8 bytes; whole numbers are decimal text, an absent one
//! is an empty field. `docs/record-format.md` has the order of the fields and a worked example.

use crate::entry::{Job, Row};
use sha2::{Digest, Sha256};

const HEADING: &str = "clingfish record heading 1";
const ENTRY: &str = "clingfish record entry 1";

fn of_fields(fields: &[&str]) -> String {
    let mut sha = Sha256::new();
    for field in fields {
        sha.update((field.len() as u64).to_be_bytes());
        sha.update(field.as_bytes());
    }
    hex(&sha.finalize())
}

fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digit = |d: u8| char::from(DIGITS[usize::from(d & 15)]);
    bytes.iter().flat_map(|b| [digit(b >> 4), digit(*b)]).collect()
}

/// SHA-256 of bytes, as small hexadecimal digits.
pub(crate) fn of_bytes(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// The hash of a job's heading, which its first entry follows.
pub(crate) fn of_job(job: &Job) -> String {
    of_fields(&[HEADING, &job.id, &job.name, &job.rig, &job.at_ms.to_string(), &job.by])
}

/// The hash of an entry: over all its fields, the hash of the one before among them.
pub(crate) fn of_entry(row: &Row) -> String {
    let corrects = row.corrects.map(|n| n.to_string()).unwrap_or_default();
    of_fields(&[
        ENTRY,
        &row.job,
        &row.number.to_string(),
        &row.at_ms.to_string(),
        &row.by,
        &row.device,
        &row.token,
        &row.kind,
        &row.about,
        &row.value,
        &corrects,
        &row.before,
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job() -> Job {
        Job {
            id: "00112233445566778899aabbccddeeff".into(),
            name: "Night drive".into(),
            rig: "night.toml".into(),
            at_ms: 1_795_000_000_000,
            by: "A. B.".into(),
        }
    }

    fn row() -> Row {
        Row {
            job: job().id,
            number: 1,
            at_ms: 1_795_000_000_500,
            by: "A. B.".into(),
            device: "phone 1".into(),
            token: "t1".into(),
            kind: "measured".into(),
            about: "cup.FL.aft".into(),
            value: r#"{"value":"302 mm","with":"tape"}"#.into(),
            corrects: None,
            before: of_job(&job()),
            hash: String::new(),
        }
    }

    /// Computed apart from this program: Python's `hashlib` and `struct` over the fields as the format page has them.
    #[test]
    fn the_worked_example_of_the_format_page() {
        assert_eq!(of_job(&job()), "1f6b851ecec97332b39931df779eedfbb29684bd02de6e132f23b1a5469408db");
        assert_eq!(of_entry(&row()), "2edc49b773a2353e0241557169c7d1439e1076e17c8c3f4a5b6c8fe3dac1d9a5");
        let second = Row { corrects: Some(1), number: 2, before: of_entry(&row()), ..row() };
        assert_eq!(of_entry(&second), "8a00261379ce90e8afcbca8ec1d44ae974fed6a131865c0b3e92fc548c73c1d4");
    }

    /// SHA-256 of "abc": FIPS 180-4, the standard's example (from memory).
    #[test]
    fn bytes_have_the_standard_hash() {
        assert_eq!(of_bytes(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn every_field_counts() {
        let o = |t: &str| format!("{t}x");
        let r = row();
        let changed = [
            Row { job: o(&r.job), ..r.clone() },
            Row { number: 2, ..r.clone() },
            Row { at_ms: 0, ..r.clone() },
            Row { by: o(&r.by), ..r.clone() },
            Row { device: o(&r.device), ..r.clone() },
            Row { token: o(&r.token), ..r.clone() },
            Row { kind: o(&r.kind), ..r.clone() },
            Row { about: o(&r.about), ..r.clone() },
            Row { value: o(&r.value), ..r.clone() },
            Row { corrects: Some(1), ..r.clone() },
            Row { before: o(&r.before), ..r.clone() },
            // A letter moved over the border of two fields.
            Row { by: "A. B.p".into(), device: "hone 1".into(), ..r.clone() },
        ];
        for other in changed {
            assert_ne!(of_entry(&other), of_entry(&r), "{other:?}");
        }
        let j = job();
        let changed = [
            Job { id: o(&j.id), ..j.clone() },
            Job { name: o(&j.name), ..j.clone() },
            Job { rig: o(&j.rig), ..j.clone() },
            Job { at_ms: 1, ..j.clone() },
            Job { by: o(&j.by), ..j.clone() },
        ];
        for other in changed {
            assert_ne!(of_job(&other), of_job(&j), "{other:?}");
        }
    }
}
