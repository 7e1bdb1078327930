//! Margins on the parts: a ring or a band whose length is the margin, told apart by line and word.

use super::ink::{BLUE, GREEN, GREY, INK, Ink, RUST, number};
use super::{Margin, Word};
use glam::DVec2;
use std::f64::consts::TAU;

/// At this margin and over it the ring is full; the mark at 1.00 is half way.
const FULL: f64 = 2.0;

/// Share of the ring, or of the tube's length, that a margin takes.
pub(crate) fn share(value: f64) -> f64 {
    if value.is_finite() {
        (value / FULL).clamp(0.0, 1.0)
    } else if value > 0.0 {
        1.0
    } else {
        0.0
    }
}

/// How bad a margin is: the least is the worst.
pub(crate) fn severity(margin: &Margin) -> (u8, f64) {
    let word = match margin.word {
        Word::Fails => 0,
        Word::Unknown => 1,
        Word::Close => 2,
        Word::Holds => 3,
    };
    (word, margin.value.filter(|v| v.is_finite()).unwrap_or(0.0))
}

/// Ink, width and dash of a word. The width and the dash tell it in grey.
pub(crate) const fn line(word: Word) -> (&'static str, f64, &'static str) {
    match word {
        Word::Holds => (GREEN, 3.0, ""),
        Word::Close => (BLUE, 4.0, "9 3"),
        Word::Fails => (RUST, 6.5, "2.5 2"),
        Word::Unknown => (GREY, 3.0, "1 4"),
    }
}

/// The word itself.
pub(crate) const fn word(word: Word) -> &'static str {
    match word {
        Word::Holds => "holds",
        Word::Close => "close",
        Word::Fails => "fails",
        Word::Unknown => "not checked",
    }
}

/// `1.34 holds`, `? not checked`.
pub(crate) fn words(margin: &Margin) -> String {
    match margin.value {
        Some(v) if v.is_finite() && v < 100.0 => format!("{v:.2} {}", word(margin.word)),
        Some(v) if v > 0.0 => format!("over 100 {}", word(margin.word)),
        // A lost number is never a pass: the word stands alone.
        Some(_) | None => format!("? {}", word(margin.word)),
    }
}

/// Points of a ring from its top clockwise as the paper shows it.
fn arc(centre: DVec2, radius: f64, share: f64) -> Vec<DVec2> {
    let steps = (share * 40.0).ceil().max(1.0);
    let mut out = Vec::new();
    let mut k = 0.0;
    while k <= steps {
        let t = share * k / steps * TAU;
        out.push(centre + DVec2::new(t.sin(), -t.cos()) * radius);
        k += 1.0;
    }
    out
}

/// A ring around a part: a pale track, a mark at 1.00, and as much of it in ink as the margin is.
pub(crate) fn ring(ink: &mut Ink, centre: DVec2, radius: f64, margin: &Margin) -> Vec<DVec2> {
    let (colour, width, dash) = line(margin.word);
    let whole = arc(centre, radius, 1.0);
    ink.put(format_args!(
        "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\" stroke=\"#ffffff\" stroke-width=\"{}\"/>",
        number(centre.x),
        number(centre.y),
        number(radius),
        number(3.0)
    ));
    ink.put(format_args!(
        "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\" stroke=\"#8a8a8a\" stroke-width=\"0.8\"/>",
        number(centre.x),
        number(centre.y),
        number(radius)
    ));
    let amount = margin.value.map_or(1.0, share);
    if amount > 0.0 {
        ink.line(&arc(centre, radius, amount), "#ffffff", width + 2.0, "");
        ink.put(format_args!("<g class=\"margin-length\">"));
        ink.line(&arc(centre, radius, amount), colour, width, dash);
        ink.close();
    }
    let mark = centre + DVec2::new(0.0, radius);
    ink.line(&[mark - DVec2::new(0.0, 5.0), mark + DVec2::new(0.0, 5.0)], INK, 1.6, "");
    whole
}

/// A band along a tube or a strap: from its first end as far as the margin goes, with a mark half way.
pub(crate) fn band(ink: &mut Ink, path: &[DVec2], margin: &Margin) {
    let (colour, width, dash) = line(margin.word);
    let (part, mark) = (along(path, margin.value.map_or(1.0, share)), along(path, 0.5));
    if part.len() > 1 {
        ink.line(&part, "#ffffff", width + 2.0, "");
    }
    ink.line(path, "#6a6a6a", 0.8, "");
    if part.len() > 1 {
        ink.put(format_args!("<g class=\"margin-length\">"));
        ink.line(&part, colour, width, dash);
        ink.close();
    }
    if let [.., before, at] = mark.as_slice() {
        let across = (*at - *before).normalize_or(DVec2::X).perp() * 6.0;
        ink.line(&[*at - across, *at + across], INK, 1.6, "");
    }
}

/// The first share of a line.
pub(crate) fn along(path: &[DVec2], share: f64) -> Vec<DVec2> {
    let total: f64 = path.windows(2).map(|w| w[0].distance(w[1])).sum();
    let mut left = total * share;
    let mut out = Vec::new();
    for pair in path.windows(2) {
        let [a, b] = pair else { continue };
        let d = a.distance(*b);
        if out.is_empty() {
            out.push(*a);
        }
        if left <= d {
            if left > 0.0 {
                out.push(a.lerp(*b, left / d));
            }
            return out;
        }
        out.push(*b);
        left -= d;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::Part;

    #[test]
    fn half_way_is_one_and_full_is_two() {
        let cases =
            [(0.0, 0.0), (0.5, 0.25), (1.0, 0.5), (1.5, 0.75), (2.0, 1.0), (7.0, 1.0), (f64::INFINITY, 1.0)];
        let lost = [f64::NAN, -1.0, f64::NEG_INFINITY].map(|v| (v, 0.0));
        for (value, part) in cases.into_iter().chain(lost) {
            assert!((share(value) - part).abs() < 1e-12, "{value}");
        }
    }

    #[test]
    fn a_ring_is_as_long_as_its_margin() {
        for value in [0.3, 0.8, 1.0, 1.7] {
            let line = arc(DVec2::ZERO, 50.0, share(value));
            let long: f64 = line.windows(2).map(|w| w[0].distance(w[1])).sum();
            // Chords of a fortieth of the ring are a thousandth shorter than their arcs.
            assert!((long / (TAU * 50.0) - value / 2.0).abs() < 2e-3 * value, "{value}: {long}");
            // It starts at the top and goes to the paper's right first.
            assert!((line[0] - DVec2::new(0.0, -50.0)).length() < 1e-9 && line[1].x > 0.0);
        }
    }

    #[test]
    fn a_band_is_as_long_as_its_margin() {
        let path = [DVec2::ZERO, DVec2::new(100.0, 0.0), DVec2::new(100.0, 100.0)];
        assert_eq!(along(&path, 0.25), [DVec2::ZERO, DVec2::new(50.0, 0.0)]);
        assert_eq!(along(&path, 0.75).last(), Some(&DVec2::new(100.0, 50.0)));
        assert!(along(&path, 0.0).len() < 2 && along(&[], 0.5).is_empty());
    }

    #[test]
    fn a_lost_number_is_not_a_pass() {
        let of = |value, word| words(&Margin { part: Part::Arm, value, word });
        assert_eq!(of(Some(1.344), Word::Holds), "1.34 holds");
        assert_eq!(of(None, Word::Unknown), "? not checked");
        assert_eq!(of(Some(f64::NAN), Word::Fails), "? fails");
        assert_eq!(of(Some(f64::INFINITY), Word::Holds), "over 100 holds");
    }
}
