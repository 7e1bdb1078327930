//! Two whole rigs from their FILES to the answers of general-purpose frame programs
//! (`crates/mechanics/tests/sources/reference-frames`): the way from the file through the model to the responses.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test program: a fault stops the test")]

mod common;
#[allow(unreachable_pub, reason = "shared by the tests of several crates")]
#[path = "../../mechanics/tests/common/validation.rs"]
mod validation;

use serde_json::Value;
use std::collections::BTreeMap;
use verdict::Context;
use verdict::responses::{ARM_COLUMN, Responses, Station};
use verdict::structure::BuildOptions;

/// Share of the largest value of the same kind in the case: the programs behind the answers agree to 1e-8.
const TOLERANCE: f64 = 1e-6;

fn six(v: &Value) -> [f64; 6] {
    core::array::from_fn(|i| v[i].as_f64().unwrap())
}

/// Pairs of computed and reference values by kind.
#[derive(Default)]
struct Kinds(BTreeMap<&'static str, Vec<(f64, f64)>>);

impl Kinds {
    fn add(&mut self, kind: &'static str, computed: &[f64], reference: &[f64]) {
        assert_eq!(computed.len(), reference.len());
        self.0.entry(kind).or_default().extend(computed.iter().copied().zip(reference.iter().copied()));
    }

    fn six(&mut self, kinds: [&'static str; 2], computed: [f64; 6], reference: [f64; 6]) {
        self.add(kinds[0], &computed[..3], &reference[..3]);
        self.add(kinds[1], &computed[3..], &reference[3..]);
    }

    /// Largest difference of each kind as a share of its largest value, and that value: ours and the reference's.
    fn misses(&self) -> BTreeMap<&'static str, (f64, (f64, f64))> {
        let miss = |pairs: &Vec<(f64, f64)>| {
            let largest =
                pairs.iter().fold((0.0, 1e-9_f64), |a, p| if p.1.abs() > a.1.abs() { *p } else { a });
            let off = pairs.iter().map(|(c, r)| (c - r).abs());
            let worst = off.fold(0.0_f64, |a, d| if d > a || d.is_nan() { d } else { a });
            (worst / largest.1.abs(), largest)
        };
        self.0.iter().map(|(k, v)| (*k, miss(v))).collect()
    }
}

/// `r` of one case: specific force and wrench alone, so straps show their change of tension.
fn respond(ctx: &Context<'_>, r: &Responses, case: &Value) -> Vec<f64> {
    let mut u = vec![0.0; ctx.columns.count()];
    for i in 0..3 {
        u[i] = case["accel"][i].as_f64().unwrap();
    }
    u[ARM_COLUMN..ARM_COLUMN + 6].copy_from_slice(&six(&case["wrench"]));
    r.respond(&u)
}

fn compare(
    ctx: &Context<'_>,
    r: &[f64],
    json: &Value,
    reference: &Value,
) -> BTreeMap<&'static str, (f64, (f64, f64))> {
    let mut kinds = Kinds::default();
    let rows = |row: usize| -> [f64; 6] { core::array::from_fn(|i| r[row + i]) };
    for (c, cup) in ctx.rig.cups.iter().enumerate() {
        match reference["cups"].get(&cup.tag) {
            Some(v) => kinds.six(["cup force", "cup moment"], rows(ctx.layout.cup[c]), six(v)),
            None => assert!(rows(ctx.layout.cup[c]).iter().all(|v| v.abs() < 1e-12), "{} is lost", cup.tag),
        }
    }
    for (s, strap) in ctx.rig.straps.iter().enumerate() {
        let v = reference["straps"][&strap.tag].as_f64().unwrap();
        kinds.add("strap tension", &[r[ctx.layout.strap[s].unwrap()]], &[v]);
    }
    // Members of each tube in order, as their two ends.
    let kinds_of = ["tube force", "tube moment"];
    for (tube, map) in ctx.rig.tubes.iter().zip(&ctx.structure.tubes) {
        let own = format!("{}.m", tube.tag);
        let ids = json["members"].as_array().unwrap().iter().map(|m| m["id"].as_str().unwrap());
        let members: Vec<&str> = ids.filter(|id| id.starts_with(&own)).collect();
        assert_eq!(members.len(), map.members.len(), "{own}");
        for (id, member) in members.into_iter().zip(map.in_order()) {
            // At a free end there is no station, for nothing can be there.
            let end = |along: f64, free: bool| -> [f64; 6] {
                let at = |s: &&Station| s.member == member.member && (s.along_m - along).abs() < 1e-9;
                let station = ctx.layout.station.iter().find(at);
                assert_eq!(station.is_none(), free, "{id}");
                station.map_or([0.0; 6], |station| rows(station.row))
            };
            let length = ctx.structure.frame.member_length(member.member);
            // The node's action on end i is the inner action with the sign turned; on end j it is the inner action.
            let (i, j) = (end(0.0, member.free[0]).map(|v| -v), end(length, member.free[1]));
            kinds.six(kinds_of, i, six(&reference["members"][id]["i"]));
            kinds.six(kinds_of, j, six(&reference["members"][id]["j"]));
        }
    }
    let moves = ["movement", "turn"];
    kinds.six(moves, rows(ctx.layout.platform[0]), six(&reference["mast_disp"]));
    // The mast may hardly move in a symmetric case: its rounding is a share of the largest movement of any node.
    for v in reference["node_disp"].as_object().unwrap().values() {
        kinds.six(moves, six(v), six(v));
    }
    kinds.misses()
}

fn matches(name: &str, file: &str, json: &str, reference: &str, lost: Option<&str>) {
    let rig = common::read(name, file);
    let (json, reference): (Value, Value) =
        (serde_json::from_str(json).unwrap(), serde_json::from_str(reference).unwrap());
    let ctx = Context::new(&rig, BuildOptions { slender: true }).unwrap();
    let failure = lost.map_or(0, |tag| 1 + rig.cups.iter().position(|c| c.tag == tag).unwrap());
    let responses = ctx.failures[failure].responses.as_ref().unwrap();
    let cases = json["load_cases"].as_array().unwrap();
    assert_eq!(cases.len(), 9);
    // The largest value of each kind over the nine load cases stands on the validation page.
    let mut largest: BTreeMap<&'static str, (f64, f64)> = BTreeMap::new();
    for case in cases {
        let id = case["id"].as_str().unwrap();
        let r = respond(&ctx, responses, case);
        for (kind, (miss, pair)) in compare(&ctx, &r, &json, &reference["cases_rigid_links"][id]) {
            assert!(miss <= TOLERANCE, "{name}, {id}: {kind} differs by {miss:.2e} of the largest");
            let l = largest.entry(kind).or_insert(pair);
            if pair.1.abs() > l.1.abs() {
                *l = pair;
            }
        }
    }
    let unit = |kind: &str| match kind {
        "movement" => "m",
        "turn" => "rad",
        k if k.ends_with("moment") => "N m",
        _ => "N",
    };
    let rows: Vec<validation::Row<'_>> = largest
        .iter()
        .filter(|(kind, _)| !matches!(**kind, "movement" | "turn")) // the frame's own rows have them
        .map(|(kind, (ours, published))| validation::Row {
            source: "Two rigs as files, solved by general-purpose frame programs (OpenSeesPy 3.7.1.2, PyNiteFEA 3.2.0)",
            id: name,
            quantity: kind,
            published: *published,
            ours: *ours,
            unit: unit(kind),
            allowed: TOLERANCE * published.abs(),
            marker: "computed: by those programs",
        })
        .collect();
    validation::record(&format!("reference-files-{}", name.replace(' ', "-")), &rows);
}

macro_rules! source {
    ($file:literal) => {
        include_str!(concat!("../../mechanics/tests/sources/reference-frames/", $file))
    };
}

const A: &str = include_str!("rigs/reference-a.toml");
const B: &str = include_str!("rigs/reference-b.toml");

#[test]
fn the_file_of_rig_a_gives_the_reference_answers() {
    matches("rig A", A, source!("rigA.json"), source!("refA.json"), None);
}

#[test]
fn the_file_of_rig_b_gives_the_reference_answers() {
    matches("rig B", B, source!("rigB.json"), source!("refB.json"), None);
}

#[test]
fn the_file_of_rig_b_gives_the_reference_answers_without_one_cup() {
    matches("rig B without C3", B, source!("rigB.json"), source!("refB_no_C3.json"), Some("C3"));
}
