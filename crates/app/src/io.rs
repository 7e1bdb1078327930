//! The streams of a command, and how it may end.

use crate::print::style;
use crate::{BAD_INPUT, GO};
use anstream::adapter::StripBytes;
use std::ffi::OsString;
use std::io::{self, BufRead, Write};

/// When to colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Colour {
    /// On a terminal, unless `NO_COLOR` is set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

impl Colour {
    /// The choice on a command line, read before the rest so that faults in the rest follow it.
    pub(crate) fn of(args: &[OsString]) -> Self {
        let words: Vec<&str> = args.iter().filter_map(|a| a.to_str()).collect();
        let next = words.windows(2).find(|w| w.first() == Some(&"--color")).and_then(|w| w.get(1).copied());
        match words.iter().find_map(|w| w.strip_prefix("--color=")).or(next) {
            Some("always") => Self::Always,
            Some("never") => Self::Never,
            _ => Self::Auto,
        }
    }
}

/// What the streams can do.
#[derive(Clone, Copy, Debug, Default)]
#[allow(clippy::struct_excessive_bools, reason = "four independent facts about four streams")]
pub struct Terminal {
    /// Whether the output shows colour.
    pub colour_out: bool,
    /// Whether the error output does.
    pub colour_err: bool,
    /// Whether progress may be drawn on the process's error output.
    pub progress: bool,
    /// Whether a person types the input.
    pub typed: bool,
}

impl Terminal {
    /// The same with the person's own choice of colour.
    pub(crate) fn with(self, colour: Colour) -> Self {
        match colour {
            Colour::Auto => self,
            Colour::Always => Self { colour_out: true, colour_err: true, ..self },
            Colour::Never => Self { colour_out: false, colour_err: false, ..self },
        }
    }
}

/// Why a command ends early.
#[derive(Debug)]
pub(crate) enum Stop {
    /// Bad input that has been told already.
    Said,
    /// Bad input: what is wrong, then how to mend it (or empty).
    Bad(String, String),
    /// A stream cannot be written or read.
    Stream(io::Error),
}

impl Stop {
    pub(crate) fn bad(what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::Bad(what.into(), mend.into())
    }
}

impl From<io::Error> for Stop {
    fn from(e: io::Error) -> Self {
        Self::Stream(e)
    }
}

/// The streams of a command.
pub(crate) struct Io<'a> {
    pub(crate) input: &'a mut dyn BufRead,
    pub(crate) out: Box<dyn Write + 'a>,
    pub(crate) err: Box<dyn Write + 'a>,
    /// Whether progress may be drawn.
    pub(crate) progress: bool,
    /// Whether a person types the input.
    pub(crate) typed: bool,
    /// Exit status, known before anything is printed: a reader that walks away must not turn a NO-GO into a GO.
    pub(crate) status: u8,
}

impl<'a> Io<'a> {
    pub(crate) fn new(
        terminal: Terminal,
        input: &'a mut dyn BufRead,
        out: &'a mut dyn Write,
        err: &'a mut dyn Write,
    ) -> Self {
        Self {
            input,
            out: plain_unless(terminal.colour_out, out),
            err: plain_unless(terminal.colour_err, err),
            progress: terminal.progress,
            typed: terminal.typed,
            status: GO,
        }
    }

    /// Says how it ended, if that is still to say, and gives the exit status.
    pub(crate) fn end(mut self, done: Result<(), Stop>) -> u8 {
        let done = done.and_then(|()| self.out.flush().map_err(Stop::from));
        match done {
            Ok(()) => self.status,
            Err(Stop::Said) => BAD_INPUT,
            Err(Stop::Bad(what, mend)) => self.tell(&what, &mend),
            // The reader of the pipe has seen enough.
            Err(Stop::Stream(e)) if e.kind() == io::ErrorKind::BrokenPipe => self.status,
            Err(Stop::Stream(e)) => self.tell(&format!("cannot write or read: {e}"), ""),
        }
    }

    fn tell(&mut self, what: &str, mend: &str) -> u8 {
        let text = crate::print::text::wrap(what, 73).join("\n       ");
        let mut told = writeln!(self.err, "{}: {text}", style::paint(style::FAIL, "error"));
        if !mend.is_empty() {
            let text = crate::print::text::wrap(mend, 68).join("\n            ");
            told = told.and_then(|()| writeln!(self.err, "   = mend: {text}"));
        }
        // Nowhere is left to say that the error output is gone.
        let _ = told.and_then(|()| self.err.flush());
        BAD_INPUT
    }
}

fn plain_unless<'a>(colour: bool, stream: &'a mut dyn Write) -> Box<dyn Write + 'a> {
    if colour { Box::new(stream) } else { Box::new(Plain { to: stream, state: StripBytes::new() }) }
}

/// Passes on what can be read and leaves the colour codes out.
struct Plain<'a> {
    to: &'a mut dyn Write,
    state: StripBytes,
}

impl Write for Plain<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        for readable in self.state.strip_next(bytes) {
            self.to.write_all(readable)?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush()
    }
}
