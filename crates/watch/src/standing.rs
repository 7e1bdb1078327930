//! GO, HOLD or NO-GO now: the plan as built, the steps done, the freshest readings, the weather.

use crate::built::{AsBuilt, Difference, over};
use crate::past::Past;
use crate::progress;
use crate::rounds::{self, CupRounds};
use method::{Fault, Method, Progress};
use quantity::{Kind, both_kind, parse_kind};
use record::{State, Value, Wear};
use rig::model::Cup;
use rig::{Reading, Rig, key_text};
use verdict::verdict::{Options, Verdict};
use verdict::{Answer, limits};

/// Something that keeps the rig from a GO: what, and how to settle it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Want {
    /// What is wrong or missing.
    pub what: String,
    /// What to do.
    pub mend: String,
}

impl Want {
    fn new(what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { what: what.into(), mend: mend.into() }
    }
}

/// A check whose least margin is not what the plan has.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Its name.
    pub check: &'static str,
    /// As planned.
    pub planned: f64,
    /// As built.
    pub built: f64,
}

/// Something that happened since the last GO.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    /// Number of the entry.
    pub number: u32,
    /// In words.
    pub what: String,
}

/// How a rig stands.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The answer.
    pub answer: Answer,
    /// What makes it a NO-GO.
    pub against: Vec<Want>,
    /// What keeps it on HOLD.
    pub wants: Vec<Want>,
    /// The rig as built, with the freshest readings and the weather.
    pub reading: Reading,
    /// It as a model.
    pub rig: Rig,
    /// The verdict on it.
    pub verdict: Verdict,
    /// Measured values beside planned ones.
    pub built: AsBuilt,
    /// What they do to the margins, the largest change first.
    pub moved: Vec<Moved>,
    /// The order of work.
    pub method: Method,
    /// How far it is.
    pub progress: Progress,
    /// The cups.
    pub rounds: Vec<CupRounds>,
    /// When the next round is due, ms since 1970 UTC; none while a cup was never read.
    pub due_ms: Option<i64>,
    /// Number of the last GO's entry, and what happened since.
    pub since_go: Option<(u32, Vec<Change>)>,
}

/// Why nothing can be said.
#[derive(Clone, Debug)]
pub enum Trouble {
    /// The record has no plan.
    NoPlan,
    /// The plan, or a measured value in it, cannot be read.
    Unread(Box<Reading>),
    /// The steps cannot be done.
    Steps(Vec<Fault>),
    /// The rig cannot be computed with.
    Fault(verdict::Fault),
}

/// The newest of each part of the weather, with the number of its entry.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Weather {
    temperature: Option<String>,
    wind: Option<String>,
    rain: Option<String>,
}

fn weather(past: &Past) -> Weather {
    let mut out = Weather::default();
    for entry in past.entries() {
        if let Value::Weather(w) = &entry.value {
            out.temperature = w.temperature.clone().or(out.temperature);
            out.wind = w.wind.clone().or(out.wind);
            out.rain = w.rain.clone().or(out.rain);
        }
    }
    out
}

/// Whether words about rain mean a wet roof; what is not plainly dry is wet.
pub(crate) fn is_wet(words: &str) -> bool {
    !words.trim().eq_ignore_ascii_case("dry")
}

/// The vacuum now and what may be lost until the next round, as lines over the plan.
fn gauges(rig: &Rig, rounds: &[CupRounds]) -> Vec<(String, String)> {
    let mut out = Vec::new();
    for c in rounds {
        let (Some(cup), Some(counted)) = (rig.cups.get(c.cup), c.counted_pa) else { continue };
        let tag = key_text(&cup.tag);
        out.push((format!("cup.{tag}.vacuum"), format!("{counted} Pa")));
        if let Some(loss) = loss(rig, cup, c) {
            out.push((format!("cup.{tag}.loss"), format!("{loss} Pa")));
        }
    }
    out
}

/// What a cup may lose from its last reading until the next: as its readings show it. Where they show no leak, only if that is
/// less than the plan counts with at its worst.
fn loss(rig: &Rig, cup: &Cup, c: &CupRounds) -> Option<f64> {
    let shown = c.loss_pa(rig.policy.rounds_s)?;
    let seen = c.leak.as_ref().is_ok_and(|l| l.seen);
    (seen || shown < cup.loss.high).then_some(shown)
}

impl Standing {
    /// How a job's rig stands at a moment.
    ///
    /// # Errors
    ///
    /// [`Trouble`] where the plan is missing or cannot be read, ordered or computed.
    pub fn of(past: &Past, now_ms: i64, options: &Options<'_>) -> Result<Self, Trouble> {
        let mut built = AsBuilt::of(past);
        let weather = weather(past);
        let mut wants = Vec::new();
        let mut against = Vec::new();
        let plain = read(&built, past, &[])?;
        let planned_rig = plain.1;
        let method = Method::of(&planned_rig).map_err(Trouble::Steps)?;
        let mut more = of_weather(&planned_rig, &weather, past, &mut built, &mut wants);
        // Readings first: their leak, then what that leaves.
        more.extend(gauges(&planned_rig, &rounds::of(past, &planned_rig, &[])));
        let (reading, rig) = read(&built, past, &more)?;
        let verdict = verdict::verdict::check(&rig, options).map_err(Trouble::Fault)?;
        let limits = limits::vacuum(&rig, options.resolution, options.build).map_err(Trouble::Fault)?;
        let limits: Vec<Option<f64>> = limits.iter().map(|v| v.least).collect();
        let rounds = rounds::of(past, &planned_rig, &limits);
        let due_ms = rounds::due_ms(&rig, &rounds);
        let progress = progress::of(past, &method);

        of_verdict(&verdict, &mut against, &mut wants);
        of_built(&built, &mut wants);
        of_steps(&method, &progress, &mut wants);
        of_cups(&rig, &rounds, (now_ms, due_ms), &mut against, &mut wants);
        of_damage(past, &rig, &mut wants);
        of_clocks(past, now_ms, &mut wants);
        let answer = if !against.is_empty() {
            Answer::NoGo
        } else if wants.is_empty() && verdict.answer == Answer::Go {
            Answer::Go
        } else {
            Answer::Hold
        };
        let moved = if built.differences.is_empty() && more.is_empty() {
            Vec::new()
        } else {
            let plan = Past::default_plan(past).ok_or(Trouble::NoPlan)?;
            let planned = verdict::verdict::nominal(&plan, options).map_err(Trouble::Fault)?;
            moved(&planned, &verdict.findings)
        };
        let since_go = since_go(past);
        Ok(Self {
            answer,
            against,
            wants,
            reading,
            rig,
            verdict,
            built,
            moved,
            method,
            progress,
            rounds,
            due_ms,
            since_go,
        })
    }
}

impl Past {
    /// The plan alone, nothing measured, as a model.
    fn default_plan(past: &Past) -> Option<Rig> {
        AsBuilt::default().read(past, &[])?.rig
    }
}

fn read(built: &AsBuilt, past: &Past, more: &[(String, String)]) -> Result<(Reading, Rig), Trouble> {
    let mut reading = built.read(past, more).ok_or(Trouble::NoPlan)?;
    match reading.rig.take() {
        Some(rig) => Ok((reading, rig)),
        None => Err(Trouble::Unread(Box::new(reading))),
    }
}

fn of_weather(
    rig: &Rig,
    weather: &Weather,
    past: &Past,
    built: &mut AsBuilt,
    wants: &mut Vec<Want>,
) -> Vec<(String, String)> {
    let mut out = Vec::new();
    if let Some(t) = &weather.temperature {
        out.push(("site.temperature".to_owned(), t.clone()));
    }
    if let Some(wind) = &weather.wind {
        // A lull is no reason to count on less than the plan.
        match parse_kind(wind, Kind::Speed) {
            Ok(v) if v > rig.site.gust.value => out.push(("site.gust".to_owned(), wind.clone())),
            Ok(_) => {}
            Err(why) => wants.push(Want::new(
                format!("the wind \"{wind}\" cannot be read: {why}"),
                "log the gusts as a speed, like \"35 km/h\"",
            )),
        }
    }
    let Some(rain) = &weather.rain else { return out };
    let wet = is_wet(rain);
    for panel in rig.panels.iter().filter(|p| p.wet != wet && wet) {
        let tag = key_text(&panel.tag);
        let stated =
            past.plan().and_then(|p| rig::written(&p.files.file.text, &format!("panel.{tag}.friction")));
        if stated.is_some() {
            built.dry_friction.push(panel.tag.clone());
            wants.push(Want::new(
                format!("panel {} is wet, and its stated friction was found dry", panel.tag),
                format!("measure panel.{tag}.friction as it is now, or wait until it is dry"),
            ));
        }
        out.push((format!("panel.{tag}.surface"), "wet".to_owned()));
    }
    out
}

fn of_verdict(verdict: &Verdict, against: &mut Vec<Want>, wants: &mut Vec<Want>) {
    if verdict.answer == Answer::NoGo {
        let failing = verdict.findings.iter().filter(|f| f.outcome == verdict::Outcome::Fails);
        let mut said: Vec<&'static str> = Vec::new();
        for f in failing {
            let name = f.check.row().title;
            if said.contains(&name) {
                continue;
            }
            said.push(name);
            let margin = f.margin.map_or_else(String::new, |m| format!(" at margin {m:.2}"));
            against.push(Want::new(
                format!("{name} fails{margin}: {}", f.situation),
                format!("clingfish advise names what would help; check: {}", f.check.row().name),
            ));
        }
        if against.is_empty() {
            against.push(Want::new(
                "the verdict on the rig as built is NO-GO",
                "clingfish advise names what would help",
            ));
        }
    }
    for hold in &verdict.holds {
        wants.push(Want::new(format!("{}: {}", hold.what, hold.why), hold.settle.clone()));
    }
}

fn of_built(built: &AsBuilt, wants: &mut Vec<Want>) {
    for d in &built.stale {
        wants.push(Want::new(
            format!(
                "{} was measured as {} before the plan was changed, and does not count",
                d.key, d.measured
            ),
            format!("measure {} again", d.key),
        ));
    }
}

fn of_steps(method: &Method, progress: &Progress, wants: &mut Vec<Want>) {
    let undone: Vec<usize> = (0..method.steps.len()).filter(|s| !progress.done.contains(s)).collect();
    if !undone.is_empty() {
        let next: Vec<String> =
            progress.next(method).iter().take(3).map(|s| format!("\"{}\"", method.steps[*s].name)).collect();
        let n = undone.len();
        let word = if n == 1 { "step is" } else { "steps are" };
        let next = if next.is_empty() {
            "sign the open hold points".to_owned()
        } else {
            format!("next: {}", next.join(", "))
        };
        wants.push(Want::new(format!("{n} {word} not done"), next));
    }
    for s in progress.owing(method) {
        let step = &method.steps[s];
        let what: Vec<&str> =
            progress.unwritten(method, s).into_iter().map(|r| step.records[r].what.as_str()).collect();
        wants.push(Want::new(
            format!("\"{}\" is called done, and not written down: {}", step.name, what.join("; ")),
            "measure or look, and write it down",
        ));
    }
    for s in progress.unsigned(method) {
        let step = &method.steps[s];
        let role = step.hold.as_ref().map_or("somebody", |h| h.role.as_str());
        wants.push(Want::new(format!("\"{}\" is not signed", step.name), format!("{role} looks and signs")));
    }
}

fn of_cups(
    rig: &Rig,
    rounds: &[CupRounds],
    (now_ms, due_ms): (i64, Option<i64>),
    against: &mut Vec<Want>,
    wants: &mut Vec<Want>,
) {
    for c in rounds {
        let tag = rig.cups.get(c.cup).map_or("?", |c| c.tag.as_str());
        for (number, why) in &c.unread {
            wants.push(Want::new(
                format!("entry {number}, a reading of cup {tag}, cannot be read: {why}"),
                "enter it again as a correction of that entry",
            ));
        }
        if c.last().is_none() {
            wants.push(Want::new(format!("cup {tag} was never read"), "read its gauge: clingfish round"));
            continue;
        }
        if let (true, Some(limit)) = (c.is_under(), c.limit_pa) {
            against.push(Want::new(
                format!(
                    "cup {tag} is at {} and needs {}",
                    both_kind(c.counted_pa.unwrap_or(0.0), Kind::Pressure),
                    both_kind(limit, Kind::Pressure)
                ),
                "stop; pump it, look for the leak, read it again",
            ));
        }
        if c.age_s(now_ms).is_some_and(|s| s > rig.policy.rounds_s) {
            wants.push(Want::new(
                format!(
                    "cup {tag} was last read {} ago",
                    quantity::show_kind(c.age_s(now_ms).unwrap_or(0.0), Kind::Time, quantity::System::Metric)
                ),
                "read its gauge: clingfish round",
            ));
        }
        if let Some(left) = &c.left {
            let since = c.age_s(now_ms).unwrap_or(0.0);
            if left.earliest_s <= since {
                wants.push(Want::new(
                    format!("cup {tag} may be at its limit by now"),
                    "pump it, and read it again",
                ));
            }
        }
        if let Err(why) = &c.leak
            && !matches!(why, mechanics::leak::LeakError::TooFew { .. })
        {
            wants.push(Want::new(format!("the readings of cup {tag} tell no leak: {why}"), why.mend()));
        }
        if c.leaks_more {
            wants.push(Want::new(
                format!("cup {tag} leaks more than the others"),
                "take it off, look at lip, valve and seat; pump, and watch it for a round",
            ));
        }
    }
    if let Some(due) = due_ms.filter(|due| *due < now_ms) {
        let late = quantity::show_kind(
            f64::from(u32::try_from((now_ms - due) / 1000).unwrap_or(u32::MAX)),
            Kind::Time,
            quantity::System::Metric,
        );
        wants
            .push(Want::new(format!("the next round was due {late} ago"), "walk round and read every gauge"));
    }
}

/// Clocks that differ by more than this are told, ms.
const CLOCKS_MS: i64 = 5 * 60 * 1000;

/// An entry of the future: some clock is wrong, and with it every age.
fn of_clocks(past: &Past, now_ms: i64, wants: &mut Vec<Want>) {
    let ahead = past.entries().iter().filter(|e| e.at_ms > now_ms.saturating_add(CLOCKS_MS));
    if let Some(e) = ahead.max_by_key(|e| e.at_ms) {
        wants.push(Want::new(
            format!("entry {}, from {}, is dated later than now", e.number, e.device),
            "set the clocks of all devices; enter what carries a wrong time again, as a correction",
        ));
    }
}

fn of_damage(past: &Past, rig: &Rig, wants: &mut Vec<Want>) {
    let mut found: Vec<(&str, &record::Damage)> = Vec::new();
    for entry in past.entries() {
        if let Value::Damage(d) = &entry.value {
            found.retain(|(about, _)| *about != entry.about);
            found.push((&entry.about, d));
        }
    }
    let in_rig = |about: &str| {
        let named = |kind: &str, tag: &str| {
            about.eq_ignore_ascii_case(tag) || about.eq_ignore_ascii_case(&format!("{kind} {tag}"))
        };
        rig.cups.iter().any(|c| named("cup", &c.tag))
            || rig.straps.iter().any(|s| named("strap", &s.tag) || named("tether", &s.tag))
            || rig.clamps.iter().any(|c| named("clamp", &c.tag))
            || rig.tubes.iter().any(|t| named("tube", &t.tag))
    };
    for (about, d) in found {
        if d.on == Wear::Kit && !d.sound && in_rig(about) {
            wants.push(Want::new(
                format!("{about} was found damaged: {}", d.text),
                "put a sound one in its place and log it as sound",
            ));
        }
    }
}

/// Checks whose least margin differs by a hundredth or more, the largest change first.
fn moved(planned: &[verdict::Finding], built: &[verdict::Finding]) -> Vec<Moved> {
    let least = |all: &[verdict::Finding], check| {
        all.iter().filter(|f| f.check == check).filter_map(|f| f.margin).reduce(f64::min)
    };
    let mut out: Vec<Moved> = Vec::new();
    for f in planned {
        if out.iter().any(|m| m.check == f.check.row().title) {
            continue;
        }
        let (Some(a), Some(b)) = (least(planned, f.check), least(built, f.check)) else { continue };
        if (a - b).abs() >= 0.01 * a.abs().max(b.abs()).min(10.0) && a.is_finite() && b.is_finite() {
            out.push(Moved { check: f.check.row().title, planned: a, built: b });
        }
    }
    out.sort_by(|a, b| {
        ((a.built / a.planned).ln().abs()).total_cmp(&(b.built / b.planned).ln().abs()).reverse()
    });
    out
}

/// What happened after the last GO that it did not know of.
fn since_go(past: &Past) -> Option<(u32, Vec<Change>)> {
    let go = past.last_go()?.number;
    let after = past.entries().iter().filter(|e| e.number > go);
    let changes = after.filter_map(|e| {
        let what = match &e.value {
            Value::Rig(_) => "the plan was changed".to_owned(),
            Value::Step(s) if s.state != State::Done => format!("\"{}\" was taken back or left out", e.about),
            Value::Damage(d) if !d.sound => format!("damage: {}", e.about),
            Value::Weather(w) => {
                let all = [&w.temperature, &w.wind, &w.rain];
                let said: Vec<&str> = all.into_iter().flatten().map(String::as_str).collect();
                format!("weather: {}", said.join(", "))
            }
            Value::Reading(r) => {
                format!("cup {} read at {}{}", e.about, r.vacuum, if r.pumped { ", pumped" } else { "" })
            }
            _ => {
                let (key, value) = over(e)?;
                format!("{key} is {value}")
            }
        };
        Some(Change { number: e.number, what })
    });
    Some((go, changes.collect()))
}

impl AsBuilt {
    /// Measured values that are not what the plan states.
    pub fn changed(&self) -> impl Iterator<Item = &Difference> {
        self.differences.iter().filter(|d| d.planned.as_deref().map(str::trim) != Some(d.measured.trim()))
    }
}
