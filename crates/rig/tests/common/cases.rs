//! One fault a case: an edit of a sound file, with the exact message and place as a snapshot.

use crate::render::{read, render};

/// A case: its name, what is taken out of the sound file, what is put in. Each text stands once in it.
pub(crate) type Case = (&'static str, &'static str, &'static str);

/// The file of a case.
pub(crate) fn faulty(sound: &str, (name, old, new): &Case) -> String {
    assert_eq!(sound.matches(old).count(), 1, "{name}: the text to edit must stand once in the file");
    sound.replacen(old, new, 1)
}

/// Every case is told with where, why and how to mend it, as its snapshot has it; a model comes out when there is no error.
pub(crate) fn each_is_told(sound: &str, cases: &[Case], folder: &str) {
    let mut wrong = Vec::new();
    for case in cases {
        let reading = read(&faulty(sound, case));
        let text = render(&reading);
        let outcome = std::panic::catch_unwind(|| {
            insta::with_settings!({ prepend_module_to_snapshot => false, snapshot_path => format!("../{folder}"), omit_expression => true }, {
                insta::assert_snapshot!(case.0, text);
            });
        });
        if outcome.is_err() {
            wrong.push(case.0);
        }
        let errors = reading.has_errors();
        assert_eq!(reading.rig.is_none(), errors, "{}: a model comes out when there is no error", case.0);
        for d in &reading.diagnostics {
            let full = !d.message.is_empty() && !d.why.is_empty() && !d.mend.is_empty();
            assert!(full, "{}: {d:?}", case.0);
        }
    }
    assert!(wrong.is_empty(), "snapshots differ: {wrong:?}");
}
