//! The field log: what happened to a rig on a job, kept so that it survives a crash and shows a change.
//!
//! A store is one file of many jobs. A job is a heading and entries in a row: the rig as it was planned, values as they were measured
//! (who, when, with what), readings, torques, steps, signatures, photos. An entry is never changed: a correction is a new entry that
//! names the one it replaces. Each entry carries the hash of the one before it, so a changed, missing or inserted one shows; the last
//! hash, printed on paper, shows a cut or rewritten end too. `docs/record-format.md` has the layout and the encoding.
//!
//! Time is an argument: the crate reads no clock. Values stay as they were written, with their units; it knows nothing of rigs.
//!
//! ```
//! use record::{Draft, Job, Measured, Store, Value};
//!
//! let mut store = Store::in_memory()?;
//! let job = Job {
//!     id: "00112233445566778899aabbccddeeff".into(),
//!     name: "Night drive".into(),
//!     rig: "night.toml".into(),
//!     at_ms: 1_795_000_000_000,
//!     by: "A. B.".into(),
//! };
//! store.start(&job)?;
//! let draft = Draft {
//!     at_ms: 1_795_000_060_000,
//!     by: "A. B.".into(),
//!     device: "phone 1".into(),
//!     token: "phone-1-0001".into(),
//!     about: "cup.FL.aft".into(),
//!     value: Value::Measured(Measured { value: "302 mm".into(), with: "tape".into() }),
//!     corrects: None,
//!     bytes: None,
//! };
//! assert_eq!(store.write(&job.id, &draft)?.number, 1);
//! // Sent twice, written once.
//! assert!(store.write(&job.id, &draft)?.again);
//! assert!(store.verify(&job.id, None)?.holds());
//! # Ok::<(), record::Fault>(())
//! ```

mod ask;
mod backup;
mod database;
mod entry;
mod export;
mod fault;
mod hash;
mod import;
pub mod limits;
mod line;
mod pages;
mod salvage;
mod sql;
mod sqlite;
mod store;
mod text;
mod value;
mod verify;

pub use entry::{Current, Draft, Entry, Head, Job, Written};
pub use fault::Fault;
pub use import::Imported;
pub use salvage::Salvaged;
pub use store::Store;
pub use value::{
    Answer, Damage, File, Kind, Measured, Note, Photo, Reading, Rig, Signature, State, Step, Torque, Value,
    Verdict, Wear, Weather, Weight,
};
pub use verify::{Misfit, Verified};

#[cfg(test)]
mod tests;
