//! Frames under stress: buckling loads, beam-columns, tie-rods, bodies that tip (`docs/mechanics.md` §2.9 and §2.10).

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;
#[path = "common/tube.rs"]
mod tube;

use common::cases::{self, Computed};
use common::{WORLD, fixed, force, held, member, nodal, run};
use glam::DVec3;
use mechanics::frame::{
    Beam, Frame, FrameError, Freedom, Joint, JointKind, Load, SolveError, Strand, StrandPoint, Stress,
};
use tube::{I_M4, SHEAR, TUBE};

/// 1e6 times the stiffest member.
const CLAMP: f64 = 1e15;
const EI: f64 = 210e9 * I_M4;

/// How a column's end is held: its base takes the push, its head slides along.
#[derive(Clone, Copy)]
enum End {
    Pinned,
    Clamped,
    Free,
}

fn foot(end: End, along: f64) -> [f64; 6] {
    match end {
        End::Pinned => [along, CLAMP, CLAMP, 1e4, 0.0, 0.0],
        End::Clamped => [along, CLAMP, CLAMP, CLAMP, CLAMP, CLAMP],
        End::Free => [0.0; 6],
    }
}

/// A column along x of `l` in `pieces`, its base at node 0, its head the last node.
fn column(beam: Beam, l: f64, pieces: usize, [base, head]: [End; 2]) -> Frame {
    let mut f = Frame::default();
    let count = |i: usize| f64::from(u32::try_from(i).unwrap());
    let stations: Vec<f64> = (0..=pieces).map(|i| l * count(i) / count(pieces)).collect();
    let n = run(&mut f, DVec3::ZERO, DVec3::X, &stations, beam);
    f.supports.push(held(n[0], foot(base, CLAMP)));
    f.supports.push(held(n[pieces], foot(head, 0.0)));
    f
}

/// Push that buckles a column, from a push of 1 N on its head found by the frame.
fn buckling_load(f: &Frame) -> f64 {
    let factored = f.factor(&[]).unwrap();
    let head = f.nodes.len() - 1;
    let solution = factored.solve(&[nodal(&[force(head, DVec3::NEG_X)])]).unwrap();
    factored.critical(&solution.stresses()[0]).unwrap().unwrap().factor
}

fn euler(id: &str) -> Option<Computed> {
    let p_e = core::f64::consts::PI.powi(2) * EI / (1.2 * 1.2);
    Some(match id {
        "COL-1" => {
            let load = |ends| buckling_load(&column(TUBE, 1.2, 8, ends)) / 1e3;
            Computed::from([
                ("pinned and pinned", load([End::Pinned, End::Pinned])),
                ("clamped and free", load([End::Clamped, End::Free])),
                ("clamped and pinned", load([End::Clamped, End::Pinned])),
                ("clamped and clamped", load([End::Clamped, End::Clamped])),
            ])
        }
        "COL-2" => Computed::from([(
            "pinned and pinned, short",
            buckling_load(&column(SHEAR, 0.3, 16, [End::Pinned, End::Pinned])) / 1e3,
        )]),
        "COL-3" => {
            let f = column(TUBE, 1.2, 8, [End::Pinned, End::Pinned]);
            let plain = f.factor(&[]).unwrap();
            let at = |tension: f64, across: DVec3| {
                let stressed = plain.stressed(&Stress::of_axial(&[tension; 8])).unwrap();
                let solution = stressed.solve(&[nodal(&[force(4, across * 1e3)])]).unwrap();
                let m = solution.internal(0, 4, 0.0);
                (solution.node(0, 4).0.dot(across) * 1e3, m.my.hypot(m.mz))
            };
            let mut c = Computed::new();
            for across in [DVec3::NEG_Z, DVec3::Y] {
                for (share, names) in [
                    (
                        0.3,
                        [
                            "sag under push of 0.3 P_E",
                            "moment under push of 0.3 P_E",
                            "sag under pull of 0.3 P_E",
                        ],
                    ),
                    (
                        0.7,
                        [
                            "sag under push of 0.7 P_E",
                            "moment under push of 0.7 P_E",
                            "sag under pull of 0.7 P_E",
                        ],
                    ),
                ] {
                    let (push, pull) = (at(-share * p_e, across), at(share * p_e, across));
                    c.extend(names.into_iter().zip([push.0, push.1, pull.0]));
                }
            }
            c
        }
        "COL-4" => {
            let f = column(TUBE, 1.2, 8, [End::Pinned, End::Pinned]);
            let plain = f.factor(&[]).unwrap();
            let first = |share: f64| {
                let stressed = plain.stressed(&Stress::of_axial(&[share * p_e; 8])).unwrap();
                stressed.modes(1).unwrap()[0].frequency_hz
            };
            Computed::from([
                ("frequency at pull of -0.5 P_E", first(-0.5)),
                ("frequency at pull of 0 P_E", first(0.0)),
                ("frequency at pull of 2 P_E", first(2.0)),
            ])
        }
        _ => return None,
    })
}

#[test]
fn columns_buckle_and_tie_rods_stiffen_as_timoshenko_and_gere_have_it() {
    cases::check("euler-columns", include_str!("sources/euler-columns/cases.toml"), euler);
}

/// A beam of the kip and inch cases in 8 members.
fn kip_beam(i_in4: f64, area_in2: f64, shear_in2: Option<f64>, l: f64, ends: [[f64; 6]; 2]) -> Frame {
    let beam = Beam {
        e_pa: 29_000.0,
        g_pa: 11_200.0,
        area_m2: area_in2,
        iy_m4: i_in4,
        iz_m4: i_in4,
        j_m4: 100.0,
        shear_area_m2: shear_in2,
        density_kg_m3: 0.0,
    };
    let mut f = Frame::default();
    let stations: Vec<f64> = (0..=8).map(|i| l * f64::from(i) / 8.0).collect();
    let n = run(&mut f, DVec3::ZERO, DVec3::X, &stations, beam);
    f.supports.extend([held(n[0], ends[0]), held(n[8], ends[1])]);
    f
}

fn aisc(id: &str) -> Option<Computed> {
    let k = 1e12;
    let clamp = [[k; 6], [0.0; 6]];
    let pins = [[k, k, k, k, 0.0, 0.0], [0.0, k, k, 0.0, 0.0, 0.0]];
    let answer = |f: &Frame, load: &Load, push: f64, node: usize, member: usize| {
        let plain = f.factor(&[]).unwrap();
        let stressed = plain.stressed(&Stress::of_axial(&[-push; 8])).unwrap();
        let s = stressed.solve(core::slice::from_ref(load)).unwrap();
        (s.internal(0, member, 0.0).mz.abs(), s.node(0, node).0.y.abs())
    };
    Some(match id {
        "FR-25" => {
            let f = kip_beam(100.0, 30.0, None, 240.0, clamp);
            let (moment, tip) = answer(&f, &nodal(&[force(8, DVec3::Y * 5.0)]), 100.0, 8, 0);
            Computed::from([("moment", moment), ("tip", tip), ("critical load", buckling_load(&f))])
        }
        "FR-26" | "FR-26 shear" => {
            let web = (id == "FR-26 shear").then_some(13.8 * 0.34);
            let across =
                Load { line: (0..8).map(|m| (m, DVec3::Y * 0.2 / 12.0)).collect(), ..Load::default() };
            let tip = nodal(&[force(8, DVec3::Y)]);
            let mut c = Computed::new();
            for (push, names) in [
                (0.0, ["mid moment at 0 kip", "mid sag at 0 kip"]),
                (150.0, ["mid moment at 150 kip", "mid sag at 150 kip"]),
                (300.0, ["mid moment at 300 kip", "mid sag at 300 kip"]),
                (450.0, ["mid moment at 450 kip", "mid sag at 450 kip"]),
            ] {
                let (m, d) = answer(&kip_beam(484.0, 14.1, web, 336.0, pins), &across, push, 4, 4);
                c.extend(names.into_iter().zip([m, d]));
            }
            for (push, names) in [
                (0.0, ["base moment at 0 kip", "tip at 0 kip"]),
                (100.0, ["base moment at 100 kip", "tip at 100 kip"]),
                (150.0, ["base moment at 150 kip", "tip at 150 kip"]),
                (200.0, ["base moment at 200 kip", "tip at 200 kip"]),
            ] {
                let (m, d) = answer(&kip_beam(484.0, 14.1, web, 336.0, clamp), &tip, push, 8, 0);
                c.extend(names.into_iter().zip([m, d]));
            }
            c
        }
        _ => return None,
    })
}

#[test]
fn second_order_benchmarks_of_the_aisc_commentary() {
    cases::check("aisc-second-order", include_str!("sources/aisc-second-order/cases.toml"), aisc);
}

#[test]
fn a_cut_member_shows_its_own_bow() {
    // A clamped member alone cannot bow: cut in two it is 40 / 4 pi² too strong, 1.3 %.
    let f = column(TUBE, 1.2, 1, [End::Clamped, End::Clamped]);
    let exact = 4.0 * core::f64::consts::PI.powi(2) * EI / 1.44;
    let alone = f.factor(&[]).unwrap();
    let s = alone.solve(&[nodal(&[force(1, DVec3::NEG_X)])]).unwrap();
    assert!(alone.critical(&s.stresses()[0]).unwrap().is_none_or(|c| c.factor > 1e3 * exact));
    let split = f.split(&[0, 0, 7]);
    assert_eq!((split.frame.members.len(), split.frame.nodes.len()), (2, 3));
    let factored = split.frame.factor(&[]).unwrap();
    let whole = Load { line: vec![(0, DVec3::new(-2.0, 0.0, -50.0))], ..nodal(&[force(1, DVec3::NEG_X)]) };
    let load = split.load(&whole);
    let s = factored.solve(&[nodal(&[force(1, DVec3::NEG_X)]), load]).unwrap();
    let alpha = factored.critical(&s.stresses()[0]).unwrap().unwrap().factor;
    assert!((alpha / exact - 40.0 / (4.0 * core::f64::consts::PI.powi(2))).abs() < 1e-3, "{alpha} {exact}");
    // The line load is on both halves: the ends turn and push back as those of the whole.
    let plain = f.factor(&[]).unwrap();
    let uncut = plain.solve(&[whole]).unwrap();
    for d in 0..6 {
        let (a, b) = (s.support(1, 0)[d], uncut.support(0, 0)[d]);
        assert!((a - b).abs() < 1e-5 * 60.0, "{d}: {a} {b}"); // springs of 1e15 read movements of 1e-14
    }
}

#[test]
fn a_rigid_mast_on_a_spring_tips_at_stiffness_over_height() {
    // P_cr = c / h: no member bends, all of it is the weight high on the body.
    let (c, h) = (4.0e3, 1.6);
    let mut f = Frame::default();
    let (base, top) = (f.node(DVec3::ZERO), f.node(DVec3::Z * h));
    f.joints.push(Joint { a: base, b: top, kind: JointKind::Rigid });
    f.supports.push(held(base, [CLAMP, CLAMP, CLAMP, c, 2.0 * c, CLAMP]));
    let factored = f.factor(&[]).unwrap();
    let s = factored.solve(&[nodal(&[force(top, DVec3::NEG_Z)]), nodal(&[force(top, DVec3::Z)])]).unwrap();
    let [down, up] = &s.stresses()[..] else { panic!() };
    let critical = factored.critical(down).unwrap().unwrap();
    assert!((critical.factor - c / h).abs() < 1e-6 * c / h, "{}", critical.factor);
    // All of the work is in the foot, and none where a column bows between clamps.
    assert!((factored.support_share(&critical) - 1.0).abs() < 1e-6);
    let clamped = column(TUBE, 1.2, 8, [End::Clamped, End::Clamped]);
    let own = clamped.factor(&[]).unwrap();
    let bow = own.critical(&Stress::of_axial(&[-1.0; 8])).unwrap().unwrap();
    assert!(own.support_share(&bow) < 1e-3);
    // About x, the softer way: it falls sideways.
    assert!(critical.shape[top].y.abs() > 0.999 && critical.shape[top].x.abs() < 1e-6);
    // A pull up only holds it.
    assert!(factored.critical(up).unwrap().is_none());
    let stands = |stress, alpha| factored.stands(stress, alpha).unwrap();
    assert!(stands(up, 1e3 * c / h) && stands(down, 0.9999 * c / h) && !stands(down, 1.0001 * c / h));
    // The same weight given to the base and carried by the mast.
    let at_base = factored.solve(&[nodal(&[force(base, DVec3::NEG_Z)])]).unwrap();
    let mut stress = at_base.stresses().remove(0);
    assert!(factored.critical(&stress).unwrap().is_none());
    stress.carry(&factored, base, DVec3::NEG_Z, DVec3::Z * h);
    let carried = factored.critical(&stress).unwrap().unwrap();
    assert!((carried.factor - c / h).abs() < 1e-6 * c / h);
}

#[test]
fn a_rigid_bar_on_a_hinge_falls_at_spring_times_height() {
    // Hinged foot, side spring k at the head: P_cr = k h. The hinge's own force is found from the balance of the body.
    let (k, h, below) = (9.0e3, 0.8, 0.15);
    let hinge = Freedom { slide: [false; 3], turn: [true, false, false] };
    let mut f = Frame::default();
    let ground = f.node(DVec3::ZERO);
    let (middle, head) = (f.node(DVec3::Z * below), f.node(DVec3::Z * h));
    f.supports.push(fixed(ground, CLAMP));
    // The hinge is at the ground's node, the body's origin above it: levers do not start at the hinge.
    f.joints.push(Joint { a: ground, b: middle, kind: JointKind::Release { axes: WORLD, free: hinge } });
    f.joints.push(Joint { a: middle, b: head, kind: JointKind::Rigid });
    f.supports.push(held(head, [0.0, k, 0.0, 0.0, 0.0, 0.0]));
    let factored = f.factor(&[]).unwrap();
    let s = factored.solve(&[nodal(&[force(head, DVec3::NEG_Z)])]).unwrap();
    let alpha = factored.critical(&s.stresses()[0]).unwrap().unwrap().factor;
    // The hinge's springs are 1e11 times the side spring: five digits are left.
    assert!((alpha - k * h).abs() < 1e-5 * k * h, "{alpha} {}", k * h);
}

#[test]
fn a_taut_strand_holds_a_mast_up_sideways() {
    // A massless post on a hinge both ways, stretched upward by a strand of length b: side stiffness T/b at its head
    // against the push T on the post, which tips at T/h. Together T (1/b + ... ) holds where b < h falls where b > h.
    let free = Freedom { slide: [false; 3], turn: [true, true, false] };
    let build = |b: f64| {
        let mut f = Frame::default();
        let (ground, low) = (f.node(DVec3::ZERO), f.node(DVec3::ZERO));
        let head = f.node(DVec3::Z);
        f.supports.push(fixed(ground, CLAMP));
        f.joints.push(Joint { a: ground, b: low, kind: JointKind::Release { axes: WORLD, free } });
        f.members.push(member(low, head, TUBE, DVec3::X));
        f.supports.push(held(head, [100.0, 100.0, 0.0, 0.0, 0.0, 0.0]));
        // Pulled down to the ground beside: the strand runs from the head down by b.
        let path = vec![
            StrandPoint { at: DVec3::Z, node: Some(head) },
            StrandPoint { at: DVec3::Z * (1.0 - b), node: None },
        ];
        f.strands.push(Strand { path, k_n_per_m: 1e3, pretension_n: 1.0 });
        f
    };
    let alpha = |b: f64| {
        let f = build(b);
        let factored = f.factor(&[]).unwrap();
        let s = factored.solve(&[Load { pretension: 1.0, ..Load::default() }]).unwrap();
        let stress = s.stresses().remove(0);
        (factored.critical(&stress).unwrap().map(|c| c.factor), stress)
    };
    // Anchored half-way down (b = 0.5): T/b - T/h = T > 0 holds. Anchored below the hinge (b = 2): T (1/2 - 1) tips at
    // 100 / 0.5 = 200 N of tension in the post's push.
    let (held_up, _) = alpha(0.5);
    assert!(held_up.is_none_or(|a| a > 1e4), "{held_up:?}");
    let (tips, stress) = alpha(2.0);
    let t = stress.strand_n[0];
    assert!((tips.unwrap() * t - 200.0).abs() < 0.01 * 200.0, "{tips:?} {t}");
}

#[test]
fn forces_add_up_and_bound_each_other() {
    let f = column(SHEAR, 0.9, 4, [End::Clamped, End::Pinned]);
    let factored = f.factor(&[]).unwrap();
    let loads = [nodal(&[force(4, DVec3::NEG_X)]), nodal(&[force(2, DVec3::NEG_X)])];
    let s = factored.solve(&loads).unwrap();
    let states = s.stresses();
    let both = Stress::sum(&states, &[2.0, 3.0]);
    let own = factored.critical(&states[0]).unwrap().unwrap();
    // Twice the forces, half the factor; the bound is exact for its own state and from above for others.
    let twice = factored.critical(&Stress::sum(&states[..1], &[2.0])).unwrap().unwrap();
    assert!((twice.factor * 2.0 - own.factor).abs() < 1e-6 * own.factor);
    assert!((factored.bound(&own, &states[0]).unwrap() - own.factor).abs() < 1e-6 * own.factor);
    let sum = factored.critical(&both).unwrap().unwrap().factor;
    assert!(factored.bound(&own, &both).unwrap() >= sum * (1.0 - 1e-9));
    let works = factored.shape_work(&own, &states[0]) * 2.0 + factored.shape_work(&own, &states[1]) * 3.0;
    assert!((works - factored.shape_work(&own, &both)).abs() < 1e-9 * works.abs());
}

#[test]
fn beyond_the_critical_factor_there_is_no_answer_and_just_under_it_there_is() {
    let f = column(TUBE, 1.2, 4, [End::Clamped, End::Free]);
    let factored = f.factor(&[]).unwrap();
    let push = Stress::of_axial(&[-1.0; 4]);
    let alpha = factored.critical(&push).unwrap().unwrap().factor;
    let at = |share: f64| factored.stressed(&Stress::of_axial(&[-alpha * share; 4])).map(|_| ());
    assert_eq!(at(1.001), Err(SolveError::Buckled));
    assert_eq!(at(0.999), Ok(()));
    // Half-way already under stress, the rest is half.
    let half = factored.stressed(&Stress::of_axial(&[-alpha / 2.0; 4])).unwrap();
    let rest = half.critical(&push).unwrap().unwrap().factor;
    assert!((rest - alpha / 2.0).abs() < 1e-6 * alpha, "{rest} {alpha}");
}

#[test]
fn pulls_and_nothing_never_buckle_and_lost_numbers_are_refused() {
    let f = column(TUBE, 1.2, 4, [End::Clamped, End::Free]);
    let factored = f.factor(&[]).unwrap();
    for pull in [Stress::of_axial(&[500.0; 4]), Stress::of_axial(&[0.0; 4]), Stress::default()] {
        assert!(factored.critical(&pull).unwrap().is_none());
        assert!(factored.stressed(&pull).is_ok());
    }
    for bad in [f64::NAN, f64::INFINITY] {
        let bad = Stress::of_axial(&[bad]);
        assert_eq!(factored.critical(&bad).map(|_| ()), Err(FrameError::BadNumber.into()));
        assert_eq!(factored.stressed(&bad).map(|_| ()), Err(FrameError::BadNumber.into()));
    }
    // Forces on members that are not there count for nothing.
    assert!(factored.critical(&Stress::of_axial(&[0.0, 0.0, 0.0, 0.0, -9e9])).unwrap().is_none());
}

#[test]
fn a_rigid_block_on_a_column_makes_it_longer() {
    // Clamped column of length l, rigid block of height b on its head, the push on top: with y = d (1 - cos k x) and
    // d = y(l) + b y'(l) it buckles at k b tan(k l) = 1, P = E I k². (Derived here; b = 0 is the Euler column.)
    let (l, b) = (1.2, 0.5);
    let (mut low, mut high) = (0.0, core::f64::consts::FRAC_PI_2 / l);
    for _ in 0..60 {
        let k = f64::midpoint(low, high);
        if k * b * (k * l).tan() < 1.0 {
            low = k;
        } else {
            high = k;
        }
    }
    let exact = EI * low * low;
    // The body's origin is its first node: at the top of the block, then at the column's head.
    for top_first in [true, false] {
        let mut f = Frame::default();
        let place = DVec3::X * (l + b);
        let early = top_first.then(|| f.node(place));
        let stations: Vec<f64> = (0..=8).map(|i| l * f64::from(i) / 8.0).collect();
        let n = run(&mut f, DVec3::ZERO, DVec3::X, &stations, TUBE);
        let top = early.unwrap_or_else(|| f.node(place));
        f.joints.push(Joint { a: n[8], b: top, kind: JointKind::Rigid });
        f.supports.push(fixed(n[0], CLAMP));
        let factored = f.factor(&[]).unwrap();
        let s = factored.solve(&[nodal(&[force(top, DVec3::NEG_X)])]).unwrap();
        let alpha = factored.critical(&s.stresses()[0]).unwrap().unwrap().factor;
        assert!((alpha / exact - 1.0).abs() < 1e-3, "{top_first}: {alpha} {exact}"); // eight pieces
    }
}

#[test]
fn a_stay_that_runs_down_beside_a_rigid_mast_tips_it_and_holds_it() {
    // Rigid mast of height h on a turning spring c; a stay from its top down to the ground, of length 2 h (the ground is
    // that deep here). Its pull T tips by T h and, as the stay leans, rights by T h² / 2 h: T_cr = 2 c / h.
    let (c, h) = (4.0e3, 1.6);
    let mut f = Frame::default();
    let base = f.node(DVec3::ZERO);
    f.supports.push(held(base, [CLAMP, CLAMP, CLAMP, c, c, CLAMP]));
    let path = vec![
        StrandPoint { at: DVec3::Z * h, node: Some(base) },
        StrandPoint { at: DVec3::NEG_Z * h, node: None },
    ];
    f.strands.push(Strand { path, k_n_per_m: 0.0, pretension_n: 1.0 });
    let factored = f.factor(&[]).unwrap();
    let s = factored.solve(&[Load { pretension: 1.0, ..Load::default() }]).unwrap();
    let alpha = factored.critical(&s.stresses()[0]).unwrap().unwrap().factor;
    assert!((alpha * h / (2.0 * c) - 1.0).abs() < 1e-6, "{alpha}");
}
