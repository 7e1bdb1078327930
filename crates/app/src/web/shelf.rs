//! The rig files of the folder: read, changed in their own text, undone and redone.

use super::works::Works;
use crate::io::Stop;
use crate::open::text_at;
use draw::view::Drawing;
use rig::{Reading, Rig};
use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use verdict::Verdict;
use verdict::verdict::Options;

/// Steps that can be undone.
const STEPS: usize = 200;

/// A text of a rig file and what is known of it; a change makes another one.
pub(crate) struct Known {
    /// The file's name without `.toml`.
    pub(crate) name: String,
    /// Counts the texts that the file has had since the program began.
    pub(crate) revision: u64,
    /// The text.
    pub(crate) text: String,
    /// The model; none where the text has faults.
    pub(crate) rig: Option<Rig>,
    /// The rest of what the reader said.
    pub(crate) reading: Reading,
    verdict: OnceLock<Result<Verdict, String>>,
    begun: AtomicBool,
    /// Another text stands in its place.
    overtaken: AtomicBool,
    ground: Mutex<Option<(String, Arc<Drawing>)>>,
    /// What takes longer still.
    pub(crate) works: Works,
}

impl Known {
    fn read(folder: &Path, name: &str, revision: u64, text: String) -> Self {
        let reading = read(folder, name, &text);
        Self::of(name, revision, text, reading)
    }

    /// A text with what the reader said of it.
    pub(crate) fn of(name: &str, revision: u64, text: String, mut reading: Reading) -> Self {
        let rig = reading.rig.take();
        Self {
            name: name.to_owned(),
            revision,
            text,
            rig,
            reading,
            verdict: OnceLock::new(),
            begun: AtomicBool::new(false),
            overtaken: AtomicBool::new(false),
            works: Works::default(),
            ground: Mutex::default(),
        }
    }

    /// Whether nobody has begun to work out the verdict; the next who asks is told no.
    pub(crate) fn begins(&self) -> bool {
        !self.begun.swap(true, Ordering::Relaxed)
    }

    /// There will be no verdict: working it out came to grief.
    pub(crate) fn gives_up(&self) {
        // Nobody sets it twice.
        let _ = self.verdict.set(Err("this could not be worked out".to_owned()));
    }

    /// The verdict if it is worked out already, or why there is none.
    pub(crate) fn verdict_so_far(&self) -> Option<&Result<Verdict, String>> {
        self.verdict.get()
    }

    /// The verdict; takes its time when it is first asked for.
    pub(crate) fn verdict(&self) -> &Result<Verdict, String> {
        self.verdict.get_or_init(|| {
            let rig = self.rig.as_ref().ok_or("the file has faults")?;
            let options = Options { stop: &|| self.is_overtaken(), ..Options::default() };
            verdict::verdict::check(rig, &options).map_err(|fault| fault.to_string())
        })
    }

    /// Whether another text stands in its place, so that nobody asks any more.
    pub(crate) fn is_overtaken(&self) -> bool {
        self.overtaken.load(Ordering::Relaxed)
    }

    /// The bare drawing of one view, drawn once while something is dragged over it.
    pub(crate) fn ground(&self, view: &str, draw: impl FnOnce() -> Drawing) -> Arc<Drawing> {
        let mut kept = self.ground.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((of, drawing)) = &*kept
            && of == view
        {
            return Arc::clone(drawing);
        }
        let drawing = Arc::new(draw());
        *kept = Some((view.to_owned(), Arc::clone(&drawing)));
        drawing
    }

    /// Whether the files that it names still say the same.
    fn is_fresh(&self, folder: &Path) -> bool {
        let also = self.reading.sources.iter().skip(1);
        also.into_iter().all(|s| loaded(folder, &s.name).is_ok_and(|text| text == s.text))
    }
}

fn read(folder: &Path, name: &str, text: &str) -> Reading {
    rig::read(text, &format!("{name}.toml"), &|file| loaded(folder, file))
}

fn loaded(folder: &Path, file: &str) -> Result<String, String> {
    match text_at(&folder.join(file)) {
        Ok(text) => Ok(text),
        Err(Stop::Bad(what, _)) => Err(what),
        Err(_) => Err("it cannot be read".to_owned()),
    }
}

/// A text that stood before or after, and what led to the one beside it.
struct Step {
    text: String,
    what: String,
}

struct Doc {
    known: Arc<Known>,
    undo: Vec<Step>,
    redo: Vec<Step>,
    /// Texts by revision, to see whether two people changed the same thing.
    texts: Vec<(u64, String)>,
}

/// Why a change was not made.
#[derive(Debug)]
pub(crate) enum NotChanged {
    /// What is wrong, and how to mend it.
    Bad(String, String),
    /// Somebody else changed the same since the page was made: what stands there now, what was asked for.
    Conflict {
        /// As it stands.
        stands: String,
        /// As it was when the page was made.
        was: String,
    },
}

/// What a change is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum About {
    /// The whole text.
    Text,
    /// A key or a table.
    Key(String),
    /// Something new, which nobody can have changed.
    New,
}

impl About {
    fn said(&self, text: &str) -> String {
        match self {
            Self::Text => text.to_owned(),
            Self::Key(key) => rig::written(text, key).unwrap_or_else(|| "nothing".to_owned()),
            Self::New => String::new(),
        }
    }
}

/// What there is to undo and redo, in words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Steps {
    /// What undo takes back.
    pub(crate) undo: Option<String>,
    /// What redo does again.
    pub(crate) redo: Option<String>,
}

/// All rig files of a folder.
pub(crate) struct Shelf {
    folder: PathBuf,
    docs: Mutex<BTreeMap<String, Doc>>,
}

impl Shelf {
    /// Nothing is read yet.
    pub(crate) fn new(folder: PathBuf) -> Self {
        Self { folder, docs: Mutex::default() }
    }

    /// The folder.
    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    /// The rig files by name: texts in the folder that describe a car or what stands on it.
    pub(crate) fn names(&self) -> Vec<String> {
        let Ok(entries) = std::fs::read_dir(&self.folder) else { return Vec::new() };
        let mut out: Vec<String> = entries
            .flatten()
            .filter(|e| e.path().is_file())
            .filter_map(|e| e.file_name().to_str().and_then(|n| n.strip_suffix(".toml")).map(str::to_owned))
            .filter(|name| !name.is_empty() && !name.starts_with('.'))
            .filter(|name| text_at(&self.path(name)).is_ok_and(|text| is_rig(&text)))
            .collect();
        out.sort();
        out
    }

    /// What the reader says of a text in the place of a file's.
    pub(crate) fn tried(&self, name: &str, text: &str) -> Reading {
        read(&self.folder, name, text)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.join(format!("{name}.toml"))
    }

    fn docs(&self) -> MutexGuard<'_, BTreeMap<String, Doc>> {
        // A change is put in whole or not at all.
        self.docs.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A rig file as it stands in the folder now.
    pub(crate) fn open(&self, name: &str) -> Result<Arc<Known>, Stop> {
        let none = || Stop::bad(format!("there is no rig file {name}"), "see the list of rigs");
        // Only what stands in the folder: a name is never a path.
        let plain = !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\', '\0', ':']);
        if !plain || !self.path(name).is_file() {
            return Err(none());
        }
        let text = text_at(&self.path(name))?;
        if !self.docs().contains_key(name) && !is_rig(&text) {
            return Err(none());
        }
        Ok(self.noticed(&mut self.docs(), name, text))
    }

    /// What is known of a text that was found in the file.
    fn noticed(&self, docs: &mut BTreeMap<String, Doc>, name: &str, text: String) -> Arc<Known> {
        match docs.get_mut(name) {
            None => {
                let known = Arc::new(Known::read(&self.folder, name, 1, text));
                let doc = Doc {
                    known: Arc::clone(&known),
                    undo: Vec::new(),
                    redo: Vec::new(),
                    texts: vec![(1, known.text.clone())],
                };
                docs.insert(name.to_owned(), doc);
                known
            }
            Some(doc) => {
                let another = doc.known.text != text;
                if another {
                    doc.undo.push(Step {
                        text: doc.known.text.clone(),
                        what: "a change in another program".to_owned(),
                    });
                    doc.redo.clear();
                }
                if another || !doc.known.is_fresh(&self.folder) {
                    doc.turn_to(Known::read(&self.folder, name, doc.known.revision + 1, text));
                }
                Arc::clone(&doc.known)
            }
        }
    }

    /// Changes the text of a file: what `change` makes of it, with what the reader says of that. `base`: the revision that the person
    /// saw; whoever else changed what it is about since is not written over.
    pub(crate) fn change(
        &self,
        name: &str,
        (base, about): (u64, &About),
        what: &str,
        change: impl FnOnce(&Known) -> Result<(String, Reading), NotChanged>,
    ) -> Result<Arc<Known>, NotChanged> {
        let known = self.open(name).map_err(not_opened)?;
        let mut docs = self.docs();
        let Some(doc) = docs.get_mut(name) else { return Ok(known) };
        if base != doc.known.revision
            && let Some((_, then)) = doc.texts.iter().find(|(r, _)| *r == base)
        {
            let (was, stands) = (about.said(then), about.said(&doc.known.text));
            if was != stands {
                return Err(NotChanged::Conflict { stands, was });
            }
        }
        let (text, reading) = change(&doc.known)?;
        if text == doc.known.text {
            return Ok(Arc::clone(&doc.known));
        }
        self.save(name, &text)?;
        doc.undo.push(Step { text: doc.known.text.clone(), what: what.to_owned() });
        doc.undo.drain(..doc.undo.len().saturating_sub(STEPS));
        doc.redo.clear();
        let known = Known::of(name, doc.known.revision + 1, text, reading);
        doc.turn_to(known);
        Ok(Arc::clone(&doc.known))
    }

    /// Takes the last change back, or makes it again.
    pub(crate) fn step(&self, name: &str, again: bool) -> Result<Arc<Known>, NotChanged> {
        let known = self.open(name).map_err(not_opened)?;
        let mut docs = self.docs();
        let Some(doc) = docs.get_mut(name) else { return Ok(known) };
        let from = if again { &mut doc.redo } else { &mut doc.undo };
        let Some(step) = from.pop() else {
            let what = if again { "there is nothing to do again" } else { "there is nothing to take back" };
            return Err(NotChanged::Bad(what.to_owned(), String::new()));
        };
        if let Err(e) = self.save(name, &step.text) {
            let from = if again { &mut doc.redo } else { &mut doc.undo };
            from.push(step);
            return Err(e);
        }
        let here = Step { text: doc.known.text.clone(), what: step.what };
        if again {
            doc.undo.push(here);
        } else {
            doc.redo.push(here);
        }
        doc.turn_to(Known::read(&self.folder, name, doc.known.revision + 1, step.text));
        Ok(Arc::clone(&doc.known))
    }

    /// What undo and redo would do.
    pub(crate) fn steps(&self, name: &str) -> Steps {
        let docs = self.docs();
        let last = |list: &[Step]| list.last().map(|s| s.what.clone());
        docs.get(name).map_or_else(Steps::default, |d| Steps { undo: last(&d.undo), redo: last(&d.redo) })
    }

    /// Writes a file as a whole: after a crash the old or the new text stands there.
    fn save(&self, name: &str, text: &str) -> Result<(), NotChanged> {
        let path = self.path(name);
        let path = path.canonicalize().unwrap_or(path);
        let beside = path.with_extension("toml.new");
        let written = || -> std::io::Result<()> {
            let mut file = std::fs::File::create(&beside)?;
            file.write_all(text.as_bytes())?;
            file.sync_all()?;
            if let Ok(old) = std::fs::metadata(&path) {
                std::fs::set_permissions(&beside, old.permissions())?;
            }
            std::fs::rename(&beside, &path)
        };
        written().map_err(|e| {
            let _ = std::fs::remove_file(&beside);
            NotChanged::Bad(
                format!("{name}.toml cannot be written: {e}"),
                "nothing was changed; see who may write in the folder".to_owned(),
            )
        })
    }
}

fn not_opened(stop: Stop) -> NotChanged {
    match stop {
        Stop::Bad(what, mend) => NotChanged::Bad(what, mend),
        Stop::Said | Stop::Stream(_) => NotChanged::Bad("the file cannot be read".to_owned(), String::new()),
    }
}

impl Doc {
    fn turn_to(&mut self, known: Known) {
        self.texts.push((known.revision, known.text.clone()));
        self.texts.drain(..self.texts.len().saturating_sub(STEPS));
        self.known.overtaken.store(true, Ordering::Relaxed);
        self.known = Arc::new(known);
    }
}

/// A parts list describes no car and nothing that stands on one.
fn is_rig(text: &str) -> bool {
    let stated = rig::Written::of(text);
    ["vehicle", "panel"].iter().any(|key| stated.value(key).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = include_str!("../../../../examples/bonnet-camera.toml");

    /// A folder of its own, gone afterwards.
    struct Folder(PathBuf);

    impl Folder {
        fn new(name: &str) -> Self {
            let path = std::env::temp_dir().join(format!("clingfish-shelf-{name}-{}", std::process::id()));
            std::fs::create_dir_all(&path).unwrap();
            std::fs::write(path.join("bonnet.toml"), TEXT).unwrap();
            std::fs::write(path.join("kit.toml"), include_str!("../../../../examples/kit.toml")).unwrap();
            std::fs::write(path.join("notes.txt"), "vehicle").unwrap();
            Self(path)
        }
    }

    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = std::fs::remove_dir_all(&self.0);
        }
    }

    fn named(text: &str, name: &str) -> String {
        let old = rig::written(text, "name").unwrap();
        text.replacen(&old, name, 1)
    }

    fn name() -> About {
        About::Key("name".to_owned())
    }

    /// A change to this text, as a page makes it.
    fn to(shelf: &Shelf, text: String) -> Result<(String, Reading), NotChanged> {
        let reading = shelf.tried("bonnet", &text);
        if reading.has_errors() {
            return Err(NotChanged::Bad("it has faults".into(), String::new()));
        }
        Ok((text, reading))
    }

    #[test]
    fn rig_files_are_listed_and_nothing_else_can_be_named() {
        let folder = Folder::new("list");
        let shelf = Shelf::new(folder.0.clone());
        assert_eq!(shelf.names(), ["bonnet"]);
        for name in ["kit", "../bonnet", "bonnet.toml", "", ".", "/etc/passwd", "bonnet\0"] {
            assert!(matches!(shelf.open(name), Err(Stop::Bad(..))), "{name}");
        }
    }

    #[test]
    fn changes_are_written_taken_back_and_made_again() {
        let folder = Folder::new("undo");
        let shelf = Shelf::new(folder.0.clone());
        let path = folder.0.join("bonnet.toml");
        let first = shelf.open("bonnet").unwrap();
        let second = shelf
            .change("bonnet", (first.revision, &name()), "another name", |k| {
                to(&shelf, named(&k.text, "Second"))
            })
            .unwrap();
        assert_eq!(second.rig.as_ref().unwrap().name, "Second");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), second.text);
        assert_eq!(shelf.steps("bonnet").undo.as_deref(), Some("another name"));
        let back = shelf.step("bonnet", false).unwrap();
        assert_eq!(back.text, TEXT);
        assert_eq!(std::fs::read_to_string(&path).unwrap(), TEXT);
        assert_eq!(shelf.steps("bonnet"), Steps { undo: None, redo: Some("another name".into()) });
        assert_eq!(shelf.step("bonnet", true).unwrap().text, second.text);
        assert!(shelf.step("bonnet", true).is_err());
        // A change after taking back leaves nothing to make again.
        shelf.step("bonnet", false).unwrap();
        let third = shelf
            .change("bonnet", (back.revision, &name()), "a third", |k| to(&shelf, named(&k.text, "Third")))
            .unwrap();
        assert!(third.revision > second.revision);
        assert_eq!(shelf.steps("bonnet").redo, None);
        // What was changed outside is seen, and can be taken back.
        std::fs::write(&path, named(TEXT, "Outside")).unwrap();
        assert_eq!(shelf.open("bonnet").unwrap().rig.as_ref().unwrap().name, "Outside");
        assert_eq!(shelf.step("bonnet", false).unwrap().rig.as_ref().unwrap().name, "Third");
        assert!(!folder.0.join("bonnet.toml.new").exists());
    }

    #[test]
    fn two_who_change_the_same_are_told_and_two_who_do_not_are_not() {
        let folder = Folder::new("both");
        let shelf = Shelf::new(folder.0.clone());
        let base = shelf.open("bonnet").unwrap().revision;
        shelf.change("bonnet", (base, &name()), "mine", |k| to(&shelf, named(&k.text, "Mine"))).unwrap();
        let other = shelf.change("bonnet", (base, &name()), "yours", |k| to(&shelf, named(&k.text, "Yours")));
        assert!(matches!(other, Err(NotChanged::Conflict { stands, .. }) if stands == "Mine"));
        let elsewhere = shelf.change("bonnet", (base, &About::Key("vehicle.mass".into())), "mass", |k| {
            to(&shelf, format!("{}\n# later\n", k.text))
        });
        assert!(elsewhere.unwrap().text.contains("Mine"));
    }

    #[test]
    fn a_parts_list_that_changes_is_read_again() {
        let folder = Folder::new("parts");
        std::fs::write(folder.0.join("with.toml"), include_str!("../../../../examples/estate-arm.toml"))
            .unwrap();
        let shelf = Shelf::new(folder.0.clone());
        let first = shelf.open("with").unwrap();
        assert_eq!(shelf.open("with").unwrap().revision, first.revision);
        let kit = std::fs::read_to_string(folder.0.join("kit.toml")).unwrap();
        std::fs::write(folder.0.join("kit.toml"), format!("{kit}\n# seen\n")).unwrap();
        assert_ne!(shelf.open("with").unwrap().revision, first.revision);
    }
}
