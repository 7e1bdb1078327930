//! Manoeuvres and policy.

use super::{Row, Shape, Table};
use quantity::Kind::{Acceleration, Angle, AngularSpeed, Length, Number, Pressure, Speed, Time};

pub(crate) const KINDS: &[&str] = &[
    "steady drive",
    "firm braking",
    "emergency braking",
    "pull-away",
    "left bend",
    "right bend",
    "evasive swerve",
    "kerb or pothole",
    "gust",
];

pub(crate) static BUMP: Table = Table {
    name: "bump",
    doc: "A kerb or pothole as half a sine wave.",
    groups: &[&[
        Row::new("height", Shape::Quantity(Length), "How high, or deep.", "\"60 mm\"")
            .assume("60 mm", "40 mm", "80 mm")
            .settle("measure the worst one on the route with a ruler")
            .within("1 mm", "300 mm"),
        Row::new("length", Shape::Quantity(Length), "Along the road.", "\"600 mm\"")
            .assume("600 mm", "400 mm", "900 mm")
            .settle("measure the worst one on the route with a tape")
            .within("50 mm", "10 m"),
    ]],
};

pub(crate) static MANOEUVRE: Table = Table {
    name: "manoeuvre",
    doc: "One thing that the car will do. `kind` gives the accelerations, which stated values replace.",
    groups: &[&[
        Row::new("kind", Shape::Word(KINDS), "What it is.", "\"left bend\"").required(),
        Row::new("speed", Shape::Quantity(Speed), "Over the road.", "\"50 km/h\"")
            .within("0 km/h", "250 km/h")
            .usual("0 km/h", "130 km/h"),
        Row::new(
            "forward",
            Shape::Quantity(Acceleration),
            "The car's acceleration forward; braking is negative.",
            "\"-0.5 g\"",
        )
        .within("-2 g", "2 g"),
        Row::new(
            "left",
            Shape::Quantity(Acceleration),
            "The car's acceleration to the left; a right bend is negative.",
            "\"0.35 g\"",
        )
        .within("-2 g", "2 g"),
        Row::new(
            "yaw_rate",
            Shape::Quantity(AngularSpeed),
            "How fast the car turns, left positive; from `left` and `speed` when left out.",
            "\"15 deg/s\"",
        )
        .within("-180 deg/s", "180 deg/s"),
        Row::new("grade", Shape::Measure(Angle), "Uphill is positive.", "\"6 %\"")
            .or("0 deg")
            .within("-30 deg", "30 deg"),
        Row::new("bank", Shape::Measure(Angle), "Left side of the road higher is positive.", "\"3 deg\"")
            .or("0 deg")
            .within("-30 deg", "30 deg"),
        Row::new(
            "gust",
            Shape::Flag,
            "The site's gust comes with it, from ahead and from both sides; `kind = \"gust\"` always has it.",
            "true",
        )
        .or("false"),
        Row::new(
            "arm",
            Shape::Word(&["parked", "still", "live"]),
            "Boom parked, in any pose but still, or moving.",
            "\"live\"",
        ),
        Row::new(
            "vertical",
            Shape::Quantity(Acceleration),
            "Up and down at the roof; from the road class when left out.",
            "\"0.3 g\"",
        )
        .within("0 g", "5 g"),
        Row::new(
            "bump",
            Shape::Table(&BUMP),
            "A single kerb or pothole.",
            "{ height = \"60 mm\", length = \"600 mm\" }",
        ),
    ]],
};

pub(crate) static FACTOR: Table = Table {
    name: "policy.factor",
    doc: "Required factors of a check, by its name.",
    groups: &[&[
        Row::new("intact", Shape::Measure(Number), "With everything in place.", "2.0").within("0", "20"),
        Row::new("lost", Shape::Measure(Number), "With one cup or one strap lost.", "1.5").within("0", "20"),
    ]],
};

const RETENTION_SOURCE: &str =
    "EN 12195-1 leaves out vehicles up to 3.5 t; raised for cars, docs/mechanics.md §3.1";

pub(crate) static RETENTION: Table = Table {
    name: "policy.retention",
    doc: "Accelerations that straps and friction must hold with all vacuum gone.",
    groups: &[&[
        Row::new("forward", Shape::Quantity(Acceleration), "As in braking.", "\"1.0 g\"")
            .assume_from("1.0 g", RETENTION_SOURCE)
            .within("0.05 g", "20 g"),
        Row::new("rearward", Shape::Quantity(Acceleration), "As in pulling away.", "\"0.5 g\"")
            .assume_from("0.5 g", RETENTION_SOURCE)
            .within("0.05 g", "20 g"),
        Row::new("sideways", Shape::Quantity(Acceleration), "To each side.", "\"0.7 g\"")
            .assume_from("0.7 g", RETENTION_SOURCE)
            .within("0.05 g", "20 g"),
        Row::new("upward", Shape::Quantity(Acceleration), "Over and above gravity.", "\"0.5 g\"")
            .assume_from("0.5 g", "our choice, no source")
            .within("0 g", "20 g"),
    ]],
};

pub(crate) static POLICY: Table = Table {
    name: "policy",
    doc: "Required factors and limits, where they differ from the defaults.",
    groups: &[&[
        Row::new("factor", Shape::Tagged(&FACTOR), "Required factors by check.", "{ cup-seal = { intact = 2.0, lost = 1.5 } }"),
        Row::new("retention", Shape::Table(&RETENTION), "With all vacuum gone.", "{ forward = \"1.0 g\" }"),
        Row::new("peak_factor", Shape::Quantity(Number), "Peak over r.m.s. of the road's shaking.", "3")
            .assume("3", "2.5", "3.5")
            .settle("drive the route with an accelerometer on the roof; divide the peak by the r.m.s.")
            .within("1", "6"),
        Row::new("sway_limit", Shape::Quantity(Length), "Greatest movement of the mast's base.", "\"25 mm\"").within("0.1 mm", "1 m"),
        Row::new("keep_clear", Shape::Quantity(Length), "From a cup's lip to a keep-out or the panel's edge.", "\"20 mm\"")
            .assume_from("20 mm", super::COMMON)
            .within("0 mm", "500 mm"),
        Row::new("headroom", Shape::Quantity(Length), "Under bridges and lines, on top of their own rule.", "\"150 mm\"")
            .assume_from("150 mm", super::COMMON)
            .within("0 mm", "5 m"),
        Row::new("pump_ultimate", Shape::Quantity(Pressure), "Absolute pressure that the pump can reach.", "\"15 kPa\"")
            .assume("15 kPa", "10 kPa", "20 kPa")
            .settle("pump a cup on thick glass until the gauge stands still; take it from the air pressure of the day")
            .within("0.1 kPa", "90 kPa"),
        Row::new("rounds", Shape::Measure(Time), "The longest time between two readings of a gauge.", "\"30 min\"")
            .or("1 h")
            .within("1 min", "24 h"),
        Row::new("gauge", Shape::Measure(Pressure), "Largest error of one look at a vacuum gauge: half a division.", "\"0.5 kPa\"")
            .or("1 kPa")
            .within("0.001 kPa", "20 kPa"),
    ]],
};
