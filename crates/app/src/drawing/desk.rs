//! What drawings are made from; each thing is worked out once, when it is first asked for.

use crate::command::check::{cannot, verdict_of};
use crate::command::envelope::{envelope_of, stretched};
use crate::io::Stop;
use draw::view::{Part, Pose};
use rig::Rig;
use std::cell::OnceCell;
use verdict::Verdict;
use verdict::context::Resolution;
use verdict::limits::{self, Envelope, Largest};
use verdict::losses::{Loss, losses};
use verdict::structure::BuildOptions;
use verdict::sweep::Around;
use verdict::verdict::Options;

/// What is asked to be shown.
#[derive(Clone, Debug, Default)]
pub(crate) struct Shown {
    /// Where the boom points.
    pub(crate) pose: Pose,
    /// A cup or strap that is lost.
    pub(crate) lost: Option<Part>,
}

/// A rig, what is known of it so far, and what is asked to be shown.
pub(crate) struct Desk<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) shown: Shown,
    progress: bool,
    verdict: OnceCell<Verdict>,
    envelope: OnceCell<Envelope>,
    stretched: OnceCell<Vec<Largest>>,
    around: OnceCell<Around>,
    losses: OnceCell<Vec<Loss>>,
}

fn once<T>(cell: &OnceCell<T>, make: impl FnOnce() -> Result<T, Stop>) -> Result<&T, Stop> {
    if let Some(value) = cell.get() {
        return Ok(value);
    }
    let value = make()?;
    Ok(cell.get_or_init(|| value))
}

impl<'a> Desk<'a> {
    /// Nothing is worked out yet.
    pub(crate) fn new(rig: &'a Rig, shown: Shown, progress: bool) -> Self {
        Self {
            rig,
            shown,
            progress,
            verdict: OnceCell::new(),
            envelope: OnceCell::new(),
            stretched: OnceCell::new(),
            around: OnceCell::new(),
            losses: OnceCell::new(),
        }
    }

    /// The verdict.
    pub(crate) fn verdict(&self) -> Result<&Verdict, Stop> {
        once(&self.verdict, || verdict_of(self.rig, self.progress))
    }

    /// How hard the car may go, in twelve sectors, at up to four speeds up to the plan's.
    pub(crate) fn envelope(&self) -> Result<&Envelope, Stop> {
        once(&self.envelope, || envelope_of(self.rig, Vec::new(), 12, self.progress))
    }

    /// How far the plan may be stretched.
    pub(crate) fn stretched(&self) -> Result<&[Largest], Stop> {
        once(&self.stretched, || stretched(self.rig, self.progress)).map(Vec::as_slice)
    }

    /// Least margins by where the boom points.
    pub(crate) fn around(&self) -> Result<&Around, Stop> {
        once(&self.around, || {
            limits::around(self.rig, Resolution::fine(), BuildOptions::default()).map_err(|f| cannot(&f))
        })
    }
    /// What each single loss leaves.
    pub(crate) fn losses(&self) -> Result<&[Loss], Stop> {
        once(&self.losses, || losses(self.rig, &Options::default()).map_err(|f| cannot(&f)))
            .map(Vec::as_slice)
    }
}
