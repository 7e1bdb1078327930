//! Every margin, least first, each with the sum that a hand calculator can follow; and what is to be settled.

use super::Answer;
use crate::drawing::drawn;
use crate::print::hand::{self, Line};
use crate::print::report::{Report, Word, is_lost};
use crate::print::verdict::keys;
use crate::web::frame::{Place, capital, segment, wrong};
use crate::web::gate::Person;
use crate::web::shelf::Known;
use crate::web::state::Station;
use crate::web::strip;
use axum::extract::{Path, Query, State};
use axum::routing::get;
use axum::{Extension, Router};
use draw::view;
use maud::{Markup, html};
use rig::Rig;
use serde::Deserialize;
use std::sync::Arc;
use verdict::{Finding, Verdict};

pub(super) const PLACE: Place =
    Place { path: "margins", title: "Margins", says: "every check, least margin first, each with its sum" };

/// Rows on one page: more are found by asking for less.
const MOST: usize = 200;

pub(super) fn routes() -> Router<Arc<Station>> {
    Router::new().route("/rig/{name}/margins", get(page))
}

/// What is asked to be seen.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    check: String,
    part: String,
    word: String,
}

impl Asked {
    fn takes(&self, rig: &Rig, f: &Finding, word: Word) -> bool {
        let part = || drawn(f.part).map_or_else(|| f.part.name(rig), |p| view::mark(rig, p));
        (self.check.is_empty() || f.check.row().name == self.check)
            && (self.part.is_empty() || part() == self.part)
            && (self.word.is_empty() || strip::class(word) == self.word)
    }

    fn is_all(&self) -> bool {
        self.check.is_empty() && self.part.is_empty() && self.word.is_empty()
    }
}

async fn page(
    State(station): State<Arc<Station>>,
    Extension(person): Extension<Person>,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
) -> Answer {
    super::of_rig(&station, &person, name, &PLACE, move |known, rig| {
        Ok(html! {
            div #margins data-live {
                @match known.verdict_so_far() {
                    None => { h1 { "Margins" } (strip::answer(known, rig, false)) }
                    Some(Err(why)) => { h1 { "Margins" } (wrong("this rig cannot be computed", why)) }
                    Some(Ok(verdict)) => { (whole(known, rig, verdict, &asked)) }
                }
            }
        })
    })
    .await
}

fn whole(known: &Known, rig: &Rig, verdict: &Verdict, asked: &Asked) -> Markup {
    let report = Report::of(rig, verdict);
    let all: Vec<(&Finding, Word)> =
        verdict.findings.iter().filter_map(|f| Some((f, Word::of(f)?))).collect();
    let shown: Vec<&(&Finding, Word)> = all.iter().filter(|(f, w)| asked.takes(rig, f, *w)).collect();
    html! {
        h1 { "Margins" }
        (strip::head(&report))
        (filter(known, rig, &all, asked))
        @if shown.is_empty() { p { "Nothing is like that. " a href={ "/rig/" (segment(&known.name)) "/margins" } { "Show all" } } }
        ol.findings {
            @for (f, word) in shown.iter().take(MOST) { (one(rig, f, *word, shown.len() == 1)) }
        }
        @if shown.len() > MOST { p { (shown.len() - MOST) " more: choose a check or a part above." } }
        @if asked.is_all() { (settle(&report)) (notes(&report)) p.scope { (report.scope) } }
    }
}

fn filter(known: &Known, rig: &Rig, all: &[(&Finding, Word)], asked: &Asked) -> Markup {
    let mut checks: Vec<(&str, &str)> =
        all.iter().map(|(f, _)| (f.check.row().name, f.check.row().title)).collect();
    checks.sort_unstable();
    checks.dedup();
    let mut parts: Vec<(String, String)> = all
        .iter()
        .map(|(f, _)| {
            (drawn(f.part).map_or_else(|| f.part.name(rig), |p| view::mark(rig, p)), f.part.name(rig))
        })
        .collect();
    parts.sort();
    parts.dedup_by(|a, b| a.0 == b.0);
    html! {
        form.filter method="get" action={ "/rig/" (segment(&known.name)) "/margins" } data-in-place {
            label { "Check" select name="check" {
                option value="" { "all" }
                @for (name, title) in &checks { option value=(name) selected[*name == asked.check] { (title) } }
            } }
            label { "Part" select name="part" {
                option value="" { "all" }
                @for (mark, name) in &parts { option value=(mark) selected[*mark == asked.part] { (name) } }
            } }
            label { "Word" select name="word" {
                option value="" { "all" }
                @for word in [Word::Fails, Word::NotChecked, Word::Close, Word::Holds] {
                    option value=(strip::class(word)) selected[strip::class(word) == asked.word] { (word.text().to_lowercase()) }
                }
            } }
            button.plain { "Show" }
        }
    }
}

fn one(rig: &Rig, f: &Finding, word: Word, open: bool) -> Markup {
    let check = f.check.row();
    html! {
        li {
            details.finding open[open] {
                summary {
                    (strip::bar(f.margin, word))
                    span.what { (check.title) }
                    span.part { (hand::name(rig, f)) @if is_lost(f) { ", one lost" } }
                }
                (sum(&hand::lines(check, f)))
            }
        }
    }
}

/// The sum behind a margin.
fn sum(lines: &[Line]) -> Markup {
    html! {
        dl.sum {
            @for line in lines {
                @match line {
                    Line::Said(label, text) => { dt { (label) } dd { (text) } }
                    Line::Gap => {}
                    Line::Step(symbol, value, text) => { dt.symbol { (symbol) } dd { b { "= " (value) } " " (text) } }
                    Line::NotChecked => { dt { "answer" } dd.word { "NOT CHECKED" } }
                    Line::Margin(sum, word) => {
                        dt { "margin" }
                        dd {
                            @match sum {
                                Some(sum) => { "capacity / (factor × demand) = " b { (sum) } ", " }
                                None => { "nothing is asked of it: " }
                            }
                            (hand::verdict_of(*word))
                        }
                    }
                }
            }
        }
    }
}

fn settle(report: &Report) -> Markup {
    html! {
        @if !report.holds.is_empty() {
            h2 #settle { "To settle" }
            ol.settle {
                @for h in &report.holds {
                    li {
                        p { strong { (capital(&h.what)) } }
                        p { (capital(&h.why)) }
                        p { "How: " (h.how) }
                        p { "In the file: " code { (keys(&h.keys)) } }
                    }
                }
            }
        }
        @if !report.moved.is_empty() {
            h2 { "What assumed values do" }
            ul { @for m in &report.moved { li { (crate::print::verdict::moved_words(m)) } } }
        }
    }
}

fn notes(report: &Report) -> Markup {
    html! {
        @if !report.notes.is_empty() {
            h2 { "Worth knowing" }
            ul { @for (check, text) in &report.notes { li { b { (check.row().title) ": " } (text) } } }
        }
    }
}
