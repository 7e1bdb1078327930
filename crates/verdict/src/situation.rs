//! One situation that a person picks: what the car does, where the boom points, what is let go.

use crate::check;
use crate::context::Context;
use crate::fault::Fault;
use crate::finding::Finding;
use crate::parts::PartRef;
use crate::state::StateId;
use crate::structure::BuildOptions;
use crate::sweep;
use crate::verdict::{all_numbers, sort, swept_findings};
use mechanics::arm::Pose;
use rig::model::{ArmUse, Rig};

/// What is picked.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Situation {
    /// Index into [`Rig::manoeuvres`]; none: each of them.
    pub manoeuvre: Option<usize>,
    /// Where the boom points; none: as it is parked. A manoeuvre that wants it parked has it so.
    pub pose: Option<Pose>,
    /// The cup or strap that is let go; none: nothing is.
    pub lost: Option<PartRef>,
}

impl Situation {
    /// All its states: every instant of what the car does (road up and down, gusts), every motion that the arm may make then.
    /// Empty where the rig has no such manoeuvre, or nothing of the kind to let go.
    pub fn states(&self, ctx: &Context<'_>) -> Vec<StateId> {
        let failure = match self.lost {
            None => Some(0),
            Some(_) => ctx.failures.iter().position(|f| f.lost == self.lost),
        };
        let Some(failure) = failure else { return Vec::new() };
        let drives = ctx.actions.drives.iter().enumerate();
        let drives = drives.filter(|(_, d)| self.manoeuvre.is_none_or(|m| m == d.manoeuvre));
        let state = |drive: usize, motion: usize| {
            let parked = ctx.arm_use(drive) == ArmUse::Parked;
            let pose = self.pose.filter(|_| !parked).unwrap_or_else(|| ctx.parked());
            StateId { failure, drive, motion, pose }
        };
        drives.flat_map(|(drive, _)| (0..ctx.motions(drive)).map(move |m| state(drive, m))).collect()
    }
}

/// The margins of every check of states in one situation, least first: nominal values, the linear answer, as the sweep has them.
/// No answer hangs on it: [`crate::verdict::check`] looks at every situation.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn margins(rig: &Rig, build: BuildOptions, situation: &Situation) -> Result<Vec<Finding>, Fault> {
    all_numbers(rig)?;
    let ctx = Context::new(rig, build)?;
    let checks = check::swept(&ctx);
    let found = sweep::at_states(&ctx, &checks, &situation.states(&ctx));
    let mut findings = swept_findings(&ctx, &checks, &found);
    findings.iter_mut().for_each(Finding::answer_yes_or_no);
    sort(&mut findings);
    Ok(findings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, rig};
    use crate::verdict::{Options, nominal};

    fn of(rig: &Rig, situation: &Situation) -> Vec<Finding> {
        margins(rig, BuildOptions::default(), situation).unwrap()
    }

    #[test]
    fn no_situation_is_worse_than_the_verdict_and_its_worst_one_is_as_bad() {
        let rig = rig();
        let verdict = nominal(&rig, &Options::default()).unwrap();
        let ctx = context(&rig);
        let mut found = 0;
        for f in verdict.iter().filter(|f| f.margin.is_some()) {
            let Some(state) = f.state else { continue };
            let lost = ctx.failures[state.failure].lost;
            let manoeuvre = Some(ctx.actions.drives[state.drive].manoeuvre);
            let here = of(&rig, &Situation { manoeuvre, pose: Some(state.pose), lost });
            let one = here.iter().find(|h| {
                h.check == f.check && h.part == f.part && h.state.is_some_and(|s| s.failure == state.failure)
            });
            // Some are of no single state: they are worked out from the worst ones.
            let Some(one) = one else { continue };
            let (here, there) = (one.margin.unwrap(), f.margin.unwrap());
            let same = here.to_bits() == there.to_bits() || (here / there - 1.0).abs() < 1e-9;
            assert!(same, "{:?} of {:?}: {here} and {there}", f.check, f.part);
            found += 1;
        }
        assert!(found > 10, "{found}");
        for pan in [-2.0, 0.0, 1.0] {
            let pose = Some(Pose { pan_rad: pan, elevation_rad: 0.1 });
            for h in of(&rig, &Situation { pose, ..Situation::default() }) {
                let all =
                    verdict.iter().filter(|f| f.check == h.check && f.part == h.part && f.margin.is_some());
                let least = all.filter_map(|f| f.margin).fold(f64::INFINITY, f64::min);
                // The sweep's poses are 5 degrees apart, then closed in on: another pose may be a little worse.
                assert!(
                    h.margin.is_none_or(|m| m >= least * 0.97),
                    "{:?} of {:?}: {:?} under {least}",
                    h.check,
                    h.part,
                    h.margin
                );
            }
        }
    }

    #[test]
    fn what_is_picked_is_what_is_looked_at() {
        let mut rig = rig();
        rig.manoeuvres[0].arm = ArmUse::Parked;
        let ctx = context(&rig);
        let pose = Pose { pan_rad: 1.0, elevation_rad: 0.2 };
        let all = Situation { pose: Some(pose), ..Situation::default() }.states(&ctx);
        for state in &all {
            let parked = ctx.actions.drives[state.drive].manoeuvre == 0;
            assert_eq!(state.pose, if parked { ctx.parked() } else { pose });
            assert_eq!(state.failure, 0);
        }
        let each = (0..rig.manoeuvres.len())
            .map(|m| Situation { manoeuvre: Some(m), pose: Some(pose), lost: None }.states(&ctx).len());
        assert_eq!(each.sum::<usize>(), all.len());
        let lost = Some(PartRef::Cup(1));
        let one = Situation { manoeuvre: Some(0), pose: None, lost }.states(&ctx);
        assert!(!one.is_empty() && one.iter().all(|s| ctx.failures[s.failure].lost == lost));
        // What is not there has no states.
        assert!(Situation { manoeuvre: Some(99), ..Situation::default() }.states(&ctx).is_empty());
        assert!(Situation { lost: Some(PartRef::Cup(99)), ..Situation::default() }.states(&ctx).is_empty());
    }
}
