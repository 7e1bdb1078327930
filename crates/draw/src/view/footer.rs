//! What stands under a drawing: scale bar, the way forward, key, notes.

use super::board::{Anchor, Board, Type};
use super::eye::{Paper, Placing};
use super::forces;
use super::ink::{BLUE, INK, Ink, PALE, RUST, number, path, style};
use super::margins;
use super::solid::Look;
use super::{Scene, View, Word};
use crate::text::lines;
use glam::{DVec2, DVec3};
use quantity::{Kind, both_kind};
use rig::model::{ClampKind, StrapKind};

/// A sign in the key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Sign {
    Cup,
    Tube,
    Clamp(ClampKind),
    Line(Look),
    KeepOut,
    Lost,
    Hidden,
    Margin(Word),
    Ring,
    Moved,
    Force(f64),
}

/// One entry of the key.
pub(crate) struct Entry {
    pub(crate) sign: Sign,
    pub(crate) words: String,
}

/// Room of a sign before its words.
const SIGN: f64 = 30.0;

pub(crate) fn clamp_words(kind: ClampKind) -> &'static str {
    match kind {
        ClampKind::RightAngle => "right-angle clamp",
        ClampKind::Swivel => "swivel clamp",
        ClampKind::End => "end clamp",
    }
}

/// The sign of a clamp.
pub(crate) fn clamp(ink: &mut Ink, at: DVec2, size: f64, kind: ClampKind) {
    let s = size;
    let fill = format!(" fill=\"#ffffff\" stroke=\"{INK}\" stroke-width=\"1.3\" stroke-linejoin=\"round\"");
    match kind {
        ClampKind::RightAngle => {
            let c = [(-s, -s), (s, -s), (s, s), (-s, s)].map(|(x, y)| at + DVec2::new(x, y));
            ink.put(format_args!("<path d=\"{}\"{fill}/>", path(&c, true)));
            ink.line(&[at - DVec2::X * s, at + DVec2::X * s], INK, 1.3, "");
            ink.line(&[at - DVec2::Y * s, at + DVec2::Y * s], INK, 1.3, "");
        }
        ClampKind::Swivel => {
            let circle = |ink: &mut Ink, r: f64, more: &str| {
                ink.put(format_args!(
                    "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{more}/>",
                    number(at.x),
                    number(at.y),
                    number(r)
                ));
            };
            circle(ink, s * 1.1, &fill);
            circle(ink, s * 0.4, &format!(" fill=\"{INK}\""));
        }
        ClampKind::End => {
            let c = [(0.0, -1.2 * s), (1.2 * s, 0.9 * s), (-1.2 * s, 0.9 * s)]
                .map(|(x, y)| at + DVec2::new(x, y));
            ink.put(format_args!("<path d=\"{}\"{fill}/>", path(&c, true)));
        }
    }
}

/// The cross over what is lost.
pub(crate) fn cross(ink: &mut Ink, at: DVec2, size: f64) {
    for d in [DVec2::new(size, size), DVec2::new(size, -size)] {
        ink.line(&[at - d, at + d], "#ffffff", 5.5, "");
    }
    for d in [DVec2::new(size, size), DVec2::new(size, -size)] {
        ink.line(&[at - d, at + d], INK, 2.8, "");
    }
}

/// What the key has to explain in a scene.
pub(crate) fn entries(
    scene: &Scene<'_>,
    (view, paper): (View, &Paper),
    longest: f64,
    any_hidden: bool,
) -> Vec<Entry> {
    let rig = scene.rig;
    let mut out = Vec::new();
    let mut put = |sign, words: &str| out.push(Entry { sign, words: words.to_owned() });
    for (word, words) in [
        (Word::Holds, "margin holds"),
        (Word::Close, "margin close"),
        (Word::Fails, "margin fails"),
        (Word::Unknown, "margin not checked (?)"),
    ] {
        if scene.margins.iter().any(|m| m.word == word) {
            put(Sign::Margin(word), words);
        }
    }
    if !scene.margins.is_empty() {
        put(Sign::Ring, "length of ring or band is the margin: the mark is 1.00, full is 2.00 and over");
    }
    if scene.lost.is_some() {
        put(Sign::Lost, "lost");
    }
    if let Some(scale) = forces::scale(&scene.arrows, longest) {
        let sample = forces::sample(&scene.arrows);
        put(Sign::Force(sample * scale), &both_kind(sample, Kind::Force));
    }
    if scene.moved.is_some() {
        put(Sign::Moved, "as it moves; dashed: at rest");
    }
    if !rig.cups.is_empty() {
        put(Sign::Cup, "cup: outer lip, seal, head");
    }
    if !rig.tubes.is_empty() && !paper.is_phone {
        put(Sign::Tube, "tube");
    }
    for kind in [ClampKind::RightAngle, ClampKind::Swivel, ClampKind::End] {
        if rig.clamps.iter().any(|c| c.kind == kind) {
            put(Sign::Clamp(kind), clamp_words(kind));
        }
    }
    for (kind, look, words) in
        [(StrapKind::Strap, Look::Strap, "strap"), (StrapKind::Tether, Look::Tether, "tether, slack")]
    {
        if rig.straps.iter().any(|s| s.kind == kind) {
            put(Sign::Line(look), words);
        }
    }
    if !rig.panels.is_empty() && !paper.is_phone {
        put(Sign::Line(Look::PanelEdge), "measured panel");
    }
    if rig.panels.iter().any(|p| !p.keep_outs.is_empty()) {
        put(Sign::KeepOut, "keep clear");
    }
    // On a phone what bears its name in the drawing needs no key.
    if rig.arm.is_some() && !paper.is_phone {
        if matches!(view, View::Plan | View::Corner { .. }) {
            put(Sign::Line(Look::TipSweep), "tip's sweep, widest over its elevations");
            put(Sign::Line(Look::TailSweep), "tail's sweep");
        } else {
            put(Sign::Line(Look::Elevation), "highest and lowest elevation");
        }
    }
    if any_hidden {
        put(Sign::Hidden, "pale: behind the car's body");
    }
    out
}

/// Entries in rows no wider than the paper: (row, x, entry).
fn flow<'a>(entries: &'a [Entry], paper: &Paper) -> Vec<(usize, f64, &'a Entry)> {
    let kind = Type::new(paper.small, INK);
    let right = paper.width - paper.pad;
    let (mut row, mut x) = (0, paper.pad);
    let mut out = Vec::new();
    for e in entries {
        let sign = sign_room(e.sign);
        let wide = sign + kind.width(&e.words) + 16.0;
        if x > paper.pad && x + wide - 16.0 > right {
            row += 1;
            x = paper.pad;
        }
        out.push((row, x, e));
        x += wide;
    }
    out
}

fn sign_room(sign: Sign) -> f64 {
    if let Sign::Force(long) = sign { (long + 8.0).max(SIGN) } else { SIGN }
}

/// The key, broken so that no entry is wider than the paper.
pub(crate) fn fitted(entries: Vec<Entry>, paper: &Paper) -> Vec<Entry> {
    let kind = Type::new(paper.small, INK);
    entries
        .into_iter()
        .map(|e| {
            let room = paper.width - 2.0 * paper.pad - sign_room(e.sign);
            if kind.width(&e.words) <= room {
                return e;
            }
            let words = match e.sign {
                Sign::Ring => "mark on ring or band: 1.00; full: 2.00 and over".to_owned(),
                _ => e.words,
            };
            Entry { words: crate::text::shortened(&words, paper.small, room), ..e }
        })
        .collect()
}

pub(crate) fn key_rows(entries: &[Entry], paper: &Paper) -> usize {
    flow(entries, paper).last().map_or(0, |e| e.0 + 1)
}

/// Between base lines of the key.
pub(crate) fn key_step(paper: &Paper) -> f64 {
    paper.small * 1.5
}

/// Height of the scale bar with its figures.
pub(crate) fn bar_room(paper: &Paper) -> f64 {
    3.6 * paper.small
}

fn sign(ink: &mut Ink, at: DVec2, sign: Sign) {
    let line = |from: f64, to: f64| [at + DVec2::new(from, 0.0), at + DVec2::new(to, 0.0)];
    match sign {
        Sign::Cup => {
            for (r, look) in [(6.5, Look::Lip), (5.0, Look::Seal), (2.0, Look::Head)] {
                ink.put(format_args!(
                    "<circle cx=\"{}\" cy=\"{}\" r=\"{r}\"{}/>",
                    number(at.x + 12.0),
                    number(at.y),
                    style(look).attributes()
                ));
            }
        }
        Sign::Tube => {
            let c = [(1.0, -3.5), (24.0, -3.5), (24.0, 3.5), (1.0, 3.5)].map(|(x, y)| at + DVec2::new(x, y));
            ink.put(format_args!("<path d=\"{}\"{}/>", path(&c, true), style(Look::Tube).attributes()));
        }
        Sign::Clamp(kind) => clamp(ink, at + DVec2::new(12.0, 0.0), 5.0, kind),
        Sign::Line(look) => {
            let s = style(look);
            ink.line(&line(0.0, 25.0), s.line, s.width, s.dash);
            if look == Look::Strap {
                ink.line(&line(0.0, 25.0), "#ffffff", 1.0, "");
            }
        }
        Sign::KeepOut => {
            let c = [(1.0, -5.0), (24.0, -5.0), (24.0, 5.0), (1.0, 5.0)].map(|(x, y)| at + DVec2::new(x, y));
            for x in [4.0, 10.0, 16.0] {
                ink.line(&[at + DVec2::new(x, 5.0), at + DVec2::new(x + 6.0, -5.0)], RUST, 0.8, "");
            }
            ink.put(format_args!("<path d=\"{}\"{}/>", path(&c, true), style(Look::KeepOut).attributes()));
        }
        Sign::Lost => cross(ink, at + DVec2::new(12.0, 0.0), 5.0),
        Sign::Hidden => {
            ink.line(&line(1.0, 24.0), PALE, 4.0, "");
        }
        Sign::Margin(word) => {
            let (colour, width, dash) = margins::line(word);
            ink.line(&line(0.0, 25.0), colour, width, dash);
        }
        Sign::Ring => {
            ink.line(&line(0.0, 25.0), "#8a8a8a", 0.8, "");
            ink.line(&line(0.0, 18.0), margins::line(Word::Holds).0, 3.0, "");
            ink.line(&[at + DVec2::new(12.5, -5.0), at + DVec2::new(12.5, 5.0)], INK, 1.6, "");
        }
        Sign::Moved => ink.line(&line(0.0, 25.0), BLUE, 2.6, ""),
        Sign::Force(long) => forces::arrow(ink, at, at + DVec2::new(long.max(8.0), 0.0)),
    }
}

/// Writes the key with its first line's middle at `y`.
pub(crate) fn key((board, ink): (&mut Board, &mut Ink), entries: &[Entry], paper: &Paper, y: f64) {
    ink.open("key", None);
    for (row, x, e) in flow(entries, paper) {
        let middle = y + key_step(paper) * f64::from(u32::try_from(row).unwrap_or(u32::MAX));
        let kind = Type::new(paper.small, INK);
        let text = DVec2::new(x + sign_room(e.sign), middle + paper.small * 0.36);
        if board.write(ink, text, kind, &e.words) {
            sign(ink, DVec2::new(x, middle), e.sign);
        }
    }
    ink.close();
}

/// A bar in metres above and feet below, and the way forward. The bar's top stands at `top`.
pub(crate) fn bar(
    (board, ink): (&mut Board, &mut Ink),
    (paper, placing, view): (&Paper, &Placing, View),
    top: f64,
) {
    let room = (paper.width - 2.0 * paper.pad) * 0.45;
    let metres = round_below(room.min(260.0) / placing.scale);
    let feet = round_below(room.min(260.0) / placing.scale / 0.3048);
    ink.open("scale", None);
    let (x, y) = (paper.pad + 8.0, top + 1.5 * paper.small);
    for (amount, unit, metre, below) in [(metres, "m", 1.0, false), (feet, "ft", 0.3048, true)] {
        let long = amount * metre * placing.scale;
        let h = if below { 4.0 } else { -4.0 };
        for k in [0.0, 1.0] {
            let (a, b) = (x + long * k / 2.0, x + long * (k + 1.0) / 2.0);
            let c = [DVec2::new(a, y), DVec2::new(b, y), DVec2::new(b, y + h), DVec2::new(a, y + h)];
            let fill = if (k > 0.5) == below { INK } else { "#ffffff" };
            ink.put(format_args!(
                "<path d=\"{}\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"0.8\"/>",
                path(&c, true)
            ));
        }
        let base = if below { y + 7.0 + paper.small * 0.8 } else { y - 8.0 };
        let kind = Type::new(paper.small, INK).at(Anchor::Middle);
        board.write(ink, DVec2::new(x, base), kind, "0");
        let kind = Type::new(paper.small, INK);
        board.write(ink, DVec2::new(x + long - 4.0, base), kind, &format!("{} {unit}", plain(amount)));
    }
    ink.close();
    forward(
        (board, ink),
        (paper, placing, view),
        DVec2::new(paper.width * if paper.is_phone || paper.is_small { 0.7 } else { 0.58 }, y),
    );
}

/// An arrow to the car's front with its word.
fn forward(
    (board, ink): (&mut Board, &mut Ink),
    (paper, placing, view): (&Paper, &Placing, View),
    at: DVec2,
) {
    let d = placing.eye.flat(DVec3::X);
    ink.open("forward", None);
    let kind = Type::new(paper.body, INK).bold();
    let text = DVec2::new(at.x + 26.0, at.y + paper.body * 0.36);
    if d.length() < 0.05 {
        let towards = placing.eye.depth(DVec3::X) > 0.0;
        ink.put(format_args!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"8\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"2\"/>",
            number(at.x),
            number(at.y)
        ));
        ink.put(format_args!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"2.6\" fill=\"{INK}\"/>",
            number(at.x),
            number(at.y)
        ));
        let words = if paper.is_phone {
            "to you"
        } else if towards {
            "forward: towards you"
        } else {
            "forward: away from you"
        };
        board.write(ink, text, kind, words);
    } else {
        let d = DVec2::new(d.x, -d.y).normalize_or(DVec2::X) * 16.0;
        ink.line(&[at - d, at + d * 0.4], INK, 3.0, "");
        ink.head(at + d, d, 13.0, INK);
        let words = match view {
            _ if paper.is_phone || paper.is_small => "forward",
            View::Plan => "forward (the car's left is at the left)",
            View::Side => "forward (seen from the left)",
            _ => "forward",
        };
        board.write(ink, text, kind, words);
    }
    ink.close();
}

/// 1, 2 or 5 times a power of ten, no greater than asked.
fn round_below(v: f64) -> f64 {
    if !(v.is_finite() && v > 0.0) {
        return 1.0;
    }
    let ten = 10.0_f64.powf(v.log10().floor());
    [5.0, 2.0, 1.0].into_iter().map(|k| k * ten).find(|k| *k <= v * (1.0 + 1e-9)).unwrap_or(ten)
}

fn plain(v: f64) -> String {
    if v >= 1.0 { format!("{v:.0}") } else { format!("{v:.6}").trim_end_matches('0').to_owned() }
}

/// Sentences in lines no wider than the paper.
pub(crate) fn sentences(all: &[String], paper: &Paper) -> Vec<String> {
    all.iter().flat_map(|n| lines(n, paper.small, paper.width - 2.0 * paper.pad)).collect()
}

/// Writes lines under each other; the first base line stands at `y`.
pub(crate) fn write((board, ink): (&mut Board, &mut Ink), all: &[String], paper: &Paper, mut y: f64) {
    for line in all {
        board.write(ink, DVec2::new(paper.pad, y), Type::new(paper.small, INK), line);
        y += paper.small * 1.35;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_round() {
        for (v, bar) in [(1.37, 1.0), (0.9, 0.5), (2.0, 2.0), (5.1, 5.0), (49.0, 20.0), (f64::NAN, 1.0)] {
            assert!((round_below(v) - bar).abs() < 1e-9, "{v}");
        }
        assert_eq!([0.5, 2.0, 20.0].map(plain), ["0.5", "2", "20"]);
    }
}
