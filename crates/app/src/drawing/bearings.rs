//! Least margins as the boom goes round.

use super::Subject;
use crate::chart::around::by_bearing;
use draw::chart::Width;
use draw::view::Medium;

pub(super) const SUBJECT: Subject = Subject {
    name: "bearings",
    says: "the least margins by where the boom points",
    make: |desk, medium| {
        let width = if medium == Medium::Phone { Width::Phone } else { Width::Page };
        Ok(by_bearing(desk.rig, desk.around()?).map(|c| c.svg_for(width)))
    },
};
