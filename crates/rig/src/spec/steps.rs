//! A file of the person's own steps: what their house does besides, and in which order.

use super::{Row, Shape, Table};
use quantity::Kind::Time;

/// Parts of the work, as written.
pub(crate) const STAGES: &[&str] =
    &["car", "cups", "grid", "platform", "second line", "arm", "payload", "power", "before driving"];

static STEP: Table = Table {
    name: "step",
    doc: "A step of your own in the order of work, by the name that it will have.",
    groups: &[&[
        Row::new("does", Shape::Text, "What is done.", "\"Tape over the door seams\"").required(),
        Row::new("why", Shape::Text, "Why, and why here.", "\"rain runs in under the strap\""),
        Row::new(
            "stage",
            Shape::Word(STAGES),
            "The part of the work that it is listed under.",
            "\"second line\"",
        )
        .or("before driving"),
        Row::new(
            "after",
            Shape::List(&Shape::Text),
            "Steps that come before it; * stands for anything.",
            "[\"strap *: fit\"]",
        ),
        Row::new("before", Shape::List(&Shape::Text), "Steps that wait for it.", "[\"second line: prove\"]"),
        Row::new("people", Shape::Count(1, 50), "How many people it takes; left out, one.", "2"),
        Row::new("time", Shape::Measure(Time), "How long it takes; left out, two minutes.", "\"5 min\"")
            .within("0 s", "24 h"),
        Row::new("tools", Shape::List(&Shape::Text), "What they need in their hands.", "[\"tape\"]"),
        Row::new("record", Shape::List(&Shape::Text), "What must be written down.", "[\"who taped it\"]"),
        Row::new("signed_by", Shape::Text, "Who signs before anybody goes on.", "\"safety officer\""),
    ]],
};

static RULE: Table = Table {
    name: "rule",
    doc: "An order that your house asks for, between steps that are there anyway.",
    groups: &[&[
        Row::new(
            "first",
            Shape::Text,
            "The step that comes first; * stands for anything.",
            "\"cup *: gauge\"",
        )
        .required(),
        Row::new("then", Shape::Text, "The step that waits for it.", "\"tube *: lay\"").required(),
        Row::new("why", Shape::Text, "Why.", "\"nobody leans over cups that were not read\""),
    ]],
};

static LEAVE_OUT: Table = Table {
    name: "leave_out",
    doc: "A step that is not done on this job, by its name, and why. What keeps people safe cannot be left out.",
    groups: &[&[Row::new(
        "why",
        Shape::Text,
        "Why it is not done.",
        "\"washed and dried at the unit base\"",
    )
    .required()]],
};

/// A steps file.
pub(crate) static STEPS: Table = Table {
    name: "steps file",
    doc: "Your own steps and rules for the order of work.",
    groups: &[&[
        super::root::VERSION_ROW,
        Row::new("step", Shape::Tagged(&STEP), STEP.doc, "[step.\"tape the seams\"]"),
        Row::new("rule", Shape::Tagged(&RULE), RULE.doc, "[rule.gauges]"),
        Row::new("leave_out", Shape::Tagged(&LEAVE_OUT), LEAVE_OUT.doc, "[leave_out.\"panel roof: clean\"]"),
    ]],
};
