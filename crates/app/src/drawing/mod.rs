//! Drawings of a rig: one file each, and one line each in [`SUBJECTS`].

pub(crate) mod bearings;
pub(crate) mod corner;
pub(crate) mod desk;
pub(crate) mod elevations;
mod forces;
pub(crate) mod front;
pub(crate) mod loads;
mod margins;
mod moved;
pub(crate) mod places;
pub(crate) mod plan;
mod scene;
pub(crate) mod sectors;
mod seen;
pub(crate) mod side;
pub(crate) mod speeds;
pub(crate) mod vacuum;

use crate::io::Stop;
pub(crate) use desk::{Desk, Shown, Worst};
use draw::view::Medium;
pub(crate) use margins::on_parts;
pub(crate) use scene::scene;
pub(crate) use seen::drawn;

/// What can be drawn of a rig.
pub(crate) struct Subject {
    /// As it is asked for.
    pub(crate) name: &'static str,
    /// What it shows.
    pub(crate) says: &'static str,
    /// Draws it as SVG; none where the rig has nothing of the kind.
    pub(crate) make: fn(&Desk<'_>, Medium) -> Result<Option<String>, Stop>,
}

/// All drawings.
pub(crate) const SUBJECTS: &[Subject] = &[
    plan::SUBJECT,
    side::SUBJECT,
    front::SUBJECT,
    corner::SUBJECT,
    sectors::SUBJECT,
    places::BENDS,
    places::BRAKING,
    places::BOTH,
    speeds::SUBJECT,
    bearings::SUBJECT,
    elevations::SUBJECT,
    loads::CUPS,
    loads::TUBES,
    loads::CLAMPS,
    loads::STRAPS,
    vacuum::SUBJECT,
];
