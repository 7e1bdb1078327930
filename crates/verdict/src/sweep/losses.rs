//! The worst margin of every check for each part that is lost, one part at a time.

use super::around::{Least, margin};
use super::{Best, Manner, Table, groups, refine, run};
use crate::check::Swept;
use crate::context::{Context, Resolution};
use rayon::prelude::*;

/// For each failure of the context after the first (nothing lost), the least margin of each check that has states there, in the
/// order of the checks. Empty where something moves freely then.
pub fn by_loss(ctx: &Context<'_>, checks: &[Box<dyn Swept>], resolution: Resolution) -> Vec<Vec<Least>> {
    (1..ctx.failures.len()).into_par_iter().map(|failure| of_loss(ctx, checks, resolution, failure)).collect()
}

fn of_loss(
    ctx: &Context<'_>,
    checks: &[Box<dyn Swept>],
    resolution: Resolution,
    failure: usize,
) -> Vec<Least> {
    if ctx.failures[failure].responses.is_err() {
        return Vec::new();
    }
    // The same rig with this one loss to look at.
    let mut alone = ctx.clone();
    alone.failures = [ctx.failures[0].clone(), ctx.failures[failure].clone()].into();
    // What happens with nothing lost is not asked.
    let mut table = Table::new(checks, |_| [Best::over(f64::INFINITY), Best::NONE]);
    run(&alone, checks, (&groups(&alone, resolution), Manner::Skip), &mut table, &|_| {});
    let mut pairs = table.pairs(checks);
    refine::refine(&alone, checks, resolution, &mut pairs);
    let mut out = Vec::new();
    for (check, pairs) in checks.iter().zip(&pairs).filter(|(c, _)| !c.informs()) {
        let factor = ctx.rig.policy.factors(check.id()).lost;
        let all = check.items().iter().zip(pairs).filter_map(|(item, pair)| Some((item.part, pair.lost?)));
        let margins = all.map(|(part, worst)| Least {
            check: check.id(),
            margin: margin(worst, factor),
            part,
            state: crate::StateId { failure, ..worst.state },
        });
        out.extend(margins.reduce(|a, b| if b.margin < a.margin { b } else { a }));
    }
    out
}
