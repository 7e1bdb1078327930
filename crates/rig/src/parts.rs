//! Parts by kind and name: the built-in catalogue and the person's own parts files.

use crate::diagnostic::Diagnostic;
use crate::pass::Pass;
use crate::record::{Record, Value};
use crate::source::{Source, Spot};
use crate::spec::root::{PARTS, VERSION};
use crate::tree;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// The built-in parts.
const BUILT_IN: [(&str, &str); 2] = [
    ("parts.toml", include_str!("../catalogue/parts.toml")),
    ("vehicles.toml", include_str!("../catalogue/vehicles.toml")),
];

/// Records of the person's parts files, before the built-in ones; the first of a name counts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Library {
    files: Vec<Arc<Records>>,
}

/// Parts of one file by kind.
type Records = Vec<(&'static str, Record)>;

/// A parts file without a fault: its place among the sources, its text, what it says.
type Read = (usize, String, Arc<Records>);

/// Those read last: a rig is read again with every change of it, and its parts files seldom change.
static READ: Mutex<Vec<Read>> = Mutex::new(Vec::new());
/// How many of them are kept.
const KEPT: usize = 4;

/// A parts file that was read before, the same at the same place.
fn read_before(index: usize, text: &str) -> Option<Arc<Records>> {
    let all = READ.lock().unwrap_or_else(PoisonError::into_inner);
    all.iter().find(|(i, t, _)| *i == index && t == text).map(|(.., records)| Arc::clone(records))
}

fn keep(index: usize, text: &str, records: &Arc<Records>) {
    let mut all = READ.lock().unwrap_or_else(PoisonError::into_inner);
    if all.len() >= KEPT {
        all.remove(0);
    }
    all.push((index, text.to_owned(), Arc::clone(records)));
}

impl Library {
    /// A part, of the person's own first.
    pub(crate) fn find(&self, kind: &str, name: &str) -> Option<&Record> {
        self.all().find(|(k, r)| *k == kind && r.tag == name).map(|(_, r)| r)
    }

    pub(crate) fn names<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a str> {
        self.all().filter(move |(k, _)| *k == kind).map(|(_, r)| r.tag.as_str())
    }

    /// The person's own, then the built-in ones.
    fn all(&self) -> impl Iterator<Item = &(&'static str, Record)> {
        self.records().chain(built_in().0.records())
    }

    pub(crate) fn records(&self) -> impl Iterator<Item = &(&'static str, Record)> {
        self.files.iter().flat_map(|f| f.iter())
    }

    /// Adds a parts file's records.
    pub(crate) fn add(&mut self, sources: &[Source], index: usize, faults: &mut Vec<Diagnostic>) {
        let Some(text) = sources.get(index).map(|s| s.text.as_str()) else { return };
        if let Some(records) = read_before(index, text) {
            self.files.push(records);
            return;
        }
        let before = faults.len();
        let entries = tree::parse(text, index, faults);
        if faults.len() > before {
            return;
        }
        let mut records = Records::new();
        let mut pass = Pass { sources, faults };
        let top = Spot::top(index);
        let record = pass.record(&entries, &PARTS, "", &top);
        pass.missing(&record);
        version(&record, faults);
        for cell in record.cells {
            if let Value::Tagged(list) = cell.value {
                records.extend(list.into_iter().map(|r| (cell.key, r)));
            }
        }
        let records = Arc::new(records);
        // What is told of it is told each time.
        if faults.len() == before {
            keep(index, text, &records);
        }
        self.files.push(records);
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

#[cfg(test)]
mod tests {
    use super::*;

    fn add(text: &str, index: usize) -> (Library, Vec<Diagnostic>) {
        let source = |text: &str| Source { name: "own.toml".into(), text: text.into() };
        let mut sources: Vec<Source> = (0..index).map(|_| source("")).collect();
        sources.push(source(text));
        let (mut library, mut faults) = (Library::default(), Vec::new());
        library.add(&sources, index, &mut faults);
        (library, faults)
    }

    #[test]
    fn a_file_that_was_read_before_says_the_same_and_a_changed_one_says_what_it_says_now() {
        let text = |bore: &str| format!("version = 1\n[tube.own]\nouter = \"{bore}\"\nwall = \"3 mm\"\n");
        for bore in ["40 mm", "41 mm", "40 mm", "40 mm"] {
            let (library, faults) = add(&text(bore), 1);
            let fresh = library.find("tube", "own").map(|r| format!("{r:?}"));
            assert!(fresh.is_some_and(|r| r.contains(bore)), "{bore}: {faults:?}");
        }
        // A fault is told each time, at its place among the sources.
        for index in [1, 2, 1] {
            let (_, faults) = add("version = 1\n[tube.own]\nouter = \"heavy\"\n", index);
            assert!(!faults.is_empty() && faults.iter().all(|f| f.source == index), "{faults:?}");
        }
        let (one, _) = add(&text("42 mm"), 1);
        let (two, _) = add(&text("42 mm"), 2);
        assert_eq!(one.find("tube", "own").map(|r| r.at.source), Some(1));
        assert_eq!(two.find("tube", "own").map(|r| r.at.source), Some(2));
    }
}
