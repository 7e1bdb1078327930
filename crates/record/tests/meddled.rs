//! A file changed behind the program's back: verify names the entry.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests end at a fault")]

mod common;

use common::{Folder, JOB, fill, job, note};
use proptest::prelude::*;
use record::{Fault, Head, Misfit, Store};
use rusqlite::Connection;

/// Drops every rule that nothing is changed, as someone would who wants to change it.
fn without_rules(path: &std::path::Path) -> Connection {
    let raw = Connection::open(path).unwrap();
    let names: Vec<String> = raw
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(names.len(), 9);
    for name in names {
        raw.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    raw.execute_batch("PRAGMA foreign_keys = OFF").unwrap();
    raw
}

fn meddle(sql: &str) -> Vec<Misfit> {
    let folder = Folder::new("meddled");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    let noted = store.head(JOB).unwrap();
    without_rules(&path).execute_batch(sql).unwrap();
    store.verify(JOB, Some(&noted)).unwrap().misfits
}

/// A program that knows nothing of ours and replaces rows does not get past the rules either.
#[test]
fn another_program_is_refused_too() {
    let folder = Folder::new("other");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    let raw = Connection::open(&path).unwrap();
    let columns = "by_whom, device, token, kind, about, value, corrects, before_hash, hash";
    for (sql, words) in [
        ("UPDATE jobs SET name = 'x'".to_owned(), "a job is not changed"),
        ("DELETE FROM jobs".into(), "a job is not deleted"),
        (
            "INSERT OR REPLACE INTO jobs SELECT id, 'x', rig, at_ms, by_whom, hash FROM jobs".into(),
            "a job is not replaced",
        ),
        ("UPDATE entries SET at_ms = 5 WHERE number = 9".into(), "an entry is not changed"),
        ("DELETE FROM entries WHERE number = 9".into(), "an entry is not deleted"),
        (
            format!(
                "INSERT OR REPLACE INTO entries SELECT job, number, 5, {columns} FROM entries WHERE number = 9"
            ),
            "an entry follows the last one",
        ),
        ("UPDATE blobs SET bytes = x'00'".into(), "a photo is not changed"),
        ("DELETE FROM blobs".into(), "a photo is not deleted"),
        ("INSERT OR REPLACE INTO blobs SELECT sha256, x'00' FROM blobs".into(), "a photo is not replaced"),
    ] {
        let refused = raw.execute_batch(&sql).unwrap_err().to_string();
        assert!(refused.contains(words), "{sql}: {refused}");
    }
    assert!(store.verify(JOB, None).unwrap().holds());
}

/// An index that no longer agrees with its table would let a token be written twice: the engine's own check finds it.
#[test]
fn a_spoilt_index_is_found() {
    let folder = Folder::new("index");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    let token = b"one-of-a-kind";
    store.write(JOB, &note("one-of-a-kind", "text")).unwrap();
    drop(store);
    let mut bytes = std::fs::read(&path).unwrap();
    let mut spoilt = 0;
    // Leaves of an index begin with 10.
    for page in bytes.chunks_mut(4096).filter(|page| page[0] == 10) {
        for at in 0..page.len() - token.len() {
            if page[at..].starts_with(token) {
                page[at] = b'z';
                spoilt += 1;
            }
        }
    }
    assert_eq!(spoilt, 1);
    std::fs::write(&path, bytes).unwrap();
    let misfits = Store::open(&path).unwrap().verify(JOB, None).unwrap().misfits;
    assert!(matches!(misfits.as_slice(), [Misfit::Database { .. }]), "{misfits:?}");
}

#[test]
fn each_way_of_meddling_has_its_name() {
    assert_eq!(meddle(""), []);
    assert_eq!(meddle("UPDATE jobs SET name = 'Day'"), [Misfit::Heading]);
    assert_eq!(meddle("UPDATE entries SET at_ms = 1 WHERE number = 4"), [Misfit::Content { number: 4 }]);
    assert_eq!(
        meddle("UPDATE entries SET value = '{\"value\":\"300 mm\",\"with\":\"tape\"}' WHERE number = 1"),
        [Misfit::Content { number: 1 }]
    );
    assert_eq!(meddle("DELETE FROM entries WHERE number IN (4, 5)"), [Misfit::Gap { from: 4, to: 5 }]);
    assert_eq!(meddle("DELETE FROM entries WHERE number = 1"), [Misfit::Gap { from: 1, to: 1 }]);
    // Two entries in each other's place.
    let swap =
        "UPDATE entries SET number = 100 WHERE number = 8; UPDATE entries SET number = 8 WHERE number = 9;
        UPDATE entries SET number = 9 WHERE number = 100";
    assert_eq!(meddle(swap).first().and_then(Misfit::number), Some(8));
    // An entry left out and the others moved up.
    let close = "DELETE FROM entries WHERE number = 8; UPDATE entries SET number = 8 WHERE number = 9";
    assert_eq!(meddle(close).first(), Some(&Misfit::Order { number: 8 }));
    let blobs = meddle("UPDATE blobs SET bytes = x'00' WHERE length(bytes) < 100");
    assert!(matches!(blobs.as_slice(), [Misfit::PhotoChanged { number: 3, .. }]), "{blobs:?}");
    let blobs = meddle("DELETE FROM blobs WHERE length(bytes) > 100");
    assert!(matches!(blobs.as_slice(), [Misfit::PhotoMissing { number: 7, .. }]), "{blobs:?}");
}

/// The chain alone cannot tell that its end is missing: the head on paper can.
#[test]
fn a_cut_off_end_shows_by_the_head_on_paper() {
    let folder = Folder::new("cut");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    let noted = store.head(JOB).unwrap();
    without_rules(&path).execute_batch("DELETE FROM entries WHERE number > 6").unwrap();
    assert!(store.verify(JOB, None).unwrap().holds());
    let cut = Misfit::CutOff { last: 6, noted: 9 };
    assert_eq!(store.verify(JOB, Some(&noted)).unwrap().misfits, [cut]);
    // Carried on past the cut, as if nothing had been.
    for i in 0..5 {
        store.write(JOB, &note(&format!("n{i}"), "other")).unwrap();
    }
    assert!(store.verify(JOB, None).unwrap().holds());
    let rewritten = store.verify(JOB, Some(&noted)).unwrap().misfits;
    assert_eq!(rewritten, [Misfit::Rewritten { number: 9 }]);
    // A head noted earlier still fits a job that went on.
    let early = store.entries(JOB, 4).unwrap()[0].clone();
    let early = Head { number: early.number, hash: early.hash };
    assert!(store.verify(JOB, Some(&early)).unwrap().holds());
    let heading = Head { number: 0, hash: "0".repeat(64) };
    assert_eq!(store.verify(JOB, Some(&heading)).unwrap().misfits, [Misfit::Rewritten { number: 0 }]);
}

#[test]
fn a_changed_record_is_not_exported_as_if_it_were_right() {
    let folder = Folder::new("export");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    without_rules(&path).execute_batch("UPDATE entries SET at_ms = 1 WHERE number = 4").unwrap();
    let fault = store.export(JOB, &mut Vec::new()).unwrap_err();
    assert!(matches!(&fault, Fault::BadRow { number: 4, .. }), "{fault}");
    // An entry that is nonsense is refused when it is read, and named.
    without_rules_again(&path, "UPDATE entries SET value = '{}' WHERE number = 2");
    assert!(matches!(store.entries(JOB, 0), Err(Fault::BadRow { number: 2, .. })));
    assert_eq!(store.verify(JOB, None).unwrap().misfits.first(), Some(&Misfit::Content { number: 2 }));
    without_rules_again(&path, "UPDATE entries SET at_ms = x'00' WHERE number = 3");
    assert!(matches!(store.verify(JOB, None), Err(Fault::Corrupt { .. })));
    assert_eq!(store.jobs().unwrap(), [job()]);
}

fn without_rules_again(path: &std::path::Path, sql: &str) {
    Connection::open(path).unwrap().execute_batch(sql).unwrap();
}

const COLUMNS: [&str; 10] =
    ["at_ms", "by_whom", "device", "token", "kind", "about", "value", "corrects", "before_hash", "hash"];

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any field of any row, changed by a raw connection, is named; for a hash, also as the next entry's place.
    #[test]
    fn any_changed_field_is_named(number in 1_u32..=9, column in 0..COLUMNS.len(), text in "[a-z0-9]{1,12}") {
        let column = COLUMNS[column];
        let value = match column {
            "at_ms" => format!("{}", text.len() + 5_000),
            "corrects" => "CASE WHEN corrects IS NULL THEN 0 ELSE NULL END".into(),
            _ => format!("'{text}'"),
        };
        let sql = format!("UPDATE entries SET {column} = {value} WHERE number = {number}");
        let misfits = meddle(&sql);
        let at: Vec<_> = misfits.iter().filter_map(Misfit::number).collect();
        prop_assert!(at.first() == Some(&number), "{}: {:?}", sql, misfits);
        let allowed = if column == "hash" { number + 1 } else { number };
        prop_assert!(at.iter().all(|n| (number..=allowed).contains(n)), "{}: {:?}", sql, misfits);
    }
}
