//! What is allowed by bearing and elevation of the boom.

use super::{Desk, Subject};
use crate::chart::{places, width};
use crate::io::Stop;
use draw::view::Medium;
use verdict::limits::Ask;

fn make(desk: &Desk<'_>, medium: Medium, ask: Ask) -> Result<Option<String>, Stop> {
    Ok(places::by_place(desk.rig, desk.envelope()?, ask).map(|c| c.svg_for(width(medium))))
}

pub(super) const BENDS: Subject = Subject {
    name: "bends",
    says: "how hard the car may bend, by bearing and elevation of the boom",
    make: |desk, medium| make(desk, medium, Ask::Side),
};

pub(super) const BRAKING: Subject = Subject {
    name: "braking",
    says: "how hard the car may brake, by bearing and elevation of the boom",
    make: |desk, medium| make(desk, medium, Ask::Brake),
};

pub(super) const BOTH: Subject = Subject {
    name: "bends-braking",
    says: "how hard the car may bend and brake at once, by bearing and elevation of the boom",
    make: |desk, medium| make(desk, medium, Ask::Both),
};
