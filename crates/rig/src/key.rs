//! What the format says of one key, for whoever asks a person for its value.

use crate::edit::document::{Document, defined, steps};
use crate::spec::Shape;
use quantity::Kind;
use std::ops::Range;

/// What a key takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// A quantity of this kind with its unit.
    Quantity(Kind),
    /// The radius of a crown, or `flat`.
    Radius,
    /// One of these words.
    Word(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// The name of a part of this kind.
    Part(&'static str),
    /// Something else.
    Other,
}

/// A key of the format.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// What it is, in the technician's words.
    pub doc: &'static str,
    /// How to measure it with hand tools; empty where the format does not say.
    pub settle: &'static str,
    /// As it would be typed, without quotes.
    pub example: &'static str,
    /// What it takes.
    pub takes: Takes,
}

/// What the format says of a dotted key of a rig file (`vehicle.wheelbase`, `panel.roof.keep_out.aerial.width`); none of what is
/// no key. Tags are not looked for in any file.
///
/// ```
/// let key = rig::key("panel.roof.crown_across").unwrap();
/// assert_eq!((key.takes, key.example), (rig::Takes::Radius, "3.2 m"));
/// ```
pub fn key(dotted: &str) -> Option<Key> {
    let (row, _) = defined(&steps(dotted).ok()?)?;
    let takes = match row.shape {
        Shape::Quantity(kind) | Shape::Measure(kind) => Takes::Quantity(kind),
        Shape::Radius => Takes::Radius,
        Shape::Word(words) => Takes::Word(words),
        Shape::Flag => Takes::Flag,
        Shape::Part(kind) => Takes::Part(kind),
        _ => Takes::Other,
    };
    Some(Key { doc: row.doc, settle: row.settle, example: row.example.trim_matches('"'), takes })
}

/// The bytes of a key's value in a text: what the reader says of that value, it says of a place in there.
pub fn place_of(text: &str, dotted: &str) -> Option<Range<usize>> {
    Document::read(text).ok()?.find(&steps(dotted).ok()?)?.span()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_described_and_what_is_none_is_not() {
        let wheelbase = key("vehicle.wheelbase").unwrap();
        assert_eq!(
            (wheelbase.takes, wheelbase.settle, wheelbase.example),
            (Takes::Quantity(Kind::Length), "tape from hub to hub", "2.68 m")
        );
        assert_eq!(key("vehicle.datum.up").unwrap().takes, Takes::Quantity(Kind::Length));
        assert_eq!(key("panel.\"a b\".keep_out.x.width").unwrap().takes, Takes::Quantity(Kind::Length));
        assert_eq!(key("panel.roof.finish").unwrap().takes, Takes::Part("finish"));
        assert!(matches!(key("panel.roof.material").unwrap().takes, Takes::Word(w) if w.contains(&"glass")));
        for none in ["", "vehicle.wings", "panel.", "x.y.z", "\""] {
            assert_eq!(key(none), None, "{none}");
        }
    }

    #[test]
    fn a_value_is_found_where_it_stands() {
        let text = "[vehicle]\nmass = { value = \"1 t\" } # about\ndatum = { aft = \"1 m\" }\n";
        assert_eq!(&text[place_of(text, "vehicle.mass").unwrap()], "{ value = \"1 t\" }");
        assert_eq!(&text[place_of(text, "vehicle.datum.aft").unwrap()], "\"1 m\"");
        assert_eq!(place_of(text, "vehicle.width"), None);
        assert_eq!(place_of("[", "vehicle.width"), None);
    }
}
