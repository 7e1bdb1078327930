//! Steps called done, taken back, left out, signed.

use crate::command::build::method_of;
use crate::io::{Io, Stop};
use crate::near::nearest;
use crate::notebook::{Which, Who};
use crate::print::text::hang;
use method::{Method, Progress, Refusal};
use record::{Signature, State, Value};
use watch::Past;
use watch::built::AsBuilt;

/// `clingfish job done`.
#[derive(Debug, clap::Args)]
pub(super) struct Done {
    /// Names of steps; * stands for anything.
    #[arg(required = true)]
    steps: Vec<String>,
    /// Words that the step asks to be written down.
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

/// A step and a reason.
#[derive(Debug, clap::Args)]
struct Reasoned {
    /// The step.
    step: String,
    /// Why.
    #[arg(long)]
    why: String,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

/// `clingfish job undo`.
#[derive(Debug, clap::Args)]
pub(super) struct Undo {
    #[command(flatten)]
    what: Reasoned,
}

/// `clingfish job leave`.
#[derive(Debug, clap::Args)]
pub(super) struct Leave {
    #[command(flatten)]
    what: Reasoned,
}

/// `clingfish job sign`.
#[derive(Debug, clap::Args)]
pub(super) struct Sign {
    /// The step with the hold point.
    step: String,
    /// Who signs, if it is not who writes.
    #[arg(long)]
    name: Option<String>,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

/// A job with its order of work and how far it is.
pub(crate) fn work(past: &Past) -> Result<(Method, Progress), Stop> {
    let reading = AsBuilt::default().read(past, &[]).ok_or_else(|| Stop::bad("the job has no plan", "clingfish job change RIG gives it one"))?;
    let rig = reading.rig.ok_or_else(|| {
        Stop::bad("the plan of the job cannot be read by this version of the program", "clingfish job change RIG with a file that clingfish check takes")
    })?;
    let method = method_of(&rig)?;
    let progress = watch::progress::of(past, &method);
    Ok((method, progress))
}

fn named(method: &Method, name: &str) -> Result<usize, Stop> {
    method.find(name).ok_or_else(|| {
        let names: Vec<String> = method.steps.iter().map(|s| s.name.clone()).collect();
        let near = nearest(name, &names).map_or(String::new(), |n| format!("did you mean \"{n}\"? "));
        Stop::bad(format!("there is no step \"{name}\""), format!("{near}clingfish job next names what may be done"))
    })
}

/// The first few steps by name.
pub(crate) fn list(method: &Method, steps: &[usize]) -> String {
    let mut names: Vec<String> = steps.iter().take(4).map(|s| format!("\"{}\"", method.steps[*s].name)).collect();
    if steps.len() > 4 {
        names.push(format!("{} more", steps.len() - 4));
    }
    names.join(", ")
}

/// Why a step may not be called done, as bad input.
fn refused(method: &Method, step: usize, refusal: &Refusal) -> Stop {
    let name = &method.steps[step].name;
    match refusal {
        Refusal::NotYet(before) => Stop::bad(
            format!("\"{name}\" is not its turn: {} first", list(method, before)),
            "do and write down what comes first, or take the step out of the plan in a steps file",
        ),
        Refusal::NotSigned(before) => Stop::bad(
            format!("\"{name}\" waits for a signature: {}", list(method, before)),
            "clingfish job sign STEP, by who looked",
        ),
        Refusal::NotWritten(records) => {
            let records: Vec<&method::Record> = records.iter().map(|r| &method.steps[step].records[*r]).collect();
            let what: Vec<&str> = records.iter().map(|r| r.what.as_str()).collect();
            let how = match records.first().map(|r| r.kind) {
                Some(method::Kind::Note) => "add --note \"...\"".to_owned(),
                Some(method::Kind::Reading) => format!("clingfish round {}=\"...\"", records[0].key),
                Some(method::Kind::Torque) => format!("clingfish job torque {} \"...\"", records[0].key),
                Some(method::Kind::Weight) => format!("clingfish job weigh {} \"...\"", records[0].key),
                _ => format!("clingfish job measure {} \"...\"", records.first().map_or("KEY", |r| r.key.as_str())),
            };
            Stop::bad(format!("\"{name}\" is not written down: {}", what.join("; ")), how)
        }
    }
}

impl Done {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let mut book = self.which.open()?;
        let (method, mut progress) = work(&book.past()?)?;
        for pattern in &self.steps {
            let mut found: Vec<usize> = if pattern.contains('*') {
                (0..method.steps.len()).filter(|s| method::fits(pattern, &method.steps[*s].name)).collect()
            } else {
                vec![named(&method, pattern)?]
            };
            if found.is_empty() {
                return Err(named(&method, pattern).err().unwrap_or(Stop::Said));
            }
            found.retain(|s| !pattern.contains('*') || !progress.done.contains(s));
            for step in found {
                if let Some(note) = &self.note {
                    let note = record::Note { text: note.clone() };
                    let name = method.steps[step].name.clone();
                    let notes = method.steps[step].records.iter().enumerate();
                    let notes: Vec<usize> = notes.filter(|(_, r)| r.kind == method::Kind::Note).map(|(i, _)| i).collect();
                    let waits = matches!(progress.refuses(&method, step), Some(Refusal::NotYet(_) | Refusal::NotSigned(_)));
                    if !waits {
                        book.write(&self.who, &name, Value::Note(note))?;
                        progress.written.extend(notes.into_iter().map(|r| (step, r)));
                    }
                }
                if let Some(refusal) = progress.refuses(&method, step) {
                    return Err(refused(&method, step, &refusal));
                }
                let name = &method.steps[step].name;
                let written = book.write(&self.who, name, Value::Step(record::Step { state: State::Done, reason: None }))?;
                progress.done.insert(step);
                hang(&mut io.out, &format!("{}: ", written.number), &format!("done: {name}"))?;
                if let Some(hold) = method.steps[step].hold.as_ref().filter(|_| !progress.signed.contains(&step)) {
                    hang(&mut io.out, "   ", &format!("HOLD POINT: {} signs: {}. Nobody goes on before.", hold.role, hold.says))?;
                }
            }
        }
        Ok(())
    }
}

impl Undo {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let mut book = self.what.which.open()?;
        let (method, progress) = work(&book.past()?)?;
        let step = named(&method, &self.what.step)?;
        let name = &method.steps[step].name;
        if !progress.done.contains(&step) {
            return Err(Stop::bad(format!("\"{name}\" is not done"), "clingfish job show lists what is"));
        }
        let value = Value::Step(record::Step { state: State::Undone, reason: Some(self.what.why.clone()) });
        let written = book.write(&self.what.who, name, value)?;
        hang(&mut io.out, &format!("{}: ", written.number), &format!("taken back: {name}"))?;
        let after = method.after();
        let built_on: Vec<usize> = after[step].iter().copied().filter(|s| progress.done.contains(s)).collect();
        if !built_on.is_empty() {
            hang(&mut io.out, "   ", &format!("Built on it and still called done: {}. Look at each.", list(&method, &built_on)))?;
        }
        Ok(())
    }
}

impl Leave {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let mut book = self.what.which.open()?;
        let (method, progress) = work(&book.past()?)?;
        let step = named(&method, &self.what.step)?;
        let found = &method.steps[step];
        if let Some(why) = found.kept.or(found.hold.as_ref().map(|_| "somebody signs there")) {
            return Err(Stop::bad(format!("\"{}\" cannot be left out: {why}", found.name), "do it, or change the plan"));
        }
        if let Some(refusal @ (Refusal::NotYet(_) | Refusal::NotSigned(_))) = progress.refuses(&method, step) {
            return Err(refused(&method, step, &refusal));
        }
        let value = Value::Step(record::Step { state: State::Skipped, reason: Some(self.what.why.clone()) });
        let written = book.write(&self.what.who, &found.name, value)?;
        hang(&mut io.out, &format!("{}: ", written.number), &format!("left out: {}", found.name))?;
        Ok(())
    }
}

impl Sign {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let mut book = self.which.open()?;
        let (method, progress) = work(&book.past()?)?;
        let step = named(&method, &self.step)?;
        let name = method.steps[step].name.clone();
        let Some(hold) = &method.steps[step].hold else {
            return Err(Stop::bad(format!("\"{name}\" is no hold point"), "clingfish job next names those that wait for a signature"));
        };
        if !progress.done.contains(&step) {
            return Err(Stop::bad(format!("\"{name}\" is not done yet"), "nobody signs for what is still to be done"));
        }
        let on = book.store.head(&book.job.id).map_err(|f| crate::notebook::stop(&f))?.hash;
        let signer = self.name.clone().unwrap_or_else(|| self.who.by.clone());
        let signature = Signature { name: signer.clone(), role: hold.role.clone(), on };
        if !watch::progress::may_sign(&book.past()?, &signature) {
            return Err(Stop::bad(
                format!("{signer} has signed as the first, and cannot be the {}", hold.role),
                "somebody else looks and signs: --name NAME",
            ));
        }
        let value = Value::Signature(signature);
        let written = book.write(&self.who, &name, value)?;
        hang(&mut io.out, &format!("{}: ", written.number), &format!("signed: {name}, by {signer} as {}: {}", hold.role, hold.says))?;
        Ok(())
    }
}
