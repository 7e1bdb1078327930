//! Texts that must be read, and the value each means.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test stops at its first fault")]

use quantity::{
    Acceleration, Angle, AngularSpeed, Density, Force, Frequency, Kind, Length, LineMass, Mass, Moment,
    Number, Pressure, Quantity, Resistance, RotationalStiffness, Roughness, Speed, Stiffness, Temperature,
    Time, parse, parse_kind,
};

/// Each value is a few roundings of a double away from the exact one.
const TOL: f64 = 1e-14;

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= TOL * b.abs().max(1e-3)
}

fn reads<Q: Quantity>(text: &str, want: f64) {
    match parse::<Q>(text) {
        Ok(q) => assert!(close(q.si(), want), "{text}: {} instead of {want}", q.si()),
        Err(fault) => panic!("{text}: {fault}"),
    }
}

const IN: f64 = 0.0254;

#[test]
fn lengths_as_crews_write_them() {
    for text in [
        "13-5/8 in",
        "13 5/8 in",
        "13 5/8\"",
        "13-5/8\"",
        "13.625 in",
        "13⅝ in",
        "13 ⅝″",
        "13-⅝ inches",
        "13–5/8 IN",
        "13\u{a0}5/8\u{a0}in",
        "  13-5/8 in  ",
        "13-5/8in.",
        "+13-5/8 in",
        "109/8 in",
        "1 ft 1-5/8 in",
        "1'1-5/8\"",
        "1'-1 5/8\"",
        "13 5⁄8 in",
        "13.625 Inches",
    ] {
        reads::<Length>(text, 13.625 * IN);
    }
    for text in [
        "5' 6\"",
        "5'6\"",
        "5 ft 6 in",
        "5ft 6in",
        "5ft6in",
        "5′ 6″",
        "5’ 6”",
        "5' 6''",
        "5'-6\"",
        "66 in",
        "5.5 ft",
        "5½ ft",
    ] {
        reads::<Length>(text, 66.0 * IN);
    }
    for text in ["5' 6-1/2\"", "5' 6 1/2\"", "5 ft 6-1/2 in", "5'-6 1/2\"", "5' 6½\""] {
        reads::<Length>(text, 66.5 * IN);
    }
    for text in ["-3 in", "−3 in", "- 3 in", "–3 in", "-3\"", "-3.0 in", "-3,0 in"] {
        reads::<Length>(text, -3.0 * IN);
    }
    reads::<Length>("-13-5/8 in", -13.625 * IN);
    reads::<Length>("-5' 6\"", -66.0 * IN);
    reads::<Length>("5/8 in", 0.625 * IN);
    reads::<Length>("1,5 cm", 0.015);
    reads::<Length>("0.5 µm", 0.5e-6);
    reads::<Length>("3 km", 3000.0);
    reads::<Length>("5ft2in", 62.0 * IN);
    reads::<Length>("0 mm", 0.0);
}

#[test]
fn a_millimetre_count_is_the_nearest_double() {
    assert!((Length::mm(346.0).si() - 0.346).abs() < f64::EPSILON * 0.1);
    assert_eq!(parse::<Length>("60.3 mm"), Ok(Length::mm(60.3)));
    assert!((Length::mm(60.3).to_mm() - 60.3).abs() < 1e-14);
}

#[test]
fn a_comma_is_decimal_only_where_it_cannot_part_thousands() {
    reads::<Length>("1,5 cm", 0.015);
    reads::<Length>("0,500 m", 0.5);
    reads::<Length>("1500,125 mm", 1.500_125);
    reads::<Length>(",5 m", 0.5);
    reads::<Length>(".5 m", 0.5);
    reads::<Length>("1,2345 m", 1.2345);
    reads::<Length>("1,500.5 mm", 1.5005);
    reads::<Length>("1,234,567 mm", 1234.567);
    reads::<Length>("1.500 m", 1.5);
    for doubtful in [
        "1,500 mm",
        "12,000 mm",
        "123,456 mm",
        "1.500,5 mm",
        "1.234.567 mm",
        "1,23,4 mm",
        "1,5,5 mm",
        "5, mm",
    ] {
        assert!(parse::<Length>(doubtful).is_err(), "{doubtful}");
    }
}

#[test]
fn masses_and_forces() {
    for text in ["62 lb", "62 lbs", "62 LB", "62 pounds", "62lb", "62 lbm"] {
        reads::<Mass>(text, 62.0 * 0.453_592_37);
    }
    reads::<Mass>("500 g", 0.5);
    reads::<Mass>("28,1 kg", 28.1);
    reads::<Mass>("1.8 t", 1800.0);
    reads::<Mass>("5 lb 3 oz", 83.0 * 0.453_592_37 / 16.0);
    reads::<Force>("100 lbf", 444.822_161_526_05);
    reads::<Force>("2.5 kN", 2500.0);
    reads::<Force>("500 daN", 5000.0);
    reads::<Force>("10 kgf", 98.0665);
    reads::<LineMass>("3.56 kg/m", 3.56);
    reads::<Density>("2,7 g/cm³", 2700.0);
    reads::<Density>("7850 kg/m^3", 7850.0);
}

#[test]
fn moments_in_every_join() {
    let ft_lbf = 1.355_817_948_331_400_4;
    for text in [
        "35 ft·lb",
        "35 ft-lb",
        "35 ft*lb",
        "35 ft lb",
        "35 ft⋅lbf",
        "35 ft × lb",
        "35 lb-ft",
        "35 FT-LBS",
        "35 ft.lb",
        "35 foot-pounds",
        "35 ft.-lb.",
        "35 ft. lb.",
    ] {
        reads::<Moment>(text, 35.0 * ft_lbf);
    }
    for text in ["12 N·m", "12 Nm", "12 N*m", "12 N m", "12 N-m", "12 N.m", "12 N · m", "12N⋅m"] {
        reads::<Moment>(text, 12.0);
    }
    reads::<RotationalStiffness>("1500 N·m/rad", 1500.0);
    reads::<RotationalStiffness>("26 Nm / deg", 26.0 * 180.0 / core::f64::consts::PI);
    reads::<RotationalStiffness>("26 N m/°", 26.0 * 180.0 / core::f64::consts::PI);
    assert!(parse::<Moment>("12 nm").is_err());
    assert!(parse::<Moment>("12 NM").is_err());
}

#[test]
fn pressures() {
    reads::<Pressure>("80 kPa", 8e4);
    reads::<Pressure>("235 MPa", 2.35e8);
    reads::<Pressure>("235 N/mm2", 2.35e8);
    reads::<Pressure>("235 N/mm²", 2.35e8);
    reads::<Pressure>("0,8 bar", 8e4);
    reads::<Pressure>("800 mbar", 8e4);
    for text in ["25 inHg", "25 in Hg", "25 inhg", "25\" Hg", "25\"Hg", "25 in. Hg", "25 in-Hg"] {
        reads::<Pressure>(text, 25.0 * 25.4 * 133.322_387_415);
    }
    reads::<Pressure>("600 mmHg", 600.0 * 133.322_387_415);
    reads::<Pressure>("10 inH2O", 10.0 * 25.4 * 9.806_65);
    reads::<Pressure>("36 ksi", 36_000.0 * 4.448_221_615_260_5 / (0.0254 * 0.0254));
    assert!(parse::<Pressure>("235 mPa").is_err());
}

#[test]
fn motion() {
    for text in [
        "0.5 g",
        "0,5 G",
        "4.903325 m/s2",
        "4.903325 m/s^2",
        "4.903325 m/s²",
        "4.903325 m s⁻²",
        "4.903325 m/s/s",
    ] {
        reads::<Acceleration>(text, 4.903_325);
    }
    reads::<Acceleration>("32.2 ft/s2", 32.2 * 0.3048);
    for text in ["90 km/h", "90 kph", "25 m/s", "90 KM/H"] {
        reads::<Speed>(text, 25.0);
    }
    reads::<Speed>("30 mph", 13.4112);
    reads::<Speed>("30 miles per hour", 13.4112);
    reads::<Speed>("18 kn", 9.26);
    reads::<AngularSpeed>("30 rpm", core::f64::consts::PI);
    reads::<AngularSpeed>("180 deg/s", core::f64::consts::PI);
    reads::<AngularSpeed>("180 °/s", core::f64::consts::PI);
    reads::<Time>("1 h 30 min", 5400.0);
    reads::<Time>("2 min 5.5 s", 125.5);
    reads::<Frequency>("3.5 Hz", 3.5);
    reads::<Stiffness>("140 lbf/in", 140.0 * 4.448_221_615_260_5 / 0.0254);
    reads::<Stiffness>("25 N/mm", 25_000.0);
    reads::<Stiffness>("4 kN/m", 4000.0);
    assert!(close(parse_kind("550 N/(m/s)", Kind::Damping).unwrap(), 550.0));
    assert!(close(parse_kind("550 N·s/m", Kind::Damping).unwrap(), 550.0));
}

#[test]
fn angles_and_grades() {
    for text in ["12.5 deg", "12.5°", "12.5 °", "12° 30'", "12°30'", "12.5 degrees"] {
        reads::<Angle>(text, 12.5_f64.to_radians());
    }
    for doubtful in ["24\"", "12'", "12' 30\""] {
        assert!(parse::<Angle>(doubtful).is_err(), "{doubtful}");
    }
    reads::<Angle>("-0.1 rad", -0.1);
    reads::<Angle>("4 %", 0.04_f64.atan());
    reads::<Angle>("-100 %", -core::f64::consts::FRAC_PI_4);
}

#[test]
fn temperatures_are_absolute() {
    for text in
        ["12 C", "12 °C", "12°C", "12 ° C", "12 deg C", "12 ℃", "285.15 K", "53.6 F", "53.6 °F", "53.6℉"]
    {
        reads::<Temperature>(text, 285.15);
    }
    reads::<Temperature>("-40 C", 233.15);
    reads::<Temperature>("-40 F", 233.15);
    reads::<Temperature>("0 K", 0.0);
}

#[test]
fn plain_numbers_and_powers_of_ten() {
    for text in ["0.65", "65 %", "0,65", "65%", "13/20"] {
        reads::<Number>(text, 0.65);
    }
    for text in ["16e-6 m3", "16E-6 m³", "16×10^-6 m3", "16·10⁻⁶ m³", "16 x 10^-6 m3", "16 cm3", "1.6e-5 m^3"]
    {
        reads::<Roughness>(text, 16e-6);
    }
    reads::<Resistance>("0.2 Ω", 0.2);
}

/// Texts that unit readers commonly get wrong: a dash taken for a minus sign, the minus dropped, the comma taken
/// for a thousands mark, leading rubbish skipped, the second part lost.
#[test]
fn often_misread() {
    reads::<Length>("13-5/8 in", 0.346_075);
    reads::<Length>("-3 in", -0.0762);
    reads::<Length>("1,5 cm", 0.015);
    let fault = parse::<Length>("abc 3 in").unwrap_err();
    assert_eq!(fault.span, 0..3);
    reads::<Length>("5' 6-1/2\"", 1.6891);
}

#[test]
fn examples_of_every_kind_are_read() {
    for &kind in Kind::ALL {
        assert!(kind.examples().len() >= 2, "{kind:?}");
        for example in kind.examples() {
            assert!(parse_kind(example, kind).is_ok(), "{kind:?} {example}");
        }
    }
}

#[test]
fn every_spelling_of_every_unit_is_read() {
    for &kind in Kind::ALL {
        for unit in kind.units() {
            for spelling in unit.spellings() {
                // Minutes and seconds of arc need their degrees.
                if kind == Kind::Angle && matches!(spelling, "'" | "\"") {
                    continue;
                }
                for text in [
                    format!("2 {spelling}"),
                    format!("2{spelling}"),
                    format!("2 {}", spelling.replace('·', "*")),
                ] {
                    let want = unit.si(2.0);
                    match parse_kind(&text, kind) {
                        Ok(si) => assert!(close(si, want), "{kind:?} {text}: {si} instead of {want}"),
                        Err(fault) => panic!("{kind:?} {text}: {fault}"),
                    }
                }
            }
        }
    }
}

#[test]
fn no_spelling_means_two_things_within_a_kind() {
    for &kind in Kind::ALL {
        let mut seen: Vec<&str> = kind.units().iter().flat_map(quantity::Unit::spellings).collect();
        let all = seen.len();
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen.len(), all, "{kind:?}");
    }
}

#[test]
fn no_two_units_of_a_kind_differ_only_in_capitals() {
    for &kind in Kind::ALL {
        let mut seen: Vec<(String, &str)> = Vec::new();
        for unit in kind.units() {
            for spelling in unit.spellings() {
                let low = spelling.to_lowercase();
                let clash = seen.iter().find(|(s, symbol)| *s == low && *symbol != unit.symbol);
                assert!(clash.is_none(), "{kind:?}: {spelling} of {} and {clash:?}", unit.symbol);
                seen.push((low, unit.symbol));
            }
        }
    }
}

#[test]
fn a_dash_between_feet_and_inches_stands_without_blanks() {
    reads::<Length>("5'-6\"", 66.0 * IN);
    for doubtful in ["5'- 6\"", "5' -6\"", "5' - 6\"", "5'+6\"", "5'\u{2212}6\""] {
        let fault = parse::<Length>(doubtful).unwrap_err();
        assert_eq!(fault.what, "a sign in the middle", "{doubtful}");
    }
}

#[test]
fn nothing_vanishes_in_the_change_of_units() {
    assert!(parse::<Length>("5e-324 mm").is_err());
    assert!(parse::<Length>("1e-300 mm").is_ok());
    assert!(parse::<Length>("0 mm").is_ok());
}
