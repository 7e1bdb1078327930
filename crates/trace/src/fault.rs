//! What is wrong with a trace, where, and how to mend it.

use core::fmt;

/// A trace that cannot be read, or could be read two ways.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Line of the file, from 1; none where it is the whole file.
    pub line: Option<u64>,
    /// Name and number of the column, from 1; none where it is the whole line.
    pub column: Option<(String, usize)>,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl Fault {
    pub(crate) fn whole(what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { line: None, column: None, what: what.into(), mend: mend.into() }
    }

    pub(crate) fn at_line(self, line: u64) -> Self {
        Self { line: Some(line), ..self }
    }

    pub(crate) fn in_column(self, name: &str, number: usize) -> Self {
        Self { column: Some((name.to_owned(), number)), ..self }
    }
}

/// A piece of the file as it may be shown: short, and without control characters.
pub(crate) fn shown(text: &str) -> String {
    const MOST: usize = 40;
    let clean: String = text.chars().take(MOST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().count() > MOST { format!("{clean}...") } else { clean }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}")?;
            if let Some((name, number)) = &self.column {
                write!(f, ", column {number} ({})", shown(name))?;
            }
            write!(f, ": ")?;
        }
        write!(f, "{}", self.what)
    }
}

impl std::error::Error for Fault {}
