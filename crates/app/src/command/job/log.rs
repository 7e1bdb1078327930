//! What is measured, weighed, seen.

use crate::io::{Io, Stop};
use crate::notebook::{Notebook, Which, Who};
use crate::open::bytes_at;
use crate::print::diagnostics;
use crate::print::text::hang;
use quantity::Kind;
use record::{Value, Wear};
use std::path::PathBuf;
use watch::built::AsBuilt;

/// A value by its key.
#[derive(Debug, clap::Args)]
struct Keyed {
    /// Key of the rig file, like cup.FL.aft.
    key: String,
    /// The value with its unit, like "382 mm".
    #[arg(allow_hyphen_values = true)]
    value: String,
    /// What it was measured with.
    #[arg(long = "with", value_name = "TOOL")]
    tool: String,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

/// `clingfish job measure`.
#[derive(Debug, clap::Args)]
pub(super) struct Measure {
    #[command(flatten)]
    what: Keyed,
}

/// `clingfish job torque`.
#[derive(Debug, clap::Args)]
pub(super) struct Torque {
    #[command(flatten)]
    what: Keyed,
}

/// `clingfish job weigh`.
#[derive(Debug, clap::Args)]
pub(super) struct Weigh {
    #[command(flatten)]
    what: Keyed,
}

impl Measure {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        self.what.keep("measured", |value, with| Value::Measured(record::Measured { value, with }), io)
    }
}

impl Torque {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        self.what.keep("tightened", |value, with| Value::Torque(record::Torque { value, with }), io)
    }
}

impl Weigh {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        self.what.keep("weighed", |value, with| Value::Weight(record::Weight { value, with }), io)
    }
}

/// The plan's own text.
fn plan_text(book: &Notebook) -> Result<String, Stop> {
    let past = book.past()?;
    let plan = past.plan().map(|p| p.files.file.text.clone());
    plan.ok_or_else(|| Stop::bad("the job has no plan", "clingfish job change RIG gives it one"))
}

impl Keyed {
    /// The key whole: a clamp's or leg's torque may be named by its tag alone.
    fn full(&self, plan: &str) -> String {
        let key = self.key.trim();
        if key.contains('.') {
            return key.to_owned();
        }
        let tag = key.rsplit(' ').next().unwrap_or(key);
        let tag = rig::key_text(tag);
        let keys = [format!("clamp.{tag}.torque"), format!("leg.{tag}.bolts.torque")];
        let part = [format!("clamp.{tag}.part"), format!("leg.{tag}.part")];
        let there = keys.iter().zip(&part).find(|(k, p)| {
            rig::written(plan, k).is_some() || rig::written(plan, p).is_some()
        });
        there.map_or_else(|| key.to_owned(), |(k, _)| k.clone())
    }

    fn keep(&self, word: &str, make: impl Fn(String, String) -> Value, io: &mut Io<'_>) -> Result<(), Stop> {
        let mut book = self.which.open()?;
        let plan = plan_text(&book)?;
        let key = self.full(&plan);
        let value = self.value.trim().to_owned();
        // What the rig's reader does not take is no value: told in its place, and not kept.
        let reading = AsBuilt::default().read(&book.past()?, &[(key.clone(), value.clone())]);
        let reading = reading.ok_or_else(|| Stop::bad("the job has no plan", ""))?;
        if reading.diagnostics.iter().any(|d| d.source == 1 && d.severity == rig::Severity::Error) {
            io.status = crate::BAD_INPUT;
            diagnostics::errors(&mut io.err, &reading)?;
            return Err(Stop::Said);
        }
        if reading.rig.is_none() {
            io.status = crate::BAD_INPUT;
            diagnostics::errors(&mut io.err, &reading)?;
            return Err(Stop::Said);
        }
        let written = book.write(&self.who, &key, make(value.clone(), self.tool.trim().to_owned()))?;
        let planned = rig::written(&plan, &key).map_or_else(|| "the plan's file leaves it open".to_owned(), |p| format!("planned {p}"));
        hang(&mut io.out, &format!("{}: ", written.number), &format!("{key} {word}: {value} ({planned})"))?;
        Ok(())
    }
}

/// `clingfish job note`.
#[derive(Debug, clap::Args)]
pub(super) struct Note {
    /// The words.
    text: String,
    /// The step or part that they are about; left out, the whole job.
    #[arg(long, default_value = "", hide_default_value = true)]
    about: String,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

impl Note {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let mut book = self.which.open()?;
        let written = book.write(&self.who, self.about.trim(), Value::Note(record::Note { text: self.text.clone() }))?;
        Ok(hang(&mut io.out, &format!("{}: ", written.number), "noted")?)
    }
}

/// `clingfish job photo`.
#[derive(Debug, clap::Args)]
pub(super) struct Photo {
    /// The picture: JPEG, PNG or WebP, up to 20 MB.
    file: PathBuf,
    /// What it shows.
    #[arg(long, default_value = "", hide_default_value = true)]
    caption: String,
    /// The step or part that it is about.
    #[arg(long, default_value = "", hide_default_value = true)]
    about: String,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

/// What a picture is, by its first bytes.
pub(crate) fn media(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0xFF, 0xD8, 0xFF, ..] => Some("image/jpeg"),
        [0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, ..] => Some("image/png"),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some("image/webp"),
        _ => None,
    }
}

impl Photo {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let bytes = bytes_at(&self.file)?;
        let Some(media) = media(&bytes) else {
            return Err(Stop::bad(format!("{} is no picture that is known", self.file.display()), "JPEG, PNG or WebP"));
        };
        let mut book = self.which.open()?;
        let photo = record::Photo::of(self.caption.trim(), media, &bytes);
        let written = book.write_with(&self.who, self.about.trim(), Value::Photo(photo), Some(bytes))?;
        Ok(hang(&mut io.out, &format!("{}: ", written.number), "photo kept")?)
    }
}

/// The roof as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Surface {
    /// No water on it.
    Dry,
    /// Rain, dew or washing water.
    Wet,
}

/// `clingfish job weather`.
#[derive(Debug, clap::Args)]
#[group(multiple = true)]
pub(super) struct Weather {
    /// Air temperature, like "14 C" or "57 F".
    #[arg(long, allow_hyphen_values = true)]
    temperature: Option<String>,
    /// The strongest gusts, like "35 km/h".
    #[arg(long)]
    gusts: Option<String>,
    /// The panels: dry or wet.
    #[arg(long, hide_possible_values = true)]
    surface: Option<Surface>,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

impl Weather {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        for (text, kind, option) in [(&self.temperature, Kind::Temperature, "--temperature"), (&self.gusts, Kind::Speed, "--gusts")] {
            if let Some(Err(fault)) = text.as_ref().map(|t| quantity::parse_kind(t, kind)) {
                return Err(Stop::bad(format!("{option}: {fault}"), "write it with its unit"));
            }
        }
        if self.temperature.is_none() && self.gusts.is_none() && self.surface.is_none() {
            return Err(Stop::bad("nothing is said of the weather", "give --temperature, --gusts or --surface"));
        }
        let mut book = self.which.open()?;
        let weather = record::Weather {
            temperature: self.temperature.clone(),
            wind: self.gusts.clone(),
            rain: self.surface.map(|s| if s == Surface::Wet { "wet" } else { "dry" }.to_owned()),
        };
        let written = book.write(&self.who, "", Value::Weather(weather))?;
        Ok(hang(&mut io.out, &format!("{}: ", written.number), "weather kept; clingfish go counts with it")?)
    }
}

/// Car or kit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum On {
    /// The car.
    Car,
    /// The kit.
    Kit,
}

/// `clingfish job damage`.
#[derive(Debug, clap::Args)]
pub(super) struct Damage {
    /// car or kit.
    #[arg(hide_possible_values = true)]
    on: On,
    /// The place on the car, or the part: "roof, left rear", "cup FL".
    about: String,
    /// What was found, or what was looked at.
    text: String,
    /// Nothing was found, or it is put right.
    #[arg(long)]
    sound: bool,
    #[command(flatten)]
    which: Which,
    #[command(flatten)]
    who: Who,
}

impl Damage {
    pub(super) fn run(&self, io: &mut Io<'_>) -> Result<(), Stop> {
        let mut book = self.which.open()?;
        let on = if self.on == On::Car { Wear::Car } else { Wear::Kit };
        let damage = record::Damage { on, sound: self.sound, text: self.text.clone() };
        let written = book.write(&self.who, self.about.trim(), Value::Damage(damage))?;
        Ok(hang(&mut io.out, &format!("{}: ", written.number), "kept")?)
    }
}
