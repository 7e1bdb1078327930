//! The verdict for the terminal.

use super::report::{Governs, Moved, Report, Row, Settle, Word};
use super::style::{self, paint};
use super::text::{count, hang, margin};
use anstyle::Style;
use std::io::{self, Write};
use verdict::Answer;

/// The cautions that stand under every verdict.
pub(crate) const CAUTIONS: &[&str] = &[
    "This plans and records; it approves nothing. A competent person signs the rig off. Law, road authority, makers, \
     insurer and licensed engineers come first, and the lowest rating wins.",
    "What goes in decides what comes out: weigh, measure, read the gauges.",
    "Nobody on, under or within the sweep of the rig. Keep away from overhead lines.",
    "A second line that needs no vacuum holds every rig.",
    "Stop and check again after rain, heat, a hard stop, a kerb, or a gauge that drops.",
];

/// Writes the whole report.
pub(crate) fn write(out: &mut dyn Write, r: &Report) -> io::Result<()> {
    banner(out, r)?;
    if let Some(g) = &r.governs {
        governs(out, g, r.answer)?;
    }
    head(out, "Checks")?;
    writeln!(out, "{:<65}{:>7}{:>8}", "  least margin", "intact", "1 lost")?;
    for row in &r.rows {
        check(out, row)?;
    }
    writeln!(out)?;
    hang(
        out,
        "  ",
        "Margin = capacity / (required factor x demand): 1.00 is just enough, under 1.15 is close.",
    )?;
    if !r.notes.is_empty() {
        head(out, "Notes")?;
        for (id, text) in &r.notes {
            hang(out, "  - ", &format!("{}. {text}", id.row().title))?;
        }
    }
    if !r.holds.is_empty() {
        let reason = if r.answer == Answer::NoGo { "To settle as well" } else { "To settle before a GO" };
        head(out, reason)?;
        for (i, hold) in r.holds.iter().enumerate() {
            settle(out, i + 1, hold)?;
        }
    }
    assumed(out, r)?;
    head(out, "How far this looked")?;
    hang(out, "  ", &r.scope)?;
    head(out, "Always")?;
    for caution in CAUTIONS {
        hang(out, "  - ", caution)?;
    }
    Ok(())
}

fn head(out: &mut dyn Write, text: &str) -> io::Result<()> {
    writeln!(out, "\n{}", paint(style::HEAD, text))
}

fn banner(out: &mut dyn Write, r: &Report) -> io::Result<()> {
    let (word, colour) = (r.answer.word(), style::of_answer(r.answer));
    let rule = format!("+{}+", "-".repeat(word.chars().count() + 4));
    writeln!(out, "{}", paint(colour, &rule))?;
    writeln!(out, "{}", paint(colour, &format!("|  {word}  |")))?;
    writeln!(out, "{}", paint(colour, &rule))?;
    hang(out, "", &r.name)?;
    writeln!(out)?;
    hang(out, "  ", &r.why)
}

fn governs(out: &mut dyn Write, g: &Governs, answer: Answer) -> io::Result<()> {
    head(out, "What governs")?;
    let line = format!("{} {}", margin(g.margin), g.word.text());
    writeln!(out, "  {}  {}", paint(colour(g.word), &line), g.check.row().title)?;
    hang(out, "  ", &g.state())?;
    for (label, text) in g.asked.words() {
        hang(out, &format!("  {label:<14}"), &text)?;
    }
    if answer != Answer::NoGo && g.word == Word::Close {
        hang(out, "  ", "Close: little is left for what nobody thought of.")?;
    }
    hang(out, "  ", &format!("The sum behind it: clingfish explain RIG {}", g.check.row().name))
}

pub(crate) fn colour(word: Word) -> Style {
    match word {
        Word::Fails | Word::NotChecked => style::FAIL,
        Word::Close => style::CLOSE,
        Word::Holds => style::HOLDS,
    }
}

fn check(out: &mut dyn Write, row: &Row) -> io::Result<()> {
    let (id, word) = (row.check.row(), row.word);
    if word == Word::NotChecked {
        writeln!(out, "  {}  {} ({})", paint(colour(word), word.text()), id.title, id.name)?;
        return hang(out, "               ", &row.detail);
    }
    let number = row.margin.map_or("  yes".to_owned(), margin);
    let cell = |m: Option<f64>| m.map_or("-".to_owned(), margin);
    let (intact, lost) = if row.margin.is_none() {
        (String::new(), String::new())
    } else {
        (cell(row.intact), cell(row.lost))
    };
    let title = format!("{} ({})", id.title, id.name);
    let head = format!("{number:>5} {:<5}", word.text());
    let text = format!("  {}  {title:<50}{intact:>7}{lost:>8}", paint(colour(word), &head));
    writeln!(out, "{}", text.trim_end())?;
    if row.detail.is_empty() { Ok(()) } else { hang(out, "               ", &row.detail) }
}

fn settle(out: &mut dyn Write, number: usize, hold: &Settle) -> io::Result<()> {
    hang(out, &format!("{number:>3}. "), &hold.what)?;
    hang(out, "     why:    ", &hold.why)?;
    hang(out, "     settle: ", &hold.how)?;
    hang(out, "     write:  ", &keys(&hold.keys))
}

/// `pull_rating under [cup.FL], [cup.FR]`.
pub(crate) fn keys(keys: &[String]) -> String {
    let split: Option<Vec<(&str, &str)>> = keys.iter().map(|k| k.rsplit_once('.')).collect();
    let plain = |t: &str| !t.contains(['*', '"', ' ', '(']) && t.matches('.').count() < 2;
    match split.as_deref() {
        Some(all @ [(_, last), ..]) if all.iter().all(|(t, l)| l == last && plain(t)) => {
            let tables: Vec<String> = all.iter().map(|(t, _)| format!("[{t}]")).collect();
            format!("{last} under {}", tables.join(", "))
        }
        _ => keys.join(", "),
    }
}

fn assumed(out: &mut dyn Write, r: &Report) -> io::Result<()> {
    if r.moved.is_empty() && r.still == 0 {
        return Ok(());
    }
    head(out, assumed_head(r.answer))?;
    for m in &r.moved {
        hang(out, "  - ", &moved_words(m))?;
    }
    if r.still > 0 { hang(out, "  ", &still_words(r)) } else { Ok(()) }
}

/// What the list of assumed values is.
pub(crate) fn assumed_head(answer: Answer) -> &'static str {
    match answer {
        Answer::NoGo => "Assumed values at the ends that might help, and the least margin then",
        _ => "Assumed values, and what they do to the least margin",
    }
}

/// `panel.roof.friction = 0.2: 1.03 (cup slides on the panel)`.
pub(crate) fn moved_words(m: &Moved) -> String {
    format!("{} = {}: {} ({})", m.name, m.value, margin(m.least), m.check.row().title.to_lowercase())
}

/// The assumed values that hardly matter, counted.
pub(crate) fn still_words(r: &Report) -> String {
    let others = if r.moved.is_empty() { "assumed value" } else { "other assumed value" };
    let moves = if r.still == 1 { "moves" } else { "move" };
    format!("{} {moves} it by 2 % or less each.", count(r.still, others))
}

#[cfg(test)]
mod tests {
    use super::keys;

    #[test]
    fn keys_read_as_the_file_is_written() {
        let k = |list: &[&str]| keys(&list.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>());
        assert_eq!(k(&["cup.FL.pull_rating", "cup.FR.pull_rating"]), "pull_rating under [cup.FL], [cup.FR]");
        assert_eq!(k(&["vehicle.gross_limit"]), "gross_limit under [vehicle]");
        assert_eq!(k(&["cup.*.loss"]), "cup.*.loss");
        assert_eq!(k(&["manoeuvre.kerb.bump.height"]), "manoeuvre.kerb.bump.height");
    }
}
