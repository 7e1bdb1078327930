//! What all pages look like: head, the way to the other pages, and the ground they stand on.

use super::gate::{Person, Role};
use super::state::Station;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::fmt::Write as _;

/// A page about a rig: its address after the rig's name, what it is called, what it is for.
pub(crate) struct Place {
    pub(crate) path: &'static str,
    pub(crate) title: &'static str,
    pub(crate) says: &'static str,
}

/// What a page is about, and which of the pages about it it is.
#[derive(Clone, Copy)]
pub(crate) enum Of<'a> {
    /// Neither a rig nor a job.
    Nothing,
    /// A rig file by name.
    Rig(&'a str, &'a str),
    /// A job by id and name.
    Job(&'a str, &'a str, &'a str),
}

fn way(of: Of<'_>) -> Markup {
    let (says, called, start, places, here) = match of {
        Of::Nothing => return html! {},
        Of::Rig(name, here) => {
            ("Pages of this rig", name, format!("/rig/{}/", segment(name)), super::page::PLACES, here)
        }
        Of::Job(id, name, here) => {
            ("Pages of this job", name, format!("/job/{}/", segment(id)), super::page::OF_JOB, here)
        }
    };
    html! {
        nav aria-label=(says) {
            span.called { (called) }
            @for place in places {
                @let current = place.path == here;
                a href={ (start) (place.path) } title=(place.says) aria-current=[current.then_some("page")] { (place.title) }
            }
        }
    }
}

/// A page to be framed.
pub(crate) struct Page<'a> {
    /// What stands in the browser's title, and over the page.
    pub(crate) title: &'a str,
    /// What it is about.
    pub(crate) of: Of<'a>,
    /// What news make it look again, separated by spaces: `rig`, `verdict`, `entry`, `people`.
    pub(crate) hears: &'a str,
    /// The page itself.
    pub(crate) body: Markup,
}

/// A segment of an address: what is no letter or digit is written as bytes.
pub(crate) fn segment(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, b| {
        if b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.' | b'~') {
            out.push(char::from(b));
        } else {
            // Writing to a string does not fail.
            let _ = write!(out, "%{b:02X}");
        }
        out
    })
}

fn head(title: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            title { (title) " · clingfish" }
            link rel="icon" href="/assets/icon.svg" type="image/svg+xml";
            link rel="stylesheet" href={ "/assets/" (super::assets::STYLE.name) };
            script type="module" src={ "/assets/" (super::assets::SCRIPT.name) } {}
        }
    }
}

/// A page for whoever is in.
pub(crate) fn page(station: &Station, person: &Person, page: &Page<'_>) -> Markup {
    let watched = if let Of::Rig(name, _) = page.of { name } else { "" };
    let now_ms = station.which.clock.now().map_or(0, |now| now.timestamp().as_millisecond());
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(page.title))
            body data-hears=(page.hears) data-rig=(watched) data-role=(person.role.word()) data-who=(person.name) data-now=(now_ms) {
                a.skip href="#main" { "To the page" }
                header.top {
                    a.home href="/" { "clingfish" }
                    (way(page.of))
                    button.plain.sound data-sound aria-pressed="false" hidden { "Sound is off" }
                    nav.who aria-label="Who is in" {
                        @if person.role == Role::Lead { a href="/people" { "Phones" } }
                        a href="/me" { (person.name) ", " (person.role.word()) }
                    }
                }
                (super::page::bar(&station.alerts.of(person.device)))
                p.line #line role="status" aria-live="polite" hidden {}
                main #main tabindex="-1" { (page.body) }
                footer.bottom data-print="no" {
                    p { "Rigging on cars can hurt people. The numbers here do not replace a test, the maker's limits, local rules or a licensed engineer." }
                    p { "Folder " (station.shelf.folder().display()) }
                }
            }
        }
    }
}

/// A page for whoever is not in, or has lost the way.
pub(crate) fn bare(title: &str, words: &str) -> Markup {
    alone(title, &html! { h1 { (title) } p { (words) } p { a.button href="/" { "To the rigs" } } })
}

/// A page without the way to the others.
pub(crate) fn alone(title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(title))
            body data-hears="" {
                header.top { a.home href="/" { "clingfish" } }
                main #main tabindex="-1" { (body) }
            }
        }
    }
}

/// What went wrong, and how to mend it.
pub(crate) fn wrong(what: &str, mend: &str) -> Markup {
    html! {
        div.wrong role="alert" {
            p { strong { (plain(what)) } }
            @if !mend.is_empty() { p { (plain(mend)) } }
        }
    }
}

/// A message of the reader as a sentence on a page: what it quotes stands in quotation marks.
pub(crate) fn plain(text: &str) -> String {
    capital(&quoting(text))
}

/// What stands between ticks stands in quotation marks.
pub(crate) fn quoting(text: &str) -> String {
    let mut open = false;
    text.chars()
        .map(|c| {
            if c != '`' {
                return c;
            }
            open = !open;
            if open { '“' } else { '”' }
        })
        .collect()
}

/// With a capital first letter, as a sentence begins.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// A drawing or chart as it is.
pub(crate) fn svg(text: &str) -> Markup {
    // Everything that stands in it was made safe where it was drawn.
    PreEscaped(text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_in_an_address_stays_one_segment() {
        assert_eq!(segment("estate-arm"), "estate-arm");
        assert_eq!(segment("a/b?c#d\" é"), "a%2Fb%3Fc%23d%22%20%C3%A9");
    }

    #[test]
    fn what_was_typed_is_text_on_a_page() {
        let page = bare("<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>").into_string();
        assert!(!page.contains("<script>alert") && !page.contains("<img"), "{page}");
    }
}
