//! What is allowed at each speed, wherever the boom points.

use super::sectors::{g_axis, least, notes, speed_words};
use crate::print::envelope::g;
use draw::chart::{Bar, Bars, Group, Key};
use rig::Rig;
use verdict::limits::{Ask, Cell, Envelope, Place};

/// What the boom does: there is none, it roams, it is parked.
const USES: [&str; 3] = ["", "boom anywhere: ", "boom parked: "];

fn use_of(place: Place) -> &'static str {
    match place {
        Place::Fixed => USES[0],
        Place::Boom { .. } => USES[1],
        Place::Parked => USES[2],
    }
}

/// One group a speed and surface, of each use of the arm the least over all places; none where nothing was found.
pub(crate) fn by_speed(rig: &Rig, e: &Envelope) -> Option<Bars> {
    let mut groups = Vec::new();
    for wet in &e.surfaces {
        for speed in &e.speeds {
            let here = |c: &&Cell| c.wet == *wet && (c.speed - speed).abs() < 1e-6;
            let mut bars = Vec::new();
            for name in USES {
                let cells: Vec<&Cell> =
                    e.cells.iter().filter(here).filter(|c| use_of(c.place) == name).collect();
                for (k, ask) in Ask::ALL.iter().enumerate() {
                    let Some(limit) = least(cells.iter().filter_map(|c| c.limits.get(k))) else { continue };
                    let text = match limit.acceleration {
                        Some(_) => format!("{} g", g(limit)),
                        None => "none".to_owned(),
                    };
                    bars.push(Bar {
                        label: format!("{name}{}", ask.words()),
                        value: Some(limit.acceleration.unwrap_or(0.0)),
                        text,
                        ..Bar::default()
                    });
                }
            }
            if !bars.is_empty() {
                groups.push(Group { name: speed_words(*speed, *wet), bars });
            }
        }
    }
    (!groups.is_empty()).then(|| Bars {
        title: format!("{}: how hard the car may go", rig.name),
        axis: g_axis("allowed"),
        groups,
        limit: None,
        most: None,
        key: Key::default(),
        notes: notes(rig, e),
    })
}
