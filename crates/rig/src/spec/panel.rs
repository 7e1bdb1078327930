//! Body panels, sheet and finish.

use super::place::{ACROSS, ALONG, PLACE};
use super::{Need, Row, Shape, Table};
use quantity::Kind::{Angle, Force, Length, Number, RotationalStiffness, Stiffness};

pub(crate) const FACES: &[&str] = &["up", "left", "right", "ahead", "aft"];
pub(crate) const MATERIALS: &[&str] = &["steel", "aluminium", "glass", "plastic"];

pub(crate) const FACING: Row = Row::new(
    "faces",
    Shape::Word(FACES),
    "The way it faces: `up`, `left`, `right`, `ahead` or `aft`.",
    "\"up\"",
);

pub(crate) const SLOPE: Row = Row::new(
    "slope",
    Shape::Measure(Angle),
    "Facing up: nose down is positive. Facing left, right, ahead or aft: leaning back into the car at the top is \
     positive.",
    "\"6 deg\"",
)
.within("-60 deg", "60 deg");

pub(crate) static KEEP_OUT: Table = Table {
    name: "keep_out",
    doc: "A rectangle on a panel that no cup may touch: a sunroof, an aerial, a seam.",
    groups: &[
        ALONG,
        ACROSS,
        super::place::UPRIGHT,
        &[
            Row::new(
                "length",
                Shape::Measure(Length),
                "Along the panel (fore and aft, or down it).",
                "\"120 mm\"",
            )
            .required()
            .within("1 mm", "4 m"),
            Row::new("width", Shape::Measure(Length), "Across the panel.", "\"80 mm\"")
                .required()
                .within("1 mm", "4 m"),
        ],
    ],
};

pub(crate) static PANEL: Table = Table {
    name: "panel",
    doc: "A body panel that cups stand on: its middle, size, crown, sheet and finish.",
    groups: &[&[
        FACING.required(),
        Row::new("at", Shape::Table(&PLACE), "Its middle, on the surface.", "{ aft = \"950 mm\", up = \"15 mm\" }")
            .required(),
        SLOPE,
        Row::new("length", Shape::Measure(Length), "Along it: fore and aft, or down it when it faces ahead or aft.", "\"1.9 m\"")
            .required()
            .within("50 mm", "8 m"),
        Row::new("width", Shape::Measure(Length), "Across it: left to right, or up a door.", "\"1.14 m\"")
            .required()
            .within("50 mm", "4 m"),
        Row::new("crown_along", Shape::Radius, "Radius of the crown along it, or `flat`.", "\"9 m\"")
            .assume("6 m", "3 m", "30 m")
            .settle("lay a straightedge of length L along the panel, its ends equally high; with gap h under each end the radius is L²/8h")
            .within("0.3 m", "1000 m"),
        Row::new("crown_across", Shape::Radius, "Radius of the crown across it, or `flat`.", "\"3.2 m\"")
            .assume("4 m", "2 m", "15 m")
            .settle("lay a straightedge of length L across the panel, its ends equally high; with gap h under each end the radius is L²/8h")
            .within("0.3 m", "1000 m"),
        Row::new("material", Shape::Word(MATERIALS), "What it is made of; try a magnet.", "\"steel\"").required(),
        Row::new("finish", Shape::Part("finish"), "Its finish, by a name of the parts list.", "\"clean paint\"").required(),
        Row::new("surface", Shape::Word(&["dry", "wet"]), "Rain, dew or washing water on it: `wet`.", "\"dry\"").required(),
        Row::new("roof", Shape::Flag, "Its load counts against the roof rating.", "true").or("false"),
        Row::new("friction", Shape::Quantity(Number), "Of the cup's rubber on it, as it is now.", "0.5")
            .need(Need::Surface)
            .settle("pull a cup of rubber with a known mass on it sideways with a spring scale; divide pull by weight")
            .within("0.02", "2"),
        Row::new("stiffness", Shape::Quantity(Stiffness), "Of the sheet under one cup, square to it.", "\"120 N/mm\"")
            .need(Need::Surface)
            .settle("hang a luggage scale on one cup, pull 200 N, measure the rise against a ruler on the gutters")
            .within("1 N/mm", "10000 N/mm"),
        Row::new("rocking", Shape::Quantity(RotationalStiffness), "Of the sheet under one cup, tilting it.", "\"1500 N·m/rad\"")
            .need(Need::Surface)
            .settle("pull sideways on a bar standing on one cup with a luggage scale, measure the lean")
            .within("10 N·m/rad", "1000000 N·m/rad"),
        Row::new("pull_limit", Shape::Quantity(Force), "Greatest pull on the sheet by one cup.", "\"900 N\"")
            .settle("pull one cup with a luggage scale until a ruler shows a rise that does not go back; take two thirds")
            .within("10 N", "20 kN"),
        Row::new("push_limit", Shape::Quantity(Force), "Greatest push on the sheet by one cup.", "\"1.5 kN\"")
            .settle("ask the maker, or load one cup with known masses and stop at the first dent that stays; take two thirds")
            .within("10 N", "20 kN"),
        Row::new("keep_out", Shape::Tagged(&KEEP_OUT), "Places that no cup may touch.", "[panel.roof.keep_out.aerial]"),
    ]],
};

pub(crate) static SHEET: Table = Table {
    name: "sheet",
    doc: "How stiff body sheet of a material is under one cup.",
    groups: &[&[
        Row::new("stiffness", Shape::Quantity(Stiffness), "Square to the sheet.", "\"120 N/mm\"")
            .within("1 N/mm", "10000 N/mm"),
        Row::new("rocking", Shape::Quantity(RotationalStiffness), "Tilting the cup.", "\"1500 N·m/rad\"")
            .within("10 N·m/rad", "1000000 N·m/rad"),
        SOURCE,
    ]],
};

pub(crate) static FINISH: Table = Table {
    name: "finish",
    doc: "Friction of a cup's rubber on a finish.",
    groups: &[&[
        Row::new("dry", Shape::Quantity(Number), "Dry and wiped.", "0.5").within("0.02", "2"),
        Row::new("wet", Shape::Quantity(Number), "With rain, dew or washing water on it.", "0.2")
            .within("0.02", "2"),
        SOURCE,
    ]],
};

pub(crate) const SOURCE: Row =
    Row::new("source", Shape::Text, "Where the values come from.", "\"maker's data sheet, 2021\"");
