//! The frame against published structures and against two general-purpose frame programs.
//!
//! Published values with their sources: `tests/sources/<source>/cases.toml`; whole rigs: `tests/sources/reference-frames`.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;

use common::cases::{self, Computed};
use common::{fixed, force, held, member, nodal};
use glam::DVec3;
use mechanics::frame::{Beam, Factored, Frame, Load, PointMass, Solution, Stress};
use mechanics::wrench::Wrench;

/// A member of the books: no shear flexibility, no mass.
const fn plain(e: f64, g: f64, area: f64, [iy, iz, j]: [f64; 3]) -> Beam {
    Beam {
        e_pa: e,
        g_pa: g,
        area_m2: area,
        iy_m4: iy,
        iz_m4: iz,
        j_m4: j,
        shear_area_m2: None,
        density_kg_m3: 0.0,
    }
}

/// A fixed foot of the kip and inch cases: the stiffest member is some 3e4 kip/in, 3e5 kip in/rad.
const FOOT_KIP: f64 = 1e13;

fn solved(frame: &Frame, load: &Load, read: impl FnOnce(&Solution<'_>) -> Computed) -> Computed {
    let factored = frame.factor(&[]).unwrap();
    read(&factored.solve(core::slice::from_ref(load)).unwrap())
}

fn logan_5_8() -> Computed {
    let beam = plain(30_000.0, 10_000.0, 10.0, [100.0, 100.0, 50.0]);
    let mut f = Frame::default();
    let head = f.node(DVec3::ZERO);
    for at in [DVec3::X * -100.0, DVec3::Z * -100.0, DVec3::Y * -100.0] {
        let foot = f.node(at);
        f.members.push(member(foot, head, beam, DVec3::Z));
        f.supports.push(fixed(foot, FOOT_KIP));
    }
    let load = nodal(&[(head, Wrench::new(DVec3::Y * -50.0, DVec3::X * -1000.0))]);
    solved(&f, &load, |s| {
        let (u, t) = s.node(0, head);
        let mut c = Computed::from([
            ("node 1 x", u.x),
            ("node 1 y", u.y),
            ("node 1 z", u.z),
            ("node 1 turn x", t.x),
            ("node 1 turn y", t.y),
            ("node 1 turn z", t.z),
            ("sum Fy", (0..3).map(|foot| s.support(0, foot)[1]).sum()),
        ]);
        let names = [
            ["node 2 Fx", "node 2 Fy", "node 2 Fz", "node 2 Mx", "node 2 My", "node 2 Mz"],
            ["node 3 Fx", "node 3 Fy", "node 3 Fz", "node 3 Mx", "node 3 My", "node 3 Mz"],
            ["node 4 Fx", "node 4 Fy", "node 4 Fz", "node 4 Mx", "node 4 My", "node 4 Mz"],
        ];
        for (foot, names) in names.iter().enumerate() {
            c.extend(names.iter().copied().zip(s.support(0, foot)));
        }
        c
    })
}

fn logan_5_58() -> Computed {
    let beam = plain(30_000.0, 10_000.0, 100.0, [200.0, 1000.0, 100.0]);
    let mut f = Frame::default();
    let at = [[0.0, 0.0, 0.0], [120.0, 0.0, 0.0], [120.0, 0.0, -120.0], [120.0, -240.0, -120.0]];
    let n = at.map(|p| f.node(DVec3::from_array(p)));
    // Local y is vertical (world Y) in the two horizontal members: x along them, y = up x x, so up = x x Y.
    f.members.push(member(n[0], n[1], beam, DVec3::X.cross(DVec3::Y)));
    f.members.push(member(n[1], n[2], beam, DVec3::NEG_Z.cross(DVec3::Y)));
    // Local z of the vertical member is world Z.
    f.members.push(member(n[2], n[3], beam, DVec3::Z));
    f.supports.push(fixed(n[0], FOOT_KIP));
    f.supports.push(fixed(n[3], FOOT_KIP));
    let load = nodal(&[
        (n[1], Wrench::new(DVec3::Y * -5.0, DVec3::X * -1200.0)),
        (n[2], Wrench::new(DVec3::Z * 40.0, DVec3::ZERO)),
    ]);
    solved(&f, &load, |s| {
        Computed::from([("node 2 y", s.node(0, n[1]).0.y), ("node 3 z", s.node(0, n[2]).0.z)])
    })
}

fn logan_5_30() -> Computed {
    // In the x-y plane with up = Z, bending is about member z: Iz counts.
    let beam = plain(30_000.0, 11_500.0, 12.0, [200.0, 200.0, 100.0]);
    let mut f = Frame::default();
    let at = [(0.0, 0.0), (0.0, 360.0), (180.0, 480.0), (420.0, 480.0), (600.0, 360.0), (600.0, 0.0)];
    let n = at.map(|(x, y)| f.node(DVec3::new(x, y, 0.0)));
    for w in n.windows(2) {
        f.members.push(member(w[0], w[1], beam, DVec3::Z));
    }
    f.supports.push(fixed(n[0], FOOT_KIP));
    f.supports.push(fixed(n[5], FOOT_KIP));
    let load = nodal(&[force(n[2], DVec3::Y * -30.0), force(n[3], DVec3::Y * -30.0)]);
    solved(&f, &load, |s| {
        let (l, r) = (s.support(0, 0), s.support(0, 1));
        Computed::from([
            ("Fx left", l[0]),
            ("Fx right", r[0]),
            ("Fy left", l[1]),
            ("Fy right", r[1]),
            ("M left", l[5]),
            ("M right", r[5]),
        ])
    })
}

#[test]
fn logan_2007_examples_5_8_5_30_and_5_58() {
    cases::check("logan-2007", include_str!("sources/logan-2007/cases.toml"), |id| match id {
        "FR-20" => Some(logan_5_8()),
        "FR-21" | "FR-21b" => Some(logan_5_58()),
        "FR-23" => Some(logan_5_30()),
        _ => None,
    });
}

#[test]
fn mcguire_2000_example_4_15_beam_on_springs() {
    cases::check("mcguire-2000", include_str!("sources/mcguire-2000/cases.toml"), |id| {
        matches!(id, "FR-24" | "FR-24b").then(|| {
            let beam = plain(29_000.0, 11_200.0, 10.3, [128.5, 128.5, 100.0]);
            let mut f = Frame::default();
            let stations: Vec<f64> = (0..17).map(|i| 15.0 * f64::from(i)).collect();
            let n = common::run(&mut f, DVec3::ZERO, DVec3::X, &stations, beam);
            // Load and springs along y; what the plane case does not know is held at the ends.
            let ends = [FOOT_KIP, FOOT_KIP, FOOT_KIP, FOOT_KIP, 0.0, 0.0];
            f.supports.extend([held(n[0], ends), held(n[16], ends)]);
            f.supports.extend(n[1..16].iter().map(|node| held(*node, [0.0, 22.5, 0.0, 0.0, 0.0, 0.0])));
            solved(&f, &nodal(&[force(n[8], DVec3::Y * -40.0)]), |s| {
                Computed::from([
                    ("mid deflection", s.node(0, n[8]).0.y),
                    ("mid moment", s.internal(0, 8, 0.0).mz.abs()),
                ])
            })
        })
    });
}

/// The pyramid: apex node 0, feet 1 to 4 (the source counts from 1).
fn pyramid(shear: bool, apex_mass: f64) -> Frame {
    let beam = Beam {
        shear_area_m2: shear.then_some(20.0),
        density_kg_m3: 7.85e-9,
        ..plain(200_000.0, 79_300.0, 36.0, [492.0, 492.0, 1000.0])
    };
    let mut f = Frame::default();
    let apex = f.node(DVec3::Z * 1000.0);
    let feet = [(-1200.0, -900.0), (1200.0, -900.0), (1200.0, 900.0), (-1200.0, 900.0)]
        .map(|(x, y)| f.node(DVec3::new(x, y, 0.0)));
    for (i, j) in [(feet[0], apex), (apex, feet[1]), (apex, feet[2]), (feet[3], apex)] {
        f.members.push(member(i, j, beam, DVec3::Z));
    }
    // EA/L is 4e3 N/mm, 4EI/L 2e5 N mm/rad.
    f.supports.extend(feet.map(|n| fixed(n, 1e12)));
    if apex_mass > 0.0 {
        f.masses.push(PointMass { node: apex, mass_kg: apex_mass, at: f.nodes[apex] });
    }
    f
}

/// Solves under stress: first order, then with the axial forces found, as the source does: a member's weight makes its
/// axial force vary, and the source takes that at end i.
fn loaded<T>(frame: &Frame, load: &Load, read: impl FnOnce(&Factored<'_>, &Solution<'_>) -> T) -> T {
    let plain = frame.factor(&[]).unwrap();
    let load = core::slice::from_ref(load);
    let at_i = |s: &Solution<'_>| -> Stress {
        Stress::of_axial(&(0..frame.members.len()).map(|m| s.internal(0, m, 0.0).n).collect::<Vec<_>>())
    };
    let mut stress = at_i(&plain.solve(load).unwrap());
    for _ in 0..3 {
        stress = at_i(&plain.stressed(&stress).unwrap().solve(load).unwrap());
    }
    let stressed = plain.stressed(&stress).unwrap();
    read(&stressed, &stressed.solve(load).unwrap())
}

fn apex(s: &Solution<'_>) -> Computed {
    let (u, t) = s.node(0, 0);
    let names = ["apex x", "apex y", "apex z", "apex turn x", "apex turn y", "apex turn z"];
    names.into_iter().zip(u.to_array().into_iter().chain(t.to_array())).collect()
}

/// Load case 3: weight, and at the apex what stands for two forces on members, as the source prints it (with 9.992 N of
/// weight, which acts on the members here).
fn case_3() -> Load {
    let (f, m) = ([69.513, -34.167, 9.992 - 106.454], [26_196.117, -114_629.272, -52_275.957]);
    let nodal = vec![(0, Wrench::new(f.into(), m.into()))];
    Load { specific_force: DVec3::Z * -9806.33, nodal, ..Load::default() }
}

fn lighter(mut load: Load, mass: f64) -> Load {
    load.nodal.push(force(0, load.specific_force * -mass));
    load
}

#[test]
fn frame3dd_example_b_pyramid() {
    let load = Load {
        specific_force: DVec3::Z * -9806.33,
        nodal: vec![force(0, DVec3::new(100.0, -200.0, -100.0))],
        ..Load::default()
    };
    cases::check("frame3dd-examples", include_str!("sources/frame3dd-examples/cases.toml"), |id| match id {
        "FR-22" => Some(loaded(&pyramid(true, 0.0), &load, |_, s| {
            let mut c = apex(s);
            c.extend([
                ("member 1 tension at apex", s.member_ends(0, 0).1[0]),
                ("member 2 tension at apex", -s.member_ends(0, 1).0[0]),
                ("member 3 tension at apex", -s.member_ends(0, 2).0[0]),
                ("member 4 tension at apex", s.member_ends(0, 3).1[0]),
            ]);
            let names = [
                ["foot 2 Fx", "foot 2 Fy", "foot 2 Fz"],
                ["foot 3 Fx", "foot 3 Fy", "foot 3 Fz"],
                ["foot 4 Fx", "foot 4 Fy", "foot 4 Fz"],
                ["foot 5 Fx", "foot 5 Fy", "foot 5 Fz"],
            ];
            for (foot, names) in names.iter().enumerate() {
                c.extend(names.iter().copied().zip(s.support(0, foot)));
            }
            c
        })),
        "FR-22 no shear" => Some(solved(&pyramid(false, 0.0), &load, |s| {
            let u = s.node(0, 0).0;
            Computed::from([("apex x", u.x), ("apex y", u.y), ("apex z", u.z)])
        })),
        "FR-22 case 3" => Some(loaded(&pyramid(true, 0.0), &case_3(), |_, s| apex(s))),
        // The extra mass does not weigh in the source.
        "FR-22 modes" => Some(loaded(&pyramid(true, 0.1), &lighter(case_3(), 0.1), |stressed, _| {
            let names = ["mode 1", "mode 2", "mode 3", "mode 4", "mode 5", "mode 6"];
            names.into_iter().zip(stressed.modes(6).unwrap().iter().map(|m| m.frequency_hz)).collect()
        })),
        _ => None,
    });
}

#[test]
fn macneal_and_harder_1985_straight_beam() {
    cases::check("macneal-harder-1985", include_str!("sources/macneal-harder-1985/cases.toml"), |id| {
        (id == "MH-1").then(|| {
            let (e, nu, b, d) = (1e7, 0.3, 0.1, 0.2); // b out of plane (z), d in plane (y)
            let area = b * d;
            let beam = Beam {
                shear_area_m2: Some(area * 5.0 / 6.0),
                ..plain(
                    e,
                    e / (2.0 * (1.0 + nu)),
                    area,
                    [d * b.powi(3) / 12.0, b * d.powi(3) / 12.0, 4.58e-5],
                )
            };
            let mut f = Frame::default();
            let n = common::run(&mut f, DVec3::ZERO, DVec3::X, &[0.0, 6.0], beam);
            f.supports.push(fixed(n[0], 1e12));
            let tip = |axis: DVec3| {
                let factored = f.factor(&[]).unwrap();
                factored.solve(&[nodal(&[force(n[1], axis)])]).unwrap().node(0, n[1]).0.dot(axis)
            };
            Computed::from([
                ("in-plane shear", tip(DVec3::Y)),
                ("out-of-plane shear", tip(DVec3::Z)),
                ("extension", tip(DVec3::X)),
            ])
        })
    });
}

fn rig_shaped(pinned: bool) -> Computed {
    let beam = plain(210e9, 81e9, 5.566_902_182e-4, [1.376_757_537e-7, 1.376_757_537e-7, 2.753_515_075e-7]);
    let mut f = Frame::default();
    let corners = [(0.4, 0.6), (0.4, -0.6), (-0.4, -0.6), (-0.4, 0.6)];
    let k = 1e15; // EA/L is 3e8 N/m
    let ring = corners.map(|(x, y)| {
        let (foot, top) = (f.node(DVec3::new(x, y, 0.0)), f.node(DVec3::new(x, y, 0.5)));
        f.members.push(member(foot, top, beam, DVec3::X));
        f.supports.push(held(foot, if pinned { [k, k, k, 0.0, 0.0, 0.0] } else { [k; 6] }));
        top
    });
    let hub = f.node(DVec3::Z * 0.5);
    let top = f.node(DVec3::Z * 0.9);
    for c in 0..4 {
        f.members.push(member(ring[c], ring[(c + 1) % 4], beam, DVec3::Z));
        f.members.push(member(ring[c], hub, beam, DVec3::Z));
    }
    f.members.push(member(hub, top, beam, DVec3::X));
    solved(&f, &nodal(&[force(top, DVec3::new(0.0, 300.0, -600.0))]), |s| {
        let (u, t) = s.node(0, top);
        if pinned {
            return Computed::from([
                ("top y", u.y * 1e3),
                ("front left Fz", s.support(0, 0)[2]),
                ("front right Fz", s.support(0, 1)[2]),
            ]);
        }
        let mut c = Computed::from([
            ("top x", u.x * 1e3),
            ("top y", u.y * 1e3),
            ("top z", u.z * 1e3),
            ("top turn x", t.x),
        ]);
        let fl = [
            "front left Fx",
            "front left Fy",
            "front left Fz",
            "front left Mx",
            "front left My",
            "front left Mz",
        ];
        let rr = [
            "rear right Fx",
            "rear right Fy",
            "rear right Fz",
            "rear right Mx",
            "rear right My",
            "rear right Mz",
        ];
        c.extend(fl.into_iter().zip(s.support(0, 0)));
        c.extend(rr.into_iter().zip(s.support(0, 2)));
        c
    })
}

#[test]
fn rig_shaped_frame_on_fixed_and_on_pinned_feet() {
    cases::check("rig-shaped-table", include_str!("sources/rig-shaped-table/cases.toml"), |id| match id {
        "FR-27 fixed" => Some(rig_shaped(false)),
        "FR-27 pinned" => Some(rig_shaped(true)),
        _ => None,
    });
}
