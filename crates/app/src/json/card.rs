//! What `card --json` prints.

use crate::print::card::{Card, KEEP};
use rig::Rig;
use serde::Serialize;
use verdict::Answer;
use verdict::limits::card::{Boom, Row};

/// A card.
#[derive(Debug, Serialize)]
pub(crate) struct Printed {
    rig: String,
    answer: &'static str,
    exit_status: u8,
    rows: Vec<Line>,
    operator: Vec<String>,
    always: &'static [&'static str],
}

#[derive(Debug, Serialize)]
struct Line {
    /// `none`, `anywhere` or `parked`.
    boom: &'static str,
    wet: bool,
    up_to_m_s: f64,
    /// In g, rounded down, never more than the plan has; `null`: not to be done at all.
    bends_g: Option<f64>,
    brake_g: Option<f64>,
    both_g: Option<f64>,
    least_radius_m: Option<f64>,
    /// Clock hours of the boom that allow more, 12 ahead and 3 to the right.
    better_hours: Vec<u8>,
    better_bends_g: Option<f64>,
    bends_stopped_by: Option<&'static str>,
}

impl Printed {
    pub(crate) fn of(rig: &Rig, card: &Card, exit_status: u8) -> Self {
        Self {
            rig: rig.name.clone(),
            answer: Answer::Go.word(),
            exit_status,
            rows: card.rows.iter().map(Line::of).collect(),
            operator: card.operator.clone(),
            always: KEEP,
        }
    }
}

impl Line {
    fn of(row: &Row) -> Self {
        Self {
            boom: match row.boom {
                Boom::None => "none",
                Boom::Anywhere => "anywhere",
                Boom::Parked => "parked",
            },
            wet: row.wet,
            up_to_m_s: row.speed,
            bends_g: row.allowed[0].g(),
            brake_g: row.allowed[1].g(),
            both_g: row.allowed[2].g(),
            least_radius_m: row.radius,
            better_hours: row.better.as_ref().map(|(h, _)| h.clone()).unwrap_or_default(),
            better_bends_g: row.better.as_ref().map(|(_, g)| *g),
            bends_stopped_by: row.by.map(|c| c.row().name),
        }
    }
}

/// Why there is no card.
#[derive(Debug, Serialize)]
pub(crate) struct NoCard {
    rig: String,
    answer: &'static str,
    exit_status: u8,
    why: String,
}

impl NoCard {
    pub(crate) fn of(rig: &Rig, answer: Answer, why: &str, exit_status: u8) -> Self {
        Self { rig: rig.name.clone(), answer: answer.word(), exit_status, why: why.to_owned() }
    }
}
