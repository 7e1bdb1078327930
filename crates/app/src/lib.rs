//! The command line: reads a rig file, asks the verdict, prints. No engineering stands here.
//!
//! One file a command under `command`, words for the terminal under `print`, JSON shapes under `json`.

mod chart;
mod command;
mod csv_file;
mod draft;
mod drawing;
mod io;
mod json;
mod near;
mod notebook;
mod open;
mod print;
mod progress;
mod sheet;
mod web;

use clap::Parser;
use command::Command;
pub use io::{Colour, Terminal};
use io::{Io, Stop};
use std::ffi::OsString;
use std::io::{BufRead, IsTerminal, Write};
/// Not for use: the pages without a network, for this project's own tests.
#[doc(hidden)]
pub use web::within;

/// Every check holds, or a command did what was asked.
pub const GO: u8 = 0;
/// Bad input: the command line, a file, or a rig that cannot be computed.
pub const BAD_INPUT: u8 = 2;
/// A fact is missing, or a guess decides.
pub const HOLD: u8 = 10;
/// A check fails.
pub const NO_GO: u8 = 20;

const EXAMPLES: &str = "\
Examples:
  clingfish new                            asks, and writes a first rig file
  clingfish check night.toml               GO, HOLD or NO-GO, and why
  clingfish explain night.toml cup-slip    the sum behind one check, by hand
  clingfish advise night.toml              what would help most, worked out
  clingfish parts cup                      the cups in the parts list

Exit status of check: 0 GO, 10 HOLD, 20 NO-GO; 2 when the input is bad.";

/// Plans, proves and records camera rigs on cars.
#[derive(Debug, Parser)]
#[command(name = "clingfish", version, about, after_help = EXAMPLES, term_width = 80)]
struct Cli {
    /// Colour: auto, always or never.
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto", hide_possible_values = true)]
    #[arg(hide_default_value = true)]
    color: Colour,
    #[command(subcommand)]
    command: Command,
}

/// Runs one command with the process's own arguments and streams; gives the exit status.
pub fn run_in_terminal() -> u8 {
    let choice = |c: anstream::ColorChoice| c != anstream::ColorChoice::Never;
    let terminal = Terminal {
        colour_out: choice(anstream::AutoStream::choice(&std::io::stdout())),
        colour_err: choice(anstream::AutoStream::choice(&std::io::stderr())),
        progress: std::io::stderr().is_terminal(),
        typed: std::io::stdin().is_terminal(),
    };
    let (mut input, mut out) = (std::io::stdin().lock(), std::io::BufWriter::new(std::io::stdout()));
    // The progress bar writes to the same stream: no lock is kept.
    let mut err = std::io::stderr();
    run(std::env::args_os(), terminal, &mut input, &mut out, &mut err)
}

/// Runs one command; gives the exit status.
pub fn run(
    args: impl IntoIterator<Item = impl Into<OsString>>,
    terminal: Terminal,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> u8 {
    let args: Vec<OsString> = args.into_iter().map(Into::into).collect();
    let terminal = terminal.with(Colour::of(&args));
    let mut io = Io::new(terminal, input, out, err);
    let done = match Cli::try_parse_from(&args) {
        Ok(cli) => cli.command.run(&mut io),
        Err(e) => usage(&e, &mut io),
    };
    io.end(done)
}

/// Help and version go to the output; a wrong command line is bad input.
fn usage(e: &clap::Error, io: &mut Io<'_>) -> Result<(), Stop> {
    let text = e.render().ansi().to_string();
    if e.use_stderr() {
        io.err.write_all(text.as_bytes())?;
        return Err(Stop::Said);
    }
    io.out.write_all(text.as_bytes())?;
    Ok(())
}
