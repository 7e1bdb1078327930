//! Writes a quantity for people.
//!
//! Rounding: three significant digits, trailing zeros left out, except
//!
//! | what                      | shown as                                             |
//! |---------------------------|------------------------------------------------------|
//! | metric length below 1 mm  | mm, three significant digits                         |
//! | up to 100 mm              | mm, to 0.1 mm (tube sizes: 48.3 mm)                  |
//! | up to 10 m                | mm, to 1 mm                                          |
//! | up to 100 m, 1 km         | m, to 1 mm; m, to 0.1 m; then km                     |
//! | US length below 1/2 in    | in, three significant digits (walls: 0.126 in)       |
//! | up to 8 ft                | in, nearest 1/16 as a mixed fraction                 |
//! | up to 100 ft              | ft and in, nearest 1/16                              |
//! | beyond                    | ft, then mi                                          |
//! | temperature               | to 0.1 degree                                        |

use crate::{Kind, Quantity, System, Unit};

/// The value in the system asked for: `346 mm`, `13-5/8 in`, `81.3 kPa`.
pub fn show<Q: Quantity>(q: Q, system: System) -> String {
    show_kind(q.si(), Q::KIND, system)
}

/// As [`show`], from a value in SI units.
pub fn show_kind(si: f64, kind: Kind, system: System) -> String {
    show_with_unit(si, kind, system).0
}

/// Metric with US units in brackets: `346 mm (13-5/8 in)`; once only where both are the same.
pub fn both<Q: Quantity>(q: Q) -> String {
    both_kind(q.si(), Q::KIND)
}

/// As [`both`], from a value in SI units.
pub fn both_kind(si: f64, kind: Kind) -> String {
    let (metric, us) = (show_kind(si, kind, System::Metric), show_kind(si, kind, System::Us));
    if metric == us { metric } else { format!("{metric} ({us})") }
}

/// The text and the symbol of the (first) unit in it.
pub(crate) fn show_with_unit(si: f64, kind: Kind, system: System) -> (String, &'static str) {
    if !si.is_finite() {
        return ("no value".to_owned(), "");
    }
    match (kind, system) {
        (Kind::Length, System::Metric) => metric_length(si),
        (Kind::Length, System::Us) => us_length(si),
        (Kind::Roughness, _) => roughness(si),
        (Kind::Conductor, System::Us) if crate::gauge::show(si).is_some() => {
            (crate::gauge::show(si).unwrap_or_default(), "AWG")
        }
        (Kind::Temperature, _) => {
            let symbol = if system == System::Metric { "°C" } else { "°F" };
            (format!("{} {symbol}", fixed(amount(si, kind, symbol), 1)), symbol)
        }
        _ => {
            let symbol = choose(si, kind, system);
            let value = significant(amount(si, kind, symbol));
            if symbol.is_empty() { (value, symbol) } else { (format!("{value} {symbol}"), symbol) }
        }
    }
}

/// Units by size: each is used below its limit (SI), the last one from there on.
fn ladder(kind: Kind, system: System) -> &'static [(f64, &'static str)] {
    const TOP: f64 = f64::INFINITY;
    match (kind, system) {
        (Kind::Length, System::Metric) => &[(TOP, "mm")],
        (Kind::Length, System::Us) => &[(TOP, "in")],
        (Kind::Area, System::Metric) => &[(0.01, "mm2"), (TOP, "m2")],
        (Kind::Area, System::Us) => &[(0.0929, "in2"), (TOP, "ft2")],
        (Kind::Volume, System::Metric) => &[(1e-4, "mm3"), (1e-3, "cm3"), (1.0, "L"), (TOP, "m3")],
        (Kind::Volume, System::Us) => &[(0.0283, "in3"), (TOP, "ft3")],
        (Kind::Mass, System::Metric) => &[(1.0, "g"), (TOP, "kg")],
        (Kind::Mass, System::Us) => &[(0.4535, "oz"), (TOP, "lb")],
        (Kind::LineMass, System::Metric) => &[(0.1, "g/m"), (TOP, "kg/m")],
        (Kind::LineMass, System::Us) => &[(TOP, "lb/ft")],
        (Kind::Density, System::Metric) => &[(TOP, "kg/m3")],
        (Kind::Density, System::Us) => &[(TOP, "lb/ft3")],
        (Kind::Force, System::Metric) => &[(999.5, "N"), (TOP, "kN")],
        (Kind::Force, System::Us) => &[(TOP, "lbf")],
        (Kind::Moment, System::Metric) => &[(999.5, "N·m"), (TOP, "kN·m")],
        (Kind::Moment, System::Us) => &[(1.355, "in·lbf"), (TOP, "ft·lbf")],
        (Kind::Pressure, System::Metric) => {
            &[(999.5, "Pa"), (999.5e3, "kPa"), (9.995e9, "MPa"), (TOP, "GPa")]
        }
        // Wind pressures in psf, vacuum in inHg, hoses in psi, stress in ksi.
        (Kind::Pressure, System::Us) => &[(2e3, "psf"), (110e3, "inHg"), (6.8912e6, "psi"), (TOP, "ksi")],
        (Kind::Angle, _) => &[(TOP, "deg")],
        (Kind::AngularSpeed, _) => &[(TOP, "deg/s")],
        (Kind::AngularAcceleration, _) => &[(TOP, "deg/s2")],
        (Kind::Speed, System::Metric) => &[(1.0, "m/s"), (TOP, "km/h")],
        (Kind::Speed, System::Us) => &[(1.0, "ft/s"), (TOP, "mph")],
        (Kind::Acceleration, System::Metric) => &[(TOP, "m/s2")],
        (Kind::Acceleration, System::Us) => &[(TOP, "ft/s2")],
        (Kind::Time, _) => &[(0.9995, "ms"), (119.5, "s"), (7170.0, "min"), (TOP, "h")],
        (Kind::Temperature, System::Metric) => &[(TOP, "°C")],
        (Kind::Temperature, System::Us) => &[(TOP, "°F")],
        (Kind::Stiffness, System::Metric) => &[(999.5, "N/m"), (999.5e3, "N/mm"), (TOP, "kN/mm")],
        (Kind::Stiffness, System::Us) => &[(TOP, "lbf/in")],
        (Kind::RotationalStiffness, System::Metric) => &[(999.5e1, "N·m/rad"), (TOP, "kN·m/rad")],
        (Kind::RotationalStiffness, System::Us) => &[(TOP, "ft·lbf/deg")],
        (Kind::Damping, System::Metric) => &[(TOP, "N·s/m")],
        (Kind::Damping, System::Us) => &[(TOP, "lbf·s/in")],
        (Kind::Inertia, System::Metric) => &[(0.01, "kg·cm2"), (TOP, "kg·m2")],
        (Kind::Inertia, System::Us) => &[(0.042, "lb·in2"), (TOP, "lb·ft2")],
        (Kind::Frequency, _) => &[(999.5, "Hz"), (TOP, "kHz")],
        (Kind::Number, _) => &[(TOP, "")],
        (Kind::Roughness, _) => &[(TOP, "m3")],
        (Kind::Voltage, _) => &[(0.9995, "mV"), (999.5, "V"), (TOP, "kV")],
        (Kind::Current, _) => &[(0.9995, "mA"), (999.5, "A"), (TOP, "kA")],
        (Kind::Resistance, _) => &[(0.9995, "mohm"), (999.5, "ohm"), (TOP, "kohm")],
        (Kind::Power, System::Metric) => &[(999.5, "W"), (TOP, "kW")],
        (Kind::Power, System::Us) => &[(745.0, "W"), (TOP, "hp")],
        (Kind::Energy, _) => &[(999.5, "J"), (3.6e3, "kJ"), (TOP, "Wh")],
        (Kind::Charge, _) => &[(3.6e3, "mAh"), (TOP, "Ah")],
        (Kind::Conductor, System::Metric) => &[(TOP, "mm2")],
        (Kind::Conductor, System::Us) => &[(TOP, "kcmil")],
        (Kind::LineResistance, System::Metric) => &[(TOP, "ohm/km")],
        (Kind::LineResistance, System::Us) => &[(TOP, "ohm/kft")],
    }
}

/// Zero is shown in the everyday unit of the ladder's upper end rather than in its smallest one.
fn choose(si: f64, kind: Kind, system: System) -> &'static str {
    let ladder = ladder(kind, system);
    let step = if si == 0.0 { None } else { ladder.iter().find(|(limit, _)| si.abs() < *limit) };
    let everyday = || kind.units().iter().find(|u| u.system.is_none_or(|s| s == system)).map(|u| u.symbol);
    step.map(|(_, symbol)| *symbol).or_else(everyday).unwrap_or_default()
}

fn amount(si: f64, kind: Kind, symbol: &str) -> f64 {
    kind.units().iter().find(|u| u.symbol == symbol).map_or(si, |u: &Unit| u.value(si))
}

fn metric_length(si: f64) -> (String, &'static str) {
    let (size, mm) = (si.abs(), amount(si, Kind::Length, "mm"));
    if size < 0.9995e-3 {
        (format!("{} mm", significant(mm)), "mm")
    } else if size < 0.099_95 {
        (format!("{} mm", fixed(mm, 1)), "mm")
    } else if size < 9.9995 {
        (format!("{} mm", fixed(mm, 0)), "mm")
    } else if size < 99.9995 {
        (format!("{} m", fixed(si, 3)), "m")
    } else if size < 999.95 {
        (format!("{} m", fixed(si, 1)), "m")
    } else {
        (format!("{} km", significant(si / 1000.0)), "km")
    }
}

fn us_length(si: f64) -> (String, &'static str) {
    const HALF_IN: f64 = 0.0127;
    const EIGHT_FT: f64 = 2.4384;
    const HUNDRED_FT: f64 = 30.48;
    const MILE: f64 = 1609.344;
    let size = si.abs();
    let minus = if si < 0.0 { "-" } else { "" };
    if size < HALF_IN {
        return (format!("{} in", significant(amount(si, Kind::Length, "in"))), "in");
    }
    if size >= MILE {
        return (format!("{} mi", significant(amount(si, Kind::Length, "mi"))), "mi");
    }
    if size >= HUNDRED_FT {
        return (format!("{} ft", significant(amount(si, Kind::Length, "ft"))), "ft");
    }
    // At most 100 ft = 19 200 sixteenths, so every step below is exact.
    let sixteenths = (amount(size, Kind::Length, "in") * 16.0).round();
    if size < EIGHT_FT && sixteenths < 1536.0 {
        return (format!("{minus}{} in", mixed(sixteenths)), "in");
    }
    let feet = (sixteenths / 192.0).floor();
    let rest = sixteenths - feet * 192.0;
    if rest == 0.0 {
        (format!("{minus}{feet} ft"), "ft")
    } else {
        (format!("{minus}{feet} ft {} in", mixed(rest)), "ft")
    }
}

/// Sixteenths as a whole number and a reduced fraction: 218 -> `13-5/8`.
fn mixed(sixteenths: f64) -> String {
    let whole = (sixteenths / 16.0).floor();
    let (mut num, mut den) = (sixteenths - whole * 16.0, 16.0_f64);
    while num > 0.0 && num % 2.0 == 0.0 {
        num /= 2.0;
        den /= 2.0;
    }
    if num == 0.0 {
        format!("{whole}")
    } else if whole == 0.0 {
        format!("{num}/{den}")
    } else {
        format!("{whole}-{num}/{den}")
    }
}

/// ISO 8608 states Gd(n0) in 1e-6 m3, so that power is kept: `16e-6 m3`.
fn roughness(si: f64) -> (String, &'static str) {
    let micro = significant(si * 1e6);
    if micro == "0" || micro.contains('e') {
        (format!("{} m3", significant(si)), "m3")
    } else {
        (format!("{micro}e-6 m3"), "m3")
    }
}

/// Decimals with trailing zeros left out, and no `-0`.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Three significant digits; a power of ten below 0.0001 and from ten million on.
fn significant(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    // The formatter rounds the exact decimal value once, so 9.995 carries correctly into the next power.
    let scientific = format!("{value:.2e}");
    let (digits, power) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let power: i32 = power.parse().unwrap_or(0);
    let rounded: f64 = scientific.parse().unwrap_or(value);
    if (-4..7).contains(&power) {
        fixed(rounded, usize::try_from(2 - power).unwrap_or(0))
    } else {
        let digits = digits.trim_end_matches('0').trim_end_matches('.');
        format!("{digits}e{power}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_step_of_every_ladder_is_in_the_table_and_rises() {
        for &kind in Kind::ALL {
            for system in [System::Metric, System::Us] {
                let steps = ladder(kind, system);
                assert!(steps.windows(2).all(|w| w[0].0 < w[1].0), "{kind:?}");
                assert_eq!(steps.last().map(|s| s.0), Some(f64::INFINITY), "{kind:?}");
                for (_, symbol) in steps {
                    assert!(kind.units().iter().any(|u| u.symbol == *symbol), "{kind:?} {symbol}");
                }
            }
        }
    }

    #[test]
    fn three_digits() {
        for (value, text) in [
            (81.279, "81.3"),
            (0.999_6, "1"),
            (9.995e9, "1e10"),
            (1234.0, "1230"),
            (-0.012_345, "-0.0123"),
            (0.0, "0"),
            (5e-5, "5e-5"),
            (1e300, "1e300"),
            (100.0, "100"),
        ] {
            assert_eq!(significant(value), text);
        }
    }

    #[test]
    fn sixteenths_reduce() {
        for (n, text) in [(218.0, "13-5/8"), (8.0, "1/2"), (16.0, "1"), (0.0, "0"), (17.0, "1-1/16")] {
            assert_eq!(mixed(n), text);
        }
    }
}
