//! GO, HOLD or NO-GO, and everything behind it.

use crate::beyond;
use crate::check::retention::{self, Task};
use crate::check::{self, Swept, reserve, second_order};
use crate::context::{Context, Failure, Resolution, Solved};
use crate::fault::Fault;
use crate::finding::{Finding, Outcome};
use crate::parts::PartRef;
use crate::state::StateId;
use crate::structure::BuildOptions;
use crate::sweep::{self, Sweep};
use crate::vary::{self, End, Group};
use rayon::prelude::*;
use rig::model::Rig;
use rig::policy::CheckId;
use std::sync::OnceLock;

/// The answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Every check holds, on known facts.
    Go,
    /// A fact is missing, or a guess decides.
    Hold,
    /// A check fails.
    NoGo,
}

impl Answer {
    /// As it is written.
    pub fn word(self) -> &'static str {
        match self {
            Self::Go => "GO",
            Self::Hold => "HOLD",
            Self::NoGo => "NO-GO",
        }
    }
}

/// One thing to settle before a GO.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// What is missing or guessed.
    pub what: String,
    /// Why it matters, in words.
    pub why: String,
    /// The key that would state it.
    pub key: String,
    /// How to settle it.
    pub settle: String,
}

/// What an assumed value does to the least margin.
#[derive(Clone, Debug, PartialEq)]
pub struct Varied {
    /// Which value.
    pub name: String,
    /// The end of the range.
    pub end: End,
    /// The value there, SI.
    pub value: f64,
    /// Kind of the value.
    pub kind: quantity::Kind,
    /// Least margin of the rig there.
    pub least: f64,
    /// The check that has it.
    pub check: CheckId,
}

/// The verdict on a rig.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// The answer.
    pub answer: Answer,
    /// Every finding, least margin first; notes last.
    pub findings: Vec<Finding>,
    /// What to settle.
    pub holds: Vec<Hold>,
    /// Assumed values and what they do.
    pub varied: Vec<Varied>,
    /// Assumed values in groups.
    pub assumed: Vec<Group>,
    /// How many states were looked at.
    pub states: u64,
    /// How many runs with assumed values varied.
    pub runs: usize,
    /// Largest residual of equilibrium over largest load.
    pub worst_residual: f64,
}

/// How to check.
#[derive(Clone, Copy)]
pub struct Options<'a> {
    /// How the frame is built.
    pub build: BuildOptions,
    /// How finely to look.
    pub resolution: Resolution,
    /// Told of progress: states done, states in all.
    pub tick: &'a (dyn Fn(u64, u64) + Sync),
    /// Whether nobody wants the answer any more. Once it says so it says so for good, and what is asked for is a [`Fault`].
    pub stop: &'a (dyn Fn() -> bool + Sync),
}

impl Default for Options<'_> {
    fn default() -> Self {
        Self {
            build: BuildOptions::default(),
            resolution: Resolution::fine(),
            tick: &|_, _| {},
            stop: &|| false,
        }
    }
}

/// Findings of one run.
pub(crate) struct Run {
    pub(crate) findings: Vec<Finding>,
    pool: Vec<StateId>,
    /// What the checks read in the states of the pool, once somebody asks again.
    numbers: OnceLock<sweep::Numbers>,
    retention: Vec<Task>,
    second_order: second_order::Answer,
    states: u64,
    worst_residual: f64,
    solved: Solved,
}

/// Which states a run looks at.
pub(crate) enum Look<'a> {
    /// All of them, at the options' resolution.
    All,
    /// Only the worst ones of a run before.
    Known(&'a Run),
    /// Those, and all poses in wide steps.
    Wide(&'a Run),
}

/// A fault if nobody wants the answer any more.
fn go_on(options: &Options<'_>) -> Result<(), Fault> {
    if (options.stop)() {
        Err(Fault { what: "this was stopped before it was worked out".to_owned() })
    } else {
        Ok(())
    }
}

pub(crate) fn run(rig: &Rig, options: &Options<'_>, look: &Look<'_>) -> Result<Run, Fault> {
    let before = match look {
        Look::All => None,
        Look::Known(before) | Look::Wide(before) => Some(&before.solved),
    };
    let ctx = Context::after(before, rig, options.build)?;
    go_on(options)?;
    let checks = check::swept(&ctx);
    let swept = match look {
        Look::All => {
            let total = sweep::count(&ctx, options.resolution);
            sweep::sweep(&ctx, &checks, options.resolution, &|done| (options.tick)(done, total))
        }
        Look::Known(before) if before.solved.same_forces(&ctx) => {
            let numbers = before.numbers.get_or_init(|| sweep::numbers_at(&ctx, &checks, &before.pool));
            sweep::at_known(&ctx, &checks, &before.pool, numbers)
        }
        Look::Known(before) => sweep::at_states(&ctx, &checks, &before.pool),
        Look::Wide(before) => {
            let wide = sweep::sweep(&ctx, &checks, Resolution::wide(), &|_| {});
            wide.with(sweep::at_states(&ctx, &checks, &before.pool))
        }
    };
    go_on(options)?;
    let mut findings = swept_findings(&ctx, &checks, &swept);
    if matches!(look, Look::All) {
        beyond::say(&ctx, &mut findings);
    }
    let cups: Vec<usize> = checks
        .iter()
        .enumerate()
        .filter(|(_, c)| matches!(c.id(), CheckId::CupSeal | CheckId::CupSlip))
        .map(|(i, _)| i)
        .collect();
    findings.extend(reserve::check(&ctx, &swept, &cups));
    let second_order = match look {
        Look::Known(before) if before.solved.same_forces(&ctx) => before.second_order.clone(),
        Look::Known(before) => second_order::check(&ctx, &before.second_order.worst),
        Look::All | Look::Wide(_) => {
            second_order::check(&ctx, &second_order::of_every_loss(&ctx, sweep::pool(&swept.pairs)))
        }
    };
    findings.extend(second_order.findings.iter().cloned());
    let retention = match look {
        Look::Known(before) => retention::check(&ctx, Some(&before.retention)),
        Look::All | Look::Wide(_) => retention::check(&ctx, None),
    };
    findings.extend(retention.findings);
    let (inform, geometry) = match look {
        Look::All => (check::INFORM, check::GEOMETRY),
        Look::Known(_) | Look::Wide(_) => (&[][..], &[][..]),
    };
    let once: Vec<Vec<Finding>> =
        check::ONCE.par_iter().chain(inform).chain(geometry).map(|c| c(&ctx)).collect();
    findings.extend(once.into_iter().flatten());
    findings.iter_mut().for_each(Finding::answer_yes_or_no);
    let residual = |f: &Failure| f.responses.as_ref().map_or(0.0, |r| r.worst_residual);
    Ok(Run {
        findings,
        pool: sweep::pool(&swept.pairs),
        numbers: OnceLock::new(),
        retention: retention.worst,
        second_order,
        states: swept.states,
        worst_residual: ctx.failures.iter().map(residual).fold(0.0, f64::max),
        solved: ctx.solved(),
    })
}

/// One finding an item and class of failure; of a tube's stations only the worst.
pub(crate) fn swept_findings(ctx: &Context<'_>, checks: &[Box<dyn Swept>], swept: &Sweep) -> Vec<Finding> {
    let of_check = |check: &dyn Swept, pairs: &[sweep::Pair]| {
        let factors = ctx.rig.policy.factors(check.id());
        let mut of_check: Vec<Finding> = Vec::new();
        for (item, pair) in check.items().iter().zip(pairs) {
            if let Some(need) = &item.missing {
                of_check
                    .push(Finding::not_checked(check.id(), item.part, need.clone()).at(item.place.clone()));
                continue;
            }
            for (worst, factor, lost) in
                [(pair.intact, factors.intact, false), (pair.lost, factors.lost, true)]
            {
                let Some(worst) = worst else { continue };
                // Cheap first: only the least margin of a part is worked out by hand.
                let margin =
                    if worst.utilisation > 0.0 { 1.0 / (factor * worst.utilisation) } else { f64::INFINITY };
                let beaten = of_check.iter().any(|f| {
                    f.part == item.part
                        && f.state.is_some_and(|s| (s.failure > 0) == lost)
                        && f.margin.is_some_and(|m| check::coarse(m) <= check::coarse(margin))
                });
                if beaten {
                    continue;
                }
                of_check.retain(|f| f.part != item.part || f.state.is_none_or(|s| (s.failure > 0) != lost));
                let r = sweep::numbers(ctx, item.source, &worst.state);
                let (demand, capacity) = check.demand_capacity(item, &r);
                let mut f = Finding::of(check.id(), item.part, check.kind(), factor, demand, capacity)
                    .at(item.place.clone())
                    .when(worst.state.words(ctx))
                    .hand(check.hand(item, &r));
                f.state = Some(worst.state);
                if let Some(note) = check.note(item, &r) {
                    f.outcome = Outcome::Note;
                    f.margin = None;
                    f.situation = format!("{note}; {}", f.situation);
                }
                of_check.push(f);
            }
        }
        of_check
    };
    let each = checks.par_iter().zip(&swept.pairs).map(|(check, pairs)| of_check(check.as_ref(), pairs));
    let each: Vec<Vec<Finding>> = each.collect();
    each.into_iter().flatten().collect()
}

fn least(findings: &[Finding]) -> (f64, CheckId) {
    findings.iter().filter_map(|f| f.margin.map(|m| (m, f.check))).fold(
        (f64::INFINITY, CheckId::Stable),
        |a, b| if check::coarse(b.0) < check::coarse(a.0) { b } else { a },
    )
}

fn fails(findings: &[Finding]) -> bool {
    findings.iter().any(|f| f.outcome == Outcome::Fails)
}

/// Refuses a rig with a lost number: some sums would leave it out without a word (a mass that is not a number is no mass).
/// A flat panel's crown alone is infinite.
pub(crate) fn all_numbers(rig: &Rig) -> Result<(), Fault> {
    let mut copy = rig.clone();
    for crown in copy.panels.iter_mut().flat_map(|p| [&mut p.crown.0, &mut p.crown.1]) {
        for v in [&mut crown.value, &mut crown.low, &mut crown.high] {
            if v.is_infinite() {
                *v = 1.0;
            }
        }
    }
    let mut lost = None;
    rig::facts_mut(&mut copy, &mut |f| {
        if lost.is_none() && ![f.value, f.low, f.high].iter().all(|v| v.is_finite()) {
            lost = Some(f.key.clone());
        }
    });
    match lost {
        Some(key) => Err(Fault { what: format!("{key} is not a number") }),
        None => Ok(()),
    }
}

/// The findings of a rig at nominal values: every state and every check, nothing varied.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn nominal(rig: &Rig, options: &Options<'_>) -> Result<Vec<Finding>, Fault> {
    all_numbers(rig)?;
    Ok(run(rig, options, &Look::All)?.findings)
}

/// What can be said while a part is being moved: nominal values, every drive and motion, the boom in wide steps, every part lost in
/// turn, or only one, and a closer look around the worst of each part. Left out, because they take their time: retention, reserve,
/// second order, and assumed values at the ends of their range. No answer hangs on it: it shows which way margins go, and
/// [`check`] decides.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn at_once(rig: &Rig, options: &Options<'_>, lost: Option<PartRef>) -> Result<Vec<Finding>, Fault> {
    all_numbers(rig)?;
    let mut ctx = Context::new(rig, options.build)?;
    // A tether hangs slack: without it the forces are those with nothing lost.
    let of_loss = lost.is_some_and(|lost| ctx.failures.iter().any(|f| f.lost == Some(lost)));
    if lost.is_some() {
        let kept = |(i, f): &(usize, &Failure)| *i == 0 || f.lost == lost;
        ctx.failures = ctx.failures.iter().enumerate().filter(kept).map(|(_, f)| f.clone()).collect();
    }
    let checks = check::swept(&ctx);
    let swept = sweep::glance(&ctx, &checks);
    let mut findings = swept_findings(&ctx, &checks, &swept);
    if of_loss {
        findings.retain(|f| f.state.is_none_or(|s| s.failure > 0));
    }
    let once: Vec<Vec<Finding>> = check::ONCE.par_iter().map(|c| c(&ctx)).collect();
    findings.extend(once.into_iter().flatten());
    findings.iter_mut().for_each(Finding::answer_yes_or_no);
    // States by their number in this short list of losses mean nothing to anybody else.
    findings.iter_mut().filter(|_| lost.is_some()).for_each(|f| f.state = None);
    sort(&mut findings);
    Ok(findings)
}

/// The findings of one check at nominal values, those that [`nominal`] has of it, without the rest.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn nominal_of(rig: &Rig, options: &Options<'_>, check: CheckId) -> Result<Vec<Finding>, Fault> {
    // These two look again at the worst states of others.
    if matches!(check, CheckId::Reserve | CheckId::SecondOrder) {
        let mut all = nominal(rig, options)?;
        all.retain(|f| f.check == check);
        return Ok(all);
    }
    all_numbers(rig)?;
    let ctx = Context::new(rig, options.build)?;
    let mut checks = check::swept(&ctx);
    checks.retain(|c| c.id() == check);
    let mut findings = Vec::new();
    if !checks.is_empty() {
        let swept = sweep::sweep(&ctx, &checks, options.resolution, &|_| {});
        findings.extend(swept_findings(&ctx, &checks, &swept));
    }
    if check == CheckId::Retention {
        findings.extend(retention::check(&ctx, None).findings);
    } else {
        let geometry = matches!(check, CheckId::Clearance | CheckId::Clash | CheckId::StrapLoad);
        let also = if geometry { check::GEOMETRY } else { &[] };
        findings.extend(
            check::ONCE
                .iter()
                .chain(check::INFORM)
                .chain(also)
                .flat_map(|c| c(&ctx))
                .filter(|f| f.check == check),
        );
    }
    findings.iter_mut().for_each(Finding::answer_yes_or_no);
    Ok(findings)
}

/// Checks a rig: every state at nominal values, then what is assumed over its range.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn check(rig: &Rig, options: &Options<'_>) -> Result<Verdict, Fault> {
    all_numbers(rig)?;
    let nominal = run(rig, options, &Look::All)?;
    let groups = vary::groups(rig);
    let vary_run = |changes: &[(&Group, End)]| -> Result<Run, Fault> {
        run(&vary::with(rig, changes), options, &Look::Known(&nominal))
    };
    let corner_run = |changes: &[(&Group, End)]| -> Result<Run, Fault> {
        run(&vary::with(rig, changes), options, &Look::Wide(&nominal))
    };
    let mut holds = missing(&nominal.findings);
    let mut varied = Vec::new();
    let mut runs = 0;
    let nominal_fails = fails(&nominal.findings);
    let mut guess_decides = false;
    if !groups.is_empty() {
        // One at a time, to show what each does and to name what decides.
        let singles = if nominal_fails { vary::good_sides(&groups) } else { vary::one_by_one(&groups) };
        let answers: Vec<Result<Run, Fault>> = singles.par_iter().map(|s| vary_run(&[*s])).collect();
        for ((group, end), answer) in singles.iter().zip(answers) {
            runs += 1;
            let value = if *end == End::Low { group.fact.low } else { group.fact.high };
            let (margin, which, failing) = match &answer {
                Ok(r) => {
                    let (m, c) = least(&r.findings);
                    (m, c, fails(&r.findings))
                }
                Err(_) => (0.0, CheckId::Stable, true),
            };
            varied.push(Varied {
                name: group.name.clone(),
                end: *end,
                value,
                kind: group.fact.kind,
                least: margin,
                check: which,
            });
            if failing != nominal_fails {
                guess_decides = true;
                let shown = quantity::both_kind(value, group.fact.kind);
                let why = if nominal_fails {
                    format!("at {shown} nothing would fail")
                } else {
                    format!("at {shown} {} would fail, margin {margin:.2}", which.row().title.to_lowercase())
                };
                push_hold(&mut holds, group, why);
            }
        }
        // Then all bad sides together: a GO must stand there too.
        if !nominal_fails && !guess_decides {
            let corners = vary::bad_corners(&groups);
            // One after the other: what the limit analysis answered for the first is known to the second.
            let answers: Vec<Result<Run, Fault>> = corners.iter().map(|c| corner_run(c)).collect();
            runs += answers.len();
            for answer in answers {
                let (margin, which, failing) = match &answer {
                    Ok(r) => {
                        let (m, c) = least(&r.findings);
                        (m, c, fails(&r.findings))
                    }
                    Err(_) => (0.0, CheckId::Stable, true),
                };
                if failing {
                    guess_decides = true;
                    // The values that pull the least margin down most are the ones to settle.
                    let base = least(&nominal.findings).0;
                    let mut pull: Vec<&Varied> = varied.iter().filter(|v| v.least < base * 0.98).collect();
                    pull.sort_by(|a, b| a.least.total_cmp(&b.least));
                    for v in pull.iter().take(4) {
                        if let Some(group) = groups.iter().find(|g| g.name == v.name) {
                            let why = format!(
                                "with every assumed value at its bad side {} would fail, margin {margin:.2}",
                                which.row().title.to_lowercase()
                            );
                            push_hold(&mut holds, group, why);
                        }
                    }
                    if pull.is_empty() {
                        for group in groups.iter().take(4) {
                            push_hold(
                                &mut holds,
                                group,
                                format!("all bad sides together give margin {margin:.2}"),
                            );
                        }
                    }
                }
            }
        }
    }
    // A run that was not ended is not one that fails.
    go_on(options)?;
    let answer = if nominal_fails && !guess_decides {
        Answer::NoGo
    } else if guess_decides || !holds.is_empty() {
        Answer::Hold
    } else {
        Answer::Go
    };
    let mut findings = nominal.findings;
    sort(&mut findings);
    Ok(Verdict {
        answer,
        findings,
        holds,
        varied,
        assumed: groups,
        states: nominal.states,
        runs,
        worst_residual: nominal.worst_residual,
    })
}

/// Least margin first; notes last.
pub(crate) fn sort(findings: &mut [Finding]) {
    findings
        .sort_by(|a, b| order(a).total_cmp(&order(b)).then(a.check.cmp(&b.check)).then(a.part.cmp(&b.part)));
}

fn order(f: &Finding) -> f64 {
    match (&f.outcome, f.margin) {
        (Outcome::NotChecked(_), _) => -1.0,
        (Outcome::Note, _) => f64::MAX,
        (_, Some(m)) if m.is_finite() => check::coarse(m),
        _ => 1e12,
    }
}

fn missing(findings: &[Finding]) -> Vec<Hold> {
    let mut out: Vec<Hold> = Vec::new();
    for f in findings {
        if let Outcome::NotChecked(need) = &f.outcome
            && !out.iter().any(|h| h.key == need.key && h.what == need.what)
        {
            out.push(Hold {
                what: need.what.clone(),
                why: format!("{} could not be checked", f.check.row().name),
                key: need.key.clone(),
                settle: need.settle.clone(),
            });
        }
    }
    out
}

fn push_hold(holds: &mut Vec<Hold>, group: &Group, why: String) {
    if holds.iter().any(|h| h.key == group.name) {
        return;
    }
    let f = &group.fact;
    holds.push(Hold {
        what: format!(
            "{} is assumed {}, somewhere from {} to {}",
            group.name,
            quantity::both_kind(f.value, f.kind),
            quantity::both_kind(f.low, f.kind),
            quantity::both_kind(f.high, f.kind)
        ),
        why,
        key: group.name.clone(),
        settle: if f.settle.is_empty() {
            "measure it and state it in the rig file".to_owned()
        } else {
            f.settle.clone()
        },
    });
}
