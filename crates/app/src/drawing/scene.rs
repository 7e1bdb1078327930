//! What the views show of a rig: its pose, what is lost, margins, forces, how it bends, and what is said under it.

use super::Desk;
use super::{forces, margins, moved};
use crate::io::Stop;
use draw::view::{Medium, Scene};

/// The scene that is asked for; the same in every view, with fewer words for a phone.
pub(crate) fn scene<'a>(desk: &Desk<'a>, medium: Medium) -> Result<Scene<'a>, Stop> {
    let seen = desk.seen()?;
    let mut scene = Scene {
        rig: desk.rig,
        pose: seen.pose,
        lost: seen.lost,
        margins: Vec::new(),
        arrows: Vec::new(),
        moved: None,
        notes: Vec::new(),
    };
    let bare = desk.shown.forces || desk.shown.moved;
    if !desk.shown.plain && (!bare || desk.shown.margins || desk.shown.worst.is_some()) {
        scene.notes.push(margins::answer(desk)?);
    }
    if !seen.words.is_empty() {
        scene.notes.push(seen.words.clone());
    }
    if !desk.shown.plain && (!bare || desk.shown.margins) {
        let (marks, said) = margins::of(desk)?;
        scene.margins = marks;
        scene.notes.extend(said);
    }
    if desk.shown.forces {
        let (arrows, said) = forces::of(desk, medium == Medium::Phone)?;
        scene.arrows = arrows;
        scene.notes.extend(said);
    }
    if desk.shown.moved {
        let (shape, said) = moved::of(desk)?;
        scene.moved = Some(shape);
        scene.notes.extend(said);
    }
    if bare && !seen.contact.is_empty() {
        scene.notes.push(format!(
            "Past the linear range: {}. Forces and movements are those of the linear answer.",
            seen.contact.trim_end_matches('.')
        ));
    }
    Ok(scene)
}
