//! A writer is killed again and again: every acknowledged entry is there, and the chain holds.
//!
//! The writers are this test program, started again with the variable below. A kill takes the process, not the machine: what the disk
//! does when power fails is an assumption of `docs/record-format.md`, of which torn logs show the other half.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests end at a fault")]

mod common;

use common::{Dice, Folder, JOB, beside, job, measured, photo};
use record::Store;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};

const WRITE_TO: &str = "RECORD_TEST_WRITE_TO";
const NAME: &str = "RECORD_TEST_NAME";
const COUNT: &str = "RECORD_TEST_COUNT";
/// A job file to be taken in.
const IMPORT: &str = "RECORD_TEST_IMPORT";
/// A file that the writer waits for.
const GATE: &str = "RECORD_TEST_GATE";

/// Not a test of its own: the writer that the others start. Without the variable there is nothing to do.
#[test]
fn writer() {
    let (Some(path), Some(_)) = (std::env::var_os(WRITE_TO), std::env::var_os(NAME)) else { return };
    let name = std::env::var(NAME).unwrap();
    let count: u32 = std::env::var(COUNT).unwrap().parse().unwrap();
    let mut store = Store::open(Path::new(&path)).unwrap();
    store.start(&job()).unwrap();
    let mut out = std::io::stdout();
    let gate = std::env::var_os(GATE);
    let mut dice = Dice(u64::from(name.as_bytes()[0]));
    if let Some(gate) = &gate {
        out.write_all(b"ready\n").unwrap();
        out.flush().unwrap();
        while !Path::new(gate).exists() {
            std::thread::sleep(std::time::Duration::from_millis(1));
        }
    }
    for i in 0..count {
        let token = format!("{name} {i}");
        // Now and then something larger, so that a kill falls into a write of many pages.
        let draft = if i % 40 == 39 {
            photo(&token, token.repeat(3_000).as_bytes())
        } else {
            measured(&token, "cup.FL.aft", "302 mm")
        };
        let number = store.write(JOB, &draft).unwrap().number;
        // One call and one write, so that a kill cannot cut the line.
        out.write_all(format!("acknowledged {number} {token}\n").as_bytes()).unwrap();
        out.flush().unwrap();
        if gate.is_some() {
            // A moment for the other: the engine waits in steps, and the quicker of two could keep the lock to itself.
            std::thread::sleep(std::time::Duration::from_micros(dice.below(2_000) as u64));
        }
    }
}

/// Not a test of its own: takes in the file that the variable names.
#[test]
fn importer() {
    let (Some(path), Some(file)) = (std::env::var_os(WRITE_TO), std::env::var_os(IMPORT)) else { return };
    let mut store = Store::open(Path::new(&path)).unwrap();
    let mut file = std::fs::File::open(file).unwrap();
    std::io::stdout().write_all(b"ready\n").unwrap();
    let _ = store.import(&mut file).unwrap();
    std::io::stdout().write_all(b"imported\n").unwrap();
}

#[test]
fn killed_in_an_import_all_of_it_is_there_or_nothing() {
    let folder = Folder::new("import");
    let mut whole = Store::in_memory().unwrap();
    whole.start(&job()).unwrap();
    for i in 0..1_500 {
        whole.write(JOB, &measured(&format!("t{i}"), "cup.FL.aft", &"9".repeat(70))).unwrap();
    }
    let file = folder.file("job.txt");
    let head = whole.export(JOB, &mut std::fs::File::create(&file).unwrap()).unwrap();
    let (mut all, mut none) = (0, 0);
    for round in 0..16_u64 {
        let path = folder.file(&format!("{round}.record"));
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "importer", "--nocapture", "--test-threads=1"])
            .env(WRITE_TO, &path)
            .env(IMPORT, &file)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        assert!(lines.any(|line| line.unwrap().contains("ready")));
        if round > 0 {
            // From a moment in which nothing can be done yet to one in which most machines are done.
            std::thread::sleep(std::time::Duration::from_micros(round * round * 1_500));
            child.kill().unwrap();
        }
        child.wait().unwrap();
        let acknowledged = lines.map_while(Result::ok).any(|line| line.contains("imported"));
        let store = Store::open(&path).unwrap();
        if store.jobs().unwrap().is_empty() {
            assert!(!acknowledged, "round {round}");
            none += 1;
        } else {
            assert_eq!(store.head(JOB).unwrap(), head, "round {round}");
            assert!(store.verify(JOB, Some(&head)).unwrap().holds());
            all += 1;
        }
    }
    assert!(all > 0 && none > 0, "{all} whole, {none} empty");
}

fn start(path: &Path, name: &str, count: u32) -> Child {
    command(path, name, count).spawn().unwrap()
}

fn command(path: &Path, name: &str, count: u32) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args(["--exact", "writer", "--nocapture", "--test-threads=1"])
        .env(WRITE_TO, path)
        .env(NAME, name)
        .env(COUNT, count.to_string())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Number and token of an acknowledgement; other lines are the test program's own.
fn acknowledged(line: &str) -> Option<(u32, String)> {
    let (number, token) = line.split_once("acknowledged ")?.1.split_once(' ')?;
    Some((number.parse().ok()?, token.to_owned()))
}

/// Every acknowledged entry is there under its number.
fn look(path: &Path, acknowledged: &[(u32, String)]) {
    let store = Store::open(path).unwrap();
    let verified = store.verify(JOB, None).unwrap();
    assert_eq!(verified.misfits, []);
    let entries = store.entries(JOB, 0).unwrap();
    assert_eq!(entries.len(), verified.entries as usize);
    for (number, token) in acknowledged {
        let entry = entries.get(*number as usize - 1).unwrap_or_else(|| panic!("{number} {token} is lost"));
        assert_eq!((entry.number, &entry.token), (*number, token));
    }
}

/// Starts a writer and kills it after so many acknowledgements and a moment; adds those to the list.
fn kill_after(path: &Path, name: &str, stay: usize, spin: usize, list: &mut Vec<(u32, String)>) {
    let mut child = start(path, name, 100_000);
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let before = list.len();
    while list.len() - before < stay {
        let line = lines.next().unwrap_or_else(|| panic!("the writer ended: {}", words(&mut child)));
        list.extend(acknowledged(&line.unwrap()));
    }
    for _ in 0..spin {
        std::hint::spin_loop();
    }
    child.kill().unwrap();
    child.wait().unwrap();
    // What it acknowledged between the last line read and the kill counts too.
    list.extend(lines.map_while(Result::ok).filter_map(|line| acknowledged(&line)));
}

fn words(child: &mut Child) -> String {
    let mut words = String::new();
    if let Some(mut err) = child.stderr.take() {
        let _ = err.read_to_string(&mut words);
    }
    words
}

#[test]
fn killed_at_any_moment_nothing_acknowledged_is_lost() {
    let folder = Folder::new("kill");
    let path = folder.file("a.record");
    let mut dice = Dice(2026);
    let mut list = Vec::new();
    for round in 0..25 {
        let (stay, spin) = (dice.below(120), dice.below(2_000_000));
        kill_after(&path, &format!("round {round}"), stay, spin, &mut list);
        if round % 5 == 4 || list.is_empty() {
            // Every fifth time only: else a log would never be left over for the next writer.
            look_if_begun(&path, &list);
        }
    }
    assert!(list.len() > 500, "{} entries", list.len());
    look(&path, &list);
}

/// Killed in its first moments, the file may not have a job yet.
fn look_if_begun(path: &Path, list: &[(u32, String)]) {
    if list.is_empty() {
        assert!(Store::open(path).is_ok());
    } else {
        look(path, list);
    }
}

#[test]
fn killed_while_the_file_is_begun_it_opens() {
    let mut dice = Dice(7);
    for _ in 0..12 {
        let folder = Folder::new("begun");
        let path = folder.file("a.record");
        let mut child = start(&path, "first", 10);
        // The file is laid out within the first milliseconds after it is there.
        while !path.exists() {
            std::thread::sleep(std::time::Duration::from_micros(200));
        }
        std::thread::sleep(std::time::Duration::from_micros(dice.below(15_000) as u64));
        child.kill().unwrap();
        child.wait().unwrap();
        let mut store = Store::open(&path).unwrap();
        store.start(&job()).unwrap();
        store.write(JOB, &measured("after", "cup.FL.aft", "1 mm")).unwrap();
        assert!(store.verify(JOB, None).unwrap().holds());
    }
}

/// A log cut anywhere opens at some earlier moment, whole. Entries that were acknowledged are lost here only because the test cuts
/// them off: an honest disk has them.
#[test]
fn a_torn_log_opens_at_an_earlier_moment() {
    let folder = Folder::new("torn");
    let path = folder.file("a.record");
    let mut list = Vec::new();
    kill_after(&path, "torn", 60, 0, &mut list);
    let log = std::fs::read(beside(&path, "-wal")).unwrap();
    assert!(log.len() > 100_000, "the log has {} bytes", log.len());
    let mut dice = Dice(99);
    let mut lengths = std::collections::BTreeSet::new();
    for round in 0..60 {
        let copy = folder.file(&format!("{round}.record"));
        std::fs::copy(&path, &copy).unwrap();
        let mut torn = log.clone();
        torn.truncate(dice.below(log.len()));
        if round % 2 == 1 && !torn.is_empty() {
            // The last block written in part: old bytes stand in it.
            let from = torn.len().saturating_sub(dice.below(4_096));
            torn[from..].fill(0xa5);
        }
        std::fs::write(beside(&copy, "-wal"), torn).unwrap();
        let store = Store::open(&copy).unwrap();
        if store.jobs().unwrap().is_empty() {
            continue;
        }
        let verified = store.verify(JOB, None).unwrap();
        assert_eq!(verified.misfits, [], "round {round}");
        lengths.insert(verified.entries);
        let entries = store.entries(JOB, 0).unwrap();
        for (number, token) in list.iter().filter(|(n, _)| *n <= verified.entries) {
            assert_eq!(&entries[*number as usize - 1].token, token);
        }
    }
    assert!(lengths.len() > 10, "the cuts made a difference: {lengths:?}");
}

#[test]
fn two_writers_at_once_lose_and_double_nothing() {
    const EACH: u32 = 250;
    let folder = Folder::new("two");
    let path = folder.file("a.record");
    let gate = folder.file("go");
    let mut running = Vec::new();
    for name in ["left", "right"] {
        let mut child = command(&path, name, EACH).env(GATE, &gate).spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        assert!(lines.any(|line| line.unwrap().contains("ready")));
        running.push((child, lines));
    }
    std::fs::write(&gate, "").unwrap();
    let mut list = Vec::new();
    for (mut child, lines) in running {
        list.extend(lines.filter_map(|line| acknowledged(&line.unwrap())));
        assert!(child.wait().unwrap().success(), "{}", words(&mut child));
    }
    look(&path, &list);
    list.sort_unstable();
    let numbers: Vec<u32> = list.iter().map(|(n, _)| *n).collect();
    assert_eq!(numbers, (1..=2 * EACH).collect::<Vec<_>>());
    // They did write at once: one did not wait for the other to end.
    let turns = list.windows(2).filter(|w| w[0].1.starts_with("left") != w[1].1.starts_with("left")).count();
    assert!(turns > 1, "{turns} turns");
    assert_eq!(Store::open(&path).unwrap().head(JOB).unwrap().number, 2 * EACH);
}
