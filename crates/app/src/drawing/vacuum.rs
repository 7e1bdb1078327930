//! Each cup's vacuum against what it needs.

use super::Subject;
use crate::chart::{self, width};
use crate::command::check::cannot;
use verdict::context::Resolution;
use verdict::limits;
use verdict::structure::BuildOptions;

pub(super) const SUBJECT: Subject = Subject {
    name: "vacuum",
    says: "each cup's vacuum as read, at the next round, and the least at which it holds",
    make: |desk, medium| {
        let all =
            limits::vacuum(desk.rig, Resolution::fine(), BuildOptions::default()).map_err(|f| cannot(&f))?;
        Ok(chart::vacuum::of_cups(desk.rig, &all).map(|c| c.svg_for(width(medium))))
    },
};
