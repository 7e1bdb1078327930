//! An arm in several poses side by side: what its bodies need per unit of each term of the motion and in one wind after the
//! other (`docs/mechanics.md` §3.4.3, §3.4.4).
//!
//! The same equations as [`super::basis`] and [`super::wind`], body by body, so that what hangs beyond a cut of the boom is a sum
//! over fewer bodies and not an arm of its own.

use super::basis::TERMS;
use super::body::Body;
use super::chain::{Arm, Carrier, Frames, Geometry, Levelling};
use super::dynamics::{Pose, Rates};
use super::error::{ArmError, finite, finite_vec, positive};
use super::wind::{Facing, Wind};
use glam::{DMat3, DVec3};

/// Poses side by side.
pub const POSES: usize = 8;

/// One number a pose.
pub type Lanes = [f64; POSES];

/// A vector a pose, axis by axis.
type Three = [Lanes; 3];

/// A wrench a pose, number by number: `Fx Fy Fz Mx My Mz`.
pub type Six = [Lanes; 6];

const NONE: Three = [[0.0; POSES]; 3];

/// Air that flows past an arm whose drives turn and whose car turns by yaw alone.
#[derive(Clone, Copy, Debug)]
pub struct Flow {
    /// Half the density of the air, kg/m³.
    half_rho: f64,
    /// Air past the car, vehicle axes, m/s.
    air: DVec3,
    /// Yaw rate of the car, rad/s.
    car: f64,
    /// Yaw and pan rate together, rad/s.
    mast: f64,
    /// Tilt rate, rad/s.
    tilt: f64,
}

impl Flow {
    /// From rates of the arm, yaw rate of the car (rad/s) and wind.
    ///
    /// # Errors
    ///
    /// [`ArmError`] if a number is not finite or the density is not positive.
    pub fn of(rates: Rates, yaw_rps: f64, wind: &Wind) -> Result<Self, ArmError> {
        let car = finite("yaw rate of the car", yaw_rps)?;
        Ok(Self {
            half_rho: 0.5 * positive("air density", wind.density_kgm3)?,
            air: finite_vec("wind", wind.relative_mps)?,
            car,
            mast: car + finite("pan rate", rates.pan_rps)?,
            tilt: finite("tilt rate", rates.tilt_rps)?,
        })
    }
}

/// A place on a body at which the air's speed is taken.
#[derive(Clone, Debug)]
struct Spot {
    /// Where, carrier axes, m.
    local: DVec3,
    at: Three,
    /// How fast it goes per unit of tilt rate.
    swing: Three,
    shape: Shape,
}

/// What the air meets there, in its carrier's axes and in the vehicle's.
#[derive(Clone, Debug)]
enum Shape {
    /// A stretch of bar: its direction, and `Cd A`.
    Bar { local: DVec3, axis: Three, cd_area: f64 },
    /// Three faces: the axes they are square to, those of the carrier, and `Cd A` of each.
    Faces { axes: Box<[Three; 3]>, cd_areas: DVec3 },
}

#[derive(Clone, Debug)]
struct Placed {
    body: Body,
    /// Mass centre from the mast base.
    centre: Three,
    /// Inertia about it, column by column.
    inertia: [Three; 3],
    spots: Vec<Spot>,
}

/// An arm in up to [`POSES`] poses. In a pose that is not finite, and where there is none, nothing is a number.
#[derive(Clone, Debug)]
pub struct InPoses {
    geometry: Geometry,
    levelling: Levelling,
    /// Zero where there is a pose, else not a number.
    lost: Lanes,
    /// Axes of the mast and of the boom.
    mast: [Three; 3],
    boom: [Three; 3],
    pivot: Three,
    tip: Three,
    tilt_axis: Three,
    bodies: Vec<Placed>,
}

impl InPoses {
    /// An arm that is still to be placed.
    pub fn of(arm: &Arm) -> Self {
        let lost = [[f64::NAN; POSES]; 3];
        let spot = |(local, facing)| {
            let shape = match facing {
                Facing::Bar { axis: local, cd_area } => Shape::Bar { local, axis: lost, cd_area },
                Facing::Faces { cd_areas, .. } => Shape::Faces { axes: Box::new([lost; 3]), cd_areas },
            };
            Spot { local, at: lost, swing: lost, shape }
        };
        let placed = |body: &Body| {
            let spots = body.drag().map(|drag| drag.spots().into_iter().map(spot).collect());
            Placed { body: *body, centre: lost, inertia: [lost; 3], spots: spots.unwrap_or_default() }
        };
        Self {
            geometry: *arm.geometry(),
            levelling: arm.levelling(),
            lost: lost[0],
            mast: [lost; 3],
            boom: [lost; 3],
            pivot: lost,
            tip: lost,
            tilt_axis: lost,
            bodies: arm.bodies().iter().map(placed).collect(),
        }
    }

    /// Places it; what is over [`POSES`] is left out.
    ///
    /// To be inlined where the widest numbers side by side are switched on, as all that follows.
    #[inline(always)]
    pub fn place(&mut self, poses: &[Pose]) {
        self.lost = [f64::NAN; POSES];
        for k in 0..POSES {
            // What stands in places without a pose does not matter: it is lost.
            let Some(Ok(frames)) = poses.get(k).map(|pose| Frames::at(&self.geometry, *pose)) else {
                continue;
            };
            self.lost[k] = 0.0;
            put(&mut self.pivot, k, frames.pivot);
            put(&mut self.tip, k, frames.tip);
            put(&mut self.tilt_axis, k, frames.tilt_axis);
            put_matrix(&mut self.mast, k, frames.mast);
            put_matrix(&mut self.boom, k, frames.boom);
        }
        let upright = [along(0), along(1), along(2)];
        let to_tip = minus(&self.tip, &self.pivot);
        for Placed { body, centre, inertia, spots } in &mut self.bodies {
            let (origin, axes) = match body.carrier() {
                Carrier::Base => (&NONE, &upright),
                Carrier::Mast => (&NONE, &self.mast),
                Carrier::Boom => (&self.pivot, &self.boom),
                Carrier::LevelTip => (&self.tip, &self.mast),
                Carrier::FixedTip => (&self.tip, &self.boom),
            };
            *centre = plus(origin, &turned(axes, body.centre_m()));
            let own = body.inertia_kgm2().matrix();
            let half = [own.x_axis, own.y_axis, own.z_axis].map(|column| turned(axes, column));
            for (row, inertia) in inertia.iter_mut().enumerate() {
                // A column of `axes x own x axes turned over`.
                *inertia = times(&half, &[axes[0][row], axes[1][row], axes[2][row]]);
            }
            for Spot { local, at, swing, shape } in spots {
                *at = plus(origin, &turned(axes, *local));
                let lever = match body.carrier() {
                    Carrier::Base | Carrier::Mast => NONE,
                    Carrier::LevelTip => to_tip,
                    Carrier::Boom | Carrier::FixedTip => minus(at, &self.pivot),
                };
                *swing = cross(&self.tilt_axis, &lever);
                match shape {
                    Shape::Bar { local, axis, .. } => *axis = turned(axes, *local),
                    Shape::Faces { axes: faces, .. } => **faces = *axes,
                }
            }
        }
    }

    /// What each body needs per unit of each term ([`super::BasisTerms`]), about the mast base: term by term, body by body.
    #[inline(always)]
    pub fn needed_per_term(&self, out: &mut [Vec<Six>; TERMS]) {
        let e = &self.tilt_axis;
        let to_tip = minus(&self.tip, &self.pivot);
        for out in &mut *out {
            out.clear();
            out.resize(self.bodies.len(), [[0.0; POSES]; 6]);
        }
        for (b, body) in self.bodies.iter().enumerate() {
            let (r, i) = (&body.centre, &body.inertia);
            let to_centre = minus(r, &self.pivot);
            let (lever, tilts) = match body.body.carrier() {
                Carrier::Base | Carrier::Mast => (&NONE, false),
                Carrier::LevelTip => (&to_tip, false),
                Carrier::Boom | Carrier::FixedTip => (&to_centre, true),
            };
            let turns = body.body.carrier() != Carrier::Base;
            let i_z = &i[2];
            let euler = (about_z(r), *i_z);
            let centripetal = (about_z(&euler.0), about_z(i_z));
            let swung = cross(e, lever);
            let (mut by_tilt, mut by_both, mut by_square) = (NONE, NONE, NONE);
            if tilts {
                by_tilt = times(i, e);
                by_both = plus(&plus(&times(i, &about_z(e)), &about_z(&by_tilt)), &cross(e, i_z));
                by_square = cross(e, &by_tilt);
            }
            let none = (NONE, NONE);
            let (pan, yaw) =
                if turns { ([euler, centripetal], [none; 2]) } else { ([none; 2], [euler, centripetal]) };
            let mut both = about_z(&swung);
            both.as_flattened_mut().iter_mut().for_each(|v| *v *= 2.0);
            let per_unit: [(Three, Three); TERMS] = [
                (along(0), NONE),
                (along(1), NONE),
                (along(2), NONE),
                pan[0],
                (swung, by_tilt),
                pan[1],
                (both, by_both),
                (cross(e, &swung), by_square),
                yaw[0],
                yaw[1],
            ];
            for (out, (a, m)) in out.iter_mut().zip(&per_unit) {
                let mut force = *a;
                force.as_flattened_mut().iter_mut().for_each(|v| *v *= body.body.mass_kg());
                let moment = plus(&cross(r, &force), m);
                out[b] = [force[0], force[1], force[2], moment[0], moment[1], moment[2]];
            }
        }
    }

    /// What each body needs against a flow, about the mast base.
    #[inline(always)]
    pub fn needed_in(&self, flow: &Flow, out: &mut Vec<Six>) {
        out.clear();
        for body in &self.bodies {
            let turning = if body.body.carrier() == Carrier::Base { flow.car } else { flow.mast };
            let mut sum = [[0.0; POSES]; 6];
            for spot in &body.spots {
                let [x, y, z] = &force(spot, flow, turning);
                let [a, b, c] = &spot.at;
                for k in 0..POSES {
                    sum[0][k] -= x[k];
                    sum[1][k] -= y[k];
                    sum[2][k] -= z[k];
                    sum[3][k] -= b[k] * z[k] - c[k] * y[k];
                    sum[4][k] -= c[k] * x[k] - a[k] * z[k];
                    sum[5][k] -= a[k] * y[k] - b[k] * x[k];
                }
            }
            out.push(sum);
        }
    }

    /// What the whole arm does, from what its bodies need: see [`super::Actions`]' `on_platform`, `pan_torque_nm` and
    /// `tilt_torque_nm`.
    #[inline(always)]
    pub fn whole(&self, needed: &[Six]) -> (Six, Lanes, Lanes) {
        let none = [self.lost; 6];
        let (mut all, mut base, mut tilting) = (none, none, none);
        for (body, needed) in self.bodies.iter().zip(needed) {
            add(&mut all, needed);
            match body.body.carrier() {
                Carrier::Base => add(&mut base, needed),
                Carrier::Mast => {}
                Carrier::Boom | Carrier::FixedTip | Carrier::LevelTip => add(&mut tilting, needed),
            }
        }
        let mut tilt = dot(&moment(&tilting, &self.pivot), &self.tilt_axis);
        let level = self.level_torque(self.bodies.iter().zip(needed));
        let mut pan = all[5];
        for k in 0..POSES {
            tilt[k] -= level[k];
            pan[k] -= base[5][k];
        }
        all.as_flattened_mut().iter_mut().for_each(|v| *v = -*v);
        (all, pan, tilt)
    }

    /// What some bodies (by index) that hang beyond a place of the boom do to what is before it: `N Vy Vz T My Mz`, boom axes,
    /// about the place, `along_m` from the pivot. What the levelling takes past the boom is left out.
    #[inline(always)]
    pub fn beyond(&self, needed: &[Six], which: &[usize], along_m: f64) -> Six {
        let mut sum = [self.lost; 6];
        let some = which.iter().filter_map(|b| self.bodies.get(*b).zip(needed.get(*b)));
        some.clone().for_each(|(_, needed)| add(&mut sum, needed));
        let (level, mut about) = (self.level_torque(some), moment(&sum, &self.pivot));
        for (m, e) in about.iter_mut().zip(&self.tilt_axis) {
            for k in 0..POSES {
                m[k] -= e[k] * level[k];
            }
        }
        let force = [sum[0], sum[1], sum[2]];
        let [mut f, mut m] = [NONE; 2];
        for (row, axis) in self.boom.iter().enumerate() {
            f[row] = dot(&force, axis);
            m[row] = dot(&about, axis);
        }
        for k in 0..POSES {
            m[1][k] += along_m * f[2][k];
            m[2][k] -= along_m * f[1][k];
        }
        let mut out = [f[0], f[1], f[2], m[0], m[1], m[2]];
        out.as_flattened_mut().iter_mut().for_each(|v| *v = -*v);
        out
    }

    /// The torque that a linkage takes past the tilt drive and the boom.
    #[inline(always)]
    fn level_torque<'a>(&'a self, bodies: impl Iterator<Item = (&'a Placed, &'a Six)>) -> Lanes {
        let mut sum = [[0.0; POSES]; 6];
        if self.levelling == Levelling::TipDrive {
            return sum[0];
        }
        for (_, needed) in bodies.filter(|(body, _)| body.body.carrier() == Carrier::LevelTip) {
            add(&mut sum, needed);
        }
        dot(&moment(&sum, &self.tip), &self.tilt_axis)
    }
}

/// Force of a flow at a spot, vehicle axes, N.
#[inline(always)]
fn force(spot: &Spot, flow: &Flow, turning: f64) -> Three {
    let (at, swing) = (&spot.at, &spot.swing);
    let [mut x, mut y, mut z] = NONE;
    for k in 0..POSES {
        x[k] = flow.air.x + turning * at[1][k] - flow.tilt * swing[0][k];
        y[k] = flow.air.y - turning * at[0][k] - flow.tilt * swing[1][k];
        z[k] = flow.air.z - flow.tilt * swing[2][k];
    }
    match &spot.shape {
        Shape::Bar { axis: [u, v, w], cd_area, .. } => {
            let by = flow.half_rho * cd_area;
            for k in 0..POSES {
                let along = x[k] * u[k] + y[k] * v[k] + z[k] * w[k];
                let (a, b, c) = (x[k] - u[k] * along, y[k] - v[k] * along, z[k] - w[k] * along);
                let by = by * (a * a + b * b + c * c).sqrt();
                (x[k], y[k], z[k]) = (a * by, b * by, c * by);
            }
        }
        Shape::Faces { axes, cd_areas } => {
            let [p, q, r] = &**axes;
            for k in 0..POSES {
                let by = flow.half_rho * (x[k] * x[k] + y[k] * y[k] + z[k] * z[k]).sqrt();
                let faced = |axis: &Three, cd_area: f64| {
                    cd_area * (x[k] * axis[0][k] + y[k] * axis[1][k] + z[k] * axis[2][k]) * by
                };
                let (a, b, c) = (faced(p, cd_areas.x), faced(q, cd_areas.y), faced(r, cd_areas.z));
                x[k] = p[0][k] * a + q[0][k] * b + r[0][k] * c;
                y[k] = p[1][k] * a + q[1][k] * b + r[1][k] * c;
                z[k] = p[2][k] * a + q[2][k] * b + r[2][k] * c;
            }
        }
    }
    [x, y, z]
}

fn put(lanes: &mut Three, k: usize, v: DVec3) {
    for (lanes, v) in lanes.iter_mut().zip(v.to_array()) {
        lanes[k] = v;
    }
}

fn put_matrix(lanes: &mut [Three; 3], k: usize, m: DMat3) {
    for (lanes, axis) in lanes.iter_mut().zip([m.x_axis, m.y_axis, m.z_axis]) {
        put(lanes, k, axis);
    }
}

/// A vector in axes that are turned into the vehicle's.
#[inline(always)]
fn turned(axes: &[Three; 3], v: DVec3) -> Three {
    let mut out = NONE;
    for (row, out) in out.iter_mut().enumerate() {
        for k in 0..POSES {
            out[k] = axes[0][row][k] * v.x + axes[1][row][k] * v.y + axes[2][row][k] * v.z;
        }
    }
    out
}

/// A unit along an axis.
#[inline(always)]
fn along(axis: usize) -> Three {
    let mut out = NONE;
    out[axis] = [1.0; POSES];
    out
}

#[inline(always)]
fn plus(a: &Three, b: &Three) -> Three {
    let mut out = *a;
    for (out, b) in out.iter_mut().zip(b) {
        for k in 0..POSES {
            out[k] += b[k];
        }
    }
    out
}

#[inline(always)]
fn minus(a: &Three, b: &Three) -> Three {
    let mut out = *a;
    for (out, b) in out.iter_mut().zip(b) {
        for k in 0..POSES {
            out[k] -= b[k];
        }
    }
    out
}

#[inline(always)]
fn add(a: &mut Six, b: &Six) {
    for (a, b) in a.iter_mut().zip(b) {
        for k in 0..POSES {
            a[k] += b[k];
        }
    }
}

#[inline(always)]
fn cross(a: &Three, b: &Three) -> Three {
    let mut out = NONE;
    for k in 0..POSES {
        out[0][k] = a[1][k] * b[2][k] - a[2][k] * b[1][k];
        out[1][k] = a[2][k] * b[0][k] - a[0][k] * b[2][k];
        out[2][k] = a[0][k] * b[1][k] - a[1][k] * b[0][k];
    }
    out
}

/// `z x v`.
#[inline(always)]
fn about_z(v: &Three) -> Three {
    let mut out = NONE;
    for k in 0..POSES {
        out[0][k] = -v[1][k];
        out[1][k] = v[0][k];
    }
    out
}

#[inline(always)]
fn dot(a: &Three, b: &Three) -> Lanes {
    let mut out = [0.0; POSES];
    for k in 0..POSES {
        out[k] = a[0][k] * b[0][k] + a[1][k] * b[1][k] + a[2][k] * b[2][k];
    }
    out
}

/// A matrix, column by column, times a vector.
#[inline(always)]
fn times(m: &[Three; 3], v: &Three) -> Three {
    let mut out = NONE;
    for (column, v) in m.iter().zip(v) {
        for (out, column) in out.iter_mut().zip(column) {
            for k in 0..POSES {
                out[k] += column[k] * v[k];
            }
        }
    }
    out
}

/// The moment of a wrench about another point than the mast base.
#[inline(always)]
fn moment(w: &Six, to: &Three) -> Three {
    minus(&[w[3], w[4], w[5]], &cross(to, &[w[0], w[1], w[2]]))
}

#[cfg(test)]
mod tests {
    use super::super::{Drag, InWind, wrench_basis};
    use super::*;
    use crate::wrench::Wrench;

    fn wrench(lanes: &Six, k: usize) -> Wrench {
        Wrench::from_array(lanes.map(|v| v[k]))
    }

    fn arm(levelling: Levelling) -> Arm {
        let cage = Drag::bluff_box(DVec3::new(0.1, 0.0, -0.3), DVec3::new(0.1, 0.2, 0.3), 1.05).unwrap();
        let boom = Drag::rod(DVec3::X * 0.2, DVec3::X * 4.0, 0.06, 1.2).unwrap();
        let tail = Drag::rod(DVec3::X * -0.8, DVec3::ZERO, 0.06, 1.2).unwrap();
        let post = Drag::rod(DVec3::ZERO, DVec3::Z, 0.1, 1.2).unwrap();
        let size = DVec3::new(0.2, 0.3, 0.5);
        let body = |carrier, x| Body::cuboid(7.0, DVec3::new(x, 0.1, 0.2), size, carrier).unwrap();
        let bodies = vec![
            body(Carrier::Base, 0.1).with_drag(post),
            body(Carrier::Mast, 0.2).with_drag(post),
            body(Carrier::Boom, 1.5).with_drag(boom),
            body(Carrier::Boom, -0.5).with_drag(tail),
            body(Carrier::FixedTip, 0.1),
            body(Carrier::FixedTip, 0.2).with_drag(cage),
            body(Carrier::LevelTip, 0.3).with_drag(cage),
        ];
        let geometry = Geometry::new(1.0, 4.0).unwrap().with_pivot_offset(0.1, 0.05).unwrap();
        Arm::new(geometry, levelling, bodies).unwrap()
    }

    fn poses() -> Vec<Pose> {
        (0..6_u8).map(f64::from).map(|k| Pose { pan_rad: k - 2.5, elevation_rad: 0.2 * k - 0.4 }).collect()
    }

    /// Newtons and newton metres of some hundred; rounding of some tens of sums.
    fn same(a: Wrench, b: Wrench) -> bool {
        let apart = a + b * -1.0;
        apart.force.length() + apart.moment.length() < 1e-9
    }

    #[test]
    fn side_by_side_poses_need_what_each_needs_alone() {
        for levelling in [Levelling::Linkage, Levelling::TipDrive] {
            let (arm, poses) = (arm(levelling), poses());
            let mut together = InPoses::of(&arm);
            together.place(&poses);
            let mut needed: [Vec<Six>; TERMS] = Default::default();
            together.needed_per_term(&mut needed);
            for (term, needed) in needed.iter().enumerate() {
                let (on_platform, pan, tilt) = together.whole(needed);
                let front = together.beyond(needed, &[2, 4, 5, 6], 0.0);
                for (k, pose) in poses.iter().enumerate() {
                    let alone = wrench_basis(&arm, *pose).unwrap().columns()[term];
                    assert!(same(wrench(&on_platform, k), alone.on_platform), "{term} in {k}");
                    assert!(same(wrench(&front, k), alone.boom_root), "{term} in {k}");
                    assert!((pan[k] - alone.pan_torque_nm).abs() < 1e-9, "{term} in {k}");
                    assert!((tilt[k] - alone.tilt_torque_nm).abs() < 1e-9, "{term} in {k}");
                }
                let beyond_the_last = [on_platform, front].concat().into_iter().chain([pan, tilt]);
                assert!(beyond_the_last.into_iter().all(|v| v[poses.len()].is_nan()));
            }
        }
    }

    #[test]
    fn side_by_side_they_meet_the_wind_that_each_meets_alone() {
        for levelling in [Levelling::Linkage, Levelling::TipDrive] {
            let (arm, poses) = (arm(levelling), poses());
            let mut together = InPoses::of(&arm);
            together.place(&poses);
            let mut needed = Vec::new();
            for k in (0..5_u8).map(f64::from) {
                let rates = Rates { pan_rps: 0.3 * k - 1.0, tilt_rps: 0.5 - 0.2 * k };
                let relative_mps = DVec3::new(-20.0 + k, 3.0 * k - 8.0, k - 3.0);
                let (yaw, wind) = (0.1 * k - 0.4, Wind { relative_mps, density_kgm3: 1.2 });
                together.needed_in(&Flow::of(rates, yaw, &wind).unwrap(), &mut needed);
                let (on_platform, pan, tilt) = together.whole(&needed);
                let front = together.beyond(&needed, &[2, 4, 5, 6], 0.0);
                for (k, pose) in poses.iter().enumerate() {
                    let alone =
                        InWind::at(&arm, *pose).unwrap().actions(rates, DVec3::Z * yaw, &wind).unwrap();
                    assert!(same(wrench(&on_platform, k), alone.on_platform));
                    assert!(same(wrench(&front, k), alone.boom_root));
                    assert!((pan[k] - alone.pan_torque_nm).abs() < 1e-9);
                    assert!((tilt[k] - alone.tilt_torque_nm).abs() < 1e-9);
                    assert!(alone.on_platform.force.length() > 10.0 && alone.boom_root.force.length() > 10.0);
                }
            }
            let wind = Wind { relative_mps: DVec3::X, density_kgm3: 1.2 };
            assert!(Flow::of(Rates::default(), f64::NAN, &wind).is_err());
        }
    }

    #[test]
    fn a_pose_that_is_not_finite_takes_no_number_from_the_others() {
        let (arm, mut poses) = (arm(Levelling::Linkage), poses());
        poses[1].pan_rad = f64::NAN;
        let mut together = InPoses::of(&arm);
        together.place(&poses);
        let mut needed: [Vec<Six>; TERMS] = Default::default();
        together.needed_per_term(&mut needed);
        for needed in &needed {
            for row in together.whole(needed).0 {
                assert!(row[1].is_nan() && row[0].is_finite() && row[2].is_finite());
            }
        }
    }
}
