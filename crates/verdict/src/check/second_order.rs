//! Whether the sum with small movements stands: how far the rig is from buckling in its worst states.

use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use crate::responses::mast_node;
use crate::state::StateId;
use core::f64::consts::PI;
use glam::DVec3;
use mechanics::frame::{Critical, Factored, Frame, Load, SolveError, Stress};
use quantity::Kind;
use rayon::prelude::*;
use rig::policy::CheckId;

/// A member whose own Euler load between pins is under this many times its push is cut in two, so that its bow shows; a
/// clamped one buckles at four times that, so the answer under 10 is never missed: 25 leaves some room.
const OWN_BOW: f64 = 25.0;
/// States solved besides, each the one least like the shapes so far: a boom that points elsewhere tips the rig elsewhere.
const UNLIKE: usize = 64;
/// States solved at most in one failure: all of them, on a rig of usual size.
const ROUNDS: usize = 64;

/// The worst state of one failure.
struct Worst {
    state: StateId,
    /// `alpha_cr`; infinite where the forces only stiffen the rig.
    factor: f64,
    /// What moves most as it buckles.
    moves: Option<PartRef>,
    /// Share of the work in the cups, from 0 to 1.
    on_cups: f64,
    /// The member with the least Euler load for its push.
    pressed: Option<Pressed>,
}

/// A pressed member by itself.
struct Pressed {
    part: Option<PartRef>,
    length_m: f64,
    /// `E I`, N m².
    bending_nm2: f64,
    push_n: f64,
}

impl Pressed {
    fn euler_n(&self) -> f64 {
        PI * PI * self.bending_nm2 / (self.length_m * self.length_m)
    }
}

/// Findings and the states behind them.
#[derive(Clone)]
pub struct Answer {
    /// One with everything in place, one with a part lost.
    pub findings: Vec<Finding>,
    /// Their states: what to look at again when a value is varied.
    pub worst: Vec<StateId>,
}

/// Some worst states, and for a loss that is worst for nothing else those with nothing lost, with the part lost in them: no loss
/// is left unseen.
pub fn of_every_loss(ctx: &Context<'_>, mut states: Vec<StateId>) -> Vec<StateId> {
    let whole: Vec<StateId> = states.iter().filter(|s| s.failure == 0).copied().collect();
    for failure in 1..ctx.failures.len() {
        if !states.iter().any(|s| s.failure == failure) {
            states.extend(whole.iter().map(|s| StateId { failure, ..*s }));
        }
    }
    states
}

/// How far the rig is from buckling in the worst of some states.
pub fn check(ctx: &Context<'_>, states: &[StateId]) -> Answer {
    let factors = ctx.rig.policy.factors(CheckId::SecondOrder);
    let found: Vec<Result<Option<Worst>, SolveError>> = (0..ctx.failures.len())
        .into_par_iter()
        .map(|failure| {
            let states: Vec<StateId> = states.iter().filter(|s| s.failure == failure).copied().collect();
            worst_of(ctx, failure, &states, &ctx.loads)
        })
        .collect();
    let mut out = Answer { findings: Vec::new(), worst: Vec::new() };
    let mut found = found.into_iter();
    let intact: Vec<_> = found.by_ref().take(1).collect();
    for (found, factor) in [(intact, factors.intact), (found.collect(), factors.lost)] {
        let mut least: Option<Worst> = None;
        for answer in found {
            match answer {
                Ok(Some(w)) if least.as_ref().is_none_or(|l| w.factor < l.factor) => least = Some(w),
                Ok(_) | Err(SolveError::Mechanism(_)) => {} // What moves freely is the stability check's to say.
                Err(e) => out.findings.push(
                    Finding::of(CheckId::SecondOrder, PartRef::Rig, Kind::Number, factor, 1.0, 0.0)
                        .when(format!("how far the rig is from buckling is not known: {e}")),
                ),
            }
        }
        if let Some(w) = least {
            out.worst.push(w.state);
            out.findings.push(finding(ctx, &w, factor));
        }
    }
    out
}

fn finding(ctx: &Context<'_>, w: &Worst, factor: f64) -> Finding {
    let (demand, capacity) = if w.factor.is_finite() { (1.0, w.factor) } else { (0.0, 1.0) };
    let state = w.state.words(ctx);
    let words = if w.factor.is_infinite() {
        format!("{state}: the forces only stiffen the rig")
    } else if w.factor >= factor {
        format!(
            "{state}: everything at once would have to grow {:.0} times before the rig {}; {factor:.0} times are asked, so that \
             sums with small movements stand",
            w.factor,
            way(ctx, w).0
        )
    } else {
        format!(
            "{state}: {:.1} times all this and the rig {}; under {factor:.0} times the sums with small movements do not stand: {}",
            w.factor,
            way(ctx, w).0,
            way(ctx, w).1
        )
    };
    let mut f = Finding::of(CheckId::SecondOrder, PartRef::Rig, Kind::Number, factor, demand, capacity)
        .when(words)
        .hand(hand(ctx, w));
    f.state = Some(w.state);
    f
}

/// How the rig goes, and what helps against it.
fn way(ctx: &Context<'_>, w: &Worst) -> (String, &'static str) {
    if w.on_cups > 0.5 {
        return ("tips over on its cups".to_owned(), "spread the cups, add one, or bring the weight lower");
    }
    let most = w.moves.map_or_else(String::new, |p| format!(", {} most", p.name(ctx.rig)));
    (format!("buckles{most}"), "shorten what moves, brace it or take stiffer tube")
}

fn hand(ctx: &Context<'_>, w: &Worst) -> HandCheck {
    let mut steps = Vec::new();
    if let Some(p) = &w.pressed {
        let name = p.part.map_or_else(|| "member".to_owned(), |p| p.name(ctx.rig));
        steps.extend([
            Step::new(
                "N",
                format!("push in the piece of {name} that is pressed most for its length"),
                p.push_n,
                Kind::Force,
            ),
            Step::new("L", "its length between what holds it", p.length_m, Kind::Length),
            Step::new(
                "P_E",
                format!("pi² E I / L², E I = {:.0} N m²", p.bending_nm2),
                p.euler_n(),
                Kind::Force,
            ),
            Step::new("P_E/N", "that piece alone, between pins", p.euler_n() / p.push_n, Kind::Number),
        ]);
    }
    if w.factor.is_finite() {
        let grows = 1.0 / (1.0 - 1.0 / w.factor) - 1.0;
        let share = 100.0 * w.on_cups;
        steps.push(Step::new(
            "alpha_cr",
            format!("the whole rig, which then {}; {share:.0} % of the give is in the cups", way(ctx, w).0),
            w.factor,
            Kind::Number,
        ));
        if w.factor > 1.0 {
            steps.push(Step::new(
                "1/(1-1/alpha_cr) - 1",
                "what the sums leave out at most, as a share",
                grows,
                Kind::Number,
            ));
        }
    }
    HandCheck {
        formula: "alpha_cr = least factor on all forces with det(K + alpha Kg) = 0;  first order stands from 10 on",
        source: "EN 1993-1-1:2005, 5.2.1(3) [from memory]; mechanics.md §4.19",
        steps,
    }
}

/// What loads the frame in a state.
struct Action {
    /// The basis actions.
    u: Vec<f64>,
    /// Force of the arm on its platform's node, and where it really acts.
    arm: Option<(usize, DVec3, DVec3)>,
}

impl Action {
    fn of(ctx: &Context<'_>, state: &StateId) -> Self {
        let (u, actions) = ctx.action_of(state);
        let node = mast_node(ctx.rig, &ctx.structure);
        let arm = ctx.arm.as_ref().zip(ctx.rig.arm.as_ref()).zip(node).map(|((model, arm), node)| {
            let centre = model.chain.mass_centre_m(state.pose).unwrap_or(DVec3::NAN);
            let [x, y, z, ..] = actions.wrench;
            (node, DVec3::new(x, y, z), arm.base + centre)
        });
        Self { u, arm }
    }
}

/// The frame of a failure, and the forces of its basis actions.
struct Loaded<'a, 'f> {
    factored: &'a Factored<'f>,
    basis: Vec<Stress>,
}

impl Loaded<'_, '_> {
    /// What the arm's force adds by acting where it is and not at its node.
    fn tip(&self, action: &Action) -> Stress {
        let mut s = Stress::default();
        if let Some((node, force, at)) = action.arm {
            s.carry(self.factored, node, force, at);
        }
        s
    }

    fn stress(&self, action: &Action) -> Stress {
        let mut s = Stress::sum(&self.basis, &action.u);
        s.add(&self.tip(action), 1.0);
        s
    }

    /// For each action a bound from above on its factor, by one shape: the work of the basis, summed.
    fn bounds(&self, shape: &Critical, actions: &[Action]) -> Vec<f64> {
        let works: Vec<f64> = self.basis.iter().map(|s| self.factored.shape_work(shape, s)).collect();
        let of = |a: &Action| {
            let basis: f64 = works.iter().zip(&a.u).map(|(w, u)| w * u).sum();
            let work = -(basis + self.factored.shape_work(shape, &self.tip(a)));
            // A lost number is looked at: solving it says so.
            if work.is_nan() {
                0.0
            } else if work > 0.0 {
                1.0 / work
            } else {
                f64::INFINITY
            }
        };
        actions.iter().map(of).collect()
    }

    /// Tension in each member, N.
    fn axial_n(&self, action: &Action, members: usize) -> Vec<f64> {
        let mut sum = vec![0.0; members];
        for (s, u) in self.basis.iter().zip(&action.u) {
            for (a, b) in sum.iter_mut().zip(&s.axial_n) {
                *a += u * b;
            }
        }
        sum
    }
}

/// The state of a failure that buckles first; none without states.
fn worst_of(
    ctx: &Context<'_>,
    failure: usize,
    states: &[StateId],
    loads: &[Load],
) -> Result<Option<Worst>, SolveError> {
    let Some(lost) = ctx.failures.get(failure).filter(|_| !states.is_empty()).map(|f| f.lost) else {
        return Ok(None);
    };
    let gone: Vec<_> = lost.and_then(|p| ctx.structure.lost(p)).into_iter().collect();
    let frame = ctx.structure.frame_without(&gone);
    let factored = frame.factor(&gone)?;
    let whole = Loaded { factored: &factored, basis: factored.solve(loads)?.stresses() };
    let actions: Vec<Action> = states.iter().map(|s| Action::of(ctx, s)).collect();
    let axial: Vec<Vec<f64>> = actions.iter().map(|a| whole.axial_n(a, frame.members.len())).collect();
    let bowing = bowing(&frame, &axial);
    let start = most_pressed(&axial);
    let (at, found, on_cups) = if bowing.is_empty() {
        let (at, found) = search(&whole, &actions, start)?;
        let on_cups = found.as_ref().map_or(0.0, |c| factored.support_share(c));
        (at, found, on_cups)
    } else {
        let split = frame.split(&bowing);
        let factored = split.frame.factor(&gone)?;
        let loads: Vec<Load> = loads.iter().map(|l| split.load(l)).collect();
        let cut = Loaded { factored: &factored, basis: factored.solve(&loads)?.stresses() };
        let (at, found) = search(&cut, &actions, start)?;
        let on_cups = found.as_ref().map_or(0.0, |c| factored.support_share(c));
        (at, found, on_cups)
    };
    let moves = found.as_ref().and_then(|c| {
        let owners = ctx.structure.owner.iter().zip(&c.shape).filter(|(p, _)| Some(**p) != lost);
        owners.max_by(|a, b| a.1.length().total_cmp(&b.1.length())).map(|(p, _)| *p)
    });
    Ok(Some(Worst {
        state: states[at],
        factor: found.map_or(f64::INFINITY, |c| c.factor),
        moves,
        on_cups,
        pressed: pressed(ctx, &frame, &axial[at]),
    }))
}

/// Index of the state with the largest sum of pushes: where the search begins.
fn most_pressed(axial: &[Vec<f64>]) -> usize {
    let push = |a: &Vec<f64>| a.iter().map(|n| (-n).max(0.0)).sum::<f64>();
    let each = axial.iter().map(push).enumerate();
    each.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(0, |(k, _)| k)
}

/// Members that may bow between their nodes before the rig buckles.
fn bowing(frame: &Frame, axial: &[Vec<f64>]) -> Vec<usize> {
    (0..frame.members.len())
        .filter(|m| {
            let push = axial.iter().map(|a| -a[*m]).fold(0.0, f64::max);
            euler_n(frame, *m) < OWN_BOW * push
        })
        .collect()
}

fn bending_nm2(frame: &Frame, member: usize) -> f64 {
    let b = &frame.members[member].beam;
    b.e_pa * b.iy_m4.min(b.iz_m4)
}

fn euler_n(frame: &Frame, member: usize) -> f64 {
    PI * PI * bending_nm2(frame, member) / frame.member_length(member).powi(2)
}

/// The member whose own Euler load is least for its push.
fn pressed(ctx: &Context<'_>, frame: &Frame, axial: &[f64]) -> Option<Pressed> {
    let ratio = |m: usize| euler_n(frame, m) / -axial[m];
    (0..frame.members.len()).filter(|m| axial[*m] < 0.0).min_by(|a, b| ratio(*a).total_cmp(&ratio(*b))).map(
        |m| Pressed {
            part: ctx.structure.owner.get(frame.members[m].i).copied(),
            length_m: frame.member_length(m),
            bending_nm2: bending_nm2(frame, m),
            push_n: -axial[m],
        },
    )
}

/// Solves one state, and goes on with the one that the shapes so far bound lowest, until none is under the least;
/// then with some that are least like them, of which most are shown to stand at the least without being solved.
fn search(
    l: &Loaded<'_, '_>,
    actions: &[Action],
    start: usize,
) -> Result<(usize, Option<Critical>), SolveError> {
    let mut looked = vec![false; actions.len()];
    let mut bounds = vec![f64::INFINITY; actions.len()];
    let mut unlike = 0;
    let (mut next, mut best): (usize, Option<(usize, Critical)>) = (start, None);
    for _ in 0..ROUNDS {
        looked[next] = true;
        let stress = l.stress(&actions[next]);
        let stands = match &best {
            Some((_, c)) if bounds[next] >= c.factor => l.factored.stands(&stress, c.factor)?,
            _ => false,
        };
        if !stands && let Some(c) = l.factored.critical(&stress)? {
            for (old, new) in bounds.iter_mut().zip(l.bounds(&c, actions)) {
                *old = old.min(new);
            }
            if best.as_ref().is_none_or(|(_, b)| c.factor < b.factor) {
                best = Some((next, c));
            }
        }
        let rest = || (0..actions.len()).filter(|k| !looked[*k]);
        let Some(lowest) = rest().min_by(|a, b| bounds[*a].total_cmp(&bounds[*b])) else { break };
        next = lowest;
        if best.as_ref().is_some_and(|(_, c)| bounds[lowest] >= c.factor) {
            if unlike == UNLIKE {
                break;
            }
            unlike += 1;
            next = rest().max_by(|a, b| bounds[*a].total_cmp(&bounds[*b])).unwrap_or(lowest);
        }
    }
    Ok(best.map_or((start, None), |(k, c)| (k, Some(c))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check;
    use crate::context::Resolution;
    use crate::finding::Outcome;
    use crate::sweep;
    use crate::testing::{context, fact, rig, tube_section};
    use rig::model::Rig;

    /// The worst states of the other checks.
    fn pool(ctx: &Context<'_>) -> Vec<StateId> {
        sweep::pool(&sweep::sweep(ctx, &check::swept(ctx), Resolution::wide(), &|_| {}).pairs)
    }

    /// The rig on four upright legs of its own section, its platform and arm `rise` higher.
    fn on_legs(outer: f64, wall: f64, rise: f64) -> Rig {
        let mut rig = rig();
        for leg in &mut rig.legs {
            leg.section = Some(tube_section(outer, wall));
            leg.top.z += rise;
        }
        rig.platforms[0].at.z += rise;
        if let Some(arm) = &mut rig.arm {
            arm.base.z += rise;
        }
        rig
    }

    fn factors(rig: &Rig) -> Vec<f64> {
        let ctx = context(rig);
        let found = check(&ctx, &pool(&ctx)).findings;
        assert_eq!(found.len(), 2);
        found.iter().map(|f| f.capacity).collect()
    }

    #[test]
    fn a_mast_on_thin_legs_is_refused_and_on_stiff_ones_it_stands() {
        let stiff = on_legs(0.0483, 0.004, 0.3);
        let ctx = context(&stiff);
        for f in check(&ctx, &pool(&ctx)).findings {
            assert_eq!(f.outcome, Outcome::Holds, "{}", f.situation);
            assert!(f.situation.contains("are asked"), "{}", f.situation);
            assert!(f.situation.contains("tips over on its cups"), "{}", f.situation);
            assert!(f.hand.steps.iter().any(|s| s.symbol == "alpha_cr"));
        }
        let thin = on_legs(0.012, 0.001, 0.8);
        let ctx = context(&thin);
        for f in check(&ctx, &pool(&ctx)).findings {
            assert_eq!(f.outcome, Outcome::Fails, "{}", f.situation);
            assert!(f.situation.contains("do not stand"), "{}", f.situation);
            assert!(f.situation.contains("the rig buckles"), "{}", f.situation);
        }
    }

    #[test]
    fn the_least_of_a_sway_frame_is_that_of_its_legs_by_hand() {
        // Weight alone, no arm, straps or sideways give below: four clamped legs sway as one, P_cr = 4 x pi² E I / L².
        let mut rig = on_legs(0.012, 0.001, 0.8);
        (rig.arm, rig.straps) = (None, Vec::new());
        for t in &mut rig.tubes {
            (t.section.material.e_pa, t.section.material.g_pa) = (70e13, 26e13);
        }
        for c in &mut rig.cups {
            (c.shear, c.rocking, c.axial, c.torsional) = (fact(1e9), fact(1e8), fact(1e9), fact(1e8));
        }
        (rig.panels[0].rocking, rig.panels[0].stiffness) = (fact(1e9), fact(1e9));
        rig.platforms[0].mass = fact(60.0);
        rig.manoeuvres.truncate(1);
        let ctx = context(&rig);
        let found = check(&ctx, &pool(&ctx)).findings;
        let leg = &rig.legs[0];
        let section = leg.section.as_ref().unwrap();
        let foot = ctx.structure.frame.nodes
            [ctx.structure.jaws.iter().find(|j| matches!(j.part, PartRef::Leg(0))).unwrap().node];
        let l = (leg.top - foot).length();
        let beam = crate::structure::beam_of(section, crate::structure::BuildOptions::default()).unwrap();
        // Platform and half of the legs, 0.5 kg each.
        let weight = (60.0 + 4.0 * 0.5 / 2.0) * 9.806_65;
        let hand = 4.0 * PI * PI * beam.e_pa * beam.iy_m4 / (l * l) / weight;
        // A leg cut in two sways 0.75 % too stiff, uncut 1.3 %; what holds it gives 0.2 %.
        assert!((found[0].capacity / hand - 1.0).abs() < 0.008, "{} {hand}", found[0].capacity);
    }

    #[test]
    fn the_search_finds_the_least_of_all_states() {
        let rig = on_legs(0.025, 0.002, 0.5);
        let ctx = context(&rig);
        let states: Vec<StateId> = pool(&ctx).into_iter().filter(|s| s.failure == 0).collect();
        let factored = ctx.structure.frame.factor(&[]).unwrap();
        let l = Loaded { factored: &factored, basis: factored.solve(&ctx.loads).unwrap().stresses() };
        let actions: Vec<Action> = states.iter().map(|s| Action::of(&ctx, s)).collect();
        assert!(states.len() > 10);
        let each: Vec<f64> = actions
            .iter()
            .map(|a| factored.critical(&l.stress(a)).unwrap().map_or(f64::INFINITY, |c| c.factor))
            .collect();
        let least = each.iter().copied().fold(f64::INFINITY, f64::min);
        // From whichever state it begins.
        for start in 0..actions.len() {
            let (at, found) = search(&l, &actions, start).unwrap();
            let found = found.unwrap().factor;
            assert!((found / least - 1.0).abs() < 1e-9, "{start}: {found} {least}");
            assert!((each[at] / least - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn the_worst_loss_is_the_one_told() {
        let rig = on_legs(0.025, 0.002, 0.5);
        let ctx = context(&rig);
        let states = of_every_loss(&ctx, pool(&ctx));
        let found = check(&ctx, &states);
        let each: Vec<f64> = (0..ctx.failures.len())
            .filter_map(|failure| {
                let of: Vec<StateId> = states.iter().filter(|s| s.failure == failure).copied().collect();
                worst_of(&ctx, failure, &of, &ctx.loads).unwrap().map(|w| w.factor)
            })
            .collect();
        assert_eq!(each.len(), ctx.failures.len());
        let least = each[1..].iter().copied().fold(f64::INFINITY, f64::min);
        let most = each[1..].iter().copied().fold(0.0, f64::max);
        assert!(most > 1.01 * least && least < each[0]);
        let near = |f: &Finding, alpha: f64, share: f64| (f.capacity / alpha - 1.0).abs() < share;
        assert!(near(&found.findings[0], each[0], 1e-12) && near(&found.findings[1], least, 1e-12));
        // Looked at again alone, its states give the same but for which members are cut: under 1.3 %.
        let again = check(&ctx, &found.worst);
        assert!(near(&again.findings[1], least, 0.013));
    }

    #[test]
    fn straps_press_and_the_arm_tips() {
        // A strap over the platform pulled tighter brings the rig nearer to buckling, and so does the same arm on a higher mast.
        let mut rig = on_legs(0.02, 0.0015, 0.6);
        let before = factors(&rig)[0];
        if let Some(arm) = &mut rig.arm {
            arm.pivot_height += 0.8;
        }
        let higher = factors(&rig)[0];
        assert!(higher < 0.98 * before, "{higher} {before}");
        let mut strapped = on_legs(0.02, 0.0015, 0.6);
        let top = strapped.platforms[0].at;
        let path = &mut strapped.straps[0].path;
        path[0] = rig::model::PathPoint { at: top, on: rig::model::Hold::Platform(0) };
        path.truncate(2);
        path[1].at = DVec3::new(top.x, top.y, top.z - 1.5 * (top.z - 1.37));
        let alpha = |t: f64| {
            let mut rig = strapped.clone();
            rig.straps[0].pretension = fact(t);
            factors(&rig)[0]
        };
        let (loose, tight) = (alpha(50.0), alpha(2000.0));
        assert!(tight < 0.75 * loose, "{loose} {tight}");
    }
}
