//! Least margins as the boom goes up and down.

use super::Subject;
use crate::chart::{around, width};

pub(super) const SUBJECT: Subject = Subject {
    name: "elevations",
    says: "the least margins by the boom's elevation",
    make: |desk, medium| Ok(around::by_elevation(desk.rig, desk.around()?).map(|c| c.svg_for(width(medium)))),
};
