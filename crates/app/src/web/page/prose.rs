//! What a command prints, set for a page: sentences flow as wide as the screen is, tables keep their columns.

use crate::print::text::WIDTH;
use crate::web::frame::quoting;
use maud::{Markup, html};

/// A piece of what is printed.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Piece {
    Head(String),
    Text(String),
    /// With its number or dash.
    Item(String),
    /// Lines as they are; the least indent of a row.
    Table(Vec<String>, usize),
}

fn indent(line: &str) -> usize {
    line.chars().take_while(|c| *c == ' ').count()
}

/// The number or dash of a point of a list, with the blanks behind it.
fn marker(line: &str) -> Option<usize> {
    let text = line.trim_start();
    let digits = text.chars().take_while(char::is_ascii_digit).count();
    let mark = match digits {
        0 if text.starts_with("- ") => 1,
        0 => return None,
        n if text[n..].starts_with(". ") => n + 1,
        _ => return None,
    };
    Some(mark + indent(&text[mark..]))
}

/// Whether a line has columns: blanks side by side within it.
fn has_columns(line: &str) -> bool {
    let text = line.trim();
    text[marker(text).unwrap_or_default()..].contains("  ")
}

/// Whether a line is only there because the one before it was full, or stopped at a comma. `hangs`: the indent of the lines after the
/// first, where there are some.
fn goes_on(before: &str, line: &str, hangs: Option<usize>) -> bool {
    let word = line.split_whitespace().next().map_or(0, |w| w.chars().count());
    let full = before.chars().count() + 1 + word > WIDTH;
    (full || before.ends_with(',')) && hangs.is_none_or(|hangs| hangs == indent(line))
}

fn pieces(text: &str) -> Vec<Piece> {
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    let mut out: Vec<Piece> = Vec::new();
    let (mut before, mut hangs) = ("", None);
    for (at, line) in lines.iter().copied().enumerate() {
        let next = lines.get(at + 1).copied().unwrap_or_default();
        let (open, count) = (!before.is_empty(), out.len());
        match out.last_mut() {
            _ if line.is_empty() => {}
            _ if has_columns(line) => match out.last_mut() {
                Some(Piece::Table(rows, least)) if open => {
                    rows.push(line.to_owned());
                    *least = indent(line).min(*least);
                }
                _ => out.push(Piece::Table(vec![line.to_owned()], indent(line))),
            },
            // What stands under a row and further in belongs to it.
            Some(Piece::Table(rows, least)) if open && indent(line) > *least => rows.push(line.to_owned()),
            Some(Piece::Text(words) | Piece::Item(words))
                if open && marker(line).is_none() && goes_on(before, line, hangs) =>
            {
                hangs = Some(indent(line));
                words.push(' ');
                words.push_str(line.trim_start());
            }
            _ if marker(line).is_some() => out.push(Piece::Item(line.trim_start().to_owned())),
            _ if !open && indent(line) == 0 && indent(next) > 0 => out.push(Piece::Head(line.to_owned())),
            _ => out.push(Piece::Text(line.trim_start().to_owned())),
        }
        if !matches!(out.last(), Some(Piece::Text(_) | Piece::Item(_))) || out.len() > count {
            hangs = None;
        }
        before = line;
    }
    out
}

/// The same on a page. `label` names it, and what is wider than the screen in it, for who cannot see it.
pub(super) fn words(label: &str, text: &str) -> Markup {
    html! {
        section.said aria-label=(label) {
            @for piece in pieces(text) {
                @match piece {
                    Piece::Head(words) => { h3 { (words) } }
                    Piece::Text(words) => { p { (quoting(&words)) } }
                    Piece::Item(words) => { p.item { (quoting(&words)) } }
                    Piece::Table(rows, least) => {
                        pre tabindex="0" role="region" aria-label={ (label) ": " (rows[0].trim()) } {
                            @for row in &rows { (row.get(least..).unwrap_or_default()) "\n" }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRINTED: &str = "\
Balance of the boom
  payload 5.9 kg (13 lb), isolator 1.2 kg (2.65 lb); counterweight 25.00 kg
  (55.1 lb), 600 mm (23-5/8 in) behind the pivot

TILT DRIVE, as it hangs now
  angle      hold it still    in the plan
                N·m  ft·lbf
  30° up        6.6     4.8
    cable trunk under it
  At the worst: 99 N·m (73 ft·lbf).
  When: left-bend at 40 km/h,
  wet.

LENS CHANGE
  250 g (8.82 oz) heavier: slide the weight 16.3 mm (5/8 in) back; or 713 g and
    more of it, or plates +0.5 kg, 2.68 N·m (1.98 ft·lbf) of it, as in the plan.
  500 g (1.1 lb) heavier.

Mind
  1. Put on 1 kg (2.2 lb)
  - Bleed or wind down a spring before you open the unit: it is loaded. Keep far
    off the stops.
";

    #[test]
    fn sentences_flow_and_columns_stay() {
        let text = |t: &str| Piece::Text(t.to_owned());
        let table = [
            "  angle      hold it still    in the plan",
            "                N·m  ft·lbf",
            "  30° up        6.6     4.8",
            "    cable trunk under it",
        ];
        assert_eq!(
            pieces(PRINTED),
            [
                Piece::Head("Balance of the boom".into()),
                text("payload 5.9 kg (13 lb), isolator 1.2 kg (2.65 lb); counterweight 25.00 kg (55.1 lb), 600 mm (23-5/8 in) behind the pivot"),
                Piece::Head("TILT DRIVE, as it hangs now".into()),
                Piece::Table(table.map(str::to_owned).to_vec(), 2),
                text("At the worst: 99 N·m (73 ft·lbf)."),
                text("When: left-bend at 40 km/h, wet."),
                Piece::Head("LENS CHANGE".into()),
                text("250 g (8.82 oz) heavier: slide the weight 16.3 mm (5/8 in) back; or 713 g and more of it, or plates +0.5 kg, 2.68 N·m (1.98 ft·lbf) of it, as in the plan."),
                text("500 g (1.1 lb) heavier."),
                Piece::Head("Mind".into()),
                Piece::Item("1. Put on 1 kg (2.2 lb)".into()),
                Piece::Item("- Bleed or wind down a spring before you open the unit: it is loaded. Keep far off the stops.".into()),
            ]
        );
    }

    #[test]
    fn nothing_that_is_printed_is_lost_and_none_of_it_is_markup() {
        let page = words("a label", &format!("{PRINTED}<script>\n")).into_string();
        assert!(!page.contains("<script>") && page.contains("&lt;script&gt;"));
        let plain = |t: &str| t.split(|c: char| c.is_whitespace()).collect::<String>();
        let shown = page.split('<').filter_map(|t| t.split_once('>')).map(|(_, t)| t).collect::<String>();
        assert_eq!(
            plain(&shown.replace("&lt;", "<").replace("&gt;", ">")),
            plain(&format!("{PRINTED}<script>"))
        );
    }
}
