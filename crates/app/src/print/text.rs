//! Text in columns.

use std::io::{self, Write};

/// The width of everything printed.
pub(crate) const WIDTH: usize = 80;

/// Breaks a text at blanks into lines of at most `width` characters; a longer word is cut.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(8);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace().flat_map(|w| pieces(w, width)) {
        let length = line.chars().count();
        if length > 0 && length + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(&word);
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

fn pieces(word: &str, width: usize) -> Vec<String> {
    let letters: Vec<char> = word.chars().collect();
    letters.chunks(width).map(|c| c.iter().collect()).collect()
}

/// Writes a text with `first` before its first line and as many blanks before the others.
pub(crate) fn hang(out: &mut dyn Write, first: &str, text: &str) -> io::Result<()> {
    let indent = first.chars().count();
    for (i, line) in wrap(text, WIDTH.saturating_sub(indent)).iter().enumerate() {
        if i == 0 {
            writeln!(out, "{}", format!("{first}{line}").trim_end())?;
        } else {
            writeln!(out, "{:indent$}{line}", "")?;
        }
    }
    Ok(())
}

/// A margin to two decimals; 0.999 never reads as enough, nor 1.149 as not close.
pub(crate) fn margin(m: f64) -> String {
    if m.is_nan() {
        "none".to_owned()
    } else if m >= 100.0 {
        ">99".to_owned()
    } else {
        let down = |limit: f64| m < limit && (m * 100.0).round() >= (limit * 100.0).round();
        let shown = if down(1.0) || down(super::report::CLOSE) { m - 0.005 } else { m };
        format!("{shown:.2}")
    }
}

/// `1 cup`, `2 cups`.
pub(crate) fn count(n: usize, thing: &str) -> String {
    if n == 1 { format!("1 {thing}") } else { format!("{n} {thing}s") }
}

/// A whole number with thin groups: `12 345`.
pub(crate) fn thousands(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (i, d) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(d);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_blanks_and_nothing_is_lost() {
        assert_eq!(wrap("one two three four", 9), ["one two", "three", "four"]);
        assert_eq!(wrap("", 20), [""]);
        assert_eq!(wrap("abcdefghijkl m", 8), ["abcdefgh", "ijkl m"]);
    }

    #[test]
    fn a_margin_is_never_rounded_up_to_enough() {
        assert_eq!(margin(0.999_9), "0.99");
        assert_eq!(margin(0.994_9), "0.99");
        assert_eq!(margin(1.149_9), "1.14");
        assert_eq!(margin(2.649), "2.65");
        assert_eq!(margin(1.0), "1.00");
        assert_eq!(margin(1.23), "1.23");
        assert_eq!(margin(f64::INFINITY), ">99");
        assert_eq!(margin(f64::NAN), "none");
    }

    #[test]
    fn numbers_and_counts() {
        assert_eq!(thousands(1_234_567), "1 234 567");
        assert_eq!(thousands(96), "96");
        assert_eq!(count(1, "cup"), "1 cup");
        assert_eq!(count(0, "cup"), "0 cups");
    }
}
