//! Site, car and what rides inside it.

use super::place::{ACROSS, ALONG, DATUM};
use super::{Row, Shape, Table};
use quantity::Kind::{
    Damping, Length, Mass, Number, RotationalStiffness, Speed, Stiffness, Temperature, Voltage,
};

pub(crate) const ROADS: &[&str] = &["A", "B", "C", "D", "E", "F", "G", "H"];

pub(crate) static LINE: Table = Table {
    name: "overhead line",
    doc: "The lowest live line over the route.",
    groups: &[&[
        Row::new("height", Shape::Quantity(Length), "Over the road.", "\"5.5 m\"")
            .required()
            .within("2 m", "60 m"),
        Row::new("voltage", Shape::Quantity(Voltage), "Ask the network's owner.", "\"11 kV\"")
            .required()
            .within("1 V", "1200 kV"),
    ]],
};

pub(crate) static SITE: Table = Table {
    name: "site",
    doc: "Where it is driven.",
    groups: &[&[
        Row::new(
            "altitude",
            Shape::Quantity(Length),
            "Height above the sea: less air, less vacuum.",
            "\"120 m\"",
        )
        .required()
        .within("-450 m", "6000 m"),
        Row::new("temperature", Shape::Quantity(Temperature), "Of the air.", "\"14 C\"")
            .assume("15 C", "-5 C", "35 C")
            .settle("read a thermometer in the shade")
            .within("-60 C", "60 C"),
        Row::new(
            "highest",
            Shape::Quantity(Length),
            "Highest point of the route above the sea, when it climbs after the gauges are read.",
            "\"900 m\"",
        )
        .within("-450 m", "6000 m"),
        Row::new(
            "hottest",
            Shape::Quantity(Temperature),
            "Warmest that the cups may get before they are read again: a dark roof in the sun.",
            "\"45 C\"",
        )
        .within("-60 C", "90 C"),
        Row::new(
            "gust",
            Shape::Quantity(Speed),
            "Strongest gust at roof height, from any side.",
            "\"30 km/h\"",
        )
        .assume("40 km/h", "20 km/h", "60 km/h")
        .settle("hold a wind gauge at roof height, or take the forecast's gust")
        .within("0 km/h", "200 km/h"),
        Row::new(
            "over_roof",
            Shape::Quantity(Number),
            "How much faster the air runs over the roof; 1 is none.",
            "1.2",
        )
        .assume("1.2", "1.0", "1.4")
        .settle("hold a wind gauge over the roof at a steady speed and divide by that speed")
        .within("0.5", "3"),
        Row::new(
            "road",
            Shape::Word(ROADS),
            "Road class of ISO 8608: A new motorway, C worn town road, E gravel.",
            "\"B\"",
        )
        .or("C"),
        Row::new("clearance", Shape::Quantity(Length), "Lowest posted clearance on the route.", "\"4.2 m\"")
            .within("1 m", "30 m"),
        Row::new(
            "overhead_line",
            Shape::Table(&LINE),
            "Lowest live line over the route.",
            "{ height = \"5.5 m\", voltage = \"11 kV\" }",
        ),
    ]],
};

pub(crate) const CAR: &[Row] = &[
    Row::new("mass", Shape::Quantity(Mass), "As it stands: full tank, nobody inside, no rig.", "\"1480 kg\"")
        .part()
        .settle("weigh it on a weighbridge")
        .within("200 kg", "20 t")
        .usual("600 kg", "3500 kg"),
    Row::new("front_axle", Shape::Quantity(Mass), "Share of that mass on the front axle.", "\"800 kg\"")
        .part()
        .settle("weigh it with the front wheels alone on the weighbridge")
        .within("50 kg", "15 t"),
    Row::new("wheelbase", Shape::Quantity(Length), "Front axle to rear axle.", "\"2.68 m\"")
        .part()
        .settle("tape from hub to hub")
        .within("1 m", "8 m"),
    Row::new("track_front", Shape::Quantity(Length), "Between the middles of the front tyres.", "\"1.55 m\"")
        .part()
        .settle("tape between the tyres' middles on the road")
        .within("0.8 m", "3 m"),
    Row::new("track_rear", Shape::Quantity(Length), "Between the middles of the rear tyres.", "\"1.54 m\"")
        .part()
        .settle("tape between the tyres' middles on the road")
        .within("0.8 m", "3 m"),
    Row::new(
        "centre_height",
        Shape::Quantity(Length),
        "Height of the mass centre over the road.",
        "\"560 mm\"",
    )
    .part()
    .settle("take it from the maker or weigh the axles level and with one end raised")
    .within("0.2 m", "3 m"),
    Row::new("roof_rating", Shape::Quantity(Mass), "The maker's roof rating for driving.", "\"100 kg\"")
        .settle("look in the owner's manual")
        .within("1 kg", "2 t"),
    Row::new("gross_limit", Shape::Quantity(Mass), "Greatest mass on the maker's plate.", "\"2080 kg\"")
        .within("200 kg", "40 t"),
    Row::new(
        "front_axle_limit",
        Shape::Quantity(Mass),
        "Greatest front axle load on the plate.",
        "\"1080 kg\"",
    )
    .within("50 kg", "20 t"),
    Row::new(
        "rear_axle_limit",
        Shape::Quantity(Mass),
        "Greatest rear axle load on the plate.",
        "\"1100 kg\"",
    )
    .within("50 kg", "20 t"),
    Row::new("length", Shape::Quantity(Length), "Bumper to bumper.", "\"4.62 m\"")
        .part()
        .settle("tape it")
        .within("1 m", "20 m"),
    Row::new("width", Shape::Quantity(Length), "Across the body, without mirrors.", "\"1.81 m\"")
        .part()
        .settle("tape it")
        .within("0.8 m", "3 m"),
    Row::new("height", Shape::Quantity(Length), "Road to the highest point, without the rig.", "\"1.49 m\"")
        .part()
        .settle("tape it")
        .within("0.5 m", "5 m"),
    Row::new(
        "front_overhang",
        Shape::Quantity(Length),
        "Front bumper ahead of the front axle.",
        "\"900 mm\"",
    )
    .part()
    .settle("tape it")
    .within("0 m", "3 m"),
    Row::new("sprung_corner", Shape::Quantity(Mass), "Mass on one front spring.", "\"360 kg\"")
        .part()
        .settle("half the front axle's mass less the unsprung mass of a corner")
        .within("20 kg", "5 t"),
    Row::new("unsprung_corner", Shape::Quantity(Mass), "Wheel, hub and brake of one corner.", "\"40 kg\"")
        .part()
        .settle("weigh a wheel and add what the maker gives for hub and brake")
        .within("5 kg", "500 kg"),
    Row::new("spring", Shape::Quantity(Stiffness), "Spring rate at one front wheel.", "\"24 N/mm\"")
        .part()
        .settle("load the front axle with a known mass and measure how far each wheel arch sinks")
        .within("2 N/mm", "1000 N/mm"),
    Row::new("damper", Shape::Quantity(Damping), "Damping at one front wheel.", "\"1700 N·s/m\"")
        .part()
        .settle("push a front corner down, let go and film how fast it settles")
        .within("50 N·s/m", "50000 N·s/m"),
    Row::new("tyre", Shape::Quantity(Stiffness), "Rate of one tyre.", "\"190 N/mm\"")
        .part()
        .settle("load the axle with a known mass and measure how far the rim sinks")
        .within("20 N/mm", "2000 N/mm"),
    Row::new(
        "roll_stiffness",
        Shape::Quantity(RotationalStiffness),
        "Of the whole car, anti-roll bars and all.",
        "\"56000 N·m/rad\"",
    )
    .part()
    .settle("stand known masses on one sill and measure the lean")
    .within("1000 N·m/rad", "5000000 N·m/rad"),
    Row::new(
        "roll_axis_height",
        Shape::Quantity(Length),
        "Height of the roll axis under the mass centre.",
        "\"80 mm\"",
    )
    .part()
    .settle("take it from the maker; 0 is on the safe side")
    .within("-0.5 m", "1.5 m"),
];

pub(crate) static VEHICLE: Table = Table {
    name: "vehicle",
    doc: "The car, empty. What is not stated comes from the ready set named by `like`, as an assumption.",
    groups: &[
        &[
            Row::new(
                "like",
                Shape::Part("vehicle"),
                "A ready set for values that are not stated.",
                "\"estate car\"",
            ),
            Row::new(
                "datum",
                Shape::Table(&DATUM),
                "Where the windscreen's top edge is.",
                "{ aft = \"1.05 m\", up = \"1.43 m\" }",
            )
            .required(),
        ],
        CAR,
    ],
};

pub(crate) static ABOARD: Table = Table {
    name: "aboard",
    doc: "People and things inside the car, from the front axle and the road. They count on the axles, not on the \
          roof.",
    groups: &[
        &[Row::new("mass", Shape::Quantity(Mass), "All of it together.", "\"240 kg\"")
            .required()
            .settle("weigh it")
            .within("0.1 kg", "3 t")],
        ALONG,
        ACROSS,
        &[Row::new("up", Shape::Measure(Length), "Over the road.", "\"650 mm\"")
            .required()
            .within("0 m", "4 m")],
    ],
};
