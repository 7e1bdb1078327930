//! What the command line and the files say about the sheet itself. No clock is read.

use crate::io::Stop;
use paper::Format;
use rig::{Diagnostic, Reading, Severity, Source, line_column};
use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::path::Path;

/// A line to write on by hand.
pub(super) const BLANK: &str = "______________________";
/// Longest text that an option may give, in characters.
const LONGEST: usize = 60;

/// Size of the sheets, as it is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Paper {
    /// 210 x 297 mm.
    A4,
    /// 8.5 x 11 in.
    Letter,
}

impl From<Paper> for Format {
    fn from(paper: Paper) -> Self {
        match paper {
            Paper::A4 => Self::A4,
            Paper::Letter => Self::Letter,
        }
    }
}

/// What stands on a sheet besides the rig.
pub(crate) struct Cover {
    pub(crate) format: Format,
    pub(crate) date: Option<String>,
    pub(crate) revision: Option<String>,
    pub(crate) job: Option<String>,
    pub(crate) by: Option<String>,
    /// The files and their sums, the rig file first.
    pub(crate) files: Vec<(String, String)>,
    /// The sum of all, in hex.
    pub(crate) fingerprint: String,
    /// What the reader warns of in the files.
    pub(crate) warnings: Vec<String>,
}

impl Cover {
    /// Revision and short fingerprint.
    pub(crate) fn mark(&self) -> String {
        let short = self.short();
        self.revision.as_ref().map_or(short.clone(), |r| format!("rev {r}, {short}"))
    }

    /// The first 16 digits of the fingerprint, in fours.
    pub(crate) fn short(&self) -> String {
        fours(self.fingerprint.get(..16).unwrap_or(&self.fingerprint))
    }
}

/// `4f2a91c0` as `4f2a 91c0`.
pub(super) fn fours(hex: &str) -> String {
    let digits: Vec<char> = hex.chars().collect();
    let groups: Vec<String> = digits.chunks(4).map(|c| c.iter().collect()).collect();
    groups.join(" ")
}

fn sum(bytes: &[u8]) -> String {
    let mut out = String::new();
    for byte in Sha256::digest(bytes) {
        // A String takes everything that is written to it.
        let _ = write!(out, "{byte:02x}");
    }
    out
}

/// What the reader warns of: the place, what it is and why it matters.
pub(crate) fn warnings(reading: &Reading) -> Vec<String> {
    let warnings = reading.diagnostics.iter().filter(|d| d.severity == Severity::Warning);
    let place = |d: &Diagnostic| {
        let source = reading.sources.get(d.source)?;
        Some(format!("{}, line {}: ", one_line(&source.name), line_column(&source.text, d.span.start).0))
    };
    warnings
        .map(|d| {
            let why = if d.why.is_empty() { String::new() } else { format!(" ({})", d.why) };
            format!("{}{}{why}.", place(d).unwrap_or_default(), d.message)
        })
        .collect()
}

/// The files with their sums, and one sum for all: of one file its own, of several that of their sums, a line each.
pub(crate) fn fingerprint(sources: &[Source]) -> (Vec<(String, String)>, String) {
    // On paper the folder of one machine says nothing.
    let name = |s: &Source| {
        Path::new(&s.name).file_name().map_or(s.name.clone(), |n| n.to_string_lossy().into_owned())
    };
    let files: Vec<(String, String)> = sources.iter().map(|s| (name(s), sum(s.text.as_bytes()))).collect();
    let whole = match &files[..] {
        [(_, one)] => one.clone(),
        all => sum(all.iter().flat_map(|(_, s)| [s.as_str(), "\n"]).collect::<String>().as_bytes()),
    };
    (files, whole)
}

/// A text of one line: what would break it is a blank.
pub(crate) fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// What an option says, fit to stand on the sheet.
pub(crate) fn said(option: &str, text: Option<&str>) -> Result<Option<String>, Stop> {
    let Some(text) = text else { return Ok(None) };
    let line = one_line(text).trim().to_owned();
    if line.is_empty() {
        return Err(Stop::bad(
            format!("{option} says nothing"),
            format!("write something after it, or leave out {option}"),
        ));
    }
    if line.chars().count() > LONGEST {
        return Err(Stop::bad(
            format!("{option} is longer than {LONGEST} characters"),
            "it stands on one line of the sheet: shorten it",
        ));
    }
    Ok(Some(line))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(name: &str, text: &str) -> Source {
        Source { name: name.to_owned(), text: text.to_owned() }
    }

    #[test]
    fn a_fingerprint_is_the_published_sum() {
        // FIPS 180-2, appendix B.1.
        let (files, whole) = fingerprint(&[source("a", "abc")]);
        assert_eq!(whole, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(files, [("a".to_owned(), whole.clone())]);
        assert_eq!(fingerprint(&[source("rigs/a", "abc")]), (files, whole));
    }

    #[test]
    fn what_moves_from_one_file_to_the_next_changes_it() {
        let of = |a: &str, b: &str| fingerprint(&[source("a", a), source("b", b)]).1;
        assert_ne!(of("ab", "c"), of("a", "bc"));
        assert_ne!(of("a", "b"), of("b", "a"));
        assert_ne!(of("a", ""), fingerprint(&[source("a", "a")]).1);
    }

    #[test]
    fn options_stand_on_one_line() {
        assert_eq!(fours("4f2a91c0a"), "4f2a 91c0 a");
        assert_eq!(said("--by", Some(" A\nB ")).unwrap().as_deref(), Some("A B"));
        assert!(said("--by", Some("  ")).is_err() && said("--by", Some(&"x".repeat(61))).is_err());
        assert_eq!(said("--by", None).unwrap(), None);
    }
}
