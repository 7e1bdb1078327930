//! A job as one file: there and back, changed, cut, and gone on with in two places.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests end at a fault")]

mod common;

use common::{Dice, Folder, JOB, fill, job, measured, note, photo};
use record::{Fault, Head, Job, Store};
use std::io::Cursor;

fn exported(store: &Store) -> Vec<u8> {
    let mut file = Vec::new();
    let head = store.export(JOB, &mut file).unwrap();
    assert_eq!(head, store.head(JOB).unwrap());
    file
}

fn import(store: &mut Store, file: &[u8]) -> Result<record::Imported, Fault> {
    store.import(&mut Cursor::new(file))
}

fn filled() -> Store {
    let mut store = Store::in_memory().unwrap();
    fill(&mut store);
    store
}

#[test]
fn a_job_comes_back_with_the_same_hashes() {
    let one = filled();
    let file = exported(&one);
    let mut two = Store::in_memory().unwrap();
    let done = import(&mut two, &file).unwrap();
    assert_eq!((done.new, done.added, done.job.as_str()), (true, 9, JOB));
    assert_eq!(done.head, one.head(JOB).unwrap());
    assert_eq!(two.entries(JOB, 0).unwrap(), one.entries(JOB, 0).unwrap());
    assert_eq!(two.jobs().unwrap(), one.jobs().unwrap());
    assert!(two.verify(JOB, Some(&done.head)).unwrap().holds());
    assert_eq!(exported(&two), file);
    // Once more: nothing to do.
    let again = import(&mut two, &file).unwrap();
    assert_eq!((again.new, again.added), (false, 0));
}

/// The file is text that people keep: its form is part of the format.
#[test]
fn the_file_is_one_object_a_line() {
    let mut store = Store::in_memory().unwrap();
    store.start(&job()).unwrap();
    store.write(JOB, &photo("t1", b"picture")).unwrap();
    let file = String::from_utf8(exported(&store)).unwrap();
    let entry = &store.entries(JOB, 0).unwrap()[0];
    let heading = &entry.before;
    let record::Value::Photo(shown) = &entry.value else { panic!("{entry:?}") };
    let sha = &shown.sha256;
    let hash = &entry.hash;
    let expected = [
        r#"{"format":"clingfish-record","version":1}"#.to_owned(),
        format!(
            r#"{{"job":{{"id":"{JOB}","name":"Night","rig":"night.toml","at":1000,"by":"A. B.","hash":"{heading}"}}}}"#
        ),
        format!(
            r#"{{"entry":{{"number":1,"at":2000,"by":"A. B.","device":"phone 1","token":"t1","kind":"photo","about":"","value":{{"caption":"cup FL","media":"image/jpeg","sha256":"{sha}"}},"corrects":null,"before":"{heading}","hash":"{hash}"}}}}"#
        ),
        format!(r#"{{"blob":{{"sha256":"{sha}","base64":"cGljdHVyZQ=="}}}}"#),
        format!(r#"{{"head":{{"number":1,"hash":"{hash}"}}}}"#),
    ];
    assert_eq!(file, expected.map(|l| l + "\n").concat());
}

#[test]
fn a_longer_file_adds_and_a_shorter_one_does_nothing() {
    let mut one = filled();
    let shorter = exported(&one);
    let mut two = Store::in_memory().unwrap();
    import(&mut two, &shorter).unwrap();
    one.write(JOB, &note("more", "later")).unwrap();
    one.write(JOB, &photo("more photo", b"another")).unwrap();
    let longer = exported(&one);
    let done = import(&mut two, &longer).unwrap();
    assert_eq!((done.new, done.added, done.head.number), (false, 2, 11));
    assert!(two.verify(JOB, Some(&one.head(JOB).unwrap())).unwrap().holds());
    let done = import(&mut one, &shorter).unwrap();
    assert_eq!((done.new, done.added, done.head.number), (false, 0, 11));
    assert_eq!(exported(&two), longer);
}

#[test]
fn two_places_that_went_on_alone_are_told_apart() {
    let mut one = filled();
    let mut two = Store::in_memory().unwrap();
    import(&mut two, &exported(&one)).unwrap();
    for i in 0..3 {
        one.write(JOB, &note(&format!("one {i}"), "here")).unwrap();
    }
    two.write(JOB, &note("two", "there")).unwrap();
    let before = exported(&one);
    let fault = import(&mut one, &exported(&two)).unwrap_err();
    assert_eq!(fault, Fault::Diverged { job: JOB.into(), common: 9, here: 12, there: 10 });
    let words = fault.to_string();
    assert!(words.contains("up to entry 9") && words.contains("keep one of the two"), "{words}");
    assert_eq!(exported(&one), before);
    let fault = import(&mut two, &before).unwrap_err();
    assert_eq!(fault, Fault::Diverged { job: JOB.into(), common: 9, here: 10, there: 12 });
    // From the heading on.
    let (mut a, mut b) = (Store::in_memory().unwrap(), Store::in_memory().unwrap());
    for (store, name) in [(&mut a, "a"), (&mut b, "b")] {
        store.start(&job()).unwrap();
        store.write(JOB, &note(name, name)).unwrap();
    }
    let fault = import(&mut a, &exported(&b)).unwrap_err();
    assert_eq!(fault, Fault::Diverged { job: JOB.into(), common: 0, here: 1, there: 1 });
    // Another job under the same id.
    let mut other = Store::in_memory().unwrap();
    other.start(&Job { name: "Day".into(), ..job() }).unwrap();
    assert_eq!(import(&mut other, &exported(&a)), Err(Fault::JobExists { job: JOB.into() }));
}

/// Every place where two may part is found, by halving as by hand.
#[test]
fn the_last_common_entry_is_named_wherever_it_is() {
    for common in 0..12_u32 {
        let (mut a, mut b) = (Store::in_memory().unwrap(), Store::in_memory().unwrap());
        for (store, name) in [(&mut a, "a"), (&mut b, "b")] {
            store.start(&job()).unwrap();
            for i in 0..12 {
                let text = if i < common { "both" } else { name };
                store.write(JOB, &note(&format!("{i}"), text)).unwrap();
            }
        }
        let fault = import(&mut a, &exported(&b)).unwrap_err();
        assert_eq!(fault, Fault::Diverged { job: JOB.into(), common, here: 12, there: 12 });
    }
}

/// A file in which one bit, or one byte, is another: refused at a line, or the same as before.
#[test]
fn no_flipped_byte_gets_past() {
    let mut small = Store::in_memory().unwrap();
    small.start(&job()).unwrap();
    small.write(JOB, &measured("t1", "cup.FL.aft", "302 mm")).unwrap();
    small.write(JOB, &photo("t2", b"picture")).unwrap();
    let corrected = record::Draft { corrects: Some(1), ..measured("t3", "cup.FL.aft", "312 mm") };
    small.write(JOB, &corrected).unwrap();
    let (file, entries) = (exported(&small), small.entries(JOB, 0).unwrap());
    let mut dice = Dice(5);
    let mut refused = 0;
    let mut store = Store::in_memory().unwrap();
    for at in 0..file.len() {
        let other = u8::try_from(dice.below(256)).unwrap();
        for byte in [file[at] ^ 1, file[at] ^ 0x20, file[at] ^ 0x80, b' ', b'\n', other] {
            if byte == file[at] {
                continue;
            }
            let mut changed = file.clone();
            changed[at] = byte;
            match import(&mut store, &changed) {
                Err(Fault::Line { line, why, mend }) => {
                    let there = changed[..=at].split(|b| *b == b'\n').count() as u64;
                    // At the line itself, or where the photo or the end then does not fit.
                    assert!(line + 1 >= there, "byte {at} is in line {there}, not {line}: {why}");
                    assert!(!why.is_empty() && !mend.is_empty());
                    assert_eq!(store.jobs().unwrap(), []);
                    refused += 1;
                }
                Err(other) => panic!("byte {at}: {other}"),
                Ok(done) => {
                    assert_eq!(done.head, small.head(JOB).unwrap(), "byte {at} to {byte}");
                    assert_eq!(store.entries(JOB, 0).unwrap(), entries);
                    assert_eq!(exported(&store), file);
                    store = Store::in_memory().unwrap();
                }
            }
        }
    }
    assert!(refused > 5 * file.len(), "{refused} of {} were refused", 6 * file.len());
}

#[test]
fn a_cut_file_is_seen_wherever_it_is_cut() {
    let file = exported(&filled());
    let mut store = Store::in_memory().unwrap();
    for at in (0..file.len()).step_by(37).chain([file.len() - 1]) {
        let fault = import(&mut store, &file[..at]).unwrap_err();
        assert!(matches!(fault, Fault::Line { .. }), "{fault}");
    }
    assert_eq!(store.jobs().unwrap(), []);
    // At the end of each line, and each line left out.
    let lines: Vec<&[u8]> = file.split_inclusive(|b| *b == b'\n').collect();
    for n in 0..lines.len() {
        assert!(import(&mut store, &lines[..n].concat()).is_err(), "{n} lines");
        let mut others = lines.clone();
        others.remove(n);
        assert!(import(&mut store, &others.concat()).is_err(), "without line {}", n + 1);
        let mut others = lines.clone();
        others.insert(n, lines[n]);
        assert!(import(&mut store, &others.concat()).is_err(), "line {} twice", n + 1);
        if n > 0 {
            let mut others = lines.clone();
            others.swap(n - 1, n);
            // Two photos may change places: nothing else may.
            let photos = lines[n].starts_with(b"{\"blob") && lines[n - 1].starts_with(b"{\"blob");
            assert_eq!(
                import(&mut Store::in_memory().unwrap(), &others.concat()).is_ok(),
                photos,
                "line {n}"
            );
        }
    }
    assert_eq!(store.jobs().unwrap(), []);
}

#[test]
fn what_is_no_job_file_is_said() {
    let mut store = Store::in_memory().unwrap();
    let mut say = |text: &str| import(&mut store, text.as_bytes()).unwrap_err().to_string();
    assert!(say("").contains("the file is empty"));
    assert!(say("[rig]\nname = \"a\"\n").contains("line 1"));
    assert!(say("[rig]\n").contains("no job file begins with \"[rig]\""));
    assert!(say("{\"format\":\"other\",\"version\":1}\n").contains("its format is \"other\""));
    let newer = say("{\"format\":\"clingfish-record\",\"version\":2}\n");
    assert!(newer.contains("version 2") && newer.contains("update this program"), "{newer}");
    assert!(say("{\"format\":\"clingfish-record\",\"version\":1}\n").contains("cut off"));
    let deep = format!("{{\"format\":\"clingfish-record\",\"version\":1}}\n{}\n", "[".repeat(100_000));
    assert!(say(&deep).contains("line 2"));
}

#[test]
fn a_photo_with_other_bytes_is_refused() {
    let file = String::from_utf8(exported(&filled())).unwrap();
    // The same bytes with a bit set in the padding: base64 in one form only.
    let changed = file.replace("Zmlyc3QgcGljdHVyZQ==", "Zmlyc3QgcGljdHVyZR==");
    assert_ne!(changed, file);
    assert!(import(&mut Store::in_memory().unwrap(), changed.as_bytes()).is_err());
    let changed = file.replace("Zmlyc3QgcGljdHVyZQ==", "Zmlyc3QgcGljdHVyZA==");
    let fault = import(&mut Store::in_memory().unwrap(), changed.as_bytes()).unwrap_err().to_string();
    assert!(fault.contains("the photo does not fit its hash"), "{fault}");
}

#[test]
fn an_import_brings_back_a_photo_that_was_lost() {
    let folder = Folder::new("photo");
    let path = folder.file("a.record");
    let mut store = Store::open(&path).unwrap();
    fill(&mut store);
    let file = exported(&store);
    let raw = rusqlite::Connection::open(&path).unwrap();
    raw.execute_batch("DROP TRIGGER blobs_remain; DELETE FROM blobs").unwrap();
    assert_eq!(store.verify(JOB, None).unwrap().misfits.len(), 2);
    assert!(matches!(store.export(JOB, &mut Vec::new()), Err(Fault::NoBlob { .. })));
    assert_eq!(import(&mut store, &file).unwrap().added, 0);
    assert!(store.verify(JOB, None).unwrap().holds());
}

#[test]
fn a_writer_that_fails_is_told() {
    struct Full(usize);
    impl std::io::Write for Full {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            if self.0 < bytes.len() {
                return Err(std::io::ErrorKind::StorageFull.into());
            }
            self.0 -= bytes.len();
            Ok(bytes.len())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let store = filled();
    let length = exported(&store).len();
    for room in (0..length).step_by(101) {
        assert!(matches!(store.export(JOB, &mut Full(room)), Err(Fault::CannotWrite { .. })), "{room}");
    }
    assert!(store.export(JOB, &mut Full(length)).is_ok());
    assert_eq!(
        store.head(JOB).unwrap(),
        Head { number: 9, hash: store.entries(JOB, 8).unwrap()[0].hash.clone() }
    );
}
