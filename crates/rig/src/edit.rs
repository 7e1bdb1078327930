//! Changes of a rig file's text, as a careful person with an editor makes them: remarks, order, blank lines and quotes of what is
//! not touched stay byte for byte. Only the text is changed; [`read`](crate::read) says what is wrong with what came out.

mod add;
mod amount;
mod coordinate;
mod copy;
pub(crate) mod document;
mod fault;
mod literal;
mod mirror;
mod needs;
mod place;
mod remove;
mod set;
mod state;
mod tag;
mod target;

pub use fault::EditFault;
pub use needs::dependents;
pub use place::step_m;

use crate::model::Rig;
use document::Document;
use glam::DVec3;

/// How finely a place is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Snap {
    /// What a tape is held to: 5 mm, or 1/4 in where the place is written in inches or feet.
    Tape,
    /// What a tape can be read to: 1 mm, or 1/16 in.
    Fine,
}

/// One change. Keys and parts are dotted as everywhere (`cup.FL.vacuum`, `tube."my tube".from`); the points of a strap count from 1
/// (`strap.SF.path.1`). Places are vehicle axes (x forward, y left, z up), m; `rig` is the model of the text as it is.
#[derive(Clone, Copy, Debug)]
pub enum Change<'a> {
    /// Sets one value to what the person typed, in the kind of value that stands there. A range keeps its `low` and `high`: the
    /// typed value takes the place of its `value`. To state it without a range, clear the key first.
    Set {
        /// The key.
        key: &'a str,
        /// As typed, without quotes (`13-5/8 in`); a list between `[` and `]`.
        value: &'a str,
    },
    /// States one value as it was found: as [`Change::Set`], and a range gives way to it, low and high and all.
    State {
        /// The key.
        key: &'a str,
        /// As typed.
        value: &'a str,
    },
    /// A new table under a heading of its own (`panel.roof.keep_out.sunroof`), behind the last of its kind, else behind what it
    /// belongs to.
    Table {
        /// The table.
        key: &'a str,
        /// Its keys with what the person typed for them, in this order.
        with: &'a [(&'a str, &'a str)],
    },
    /// Takes a key out, with the remark behind it; a heading with all under it.
    Clear {
        /// The key.
        key: &'a str,
    },
    /// Moves a part, in the coordinates and units that it is written in. Only what changes is written.
    Place {
        /// What is moved.
        part: &'a str,
        /// Where to, m.
        to: DVec3,
        /// How finely.
        snap: Snap,
        /// The model of the text.
        rig: &'a Rig,
    },
    /// Moves both ends of a tube by the same way, itself rounded to whole steps, so that the tube keeps its length and direction.
    Slide {
        /// The tube.
        tube: &'a str,
        /// How far, m.
        by: DVec3,
        /// How finely.
        snap: Snap,
        /// The model of the text.
        rig: &'a Rig,
    },
    /// Takes parts out, each with the remark lines directly above it. Refused while others name them: see [`dependents`].
    Remove {
        /// The parts (`cup.FL`).
        parts: &'a [&'a str],
    },
    /// A new part after the last of its kind, written as its nearest like is.
    Add {
        /// `cup`, `tube`, `clamp`, `strap` or `item`.
        kind: &'a str,
        /// Its name in the parts list; else as the nearest of its kind.
        part: Option<&'a str>,
        /// Keys with what the person typed for them (`mass` of an item), over what would be written.
        with: &'a [(&'a str, &'a str)],
        /// Where, m.
        at: DVec3,
        /// The model of the text.
        rig: &'a Rig,
    },
    /// The image of a part across the centreline, as a new part.
    Mirror {
        /// The part.
        part: &'a str,
        /// The model of the text.
        rig: &'a Rig,
    },
}

/// The text with a change made.
///
/// ```
/// let text = "[cup.FL]\nvacuum = \"23 inHg\"   # gauge B\n";
/// let change = rig::Change::Set { key: "cup.FL.vacuum", value: "22 inHg" };
/// assert_eq!(rig::edited(text, &change).unwrap(), "[cup.FL]\nvacuum = \"22 inHg\"   # gauge B\n");
/// ```
///
/// # Errors
///
/// An [`EditFault`] when the text is not TOML, when the change has no meaning there, or when the file is written in a form that
/// does not take it.
pub fn edited(text: &str, change: &Change<'_>) -> Result<String, EditFault> {
    let document = Document::read(text)?;
    let splices = match *change {
        Change::Set { key, value } => set::set(&document, &document::steps(key)?, value)?,
        Change::State { key, value } => state::state(&document, &document::steps(key)?, value)?,
        Change::Table { key, with } => state::table(&document, &document::steps(key)?, with)?,
        Change::Clear { key } => remove::clear(&document, &document::steps(key)?)?,
        Change::Place { part, to, snap, rig } => place::place(&document, part, (to, snap), rig)?,
        Change::Slide { tube, by, snap, rig } => place::slide(&document, tube, (by, snap), rig)?,
        Change::Remove { parts } => remove::remove(&document, parts)?,
        Change::Add { kind, part, with, at, rig } => return add::add(&document, kind, (part, with), at, rig),
        Change::Mirror { part, rig } => mirror::mirror(&document, part, rig)?,
    };
    sound(document.with(splices))
}

/// The text, if it is still TOML.
fn sound(text: String) -> Result<String, EditFault> {
    if Document::read(&text).is_ok() {
        return Ok(text);
    }
    Err(EditFault::new(
        "this change does not go into the file as it is written",
        "tables between braces and headings of one name cannot be mixed",
        "write the part under a heading of its own, such as `[cup.FL]`, and try again",
    ))
}
