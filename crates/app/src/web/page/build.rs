//! The build at the car: what may be done now, what is written down, who signs before anybody goes on.

use super::{Answer, Refused, Wrong, away, sent, shown};
use crate::command::job::done::{list, work};
use crate::command::job::log::media;
use crate::command::round::gauge;
use crate::notebook::{Notebook, stop};
use crate::web::alerts::REFUSED;
use crate::web::frame::{Place, capital};
use crate::web::gate::{Person, Role};
use crate::web::guard::must_be;
use crate::web::job::{self, Sent};
use crate::web::news::News;
use crate::web::state::Station;
use axum::extract::{DefaultBodyLimit, Form, Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use axum::routing::{get, post};
use axum::{Extension, Router};
use maud::{Markup, html};
use method::{Kind, Method, Progress, Refusal};
use record::{Entry, Signature, Step, Value};
use serde::Deserialize;
use std::sync::Arc;
use watch::Past;
use watch::built::{AsBuilt, same_place};

pub(super) const PLACE: Place =
    Place { path: "build", title: "Build", says: "the steps, what is written down, and who signs" };

/// Steps that are shown with all they ask; the rest by name.
const OPEN: usize = 10;
/// What was written of one thing, the newest.
const SHOWN: usize = 3;
/// A photo and the form around it, bytes.
const PHOTO: usize = record::limits::BLOB_BYTES + (64 << 10);

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new()
        .route("/job/{id}/build", get(page).post(act))
        .route("/job/{id}/photo", post(photo).layer(DefaultBodyLimit::max(PHOTO)))
}

/// What a form of the page says.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
struct Typed {
    act: String,
    step: String,
    record: String,
    value: String,
    with: String,
    name: String,
    pumped: String,
    why: String,
    saw: String,
    #[serde(flatten)]
    sent: Sent,
}

/// A job as the page has it.
struct Work {
    book: Notebook,
    past: Arc<Past>,
    method: Method,
    progress: Progress,
    /// Hash of the newest entry: what somebody who signs has seen.
    head: String,
}

impl Work {
    fn open(station: &Station, id: &str) -> Result<Self, Wrong> {
        let book = job::open(station, id)?;
        let past = station.kept.past(&book)?;
        let (method, progress) = work(&past)?;
        let head = book.store.head(&book.job.id).map_err(|f| stop(&f))?.hash;
        Ok(Self { book, past, method, progress, head })
    }

    fn step(&self, name: &str) -> Result<usize, Wrong> {
        let gone = || {
            bad(
                format!("there is no step \"{name}\" any more"),
                "the plan may have changed: load the page again",
            )
        };
        self.method.find(name).ok_or_else(gone)
    }
}

fn bad(what: impl Into<String>, mend: impl Into<String>) -> Wrong {
    Wrong::new(StatusCode::UNPROCESSABLE_ENTITY, what, mend)
}

/// Why a step may not be called done.
fn refused(method: &Method, step: usize, refusal: &Refusal) -> Wrong {
    let name = &method.steps[step].name;
    match refusal {
        Refusal::NotYet(before) => {
            bad(format!("\"{name}\" is not its turn: {} first", list(method, before)), "")
        }
        Refusal::NotSigned(before) => bad(
            format!("\"{name}\" waits for a signature: {}", list(method, before)),
            "who looked signs at the top of this page",
        ),
        Refusal::NotWritten(records) => {
            let what: Vec<&str> =
                records.iter().map(|r| method.steps[step].records[*r].what.as_str()).collect();
            bad(
                format!("\"{name}\" is not written down: {}", what.join("; ")),
                "write it down in the step's own fields first",
            )
        }
    }
}

/// Does what a form asks.
fn done(station: &Station, person: &Person, id: &str, typed: &Typed) -> Result<(), Wrong> {
    let mut work = Work::open(station, id)?;
    // What was sent before has been done, whatever stands now.
    if !typed.sent.token.is_empty() && work.past.entries().iter().any(|e| e.token == typed.sent.token) {
        return Ok(());
    }
    let at = work.step(&typed.step)?;
    let step = work.method.steps[at].clone();
    let why = Some(typed.why.trim().to_owned()).filter(|w| !w.is_empty());
    let (about, value) = match typed.act.as_str() {
        "done" => {
            if work.progress.done.contains(&at) {
                return Ok(());
            }
            if let Some(refusal) = work.progress.refuses(&work.method, at) {
                return Err(refused(&work.method, at, &refusal));
            }
            (step.name, Value::Step(Step { state: record::State::Done, reason: None }))
        }
        "undo" => {
            if why.is_none() {
                return Err(bad("say why it is taken back", "a few words"));
            }
            (step.name, Value::Step(Step { state: record::State::Undone, reason: why }))
        }
        "leave" => {
            if let Some(kept) = step.kept.or(step.hold.as_ref().map(|_| "somebody signs there")) {
                return Err(bad(
                    format!("\"{}\" cannot be left out: {kept}", step.name),
                    "do it, or change the plan",
                ));
            }
            if why.is_none() {
                return Err(bad("say why it is left out", "a few words"));
            }
            (step.name, Value::Step(Step { state: record::State::Skipped, reason: why }))
        }
        "refuse" => {
            if step.hold.is_none() || !work.progress.done.contains(&at) {
                return Err(bad(format!("\"{}\" waits for no signature", step.name), "load the page again"));
            }
            let why = why.ok_or_else(|| bad("say why it is not signed", "a few words"))?;
            let reason = Some(format!("{REFUSED}{why}"));
            (step.name, Value::Step(Step { state: record::State::Undone, reason }))
        }
        "sign" => signature(&work, at, person, typed)?,
        "write" => written(&work, at, typed)?,
        _ => return Err(bad("nothing was asked for", "load the page again")),
    };
    job::write(&mut work.book, person, &typed.sent, &about, value, None)?;
    Ok(())
}

fn signature(work: &Work, at: usize, person: &Person, typed: &Typed) -> Result<(String, Value), Wrong> {
    let step = &work.method.steps[at];
    let hold = step.hold.as_ref().ok_or_else(|| bad(format!("\"{}\" is no hold point", step.name), ""))?;
    if !work.progress.done.contains(&at) {
        return Err(bad(
            format!("\"{}\" is not done", step.name),
            "nobody signs for what is still to be done",
        ));
    }
    let name = Some(typed.name.trim()).filter(|n| !n.is_empty()).unwrap_or(&person.name).to_owned();
    let signature = Signature { name: name.clone(), role: hold.role.clone(), on: typed.saw.clone() };
    if !watch::progress::may_sign(&work.past, &signature) {
        return Err(bad(
            format!("{name} has signed as the first, and cannot be the {}", hold.role),
            "somebody else looks and signs",
        ));
    }
    Ok((step.name.clone(), Value::Signature(signature)))
}

/// A value that a step asks for, as the record keeps it.
fn written(work: &Work, at: usize, typed: &Typed) -> Result<(String, Value), Wrong> {
    let step = &work.method.steps[at];
    let asked = typed.record.parse::<usize>().ok().and_then(|r| step.records.get(r));
    let asked = asked.ok_or_else(|| bad("the step does not ask for that any more", "load the page again"))?;
    let (value, with) = (typed.value.trim().to_owned(), typed.with.trim().to_owned());
    if value.is_empty() {
        return Err(bad(format!("nothing is written for: {}", asked.what), ""));
    }
    let key = asked.key.clone();
    let keyed = |make: fn(String, String) -> Value| {
        if with.is_empty() {
            return Err(bad("say with what it was taken", "tape, scale, wrench 4"));
        }
        // What the rig's reader does not take is no value.
        let reading = AsBuilt::default().read(&work.past, &[(key.clone(), value.clone())]);
        let fault =
            reading.and_then(|r| r.diagnostics.into_iter().find(|d| d.severity == rig::Severity::Error));
        match fault {
            Some(d) => Err(bad(d.message, d.mend)),
            None => Ok((key.clone(), make(value.clone(), with.clone()))),
        }
    };
    match asked.kind {
        Kind::Measured => keyed(|value, with| Value::Measured(record::Measured { value, with })),
        Kind::Torque => keyed(|value, with| Value::Torque(record::Torque { value, with })),
        Kind::Weight => keyed(|value, with| Value::Weight(record::Weight { value, with })),
        Kind::Reading => {
            gauge(&key, &value)?;
            let with = if with.is_empty() { "its gauge".to_owned() } else { with };
            let reading = record::Reading {
                vacuum: value,
                with,
                pumped: !typed.pumped.is_empty(),
                temperature: None,
                pressure: None,
                altitude: None,
            };
            Ok((key, Value::Reading(reading)))
        }
        Kind::Note => Ok((step.name.clone(), Value::Note(record::Note { text: value }))),
    }
}

/// What every form of the page sends along.
fn start(act: &str, step: &str) -> Markup {
    html! {
        input type="hidden" name="act" value=(act);
        input type="hidden" name="step" value=(step);
        input type="hidden" name="token" value=(job::fresh());
    }
}

struct View<'a> {
    work: &'a Work,
    id: &'a str,
    person: &'a Person,
    refused: Option<&'a Refused<Typed>>,
}

impl View<'_> {
    fn may(&self) -> bool {
        self.person.role >= Role::Crew
    }

    fn mine(&self, act: &str, step: &str, record: &str) -> Option<&Refused<Typed>> {
        self.refused.filter(|r| r.typed.act == act && r.typed.step == step && r.typed.record == record)
    }

    fn address(&self) -> String {
        format!("/job/{}/build", self.id)
    }

    /// What has been written of a record, the newest last.
    fn history(&self, step: &method::Step, asked: &method::Record) -> Vec<String> {
        let is = |e: &&Entry| match &e.value {
            Value::Measured(_) | Value::Torque(_) | Value::Weight(_) => {
                same_place(&e.about) == same_place(&asked.key)
            }
            Value::Reading(_) => asked.kind == Kind::Reading && e.about == asked.key,
            Value::Note(_) => asked.kind == Kind::Note && e.about == step.name,
            _ => false,
        };
        let all: Vec<&Entry> = self.work.past.entries().iter().map(AsRef::as_ref).filter(is).collect();
        let said = |e: &&Entry| {
            let value = match &e.value {
                Value::Measured(m) => &m.value,
                Value::Torque(t) => &t.value,
                Value::Weight(w) => &w.value,
                Value::Reading(r) => &r.vacuum,
                Value::Note(n) => &n.text,
                _ => return String::new(),
            };
            format!("{value}, by {} at {}", e.by, self.work.book.clock.shown(e.at_ms))
        };
        all.iter().rev().take(SHOWN).rev().map(said).collect()
    }

    fn record(&self, step: &method::Step, r: usize, asked: &method::Record) -> Markup {
        let (history, number) = (self.history(step, asked), r.to_string());
        let mine = self.mine("write", &step.name, &number);
        let typed = mine.map_or("", |m| m.typed.value.as_str());
        let keyed = matches!(asked.kind, Kind::Measured | Kind::Torque | Kind::Weight);
        let mark = format!("{} {number}", step.name);
        html! {
            div.record {
                p { b { (capital(&asked.what)) } }
                @for line in &history { p.echo { "Written: " (line) } }
                @if self.may() {
                    form method="post" action=(self.address()) data-keep {
                        (start("write", &step.name))
                        input type="hidden" name="record" value=(number);
                        label { "What it is" input.big name="value" required autocomplete="off" data-of=(mark) value=(typed) aria-invalid=[mine.map(|_| "true")]; }
                        @if keyed { label { "With what" input name="with" required autocomplete="off" data-of=(mark) value=(mine.map_or("", |m| m.typed.with.as_str())); } }
                        @if asked.kind == Kind::Reading { label.tick { input type="checkbox" name="pumped" value="yes"; "Pumped just before" } }
                        @if let Some(m) = mine { (m.why.words()) }
                        button.plain { "Write it down" }
                    }
                }
            }
        }
    }

    fn open_step(&self, at: usize) -> Markup {
        let step = &self.work.method.steps[at];
        let mine = self.mine("done", &step.name, "");
        let leave = self.mine("leave", &step.name, "");
        let may_go = step.kept.is_none() && step.hold.is_none();
        html! {
            section.card.step-card id={ "step-" (at) } aria-label=(step.name) {
                h3 { (capital(&step.name)) }
                p { (capital(&step.does)) }
                p.echo { (capital(&step.why)) }
                p.echo {
                    (step.people) @if step.people == 1 { " person" } @else { " people" } ", about " (step.minutes.round()) " min"
                    @if !step.tools.is_empty() { "; " (step.tools.join(", ")) }
                    @if let Some(t) = step.torque_nm { "; " (quantity::both_kind(t, quantity::Kind::Moment)) }
                }
                @for (r, asked) in step.records.iter().enumerate() { (self.record(step, r, asked)) }
                @if let Some(hold) = &step.hold { p.note { b { "Hold point. " } (capital(&hold.role)) " signs: " (hold.says.trim_end_matches('.')) "." } }
                @if self.may() {
                    form method="post" action=(self.address()) data-keep {
                        (start("done", &step.name))
                        @if let Some(m) = mine { (m.why.words()) }
                        button aria-label={ "Done: " (step.name) } { "Done" }
                    }
                    @if may_go {
                        details.more open[leave.is_some()] {
                            summary { "Leave it out" }
                            form method="post" action=(self.address()) data-keep {
                                (start("leave", &step.name))
                                label { "Why" input name="why" required autocomplete="off" data-of=(step.name); }
                                @if let Some(m) = leave { (m.why.words()) }
                                button.plain { "Leave it out" }
                            }
                        }
                    }
                }
            }
        }
    }

    fn hold(&self, at: usize) -> Markup {
        let step = &self.work.method.steps[at];
        let Some(hold) = &step.hold else { return html! {} };
        let mine = self.mine("sign", &step.name, "");
        let refuse = self.mine("refuse", &step.name, "");
        html! {
            section.card.hold-point id={ "step-" (at) } aria-label={ "Hold point: " (step.name) } {
                h3 { "Hold point: " (step.name) }
                p { (capital(&hold.role)) " signs: " (hold.says.trim_end_matches('.')) ". Nobody goes on before." }
                @if self.may() {
                    form method="post" action=(self.address()) data-keep {
                        (start("sign", &step.name))
                        input type="hidden" name="saw" value=(self.work.head);
                        label { "Who signs" input name="name" required autocomplete="off" data-of=(step.name)
                            value=(mine.map_or(self.person.name.as_str(), |m| m.typed.name.as_str())) aria-invalid=[mine.map(|_| "true")]; }
                        @if let Some(m) = mine { (m.why.words()) }
                        button { "Sign" }
                    }
                    details.more open[refuse.is_some()] {
                        summary { "Not signed" }
                        form method="post" action=(self.address()) data-keep {
                            (start("refuse", &step.name))
                            label { "Why; the step is taken back and everybody is told"
                                input name="why" required maxlength="400" autocomplete="off" data-of=(step.name); }
                            @if let Some(m) = refuse { (m.why.words()) }
                            button.plain { "Do not sign" }
                        }
                    }
                }
            }
        }
    }

    fn page(&self) -> Markup {
        let Work { method, progress, .. } = self.work;
        let (next, unsigned) = (progress.next(method), progress.unsigned(method));
        let later = |s: &usize| !progress.done.contains(s) && !next.contains(s);
        let later: Vec<usize> = (0..method.steps.len()).filter(later).collect();
        html! {
            h1 { "Build" }
            div.waiting data-waiting hidden role="status" {}
            div #build data-live {
                p.due { b { (progress.done.len()) " of " (method.steps.len()) } " steps done" @if !unsigned.is_empty() { "; " (unsigned.len()) " to be signed" } }
                @if let Some(r) = self.refused.filter(|r| method.find(&r.typed.step).is_none()) { (r.why.words()) }
                @for s in &unsigned { (self.hold(*s)) }
                @if !next.is_empty() { h2 { "Now" } }
                @for s in next.iter().take(OPEN) { (self.open_step(*s)) }
                @if next.len() > OPEN {
                    details.more { summary { (next.len() - OPEN) " more that may be done now" }
                        @for s in next.iter().skip(OPEN) { (self.open_step(*s)) } }
                }
                @if !later.is_empty() {
                    details.more { summary { (later.len()) " later" }
                        ol { @for s in &later { li { (method.steps[*s].name) } } } }
                }
                @if !progress.done.is_empty() {
                    details.more { summary { (progress.done.len()) " done" }
                        @for s in &progress.done { (self.done(*s)) } }
                }
            }
            @if self.may() { (self.camera()) }
        }
    }

    fn done(&self, at: usize) -> Markup {
        let step = &self.work.method.steps[at];
        html! {
            div.record {
                p { b { (step.name) } @if self.work.progress.left_out.contains(&at) { " (left out)" } @if self.work.progress.signed.contains(&at) { " (signed)" } }
                @for asked in &step.records { @for line in self.history(step, asked) { p.echo { (asked.what) ": " (line) } } }
                @if self.may() {
                    form.row method="post" action=(self.address()) data-keep {
                        (start("undo", &step.name))
                        label { "Why it is taken back" input name="why" required autocomplete="off" data-of=(step.name); }
                        button.plain aria-label={ "Take back: " (step.name) } { "Take it back" }
                    }
                }
            }
        }
    }

    fn camera(&self) -> Markup {
        html! {
            section.card aria-label="Photo" {
                h2 { "Photo" }
                div data-photos hidden role="status" {}
                form method="post" action={ "/job/" (self.id) "/photo" } enctype="multipart/form-data" data-photo {
                    input type="hidden" name="token" value=(job::fresh());
                    label { "Of which step, or empty" input name="step" list="steps" autocomplete="off"; }
                    datalist id="steps" { @for s in &self.work.method.steps { option value=(s.name) {} } }
                    label { "What it shows" input name="caption" autocomplete="off"; }
                    label { "Photo" input type="file" name="photo" accept="image/*" capture="environment" required; }
                    button.plain { "Keep it" }
                }
                p.echo { "Out of reach of the laptop a photo stays on this phone, also when the page is closed, and is sent once when the \
                    laptop is there again. The page itself comes from the laptop: out of its reach leave it open, it cannot be loaded anew." }
            }
        }
    }
}

fn whole(
    station: &Station,
    person: &Person,
    id: &str,
    refused: Option<&Refused<Typed>>,
) -> Result<(String, Markup), Wrong> {
    let work = Work::open(station, id)?;
    let body = View { work: &work, id, person, refused }.page();
    Ok((work.book.job.name, body))
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(id): Path<String>,
) -> Answer {
    shown(station, person, id, &PLACE, whole).await
}

async fn act(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(id): Path<String>,
    Form(typed): Form<Typed>,
) -> Answer {
    sent(station, person, id, &PLACE, typed, (done, whole)).await
}

/// What it shows, and who took it where somebody else sends it: a phone that waited may have changed hands.
fn captioned(caption: &str, taker: &str, person: &Person) -> String {
    match (caption.trim(), taker.trim()) {
        (caption, taker) if taker.is_empty() || taker == person.name => caption.to_owned(),
        ("", taker) => format!("taken by {taker}"),
        (caption, taker) => format!("{caption}, taken by {taker}"),
    }
}

async fn photo(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(id): Path<String>,
    mut parts: Multipart,
) -> Answer {
    must_be(&person, Role::Crew)?;
    let broken = |_| bad("the photo did not arrive whole", "send it again; the most is 20 MB");
    let (mut typed, mut caption, mut taker, mut bytes) =
        (Typed::default(), String::new(), String::new(), Vec::new());
    while let Some(part) = parts.next_field().await.map_err(broken)? {
        match part.name().unwrap_or_default() {
            "photo" => bytes = part.bytes().await.map_err(broken)?.to_vec(),
            "token" => typed.sent.token = part.text().await.map_err(broken)?,
            "step" => typed.step = part.text().await.map_err(broken)?,
            "waited" => typed.sent.waited = part.text().await.map_err(broken)?,
            "taken_by" => taker = part.text().await.map_err(broken)?,
            "caption" => caption = part.text().await.map_err(broken)?,
            _ => {}
        }
    }
    let (of, job) = (Arc::clone(&station), id.clone());
    away(move || {
        let media =
            media(&bytes).ok_or_else(|| bad("that is no picture that is known", "JPEG, PNG or WebP"))?;
        let mut book = job::open(&of, &job)?;
        let photo = record::Photo::of(&captioned(&caption, &taker, &person), media, &bytes);
        job::write(&mut book, &person, &typed.sent, typed.step.trim(), Value::Photo(photo), Some(bytes))?;
        Ok(())
    })
    .await?;
    station.tell(News::Entry);
    Ok(Redirect::to(&format!("/job/{id}/build")).into_response())
}
