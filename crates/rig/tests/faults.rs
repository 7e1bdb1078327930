//! One fault a case: an edit of `faults/base.toml`, with the exact message and place as a snapshot beside this file.
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

const CASES: &[Case] = &[
    // The text itself.
    ("quote_left_open", "gust = \"30 km/h\"", "gust = \"30 km/h"),
    ("no_quotes_at_all", "gust = \"30 km/h\"", "gust = 30 km/h"),
    ("no_equals_sign", "road = \"B\"", "road \"B\""),
    ("list_left_open", "joins = [\"TM\", \"LR\"]", "joins = [\"TM\", \"LR\""),
    ("key_twice", "road = \"B\"", "road = \"B\"\nroad = \"C\""),
    ("tag_twice", "[cup.RR]", "[cup.RL]"),
    ("version_missing", "version = 1\n", ""),
    ("version_unknown", "version = 1\n", "version = 7\n"),
    ("version_as_text", "version = 1\n", "version = \"1\"\n"),
    // Keys.
    ("unknown_key", "thickness = \"12 mm\"", "thicknes = \"12 mm\""),
    ("unknown_key_far_off", "thickness = \"12 mm\"", "thickness = \"12 mm\"\ncolour = \"black\""),
    ("unknown_table", "[policy]", "[polcy]"),
    ("missing_key", "altitude = \"120 m\"\n", ""),
    (
        "missing_table",
        "[site]\naltitude = \"120 m\"\ntemperature = \"14 C\"\ngust = \"30 km/h\"\nroad = \"B\"\nclearance = \"4.2 m\"\n",
        "",
    ),
    ("missing_datum", "datum = { aft = \"1.05 m\", up = \"1.43 m\" }", ""),
    (
        "missing_in_a_brace_table",
        "datum = { aft = \"1.05 m\", up = \"1.43 m\" }",
        "datum = { aft = \"1.05 m\" }",
    ),
    ("tag_forgotten", "[payload]", "[item]\nmass = \"2 kg\"\n\n[payload]"),
    // Values.
    ("wrong_sort", "roof = true", "roof = \"yes\""),
    ("list_where_text", "name = \"Estate car, two-axis arm on the roof\"", "name = [\"Estate car\"]"),
    ("bare_number", "gust = \"30 km/h\"", "gust = 30"),
    ("unit_of_another_kind", "gust = \"30 km/h\"", "gust = \"30 kg\""),
    ("unit_missing_in_text", "gust = \"30 km/h\"", "gust = \"30\""),
    ("quantity_gibberish", "gust = \"30 km/h\"", "gust = \"strong\""),
    ("word_misspelt", "material = \"steel\"", "material = \"stele\""),
    ("road_class", "road = \"B\"", "road = \"K\""),
    (
        "count_out_of_range",
        "foot = { tube = \"LL\", aft = \"720 mm\" }\nplatform = \"base\"\nbolts = { thread = \"M10\", class = \"8.8\", count = 2",
        "foot = { tube = \"LL\", aft = \"720 mm\" }\nplatform = \"base\"\nbolts = { thread = \"M10\", class = \"8.8\", count = -2",
    ),
    (
        "range_out_of_order",
        "mass = \"5.2 kg\"",
        "mass = { value = \"5.2 kg\", low = \"6 kg\", high = \"7 kg\" }",
    ),
    ("range_incomplete", "mass = \"5.2 kg\"", "mass = { value = \"5.2 kg\", low = \"4 kg\" }"),
    (
        "range_with_an_odd_key",
        "mass = \"5.2 kg\"",
        "mass = { value = \"5.2 kg\", low = \"4 kg\", hihg = \"6 kg\" }",
    ),
    (
        "range_for_a_place",
        "pivot_height = \"520 mm\"",
        "pivot_height = { value = \"520 mm\", low = \"500 mm\", high = \"540 mm\" }",
    ),
    // Absurd values.
    (
        "tube_of_forty_metres",
        "from = { aft = \"280 mm\", right = \"180 mm\", on = \"TF\" }",
        "from = { forward = \"40 m\", right = \"180 mm\", on = \"TF\" }",
    ),
    (
        "tube_too_long",
        "from = { aft = \"280 mm\", right = \"180 mm\", on = \"TF\" }",
        "from = { forward = \"12 m\", right = \"180 mm\", on = \"TF\" }",
    ),
    (
        "vacuum_beyond_the_air",
        "aft = \"380 mm\"\nleft = \"430 mm\"\nholds = \"TF\"\nvacuum = \"24 inHg\"",
        "aft = \"380 mm\"\nleft = \"430 mm\"\nholds = \"TF\"\nvacuum = \"900 kPa\"",
    ),
    (
        "vacuum_unusually_low",
        "aft = \"380 mm\"\nleft = \"430 mm\"\nholds = \"TF\"\nvacuum = \"24 inHg\"",
        "aft = \"380 mm\"\nleft = \"430 mm\"\nholds = \"TF\"\nvacuum = \"24 kPa\"",
    ),
    ("mass_of_nothing", "mass = \"6.8 kg\"", "mass = \"0 kg\""),
    ("mass_below_nothing", "mass = \"6.8 kg\"", "mass = \"-6.8 kg\""),
    ("heat_of_an_oven", "temperature = \"14 C\"", "temperature = \"400 K\""),
    (
        "elevation_past_the_zenith",
        "elevation = { from = \"-20 deg\", to = \"35 deg\" }",
        "elevation = { from = \"-20 deg\", to = \"200 deg\" }",
    ),
    (
        "elevation_upside_down",
        "elevation = { from = \"-20 deg\", to = \"35 deg\" }",
        "elevation = { from = \"35 deg\", to = \"-20 deg\" }",
    ),
    (
        "wall_thicker_than_radius",
        "[tube.TM]\npart = \"tube 48.3 x 4.0 EN AW-6082 T6\"",
        "[tube.TM]\npart = \"tube 48.3 x 4.0 EN AW-6082 T6\"\nwall = \"30 mm\"",
    ),
    ("front_axle_heavier_than_the_car", "front_axle = \"800 kg\"", "front_axle = \"1600 kg\""),
    ("car_shorter_than_its_wheelbase", "length = \"4.62 m\"", "length = \"2.46 m\""),
    // Isolator and camera.
    (
        "isolator_on_coil_and_air",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"\ncoil = { rate = \"2 N/mm\" }\nair = { area = \"6 cm2\", column = \"120 mm\" }",
    ),
    (
        "isolator_range_upside_down",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"\nmade_for = { from = \"9 kg\", to = \"4 kg\" }",
    ),
    (
        "air_spring_of_no_volume",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"\nair = { area = \"6 cm2\" }",
    ),
    (
        "air_spring_of_two_volumes",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"\nair = { area = \"6 cm2\", column = \"120 mm\", volume = \"80 mL\" }",
    ),
    (
        "air_pressure_of_a_bottle",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"\nair = { area = \"6 cm2\", column = \"120 mm\", pressure = \"200 bar\" }",
    ),
    (
        "coil_set_longer_than_free",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"",
        "mass = \"1.4 kg\"\nfrequency = \"2.2 Hz\"\ncoil = { rate = \"2 N/mm\", free_length = \"150 mm\", set_length = \"170 mm\" }",
    ),
    (
        "camera_shutter_twice",
        "[policy]",
        "[camera]\nshutter = \"1/50 s\"\nshutter_angle = \"180 deg\"\nframe_rate = \"25 Hz\"\n\n[policy]",
    ),
    ("camera_angle_without_rate", "[policy]", "[camera]\nshutter_angle = \"180 deg\"\n\n[policy]"),
    ("camera_item_not_there", "[policy]", "[camera]\nitem = \"cam\"\n\n[policy]"),
    // Names.
    (
        "tag_unknown",
        "aft = \"380 mm\"\nleft = \"430 mm\"\nholds = \"TF\"",
        "aft = \"380 mm\"\nleft = \"430 mm\"\nholds = \"TFF\"",
    ),
    ("tag_of_another_kind", "[arm]\non = \"base\"", "[arm]\non = \"TF\""),
    (
        "tag_could_be_two_things",
        "[platform.base]",
        "[platform.TR]\nat = { aft = \"1380 mm\", up = \"160 mm\" }\nlength = \"100 mm\"\nwidth = \"100 mm\"\nthickness = \"8 mm\"\nmass = \"0.5 kg\"\n\n[platform.base]",
    ),
    ("part_unknown", "[leg.FL]\npart = \"platform foot\"", "[leg.FL]\npart = \"platfrom foot\""),
    ("ready_set_unknown", "like = \"estate car\"            #", "like = \"estate\" #"),
    ("finish_unknown", "finish = \"clean paint\"", "finish = \"chrome\""),
    (
        "parts_file_not_there",
        "name = \"Estate car, two-axis arm on the roof\"",
        "name = \"Estate car\"\nparts = [\"my-parts.toml\"]",
    ),
    ("check_unknown", "sway_limit = \"25 mm\"", "factor.cup-seel = { intact = 2.0 }"),
    ("factor_below_one", "sway_limit = \"25 mm\"", "factor.cup-seal = { intact = 0.8 }"),
    ("factor_below_its_default", "sway_limit = \"25 mm\"", "factor.cup-seal = { intact = 1.5 }"),
    // Places.
    (
        "aft_and_forward",
        "at = { aft = \"880 mm\", up = \"320 mm\" }",
        "at = { aft = \"880 mm\", forward = \"880 mm\", up = \"320 mm\" }",
    ),
    (
        "height_twice",
        "from = { aft = \"280 mm\", left = \"180 mm\", on = \"TF\" }",
        "from = { aft = \"280 mm\", left = \"180 mm\", on = \"TF\", above = \"150 mm\" }",
    ),
    (
        "height_missing",
        "from = { aft = \"280 mm\", left = \"180 mm\", on = \"TF\" }",
        "from = { aft = \"280 mm\", left = \"180 mm\" }",
    ),
    (
        "tubes_on_each_other",
        "from = { aft = \"380 mm\", left = \"560 mm\", above = \"150 mm\" }",
        "from = { aft = \"380 mm\", left = \"560 mm\", on = \"LL\" }",
    ),
    ("crown_too_tight", "crown_across = \"3.2 m\"", "crown_across = \"0.4 m\""),
    ("cup_off_the_panel", "aft = \"1380 mm\"\nleft = \"430 mm\"", "aft = \"1380 mm\"\nleft = \"630 mm\""),
    ("cup_without_a_place", "aft = \"1380 mm\"\nleft = \"430 mm\"", "left = \"430 mm\""),
    (
        "cup_too_low_for_its_tube",
        "[cup.RR]\npart = \"cup-250\"",
        "[cup.RR]\npart = \"cup-250\"\nheight_greatest = \"110 mm\"",
    ),
    (
        "cup_too_high_for_its_tube",
        "[cup.RR]\npart = \"cup-250\"",
        "[cup.RR]\npart = \"cup-250\"\nheight_least = \"150 mm\"",
    ),
    ("cup_beside_its_tube", "aft = \"1380 mm\"\nright = \"430 mm\"", "aft = \"1300 mm\"\nright = \"430 mm\""),
    (
        "cup_a_little_beside_its_tube",
        "aft = \"1380 mm\"\nright = \"430 mm\"",
        "aft = \"1395 mm\"\nright = \"430 mm\"",
    ),
    (
        "clamp_gap",
        "from = { aft = \"880 mm\", left = \"560 mm\", above = \"136 mm\" }    # lower on the roof's hump: level with the others\nto = { aft = \"880 mm\", right = \"560 mm\", above = \"136 mm\" }",
        "from = { aft = \"880 mm\", left = \"560 mm\", above = \"126 mm\" }\nto = { aft = \"880 mm\", right = \"560 mm\", above = \"126 mm\" }",
    ),
    ("clamp_on_parallel_tubes", "joins = [\"TM\", \"LR\"]", "joins = [\"LL\", \"LR\"]"),
    (
        "clamp_off_the_end",
        "to = { aft = \"1480 mm\", right = \"180 mm\", on = \"TR\" }",
        "to = { aft = \"1370 mm\", right = \"180 mm\", on = \"TR\" }",
    ),
    (
        "clamp_near_the_end",
        "to = { aft = \"1480 mm\", right = \"180 mm\", on = \"TR\" }",
        "to = { aft = \"1390 mm\", right = \"180 mm\", on = \"TR\" }",
    ),
    ("clamp_of_one_tube", "joins = [\"TM\", \"LR\"]", "joins = [\"TM\"]"),
    ("clamp_tube_to_itself", "joins = [\"TM\", \"LR\"]", "joins = [\"TM\", \"TM\"]"),
    (
        "leg_off_its_tube",
        "foot = { tube = \"LL\", aft = \"720 mm\" }",
        "foot = { tube = \"LL\", aft = \"1720 mm\" }",
    ),
    (
        "leg_by_the_wrong_coordinate",
        "foot = { tube = \"LL\", aft = \"720 mm\" }",
        "foot = { tube = \"LL\", left = \"180 mm\" }",
    ),
    (
        "leg_misses_the_platform",
        "foot = { tube = \"LL\", aft = \"720 mm\" }",
        "foot = { tube = \"LL\", aft = \"600 mm\" }",
    ),
    (
        "platform_below_its_legs",
        "at = { aft = \"880 mm\", up = \"320 mm\" }",
        "at = { aft = \"880 mm\", up = \"120 mm\" }",
    ),
    (
        "strap_of_one_point",
        "  { aft = \"-900 mm\", left = \"0 mm\", up = \"-420 mm\" },     # tow eye's line over the bonnet\n",
        "",
    ),
    (
        "strap_that_holds_nothing",
        "  { tube = \"TF\", left = \"0 mm\" },",
        "  { aft = \"0 mm\", up = \"50 mm\" },",
    ),
    (
        "strap_points_in_one_place",
        "  { tube = \"TF\", left = \"0 mm\" },",
        "  { tube = \"TF\", left = \"0 mm\" },\n  { tube = \"TF\", left = \"0 mm\" },",
    ),
    (
        "strap_point_on_two_things",
        "  { tube = \"TF\", left = \"0 mm\" },",
        "  { tube = \"TF\", cup = \"FL\", left = \"0 mm\" },",
    ),
    ("strap_without_pretension", "pretension = \"300 N\"\n", ""),
    ("strap_overtightened", "pretension = \"300 N\"", "pretension = \"6 kN\""),
    (
        "tether_pulled_tight",
        "[strap.ahead]\npart = \"ratchet strap 35\"",
        "[strap.ahead]\npart = \"web tether 25\"",
    ),
    // The arm.
    ("boom_gap", "from = \"900 mm\"", "from = \"950 mm\""),
    ("boom_overlap", "from = \"900 mm\"", "from = \"850 mm\""),
    (
        "boom_without_a_tail",
        "[arm.section.tail]\nfrom = \"0 mm\"\nto = \"-650 mm\"",
        "[arm.section.tail]\nfrom = \"1700 mm\"\nto = \"2000 mm\"",
    ),
    (
        "section_across_the_pivot",
        "[arm.section.root]\nfrom = \"0 mm\"",
        "[arm.section.root]\nfrom = \"-100 mm\"",
    ),
    ("counterweight_past_the_tail", "behind = \"600 mm\"", "behind = \"800 mm\""),
    (
        "plates_heavier_than_the_counterweight",
        "behind = \"600 mm\"",
        "behind = \"600 mm\"\nfitted = [\"20 kg\", \"10 kg\"]",
    ),
    ("carrier_with_one_end", "behind = \"600 mm\"", "behind = \"600 mm\"\nbehind_from = \"450 mm\""),
    (
        "carrier_upside_down",
        "behind = \"600 mm\"",
        "behind = \"600 mm\"\nbehind_from = \"630 mm\"\nbehind_to = \"450 mm\"",
    ),
    (
        "carrier_past_the_tail",
        "behind = \"600 mm\"",
        "behind = \"600 mm\"\nbehind_from = \"450 mm\"\nbehind_to = \"700 mm\"",
    ),
    (
        "counterweight_off_its_carrier",
        "behind = \"600 mm\"",
        "behind = \"600 mm\"\nbehind_from = \"300 mm\"\nbehind_to = \"500 mm\"",
    ),
    (
        "parked_out_of_range",
        "parked = { bearing = \"0 deg\", elevation = \"0 deg\" }",
        "parked = { bearing = \"0 deg\", elevation = \"60 deg\" }",
    ),
    (
        "arm_without_payload",
        "[payload]\nmass = \"6.8 kg\"                # on the luggage scale, lens and battery in\ncentre = { up = \"-210 mm\" }    # from the boom's tip\nsize = { length = \"320 mm\", width = \"260 mm\", height = \"340 mm\" }\n",
        "",
    ),
    (
        "bolts_without_a_circle",
        "foot = { tube = \"LL\", aft = \"720 mm\" }\nplatform = \"base\"\nbolts = { thread = \"M10\", class = \"8.8\", count = 2, circle = \"60 mm\",",
        "foot = { tube = \"LL\", aft = \"720 mm\" }\nplatform = \"base\"\nbolts = { thread = \"M10\", class = \"8.8\", count = 2,",
    ),
    // Manoeuvres.
    ("bend_the_other_way", "left = \"0.35 g\"", "left = \"-0.45 g\""),
    ("braking_that_speeds_up", "forward = \"-0.9 g\"", "forward = \"0.9 g\""),
    (
        "bump_and_vertical",
        "bump = { height = \"60 mm\", length = \"600 mm\" }",
        "vertical = \"0.4 g\"\nbump = { height = \"60 mm\", length = \"600 mm\" }",
    ),
    // Wiring: the rest stands in `power_faults.rs`.
    (
        "consumer_without_a_feed",
        "[policy]",
        "[consumer.camera]\nvoltage = \"24 V\"\npower = \"60 W\"\n\n[policy]",
    ),
];

fn faulty(case: &Case) -> String {
    cases::faulty(&base(), case)
}

#[test]
fn the_base_is_sound() {
    assert_eq!(render(&read(&base())), "no faults");
}

#[test]
fn each_fault_says_where_why_and_how_to_mend_it() {
    each_is_told(&base(), CASES, "faults");
}

#[test]
fn several_faults_come_at_once() {
    let text = base()
        .replacen("gust = \"30 km/h\"", "gust = 30", 1)
        .replacen("thickness = \"12 mm\"", "thicknes = \"12 mm\"", 1)
        .replacen("holds = \"TR\"", "holds = \"TQ\"", 1);
    let codes: Vec<&str> = read(&text).diagnostics.iter().map(|d| d.code).collect();
    assert_eq!(codes, ["R004", "R008", "R002"]);
}

#[test]
fn a_payload_needs_an_arm() {
    let base = base();
    let (start, end) = (base.find("[arm]").unwrap(), base.find("[isolator]").unwrap());
    let text = format!("{}{}", &base[..start], &base[end..]);
    let reading = read(&text);
    let said: Vec<(&str, &str)> = reading.diagnostics.iter().map(|d| (d.code, d.message.as_str())).collect();
    assert_eq!(
        said,
        [("R023", "there is a [isolator] and no [arm]"), ("R023", "there is a [payload] and no [arm]")]
    );
}

#[test]
fn every_code_has_a_case() {
    let mut seen: Vec<&str> =
        CASES.iter().flat_map(|c| read(&faulty(c)).diagnostics).map(|d| d.code).collect();
    // What is measured is put over a file that is sound.
    let measured =
        rig::Source { name: "measured".to_owned(), text: "cup.ZZ.vacuum = \"80 kPa\"\n".to_owned() };
    let over = rig::read_as_built(&base(), "base.toml", &|_| Err("none".to_owned()), Some(&measured));
    seen.extend(over.diagnostics.iter().map(|d| d.code));
    seen.sort_unstable();
    seen.dedup();
    let all: Vec<&str> = rig::CODES.iter().map(|(code, _)| *code).collect();
    assert_eq!(seen, all);
}
