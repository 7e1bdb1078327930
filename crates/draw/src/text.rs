//! Text in a drawing: made harmless, measured, broken into lines.

/// Text as it may stand in XML: markup escaped, and what XML does not allow replaced.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// About how wide a text is in a sans-serif face, in units of the drawing; rather too wide than too narrow.
///
/// Shares of the type size by the kind of letter, as common sans-serif faces have them (common practice, no source).
pub fn width(text: &str, size: f64) -> f64 {
    text.chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '|' | '\'' | '!' | '·' => 0.32,
            'f' | 't' | 'r' | 'I' | ' ' | '\u{a0}' | '\u{202f}' | '(' | ')' | '/' | '-' | '°' => 0.40,
            'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.98,
            '0'..='9' => 0.64,
            c if c.is_uppercase() => 0.74,
            c if c.is_ascii() || c.is_lowercase() => 0.62,
            _ => 1.0,
        })
        .sum::<f64>()
        * size
}

/// A text in lines no wider than asked; a word that is too wide by itself is cut with an ellipsis. A number keeps its unit.
pub(crate) fn lines(text: &str, size: f64, widest: f64) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match words.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) && last.chars().count() < 12 => {
                last.push('\u{a0}');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    let mut out: Vec<String> = Vec::new();
    for word in words {
        let word = shortened(&word, size, widest);
        if let Some(last) = out.last_mut() {
            let longer = format!("{last} {word}");
            if width(&longer, size) <= widest {
                *last = longer;
                continue;
            }
        }
        out.push(word);
    }
    out
}

/// A text on one line no wider than asked; one that is too wide is cut with an ellipsis.
pub(crate) fn shortened(word: &str, size: f64, widest: f64) -> String {
    if width(word, size) <= widest {
        return word.to_owned();
    }
    let mut kept = String::new();
    for c in word.chars() {
        kept.push(c);
        if width(&kept, size) + width("…", size) > widest {
            kept.pop();
            break;
        }
    }
    kept.push('…');
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_and_what_xml_forbids_do_not_get_through() {
        assert_eq!(escaped("<b a=\"1\">&\u{0}\n"), "&lt;b a=&quot;1&quot;&gt;&amp;\u{fffd} ");
    }

    #[test]
    fn lines_keep_all_words_and_the_width() {
        let got = lines("worst of all states with the boom over the tail", 13.0, 120.0);
        assert_eq!(got.join(" "), "worst of all states with the boom over the tail");
        assert!(got.len() > 2 && got.iter().all(|l| width(l, 13.0) <= 120.0), "{got:?}");
        assert_eq!(lines("payload 7.0 kg (15.4 lb)", 13.0, 130.0), ["payload 7.0\u{a0}kg", "(15.4\u{a0}lb)"]);
        let long = lines(&"x".repeat(400), 13.0, 100.0);
        assert!(long.len() == 1 && long[0].ends_with('…') && width(&long[0], 13.0) <= 100.0);
        assert!(lines("   ", 13.0, 50.0).is_empty());
    }
}
