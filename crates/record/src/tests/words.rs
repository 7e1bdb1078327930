//! What is said to the person: what, why, and how to mend it.

use super::*;
use std::path::PathBuf;

#[test]
fn every_fault_has_three_parts() {
    let path = || PathBuf::from("a.record");
    let s = String::from;
    let faults = [
        Fault::CannotOpen { path: path(), why: s("no such file") },
        Fault::IsFolder { path: path() },
        Fault::ReadOnly { path: path() },
        Fault::DiskFull { path: path() },
        Fault::Locked { path: path(), waited_ms: 5_000 },
        Fault::NotADatabase { path: path() },
        Fault::Foreign { path: path(), mark: 7 },
        Fault::Newer { path: path(), layout: 3, known: 2 },
        Fault::Older { path: path(), layout: 1 },
        Fault::Corrupt { path: path(), why: s("page 3") },
        Fault::Exists { path: path() },
        Fault::Database { path: path(), why: s("no") },
        Fault::TooLong { what: s("note"), found: 3, limit: 2, unit: "characters" },
        Fault::Empty { what: s("note") },
        Fault::Control { what: s("note"), at: 1, code: 7 },
        Fault::Form { what: s("id"), found: s("x"), needs: "32 digits" },
        Fault::NoJob { job: s("x") },
        Fault::JobExists { job: s("x") },
        Fault::TokenTaken { token: s("t"), number: 1 },
        Fault::NothingToCorrect { number: 1 },
        Fault::AlreadyCorrected { number: 1, by: 2 },
        Fault::OtherSubject { number: 1, found: s("a note"), wanted: s("a step") },
        Fault::SignedOnNothing { hash: s("00") },
        Fault::NoBlob { sha256: s("00") },
        Fault::OtherBytes { found: s("00") },
        Fault::BadRow { job: s("x"), number: 1, why: s("no") },
        Fault::Line { line: 1, why: s("no"), mend: s("again") },
        Fault::Diverged { job: s("x"), common: 1, here: 3, there: 2 },
        Fault::CannotWrite { why: s("no") },
    ];
    let mut seen = std::collections::BTreeSet::new();
    for fault in faults {
        let parts = fault.parts();
        assert!(parts.iter().all(|p| !p.is_empty() && !p.contains("  ")), "{parts:?}");
        assert!(seen.insert(parts[0].clone() + &parts[1]), "said twice: {parts:?}");
        assert_eq!(fault.to_string(), format!("{}\n  why:  {}\n  mend: {}", parts[0], parts[1], parts[2]));
    }
}

#[test]
fn words_are_whole_sentences_with_the_numbers_in_them() {
    let newer = Fault::Newer { path: "a.record".into(), layout: 3, known: 2 };
    assert_eq!(
        newer.to_string(),
        "a.record is of a newer version of this program\n  \
         why:  its layout is 3, and this program knows layouts up to 2\n  \
         mend: update this program; the file was left as it is"
    );
    let diverged = Fault::Diverged { job: JOB.into(), common: 9, here: 12, there: 10 };
    assert_eq!(
        diverged.to_string(),
        format!(
            "job {JOB} went on in two places\n  \
             why:  up to entry 9 both are the same, then they differ: the record goes on to entry 12, the file to \
             entry 10; nothing was written\n  \
             mend: keep one of the two, and write what the other has after that entry into it as new entries; keep the \
             other file as evidence"
        )
    );
}
