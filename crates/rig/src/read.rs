//! From text to model.

use crate::diagnostic::{Diagnostic, Severity};
use crate::lower::lower;
use crate::model::Rig;
use crate::parts::{Library, version};
use crate::pass::{Pass, printable};
use crate::record::{Record, Value};
use crate::source::{Source, Spot};
use crate::spec::root::RIG;
use crate::tree;

/// What reading a rig file gives.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The model; `None` when there is any error.
    pub rig: Option<Rig>,
    /// Every fault, in order of place.
    pub diagnostics: Vec<Diagnostic>,
    /// The rig file first, then the parts files that it names.
    pub sources: Vec<Source>,
}

impl Reading {
    /// Whether there is an error.
    pub fn has_errors(&self) -> bool {
        self.diagnostics.iter().any(|d| d.severity == Severity::Error)
    }
}

/// Most parts files that one rig may name.
const MOST_PARTS_FILES: usize = 32;

/// Reads a rig file. `name` is the file's name for messages; `load` gives the text of a parts file by the name that
/// stands in the rig file, or says in plain words why it cannot.
///
/// All faults are found in one go; the model comes out when none of them is an error.
///
/// ```
/// let reading = rig::read("version = 1\nname = \"Night two\"\n", "night.toml", &|_| Err("no such file".into()));
/// assert!(reading.rig.is_none());
/// let first = &reading.diagnostics[0];
/// assert_eq!((first.code, first.message.as_str()), ("R006", "the file has no `site`"));
/// ```
pub fn read(text: &str, name: &str, load: &dyn Fn(&str) -> Result<String, String>) -> Reading {
    let mut sources = vec![Source { name: name.to_owned(), text: text.to_owned() }];
    let mut faults = Vec::new();
    let entries = tree::parse(text, 0, &mut faults);
    if !faults.is_empty() {
        // Half a file would only bring up faults that are not there.
        return finish(None, faults, sources);
    }
    let mut pass = Pass { sources: &sources, faults: &mut faults };
    let root = pass.record(&entries, &RIG, "", &Spot::top(0));
    pass.missing(&root);
    version(&root, &mut faults);
    let library = library(&root, load, &mut sources, &mut faults);
    let rig = lower(&root, &library, &mut faults);
    finish(rig, faults, sources)
}

fn library(
    root: &Record,
    load: &dyn Fn(&str) -> Result<String, String>,
    sources: &mut Vec<Source>,
    faults: &mut Vec<Diagnostic>,
) -> Library {
    let mut library = Library::default();
    for cell in root.list("parts").iter().take(MOST_PARTS_FILES) {
        let Value::Text(file) = &cell.value else { continue };
        match load(file) {
            Ok(text) => {
                sources.push(Source { name: file.clone(), text });
                library.add(sources, sources.len() - 1, faults);
            }
            Err(why) => faults.push(
                Diagnostic::error(
                    "R026",
                    &cell.at,
                    format!("the parts file \"{}\" cannot be read", printable(file)),
                )
                .why(why)
                .mend("check its name; it is looked for beside the rig file"),
            ),
        }
    }
    if root.list("parts").len() > MOST_PARTS_FILES {
        faults.push(
            Diagnostic::error("R026", root.spot("parts"), "too many parts files")
                .why(format!("at most {MOST_PARTS_FILES} are read"))
                .mend("put your parts into fewer files"),
        );
    }
    library
}

fn finish(rig: Option<Rig>, mut diagnostics: Vec<Diagnostic>, sources: Vec<Source>) -> Reading {
    diagnostics.sort_by_key(|d| (d.source, d.span.start));
    let rig = if diagnostics.iter().any(|d| d.severity == Severity::Error) { None } else { rig };
    Reading { rig, diagnostics, sources }
}
