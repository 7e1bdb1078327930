//! From the left.

use super::{Subject, scene};
use draw::view::{View, draw};

pub(super) const SUBJECT: Subject = Subject {
    name: "side",
    says: "the rig on its car from the left",
    make: |desk, medium| Ok(Some(draw(&scene(desk, medium)?, View::Side, medium).svg)),
};
