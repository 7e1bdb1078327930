//! Power: batteries, supplies, consumers and the cables between them.

use super::{Row, Shape, Table};
use quantity::Kind::{
    Charge, Conductor, Current, Energy, Length, LineResistance, Mass, Number, Power, Resistance, Temperature,
    Time, Voltage,
};

/// Chemistries in the words of the trade.
pub(crate) const CHEMISTRIES: &[&str] =
    &["lithium iron phosphate", "lithium-ion", "lead-acid AGM", "nickel-metal hydride"];

pub(crate) static POWER: Table = Table {
    name: "power",
    doc: "The day that the batteries must last.",
    groups: &[&[
        Row::new("hours", Shape::Quantity(Time), "Length of the working day.", "\"10 h\"")
            .settle("ask production for the call sheet's hours")
            .within("1 min", "72 h"),
        Row::new(
            "surroundings",
            Shape::Quantity(Temperature),
            "Air around the cables, at its hottest.",
            "\"35 C\"",
        )
        .assume("30 C", "10 C", "50 C")
        .settle("lay a thermometer beside the cables in the sun")
        .within("-50 C", "90 C"),
    ]],
};

pub(crate) static BATTERY: Table = Table {
    name: "battery",
    doc: "A battery, or a bank of like ones in series or parallel. What is left out and marked so is assumed by its chemistry.",
    groups: &[&[
        Row::new(
            "chemistry",
            Shape::Word(CHEMISTRIES),
            "What it is, from its label.",
            "\"lithium iron phosphate\"",
        )
        .required(),
        Row::new("voltage", Shape::Quantity(Voltage), "On the label of one.", "\"12.8 V\"")
            .required()
            .settle("read the label")
            .within("1 V", "60 V"),
        Row::new("capacity", Shape::Quantity(Charge), "On the label of one: this or `energy`.", "\"100 Ah\"")
            .settle("read the label")
            .within("0.1 Ah", "2000 Ah"),
        Row::new("energy", Shape::Quantity(Energy), "On the label of one: this or `capacity`.", "\"98 Wh\"")
            .settle("read the label")
            .within("1 Wh", "50 kWh"),
        Row::new("series", Shape::Count(1, 48), "How many in series.", "2").or("1"),
        Row::new("parallel", Shape::Count(1, 48), "How many such rows in parallel.", "2").or("1"),
        Row::new(
            "readings",
            Shape::List(&Shape::Measure(Voltage)),
            "Voltage of each one at rest, before they are joined; row by row.",
            "[\"13.31 V\", \"13.30 V\"]",
        ),
        Row::new(
            "ages",
            Shape::List(&Shape::Measure(Time)),
            "Age of each one, in the same order.",
            "[\"400 d\", \"400 d\"]",
        ),
        Row::new(
            "resistance",
            Shape::Quantity(Resistance),
            "Inside one, by its chemistry when left out.",
            "\"8 mohm\"",
        )
        .settle("read its voltage at rest and under a known current: the drop over the current")
        .within("0.01 mohm", "20 ohm"),
        Row::new("greatest_current", Shape::Quantity(Current), "That one may give for minutes.", "\"100 A\"")
            .settle("read the label, or its protection's rating")
            .within("0.1 A", "5000 A"),
        Row::new("charge_current", Shape::Quantity(Current), "That one may take.", "\"50 A\"")
            .settle("read the label")
            .within("0.01 A", "5000 A"),
        Row::new(
            "usable",
            Shape::Quantity(Number),
            "Share of its charge that may be taken, by its chemistry when left out.",
            "\"85 %\"",
        )
        .settle("read the maker's sheet")
        .within("5 %", "100 %"),
        Row::new("health", Shape::Quantity(Number), "What it still holds of its label.", "\"95 %\"")
            .assume("85 %", "70 %", "100 %")
            .settle("charge it, run it down through a meter that counts Ah, and divide by the label")
            .within("10 %", "110 %"),
        Row::new(
            "temperature",
            Shape::Quantity(Temperature),
            "Of the battery at work; the site's when left out.",
            "\"5 C\"",
        )
        .settle("lay a thermometer on it")
        .within("-40 C", "70 C"),
        Row::new(
            "cold_share",
            Shape::Quantity(Number),
            "What it gives at that temperature, by its chemistry when left out.",
            "\"80 %\"",
        )
        .settle("read the maker's sheet, or run one down at that temperature")
        .within("1 %", "110 %"),
        Row::new(
            "voltage_full",
            Shape::Quantity(Voltage),
            "Of one, full and at rest; by its chemistry when left out.",
            "\"13.6 V\"",
        )
        .settle("charge it, let it rest for an hour, measure it")
        .within("1 V", "75 V"),
        Row::new(
            "voltage_low",
            Shape::Quantity(Voltage),
            "Of one at rest, the usable share taken; by its chemistry when left out.",
            "\"12.8 V\"",
        )
        .settle("run it down to its last usable charge, let it rest for an hour, measure it")
        .within("0.5 V", "60 V"),
        Row::new(
            "cut_off",
            Shape::Quantity(Voltage),
            "At which its own protection opens, for one.",
            "\"10 V\"",
        )
        .settle("read the maker's sheet")
        .within("0.5 V", "60 V"),
        Row::new("peukert", Shape::Quantity(Number), "Peukert's exponent, lead-acid alone.", "1.15")
            .settle("read the maker's sheet, or work it out of its 20 h and 5 h capacities")
            .within("1", "2"),
        Row::new(
            "rated_time",
            Shape::Quantity(Time),
            "The hours that the label's capacity goes with, lead-acid alone.",
            "\"20 h\"",
        )
        .assume("20 h", "10 h", "20 h")
        .settle("read the label: C20 is 20 h")
        .within("0.2 h", "200 h"),
        Row::new(
            "charged",
            Shape::Quantity(Time),
            "How long before the day's start it was full.",
            "\"12 h\"",
        )
        .settle("charge it full and note when")
        .within("0 h", "400 d"),
        Row::new(
            "mass",
            Shape::Quantity(Mass),
            "Of one; where it rides it must also stand under `item` or `aboard`.",
            "\"11 kg\"",
        )
        .settle("weigh it")
        .within("0.01 kg", "200 kg"),
    ]],
};

pub(crate) static SUPPLY: Table = Table {
    name: "supply",
    doc: "A converter that a cable feeds, or the car's own system.",
    groups: &[&[
        Row::new("kind", Shape::Word(&["converter", "car"]), "What it is.", "\"converter\"").or("converter"),
        Row::new("voltage", Shape::Quantity(Voltage), "That it gives.", "\"12 V\"")
            .required()
            .settle("measure it under load; of a car with the engine idling and lamps on")
            .within("1 V", "60 V"),
        Row::new(
            "voltage_high",
            Shape::Quantity(Voltage),
            "The most that a car's system gives.",
            "\"14.6 V\"",
        )
        .settle("measure it with the engine running fast and nothing else on")
        .within("1 V", "60 V"),
        Row::new(
            "resistance",
            Shape::Quantity(Resistance),
            "How it sags: volts for each ampere.",
            "\"5 mohm\"",
        )
        .or("0 ohm")
        .settle("measure its voltage without load and under a known current")
        .within("0 ohm", "5 ohm"),
        Row::new("greatest_current", Shape::Quantity(Current), "That it can give.", "\"20 A\"")
            .settle("read the label")
            .within("0.05 A", "1000 A"),
        Row::new("efficiency", Shape::Quantity(Number), "Power out over power in.", "\"92 %\"")
            .assume("88 %", "80 %", "95 %")
            .settle("measure volts and amperes on both sides")
            .within("20 %", "100 %"),
        Row::new("lowest_input", Shape::Quantity(Voltage), "Under which it cuts off.", "\"18 V\"")
            .settle("read the label")
            .within("1 V", "60 V"),
        Row::new("highest_input", Shape::Quantity(Voltage), "That it bears.", "\"36 V\"")
            .settle("read the label")
            .within("1 V", "1000 V"),
    ]],
};

pub(crate) static BLOCK: Table = Table {
    name: "block of the day",
    doc: "A part of the day, counted from its start.",
    groups: &[&[
        Row::new("from", Shape::Measure(Time), "Start.", "\"0 h\"").required().within("0 h", "72 h"),
        Row::new("to", Shape::Measure(Time), "End.", "\"4 h\"").required().within("0 h", "72 h"),
        Row::new("duty", Shape::Measure(Number), "Share of it that it draws its average.", "\"50 %\"")
            .or("100 %")
            .within("0 %", "100 %"),
    ]],
};

pub(crate) static MEASURED: Table = Table {
    name: "measured voltages",
    doc: "Two voltmeter readings at one time, everything running.",
    groups: &[&[
        Row::new("source", Shape::Measure(Voltage), "At the battery's or supply's terminals.", "\"26.1 V\"")
            .required()
            .within("0.1 V", "75 V"),
        Row::new("here", Shape::Measure(Voltage), "At its own plug.", "\"25.6 V\"")
            .required()
            .within("0.1 V", "75 V"),
    ]],
};

pub(crate) static CONSUMER: Table = Table {
    name: "consumer",
    doc: "A thing that draws power: drives, head, camera, transmitter. Power in W, or current in A.",
    groups: &[&[
        Row::new(
            "draws",
            Shape::Word(&["constant power", "constant current"]),
            "Electronics and drives draw more current as the voltage falls.",
            "\"constant power\"",
        )
        .or("constant power"),
        Row::new("voltage", Shape::Quantity(Voltage), "On its label: what currents go with.", "\"24 V\"")
            .required()
            .settle("read the label")
            .within("1 V", "60 V"),
        Row::new("lowest", Shape::Quantity(Voltage), "That it works at.", "\"20 V\"")
            .settle("read the label")
            .within("0.5 V", "60 V"),
        Row::new("highest", Shape::Quantity(Voltage), "That it bears.", "\"30 V\"")
            .settle("read the label")
            .within("0.5 V", "1000 V"),
        Row::new(
            "power",
            Shape::Quantity(Power),
            "On average while it works: this or `current`.",
            "\"60 W\"",
        )
        .settle("measure it at work")
        .within("0 W", "20 kW"),
        Row::new(
            "current",
            Shape::Quantity(Current),
            "On average while it works: this or `power`.",
            "\"2.5 A\"",
        )
        .settle("measure it at work")
        .within("0 A", "1000 A"),
        Row::new("peak_power", Shape::Quantity(Power), "Greatest, for seconds.", "\"240 W\"")
            .settle("read the greatest value off a meter that keeps it, or the label")
            .within("0 W", "50 kW"),
        Row::new("peak_current", Shape::Quantity(Current), "Greatest, for seconds.", "\"10 A\"")
            .settle("read the greatest value off a meter that keeps it, or the label")
            .within("0 A", "2000 A"),
        Row::new("start_power", Shape::Quantity(Power), "As it starts.", "\"480 W\"")
            .settle("measure it with a clamp meter that keeps the inrush")
            .within("0 W", "50 kW"),
        Row::new("start_current", Shape::Quantity(Current), "As it starts.", "\"20 A\"")
            .settle("measure it with a clamp meter that keeps the inrush")
            .within("0 A", "2000 A"),
        Row::new("start_time", Shape::Quantity(Time), "How long that lasts.", "\"200 ms\"")
            .settle("read it off a meter that records, or the maker's sheet")
            .within("0 s", "60 s"),
        Row::new("starts_alone", Shape::Flag, "It is never switched on together with others.", "true")
            .or("false"),
        Row::new(
            "moves",
            Shape::Flag,
            "It moves the arm or the head: switched on last, people clear.",
            "true",
        )
        .or("false"),
        Row::new("duty", Shape::Quantity(Number), "Share of the day that it draws its average.", "\"40 %\"")
            .or("100 %")
            .within("0 %", "100 %"),
        Row::new(
            "blocks",
            Shape::List(&Shape::Table(&BLOCK)),
            "The day in parts; nothing is drawn outside them.",
            "[{ from = \"0 h\", to = \"4 h\", duty = \"50 %\" }]",
        ),
        Row::new(
            "measured",
            Shape::Table(&MEASURED),
            "What a voltmeter shows with everything running.",
            "{ source = \"26.1 V\", here = \"25.6 V\" }",
        ),
    ]],
};

pub(crate) static FUSE: Table = Table {
    name: "fuse",
    doc: "The fuse or breaker at the beginning of a cable.",
    groups: &[&[
        Row::new("rating", Shape::Measure(Current), "On it.", "\"30 A\"")
            .required()
            .within("0.1 A", "1000 A"),
        Row::new(
            "kind",
            Shape::Word(&["blade", "bolt-down", "time-lag", "breaker"]),
            "How it looks, and so how it melts.",
            "\"blade\"",
        )
        .required(),
        Row::new("voltage", Shape::Measure(Voltage), "On it: the most that it can part.", "\"32 V\"")
            .within("1 V", "2000 V"),
        Row::new(
            "interrupts",
            Shape::Measure(Current),
            "Greatest short circuit that it can part.",
            "\"1 kA\"",
        )
        .within("1 A", "500 kA"),
    ]],
};

pub(crate) static CABLE: Table = Table {
    name: "cable",
    doc: "Two conductors, out and back. Without `to` it ends in a box, where other cables begin by `from` with its tag.",
    groups: &[&[
        Row::new("from", Shape::Tag(&["battery", "supply", "cable", "consumer"]), "Where it begins: a battery, a supply, another cable's end, a consumer that passes it on.", "\"main\"").required(),
        Row::new("to", Shape::Tag(&["supply", "consumer"]), "Where it ends; a box when left out.", "\"drives\""),
        Row::new("length", Shape::Quantity(Length), "One way.", "\"4 m\"").required().settle("tape it").within("1 mm", "300 m"),
        Row::new("size", Shape::Measure(Conductor), "Of one conductor: this or `resistance`.", "\"6 mm2\"").within("0.05 mm2", "400 mm2"),
        Row::new("strands", Shape::Word(&["fine", "coarse", "solid"]), "Many thin wires, a few thick ones, one.", "\"fine\"").or("fine"),
        Row::new("resistance", Shape::Quantity(LineResistance), "Of one conductor at 20 °C, from its sheet.", "\"3.3 ohm/km\"").settle("read the maker's sheet").within("0.001 ohm/km", "1000 ohm/km"),
        Row::new("temperature", Shape::Quantity(Temperature), "Of the conductor at work.", "\"50 C\"").assume("50 C", "20 C", "70 C").settle("lay a thermometer on it after an hour at work, or state 70 C to be on the safe side").within("-50 C", "150 C"),
        Row::new("insulation", Shape::Measure(Temperature), "What its insulation bears.", "\"70 C\"").or("70 C").within("40 C", "250 C"),
        Row::new("carries", Shape::Quantity(Current), "For good, from its sheet; by the table of its size when left out.", "\"44 A\"").settle("read the maker's sheet").within("0.1 A", "1000 A"),
        Row::new("together", Shape::Count(1, 100), "Loaded cables that lie bundled with it, itself counted.", "3").or("1"),
        Row::new("fuse", Shape::Table(&FUSE), "At its beginning.", "{ rating = \"30 A\", kind = \"blade\", voltage = \"32 V\", interrupts = \"1 kA\" }"),
        Row::new("connectors", Shape::Count(0, 20), "Plugs and terminals along it, both ends counted.", "2").or("2"),
        Row::new("connector_rating", Shape::Quantity(Current), "Of the weakest of them.", "\"40 A\"").settle("read the plug or its sheet").within("0.1 A", "1000 A"),
        Row::new("contact", Shape::Quantity(Resistance), "Of each pole of each.", "\"0.5 mohm\"")
            .assume("0.5 mohm", "0.1 mohm", "5 mohm")
            .settle("measure the voltage at the consumer and at the source with everything running, and state both as its `measured`")
            .within("0 ohm", "1 ohm"),
    ]],
};
