//! From ahead.

use super::{Subject, scene};
use draw::view::{View, draw};

pub(super) const SUBJECT: Subject = Subject {
    name: "front",
    says: "the rig on its car from ahead",
    make: |desk, medium| Ok(Some(draw(&scene(desk, medium)?, View::Front, medium).svg)),
};
