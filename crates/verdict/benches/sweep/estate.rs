//! The estate car with its arm: states a second, share of peak, edit to verdict.

use crate::{machine, measure};
use glam::DVec3;
use measure::Timing;
use rig::Rig;
use std::collections::BTreeSet;
use verdict::check::{self, ALONG, Item, Source, Swept};
use verdict::context::Resolution;
use verdict::responses::Layout;
use verdict::structure::BuildOptions;
use verdict::sweep::Way;
use verdict::{Context, sweep};

/// Numbers that differ between the states of one wind: force per mass and the arm's wrench. The rest is summed once a wind.
const TERMS: usize = 9;
/// How far a cup is moved, m.
const MOVED_M: f64 = 0.005;

pub(crate) struct Estate {
    pub(crate) states: u64,
    pub(crate) rows: usize,
    /// Multiplications and additions that its rows take, plainly.
    pub(crate) row_flops: usize,
    pub(crate) checks: usize,
    pub(crate) plain: Timing,
    pub(crate) folded: Timing,
    pub(crate) passing_over: Timing,
    pub(crate) edit: Timing,
    /// Of the edit: from the rig to its responses.
    pub(crate) edit_context: Timing,
    /// Of the edit: checks that need one look.
    pub(crate) edit_once: Timing,
    pub(crate) whole: Timing,
    pub(crate) peak_flops: f64,
}

impl Estate {
    /// Every state reckoned and checked, each row from its nine numbers.
    pub(crate) fn plain_per_s(&self) -> f64 {
        self.states as f64 / self.plain.median
    }

    /// Every state reckoned and checked, its pose folded first.
    pub(crate) fn folded_per_s(&self) -> f64 {
        self.states as f64 / self.folded.median
    }

    /// Every state decided, most of them passed over.
    pub(crate) fn decided_per_s(&self) -> f64 {
        self.states as f64 / self.passing_over.median
    }

    /// Multiplications and additions that a state's rows take, as a share of what the machine could do meanwhile. What the
    /// checks themselves take (roots, quotients, comparisons) and the arm's wrench are not counted.
    pub(crate) fn share_of_peak(&self) -> f64 {
        self.plain_per_s() * self.row_flops as f64 / self.peak_flops
    }
}

/// Rows of the responses that the checks read, each once: where they start, and how many.
fn sources(checks: &[Box<dyn Swept>]) -> BTreeSet<(usize, usize)> {
    let items = checks.iter().flat_map(|c| c.items()).filter(|i| i.missing.is_none());
    let rows = |item: &Item| match item.source {
        Source::Rows { start, len } => Some((start, len)),
        _ => None,
    };
    items.filter_map(rows).collect()
}

/// What they take plainly: a product and a sum for each term, or, at those of a member's stations that follow from another, two
/// bending moments on an arm and from what lies between. What lies between does to forces is left out: only where it matters is it added
/// to each state.
fn flops(layout: &Layout, sources: &BTreeSet<(usize, usize)>) -> usize {
    let own = |rows: usize| 2 * TERMS * rows;
    let of_others = sources.iter().filter(|(start, _)| layout.station_of(*start).is_none());
    let stations = layout.members().flat_map(|stations| stations.chunks(ALONG));
    let along = stations.map(|some| own(6) + (some.len() - 1) * (2 + 2 * 2));
    of_others.map(|(_, rows)| own(*rows)).sum::<usize>() + along.sum::<usize>()
}

/// A cup put somewhere else along the panel, with its head.
fn moved(rig: &Rig, by_m: f64) -> Rig {
    let mut rig = rig.clone();
    let cup = &mut rig.cups[0];
    let step = DVec3::X * by_m;
    (cup.at, cup.head) = (cup.at + step, cup.head + step);
    rig
}

pub(crate) fn measure(rig: &Rig) -> Estate {
    let fine = Resolution::fine();
    let ctx = Context::new(rig, BuildOptions::default()).unwrap();
    let checks = check::swept(&ctx);
    // On both sides of what is held against it, in case others come or go meanwhile.
    let peak_before = machine::peak_flops();
    let plain = measure::time(5, || sweep::grid_in_full(&ctx, &checks, fine, Way::Plain));
    let folded = measure::time(7, || sweep::grid_in_full(&ctx, &checks, fine, Way::Folded));
    let peak_flops = peak_before.max(machine::peak_flops());
    let passing_over = measure::time(15, || sweep::grid(&ctx, &checks, fine, &|_| {}));
    let rig_after = moved(rig, MOVED_M);
    let look = |ctx: &Context<'_>| -> usize {
        check::ONCE.iter().chain(check::GEOMETRY).map(|look| look(ctx).len()).sum()
    };
    let edit = measure::time(15, || {
        let ctx = Context::new(&rig_after, BuildOptions::default()).unwrap();
        let checks = check::swept(&ctx);
        (look(&ctx), sweep::grid(&ctx, &checks, fine, &|_| {}))
    });
    let edit_context =
        measure::time(15, || Context::new(&rig_after, BuildOptions::default()).unwrap().failures.len());
    let edit_once = measure::time(15, || look(&ctx));
    let whole = measure::time(3, || {
        verdict::verdict::check(&rig_after, &verdict::verdict::Options::default()).unwrap()
    });
    Estate {
        states: sweep::count(&ctx, fine),
        rows: sources(&checks).iter().map(|(_, len)| len).sum(),
        row_flops: flops(&ctx.layout, &sources(&checks)),
        checks: checks.iter().map(|c| c.items().len()).sum(),
        plain,
        folded,
        passing_over,
        edit,
        edit_context,
        edit_once,
        whole,
        peak_flops,
    }
}
