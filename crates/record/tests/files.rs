//! Files that are no record, or may not be opened: said in words, and left as they are.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests end at a fault")]

mod common;

use common::{Folder, JOB, beside, fill, job, note};
use record::{Fault, Job, Store};
use rusqlite::Connection;
use std::path::Path;

fn fault(path: &Path) -> Fault {
    let fault = Store::open(path).err().unwrap();
    assert_eq!(Store::open_read_only(path).err().unwrap(), fault, "the same for reading");
    fault
}

/// Three parts, the file named in the first.
fn parts(fault: &Fault, path: &Path) -> [String; 3] {
    let parts = fault.parts();
    assert!(parts.iter().all(|p| !p.is_empty()), "{parts:?}");
    assert!(parts[0].contains(&path.display().to_string()), "{parts:?}");
    let text = fault.to_string();
    assert!(text.contains("why: ") && text.contains("mend: "), "{text}");
    parts
}

#[test]
fn a_folder_and_a_folder_that_is_not_there() {
    let folder = Folder::new("folder");
    let fault_of_folder = fault(folder.path());
    assert_eq!(fault_of_folder, Fault::IsFolder { path: folder.path().into() });
    parts(&fault_of_folder, folder.path());
    let nowhere = folder.file("no").join("where.record");
    assert!(matches!(Store::open(&nowhere), Err(Fault::CannotOpen { .. })));
    assert!(matches!(Store::open_read_only(&nowhere), Err(Fault::CannotOpen { .. })));
    let absent = folder.file("absent.record");
    assert!(matches!(Store::open_read_only(&absent), Err(Fault::CannotOpen { .. })));
    assert!(!absent.exists(), "reading makes no file");
}

#[test]
fn a_text_file_is_no_record_and_stays() {
    let folder = Folder::new("text");
    let path = folder.file("rig.toml");
    for text in ["[rig]\nname = \"a\"\n".to_owned(), "[rig]\n".repeat(1_000)] {
        std::fs::write(&path, &text).unwrap();
        let f = fault(&path);
        assert_eq!(f, Fault::NotADatabase { path: path.clone() });
        assert!(parts(&f, &path)[0].contains("is not a record"));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
        assert!(!beside(&path, "-wal").exists());
    }
}

#[test]
fn an_empty_file_becomes_a_record() {
    let folder = Folder::new("empty");
    let path = folder.file("a.record");
    std::fs::write(&path, "").unwrap();
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    assert!(store.verify(JOB, None).unwrap().holds());
    // To read alone, there is nothing in it yet.
    let other = folder.file("b.record");
    std::fs::write(&other, "").unwrap();
    assert_eq!(Store::open_read_only(&other).err(), Some(Fault::Older { path: other.clone(), layout: 0 }));
    assert_eq!(std::fs::metadata(&other).unwrap().len(), 0);
}

#[test]
fn a_database_of_another_program_is_left_alone() {
    let folder = Folder::new("foreign");
    for (mark, layout) in [(0, 0), (7, 1), (0, 2)] {
        let path = folder.file(&format!("{mark}{layout}.db"));
        let raw = Connection::open(&path).unwrap();
        raw.execute_batch(&format!(
            "CREATE TABLE entries (a); PRAGMA application_id = {mark}; PRAGMA user_version = {layout}"
        ))
        .unwrap();
        drop(raw);
        let before = std::fs::read(&path).unwrap();
        let f = fault(&path);
        assert_eq!(f, Fault::Foreign { path: path.clone(), mark });
        assert!(parts(&f, &path)[0].contains("is a database, but not a record of this program"));
        assert_eq!(std::fs::read(&path).unwrap(), before);
    }
}

#[test]
fn a_newer_record_is_left_alone() {
    let folder = Folder::new("newer");
    let path = folder.file("a.record");
    fill(&mut Store::open(&path).unwrap());
    Connection::open(&path).unwrap().execute_batch("PRAGMA user_version = 3").unwrap();
    let before = std::fs::read(&path).unwrap();
    let f = fault(&path);
    assert_eq!(f, Fault::Newer { path: path.clone(), layout: 3, known: 2 });
    assert!(parts(&f, &path)[2].contains("update this program"));
    assert_eq!(std::fs::read(&path).unwrap(), before);
    Connection::open(&path).unwrap().execute_batch("PRAGMA user_version = -1").unwrap();
    assert!(matches!(fault(&path), Fault::Corrupt { .. }));
}

#[test]
fn a_record_held_by_another_program_is_waited_for_and_then_said() {
    let folder = Folder::new("locked");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    let other = Connection::open(&path).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    // Reading goes on meanwhile.
    assert_eq!(store.entries(JOB, 0).unwrap().len(), 9);
    let f = store.write(JOB, &note("late", "late")).unwrap_err();
    assert_eq!(f, Fault::Locked { path: path.clone(), waited_ms: record::limits::WAIT_MS });
    assert!(parts(&f, &path)[1].contains("5 s"));
    // Held for a while only: the write waits and goes in.
    let freed = std::thread::spawn(move || {
        std::thread::sleep(std::time::Duration::from_millis(400));
        other.execute_batch("ROLLBACK").unwrap();
    });
    assert_eq!(store.write(JOB, &note("late", "late")).unwrap().number, 10);
    freed.join().unwrap();
}

#[test]
fn a_record_opened_to_read_is_not_written() {
    let folder = Folder::new("read");
    let path = folder.file("a.record");
    let mut writing = Store::open(&path).unwrap();
    fill(&mut writing);
    let mut store = Store::open_read_only(&path).unwrap();
    assert!(store.verify(JOB, None).unwrap().holds());
    let read_only = Fault::ReadOnly { path: path.clone() };
    assert_eq!(store.write(JOB, &note("x", "x")), Err(read_only.clone()));
    assert_eq!(store.start(&Job { id: "f".repeat(32), ..job() }), Err(read_only));
    // What another writes meanwhile is seen.
    writing.write(JOB, &note("x", "x")).unwrap();
    assert_eq!(store.head(JOB).unwrap().number, 10);
}

/// Permissions: a superuser may write everything, so there the test says so and ends.
#[cfg(unix)]
#[test]
fn files_and_folders_without_permission_are_said() {
    use std::fs::{Permissions, set_permissions};
    use std::io::Write as _;
    use std::os::unix::fs::PermissionsExt as _;
    let folder = Folder::new("permission");
    let path = folder.file("a.record");
    fill(&mut Store::open(&path).unwrap());
    set_permissions(&path, Permissions::from_mode(0o444)).unwrap();
    if std::fs::OpenOptions::new().write(true).open(&path).is_ok() {
        let why = "skipped: this user may write a file that nobody may write (a superuser)\n";
        std::io::stderr().write_all(why.as_bytes()).unwrap();
        return;
    }
    assert!(Store::open_read_only(&path).unwrap().verify(JOB, None).unwrap().holds());
    assert_eq!(Store::open(&path).err(), Some(Fault::ReadOnly { path: path.clone() }));
    set_permissions(folder.path(), Permissions::from_mode(0o555)).unwrap();
    assert!(Store::open_read_only(&path).unwrap().verify(JOB, None).unwrap().holds());
    let new = Store::open(&folder.file("b.record"));
    assert!(matches!(new, Err(Fault::CannotOpen { .. } | Fault::ReadOnly { .. })));
    set_permissions(folder.path(), Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn a_backup_is_whole_and_writes_over_nothing() {
    let folder = Folder::new("backup");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    let head = store.head(JOB).unwrap();
    let to = folder.file("it's a copy.record");
    store.backup(&to).unwrap();
    store.write(JOB, &note("later", "later")).unwrap();
    let mut copy = Store::open(&to).unwrap();
    assert_eq!(copy.head(JOB).unwrap(), head);
    assert!(copy.verify(JOB, Some(&head)).unwrap().holds());
    assert_eq!(copy.current(JOB).unwrap()[..], store.current(JOB).unwrap()[..9]);
    // The copy is a record like any other, with the same rules.
    copy.write(JOB, &note("on", "on")).unwrap();
    assert!(Connection::open(&to).unwrap().execute_batch("DELETE FROM entries").is_err());
    for there in [&to, &path] {
        let before = std::fs::read(there).unwrap();
        assert_eq!(store.backup(there), Err(Fault::Exists { path: there.clone() }));
        assert_eq!(std::fs::read(there).unwrap(), before);
    }
    let empty = folder.file("empty");
    std::fs::write(&empty, "").unwrap();
    assert_eq!(store.backup(&empty), Err(Fault::Exists { path: empty }));
    assert!(matches!(store.backup(&folder.file("no").join("where")), Err(Fault::CannotOpen { .. })));
}
