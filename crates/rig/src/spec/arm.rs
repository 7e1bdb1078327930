//! The arm and what hangs on it.

use super::place::{ACROSS, ELEVATION, PAN, PARKED, PLACE, SIZE};
use super::platform::{BOLTS, DRAG};
use super::{Row, Shape, Table};
use quantity::Kind::{AngularAcceleration, AngularSpeed, Length, Mass, Moment, Number};

pub(crate) static DRIVES: Table = Table {
    name: "drives",
    doc: "What the pan and tilt drives can do.",
    groups: &[&[
        Row::new("pan_rate", Shape::Quantity(AngularSpeed), "Fastest pan.", "\"60 deg/s\"")
            .required()
            .within("0.1 deg/s", "720 deg/s"),
        Row::new(
            "pan_acceleration",
            Shape::Quantity(AngularAcceleration),
            "Quickest start of pan.",
            "\"60 deg/s2\"",
        )
        .required()
        .within("0.1 deg/s2", "5000 deg/s2"),
        Row::new(
            "pan_stop",
            Shape::Quantity(AngularAcceleration),
            "Emergency stop of pan.",
            "\"180 deg/s2\"",
        )
        .required()
        .within("0.1 deg/s2", "10000 deg/s2"),
        Row::new("pan_torque", Shape::Quantity(Moment), "Greatest torque of the pan drive.", "\"120 N·m\"")
            .within("0.1 N·m", "20 kN·m"),
        Row::new("tilt_rate", Shape::Quantity(AngularSpeed), "Fastest tilt.", "\"30 deg/s\"")
            .required()
            .within("0.1 deg/s", "720 deg/s"),
        Row::new(
            "tilt_acceleration",
            Shape::Quantity(AngularAcceleration),
            "Quickest start of tilt.",
            "\"40 deg/s2\"",
        )
        .required()
        .within("0.1 deg/s2", "5000 deg/s2"),
        Row::new(
            "tilt_stop",
            Shape::Quantity(AngularAcceleration),
            "Emergency stop of tilt.",
            "\"120 deg/s2\"",
        )
        .required()
        .within("0.1 deg/s2", "10000 deg/s2"),
        Row::new("tilt_torque", Shape::Quantity(Moment), "Greatest torque of the tilt drive.", "\"90 N·m\"")
            .within("0.1 N·m", "20 kN·m"),
    ]],
};

pub(crate) static SECTION: Table = Table {
    name: "arm.section",
    doc: "One boom section, by where it starts and ends along the boom from the pivot; negative is the tail.",
    groups: &[&[
        Row::new("from", Shape::Measure(Length), "Start.", "\"0 mm\"").required().within("-10 m", "20 m"),
        Row::new("to", Shape::Measure(Length), "End.", "\"900 mm\"").required().within("-10 m", "20 m"),
        Row::new("mass", Shape::Quantity(Mass), "With its fittings.", "\"3.4 kg\"")
            .required()
            .settle("weigh it")
            .within("0.01 kg", "300 kg"),
        Row::new(
            "diameter",
            Shape::Measure(Length),
            "Outer size across the wind; the tube's when left out.",
            "\"80 mm\"",
        )
        .within("5 mm", "1 m"),
        Row::new("drag", Shape::Quantity(Number), "Drag coefficient.", "1.2")
            .assume("1.2", "1.0", "1.5")
            .settle("it cannot be measured with hand tools; 1.5 is on the safe side")
            .within("0.1", "3"),
        Row::new(
            "tube",
            Shape::Part("tube"),
            "Its round section, for stress and sag.",
            "\"tube 80 x 3.0 EN AW-6082 T6\"",
        ),
        Row::new(
            "bolts",
            Shape::Table(&BOLTS),
            "Bolts of the joint at its end nearer the pivot, where it is a flange on a ring of bolts.",
            "{ thread = \"M8\", class = \"8.8\", count = 6, circle = \"110 mm\", torque = \"25 N·m\" }",
        ),
    ]],
};

pub(crate) static COUNTERWEIGHT: Table = Table {
    name: "arm.counterweight",
    doc: "The weight on the tail.",
    groups: &[&[
        Row::new("mass", Shape::Quantity(Mass), "All plates with their carrier.", "\"27.5 kg\"")
            .required()
            .settle("weigh it")
            .within("0.1 kg", "1 t"),
        Row::new("behind", Shape::Quantity(Length), "Behind the pivot, along the boom.", "\"600 mm\"")
            .required()
            .settle("tape it")
            .within("1 mm", "10 m"),
        Row::new("under", Shape::Measure(Length), "Below the boom's axis.", "\"20 mm\"")
            .or("0 mm")
            .within("-1 m", "1 m"),
        Row::new(
            "size",
            Shape::Table(&SIZE),
            "Its size, for drag.",
            "{ length = \"120 mm\", width = \"200 mm\", height = \"200 mm\" }",
        ),
        DRAG,
        Row::new("plates", Shape::List(&Shape::Measure(Mass)), "Plates at hand.", "[\"5 kg\", \"2.5 kg\"]"),
        Row::new(
            "fitted",
            Shape::List(&Shape::Measure(Mass)),
            "Plates on it now that can come off; they are part of `mass`.",
            "[\"10 kg\", \"10 kg\", \"5 kg\"]",
        ),
        Row::new(
            "behind_from",
            Shape::Measure(Length),
            "Where its carrier can slide: nearest to the pivot.",
            "\"420 mm\"",
        )
        .within("1 mm", "10 m"),
        Row::new("behind_to", Shape::Measure(Length), "Farthest from the pivot.", "\"640 mm\"")
            .within("1 mm", "10 m"),
    ]],
};

pub(crate) static BRACE: Table = Table {
    name: "arm.brace",
    doc: "A stay from above the pivot to a point of the boom.",
    groups: &[
        &[
            Row::new(
                "along",
                Shape::Measure(Length),
                "Where it meets the boom, from the pivot.",
                "\"1.6 m\"",
            )
            .required()
            .within("-10 m", "20 m"),
            Row::new(
                "height",
                Shape::Measure(Length),
                "Its upper end over the boom's axis at the pivot.",
                "\"250 mm\"",
            )
            .required()
            .within("-2 m", "5 m"),
            Row::new("diameter", Shape::Measure(Length), "Of the rod or wire.", "\"6 mm\"")
                .required()
                .within("0.5 mm", "100 mm"),
            Row::new("material", Shape::Part("material"), "By a name of the parts list.", "\"S235\"")
                .required(),
        ],
        ACROSS,
    ],
};

pub(crate) static ARM: Table = Table {
    name: "arm",
    doc: "The motorised balanced arm: pan about the mast, tilt of the boom.",
    groups: &[&[
        Row::new("on", Shape::Tag(&["platform"]), "The platform that its mast stands on.", "\"base\"")
            .required(),
        Row::new("pivot_height", Shape::Measure(Length), "The boom's pivot over the platform.", "\"520 mm\"")
            .required()
            .within("10 mm", "5 m"),
        Row::new("base_mass", Shape::Quantity(Mass), "What does not turn.", "\"5.5 kg\"")
            .required()
            .settle("weigh it")
            .within("0 kg", "300 kg"),
        Row::new(
            "base_centre",
            Shape::Measure(Length),
            "Height of its mass centre over the platform.",
            "\"120 mm\"",
        )
        .required()
        .within("0 mm", "5 m"),
        Row::new("head_mass", Shape::Quantity(Mass), "What turns with pan and not with tilt.", "\"9.5 kg\"")
            .required()
            .settle("weigh it")
            .within("0 kg", "300 kg"),
        Row::new(
            "head_centre",
            Shape::Measure(Length),
            "Height of its mass centre over the platform.",
            "\"470 mm\"",
        )
        .required()
        .within("0 mm", "5 m"),
        Row::new("mast_diameter", Shape::Measure(Length), "For drag.", "\"90 mm\"")
            .required()
            .within("10 mm", "1 m"),
        Row::new("levelled", Shape::Flag, "The tip keeps upright when the boom tilts.", "true").or("true"),
        Row::new(
            "elevation",
            Shape::Table(&ELEVATION),
            "How far the boom may tilt.",
            "{ from = \"-20 deg\", to = \"35 deg\" }",
        )
        .required(),
        Row::new(
            "pan",
            Shape::Table(&PAN),
            "How far it may pan; all round when left out.",
            "{ from = \"-120 deg\", to = \"120 deg\" }",
        ),
        Row::new(
            "parked",
            Shape::Table(&PARKED),
            "The pose in which it travels.",
            "{ bearing = \"0 deg\", elevation = \"0 deg\" }",
        )
        .required(),
        Row::new(
            "drives",
            Shape::Table(&DRIVES),
            "What the drives can do.",
            "{ pan_rate = \"60 deg/s\", ... }",
        )
        .required(),
        Row::new("section", Shape::Tagged(&SECTION), "The boom's sections.", "[arm.section.root]").required(),
        Row::new(
            "counterweight",
            Shape::Table(&COUNTERWEIGHT),
            "The weight on the tail.",
            "[arm.counterweight]",
        )
        .required(),
        Row::new("brace", Shape::Tagged(&BRACE), "Stays that stiffen the boom.", "[arm.brace.top]"),
        Row::new("sag_limit", Shape::Quantity(Length), "Greatest sag of the tip.", "\"20 mm\"")
            .within("0.1 mm", "2 m"),
    ]],
};

pub(crate) static PAYLOAD: Table = Table {
    name: "payload",
    doc: "Everything that hangs below the isolator.",
    groups: &[&[
        Row::new("mass", Shape::Quantity(Mass), "Lens and battery in.", "\"6.8 kg\"")
            .required()
            .settle("weigh it")
            .within("0.05 kg", "200 kg"),
        Row::new(
            "centre",
            Shape::Table(&PLACE),
            "Its mass centre from the boom's tip, seen along the boom.",
            "{ up = \"-210 mm\" }",
        )
        .required(),
        Row::new(
            "size",
            Shape::Table(&SIZE),
            "Its size, for drag.",
            "{ length = \"320 mm\", width = \"260 mm\", height = \"340 mm\" }",
        ),
        DRAG,
    ]],
};
