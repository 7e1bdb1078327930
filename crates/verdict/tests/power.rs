//! The electrical side of a rig, from its file to findings: closed forms by hand, missing facts, guesses that decide.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

use quantity::Kind;
use rig::Rig;
use rig::policy::CheckId;
use verdict::power::{self, Charge, Moment, Plan, first_to_trip};
use verdict::{Answer, Finding, Outcome, PartRef};

/// Hand sums below are worked out in the same order of operations or nearly: rounding of a few steps.
const ROUNDING: f64 = 1e-9;

/// One battery, a trunk to a box, and two consumers; everything stated, nothing assumed but what the rig itself assumes.
const POWER: &str = r#"
[power]
hours = "8 h"
surroundings = "30 C"

[battery.main]
chemistry = "lithium iron phosphate"
voltage = "25.6 V"
capacity = "100 Ah"
resistance = "20 mohm"
greatest_current = "100 A"
usable = "80 %"
health = "100 %"
cold_share = "100 %"
voltage_full = "27 V"
voltage_low = "25 V"
cut_off = "20 V"
charged = "0 h"

[consumer.drives]
voltage = "24 V"
lowest = "20 V"
highest = "32 V"
power = "100 W"
peak_power = "300 W"
start_power = "400 W"
start_time = "100 ms"

[consumer.camera]
draws = "constant current"
voltage = "24 V"
lowest = "20 V"
highest = "32 V"
current = "2 A"
peak_current = "3 A"
start_current = "4 A"
start_time = "10 ms"

[cable.trunk]
from = "main"
length = "5 m"
size = "10 mm2"
connectors = 0
contact = "0 ohm"
temperature = "20 C"
fuse = { rating = "50 A", kind = "bolt-down", voltage = "58 V", interrupts = "2 kA" }

[cable.to-drives]
from = "trunk"
to = "drives"
length = "2 m"
size = "6 mm2"
connectors = 0
contact = "0 ohm"
temperature = "20 C"
fuse = { rating = "30 A", kind = "blade", voltage = "58 V", interrupts = "2 kA" }

[cable.to-camera]
from = "trunk"
to = "camera"
length = "3 m"
size = "1.5 mm2"
connectors = 2
connector_rating = "10 A"
contact = "1 mohm"
temperature = "20 C"
fuse = { rating = "7.5 A", kind = "blade", voltage = "58 V", interrupts = "2 kA" }
"#;

fn rig(edits: &[(&str, &str)]) -> Rig {
    let base = include_str!("../../rig/tests/faults/base.toml");
    let mut text = format!("{base}{POWER}");
    for (old, new) in edits {
        assert_eq!(text.matches(old).count(), 1, "{old} stands once");
        text = text.replacen(old, new, 1);
    }
    let reading = rig::read(&text, "rig.toml", &|_| Err(String::new()));
    let faults: Vec<String> = reading.diagnostics.iter().map(|d| d.message.clone()).collect();
    reading.rig.unwrap_or_else(|| panic!("{faults:?}"))
}

fn of(rig: &Rig, check: CheckId, part: PartRef) -> Vec<Finding> {
    power::findings(rig).into_iter().filter(|f| f.check == check && f.part == part).collect()
}

fn asked(rig: &Rig) -> Vec<String> {
    let need = |f: Finding| if let Outcome::NotChecked(n) = f.outcome { Some(n.key) } else { None };
    power::findings(rig).into_iter().filter_map(need).collect()
}

#[test]
fn the_plan_of_these_tests_is_a_go() {
    let (answer, found, needs) = power::answer(&rig(&[]));
    assert_eq!((answer, needs), (Answer::Go, Vec::new()), "{found:#?}");
    assert!(found.iter().all(|f| f.outcome == Outcome::Holds));
}

#[test]
fn a_rig_without_power_is_not_asked_about_it() {
    let mut bare = rig(&[]);
    bare.power = None;
    assert!(power::findings(&bare).is_empty() && Plan::of(&bare).is_none());
}

/// With the camera off: R = 0.020 + 2 x 5 x 1.91e-3 + 2 x 2 x 3.30e-3 = 0.0523 ohm, 400 W off 25 V: V = (25 + sqrt(625 - 4 R P)) / 2.
#[test]
fn the_drop_is_the_quadratic_of_the_page() {
    let off = [
        ("\ncurrent = \"2 A\"", "\ncurrent = \"0 A\""),
        ("peak_current = \"3 A\"", "peak_current = \"0 A\""),
        ("start_current = \"4 A\"", "start_current = \"0 A\""),
    ];
    let found = of(&rig(&off), CheckId::PowerVoltage, PartRef::Consumer(0));
    // Too little, then too much.
    assert_eq!(found.len(), 2);
    let r = 0.020 + 10.0 * 1.91e-3 + 4.0 * 3.30e-3;
    let v = 0.5 * (25.0 + (625.0_f64 - 4.0 * r * 400.0).sqrt());
    assert!((found[0].demand - (25.0 - v)).abs() < ROUNDING, "{} {v}", found[0].demand);
    assert!((found[0].capacity - 5.0).abs() < ROUNDING && found[0].kind == Kind::Voltage);
}

#[test]
fn a_voltage_that_collapses_fails() {
    let far = rig(&[("length = \"2 m\"", "length = \"250 m\"")]);
    let found = of(&far, CheckId::PowerVoltage, PartRef::Consumer(0));
    assert!(
        found.iter().any(|f| f.outcome == Outcome::Fails && f.situation.contains("collapses")),
        "{found:#?}"
    );
    assert_eq!(power::answer(&far).0, Answer::NoGo);
    assert!(of(&far, CheckId::PowerRunTime, PartRef::Battery(0))[0].outcome == Outcome::Fails);
    // No current to compare, so no other finding of a current is made up.
    assert!(power::findings(&far).iter().all(|f| f.demand.is_finite() && f.margin.is_some()));
}

/// 0.3 V measured with everything running, however large the sum's drop is there; in every moment the same ratio.
#[test]
fn a_measured_drop_takes_the_place_of_the_sum() {
    let bare = rig(&[]);
    let plan = Plan::of(&bare).unwrap().unwrap();
    let flow = power::steady(&plan.at(Charge::Low, Moment::StartTogether).unwrap()[0]).unwrap().clone();
    // Sum at the source voltage of the reading.
    let (e, a) = (25.5, 2.0 * (3.0 * 13.3e-3 + 2.0 * 1e-3));
    let (trunk, own) = (10.0 * 1.91e-3, 4.0 * 3.30e-3);
    // Two unknowns, drives' voltage by plain rounds.
    let mut v = e;
    for _ in 0..200 {
        v = e - trunk * (100.0 / v + 2.0) - own * 100.0 / v;
    }
    let camera = e - trunk * (100.0 / v + 2.0) - a * 2.0;
    // More than the sum's 0.28 V, and less.
    for (here, lost) in [("25.2 V", 0.3), ("25.4 V", 0.1)] {
        let ratio = lost / (e - camera);
        let line = format!("start_time = \"10 ms\"\nmeasured = {{ source = \"25.5 V\", here = \"{here}\" }}");
        let found =
            of(&rig(&[("start_time = \"10 ms\"", &line)]), CheckId::PowerVoltage, PartRef::Consumer(1));
        let expected = 25.0 - flow.node_v[1] + (flow.node_v[1] - flow.node_v[4]) * ratio;
        assert!((found[0].demand - expected).abs() < 1e-6, "{} {expected}", found[0].demand);
    }
    let bad = rig(&[(
        "start_time = \"10 ms\"",
        "start_time = \"10 ms\"\nmeasured = { source = \"25.5 V\", here = \"23.5 V\" }",
    )]);
    assert!(of(&bad, CheckId::PowerVoltage, PartRef::Consumer(1))[0].situation.contains("warm joint"));
}

#[test]
fn each_missing_fact_is_asked_for_by_its_key() {
    for (line, key) in [
        ("hours = \"8 h\"\n", "power.hours"),
        ("charged = \"0 h\"\n", "battery.main.charged"),
        ("cut_off = \"20 V\"\n", "battery.main.cut_off"),
        ("greatest_current = \"100 A\"\n", "battery.main.greatest_current"),
        ("peak_power = \"300 W\"\n", "consumer.drives.peak_power"),
        ("start_power = \"400 W\"\n", "consumer.drives.start_power"),
        ("connector_rating = \"10 A\"\n", "cable.to-camera.connector_rating"),
    ] {
        let rig = rig(&[(line, "")]);
        assert_eq!(asked(&rig), [key], "{line}");
        let (answer, _, needs) = power::answer(&rig);
        assert_eq!(answer, Answer::Hold, "{line}");
        assert!(needs.iter().all(|n| !n.settle.is_empty() && !n.what.is_empty()));
    }
    for (old, new, key) in [
        (
            "lowest = \"20 V\"\nhighest = \"32 V\"\npower",
            "highest = \"32 V\"\npower",
            "consumer.drives.lowest",
        ),
        (
            "lowest = \"20 V\"\nhighest = \"32 V\"\npower",
            "lowest = \"20 V\"\npower",
            "consumer.drives.highest",
        ),
        (
            "kind = \"bolt-down\", voltage = \"58 V\", interrupts = \"2 kA\"",
            "kind = \"bolt-down\", interrupts = \"2 kA\"",
            "cable.trunk.fuse.voltage",
        ),
        (
            "kind = \"bolt-down\", voltage = \"58 V\", interrupts = \"2 kA\"",
            "kind = \"bolt-down\", voltage = \"58 V\"",
            "cable.trunk.fuse.interrupts",
        ),
        ("charged = \"0 h\"", "charged = \"90 d\"", "battery.main.charged"),
        ("size = \"10 mm2\"", "size = \"9 mm2\"", "cable.trunk.resistance"),
    ] {
        let found = asked(&rig(&[(old, new)]));
        assert!(!found.is_empty() && found.iter().all(|k| k == key), "{key}: {found:?}");
    }
}

/// A contact of 0.1 to 100 milliohm: at its worst the camera starves, at its best all is well.
#[test]
fn a_guess_that_decides_is_a_hold() {
    let guess = |high: &str| {
        rig(&[(
            "contact = \"1 mohm\"",
            &format!("contact = {{ value = \"1 mohm\", low = \"0.1 mohm\", high = \"{high}\" }}"),
        )])
    };
    assert_eq!(power::answer(&guess("2 mohm")).0, Answer::Go);
    let (answer, found, needs) = power::answer(&guess("900 mohm"));
    assert!(found.iter().all(|f| f.outcome == Outcome::Holds), "as stated it holds");
    assert_eq!(answer, Answer::Hold);
    let need = needs.iter().find(|n| n.key == "cable.to-camera.contact").unwrap();
    assert!(need.settle.contains("voltage at the consumer"), "{}", need.settle);
    // The whole rig's verdict says so too.
    let at_worst = guess("900 mohm");
    let groups = verdict::vary::groups(&at_worst);
    assert!(groups.iter().any(|g| g.keys.iter().any(|k| k == "cable.to-camera.contact")));
}

#[test]
fn fuses_and_cables_are_held_to_each_other() {
    let fails = |edits: &[(&str, &str)], part: PartRef, place: &str| {
        let found = of(&rig(edits), CheckId::PowerCurrent, part);
        assert!(found.iter().any(|f| f.outcome == Outcome::Fails && f.place == place), "{place}: {found:#?}");
    };
    let trunk =
        "fuse = { rating = \"50 A\", kind = \"bolt-down\", voltage = \"58 V\", interrupts = \"2 kA\" }";
    fails(&[(trunk, "")], PartRef::Cable(0), "guarded by");
    // Behind a thicker fuse a thin cable is not guarded: 1.5 mm² carries 18 A at 30 °C.
    fails(
        &[("fuse = { rating = \"7.5 A\", kind = \"blade\", voltage = \"58 V\", interrupts = \"2 kA\" }", "")],
        PartRef::Cable(2),
        "guarded by",
    );
    fails(&[("rating = \"30 A\"", "rating = \"5 A\"")], PartRef::Cable(1), "its fuse, for hours");
    fails(&[("rating = \"30 A\"", "rating = \"10 A\"")], PartRef::Cable(1), "its fuse, at the peak");
    // 400 W at 24 V are 17 A: 1.7 times 10 A, a blade fuse is sure of 0.15 s, and 0.2 s are wanted.
    fails(
        &[("rating = \"30 A\"", "rating = \"10 A\""), ("peak_power = \"300 W\"", "peak_power = \"150 W\"")],
        PartRef::Cable(1),
        "its fuse, at a start",
    );
    fails(
        &[(
            "rating = \"30 A\", kind = \"blade\", voltage = \"58 V\", interrupts = \"2 kA\"",
            "rating = \"30 A\", kind = \"blade\", voltage = \"24 V\", interrupts = \"2 kA\"",
        )],
        PartRef::Cable(1),
        "its fuse's voltage",
    );
    // 27 V over 0.020 + 0.0191 ohm: 690 A.
    fails(
        &[(
            "rating = \"30 A\", kind = \"blade\", voltage = \"58 V\", interrupts = \"2 kA\"",
            "rating = \"30 A\", kind = \"blade\", voltage = \"58 V\", interrupts = \"600 A\"",
        )],
        PartRef::Cable(1),
        "its fuse, in a short circuit",
    );
    fails(&[("connector_rating = \"10 A\"", "connector_rating = \"2 A\"")], PartRef::Cable(2), "its plugs");
    fails(&[("greatest_current = \"100 A\"", "greatest_current = \"15 A\"")], PartRef::Battery(0), "");
}

/// 2 A drawn whatever the voltage, 80 of 100 Ah: 40 h.
#[test]
fn a_battery_lasts_what_is_in_it_over_what_is_drawn() {
    let quiet = [("power = \"100 W\"\npeak", "power = \"0 W\"\npeak")];
    let found = of(&rig(&quiet), CheckId::PowerRunTime, PartRef::Battery(0));
    assert!(
        (found[0].capacity - 40.0 * 3600.0).abs() < 1.0 && (found[0].demand - 8.0 * 3600.0).abs() < ROUNDING,
        "{:?}",
        found[0]
    );
    // Half of the day at most, in one block: 80 Ah at 8 Ah a day of 8 h.
    let block = [
        quiet[0],
        ("start_time = \"10 ms\"", "start_time = \"10 ms\"\nblocks = [{ from = \"0 h\", to = \"4 h\" }]"),
    ];
    let found = of(&rig(&block), CheckId::PowerRunTime, PartRef::Battery(0));
    // The tenth day's block is over after 4 h of it: nine whole days and four hours.
    assert!((found[0].capacity - (9.0 * 8.0 + 4.0) * 3600.0).abs() < 1.0, "{:?}", found[0].capacity / 3600.0);
    // Lead: 2 A is under 100 Ah / 20 h, so the label holds; 10 A is not: H (C / (I H))^k x 0.8.
    let lead = |amps: &str| {
        let camera = format!("\ncurrent = \"{amps}\"");
        let changed = rig(&[
            quiet[0],
            ("lithium iron phosphate", "lead-acid AGM"),
            ("cut_off = \"20 V\"", "peukert = 1.2\nrated_time = \"20 h\""),
            ("\ncurrent = \"2 A\"", &camera),
        ]);
        of(&changed, CheckId::PowerRunTime, PartRef::Battery(0))[0].capacity / 3600.0
    };
    assert!((lead("2 A") - 40.0).abs() < 1e-3);
    assert!((lead("10 A") - 0.8 * 20.0 * 0.5_f64.powf(1.2)).abs() < 1e-3, "{}", lead("10 A"));
}

#[test]
fn batteries_must_be_alike_before_they_are_joined() {
    let bank = |readings: &str, extra: &str| {
        rig(&[
            ("voltage = \"25.6 V\"", "voltage = \"12.8 V\"\nseries = 2\nparallel = 2"),
            (
                "voltage_full = \"27 V\"\nvoltage_low = \"25 V\"\ncut_off = \"20 V\"",
                "voltage_full = \"13.5 V\"\nvoltage_low = \"12.5 V\"\ncut_off = \"10 V\"",
            ),
            ("resistance = \"20 mohm\"", &format!("resistance = \"20 mohm\"\n{readings}\n{extra}")),
        ])
    };
    let rest = "charge_current = \"10 A\"\nages = [\"10 d\", \"10 d\", \"20 d\", \"20 d\"]";
    let alike = bank("readings = [\"13.31 V\", \"13.30 V\", \"13.29 V\", \"13.32 V\"]", rest);
    assert_eq!(power::answer(&alike).0, Answer::Go, "{:#?}", power::answer(&alike));
    // 0.90 V over 2 x 2 x 20 milliohm: 11.25 A of 10.
    let apart = bank("readings = [\"13.31 V\", \"13.30 V\", \"12.85 V\", \"12.86 V\"]", rest);
    let found = of(&apart, CheckId::PowerCurrent, PartRef::Battery(0));
    let joint = found.iter().find(|f| f.place == "joined in parallel").unwrap();
    assert!((joint.demand - 11.25).abs() < 1e-9 && joint.outcome == Outcome::Fails);
    // 60 mV in a row of 12.8 V.
    let row = bank("readings = [\"13.31 V\", \"13.25 V\", \"13.28 V\", \"13.28 V\"]", rest);
    let found = of(&row, CheckId::PowerCurrent, PartRef::Battery(0));
    assert!(found.iter().any(|f| f.place == "joined in series" && f.outcome == Outcome::Fails));
    assert_eq!(asked(&bank("", rest)), ["battery.main.readings"]);
    assert_eq!(
        asked(&bank(
            "readings = [\"13.31 V\", \"13.30 V\", \"13.29 V\", \"13.32 V\"]",
            "charge_current = \"20 A\""
        )),
        ["battery.main.ages"]
    );
}

/// A converter with 90 %: 45 W out are 50 W in.
#[test]
fn a_converter_draws_its_output_over_its_efficiency() {
    let with = rig(&[
        (
            "[cable.to-camera]\nfrom = \"trunk\"",
            "[supply.low]\nvoltage = \"15 V\"\ngreatest_current = \"10 A\"\nefficiency = \"90 %\"\nlowest_input = \"18 V\"\nhighest_input = \"36 V\"\n\n[cable.to-low]\nfrom = \"trunk\"\nto = \"low\"\nlength = \"1 m\"\nsize = \"1.5 mm2\"\nconnectors = 0\ncontact = \"0 ohm\"\ntemperature = \"20 C\"\nfuse = { rating = \"10 A\", kind = \"blade\", voltage = \"58 V\", interrupts = \"2 kA\" }\n\n[cable.to-camera]\nfrom = \"low\"",
        ),
        ("lowest = \"20 V\"\nhighest = \"32 V\"\ncurrent", "lowest = \"12 V\"\nhighest = \"17 V\"\ncurrent"),
        ("\ncurrent = \"2 A\"", "\ncurrent = \"3 A\""),
    ]);
    let plan = Plan::of(&with).unwrap().unwrap();
    let solved = plan.at(Charge::Low, Moment::Average).unwrap();
    let flow = power::steady(&solved[0]).unwrap();
    let place = plan.nets[0].cables.iter().position(|c| plan.power.cables[*c].tag == "to-low").unwrap();
    let input = flow.branch_a[place + 1] * flow.node_v[place + 2];
    assert!((input - 50.0).abs() < 1e-6, "{input}");
    assert_eq!(power::answer(&with).0, Answer::Go, "{:#?}", power::answer(&with));
}

/// The camera alone, at constant current: its blade fuse of 7.5 A is sure to open at 10.125 A, 5.0625 times 2 A.
#[test]
fn what_gives_way_first_is_found_at_its_own_load() {
    let rig = rig(&[]);
    let plan = Plan::of(&rig).unwrap().unwrap();
    let trip = first_to_trip(&plan, 2).unwrap().unwrap();
    assert!((trip.load - 5.0625).abs() < 1e-4, "{trip:?}");
    assert!(trip.what.contains("cable to-camera"), "{trip:?}");
}

#[test]
fn more_drawn_or_a_longer_way_never_helps() {
    let least = |edits: &[(&str, &str)]| {
        power::findings(&rig(edits)).iter().filter_map(|f| f.margin).fold(f64::INFINITY, f64::min)
    };
    let mut last = least(&[]);
    for watts in ["120 W", "200 W", "290 W"] {
        let now = least(&[("power = \"100 W\"\npeak", &format!("power = \"{watts}\"\npeak"))]);
        assert!(now <= last + ROUNDING, "{watts}");
        last = now;
    }
    let voltage = |metres: &str| {
        of(
            &rig(&[("length = \"2 m\"", &format!("length = \"{metres}\""))]),
            CheckId::PowerVoltage,
            PartRef::Consumer(0),
        )[0]
        .margin
        .unwrap()
    };
    assert!(voltage("4 m") < voltage("2 m") && voltage("12 m") < voltage("4 m"));
}

/// The car's own system: how high it goes with the engine fast, and how hard it would feed a short circuit, are asked for.
#[test]
fn the_cars_system_is_known_by_its_highest_voltage_and_its_resistance() {
    let car = |lines: &str| {
        let text = format!(
            "[supply.car]\nkind = \"car\"\nvoltage = \"24 V\"\ngreatest_current = \"20 A\"\n{lines}\n[cable.to-camera]\nfrom = \"car\""
        );
        rig(&[("[cable.to-camera]\nfrom = \"trunk\"", &text)])
    };
    assert_eq!(power::answer(&car("voltage_high = \"28.8 V\"\nresistance = \"15 mohm\"\n")).0, Answer::Go);
    assert_eq!(asked(&car("resistance = \"15 mohm\"\n")), ["supply.car.voltage_high"]);
    assert_eq!(asked(&car("voltage_high = \"28.8 V\"\n")), ["supply.car.resistance"]);
    let high = of(
        &car("voltage_high = \"33 V\"\nresistance = \"15 mohm\"\n"),
        CheckId::PowerVoltage,
        PartRef::Consumer(1),
    );
    assert!(high[1].outcome == Outcome::Fails && (high[1].demand - 33.0).abs() < ROUNDING);
}
