//! The parts of the drawing: which one is chosen, what the file states of it, what can be done with it.

use super::layout::Asked;
use crate::print::report::Word;
use crate::web::frame::{capital, segment};
use crate::web::shelf::{Known, Steps};
use crate::web::strip;
use draw::view::{self, Part};
use maud::{Markup, html};
use rig::{Rig, Stated, key_text, stated};
use verdict::PartRef;

/// A part that is chosen.
pub(super) struct Chosen {
    part: Part,
    mark: String,
    /// Its table in the file.
    table: String,
    values: Vec<Stated>,
}

/// The table of a part in the file: `cup.FL`.
pub(super) fn table_of(rig: &Rig, part: Part) -> String {
    let mark = view::mark(rig, part);
    match (part, mark.split_once('-')) {
        (Part::Arm, _) | (_, None) => "arm".to_owned(),
        (Part::BoomSection(_), Some((_, tag))) => format!("arm.section.{}", key_text(tag)),
        (_, Some((kind, tag))) => format!("{kind}.{}", key_text(tag)),
    }
}

/// The part with a mark.
pub(super) fn marked(rig: &Rig, mark: &str) -> Option<Part> {
    view::parts(rig).into_iter().find(|p| view::mark(rig, *p) == mark)
}

fn words(mark: &str) -> String {
    capital(&mark.replacen('-', " ", 1))
}

impl Chosen {
    pub(super) fn of(known: &Known, rig: &Rig, mark: &str) -> Option<Self> {
        let part = marked(rig, mark)?;
        let table = table_of(rig, part);
        let values = stated(&known.text, &table);
        Some(Self { part, mark: mark.to_owned(), table, values })
    }
}

/// Whether a part can be let go.
pub(super) fn can_go(part: Part) -> bool {
    matches!(part, Part::Cup(_) | Part::Strap(_))
}

/// Undo and redo, with what they would do.
pub(super) fn undo(known: &Known, steps: &Steps, asked: &Asked) -> Markup {
    let of = |path: &str, words: &str, step: Option<&String>| {
        html! {
            form method="post" action={ "/rig/" (segment(&known.name)) "/" (path) } data-in-place {
                input type="hidden" name="back" value=(asked.with(&known.name, &[]));
                button.plain id=(path) disabled[step.is_none()] title=[step] { (words) @if let Some(step) = step { span.step { (step) } } }
            }
        }
    };
    html! {
        div.undo #undo data-live {
            (of("undo", "Undo", steps.undo.as_ref()))
            (of("redo", "Redo", steps.redo.as_ref()))
        }
    }
}

/// What is known of the chosen part, and what can be done with it.
pub(super) fn panel(known: &Known, chosen: &Chosen, asked: &Asked) -> Markup {
    let gone = asked.with(&known.name, &[("lost", &chosen.mark), ("worst", "")]);
    let back = asked.with(&known.name, &[("lost", "")]);
    let is_gone = asked.is_lost(&chosen.mark);
    html! {
        section.part aria-label="The chosen part" {
            h2 { (words(&chosen.mark)) }
            @if can_go(chosen.part) {
                @if is_gone { a.button href=(back) data-in-place { "Put it back" } }
                @else { a.button href=(gone) data-in-place { "Let it go" } }
            }
            (margins(known, chosen))
            table.values {
                caption { "In the file, under [" (chosen.table) "]" }
                tbody {
                    @for v in &chosen.values {
                        tr {
                            th scope="row" { (v.key) }
                            td { (v.value) }
                        }
                    }
                }
            }
        }
    }
}

/// The margins of the part, least first.
fn margins(known: &Known, chosen: &Chosen) -> Markup {
    let of = |part: PartRef| crate::drawing::drawn(part) == Some(chosen.part);
    let Some(Ok(verdict)) = known.verdict_so_far() else { return html! {} };
    let mut seen = Vec::new();
    let mine = verdict.findings.iter().filter(|f| of(f.part)).filter_map(|f| Some((f, Word::of(f)?)));
    let rows: Vec<_> = mine
        .filter(|(f, _)| {
            let new = !seen.contains(&f.check);
            seen.push(f.check);
            new
        })
        .collect();
    html! {
        ul.rows {
            @for (f, word) in rows {
                li { a href={ "/rig/" (segment(&known.name)) "/margins?check=" (f.check.row().name) "&part=" (segment(&chosen.mark)) } {
                    span.what { (f.check.row().title) } (strip::bar(f.margin, word))
                } }
            }
        }
    }
}

/// All parts, to be chosen without the drawing.
pub(super) fn list(known: &Known, rig: &Rig, asked: &Asked) -> Markup {
    html! {
        details.more #parts data-live {
            summary { "All parts" }
            ul.parts {
                @for part in view::parts(rig) {
                    @let mark = view::mark(rig, part);
                    li { a href=(asked.with(&known.name, &[("part", &mark)])) data-in-place data-part-link=(mark)
                        aria-current=[(mark == asked.part).then_some("true")] { (words(&mark)) } }
                }
            }
        }
    }
}
