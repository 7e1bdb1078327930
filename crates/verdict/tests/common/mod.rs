//! Rig files of the tests and the examples, read.
#![allow(
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::panic,
    reason = "shared by test programs; a fault stops the test"
)]

use rig::Rig;
use rig::fact::Fact;

const KIT: &str = include_str!("../../../../examples/kit.toml");
const REFERENCE_PARTS: &str = include_str!("../rigs/reference-parts.toml");

/// The examples by name.
pub const EXAMPLES: [(&str, &str); 5] = [
    ("bonnet-camera", include_str!("../../../../examples/bonnet-camera.toml")),
    ("door-camera", include_str!("../../../../examples/door-camera.toml")),
    ("estate-arm", include_str!("../../../../examples/estate-arm.toml")),
    ("pickup-arm", include_str!("../../../../examples/pickup-arm.toml")),
    ("pickup-arm-mended", include_str!("../../../../examples/pickup-arm-mended.toml")),
];

/// A rig from its text, or a failed test with what the reader says.
pub fn read(name: &str, text: &str) -> Rig {
    let reading = rig::read(text, name, &|file| match file {
        "kit.toml" => Ok(KIT.to_owned()),
        "reference-parts.toml" => Ok(REFERENCE_PARTS.to_owned()),
        _ => Err(format!("{file} is not there")),
    });
    assert!(reading.rig.is_some(), "{name}: {:#?}", reading.diagnostics);
    reading.rig.unwrap()
}

/// An example by its name.
pub fn example(name: &str) -> Rig {
    let (_, text) = EXAMPLES.iter().find(|(n, _)| *n == name).unwrap();
    read(name, text)
}

/// Sets a fact to a known value.
pub fn set(fact: &mut Fact, value: f64) {
    (fact.value, fact.low, fact.high) = (value, value, value);
    fact.origin = rig::Origin::Stated;
}

/// Makes every assumed value a known one, at its typical value.
pub fn all_known(rig: &mut Rig) {
    rig::facts_mut(rig, &mut |f| f.origin = rig::Origin::Stated);
}
