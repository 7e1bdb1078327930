//! A database that fails at its nth call: nothing half-written, and the next write works.

use super::*;
use crate::database::{Cause, Cell, Database, For, Refusal};
use crate::sqlite::Sqlite;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// How a call fails.
#[derive(Clone, Copy, Debug)]
enum Failing {
    /// This one, before it does anything.
    Once,
    /// This one and all after it.
    FromThenOn,
    /// This one does its work, but its answer is lost.
    AnswerLost,
}

struct Frail {
    db: Sqlite,
    /// How many calls still work; `usize::MAX` for all.
    left: Arc<AtomicUsize>,
    how: Failing,
}

impl Frail {
    fn call<T>(&self, f: impl FnOnce() -> Result<T, Refusal>) -> Result<T, Refusal> {
        let refusal = Refusal { cause: Cause::Full, words: "no".into() };
        match self.left.load(Ordering::SeqCst) {
            usize::MAX => f(),
            0 => {
                match self.how {
                    Failing::FromThenOn => {}
                    Failing::Once => self.left.store(usize::MAX, Ordering::SeqCst),
                    Failing::AnswerLost => {
                        self.left.store(usize::MAX, Ordering::SeqCst);
                        f()?;
                    }
                }
                Err(refusal)
            }
            n => {
                self.left.store(n - 1, Ordering::SeqCst);
                f()
            }
        }
    }
}

impl Database for Frail {
    fn run(&self, sql: &str, cells: &[Cell]) -> Result<usize, Refusal> {
        self.call(|| self.db.run(sql, cells))
    }
    fn rows(&self, sql: &str, cells: &[Cell]) -> Result<Vec<Vec<Cell>>, Refusal> {
        self.call(|| self.db.rows(sql, cells))
    }
    fn begin(&self, why: For) -> Result<(), Refusal> {
        self.call(|| self.db.begin(why))
    }
    fn commit(&self) -> Result<(), Refusal> {
        self.call(|| self.db.commit())
    }
    fn rollback(&self) -> Result<(), Refusal> {
        self.call(|| self.db.rollback())
    }
    fn layout(&self) -> Result<i64, Refusal> {
        self.call(|| self.db.layout())
    }
    fn set_layout(&self, layout: i64) -> Result<(), Refusal> {
        self.call(|| self.db.set_layout(layout))
    }
    fn unsound(&self) -> Result<Option<String>, Refusal> {
        self.call(|| self.db.unsound())
    }
    fn copy_to(&self, path: &str) -> Result<(), Refusal> {
        self.call(|| self.db.copy_to(path))
    }
}

/// Fails every call in turn of what is done to a store with one entry; gives how many calls there were.
fn at_every_call(how: Failing, done: impl Fn(&mut Store) -> Result<(), Fault>, entries: u32) -> usize {
    for n in 0.. {
        let left = Arc::new(AtomicUsize::new(usize::MAX));
        let frail = Frail { db: Sqlite::in_memory().unwrap(), left: Arc::clone(&left), how };
        let mut s = Store::on(Box::new(frail), Path::new("m")).unwrap();
        s.start(&job()).unwrap();
        s.write(JOB, &measured("first", "302 mm")).unwrap();
        left.store(n, Ordering::SeqCst);
        let answer = done(&mut s);
        left.store(usize::MAX, Ordering::SeqCst);
        if answer.is_ok() {
            assert_eq!(s.head(JOB).unwrap().number, 1 + entries);
            return n;
        }
        assert_eq!(answer, Err(Fault::DiskFull { path: "m".into() }));
        // A rollback that worked, or one that the next transaction makes up for: nothing, or all of it if only the answer was lost.
        let now = s.head(JOB).unwrap().number;
        let all_or_nothing = now == 1 || (matches!(how, Failing::AnswerLost) && now == 1 + entries);
        assert!(all_or_nothing, "{how:?} at call {n}: {now} entries");
        assert!(s.verify(JOB, None).unwrap().holds(), "{how:?} at call {n}");
        // Sent again, it is there once.
        done(&mut s).unwrap();
        assert_eq!(s.head(JOB).unwrap().number, 1 + entries, "{how:?} at call {n}");
        assert!(s.verify(JOB, None).unwrap().holds());
    }
    0
}

#[test]
fn a_write_is_whole_or_not_there() {
    for how in [Failing::Once, Failing::FromThenOn, Failing::AnswerLost] {
        let plain = at_every_call(how, |s| s.write(JOB, &measured("a", "303 mm")).map(|_| ()), 1);
        assert!(plain >= 6, "{plain} calls");
        let correction = Draft { corrects: Some(1), ..measured("a", "303 mm") };
        assert!(at_every_call(how, |s| s.write(JOB, &correction).map(|_| ()), 1) > plain);
        assert!(at_every_call(how, |s| s.write(JOB, &photo("a", b"picture")).map(|_| ()), 1) > plain);
    }
}

#[test]
fn an_import_is_whole_or_not_there() {
    let mut longer = Store::in_memory().unwrap();
    longer.start(&job()).unwrap();
    longer.write(JOB, &measured("first", "302 mm")).unwrap();
    for i in 0..3 {
        longer.write(JOB, &measured(&format!("more {i}"), "1 mm")).unwrap();
    }
    longer.write(JOB, &photo("a", b"picture")).unwrap();
    let mut file = Vec::new();
    longer.export(JOB, &mut file).unwrap();
    for how in [Failing::Once, Failing::FromThenOn, Failing::AnswerLost] {
        let import = |s: &mut Store| s.import(&mut std::io::Cursor::new(&file)).map(|_| ());
        assert!(at_every_call(how, import, 4) >= 8);
    }
}

#[test]
fn a_new_file_is_laid_out_as_a_whole_or_not_at_all() {
    let folder = std::env::temp_dir().join(format!("record-layout-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    for n in 0.. {
        let path = folder.join(format!("{n}.record"));
        let left = Arc::new(AtomicUsize::new(n));
        let frail = Frail { db: Sqlite::open(&path).unwrap(), left, how: Failing::FromThenOn };
        let made = Store::on(Box::new(frail), &path);
        let whole = made.is_ok();
        drop(made);
        let mut s = Store::open(&path).unwrap();
        s.start(&job()).unwrap();
        s.write(JOB, &measured("a", "1 mm")).unwrap();
        assert!(s.ask.db().run("DELETE FROM entries", &[]).is_err());
        if whole {
            assert!(n > 10, "{n} calls");
            break;
        }
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn an_old_file_is_brought_up_to_date_as_a_whole_or_not_at_all() {
    let old = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/old/layout-1.record");
    let folder = std::env::temp_dir().join(format!("record-old-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    for n in 0.. {
        let path = folder.join(format!("{n}.record"));
        std::fs::copy(&old, &path).unwrap();
        let left = Arc::new(AtomicUsize::new(n));
        let frail = Frail { db: Sqlite::open(&path).unwrap(), left, how: Failing::FromThenOn };
        let made = Store::on(Box::new(frail), &path);
        let whole = made.is_ok();
        drop(made);
        let db = Sqlite::open(&path).unwrap();
        assert_eq!(db.layout().unwrap(), if whole { 2 } else { 1 }, "call {n}");
        drop(db);
        let s = Store::open(&path).unwrap();
        assert!(s.verify(JOB, None).unwrap().holds(), "call {n}");
        assert_eq!(s.head(JOB).unwrap().number, 10);
        if whole {
            assert!(n > 20, "{n} calls");
            break;
        }
    }
    std::fs::remove_dir_all(&folder).unwrap();
}
