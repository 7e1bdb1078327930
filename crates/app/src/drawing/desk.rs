//! What drawings are made from; each thing is worked out once, when it is first asked for.

use super::seen::{self, Seen};
use crate::command::check::{cannot, verdict_of};
use crate::command::envelope::{envelope_of, stretched};
use crate::io::Stop;
use crate::print::report::Report;
use draw::view::{Part, Pose};
use rig::Rig;
use rig::policy::CheckId;
use std::cell::OnceCell;
use verdict::context::{Context, Resolution};
use verdict::limits::{self, Envelope, Largest};
use verdict::losses::{Loss, losses};
use verdict::structure::BuildOptions;
use verdict::sweep::Around;
use verdict::verdict::Options;
use verdict::{Finding, StateId, Verdict};

/// A worst state to be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Worst {
    /// Of one check.
    Of(CheckId),
    /// Of all of them.
    OfAll,
}

/// What is asked to be shown.
#[derive(Clone, Debug, Default)]
#[allow(clippy::struct_excessive_bools, reason = "each is asked for by itself")]
pub(crate) struct Shown {
    /// Where the boom points; none: as it is parked.
    pub(crate) pose: Option<Pose>,
    /// A cup or strap that is lost.
    pub(crate) lost: Option<Part>,
    /// The state with the least margin instead of the two above.
    pub(crate) worst: Option<Worst>,
    /// A state of a manoeuvre instead of all three above.
    pub(crate) state: Option<StateId>,
    /// Leave the margins out.
    pub(crate) plain: bool,
    /// Margins beside forces or the bent shape too, which have the drawing to themselves otherwise.
    pub(crate) margins: bool,
    /// Arrows for the forces of that state.
    pub(crate) forces: bool,
    /// The rig as it bends in that state.
    pub(crate) moved: bool,
    /// The eye of the view across a corner: its bearing and its angle over the level, rad.
    pub(crate) eye: (Option<f64>, Option<f64>),
}

/// A rig, what is known of it so far, and what is asked to be shown.
pub(crate) struct Desk<'a> {
    pub(crate) rig: &'a Rig,
    pub(crate) shown: Shown,
    progress: bool,
    verdict: OnceCell<Verdict>,
    report: OnceCell<Report>,
    context: OnceCell<Context<'a>>,
    seen: OnceCell<Seen>,
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
            report: OnceCell::new(),
            context: OnceCell::new(),
            seen: OnceCell::new(),
            envelope: OnceCell::new(),
            stretched: OnceCell::new(),
            around: OnceCell::new(),
            losses: OnceCell::new(),
        }
    }

    /// With a verdict that is there already.
    #[must_use]
    pub(crate) fn knowing(self, verdict: &Verdict) -> Self {
        Self { verdict: OnceCell::from(verdict.clone()), ..self }
    }

    /// With limits that are there already.
    #[must_use]
    pub(crate) fn knowing_limits(self, envelope: &Envelope, stretched: &[Largest], around: &Around) -> Self {
        Self {
            envelope: OnceCell::from(envelope.clone()),
            stretched: OnceCell::from(stretched.to_vec()),
            around: OnceCell::from(around.clone()),
            ..self
        }
    }

    /// The verdict.
    pub(crate) fn verdict(&self) -> Result<&Verdict, Stop> {
        once(&self.verdict, || verdict_of(self.rig, self.progress))
    }

    /// The verdict in words.
    pub(crate) fn report(&self) -> Result<&Report, Stop> {
        once(&self.report, || Ok(Report::of(self.rig, self.verdict()?)))
    }

    /// Structure, states and responses.
    pub(crate) fn context(&self) -> Result<&Context<'a>, Stop> {
        once(&self.context, || {
            Context::new(self.rig, BuildOptions::default()).map_err(|fault| cannot(&fault))
        })
    }

    /// The state that is shown.
    pub(crate) fn seen(&self) -> Result<&Seen, Stop> {
        once(&self.seen, || seen::of(self))
    }

    /// The finding whose state is shown, if a worst one is asked for.
    pub(crate) fn worst(&self, worst: Worst) -> Result<Option<&Finding>, Stop> {
        let of = |f: &&Finding| worst == Worst::OfAll || worst == Worst::Of(f.check);
        let all = self.verdict()?.findings.iter().filter(of).filter(|f| f.state.is_some());
        let with_margin = all.filter_map(|f| Some((f, f.margin?)));
        Ok(with_margin.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(f, _)| f))
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
