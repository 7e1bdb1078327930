//! A copy of the whole record as of one moment, while it is in use.

use crate::fault::Fault;
use crate::sqlite::fault_of;
use crate::store::Store;
use std::fs::{File, OpenOptions};
use std::io::ErrorKind;
use std::path::Path;

/// Makes a file that must not be there yet.
pub(crate) fn reserve(to: &Path) -> Result<(), Fault> {
    match OpenOptions::new().write(true).create_new(true).open(to) {
        Ok(_) => Ok(()),
        Err(e) if e.kind() == ErrorKind::AlreadyExists => Err(Fault::Exists { path: to.into() }),
        Err(e) => Err(Fault::CannotOpen { path: to.into(), why: e.to_string() }),
    }
}

impl Store {
    /// Writes a consistent copy of all jobs into a new file. When this returns `Ok`, the copy is on the disk.
    ///
    /// # Errors
    ///
    /// A file of that name that is there already, no room, a name that is not UTF-8, a damaged record. The new file is removed then.
    pub fn backup(&self, to: &Path) -> Result<(), Fault> {
        let Some(name) = to.to_str() else {
            return Err(Fault::CannotOpen { path: to.into(), why: "its name is not UTF-8".into() });
        };
        reserve(to)?;
        let copied = self.ask.db().copy_to(name).map_err(|r| fault_of(to, r));
        let kept = copied.and_then(|()| {
            let sync = File::open(to).and_then(|f| f.sync_all());
            sync.map_err(|e| Fault::CannotOpen { path: to.into(), why: e.to_string() })
        });
        if kept.is_err() {
            // It was not there before, and half a copy is none.
            let _ = std::fs::remove_file(to);
        }
        kept
    }
}
