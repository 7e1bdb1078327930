//! The chain from the road to the camera, link by link, at one frequency.

use super::rig_part;
use crate::Fault;
use crate::finding::Need;
use crate::isolator::axis::{Axis, axes};
use crate::isolator::is_there;
use glam::DVec3;
use mechanics::shaking::body::{Car, CarBody, Driven};
use mechanics::shaking::carry::{ShakenMode, at_point, into_axes, out_of_axes, through_modes};
use mechanics::shaking::oscillator::Oscillator;
use mechanics::shaking::swing::Swing;
use mechanics::shaking::{Movement, c64};
use rig::camera::Camera;
use rig::model::{Arm, Item, Rig};

/// Radius of gyration of a car's body in roll, as a share of its track: 0.34, 0.34 and 0.39 for the bodies of the three open
/// parameter sets in `mechanics::vehicle::sets`, tyres to tyres.
pub(crate) const ROLL_GYRATION: f64 = 0.36;

/// A structure between two links.
#[derive(Clone, Debug)]
pub(crate) struct Flexible {
    pub(crate) modes: Vec<ShakenMode>,
    pub(crate) damping: f64,
    /// From where its base is read to where it ends, m, in its own axes.
    pub(crate) arm: DVec3,
}

impl Flexible {
    fn carry(&self, base: &Movement, at_hz: f64) -> Movement {
        through_modes(&self.modes, self.damping, base, self.arm, at_hz)
    }

    /// The same structure, all of it so much stiffer: the shapes stay, every frequency rises by the root.
    pub(crate) fn stiffen(&mut self, factor: f64) {
        for m in &mut self.modes {
            m.frequency_hz *= factor.sqrt();
        }
    }
}

/// What carries a payload along one level axis.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Side {
    /// It goes along.
    Stiff,
    /// A spring between.
    Spring(Oscillator),
    /// It hangs.
    Swing(Swing),
}

/// Boom and isolator, in axes of the boom's heading.
#[derive(Clone, Debug)]
pub(crate) struct ArmPart {
    /// Axes of the boom: along it, left, square to both.
    pub(crate) boom_axes: [DVec3; 3],
    /// Rig and boom from the car body to the tip.
    pub(crate) to_tip: Flexible,
    /// The boom bends; else its tubes are not known and it counts as stiff.
    pub(crate) bends: bool,
    /// The tip keeps upright: it does not follow the boom's slope in tilt.
    pub(crate) levelled: bool,
    /// Level axes of the heading.
    pub(crate) heading: [DVec3; 3],
    /// From the tip to the payload's pivot, or to its mass centre where it does not swing; heading axes, m.
    pub(crate) hangs: DVec3,
    /// Spring up and down; none where it is stiff.
    pub(crate) up: Option<Oscillator>,
    /// Fore and aft, sideways.
    pub(crate) sides: [Side; 2],
    /// An isolator is there.
    pub(crate) isolated: bool,
}

/// The whole chain.
#[derive(Clone, Debug)]
pub(crate) struct Chain {
    pub(crate) driven: Driven,
    pub(crate) heave_hz: (f64, f64),
    pub(crate) roll_hz: (f64, f64),
    pub(crate) rig: Flexible,
    pub(crate) arm: Option<ArmPart>,
    /// Share of the turning that reaches the camera.
    pub(crate) steadied: f64,
    pub(crate) velocity_psd: f64,
    pub(crate) body: CarBody,
    pub(crate) speed_m_s: f64,
}

/// A movement after each link: car body, rig, boom, camera; and the give of the isolator up and down.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Links {
    pub(crate) body: Movement,
    pub(crate) rig: Movement,
    pub(crate) tip: Movement,
    pub(crate) camera: Movement,
    pub(crate) give: c64,
}

/// Which damping of what is not measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Damped {
    Little,
    Likely,
    Much,
}

impl Damped {
    pub(crate) fn pick(self, s: crate::isolator::axis::Spread) -> f64 {
        match self {
            Self::Little => s.low,
            Self::Likely => s.value,
            Self::Much => s.high,
        }
    }
}

impl Chain {
    /// At another speed.
    pub(crate) fn at_speed(&mut self, speed_m_s: f64) -> Result<(), Fault> {
        // A road's velocity spectrum goes with the speed.
        self.velocity_psd *= speed_m_s / self.speed_m_s;
        self.speed_m_s = speed_m_s;
        self.driven = self.body.on(self.velocity_psd, speed_m_s).map_err(Fault::from_error)?;
        Ok(())
    }

    /// After each link, by the mean of the two tracks and by their difference.
    pub(crate) fn at(&self, at_hz: f64) -> [Links; 2] {
        self.driven.at(at_hz).map(|b| self.carry(&b, at_hz))
    }

    fn carry(&self, b: &Movement, at_hz: f64) -> Links {
        let body = at_point(b, self.rig.arm);
        let rig = self.rig.carry(b, at_hz);
        let (tip, mut camera, give) = match &self.arm {
            Some(arm) => arm.carry(b, &rig, at_hz),
            None => (rig, rig, c64::new(0.0, 0.0)),
        };
        for turn in camera.iter_mut().skip(3) {
            *turn *= self.steadied;
        }
        Links { body, rig, tip, camera, give }
    }

    /// Frequencies at which something resonates, Hz.
    pub(crate) fn steep_hz(&self) -> Vec<f64> {
        let mut out = vec![self.heave_hz.0, self.heave_hz.1, self.roll_hz.0, self.roll_hz.1];
        let around = |f: f64, z: f64| [f * (1.0 - 3.0 * z).max(0.5), f, f * (1.0 + 3.0 * z)];
        let flexible = |x: &Flexible| -> Vec<f64> {
            x.modes.iter().flat_map(|m| around(m.frequency_hz, x.damping)).collect()
        };
        out.extend(flexible(&self.rig));
        if let Some(arm) = &self.arm {
            out.extend(arm.up.iter().flat_map(|o| around(o.frequency_hz(), o.damping())));
            for side in arm.sides {
                match side {
                    Side::Stiff => {}
                    Side::Spring(o) => out.extend(around(o.frequency_hz(), o.damping())),
                    Side::Swing(s) => out.push(s.frequency_hz()),
                }
            }
        }
        out
    }
}

impl ArmPart {
    /// The tip, the camera, and the give of the isolator, from the car body's movement and the pivot's.
    fn carry(&self, body: &Movement, pivot: &Movement, at_hz: f64) -> (Movement, Movement, c64) {
        let mut tip = into_axes(&self.to_tip.carry(body, at_hz), &self.boom_axes);
        if self.levelled {
            // The linkage keeps the bracket at the mast's own tilt.
            tip[4] = into_axes(pivot, &self.boom_axes)[4];
        }
        let tip = out_of_axes(&tip, &self.boom_axes);
        let hung = at_point(&into_axes(&tip, &self.heading), self.hangs);
        let [mut x, mut y, mut z, mut a, mut b, c] = hung;
        let mut give = c64::new(0.0, 0.0);
        if let Some(o) = self.up {
            give = z * o.against_foot(at_hz);
            z *= o.through(at_hz);
        }
        // A swing ahead is a turn nose up (against left); a swing to the left is a turn about ahead.
        match self.sides[0] {
            Side::Stiff => {}
            Side::Spring(o) => x *= o.through(at_hz),
            Side::Swing(s) => {
                b = -(x * s.angle_rad_m(at_hz));
                x *= s.through(at_hz);
            }
        }
        match self.sides[1] {
            Side::Stiff => {}
            Side::Spring(o) => y *= o.through(at_hz),
            Side::Swing(s) => {
                a = y * s.angle_rad_m(at_hz);
                y *= s.through(at_hz);
            }
        }
        (tip, out_of_axes(&[x, y, z, a, b, c], &self.heading), give)
    }
}

/// The item that is the camera, where no arm carries it: as named, or the only one that could be.
pub(crate) fn camera_item<'a>(rig: &'a Rig, camera: Option<&Camera>) -> Option<&'a Item> {
    if let Some(i) = camera.and_then(|c| c.item) {
        return rig.items.get(i);
    }
    match rig.items.as_slice() {
        [one] => Some(one),
        many => {
            let mut named = many.iter().filter(|i| i.tag.to_lowercase().contains("camera"));
            let first = named.next();
            first.filter(|_| named.next().is_none())
        }
    }
}

/// Damping of the rig that nobody has measured: common practice, no source.
pub(crate) const UNKNOWN_RIG_DAMPING: crate::isolator::axis::Spread =
    crate::isolator::axis::Spread { low: 0.02, value: 0.05, high: 0.1 };

/// Builds the chain at a speed; what is missing goes to `needs`.
pub(crate) fn chain(
    rig: &Rig,
    (velocity_psd, speed_m_s): (f64, f64),
    highest_hz: f64,
    damped: Damped,
    needs: &mut Vec<Need>,
) -> Result<Chain, Fault> {
    let v = &rig.vehicle;
    let track = f64::midpoint(v.track_front.value, v.track_rear.value);
    let corner = rig_part::corner(rig);
    let body = CarBody::new(Car {
        corner,
        body_kg: (v.mass.value - 4.0 * corner.unsprung_kg).max(0.5 * v.mass.value),
        wheelbase_m: v.wheelbase.value,
        track_m: track,
        centre_height_m: v.centre_height.value,
        roll_axis_height_m: v.ride.roll_axis_height.value,
        roll_stiffness_nm_rad: v.ride.roll_stiffness.value,
        roll_gyration_m: ROLL_GYRATION * track,
    })
    .map_err(Fault::from_error)?;
    let camera = rig.camera.as_ref();
    let rig_damping = camera
        .and_then(|c| c.rig_damping.as_ref())
        .map_or(UNKNOWN_RIG_DAMPING, crate::isolator::axis::Spread::of);
    let damping = damped.pick(rig_damping);
    let seen = rig_part::modes(rig, camera_item(rig, camera).map(|i| (i.on, i.at)), highest_hz)?;
    let bends = seen.need.is_none();
    needs.extend(seen.need);
    let flexible = |(modes, arm): (Vec<ShakenMode>, DVec3)| Flexible { modes, damping, arm };
    let arm = match (&rig.arm, seen.tip) {
        (Some(arm), Some(tip)) => Some(arm_part(rig, arm, (flexible(tip), bends), damped, needs)?),
        _ => None,
    };
    Ok(Chain {
        driven: body.on(velocity_psd, speed_m_s).map_err(Fault::from_error)?,
        heave_hz: body.heave_hz(),
        roll_hz: body.roll_hz(),
        rig: flexible(seen.near),
        arm,
        steadied: camera.and_then(|c| c.steadied.as_ref()).map_or(1.0, |s| s.value),
        velocity_psd,
        body,
        speed_m_s,
    })
}

fn arm_part(
    rig: &Rig,
    arm: &Arm,
    (to_tip, bends): (Flexible, bool),
    damped: Damped,
    needs: &mut Vec<Need>,
) -> Result<ArmPart, Fault> {
    let pan = arm.parked.0;
    let heading = [DVec3::new(pan.cos(), pan.sin(), 0.0), DVec3::new(-pan.sin(), pan.cos(), 0.0), DVec3::Z];
    let isolated = is_there(arm);
    let [up, fore, side] = axes(rig, arm)?;
    let spring = |a: &Axis| -> Result<Option<Oscillator>, Fault> {
        let Some(f) = a.frequency else { return Ok(None) };
        Oscillator::new(f.value, damped.pick(a.damping)).map(Some).map_err(Fault::from_error)
    };
    let level = |a: &Axis| -> Result<Side, Fault> {
        Ok(match (a.pendulum, spring(a)?) {
            (Some((l, rho)), _) => {
                Side::Swing(Swing::new(l, rho, damped.pick(a.damping)).map_err(Fault::from_error)?)
            }
            (None, Some(o)) => Side::Spring(o),
            (None, None) => Side::Stiff,
        })
    };
    if isolated && up.frequency.is_none() {
        needs.push(Need {
            what: "natural frequency of the isolator".to_owned(),
            key: "isolator.frequency".to_owned(),
            settle: "push the payload down, let go, count ten swings against a watch".to_owned(),
        });
    }
    for a in [&up, &fore, &side].into_iter().filter(|a| a.frequency.is_some() && !a.damping_known) {
        needs.push(Need {
            what: format!("damping of the isolator {}", a.name),
            key: a.damping_key.to_owned(),
            settle: "a release test: pull the payload aside, let go, log how it settles".to_owned(),
        });
    }
    let c = arm.payload.centre;
    let hangs = match &arm.isolator.unit.pivot {
        Some(p) => DVec3::new(c.x, c.y, -p.value),
        None => c,
    };
    Ok(ArmPart {
        boom_axes: rig_part::boom_axes(arm),
        to_tip,
        bends,
        levelled: arm.levelled,
        heading,
        hangs,
        up: spring(&up)?,
        sides: [level(&fore)?, level(&side)?],
        isolated,
    })
}
