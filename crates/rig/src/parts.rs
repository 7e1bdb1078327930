//! Parts by kind and name: the built-in catalogue and the person's own parts files.

use crate::diagnostic::Diagnostic;
use crate::pass::Pass;
use crate::record::{Record, Value};
use crate::source::{Source, Spot};
use crate::spec::root::{PARTS, VERSION};
use crate::tree;
use std::sync::OnceLock;

/// The built-in parts.
const BUILT_IN: [(&str, &str); 2] = [
    ("parts.toml", include_str!("../catalogue/parts.toml")),
    ("vehicles.toml", include_str!("../catalogue/vehicles.toml")),
];

/// Records of the person's parts files, before the built-in ones; the first of a name counts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Library {
    records: Vec<(&'static str, Record)>,
}

impl Library {
    /// A part, of the person's own first.
    pub(crate) fn find(&self, kind: &str, name: &str) -> Option<&Record> {
        let own = self.records.iter();
        own.chain(&built_in().0.records).find(|(k, r)| *k == kind && r.tag == name).map(|(_, r)| r)
    }

    pub(crate) fn names<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a str> {
        let own = self.records.iter();
        own.chain(&built_in().0.records).filter(move |(k, _)| *k == kind).map(|(_, r)| r.tag.as_str())
    }

    pub(crate) fn records(&self) -> &[(&'static str, Record)] {
        &self.records
    }

    /// Adds a parts file's records.
    pub(crate) fn add(&mut self, sources: &[Source], index: usize, faults: &mut Vec<Diagnostic>) {
        let Some(text) = sources.get(index).map(|s| s.text.as_str()) else { return };
        let before = faults.len();
        let entries = tree::parse(text, index, faults);
        if faults.len() > before {
            return;
        }
        let mut pass = Pass { sources, faults };
        let top = Spot::top(index);
        let record = pass.record(&entries, &PARTS, "", &top);
        pass.missing(&record);
        version(&record, faults);
        for cell in record.cells {
            if let Value::Tagged(list) = cell.value {
                self.records.extend(list.into_iter().map(|r| (cell.key, r)));
            }
        }
    }
}

/// Checks a file's `version`.
pub(crate) fn version(record: &Record, faults: &mut Vec<Diagnostic>) {
    if record.is_faulty("version") {
        return;
    }
    match record.count("version") {
        Some(VERSION) => {}
        Some(other) => faults.push(
            Diagnostic::error(
                "R010",
                record.spot("version"),
                format!("version {other} of the file format is not known"),
            )
            .why(format!("this program reads version {VERSION}"))
            .mend(format!(
                "write `version = {VERSION}` if the file was made for it, or read it with a newer program"
            )),
        ),
        None => faults.push(
            Diagnostic::error("R010", &record.at, "the file does not say its version")
                .why("a later program must know how to read it")
                .mend(format!("put `version = {VERSION}` on the first line")),
        ),
    }
}

/// The built-in catalogue with the faults found in it (none: `the_catalogue_is_sound` in the tests).
pub(crate) fn built_in() -> &'static (Library, Vec<Diagnostic>) {
    static CATALOGUE: OnceLock<(Library, Vec<Diagnostic>)> = OnceLock::new();
    CATALOGUE.get_or_init(|| {
        let sources: Vec<Source> =
            BUILT_IN.iter().map(|(n, t)| Source { name: (*n).to_owned(), text: (*t).to_owned() }).collect();
        let mut library = Library::default();
        let mut faults = Vec::new();
        for index in 0..sources.len() {
            library.add(&sources, index, &mut faults);
        }
        (library, faults)
    })
}
