//! What tilt and pan ask of their drives: over the elevation range, in the manoeuvres, on a slope.

use crate::Fault;
use crate::actions::gravity;
use crate::context::{Context, steps};
use crate::finding::Finding;
use crate::state::StateId;
use mechanics::arm::{self, Accelerations, Base, InWind, Pose, Rates, TiltBalance};
use rayon::prelude::*;
use rig::model::{ArmUse, Drives};

/// Step of the bearings looked at for the table and for power, rad: 5 degrees.
const BEARINGS: f64 = 0.087_266_462_599_716_48;
/// Most rows of the table.
const ROWS: f64 = 10.0;

/// One elevation.
#[derive(Clone, Debug)]
pub struct Row {
    /// rad.
    pub elevation_rad: f64,
    /// Torque to hold the boom still on level ground, N m; nose-heavy is positive.
    pub hold_nm: f64,
    /// Torque to start and to stop it, emergency stop included, by inertia alone, N m.
    pub start_nm: f64,
    /// Most that the tilt drive must give in the manoeuvres that leave the boom free, at any bearing, N m by size; none where
    /// every manoeuvre keeps it parked.
    pub tilt_nm: Option<f64>,
}

/// A torque at a rate.
#[derive(Clone, Debug)]
pub struct Power {
    /// W, at the drive's shaft.
    pub w: f64,
    /// N m.
    pub torque_nm: f64,
    /// rad/s.
    pub rate_rps: f64,
    /// When, in words.
    pub when: String,
}

/// One drive.
#[derive(Clone, Debug)]
pub struct Drive {
    /// Its check in the worst state, as the verdict has it.
    pub check: Finding,
    /// Most power that it must give, driving or braking; none where nothing turns.
    pub power: Option<Power>,
    /// Its limit of torque at its fastest rate, W, where the limit is stated.
    pub can_w: Option<f64>,
}

/// Pan on a car that does not stand level.
#[derive(Clone, Copy, Debug)]
pub struct Slope {
    /// Mass that turns with pan, kg.
    pub turning_kg: f64,
    /// Farthest that its mass centre gets off the mast's axis in the elevation range, m.
    pub off_axis_m: f64,
    /// Torque to hold it against swinging downhill for each degree of slope, N m.
    pub per_degree_nm: f64,
    /// Steepest slope of the manoeuvres, grade and bank together, rad.
    pub steepest_rad: f64,
    /// Torque there, N m.
    pub steepest_nm: f64,
}

/// Rows of the table over the elevation range, and the most power of tilt and pan.
pub(super) fn look(ctx: &Context<'_>) -> Result<(Vec<Row>, [Option<Power>; 2]), Fault> {
    let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm) else { return Ok((Vec::new(), [None, None])) };
    let (low, high) = (arm.elevation.0.min(arm.elevation.1), arm.elevation.0.max(arm.elevation.1));
    let elevations = steps(low, high, step(high - low));
    let (pan_low, pan_high) = (arm.pan.0.min(arm.pan.1), arm.pan.0.max(arm.pan.1));
    let pans = steps(pan_low, pan_high, BEARINGS);
    let poses: Vec<Pose> = elevations
        .iter()
        .flat_map(|e| pans.iter().map(|p| Pose { pan_rad: *p, elevation_rad: *e }))
        .collect();
    let free: Vec<usize> =
        (0..ctx.actions.drives.len()).filter(|d| ctx.arm_use(*d) != ArmUse::Parked).collect();
    let found: Vec<Worst> = poses
        .par_iter()
        .map(|pose| Worst::at(ctx, *pose, &free))
        .collect::<Result<_, arm::ArmError>>()
        .map_err(Fault::from_error)?;
    let balance = TiltBalance::of(&model.chain);
    let mut rows = Vec::new();
    for (e, at) in elevations.iter().zip(found.chunks(pans.len().max(1))) {
        let most =
            at.iter().map(|w| w.tilt_nm).fold(None, |a: Option<f64>, b| Some(a.map_or(b, |a| a.max(b))));
        rows.push(Row {
            elevation_rad: *e,
            hold_nm: balance.torque_nm(*e).map_err(Fault::from_error)?,
            start_nm: starting(&model.chain, *e, &arm.drives).map_err(Fault::from_error)?,
            tilt_nm: most.filter(|_| !free.is_empty()),
        });
    }
    let power = [0, 1].map(|drive: usize| {
        let most = found.iter().filter_map(|w| w.power.get(drive).copied().flatten());
        most.fold(None, |a: Option<Seen>, b| if a.is_some_and(|a| a.w() >= b.w()) { a } else { Some(b) })
            .filter(|s| s.w() > 0.0)
            .map(|s| Power { w: s.w(), torque_nm: s.torque, rate_rps: s.rate, when: s.state.words(ctx) })
    });
    Ok((rows, power))
}

/// A round step for the table, rad.
fn step(range: f64) -> f64 {
    let degrees = [1.0, 2.0, 5.0, 10.0, 15.0, 30.0];
    degrees.iter().map(|d| f64::to_radians(*d)).find(|s| range / s <= ROWS).unwrap_or(range)
}

/// A torque while turning.
#[derive(Clone, Copy, Debug)]
struct Seen {
    torque: f64,
    rate: f64,
    state: StateId,
}

impl Seen {
    fn w(&self) -> f64 {
        (self.torque * self.rate).abs()
    }
}

/// The worst in one pose.
struct Worst {
    tilt_nm: f64,
    /// Of tilt and of pan.
    power: [Option<Seen>; 2],
}

impl Worst {
    fn at(ctx: &Context<'_>, pose: Pose, drives: &[usize]) -> Result<Self, arm::ArmError> {
        let mut out = Self { tilt_nm: 0.0, power: [None, None] };
        let Some(model) = &ctx.arm else { return Ok(out) };
        let basis = arm::wrench_basis(&model.chain, pose)?;
        let wind = InWind::at(&model.chain, pose)?;
        for drive in drives {
            for motion in 0..ctx.motions(*drive) {
                let a = basis.actions(&ctx.terms(*drive, motion)) + ctx.wind_of(&wind, *drive, motion);
                out.tilt_nm = out.tilt_nm.max(a.tilt_torque_nm.abs());
                let rates = ctx.rates(motion);
                let state = StateId { failure: 0, drive: *drive, motion, pose };
                let both = [(a.tilt_torque_nm, rates.tilt_rps), (a.pan_torque_nm, rates.pan_rps)];
                for (slot, (torque, rate)) in out.power.iter_mut().zip(both) {
                    let seen = Seen { torque, rate, state };
                    if slot.is_none_or(|s| seen.w() > s.w()) {
                        *slot = Some(seen);
                    }
                }
            }
        }
        Ok(out)
    }
}

/// Torque of the tilt drive that its own start or emergency stop takes by inertia alone, N m.
fn starting(chain: &arm::Arm, elevation_rad: f64, drives: &Drives) -> Result<f64, arm::ArmError> {
    let tilt_rps2 = drives.tilt_acceleration.value.max(drives.tilt_stop.value);
    let pose = Pose { pan_rad: 0.0, elevation_rad };
    let at = |tilt_rps2: f64| {
        let turning = Accelerations { pan_rps2: 0.0, tilt_rps2 };
        arm::actions(chain, pose, Rates::default(), turning, &Base::LEVEL).map(|a| a.tilt_torque_nm)
    };
    Ok((at(tilt_rps2)? - at(0.0)?).abs())
}

/// Pan on a slope, from the arm's own equations with gravity tilted.
pub(super) fn slope(ctx: &Context<'_>) -> Result<Option<Slope>, Fault> {
    let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm) else { return Ok(None) };
    let (low, high) = (arm.elevation.0.min(arm.elevation.1), arm.elevation.0.max(arm.elevation.1));
    let on = |elevation_rad: f64, grade: f64, bank: f64| -> Result<f64, Fault> {
        let base = Base { gravity_mps2: gravity(grade, bank), ..Base::LEVEL };
        let pose = Pose { pan_rad: 0.0, elevation_rad };
        arm::actions(&model.chain, pose, Rates::default(), Accelerations::default(), &base)
            .map(|a| a.pan_torque_nm)
            .map_err(Fault::from_error)
    };
    let steepest_rad = ctx
        .rig
        .manoeuvres
        .iter()
        .map(|m| (m.grade.cos() * m.bank.cos()).clamp(-1.0, 1.0).acos())
        .fold(0.0, f64::max);
    let one = 1.0_f64.to_radians();
    // Ahead and aside of the mast's axis add up square to each other: some bearing puts their sum across the slope.
    let mut per_degree_nm = 0.0_f64;
    for e in steps(low, high, step(high - low)) {
        per_degree_nm = per_degree_nm.max(on(e, one, 0.0)?.hypot(on(e, 0.0, one)?));
    }
    let turning_kg: f64 = model
        .chain
        .bodies()
        .iter()
        .filter(|b| b.carrier() != arm::Carrier::Base)
        .map(arm::Body::mass_kg)
        .sum();
    let per_sine_nm = per_degree_nm / one.sin();
    let off_axis_m = per_sine_nm / (turning_kg * mechanics::STANDARD_GRAVITY).max(f64::MIN_POSITIVE);
    Ok(Some(Slope {
        turning_kg,
        off_axis_m,
        per_degree_nm,
        steepest_rad,
        steepest_nm: per_sine_nm * steepest_rad.sin(),
    }))
}
