//! The same thing of several parts, said once: `pull rating of cups FL, FR, R`.

/// Something said of a part; `part` is the part's name as it stands in `text` (`cup FL`).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Said {
    pub(crate) text: String,
    pub(crate) part: String,
}

impl Said {
    /// The text with the part left out: what several parts have in common.
    pub(crate) fn common(&self) -> String {
        if self.part.is_empty() { self.text.clone() } else { replace_word(&self.text, &self.part, "\u{1}") }
    }
}

/// Whether the texts are one text but for the part.
pub(crate) fn alike(a: &Said, b: &Said) -> bool {
    a.common() == b.common() && kind(&a.part) == kind(&b.part)
}

/// One text for texts that are alike.
pub(crate) fn together(said: &[Said]) -> String {
    match said {
        [] => String::new(),
        [one] => one.text.clone(),
        [first, ..] => first.common().replace('\u{1}', &names(said.iter().map(|s| s.part.as_str()))),
    }
}

/// `cups FL, FR, R`; `cup FL` alone; mixed kinds in full.
pub(crate) fn names<'a>(parts: impl Iterator<Item = &'a str>) -> String {
    let mut parts: Vec<&str> = parts.collect();
    let mut seen: Vec<&str> = Vec::new();
    parts.retain(|p| {
        !seen.contains(p) && {
            seen.push(p);
            true
        }
    });
    let [first, rest @ ..] = &parts[..] else { return String::new() };
    let word = kind(first);
    if rest.is_empty() || word.is_empty() || parts.iter().any(|p| kind(p) != word) {
        return parts.join(", ");
    }
    let tags: Vec<&str> = parts.iter().map(|p| p[word.len()..].trim_start()).collect();
    format!("{word}s {}", tags.join(", "))
}

/// `cup` of `cup FL`; nothing where there is only one of it (`the car`).
fn kind(part: &str) -> &str {
    part.rsplit_once(' ').map_or("", |(k, _)| if k == "the" { "" } else { k })
}

/// Replaces `word` where it does not go on (`cup F` is not in `cup FL`).
fn replace_word(text: &str, word: &str, with: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(word) {
        let (before, after) = (&rest[..at], &rest[at + word.len()..]);
        let ends = !after.starts_with(|c: char| c.is_alphanumeric() || c == '-' || c == '_');
        out.push_str(before);
        out.push_str(if ends { with } else { word });
        rest = after;
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(text: &str, part: &str) -> Said {
        Said { text: text.into(), part: part.into() }
    }

    #[test]
    fn the_same_thing_of_three_cups_is_said_once() {
        let all = ["FL", "FR", "R"].map(|t| said(&format!("pull rating of cup {t}"), &format!("cup {t}")));
        assert!(alike(&all[0], &all[2]));
        assert_eq!(together(&all), "pull rating of cups FL, FR, R");
        assert_eq!(together(&all[..1]), "pull rating of cup FL");
        assert!(!alike(&all[0], &said("shear rating of cup FL", "cup FL")));
    }

    #[test]
    fn a_tag_that_begins_another_is_not_mistaken_for_it() {
        assert_eq!(said("cup F beside cup FL", "cup F").common(), "\u{1} beside cup FL");
        assert_eq!(names(["the car"].into_iter()), "the car");
        assert_eq!(names(["the arm", "the rig"].into_iter()), "the arm, the rig");
        assert_eq!(names(["cup A", "cup A", "tube B"].into_iter()), "cup A, tube B");
        assert_eq!(names(["boom section A", "boom section B"].into_iter()), "boom sections A, B");
    }
}
