//! Tubes, their material, clamps.

use super::panel::SOURCE;
use super::place::{ACROSS, ALONG, TUBE_END, UPRIGHT};
use super::{Row, Shape, Table};
use quantity::Kind::{Density, Force, Length, Mass, Moment, Number, Pressure};

const TUBE_PART: &[Row] = &[
    Row::new("outer", Shape::Measure(Length), "Outer diameter.", "\"48.3 mm\"")
        .part()
        .within("3 mm", "500 mm"),
    Row::new("wall", Shape::Measure(Length), "Wall.", "\"4.0 mm\"").part().within("0.2 mm", "100 mm"),
    Row::new(
        "material",
        Shape::Part("material"),
        "Its material, by a name of the parts list.",
        "\"EN AW-6082 T6\"",
    )
    .part(),
    Row::new("drag", Shape::Quantity(Number), "Drag coefficient of the bare tube, by its diameter.", "1.2")
        .need(super::Need::Assume(super::Assume {
            value: "1.2",
            low: "1.0",
            high: "1.3",
            source: "cylinder across the flow below Re 2e5, Hoerner, Fluid-Dynamic Drag [from memory]",
        }))
        .settle("it cannot be measured with hand tools; 1.3 is on the safe side")
        .within("0.1", "3"),
];

pub(crate) static TUBE: Table = Table {
    name: "tube",
    doc: "A straight round tube, by the two ends of its axis.",
    groups: &[
        &[
            Row::new(
                "part",
                Shape::Part("tube"),
                "Its name in the parts list.",
                "\"tube 48.3 x 4.0 EN AW-6082 T6\"",
            )
            .required(),
            Row::new(
                "from",
                Shape::Table(&TUBE_END),
                "One end.",
                "{ aft = \"380 mm\", left = \"560 mm\", above = \"150 mm\" }",
            )
            .required(),
            Row::new(
                "to",
                Shape::Table(&TUBE_END),
                "The other end.",
                "{ aft = \"380 mm\", right = \"560 mm\", above = \"150 mm\" }",
            )
            .required(),
        ],
        TUBE_PART,
    ],
};

pub(crate) static TUBE_KIND: Table =
    Table { name: "tube", doc: "A size of tube.", groups: &[TUBE_PART, &[SOURCE]] };

pub(crate) static MATERIAL: Table = Table {
    name: "material",
    doc: "A tube material.",
    groups: &[&[
        Row::new("e", Shape::Measure(Pressure), "Young's modulus.", "\"70 GPa\"")
            .required()
            .within("1 GPa", "500 GPa"),
        Row::new("g", Shape::Measure(Pressure), "Shear modulus.", "\"26.3 GPa\"")
            .required()
            .within("0.3 GPa", "250 GPa"),
        Row::new("density", Shape::Measure(Density), "Mass per volume.", "\"2700 kg/m3\"")
            .required()
            .within("500 kg/m3", "20000 kg/m3"),
        Row::new("yield", Shape::Quantity(Pressure), "Yield, or 0.2 % proof stress.", "\"250 MPa\"")
            .required()
            .settle("read the mill certificate")
            .within("10 MPa", "2000 MPa"),
        SOURCE,
    ]],
};

const CLAMP_PART: &[Row] = &[
    Row::new("kind", Shape::Word(&["right-angle", "swivel", "end"]), "What it does.", "\"right-angle\"")
        .part(),
    Row::new(
        "spacing",
        Shape::Measure(Length),
        "Between the two axes; half the sum of the diameters when left out.",
        "\"52 mm\"",
    )
    .within("0 mm", "500 mm"),
    Row::new("mass", Shape::Quantity(Mass), "One clamp.", "\"1.1 kg\"")
        .part()
        .settle("weigh it")
        .within("0.02 kg", "20 kg"),
    Row::new(
        "slip",
        Shape::Quantity(Force),
        "Force at which it slides along a steel tube, at the rated torque.",
        "\"10 kN\"",
    )
    .settle("ask the maker for the test certificate")
    .within("50 N", "200 kN"),
    Row::new("slip_on_aluminium", Shape::Quantity(Force), "The same on an aluminium tube.", "\"6 kN\"")
        .settle("clamp a spare length, pull it with a load cell or lever and luggage scale until it slides")
        .within("50 N", "200 kN"),
    Row::new(
        "twist",
        Shape::Quantity(Moment),
        "Moment at which it turns about a steel tube, at the rated torque.",
        "\"130 N·m\"",
    )
    .settle("clamp a spare length, turn the clamp by a bar with a luggage scale until it slides")
    .within("1 N·m", "10 kN·m"),
    Row::new("twist_on_aluminium", Shape::Quantity(Moment), "The same on an aluminium tube.", "\"80 N·m\"")
        .settle("clamp a spare length, turn the clamp by a bar with a luggage scale until it slides")
        .within("1 N·m", "10 kN·m"),
    Row::new("rated_torque", Shape::Measure(Moment), "Torque that the slip values go with.", "\"50 N·m\"")
        .part()
        .within("1 N·m", "1 kN·m"),
];

pub(crate) static AT_ON_TUBE: Table = Table {
    name: "place along a tube",
    doc: "One coordinate that finds the place on the first tube.",
    groups: &[ALONG, ACROSS, UPRIGHT],
};

pub(crate) static CLAMP: Table = Table {
    name: "clamp",
    doc: "A clamp between two tubes; it sits where their axes pass nearest.",
    groups: &[
        &[
            Row::new("part", Shape::Part("clamp"), "Its name in the parts list.", "\"right-angle clamp\"")
                .required(),
            Row::new("joins", Shape::List(&Shape::Tag(&["tube"])), "The two tubes.", "[\"TF\", \"LL\"]")
                .required(),
            Row::new("torque", Shape::Quantity(Moment), "Tightened to.", "\"50 N·m\"")
                .required()
                .within("1 N·m", "1 kN·m"),
            Row::new(
                "at",
                Shape::Table(&AT_ON_TUBE),
                "Where it sits, when the tubes run side by side.",
                "{ left = \"200 mm\" }",
            ),
        ],
        CLAMP_PART,
    ],
};

pub(crate) static CLAMP_KIND: Table =
    Table { name: "clamp", doc: "A make of clamp.", groups: &[CLAMP_PART, &[SOURCE]] };
