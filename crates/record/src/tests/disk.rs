//! A disk that is full, and a record that may not be written.

use super::*;
use crate::sqlite::Sqlite;
use std::path::{Path, PathBuf};

fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("record-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn bounded(path: &Path, pages: u32) -> Store {
    let db = Sqlite::open(path).unwrap();
    db.raw().query_row(&format!("PRAGMA max_page_count = {pages}"), [], |_| Ok(())).unwrap();
    Store::on(Box::new(db), path).unwrap()
}

#[test]
fn a_full_disk_says_so_and_keeps_what_was_there() {
    let folder = folder("full");
    let path = folder.join("a.record");
    drop(Store::open(&path).unwrap());
    let mut s = bounded(&path, 40);
    s.start(&job()).unwrap();
    let mut written = 0;
    let fault = loop {
        match s.write(JOB, &measured(&format!("t{written}"), &"9".repeat(60))) {
            Ok(w) => written = w.number,
            Err(fault) => break fault,
        }
    };
    assert_eq!(fault, Fault::DiskFull { path: path.clone() });
    assert!(written > 20, "{written}");
    // A large photo does not fit either, and leaves nothing behind.
    assert_eq!(s.write(JOB, &photo("p", &vec![7; 500_000])), Err(Fault::DiskFull { path: path.clone() }));
    assert_eq!(s.head(JOB).unwrap().number, written);
    assert!(s.verify(JOB, None).unwrap().holds());
    let mut out = Vec::new();
    s.export(JOB, &mut out).unwrap();
    drop(s);
    // With room again, the same draft goes in.
    let mut s = Store::open(&path).unwrap();
    assert_eq!(s.write(JOB, &photo("p", &vec![7; 500_000])).unwrap().number, written + 1);
    assert!(s.verify(JOB, None).unwrap().holds());
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_disk_full_in_the_middle_of_an_import_takes_nothing_in() {
    let mut big = Store::in_memory().unwrap();
    big.start(&job()).unwrap();
    for i in 0..300 {
        big.write(JOB, &measured(&format!("t{i}"), &"9".repeat(60))).unwrap();
    }
    let mut file = Vec::new();
    big.export(JOB, &mut file).unwrap();
    let folder = folder("import-full");
    let path = folder.join("a.record");
    drop(Store::open(&path).unwrap());
    let mut s = bounded(&path, 40);
    let fault = s.import(&mut std::io::Cursor::new(&file)).unwrap_err();
    assert_eq!(fault, Fault::DiskFull { path: path.clone() });
    assert_eq!(s.jobs().unwrap(), []);
    drop(s);
    let mut s = Store::open(&path).unwrap();
    assert_eq!(s.import(&mut std::io::Cursor::new(&file)).unwrap().added, 300);
    std::fs::remove_dir_all(&folder).unwrap();
}

/// Where nothing at all may be written, even a file without a log is read: permissions mean nothing to a superuser, so the way of
/// opening is tried by itself.
#[test]
fn a_record_on_a_medium_that_cannot_be_written_is_read() {
    // Signs that mean something in the address by which the engine is told.
    let odd = if cfg!(windows) { "100% #1" } else { "100% #1?" };
    let folder = folder(&format!("medium {odd}"));
    let path = folder.join(format!("a {odd}.record"));
    let mut s = Store::open(&path).unwrap();
    s.start(&job()).unwrap();
    s.write(JOB, &measured("a", "1 mm")).unwrap();
    drop(s);
    let db = Sqlite::unchanging(&path).unwrap();
    let mut s = Store { ask: ask::Ask::new(Box::new(db), &path) };
    assert!(s.verify(JOB, None).unwrap().holds());
    assert_eq!(s.head(JOB).unwrap().number, 1);
    assert_eq!(s.write(JOB, &measured("b", "1 mm")), Err(Fault::ReadOnly { path: path.clone() }));
    assert!(!sqlite::beside(&path, "-shm").exists());
    std::fs::remove_dir_all(&folder).unwrap();
}

/// No test can pull the plug: that the engine is told to flush before it answers is looked up instead.
#[test]
fn a_commit_is_flushed() {
    let folder = folder("flushed");
    let path = folder.join("a.record");
    let db = Sqlite::open(&path).unwrap();
    let ask = |pragma: &str| -> String {
        let read = |row: &rusqlite::Row<'_>| row.get_ref(0).map(|v| format!("{v:?}"));
        db.raw().query_row(&format!("PRAGMA {pragma}"), [], read).unwrap()
    };
    // 2 is FULL.
    assert_eq!(ask("synchronous"), "Integer(2)");
    assert!(ask("journal_mode").contains(&format!("{:?}", b"wal")), "{}", ask("journal_mode"));
    assert_eq!(ask("foreign_keys"), "Integer(1)");
    drop(db);
    std::fs::remove_dir_all(&folder).unwrap();
}
