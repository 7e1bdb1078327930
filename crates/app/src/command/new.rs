//! `clingfish new`.

use crate::draft::{ask_all, file};
use crate::io::{Io, Stop};
use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Ask for what can be measured, and write a first rig file.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish new --out night.toml\n  clingfish new --out night.toml < answers.txt\n\n\
Answer one line each; ? means not known yet where a question allows it.")]
pub(crate) struct Args {
    /// The file to write; - is the output.
    #[arg(long, value_name = "FILE", default_value = "rig.toml")]
    out: PathBuf,
    /// Write over a file that is there.
    #[arg(long)]
    force: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let to_output = args.out == Path::new("-");
    // Said before thirty questions, not after.
    if !to_output && !args.force && args.out.exists() {
        return Err(taken(&args.out));
    }
    let answers = ask_all(io)?;
    let text = file(&answers);
    if to_output {
        io.out.write_all(text.as_bytes())?;
        return Ok(());
    }
    save(args, &text)?;
    writeln!(io.out, "{} is written. Tape what you build and correct it there, then:", args.out.display())?;
    writeln!(io.out, "  clingfish check {}", args.out.display())?;
    Ok(())
}

fn taken(path: &Path) -> Stop {
    Stop::bad(format!("{} is there already", path.display()), "name another with --out, or say --force to write over it")
}

fn save(args: &Args, text: &str) -> Result<(), Stop> {
    let mut options = OpenOptions::new();
    options.write(true);
    // A file that came up while the questions were asked stays as well.
    let options = if args.force { options.create(true).truncate(true) } else { options.create_new(true) };
    let failed = |e: std::io::Error| match e.kind() {
        ErrorKind::AlreadyExists => taken(&args.out),
        ErrorKind::NotFound => Stop::bad(format!("there is no folder for {}", args.out.display()), "make the folder first"),
        _ => Stop::bad(format!("{} cannot be written: {e}", args.out.display()), ""),
    };
    let mut file = options.open(&args.out).map_err(failed)?;
    file.write_all(text.as_bytes()).and_then(|()| file.sync_all()).map_err(failed)
}
