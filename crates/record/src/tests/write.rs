//! What may be written and what not.

use super::*;
use crate::sqlite::Sqlite;
use std::path::Path;

fn store() -> Store {
    let mut store = Store::in_memory().unwrap();
    store.start(&job()).unwrap();
    store
}

fn correction(token: &str, number: u32) -> Draft {
    Draft { corrects: Some(number), ..measured(token, "303 mm") }
}

#[test]
fn the_same_token_is_written_once_and_says_the_same() {
    let mut s = store();
    let first = s.write(JOB, &measured("a", "302 mm")).unwrap();
    let again = s.write(JOB, &measured("a", "302 mm")).unwrap();
    assert_eq!((again.number, again.hash.clone(), again.again), (1, first.hash, true));
    assert_eq!(s.entries(JOB, 0).unwrap().len(), 1);
    let base = measured("a", "302 mm");
    for other in [
        measured("a", "303 mm"),
        Draft { at_ms: 2_001, ..base.clone() },
        Draft { by: "C.".into(), ..base.clone() },
        Draft { device: "phone 2".into(), ..base.clone() },
        Draft { about: "cup.FR.aft".into(), ..base.clone() },
        Draft { corrects: Some(1), ..base.clone() },
        draft("a", "cup.FL.aft", Value::Torque(Torque { value: "302 mm".into(), with: "tape".into() })),
    ] {
        let fault = s.write(JOB, &other).unwrap_err();
        assert_eq!(fault, Fault::TokenTaken { token: "a".into(), number: 1 });
    }
    assert_eq!(s.head(JOB).unwrap().number, 1);
}

#[test]
fn a_correction_replaces_one_entry_once() {
    let mut s = store();
    s.write(JOB, &measured("a", "302 mm")).unwrap();
    assert_eq!(s.write(JOB, &correction("b", 9)).unwrap_err(), Fault::NothingToCorrect { number: 9 });
    assert_eq!(s.write(JOB, &correction("b", 0)).unwrap_err(), Fault::NothingToCorrect { number: 0 });
    // Not itself, which would be entry 2.
    assert_eq!(s.write(JOB, &correction("b", 2)).unwrap_err(), Fault::NothingToCorrect { number: 2 });
    let elsewhere = Draft { about: "cup.FR.aft".into(), ..correction("b", 1) };
    assert!(matches!(s.write(JOB, &elsewhere), Err(Fault::OtherSubject { number: 1, .. })));
    let note = Value::Note(Note { text: "302 mm".into() });
    let other_kind = Draft { corrects: Some(1), ..draft("b", "cup.FL.aft", note) };
    assert!(matches!(s.write(JOB, &other_kind), Err(Fault::OtherSubject { number: 1, .. })));
    s.write(JOB, &correction("b", 1)).unwrap();
    let twice = s.write(JOB, &correction("c", 1)).unwrap_err();
    assert_eq!(twice, Fault::AlreadyCorrected { number: 1, by: 2 });
    assert!(twice.to_string().contains("correct entry 2 instead"));
    s.write(JOB, &correction("c", 2)).unwrap();
    let marks: Vec<_> = s.current(JOB).unwrap().iter().map(|c| (c.entry.number, c.corrected_by)).collect();
    assert_eq!(marks, [(1, Some(2)), (2, Some(3)), (3, None)]);
}

#[test]
fn a_signature_stands_on_what_the_person_saw() {
    let mut s = store();
    let heading = s.head(JOB).unwrap().hash;
    let sign = |token: &str, on: &str| {
        let signature = Signature { name: "A. B.".into(), role: "key grip".into(), on: on.into() };
        draft(token, "cups pumped", Value::Signature(signature))
    };
    s.write(JOB, &sign("a", &heading)).unwrap();
    let first = s.write(JOB, &measured("b", "302 mm")).unwrap();
    s.write(JOB, &measured("c", "302 mm")).unwrap();
    s.write(JOB, &sign("d", &first.hash)).unwrap();
    let nothing = s.write(JOB, &sign("e", &"0".repeat(64)));
    assert_eq!(nothing, Err(Fault::SignedOnNothing { hash: "0".repeat(64) }));
    assert!(s.verify(JOB, None).unwrap().holds());
}

#[test]
fn photos_come_with_their_bytes() {
    let mut s = store();
    let p = photo("a", b"picture");
    let without = Draft { bytes: None, ..p.clone() };
    assert!(matches!(s.write(JOB, &without), Err(Fault::NoBlob { .. })));
    let others = Draft { bytes: Some(b"other".to_vec()), ..p.clone() };
    assert!(matches!(s.write(JOB, &others), Err(Fault::OtherBytes { .. })));
    let on_a_note = Draft { bytes: Some(b"other".to_vec()), ..measured("a", "1 mm") };
    assert!(matches!(s.write(JOB, &on_a_note), Err(Fault::OtherBytes { .. })));
    assert_eq!(s.head(JOB).unwrap().number, 0);
    s.write(JOB, &p).unwrap();
    // The same picture once more, its bytes are there.
    s.write(JOB, &Draft { token: "b".into(), ..without }).unwrap();
    let Value::Photo(shown) = p.value else { panic!() };
    assert_eq!(s.blob(&shown.sha256).unwrap(), b"picture");
    assert!(matches!(s.blob(&"0".repeat(64)), Err(Fault::NoBlob { .. })));
    let large = vec![0; limits::BLOB_BYTES + 1];
    let over = s.write(JOB, &photo("c", &large)).unwrap_err();
    assert!(over.to_string().contains("20000001 bytes, the limit is 20000000"), "{over}");
    assert!(s.write(JOB, &photo("c", &large[1..])).is_ok());
}

#[test]
fn jobs_are_started_once_and_must_be_there() {
    let mut s = store();
    assert!(s.start(&job()).is_ok());
    let other = Job { name: "Day".into(), ..job() };
    assert_eq!(s.start(&other), Err(Fault::JobExists { job: JOB.into() }));
    assert_eq!(s.jobs().unwrap(), [job()]);
    let nobody = "f".repeat(32);
    let none = Fault::NoJob { job: nobody.clone() };
    assert_eq!(s.write(&nobody, &measured("a", "1 mm")), Err(none.clone()));
    assert_eq!(s.entries(&nobody, 0), Err(none.clone()));
    assert_eq!(s.verify(&nobody, None), Err(none));
    for id in ["", "0011", "00112233445566778899AABBCCDDEEFF"] {
        assert!(matches!(s.start(&Job { id: id.into(), ..job() }), Err(Fault::Form { .. })));
    }
}

#[test]
fn nothing_is_edited_away() {
    let db = Sqlite::in_memory().unwrap();
    let ask = ask::Ask::new(Box::new(db), Path::new("m"));
    ask.bring_up().unwrap();
    let mut s = Store { ask };
    s.start(&job()).unwrap();
    s.write(JOB, &measured("a", "302 mm")).unwrap();
    s.write(JOB, &photo("b", b"picture")).unwrap();
    let entry = "SELECT job, number, 5, by_whom, device, token, kind, about, value, corrects, before_hash, hash FROM entries";
    for sql in [
        "UPDATE jobs SET name = 'x'",
        "DELETE FROM jobs",
        "INSERT OR REPLACE INTO jobs SELECT id, 'x', rig, at_ms, by_whom, hash FROM jobs",
        "UPDATE entries SET by_whom = 'x'",
        "DELETE FROM entries",
        "DELETE FROM entries WHERE number = 2",
        &format!("INSERT OR REPLACE INTO entries {entry} WHERE number = 2"),
        "INSERT INTO entries SELECT job, 9, at_ms, by_whom, device, 'z', kind, about, value, corrects, before_hash, hash
            FROM entries WHERE number = 1",
        "UPDATE blobs SET bytes = x'00'",
        "DELETE FROM blobs",
        "INSERT OR REPLACE INTO blobs SELECT sha256, x'00' FROM blobs",
    ] {
        assert!(s.ask.db().run(sql, &[]).is_err(), "{sql}");
    }
    assert!(s.verify(JOB, None).unwrap().holds());
}

#[test]
fn a_store_may_go_to_another_thread() {
    fn goes<T: Send>(_: &T) {}
    goes(&store());
}
