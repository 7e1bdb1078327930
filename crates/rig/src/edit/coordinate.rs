//! One coordinate of a place, written anew.

use super::Snap;
use super::amount::{Words, snapped};
use super::document::{Document, Node, Splice, dotted};
use super::fault::EditFault;
use super::literal::text_like;
use super::set::insert;
use crate::pass::{key_text, quoted};
use quantity::{Kind, parse_kind};

/// Names of the axes x, y, z: the positive way and the negative one.
pub(crate) const WAYS: [(&str, &str); 3] = [("forward", "aft"), ("left", "right"), ("up", "down")];

/// How a coordinate is changed.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Move {
    /// By this and then to a whole step from where it is counted, m; kept between two moves.
    Onto(f64, Snap, Option<(f64, f64)>),
    /// By this as it is, m.
    By(f64),
}

/// What is written of a length: its key, its value's node, and m along the key.
struct Stated<'d> {
    key: &'static str,
    node: Node<'d>,
    at: std::ops::Range<usize>,
    words: Words,
    value_m: f64,
}

fn stated<'d>(
    document: &'d Document<'_>,
    table: &[String],
    key: &'static str,
) -> Result<Option<Stated<'d>>, EditFault> {
    let Some((Some(_), node)) = document.find(table).and_then(|t| t.child(key)) else { return Ok(None) };
    let read = node.text().and_then(|t| Some((Words::of(t)?, parse_kind(t, Kind::Length).ok()?)));
    match (read, node.span()) {
        (Some((words, value_m)), Some(at)) => Ok(Some(Stated { key, node, at, words, value_m })),
        _ => Err(EditFault::new(
            format!("`{}.{key}` cannot be read as a length", dotted(table)),
            "the new place is written in the unit that stands there",
            "write it with its unit between quotes, such as \"430 mm\"",
        )),
    }
}

/// The unit that a table's coordinates are written in.
pub(crate) fn words_of(document: &Document<'_>, table: &[String]) -> Words {
    let keys = ["aft", "forward", "left", "right", "up", "down", "above"];
    let texts = keys.iter().filter_map(|k| document.find(table)?.child(k)?.1.text());
    let mut all = texts.filter_map(Words::of);
    all.next().unwrap_or_else(Words::millimetres)
}

/// The unit that one coordinate is written in; as its neighbours where it is not stated.
pub(crate) fn words_along(document: &Document<'_>, table: &[String], axis: usize) -> Words {
    let (plus, minus) = WAYS.get(axis).copied().unwrap_or(("up", "down"));
    let height = if axis == 2 { "above" } else { plus };
    let texts = [plus, minus, height].into_iter().filter_map(|k| document.find(table)?.child(k)?.1.text());
    let mut all = texts.filter_map(Words::of);
    all.next().unwrap_or_else(|| words_of(document, table).for_new())
}

/// Changes the coordinate along an axis (0 x, 1 y, 2 z). An absent one counts from the datum's axis, 0.
pub(crate) fn shift(
    document: &Document<'_>,
    table: &[String],
    axis: usize,
    how: Move,
    absent_m: f64,
) -> Result<Vec<Splice>, EditFault> {
    let Some((plus, minus)) = WAYS.get(axis).copied() else { return Ok(Vec::new()) };
    let old = match stated(document, table, plus)? {
        Some(old) => Some(old),
        None => stated(document, table, minus)?,
    };
    let words = old.as_ref().map_or_else(|| words_along(document, table, axis), |o| o.words.clone());
    let was = old.as_ref().map_or(absent_m, |o| if o.key == plus { o.value_m } else { -o.value_m });
    let now = moved(was, how, &words);
    let Some(old) = old else {
        let key = if now < 0.0 { minus } else { plus };
        let path: Vec<String> = table.iter().cloned().chain([key.to_owned()]).collect();
        return insert(document, &path, &quoted(&words.write(now.abs())));
    };
    let along = if old.key == plus { now } else { -now };
    // A minus sign of the person's own stays; else what goes through nought turns round.
    let turns = along < -1e-9 && old.value_m >= 0.0;
    let other = if old.key == plus { minus } else { plus };
    let value = words.write(if turns { -along } else { along });
    let mut out = vec![(old.at.clone(), text_like(document.slice(old.at.clone()), &value))];
    if turns && let Some((Some(key), _)) = document.find(table).and_then(|t| t.child(old.key)) {
        out.push((key, key_text(other)));
    }
    // What reads the same stays as it is written.
    let same = old.node.text() == Some(value.as_str()) && !turns;
    Ok(if same { Vec::new() } else { out })
}

/// Changes a height over a panel by so much away from it.
pub(crate) fn raise(document: &Document<'_>, table: &[String], how: Move) -> Result<Vec<Splice>, EditFault> {
    let Some(old) = stated(document, table, "above")? else { return Ok(Vec::new()) };
    let now = moved(old.value_m, how, &old.words).max(0.0);
    Ok(vec![(old.at.clone(), text_like(document.slice(old.at), &old.words.write(now)))])
}

fn moved(was: f64, how: Move, words: &Words) -> f64 {
    match how {
        Move::By(by) => was + by,
        Move::Onto(by, snap, within) => {
            let step = words.step_m(snap);
            let to = snapped(was + by, step);
            let Some((least, most)) = within else { return to };
            let (least, most) = (was + least.min(most), was + most.max(least));
            if to < least {
                (least / step).ceil() * step
            } else if to > most {
                (most / step).floor() * step
            } else {
                to
            }
            .clamp(least, most)
        }
    }
}
