//! Platforms, legs, bolts, items.

use super::panel::{FACING, SLOPE, SOURCE};
use super::place::{ON_TUBE, PLACE, SIZE};
use super::{Row, Shape, Table};
use quantity::Kind::{Force, Length, Mass, Moment, Number};

pub(crate) const DRAG: Row = Row::new("drag", Shape::Quantity(Number), "Drag coefficient by its faces.", "1.2")
    .need(super::Need::Assume(super::Assume {
        value: "1.2",
        low: "1.0",
        high: "1.4",
        source: "cube 1.05 to plate 1.17 face-on, Hoerner, Fluid-Dynamic Drag [from memory]; the range is common practice, no source",
    }))
    .settle("it cannot be measured with hand tools; 1.4 is on the safe side")
    .within("0.1", "3");

pub(crate) static PLATFORM: Table = Table {
    name: "platform",
    doc: "A rigid platform, base or plate. `at` is the middle of the face that looks away from the car.",
    groups: &[&[
        Row::new(
            "at",
            Shape::Table(&PLACE),
            "Middle of its top (or outer) face.",
            "{ aft = \"880 mm\", up = \"320 mm\" }",
        )
        .required(),
        FACING.or("up"),
        SLOPE,
        Row::new(
            "length",
            Shape::Measure(Length),
            "Fore and aft (down it, when it faces ahead or aft).",
            "\"420 mm\"",
        )
        .required()
        .within("10 mm", "5 m"),
        Row::new("width", Shape::Measure(Length), "Across it (up and down, on a door).", "\"420 mm\"")
            .required()
            .within("10 mm", "3 m"),
        Row::new("thickness", Shape::Measure(Length), "How thick it is.", "\"12 mm\"")
            .required()
            .within("1 mm", "500 mm"),
        Row::new("mass", Shape::Quantity(Mass), "With what is bolted to it for good.", "\"5.2 kg\"")
            .required()
            .settle("weigh it")
            .within("0.05 kg", "300 kg"),
        DRAG,
    ]],
};

pub(crate) static BOLTS: Table = Table {
    name: "bolts",
    doc: "A ring of like bolts.",
    groups: &[&[
        Row::new("thread", Shape::Word(&["M4", "M5", "M6", "M8", "M10", "M12", "M16"]), "Metric coarse thread.", "\"M10\"").required(),
        Row::new("class", Shape::Word(&["8.8", "10.9", "12.9"]), "On the bolt's head.", "\"8.8\"").required(),
        Row::new("count", Shape::Count(1, 64), "How many.", "2").required(),
        Row::new("circle", Shape::Measure(Length), "Diameter of the bolt circle.", "\"60 mm\"").or("0 mm").within("0 mm", "1 m"),
        Row::new("torque", Shape::Quantity(Moment), "Tightened to.", "\"40 N·m\"").required().within("0.1 N·m", "2 kN·m"),
        Row::new("thread_friction", Shape::Quantity(Number), "In the thread and under the head.", "0.14")
            .need(super::Need::Assume(super::Assume {
                value: "0.14",
                low: "0.10",
                high: "0.18",
                source: "dry to lightly oiled, spread of the VDI 2230 torque tables; the range is common practice, no source",
            }))
            .settle("use bolts with a stated coating, or check one with a bolt gauge")
            .within("0.03", "0.6"),
        Row::new("face_friction", Shape::Quantity(Number), "Between the joined faces.", "0.15")
            .assume("0.15", "0.10", "0.25")
            .settle("pull the loose joint sideways under a known mass with a spring scale")
            .within("0.03", "1"),
    ]],
};

const FOOT_PART: &[Row] = &[
    Row::new("mass", Shape::Quantity(Mass), "One leg with its foot.", "\"0.9 kg\"")
        .part()
        .settle("weigh it")
        .within("0.02 kg", "50 kg"),
    Row::new(
        "tube",
        Shape::Part("tube"),
        "The leg's tube, when it is slender enough to bend; left out, it is rigid.",
        "\"tube 48.3 x 4.0 S235\"",
    ),
    Row::new("slip", Shape::Quantity(Force), "Force at which its foot slides along the tube.", "\"6 kN\"")
        .settle("clamp a spare length, pull it with a load cell or lever and luggage scale until it slides")
        .within("50 N", "200 kN"),
    Row::new(
        "twist",
        Shape::Quantity(Moment),
        "Moment at which its foot turns about the tube.",
        "\"80 N·m\"",
    )
    .settle("clamp a spare length, turn the foot by a bar with a luggage scale until it slides")
    .within("1 N·m", "10 kN·m"),
];

pub(crate) static LEG: Table = Table {
    name: "leg",
    doc: "A leg from a tube to a platform.",
    groups: &[
        &[
            Row::new("part", Shape::Part("foot"), "Its name in the parts list.", "\"platform foot\"")
                .required(),
            Row::new(
                "foot",
                Shape::Table(&ON_TUBE),
                "Where it stands.",
                "{ tube = \"LL\", aft = \"720 mm\" }",
            )
            .required(),
            Row::new("platform", Shape::Tag(&["platform"]), "What it carries.", "\"base\"").required(),
            Row::new(
                "top",
                Shape::Table(&PLACE),
                "Where it meets the platform; straight up (square to the platform) when left out.",
                "{ aft = \"760 mm\", left = \"160 mm\", up = \"308 mm\" }",
            ),
            Row::new(
                "bolts",
                Shape::Table(&BOLTS),
                "Bolts at its top.",
                "{ thread = \"M10\", class = \"8.8\", count = 2, torque = \"40 N·m\" }",
            ),
        ],
        FOOT_PART,
    ],
};

pub(crate) static FOOT: Table =
    Table { name: "foot", doc: "A make of leg and foot.", groups: &[FOOT_PART, &[SOURCE]] };

pub(crate) static ITEM: Table = Table {
    name: "item",
    doc: "Any other fixed thing: a box, a battery, a fixed camera.",
    groups: &[&[
        Row::new("mass", Shape::Quantity(Mass), "As fitted.", "\"4.6 kg\"")
            .required()
            .settle("weigh it")
            .within("0.01 kg", "500 kg"),
        Row::new("at", Shape::Table(&PLACE), "Its mass centre.", "{ aft = \"1250 mm\", up = \"270 mm\" }")
            .required(),
        Row::new("on", Shape::Tag(&["tube", "platform", "cup"]), "What it is fixed to.", "\"TR\"").required(),
        Row::new(
            "size",
            Shape::Table(&SIZE),
            "Its size, when it stands in the wind.",
            "{ length = \"200 mm\", width = \"180 mm\", height = \"170 mm\" }",
        ),
        DRAG,
    ]],
};
