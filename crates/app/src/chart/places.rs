//! What is allowed by bearing and elevation of the boom, each number in its cell.

use super::sectors::{g_axis, notes, speed_words};
use crate::print::envelope::{g, sector_words};
use core::f64::consts::{PI, TAU};
use draw::chart::{Block, Cell, Heat};
use rig::Rig;
use verdict::limits::{Ask, Envelope, Place, Sector};

/// Where the middle of a sector points, from straight back over the left and straight ahead to the right.
fn from_the_left(s: &Sector) -> f64 {
    let middle = f64::midpoint(s.from, s.to);
    // Straight back itself counts as left.
    -((middle + PI - 1e-9).rem_euclid(TAU) - PI)
}

fn name(s: &Sector) -> String {
    s.hour().map_or_else(|| sector_words(s), |h| h.to_string())
}

/// One table a speed and surface; none without an arm that roams.
pub(crate) fn by_place(rig: &Rig, e: &Envelope, ask: Ask) -> Option<Heat> {
    let k = Ask::ALL.iter().position(|a| *a == ask)?;
    let mut order: Vec<usize> = (0..e.sectors.len()).collect();
    order.sort_by(|a, b| from_the_left(&e.sectors[*a]).total_cmp(&from_the_left(&e.sectors[*b])));
    let mut blocks = Vec::new();
    for speed in &e.speeds {
        for wet in &e.surfaces {
            let cell = |sector: usize, band: usize| {
                let here = |c: &&verdict::limits::Cell| {
                    c.wet == *wet && (c.speed - speed).abs() < 1e-6 && c.place == Place::Boom { sector, band }
                };
                match e.cells.iter().find(here).and_then(|c| c.limits.get(k)) {
                    Some(l) => l.acceleration.map_or(Cell::Nothing, |a| Cell::Value(a, g(l))),
                    None => Cell::Blank,
                }
            };
            let rows: Vec<Vec<Cell>> =
                (0..e.bands.len()).map(|b| order.iter().map(|s| cell(*s, b)).collect()).collect();
            if rows.iter().flatten().any(|c| *c != Cell::Blank) {
                blocks.push(Block { name: speed_words(*speed, *wet), rows });
            }
        }
    }
    let (what, axis) = match ask {
        Ask::Side => ("bend", "allowed to either side"),
        Ask::Brake => ("brake", "allowed straight on"),
        Ask::Both => ("bend and brake at once", "allowed of each"),
    };
    let degrees =
        |b: &verdict::limits::Band| format!("{:.0}° to {:.0}°", b.from.to_degrees(), b.to.to_degrees());
    (!blocks.is_empty()).then(|| Heat {
        title: format!("{}: how hard the car may {what}, by bearing and elevation of the boom", rig.name),
        axis: g_axis(axis),
        across: "where the boom points, hours as on a clock, 12 straight ahead, 9 to the left".to_owned(),
        columns: order.iter().map(|s| name(&e.sectors[*s])).collect(),
        up: "elevation of the boom".to_owned(),
        rows: e.bands.iter().map(degrees).collect(),
        blocks,
        nothing: "none: not even standing still on that road".to_owned(),
        notes: notes(rig, e),
    })
}
