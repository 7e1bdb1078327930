//! From above.

use super::{Subject, scene};
use draw::view::{View, draw};

pub(super) const SUBJECT: Subject = Subject {
    name: "plan",
    says: "the rig on its car from above",
    make: |desk, medium| Ok(Some(draw(&scene(desk, medium)?, View::Plan, medium).svg)),
};
