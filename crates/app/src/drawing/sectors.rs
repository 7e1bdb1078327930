//! How hard the car may bend, by where the boom points.

use super::Subject;
use crate::chart::{sectors, width};

pub(super) const SUBJECT: Subject = Subject {
    name: "sectors",
    says: "how hard the car may bend, by where the boom points, dry and wet",
    make: |desk, medium| Ok(sectors::by_bearing(desk.rig, desk.envelope()?).map(|c| c.svg_for(width(medium)))),
};
