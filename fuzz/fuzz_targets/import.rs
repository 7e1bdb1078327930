//! Takes any bytes as a job file: a fault with a line and nothing taken in, or a job that verifies and comes out as the same job.
#![no_main]

use libfuzzer_sys::fuzz_target;
use record::{Fault, Store};
use std::io::Cursor;

fuzz_target!(|bytes: &[u8]| {
    let Ok(mut store) = Store::in_memory() else { return };
    match store.import(&mut Cursor::new(bytes)) {
        Ok(done) => {
            assert!(done.new);
            assert!(store.verify(&done.job, Some(&done.head)).is_ok_and(|v| v.holds()));
            let mut file = Vec::new();
            assert_eq!(store.export(&done.job, &mut file).as_ref(), Ok(&done.head));
            // Taken in once more, it is the same job.
            assert!(store.import(&mut Cursor::new(file)).is_ok_and(|again| again.added == 0));
        }
        Err(Fault::Line { line, why, mend }) => {
            assert!(line >= 1 && !why.is_empty() && !mend.is_empty());
            assert!(store.jobs().is_ok_and(|jobs| jobs.is_empty()));
        }
        Err(other) => panic!("{other}"),
    }
});
