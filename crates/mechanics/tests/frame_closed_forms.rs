//! Beams with known answers: statics, deflections, shear deformation and natural frequencies
//! (`docs/mechanics.md` §2.1 and §2.6).

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;
#[path = "common/tube.rs"]
mod tube;

use common::cases::{self, Computed};
use common::{fixed, force, held, member, nodal, run};
use glam::DVec3;
use mechanics::frame::{Beam, Frame, Load, PointMass, Solution};
use tube::AREA_M2;

/// Without mass, so that it does not load itself.
const TUBE: Beam = Beam { density_kg_m3: 0.0, ..tube::TUBE };
const SHEAR: Beam = Beam { density_kg_m3: 0.0, ..tube::SHEAR };
/// A clamp: 1e7 times the stiffest member (EA/L of 0.3 m is 4e8 N/m), so that it gives by 1e-7 of what the member does.
const CLAMP: f64 = 4e15;
/// A pin that lets the beam turn about y and z; turning about x is held by a little, which no case loads.
const PIN: [f64; 6] = [CLAMP, CLAMP, CLAMP, 1e4, 0.0, 0.0];
const MM: f64 = 1e3;

/// The two ways that a beam along x can bend: load along `-z`, load along `-y`. Each case is done in both.
const DOWN: [DVec3; 2] = [DVec3::NEG_Z, DVec3::NEG_Y];

/// Along the load in mm.
fn sink(s: &Solution<'_>, node: usize, down: DVec3) -> f64 {
    s.node(0, node).0.dot(down) * MM
}

/// Slope of a beam along x at a node that sinks along `down`: positive where it sinks the more the farther along x.
fn slope(s: &Solution<'_>, node: usize, down: DVec3) -> f64 {
    s.node(0, node).1.cross(DVec3::X).dot(down)
}

/// Size of the bending moment at a station of a member.
fn bending(s: &Solution<'_>, member: usize, x_m: f64) -> f64 {
    let f = s.internal(0, member, x_m);
    f.my.hypot(f.mz)
}

fn beam_on(stations: &[f64], beam: Beam, feet: &[(usize, [f64; 6])]) -> Frame {
    let mut frame = Frame::default();
    run(&mut frame, DVec3::ZERO, DVec3::X, stations, beam);
    frame.supports.extend(feet.iter().map(|(node, k)| held(*node, *k)));
    frame
}

fn line_load(frame: &Frame, w: DVec3) -> Load {
    Load { line: (0..frame.members.len()).map(|m| (m, w)).collect(), ..Load::default() }
}

/// Solves, and hands the answer to `read`.
fn solved(frame: &Frame, load: &Load, read: impl FnOnce(&Solution<'_>) -> Computed) -> Computed {
    let factored = frame.factor(&[]).unwrap();
    read(&factored.solve(core::slice::from_ref(load)).unwrap())
}

fn straight(id: &str, down: DVec3) -> Option<Computed> {
    let ends = |n: usize, k: [f64; 6]| [(0, k), (n, k)];
    let rigid = [CLAMP; 6];
    Some(match id {
        "FR-1" | "TIM-1" => {
            let (l, beam) = if id == "FR-1" { (1.2, TUBE) } else { (0.3, SHEAR) };
            let f = beam_on(&[0.0, l], beam, &[(0, rigid)]);
            solved(&f, &nodal(&[force(1, down * 500.0)]), |s| {
                let mut c =
                    Computed::from([("tip deflection", sink(s, 1, down)), ("tip slope", slope(s, 1, down))]);
                if id == "FR-1" {
                    c.insert("root moment", bending(s, 0, 0.0));
                }
                c
            })
        }
        "FR-2" => {
            let f = beam_on(&[0.0, 0.5, 1.2], TUBE, &[(0, rigid)]);
            solved(&f, &line_load(&f, down * 40.0), |s| {
                Computed::from([("tip deflection", sink(s, 2, down)), ("root moment", bending(s, 0, 0.0))])
            })
        }
        "FR-3" => {
            let f = beam_on(&[0.0, 1.0, 2.0], TUBE, &ends(2, PIN));
            solved(&f, &nodal(&[force(1, down * 1000.0)]), |s| {
                Computed::from([("mid deflection", sink(s, 1, down)), ("mid moment", bending(s, 1, 0.0))])
            })
        }
        "FR-4" | "TIM-2" => {
            let (l, p, beam) = if id == "FR-4" { (2.0, 1000.0, TUBE) } else { (0.5, 500.0, SHEAR) };
            let f = beam_on(&[0.0, l / 2.0, l], beam, &ends(2, rigid));
            solved(&f, &nodal(&[force(1, down * p)]), |s| {
                Computed::from([("mid deflection", sink(s, 1, down)), ("end moment", bending(s, 0, 0.0))])
            })
        }
        "FR-5" => {
            let f = beam_on(&[0.0, 1.0, 2.0], TUBE, &ends(2, PIN));
            solved(&f, &line_load(&f, down * 200.0), |s| {
                Computed::from([("mid deflection", sink(s, 1, down)), ("mid moment", bending(s, 0, 1.0))])
            })
        }
        "FR-6" => {
            let f = beam_on(&[0.0, 1.0, 2.0], TUBE, &ends(2, rigid));
            solved(&f, &line_load(&f, down * 200.0), |s| {
                Computed::from([
                    ("mid deflection", sink(s, 1, down)),
                    ("end moment", bending(s, 1, 1.0)),
                    ("mid moment", bending(s, 0, 1.0)),
                ])
            })
        }
        "TIM-3" => {
            let f = beam_on(&[0.0, 0.25, 0.5], SHEAR, &ends(2, rigid));
            solved(&f, &line_load(&f, down * 2000.0), |s| {
                Computed::from([("mid deflection", sink(s, 1, down)), ("end moment", bending(s, 0, 0.0))])
            })
        }
        "FR-7" => {
            let f = beam_on(&[0.0, 0.6, 2.0 - 1.101_514_1, 2.0], TUBE, &ends(3, PIN));
            solved(&f, &nodal(&[force(1, down * 1000.0)]), |s| {
                Computed::from([
                    ("deflection under load", sink(s, 1, down)),
                    ("largest deflection", sink(s, 2, down)),
                    ("slope where largest", slope(s, 2, down)),
                    ("moment under load", bending(s, 0, 0.6)),
                ])
            })
        }
        "FR-8" => {
            let f = beam_on(&[0.0, 0.6, 2.0], TUBE, &ends(2, rigid));
            solved(&f, &nodal(&[force(1, down * 1000.0)]), |s| {
                Computed::from([
                    ("near end moment", bending(s, 0, 0.0)),
                    ("far end moment", bending(s, 1, 1.4)),
                    ("moment under load", bending(s, 1, 0.0)),
                    ("deflection under load", sink(s, 1, down)),
                ])
            })
        }
        "FR-9" => {
            let f = beam_on(&[0.0, 0.692_820_323, 1.2, 1.7], TUBE, &ends(2, PIN));
            solved(&f, &nodal(&[force(3, down * 400.0)]), |s| {
                let up = |foot: usize| {
                    let r = s.support(0, foot);
                    -DVec3::new(r[0], r[1], r[2]).dot(down)
                };
                Computed::from([
                    ("tip deflection", sink(s, 3, down)),
                    ("uplift at 0.69282 m", -sink(s, 1, down)),
                    ("left reaction", up(0)),
                    ("right reaction", up(1)),
                ])
            })
        }
        "FR-10" => {
            let feet = [(1, PIN), (3, PIN)];
            let f = beam_on(&[-0.5, 0.0, 0.6, 1.2, 1.7], TUBE, &feet);
            let tips = nodal(&[force(0, down * 400.0), force(4, down * 400.0)]);
            solved(&f, &tips, |s| {
                let (a, b) = (sink(s, 0, down), sink(s, 4, down));
                assert!((a - b).abs() < 1e-6, "the two tips are alike: {a} {b} mm"); // clamps give 1e-7
                Computed::from([("tip deflection", a), ("mid uplift", -sink(s, 2, down))])
            })
        }
        _ => return None,
    })
}

fn bent(id: &str) -> Option<Computed> {
    let mut f = Frame::default();
    let root = f.node(DVec3::ZERO);
    f.supports.push(fixed(root, CLAMP));
    Some(match id {
        "FR-11" => {
            let corner = f.node(DVec3::X * 0.8);
            let tip = f.node(DVec3::new(0.8, 0.5, 0.0));
            f.members.push(member(root, corner, TUBE, DVec3::Z));
            f.members.push(member(corner, tip, TUBE, DVec3::Z));
            solved(&f, &nodal(&[force(tip, DVec3::NEG_Z * 300.0)]), |s| {
                Computed::from([
                    ("tip deflection", sink(s, tip, DVec3::NEG_Z)),
                    ("corner twist", s.node(0, corner).1.x.abs()),
                ])
            })
        }
        "FR-12" => {
            let corner = f.node(DVec3::Z * 0.8);
            let tip = f.node(DVec3::new(0.5, 0.0, 0.8));
            // P b^3 / 3 E I + P b^2 a / E I + P a / E A: the leg shortens too, by 0.00205 mm.
            f.members.push(member(root, corner, TUBE, DVec3::X));
            f.members.push(member(corner, tip, TUBE, DVec3::Z));
            solved(&f, &nodal(&[force(tip, DVec3::NEG_Z * 300.0)]), |s| {
                Computed::from([
                    ("tip deflection", sink(s, tip, DVec3::NEG_Z)),
                    ("corner sway", s.node(0, corner).0.x.abs() * MM),
                ])
            })
        }
        _ => return None,
    })
}

#[test]
fn beam_formulas_hold_for_load_along_z_and_along_y() {
    let table = include_str!("sources/beam-formulas/cases.toml");
    for down in DOWN {
        cases::check("beam-formulas", table, |id| straight(id, down).or_else(|| bent(id)));
    }
}

/// Frequencies of the 1.2 m cantilever, in 16 members: `beam_kg` of its own and `tip_kg` at its end.
fn cantilever_frequencies(beam_kg: f64, tip_kg: f64, count: usize) -> Vec<f64> {
    let l = 1.2;
    let beam = Beam { density_kg_m3: beam_kg / (AREA_M2 * l), ..TUBE };
    let stations: Vec<f64> = (0..=16).map(|i| l * f64::from(i) / 16.0).collect();
    let mut f = beam_on(&stations, beam, &[(0, [CLAMP; 6])]);
    if tip_kg > 0.0 {
        f.masses.push(PointMass { node: 16, mass_kg: tip_kg, at: f.nodes[16] });
    }
    let factored = f.factor(&[]).unwrap();
    factored.modes(count).unwrap().iter().map(|m| m.frequency_hz).collect()
}

#[test]
fn cantilevers_shake_at_the_roots_of_the_exact_equations() {
    let m = 5.244;
    cases::check("beam-vibration", include_str!("sources/beam-vibration/cases.toml"), |id| {
        Some(match id {
            "FR-13" => {
                let first = cantilever_frequencies(m, 15.0, 1)[0];
                Computed::from([
                    ("first frequency", first),
                    ("shortcut frequency", first),
                    ("massless frequency", cantilever_frequencies(0.0, 15.0, 1)[0]),
                ])
            }
            "FR-14" => {
                // Each bending frequency comes twice, once in each plane.
                let f = cantilever_frequencies(m, 0.0, 4);
                assert!((f[1] / f[0] - 1.0).abs() < 1e-6 && (f[3] / f[2] - 1.0).abs() < 1e-6, "{f:?}");
                Computed::from([("first frequency", f[0]), ("second over first", f[2] / f[0])])
            }
            "ROD-1" => {
                // Bending frequencies lie far off (554 and 1086 Hz), so the nearest mode is the one meant.
                let f = cantilever_frequencies(7850.0 * AREA_M2 * 1.2, 0.0, 12);
                let nearest = |hz: f64| {
                    f.iter().copied().min_by(|a, b| (a - hz).abs().total_cmp(&(b - hz).abs())).unwrap()
                };
                Computed::from([("torsion", nearest(669.0)), ("stretch", nearest(1077.5))])
            }
            _ => return None,
        })
    });
}

/// A massless frame with one lump has three ways of shaking, however many are asked for.
#[test]
fn movements_without_mass_are_no_modes() {
    assert_eq!(cantilever_frequencies(0.0, 15.0, 50).len(), 3);
}

#[test]
fn a_short_cantilever_gives_by_bending_and_by_shear() {
    // P L^3 / 3 E I + P L / (G As), and the shear part alone by difference with the beam that has none.
    let (p, l, shear_area) = (700.0, 0.15, AREA_M2 / 2.0); // shear adds a tenth
    let tip = |beam: Beam| {
        let f = beam_on(&[0.0, l], beam, &[(0, [CLAMP; 6])]);
        let factored = f.factor(&[]).unwrap();
        let s = factored.solve(&[nodal(&[force(1, DVec3::Y * p)])]).unwrap();
        s.node(0, 1).0.y
    };
    let shear = p * l / (TUBE.g_pa * shear_area);
    let difference = tip(SHEAR) - tip(TUBE);
    assert!((difference / shear - 1.0).abs() < 1e-6, "{difference} against {shear}"); // clamp gives 1e-7 of the whole
}
