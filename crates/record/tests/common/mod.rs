//! What the tests of the record share.
#![allow(dead_code, unreachable_pub, reason = "each test file uses a part of it")]
#![allow(clippy::unwrap_used, reason = "tests end at a fault")]

use record::{Draft, Job, Measured, Note, Photo, Signature, Step, Store, Value};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// The job of the tests.
pub const JOB: &str = "00112233445566778899aabbccddeeff";

/// A folder of its own that is gone at the end.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let n = COUNT.fetch_add(1, Ordering::SeqCst);
        let folder = std::env::temp_dir().join(format!("record-{name}-{}-{n}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        Self(folder)
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The file beside a file, as the engine names its log.
pub fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    name.into()
}

pub fn job() -> Job {
    Job { id: JOB.into(), name: "Night".into(), rig: "night.toml".into(), at_ms: 1_000, by: "A. B.".into() }
}

pub fn draft(token: &str, about: &str, value: Value) -> Draft {
    Draft {
        at_ms: 2_000,
        by: "A. B.".into(),
        device: "phone 1".into(),
        token: token.into(),
        about: about.into(),
        value,
        corrects: None,
        bytes: None,
    }
}

pub fn measured(token: &str, about: &str, value: &str) -> Draft {
    draft(token, about, Value::Measured(Measured { value: value.into(), with: "tape".into() }))
}

pub fn note(token: &str, text: &str) -> Draft {
    draft(token, "", Value::Note(Note { text: text.into() }))
}

pub fn step(token: &str, about: &str) -> Draft {
    draft(token, about, Value::Step(Step { state: record::State::Done, reason: None }))
}

pub fn photo(token: &str, bytes: &[u8]) -> Draft {
    let value = Value::Photo(Photo::of("cup FL", "image/jpeg", bytes));
    Draft { bytes: Some(bytes.into()), ..draft(token, "", value) }
}

pub fn signature(token: &str, on: &str) -> Draft {
    let value = Value::Signature(Signature { name: "A. B.".into(), role: "key grip".into(), on: on.into() });
    draft(token, "cups pumped", value)
}

/// A store with a job in which there is a bit of everything: 9 entries, 2 photos.
pub fn fill(store: &mut Store) {
    store.start(&job()).unwrap();
    store.write(JOB, &measured("t1", "cup.FL.aft", "302 mm")).unwrap();
    store.write(JOB, &step("t2", "cups set")).unwrap();
    store.write(JOB, &photo("t3", b"first picture")).unwrap();
    store.write(JOB, &Draft { corrects: Some(1), ..measured("t4", "cup.FL.aft", "312 mm") }).unwrap();
    store.write(JOB, &note("t5", "wind from the left,\n\"gusts\" \u{e4}\\")).unwrap();
    let head = store.head(JOB).unwrap();
    store.write(JOB, &signature("t6", &head.hash)).unwrap();
    // Larger than a page, so that it goes over several.
    let large: Vec<u8> = (0..20_000_u32).map(|i| (i * i / 7).to_le_bytes()[0]).collect();
    store.write(JOB, &photo("t7", &large)).unwrap();
    store.write(JOB, &step("t8", "straps set")).unwrap();
    store.write(JOB, &measured("t9", "cup.FR.aft", "298 mm")).unwrap();
}

/// A small generator of numbers for tests, the same on every machine: one step of a multiplicative generator.
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % most.max(1)
    }
}
