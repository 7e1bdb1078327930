//! `clingfish parts`.

use crate::io::{Io, Stop};
use crate::print::style::{self, paint};
use crate::print::text::{count, hang};
use std::io::Write;

/// List the built-in parts, their data and where the data come from.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish parts\n  clingfish parts cup\n  clingfish parts 48.3")]
pub(crate) struct Args {
    /// Only parts with this word in kind, name or data.
    word: Vec<String>,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let words: Vec<String> = args.word.iter().map(|w| w.to_lowercase()).collect();
    let fits = |l: &rig::Listed| {
        let mut text = format!("{} {}", l.kind, l.name).to_lowercase();
        for (key, value) in &l.data {
            text += &format!(" {key} {value}").to_lowercase();
        }
        words.iter().all(|w| text.contains(w.as_str()))
    };
    let all = rig::catalogue();
    let found: Vec<&rig::Listed> = all.iter().filter(|l| fits(l)).collect();
    if found.is_empty() {
        let mut kinds: Vec<&str> = all.iter().map(|l| l.kind).collect();
        kinds.dedup();
        return Err(Stop::bad(
            format!("no part has \"{}\" in its name or data", args.word.join(" ")),
            format!("try one of {}", kinds.join(", ")),
        ));
    }
    for part in &found {
        writeln!(io.out, "{}  {}", paint(style::HEAD, &part.name), paint(style::FAINT, part.kind))?;
        for (key, value) in &part.data {
            hang(&mut io.out, &format!("  {key:<18} "), value)?;
        }
        hang(&mut io.out, "  source             ", &part.source)?;
        writeln!(io.out)?;
    }
    writeln!(io.out, "{}", count(found.len(), "part"))?;
    Ok(())
}
