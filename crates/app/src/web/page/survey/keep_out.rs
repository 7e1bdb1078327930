//! Places to keep clear on a panel: listed, changed, put in and taken out.

use super::entry::{entry, hidden};
use super::{Act, Asked, Doing};
use crate::web::frame::{capital, segment};
use crate::web::page::edit::{Wish, changed};
use crate::web::shelf::{About, Known, NotChanged};
use draw::view::survey::From;
use maud::{Markup, html};
use rig::model::Panel;
use rig::{Change, key_text};

/// The two coordinates that lie in a panel, and how a person says them.
fn ways(panel: &Panel) -> [(&'static str, &'static str); 2] {
    let aft = ("aft", "How far aft of the windscreen's top edge; ahead of it is negative");
    let left = ("left", "How far left of the centreline; right is negative");
    let down = ("down", "How far below the windscreen's top edge; above it is negative");
    match From::facing(panel.normal) {
        From::Above => [aft, left],
        From::Left | From::Right => [aft, down],
        From::Ahead | From::Behind => [left, down],
    }
}

/// Whether no part of it lies on the panel.
fn is_off(panel: &Panel, k: &rig::model::KeepOut) -> bool {
    let apart = |at: f64, size: f64, of: f64| at.abs() - size / 2.0 > of / 2.0;
    apart(k.centre.0, k.size.0, panel.size.0) || apart(k.centre.1, k.size.1, panel.size.1)
}

/// What stands there, and a form for another one.
pub(super) fn of(doing: &Doing<'_>, panel: &Panel) -> Markup {
    let table = format!("panel.{}.keep_out", key_text(&panel.tag));
    html! {
        @if panel.keep_outs.is_empty() { p { "None is stated." } }
        @for k in &panel.keep_outs {
            @let one = format!("{table}.{}", key_text(&k.tag));
            section.kept aria-label=(capital(&k.tag)) {
                h3 { (capital(&k.tag)) }
                @if is_off(panel, k) { p.close { b { "It lies beside the panel. " } "Check its place." } }
                @for v in rig::stated(&doing.known.text, &one) {
                    (entry(doing, &format!("{one}.{}", v.key), &words(&v.key), ""))
                }
                @if doing.lead {
                    form method="post" action={ "/rig/" (segment(&doing.known.name)) "/survey" } data-in-place {
                        (hidden(doing, "remove"))
                        input type="hidden" name="key" value=(one);
                        button.plain { "Take " (k.tag) " out" }
                    }
                }
            }
        }
        @if doing.lead { (another(doing, panel, &table)) }
    }
}

fn words(key: &str) -> String {
    match key {
        "aft" => "Its middle: behind the windscreen's top edge".to_owned(),
        "forward" => "Its middle: ahead of the windscreen's top edge".to_owned(),
        "left" => "Its middle: left of the centreline".to_owned(),
        "right" => "Its middle: right of the centreline".to_owned(),
        "up" => "Its middle: above the windscreen's top edge".to_owned(),
        "down" => "Its middle: below the windscreen's top edge".to_owned(),
        "length" => "Along the panel".to_owned(),
        "width" => "Across the panel".to_owned(),
        other => other.to_owned(),
    }
}

fn another(doing: &Doing<'_>, panel: &Panel, table: &str) -> Markup {
    let mine = doing.refused.filter(|r| r.key == table);
    let typed = mine.map(|r| Act::spread(&r.typed)).unwrap_or_default();
    let [one, other] = ways(panel);
    let all = [
        ("tag", "What is there", "sunroof"),
        (one.0, one.1, "13-5/8 in"),
        (other.0, other.1, "0 mm"),
        ("length", "Its length along the panel", "600 mm"),
        ("width", "Its width across the panel", "24 in"),
    ];
    html! {
        details.more open[mine.is_some() || panel.keep_outs.is_empty()] {
            summary { "Another place to keep clear" }
            form.card method="post" action={ "/rig/" (segment(&doing.known.name)) "/survey" } data-in-place {
                (hidden(doing, "keep_out"))
                input type="hidden" name="key" value=(table);
                @if let Some(r) = mine { div #why-new { (r.why.words()) } }
                @for (name, says, example) in all {
                    label { (says)
                        input name=(name) required autocomplete="off" spellcheck="false" placeholder=(example) data-of=(format!("{table} {name}"))
                            value=[typed.iter().find(|(k, _)| *k == name).map(|(_, v)| v)]
                            aria-describedby=[mine.map(|_| "why-new")];
                    }
                }
                button { "Keep it clear" }
            }
        }
    }
}

/// The wish for a new one.
pub(super) fn add(act: &Act) -> Wish {
    let tag = act.tag.trim().to_owned();
    let key = format!("{}.{}", act.key, key_text(&tag));
    let with: Vec<(&'static str, String)> = act
        .places()
        .into_iter()
        .map(|(k, v)| (k, v.trim().to_owned()))
        .filter(|(_, v)| !v.is_empty())
        .collect();
    Wish {
        about: About::Key(key.clone()),
        what: format!("{tag} kept clear"),
        field: (act.key.clone(), act.gathered()),
        make: Box::new(move |station, known| {
            if tag.is_empty() {
                return Err(NotChanged::Bad(
                    "it has no name".into(),
                    "say what is there, such as sunroof".into(),
                ));
            }
            let with: Vec<(&str, &str)> = with.iter().map(|(k, v)| (*k, v.as_str())).collect();
            changed(station, known, &Change::Table { key: &key, with: &with })
        }),
    }
}

/// The wish to take one out.
pub(super) fn remove(key: String, asked: &Asked) -> Wish {
    Wish {
        about: About::Key(key.clone()),
        what: format!("{key} taken out"),
        field: (asked.step.clone(), String::new()),
        make: Box::new(move |station, known: &Known| {
            changed(station, known, &Change::Remove { parts: &[&key] })
        }),
    }
}
