//! The two files: a rig file and a parts file.

use super::{
    Row, Shape, Table, arm, camera, car, cup, grid, isolator, panel, platform, policy, power, strap,
};

/// The one version of the format.
pub(crate) const VERSION: usize = 1;

pub(crate) const VERSION_ROW: Row =
    Row::new("version", Shape::Count(0, 1_000_000), "Version of the file format.", "1");

/// A rig file.
pub(crate) static RIG: Table = Table {
    name: "rig file",
    doc: "One rig on one car.",
    groups: &[&[
        VERSION_ROW,
        Row::new("name", Shape::Text, "What you call it.", "\"Estate car, arm on the roof\"").required(),
        Row::new("note", Shape::Text, "Anything that should be on the sheet.", "\"Harbour road\""),
        Row::new("parts", Shape::List(&Shape::Text), "Your own parts files.", "[\"my-parts.toml\"]"),
        Row::new(
            "steps",
            Shape::List(&Shape::Text),
            "Files with your own steps and rules for the order of work.",
            "[\"house-steps.toml\"]",
        ),
        Row::new("site", Shape::Table(&car::SITE), car::SITE.doc, "[site]").required(),
        Row::new("vehicle", Shape::Table(&car::VEHICLE), car::VEHICLE.doc, "[vehicle]").required(),
        Row::new("aboard", Shape::Tagged(&car::ABOARD), car::ABOARD.doc, "[aboard.crew]"),
        Row::new("panel", Shape::Tagged(&panel::PANEL), panel::PANEL.doc, "[panel.roof]").required(),
        Row::new("cup", Shape::Tagged(&cup::CUP), cup::CUP.doc, "[cup.FL]").required(),
        Row::new("tube", Shape::Tagged(&grid::TUBE), grid::TUBE.doc, "[tube.TF]"),
        Row::new("clamp", Shape::Tagged(&grid::CLAMP), grid::CLAMP.doc, "[clamp.K1]"),
        Row::new("platform", Shape::Tagged(&platform::PLATFORM), platform::PLATFORM.doc, "[platform.base]"),
        Row::new("leg", Shape::Tagged(&platform::LEG), platform::LEG.doc, "[leg.FL]"),
        Row::new("strap", Shape::Tagged(&strap::STRAP), strap::STRAP.doc, "[strap.SF]"),
        Row::new("item", Shape::Tagged(&platform::ITEM), platform::ITEM.doc, "[item.battery]"),
        Row::new("arm", Shape::Table(&arm::ARM), arm::ARM.doc, "[arm]"),
        Row::new("isolator", Shape::Table(&isolator::ISOLATOR), isolator::ISOLATOR.doc, "[isolator]"),
        Row::new("payload", Shape::Table(&arm::PAYLOAD), arm::PAYLOAD.doc, "[payload]"),
        Row::new("power", Shape::Table(&power::POWER), power::POWER.doc, "[power]"),
        Row::new("battery", Shape::Tagged(&power::BATTERY), power::BATTERY.doc, "[battery.main]"),
        Row::new("supply", Shape::Tagged(&power::SUPPLY), power::SUPPLY.doc, "[supply.camera-12]"),
        Row::new("consumer", Shape::Tagged(&power::CONSUMER), power::CONSUMER.doc, "[consumer.drives]"),
        Row::new("cable", Shape::Tagged(&power::CABLE), power::CABLE.doc, "[cable.main]"),
        Row::new("camera", Shape::Table(&camera::CAMERA), camera::CAMERA.doc, "[camera]"),
        Row::new("manoeuvre", Shape::Tagged(&policy::MANOEUVRE), policy::MANOEUVRE.doc, "[manoeuvre.bend]"),
        Row::new("policy", Shape::Table(&policy::POLICY), policy::POLICY.doc, "[policy]"),
    ]],
};

/// A ready set of a car's values.
pub(crate) static VEHICLE_SET: Table =
    Table { name: "vehicle", doc: "A ready set of a car's values.", groups: &[car::CAR, &[panel::SOURCE]] };

/// A parts file.
pub(crate) static PARTS: Table = Table {
    name: "parts file",
    doc: "Parts by kind and name, to be used by any rig file.",
    groups: &[&[
        VERSION_ROW,
        Row::new("cup", Shape::Tagged(&cup::CUP_PART), cup::CUP_PART.doc, "[cup.cup-250]"),
        Row::new(
            "tube",
            Shape::Tagged(&grid::TUBE_KIND),
            grid::TUBE_KIND.doc,
            "[tube.\"tube 48.3 x 4.0 S235\"]",
        ),
        Row::new("material", Shape::Tagged(&grid::MATERIAL), grid::MATERIAL.doc, "[material.S235]"),
        Row::new(
            "clamp",
            Shape::Tagged(&grid::CLAMP_KIND),
            grid::CLAMP_KIND.doc,
            "[clamp.\"right-angle clamp\"]",
        ),
        Row::new("foot", Shape::Tagged(&platform::FOOT), platform::FOOT.doc, "[foot.\"platform foot\"]"),
        Row::new(
            "strap",
            Shape::Tagged(&strap::STRAP_PART),
            strap::STRAP_PART.doc,
            "[strap.\"ratchet strap 35\"]",
        ),
        Row::new("sheet", Shape::Tagged(&panel::SHEET), panel::SHEET.doc, "[sheet.steel]"),
        Row::new("finish", Shape::Tagged(&panel::FINISH), panel::FINISH.doc, "[finish.\"clean paint\"]"),
        Row::new("vehicle", Shape::Tagged(&VEHICLE_SET), VEHICLE_SET.doc, "[vehicle.\"estate car\"]"),
    ]],
};
