//! How far a check has come, on the error output of a terminal, once it takes longer than a second.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

const BAR: &str = "{msg} [{bar:24}] {percent:>3} %  {rate} a second, {eta} left";
const AFTER: &str = "{msg} {spinner}";

/// A bar that shows itself only when it is wanted. It is wiped when dropped and never hides the cursor.
pub(crate) struct Progress {
    wanted: bool,
    /// What is counted, and what comes once all are done.
    words: (&'static str, &'static str),
    began: Instant,
    bar: OnceLock<ProgressBar>,
}

impl Progress {
    pub(crate) fn new(wanted: bool) -> Self {
        Self::of(wanted, ("states", "all states seen; trying what is assumed at the ends of its range"))
    }

    /// Of something else than states.
    pub(crate) fn of(wanted: bool, words: (&'static str, &'static str)) -> Self {
        Self { wanted, words, began: Instant::now(), bar: OnceLock::new() }
    }

    /// Told from any thread: how many are done, and how many in all.
    pub(crate) fn tick(&self, done: u64, all: u64) {
        if !self.wanted || self.began.elapsed() < Duration::from_secs(1) {
            return;
        }
        let bar = self.bar.get_or_init(|| {
            let bar = ProgressBar::with_draw_target(Some(all), ProgressDrawTarget::stderr());
            if let Ok(style) = ProgressStyle::with_template(BAR) {
                let rate = |s: &ProgressState, w: &mut dyn std::fmt::Write| {
                    // A rate that cannot be written is left out.
                    let _ = write!(w, "{:.0}", s.per_sec());
                };
                bar.set_style(style.with_key("rate", rate).progress_chars("=> "));
            }
            bar.set_message(self.words.0);
            bar
        });
        bar.set_position(done);
        if done >= all {
            if let Ok(style) = ProgressStyle::with_template(AFTER) {
                bar.set_style(style.tick_chars("-\\|/ "));
            }
            bar.set_message(self.words.1);
            bar.enable_steady_tick(Duration::from_millis(250));
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(bar) = self.bar.get() {
            bar.finish_and_clear();
        }
    }
}
