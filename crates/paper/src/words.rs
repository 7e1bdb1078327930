//! What is read and what is shown: the two differ where a letter cannot be shown.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::{Run, Weight};

/// Stands where a letter cannot be shown.
const BOX: char = '\u{fffd}';

/// Unseen; keeps a number after a name in Arabic or Hebrew from moving in front of it.
const FENCE: char = '\u{200e}';

/// One paragraph: text between line feeds.
#[derive(Clone, Debug, Default)]
pub(crate) struct Words {
    /// As it is read, searched for and copied.
    pub(crate) said: String,
    /// How which bytes of it are set.
    pub(crate) weights: Vec<(Range<usize>, Weight)>,
    /// Where in it a letter starts that is shown as a box.
    boxed: BTreeSet<usize>,
    /// Where in it a run starts after one whose script runs to the left.
    fences: BTreeSet<usize>,
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
        if let Some(last) = all.last_mut() {
            last.fence();
        }
        let mut before = None;
        for c in run.text.chars() {
            let fresh = matches!(c, '\r' | '\n' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}');
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
        '\u{202a}'..='\u{202e}'
        | '\u{2066}'..='\u{2069}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{fdd0}'..='\u{fdef}' => BOX,
        c if c.is_control() || u32::from(c) & 0xfffe == 0xfffe => BOX,
        c => c,
    }
}

/// Letters that are not seen, whatever the face.
fn invisible(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{34f}' | '\u{200b}'..='\u{200f}' | '\u{2060}'..='\u{2065}' | '\u{fe00}'..='\u{fe0f}')
}

/// Letters of scripts that run to the left.
fn leftward(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
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

    /// Keeps what follows out of the direction of what is there, in a text that runs to the right.
    fn fence(&mut self) {
        let run = self.said.chars().rev().take(64);
        if self.runs_right() && run.take_while(|c| !c.is_ascii_alphabetic()).any(leftward) {
            self.fences.insert(self.said.len());
        }
    }

    /// Whether it is English with names in it, which keeps its order whatever scripts they are in.
    pub(crate) fn runs_right(&self) -> bool {
        self.said.contains(|c: char| c.is_ascii_alphabetic())
    }

    /// Whether it has a letter that is not a space.
    pub(crate) fn says_something(&self) -> bool {
        !self.said.trim().is_empty()
    }

    /// Has the letters in a part of what is said shown as boxes, but for the first few; whether that changes anything.
    pub(crate) fn box_part(&mut self, part: Range<usize>, spared: usize) -> bool {
        let before = self.boxed.len();
        for (at, c) in self.said.get(part.clone()).unwrap_or_default().char_indices().skip(spared) {
            if c != BOX {
                self.boxed.insert(part.start + at);
            }
        }
        self.boxed.len() > before
    }

    /// Has the letters that no face has shown as boxes.
    pub(crate) fn box_missing(&mut self, mut has: impl FnMut(char) -> bool) {
        for (at, c) in self.said.char_indices() {
            if !c.is_ascii() && !invisible(c) && !has(c) {
                self.boxed.insert(at);
            }
        }
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
            if self.fences.contains(&at) {
                text.push(FENCE);
                places.resize(text.len(), at);
            }
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
        assert!(words.box_part(1..5, 0) && !words.box_part(1..5, 0));
        let shown = words.shown();
        assert_eq!((shown.text.as_str(), words.said.as_str()), ("a\u{fffd}b", "a𝄞b"));
        assert_eq!((shown.said(1..4), shown.shown(&(1..6))), (1..5, 1..5));
    }
}
