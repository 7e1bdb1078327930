//! Factors and conversions against published figures.
#![allow(clippy::unwrap_used, reason = "a test stops at its first fault")]

use quantity::{
    Kind, Length, Mass, Pressure, Quantity, System, Temperature, Written, both, parse_kind, show,
};

/// Relative; the source prints seven digits, so the last one may be off by half.
const SEVEN_DIGITS: f64 = 5e-7;

/// NIST SP 811 (2008), appendix B.8 and B.9 [from memory], except where the row says otherwise.
#[test]
fn nist_sp_811() {
    for (text, kind, si) in [
        ("1 in", Kind::Length, 2.54e-2),
        ("1 ft", Kind::Length, 3.048e-1),
        ("1 yd", Kind::Length, 9.144e-1),
        ("1 mi", Kind::Length, 1.609_344e3),
        ("1 in2", Kind::Area, 6.4516e-4),
        ("1 ft2", Kind::Area, 9.290_304e-2),
        ("1 in3", Kind::Volume, 1.638_706e-5),
        ("1 ft3", Kind::Volume, 2.831_685e-2),
        ("1 gal", Kind::Volume, 3.785_412e-3),
        ("1 lb", Kind::Mass, 4.535_924e-1),
        ("1 oz", Kind::Mass, 2.834_952e-2),
        ("1 lb/ft", Kind::LineMass, 1.488_164),
        ("1 lb/in", Kind::LineMass, 1.785_797e1),
        ("1 lb/ft3", Kind::Density, 1.601_846e1),
        ("1 lb/in3", Kind::Density, 2.767_990e4),
        ("1 lbf", Kind::Force, 4.448_222),
        ("1 ozf", Kind::Force, 2.780_139e-1),
        ("1 kip", Kind::Force, 4.448_222e3),
        ("1 kgf", Kind::Force, 9.806_65),
        ("1 ft·lbf", Kind::Moment, 1.355_818),
        ("1 in·lbf", Kind::Moment, 1.129_848e-1),
        ("1 psi", Kind::Pressure, 6.894_757e3),
        ("1 ksi", Kind::Pressure, 6.894_757e6),
        ("1 psf", Kind::Pressure, 4.788_026e1),
        ("1 inHg", Kind::Pressure, 3.386_389e3),
        ("1 mmHg", Kind::Pressure, 1.333_224e2),
        ("1 inH2O", Kind::Pressure, 2.490_889e2),
        ("1 mmH2O", Kind::Pressure, 9.806_65),
        ("1 kgf/cm2", Kind::Pressure, 9.806_65e4),
        ("1 bar", Kind::Pressure, 1e5),
        ("1 atm", Kind::Pressure, 1.013_25e5),
        ("1 deg", Kind::Angle, 1.745_329e-2),
        ("1 arcmin", Kind::Angle, 2.908_882e-4),
        ("1 arcsec", Kind::Angle, 4.848_137e-6),
        ("1 rpm", Kind::AngularSpeed, 1.047_198e-1),
        ("1 mph", Kind::Speed, 4.4704e-1),
        ("1 km/h", Kind::Speed, 2.777_778e-1),
        ("1 kn", Kind::Speed, 5.144_444e-1),
        ("1 ft/s2", Kind::Acceleration, 3.048e-1),
        ("1 g", Kind::Acceleration, 9.806_65),
        ("1 lbf/ft", Kind::Stiffness, 1.459_390e1),
        ("1 lbf/in", Kind::Stiffness, 1.751_268e2),
        ("1 lb·ft2", Kind::Inertia, 4.214_011e-2),
        ("1 lb·in2", Kind::Inertia, 2.926_397e-4),
        ("1 hp", Kind::Power, 7.456_999e2),
        ("1 Wh", Kind::Energy, 3.6e3),
        ("1 Ah", Kind::Charge, 3.6e3),
        // A circular mil is pi/4 of a square mil.
        ("1 kcmil", Kind::Conductor, 5.067_075e-7),
        ("1 ohm/kft", Kind::LineResistance, 3.280_840e-3),
    ] {
        let got = parse_kind(text, kind).unwrap();
        assert!((got - si).abs() <= SEVEN_DIGITS * si, "{text}: {got} instead of {si}");
    }
}

/// The definition, multiplied out: 0.453 592 37 kg x 9.806 65 m/s2 = 4.448 221 615 260 5 N, exact (NIST SP 811, B.8 footnote).
#[test]
fn a_pound_force_is_a_pound_under_standard_gravity() {
    let lbf = parse_kind("1 lbf", Kind::Force).unwrap();
    assert!((lbf - 0.453_592_37 * 9.806_65).abs() < 1e-15);
}

/// Fixed points: water freezes at 32 °F = 0 °C = 273.15 K and boils at 212 °F = 100 °C (SP 811, B.8).
#[test]
fn temperature_fixed_points() {
    for (text, k) in
        [("32 F", 273.15), ("0 C", 273.15), ("212 F", 373.15), ("-459.67 F", 0.0), ("-273.15 C", 0.0)]
    {
        let got = parse_kind(text, Kind::Temperature).unwrap();
        assert!((got - k).abs() < 1e-12 * 373.0, "{text}: {got}");
    }
    assert!((Temperature::f(54.0).to_c() - 110.0 / 9.0).abs() < 1e-12);
}

/// Gauge conversions of the vacuum tables: 25 inHg = 84.66 kPa, 80 kPa = 23.62 inHg, 29.92126 inHg = 1 atm; and
/// 13-5/8 in = 346.075 mm by the exact inch.
#[test]
fn everyday_conversions() {
    assert!((Pressure::inhg(25.0).to_kpa() - 84.66).abs() < 0.005);
    assert!((Pressure::kpa(80.0).to_inhg() - 23.62).abs() < 0.005);
    assert!((Pressure::atm(1.0).to_inhg() - 29.921_26).abs() < 5e-6);
    let wide = Written::<Length>::read("13-5/8 in").unwrap();
    assert!((wide.value.to_mm() - 346.075).abs() < 1e-10);
}

#[test]
fn constructors_agree_with_the_reader() {
    assert!((Mass::lb(62.0).si() - parse_kind("62 lb", Kind::Mass).unwrap()).abs() < 1e-14);
    assert!((Temperature::c(12.0).si() - 285.15).abs() < 1e-12);
    assert!((quantity::Angle::deg(180.0).to_rad() - core::f64::consts::PI).abs() < 1e-15);
    assert!((quantity::Force::kn(2.0).to_n() - 2000.0).abs() < 1e-12);
    assert!((quantity::Acceleration::g(0.5).to_m_s2() - 4.903_325).abs() < 1e-15);
}

#[test]
fn shown_for_people() {
    for (q, metric, us) in [
        (Length::inch(13.625), "346 mm", "13-5/8 in"),
        (Length::mm(48.3), "48.3 mm", "1-7/8 in"),
        (Length::mm(3.2), "3.2 mm", "0.126 in"),
        (Length::mm(-346.0), "-346 mm", "-13-5/8 in"),
        (Length::mm(0.0), "0 mm", "0 in"),
        (Length::inch(95.99), "2438 mm", "8 ft"),
        (Length::inch(98.5), "2502 mm", "8 ft 2-1/2 in"),
        (Length::m(12.3456), "12.346 m", "40 ft 6-1/16 in"),
        (Length::m(50.0), "50 m", "164 ft"),
        (Length::m(1500.0), "1.5 km", "4920 ft"),
        (Length::inch(0.75), "19.1 mm", "3/4 in"),
    ] {
        assert_eq!(show(q, System::Metric), metric, "{q:?}");
        assert_eq!(show(q, System::Us), us, "{q:?}");
    }
    assert_eq!(both(Length::inch(13.625)), "346 mm (13-5/8 in)");
    assert_eq!(both(Pressure::kpa(80.0)), "80 kPa (23.6 inHg)");
    assert_eq!(both(Pressure::mpa(235.0)), "235 MPa (34.1 ksi)");
    assert_eq!(both(Temperature::c(12.0)), "12 °C (53.6 °F)");
    assert_eq!(both(quantity::Angle::deg(12.0)), "12 deg");
    assert_eq!(both(quantity::Roughness::m3(16e-6)), "16e-6 m3");
    assert_eq!(both(quantity::Number::ratio(0.65)), "0.65");
    assert_eq!(both(Length::mm(f64::NAN)), "no value");
}

#[test]
fn echoes_keep_the_own_words() {
    fn echo<Q: Quantity>(text: &str) -> String {
        Written::<Q>::read(text).unwrap().echo()
    }
    assert_eq!(echo::<Length>("13-5/8 in"), "13-5/8 in (346 mm)");
    assert_eq!(echo::<Length>(" 5' 6-1/2\" "), "5' 6-1/2\" (1689 mm)");
    assert_eq!(echo::<Length>("346 mm"), "346 mm (13-5/8 in)");
    assert_eq!(echo::<Pressure>("24 inHg"), "24 inHg (81.3 kPa)");
    assert_eq!(echo::<Mass>("62 lb"), "62 lb (28.1 kg)");
    assert_eq!(echo::<quantity::Acceleration>("0.5 g"), "0.5 g (4.9 m/s2)");
    assert_eq!(echo::<quantity::AngularSpeed>("12 rpm"), "12 rpm (72 deg/s)");
    assert_eq!(echo::<quantity::Angle>("12°"), "12°");
    assert_eq!(echo::<quantity::Angle>("4 %"), "4 % (2.29 deg)");
    assert_eq!(echo::<quantity::Number>("65 %"), "65 %");
    assert_eq!(echo::<quantity::Voltage>("24 V"), "24 V");
}

/// Going into a unit and back gives the same value, for slopes and offsets too.
#[test]
fn every_unit_turns_both_ways() {
    for &kind in Kind::ALL {
        for unit in kind.units() {
            for value in [0.0, 0.3, 1.0, 47.0, -12.5] {
                let back = unit.value(unit.si(value));
                // A few roundings; near 0 the offset of a temperature (460) sets the size of the last digit.
                assert!((back - value).abs() < 1e-12, "{kind:?} {}: {value} -> {back}", unit.symbol);
            }
        }
    }
}
