//! A record of every layout there was opens, with every entry as it was written.
//!
//! `tests/old/layout-1.record` is a file of the first layout: photos stood with their entry, no rule kept anyone from changing a row.
//! `RECORD_MAKE_OLD=1 cargo test -p record --test old_versions` writes it again.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests end at a fault")]

mod common;

use common::{Folder, JOB, fill, job, note};
use record::{Fault, Head, Store, Value};
use rusqlite::Connection;
use std::path::{Path, PathBuf};

fn fixture() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/old/layout-1.record")
}

/// The first layout, written down here for good.
const FIRST: &str = "
    PRAGMA page_size = 1024;
    CREATE TABLE jobs (
        id TEXT NOT NULL PRIMARY KEY,
        name TEXT NOT NULL,
        rig TEXT NOT NULL,
        at_ms BIGINT NOT NULL,
        by_whom TEXT NOT NULL,
        hash TEXT NOT NULL
    );
    CREATE TABLE entries (
        job TEXT NOT NULL REFERENCES jobs (id),
        number BIGINT NOT NULL CHECK (number >= 1),
        at_ms BIGINT NOT NULL,
        by_whom TEXT NOT NULL,
        device TEXT NOT NULL,
        token TEXT NOT NULL,
        kind TEXT NOT NULL,
        about TEXT NOT NULL,
        value TEXT NOT NULL,
        corrects BIGINT CHECK (corrects < number),
        before_hash TEXT NOT NULL,
        hash TEXT NOT NULL,
        PRIMARY KEY (job, number),
        UNIQUE (job, token),
        FOREIGN KEY (job, corrects) REFERENCES entries (job, number)
    );
    CREATE TABLE photos (
        job TEXT NOT NULL,
        number BIGINT NOT NULL,
        bytes BYTEA NOT NULL,
        PRIMARY KEY (job, number),
        FOREIGN KEY (job, number) REFERENCES entries (job, number)
    );
    PRAGMA application_id = 1668050535;
    PRAGMA user_version = 1;
";

/// What the file has in it, as the program of today would write it. One picture stands twice, as it could then.
fn today() -> Store {
    let mut store = Store::in_memory().unwrap();
    fill(&mut store);
    store.write(JOB, &common::photo("again", b"first picture")).unwrap();
    store
}

fn make(path: &Path) {
    let (store, raw) = (today(), Connection::open(path).unwrap());
    raw.execute_batch(FIRST).unwrap();
    let entries = store.entries(JOB, 0).unwrap();
    let j = job();
    raw.execute(
        "INSERT INTO jobs VALUES (?, ?, ?, ?, ?, ?)",
        (j.id, j.name, j.rig, j.at_ms, j.by, &entries[0].before),
    )
    .unwrap();
    let mut file = Vec::new();
    store.export(JOB, &mut file).unwrap();
    for (e, line) in entries.iter().zip(String::from_utf8(file).unwrap().lines().skip(2)) {
        // The value as it stands in the exported line: between these keys, which stand there first and last.
        let (_, value) = line.split_once("\"value\":").unwrap();
        let (value, _) = value.rsplit_once(",\"corrects\":").unwrap();
        raw.execute(
            "INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            rusqlite::params![
                JOB,
                e.number,
                e.at_ms,
                e.by,
                e.device,
                e.token,
                e.value.kind().name(),
                e.about,
                value,
                e.corrects,
                e.before,
                e.hash
            ],
        )
        .unwrap();
        if let Value::Photo(p) = &e.value {
            let bytes = store.blob(&p.sha256).unwrap();
            raw.execute("INSERT INTO photos VALUES (?, ?, ?)", (JOB, e.number, bytes)).unwrap();
        }
    }
}

/// A job file that another program wrote by `docs/record-format.md` alone, with every kind of entry: taken in, and given out
/// again byte for byte.
#[test]
fn a_job_file_written_by_the_description_is_taken_in() {
    let file = std::fs::read(fixture().with_file_name("job-file-1.txt")).unwrap();
    let mut store = Store::in_memory().unwrap();
    assert_eq!(store.import(&mut std::io::Cursor::new(&file)).unwrap().added, 13);
    let mut kinds: Vec<_> = store.entries(JOB, 0).unwrap().iter().map(|e| e.value.kind()).collect();
    kinds.sort_unstable();
    kinds.dedup();
    assert_eq!(kinds, record::Kind::ALL);
    let mut again = Vec::new();
    store.export(JOB, &mut again).unwrap();
    assert_eq!(String::from_utf8(again).unwrap(), String::from_utf8(file).unwrap());
}

/// All rows of a file, as text.
fn dump(path: &Path) -> Vec<String> {
    let raw = Connection::open(path).unwrap();
    let mut lines = Vec::new();
    for table in ["sqlite_schema", "jobs", "entries", "photos"] {
        let columns = if table == "sqlite_schema" { "type, name, sql" } else { "*" };
        let mut statement = raw.prepare(&format!("SELECT {columns} FROM {table}")).unwrap();
        let width = statement.column_count();
        let mut rows = statement.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let cells: Vec<String> = (0..width).map(|i| format!("{:?}", row.get_ref(i).unwrap())).collect();
            lines.push(cells.join(" "));
        }
    }
    for pragma in ["application_id", "user_version"] {
        let n: i64 = raw.query_row(&format!("PRAGMA {pragma}"), [], |row| row.get(0)).unwrap();
        lines.push(format!("{pragma} {n}"));
    }
    lines
}

fn copy(folder: &Folder) -> PathBuf {
    let path = folder.file("old.record");
    std::fs::copy(fixture(), &path).unwrap();
    path
}

#[test]
fn the_old_file_is_what_it_says() {
    let folder = Folder::new("make");
    let path = folder.file("made.record");
    make(&path);
    if std::env::var_os("RECORD_MAKE_OLD").is_some() {
        std::fs::copy(&path, fixture()).unwrap();
    }
    assert_eq!(dump(&path), dump(&copy(&folder)));
}

#[test]
fn the_first_layout_opens_with_all_its_entries() {
    let folder = Folder::new("old");
    let path = copy(&folder);
    let (store, expected) = (Store::open(&path).unwrap(), today());
    // Written down, so that no change of the encoding passes unseen.
    let head =
        Head { number: 10, hash: "26e9e31839c3d11a1fc4d095ed16b01b81fee743d88bba2a0ae4c59ecf9df714".into() };
    assert_eq!(store.head(JOB).unwrap(), head);
    assert!(store.verify(JOB, Some(&head)).unwrap().holds());
    assert_eq!(store.jobs().unwrap(), expected.jobs().unwrap());
    assert_eq!(store.current(JOB).unwrap(), expected.current(JOB).unwrap());
    for entry in store.entries(JOB, 0).unwrap() {
        if let Value::Photo(p) = entry.value {
            assert_eq!(store.blob(&p.sha256).unwrap(), expected.blob(&p.sha256).unwrap());
        }
    }
    let (mut one, mut two) = (Vec::new(), Vec::new());
    store.export(JOB, &mut one).unwrap();
    expected.export(JOB, &mut two).unwrap();
    assert_eq!(one, two);
    drop(store);
    // From now on it is a file of today, with its rules.
    let raw = Connection::open(&path).unwrap();
    assert!(raw.execute_batch("DELETE FROM entries").is_err());
    let layout: i64 = raw.query_row("PRAGMA user_version", [], |row| row.get(0)).unwrap();
    assert_eq!(layout, 2);
    let mut store = Store::open(&path).unwrap();
    assert_eq!(store.write(JOB, &note("new", "new")).unwrap().number, 11);
    assert!(store.verify(JOB, Some(&head)).unwrap().holds());
}

#[test]
fn an_old_file_opened_to_read_is_left_as_it_is() {
    let folder = Folder::new("old-read");
    let path = copy(&folder);
    let before = std::fs::read(&path).unwrap();
    let fault = Store::open_read_only(&path).err().unwrap();
    assert_eq!(fault, Fault::Older { path: path.clone(), layout: 1 });
    assert!(fault.to_string().contains("open it there once"));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

/// The first layout's pages have another size, and its photos stand elsewhere.
#[test]
fn an_old_file_is_salvaged_too() {
    let folder = Folder::new("old-salvage");
    let path = copy(&folder);
    let into = folder.file("new.record");
    let done = Store::salvage(&path, &into).unwrap();
    assert_eq!((done.jobs, done.entries, done.photos, done.lost), (1, 10, 2, vec![]));
    assert_eq!(Store::open(&into).unwrap().current(JOB).unwrap(), today().current(JOB).unwrap());
}
