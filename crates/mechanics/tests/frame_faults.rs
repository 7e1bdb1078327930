//! What a frame says when it cannot be solved: movements that nothing resists, and bad input. Never a panic
//! (`docs/mechanics.md` §2.7).

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;

use common::random_rig::{LEG, TUBE};
use common::{WORLD, fixed, force, held, member, nodal, run};
use glam::{DQuat, DVec3, EulerRot};
use mechanics::frame::{
    Frame, FrameError, Freedom, Joint, JointKind, Load, Lost, Mechanism, PointMass, SolveError, Strand,
    StrandPoint,
};
use mechanics::wrench::Wrench;

const SPRING: [f64; 6] = [1e5, 1e5, 2e5, 500.0, 500.0, 500.0];

fn mechanism(f: &Frame, lost: &[Lost]) -> Mechanism {
    match f.factor(lost) {
        Err(SolveError::Mechanism(m)) => {
            assert!(m.node < f.nodes.len());
            assert!(m.moving.contains(&m.node));
            // Scaled so that the largest movement is 1, to rounding.
            assert!((m.slide.length().max(m.turn.length()) - 1.0).abs() < 1e-9, "{m:?}");
            *m
        }
        Err(other) => panic!("no mechanism, but {other}"),
        Ok(_) => panic!("a frame that can move was factored"),
    }
}

/// Two cups and a tube along x between them, 0.15 m above; the tube's ends sit in clamps that let it roll.
fn rolling_tube(roll: bool) -> Frame {
    let mut f = Frame::default();
    let tube = run(&mut f, DVec3::Z * 0.15, DVec3::X, &[0.0, 0.5, 1.0], TUBE);
    for end in [tube[0], tube[2]] {
        let seat = f.node(f.nodes[end]);
        let cup = f.node(f.nodes[end] - DVec3::Z * 0.15);
        f.members.push(member(cup, seat, LEG, DVec3::X));
        f.supports.push(held(cup, SPRING));
        let free = Freedom { turn: [roll, false, false], ..Freedom::default() };
        f.joints.push(Joint { a: seat, b: end, kind: JointKind::Release { axes: WORLD, free } });
    }
    f
}

#[test]
fn a_tube_that_can_roll_is_found_by_its_nodes_and_its_turning() {
    let m = mechanism(&rolling_tube(true), &[]);
    assert!(m.node < 3, "{m:?}");
    assert_eq!(m.moving, vec![0, 1, 2]);
    // Turning about its own axis and nothing else; 1e-6 is the rounding of an eigenvector.
    assert!((m.turn.x.abs() - 1.0).abs() < 1e-6 && m.slide.length() < 1e-6, "{m:?}");
    assert!(rolling_tube(false).factor(&[]).is_ok());
}

/// Turned any way, rounding leaves small pivots of either sign where the movement is free; all must be seen.
#[test]
fn a_rolling_tube_is_found_whichever_way_the_rig_is_turned() {
    for step in 0..60_u8 {
        let q = DQuat::from_euler(EulerRot::XYZ, 0.37 * f64::from(step), 0.71 * f64::from(step), 1.3);
        let mut f = rolling_tube(true);
        f.nodes.iter_mut().for_each(|p| *p = q * *p);
        f.members.iter_mut().for_each(|m| m.up = q * m.up);
        f.supports.iter_mut().for_each(|s| s.axes = s.axes.map(|a| q * a));
        for j in &mut f.joints {
            if let JointKind::Release { axes, .. } = &mut j.kind {
                *axes = axes.map(|a| q * a);
            }
        }
        let m = mechanism(&f, &[]);
        assert_eq!(m.moving, vec![0, 1, 2], "step {step}");
        assert!((m.turn.dot(q * DVec3::X).abs() - 1.0).abs() < 1e-6, "step {step}: {m:?}"); // rounding
    }
}

#[test]
fn a_frame_on_no_support_can_move() {
    let mut f = Frame::default();
    run(&mut f, DVec3::ZERO, DVec3::X, &[0.0, 0.5, 1.0], TUBE);
    mechanism(&f, &[]);
    f.supports.push(held(0, SPRING));
    assert!(f.factor(&[]).is_ok());
    // The same by losing its only support.
    let m = mechanism(&f, &[Lost::Support(0)]);
    assert_eq!(m.moving.len(), 3, "a rigid movement takes every node along: {m:?}");
}

#[test]
fn a_member_that_hangs_on_a_ball_swings() {
    let mut f = Frame::default();
    let foot = f.node(DVec3::ZERO);
    let top = f.node(DVec3::Z);
    let hook = f.node(DVec3::Z);
    let end = f.node(DVec3::new(0.5, 0.0, 1.0));
    f.members.push(member(foot, top, TUBE, DVec3::X));
    f.members.push(member(hook, end, LEG, DVec3::Z));
    f.supports.push(fixed(foot, 1e6));
    let free = Freedom { turn: [true; 3], ..Freedom::default() };
    f.joints.push(Joint { a: top, b: hook, kind: JointKind::Release { axes: WORLD, free } });
    let m = mechanism(&f, &[]);
    assert!(m.node == hook || m.node == end, "{m:?}");
    assert!(!m.moving.contains(&foot) && !m.moving.contains(&top), "{m:?}");
    // Held at its end by three springs it can still roll about its own axis; with a fourth it is sound.
    f.supports.push(held(end, [1e5, 1e5, 1e5, 0.0, 0.0, 0.0]));
    let m = mechanism(&f, &[]);
    assert!((m.turn.x.abs() - 1.0).abs() < 1e-6, "{m:?}"); // rounding of an eigenvector
    f.supports.push(held(end, [0.0, 0.0, 0.0, 100.0, 0.0, 0.0]));
    assert!(f.factor(&[]).is_ok());
}

#[test]
fn a_node_that_nothing_holds_is_named() {
    let mut f = rolling_tube(false);
    let loose = f.node(DVec3::new(3.0, 0.0, 0.0));
    assert_eq!(mechanism(&f, &[]).moving, vec![loose]);
}

#[test]
fn a_sliding_sleeve_slides_along_its_axis() {
    let mut f = Frame::default();
    let foot = f.node(DVec3::ZERO);
    let sleeve = f.node(DVec3::ZERO);
    f.supports.push(held(foot, SPRING));
    let axis = DVec3::new(0.6, 0.8, 0.0);
    let axes = [axis, DVec3::Z.cross(axis), DVec3::Z];
    let free = Freedom { slide: [true, false, false], ..Freedom::default() };
    f.joints.push(Joint { a: foot, b: sleeve, kind: JointKind::Release { axes, free } });
    let m = mechanism(&f, &[]);
    assert_eq!(m.node, sleeve);
    assert!((m.slide.dot(axis).abs() - 1.0).abs() < 1e-6, "{m:?}"); // rounding of an eigenvector
}

/// A sound frame with one of everything.
fn whole() -> Frame {
    let mut f = rolling_tube(false);
    f.masses.push(PointMass { node: 1, mass_kg: 3.0, at: DVec3::new(0.5, 0.0, 0.4) });
    let path = vec![
        StrandPoint { at: f.nodes[1], node: Some(1) },
        StrandPoint { at: DVec3::new(0.5, 0.6, -0.2), node: None },
    ];
    f.strands.push(Strand { path, k_n_per_m: 1e5, pretension_n: 300.0 });
    f
}

/// The fault that `spoil` brings into the frame.
fn fault(spoil: impl FnOnce(&mut Frame)) -> FrameError {
    let mut f = whole();
    assert!(f.factor(&[]).is_ok());
    spoil(&mut f);
    match f.factor(&[]) {
        Err(SolveError::Frame(e)) => {
            assert!(!e.to_string().is_empty());
            e
        }
        Err(other) => panic!("no fault of the frame, but {other}"),
        Ok(_) => panic!("a faulty frame was factored"),
    }
}

#[test]
fn parts_on_missing_nodes_are_refused() {
    let missing = FrameError::NoSuchNode { node: 99 };
    assert_eq!(fault(|f| f.members[0].i = 99), missing);
    assert_eq!(fault(|f| f.members[0].j = 99), missing);
    assert_eq!(fault(|f| f.joints[0].a = 99), missing);
    assert_eq!(fault(|f| f.joints[0].b = 99), missing);
    assert_eq!(fault(|f| f.supports[0].node = 99), missing);
    assert_eq!(fault(|f| f.masses[0].node = 99), missing);
    assert_eq!(fault(|f| f.strands[0].path[0].node = Some(99)), missing);
    assert_eq!(fault(|f| *f = Frame::default()), FrameError::Empty);
}

#[test]
fn members_without_length_or_section_are_refused() {
    let bad = FrameError::BadMember { member: 0 };
    assert_eq!(fault(|f| f.members[0].j = f.members[0].i), bad);
    assert_eq!(fault(|f| f.nodes[1] = f.nodes[0]), bad);
    for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(fault(|f| f.members[0].beam.e_pa = value), bad);
        assert_eq!(fault(|f| f.members[0].beam.g_pa = value), bad);
        assert_eq!(fault(|f| f.members[0].beam.area_m2 = value), bad);
        assert_eq!(fault(|f| f.members[0].beam.iy_m4 = value), bad);
        assert_eq!(fault(|f| f.members[0].beam.iz_m4 = value), bad);
        assert_eq!(fault(|f| f.members[0].beam.j_m4 = value), bad);
        assert_eq!(fault(|f| f.members[0].beam.shear_area_m2 = Some(value)), bad);
    }
    assert_eq!(fault(|f| f.members[0].beam.density_kg_m3 = -1.0), bad);
    assert_eq!(fault(|f| f.members[0].beam.density_kg_m3 = f64::NAN), bad);
    assert_eq!(fault(|f| f.members[0].up.y = f64::NAN), bad);
    assert_eq!(fault(|f| f.members[0].up.y = f64::INFINITY), bad);
}

#[test]
fn numbers_that_are_none_are_refused() {
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(fault(|f| f.nodes[0].y = value), FrameError::BadNumber);
        assert_eq!(fault(|f| f.supports[0].k[4] = value), FrameError::BadNumber);
        assert_eq!(fault(|f| f.supports[0].axes[0].x = value), FrameError::BadNumber);
        assert_eq!(fault(|f| f.masses[0].mass_kg = value), FrameError::BadNumber);
        assert_eq!(fault(|f| f.masses[0].at.z = value), FrameError::BadNumber);
        assert_eq!(fault(|f| f.strands[0].path[1].at.z = value), FrameError::BadNumber);
        assert_eq!(fault(|f| f.strands[0].k_n_per_m = value), FrameError::BadNumber);
        assert_eq!(fault(|f| f.strands[0].pretension_n = value), FrameError::BadNumber);
    }
    assert_eq!(fault(|f| f.supports[0].k[0] = -1.0), FrameError::BadNumber);
    assert_eq!(fault(|f| f.supports[0].axes[0] *= 2.0), FrameError::BadNumber);
    assert_eq!(fault(|f| f.supports[0].axes[0] *= -1.0), FrameError::BadNumber);
    assert_eq!(fault(|f| f.masses[0].mass_kg = -1.0), FrameError::BadNumber);
    assert_eq!(fault(|f| f.strands[0].k_n_per_m = -1.0), FrameError::BadNumber);
    let free = Freedom::default();
    let axes = [DVec3::X, DVec3::X, DVec3::X];
    assert_eq!(fault(|f| f.joints[0].kind = JointKind::Release { axes, free }), FrameError::BadNumber);
}

#[test]
fn strands_without_a_path_are_refused() {
    let bad = FrameError::BadStrand { strand: 0 };
    assert_eq!(fault(|f| f.strands[0].path.truncate(1)), bad);
    assert_eq!(fault(|f| f.strands[0].path.clear()), bad);
    assert_eq!(fault(|f| f.strands[0].path[1].at = f.nodes[1]), bad);
}

/// Numbers that are finite but whose products are not.
#[test]
fn stiffness_beyond_all_numbers_is_refused() {
    assert_eq!(fault(|f| f.members[0].beam.e_pa = 1e308), FrameError::BadNumber);
    // A length whose square is not finite is no length.
    assert_eq!(fault(|f| f.nodes[0].x = -1e200), FrameError::BadMember { member: 0 });
}

fn refusal(load: &Load) -> SolveError {
    let f = whole();
    let factored = f.factor(&[]).unwrap();
    match factored.solve(&[Load::default(), load.clone()]) {
        Err(e) => e,
        Ok(_) => panic!("a faulty load was solved"),
    }
}

#[test]
fn loads_that_are_no_numbers_or_on_missing_parts_are_refused() {
    let bad = SolveError::Frame(FrameError::BadNumber);
    for v in [f64::NAN, f64::INFINITY] {
        assert_eq!(refusal(&nodal(&[force(0, DVec3::X * v)])), bad);
        assert_eq!(refusal(&nodal(&[(0, Wrench::new(DVec3::ZERO, DVec3::Y * v))])), bad);
        assert_eq!(refusal(&Load { specific_force: DVec3::splat(v), ..Load::default() }), bad);
        assert_eq!(refusal(&Load { line: vec![(0, DVec3::splat(v))], ..Load::default() }), bad);
        assert_eq!(refusal(&Load { pretension: v, ..Load::default() }), bad);
    }
    // Finite, but the moment about the body is not.
    let f = whole();
    let s = f.factor(&[]).unwrap();
    assert!(s.solve(&[nodal(&[force(1, DVec3::splat(1e308))])]).is_err());
    assert_eq!(
        refusal(&nodal(&[force(99, DVec3::X)])),
        SolveError::Frame(FrameError::NoSuchNode { node: 99 })
    );
    let line = Load { line: vec![(99, DVec3::X)], ..Load::default() };
    assert_eq!(refusal(&line), SolveError::Frame(FrameError::NoSuchMember { member: 99 }));
}

#[test]
fn no_load_moves_nothing() {
    let f = whole();
    let factored = f.factor(&[]).unwrap();
    let s = factored.solve(&[Load::default()]).unwrap();
    assert!((0..f.nodes.len()).all(|n| s.node(0, n) == (DVec3::ZERO, DVec3::ZERO)));
    assert!(factored.solve(&[]).is_ok());
}
