//! Two whole rigs against the answers of general-purpose frame programs (`tests/sources/reference-frames`).
//!
//! Clamps and mast links are rigid joints, posts members, cups supports at the panel, straps strands to the ground.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

#[path = "common/validation.rs"]
#[allow(unreachable_pub, reason = "shared by several test programs")]
mod validation;

use glam::DVec3;
use mechanics::frame::{
    Beam, Frame, Joint, JointKind, Load, Lost, Member, PointMass, Solution, Strand, StrandPoint, Support,
};
use mechanics::wrench::Wrench;
use serde_json::Value;
use std::collections::BTreeMap;
use validation::Row;

/// Share of the largest value of the same kind: the two programs that made the answers agree to 1e-8.
const TOLERANCE: f64 = 1e-6;
/// Under this (N, N m, m, rad) a kind is nothing but rounding, and is compared with this instead.
const NOTHING: f64 = 1e-9;

fn numbers<const N: usize>(v: &Value) -> [f64; N] {
    let list = v.as_array().unwrap();
    assert_eq!(list.len(), N, "{v}");
    core::array::from_fn(|i| list[i].as_f64().unwrap())
}

fn number(v: &Value, key: &str) -> f64 {
    v[key].as_f64().unwrap()
}

fn text<'a>(v: &'a Value, key: &str) -> &'a str {
    v[key].as_str().unwrap()
}

fn list<'a>(v: &'a Value, key: &str) -> &'a Vec<Value> {
    v[key].as_array().unwrap()
}

/// A rig of the files as a frame, with its parts' names in the frame's order.
struct Rig {
    frame: Frame,
    nodes: BTreeMap<String, usize>,
    members: Vec<String>,
    cups: Vec<String>,
    straps: Vec<String>,
    mast: usize,
    loads: Vec<(String, Load)>,
}

fn rig(json: &str) -> Rig {
    let file: Value = serde_json::from_str(json).unwrap();
    let mut frame = Frame::default();
    let nodes: BTreeMap<String, usize> = list(&file, "nodes")
        .iter()
        .map(|n| (text(n, "id").to_owned(), frame.node(DVec3::from_array(numbers(&n["xyz"])))))
        .collect();
    let mut members = Vec::new();
    for m in list(&file, "members") {
        let (i, j) = (nodes[text(m, "i")], nodes[text(m, "j")]);
        match text(m, "kind") {
            "tube" | "post" => {
                let s = &file["sections"][text(m, "section")];
                let beam = Beam {
                    e_pa: number(s, "E"),
                    g_pa: number(s, "G"),
                    area_m2: number(s, "A"),
                    iy_m4: number(s, "Iy"),
                    iz_m4: number(s, "Iz"),
                    j_m4: number(s, "J"),
                    shear_area_m2: None,
                    density_kg_m3: number(s, "density"),
                };
                frame.members.push(Member { i, j, beam, up: DVec3::from_array(numbers(&m["vecxz"])) });
                members.push(text(m, "id").to_owned());
            }
            "clamp" | "mast_link" => frame.joints.push(Joint { a: i, b: j, kind: JointKind::Rigid }),
            other => panic!("no part of kind {other}"),
        }
    }
    let axes = [DVec3::X, DVec3::Y, DVec3::Z];
    for c in list(&file, "cups") {
        frame.supports.push(Support { node: nodes[text(c, "node")], axes, k: numbers(&c["k"]) });
    }
    for s in list(&file, "straps") {
        let node = nodes[text(s, "node")];
        let rig_end = StrandPoint { at: frame.nodes[node], node: Some(node) };
        let anchor = StrandPoint { at: DVec3::from_array(numbers(&s["anchor"])), node: None };
        frame.strands.push(Strand {
            path: vec![rig_end, anchor],
            k_n_per_m: number(s, "k"),
            pretension_n: 500.0,
        });
    }
    for p in list(&file, "point_masses") {
        let node = nodes[text(p, "node")];
        frame.masses.push(PointMass { node, mass_kg: number(p, "mass"), at: frame.nodes[node] });
    }
    let ids = |key: &str| list(&file, key).iter().map(|v| text(v, "id").to_owned()).collect();
    let mast = nodes[text(&file["mast"], "node")];
    let load = |c: &Value| Load {
        specific_force: DVec3::from_array(numbers(&c["accel"])),
        nodal: vec![(mast, Wrench::from_array(numbers(&c["wrench"])))],
        ..Load::default() // pretension left out: the answers are changes
    };
    let loads = list(&file, "load_cases").iter().map(|c| (text(c, "id").to_owned(), load(c))).collect();
    let (cups, straps) = (ids("cups"), ids("straps"));
    Rig { frame, nodes, members, cups, straps, mast, loads }
}

/// Pairs of computed and reference values of one kind.
#[derive(Default)]
struct Kind(Vec<(f64, f64)>);

impl Kind {
    fn add(&mut self, computed: &[f64], reference: &[f64]) {
        assert_eq!(computed.len(), reference.len());
        self.0.extend(computed.iter().copied().zip(reference.iter().copied()));
    }

    /// The pair with the largest reference value.
    fn largest(&self) -> (f64, f64) {
        self.0.iter().fold((0.0, 0.0), |a, b| if b.1.abs() > a.1.abs() { *b } else { a })
    }

    /// Largest difference as a share of the largest value (`least` if that is more).
    fn miss(&self, least: f64) -> f64 {
        let largest = self.0.iter().fold(least, |a, (_, r)| a.max(r.abs()));
        self.0.iter().map(|(c, r)| (c - r).abs()).fold(0.0, |a, d| if d > a || d.is_nan() { d } else { a })
            / largest
    }
}

fn compare(rig: &Rig, s: &Solution<'_>, case: usize, reference: &Value) -> BTreeMap<&'static str, Kind> {
    let mut kinds: BTreeMap<&'static str, Kind> = BTreeMap::new();
    let mut six = |force: &'static str, moment: &'static str, c: [f64; 6], v: &Value| {
        let r = numbers::<6>(v);
        kinds.entry(force).or_default().add(&c[..3], &r[..3]);
        kinds.entry(moment).or_default().add(&c[3..], &r[3..]);
    };
    let both = |(u, t): (DVec3, DVec3)| [u.x, u.y, u.z, t.x, t.y, t.z];
    let cups = reference["cups"].as_object().unwrap();
    for (index, id) in rig.cups.iter().enumerate() {
        // A lost cup is not in the reference, and must give nothing.
        match cups.get(id) {
            Some(v) => six("cup force", "cup moment", s.support(case, index), v),
            None => assert!(s.support(case, index).iter().all(|v| *v == 0.0), "{id} is lost"),
        }
    }
    let members = reference["members"].as_object().unwrap();
    assert_eq!(members.len(), rig.members.len());
    for (index, id) in rig.members.iter().enumerate() {
        let (i, j) = s.member_ends(case, index);
        six("member force", "member moment", i, &members[id]["i"]);
        six("member force", "member moment", j, &members[id]["j"]);
    }
    let moved = reference["node_disp"].as_object().unwrap();
    assert_eq!(moved.len(), rig.nodes.len());
    for (id, node) in &rig.nodes {
        six("movement", "turn", both(s.node(case, *node)), &moved[id]);
    }
    six("movement", "turn", both(s.node(case, rig.mast)), &reference["mast_disp"]);
    let straps = reference["straps"].as_object().unwrap();
    assert_eq!(straps.len(), rig.straps.len());
    for (index, id) in rig.straps.iter().enumerate() {
        let v = straps[id].as_f64().unwrap();
        kinds.entry("strap tension").or_default().add(&[s.tension(case, index)], &[v]);
    }
    kinds
}

fn matches_reference(name: &str, rig_json: &str, reference_json: &str, lost_cup: Option<&str>) {
    let rig = rig(rig_json);
    let reference: Value = serde_json::from_str(reference_json).unwrap();
    let lost: Vec<Lost> = rig
        .cups
        .iter()
        .enumerate()
        .filter(|(_, id)| Some(id.as_str()) == lost_cup)
        .map(|(i, _)| Lost::Support(i))
        .collect();
    assert_eq!(lost.len(), usize::from(lost_cup.is_some()));
    let factored = rig.frame.factor(&lost).unwrap();
    let loads: Vec<Load> = rig.loads.iter().map(|(_, l)| l.clone()).collect();
    assert_eq!(loads.len(), 9);
    let s = factored.solve(&loads).unwrap();
    // The largest value of each kind over the nine load cases stands on the validation page.
    let mut largest: BTreeMap<&'static str, (f64, f64)> = BTreeMap::new();
    for (case, (id, _)) in rig.loads.iter().enumerate() {
        for (kind, values) in compare(&rig, &s, case, &reference["cases_rigid_links"][id]) {
            let miss = values.miss(NOTHING);
            assert!(miss <= TOLERANCE, "{name}, {id}: {kind} differs by {miss:.2e} of the largest");
            let pair = values.largest();
            let slot = largest.entry(kind).or_default();
            if pair.1.abs() > slot.1.abs() {
                *slot = pair;
            }
        }
    }
    let rows: Vec<Row<'_>> = largest
        .iter()
        .map(|(kind, (ours, published))| Row {
            source: "two general-purpose frame programs, rigs of this project (tests/sources/reference-frames)",
            id: name,
            quantity: kind,
            published: *published,
            ours: *ours,
            unit: unit(kind),
            allowed: TOLERANCE * published.abs(),
            marker: "computed: largest of nine load cases, every value compared",
        })
        .collect();
    validation::record(&format!("reference-frames-{}", name.replace(' ', "-")), &rows);
}

fn unit(kind: &str) -> &'static str {
    match kind {
        "cup moment" | "member moment" => "N m",
        "movement" => "m",
        "turn" => "rad",
        _ => "N",
    }
}

const RIG_A: &str = include_str!("sources/reference-frames/rigA.json");
const RIG_B: &str = include_str!("sources/reference-frames/rigB.json");

#[test]
fn four_cups_without_straps() {
    matches_reference("rig A", RIG_A, include_str!("sources/reference-frames/refA.json"), None);
}

#[test]
fn eight_cups_with_four_straps() {
    matches_reference("rig B", RIG_B, include_str!("sources/reference-frames/refB.json"), None);
}

#[test]
fn eight_cups_with_four_straps_and_one_cup_lost() {
    let reference = include_str!("sources/reference-frames/refB_no_C3.json");
    matches_reference("rig B without C3", RIG_B, reference, Some("C3"));
}
