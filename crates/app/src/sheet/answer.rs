//! GO, HOLD or NO-GO, why, what governs, and what is to be settled.

use super::Sheet;
use super::table::{fit, head, points, share, table, text, under};
use crate::print::picture::capital;
use crate::print::report::Word;
use crate::print::text::margin;
use crate::print::verdict::keys;
use paper::{Banner, Block, Cell, Run, Tone};
use verdict::Answer;

pub(super) fn part(sheet: &Sheet<'_>) -> Vec<Block> {
    let r = sheet.report;
    let tone = match r.answer {
        Answer::Go => Tone::Good,
        Answer::Hold => Tone::Wait,
        Answer::NoGo => Tone::Bad,
    };
    let banner = Banner { tone, word: r.answer.word().to_owned(), text: vec![Run::plain(&r.why)] };
    let mut out = vec![head("Verdict"), Block::Banner(banner)];
    if let Some(g) = &r.governs {
        let mut lines = vec![
            Run::bold(format!(
                "What governs: {}, margin {} ({}). ",
                g.check.row().title,
                margin(g.margin),
                g.word.text()
            )),
            Run::plain(format!("{}.\n", capital(&g.state()))),
        ];
        let numbers: Vec<String> =
            g.asked.words().iter().map(|(label, text)| format!("{label} {text}")).collect();
        lines.push(Run::plain(format!("{}. ", capital(&numbers.join("; ")))));
        lines.push(Run::faint("A margin of 1.00 is exactly what is required; under 1.15 is close."));
        out.push(Block::Text(lines));
        if r.answer != Answer::NoGo && g.word == Word::Close {
            out.push(text("Close: little is left for what nobody thought of."));
        }
    }
    if let Some(list) = points(sheet.cover.warnings.iter().map(String::as_str)) {
        out.extend([under("Warnings of the reader"), list]);
    }
    if !r.holds.is_empty() {
        out.push(under(if r.answer == Answer::NoGo { "To settle as well" } else { "To settle before a GO" }));
        let rows = r.holds.iter().enumerate().map(|(i, h)| {
            vec![
                Cell::plain(format!("{}", i + 1)),
                Cell::plain(&h.what),
                Cell::plain(&h.why),
                Cell::plain(&h.how),
                Cell::plain(keys(&h.keys)),
            ]
        });
        let columns = vec![
            fit(""),
            share("missing or guessed", 3.0),
            share("why", 2.0),
            share("how to settle it", 3.0),
            share("write", 2.0),
        ];
        out.extend(table("", columns, rows.collect()));
    }
    out
}
