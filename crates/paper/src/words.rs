//! What is read and what is shown: the two differ where a letter cannot be shown.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::{Run, Weight};

/// Stands where a letter cannot be shown.
const BOX: char = '\u{fffd}';

/// One paragraph: text between line feeds.
#[derive(Clone, Debug, Default)]
pub(crate) struct Words {
    /// As it is read, searched for and copied.
    pub(crate) said: String,
    /// How which bytes of it are set.
    pub(crate) weights: Vec<(Range<usize>, Weight)>,
    /// Where in it a letter starts that is shown as a box.
    boxed: BTreeSet<usize>,
}

/// As it is shown, and where each of its bytes stands in what is said.
pub(crate) struct Shown {
    /// The text to shape.
    pub(crate) text: String,
    /// Place in what is said, for each byte of the text and for its end.
    places: Vec<usize>,
}

/// Runs in paragraphs. Controls, marks that turn the direction of what follows and what is no character become boxes; a
/// tab becomes a space; each paragraph but the last ends in a space, so that words do not run together when read.
pub(crate) fn paragraphs(runs: &[Run]) -> Vec<Words> {
    let mut all = vec![Words::default()];
    for run in runs {
        let mut before = None;
        for c in run.text.chars() {
            let fresh = match c {
                '\r' | '\n' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => true,
                _ => false,
            };
            if fresh && !(c == '\n' && before == Some('\r')) {
                if let Some(last) = all.last_mut() {
                    last.push(' ', run.weight);
                }
                all.push(Words::default());
            } else if !fresh && let Some(last) = all.last_mut() {
                last.push(harmless(c), run.weight);
            }
            before = Some(c);
        }
    }
    all
}

fn harmless(c: char) -> char {
    match c {
        '\t' => ' ',
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' => BOX,
        '\u{fdd0}'..='\u{fdef}' => BOX,
        c if c.is_control() || u32::from(c) & 0xfffe == 0xfffe => BOX,
        c => c,
    }
}

impl Words {
    fn push(&mut self, c: char, weight: Weight) {
        let from = self.said.len();
        self.said.push(c);
        let to = self.said.len();
        match self.weights.last_mut() {
            Some((range, last)) if *last == weight => range.end = to,
            _ => self.weights.push((from..to, weight)),
        }
    }

    /// Whether it has a letter that is not a space.
    pub(crate) fn says_something(&self) -> bool {
        !self.said.trim().is_empty()
    }

    /// Has the letters in a part of what is said shown as boxes, but for the first few; whether that changes anything.
    pub(crate) fn to_boxes(&mut self, part: Range<usize>, spared: usize) -> bool {
        let before = self.boxed.len();
        for (at, c) in self.said.get(part.clone()).unwrap_or_default().char_indices().skip(spared) {
            if c != BOX {
                self.boxed.insert(part.start + at);
            }
        }
        self.boxed.len() > before
    }

    /// Has every letter but plain ones shown as a box: what is left when nothing else helps.
    pub(crate) fn only_plain(&mut self) {
        let odd = |c: char| !c.is_ascii_graphic() && c != ' ' && c != BOX;
        self.boxed = self.said.char_indices().filter(|(_, c)| odd(*c)).map(|(at, _)| at).collect();
    }

    /// As it is shown.
    pub(crate) fn shown(&self) -> Shown {
        let mut text = String::with_capacity(self.said.len());
        let mut places = Vec::with_capacity(self.said.len() + 1);
        for (at, c) in self.said.char_indices() {
            text.push(if self.boxed.contains(&at) { BOX } else { c });
            places.resize(text.len(), at);
        }
        places.push(self.said.len());
        Shown { text, places }
    }
}

impl Shown {
    /// A part of what is shown as a part of what is said.
    pub(crate) fn said(&self, part: Range<usize>) -> Range<usize> {
        let place = |at: usize| self.places.get(at).or(self.places.last()).copied().unwrap_or(0);
        place(part.start)..place(part.end)
    }

    /// A part of what is said as a part of what is shown.
    pub(crate) fn shown(&self, part: &Range<usize>) -> Range<usize> {
        let place = |at: usize| self.places.partition_point(|said| *said < at).min(self.text.len());
        place(part.start)..place(part.end)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn line_feeds_part_and_controls_show_as_boxes() {
        let all = paragraphs(&[Run::plain("a\r\nb\u{0}\u{202e}c\td")]);
        assert_eq!(all.iter().map(|w| w.said.as_str()).collect::<Vec<_>>(), ["a ", "b\u{fffd}\u{fffd}c d"]);
    }

    #[test]
    fn a_boxed_letter_is_still_said() {
        let mut words = paragraphs(&[Run::plain("a"), Run::bold("𝄞b")]).remove(0);
        assert!(words.to_boxes(1..5, 0) && !words.to_boxes(1..5, 0));
        let shown = words.shown();
        assert_eq!((shown.text.as_str(), words.said.as_str()), ("a\u{fffd}b", "a𝄞b"));
        assert_eq!((shown.said(1..4), shown.shown(&(1..6))), (1..5, 1..5));
    }
}
