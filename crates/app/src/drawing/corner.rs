//! Across a corner, in the round.

use super::{Subject, scene};
use draw::view::{View, draw};

/// From where, unless it is asked otherwise: bearing of the eye and its angle over the level, degrees.
const EYE_DEG: (f64, f64) = (35.0, 25.0);

pub(super) const SUBJECT: Subject = Subject {
    name: "corner",
    says: "the rig on its car across a corner, in the round",
    make: |desk, medium| {
        let bearing = desk.shown.eye.0.unwrap_or(EYE_DEG.0.to_radians());
        let over = desk.shown.eye.1.unwrap_or(EYE_DEG.1.to_radians());
        Ok(Some(draw(&scene(desk, medium)?, View::Corner { bearing, over }, medium).svg))
    },
};
