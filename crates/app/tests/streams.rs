//! Pipes that close, colour that is not wanted.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]
#[allow(dead_code, clippy::expect_used, reason = "each test file uses its own share; a test may stop")]
mod common;

use clingfish::Terminal;
use common::{plate, plate_with};
use std::io::{Cursor, Error, ErrorKind, Write};
use std::process::Command;

/// Takes some bytes, then fails.
struct Closes(usize, ErrorKind);

impl Write for Closes {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        if self.0 == 0 {
            return Err(Error::from(self.1));
        }
        let n = bytes.len().min(self.0);
        self.0 -= n;
        Ok(n)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn run_into(args: &[&str], text: &str, out: &mut dyn Write) -> (u8, String) {
    let mut err = Vec::new();
    let args = std::iter::once("clingfish").chain(args.iter().copied());
    let status = clingfish::run(args, Terminal::default(), &mut Cursor::new(text), out, &mut err);
    (status, String::from_utf8(err).unwrap())
}

#[test]
fn a_reader_that_walks_away_is_no_fault_and_turns_no_no_go_into_a_go() {
    let bad = plate_with("mass = \"4 kg\"", "mass = \"120 kg\"");
    for (text, status) in [(plate(), 0), (bad, 20)] {
        for enough in [0, 1, 100] {
            let ended = run_into(&["check", "-"], &text, &mut Closes(enough, ErrorKind::BrokenPipe));
            assert_eq!(ended, (status, String::new()));
        }
    }
    assert_eq!(run_into(&["parts"], "", &mut Closes(10, ErrorKind::BrokenPipe)), (0, String::new()));
}

#[test]
fn bad_input_stays_bad_when_nobody_reads_why() {
    let text = "version = 7\n";
    for args in [&["check", "-"][..], &["check", "--json", "-"]] {
        let (mut out, mut err) = (Closes(1, ErrorKind::BrokenPipe), Closes(1, ErrorKind::BrokenPipe));
        let args = std::iter::once("clingfish").chain(args.iter().copied());
        let status = clingfish::run(args, Terminal::default(), &mut Cursor::new(text), &mut out, &mut err);
        assert_eq!(status, 2);
    }
}

#[test]
fn a_full_disk_is_told() {
    let (status, err) = run_into(&["schema"], "", &mut Closes(10, ErrorKind::StorageFull));
    assert_eq!(status, 2);
    assert!(err.starts_with("error: cannot write or read"), "{err}");
}

#[test]
fn colour_is_off_in_a_pipe_on_when_asked_and_never_with_no_color() {
    let file = common::path("plate.toml");
    let coloured = |args: &[&str], set: &[(&str, &str)]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_clingfish"));
        command.arg("check").arg(&file).args(args).env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
        let done = command.envs(set.iter().copied()).output().expect("the binary runs");
        assert_eq!(done.status.code(), Some(0));
        done.stdout.contains(&0x1b)
    };
    assert!(!coloured(&[], &[]), "a pipe");
    assert!(coloured(&["--color", "always"], &[]), "asked for");
    assert!(coloured(&["--color=always"], &[]), "asked for in one word");
    assert!(coloured(&[], &[("CLICOLOR_FORCE", "1")]), "forced");
    assert!(!coloured(&[], &[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]), "NO_COLOR is stronger");
    assert!(!coloured(&["--color", "never"], &[("CLICOLOR_FORCE", "1")]), "the command line is stronger");
}

#[test]
fn colour_says_nothing_that_the_words_do_not() {
    let text = |colour: &str| {
        let mut out = Vec::new();
        run_into(&["check", "-", "--color", colour], &plate(), &mut out);
        String::from_utf8(out).unwrap()
    };
    assert_eq!(anstream::adapter::strip_str(&text("always")).to_string(), text("never"));
}
