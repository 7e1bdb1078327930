//! Margins by where the boom is, in `envelope --json`.

use rig::Rig;
use serde::Serialize;
use verdict::sweep::{self, Least};

/// Least margins by bearing, by elevation and parked.
#[derive(Debug, Serialize)]
pub(crate) struct Around {
    /// Left positive, over all elevations.
    by_bearing: Vec<Ring>,
    /// Over all bearings.
    by_elevation: Vec<Ring>,
    parked: Vec<OfCheck>,
}

#[derive(Debug, Serialize)]
struct Ring {
    at_rad: f64,
    margins: Vec<OfCheck>,
}

#[derive(Debug, Serialize)]
struct OfCheck {
    check: &'static str,
    part: String,
    /// `null`: nothing is asked of it.
    margin: Option<f64>,
    pan_rad: f64,
    elevation_rad: f64,
}

impl Around {
    pub(crate) fn of(rig: &Rig, around: &sweep::Around) -> Self {
        let margin = |l: &Least| OfCheck {
            check: l.check.row().name,
            part: l.part.name(rig),
            margin: l.margin.is_finite().then_some(l.margin),
            pan_rad: l.state.pose.pan_rad,
            elevation_rad: l.state.pose.elevation_rad,
        };
        let ring = |r: &sweep::Ring| Ring { at_rad: r.at, margins: r.least.iter().map(margin).collect() };
        Self {
            by_bearing: around.bearings.iter().map(ring).collect(),
            by_elevation: around.elevations.iter().map(ring).collect(),
            parked: around.parked.iter().map(margin).collect(),
        }
    }
}
