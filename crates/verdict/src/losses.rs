//! What is left when one cup or one strap lets go: for each of them the check that comes nearest to its limit.

use crate::context::Context;
use crate::parts::PartRef;
use crate::sweep::{self, Least};
use crate::verdict::Options;
use crate::{Fault, check};
use rig::Rig;

/// One part lost.
#[derive(Clone, Debug, PartialEq)]
pub struct Loss {
    /// The part.
    pub lost: PartRef,
    /// The least margin of all checks over all states without it; none where nothing is asked of anything.
    pub least: Option<Least>,
    /// The state of that, in words, or why there is no answer.
    pub when: String,
    /// Whether the rest can be reckoned at all: where it cannot, something moves freely.
    pub stands: bool,
}

/// Every single loss over the states of the plan, values as they stand in the rig.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn losses(rig: &Rig, options: &Options<'_>) -> Result<Vec<Loss>, Fault> {
    let ctx = Context::new(rig, options.build)?;
    let found = sweep::by_loss(&ctx, &check::swept(&ctx), options.resolution);
    let failures = ctx.failures.iter().skip(1);
    let loss = |(failure, least): (&crate::context::Failure, Vec<Least>)| {
        let least = least.into_iter().reduce(|a, b| if b.margin < a.margin { b } else { a });
        let when = match (&failure.responses, &least) {
            (Err(e), _) => e.to_string(),
            (Ok(_), Some(l)) => l.state.words(&ctx),
            (Ok(_), None) => String::new(),
        };
        Some(Loss { lost: failure.lost?, least, when, stands: failure.responses.is_ok() })
    };
    Ok(failures.zip(found).filter_map(loss).collect())
}
