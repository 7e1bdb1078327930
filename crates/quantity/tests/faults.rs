//! Every message with its place in the text.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at its first fault")]

use core::fmt::Write as _;

use quantity::{Kind, parse_kind};

fn render(cases: &[(&str, Kind)]) -> String {
    let mut out = String::new();
    for (text, kind) in cases {
        let fault = match parse_kind(text, *kind) {
            Ok(si) => panic!("`{text}` was read as {} {si}", kind.name()),
            Err(fault) => fault,
        };
        let lead = text[..fault.span.start].chars().count();
        let width = text[fault.span.clone()].chars().count().max(1);
        let line = text.replace(|c: char| c.is_whitespace(), " ");
        let (blank, caret) = (" ".repeat(lead), "^".repeat(width));
        writeln!(out, "{}: {}", kind.name(), fault.what).unwrap();
        writeln!(out, "    | {line}").unwrap();
        writeln!(out, "    | {blank}{caret}").unwrap();
        writeln!(out, "    = why:  {}", fault.why).unwrap();
        writeln!(out, "    = mend: {}\n", fault.mend).unwrap();
    }
    out
}

fn check(name: &str, cases: &[(&str, Kind)]) {
    insta::with_settings!({ omit_expression => true }, { insta::assert_snapshot!(name, render(cases)) });
}

#[test]
fn missing() {
    check(
        "missing",
        &[
            ("", Kind::Length),
            ("   ", Kind::Mass),
            ("13", Kind::Length),
            ("13-5/8", Kind::Length),
            ("5' 6", Kind::Length),
            ("0.5", Kind::Angle),
            ("in", Kind::Length),
            ("-", Kind::Length),
            ("nan", Kind::Number),
            ("inf mm", Kind::Length),
            ("-Infinity kg", Kind::Mass),
            ("abc 3 in", Kind::Length),
        ],
    );
}

#[test]
fn wrong_kind() {
    check(
        "wrong_kind",
        &[
            ("62 lb", Kind::Length),
            ("62 lb", Kind::Force),
            ("28 kg", Kind::Force),
            ("100 lbf", Kind::Mass),
            ("450 N", Kind::Mass),
            ("140 lb/in", Kind::Stiffness),
            ("12 kn", Kind::Force),
            ("12 N m", Kind::Length),
            ("0.65 mm", Kind::Number),
            ("4 m", Kind::Time),
            ("12°", Kind::Temperature),
            ("24\"", Kind::Angle),
            ("-300 C", Kind::Temperature),
        ],
    );
}

#[test]
fn unknown_or_doubtful_unit() {
    check(
        "unknown_or_doubtful_unit",
        &[
            ("3 inchs", Kind::Length),
            ("80 kPpa", Kind::Pressure),
            ("24 ihng", Kind::Pressure),
            ("3 zorkmids", Kind::Length),
            ("3 ?", Kind::Length),
            ("12 kg·m", Kind::Moment),
            ("3 kg/cm2", Kind::Pressure),
            ("235 mPa", Kind::Pressure),
            ("12 nm", Kind::Moment),
            ("12 Mm", Kind::Length),
        ],
    );
}

#[test]
fn doubtful_number() {
    check(
        "doubtful_number",
        &[
            ("1,500 mm", Kind::Length),
            ("1.500,5 mm", Kind::Length),
            ("1.234.567 mm", Kind::Length),
            ("5, mm", Kind::Length),
            ("1.5.2 mm", Kind::Length),
            ("1.50,5 mm", Kind::Length),
            ("13 -5/8 in", Kind::Length),
            ("13 - 5/8 in", Kind::Length),
            ("13−5/8 in", Kind::Length),
            ("13-9/8 in", Kind::Length),
            ("1.5-5/8 in", Kind::Length),
            ("1.5/2 in", Kind::Length),
            ("5/0 in", Kind::Length),
            ("13-5/0 in", Kind::Length),
            ("--3 in", Kind::Length),
            ("1e999 mm", Kind::Length),
            ("1e-999 mm", Kind::Length),
            ("1.7e308 km", Kind::Length),
        ],
    );
}

#[test]
fn more_than_one_amount() {
    check(
        "more_than_one_amount",
        &[
            ("3 4 in", Kind::Length),
            ("1 500 mm", Kind::Length),
            ("3-5 in", Kind::Length),
            ("48.3 x 3.2 mm", Kind::Length),
            ("3 in 4 in", Kind::Length),
            ("5 m 3 ft", Kind::Length),
            ("5.5 ft 3 in", Kind::Length),
            ("5' 14\"", Kind::Length),
            ("5' -6\"", Kind::Length),
            ("3 in abc", Kind::Length),
            ("3 in, 4 in", Kind::Length),
            ("13-5/8 in (346 mm)", Kind::Length),
            ("½ µm €", Kind::Length),
            ("5/8/2 in", Kind::Length),
        ],
    );
}
