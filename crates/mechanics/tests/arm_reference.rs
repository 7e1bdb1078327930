//! The arm against an independent multibody library: see `tests/sources/arm-pinocchio/README.md`.

#![allow(clippy::unwrap_used, reason = "the builders of test arms stand outside the test functions")]

#[path = "common/validation.rs"]
#[allow(unreachable_pub, reason = "shared by several test programs")]
mod validation;

use glam::DVec3;
use mechanics::arm::{
    Accelerations, Actions, Arm, Base, Body, Carrier, Geometry, Inertia, Levelling, Pose, Rates, actions,
};
use mechanics::wrench::Wrench;
use serde::Deserialize;
use std::collections::BTreeMap;
use validation::Row;

/// Both programs round a few hundred products; 1e-9 of the result's size leaves four digits to spare.
const RELATIVE_TOL: f64 = 1e-9;

#[derive(Deserialize)]
struct File {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct BodyInput {
    carrier: String,
    mass_kg: f64,
    centre_m: [f64; 3],
    inertia_kgm2: [f64; 6],
}

#[derive(Deserialize)]
struct Case {
    levelled: bool,
    geometry: BTreeMap<String, f64>,
    bodies: Vec<BodyInput>,
    pan_rad: f64,
    elevation_rad: f64,
    pan_rps: f64,
    tilt_rps: f64,
    pan_rps2: f64,
    tilt_rps2: f64,
    base_acceleration_mps2: [f64; 3],
    base_angular_velocity_rps: [f64; 3],
    base_angular_acceleration_rps2: [f64; 3],
    gravity_mps2: [f64; 3],
    on_platform: [f64; 6],
    pan_torque_nm: f64,
    tilt_torque_tip_drive_nm: f64,
    tip_joint_torque_nm: f64,
    on_tip: [f64; 6],
}

impl Case {
    fn solve(&self, levelling: Levelling) -> Actions {
        let g = |name: &str| self.geometry.get(name).copied().unwrap();
        let geometry = Geometry::new(g("pivot_height_m"), g("tip_radius_m"))
            .unwrap()
            .with_pivot_offset(g("pivot_forward_m"), g("axis_rise_m"))
            .unwrap();
        let bodies = self.bodies.iter().map(|b| {
            assert!(["base", "mast", "boom", "tip"].contains(&b.carrier.as_str()), "{}", b.carrier);
            let carrier = match b.carrier.as_str() {
                "base" => Carrier::Base,
                "mast" => Carrier::Mast,
                "boom" => Carrier::Boom,
                "tip" if self.levelled => Carrier::LevelTip,
                _ => Carrier::FixedTip,
            };
            let [xx, yy, zz, xy, xz, yz] = b.inertia_kgm2;
            Body::new(b.mass_kg, b.centre_m.into(), Inertia { xx, yy, zz, xy, xz, yz }, carrier).unwrap()
        });
        let arm = Arm::new(geometry, levelling, bodies.collect()).unwrap();
        let base = Base {
            acceleration_mps2: self.base_acceleration_mps2.into(),
            angular_velocity_rps: self.base_angular_velocity_rps.into(),
            angular_acceleration_rps2: self.base_angular_acceleration_rps2.into(),
            gravity_mps2: self.gravity_mps2.into(),
        };
        let pose = Pose { pan_rad: self.pan_rad, elevation_rad: self.elevation_rad };
        let rates = Rates { pan_rps: self.pan_rps, tilt_rps: self.tilt_rps };
        let accelerations = Accelerations { pan_rps2: self.pan_rps2, tilt_rps2: self.tilt_rps2 };
        actions(&arm, pose, rates, accelerations, &base).unwrap()
    }
}

fn same(what: &str, case: usize, got: DVec3, want: DVec3) {
    assert!((got - want).length() <= RELATIVE_TOL * want.length(), "{what} of case {case}: {got} for {want}");
}

fn same_wrench(what: &str, case: usize, got: Wrench, want: [f64; 6]) {
    let want = Wrench::from_array(want);
    same(what, case, got.force, want.force);
    same(what, case, got.moment, want.moment);
}

#[test]
fn random_arms_agree_with_the_multibody_library() {
    let file: File = serde_json::from_str(include_str!("sources/arm-pinocchio/cases.json")).unwrap();
    assert_eq!(file.cases.len(), 24);
    assert_eq!(file.cases.iter().filter(|c| c.levelled).count(), 12);
    // The largest value of each kind over the 24 arms stands on the validation page.
    let mut largest: BTreeMap<[&str; 2], (f64, f64)> = BTreeMap::new();
    let mut keep = |what: [&'static str; 2], ours: f64, theirs: f64| {
        let slot = largest.entry(what).or_default();
        if theirs.abs() > slot.1.abs() {
            *slot = (ours, theirs);
        }
    };
    for (k, case) in file.cases.iter().enumerate() {
        let a = case.solve(Levelling::TipDrive);
        let platform = Wrench::from_array(case.on_platform);
        keep(["force on the platform", "N"], a.on_platform.force.length(), platform.force.length());
        keep(["moment on the platform", "N m"], a.on_platform.moment.length(), platform.moment.length());
        keep(["torque of the pan drive", "N m"], a.pan_torque_nm, case.pan_torque_nm);
        keep(["torque of the tilt drive", "N m"], a.tilt_torque_nm, case.tilt_torque_tip_drive_nm);
        same_wrench("platform", k, a.on_platform, case.on_platform);
        same_wrench("tip", k, a.on_tip, case.on_tip);
        // Torques are small sums of large parts: compare on the scale of the whole moment.
        let scale = RELATIVE_TOL * a.on_platform.moment.length();
        let near = |what: &str, got: f64, want: f64| {
            assert!((got - want).abs() <= scale, "{what} of case {k}: {got} for {want}");
        };
        near("pan torque", a.pan_torque_nm, case.pan_torque_nm);
        near("tilt torque", a.tilt_torque_nm, case.tilt_torque_tip_drive_nm);
        let level = if case.levelled { case.tip_joint_torque_nm } else { 0.0 };
        near("levelling torque", a.level_torque_nm, level);

        let linked = case.solve(Levelling::Linkage);
        same_wrench("platform with linkage", k, linked.on_platform, case.on_platform);
        near("tilt torque with linkage", linked.tilt_torque_nm, case.tilt_torque_tip_drive_nm - level);
    }
    let rows: Vec<Row<'_>> = largest
        .iter()
        .map(|([kind, unit], (ours, theirs))| Row {
            source: "Pinocchio 4.1.0, recursive Newton-Euler algorithm (tests/sources/arm-pinocchio)",
            id: "24 random arms",
            quantity: kind,
            published: *theirs,
            ours: *ours,
            unit,
            allowed: RELATIVE_TOL * theirs.abs(),
            marker: "computed: largest of 24 arms, every value compared",
        })
        .collect();
    validation::record("arm-pinocchio", &rows);
}
