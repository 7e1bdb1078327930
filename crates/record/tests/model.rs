//! Random writes, corrections and resends beside a plain list of what must come of them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests end at a fault")]

mod common;

use common::{JOB, job, measured, note, photo, signature, step};
use proptest::prelude::*;
use record::{Draft, Fault, Head, Store, Value};
use std::collections::BTreeMap;
use std::io::Cursor;

#[derive(Clone, Debug)]
enum Do {
    /// A new entry: which kind, about which cup.
    Write(u8, u8),
    /// A correction of an entry, counted from the first, with a subject that may be another.
    Correct(usize, u8, u8),
    /// An earlier draft again, counted from the first.
    Again(usize),
    /// The token of an earlier draft with other words.
    Taken(usize),
}

fn deed() -> impl Strategy<Value = Do> {
    prop_oneof![
        4 => (0..5_u8, 0..2_u8).prop_map(|(k, a)| Do::Write(k, a)),
        3 => (0..40_usize, 0..2_u8, 0..2_u8).prop_map(|(n, k, a)| Do::Correct(n, k, a)),
        2 => (0..40_usize).prop_map(Do::Again),
        1 => (0..40_usize).prop_map(Do::Taken),
    ]
}

fn new_draft(kind: u8, about: u8, token: &str, head: &Head) -> Draft {
    let about = ["cup.FL.aft", "cup.FR.aft"][usize::from(about)];
    match kind {
        0 => measured(token, about, &format!("{} mm", token.len())),
        1 => step(token, about),
        2 => note(token, token),
        3 => photo(token, about.as_bytes()),
        _ => signature(token, &head.hash),
    }
}

/// What must come of it: entries in order with the draft of each, and who corrects whom.
#[derive(Default)]
struct Model {
    entries: Vec<Draft>,
    corrected: BTreeMap<u32, u32>,
}

impl Model {
    fn write(&mut self, draft: &Draft) -> Result<(u32, bool), &'static str> {
        let same = |d: &Draft| Draft { bytes: None, ..d.clone() } == Draft { bytes: None, ..draft.clone() };
        if let Some(i) = self.entries.iter().position(|d| d.token == draft.token) {
            let number = u32::try_from(i).unwrap() + 1;
            return if same(&self.entries[i]) { Ok((number, true)) } else { Err("token") };
        }
        let number = u32::try_from(self.entries.len()).unwrap() + 1;
        if let Some(n) = draft.corrects {
            let there = (n as usize).checked_sub(1).and_then(|i| self.entries.get(i)).ok_or("nothing")?;
            if there.value.kind() != draft.value.kind() || there.about != draft.about {
                return Err("subject");
            }
            if self.corrected.contains_key(&n) {
                return Err("twice");
            }
            self.corrected.insert(n, number);
        }
        self.entries.push(draft.clone());
        Ok((number, false))
    }
}

fn word(fault: &Fault) -> &'static str {
    match fault {
        Fault::TokenTaken { .. } => "token",
        Fault::NothingToCorrect { .. } => "nothing",
        Fault::OtherSubject { .. } => "subject",
        Fault::AlreadyCorrected { .. } => "twice",
        _ => "other",
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_store_does_what_a_list_would(deeds in prop::collection::vec(deed(), 1..60)) {
        let mut store = Store::in_memory().unwrap();
        store.start(&job()).unwrap();
        let mut model = Model::default();
        for (i, deed) in deeds.into_iter().enumerate() {
            let head = store.head(JOB).unwrap();
            let token = format!("t{i}");
            let draft = match deed {
                Do::Write(kind, about) => new_draft(kind, about, &token, &head),
                Do::Correct(n, kind, about) => {
                    let n = u32::try_from(n % (model.entries.len() + 2)).unwrap();
                    Draft { corrects: Some(n), ..new_draft(kind, about, &token, &head) }
                }
                Do::Again(n) | Do::Taken(n) => {
                    let Some(d) = model.entries.get(n % model.entries.len().max(1)) else { continue };
                    let other = note(&d.token, "other words");
                    if matches!(deed, Do::Again(_)) { d.clone() } else { other }
                }
            };
            let expected = model.write(&draft);
            let found = store.write(JOB, &draft).map(|w| (w.number, w.again));
            prop_assert_eq!(found.as_ref().map_err(word), expected.as_ref().map_err(|e| *e), "{:?}", draft);
        }
        let current = store.current(JOB).unwrap();
        prop_assert_eq!(current.len(), model.entries.len());
        let mut before: Option<String> = None;
        for (c, d) in current.iter().zip(&model.entries) {
            let e = &c.entry;
            prop_assert_eq!((&e.token, &e.about, &e.value, e.corrects), (&d.token, &d.about, &d.value, d.corrects));
            prop_assert_eq!((e.at_ms, &e.by, &e.device), (d.at_ms, &d.by, &d.device));
            prop_assert_eq!(c.corrected_by, model.corrected.get(&e.number).copied());
            if let Some(before) = before {
                prop_assert_eq!(&e.before, &before);
            }
            before = Some(e.hash.clone());
            if let (Value::Photo(p), Some(bytes)) = (&d.value, &d.bytes) {
                prop_assert_eq!(&store.blob(&p.sha256).unwrap(), bytes);
            }
        }
        let head = store.head(JOB).unwrap();
        prop_assert!(store.verify(JOB, Some(&head)).unwrap().holds());
        // There and back: the same hashes, hence the same everything.
        let mut file = Vec::new();
        store.export(JOB, &mut file).unwrap();
        let mut other = Store::in_memory().unwrap();
        prop_assert_eq!(other.import(&mut Cursor::new(&file)).unwrap().head, head);
        prop_assert_eq!(other.current(JOB).unwrap(), current);
    }

    /// Whatever bytes come, an import ends in words, and nothing is taken in.
    #[test]
    fn any_bytes_are_refused_with_words(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let mut store = Store::in_memory().unwrap();
        let fault = store.import(&mut Cursor::new(bytes)).unwrap_err();
        prop_assert!(matches!(fault, Fault::Line { line: 1.., .. }), "{}", fault);
        prop_assert_eq!(store.jobs().unwrap(), []);
    }
}
