//! Many winds past one arm in one pose, side by side (`docs/mechanics.md` §3.4.4).

use super::chain::{Carrier, Levelling};
use super::dynamics::{Needed, Rates};
use super::error::{ArmError, finite, finite_vec, positive};
use super::wind::{Facing, InWind, Spot, Wind};
use crate::wrench::Wrench;
use glam::{DMat3, DVec3};

/// Flows that are reckoned side by side.
pub const FLOWS: usize = 8;

/// One number of each flow.
pub type Lanes = [f64; FLOWS];

/// A wrench of each flow, number by number: `Fx Fy Fz Mx My Mz`.
pub type Six = [Lanes; 6];

/// Up to [`FLOWS`] flows past an arm whose car turns by yaw alone; what is left over is calm.
#[derive(Clone, Debug)]
pub struct Flows {
    /// Half the density of the air, kg/m³.
    half_rho: Lanes,
    /// Air past the car, vehicle axes, m/s.
    air: [Lanes; 3],
    /// Yaw rate of the car, rad/s.
    car: Lanes,
    /// Yaw and pan rate together, rad/s.
    mast: Lanes,
    /// Tilt rate, rad/s.
    tilt: Lanes,
}

impl Flows {
    /// From rates of the arm, yaw rate of the car (rad/s) and wind of each; what is over [`FLOWS`] is left out.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if a number is not finite or a density is not positive.
    pub fn of(flows: &[(Rates, f64, Wind)]) -> Result<Self, ArmError> {
        let none = [0.0; FLOWS];
        let mut out = Self { half_rho: none, air: [none; 3], car: none, mast: none, tilt: none };
        for (k, (rates, yaw_rps, wind)) in flows.iter().enumerate().take(FLOWS) {
            out.half_rho[k] = 0.5 * positive("air density", wind.density_kgm3)?;
            for (lanes, v) in out.air.iter_mut().zip(finite_vec("wind", wind.relative_mps)?.to_array()) {
                lanes[k] = v;
            }
            out.car[k] = finite("yaw rate of the car", *yaw_rps)?;
            out.mast[k] = out.car[k] + finite("pan rate", rates.pan_rps)?;
            out.tilt[k] = finite("tilt rate", rates.tilt_rps)?;
        }
        Ok(out)
    }
}

/// What some flows do to an arm: of [`super::Actions`] those that a rig has to bear, flow by flow.
#[derive(Clone, Debug)]
pub struct Blown {
    /// See [`super::Actions::on_platform`].
    pub on_platform: Six,
    /// See [`super::Actions::boom_root`].
    pub boom_root: Six,
    /// Torque of the pan drive, N m.
    pub pan_torque_nm: Lanes,
    /// Torque of the tilt drive, N m.
    pub tilt_torque_nm: Lanes,
}

impl Blown {
    /// Not known.
    pub const LOST: Self = {
        let lost = [f64::NAN; FLOWS];
        Self { on_platform: [lost; 6], boom_root: [lost; 6], pan_torque_nm: lost, tilt_torque_nm: lost }
    };
}

/// The wrench of one flow.
pub fn of_flow(wrenches: &Six, flow: usize) -> Wrench {
    Wrench::from_array(wrenches.map(|v| v[flow]))
}

/// Parts of the arm that catch wind apart from each other.
const PARTS: usize = 6;

impl InWind {
    /// What each flow does: [`InWind::actions`] for all of them at once. A sum that overflows stays infinite or not a number.
    ///
    /// To be inlined where the widest numbers side by side are switched on.
    #[inline(always)]
    pub fn blown(&self, flows: &Flows, out: &mut Blown) {
        let mut sums = [[[0.0; FLOWS]; 6]; PARTS];
        for spot in &self.spots {
            let [x, y, z] = self.force(spot, flows);
            let at = spot.at;
            let sum = &mut sums[Needed::part(spot.carrier, spot.x_m)];
            for k in 0..FLOWS {
                sum[0][k] -= x[k];
                sum[1][k] -= y[k];
                sum[2][k] -= z[k];
                sum[3][k] -= at.y * z[k] - at.z * y[k];
                sum[4][k] -= at.z * x[k] - at.x * z[k];
                sum[5][k] -= at.x * y[k] - at.y * x[k];
            }
        }
        self.reactions(&sums, out);
    }

    /// The actions that follow from the wrench of each part, in the order of [`Needed::part`]: as [`Needed::actions`].
    #[inline(always)]
    fn reactions(&self, [base, mast, tail, front, fixed_tip, level_tip]: &[Six; PARTS], out: &mut Blown) {
        let (frames, e) = (&self.frames, self.frames.tilt_axis);
        let tip = plus(fixed_tip, level_tip);
        let turning = plus(&plus(&plus(mast, tail), front), &tip);
        let mut front = about(&plus(front, &tip), frames.pivot);
        if self.levelling == Levelling::Linkage {
            let level_torque = about_axis(&about(level_tip, frames.tip), e);
            for (moment, e) in front[3..].iter_mut().zip(e.to_array()) {
                for k in 0..FLOWS {
                    moment[k] -= e * level_torque[k];
                }
            }
        }
        let boom = plus(&front, &about(tail, frames.pivot));
        out.on_platform = against(&plus(base, &turning));
        out.boom_root = turned_back(frames.boom, &against(&front));
        out.pan_torque_nm = turning[5];
        out.tilt_torque_nm = about_axis(&boom, e);
    }

    /// Force of each flow at a spot, vehicle axes, N.
    #[inline(always)]
    fn force(&self, spot: &Spot, flows: &Flows) -> [Lanes; 3] {
        let turning = if spot.carrier == Carrier::Base { &flows.car } else { &flows.mast };
        let (at, swing) = (spot.at, self.frames.tilt_axis.cross(spot.lever));
        let none = [0.0; FLOWS];
        let (mut x, mut y, mut z) = (none, none, none);
        for k in 0..FLOWS {
            x[k] = flows.air[0][k] + turning[k] * at.y - flows.tilt[k] * swing.x;
            y[k] = flows.air[1][k] - turning[k] * at.x - flows.tilt[k] * swing.y;
            z[k] = flows.air[2][k] - flows.tilt[k] * swing.z;
        }
        match spot.shape {
            Facing::Bar { axis, cd_area } => {
                for k in 0..FLOWS {
                    let along = x[k] * axis.x + y[k] * axis.y + z[k] * axis.z;
                    let (a, b, c) = (x[k] - axis.x * along, y[k] - axis.y * along, z[k] - axis.z * along);
                    let by = flows.half_rho[k] * cd_area * (a * a + b * b + c * c).sqrt();
                    (x[k], y[k], z[k]) = (a * by, b * by, c * by);
                }
            }
            Facing::Faces { axes: [p, q, r], cd_areas } => {
                for k in 0..FLOWS {
                    let by = flows.half_rho[k] * (x[k] * x[k] + y[k] * y[k] + z[k] * z[k]).sqrt();
                    let faced = |axis: DVec3, cd_area: f64| {
                        cd_area * (x[k] * axis.x + y[k] * axis.y + z[k] * axis.z) * by
                    };
                    let (a, b, c) = (faced(p, cd_areas.x), faced(q, cd_areas.y), faced(r, cd_areas.z));
                    x[k] = p.x * a + q.x * b + r.x * c;
                    y[k] = p.y * a + q.y * b + r.y * c;
                    z[k] = p.z * a + q.z * b + r.z * c;
                }
            }
        }
        [x, y, z]
    }
}

#[inline(always)]
fn plus(a: &Six, b: &Six) -> Six {
    let mut out = *a;
    for (out, b) in out.iter_mut().zip(b) {
        for k in 0..FLOWS {
            out[k] += b[k];
        }
    }
    out
}

/// The reaction.
#[inline(always)]
fn against(w: &Six) -> Six {
    let mut out = *w;
    for k in out.iter_mut().flatten() {
        *k = -*k;
    }
    out
}

/// Moments about another point than the mast base: [`Wrench::about`].
#[inline(always)]
fn about(w: &Six, to: DVec3) -> Six {
    let (mut out, d) = (*w, -to);
    for k in 0..FLOWS {
        out[3][k] += d.y * w[2][k] - w[1][k] * d.z;
        out[4][k] += d.z * w[0][k] - w[2][k] * d.x;
        out[5][k] += d.x * w[1][k] - w[0][k] * d.y;
    }
    out
}

/// The moment about an axis.
#[inline(always)]
fn about_axis(w: &Six, axis: DVec3) -> Lanes {
    let mut out = [0.0; FLOWS];
    for k in 0..FLOWS {
        out[k] = w[3][k] * axis.x + w[4][k] * axis.y + w[5][k] * axis.z;
    }
    out
}

/// In the axes that were turned into the vehicle's.
#[inline(always)]
fn turned_back(axes: DMat3, w: &Six) -> Six {
    let mut out = [[0.0; FLOWS]; 6];
    for first in [0, 3] {
        for (row, axis) in [axes.x_axis, axes.y_axis, axes.z_axis].into_iter().enumerate() {
            for k in 0..FLOWS {
                out[first + row][k] =
                    axis.x * w[first][k] + axis.y * w[first + 1][k] + axis.z * w[first + 2][k];
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::{Arm, Body, Drag, Geometry, Levelling, Pose};
    use super::*;

    #[test]
    fn side_by_side_they_do_what_each_does_alone() {
        let cage = Drag::bluff_box(DVec3::new(0.1, 0.0, -0.3), DVec3::new(0.1, 0.2, 0.3), 1.05).unwrap();
        let boom = Drag::rod(DVec3::X * -0.8, DVec3::X * 4.0, 0.06, 1.2).unwrap();
        let post = Drag::rod(DVec3::ZERO, DVec3::Z, 0.1, 1.2).unwrap();
        let body = |carrier, drag| Body::point(1.0, DVec3::ZERO, carrier).unwrap().with_drag(drag);
        let carriers = [Carrier::Base, Carrier::Mast, Carrier::Boom, Carrier::FixedTip, Carrier::LevelTip];
        let drags = [post, post, boom, cage, cage];
        let bodies = carriers.into_iter().zip(drags).map(|(c, d)| body(c, d)).collect();
        let arm = Arm::new(Geometry::new(1.0, 4.0).unwrap(), Levelling::Linkage, bodies).unwrap();
        let one = |k: f64| {
            let rates = Rates { pan_rps: 0.3 * k - 1.0, tilt_rps: 0.5 - 0.2 * k };
            let wind =
                Wind { relative_mps: DVec3::new(-20.0 + k, 3.0 * k - 8.0, k - 3.0), density_kgm3: 1.2 };
            (rates, 0.1 * k - 0.4, wind)
        };
        let flows: Vec<_> = (0..FLOWS).zip(0_u8..).map(|(_, k)| one(f64::from(k))).collect();
        for pose in [(0.3, 0.4), (-2.0, -0.2)].map(|(pan_rad, elevation_rad)| Pose { pan_rad, elevation_rad })
        {
            let at = InWind::at(&arm, pose).unwrap();
            let mut together = Blown::LOST;
            at.blown(&Flows::of(&flows).unwrap(), &mut together);
            for (k, (rates, yaw, wind)) in flows.iter().enumerate() {
                let alone = at.actions(*rates, DVec3::Z * *yaw, wind).unwrap();
                // Newtons and newton metres of some hundred; rounding of some tens of sums.
                let size = |w: Wrench| w.force.length() + w.moment.length();
                let apart = |a: Wrench, b: Wrench| size(a + b * -1.0);
                assert!(apart(of_flow(&together.on_platform, k), alone.on_platform) < 1e-9);
                assert!(apart(of_flow(&together.boom_root, k), alone.boom_root) < 1e-9);
                assert!((together.pan_torque_nm[k] - alone.pan_torque_nm).abs() < 1e-9);
                assert!((together.tilt_torque_nm[k] - alone.tilt_torque_nm).abs() < 1e-9);
                assert!(size(alone.on_platform) > 10.0 && size(alone.boom_root) > 10.0);
            }
        }
        // Those that are left over are calm.
        let mut few = Blown::LOST;
        InWind::at(&arm, Pose::default()).unwrap().blown(&Flows::of(&flows[..3]).unwrap(), &mut few);
        let calm = of_flow(&few.on_platform, 3);
        assert!(calm.force.length() + calm.moment.length() < f64::MIN_POSITIVE);
        let lost = (Rates::default(), f64::NAN, flows[0].2);
        assert!(Flows::of(&[lost]).is_err());
    }
}
