//! Places, sizes and ranges of angle.

use super::{Row, Shape, Table};
use quantity::Kind::{Angle, Length};

pub(crate) const ALONG: &[Row] = &[
    Row::new("aft", Shape::Measure(Length), "Behind the windscreen's top edge.", "\"880 mm\"")
        .within("-20 m", "20 m"),
    Row::new("forward", Shape::Measure(Length), "Ahead of the windscreen's top edge.", "\"900 mm\"")
        .within("-20 m", "20 m"),
];

pub(crate) const ACROSS: &[Row] = &[
    Row::new("left", Shape::Measure(Length), "Left of the centreline, as the driver sits.", "\"430 mm\"")
        .within("-5 m", "5 m"),
    Row::new("right", Shape::Measure(Length), "Right of the centreline.", "\"430 mm\"").within("-5 m", "5 m"),
];

pub(crate) const UPRIGHT: &[Row] = &[
    Row::new("up", Shape::Measure(Length), "Above the windscreen's top edge.", "\"320 mm\"")
        .within("-10 m", "10 m"),
    Row::new("down", Shape::Measure(Length), "Below the windscreen's top edge.", "\"60 mm\"")
        .within("-10 m", "10 m"),
];

pub(crate) static PLACE: Table = Table {
    name: "place",
    doc: "A place, from the top edge of the windscreen on the centreline. Leave out `left` and `right` for the \
          centreline.",
    groups: &[ALONG, ACROSS, UPRIGHT],
};

pub(crate) static TUBE_END: Table = Table {
    name: "end of a tube",
    doc: "The end of a tube's axis: its place in plan, and its height as `above` a panel, `on` another tube, or \
          `up`.",
    groups: &[
        ALONG,
        ACROSS,
        UPRIGHT,
        &[
            Row::new(
                "above",
                Shape::Measure(Length),
                "The axis stands this far off the panel's crowned surface there, the way the panel faces.",
                "\"150 mm\"",
            )
            .within("0 mm", "5 m"),
            Row::new(
                "panel",
                Shape::Tag(&["panel"]),
                "The panel that `above` counts from; not needed when one panel is the roof.",
                "\"roof\"",
            ),
            Row::new("on", Shape::Tag(&["tube"]), "Lies on top of that tube.", "\"TF\""),
        ],
    ],
};

pub(crate) static ON_TUBE: Table = Table {
    name: "place on a tube",
    doc: "A tube and the one coordinate that finds the place on it.",
    groups: &[
        &[Row::new("tube", Shape::Tag(&["tube"]), "The tube.", "\"LL\"").required()],
        ALONG,
        ACROSS,
        UPRIGHT,
    ],
};

pub(crate) static SIZE: Table = Table {
    name: "size",
    doc: "Overall size, for drag.",
    groups: &[&[
        Row::new("length", Shape::Measure(Length), "Fore and aft.", "\"320 mm\"")
            .required()
            .within("1 mm", "5 m"),
        Row::new("width", Shape::Measure(Length), "Across.", "\"260 mm\"").required().within("1 mm", "5 m"),
        Row::new("height", Shape::Measure(Length), "Up and down.", "\"340 mm\"")
            .required()
            .within("1 mm", "5 m"),
    ]],
};

pub(crate) static DATUM: Table = Table {
    name: "datum",
    doc: "The windscreen's top edge on the centreline, as found on the car: behind the front axle, over the road.",
    groups: &[&[
        Row::new("aft", Shape::Measure(Length), "Behind the front axle.", "\"1.05 m\"")
            .required()
            .within("-3 m", "5 m"),
        Row::new("up", Shape::Measure(Length), "Over the road.", "\"1.43 m\"")
            .required()
            .within("0.3 m", "5 m"),
    ]],
};

pub(crate) static ELEVATION: Table = Table {
    name: "elevation range",
    doc: "Lowest and highest angle of the boom over the horizon.",
    groups: &[&[
        Row::new("from", Shape::Measure(Angle), "Lowest.", "\"-20 deg\"")
            .required()
            .within("-90 deg", "90 deg"),
        Row::new("to", Shape::Measure(Angle), "Highest.", "\"35 deg\"")
            .required()
            .within("-90 deg", "90 deg"),
    ]],
};

pub(crate) static PAN: Table = Table {
    name: "pan range",
    doc: "Bearings that the boom may take, left positive. Leave it out when it may go all round.",
    groups: &[&[
        Row::new("from", Shape::Measure(Angle), "Furthest to the right.", "\"-120 deg\"")
            .required()
            .within("-360 deg", "360 deg"),
        Row::new("to", Shape::Measure(Angle), "Furthest to the left.", "\"120 deg\"")
            .required()
            .within("-360 deg", "360 deg"),
    ]],
};

pub(crate) static PARKED: Table = Table {
    name: "parked pose",
    doc: "Where the boom points when the car travels.",
    groups: &[&[
        Row::new("bearing", Shape::Measure(Angle), "0 deg is straight ahead, left positive.", "\"0 deg\"")
            .required()
            .within("-360 deg", "360 deg"),
        Row::new("elevation", Shape::Measure(Angle), "Over the horizon.", "\"0 deg\"")
            .required()
            .within("-90 deg", "90 deg"),
    ]],
};
