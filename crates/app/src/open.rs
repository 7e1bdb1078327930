//! A rig file from its path to a model, its faults told.

use crate::io::{Io, Stop};
use crate::json;
use crate::print::diagnostics;
use rig::{Reading, Rig};
use std::io::{BufRead, ErrorKind, Read};
use std::path::{Path, PathBuf};

/// No rig file comes near this; a film does.
const MOST_BYTES: u64 = 8 << 20;

/// A model with the reading that it came from.
pub(crate) struct Opened {
    pub(crate) rig: Rig,
    pub(crate) reading: Reading,
}

/// Opens `path` (`-` is the standard input). Errors in the file go to the error output, or as JSON to the output.
pub(crate) fn open(path: &Path, as_json: bool, io: &mut Io<'_>) -> Result<Opened, Stop> {
    let (text, name, folder) = if path == Path::new("-") {
        (text_of(&mut *io.input, "the standard input")?, "standard input".to_owned(), PathBuf::new())
    } else {
        let name = path.display().to_string();
        (text_at(path)?, name, path.parent().map(Path::to_path_buf).unwrap_or_default())
    };
    let load = |file: &str| match text_at(&folder.join(file)) {
        Ok(text) => Ok(text),
        Err(Stop::Bad(what, _)) => Err(what),
        Err(_) => Err("it cannot be read".to_owned()),
    };
    let mut reading = rig::read(&text, &name, &load);
    if let Some(rig) = reading.rig.take() {
        return Ok(Opened { rig, reading });
    }
    // Bad input stays bad input, even if nobody reads to the end why.
    io.status = crate::BAD_INPUT;
    if as_json {
        json::write(&mut io.out, &json::diagnostic::Faults::of(&reading))?;
    } else {
        diagnostics::errors(&mut io.err, &reading)?;
    }
    Err(Stop::Said)
}

/// The text of a file.
pub(crate) fn text_at(path: &Path) -> Result<String, Stop> {
    let name = path.display().to_string();
    let bad = |e: &std::io::Error| match e.kind() {
        ErrorKind::NotFound => Stop::bad(format!("there is no file {name}"), "check the name and the folder"),
        ErrorKind::PermissionDenied => Stop::bad(format!("{name} may not be read"), "check who may read it"),
        _ => Stop::bad(format!("{name} cannot be read: {e}"), ""),
    };
    if path.is_dir() {
        return Err(Stop::bad(format!("{name} is a folder"), "name the rig file in it"));
    }
    let file = std::fs::File::open(path).map_err(|e| bad(&e))?;
    text_of(&mut std::io::BufReader::new(file), &name)
}

/// The bytes of a file, up to what a record takes.
pub(crate) fn bytes_at(path: &Path) -> Result<Vec<u8>, Stop> {
    let name = path.display().to_string();
    let most = record::limits::BLOB_BYTES as u64;
    if path.is_dir() {
        return Err(Stop::bad(format!("{name} is a folder"), "name a file in it"));
    }
    let file = std::fs::File::open(path)
        .map_err(|e| Stop::bad(format!("{name} cannot be read: {e}"), "check the name and the folder"))?;
    let mut bytes = Vec::new();
    file.take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| Stop::bad(format!("{name} cannot be read: {e}"), ""))?;
    if bytes.len() as u64 > most {
        return Err(Stop::bad(format!("{name} is larger than 20 MB"), "make it smaller first"));
    }
    Ok(bytes)
}

pub(crate) fn text_of(from: &mut dyn BufRead, name: &str) -> Result<String, Stop> {
    let mut bytes = Vec::new();
    from.take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| Stop::bad(format!("{name} cannot be read: {e}"), ""))?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Stop::bad(format!("{name} is larger than 8 MB"), "a rig file is a few pages of text"));
    }
    String::from_utf8(bytes).map_err(|e| {
        let line =
            e.as_bytes().iter().take(e.utf8_error().valid_up_to()).filter(|b| **b == b'\n').count() + 1;
        Stop::bad(format!("{name} is not plain text (UTF-8): line {line}"), "save it as UTF-8 text")
    })
}
