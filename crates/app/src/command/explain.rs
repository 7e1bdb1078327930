//! `clingfish explain`.

use super::check::{cannot, verdict_of};
use crate::io::{Io, Stop};
use crate::near::nearest;
use crate::open::open;
use crate::print::report::is_lost;
use crate::{json, print};
use rig::Rig;
use rig::policy::{CHECKS, CheckRow};
use std::path::PathBuf;
use verdict::Finding;
use verdict::sums::{TOPICS, Topic};

/// Show the sum behind a check, so that a hand calculator can follow it.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish explain night.toml cup-slip        the part with the least margin\n  \
clingfish explain night.toml cup-slip FL     cup FL\n  clingfish explain night.toml cup-fit FL --all")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// The check, as check names it in brackets: cup-slip, retention, ...; or isolator, picture.
    check: String,
    /// The part: a tag (FL), or "cup FL". Left out: the worst.
    part: Vec<String>,
    /// Show every sum of that part, not only the worst.
    #[arg(long)]
    all: bool,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    if let Some(topic) = TOPICS.iter().find(|t| t.name.eq_ignore_ascii_case(&args.check)) {
        return without_margin(args, topic, io);
    }
    let check = check_named(&args.check)?;
    let opened = open(&args.rig, args.json, io)?;
    let verdict = verdict_of(&opened.rig, io.progress)?;
    let found: Vec<&Finding> = verdict.findings.iter().filter(|f| f.check == check.id).collect();
    let (shown, rest) = select(&opened.rig, check, &found, args)?;
    if args.json {
        return json::write(&mut io.out, &json::explain::Explain::of(&opened.rig, check, &shown, &rest));
    }
    print::hand::write(&mut io.out, &opened.rig, check, &shown, &rest)?;
    Ok(())
}

/// The sums of what is no check.
fn without_margin(args: &Args, topic: &Topic, io: &mut Io<'_>) -> Result<(), Stop> {
    let opened = open(&args.rig, args.json, io)?;
    let sums = topic.sums(&opened.rig).map_err(|fault| cannot(&fault))?;
    if sums.is_empty() {
        return Err(Stop::bad(
            format!("there is no sum to show for {} on this rig", topic.name),
            format!("`clingfish {} RIG` says what is missing", topic.name),
        ));
    }
    if args.json {
        return json::write(&mut io.out, &json::explain::Topic::of(topic, &sums));
    }
    print::hand::sums(&mut io.out, topic, &sums)?;
    Ok(())
}

pub(crate) fn check_named(name: &str) -> Result<&'static CheckRow, Stop> {
    if let Some(row) = CHECKS.iter().find(|c| c.name.eq_ignore_ascii_case(name)) {
        return Ok(row);
    }
    let names: Vec<String> = CHECKS.iter().map(|c| c.name.to_owned()).collect();
    let near = nearest(name, &names).map_or(String::new(), |n| format!("did you mean {n}? "));
    Err(Stop::bad(format!("there is no check \"{name}\""), format!("{near}the checks are {}", names.join(", "))))
}

/// The sums to show, and those of the same part that are only named.
fn select<'a>(
    rig: &Rig,
    check: &CheckRow,
    found: &[&'a Finding],
    args: &Args,
) -> Result<(Vec<&'a Finding>, Vec<&'a Finding>), Stop> {
    let Some(worst) = found.first() else {
        return Err(Stop::bad(
            format!("{} does not apply to this rig", check.name),
            "nothing on the rig is of the kind that it looks at",
        ));
    };
    let part = if args.part.is_empty() {
        // What could not be checked stands first; a sum is worth more than a gap.
        found.iter().find(|f| f.margin.is_some()).unwrap_or(worst).part
    } else {
        let asked = args.part.join(" ");
        let same = |f: &&&Finding| {
            f.part.tag(rig).eq_ignore_ascii_case(&asked) || f.part.name(rig).eq_ignore_ascii_case(&asked)
        };
        let Some(f) = found.iter().find(same) else { return Err(no_part(rig, check, found, &asked)) };
        f.part
    };
    let of_part: Vec<&Finding> = found.iter().copied().filter(|f| f.part == part).collect();
    if args.all {
        return Ok((of_part, Vec::new()));
    }
    let mut shown: Vec<&Finding> = Vec::new();
    let mut rest = Vec::new();
    for f in of_part {
        if f.margin.is_some() && shown.iter().any(|s| s.margin.is_some() && is_lost(s) == is_lost(f)) {
            rest.push(f);
        } else {
            shown.push(f);
        }
    }
    Ok((shown, rest))
}

fn no_part(rig: &Rig, check: &CheckRow, found: &[&Finding], asked: &str) -> Stop {
    let mut names: Vec<String> = Vec::new();
    let mut tags: Vec<String> = Vec::new();
    for f in found {
        if !names.contains(&f.part.name(rig)) {
            names.push(f.part.name(rig));
            tags.push(f.part.tag(rig));
        }
    }
    let near = nearest(asked, &names).or_else(|| nearest(asked, &tags));
    let near = near.map_or(String::new(), |n| format!("did you mean {n}? "));
    Stop::bad(
        format!("{} has no part \"{asked}\"", check.name),
        format!("{near}it looks at {}", names.join(", ")),
    )
}
