//! The parts of the drawing: which one is chosen, what the file states of it, what can be done with it.

use super::layout::{Asked, Refused};
use crate::print::report::Word;
use crate::web::frame::{capital, segment};
use crate::web::shelf::{Known, Steps};
use crate::web::strip;
use draw::view::{self, Part, View};
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
    key_of_mark(&view::mark(rig, part))
}

/// The table of a part by its mark, without the rig: `cup.FL`.
pub(super) fn key_of_mark(mark: &str) -> String {
    match mark.split_once('-') {
        Some(("section", tag)) => format!("arm.section.{}", key_text(tag)),
        Some((kind, tag)) => format!("{kind}.{}", key_text(tag)),
        None => mark.to_owned(),
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
    undo_to(known, steps, &asked.with(&known.name, &[]))
}

/// The same on any page of a rig: `back` is its address.
pub(super) fn undo_to(known: &Known, steps: &Steps, back: &str) -> Markup {
    let of = |path: &str, words: &str, step: Option<&String>| {
        html! {
            form method="post" action={ "/rig/" (segment(&known.name)) "/" (path) } data-in-place {
                input type="hidden" name="back" value=(back);
                button.plain id=(path) disabled[step.is_none()] title=[step] { (words) @if let Some(step) = step { span.step { (step) } } }
            }
        }
    };
    html! {
        div.undo #steps data-live {
            (of("undo", "Undo", steps.undo.as_ref()))
            (of("redo", "Redo", steps.redo.as_ref()))
        }
    }
}

/// What is known of the chosen part, and what can be done with it.
pub(super) fn panel(
    known: &Known,
    chosen: &Chosen,
    asked: &Asked,
    lead: bool,
    refused: Option<&Refused>,
) -> Markup {
    let gone = asked.with(&known.name, &[("lost", &chosen.mark), ("worst", "")]);
    let back = asked.with(&known.name, &[("lost", "")]);
    html! {
        section.part aria-label="The chosen part" {
            h2 { (words(&chosen.mark)) }
            @if can_go(chosen.part) {
                @if asked.is_lost(&chosen.mark) { a.button href=(back) data-in-place { "Put it back" } }
                @else { a.button href=(gone) data-in-place { "Let it go" } }
            }
            (margins(known, chosen))
            @if lead { (tools(known, chosen, asked)) }
            table.values {
                caption { "In the file, under [" (chosen.table) "]" }
                tbody {
                    @for v in &chosen.values {
                        tr {
                            th scope="row" { (v.key) }
                            td { @if lead && v.single { (field(known, chosen, v, asked, refused)) } @else { (v.value) } }
                        }
                    }
                }
            }
        }
    }
}

/// What every form of a change sends along.
fn base(known: &Known, asked: &Asked) -> Markup {
    html! {
        input type="hidden" name="revision" value=(known.revision);
        input type="hidden" name="back" value=(asked.with(&known.name, &[]));
    }
}

/// Steps, mirror, remove.
fn tools(known: &Known, chosen: &Chosen, asked: &Asked) -> Markup {
    let start = format!("/rig/{}/", segment(&known.name));
    let also = rig::dependents(&known.text, &chosen.table);
    let up = matches!(asked.view(), View::Side | View::Front);
    let ways: &[(&str, &str, &str)] = if up {
        &[
            ("up", "ArrowUp", "Up"),
            ("down", "ArrowDown", "Down"),
            ("forward", "ArrowLeft", "Forward"),
            ("back", "ArrowRight", "Back"),
        ]
    } else {
        &[
            ("forward", "ArrowUp", "Forward"),
            ("back", "ArrowDown", "Back"),
            ("left", "ArrowLeft", "Left"),
            ("right", "ArrowRight", "Right"),
        ]
    };
    let moves = !matches!(chosen.part, Part::Strap(_) | Part::BoomSection(_) | Part::Arm);
    let mirrors = !matches!(chosen.part, Part::BoomSection(_) | Part::Arm);
    html! {
        @if moves {
            form.pad method="post" action={ (start) "nudge" } data-in-place aria-label="One step" {
                (base(known, asked))
                input type="hidden" name="part" value=(chosen.mark);
                @for (way, key, says) in ways { button.plain name="way" value=(way) data-key=(key) { (says) } }
            }
        }
        @if mirrors {
            div.pad {
                form method="post" action={ (start) "mirror" } data-in-place {
                    (base(known, asked))
                    input type="hidden" name="part" value=(chosen.mark);
                    button.plain { "Mirror across the centreline" }
                }
                form method="post" action={ (start) "remove" } data-in-place {
                    (base(known, asked))
                    input type="hidden" name="part" value=(chosen.mark);
                    button.plain { @if also.is_empty() { "Remove" } @else { "Remove, with what needs it" } }
                    @if !also.is_empty() { p.echo { "Goes too: " (also.join(", ")) } }
                }
            }
        }
    }
}

/// A value as it is typed, and in the other system.
fn field(known: &Known, chosen: &Chosen, v: &Stated, asked: &Asked, refused: Option<&Refused>) -> Markup {
    let key = format!("{}.{}", chosen.table, v.key);
    let mine = refused.filter(|r| r.key == key);
    let why = format!("why-{}", v.key);
    html! {
        form method="post" action={ "/rig/" (segment(&known.name)) "/set" } data-in-place {
            (base(known, asked))
            input type="hidden" name="key" value=(key);
            input name="value" autocomplete="off" spellcheck="false" aria-label={ (words(&chosen.mark)) ": " (v.key) } data-of=(key)
                value=(mine.map_or(v.value.as_str(), |r| r.typed.as_str())) aria-invalid=[mine.map(|_| "true")]
                aria-describedby=[mine.map(|_| why.as_str())];
            button.plain aria-label={ "Set " (v.key) } { "Set" }
            @if let Some(r) = mine { div.echo id=(why) { (r.why.words()) } }
            @else if let Some(both) = both(&v.value) { span.echo { (both) } }
        }
    }
}

/// A quantity in both systems; none where it is none.
fn both(value: &str) -> Option<String> {
    let read = |kind: &quantity::Kind| Some((quantity::parse_kind(value, *kind).ok()?, *kind));
    // A bare number says nothing of its unit.
    if value.trim().parse::<f64>().is_ok() {
        return None;
    }
    quantity::Kind::ALL.iter().find_map(read).map(|(v, kind)| quantity::both_kind(v, kind))
}

/// A new part.
pub(super) fn add(known: &Known, rig: &Rig, asked: &Asked, refused: Option<&Refused>) -> Markup {
    let mine = refused.filter(|r| r.key == "add");
    let like = |kind: &str, names: Vec<&str>| -> Vec<String> {
        let own = names.into_iter().map(str::to_owned);
        let built_in = rig::catalogue().into_iter().filter(|l| l.kind == kind).map(|l| l.name);
        let mut all: Vec<String> = own.chain(built_in).filter(|n| !n.is_empty()).collect();
        all.sort();
        all.dedup();
        all
    };
    let clamps = rig.clamps.iter().map(|c| c.part.as_str()).collect();
    let items: Vec<String> =
        [like("cup", Vec::new()), like("tube", Vec::new()), like("clamp", clamps), like("strap", Vec::new())]
            .concat();
    html! {
        details.more #add data-live open[mine.is_some()] {
            summary { "Add a part" }
            form.card method="post" action={ "/rig/" (segment(&known.name)) "/add" } data-in-place {
                (base(known, asked))
                @if let Some(r) = mine { (r.why.words()) }
                label { "What" select name="kind" {
                    @for kind in ["cup", "tube", "clamp", "strap", "item"] { option value=(kind) { (kind) } }
                } }
                label { "Which; empty: like the nearest" input name="item" list="items" autocomplete="off"; }
                datalist id="items" { @for i in &items { option value=(i) {} } }
                label { "How far aft of the datum" input name="aft" required autocomplete="off" placeholder="380 mm"; }
                label { "How far left of the centreline; right is negative" input name="left" required autocomplete="off" placeholder="-16-1/2 in"; }
                label { "Mass, of an item" input name="mass" autocomplete="off" placeholder="0.9 kg"; }
                button { "Add it" }
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
