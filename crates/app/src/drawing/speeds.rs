//! How hard the car may go at each speed.

use super::Subject;
use crate::chart::{speeds, width};

pub(super) const SUBJECT: Subject = Subject {
    name: "speeds",
    says: "how hard the car may bend and brake at each speed, wherever the boom points",
    make: |desk, medium| Ok(speeds::by_speed(desk.rig, desk.envelope()?).map(|c| c.svg_for(width(medium)))),
};
