//! The rig file to a checked model, and everything that is wrong with the file said at once, with its place and how
//! to mend it.
//!
//! One definition (`spec`) drives the reader, its hints, the format page ([`file_format_markdown`]) and the JSON Schema
//! ([`json_schema`]). This crate solves nothing.

pub mod camera;
mod catalogue;
mod chemistry;
mod describe;
mod diagnostic;
mod edit;
pub mod fact;
mod facts;
mod house;
pub mod isolator;
mod key;
mod lower;
mod measured;
pub mod model;
mod parts;
mod pass;
pub mod policy;
mod read;
mod record;
mod refit;
mod schema;
mod source;
mod spec;
mod stated;
mod suggest;
mod surface;
mod tree;

pub use catalogue::{Listed, catalogue};
pub use chemistry::at_temperature;
pub use describe::file_format_markdown;
pub use diagnostic::{CODES, Diagnostic, Severity};
pub use edit::{Change, EditFault, Snap, dependents, edited, step_m};
pub use fact::{Fact, Origin};
pub use facts::{assumed, facts_mut};
pub use house::{House, OwnRule, OwnStep};
pub use key::{Key, Takes, key, place_of};
pub use measured::{Written, opposite, written};
pub use model::Rig;
pub use pass::{key_text, quoted};
pub use read::{Reading, read, read_as_built};
pub use refit::{Shift, friction_of, shift_tube, stand_cup, tether, tube_sections};
pub use schema::json_schema;
pub use source::{Source, line_column};
pub use stated::{Stated, stated};
