//! `clingfish build`.

use crate::io::{Io, Stop};
use crate::open::open;
use crate::{json, print};
use method::{Fault, Method};
use rig::Rig;
use std::path::PathBuf;

/// Print the steps of the build in an order that holds, with hold points and times.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  clingfish build night.toml\n  clingfish build night.toml --crew 3\n  \
clingfish build night.toml --brief\n\n\
Your own steps and rules: put steps = [\"house-steps.toml\"] into the rig file.\n\
A step that waits for others stands after them; nobody goes on past a hold point\n\
before it is signed. clingfish job keeps what was done, measured and signed.\n\n\
Exit status: 0; 2 when the input is bad or the steps go in a circle.")]
pub(crate) struct Args {
    #[command(flatten)]
    list: Listing,
}

/// Which rig's steps, for whom, and how.
#[derive(Debug, clap::Args)]
pub(crate) struct Listing {
    /// The rig file; - reads the standard input.
    rig: PathBuf,
    /// How many people there are.
    #[arg(long, default_value_t = 2, value_parser = clap::value_parser!(u8).range(1..=50))]
    crew: u8,
    /// A line a step.
    #[arg(long)]
    brief: bool,
    /// Print JSON instead of words.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(args: &Args, io: &mut Io<'_>) -> Result<(), Stop> {
    args.list.show("Build", Method::of, io)
}

/// The order of work of a rig.
pub(crate) fn method_of(rig: &Rig) -> Result<Method, Stop> {
    Method::of(rig).map_err(|faults| told(&faults))
}

/// Faults of the steps as bad input, all of them.
pub(crate) fn told(faults: &[Fault]) -> Stop {
    let what: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let mend: Vec<String> = faults.iter().map(Fault::mend).collect();
    let mut said: Vec<String> = Vec::new();
    for mend in mend {
        if !said.contains(&mend) {
            said.push(mend);
        }
    }
    Stop::bad(what.join("; "), said.join("; "))
}

impl Listing {
    /// Prints an order of work of the rig for its crew.
    pub(crate) fn show(
        &self,
        what: &'static str,
        order: impl Fn(&Rig) -> Result<Method, Vec<Fault>>,
        io: &mut Io<'_>,
    ) -> Result<(), Stop> {
        let opened = open(&self.rig, self.json, io)?;
        let method = order(&opened.rig).map_err(|faults| told(&faults))?;
        let (method, rig, crew) = (&method, opened.rig.name.as_str(), usize::from(self.crew));
        let plan = &method::schedule(method, crew);
        let (path, chain) = method::critical_path(method);
        if self.json {
            let order = json::steps::Order::of(method, rig, (crew, plan), (&path, chain));
            return json::write(&mut io.out, &order);
        }
        print::diagnostics::warnings(&mut io.out, &opened.reading)?;
        let page = print::steps::Page { method, rig, what, crew, plan, path: &path, chain, brief: self.brief };
        Ok(print::steps::write(&mut io.out, &page)?)
    }
}
