//! From above.

use super::Subject;
use draw::view::{Scene, View, draw};

pub(super) const SUBJECT: Subject = Subject {
    name: "plan",
    says: "the rig on its car from above",
    make: |desk, medium| {
        let scene = Scene {
            rig: desk.rig,
            pose: desk.shown.pose,
            lost: desk.shown.lost,
            margins: Vec::new(),
            arrows: Vec::new(),
            moved: None,
            notes: Vec::new(),
        };
        Ok(Some(draw(&scene, View::Plan, medium).svg))
    },
};
