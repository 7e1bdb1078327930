//! Everything that checks look at: the rig, its structure, its responses in every failure, its instants and poses.

use crate::Fault;
use crate::actions::Actions;
use crate::arm_model::ArmModel;
use crate::check::Held;
use crate::parts::PartRef;
use crate::responses::{self, Columns, Layout, Responses};
use crate::slack;
use crate::state::StateId;
use crate::structure::{BuildOptions, Structure};
use glam::DVec3;
use mechanics::arm::{self, Accelerations, Base, BasisTerms, Pose, Rates, WrenchBasis};
use mechanics::frame::{Load, Mechanism, SolveError};
use rayon::prelude::*;
use rig::model::{ArmUse, Rig};
use std::sync::Arc;

/// One failure: nothing or one part lost, and the responses then.
#[derive(Clone, Debug)]
pub struct Failure {
    /// What is lost.
    pub lost: Option<PartRef>,
    /// `R`, or why there is none.
    pub responses: Result<Responses, SolveError>,
}

/// How finely to look.
#[derive(Clone, Copy, Debug)]
pub struct Resolution {
    /// Step of pan, rad.
    pub pan: f64,
    /// Step of elevation, rad.
    pub elevation: f64,
}

impl Resolution {
    /// 5° by 5°.
    pub fn fine() -> Self {
        Self { pan: 5.0_f64.to_radians(), elevation: 5.0_f64.to_radians() }
    }

    /// 15° by 10°, for a second look over everything; the search around each worst pose closes in as ever.
    pub fn wide() -> Self {
        Self { pan: 15.0_f64.to_radians(), elevation: 10.0_f64.to_radians() }
    }

    /// 30° by 10°, for what is shown while somebody drags; the search around each worst pose closes in as ever.
    pub fn glance() -> Self {
        Self { pan: 30.0_f64.to_radians(), elevation: 10.0_f64.to_radians() }
    }
}

/// A rig ready to be checked. A copy shares all that is large.
#[derive(Clone)]
pub struct Context<'a> {
    /// The rig.
    pub rig: &'a Rig,
    /// The frame and its map.
    pub structure: Arc<Structure>,
    /// Rows of the responses.
    pub layout: Arc<Layout>,
    /// Columns of `u`.
    pub columns: Columns,
    /// Instants, winds, air.
    pub actions: Actions,
    /// The arm, if there is one.
    pub arm: Option<Arc<ArmModel>>,
    /// The basis loads, in the order of the columns.
    pub loads: Arc<[Load]>,
    /// Nothing lost first, then each cup, then each strap.
    pub failures: Arc<[Failure]>,
    /// What each strap's ratchet takes up, N: gives the stated tensions once all are fitted.
    pub taken_up: Vec<f64>,
    /// What the limit analysis has been asked so far.
    pub held: Arc<Held>,
}

/// What has been solved in one context, for others in which some values are different.
#[derive(Clone)]
pub struct Solved {
    structure: Arc<Structure>,
    loads: Arc<[Load]>,
    failures: Arc<[Failure]>,
    actions: Actions,
    arm: Option<Arc<ArmModel>>,
    held: Arc<Held>,
}

impl Solved {
    /// Whether every force in every state is the same in a context that went on from this one: only what the forces are held
    /// against may be different.
    pub fn same_forces(&self, ctx: &Context<'_>) -> bool {
        Arc::ptr_eq(&self.failures, &ctx.failures) && self.actions == ctx.actions && self.arm == ctx.arm
    }
}

/// The responses with nothing lost, with each cup lost, with each strap lost.
fn failures(structure: &Structure, layout: &Layout, loads: &[Load]) -> Result<Arc<[Failure]>, Fault> {
    let mut lost: Vec<Option<PartRef>> = vec![None];
    lost.extend((0..structure.cup_node.len()).map(|i| Some(PartRef::Cup(i))));
    let pulls = structure.strand_of.iter().enumerate().filter(|(_, strand)| strand.is_some());
    lost.extend(pulls.map(|(i, _)| Some(PartRef::Strap(i))));
    let intact = structure.frame.factor(&[]);
    lost.into_par_iter()
        .map(|lost| {
            let gone: Vec<_> = lost.and_then(|p| structure.lost(p)).into_iter().collect();
            let responses = responses::responses((structure, layout), &intact, loads, &gone);
            if let Err(SolveError::Frame(e)) = &responses {
                return Err(Fault::from_error(e));
            }
            Ok(Failure { lost, responses })
        })
        .collect::<Result<Vec<_>, Fault>>()
        .map(Into::into)
}

/// Actions of the arm in one state.
#[derive(Clone, Copy, Debug, Default)]
pub struct ArmActions {
    /// On the platform at the mast base, vehicle axes.
    pub wrench: [f64; 6],
    /// Torque of the pan drive, N m.
    pub pan_torque: f64,
    /// Torque of the tilt drive, N m.
    pub tilt_torque: f64,
}

impl ArmActions {
    /// Of a pose in which they cannot be reckoned: no numbers, so that nothing passes on them.
    const LOST: Self = Self { wrench: [f64::NAN; 6], pan_torque: f64::NAN, tilt_torque: f64::NAN };
}

/// What a pose alone decides of the arm's actions.
pub(crate) struct AtPose {
    /// Per unit of each term of the motion.
    pub(crate) basis: WrenchBasis,
    /// How it stands in the wind.
    pub(crate) wind: arm::InWind,
}

impl AtPose {
    /// Of an arm, or of what is beyond a cut of its boom; none where a number is lost.
    pub(crate) fn of(chain: &arm::Arm, pose: Pose) -> Option<Self> {
        Some(Self { basis: arm::wrench_basis(chain, pose).ok()?, wind: arm::InWind::at(chain, pose).ok()? })
    }
}

impl<'a> Context<'a> {
    /// Builds structure, responses and actions.
    ///
    /// # Errors
    ///
    /// [`Fault`] where something cannot be computed with at all; mechanisms are findings, not faults.
    pub fn new(rig: &'a Rig, options: BuildOptions) -> Result<Self, Fault> {
        Self::after(None, rig, options)
    }

    /// The same, with the responses of a context before where structure and loads are the same: most values a rig states are
    /// judged by and change neither.
    ///
    /// # Errors
    ///
    /// As [`Context::new`].
    pub fn after(before: Option<&Solved>, rig: &'a Rig, options: BuildOptions) -> Result<Self, Fault> {
        let (structure, (actions, arm)) = rayon::join(
            || Structure::new(rig, options),
            || rayon::join(|| Actions::of(rig), || ArmModel::of(rig)),
        );
        let (actions, arm) = (actions?, arm?.map(Arc::new));
        let layout = Layout::of(rig, &structure);
        let columns = Columns { strands: structure.frame.strands.len(), winds: actions.winds.len() };
        let loads = responses::basis(rig, &structure, actions.density, &actions.winds);
        let alike = before.filter(|b| *b.structure == structure && *b.loads == loads[..]);
        let failures = match alike {
            Some(before) => Arc::clone(&before.failures),
            None => failures(&structure, &layout, &loads)?,
        };
        let stated = structure.frame.strands.iter().map(|s| s.pretension_n).collect();
        let (structure, layout, loads) = (Arc::new(structure), Arc::new(layout), loads.into());
        let held = before.map(|b| Arc::clone(&b.held)).unwrap_or_default();
        let mut ctx =
            Self { rig, structure, layout, columns, actions, arm, loads, failures, taken_up: stated, held };
        if let Some(Ok(r)) = ctx.failures.first().map(|f| &f.responses) {
            ctx.taken_up = slack::taken_up(&ctx, r);
        }
        Ok(ctx)
    }

    /// What another context may go on from.
    pub fn solved(&self) -> Solved {
        let Self { structure, loads, failures, actions, arm, held, .. } = self.clone();
        Solved { structure, loads, failures, actions, arm, held }
    }

    /// The same structure, responses and instants with another rig's facts for the checks: for facts that no response, wind or
    /// motion depends on, as friction.
    #[must_use]
    pub fn judged_by<'b>(&self, rig: &'b Rig) -> Context<'b> {
        let Self { structure, layout, columns, actions, arm, loads, failures, taken_up, held, .. } =
            self.clone();
        Context { rig, structure, layout, columns, actions, arm, loads, failures, taken_up, held }
    }

    /// A mechanism of a failure, if that is why it has no responses.
    pub fn mechanism(&self, failure: usize) -> Option<&Mechanism> {
        match self.failures.get(failure).map(|f| &f.responses) {
            Some(Err(SolveError::Mechanism(m))) => Some(m),
            _ => None,
        }
    }

    /// What the arm may do during a drive.
    pub fn arm_use(&self, drive: usize) -> ArmUse {
        self.rig.manoeuvres[self.actions.drives[drive].manoeuvre].arm
    }

    /// Motions of the arm in a drive, by index.
    pub fn motions(&self, drive: usize) -> usize {
        match (&self.arm, self.arm_use(drive)) {
            (Some(arm), ArmUse::Live) => arm.motions.len(),
            _ => 1,
        }
    }

    /// Poses of the whole range at a resolution; one dummy pose without an arm.
    pub fn poses(&self, step: Resolution) -> Vec<Pose> {
        let Some(arm) = &self.rig.arm else { return vec![Pose::default()] };
        let pans = steps(arm.pan.0, arm.pan.1, step.pan);
        let all_round = (arm.pan.1 - arm.pan.0 - core::f64::consts::TAU).abs() < 1e-9;
        let pans = if all_round { &pans[..pans.len() - 1] } else { &pans[..] };
        let elevations = steps(arm.elevation.0, arm.elevation.1, step.elevation);
        pans.iter()
            .flat_map(|pan| elevations.iter().map(|e| Pose { pan_rad: *pan, elevation_rad: *e }))
            .collect()
    }

    /// The parked pose; the dummy pose without an arm.
    pub fn parked(&self) -> Pose {
        self.arm.as_ref().map(|a| a.parked).unwrap_or_default()
    }

    fn moving(&self, motion: usize) -> (Rates, Accelerations) {
        self.arm
            .as_ref()
            .and_then(|a| a.motions.get(motion))
            .map(|m| (m.rates, m.accelerations))
            .unwrap_or_default()
    }

    /// Rates of the arm in a motion.
    pub fn rates(&self, motion: usize) -> Rates {
        self.moving(motion).0
    }

    /// How a drive carries the arm.
    pub fn base(&self, drive: usize) -> Base {
        let d = &self.actions.drives[drive];
        Base {
            acceleration_mps2: d.acceleration,
            angular_velocity_rps: DVec3::Z * d.yaw_rate,
            angular_acceleration_rps2: DVec3::ZERO,
            gravity_mps2: d.gravity,
        }
    }

    /// Terms of the arm's basis in a drive and motion.
    pub fn terms(&self, drive: usize, motion: usize) -> BasisTerms {
        let (rates, accelerations) = self.moving(motion);
        BasisTerms::of(rates, accelerations, &self.base(drive)).unwrap_or_default()
    }

    /// Wind on an arm's bodies in a drive and motion, the pose's part known.
    pub fn wind_of(&self, in_wind: &arm::InWind, drive: usize, motion: usize) -> arm::Actions {
        let d = &self.actions.drives[drive];
        let wind = arm::Wind { relative_mps: self.actions.winds[d.wind], density_kgm3: self.actions.density };
        in_wind.actions(self.rates(motion), DVec3::Z * d.yaw_rate, &wind).unwrap_or_default()
    }

    /// The arm's actions in one state, what its pose gives at hand.
    pub(crate) fn arm_actions(&self, at: &AtPose, drive: usize, motion: usize) -> ArmActions {
        let a = at.basis.actions(&self.terms(drive, motion)) + self.wind_of(&at.wind, drive, motion);
        ArmActions {
            wrench: a.on_platform.to_array(),
            pan_torque: a.pan_torque_nm,
            tilt_torque: a.tilt_torque_nm,
        }
    }

    /// The basis actions `u` of one state, slack straps settled, and the arm's own actions.
    pub fn action_of(&self, state: &StateId) -> (Vec<f64>, ArmActions) {
        let at = self.arm.as_ref().and_then(|arm| AtPose::of(&arm.chain, state.pose));
        self.action_from(state, at.as_ref())
    }

    /// The same, what the pose gives at hand.
    pub(crate) fn action_from(&self, state: &StateId, at: Option<&AtPose>) -> (Vec<f64>, ArmActions) {
        let d = &self.actions.drives[state.drive];
        let mut u = vec![0.0; self.columns.count()];
        u[..3].copy_from_slice(&d.body_force().to_array());
        for (strand, p) in self.taken_up.iter().enumerate() {
            u[self.columns.strand(strand)] = *p;
        }
        u[self.columns.wind(d.wind)] = 1.0;
        let mut actions = ArmActions::default();
        if self.arm.is_some() {
            actions = at.map_or(ArmActions::LOST, |at| self.arm_actions(at, state.drive, state.motion));
            u[responses::ARM_COLUMN..responses::ARM_COLUMN + 6].copy_from_slice(&actions.wrench);
        }
        if let Some(Ok(r)) = self.failures.get(state.failure).map(|f| &f.responses) {
            slack::settle(self, r, &mut u);
        }
        (u, actions)
    }

    /// Forces in a cut of the boom in one state: `N Vy Vz T My Mz` on the inner part, boom axes about the cut.
    pub fn cut_forces(&self, cut: usize, state: &StateId) -> [f64; 6] {
        let Some(cut) = self.arm.as_ref().and_then(|a| a.cuts.get(cut)) else { return [0.0; 6] };
        AtPose::of(&cut.beyond, state.pose).map_or([f64::NAN; 6], |at| self.cut_from(cut, &at, state))
    }

    /// The same, what the pose gives at hand.
    pub(crate) fn cut_from(&self, cut: &crate::arm_model::Cut, at: &AtPose, state: &StateId) -> [f64; 6] {
        let a = at.basis.actions(&self.terms(state.drive, state.motion))
            + self.wind_of(&at.wind, state.drive, state.motion);
        cut.forces(state.pose, a.on_platform, a.boom_root)
    }
}

/// From `from` to `to` in equal steps no larger than `step`, both ends included.
pub(crate) fn steps(from: f64, to: f64, step: f64) -> Vec<f64> {
    let n = ((to - from) / step - 1e-9).ceil().max(0.0);
    if n < 1.0 {
        return vec![from];
    }
    let count = n.min(10_000.0);
    let mut out = Vec::new();
    let mut k = 0.0;
    while k <= count {
        out.push(from + (to - from) * k / count);
        k += 1.0;
    }
    out
}
