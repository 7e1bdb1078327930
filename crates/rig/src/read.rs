//! From text to model.

use crate::diagnostic::{Diagnostic, Severity};
use crate::house::House;
use crate::lower::lower;
use crate::measured;
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

/// Most files of one kind that one rig may name.
const MOST_FILES: usize = 32;

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
    read_as_built(text, name, load, None)
}

/// The same with measured values in the place of planned ones: `as_built` is a text of such keys as stand in a rig file, and a
/// fault in one of its values points into it. What is measured is stated, and no longer assumed.
///
/// ```
/// let plan = "version = 1\n[cup.FL]\nvacuum = \"23 inHg\"\n";
/// let measured = rig::Source { name: "measured".into(), text: "cup.FL.vacuum = \"one inch\"\n".into() };
/// let reading = rig::read_as_built(plan, "night.toml", &|_| Err("no such file".into()), Some(&measured));
/// assert!(reading.diagnostics.iter().any(|d| d.source == 1));
/// ```
pub fn read_as_built(
    text: &str,
    name: &str,
    load: &dyn Fn(&str) -> Result<String, String>,
    as_built: Option<&Source>,
) -> Reading {
    let mut sources = vec![Source { name: name.to_owned(), text: text.to_owned() }];
    let mut faults = Vec::new();
    let mut entries = tree::parse(text, 0, &mut faults);
    if let Some(measured) = as_built {
        let over = tree::parse(&measured.text, sources.len(), &mut faults);
        sources.push(measured.clone());
        measured::put(&mut entries, over, &mut faults);
    }
    if !faults.is_empty() {
        // Half a file would only bring up faults that are not there.
        return finish(None, faults, sources);
    }
    let mut pass = Pass { sources: &sources, faults: &mut faults };
    let root = pass.record(&entries, &RIG, "", &Spot::top(0));
    pass.missing(&root);
    version(&root, &mut faults);
    let library = library(&root, load, &mut sources, &mut faults);
    let house = house(&root, load, &mut sources, &mut faults);
    let rig = lower(&root, &library, &mut faults).map(|rig| Rig { house, ..rig });
    finish(rig, faults, sources)
}

fn library(
    root: &Record,
    load: &dyn Fn(&str) -> Result<String, String>,
    sources: &mut Vec<Source>,
    faults: &mut Vec<Diagnostic>,
) -> Library {
    let mut library = Library::default();
    named_files(root, ("parts", "parts"), load, (sources, faults), &mut |sources, index, faults| {
        library.add(sources, index, faults);
    });
    library
}

fn house(
    root: &Record,
    load: &dyn Fn(&str) -> Result<String, String>,
    sources: &mut Vec<Source>,
    faults: &mut Vec<Diagnostic>,
) -> House {
    let mut house = House::default();
    named_files(root, ("steps", "steps"), load, (sources, faults), &mut |sources, index, faults| {
        house.add(sources, index, faults);
    });
    house
}

/// Takes one of the sources in, with its faults.
type Take<'a> = dyn FnMut(&[Source], usize, &mut Vec<Diagnostic>) + 'a;

/// Loads the files that a list of the rig file names, and hands each on.
fn named_files(
    root: &Record,
    (key, word): (&str, &str),
    load: &dyn Fn(&str) -> Result<String, String>,
    (sources, faults): (&mut Vec<Source>, &mut Vec<Diagnostic>),
    take: &mut Take<'_>,
) {
    for cell in root.list(key).iter().take(MOST_FILES) {
        let Value::Text(file) = &cell.value else { continue };
        match load(file) {
            Ok(text) => {
                sources.push(Source { name: file.clone(), text });
                take(sources, sources.len() - 1, faults);
            }
            Err(why) => faults.push(
                Diagnostic::error(
                    "R026",
                    &cell.at,
                    format!("the {word} file \"{}\" cannot be read", printable(file)),
                )
                .why(why)
                .mend("check its name; it is looked for beside the rig file"),
            ),
        }
    }
    if root.list(key).len() > MOST_FILES {
        faults.push(
            Diagnostic::error("R026", root.spot(key), format!("too many {word} files"))
                .why(format!("at most {MOST_FILES} are read"))
                .mend(format!("put your {word} into fewer files")),
        );
    }
}

fn finish(rig: Option<Rig>, mut diagnostics: Vec<Diagnostic>, sources: Vec<Source>) -> Reading {
    diagnostics.sort_by_key(|d| (d.source, d.span.start));
    let rig = if diagnostics.iter().any(|d| d.severity == Severity::Error) { None } else { rig };
    Reading { rig, diagnostics, sources }
}
