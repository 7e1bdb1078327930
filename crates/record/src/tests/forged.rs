//! Entries whose hashes are right, but which say what no entry may say: a chain is no licence.

use super::*;
use crate::entry::{Head, Row};
use std::io::Cursor;

/// A store with two entries, and one more put in past all checks, its hash worked out.
fn with(change: impl Fn(Row) -> Row) -> Store {
    let mut store = Store::in_memory().unwrap();
    store.start(&job()).unwrap();
    store.write(JOB, &measured("a", "302 mm")).unwrap();
    store.write(JOB, &Draft { corrects: Some(1), ..measured("b", "312 mm") }).unwrap();
    let Head { number, hash } = store.head(JOB).unwrap();
    let row = measured("c", "300 mm").row(JOB).unwrap();
    let mut row = change(Row { number: number + 1, before: hash, ..row });
    row.hash = hash::of_entry(&row);
    store.ask.add_entry(&row).unwrap();
    store
}

fn file_of(store: &Store) -> Vec<u8> {
    let mut file = Vec::new();
    store.export(JOB, &mut file).unwrap();
    file
}

#[test]
fn an_honest_one_passes() {
    let store = with(|row| row);
    assert!(store.verify(JOB, None).unwrap().holds());
    assert!(Store::in_memory().unwrap().import(&mut Cursor::new(file_of(&store))).is_ok());
}

type Change = Box<dyn Fn(Row) -> Row>;

#[test]
fn forged_entries_are_named_and_not_imported() {
    let kind = |kind: &str, value: &str| {
        let (kind, value) = (kind.to_owned(), value.to_owned());
        move |row: Row| Row { kind: kind.clone(), value: value.clone(), ..row }
    };
    let forged: Vec<(&str, Change)> = vec![
        ("another subject", Box::new(|row| Row { corrects: Some(2), about: "cup.FR.aft".into(), ..row })),
        ("a kind that is unknown", Box::new(kind("guess", "{}"))),
        ("a value of another kind", Box::new(kind("note", r#"{"value":"1 mm","with":"tape"}"#))),
        ("a value that is spelled otherwise", Box::new(kind("note", r#"{ "text":"a"}"#))),
        ("no text", Box::new(kind("note", r#"{"text":""}"#))),
        ("a control character", Box::new(|row| Row { by: "A\u{7}".into(), ..row })),
        ("a moment before 1970", Box::new(|row| Row { at_ms: -1, ..row })),
        ("nothing it is about", Box::new(|row| Row { about: String::new(), ..row })),
        (
            "a signature on nothing",
            Box::new(kind("signature", &format!(r#"{{"name":"A","role":"b","on":"{}"}}"#, "0".repeat(64)))),
        ),
    ];
    for (what, change) in forged {
        let store = with(change);
        let misfits = store.verify(JOB, None).unwrap().misfits;
        assert!(matches!(misfits.as_slice(), [Misfit::Meaning { number: 3, .. }]), "{what}: {misfits:?}");
        let file = file_of(&store);
        let mut other = Store::in_memory().unwrap();
        let fault = other.import(&mut Cursor::new(file)).unwrap_err();
        assert!(matches!(fault, Fault::Line { line: 5, .. }), "{what}: {fault}");
        assert_eq!(other.jobs().unwrap(), []);
    }
}

/// What the tables themselves refuse, a file may still say.
#[test]
fn a_forged_file_says_what_the_tables_cannot() {
    let store = with(|row| row);
    let rows = store.ask.after(JOB, 0, 10).unwrap();
    let (heading, hash) = store.ask.heading(JOB).unwrap();
    // Each entry after the one before it, or as it is given.
    let written = |rows: &[Row], chained: bool| {
        let mut head = Head { number: 0, hash: hash.clone() };
        let mut file = format!("{{\"format\":\"{}\",\"version\":{}}}\n", line::FORMAT, line::VERSION);
        let mut put = |line: line::Line| file += &(serde_json::to_string(&line).unwrap() + "\n");
        put(line::Line::Job(line::JobLine::of(heading.clone(), hash.clone())));
        for row in rows {
            let mut row = row.clone();
            if chained {
                row.before = head.hash.clone();
            }
            row.hash = hash::of_entry(&row);
            head = Head { number: row.number, hash: row.hash.clone() };
            put(line::Line::Entry(line::EntryLine::of(row).unwrap()));
        }
        put(line::Line::Head(line::HeadLine::of(&head)));
        file
    };
    let lines = |rows: &[Row]| written(rows, true);
    let import = |file: String| Store::in_memory().unwrap().import(&mut Cursor::new(file));
    assert!(import(lines(&rows)).is_ok());
    let third = |change: fn(&mut Row)| {
        let mut rows = rows.clone();
        change(&mut rows[2]);
        lines(&rows)
    };
    // Its hash is right for an entry that was written after the first.
    let mut rows_beside = rows.clone();
    rows_beside[2].before = rows[0].hash.clone();
    let beside = written(&rows_beside, false);
    for (file, words) in [
        (third(|r| r.token = "a".into()), "token a is taken"),
        (third(|r| r.corrects = Some(1)), "entry 1 is corrected already"),
        (third(|r| r.corrects = Some(3)), "no entry 3 to correct"),
        (third(|r| r.corrects = Some(9)), "no entry 9 to correct"),
        (third(|r| r.number = 4), "entry 4 stands where entry 3 belongs"),
        (lines(&[rows[1].clone()]), "entry 2 stands where entry 1 belongs"),
        (beside, "entry 3 was not written after entry 2"),
    ] {
        let fault = import(file).unwrap_err().to_string();
        assert!(fault.contains(words), "{fault}");
    }
}
