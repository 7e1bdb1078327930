//! What `picture --json` prints.

use crate::print::picture::ESTIMATE;
use rig::Rig;
use serde::Serialize;
use verdict::Need;
use verdict::picture::{self as estimate, ASSUMES};

/// The estimate.
#[derive(Debug, Serialize)]
pub(crate) struct Picture {
    rig: String,
    warning: &'static str,
    road_class: String,
    speed_m_s: f64,
    lowest_hz: f64,
    highest_hz: f64,
    camera: String,
    looks: &'static str,
    /// Root mean square over the band; axes ahead, left, up.
    stages: Vec<Stage>,
    isolator_works_m: Option<f64>,
    rig_frequencies_hz: Vec<f64>,
    lens: Option<Lens>,
    /// `null` where the camera is not described.
    blur: Option<Blur>,
    changes: Vec<Change>,
    missing: Vec<Missing>,
    assumes: &'static [&'static str],
}

#[derive(Debug, Serialize)]
struct Stage {
    name: &'static str,
    acceleration_m_s2: [f64; 3],
    turning_rad: [f64; 3],
}

#[derive(Debug, Serialize)]
struct Lens {
    focal_length_m: f64,
    sensor_width_m: f64,
    pixels: usize,
    shutter_s: f64,
    /// `null` where the subject is far.
    distance_m: Option<f64>,
}

#[derive(Debug, Serialize)]
#[allow(clippy::struct_field_names, reason = "the keys carry their unit")]
struct Blur {
    total_px: f64,
    across_px: f64,
    up_down_px: f64,
    sides_by_roll_px: f64,
    by_turning_px: f64,
    by_moving_px: f64,
    least_px: Option<f64>,
    most_px: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Change {
    part: &'static str,
    what: String,
    blur_px: f64,
}

/// A fact that is missing.
#[derive(Debug, Serialize)]
pub(crate) struct Missing {
    what: String,
    key: String,
    settle: String,
}

impl Missing {
    pub(crate) fn of(n: &Need) -> Self {
        Self { what: n.what.clone(), key: n.key.clone(), settle: n.settle.clone() }
    }
}

impl Picture {
    pub(crate) fn of(rig: &Rig, p: &estimate::Picture) -> Self {
        let stages = p.stages.iter().map(|s| Stage {
            name: s.name,
            acceleration_m_s2: s.acceleration_m_s2,
            turning_rad: s.turning_rad,
        });
        let changes =
            p.changes.iter().map(|c| Change { part: c.part, what: c.what.clone(), blur_px: c.blur_px });
        Self {
            rig: rig.name.clone(),
            warning: ESTIMATE,
            road_class: p.road.to_string(),
            speed_m_s: p.speed_m_s,
            lowest_hz: p.band_hz.0,
            highest_hz: p.band_hz.1,
            camera: p.camera.clone(),
            looks: p.looks,
            stages: stages.collect(),
            isolator_works_m: p.give_m,
            rig_frequencies_hz: p.rig_hz.clone(),
            lens: p.seen.map(|s| Lens {
                focal_length_m: s.focal_m,
                sensor_width_m: s.sensor_width_m,
                pixels: s.pixels,
                shutter_s: s.shutter_s,
                distance_m: s.distance_m,
            }),
            blur: p.blur.map(|b| Blur {
                total_px: b.total_px(),
                across_px: b.across_px,
                up_down_px: b.up_px,
                sides_by_roll_px: b.edge_px,
                by_turning_px: b.turning_px,
                by_moving_px: b.moving_px,
                least_px: p.range_px.map(|r| r.0),
                most_px: p.range_px.map(|r| r.1),
            }),
            changes: changes.collect(),
            missing: p.needs.iter().map(Missing::of).collect(),
            assumes: ASSUMES,
        }
    }
}
