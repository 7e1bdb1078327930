//! Measures on the paper: a rail beside the drawing with a tick for each, and lines under it that start at one origin.

use super::board::{Anchor, BOLD, Board, Rect, Type};
use super::eye::{Paper, Placing};
use super::ink::{GREY, INK, Ink, PALE};
use super::measures::Measure;
use crate::chart::labels::apart;
use crate::text::{lines, shortened};
use glam::DVec2;

/// What a rail counts along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Count {
    /// From the datum aft.
    Aft,
    /// From the centreline to the sides.
    Across,
    /// From the road up.
    Up,
}

/// What stands after a length: which way it is taken.
fn way(count: Count, m: &Measure) -> &'static str {
    match count {
        Count::Up => "",
        Count::Aft if m.value.abs() < 5e-4 => " at the datum",
        Count::Aft if m.value < 0.0 => " forward",
        Count::Aft => " aft",
        Count::Across if m.both_sides => " each side",
        Count::Across if m.value < 0.0 => " right",
        Count::Across => " left",
    }
}

fn rows(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// The most needful measures, in their own order, and how many are left out.
pub(crate) fn needful(mut all: Vec<Measure>, most: usize) -> (Vec<Measure>, usize) {
    let left_out = all.len().saturating_sub(most);
    while all.len() > most {
        let last = all.iter().map(|m| m.rank).max().unwrap_or_default();
        let Some(k) = all.iter().rposition(|m| m.rank == last) else { break };
        all.remove(k);
    }
    (all, left_out)
}

/// Texts of one tick of an upright rail: the first is the length.
fn tick_lines(count: Count, m: &Measure, paper: &Paper, wide: f64) -> Vec<(String, Type)> {
    let (body, small) = (Type::new(paper.small, INK).bold(), Type::new(paper.small, INK));
    let mut out: Vec<(String, Type)> = Vec::new();
    if paper.is_phone {
        let [metric, us] = m.lengths();
        let way = way(count, m);
        out.push((metric, body));
        let us = format!("{us}{}", if way == " forward" { way } else { "" });
        out.extend(lines(&us, paper.small, wide).into_iter().map(|l| (l, small)));
        if count == Count::Up {
            out.extend(lines(&m.words(), paper.small, wide).into_iter().take(2).map(|l| (l, small)));
        }
    } else {
        let first = format!("{}{}", m.length(), way(count, m));
        let fits = body.width(&first) <= wide;
        out.push((if fits { first } else { m.length() }, body));
        let said = if fits { m.words() } else { format!("{}: {}", way(count, m).trim(), m.words()) };
        let words = lines(&said, paper.small, wide);
        let long = words.len() > 2;
        out.extend(words.into_iter().take(2).map(|l| (l, small)));
        if long && let Some(last) = out.last_mut() {
            last.0 = shortened(&format!("{} …", last.0), paper.small, wide);
        }
    }
    for (text, kind) in &mut out {
        let size = if kind.bold { kind.size * BOLD } else { kind.size };
        *text = shortened(text, size, wide);
    }
    out
}

/// How wide the column of an upright rail is.
pub(crate) fn column(paper: &Paper) -> f64 {
    if paper.is_phone {
        114.0
    } else if paper.per_mm.is_some() {
        (paper.width * 0.27).min(205.0)
    } else {
        236.0
    }
}

/// An upright rail to the right of the field; `place` gives where on the paper a measure is taken. Gives back how many are left out.
pub(crate) fn upright(
    (board, ink): (&mut Board, &mut Ink),
    (field, paper, placing): (&Rect, &Paper, &Placing),
    (count, all, origin): (Count, Vec<Measure>, f64),
) -> usize {
    let line = field.right + 7.0;
    let wide = (paper.width - paper.pad - line - 16.0).max(10.0);
    let inside = |m: &Measure| {
        m.at.first().map(|p| placing.place(*p).y).filter(|y| *y >= field.top && *y <= field.bottom)
    };
    let before = all.len();
    let all: Vec<Measure> = all.into_iter().filter(|m| inside(m).is_some()).collect();
    let outside = before - all.len();
    let per = if paper.is_phone { 2.0 } else { 2.2 } * paper.small * 1.15 + 4.0;
    let most = usize_of(field.tall() / per);
    let (mut all, mut left_out) = needful(all, most);
    let texts = |all: &[Measure]| -> Vec<Vec<(String, Type)>> {
        all.iter().map(|m| tick_lines(count, m, paper, wide)).collect()
    };
    let tall = |t: &Vec<(String, Type)>| rows(t.len()) * paper.small * 1.15 + 4.0;
    let mut blocks = texts(&all);
    while blocks.iter().map(tall).sum::<f64>() > field.tall() && !all.is_empty() {
        left_out += 1;
        all = needful(std::mem::take(&mut all), blocks.len() - 1).0;
        blocks = texts(&all);
    }
    let ys: Vec<f64> = all.iter().map(|m| inside(m).unwrap_or(field.top)).collect();
    let wishes: Vec<(f64, f64)> = ys.iter().zip(&blocks).map(|(y, b)| (*y, tall(b))).collect();
    let tops = apart(&wishes, field.top, field.bottom);
    let ends = ys.iter().copied().chain([origin.clamp(field.top, field.bottom)]);
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), y| (a.min(y), b.max(y)));
    if all.is_empty() {
        return left_out + outside;
    }
    ink.open("measures", None);
    ink.line(&[DVec2::new(line, low), DVec2::new(line, high)], INK, 1.0, "");
    if origin >= field.top && origin <= field.bottom {
        ink.put(format_args!("<circle cx=\"{line:.1}\" cy=\"{origin:.1}\" r=\"3\" fill=\"{INK}\"/>"));
    }
    for (((m, y), top), block) in all.iter().zip(&ys).zip(&tops).zip(&blocks) {
        // From the outermost thing that is measured to the rail.
        let start = m.at.iter().map(|p| placing.place(*p).x).fold(f64::NEG_INFINITY, f64::max);
        let start = DVec2::new(start.clamp(field.left, field.right), *y);
        ink.line(&[start, DVec2::new(line, *y)], PALE, 0.7, "1 2");
        let middle = top + tall(block) / 2.0;
        let text = DVec2::new(line + 12.0, middle);
        ink.line(
            &[DVec2::new(line - 4.0, *y), DVec2::new(line + 4.0, *y), text - DVec2::new(1.0, 0.0)],
            INK,
            1.0,
            "",
        );
        let mut base = top + 2.0 + paper.small * 0.88;
        for (words, kind) in block {
            board.write(ink, DVec2::new(text.x + 2.0, base), *kind, words);
            base += paper.small * 1.15;
        }
    }
    ink.close();
    left_out + outside
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped first")]
pub(crate) fn usize_of(v: f64) -> usize {
    if v.is_finite() { v.clamp(0.0, 1e6) as usize } else { 0 }
}

/// How tall one line of the stack under the field is.
pub(crate) fn row(paper: &Paper) -> f64 {
    if paper.is_phone { paper.small * 1.2 + 8.0 } else { paper.small * 1.2 + 3.0 }
}

/// Lines under the field, each from the origin to its place, the shortest on top. Gives back how many are left out.
pub(crate) fn stacked(
    (board, ink): (&mut Board, &mut Ink),
    (field, paper, placing): (&Rect, &Paper, &Placing),
    (count, all, origin): (Count, Vec<Measure>, f64),
) -> usize {
    if all.is_empty() {
        return 0;
    }
    // Words stand on all lines.
    let mut words_ink = Ink::default();
    ink.open("measures", None);
    let mut left_out = 0;
    let top = field.bottom + 6.0;
    let bottom = top + rows(all.len()) * row(paper);
    if origin >= field.left && origin <= field.right {
        ink.line(&[DVec2::new(origin, field.bottom), DVec2::new(origin, bottom)], GREY, 0.8, "8 3 2 3");
    }
    let mut y = top;
    for m in &all {
        let place = m.at.iter().map(|p| placing.place(*p).x).find(|x| (field.left..=field.right).contains(x));
        let line_y = if paper.is_phone { y + 4.0 } else { y + row(paper) / 2.0 };
        y += row(paper);
        let Some(x) = place else {
            left_out += 1;
            continue;
        };
        let other = if m.both_sides { 2.0 * origin - x } else { origin };
        let (a, b) = (x.min(other).max(field.left), x.max(other).min(field.right));
        let length = format!("{}{}", m.length(), way(count, m));
        let kind = Type::new(paper.small, INK).bold().halo();
        let wide = kind.width(&length);
        let base = line_y + paper.small * 0.36;
        // After the line, before it, or under it: wherever the paper has room.
        let written = if paper.is_phone {
            let half = wide / 2.0;
            let middle = f64::midpoint(a, b)
                .clamp(paper.pad + half, (paper.width - paper.pad - half).max(paper.pad + half));
            board.write(
                &mut words_ink,
                DVec2::new(middle, line_y + 3.0 + paper.small),
                kind.at(Anchor::Middle),
                &length,
            )
        } else {
            let room = paper.width - paper.pad - (b + 8.0);
            let left_room = a - 8.0 - paper.pad;
            let start = if wide <= room {
                Some(b + 8.0)
            } else if wide <= left_room {
                Some(a - 8.0 - wide)
            } else {
                None
            };
            start.is_some_and(|start| {
                let rest =
                    if start > b { paper.width - paper.pad - start - wide } else { a - 8.0 - start - wide };
                let said = m.words();
                let words = format!(": {said}");
                let plain = Type::new(paper.small, INK).halo().at(Anchor::End);
                if kind.width(&words) <= rest {
                    return board.write_two(&mut words_ink, DVec2::new(start, base), kind, (&length, &words));
                }
                // No room behind the length for what it is taken to: before the line, or shortened.
                let before = start > b
                    && plain.width(&said) <= left_room
                    && board.write(&mut words_ink, DVec2::new(a - 8.0, base), plain, &said);
                let words = if before || rest < 60.0 {
                    String::new()
                } else {
                    shortened(&words, paper.small * BOLD, rest)
                };
                board.write_two(&mut words_ink, DVec2::new(start, base), kind, (&length, &words))
            })
        };
        if !written {
            left_out += 1;
            continue;
        }
        for end in [a, b] {
            ink.line(&[DVec2::new(end, field.bottom - 2.0), DVec2::new(end, line_y + 3.0)], PALE, 0.7, "1 2");
        }
        ink.line(&[DVec2::new(a, line_y), DVec2::new(b, line_y)], INK, 1.0, "");
        let ends: &[(f64, f64)] = if m.both_sides {
            &[(a, -1.0), (b, 1.0)]
        } else if x < origin {
            &[(a, -1.0)]
        } else {
            &[(b, 1.0)]
        };
        for (at, way) in ends {
            ink.head(DVec2::new(*at, line_y), DVec2::new(*way, 0.0), 6.0, INK);
        }
    }
    ink.out.push_str(&words_ink.out);
    ink.close();
    left_out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_needful_go_first() {
        let m = |value, rank| Measure { value, names: Vec::new(), rank, both_sides: false, at: Vec::new() };
        let (kept, out) = needful(vec![m(0.1, 3), m(0.2, 0), m(0.3, 1), m(0.4, 3)], 3);
        assert_eq!((kept.iter().map(|m| m.value).collect::<Vec<_>>(), out), (vec![0.1, 0.2, 0.3], 1));
        assert_eq!(needful(kept, 1).0[0].rank, 0);
    }
}
