//! The worst margin of every check for each part that is lost, one part at a time.

use super::around::{Least, margin};
use super::refine::Which;
use super::{Best, Classes, Manner, Pair, Table, groups, refine, run};
use crate::check::Swept;
use crate::context::{Context, Resolution};
use rayon::prelude::*;

/// For each failure of the context after the first (nothing lost), the least margin of each check that has states there, in the
/// order of the checks. Empty where something moves freely then.
pub fn by_loss(ctx: &Context<'_>, checks: &[Box<dyn Swept>], resolution: Resolution) -> Vec<Vec<Least>> {
    // What happens with nothing lost is not asked.
    let start = |_: &dyn Swept| {
        let mut best = vec![Best::NONE; ctx.failures.len()];
        best.iter_mut().take(1).for_each(|b| *b = Best::over(f64::INFINITY));
        best
    };
    let mut table = Table::by(Classes::EachFailure, checks, start);
    run(ctx, checks, (&groups(ctx, resolution), Manner::Skip), &mut table, &|_| {});
    (1..ctx.failures.len())
        .into_par_iter()
        .map(|failure| {
            let mut pairs = table.pairs_of(checks, failure);
            refine::refine(ctx, checks, (resolution, Which::All), &mut pairs);
            of_loss(ctx, checks, &pairs)
        })
        .collect()
}

fn of_loss(ctx: &Context<'_>, checks: &[Box<dyn Swept>], pairs: &[Vec<Pair>]) -> Vec<Least> {
    let mut out = Vec::new();
    for (check, pairs) in checks.iter().zip(pairs).filter(|(c, _)| !c.informs()) {
        let factor = ctx.rig.policy.factors(check.id()).lost;
        let all = check.items().iter().zip(pairs).filter_map(|(item, pair)| Some((item.part, pair.lost?)));
        let margins = all.map(|(part, worst)| Least {
            check: check.id(),
            margin: margin(worst, factor),
            part,
            state: worst.state,
        });
        out.extend(margins.reduce(|a, b| if b.margin < a.margin { b } else { a }));
    }
    out
}
