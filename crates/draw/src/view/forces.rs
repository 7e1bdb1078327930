//! Forces as arrows to one scale, and the bent shape.

use super::eye::Placing;
use super::ink::{BLUE, INK, Ink, PALE};
use super::{Arrow, Moved};
use glam::DVec2;
use quantity::{Kind, both_kind};

/// An arrow on the paper.
pub(crate) struct Drawn {
    pub(crate) tip: DVec2,
    pub(crate) path: [DVec2; 2],
    pub(crate) label: String,
}

/// Drawing units to a newton, so that the longest arrow is `longest` long.
pub(crate) fn scale(arrows: &[Arrow], longest: f64) -> Option<f64> {
    let most = arrows.iter().map(|a| a.force.length()).filter(|f| f.is_finite()).fold(0.0, f64::max);
    (most > 0.0 && most < 1e12).then(|| longest / most)
}

/// A round force near a third to the whole of the longest, N: for the sample in the key.
pub(crate) fn sample(arrows: &[Arrow]) -> f64 {
    let most = arrows.iter().map(|a| a.force.length()).filter(|f| f.is_finite()).fold(0.0, f64::max);
    if most <= 0.0 {
        return 0.0;
    }
    let ten = 10.0_f64.powf(most.log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|k| k * ten).find(|k| *k <= most).unwrap_or(ten)
}

/// A straight arrow from tail to tip.
pub(crate) fn arrow(ink: &mut Ink, tail: DVec2, tip: DVec2) {
    let d = (tip - tail).normalize_or(DVec2::X);
    let size = (tail.distance(tip) * 0.5).clamp(4.0, 11.0);
    ink.line(&[tail, tip - d * (size * 0.8)], "#ffffff", 5.4, "");
    ink.line(&[tail, tip - d * (size * 0.8)], INK, 2.4, "");
    ink.head(tip, d, size, INK);
}

/// Draws the arrows; one that points at the eye or away is a ring with a dot or a cross.
pub(crate) fn arrows(ink: &mut Ink, arrows: &[Arrow], placing: &Placing, scale: f64) -> Vec<Drawn> {
    let mut out = Vec::new();
    for a in arrows {
        if !(a.at.is_finite() && a.force.is_finite() && a.force.length() < 1e12) {
            continue;
        }
        let flat = placing.eye.flat(a.force) * scale;
        let (tail, d) = (placing.place(a.at), DVec2::new(flat.x, -flat.y));
        let tip = tail + d;
        if d.length() >= 6.0 {
            arrow(ink, tail, tip);
        } else {
            let towards = placing.eye.depth(a.force) > 0.0;
            ink.put(format_args!(
                "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"6\" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"2\"/>",
                tail.x, tail.y
            ));
            if towards {
                ink.put(format_args!(
                    "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2.2\" fill=\"{INK}\"/>",
                    tail.x, tail.y
                ));
            } else {
                let (u, v) = (DVec2::new(3.6, 3.6), DVec2::new(3.6, -3.6));
                ink.line(&[tail - u, tail + u], INK, 1.6, "");
                ink.line(&[tail - v, tail + v], INK, 1.6, "");
            }
        }
        out.push(Drawn { tip, path: [tail, tip], label: a.label.clone() });
    }
    out
}

/// Draws the shape at rest thin and the bent one heavy; gives back its lines.
pub(crate) fn moved(ink: &mut Ink, moved: &Moved, placing: &Placing) -> Vec<Vec<DVec2>> {
    let times = if moved.times.is_finite() { moved.times } else { 1.0 };
    let mut out = Vec::new();
    for line in &moved.lines {
        let fine: Vec<_> = line.iter().filter(|(p, d)| p.is_finite() && d.is_finite()).collect();
        if fine.len() < 2 {
            continue;
        }
        let rest: Vec<DVec2> = fine.iter().map(|(p, _)| placing.place(*p)).collect();
        let bent: Vec<DVec2> = fine.iter().map(|(p, d)| placing.place(*p + *d * times)).collect();
        ink.line(&rest, PALE, 1.2, "4 3");
        ink.line(&bent, "#ffffff", 5.0, "");
        ink.line(&bent, BLUE, 2.6, "");
        out.push(bent);
    }
    out
}

/// `Movement drawn 40 times larger than true; the greatest is 3.2 mm (0.126 in).`
pub(crate) fn moved_words(moved: &Moved) -> String {
    let most =
        moved.lines.iter().flatten().map(|(_, d)| d.length()).filter(|d| d.is_finite()).fold(0.0, f64::max);
    let times = if moved.times.is_finite() { moved.times } else { 1.0 };
    let times = if times.fract() == 0.0 { format!("{times:.0}") } else { format!("{times:.1}") };
    let most = both_kind(most, Kind::Length);
    if times == "1" {
        format!("Movement drawn in true size; the greatest is {most}.")
    } else {
        format!("Movement drawn {times} times larger than true; the greatest is {most}.")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::View;
    use crate::view::eye::Eye;
    use glam::DVec3;

    fn force(f: DVec3) -> Arrow {
        Arrow { at: DVec3::ZERO, force: f, label: String::new() }
    }

    #[test]
    fn arrows_are_as_long_as_their_forces() {
        let all = [force(DVec3::new(0.0, 0.0, -800.0)), force(DVec3::new(300.0, 0.0, 0.0))];
        let s = scale(&all, 100.0).unwrap();
        let placing = Placing {
            eye: Eye::new(View::Side),
            scale: 100.0,
            middle: DVec2::ZERO,
            at: DVec2::ZERO,
            per_mm: None,
        };
        let drawn = arrows(&mut Ink::default(), &all, &placing, s);
        // Weight points down the paper; a force ahead points to its left.
        assert!((drawn[0].tip - DVec2::new(0.0, 100.0)).length() < 1e-9);
        assert!((drawn[1].tip - DVec2::new(-37.5, 0.0)).length() < 1e-9);
        assert!((sample(&all) - 500.0).abs() < 1e-9);
        assert!(scale(&[force(DVec3::ZERO)], 100.0).is_none());
        assert!(scale(&[force(DVec3::splat(f64::NAN))], 100.0).is_none());
    }

    #[test]
    fn how_far_it_moved_is_said() {
        let lines = vec![vec![(DVec3::ZERO, DVec3::ZERO), (DVec3::X, DVec3::new(0.0, 0.0, -0.0032))]];
        let words = moved_words(&Moved { times: 40.0, lines });
        assert_eq!(words, "Movement drawn 40 times larger than true; the greatest is 3.2 mm (0.126 in).");
    }
}
