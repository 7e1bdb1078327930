//! Straps and tethers.

use super::panel::SOURCE;
use super::place::{ACROSS, ALONG, UPRIGHT};
use super::{Row, Shape, Table};
use quantity::Kind::{Force, Mass, Number};

pub(crate) static PATH_POINT: Table = Table {
    name: "point of a strap",
    doc: "On a `tube` with the coordinate that finds it, on a `cup`'s head, on a `platform` at a place, or, with a \
          full place alone, on the car's body.",
    groups: &[
        &[
            Row::new("tube", Shape::Tag(&["tube"]), "Round this tube.", "\"TF\""),
            Row::new("cup", Shape::Tag(&["cup"]), "Round this cup's head.", "\"FL\""),
            Row::new("platform", Shape::Tag(&["platform"]), "To this platform.", "\"base\""),
        ],
        ALONG,
        ACROSS,
        UPRIGHT,
    ],
};

const PART: &[Row] = &[
    Row::new(
        "kind",
        Shape::Word(&["strap", "tether"]),
        "A `strap` is pulled tight; a `tether` is left just slack.",
        "\"strap\"",
    )
    .part(),
    Row::new(
        "capacity",
        Shape::Quantity(Force),
        "Lashing capacity (LC) or working load limit on the label, straight pull.",
        "\"7.5 kN\"",
    )
    .part()
    .settle("read the label")
    .within("100 N", "200 kN"),
    Row::new("stretch", Shape::Quantity(Number), "Stretch at that load.", "\"5 %\"")
        .part()
        .settle("read the label, or mark 1 m and pull it with a known force")
        .within("0.1 %", "40 %"),
    Row::new("mass", Shape::Quantity(Mass), "With its ratchet and hooks.", "\"0.8 kg\"")
        .part()
        .settle("weigh it")
        .within("0.005 kg", "30 kg"),
];

pub(crate) static STRAP: Table = Table {
    name: "strap",
    doc: "A ratchet strap or a tether along its whole path.",
    groups: &[
        &[
            Row::new("part", Shape::Part("strap"), "Its name in the parts list.", "\"ratchet strap 35\"")
                .required(),
            Row::new(
                "pretension",
                Shape::Quantity(Force),
                "Tension as fitted; a tether has none.",
                "\"450 N\"",
            )
            .settle("measure it with a strap tension gauge")
            .within("0 N", "50 kN"),
            Row::new(
                "path",
                Shape::List(&Shape::Table(&PATH_POINT)),
                "Its points in order, two or more.",
                "[{ tube = \"TF\", left = \"540 mm\" }, { aft = \"-900 mm\", up = \"-420 mm\" }]",
            )
            .required(),
        ],
        PART,
    ],
};

pub(crate) static STRAP_PART: Table =
    Table { name: "strap", doc: "A make of strap or tether.", groups: &[PART, &[SOURCE]] };
