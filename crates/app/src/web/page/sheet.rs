//! The sheet: made with what stands on its cover, looked at here, taken away as PDF; the card and the lists beside it.

use super::envelope::rig_of;
use super::said::{blocks, long};
use super::{Answer, Wrong, about, away, opened};
use crate::command::check::status_of;
use crate::command::sheet::Options;
use crate::drawing::{Desk, Shown};
use crate::io::Stop;
use crate::json::check::Check;
use crate::json::list::{Checked, parts};
use crate::print::card::Card;
use crate::print::report::Report;
use crate::sheet::cover::{Cover, said};
use crate::sheet::{self, Sheet};
use crate::web::frame::{Place, segment};
use crate::web::gate::Person;
use crate::web::shelf::Known;
use crate::web::state::Station;
use crate::web::strip;
use crate::web::works::{Made, Stage, Work, begin};
use crate::{csv_file, json};
use axum::extract::{Form, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use serde::Deserialize;
use std::fmt::Write as _;
use std::sync::{Arc, PoisonError};
use verdict::Verdict;

pub(super) const PLACE: Place =
    Place { path: "sheet", title: "Sheet", says: "the sheet and the card as PDF, lists for spreadsheets" };

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new()
        .route("/rig/{name}/sheet", get(page).post(make))
        .route("/rig/{name}/sheet.pdf", get(sheet_pdf))
        .route("/rig/{name}/card.pdf", get(card_pdf))
        .route("/rig/{name}/parts.csv", get(parts_csv))
        .route("/rig/{name}/checks.csv", get(checks_csv))
        .route("/rig/{name}/check.json", get(check_json))
}

/// What shall stand on the cover, as the form and the address have it.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    date: String,
    revision: String,
    job: String,
    by: String,
    paper: String,
    limits: String,
}

impl Asked {
    /// As the end of an address; the same for the same sheet.
    fn query(&self) -> String {
        let all = [
            ("date", &self.date),
            ("revision", &self.revision),
            ("job", &self.job),
            ("by", &self.by),
            ("paper", &self.paper),
            ("limits", &self.limits),
        ];
        let mut out = String::new();
        for (key, value) in all.into_iter().filter(|(_, v)| !v.trim().is_empty()) {
            // Writing to a string does not fail.
            let _ = write!(out, "{}{key}={}", if out.is_empty() { '?' } else { '&' }, segment(value.trim()));
        }
        out
    }

    fn format(&self) -> paper::Format {
        if self.paper == "letter" { paper::Format::Letter } else { paper::Format::A4 }
    }

    /// The cover; what is left empty is a line to write on.
    fn cover(&self, reading: &rig::Reading) -> Result<Cover, Stop> {
        let line = |name: &str, text: &str| said(name, Some(text).filter(|t| !t.trim().is_empty()));
        let on = Options { format: self.format(), date: line("the date", &self.date)? };
        let (revision, job) = (line("the revision", &self.revision)?, line("the job", &self.job)?);
        Ok(Cover { revision, job, by: line("the name", &self.by)?, ..on.of(reading) })
    }
}

/// The sheet with this cover, if it is the one that was asked for last.
fn kept(known: &Known, asked: &Asked) -> Option<Arc<Work<Made>>> {
    let last = known.works.sheet.lock().unwrap_or_else(PoisonError::into_inner);
    last.as_ref().filter(|(query, _)| *query == asked.query()).map(|(_, work)| Arc::clone(work))
}

fn made(known: &Known, asked: &Asked) -> Result<Made, Stop> {
    let rig = rig_of(known)?;
    let verdict = known
        .verdict()
        .as_ref()
        .map_err(|why| Stop::bad(format!("this rig cannot be computed: {why}"), ""))?;
    let desk = Desk::new(rig, Shown::default(), false).knowing(verdict);
    let desk = match known.works.limits.so_far() {
        Some(l) => desk.knowing_limits(&l.envelope, &l.stretched, &l.around),
        None => desk,
    };
    let report = Report::of(rig, verdict);
    let cover = asked.cover(&known.reading)?;
    let limits = !asked.limits.is_empty();
    let document =
        sheet::document(&Sheet { desk: &desk, rig, verdict, report: &report, cover: &cover, limits })?;
    Ok(Made { pdf: pdf(&document)?, blocks: document.blocks })
}

fn pdf(document: &paper::Document) -> Result<Vec<u8>, Stop> {
    paper::pdf(document).map_err(|f| Stop::bad(format!("the PDF cannot be made: {}", f.what), ""))
}

fn form(name: &str, asked: &Asked) -> Markup {
    let field = |name: &str, words: &str, hint: &str, value: &str| {
        html! { label { (words) input name=(name) maxlength="60" autocomplete="off" placeholder=(hint) value=(value); } }
    };
    html! {
        form.card method="post" action={ "/rig/" (segment(name)) "/sheet" } {
            (field("date", "Date", "2026-11-27", &asked.date))
            (field("revision", "Revision", "3", &asked.revision))
            (field("job", "Job", "", &asked.job))
            (field("by", "Made by", "", &asked.by))
            label { "Paper" select name="paper" {
                option value="a4" { "A4" }
                option value="letter" selected[asked.paper == "letter"] { "Letter" }
            } }
            label.tick { input type="checkbox" name="limits" value="yes" checked[!asked.limits.is_empty()]; "With the card's limits: takes longer" }
            p { "What is not given is a line to write on." }
            button { "Make the sheet" }
        }
    }
}

/// What can be taken away besides the sheet.
fn others(known: &Known, asked: &Asked) -> Markup {
    let name = segment(&known.name);
    let ready = matches!(known.verdict_so_far(), Some(Ok(_)));
    let card = match known.verdict_so_far() {
        Some(Ok(v)) if v.answer != verdict::Answer::Go => {
            html! { "No card: a card is for a rig that is a GO; this one is " (v.answer.word()) "." }
        }
        _ if known.works.limits.so_far().is_some() && ready => {
            html! { a href={ "/rig/" (name) "/card.pdf" (asked.query()) } download { "The driver's card (PDF)" } }
        }
        _ => {
            html! { "The driver's card: first " a href={ "/rig/" (name) "/envelope" } { "work out the limits" } "." }
        }
    };
    html! {
        h2 { "Beside it" }
        ul.others {
            li { (card) }
            li { a href={ "/rig/" (name) "/parts.csv" } download { "Parts (CSV)" } }
            @if ready {
                li { a href={ "/rig/" (name) "/checks.csv" } download { "Checks (CSV)" } }
                li { a href={ "/rig/" (name) "/check.json" } download { "Verdict (JSON)" } }
            } @else { li { "Checks and verdict: being worked out." } }
        }
    }
}

fn body(known: &Known, asked: &Asked, refused: Option<&Wrong>) -> Markup {
    if known.rig.is_none() {
        return strip::faults(known);
    }
    let work = kept(known, asked);
    html! {
        h1 { "Sheet" }
        @if let Some(wrong) = refused { (wrong.words()) }
        (form(&known.name, asked))
        div #drawing data-live {
            (others(known, asked))
            @if let Some(work) = work {
                h2 { "The sheet" }
                (long(&work, (&known.name, "sheet", ""), "checks, drawings, every single loss", |made| Ok(html! {
                    p { a.button href={ "/rig/" (segment(&known.name)) "/sheet.pdf" (asked.query()) } download { "Take the PDF" } }
                    article.paper aria-label="What the sheet says" { (blocks(&made.blocks)) }
                })))
            }
        }
    }
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let known = opened(&station, name).await?;
    let of = Arc::clone(&known);
    let body = away(move || Ok(body(&of, &asked, None))).await?;
    Ok(about(&station, &person, &known, &PLACE, body))
}

async fn make(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Form(asked): Form<Asked>,
) -> Answer {
    let known = opened(&station, name).await?;
    let refused =
        asked.cover(&known.reading).err().map(Wrong::from).or_else(|| begun(&station, &known, &asked).err());
    if let Some(wrong) = refused {
        let page = about(&station, &person, &known, &PLACE, body(&known, &asked, Some(&wrong)));
        return Ok((wrong.status(), page).into_response());
    }
    Ok(Redirect::to(&format!("/rig/{}/sheet{}", segment(&known.name), asked.query())).into_response())
}

/// Begins a sheet, unless it is there or another one is at work.
fn begun(station: &Arc<Station>, known: &Arc<Known>, asked: &Asked) -> Result<(), Wrong> {
    if known.rig.is_none() {
        return Ok(());
    }
    let work = {
        let mut last = known.works.sheet.lock().unwrap_or_else(PoisonError::into_inner);
        match &*last {
            Some((query, work))
                if *query == asked.query() && !matches!(work.stage(), Stage::Done(Err(_))) =>
            {
                return Ok(());
            }
            Some((_, work)) if matches!(work.stage(), Stage::Working) => {
                return Err(Wrong::new(
                    StatusCode::CONFLICT,
                    "another sheet of this rig is being made",
                    "make this one when that one is there",
                ));
            }
            _ => {}
        }
        let work = Arc::<Work<Made>>::default();
        *last = Some((asked.query(), Arc::clone(&work)));
        work
    };
    let asked = asked.clone();
    begin(station, known, &work, move |k| made(k, &asked));
    Ok(())
}

/// A file to be taken away; its name has nothing that a file system or a header minds.
fn file(known: &Known, ending: &str, kind: &'static str, bytes: Vec<u8>) -> Response {
    let named = format!("attachment; filename=\"{}-{ending}\"", safe(&known.name));
    ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, named)], bytes).into_response()
}

fn safe(name: &str) -> String {
    let letter = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '-' | '_') { c } else { '-' };
    name.chars().take(60).map(letter).collect()
}

fn not_yet(what: &str, mend: &str) -> Wrong {
    Wrong::new(StatusCode::CONFLICT, what, mend)
}

/// The verdict that is there already.
fn verdict_of(known: &Known) -> Result<&Verdict, Wrong> {
    rig_of(known)?;
    match known.verdict_so_far() {
        Some(Ok(verdict)) => Ok(verdict),
        Some(Err(why)) => Err(Stop::bad(format!("this rig cannot be computed: {why}"), "").into()),
        None => {
            Err(not_yet("the verdict is still being worked out", "ask again when the page Margins has it"))
        }
    }
}

async fn sheet_pdf(
    State(station): State<Arc<Station>>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let known = opened(&station, name).await?;
    let work = kept(&known, &asked);
    let made = work.as_ref().and_then(|w| w.so_far()).ok_or_else(|| {
        not_yet(
            "there is no sheet with this cover, or the file was changed since",
            "make it on the page Sheet",
        )
    })?;
    Ok(file(&known, "sheet.pdf", "application/pdf", made.pdf.clone()))
}

async fn card_pdf(
    State(station): State<Arc<Station>>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    let known = opened(&station, name).await?;
    let of = Arc::clone(&known);
    let bytes = away(move || {
        let verdict = verdict_of(&of)?;
        if verdict.answer != verdict::Answer::Go {
            let what = format!("{}: no card", verdict.answer.word());
            return Err(not_yet(
                &what,
                "a card is for a rig that is a GO: the page Margins says what to do first",
            ));
        }
        let limits = of.works.limits.so_far();
        let l = limits
            .ok_or_else(|| not_yet("the limits are not worked out", "ask for them on the page Envelope"))?;
        let rig = rig_of(&of)?;
        let card = Card::of(rig, &l.envelope, &l.stretched);
        Ok(pdf(&sheet::card::document(rig, &card, &asked.cover(&of.reading)?))?)
    })
    .await?;
    Ok(file(&known, "card.pdf", "application/pdf", bytes))
}

async fn parts_csv(State(station): State<Arc<Station>>, Path(name): Path<String>) -> Answer {
    let known = opened(&station, name).await?;
    let mut out = Vec::new();
    csv_file::write(&mut out, &parts(rig_of(&known)?))?;
    Ok(file(&known, "parts.csv", "text/csv; charset=utf-8", out))
}

async fn checks_csv(State(station): State<Arc<Station>>, Path(name): Path<String>) -> Answer {
    let known = opened(&station, name).await?;
    let (rig, verdict) = (rig_of(&known)?, verdict_of(&known)?);
    let rows: Vec<Checked> = verdict.findings.iter().map(|f| Checked::of(rig, f)).collect();
    let mut out = Vec::new();
    csv_file::write(&mut out, &rows)?;
    Ok(file(&known, "checks.csv", "text/csv; charset=utf-8", out))
}

async fn check_json(State(station): State<Arc<Station>>, Path(name): Path<String>) -> Answer {
    let known = opened(&station, name).await?;
    let (rig, verdict) = (rig_of(&known)?, verdict_of(&known)?);
    let report = Report::of(rig, verdict);
    let mut out = Vec::new();
    json::write(&mut out, &Check::of((rig, &known.reading), verdict, &report, status_of(verdict.answer)))?;
    Ok(file(&known, "check.json", "application/json", out))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_has_nothing_that_a_header_minds() {
        assert_eq!(safe("night \"x\"\r\n../é"), "night--x-------");
        assert_eq!(safe(&"a".repeat(200)).len(), 60);
    }

    #[test]
    fn the_same_cover_is_the_same_sheet_and_nothing_breaks_out_of_an_address() {
        let asked = Asked { job: " a&b \"<c>".into(), limits: "yes".into(), ..Asked::default() };
        assert_eq!(asked.query(), "?job=a%26b%20%22%3Cc%3E&limits=yes");
        assert_eq!(Asked { job: "  ".into(), ..Asked::default() }.query(), "");
    }
}
