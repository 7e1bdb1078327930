//! How much of what cups, tubes and straps may bear is used.

use super::{Desk, Subject};
use crate::chart::{loads, width};
use crate::io::Stop;
use draw::view::Medium;
use verdict::PartRef;

fn make(
    (desk, medium): (&Desk<'_>, Medium),
    what: &str,
    count: usize,
    part: fn(usize) -> PartRef,
) -> Result<Option<String>, Stop> {
    if count == 0 {
        return Ok(None);
    }
    let parts: Vec<PartRef> = (0..count).map(part).collect();
    Ok(loads::of_parts(desk.rig, desk.verdict()?, what, &parts).map(|c| c.svg_for(width(medium))))
}

pub(super) const CUPS: Subject = Subject {
    name: "cups",
    says: "how much of what each cup may bear is used, with nothing lost and with one cup or strap lost",
    make: |desk, medium| make((desk, medium), "cup", desk.rig.cups.len(), PartRef::Cup),
};

pub(super) const TUBES: Subject = Subject {
    name: "tubes",
    says: "how much of what each tube may bear is used, with nothing lost and with one cup or strap lost",
    make: |desk, medium| make((desk, medium), "tube", desk.rig.tubes.len(), PartRef::Tube),
};

pub(super) const CLAMPS: Subject = Subject {
    name: "clamps",
    says: "how much of what each clamp may bear is used, with nothing lost and with one cup or strap lost",
    make: |desk, medium| make((desk, medium), "clamp", desk.rig.clamps.len(), PartRef::Clamp),
};

pub(super) const STRAPS: Subject = Subject {
    name: "straps",
    says: "how much of what each strap may bear is used, with nothing lost and with one cup or strap lost",
    make: |desk, medium| make((desk, medium), "strap", desk.rig.straps.len(), PartRef::Strap),
};
