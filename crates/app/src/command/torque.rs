//! `clingfish torque`.

use super::build::method_of;
use crate::io::{Io, Stop};
use crate::near::nearest;
use crate::open::open;
use crate::{GO, HOLD, NO_GO, json, print};
use method::torque::{Reading, Standing, Torque, Word, torques};
use quantity::Kind;
use rig::Rig;
use std::path::PathBuf;

/// List what each screw is brought to, in order of work, and what it holds then.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish torque night.toml\n  \
clingfish torque night.toml --measured \"K1=41 N·m\" --measured \"leg FL=40 N·m\"\n\n\
A reading counts as the target while it is no further off than a wrench may be\n\
(ISO 6789 from memory: 6 % up to 10 N·m, 4 % above).\n\n\
Exit status: 0; 10 when a recorded torque is off its target, or nobody can say\n\
what a bolt bears; 20 when a torque is too much for its bolt; 2 when the input\n\
is bad.")]
pub(crate) struct Args {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// A recorded torque, as "K1=41 N·m"; may be given again.
    #[arg(long, value_name = "TAG=TORQUE")]
    measured: Vec<String>,
    /// Print JSON (SI units) instead of words.
    #[arg(long)]
    json: bool,
}

/// What the command has to say.
pub(crate) struct Sheet<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) torques: &'a [Torque],
    /// By place in `torques`.
    pub(crate) readings: &'a [(usize, Reading)],
}

impl Sheet<'_> {
    /// Whether a torque, planned or recorded, is too much for its bolt.
    pub(crate) fn is_too_much(&self) -> bool {
        let planned = self.torques.iter().map(Torque::word);
        planned.chain(self.readings.iter().map(|r| r.1.word)).any(|w| w == Word::TooMuch)
    }

    /// Whether a reading is off its target, or nothing is known of a bolt.
    pub(crate) fn is_hold(&self) -> bool {
        self.readings.iter().any(|r| r.1.standing != Standing::Within)
            || self.torques.iter().any(|t| t.word() == Word::Unknown)
    }
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    let opened = open(&args.rig, args.json, io)?;
    let torques = torques(&opened.rig, &method_of(&opened.rig)?);
    if torques.is_empty() {
        return Err(Stop::bad(
            "no torque is stated on this rig",
            "clamps have `torque`, and legs and boom sections `bolts`: docs/file-format.md lists their keys",
        ));
    }
    let readings = readings(&args.measured, &torques)?;
    let sheet = Sheet { rig: &opened.rig, torques: &torques, readings: &readings };
    io.status = match (sheet.is_too_much(), sheet.is_hold()) {
        (true, _) => NO_GO,
        (false, true) => HOLD,
        (false, false) => GO,
    };
    if args.json {
        return json::write(&mut io.out, &json::torque::Printed::of(&sheet, io.status));
    }
    print::diagnostics::warnings(&mut io.out, &opened.reading)?;
    print::torque::write(&mut io.out, &sheet)?;
    Ok(())
}

fn readings(given: &[String], torques: &[Torque]) -> Result<Vec<(usize, Reading)>, Stop> {
    let mut out: Vec<(usize, Reading)> = Vec::new();
    for text in given {
        let (at, nm) = reading(text, torques)?;
        if out.iter().any(|r| r.0 == at) {
            return Err(Stop::bad(
                format!("--measured {text}: {} is given twice", torques[at].name),
                "give the reading that counts: the last one",
            ));
        }
        out.push((at, torques[at].reading(nm)));
    }
    out.sort_by_key(|r| r.0);
    Ok(out)
}

fn reading(text: &str, torques: &[Torque]) -> Result<(usize, f64), Stop> {
    let bad = |what: String, mend: String| Stop::bad(format!("--measured {text}: {what}"), mend);
    // A tag may hold the sign, a torque does not.
    let Some((tag, value)) = text.rsplit_once('=') else {
        return Err(bad("there is no = in it".into(), "write tag and torque, as --measured \"K1=41 N·m\"".into()));
    };
    let tag = tag.trim();
    let found: Vec<usize> = (0..torques.len()).filter(|i| torques[*i].name == tag || torques[*i].tag == tag).collect();
    let at = match found[..] {
        [one] => one,
        [] => {
            let names: Vec<String> = torques.iter().flat_map(|t| [t.tag.clone(), t.name.clone()]).collect();
            let mend = nearest(tag, &names).map_or_else(
                || "clingfish torque RIG lists what has a torque".to_owned(),
                |n| format!("did you mean \"{n}\"?"),
            );
            return Err(bad(format!("nothing with a torque is called \"{tag}\""), mend));
        }
        _ => {
            let names: Vec<&str> = found.iter().map(|i| torques[*i].name.as_str()).collect();
            return Err(bad(
                format!("more than one is called \"{tag}\": {}", names.join(", ")),
                format!("name its kind too, as \"{}={}\"", names[0], value.trim()),
            ));
        }
    };
    let nm = quantity::parse_kind(value.trim(), Kind::Moment)
        .map_err(|e| bad(e.to_string(), "write a torque with its unit, as \"41 N·m\" or \"30 ft·lbf\"".into()))?;
    if !(0.0..=2000.0).contains(&nm) {
        return Err(bad("no wrench reads that".into(), "stay between 0 and 2 kN·m (1475 ft·lbf)".into()));
    }
    Ok((at, nm))
}
