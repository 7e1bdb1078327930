//! A value's field: what stands in it, its echo, where it comes from and what hangs on it.

use super::Doing;
use super::value::{From, Value};
use crate::web::frame::{capital, segment};
use maud::{Markup, html};
use rig::Takes;

/// A value's state in a word or two, and its class.
pub(super) fn state(value: &Value) -> (&'static str, &'static str) {
    match &value.from {
        From::Stated => ("stated", "holds"),
        From::Range(_) => ("a range", "close"),
        From::Part(_) => ("ready set", "close"),
        From::Assumed(_) => ("assumed", "close"),
        From::Missing if value.decides.is_empty() => ("not stated", "file"),
        From::Missing => ("missing", "fails"),
    }
}

/// What every form sends along.
pub(super) fn hidden(doing: &Doing<'_>, does: &str) -> Markup {
    html! {
        input type="hidden" name="does" value=(does);
        input type="hidden" name="step" value=(doing.asked.step);
        input type="hidden" name="revision" value=(doing.known.revision);
    }
}

/// A value with its field, its echo, where it comes from and what hangs on it.
pub(super) fn entry(doing: &Doing<'_>, key: &str, label: &str, mark: &str) -> Markup {
    let Some(v) = doing.values.value(key) else { return html! {} };
    let mine = doing.refused.filter(|r| r.key == key);
    let id = format!("f-{}", segment(key).replace('%', "_"));
    let (why, about) = (format!("{id}-why"), format!("{id}-about"));
    let typed = mine.map_or(v.typed.as_str(), |r| r.typed.as_str());
    let described = if mine.is_some() { format!("{why} {about}") } else { about.clone() };
    html! {
        div.entry {
            form method="post" action={ "/rig/" (segment(&doing.known.name)) "/survey" } data-in-place {
                (hidden(doing, "set"))
                input type="hidden" name="key" value=(key);
                label for=(id) { @if !mark.is_empty() { b.mark { (mark) } } (label) }
                @if doing.lead {
                    div.typed {
                        @match options(&v, typed) {
                            Some(words) => { select #(id) name="value" data-of=(key) aria-describedby=(described) {
                                @for (word, says) in &words { option value=(word) selected[word == typed] { (says) } }
                            } }
                            None => { input #(id) name="value" autocomplete="off" spellcheck="false" autocapitalize="off" data-of=(key) value=(typed) placeholder=(v.key.example)
                                list=[matches!(v.key.takes, Takes::Part(_)).then(|| format!("{id}-parts"))]
                                aria-invalid=[mine.map(|_| "true")] aria-describedby=(described); }
                        }
                        button { "Save" }
                    }
                    @if let Takes::Part(kind) = v.key.takes {
                        datalist id={ (id) "-parts" } { @for l in rig::catalogue().into_iter().filter(|l| l.kind == kind) { option value=(l.name) {} } }
                    }
                } @else { output #(id) { (v.typed) } }
                @if let Some(r) = mine { div id=(why) { (r.why.words()) } }
            }
            @if doing.lead && v.key.takes == Takes::Radius { (straightedge(doing, key)) }
            div.about id=(about) { (about_value(&v)) }
        }
    }
}

fn about_value(v: &Value) -> Markup {
    let (word, class) = state(v);
    html! {
        p { @if !v.echo.is_empty() { b.echoed { (v.echo) } " " } span.word.(class) { (word) }
            @match &v.from {
                From::Stated => {}
                From::Range(range) => { ", from " (range) ". What you save takes its place." }
                From::Part(source) => { ", not measured on this car" @if !source.is_empty() { " (" (source) ")" } "." }
                From::Assumed(range) => { ", from " (range) "." }
                From::Missing => { "." }
            }
        }
        @for odd in &v.odd { p.close { b { "Odd: " } (capital(odd)) } }
        @for d in &v.decides { p.decides { (capital(d)) } }
    }
}

/// The words that a value can be, and how they are said.
fn options(v: &Value, typed: &str) -> Option<Vec<(String, String)>> {
    let mut out: Vec<(String, String)> = match v.key.takes {
        Takes::Word(words) => words.iter().map(|w| ((*w).to_owned(), (*w).to_owned())).collect(),
        Takes::Flag => vec![("true".into(), "yes".into()), ("false".into(), "no".into())],
        _ => return None,
    };
    if !out.iter().any(|(w, _)| w == typed) {
        out.insert(
            0,
            (typed.to_owned(), if typed.is_empty() { "not stated".into() } else { typed.to_owned() }),
        );
    }
    Some(out)
}

/// From a straightedge and a gap to a radius.
fn straightedge(doing: &Doing<'_>, key: &str) -> Markup {
    let of = format!("{key} crown");
    let mine = doing.refused.filter(|r| r.key == of);
    let (long, gap) = mine.and_then(|r| r.typed.split_once('\u{1f}')).unwrap_or_default();
    html! {
        form.gap method="post" action={ "/rig/" (segment(&doing.known.name)) "/survey" } data-in-place {
            (hidden(doing, "crown"))
            input type="hidden" name="key" value=(key);
            p { "Or let it be worked out:" }
            @if let Some(r) = mine { div #why-gap { (r.why.words()) } }
            div.typed {
                label { "Straightedge L" input name="long" required autocomplete="off" placeholder="1 m" value=(long) data-of=(format!("{key} long"))
                    aria-invalid=[mine.map(|_| "true")] aria-describedby=[mine.map(|_| "why-gap")]; }
                label { "Gap h" input name="gap" required autocomplete="off" placeholder="14 mm" value=(gap) data-of=(format!("{key} gap"))
                    aria-describedby=[mine.map(|_| "why-gap")]; }
                button.plain { "Save the radius" }
            }
        }
    }
}
