//! Measured values put over planned ones.

#[path = "common/base.rs"]
mod common;

use common::base;
use rig::{Origin, Reading, Source, read_as_built};

fn over(measured: &str) -> Reading {
    let measured = Source { name: "measured values".to_owned(), text: measured.to_owned() };
    read_as_built(&base(), "base.toml", &|_| Err("none".to_owned()), Some(&measured))
}

#[test]
fn a_measured_value_takes_the_place_of_the_planned_one() {
    let plain = rig::read(&base(), "base.toml", &|_| Err("none".to_owned())).rig.unwrap();
    let rig = over("payload.mass = \"6.4 kg\"\ncup.FL.vacuum = \"20 inHg\"\ncup.FL.loss = \"3 kPa\"\n")
        .rig
        .unwrap();
    let arm = rig.arm.as_ref().unwrap();
    assert!((arm.payload.mass.value - 6.4).abs() < 1e-12);
    assert!((rig.cups[0].vacuum.as_ref().unwrap().value - 20.0 * 3386.389).abs() < 1.0);
    // What was assumed is stated now.
    assert_eq!((plain.cups[0].loss.origin, rig.cups[0].loss.origin), (Origin::Assumed, Origin::Stated));
    assert!((rig.cups[0].loss.value - 3000.0).abs() < 1e-9);
    // Nothing else moves.
    assert!(
        (plain.cups[1].loss.value - rig.cups[1].loss.value).abs() < 1e-12
            && rig.cups.len() == plain.cups.len()
    );
}

#[test]
fn a_value_of_a_part_is_put_over_for_the_one_that_was_weighed() {
    let rig = over("cup.FR.mass = \"3.3 kg\"\nclamp.K1.torque = \"41 N·m\"\n").rig.unwrap();
    let mass = |tag: &str| rig.cups.iter().find(|c| c.tag == tag).unwrap().mass.value;
    assert!((mass("FR") - 3.3).abs() < 1e-12 && (mass("FL") - 3.3).abs() > 0.1);
    assert!((rig.clamps[0].torque.value - 41.0).abs() < 1e-9);
}

#[test]
fn a_place_measured_the_other_way_round_is_still_that_place() {
    let plain = rig::read(&base(), "base.toml", &|_| Err("none".to_owned())).rig.unwrap();
    let place = |rig: &rig::Rig| rig.cups.iter().find(|c| c.tag == "FR").unwrap().place;
    let (left, right) =
        (over("cup.FR.left = \"-425 mm\"\n").rig.unwrap(), over("cup.FR.right = \"425 mm\"\n").rig.unwrap());
    assert!((place(&left).1 - place(&right).1).abs() < 1e-12);
    assert!(
        (place(&left).1 - place(&plain).1).abs() > 1e-4 && (place(&left).0 - place(&plain).0).abs() < 1e-12
    );
}

#[test]
fn what_a_file_states_is_found_by_its_key() {
    let text = "a = 1\n[cup.FL]\nvacuum = \"23 inHg\"\nbolts = { torque = \"40 N·m\" }\n[cup.\"odd tag\"]\non = true\n";
    for (key, says) in [
        ("a", Some("1")),
        ("cup.FL.vacuum", Some("23 inHg")),
        ("cup.FL.bolts.torque", Some("40 N·m")),
        ("cup.\"odd tag\".on", Some("true")),
        ("cup.FL.loss", None),
        ("cup.FL", Some("{ bolts = { torque = 40 N·m }, vacuum = 23 inHg }")),
        ("cup.FR.vacuum", None),
        ("a.b", None),
        ("", None),
        ("cup.FL.", None),
        ("= = =", None),
    ] {
        assert_eq!(rig::written(text, key).as_deref(), says, "{key}");
    }
}

#[test]
fn tags_of_any_letters_are_quoted_as_the_reader_takes_them() {
    for tag in ["FL", "Tür", "a b", "with \"quotes\"", "back\\slash", "tab\there", "", "a.b"] {
        let text = format!("[cup.{}]\nvacuum = {}\n", rig::key_text(tag), rig::quoted(tag));
        let key = format!("cup.{}.vacuum", rig::key_text(tag));
        assert_eq!(rig::written(&text, &key).as_deref(), Some(tag), "{text}");
    }
}

#[test]
fn a_wrong_value_is_told_in_its_own_place_and_nothing_is_measured_that_is_not_there() {
    for (text, code, says) in [
        ("cup.FL.vacuum = \"twenty\"\n", "R005", "twenty"),
        ("cup.FL.vacuum = 20\n", "R004", "20"),
        ("cup.FL.vacum = \"20 inHg\"\n", "R002", "vacum"),
        ("cup.XX.vacuum = \"20 inHg\"\n", "R030", "[cup.XX]"),
        ("trailer.mass = \"20 kg\"\n", "R030", "[trailer]"),
        ("site.road.kind = \"B\"\n", "R030", "[site.road]"),
        ("cup.FL.vacuum = ", "R001", ""),
        ("payload.mass = \"9000 kg\"\n", "R012", ""),
    ] {
        let reading = over(text);
        assert!(reading.rig.is_none(), "{text}");
        let found = reading
            .diagnostics
            .iter()
            .find(|d| d.code == code)
            .unwrap_or_else(|| panic!("{text}: {:?}", reading.diagnostics));
        assert!(found.source == 1 && found.message.contains(says), "{text}: {found:?}");
    }
}
