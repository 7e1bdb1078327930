//! Vacuum cups.

use super::panel::SOURCE;
use super::place::{ACROSS, ALONG, UPRIGHT};
use super::{Row, Shape, Table};
use quantity::Kind::{Force, Length, Mass, Pressure, RotationalStiffness, Stiffness};

const USE: &[Row] = &[
    Row::new("part", Shape::Part("cup"), "Its name in the parts list.", "\"cup-250\"").required(),
    Row::new("panel", Shape::Tag(&["panel"]), "The panel that it stands on.", "\"roof\"").required(),
    Row::new("holds", Shape::Tag(&["tube", "platform"]), "What its head holds.", "\"TF\"").required(),
    Row::new("head", Shape::Word(&["locked", "free"]), "Whether the pivoting head is locked.", "\"locked\"")
        .or("locked"),
    Row::new("vacuum", Shape::Quantity(Pressure), "On its gauge, below the air outside.", "\"24 inHg\"")
        .settle("pump it and read the gauge")
        .within("0 kPa", "102 kPa")
        .usual("50 kPa", "95 kPa"),
    Row::new("loss", Shape::Quantity(Pressure), "Vacuum lost until the next round.", "\"4 kPa\"")
        .assume("5 kPa", "2 kPa", "10 kPa")
        .settle("pump it, read the gauge, wait as long as between rounds, read it again")
        .within("0 kPa", "102 kPa"),
];

const PART: &[Row] = &[
    Row::new("outer_diameter", Shape::Measure(Length), "Across the lip on the panel.", "\"250 mm\"").part().within("20 mm", "1 m"),
    Row::new("seal_diameter", Shape::Measure(Length), "Across the sealed area.", "\"220 mm\"").part().within("10 mm", "1 m"),
    Row::new("height_least", Shape::Measure(Length), "Panel to clamp centre, lowest setting.", "\"95 mm\"").part().within("5 mm", "1 m"),
    Row::new("height_greatest", Shape::Measure(Length), "Panel to clamp centre, highest setting.", "\"160 mm\"").part().within("5 mm", "1 m"),
    Row::new("mass", Shape::Quantity(Mass), "With its head and pump.", "\"2.9 kg\"").part().settle("weigh it").within("0.05 kg", "30 kg"),
    Row::new("axial", Shape::Quantity(Stiffness), "Stiffness of the cup along its axis.", "\"400 N/mm\"")
        .part()
        .settle("on thick glass: pull straight up with a luggage scale and read a dial gauge or feeler at the lip")
        .within("1 N/mm", "100000 N/mm"),
    Row::new("shear", Shape::Quantity(Stiffness), "Stiffness of the cup along the panel.", "\"200 N/mm\"")
        .part()
        .settle("on thick glass: pull sideways at the lip with a luggage scale and read a ruler")
        .within("1 N/mm", "100000 N/mm"),
    Row::new("rocking", Shape::Quantity(RotationalStiffness), "Stiffness of the cup against tilting.", "\"2500 N·m/rad\"")
        .part()
        .settle("on thick glass: pull sideways on a bar standing in the head, measure the lean")
        .within("1 N·m/rad", "10000000 N·m/rad"),
    Row::new("torsional", Shape::Quantity(RotationalStiffness), "Stiffness against turning about its axis.", "\"1200 N·m/rad\"")
        .part()
        .settle("on thick glass: turn it by a bar through the head with a luggage scale, measure the angle")
        .within("1 N·m/rad", "10000000 N·m/rad"),
    Row::new("pull_rating", Shape::Quantity(Force), "On its plate, pulling straight off.", "\"1.2 kN\"").within("10 N", "50 kN"),
    Row::new("shear_rating", Shape::Quantity(Force), "On its plate, along the panel.", "\"600 N\"").within("10 N", "50 kN"),
    Row::new("lip_follow", Shape::Quantity(Length), "How far the lip follows a crowned panel.", "\"8 mm\"")
        .part()
        .settle("set it on panels of known crown until it no longer seals")
        .within("0 mm", "100 mm"),
    Row::new(
        "stem",
        Shape::Part("tube"),
        "The tube of its stem, when it is slender enough to bend; left out, it is rigid.",
        "\"tube 42.4 x 3.2 S235\"",
    ),
];

pub(crate) static CUP: Table = Table {
    name: "cup",
    doc: "A vacuum cup in its place: two coordinates that lie in the panel, and what its head holds.",
    groups: &[USE, ALONG, ACROSS, UPRIGHT, PART],
};

pub(crate) static CUP_PART: Table = Table { name: "cup", doc: "A make of cup.", groups: &[PART, &[SOURCE]] };
