//! What every text that goes into the record is checked for.

use crate::fault::{Fault, shown};

fn chars(what: &str, text: &str, most: usize, may: fn(char) -> bool) -> Result<(), Fault> {
    let found = text.chars().count();
    if found > most {
        return Err(Fault::TooLong {
            what: what.into(),
            found: found as u64,
            limit: most as u64,
            unit: "characters",
        });
    }
    clean(what, text, may)
}

fn clean(what: &str, text: &str, may: fn(char) -> bool) -> Result<(), Fault> {
    match text.chars().enumerate().find(|(_, c)| c.is_control() && !may(*c)) {
        Some((i, c)) => Err(Fault::Control { what: what.into(), at: i + 1, code: u32::from(c) }),
        None => Ok(()),
    }
}

fn filled(what: &str, text: &str) -> Result<(), Fault> {
    if text.trim().is_empty() { Err(Fault::Empty { what: what.into() }) } else { Ok(()) }
}

fn line_end(c: char) -> bool {
    matches!(c, '\n' | '\r' | '\t')
}

/// One line that must say something.
pub(crate) fn line(what: &str, text: &str, most: usize) -> Result<(), Fault> {
    filled(what, text)?;
    chars(what, text, most, |_| false)
}

/// One line that may be left empty.
pub(crate) fn maybe(what: &str, text: &str, most: usize) -> Result<(), Fault> {
    chars(what, text, most, |_| false)
}

/// Several lines that must say something.
pub(crate) fn lines(what: &str, text: &str, most: usize) -> Result<(), Fault> {
    filled(what, text)?;
    chars(what, text, most, line_end)
}

/// The text of a file: lines and tabs, no other control characters; the limit is in bytes.
pub(crate) fn file(what: &str, text: &str, most_bytes: usize) -> Result<(), Fault> {
    filled(what, text)?;
    if text.len() > most_bytes {
        let (found, limit) = (text.len() as u64, most_bytes as u64);
        return Err(Fault::TooLong { what: what.into(), found, limit, unit: "bytes" });
    }
    clean(what, text, line_end)
}

/// Small hexadecimal digits, exactly so many.
pub(crate) fn hex(what: &str, text: &str, digits: usize, needs: &'static str) -> Result<(), Fault> {
    let fits = text.len() == digits && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
    if fits { Ok(()) } else { Err(Fault::Form { what: what.into(), found: shown(text), needs }) }
}

/// A SHA-256 as text.
pub(crate) fn sha256(what: &str, text: &str) -> Result<(), Fault> {
    hex(what, text, 64, "a SHA-256: 64 digits, 0 to 9 and a to f")
}

/// A moment: milliseconds since 1970 UTC, not before and not after the year 9999.
pub(crate) fn moment(what: &str, at_ms: i64) -> Result<(), Fault> {
    if (0..=crate::limits::LAST_MS).contains(&at_ms) {
        return Ok(());
    }
    let needs = "milliseconds since 1970 UTC, from 0 to the end of the year 9999";
    Err(Fault::Form { what: what.into(), found: at_ms.to_string(), needs })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_at_its_limit_passes_and_one_more_does_not() {
        assert_eq!(line("name", &"ä".repeat(5), 5), Ok(()));
        let over = line("name", &"ä".repeat(6), 5);
        assert!(matches!(over, Err(Fault::TooLong { found: 6, limit: 5, .. })));
        assert!(over.unwrap_err().to_string().contains("6 characters, the limit is 5"));
        assert_eq!(file("rig", "123", 3), Ok(()));
        assert!(file("rig", "1234", 3).is_err());
    }

    #[test]
    fn empty_texts_and_control_characters_are_named() {
        assert!(matches!(line("name", " ", 5), Err(Fault::Empty { .. })));
        assert_eq!(maybe("about", "", 5), Ok(()));
        assert!(matches!(line("name", "a\nb", 5), Err(Fault::Control { at: 2, code: 10, .. })));
        assert_eq!(lines("note", "a\nb", 5), Ok(()));
        for bad in ["\0", "\u{1b}", "\u{7f}", "\u{85}"] {
            assert!(lines("note", &format!("a{bad}"), 5).is_err());
            assert!(file("rig", &format!("a{bad}"), 5).is_err());
        }
    }

    #[test]
    fn hashes_and_moments_have_one_form() {
        assert!(sha256("hash", &"a".repeat(64)).is_ok());
        assert!(sha256("hash", &"A".repeat(64)).is_err());
        assert!(sha256("hash", &"a".repeat(63)).is_err());
        assert!(moment("at", -1).is_err() && moment("at", crate::limits::LAST_MS + 1).is_err());
        assert!(moment("at", 0).is_ok() && moment("at", crate::limits::LAST_MS).is_ok());
    }
}
