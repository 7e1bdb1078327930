//! What holds for every rig, on random rigs from `common::random_rig` (a fixed seed: the same rigs in each run).

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;

use common::random_rig::{self, CupPlan, Rig, TUBE, config, ground, plans, rigs};
use common::{WORLD, force, held, nodal};
use glam::{DQuat, DVec3};
use mechanics::frame::{
    Factored, Frame, Freedom, Joint, JointKind, Load, Lost, Member, Solution, SolveError, Strand, Stress,
    Support,
};
use mechanics::wrench::Wrench;
use proptest::prelude::*;

/// Rounding of a solve whose stiffness spans some 1e6: 1e-16 x 1e6 and a margin of ten.
const ROUNDING: f64 = 1e-9;

fn solve<'a>(f: &'a Factored<'_>, load: &Load) -> Solution<'a> {
    f.solve(core::slice::from_ref(load)).unwrap()
}

/// Movements and turns of every node, one after the other.
fn movements(frame: &Frame, s: &Solution<'_>, case: usize) -> Vec<(DVec3, DVec3)> {
    (0..frame.nodes.len()).map(|n| s.node(case, n)).collect()
}

/// Largest difference of two sets of movements as a share of the largest of its kind.
fn apart(a: &[(DVec3, DVec3)], b: &[(DVec3, DVec3)]) -> f64 {
    assert_eq!(a.len(), b.len());
    let kind = |part: fn(&(DVec3, DVec3)) -> DVec3| {
        let size = a.iter().map(|m| part(m).length()).fold(1e-30, f64::max);
        let miss = a.iter().zip(b).map(|(x, y)| (part(x) - part(y)).length());
        miss.fold(0.0, |w, d| if d > w || d.is_nan() { d } else { w }) / size
    };
    kind(|m| m.0).max(kind(|m| m.1))
}

/// Virtual work of nodal loads on movements: `sum F . u + M . r`.
fn work(nodal: &[(usize, Wrench)], s: &Solution<'_>, case: usize) -> f64 {
    nodal
        .iter()
        .map(|(n, w)| {
            let (u, r) = s.node(case, *n);
            w.force.dot(u) + w.moment.dot(r)
        })
        .sum()
}

/// The rig turned by `q`, moved by `by`, or mirrored, as `point` (for places and forces) and `turn` (for axes of turning).
fn moved(rig: &Rig, point: &dyn Fn(DVec3) -> DVec3, vector: &dyn Fn(DVec3) -> DVec3, sign: f64) -> Rig {
    let mut r = rig.clone();
    let f = &mut r.frame;
    f.nodes.iter_mut().for_each(|p| *p = point(*p));
    for (m, old) in f.members.iter_mut().zip(0..) {
        // Member z is what `up` stands for; it goes along, and member y is then mirrored (I y and I z keep their planes).
        m.up = vector(rig.frame.member_axes(old)[2]);
    }
    // A mirrored set of axes is left-handed; turning the first about keeps the planes and the springs.
    let axes = |a: [DVec3; 3]| [vector(a[0]) * sign, vector(a[1]), vector(a[2])];
    f.supports.iter_mut().for_each(|s| s.axes = axes(s.axes));
    for j in &mut f.joints {
        if let JointKind::Release { axes: a, .. } = &mut j.kind {
            *a = axes(*a);
        }
    }
    f.strands.iter_mut().flat_map(|s| &mut s.path).for_each(|p| p.at = point(p.at));
    f.masses.iter_mut().for_each(|m| m.at = point(m.at));
    let l = &mut r.load;
    l.specific_force = vector(l.specific_force);
    l.line.iter_mut().for_each(|(_, w)| *w = vector(*w));
    for (_, w) in &mut l.nodal {
        *w = Wrench::new(vector(w.force), vector(w.moment) * sign);
    }
    r
}

proptest! {
    #![proptest_config(config(48))]

    #[test]
    fn the_ground_carries_the_whole_action(rig in rigs()) {
        let factored = rig.frame.factor(&[]).unwrap();
        let s = solve(&factored, &rig.load);
        let about = DVec3::new(0.3, -0.2, 0.5);
        let sum = rig.frame.total(&rig.load, about) + ground(&rig.frame, &s, 0, about);
        let size = rig.frame.total(&rig.load, about);
        // Pretension is part of the action: thousands of N in and out.
        let pull: f64 = rig.frame.strands.iter().map(|t| t.pretension_n).sum();
        prop_assert!(sum.force.length() < ROUNDING * (size.force.length() + pull), "{sum:?}");
        prop_assert!(sum.moment.length() < ROUNDING * (size.moment.length() + size.force.length() + pull), "{sum:?}");
    }

    #[test]
    fn every_node_of_a_tube_is_in_balance(rig in rigs()) {
        // A node with neither support, joint, strand, mass nor load: what its members get adds up to nothing.
        let factored = rig.frame.factor(&[]).unwrap();
        let s = solve(&factored, &rig.load);
        let f = &rig.frame;
        let bare = |n: usize| {
            !f.joints.iter().any(|j| j.a == n || j.b == n)
                && !f.strands.iter().flat_map(|t| &t.path).any(|p| p.node == Some(n))
                && !f.masses.iter().any(|m| m.node == n)
                && !f.supports.iter().any(|s| s.node == n)
                && rig.mast != n
        };
        let nodes: Vec<usize> = (0..f.nodes.len()).filter(|n| bare(*n)).collect();
        prop_assert!(nodes.len() >= 4); // free tube ends and mast legs' feet
        for n in nodes {
            let w = s.on_members(0, n);
            prop_assert!(w.force.length() < 1e-6 && w.moment.length() < 1e-6, "{n}: {w:?}"); // 1e-9 of kN
        }
    }

    #[test]
    fn stiffness_is_symmetric_and_no_movement_gives_work_back(rig in rigs(), seed in any::<[i8; 8]>()) {
        let factored = rig.frame.factor(&[]).unwrap();
        let (k, n) = (factored.stiffness(), factored.unknowns());
        let size = k.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
        for i in 0..n {
            prop_assert!(k[i * n + i] > 0.0);
            for j in 0..i {
                prop_assert!((k[i * n + j] - k[j * n + i]).abs() <= 1e-14 * size); // rounding of sums
            }
        }
        let x: Vec<f64> = (0..n).map(|i| f64::from(seed[i % 8]) + 0.5 + f64::from(u8::try_from(i % 7).unwrap())).collect();
        let energy: f64 = (0..n).map(|i| x[i] * (0..n).map(|j| k[i * n + j] * x[j]).sum::<f64>()).sum();
        prop_assert!(energy > 0.0);
    }

    #[test]
    fn answers_add_up(rig in rigs(), a in -3.0..3.0, b in -3.0..3.0) {
        let one = Load { pretension: 0.0, specific_force: DVec3::ZERO, ..rig.load.clone() };
        let two = Load { nodal: Vec::new(), line: Vec::new(), ..rig.load.clone() };
        let both = Load {
            specific_force: two.specific_force * b,
            nodal: one.nodal.iter().map(|(n, w)| (*n, *w * a)).collect(),
            line: one.line.iter().map(|(m, w)| (*m, *w * a)).collect(),
            pretension: b,
            ..Load::default()
        };
        let factored = rig.frame.factor(&[]).unwrap();
        let s = factored.solve(&[one, two, both]).unwrap();
        let sum: Vec<(DVec3, DVec3)> = movements(&rig.frame, &s, 0)
            .into_iter()
            .zip(movements(&rig.frame, &s, 1))
            .map(|(x, y)| (x.0 * a + y.0 * b, x.1 * a + y.1 * b))
            .collect();
        prop_assert!(apart(&movements(&rig.frame, &s, 2), &sum) < ROUNDING);
        for m in 0..rig.frame.members.len() {
            let f = |case| s.member_ends(case, m).0;
            for d in 0..6 {
                let (x, y, z) = (f(0)[d], f(1)[d], f(2)[d]);
                prop_assert!((x * a + y * b - z).abs() < ROUNDING * 1e5); // of 100 kN in all cases together
            }
        }
        for t in 0..rig.frame.strands.len() {
            let sum = s.tension(0, t) * a + s.tension(1, t) * b;
            prop_assert!((sum - s.tension(2, t)).abs() < ROUNDING * 1e5);
        }
    }

    #[test]
    fn turning_the_world_turns_the_answer(
        rig in rigs(), axis in [-1.0..1.0, -1.0..1.0, 0.1..1.0], angle in -3.0..3.0, by in [-2.0..2.0, -2.0..2.0, -2.0..2.0],
    ) {
        let q = DQuat::from_axis_angle(DVec3::from_array(axis).normalize(), angle);
        let by = DVec3::from_array(by);
        let other = moved(&rig, &|p| q * p + by, &|v| q * v, 1.0);
        let (fa, fb) = (rig.frame.factor(&[]).unwrap(), other.frame.factor(&[]).unwrap());
        let (sa, sb) = (solve(&fa, &rig.load), solve(&fb, &other.load));
        let turned: Vec<(DVec3, DVec3)> =
            movements(&rig.frame, &sa, 0).into_iter().map(|(u, r)| (q * u, q * r)).collect();
        prop_assert!(apart(&turned, &movements(&other.frame, &sb, 0)) < ROUNDING);
        for t in 0..rig.frame.strands.len() {
            prop_assert!((sa.tension(0, t) - sb.tension(0, t)).abs() < ROUNDING * 1e5);
        }
    }

    #[test]
    fn the_mirror_image_answers_as_the_mirror_image(rig in rigs()) {
        let flip = |v: DVec3| DVec3::new(v.x, -v.y, v.z);
        let other = moved(&rig, &flip, &flip, -1.0);
        let (fa, fb) = (rig.frame.factor(&[]).unwrap(), other.frame.factor(&[]).unwrap());
        let (sa, sb) = (solve(&fa, &rig.load), solve(&fb, &other.load));
        let mirrored: Vec<(DVec3, DVec3)> =
            movements(&rig.frame, &sa, 0).into_iter().map(|(u, r)| (flip(u), -flip(r))).collect();
        prop_assert!(apart(&mirrored, &movements(&other.frame, &sb, 0)) < ROUNDING);
        for c in 0..rig.frame.supports.len() {
            let (a, b) = (sa.support(0, c), sb.support(0, c));
            prop_assert!((a[2] - b[2]).abs() < ROUNDING * 1e5, "pull on the cup: {} {}", a[2], b[2]);
        }
    }

    #[test]
    fn millimetres_give_what_metres_give(rig in rigs()) {
        // Lengths x 1000, forces in N: E and G (N/mm²) x 1e-6, areas x 1e6, I x 1e12, springs x 1e-3 and N mm/rad x 1e3.
        let mm = 1e3;
        let mut other = rig.clone();
        let f = &mut other.frame;
        f.nodes.iter_mut().for_each(|p| *p *= mm);
        for m in &mut f.members {
            let b = &mut m.beam;
            (b.e_pa, b.g_pa) = (b.e_pa / (mm * mm), b.g_pa / (mm * mm));
            (b.area_m2, b.shear_area_m2) = (b.area_m2 * mm * mm, b.shear_area_m2.map(|a| a * mm * mm));
            (b.iy_m4, b.iz_m4, b.j_m4) = (b.iy_m4 * mm.powi(4), b.iz_m4 * mm.powi(4), b.j_m4 * mm.powi(4));
            b.density_kg_m3 /= mm.powi(3) * mm; // tonne/mm³ would be 1e-12; here kg -> N s²/mm
        }
        for s in &mut f.supports {
            let k = s.k;
            s.k = [k[0] / mm, k[1] / mm, k[2] / mm, k[3] * mm, k[4] * mm, k[5] * mm];
        }
        for s in &mut f.strands {
            s.k_n_per_m /= mm;
            s.path.iter_mut().for_each(|p| p.at *= mm);
        }
        for m in &mut f.masses {
            m.at *= mm;
            m.mass_kg /= mm;
        }
        let l = &mut other.load;
        l.specific_force *= mm;
        l.line.iter_mut().for_each(|(_, w)| *w /= mm);
        l.nodal.iter_mut().for_each(|(_, w)| w.moment *= mm);
        let (fa, fb) = (rig.frame.factor(&[]).unwrap(), other.frame.factor(&[]).unwrap());
        let (sa, sb) = (solve(&fa, &rig.load), solve(&fb, &other.load));
        let metres: Vec<(DVec3, DVec3)> =
            movements(&other.frame, &sb, 0).into_iter().map(|(u, r)| (u / mm, r)).collect();
        prop_assert!(apart(&movements(&rig.frame, &sa, 0), &metres) < ROUNDING);
        let (ma, mb) = (fa.modes(3).unwrap(), fb.modes(3).unwrap());
        for (a, b) in ma.iter().zip(&mb) {
            prop_assert!((a.frequency_hz / b.frequency_hz - 1.0).abs() < ROUNDING);
        }
    }

    #[test]
    fn work_of_one_load_on_the_other_is_mutual(rig in rigs(), nodes in [0_usize..100, 0_usize..100], other in [-1e3..1e3, -1e3..1e3, -1e3..1e3]) {
        let n = rig.frame.nodes.len();
        let a = rig.load.nodal.clone();
        let f = DVec3::from_array(other);
        let b = vec![(nodes[0] % n, Wrench::new(f, DVec3::ZERO)), (nodes[1] % n, Wrench::new(DVec3::ZERO, DVec3::new(f.y, f.z, f.x)))];
        let factored = rig.frame.factor(&[]).unwrap();
        let s = factored.solve(&[nodal(&a), nodal(&b)]).unwrap();
        let (ab, ba) = (work(&a, &s, 1), work(&b, &s, 0));
        // Of the geometric mean of both loads' own works, which bounds it.
        let size = (work(&a, &s, 0) * work(&b, &s, 1)).sqrt();
        prop_assert!(ab.abs() <= size * (1.0 + ROUNDING));
        prop_assert!((ab - ba).abs() <= ROUNDING * size, "{ab} {ba}");
    }

    #[test]
    fn losing_a_cup_and_having_it_back_changes_no_bit(rig in rigs(), which in 0_usize..8) {
        let lost = Lost::Support(which % rig.frame.supports.len());
        let before = rig.frame.factor(&[]).unwrap();
        let first = movements(&rig.frame, &solve(&before, &rig.load), 0);
        let without = rig.frame.factor(&[lost]).unwrap();
        let changed = movements(&rig.frame, &solve(&without, &rig.load), 0);
        let after = rig.frame.factor(&[]).unwrap();
        prop_assert_eq!(&first, &movements(&rig.frame, &solve(&after, &rig.load), 0));
        prop_assert!(apart(&first, &changed) > 1e-6, "the cup did nothing");
    }

    #[test]
    fn what_is_lost_is_as_never_built(rig in rigs(), which in 0_usize..8) {
        let cup = which % rig.frame.supports.len();
        let mut lost = vec![Lost::Support(cup)];
        let mut never = rig.frame.clone();
        never.supports.remove(cup);
        if !rig.frame.strands.is_empty() {
            let strap = which % rig.frame.strands.len();
            lost.push(Lost::Strand(strap));
            never.strands.remove(strap);
        }
        let (fa, fb) = (rig.frame.factor(&lost).unwrap(), never.factor(&[]).unwrap());
        let (sa, sb) = (solve(&fa, &rig.load), solve(&fb, &rig.load));
        prop_assert_eq!(movements(&rig.frame, &sa, 0), movements(&never, &sb, 0));
        prop_assert!(sa.support(0, cup).iter().all(|v| v.abs() < f64::MIN_POSITIVE));
        for l in lost {
            if let Lost::Strand(t) = l {
                prop_assert!(sa.tension(0, t).abs() < f64::MIN_POSITIVE);
            }
        }
    }

    #[test]
    fn taking_a_part_from_a_factored_frame_is_factoring_without_it(rig in rigs(), which in 0_usize..8) {
        let mut lost = vec![Lost::Support(which % rig.frame.supports.len())];
        if !rig.frame.strands.is_empty() && which > 2 {
            lost.push(Lost::Strand(which % rig.frame.strands.len()));
        }
        let intact = rig.frame.factor(&[]).unwrap();
        let (quick, anew) = (intact.without(&lost).unwrap(), rig.frame.factor(&lost).unwrap());
        let loads = [rig.load.clone(), nodal(&[force(rig.mast, DVec3::new(900.0, -400.0, 200.0))])];
        let (a, b) = (quick.solve(&loads).unwrap(), anew.solve(&loads).unwrap());
        for case in 0..2 {
            prop_assert!(apart(&movements(&rig.frame, &a, case), &movements(&rig.frame, &b, case)) < ROUNDING);
            for m in 0..rig.frame.members.len() {
                let (x, y) = (a.member_ends(case, m), b.member_ends(case, m));
                for (x, y) in x.0.iter().chain(&x.1).zip(y.0.iter().chain(&y.1)) {
                    prop_assert!((x - y).abs() < 1e-6 + ROUNDING * y.abs(), "member {m}: {x} {y}"); // 1e-9 of kN
                }
            }
        }
        // What needs the factor itself gets its own.
        let first = |f: &Factored<'_>| f.modes(1).unwrap()[0].frequency_hz;
        prop_assert!((first(&quick) / first(&anew) - 1.0).abs() < ROUNDING);
        let stress = Stress::of_axial(&vec![-800.0; rig.frame.members.len()]);
        let buckles = |f: &Factored<'_>| f.critical(&stress).unwrap().map_or(0.0, |c| c.factor);
        prop_assert!((buckles(&quick) - buckles(&anew)).abs() <= 1e-6 * buckles(&anew)); // it is found by iteration
        // It stands under less and not under more.
        let least = buckles(&anew);
        for f in [&quick, &anew] {
            for share in [0.25, 0.999, 1.001, 4.0] {
                let alpha = if least > 0.0 { share * least } else { 1e6 };
                prop_assert_eq!(f.stands(&stress, alpha).unwrap(), least == 0.0 || share < 1.0);
            }
        }
        // One after the other is both at once.
        let again = intact.without(&lost[..1]).unwrap().without(&lost[1..]).unwrap();
        prop_assert!(apart(&movements(&rig.frame, &again.solve(&loads).unwrap(), 0), &movements(&rig.frame, &b, 0)) < ROUNDING);
    }

    #[test]
    fn a_swivel_carries_no_moment_about_its_axis(plan in plans(), tilt in [-0.5..0.5, -0.5..0.5]) {
        let mut rig = plan.build();
        // A leg on a ball and a pin: member to the mast, released at its foot about a tilted axis.
        let [x, y, z] = random_rig::axes_on(DVec3::new(tilt[0], tilt[1], 1.0));
        let leg = rig.frame.members.iter().position(|m| m.j == rig.mast).unwrap();
        let foot = rig.frame.members[leg].i;
        let own = rig.frame.node(rig.frame.nodes[foot]);
        rig.frame.members[leg].i = own;
        let free = Freedom { turn: [false, false, true], ..Freedom::default() };
        rig.frame.joints.push(Joint { a: foot, b: own, kind: JointKind::Release { axes: [x, y, z], free } });
        let factored = rig.frame.factor(&[]).unwrap();
        let s = solve(&factored, &rig.load);
        let w = s.on_members(0, own);
        prop_assert!(w.moment.dot(z).abs() < 1e-6, "{w:?}"); // 1e-9 of kN m
        prop_assert!(w.moment.length() > 1e-3, "the joint carries nothing at all");
        // It turns: the two sides differ about z and about nothing else.
        let gap = s.node(0, own).1 - s.node(0, foot).1;
        let across = s.node(0, own).0 - s.node(0, foot).0;
        prop_assert!(gap.cross(z).length() < 1e-12 && across.length() < 1e-12, "{gap:?}"); // of 1e-3
        prop_assert!(gap.length() > 1e-9);
    }

    #[test]
    fn splitting_a_member_changes_nothing(rig in rigs(), which in 0_usize..100, at in 0.1..0.9) {
        let mut split = rig.clone();
        let m = which % rig.frame.members.len();
        let old = rig.frame.members[m];
        let f = &mut split.frame;
        let mid = f.node(f.nodes[old.i].lerp(f.nodes[old.j], at));
        f.members[m].j = mid;
        f.members.push(Member { i: mid, ..old });
        let added = f.members.len() - 1;
        let line: Vec<DVec3> = rig.load.line.iter().filter(|(i, _)| *i == m).map(|(_, w)| *w).collect();
        split.load.line.extend(line.iter().map(|w| (added, *w)));
        let (fa, fb) = (rig.frame.factor(&[]).unwrap(), split.frame.factor(&[]).unwrap());
        let (sa, sb) = (solve(&fa, &rig.load), solve(&fb, &split.load));
        let n = rig.frame.nodes.len();
        prop_assert!(apart(&movements(&rig.frame, &sa, 0), &movements(&split.frame, &sb, 0)[..n]) < ROUNDING);
        // The internal forces at the split are those of the whole member there.
        let l = rig.frame.member_length(m);
        let (a, b) = (sa.internal(0, m, at * l), sb.internal(0, added, 0.0));
        for (p, q) in [(a.n, b.n), (a.vy, b.vy), (a.vz, b.vz), (a.t, b.t), (a.my, b.my), (a.mz, b.mz)] {
            prop_assert!((p - q).abs() < ROUNDING * 1e4, "{a:?} {b:?}"); // of 10 kN
        }
    }

    #[test]
    fn one_more_cup_never_makes_a_rig_softer(rig in rigs(), node in 0_usize..100, k in [0.0..3e5, 0.0..3e5, 0.0..3e5]) {
        let mut more = rig.frame.clone();
        let node = node % more.nodes.len();
        more.supports.push(Support { node, axes: WORLD, k: [k[0], k[1], k[2], 100.0, 0.0, 50.0] });
        let load = nodal(&rig.load.nodal);
        let (fa, fb) = (rig.frame.factor(&[]).unwrap(), more.factor(&[]).unwrap());
        let (a, b) = (work(&load.nodal, &solve(&fa, &load), 0), work(&load.nodal, &solve(&fb, &load), 0));
        prop_assert!(a > 0.0 && b > 0.0 && b <= a * (1.0 + ROUNDING), "{a} {b}");
        let (fa, fb) = (fa.modes(1).unwrap(), fb.modes(1).unwrap());
        prop_assert!(fb[0].frequency_hz >= fa[0].frequency_hz * (1.0 - ROUNDING)); // Rayleigh
    }

    #[test]
    fn a_longer_stack_pulls_as_its_lever_asks(lean in -0.3..0.3_f64, h in 0.05..0.4_f64, f in -900.0..900.0_f64) {
        // One cup under a rigid stack: reactions are pure statics, whatever the springs.
        let mut frame = Frame::default();
        let top = frame.node(DVec3::Z * h);
        let cup = CupPlan { shift_m: 0.0, lean: [lean, 0.0], k: [1e5, 2e5, 300.0], pivots: false };
        let axes = random_rig::axes_on(DVec3::new(cup.lean[0], 0.0, 1.0));
        let foot = frame.node(DVec3::Z * h - axes[2] * h);
        frame.joints.push(Joint { a: top, b: foot, kind: JointKind::Rigid });
        frame.supports.push(Support { node: foot, axes, k: [1e5, 1e5, 2e5, 300.0, 300.0, 300.0] });
        let factored = frame.factor(&[]).unwrap();
        let s = solve(&factored, &nodal(&[force(top, axes[0] * f)]));
        let r = s.support(0, 0);
        prop_assert!((r[0] + f).abs() < 1e-7 && (r[4] + f * h).abs() < 1e-7 && r[2].abs() < 1e-7, "{r:?}"); // 1e-10 of kN
    }
}

/// Two transverse tubes, two longitudinal ones and four swivels close a loop; a fifth swivel that repeats the first changes
/// nothing.
#[test]
fn swivels_in_a_closed_loop_work() {
    let mut runner = proptest::test_runner::TestRunner::new(config(16));
    runner
        .run(&plans(), |mut plan| {
            plan.clamps = [random_rig::ClampPlan::Swivel; 4];
            let mut rig = plan.build();
            // The two plain legs make the mast a body with both longitudinal tubes: the loop is closed twice.
            let swivels =
                rig.frame.joints.iter().filter(|j| matches!(j.kind, JointKind::Release { .. })).count();
            prop_assert_eq!(swivels, 4);
            let factored = rig.frame.factor(&[]).unwrap();
            let free = movements(&rig.frame, &solve(&factored, &rig.load), 0);
            // A fifth swivel that says again what the first says.
            let first =
                *rig.frame.joints.iter().find(|j| matches!(j.kind, JointKind::Release { .. })).unwrap();
            rig.frame.joints.push(first);
            let again = rig.frame.factor(&[]).unwrap();
            prop_assert!(apart(&free, &movements(&rig.frame, &solve(&again, &rig.load), 0)) < ROUNDING);
            Ok(())
        })
        .unwrap();
}

/// Four bars pinned in a square on a diagonal tie: each pin in the plane is a constraint, their sum repeats out of plane.
#[test]
fn taking_away_what_alone_holds_a_frame_is_a_mechanism() {
    let mut frame = Frame::default();
    let ends = [frame.node(DVec3::ZERO), frame.node(DVec3::X)];
    frame.members.push(Member { i: ends[0], j: ends[1], beam: TUBE, up: DVec3::Z });
    frame.supports.push(Support { node: ends[0], axes: WORLD, k: [4e5, 4e5, 4e5, 2e3, 2e3, 2e3] });
    let intact = frame.factor(&[]).unwrap();
    assert!(matches!(intact.without(&[Lost::Support(0)]), Err(SolveError::Mechanism(_))));
    // A part that is not there takes nothing away.
    assert!(intact.without(&[Lost::Support(7), Lost::Strand(0)]).is_ok());
}

#[test]
fn a_pinned_square_on_a_strand_is_statics() {
    let mut f = Frame::default();
    let at = [DVec3::ZERO, DVec3::X, DVec3::new(1.0, 1.0, 0.0), DVec3::Y];
    let pin = Freedom { turn: [false, false, true], ..Freedom::default() };
    let bars: Vec<(usize, usize)> = (0..4)
        .map(|b| {
            let (i, j) = (f.node(at[b]), f.node(at[(b + 1) % 4]));
            f.members.push(Member { i, j, beam: TUBE, up: DVec3::Z });
            (i, j)
        })
        .collect();
    for b in 0..4 {
        let (end, start) = (bars[b].1, bars[(b + 1) % 4].0);
        f.joints.push(Joint { a: end, b: start, kind: JointKind::Release { axes: WORLD, free: pin } });
    }
    // Bar 0 clamped at its start; a tie along the diagonal 1-3 stops the square from folding.
    f.supports.push(held(bars[0].0, [1e9; 6]));
    f.supports.push(held(bars[0].1, [1e9; 6]));
    let point = |node: usize, p: DVec3| mechanics::frame::StrandPoint { at: p, node: Some(node) };
    f.strands.push(Strand {
        path: vec![point(bars[0].1, at[1]), point(bars[2].1, at[3])],
        k_n_per_m: 1e6,
        pretension_n: 0.0,
    });
    let factored = f.factor(&[]).unwrap();
    // 100 N along -x at corner (0, 1): the tie holds it with T cos 45, so T = 100 sqrt 2.
    let s = solve(&factored, &nodal(&[force(bars[2].1, DVec3::NEG_X * 100.0)]));
    // Bars 1 and 3 are pinned at both ends: they carry no bending in the plane, and the tie carries it all.
    assert!((s.tension(0, 0) - 100.0 * 2.0_f64.sqrt()).abs() < 1e-6, "{}", s.tension(0, 0)); // 1e-8 of it
    assert!(s.internal(0, 1, 0.5).mz.abs() < 1e-7 && s.internal(0, 3, 0.5).mz.abs() < 1e-7); // of 100 N m
}

/// A lever hinged across an offset: the hinge is at the joint's first node, whatever the second one's place.
#[test]
fn a_release_is_at_the_joints_first_node() {
    let mut f = Frame::default();
    let (hinge, tip) = (f.node(DVec3::ZERO), f.node(DVec3::X));
    f.supports.push(held(hinge, [1e6; 6]));
    f.supports.push(held(tip, [0.0, 0.0, 1e5, 0.0, 0.0, 0.0]));
    let free = Freedom { turn: [false, true, false], ..Freedom::default() };
    f.joints.push(Joint { a: hinge, b: tip, kind: JointKind::Release { axes: WORLD, free } });
    let factored = f.factor(&[]).unwrap();
    // A moment about y at the tip goes as a couple of 1 m: 70 N up at one end, down at the other.
    let s = solve(&factored, &nodal(&[(tip, Wrench::new(DVec3::ZERO, DVec3::Y * 70.0))]));
    let (h, t) = (s.support(0, 0), s.support(0, 1));
    // M about the hinge: 70 - 1 m x Fz of the tip's spring = 0. Rounding of 70 N.
    assert!((t[2] - 70.0).abs() < 1e-9 && (h[2] + 70.0).abs() < 1e-9 && h[4].abs() < 1e-9, "{h:?} {t:?}");
}

/// Two hinges on one tilted line repeat each other's constraints but for rounding: a door on two hinges is one on one.
#[test]
fn a_door_on_two_hinges_swings_as_on_one() {
    for step in 0..40_u8 {
        let q = DQuat::from_axis_angle(DVec3::new(0.3, -0.5, 0.8).normalize(), 0.31 * f64::from(step));
        let line = q * DVec3::Z;
        let door = |hinges: &[f64]| {
            let mut f = Frame::default();
            let post = f.node(DVec3::new(0.1, 0.7, -0.2));
            let edge = f.node(f.nodes[post] + q * DVec3::X * 0.9);
            f.supports.push(held(post, [1e6, 2e6, 3e6, 1e4, 2e4, 3e4]));
            f.supports.push(held(edge, [4e4, 5e4, 6e4, 0.0, 0.0, 0.0]));
            for h in hinges {
                let a = f.node(f.nodes[post] + line * *h);
                let b = f.node(f.nodes[a]);
                f.joints.push(Joint { a: post, b: a, kind: JointKind::Rigid });
                f.joints.push(Joint { a: b, b: edge, kind: JointKind::Rigid });
                let free = Freedom { turn: [false, false, true], ..Freedom::default() };
                let kind = JointKind::Release { axes: random_rig::axes_on(line), free };
                f.joints.push(Joint { a, b, kind });
            }
            let factored = f.factor(&[]).unwrap();
            assert_eq!(factored.unknowns(), 7, "six of the post and the swing, step {step}");
            let s = solve(&factored, &nodal(&[force(edge, DVec3::new(50.0, -80.0, 30.0))]));
            vec![s.node(0, post), s.node(0, edge)]
        };
        assert!(apart(&door(&[0.2]), &door(&[0.2, 1.3])) < ROUNDING, "step {step}");
    }
}

/// A strap fitted over a point of the rig pulls it from both sides: at 90 degrees, sqrt 2 T along the bisector.
#[test]
fn a_strand_over_a_rig_point_pulls_along_the_bisector() {
    let mut f = Frame::default();
    let edge = f.node(DVec3::Z);
    f.supports.push(held(edge, [1e6; 6]));
    let ground = |at: DVec3| mechanics::frame::StrandPoint { at, node: None };
    let over = mechanics::frame::StrandPoint { at: DVec3::Z, node: Some(edge) };
    let path = vec![ground(DVec3::X), over, ground(DVec3::NEG_X)];
    f.strands.push(Strand { path, k_n_per_m: 5e5, pretension_n: 400.0 });
    let factored = f.factor(&[]).unwrap();
    let s = solve(&factored, &Load { pretension: 1.0, ..Load::default() });
    // Down by u: dL = -sqrt 2 u, T = T0 - k sqrt 2 u, sqrt 2 T = K u, so T = T0 K / (K + 2 k).
    let tension = 400.0 * 1e6 / (1e6 + 2.0 * 5e5);
    assert!((s.tension(0, 0) - tension).abs() < 1e-9, "{}", s.tension(0, 0)); // rounding of 400 N
    assert!((s.support(0, 0)[2] - tension * 2.0_f64.sqrt()).abs() < 1e-9);
}

/// Of a massless frame shakes what carries a lump: three ways each, however many are asked for.
#[test]
fn bodies_without_mass_give_no_modes_on_any_rig() {
    let mut runner = proptest::test_runner::TestRunner::new(config(24));
    runner
        .run(&rigs(), |mut rig| {
            rig.frame.members.iter_mut().for_each(|m| m.beam.density_kg_m3 = 0.0);
            rig.frame.masses.truncate(1);
            let modes = rig.frame.factor(&[]).unwrap().modes(20).unwrap();
            prop_assert_eq!(modes.len(), 3);
            Ok(())
        })
        .unwrap();
}
