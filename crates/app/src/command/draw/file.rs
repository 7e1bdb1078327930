//! Where drawings go.

use crate::chart::named;
use crate::io::{Io, Stop};
use std::ffi::OsString;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Where the drawings of a run go.
#[derive(Clone, Debug)]
pub(super) enum To {
    /// The standard output.
    Output,
    /// One file.
    File(PathBuf),
    /// Files of their own in a folder, named after the rig file.
    Folder(PathBuf, OsString),
}

impl To {
    /// As asked on the command line.
    pub(super) fn of(rig: &Path, out: Option<&Path>, into: Option<&Path>) -> Result<Self, Stop> {
        match out {
            Some(path) if path == Path::new("-") => Ok(Self::Output),
            Some(path) => {
                named(path)?;
                Ok(Self::File(path.to_path_buf()))
            }
            None => {
                let stem = if rig == Path::new("-") { None } else { rig.file_stem() };
                let stem = stem.map_or_else(|| OsString::from("rig"), OsString::from);
                Ok(Self::Folder(into.unwrap_or(Path::new("")).to_path_buf(), stem))
            }
        }
    }

    /// Writes one drawing and says where; the standard output gets the drawing alone.
    pub(super) fn put(&self, subject: &str, drawing: &str, io: &mut Io<'_>) -> Result<(), Stop> {
        let path = match self {
            Self::Output => return Ok(io.out.write_all(drawing.as_bytes())?),
            Self::File(path) => path.clone(),
            Self::Folder(folder, stem) => {
                let mut name = stem.clone();
                name.push(format!("-{subject}.svg"));
                made(folder)?;
                folder.join(name)
            }
        };
        write(&path, drawing)?;
        writeln!(io.out, "Drawn in {}", path.display())?;
        Ok(())
    }
}

/// Makes a folder that is not there.
fn made(folder: &Path) -> Result<(), Stop> {
    if folder.as_os_str().is_empty() || folder.is_dir() {
        return Ok(());
    }
    std::fs::create_dir_all(folder).map_err(|e| {
        let name = folder.display();
        let what =
            if folder.exists() { format!("{name} is not a folder") } else { format!("cannot make the folder {name}: {e}") };
        Stop::bad(what, "name another folder")
    })
}

/// Writes a file, over an older drawing of that name and over nothing else.
fn write(path: &Path, drawing: &str) -> Result<(), Stop> {
    // A name may stand for another file.
    if let Ok(real) = path.canonicalize() {
        named(&real)?;
    }
    std::fs::write(path, drawing)
        .map_err(|e| Stop::bad(format!("cannot write {}: {e}", path.display()), "name another folder or file"))
}
