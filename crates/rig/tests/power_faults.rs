//! One fault a case of the electrical tables: an edit of `power_faults/power.toml` under the sound rig, with the exact message and place as a
//! snapshot beside it.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
#![allow(clippy::panic, reason = "a case that no longer edits anything must be seen")]

#[path = "common/cases.rs"]
mod cases;
#[path = "common/base.rs"]
mod common;
#[path = "common/render.rs"]
mod render;

use cases::{Case, each_is_told};
use common::base;
use render::{read, render};
use rig::model::power::{Amount, From, To};

const CASES: &[Case] = &[
    ("end_unknown", "from = \"twelve\"", "from = \"twelv\""),
    ("to_a_box_by_name", "to = \"twelve\"", "to = \"trunk\""),
    ("cable_in_a_circle", "from = \"main\"", "from = \"to-drives\""),
    ("cable_from_itself", "from = \"main\"", "from = \"trunk\""),
    ("consumer_without_a_feed", "to = \"camera\"\n", ""),
    ("converter_without_a_feed", "to = \"twelve\"\n", ""),
    ("converter_feeds_itself", "from = \"trunk\"\nto = \"twelve\"", "from = \"twelve\"\nto = \"twelve\""),
    (
        "two_voltages_joined",
        "[cable.to-camera]",
        "[cable.second]\nfrom = \"trunk\"\nto = \"camera\"\nlength = \"1 m\"\nsize = \"4 mm2\"\n\n[cable.to-camera]",
    ),
    (
        "fed_twice",
        "[cable.to-camera]",
        "[cable.second]\nfrom = \"trunk\"\nto = \"drives\"\nlength = \"1 m\"\nsize = \"4 mm2\"\n\n[cable.to-camera]",
    ),
    ("the_car_is_fed", "lowest_input = \"18 V\"", "kind = \"car\""),
    ("wrong_unit", "peak_power = \"400 W\"", "peak_power = \"400 A\""),
    ("bare_current", "current = \"5 A\"", "current = 5"),
    ("gauge_that_is_none", "size = \"AWG 6\"", "size = \"AWG 6.5\""),
    ("size_without_a_unit", "size = \"1.5 mm2\"", "size = \"1.5\""),
    ("size_and_resistance", "resistance = \"4.95 ohm/km\"", "resistance = \"4.95 ohm/km\"\nsize = \"4 mm2\""),
    ("neither_size_nor_resistance", "resistance = \"4.95 ohm/km\"\n", ""),
    ("power_and_current", "current = \"5 A\"", "current = \"5 A\"\npower = \"60 W\""),
    ("no_power_at_all", "current = \"5 A\"\n", ""),
    ("capacity_twice", "capacity = \"100 Ah\"", "capacity = \"100 Ah\"\nenergy = \"1280 Wh\""),
    ("chemistry_misspelt", "lithium iron phosphate", "lithium iron fosfate"),
    ("over_sixty_volts", "series = 2", "series = 5"),
    ("readings_of_too_few", "[\"13.31 V\", \"13.30 V\"]", "[\"13.31 V\"]"),
    ("start_without_its_time", "start_time = \"300 ms\"\n", ""),
    ("lowest_over_highest", "lowest = \"20 V\"", "lowest = \"33 V\""),
    ("measures_more_than_its_source", "here = \"11.8 V\"", "here = \"12.8 V\""),
    ("block_backwards", "to = \"4 h\"", "to = \"0 h\""),
    ("low_over_full", "charged = \"10 h\"", "charged = \"10 h\"\nvoltage_low = \"14 V\""),
];

fn sound() -> String {
    let path = format!("{}/tests/power_faults/power.toml", env!("CARGO_MANIFEST_DIR"));
    base() + &std::fs::read_to_string(path).unwrap()
}

#[test]
fn each_fault_says_where_why_and_how_to_mend_it() {
    // Nothing in these is only a warning.
    assert!(CASES.iter().all(|c| read(&cases::faulty(&sound(), c)).has_errors()));
    each_is_told(&sound(), CASES, "power_faults");
}

#[test]
fn both_writings_come_out_in_si_and_what_is_left_out_is_assumed_with_a_range() {
    let reading = read(&sound());
    assert_eq!(render(&reading), "no faults");
    let power = reading.rig.unwrap().power.unwrap();
    let trunk = &power.cables[0];
    assert!((trunk.length.value - 16.0 * 0.3048).abs() < 1e-12);
    let wire = trunk.wire.unwrap();
    // AWG 6 is 13.3 mm² (ASTM B258, from memory).
    assert!(wire.is_gauge && (wire.area - 13.30e-6).abs() < 0.01e-6);
    assert_eq!((trunk.from, trunk.to), (From::Battery(0), To::Box));
    assert_eq!((power.cables[3].from, power.cables[3].to), (From::Supply(0), To::Consumer(1)));
    assert!((power.cables[2].resistance.as_ref().unwrap().value - 4.95e-3).abs() < 1e-12);
    assert!(matches!(&power.consumers[1].average, Amount::Current(f) if (f.value - 5.0).abs() < 1e-12));
    let b = &power.batteries[0];
    assert!((b.capacity.value - 36e4).abs() < 1e-6);
    for fact in [
        &b.resistance,
        &b.usable,
        &b.health,
        &b.cold_share,
        &b.voltage_low,
        &power.surroundings,
        &trunk.contact,
    ] {
        assert!(
            fact.is_assumed() && fact.low < fact.high && !fact.settle.is_empty() && !fact.source.is_empty(),
            "{}",
            fact.key
        );
    }
    // The site's temperature, and colder gives less.
    assert!((b.temperature.value - 287.15).abs() < 1e-9);
    let rig = read(&sound()).rig.unwrap();
    let cold = rig::at_temperature(&rig, 263.15);
    let share = |r: &rig::Rig| r.power.as_ref().unwrap().batteries[0].cold_share.value;
    assert!(share(&cold) < share(&rig) - 0.1);
}

#[test]
fn energy_is_charge_at_the_labels_voltage() {
    let text = sound().replacen("capacity = \"100 Ah\"", "energy = \"1.28 kWh\"", 1);
    let power = read(&text).rig.unwrap().power.unwrap();
    assert!((power.batteries[0].capacity.value - 36e4).abs() < 1e-6);
}

#[test]
fn a_stated_cold_share_does_not_grow_in_more_cold() {
    let text = sound().replacen("charged = \"10 h\"", "charged = \"10 h\"\ncold_share = \"50 %\"", 1);
    let rig = read(&text).rig.unwrap();
    let share = |r: &rig::Rig| r.power.as_ref().unwrap().batteries[0].cold_share.clone();
    assert!((share(&rig::at_temperature(&rig, 300.0)).value - 0.5).abs() < 1e-12);
    let cold = share(&rig::at_temperature(&rig, 273.15));
    // Table at 0 °C 0.85, at the planned 14 °C 0.955.
    assert!((cold.value - 0.5 * 0.85 / 0.955).abs() < 1e-9 && cold.low < cold.value && cold.is_assumed());
}
