//! Names beside the things they name: each tries places around its own and takes the quietest that is free.

use super::board::{Anchor, Board, Rect, Type};
use super::ink::{GREY, INK, Ink};
use glam::DVec2;

/// A name, or a few words, that wants to stand near a place.
#[derive(Clone, Debug)]
pub(crate) struct Tag {
    /// Lines, the first of them bold.
    pub(crate) lines: Vec<String>,
    /// Places that it may stand by.
    pub(crate) at: Vec<DVec2>,
    /// How far the thing itself reaches around the place.
    pub(crate) radius: f64,
    /// The lowest go first.
    pub(crate) rank: u8,
    /// How far away it may stand.
    pub(crate) reach: f64,
    pub(crate) ink: &'static str,
    /// A shorter way to say it, with a key under the drawing.
    pub(crate) may_be_numbered: bool,
    /// As it is called where it is left out.
    pub(crate) short: String,
    /// What is said of it under the drawing, when it is named in the drawing.
    pub(crate) below: Option<String>,
}

/// What became of the names.
#[derive(Default)]
pub(crate) struct Placed {
    /// Numbers in their order, with what they stand for.
    pub(crate) numbered: Vec<String>,
    pub(crate) left_out: Vec<String>,
    /// What is said under the drawing of things that are named in it.
    pub(crate) below: Vec<String>,
}

struct Place {
    room: Rect,
    at: DVec2,
    cost: f64,
}

/// Directions tried, and how much each is liked less.
const WAYS: [(f64, f64); 12] = [
    (0.9, -0.44),
    (-0.9, -0.44),
    (0.9, 0.44),
    (-0.9, 0.44),
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, -1.0),
    (0.0, 1.0),
    (0.5, -0.87),
    (-0.5, -0.87),
    (0.5, 0.87),
    (-0.5, 0.87),
];
const STEPS: [f64; 8] = [3.0, 9.0, 18.0, 32.0, 50.0, 75.0, 105.0, 145.0];

fn best(board: &Board, field: &Rect, tag: &Tag, size: DVec2) -> Option<Place> {
    let mut best: Option<Place> = None;
    for (nth, at) in tag.at.iter().enumerate() {
        if !(at.x >= field.left && at.x <= field.right && at.y >= field.top && at.y <= field.bottom) {
            continue;
        }
        for (step, away) in STEPS.iter().enumerate().filter(|s| *s.1 <= tag.reach) {
            for (liked, (dx, dy)) in WAYS.iter().enumerate() {
                let d = tag.radius + away;
                let pull = DVec2::new((dx * 1.5_f64).clamp(-1.0, 1.0), (dy * 1.5_f64).clamp(-1.0, 1.0));
                let middle = *at + DVec2::new(*dx, *dy) * d + pull * size / 2.0;
                let half = size / 2.0;
                let room =
                    Rect::new(middle.x - half.x, middle.y - half.y, middle.x + half.x, middle.y + half.y);
                if !room.within(field) {
                    continue;
                }
                let rank = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
                let density = board.ink(&room) / (room.wide() * room.tall()).max(1.0) * 150.0;
                let mut cost = density * 3.0 + rank(step) * 4.0 + rank(liked) * 0.25 + rank(nth) * 1.5;
                if best.as_ref().is_some_and(|b| b.cost <= cost) {
                    continue;
                }
                cost += board.leaders_in(&room) * 25.0;
                if *away > 12.0 {
                    cost += board.crossings(room.nearest(*at), *at) * 30.0;
                }
                if best.as_ref().is_some_and(|b| b.cost <= cost) || !board.is_free(&room) {
                    continue;
                }
                best = Some(Place { room, at: *at, cost });
            }
        }
    }
    best
}

/// Places all names, the most needful first.
pub(crate) fn place(
    (board, ink): (&mut Board, &mut Ink),
    field: &Rect,
    mut tags: Vec<Tag>,
    size: f64,
) -> Placed {
    let mut out = Placed::default();
    tags.sort_by_key(|t| t.rank);
    let step = size * 1.15;
    for tag in &tags {
        let shape = |lines: &[String]| {
            let wide =
                lines.iter().enumerate().map(|(k, l)| kind(size, k, tag.ink).width(l)).fold(0.0, f64::max);
            let rows = f64::from(u32::try_from(lines.len()).unwrap_or(1));
            DVec2::new(wide + 4.0, rows * step + 2.0)
        };
        if let Some(place) = best(board, field, tag, shape(&tag.lines)) {
            write((board, ink), &place, tag, &tag.lines, size);
            out.below.extend(tag.below.clone());
            continue;
        }
        if tag.may_be_numbered {
            let number = vec![format!("({})", out.numbered.len() + 1)];
            if let Some(place) = best(board, field, tag, shape(&number)) {
                write((board, ink), &place, tag, &number, size);
                out.numbered.push(tag.short.clone());
                continue;
            }
        }
        out.left_out.push(tag.short.clone());
    }
    out
}

fn kind(size: f64, line: usize, ink: &'static str) -> Type {
    let kind = Type::new(size, ink).halo();
    if line == 0 { kind.bold() } else { Type { ink: INK, ..kind } }
}

fn write((board, ink): (&mut Board, &mut Ink), place: &Place, tag: &Tag, lines: &[String], size: f64) {
    let room = place.room;
    let to = room.nearest(place.at);
    let gap = to.distance(place.at);
    if gap > tag.radius + 11.0 {
        let end = place.at + (to - place.at).normalize_or_zero() * (tag.radius * 0.6);
        ink.line(&[to, end], "#ffffff", 2.6, "");
        ink.line(&[to, end], GREY, 0.9, "");
        ink.put(format_args!("<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"1.8\" fill=\"{GREY}\"/>", end.x, end.y));
        board.lead(to, end);
    }
    // Words stand towards what they name.
    let (anchor, x) = if room.left >= place.at.x - 1.0 {
        (Anchor::Start, room.left + 2.0)
    } else if room.right <= place.at.x + 1.0 {
        (Anchor::End, room.right - 2.0)
    } else {
        (Anchor::Middle, room.middle().x)
    };
    let mut y = room.top + 1.0 + size * 0.88;
    for (k, line) in lines.iter().enumerate() {
        board.write(ink, DVec2::new(x, y), kind(size, k, tag.ink).at(anchor), line);
        y += size * 1.15;
    }
    board.take(room);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tag(words: &str, at: (f64, f64)) -> Tag {
        Tag {
            lines: vec![words.to_owned()],
            at: vec![DVec2::new(at.0, at.1)],
            radius: 4.0,
            rank: 0,
            reach: 145.0,
            ink: INK,
            may_be_numbered: true,
            short: words.to_owned(),
            below: None,
        }
    }

    #[test]
    fn many_names_for_one_place_stand_apart_and_the_rest_is_told() {
        let (mut board, mut ink) = (Board::new(300.0, 200.0), Ink::default());
        board.settle();
        let tags: Vec<Tag> = (0..60).map(|k| tag(&format!("a name {k}"), (150.0, 100.0))).collect();
        let field = Rect::new(0.0, 0.0, 300.0, 200.0);
        let placed = place((&mut board, &mut ink), &field, tags, 12.0);
        let written = ink.out.matches("<text").count();
        assert!(written > 15, "{written}");
        assert_eq!(written + placed.left_out.len(), 60);
    }

    #[test]
    fn a_name_flees_ink() {
        let (mut board, mut ink) = (Board::new(300.0, 200.0), Ink::default());
        for k in 0..50 {
            let x = 150.0 + f64::from(k) * 2.0;
            board.draw(&[DVec2::new(x, 0.0), DVec2::new(x, 200.0)], 1.0);
        }
        board.settle();
        let placed = best(
            &board,
            &Rect::new(0.0, 0.0, 300.0, 200.0),
            &tag("name", (148.0, 100.0)),
            DVec2::new(40.0, 16.0),
        );
        assert!(placed.unwrap().room.right <= 150.0);
        place(
            (&mut board, &mut ink),
            &Rect::new(0.0, 0.0, 300.0, 200.0),
            vec![tag("name", (148.0, 100.0))],
            12.0,
        );
        assert!(ink.out.contains("text-anchor=\"end\""), "{}", ink.out);
    }
}
