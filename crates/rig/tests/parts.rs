//! Parts files of the person's own.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

#[path = "common/base.rs"]
mod common;

use common::base;
use rig::{Origin, Reading};

const OWN: &str = r#"
version = 1

[cup.old-faithful]
outer_diameter = "10 in"
seal_diameter = "8-5/8 in"
height_least = "4 in"
height_greatest = "6-1/2 in"
mass = "6 lb 4 oz"
axial = { value = "500 N/mm", low = "300 N/mm", high = "700 N/mm", settle = "push it on a bench" }
shear = "200 N/mm"
rocking = "3000 N·m/rad"
torsional = "2400 N·m/rad"
pull_rating = "250 lbf"
lip_follow = "8 mm"
source = "weighed and measured at the workshop"
"#;

fn with(parts: &str, part: &str) -> Reading {
    let text = base().replacen("version = 1\n", "version = 1\nparts = [\"own.toml\"]\n", 1).replacen(
        "[cup.FL]\npart = \"cup-250\"",
        &format!("[cup.FL]\npart = \"{part}\""),
        1,
    );
    rig::read(&text, "rig.toml", &|name| {
        if name == "own.toml" { Ok(parts.to_owned()) } else { Err("?".into()) }
    })
}

#[test]
fn a_part_of_ones_own_is_used() {
    let reading = with(OWN, "old-faithful");
    assert_eq!(reading.diagnostics, []);
    let rig = reading.rig.unwrap();
    let cup = &rig.cups[0];
    assert_eq!((cup.tag.as_str(), cup.part.as_str()), ("FL", "old-faithful"));
    // 10 in across: 127 mm radius; exact by the inch's definition.
    assert!((cup.outer_radius - 0.127).abs() < 1e-12);
    assert_eq!((cup.mass.origin, cup.mass.key.as_str()), (Origin::Part, "cup.FL.mass"));
    assert_eq!(cup.mass.source, "weighed and measured at the workshop");
    assert_eq!(cup.axial.origin, Origin::Assumed);
    assert!((cup.axial.low, cup.axial.high) == (3.0e5, 7.0e5) && cup.axial.settle == "push it on a bench");
    assert!(cup.pull_rating.is_some() && rig.cups[1].pull_rating.is_none());
}

#[test]
fn a_stated_value_replaces_the_parts() {
    let text = base().replacen("[cup.FL]\n", "[cup.FL]\nmass = \"3.3 kg\"\n", 1);
    let rig = rig::read(&text, "rig.toml", &|_| Err("?".into())).rig.unwrap();
    assert_eq!(rig.cups[0].mass.origin, Origin::Stated);
    assert!((rig.cups[0].mass.value - 3.3).abs() < 1e-12);
    assert_eq!(rig.cups[1].mass.origin, Origin::Assumed);
}

#[test]
fn a_range_in_the_rig_file_is_an_assumption() {
    let about = "mass = { value = \"5.2 kg\", low = \"4.5 kg\", high = \"6 kg\" }";
    let text = base().replacen("mass = \"5.2 kg\"", about, 1);
    let rig = rig::read(&text, "rig.toml", &|_| Err("?".into())).rig.unwrap();
    let mass = &rig.platforms[0].mass;
    assert_eq!((mass.origin, mass.settle.as_str()), (Origin::Assumed, "weigh it"));
    assert!((mass.low - 4.5).abs() < 1e-12 && (mass.high - 6.0).abs() < 1e-12);
    assert_eq!(mass.source, "range stated in the file");
}

#[test]
fn faults_of_a_parts_file_point_into_it() {
    let reading = with(&OWN.replace("\"8 mm\"", "8"), "old-faithful");
    let fault = &reading.diagnostics[0];
    assert_eq!((fault.code, fault.source), ("R004", 1));
    assert_eq!(&reading.sources[1].text[fault.span.clone()], "8");
    assert_eq!(reading.sources[1].name, "own.toml");
    assert!(reading.rig.is_none());
}

#[test]
fn a_part_that_lacks_a_value_says_which() {
    let reading = with(&OWN.replace("shear = \"200 N/mm\"\n", ""), "old-faithful");
    let fault = &reading.diagnostics[0];
    assert_eq!((fault.code, fault.message.as_str()), ("R006", "cup \"FL\" has no `shear`"));
    assert_eq!(fault.why, "its part \"old-faithful\" gives none either");
    assert_eq!(fault.mend, "add `shear = \"200 N/mm\"`, or name a part that gives it");
}
