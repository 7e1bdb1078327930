//! What commands print and sheets say, on a page; and what takes long, from its button to its answer.

use super::Wrong;
use crate::io::Stop;
use crate::web::frame::{segment, svg};
use crate::web::guard;
use crate::web::works::{Stage, Work};
use axum::http::HeaderMap;
use draw::view::Medium;
use maud::{Markup, html};
use paper::{Align, Banner, Block, Run, Table, Tone, Weight};
use std::io::{self, Write};

/// What the screen that asks is drawn for: the script says in a cookie whether it is a small one.
pub(super) fn medium(headers: &HeaderMap) -> Medium {
    if guard::cookie_of(headers, "small").as_deref() == Some("1") { Medium::Phone } else { Medium::Page }
}

/// What a command prints, as it prints it, without colours.
pub(super) fn printed(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<String, Wrong> {
    let mut out = Vec::new();
    write(&mut out).map_err(|e| Wrong::from(Stop::from(e)))?;
    let text = String::from_utf8_lossy(&out);
    Ok(anstream::adapter::strip_str(&text).to_string())
}

/// A chart or drawing.
pub(super) fn figure(drawing: &str) -> Markup {
    html! { figure.drawing.chart { (svg(drawing)) } }
}

/// A button for what takes long, that it is at work, or what came of it. `takes`: what it looks at, in a few words.
pub(super) fn long<T>(
    work: &Work<T>,
    (name, path, what): (&str, &str, &str),
    takes: &str,
    shown: impl FnOnce(&T) -> Result<Markup, Wrong>,
) -> Markup {
    match work.stage() {
        Stage::Unasked => html! {
            form.row method="post" action={ "/rig/" (segment(name)) "/" (path) } {
                input type="hidden" name="work" value=(what);
                button { "Work it out" }
                span { (takes) }
            }
        },
        Stage::Working => html! { p.verdict.working { b { "Working it out" } span { (takes) } } },
        Stage::Done(Err(wrong)) => wrong.words(),
        Stage::Done(Ok(done)) => shown(done).unwrap_or_else(|wrong| wrong.words()),
    }
}

/// Blocks of a sheet as they would stand on paper.
pub(super) fn blocks(all: &[Block]) -> Markup {
    html! { @for block in all { (one(block)) } }
}

fn one(block: &Block) -> Markup {
    match block {
        Block::Heading(1, text) => html! { p.name { (text) } },
        Block::Heading(2, text) => html! { h2 { (text) } },
        Block::Heading(_, text) => html! { h3 { (text) } },
        Block::Text(all) => html! { p { (runs(all)) } },
        Block::List(points) => html! { ul { @for p in points { li { (runs(p)) } } } },
        Block::Banner(b) => banner(b),
        Block::Table(t) => table(t),
        Block::Figure(f) => html! {
            figure.drawing { (svg(&f.svg)) @if !f.caption.is_empty() { figcaption { (f.caption) } } }
        },
        Block::Signatures(all) => html! {
            ul { @for s in all { li { b { (s.role) } ": " (s.says) " Name, date, signature: on paper." } } }
        },
        Block::NewPage => html! {},
        Block::Together(inner) => blocks(inner),
    }
}

fn banner(b: &Banner) -> Markup {
    let class = match b.tone {
        Tone::Good => "go",
        Tone::Wait => "hold",
        Tone::Bad => "no-go",
        Tone::Plain => "",
    };
    if class.is_empty() {
        return html! { div.note { @if !b.word.is_empty() { p { b { (b.word) } } } p { (runs(&b.text)) } } };
    }
    html! { p.verdict.(class) { b { (b.word) } span { (runs(&b.text)) } } }
}

fn table(t: &Table) -> Markup {
    let label = if t.title.is_empty() {
        t.columns.iter().map(|c| c.head.as_str()).filter(|h| !h.is_empty()).collect::<Vec<_>>().join(", ")
    } else {
        t.title.clone()
    };
    let right = |at: usize| t.columns.get(at).is_some_and(|c| c.align == Align::Right);
    html! {
        div.scroll tabindex="0" role="region" aria-label=(label) {
            table.listed {
                @if !t.title.is_empty() { caption { (t.title) } }
                thead { tr { @for (at, c) in t.columns.iter().enumerate() {
                    @if c.head.is_empty() { td {} } @else { th.right[right(at)] scope="col" { (c.head) } }
                } } }
                tbody { @for row in &t.rows { tr { @for (at, cell) in row.iter().enumerate() {
                    td.right[right(at)] { (runs(&cell.text)) }
                } } } }
            }
        }
    }
}

/// Text with its weights; a line feed starts a line.
fn runs(all: &[Run]) -> Markup {
    let lines = |text: &str| {
        html! { @for (at, line) in text.split('\n').enumerate() { @if at > 0 { br; } (line) } }
    };
    html! {
        @for run in all {
            @match run.weight {
                Weight::Plain => { (lines(&run.text)) }
                Weight::Bold => { b { (lines(&run.text)) } }
                Weight::Faint => { small { (lines(&run.text)) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use paper::{Cell, Column, Wide};

    #[test]
    fn what_a_block_says_is_text_and_never_markup() {
        let bad = "<b onclick=x>&\n<script>";
        let column = Column { head: bad.to_owned(), wide: Wide::Fit, align: Align::Right };
        let all = [
            Block::Heading(1, bad.to_owned()),
            Block::Heading(2, bad.to_owned()),
            Block::Text(vec![Run::plain(bad), Run::bold(bad), Run::faint(bad)]),
            Block::List(vec![vec![Run::plain(bad)]]),
            Block::Banner(Banner { tone: Tone::Bad, word: bad.to_owned(), text: vec![Run::plain(bad)] }),
            Block::Together(vec![Block::Table(Table {
                title: bad.to_owned(),
                columns: vec![column],
                rows: vec![vec![Cell::plain(bad)]],
            })]),
        ];
        let page = blocks(&all).into_string();
        assert!(!page.contains("<script") && !page.contains("<b onclick"), "{page}");
        assert_eq!(page.matches("&lt;script&gt;").count(), 12, "{page}");
        // A line feed in text starts a line.
        assert!(page.contains("&amp;<br>&lt;script&gt;"), "{page}");
    }

    #[test]
    fn colours_of_a_terminal_are_left_out() {
        let text = printed(|out| write!(out, "\u{1b}[1mNO-GO\u{1b}[0m: as <it> is")).unwrap_or_default();
        assert_eq!(text, "NO-GO: as <it> is");
    }
}
