//! Free tags, in the manner of those that are there.

use super::document::Document;

/// Kinds whose tags are looked for together: one tag in two of them could be two things.
const TOGETHER: [&str; 3] = ["tube", "platform", "cup"];

/// Whether a tag names nothing yet that it could be taken for.
fn free(document: &Document<'_>, kind: &str, tag: &str) -> bool {
    let kinds: Vec<&str> = if TOGETHER.contains(&kind) { TOGETHER.to_vec() } else { vec![kind] };
    kinds.iter().all(|k| document.find(&[*k, tag]).is_none())
}

/// Tags of a kind, in file order.
pub(crate) fn tags(document: &Document<'_>, kind: &str) -> Vec<String> {
    document.find(&[kind]).map(|t| t.entries().into_iter().map(|(tag, ..)| tag).collect()).unwrap_or_default()
}

/// `wanted`, else it with the first number that makes it free.
pub(crate) fn or_numbered(document: &Document<'_>, kind: &str, wanted: &str) -> String {
    if free(document, kind, wanted) {
        return wanted.to_owned();
    }
    let stem = wanted.trim_end_matches(|c: char| c.is_ascii_digit());
    let from = wanted.get(stem.len()..).and_then(|n| n.parse::<u32>().ok()).unwrap_or(1);
    (1..=10_000_u32)
        .map(|n| format!("{stem}{}", from.saturating_add(n)))
        .find(|t| free(document, kind, t))
        .unwrap_or_else(|| format!("{wanted}-new"))
}

/// The tag after the last of its kind: `K7` after `K6`; else the kind's first letter and a number.
pub(crate) fn next(document: &Document<'_>, kind: &str) -> String {
    let all = tags(document, kind);
    let numbered = all.iter().rev().find(|t| t.ends_with(|c: char| c.is_ascii_digit()));
    if let Some(last) = numbered {
        return or_numbered(document, kind, last);
    }
    let initial = kind.chars().next().map_or('N', |c| c.to_ascii_uppercase());
    or_numbered(document, kind, &format!("{initial}1"))
}

/// The tag of a part's image across the centreline: `FR` of `FL`, `right-front` of `left-front`; else the tag to be numbered.
pub(crate) fn across(tag: &str) -> String {
    for (one, other) in [("left", "right"), ("Left", "Right"), ("LEFT", "RIGHT")] {
        for (from, to) in [(one, other), (other, one)] {
            // A whole word, not the end of `cleft`.
            let at = tag.match_indices(from).map(|(i, _)| i).find(|i| {
                let before = tag.get(..*i).and_then(|t| t.chars().next_back());
                let behind = tag.get(i + from.len()..).and_then(|t| t.chars().next());
                [before, behind].iter().all(|c| !c.is_some_and(char::is_alphabetic))
            });
            if let Some(at) = at {
                let mut out = tag.to_owned();
                out.replace_range(at..at + from.len(), to);
                return out;
            }
        }
    }
    let letters = tag.trim_end_matches(|c: char| c.is_ascii_digit());
    let short = letters.len() <= 3 && letters.chars().all(|c| c.is_ascii_uppercase());
    if let Some(stem) = letters.get(..letters.len().saturating_sub(1)).filter(|_| short) {
        let digits = tag.get(letters.len()..).unwrap_or("");
        match letters.chars().next_back() {
            Some('L') => return format!("{stem}R{digits}"),
            Some('R') if !stem.is_empty() => return format!("{stem}L{digits}"),
            _ => {}
        }
    }
    tag.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_go_on_as_they_began() {
        let document =
            Document::read("[clamp.K5]\n[clamp.K6]\n[cup.FL]\n[tube.T1]\n[leg.FL]\n[item.box]\n").unwrap();
        assert_eq!(next(&document, "clamp"), "K7");
        assert_eq!(next(&document, "item"), "I1");
        assert_eq!(next(&document, "cup"), "C1");
        assert_eq!(or_numbered(&document, "cup", "FL"), "FL2");
        assert_eq!(or_numbered(&document, "cup", "T1"), "T2", "a cup's tag must not be a tube's");
        assert_eq!(or_numbered(&document, "clamp", "FL"), "FL");
        for (tag, image) in [
            ("FL", "FR"),
            ("MR", "ML"),
            ("FL2", "FR2"),
            ("L", "R"),
            ("R", "R"),
            ("LL", "LR"),
            ("left-front", "right-front"),
            ("tether-left", "tether-right"),
            ("cleft", "cleft"),
            ("K6", "K6"),
            ("radio", "radio"),
        ] {
            assert_eq!(across(tag), image);
        }
    }
}
