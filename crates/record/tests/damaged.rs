//! A file damaged by a disk: it is never taken for right, nothing panics, and salvage gets out what is left.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests end at a fault")]

mod common;

use common::{Dice, Folder, JOB, beside, fill, job, note, photo};
use record::{Fault, Misfit, Store};
use std::path::{Path, PathBuf};

const ENTRIES: u32 = 159;

/// A record of some 50 pages, all in one file.
fn whole(folder: &Folder) -> (PathBuf, Vec<u8>, record::Head) {
    let path = folder.file("whole.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    for i in 0..150 {
        store.write(JOB, &note(&format!("n{i}"), &"words ".repeat(i % 60 + 1))).unwrap();
    }
    let head = store.head(JOB).unwrap();
    assert_eq!(head.number, ENTRIES);
    drop(store);
    assert!(!beside(&path, "-wal").exists(), "the last to close puts the log into the file");
    let bytes = std::fs::read(&path).unwrap();
    (path, bytes, head)
}

/// What a store says of a file: nothing wrong, or what.
fn looked(path: &Path, head: &record::Head) -> Result<Vec<Misfit>, Fault> {
    let store = Store::open(path)?;
    let misfits = store.verify(JOB, Some(head))?.misfits;
    if misfits.is_empty() {
        assert_eq!(store.entries(JOB, 0)?.len(), ENTRIES as usize);
    }
    // Whatever is damaged, these end.
    let _ = (store.current(JOB), store.jobs(), store.export(JOB, &mut Vec::new()));
    Ok(misfits)
}

#[test]
fn flipped_bytes_are_found_or_change_nothing() {
    let folder = Folder::new("flipped");
    let (path, bytes, head) = whole(&folder);
    let good = Store::open(&path).unwrap().entries(JOB, 0).unwrap();
    let mut dice = Dice(11);
    let (mut found, mut harmless) = (0, 0);
    for round in 0..120 {
        // A third in the header and the first page, the others anywhere; one byte or a torn block.
        let most = if round % 3 == 0 { 200 } else { bytes.len() };
        let at = dice.below(most);
        let many = if round % 2 == 0 { 1 } else { 512.min(bytes.len() - at) };
        let mut changed = bytes.clone();
        for byte in &mut changed[at..at + many] {
            *byte ^= u8::try_from(1 + dice.below(255)).unwrap();
        }
        let copy = folder.file("copy.record");
        for end in ["-wal", "-shm"] {
            let _ = std::fs::remove_file(beside(&copy, end));
        }
        std::fs::write(&copy, &changed).unwrap();
        match looked(&copy, &head) {
            Ok(misfits) if misfits.is_empty() => {
                harmless += 1;
                assert_eq!(Store::open(&copy).unwrap().entries(JOB, 0).unwrap(), good, "{many} at {at}");
            }
            Ok(_) => found += 1,
            Err(fault) => {
                found += 1;
                let known = matches!(
                    fault,
                    Fault::Corrupt { .. }
                        | Fault::NotADatabase { .. }
                        | Fault::Foreign { .. }
                        | Fault::Newer { .. }
                        | Fault::NoJob { .. }
                        | Fault::Database { .. }
                        | Fault::CannotOpen { .. }
                );
                assert!(known, "{many} at {at}: {fault}");
            }
        }
    }
    assert!(found > 60 && harmless > 5, "{found} found, {harmless} harmless");
}

#[test]
fn a_cut_file_is_found() {
    let folder = Folder::new("cut");
    let (_, bytes, head) = whole(&folder);
    for pages in 0..bytes.len() / 4096 {
        for more in [0, 3000] {
            let copy = folder.file(&format!("{pages}-{more}.record"));
            std::fs::write(&copy, &bytes[..pages * 4096 + more]).unwrap();
            let found = looked(&copy, &head);
            assert!(!matches!(&found, Ok(misfits) if misfits.is_empty()), "{pages} pages and {more} bytes");
        }
    }
}

/// Hash and number of all that a store has.
fn content(path: &Path) -> Vec<(u32, String)> {
    Store::open(path).unwrap().entries(JOB, 0).unwrap().into_iter().map(|e| (e.number, e.hash)).collect()
}

#[test]
fn a_whole_record_is_salvaged_whole() {
    let folder = Folder::new("salvage");
    let (path, bytes, head) = whole(&folder);
    let into = folder.file("new.record");
    let done = Store::salvage(&path, &into).unwrap();
    assert_eq!((done.jobs, done.entries, done.photos, done.lost), (1, ENTRIES as usize, 2, vec![]));
    let mut new = Store::open(&into).unwrap();
    assert!(new.verify(JOB, Some(&head)).unwrap().holds());
    assert_eq!(new.jobs().unwrap(), [job()]);
    assert_eq!(new.entries(JOB, 0).unwrap(), Store::open(&path).unwrap().entries(JOB, 0).unwrap());
    assert_eq!(std::fs::read(&path).unwrap(), bytes, "the old one is not touched");
    // The rules hold again.
    new.write(JOB, &note("on", "on")).unwrap();
    assert!(rusqlite::Connection::open(&into).unwrap().execute_batch("DELETE FROM entries").is_err());
    assert_eq!(Store::salvage(&path, &into), Err(Fault::Exists { path: into }));
}

#[test]
fn what_is_still_in_the_log_is_salvaged_too() {
    let folder = Folder::new("log");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    // The store is still open, as after a crash: most of it is in the log alone.
    let copy = folder.file("copy.record");
    std::fs::copy(&path, &copy).unwrap();
    std::fs::copy(beside(&path, "-wal"), beside(&copy, "-wal")).unwrap();
    let into = folder.file("new.record");
    let done = Store::salvage(&copy, &into).unwrap();
    assert_eq!((done.jobs, done.entries, done.photos, done.lost), (1, 9, 2, vec![]));
    assert!(Store::open(&into).unwrap().verify(JOB, Some(&store.head(JOB).unwrap())).unwrap().holds());
}

#[test]
fn a_record_without_its_first_page_is_salvaged() {
    let folder = Folder::new("first");
    let (_, mut bytes, head) = whole(&folder);
    bytes[..4096].fill(0);
    let path = folder.file("torn.record");
    std::fs::write(&path, &bytes).unwrap();
    assert!(matches!(Store::open(&path), Err(Fault::NotADatabase { .. })));
    let into = folder.file("new.record");
    let done = Store::salvage(&path, &into).unwrap();
    assert_eq!((done.entries, done.lost), (ENTRIES as usize, vec![]));
    assert!(Store::open(&into).unwrap().verify(JOB, Some(&head)).unwrap().holds());
}

#[test]
fn torn_pages_cost_their_own_entries_alone() {
    let folder = Folder::new("pages");
    let (path, bytes, _) = whole(&folder);
    let good = content(&path);
    let mut some = 0;
    for page in 1..bytes.len() / 4096 {
        let mut torn = bytes.clone();
        torn[page * 4096..(page + 1) * 4096].fill(0x5a);
        let damaged = folder.file(&format!("{page}.damaged"));
        std::fs::write(&damaged, &torn).unwrap();
        let into = folder.file(&format!("{page}.record"));
        let done = Store::salvage(&damaged, &into).unwrap();
        let kept: Vec<(u32, String)> = content(&into).into_iter().filter(|k| good.contains(k)).collect();
        assert_eq!(kept.len(), done.entries, "page {page}: every row is one that was written");
        assert!(kept.len() + 60 > good.len(), "page {page}: {} entries left", kept.len());
        // What is gone between is said.
        let missing: Vec<u32> =
            (1..=kept.last().unwrap().0).filter(|n| kept.iter().all(|k| k.0 != *n)).collect();
        let all_there = missing.is_empty() && done.photos == 2 && done.jobs == 1;
        if all_there {
            let only_heading = done.lost.iter().all(|l| l.contains("heading"));
            assert!(only_heading, "page {page}: {:?}", done.lost);
        } else {
            some += 1;
            assert!(!done.lost.is_empty(), "page {page}: {missing:?}");
            for n in [missing.first(), missing.last()].into_iter().flatten() {
                let said = done.lost.iter().any(|l| l.contains(&n.to_string()));
                assert!(said, "page {page}: {n} in {:?}", done.lost);
            }
        }
    }
    assert!(some > 10, "{some} pages mattered");
}

#[test]
fn where_there_is_nothing_to_salvage_nothing_is_made() {
    let folder = Folder::new("nothing");
    let into = folder.file("new.record");
    let text = folder.file("text.record");
    std::fs::write(&text, "[rig]\n".repeat(5_000)).unwrap();
    assert_eq!(Store::salvage(&text, &into), Err(Fault::NotADatabase { path: text.clone() }));
    assert!(!into.exists() && !beside(&into, "-wal").exists());
    let mut dice = Dice(3);
    for round in 0..30 {
        // Pages that say they are leaves, with anything in them.
        let mut bytes: Vec<u8> = (0..4096 * 4).map(|_| u8::try_from(dice.below(256)).unwrap()).collect();
        for page in 0..4 {
            bytes[page * 4096 + if page == 0 { 100 } else { 0 }] = 13;
        }
        let noise = folder.file(&format!("{round}.record"));
        std::fs::write(&noise, bytes).unwrap();
        assert_eq!(Store::salvage(&noise, &into), Err(Fault::NotADatabase { path: noise }));
    }
    assert_eq!(Store::salvage(folder.path(), &into), Err(Fault::IsFolder { path: folder.path().into() }));
    assert!(matches!(Store::salvage(&folder.file("absent"), &into), Err(Fault::CannotOpen { .. })));
    assert!(!into.exists());
}

#[test]
fn a_spoilt_row_is_said_and_not_taken_over() {
    let folder = Folder::new("spoilt");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    drop(store);
    let mut bytes = std::fs::read(&path).unwrap();
    // In the note that is entry 5, and in the photo of entry 3.
    for (words, letter) in [(&b"wind from the left"[..], b'W'), (b"first picture", b'F')] {
        let at = bytes.windows(words.len()).position(|w| w == words).unwrap();
        bytes[at] = letter;
    }
    std::fs::write(&path, bytes).unwrap();
    let into = folder.file("new.record");
    let done = Store::salvage(&path, &into).unwrap();
    assert_eq!((done.jobs, done.entries, done.photos), (1, 8, 1));
    let said = |words: &str| done.lost.iter().any(|l| l.contains(words));
    assert!(said("entry 5") && said("does not fit its hash"), "{:?}", done.lost);
    assert!(said("entry 5 is missing") && said("the photo of entry 3 is missing"), "{:?}", done.lost);
    assert_eq!(done.lost.len(), 3, "{:?}", done.lost);
    assert!(content(&into).iter().all(|(number, _)| *number != 5));
}

#[test]
fn an_entry_without_its_heading_is_kept() {
    let folder = Folder::new("heading");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    store.write(JOB, &photo("last", b"third picture")).unwrap();
    drop(store);
    let mut bytes = std::fs::read(&path).unwrap();
    // The job's name stands in its heading alone.
    let at = bytes.windows(5).position(|w| w == b"Night").unwrap();
    bytes[at] = b'L';
    std::fs::write(&path, bytes).unwrap();
    let into = folder.file("new.record");
    let done = Store::salvage(&path, &into).unwrap();
    assert_eq!((done.jobs, done.entries, done.photos), (1, 10, 3));
    assert!(done.lost.iter().any(|l| l.contains("heading")), "{:?}", done.lost);
    let new = Store::open(&into).unwrap();
    assert_eq!(new.jobs().unwrap()[0].name, "(heading lost)");
    assert_eq!(new.verify(JOB, None).unwrap().misfits, [Misfit::Heading]);
    assert_eq!(new.entries(JOB, 0).unwrap().len(), 10);
}
