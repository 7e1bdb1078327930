//! `clingfish draw`.

mod file;
pub(crate) mod pose;

use super::explain::check_named;
use crate::drawing::{Desk, SUBJECTS, Shown, Subject, Worst};
use crate::io::{Io, Stop};
use crate::near::nearest;
use crate::open::open;
use crate::print::text::hang;
use crate::sheet::cover::Paper;
use draw::view::{Medium, Part};
use file::To;
use rig::Rig;
use rig::model::StrapKind;
use std::io::Write;
use std::path::PathBuf;

/// What a drawing is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum For {
    /// A laptop, or a page of a report.
    Page,
    /// A phone held upright.
    Phone,
    /// Paper, at a round scale.
    Print,
}

/// Draw the rig on its car and its charts, as SVG.
#[derive(Debug, clap::Args)]
#[command(after_help = after_help())]
#[allow(clippy::struct_excessive_bools, reason = "flags of a command line")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    #[arg(required_unless_present = "list")]
    rig: Option<PathBuf>,
    /// What to draw, as listed below. Left out: all that the rig has.
    what: Vec<String>,
    /// List what can be drawn.
    #[arg(long)]
    list: bool,
    /// Put the files into this folder. Left out: the current one.
    #[arg(long, value_name = "FOLDER", conflicts_with = "out")]
    into: Option<PathBuf>,
    /// Write the one drawing that is named into this file; - is the standard output.
    #[arg(long, value_name = "FILE.svg")]
    out: Option<PathBuf>,
    /// What it is for: page, phone or print.
    #[arg(long = "for", value_name = "USE", default_value = "page", hide_possible_values = true)]
    medium: For,
    /// Paper of a print: a4 or letter.
    #[arg(long, default_value = "a4", hide_possible_values = true)]
    paper: Paper,
    /// Where the boom points: "90 L", "30 R", "straight back". Left out: as parked.
    #[arg(long, value_name = "BEARING", allow_hyphen_values = true)]
    bearing: Option<String>,
    /// How far the boom points up: "10 deg", "5 deg down". Left out: as parked.
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    elevation: Option<String>,
    /// With this cup or strap lost.
    #[arg(long, value_name = "TAG")]
    lost: Option<String>,
    /// Show the state with the least margin of this check; any: of all checks.
    #[arg(long, value_name = "CHECK", conflicts_with_all = ["bearing", "elevation", "lost"])]
    worst: Option<String>,
    /// Leave out the least margins on the parts: nothing is computed for them.
    #[arg(long)]
    plain: bool,
    /// Show the forces instead: of --worst's state, else of standing still.
    #[arg(long)]
    forces: bool,
    /// Show how the rig bends then instead, many times larger than it does.
    #[arg(long)]
    moved: bool,
    /// Show the margins beside forces and the bent rig too.
    #[arg(long, conflicts_with = "plain")]
    margins: bool,
    /// From where the view "corner" looks: "30 L" is ahead and left of the car.
    #[arg(long, value_name = "BEARING", allow_hyphen_values = true)]
    from: Option<String>,
    /// How far from above the view "corner" looks: "25 deg".
    #[arg(long, value_name = "ANGLE")]
    over: Option<String>,
}

fn after_help() -> String {
    let examples = "Examples:\n  clingfish draw night.toml\n  clingfish draw night.toml plan side --into drawings\n  \
clingfish draw night.toml plan --bearing \"90 L\" --lost FL --out left.svg\n  \
clingfish draw night.toml corner --worst cup-slip --forces --moved\n  \
clingfish draw night.toml plan --for print --paper letter\n\n\
A drawing is made of a HOLD and a NO-GO too, and says so.\n\
Exit status: 0 drawn; 2 when the input is bad.";
    format!("Drawings:\n{}\n{examples}", listed())
}

/// The subjects with what each shows, a line or two each.
fn listed() -> String {
    let mut out = Vec::new();
    for subject in SUBJECTS {
        // A list in memory takes everything.
        let _ = hang(&mut out, &format!("  {:<12} ", subject.name), subject.says);
    }
    String::from_utf8(out).unwrap_or_default()
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let Some(path) = args.rig.as_ref().filter(|_| !args.list) else {
        return Ok(write!(io.out, "{}", listed())?);
    };
    let wanted = args.what.iter().map(|w| subject_named(w)).collect::<Result<Vec<_>, Stop>>()?;
    if args.out.is_some() && wanted.len() != 1 {
        return Err(Stop::bad(
            "--out takes one drawing",
            "name one (clingfish draw --list), or give --into FOLDER for several",
        ));
    }
    let to = To::of(path, args.out.as_deref(), args.into.as_deref())?;
    let worst = args.worst.as_deref().map(worst_named).transpose()?;
    let pan = args.bearing.as_deref().map(|t| pose::bearing("--bearing", t)).transpose()?;
    let elevation = args.elevation.as_deref().map(|t| pose::elevation("--elevation", t)).transpose()?;
    let from = args.from.as_deref().map(|t| pose::bearing("--from", t)).transpose()?;
    let over = args.over.as_deref().map(|t| pose::elevation("--over", t)).transpose()?;
    let opened = open(path, false, io)?;
    let rig = &opened.rig;
    let pose = match &rig.arm {
        None if pan.is_some() || elevation.is_some() => {
            return Err(Stop::bad("this rig has no arm to point", "leave out --bearing and --elevation"));
        }
        Some(arm) if pan.is_some() || elevation.is_some() => Some(pose::within(arm, pan, elevation)?),
        _ => None,
    };
    let lost = args.lost.as_deref().map(|tag| lost_named(rig, tag)).transpose()?;
    let Args { plain, margins, forces, moved, .. } = *args;
    let shown = Shown { pose, lost, worst, state: None, plain, margins, forces, moved, eye: (from, over) };
    let desk = Desk::new(rig, shown, io.progress);
    if wanted.is_empty() { all(&desk, &to, args, io) } else { some(&desk, &wanted, &to, args, io) }
}

/// What is named, all of it or nothing.
fn some(desk: &Desk<'_>, wanted: &[&Subject], to: &To, args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let mut drawings = Vec::new();
    for subject in wanted {
        let drawing = (subject.make)(desk, medium(args))?.ok_or_else(|| {
            Stop::bad(
                format!("this rig has nothing to draw as {}: {}", subject.name, subject.says),
                "clingfish draw RIG without a name draws all that the rig has",
            )
        })?;
        drawings.push((subject.name, drawing));
    }
    for (name, drawing) in drawings {
        to.put(name, &drawing, io)?;
    }
    Ok(())
}

/// All that the rig has; what cannot be drawn is said and left out, unless that is everything.
fn all(desk: &Desk<'_>, to: &To, args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let mut left = None;
    let mut drawn = 0;
    for subject in SUBJECTS {
        match (subject.make)(desk, medium(args)) {
            Ok(Some(drawing)) => {
                to.put(subject.name, &drawing, io)?;
                drawn += 1;
            }
            Ok(None) => {}
            Err(Stop::Bad(what, mend)) => {
                if left.is_none() || drawn > 0 {
                    hang(&mut io.out, "Left out: ", &format!("{}: {what}", subject.name))?;
                }
                left = left.or(Some(Stop::Bad(what, mend)));
            }
            Err(other) => return Err(other),
        }
    }
    match left {
        Some(stop) if drawn == 0 => Err(stop),
        _ => Ok(()),
    }
}

fn medium(args: &Args) -> Medium {
    /// Room that any printer leaves on every side, mm.
    const EDGE_MM: f64 = 12.0;
    match (args.medium, args.paper) {
        (For::Page, _) => Medium::Page,
        (For::Phone, _) => Medium::Phone,
        (For::Print, paper) => {
            let (width, height) = if paper == Paper::A4 { (210.0, 297.0) } else { (215.9, 279.4) };
            Medium::Print { width: width - 2.0 * EDGE_MM, height: height - 2.0 * EDGE_MM }
        }
    }
}

fn subject_named(word: &str) -> Result<&'static Subject, Stop> {
    if let Some(subject) = SUBJECTS.iter().find(|s| s.name.eq_ignore_ascii_case(word)) {
        return Ok(subject);
    }
    let names: Vec<String> = SUBJECTS.iter().map(|s| s.name.to_owned()).collect();
    let near = nearest(word, &names).map_or(String::new(), |n| format!("did you mean {n}? "));
    Err(Stop::bad(
        format!("there is no drawing \"{word}\""),
        format!("{near}the drawings are {}", names.join(", ")),
    ))
}

fn worst_named(word: &str) -> Result<Worst, Stop> {
    if word.eq_ignore_ascii_case("any") {
        return Ok(Worst::OfAll);
    }
    check_named(word).map(|row| Worst::Of(row.id))
}

fn lost_named(rig: &Rig, asked: &str) -> Result<Part, Stop> {
    let cups = rig.cups.iter().enumerate().map(|(i, c)| (Part::Cup(i), "cup", c.tag.as_str()));
    let straps = rig.straps.iter().enumerate().filter(|(_, s)| s.kind == StrapKind::Strap);
    let straps = straps.map(|(i, s)| (Part::Strap(i), "strap", s.tag.as_str()));
    let all: Vec<(Part, String, &str)> =
        cups.chain(straps).map(|(part, kind, tag)| (part, format!("{kind} {tag}"), tag)).collect();
    let same = |(_, name, tag): &&(Part, String, &str)| {
        tag.eq_ignore_ascii_case(asked) || name.eq_ignore_ascii_case(asked)
    };
    all.iter().find(same).map(|(part, ..)| *part).ok_or_else(|| {
        let names: Vec<String> = all.iter().map(|(_, name, _)| name.clone()).collect();
        let tags: Vec<String> = all.iter().map(|(.., tag)| (*tag).to_owned()).collect();
        let near = nearest(asked, &tags).or_else(|| nearest(asked, &names));
        let near = near.map_or(String::new(), |n| format!("did you mean {n}? "));
        Stop::bad(
            format!("no cup or strap is called \"{asked}\""),
            format!("{near}one of {} may be lost", names.join(", ")),
        )
    })
}
