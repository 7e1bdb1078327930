//! The arm against first principles on random arms: positions differentiated twice, energy, symmetry, superposition.

#![allow(clippy::unwrap_used, reason = "the builders of test arms stand outside the test functions")]

use glam::{DMat3, DVec3};
use mechanics::arm::{
    Accelerations, Actions, Arm, Base, BasisTerms, Body, Carrier, Geometry, Inertia, Levelling, Pose, Rates,
    actions, wrench_basis,
};
use mechanics::wrench::Wrench;
use proptest::prelude::*;

/// Relative rounding of the analytic routes.
const ROUNDING: f64 = 1e-12;
/// Sixth-order differences at steps of 0.01 s, motions of some rad/s: truncation and rounding both near 1e-10.
const DIFFERENCE_TOL: f64 = 1e-7;
const STEP_S: f64 = 0.01;

/// A small generator of repeatable numbers (splitmix64).
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        f64::from(u32::try_from((z ^ (z >> 31)) >> 32).unwrap()) / f64::from(u32::MAX)
    }
    fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    fn vector(&mut self, size: f64) -> DVec3 {
        DVec3::new(self.within(-size, size), self.within(-size, size), self.within(-size, size))
    }
}

/// Mass points, each in the axes of its carrier.
type Cloud = Vec<(Carrier, Vec<(f64, DVec3)>)>;

const CARRIERS: [Carrier; 5] =
    [Carrier::Base, Carrier::Mast, Carrier::Boom, Carrier::LevelTip, Carrier::FixedTip];

fn random_cloud(dice: &mut Dice) -> Cloud {
    let mut all = Vec::new();
    for carrier in CARRIERS {
        let size = if carrier == Carrier::Boom { 2.0 } else { 0.4 };
        for _ in 0..2 {
            let middle = dice.vector(size);
            let points = (0..6).map(|_| (dice.within(0.2, 4.0), middle + dice.vector(0.5 * size))).collect();
            all.push((carrier, points));
        }
    }
    all
}

fn random_geometry(dice: &mut Dice) -> Geometry {
    Geometry::new(dice.within(0.3, 1.8), dice.within(2.0, 6.0))
        .unwrap()
        .with_pivot_offset(dice.within(-0.3, 0.3), dice.within(-0.2, 0.2))
        .unwrap()
}

fn bodies_of(cloud: &Cloud) -> Vec<Body> {
    let one = |(carrier, points): &(Carrier, Vec<(f64, DVec3)>)| {
        let mass: f64 = points.iter().map(|(m, _)| m).sum();
        let centre = points.iter().map(|(m, p)| *p * *m).sum::<DVec3>() / mass;
        let mut i = Inertia::ZERO;
        for (m, p) in points {
            let r = *p - centre;
            i.xx += m * (r.y * r.y + r.z * r.z);
            i.yy += m * (r.z * r.z + r.x * r.x);
            i.zz += m * (r.x * r.x + r.y * r.y);
            i.xy -= m * r.x * r.y;
            i.xz -= m * r.x * r.z;
            i.yz -= m * r.y * r.z;
        }
        Body::new(mass, centre, i, *carrier).unwrap()
    };
    cloud.iter().map(one).collect()
}

fn random_arm(seed: u64, levelling: Levelling) -> Arm {
    let mut dice = Dice(seed);
    let cloud = random_cloud(&mut dice);
    Arm::new(random_geometry(&mut dice), levelling, bodies_of(&cloud)).unwrap()
}

#[derive(Clone, Copy, Debug)]
struct State {
    pose: Pose,
    rates: Rates,
    accelerations: Accelerations,
    base: Base,
}

fn random_state(dice: &mut Dice, pure_yaw: bool) -> State {
    let only_z = |v: DVec3| if pure_yaw { DVec3::Z * v.z } else { v };
    State {
        pose: Pose { pan_rad: dice.within(-3.2, 3.2), elevation_rad: dice.within(-1.2, 1.2) },
        rates: Rates { pan_rps: dice.within(-2.0, 2.0), tilt_rps: dice.within(-2.0, 2.0) },
        accelerations: Accelerations { pan_rps2: dice.within(-4.0, 4.0), tilt_rps2: dice.within(-4.0, 4.0) },
        base: Base {
            acceleration_mps2: dice.vector(10.0),
            angular_velocity_rps: only_z(dice.vector(1.5)),
            angular_acceleration_rps2: only_z(dice.vector(3.0)),
            gravity_mps2: DVec3::new(0.0, 0.0, -9.8) + dice.vector(2.0),
        },
    }
}

fn solve(arm: &Arm, s: &State) -> Actions {
    actions(arm, s.pose, s.rates, s.accelerations, &s.base).unwrap()
}

/// All numbers of an answer in one row.
fn numbers(a: &Actions) -> Vec<f64> {
    let mut all = vec![a.pan_torque_nm, a.tilt_torque_nm, a.level_torque_nm];
    for w in [a.on_platform, a.on_tip, a.boom_root] {
        all.extend(w.to_array());
    }
    all
}

fn assert_close(a: &Actions, b: &Actions, relative: f64) {
    let (a, b) = (numbers(a), numbers(b));
    let scale = b.iter().fold(1.0_f64, |m, v| m.max(v.abs()));
    for (k, (x, y)) in a.iter().zip(&b).enumerate() {
        assert!((x - y).abs() <= relative * scale, "number {k}: {x} for {y}, scale {scale}");
    }
}

/// A smooth run of car and arm: everything as plain functions of time, in world axes.
struct Run {
    geometry: Geometry,
    cloud: Cloud,
    c: [f64; 16],
}

/// Gravity in the world, m/s².
const WORLD_GRAVITY: DVec3 = DVec3::new(0.0, 0.0, -9.806_65);

impl Run {
    fn random(seed: u64) -> Self {
        let mut dice = Dice(seed);
        let cloud = random_cloud(&mut dice);
        let geometry = random_geometry(&mut dice);
        Self { geometry, cloud, c: core::array::from_fn(|_| dice.within(-1.0, 1.0)) }
    }
    fn pan(&self, t: f64) -> f64 {
        self.c[0] * 3.0 + 1.5 * (1.3 * t + self.c[1]).sin()
    }
    fn tilt(&self, t: f64) -> f64 {
        self.c[2] + 0.9 * (1.7 * t + self.c[3]).sin()
    }
    fn car(&self, t: f64) -> DMat3 {
        DMat3::from_rotation_z(self.c[4] + 1.1 * (0.9 * t + self.c[5]).sin())
            * DMat3::from_rotation_y(0.4 * (1.9 * t + self.c[6]).sin())
            * DMat3::from_rotation_x(0.5 * (1.4 * t + self.c[7]).cos())
    }
    fn mast_base(&self, t: f64) -> DVec3 {
        DVec3::new(
            8.0 * t + 2.0 * (1.1 * t + self.c[8]).sin(),
            3.0 * (0.8 * t + self.c[9]).cos(),
            0.4 * (1.6 * t + self.c[10]).sin(),
        )
    }
    /// A mass point in the world, written out by trigonometry alone.
    fn point(&self, carrier: Carrier, p: DVec3, t: f64) -> DVec3 {
        let (g, th, ps) = (&self.geometry, self.tilt(t), self.pan(t));
        let tilted =
            |q: DVec3| DVec3::new(q.x * th.cos() - q.z * th.sin(), q.y, q.x * th.sin() + q.z * th.cos());
        let pivot = DVec3::new(g.pivot_forward_m(), 0.0, g.pivot_height_m());
        let reach = DVec3::new(g.tip_radius_m(), 0.0, g.axis_rise_m());
        let in_mast = match carrier {
            Carrier::Base | Carrier::Mast => p,
            Carrier::Boom => pivot + tilted(p),
            Carrier::LevelTip => pivot + tilted(reach) + p,
            Carrier::FixedTip => pivot + tilted(reach + p),
        };
        let ps = if carrier == Carrier::Base { 0.0 } else { ps };
        let in_car = DVec3::new(
            in_mast.x * ps.cos() - in_mast.y * ps.sin(),
            in_mast.x * ps.sin() + in_mast.y * ps.cos(),
            in_mast.z,
        );
        self.mast_base(t) + self.car(t) * in_car
    }
    fn state(&self, t: f64) -> State {
        let r = self.car(t);
        let r_dot = slope_matrix(|s| self.car(s), t);
        let r_ddot = bend_matrix(|s| self.car(s), t);
        // The skew part of R' Rᵀ is the angular velocity, that of R'' Rᵀ its rate.
        let axial = |m: DMat3| {
            DVec3::new(m.y_axis.z - m.z_axis.y, m.z_axis.x - m.x_axis.z, m.x_axis.y - m.y_axis.x) * 0.5
        };
        let back = r.transpose();
        State {
            pose: Pose { pan_rad: self.pan(t), elevation_rad: self.tilt(t) },
            rates: Rates { pan_rps: slope(|s| self.pan(s), t), tilt_rps: slope(|s| self.tilt(s), t) },
            accelerations: Accelerations {
                pan_rps2: bend(|s| self.pan(s), t),
                tilt_rps2: bend(|s| self.tilt(s), t),
            },
            base: Base {
                acceleration_mps2: back * bend_vector(|s| self.mast_base(s), t),
                angular_velocity_rps: back * axial(r_dot * back),
                angular_acceleration_rps2: back * axial(r_ddot * back),
                gravity_mps2: back * WORLD_GRAVITY,
            },
        }
    }
    fn arm(&self, levelling: Levelling) -> Arm {
        Arm::new(self.geometry, levelling, bodies_of(&self.cloud)).unwrap()
    }
    fn points(&self) -> impl Iterator<Item = (Carrier, f64, DVec3)> {
        self.cloud.iter().flat_map(|(c, points)| points.iter().map(|(m, p)| (*c, *m, *p)))
    }
    /// Kinetic and potential energy from positions alone, J.
    fn energy(&self, t: f64) -> f64 {
        let one = |(c, m, p): (Carrier, f64, DVec3)| {
            let v = slope_vector(|s| self.point(c, p, s), t);
            m * (0.5 * v.length_squared() - WORLD_GRAVITY.dot(self.point(c, p, t)))
        };
        self.points().map(one).sum()
    }
}

/// Sixth-order central first difference.
fn slope(f: impl Fn(f64) -> f64, t: f64) -> f64 {
    let d = |k: f64| f(t + k * STEP_S) - f(t - k * STEP_S);
    (45.0 * d(1.0) - 9.0 * d(2.0) + d(3.0)) / (60.0 * STEP_S)
}

/// Sixth-order central second difference.
fn bend(f: impl Fn(f64) -> f64, t: f64) -> f64 {
    let s = |k: f64| f(t + k * STEP_S) + f(t - k * STEP_S) - 2.0 * f(t);
    (270.0 * s(1.0) - 27.0 * s(2.0) + 2.0 * s(3.0)) / (180.0 * STEP_S * STEP_S)
}

fn slope_vector(f: impl Fn(f64) -> DVec3, t: f64) -> DVec3 {
    DVec3::new(slope(|s| f(s).x, t), slope(|s| f(s).y, t), slope(|s| f(s).z, t))
}

fn bend_vector(f: impl Fn(f64) -> DVec3, t: f64) -> DVec3 {
    DVec3::new(bend(|s| f(s).x, t), bend(|s| f(s).y, t), bend(|s| f(s).z, t))
}

fn slope_matrix(f: impl Fn(f64) -> DMat3, t: f64) -> DMat3 {
    DMat3::from_cols(
        slope_vector(|s| f(s).x_axis, t),
        slope_vector(|s| f(s).y_axis, t),
        slope_vector(|s| f(s).z_axis, t),
    )
}

fn bend_matrix(f: impl Fn(f64) -> DMat3, t: f64) -> DMat3 {
    DMat3::from_cols(
        bend_vector(|s| f(s).x_axis, t),
        bend_vector(|s| f(s).y_axis, t),
        bend_vector(|s| f(s).z_axis, t),
    )
}

/// Newton's law for every mass point, with accelerations from positions differentiated twice.
#[test]
fn momentum_of_mass_points_gives_the_same_wrenches() {
    for seed in 0..12 {
        let run = Run::random(seed);
        let t = 0.37;
        let got = solve(&run.arm(Levelling::TipDrive), &run.state(t));
        let back = run.car(t).transpose();
        let origin = run.mast_base(t);
        let at = |p: DVec3| back * (p - origin);
        let (pivot, tip) =
            (at(run.point(Carrier::Boom, DVec3::ZERO, t)), at(run.point(Carrier::LevelTip, DVec3::ZERO, t)));
        let mast_x = at(run.point(Carrier::Mast, DVec3::X, t));
        let tilt_axis = -DVec3::Z.cross(mast_x);
        let boom_x = (at(run.point(Carrier::Boom, DVec3::X, t)) - pivot).normalize();

        let (mut all, mut front, mut on_tip) = (Wrench::ZERO, Wrench::ZERO, Wrench::ZERO);
        let (mut pan, mut tilt, mut level) = (0.0, 0.0, 0.0);
        for (carrier, points) in &run.cloud {
            let mass: f64 = points.iter().map(|(m, _)| m).sum();
            let ahead = points.iter().map(|(m, p)| m * p.x).sum::<f64>() / mass >= 0.0;
            for (m, p) in points {
                let acceleration = bend_vector(|s| run.point(*carrier, *p, s), t) - WORLD_GRAVITY;
                let force = back * acceleration * *m;
                let r = at(run.point(*carrier, *p, t));
                all += Wrench::of_force_at(-force, r);
                let at_tip = matches!(carrier, Carrier::LevelTip | Carrier::FixedTip);
                if *carrier != Carrier::Base {
                    pan += r.cross(force).z;
                }
                if at_tip || *carrier == Carrier::Boom {
                    tilt += (r - pivot).cross(force).dot(tilt_axis);
                }
                if *carrier == Carrier::LevelTip {
                    level += (r - tip).cross(force).dot(tilt_axis);
                }
                if at_tip {
                    on_tip += Wrench::of_force_at(-force, r - tip);
                }
                if at_tip || (*carrier == Carrier::Boom && ahead) {
                    front += Wrench::of_force_at(-force, r - pivot);
                }
            }
        }
        let along = |x: DVec3, y: DVec3, w: Wrench| {
            let axes = DMat3::from_cols(x, y, x.cross(y)).transpose();
            Wrench::new(axes * w.force, axes * w.moment)
        };
        let want = Actions {
            on_platform: all,
            pan_torque_nm: pan,
            tilt_torque_nm: tilt,
            level_torque_nm: level,
            on_tip: along(mast_x, -tilt_axis, on_tip),
            boom_root: along(boom_x, -tilt_axis, front),
        };
        assert_close(&got, &want, DIFFERENCE_TOL);
    }
}

/// Power of the drives and of the platform is the rate of kinetic and potential energy.
#[test]
fn power_balances_energy() {
    for seed in 20..26 {
        let run = Run::random(seed);
        for t in [0.0, 0.61, 1.43] {
            let rate = slope(|s| run.energy(s), t);
            let s = run.state(t);
            let velocity = run.car(t).transpose() * slope_vector(|s| run.mast_base(s), t);
            for levelling in [Levelling::Linkage, Levelling::TipDrive] {
                let a = solve(&run.arm(levelling), &s);
                let platform = -a.on_platform.force.dot(velocity)
                    - a.on_platform.moment.dot(s.base.angular_velocity_rps);
                let drives = a.pan_torque_nm * s.rates.pan_rps + a.tilt_torque_nm * s.rates.tilt_rps;
                // A drive at the tip turns the load back as fast as the boom tilts; a linkage does no work.
                let tip = match levelling {
                    Levelling::Linkage => 0.0,
                    Levelling::TipDrive => -a.level_torque_nm * s.rates.tilt_rps,
                };
                let scale = (platform.abs() + drives.abs()).max(1.0);
                assert!((platform + drives + tip - rate).abs() <= DIFFERENCE_TOL * scale, "seed {seed}");
            }
        }
    }
}

#[test]
fn the_basis_equals_the_full_equations() {
    for seed in 0..200 {
        let mut dice = Dice(seed ^ 0x5eed);
        let levelling = if seed % 2 == 0 { Levelling::Linkage } else { Levelling::TipDrive };
        let arm = random_arm(seed, levelling);
        let s = random_state(&mut dice, true);
        let basis = wrench_basis(&arm, s.pose).unwrap();
        let terms = BasisTerms::of(s.rates, s.accelerations, &s.base).unwrap();
        let full = solve(&arm, &s);
        assert_close(&basis.actions(&terms), &full, ROUNDING);
        let product = |row: &[f64]| row.iter().zip(terms.0).map(|(a, b)| a * b).sum::<f64>();
        let rows = basis.platform_matrix();
        let by_matrix = Actions {
            on_platform: Wrench::from_array(core::array::from_fn(|k| product(&rows[k]))),
            pan_torque_nm: product(&basis.pan_torque_row()),
            tilt_torque_nm: product(&basis.tilt_torque_row()),
            ..full
        };
        assert_close(&by_matrix, &full, ROUNDING);
    }
}

fn mirrored(arm: &Arm) -> Arm {
    let flip = |b: &Body| {
        let (c, i) = (b.centre_m(), b.inertia_kgm2());
        let i = Inertia { xy: -i.xy, yz: -i.yz, ..i };
        Body::new(b.mass_kg(), DVec3::new(c.x, -c.y, c.z), i, b.carrier()).unwrap()
    };
    Arm::new(*arm.geometry(), arm.levelling(), arm.bodies().iter().map(flip).collect()).unwrap()
}

/// Left for right: y of true vectors, x and z of turning vectors.
fn flip_vector(v: DVec3) -> DVec3 {
    DVec3::new(v.x, -v.y, v.z)
}
fn flip_turn(v: DVec3) -> DVec3 {
    DVec3::new(-v.x, v.y, -v.z)
}
fn flip_wrench(w: Wrench) -> Wrench {
    Wrench::new(flip_vector(w.force), flip_turn(w.moment))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn mirroring_the_world_mirrors_the_answer(seed in any::<u64>(), drive in any::<bool>()) {
        let levelling = if drive { Levelling::TipDrive } else { Levelling::Linkage };
        let arm = random_arm(seed, levelling);
        let s = random_state(&mut Dice(!seed), false);
        let m = State {
            pose: Pose { pan_rad: -s.pose.pan_rad, ..s.pose },
            rates: Rates { pan_rps: -s.rates.pan_rps, ..s.rates },
            accelerations: Accelerations { pan_rps2: -s.accelerations.pan_rps2, ..s.accelerations },
            base: Base {
                acceleration_mps2: flip_vector(s.base.acceleration_mps2),
                angular_velocity_rps: flip_turn(s.base.angular_velocity_rps),
                angular_acceleration_rps2: flip_turn(s.base.angular_acceleration_rps2),
                gravity_mps2: flip_vector(s.base.gravity_mps2),
            },
        };
        let a = solve(&arm, &s);
        let want = Actions {
            on_platform: flip_wrench(a.on_platform),
            pan_torque_nm: -a.pan_torque_nm,
            on_tip: flip_wrench(a.on_tip),
            boom_root: flip_wrench(a.boom_root),
            ..a
        };
        assert_close(&solve(&mirrored(&arm), &m), &want, ROUNDING);
    }

    #[test]
    fn turning_pose_and_car_together_turns_the_wrench(seed in any::<u64>(), turn in -3.0..3.0_f64) {
        // Parts on the base would have to turn too: leave them out.
        let whole = random_arm(seed, Levelling::Linkage);
        let bodies = whole.bodies().iter().filter(|b| b.carrier() != Carrier::Base).copied().collect();
        let arm = Arm::new(*whole.geometry(), whole.levelling(), bodies).unwrap();
        let s = random_state(&mut Dice(!seed), false);
        let r = DMat3::from_rotation_z(turn);
        let turned = State {
            pose: Pose { pan_rad: s.pose.pan_rad + turn, ..s.pose },
            base: Base {
                acceleration_mps2: r * s.base.acceleration_mps2,
                angular_velocity_rps: r * s.base.angular_velocity_rps,
                angular_acceleration_rps2: r * s.base.angular_acceleration_rps2,
                gravity_mps2: r * s.base.gravity_mps2,
            },
            ..s
        };
        let a = solve(&arm, &s);
        let on_platform = Wrench::new(r * a.on_platform.force, r * a.on_platform.moment);
        assert_close(&solve(&arm, &turned), &Actions { on_platform, ..a }, ROUNDING);
    }

    #[test]
    fn the_car_turning_is_the_pan_turning(seed in any::<u64>()) {
        // A turning car with the pan drive still, or a still car with the pan drive turning: the same world.
        let whole = random_arm(seed, Levelling::TipDrive);
        let bodies = whole.bodies().iter().filter(|b| b.carrier() != Carrier::Base).copied().collect();
        let arm = Arm::new(*whole.geometry(), whole.levelling(), bodies).unwrap();
        let s = random_state(&mut Dice(!seed), true);
        let swapped = State {
            rates: Rates { pan_rps: s.rates.pan_rps + s.base.angular_velocity_rps.z, ..s.rates },
            accelerations: Accelerations {
                pan_rps2: s.accelerations.pan_rps2 + s.base.angular_acceleration_rps2.z,
                ..s.accelerations
            },
            base: Base { angular_velocity_rps: DVec3::ZERO, angular_acceleration_rps2: DVec3::ZERO, ..s.base },
            ..s
        };
        assert_close(&solve(&arm, &swapped), &solve(&arm, &s), ROUNDING);
    }

    #[test]
    fn actions_of_parts_add_up(seed in any::<u64>(), cut in 1..9_usize) {
        let arm = random_arm(seed, Levelling::Linkage);
        let s = random_state(&mut Dice(!seed), false);
        let part = |bodies: &[Body]| Arm::new(*arm.geometry(), arm.levelling(), bodies.to_vec()).unwrap();
        let (one, other) = arm.bodies().split_at(cut);
        let sum = solve(&part(one), &s) + solve(&part(other), &s);
        assert_close(&sum, &solve(&arm, &s), ROUNDING);
        let double: Vec<Body> = arm.bodies().iter().flat_map(|b| [*b, *b]).collect();
        assert_close(&solve(&part(&double), &s), &(solve(&arm, &s) * 2.0), ROUNDING);
    }
}
