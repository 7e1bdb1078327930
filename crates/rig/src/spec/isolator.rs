//! The isolator between boom tip and payload.

use super::{Row, Shape, Table};
use quantity::Kind::{Area, Frequency, Length, Mass, Number, Pressure, Stiffness, Volume};

static COIL: Table = Table {
    name: "isolator.coil",
    doc: "One of its coil springs.",
    groups: &[&[
        Row::new("rate", Shape::Quantity(Stiffness), "Force for each length it gives.", "\"2.4 N/mm\"")
            .required()
            .settle("hang two known masses on it, one after the other, and tape the difference")
            .within("1 N/m", "1000 N/mm"),
        Row::new("free_length", Shape::Quantity(Length), "Length without load.", "\"180 mm\"")
            .settle("take it out and tape it")
            .within("5 mm", "2 m"),
        Row::new("solid_length", Shape::Quantity(Length), "Length with all turns touching.", "\"70 mm\"")
            .settle("count the turns, times the wire's thickness")
            .within("1 mm", "2 m"),
        Row::new(
            "set_length",
            Shape::Quantity(Length),
            "Length between its seats as set now, payload held in the middle of the travel.",
            "\"150 mm\"",
        )
        .settle("hold the payload in mid travel and tape the spring")
        .within("1 mm", "2 m"),
    ]],
};

static AIR: Table = Table {
    name: "isolator.air",
    doc: "One of its air springs. State `volume`, or the `column` of air over its area.",
    groups: &[&[
        Row::new("area", Shape::Quantity(Area), "Effective area.", "\"12 cm2\"")
            .required()
            .settle("load in mid travel over the gauge's reading gives it")
            .within("10 mm2", "1 m2"),
        Row::new(
            "volume",
            Shape::Quantity(Volume),
            "Air it works on in mid travel, with a tank if one is connected.",
            "\"0.15 L\"",
        )
        .settle("fill it with water and weigh that")
        .within("1 mL", "1 m3"),
        Row::new("column", Shape::Quantity(Length), "Height of that air over the area.", "\"120 mm\"")
            .settle("tape it in mid travel")
            .within("1 mm", "10 m"),
        Row::new("pressure", Shape::Quantity(Pressure), "What its gauge reads now.", "\"58 kPa\"")
            .settle("read its gauge")
            .within("0 kPa", "3 MPa"),
        Row::new(
            "greatest_pressure",
            Shape::Quantity(Pressure),
            "Most its gauge may read, by its plate.",
            "\"6 bar\"",
        )
        .settle("read its plate")
        .within("1 kPa", "3 MPa"),
    ]],
};

static LEVER: Table = Table {
    name: "isolator.lever",
    doc: "The lever or linkage that its springs act through, taped from its pivot, square to the force.",
    groups: &[&[
        Row::new("spring", Shape::Quantity(Length), "Pivot to where the spring acts.", "\"100 mm\"")
            .required()
            .within("1 mm", "5 m"),
        Row::new("payload", Shape::Quantity(Length), "Pivot to where the payload acts.", "\"150 mm\"")
            .required()
            .within("1 mm", "5 m"),
    ]],
};

static MADE_FOR: Table = Table {
    name: "isolator.made_for",
    doc: "Payloads that it is made for, by its plate.",
    groups: &[&[
        Row::new("from", Shape::Quantity(Mass), "Lightest.", "\"4 kg\"").required().within("0 kg", "500 kg"),
        Row::new("to", Shape::Quantity(Mass), "Heaviest.", "\"9 kg\"").required().within("0.05 kg", "500 kg"),
    ]],
};

static TRAVEL: Table = Table {
    name: "isolator.travel",
    doc: "How far the payload can go from where it floats.",
    groups: &[&[
        Row::new("up", Shape::Quantity(Length), "To the upper stop.", "\"30 mm\"")
            .required()
            .settle("push the payload up to the stop and tape it")
            .within("0 mm", "2 m"),
        Row::new("down", Shape::Quantity(Length), "To the lower stop.", "\"30 mm\"")
            .required()
            .settle("pull the payload down to the stop and tape it")
            .within("0 mm", "2 m"),
    ]],
};

const RELEASE: &str = "a release test: pull the payload aside, let go, and log how it settles";

pub(crate) static ISOLATOR: Table = Table {
    name: "isolator",
    doc: "Spring and dampers between boom tip and payload.",
    groups: &[&[
        Row::new("mass", Shape::Quantity(Mass), "0 kg when there is none.", "\"1.4 kg\"")
            .required()
            .settle("weigh it")
            .within("0 kg", "100 kg"),
        Row::new(
            "frequency",
            Shape::Quantity(Frequency),
            "Natural frequency up and down, measured with this payload.",
            "\"2.2 Hz\"",
        )
        .settle("push the payload down, let go, count ten swings against a watch")
        .within("0.1 Hz", "100 Hz"),
        Row::new(
            "frequency_fore_aft",
            Shape::Quantity(Frequency),
            "The same fore and aft, where springs or a swing carry it.",
            "\"0.9 Hz\"",
        )
        .settle("push the payload, let go, count ten swings against a watch")
        .within("0.05 Hz", "100 Hz"),
        Row::new(
            "frequency_sideways",
            Shape::Quantity(Frequency),
            "The same sideways.",
            "\"0.9 Hz\"",
        )
        .settle("push the payload, let go, count ten swings against a watch")
        .within("0.05 Hz", "100 Hz"),
        Row::new("damping", Shape::Quantity(Number), "Damping ratio up and down.", "0.2")
            .settle(RELEASE)
            .within("0.005", "2"),
        Row::new("damping_fore_aft", Shape::Quantity(Number), "Damping ratio fore and aft.", "0.1")
            .settle(RELEASE)
            .within("0.005", "2"),
        Row::new("damping_sideways", Shape::Quantity(Number), "Damping ratio sideways.", "0.1")
            .settle(RELEASE)
            .within("0.005", "2"),
        Row::new("coil", Shape::Table(&COIL), COIL.doc, "{ rate = \"2.4 N/mm\" }"),
        Row::new("air", Shape::Table(&AIR), AIR.doc, "{ area = \"12 cm2\", column = \"120 mm\" }"),
        Row::new("springs", Shape::Count(1, 64), "How many such springs share the payload; 1 when left out.", "2"),
        Row::new("lever", Shape::Table(&LEVER), LEVER.doc, "{ spring = \"100 mm\", payload = \"150 mm\" }"),
        Row::new(
            "pivot",
            Shape::Quantity(Length),
            "Where the payload hangs free to swing: this far under the boom's tip. Leave it out when it cannot swing.",
            "\"40 mm\"",
        )
        .settle("tape it")
        .within("-1 m", "2 m"),
        Row::new("made_for", Shape::Table(&MADE_FOR), MADE_FOR.doc, "{ from = \"4 kg\", to = \"9 kg\" }"),
        Row::new("travel", Shape::Table(&TRAVEL), TRAVEL.doc, "{ up = \"30 mm\", down = \"30 mm\" }"),
    ]],
};
