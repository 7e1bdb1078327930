//! A whole sheet: head, field with the picture, measures, names, scale bar, key, notes.

use super::board::{Board, Rect, Type};
use super::bounds::{self, Extent};
use super::eye::{Eye, Paper, Placing};
use super::fit::{Fit, fit};
use super::footer;
use super::ink::{INK, Ink, number};
use super::measures::{self, Measure};
use super::names::Namer;
use super::picture::{self, Picture};
use super::rails::{self, Count};
use super::seen;
use super::solid::car::Car;
use super::solid::{Layer, Look, solids};
use super::tags::{self, Tag};
use super::words;
use super::{Drawing, Medium, Part, Scene, View};
use super::{forces, seen::Mark, seen::Piece};
use crate::text::{escaped, lines};
use glam::{DVec2, DVec3};

/// The view in words.
pub(crate) fn view_words(view: View) -> &'static str {
    match view {
        View::Plan => "Plan, from above",
        View::Side => "Side, from the car's left",
        View::Front => "Front, from ahead",
        View::Corner { .. } => "Across a corner",
    }
}

/// Clamps as pieces: a sign of its kind where the two tubes cross.
fn clamps(scene: &Scene<'_>, eye: Eye, out: &mut Vec<Piece>) {
    for i in 0..scene.rig.clamps.len() {
        let Some(at) =
            words::anchor(scene.rig, Part::Clamp(i)).filter(|p| p.is_finite() && p.abs().max_element() < 1e6)
        else {
            continue;
        };
        out.push(Piece {
            part: Some(Part::Clamp(i)),
            layer: Layer::Clamp,
            look: Look::Clamp,
            marks: vec![Mark::Ellipse {
                centre: eye.flat(at),
                long: words::CLAMP,
                short: words::CLAMP,
                turn: 0.0,
            }],
            depth: eye.depth(at) + 0.06,
            hidden: false,
        });
    }
}

/// A short name for what is in a text, so that two drawings on one page do not share names.
fn print_of(text: &str) -> String {
    let mut h: u64 = 0xcbf2_9ce4_8422_2325;
    for b in text.bytes() {
        h = (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3);
    }
    format!("f{h:016x}")
}

struct Left {
    measures: usize,
    lines: usize,
}

pub(crate) fn draw(scene: &Scene<'_>, view: View, medium: Medium) -> Drawing {
    let paper = Paper::new(medium);
    let eye = Eye::new(view);
    let car = Car::new(scene.rig);
    let all = solids(scene);
    let mut pieces = seen::pieces(&all, eye, car.as_ref());
    clamps(scene, eye, &mut pieces);
    pieces.retain(|p| match p.look {
        Look::TipSweep | Look::TailSweep => matches!(view, View::Plan | View::Corner { .. }),
        Look::Elevation | Look::OtherPose => matches!(view, View::Side | View::Front),
        _ => true,
    });
    pieces.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    let any_hidden = pieces.iter().any(|p| p.hidden);

    // What stands beside and under the picture.
    let (aside, under) = match view {
        View::Plan => {
            (Some((Count::Aft, measures::aft(scene))), Some((Count::Across, measures::across(scene))))
        }
        View::Side => (Some((Count::Up, measures::up(scene))), Some((Count::Aft, measures::aft(scene)))),
        View::Front => {
            (Some((Count::Up, measures::up(scene))), Some((Count::Across, measures::across(scene))))
        }
        View::Corner { .. } => (None, None),
    };
    let mut left = Left { measures: 0, lines: 0 };
    // On a small piece of paper the picture comes first.
    let is_small = paper.is_small;
    let (aside, under) = if is_small {
        let of = |m: &Option<(Count, Vec<Measure>)>| m.as_ref().map_or(0, |m| m.1.len());
        left.measures += of(&aside) + of(&under);
        (None, None)
    } else {
        (aside, under)
    };
    let most = if paper.is_phone {
        4
    } else if view == View::Side {
        9
    } else {
        7
    };
    let room_for = paper.height.map_or(most, |h| rails::usize_of(h * 0.16 / rails::row(&paper)).min(most));
    let under = under.map(|(count, all)| {
        let (kept, out) = rails::needful(all, room_for);
        left.measures += out;
        (count, kept)
    });
    let longest = if paper.is_phone { 80.0 } else { 110.0 };
    let mut entries = footer::fitted(footer::entries(scene, (view, &paper), longest, any_hidden), &paper);
    let mut notes = scene.notes.clone();
    if let Some(m) = &scene.moved {
        notes.insert(0, forces::moved_words(m));
    }
    let mut notes = footer::sentences(&notes, &paper);

    let count = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    let title = Type::new(paper.title, INK).bold();
    let head: Vec<String> = lines(&scene.rig.name, paper.title * 1.1, paper.width - 2.0 * paper.pad);
    let head: Vec<String> = head.into_iter().take(2).collect();
    let head_room = paper.pad + count(head.len()) * paper.title * 1.25 + paper.step + 6.0;
    let stack_room = under.as_ref().map_or(0.0, |u| count(u.1.len()) * rails::row(&paper) + 10.0);
    let line_step = paper.small * 1.35;
    let said_room = if is_small { 2.0 } else { 3.0 } * line_step;
    let foot = |entries: &[footer::Entry], notes: &[String]| {
        footer::bar_room(&paper)
            + count(footer::key_rows(entries, &paper)) * footer::key_step(&paper)
            + count(notes.len()) * line_step
            + 14.0
    };
    if let Some(height) = paper.height {
        // Notes and then the key give way where the paper is too low for all.
        while foot(&entries, &notes) + said_room > if is_small { 0.36 } else { 0.42 } * height
            && !(notes.is_empty() && entries.is_empty())
        {
            left.lines += 1;
            if notes.pop().is_none() {
                entries.pop();
            }
        }
    }
    let column = aside.as_ref().map_or(0.0, |_| rails::column(&paper));

    let wide = (paper.width - 2.0 * paper.pad - column).max(10.0);
    let tall = match paper.height {
        Some(h) => h - head_room - stack_room - foot(&entries, &notes) - said_room - paper.pad,
        None if view == View::Front => paper.tallest * 0.75,
        None => paper.tallest,
    };
    let tall = tall.max(10.0);
    let fitted = fit(&paper, view, DVec2::new(wide, tall), |extent| {
        bounds::seen(scene, &all, car.as_ref(), eye, (view, extent))
    });
    let Fit { low, high, scale, to_one, extent } = fitted;
    // No taller than what is in it.
    let tall = (((high - low).y * scale + 2.0 * paper.air).max(120.0)).min(tall);
    let field = Rect::new(paper.pad, head_room, paper.pad + wide, head_room + tall);
    let placing =
        Placing { eye, scale, middle: (low + high) / 2.0, at: field.middle(), per_mm: paper.per_mm };

    let mut board = Board::new(paper.width, paper.height.unwrap_or(field.bottom + stack_room));
    board.paper.bottom = paper.height.unwrap_or(1e9);
    let mut ink = Ink::default();
    let mut y = paper.pad + paper.title * 0.9;
    for line in &head {
        board.write(&mut ink, DVec2::new(paper.pad, y), title, line);
        y += paper.title * 1.25;
    }
    let mut said = view_words(view).to_owned();
    if let Some(one) = to_one {
        let is_cut = extent == Extent::Rig
            && car.as_ref().is_some_and(|c| {
                c.room().iter().any(|p| {
                    let p = placing.place(*p);
                    field.nearest(p).distance(p) > 1.0
                })
            });
        let cut = if is_cut { "; the car is cut off" } else { "" };
        said = format!("{said}. Scale 1:{one:.0} on paper{cut}");
    }
    board.write(&mut ink, DVec2::new(paper.pad, y), Type::new(paper.body, INK), &said);

    // The picture, cut at its field.
    let show = Picture { scene, view, placing, car: car.as_ref(), longest };
    let mut art = Ink::default();
    let dim = if scene.moved.is_some() { " opacity=\"0.5\"" } else { "" };
    show.far_wheels(&mut art);
    show.car(&mut art);
    art.put(format_args!("<g class=\"hidden\" opacity=\"0.3\">"));
    if view == View::Plan {
        show.far_wheels(&mut art);
    }
    show.pieces(&mut art, pieces.iter().filter(|p| p.hidden));
    art.close();
    show.lines(&mut art, (field.left, field.right));
    let is_ground = |p: &&Piece| matches!(p.layer, Layer::Panel | Layer::KeepOut);
    show.pieces(&mut art, pieces.iter().filter(|p| !p.hidden).filter(is_ground));
    show.pieces(&mut art, pieces.iter().filter(|p| p.layer == Layer::Sweep));
    art.put(format_args!("<g class=\"rig\"{dim}>"));
    show.pieces(&mut art, pieces.iter().filter(|p| !p.hidden && p.layer != Layer::Sweep && !is_ground(p)));
    art.close();
    show.datum(&mut art);
    let mut inked = show.margins(&mut art);
    show.lost(&mut art);
    let (bent, arrows) = show.forces(&mut art);
    inked.extend(bent);
    inked.extend(arrows.iter().map(|a| a.path.to_vec()));
    let clip = print_of(&art.out);
    ink.put(format_args!(
        "<clipPath id=\"{clip}\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/></clipPath>\n<g clip-path=\"url(#{clip})\">",
        number(field.left),
        number(field.top),
        number(field.wide()),
        number(field.tall())
    ));
    ink.out.push_str(&art.out);
    ink.close();

    picture::count(&mut board, &placing, &pieces, &inked);
    board.settle();
    let datum = placing.place(if scene.rig.vehicle.datum.is_finite() {
        scene.rig.vehicle.datum
    } else {
        DVec3::ZERO
    });
    if let Some((count, all)) = aside {
        let origin = match count {
            Count::Up => placing.place(DVec3::ZERO).y,
            _ => datum.y,
        };
        left.measures +=
            rails::upright((&mut board, &mut ink), (&field, &paper, &placing), (count, all, origin));
    }
    if let Some((count, all)) = under {
        let origin = match count {
            Count::Aft => datum.x,
            _ => placing.place(DVec3::ZERO).x,
        };
        left.measures +=
            rails::stacked((&mut board, &mut ink), (&field, &paper, &placing), (count, all, origin));
    }

    let namer = Namer { scene, view, paper: &paper, placing: &placing };
    let mut names = namer.all(&all);
    names.extend(arrows.iter().filter(|a| !a.label.trim().is_empty()).map(|a| Tag {
        lines: vec![crate::text::shortened(a.label.trim(), paper.small, 190.0)],
        below: None,
        at: vec![a.tip],
        radius: 4.0,
        rank: 2,
        reach: 75.0,
        ink: INK,
        may_be_numbered: false,
        short: format!("force {}", crate::text::shortened(a.label.trim(), paper.small, 150.0)),
    }));
    ink.open("tags", None);
    let placed = tags::place((&mut board, &mut ink), &field, names, paper.small);
    ink.close();

    // Under the picture: scale bar, key, notes, what was left out.
    let foot_top = field.bottom + stack_room;
    footer::bar((&mut board, &mut ink), (&paper, &placing, view), foot_top);
    let mut y = foot_top + footer::bar_room(&paper) + 8.0;
    footer::key((&mut board, &mut ink), &entries, &paper, y);
    y += count(footer::key_rows(&entries, &paper)) * footer::key_step(&paper) + 4.0;
    footer::write((&mut board, &mut ink), &notes, &paper, y);
    y += count(notes.len()) * line_step;
    let mut rest = left_words(&placed, &left, &paper);
    if paper.height.is_some() {
        let most = if is_small { 2 } else { 3 };
        if rest.len() > most {
            rest.truncate(most);
            if let Some(last) = rest.last_mut() {
                let short = crate::text::shortened(
                    last,
                    paper.small,
                    paper.width - 2.0 * paper.pad - 2.0 * paper.small,
                );
                *last = format!("{} …", short.trim_end_matches('…'));
            }
        }
    }
    footer::write((&mut board, &mut ink), &rest, &paper, y);
    y += count(rest.len()) * line_step;
    finish(scene, (view, &paper, medium), (&ink.out, y), (to_one.unwrap_or(scale), placing))
}

/// What is not on the paper, in words.
fn left_words(placed: &tags::Placed, left: &Left, paper: &Paper) -> Vec<String> {
    let mut out = Vec::new();
    if !placed.below.is_empty() {
        out.push(format!("Least margins: {}.", placed.below.join(", ")));
    }
    if !placed.numbered.is_empty() {
        let all: Vec<String> =
            placed.numbered.iter().enumerate().map(|(k, n)| format!("({}) {n}", k + 1)).collect();
        out.push(all.join("  "));
    }
    let most = if paper.is_phone { 6 } else { 14 };
    let n = placed.left_out.len();
    if n > 0 {
        let mut names: Vec<&str> = placed.left_out.iter().take(most).map(String::as_str).collect();
        if n > most {
            names.push("…");
        }
        let where_to = if paper.is_phone { ": see the page drawing" } else { " for want of room" };
        let word = if n == 1 { "name" } else { "names" };
        out.push(format!("{n} {word} left out{where_to} ({}).", names.join(", ")));
    }
    if left.measures > 0 {
        let word = if left.measures == 1 { "measure" } else { "measures" };
        out.push(format!("{} {word} left out for want of room: see the rig's file.", left.measures));
    }
    if left.lines > 0 {
        let word = if left.lines == 1 { "line" } else { "lines" };
        out.push(format!("{} {word} of key and notes left out: the paper is too small.", left.lines));
    }
    footer::sentences(&out, paper)
}

fn finish(
    scene: &Scene<'_>,
    (view, paper, medium): (View, &Paper, Medium),
    (body, used): (&str, f64),
    (scale, placing): (f64, Placing),
) -> Drawing {
    let height = paper.height.unwrap_or(f64::INFINITY).min((used + paper.pad).ceil());
    let name = format!("{}: {}", scene.rig.name.trim(), view_words(view));
    let (width_text, height_text) = match (medium, paper.per_mm) {
        (Medium::Print { .. }, Some(k)) => {
            (format!("{}mm", number(paper.width / k)), format!("{}mm", number(height / k)))
        }
        _ => (number(paper.width), number(height)),
    };
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" width=\"{width_text}\" height=\"{height_text}\" font-family=\"Helvetica, Arial, 'DejaVu Sans', sans-serif\" role=\"img\">\n<title>{}</title>\n<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n{body}</svg>\n",
        number(paper.width),
        number(height),
        escaped(&name)
    );
    let per = paper.per_mm.unwrap_or(1.0);
    Drawing { svg, scale, size: (paper.width / per, height / per), placing }
}
