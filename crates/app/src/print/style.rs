//! Colours. None stands alone: the word beside it says the same.

use anstyle::{AnsiColor, Style};
use verdict::Answer;

pub(crate) const FAIL: Style = AnsiColor::Red.on_default().bold();
pub(crate) const CLOSE: Style = AnsiColor::Yellow.on_default().bold();
pub(crate) const HOLDS: Style = AnsiColor::Green.on_default();
pub(crate) const HEAD: Style = Style::new().bold();
pub(crate) const FAINT: Style = Style::new().dimmed();

/// The text in a style.
pub(crate) fn paint(style: Style, text: &str) -> String {
    format!("{style}{text}{style:#}")
}

/// Colour of an answer.
pub(crate) fn of_answer(answer: Answer) -> Style {
    match answer {
        Answer::Go => HOLDS.bold(),
        Answer::Hold => CLOSE,
        Answer::NoGo => FAIL,
    }
}
