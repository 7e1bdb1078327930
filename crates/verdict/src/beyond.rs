//! Past the linear answer: what the cups carry in a state in which some lift or slide.
//!
//! The linear answer lets a cup pull and rub without limit. Where it asks for more than a cup has, this works out what the
//! rig does instead: cups let go of what is over their limit and the others take it, until all is within its limits or the
//! rig lets go. It informs and decides nothing: margins stay those of the linear answer, which is never the more
//! optimistic of the two (`tests/screen.rs`). Derived in `docs/mechanics.md` §6.4 to §6.6.

use crate::check::cups;
use crate::context::Context;
use crate::finding::{Finding, Need};
use crate::parts::PartRef;
use crate::state::StateId;
use core::fmt;
use mechanics::cup::slip::RING_SHARE;
use mechanics::limit::{Cup, Friction, Held, Influence, InfluenceError, LimitError, Settled, Settling};
use quantity::Kind;
use rig::model::StrapKind;
use rig::policy::CheckId;
use std::collections::BTreeMap;

/// Why a state cannot be worked out with contact.
#[derive(Clone, Debug, PartialEq)]
pub enum BeyondError {
    /// A fact of a cup is missing.
    Missing(Need),
    /// The structure has no answer.
    Structure(InfluenceError),
    /// A number is out of range.
    Number(LimitError),
    /// There is no such failure, or it has no responses.
    NoResponses,
}

impl fmt::Display for BeyondError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(need) => write!(f, "{} is missing", need.what),
            Self::Structure(e) => e.fmt(f),
            Self::Number(e) => e.fmt(f),
            Self::NoResponses => write!(f, "the rig without that part has no responses"),
        }
    }
}

impl core::error::Error for BeyondError {}

impl From<LimitError> for BeyondError {
    fn from(e: LimitError) -> Self {
        Self::Number(e)
    }
}

/// Cups and straps of the rig with one part lost or none, ready for any state of it.
#[derive(Clone, Debug)]
pub struct Contacts {
    failure: usize,
    settling: Settling,
}

/// What a state comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Beyond {
    /// With all vacuum in place: a cup whose edge opens keeps its pull.
    pub with_vacuum: Settled,
    /// Cups whose seals open, in the order in which they go: air gets in, so their vacuum counts as gone.
    pub leaking: Vec<usize>,
    /// With the vacuum of those gone and every cup within its limits; the same as before where none opens.
    pub after_leak: Settled,
}

impl Contacts {
    /// Of one failure of a rig: works out how the forces change when a cup or strap gives.
    ///
    /// # Errors
    ///
    /// [`BeyondError`] where a cup's vacuum is not known or the structure has no answer.
    pub fn of(ctx: &Context<'_>, failure: usize) -> Result<Self, BeyondError> {
        let lost = ctx.failures.get(failure).ok_or(BeyondError::NoResponses)?.lost;
        let gone: Vec<_> = lost.and_then(|p| ctx.structure.lost(p)).into_iter().collect();
        let frame = ctx.structure.frame_without(&gone);
        let influence = Influence::of(&frame, &gone).map_err(BeyondError::Structure)?;
        let mut contacts = Vec::with_capacity(ctx.rig.cups.len());
        for c in 0..ctx.rig.cups.len() {
            if lost == Some(PartRef::Cup(c)) {
                contacts.push(None);
                continue;
            }
            let f = cups::facts(ctx, c).map_err(BeyondError::Missing)?;
            let friction = Friction::new(f.friction * RING_SHARE, f.core, f.torsion_radius)?;
            contacts.push(Some(Cup { friction, vacuum_n: f.vacuum_force }));
        }
        let straps = ctx
            .rig
            .straps
            .iter()
            .enumerate()
            .filter(|(i, _)| ctx.structure.strand_of.get(*i).copied().flatten().is_some())
            .map(|(i, s)| (lost != Some(PartRef::Strap(i))).then_some(s.capacity.value))
            .collect();
        Ok(Self { failure, settling: Settling::new(&influence, contacts, straps)? })
    }

    /// What a state of this failure comes to.
    ///
    /// # Errors
    ///
    /// [`BeyondError`] if the state is of another failure, or its linear answer is lost.
    pub fn state(&self, ctx: &Context<'_>, state: &StateId) -> Result<Beyond, BeyondError> {
        if state.failure != self.failure {
            return Err(BeyondError::NoResponses);
        }
        let linear = linear(ctx, state).ok_or(BeyondError::NoResponses)?;
        let with_vacuum = self.settling.settle(&linear)?;
        let mut after_leak = with_vacuum.clone();
        let mut leaking: Vec<usize> = Vec::new();
        while let Settled::Held(h) = &after_leak {
            let opens = |(c, cup): (usize, &Option<mechanics::limit::CupState>)| {
                (cup.is_some_and(|s| s.lifts) && !leaking.contains(&c)).then_some(c)
            };
            let more: Vec<usize> = h.cups.iter().enumerate().filter_map(opens).collect();
            if more.is_empty() {
                break;
            }
            leaking.extend(more);
            after_leak = self.settling.without_vacuum(&leaking).settle(&linear)?;
        }
        Ok(Beyond { with_vacuum, leaking, after_leak })
    }
}

/// Forces of cups and strands in a state if nothing gave: straps pull and push.
fn linear(ctx: &Context<'_>, state: &StateId) -> Option<Vec<f64>> {
    let r = ctx.failures.get(state.failure)?.responses.as_ref().ok()?;
    let (mut u, _) = ctx.action_of(state);
    // What slack straps needed is taken out again: slack is part of the answer here.
    for (strand, taken_up) in ctx.taken_up.iter().enumerate() {
        *u.get_mut(ctx.columns.strand(strand))? = *taken_up;
    }
    let force = |row: usize| r.row(row).iter().zip(&u).map(|(a, b)| a * b).sum::<f64>();
    let mut out: Vec<f64> = ctx.layout.cup.iter().flat_map(|row| (*row..row + 6).map(force)).collect();
    out.extend(ctx.layout.strap.iter().flatten().map(|row| force(*row)));
    Some(out)
}

/// What one state comes to; for many states of one failure make [`Contacts`] once.
///
/// # Errors
///
/// As [`Contacts::of`] and [`Contacts::state`].
pub fn beyond(ctx: &Context<'_>, state: &StateId) -> Result<Beyond, BeyondError> {
    Contacts::of(ctx, state.failure)?.state(ctx, state)
}

impl Beyond {
    /// Whether the rig holds: with the vacuum of opened cups gone, and with sliding along the panel.
    pub fn holds(&self) -> bool {
        matches!(&self.after_leak, Settled::Held(h) if h.level)
    }

    /// The same in words.
    pub fn words(&self, ctx: &Context<'_>) -> String {
        let names = |which: &[usize]| -> String {
            let tags: Vec<&str> =
                which.iter().filter_map(|c| ctx.rig.cups.get(*c)).map(|c| c.tag.as_str()).collect();
            listed(&tags)
        };
        let one = self.leaking.len() == 1;
        let first = if self.leaking.is_empty() {
            String::new()
        } else {
            let (lift, their) = if one { ("lifts and leaks", "its") } else { ("lift and leak", "their") };
            format!("{} {lift}; with {their} vacuum gone ", names(&self.leaking))
        };
        let then = match &self.after_leak {
            Settled::Held(h) => self.shared_out(ctx, h),
            Settled::LetsGo => {
                let tether = ctx.rig.straps.iter().any(|s| s.kind == StrapKind::Tether);
                let but = if tether { " onto its tethers" } else { "" };
                format!("no forces of cups and straps hold the rig: it lets go{but}")
            }
            Settled::NotSolved { status } => {
                format!("there is no answer ({status}), which counts as not held")
            }
        };
        format!("{first}{then}. The margin stays that of the linear answer, the safer one")
    }

    fn shared_out(&self, ctx: &Context<'_>, h: &Held) -> String {
        let mut said = Vec::new();
        let mut most: Option<(usize, f64)> = None;
        for (c, cup) in h.cups.iter().enumerate() {
            let Some(cup) = cup else { continue };
            let open = self.leaking.contains(&c);
            let radius = cups::facts(ctx, c).map_or(0.0, |f| f.torsion_radius);
            if cup.slides && !open {
                let way = cup.movement[0].hypot(cup.movement[1]).hypot(cup.movement[5] * radius);
                let tag = ctx.rig.cups.get(c).map_or("", |c| c.tag.as_str());
                said.push(format!("{tag} slides {}", quantity::both_kind(way, Kind::Length)));
            }
            if !cup.slides && !open && most.is_none_or(|m| cup.utilisation > m.1) {
                most = Some((c, cup.utilisation));
            }
        }
        let straps: Vec<PartRef> = ctx
            .layout
            .strap
            .iter()
            .enumerate()
            .filter(|(_, row)| row.is_some())
            .map(|(i, _)| PartRef::Strap(i))
            .collect();
        for (part, strap) in straps.iter().zip(&h.straps) {
            match strap {
                Some(s) if s.slack => said.push(format!("{} hangs slack", part.name(ctx.rig))),
                Some(s) if s.at_capacity => said.push(format!("{} is at its LC", part.name(ctx.rig))),
                _ => {}
            }
        }
        if let Some((c, used)) = most {
            let tag = ctx.rig.cups.get(c).map_or("", |c| c.tag.as_str());
            let of = if said.is_empty() && self.leaking.is_empty() { "" } else { "of the others " };
            said.push(format!("{of}{tag} has most to carry, {:.0} % of its limit", 100.0 * used));
        }
        let all_slide = h.cups.iter().flatten().all(|c| c.slides);
        let holds = match (h.level, all_slide) {
            (true, _) => "the rig holds",
            (false, true) => {
                "every cup slides, and only what its way might tighten could stop the rig: count it as not held"
            }
            (false, false) => {
                "forces that hold the rig exist, but it may slide before it finds them: count it as not held"
            }
        };
        if !h.level {
            // How far is not known.
            return holds.to_owned();
        }
        if said.is_empty() { holds.to_owned() } else { format!("{holds}: {}", said.join(", ")) }
    }
}

/// `FL`, `FL and FR`, `FL, FR and RL`.
fn listed(tags: &[&str]) -> String {
    match tags {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// Says beside each failing finding of seal and slip whose state breaks the linear answer's assumption what contact makes of
/// it.
pub(crate) fn say(ctx: &Context<'_>, findings: &mut [Finding]) {
    let mut ready: BTreeMap<usize, Result<Contacts, BeyondError>> = BTreeMap::new();
    for f in findings {
        let Some(state) = f.state else { continue };
        // Without a factor: a cup that has its limit's worth is past no assumption yet.
        let past = matches!(f.check, CheckId::CupSeal | CheckId::CupSlip) && f.demand > f.capacity;
        if !past {
            continue;
        }
        let contacts = ready.entry(state.failure).or_insert_with(|| Contacts::of(ctx, state.failure));
        f.contact = match contacts.as_ref().map_err(Clone::clone).and_then(|c| c.state(ctx, &state)) {
            Ok(b) => b.words(ctx),
            Err(e) => format!("not worked out: {e}"),
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, rig};
    use mechanics::arm::Pose;

    /// Of forces of about 1e3 N: what the solver's tolerance of 1e-10 leaves.
    const TOL_N: f64 = 1e-3;

    fn states(ctx: &Context<'_>) -> Vec<StateId> {
        let mut out = Vec::new();
        for failure in 0..ctx.failures.len() {
            for drive in 0..ctx.actions.drives.len() {
                for pan in [0.0, 1.1, -2.3, 3.0] {
                    let pose = Pose { pan_rad: pan, elevation_rad: 0.2 };
                    out.push(StateId { failure, drive, motion: 0, pose });
                }
            }
        }
        out
    }

    /// Linear forces with slack straps settled by complementarity.
    fn settled_straps(ctx: &Context<'_>, state: &StateId) -> Vec<f64> {
        let r = ctx.failures[state.failure].responses.as_ref().unwrap();
        let (u, _) = ctx.action_of(state);
        let all = r.respond(&u);
        let mut out: Vec<f64> = ctx.layout.cup.iter().flat_map(|row| all[*row..row + 6].to_vec()).collect();
        out.extend(ctx.layout.strap.iter().flatten().map(|row| all[*row]));
        out
    }

    fn forces(h: &Held) -> Vec<f64> {
        let cups = h.cups.iter().flat_map(|c| c.map_or([0.0; 6], |c| c.forces));
        cups.chain(h.straps.iter().map(|s| s.map_or(0.0, |s| s.tension_n))).collect()
    }

    #[test]
    fn straps_that_go_slack_are_as_by_complementarity() {
        let (mut taut, mut loose) = (0, 0);
        for pretension in [8.0, 100.0, 250.0, 800.0] {
            let mut rig = rig();
            rig.straps[0].pretension.value = pretension;
            // Cups that never give, so that straps alone change.
            for cup in &mut rig.cups {
                cup.seal_radius = 0.12;
                cup.vacuum.as_mut().unwrap().value = 90e3;
            }
            rig.panels[0].friction.value = 4.0;
            let ctx = context(&rig);
            for state in states(&ctx) {
                let b = beyond(&ctx, &state).unwrap();
                let Settled::Held(h) = &b.with_vacuum else { panic!("{state:?}: {b:?}") };
                assert!(h.cups.iter().flatten().all(|c| !c.lifts && !c.slides), "{state:?}");
                for (f, s) in forces(h).iter().zip(settled_straps(&ctx, &state)) {
                    assert!((f - s).abs() < TOL_N, "{state:?}: {f} is not {s}");
                }
                match h.straps[0] {
                    Some(s) if s.slack => {
                        loose += 1;
                        // It hangs loose by what had to be fitted besides, over its stiffness.
                        let (strand, k) = (ctx.columns.strand(0), ctx.structure.frame.strands[0].k_n_per_m);
                        let besides = ctx.action_of(&state).0[strand] - ctx.taken_up[0];
                        assert!((s.loose_m * k - besides).abs() < TOL_N, "{} {besides}", s.loose_m * k);
                    }
                    Some(_) => taut += 1,
                    None => assert_eq!(ctx.failures[state.failure].lost, Some(PartRef::Strap(0))),
                }
            }
        }
        assert!(taut > 5 && loose > 5, "{taut} {loose}");
    }

    #[test]
    fn weak_cups_lift_and_leak_until_the_rig_holds_or_lets_go() {
        let (mut holds, mut opened, mut gone) = (0, 0, 0);
        for vacuum in [6e3, 9e3, 14e3, 20e3, 30e3] {
            let mut rig = rig();
            for (cup, share) in rig.cups.iter_mut().zip([1.0, 1.1, 0.9, 1.5]) {
                cup.vacuum.as_mut().unwrap().value = share * vacuum;
            }
            let ctx = context(&rig);
            for state in states(&ctx) {
                let b = beyond(&ctx, &state).unwrap();
                let words = b.words(&ctx);
                match &b.after_leak {
                    Settled::Held(_) if b.leaking.is_empty() => {
                        holds += 1;
                        assert!(!words.contains("leak"), "{words}");
                    }
                    Settled::Held(h) => {
                        opened += 1;
                        assert!(words.contains("leak") && b.leaking.iter().all(|c| h.cups[*c].is_some()));
                        // An opened cup only bears.
                        assert!(b.leaking.iter().all(|c| h.cups[*c].unwrap().forces[2] > -TOL_N), "{words}");
                    }
                    Settled::LetsGo => {
                        gone += 1;
                        assert!(words.contains("lets go"), "{words}");
                    }
                    Settled::NotSolved { status } => panic!("{status}: {state:?}"),
                }
            }
        }
        assert!(holds > 20 && opened > 5 && gone > 5, "{holds} {opened} {gone}");
    }

    #[test]
    fn a_finding_past_its_limit_says_what_contact_makes_of_it() {
        let rig = rig();
        let ctx = context(&rig);
        let state = states(&ctx)[0];
        let of = |check, demand| {
            let mut f = Finding::of(check, PartRef::Cup(0), Kind::Force, 2.0, demand, 100.0);
            f.state = Some(state);
            f
        };
        let mut found = vec![
            of(CheckId::CupSeal, 110.0),
            of(CheckId::CupSlip, 90.0),
            of(CheckId::TubeStress, 110.0),
            Finding { state: None, ..of(CheckId::CupSlip, 110.0) },
        ];
        say(&ctx, &mut found);
        assert!(found[0].contact.starts_with("the rig holds"), "{}", found[0].contact);
        assert!(found[1..].iter().all(|f| f.contact.is_empty()));
    }

    #[test]
    fn what_is_missing_or_of_another_failure_is_refused() {
        let mut rig = rig();
        let ctx = context(&rig);
        let state = states(&ctx)[0];
        let contacts = Contacts::of(&ctx, 1).unwrap();
        assert_eq!(contacts.state(&ctx, &state), Err(BeyondError::NoResponses));
        assert!(Contacts::of(&ctx, 99).is_err());
        rig.cups[1].vacuum = None;
        let ctx = context(&rig);
        assert!(matches!(beyond(&ctx, &state), Err(BeyondError::Missing(_))));
    }

    #[test]
    fn names_in_a_row() {
        assert_eq!(listed(&["FL"]), "FL");
        assert_eq!(listed(&["FL", "FR", "RL"]), "FL, FR and RL");
    }
}
