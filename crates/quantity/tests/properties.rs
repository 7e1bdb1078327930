//! What must hold for any text and any amount.

use proptest::prelude::*;
use quantity::{Kind, System, parse_kind, show_kind};

/// Texts made of the marks the reader knows, in any order.
fn marks() -> impl Strategy<Value = String> {
    let mark = prop::sample::select(vec![
        "1",
        "13",
        "5/8",
        "-",
        " ",
        "in",
        "ft",
        "'",
        "\"",
        "½",
        "·",
        "*",
        "/",
        "(",
        ")",
        ".",
        ",",
        "e",
        "^",
        "2",
        "²",
        "°",
        "C",
        "lb",
        "N",
        "m",
        "kg",
        "per",
        "\u{a0}",
        "−",
        "%",
        "Hg",
        "H2O",
        "×10⁻⁶",
        "µ",
        "+",
        "x",
        "nan",
        "1e999",
        "€",
        "0",
    ]);
    prop::collection::vec(mark, 0..12).prop_map(|v| v.concat())
}

fn kinds() -> impl Strategy<Value = Kind> {
    prop::sample::select(Kind::ALL.to_vec())
}

fn check(text: &str, kind: Kind) -> Result<(), TestCaseError> {
    match parse_kind(text, kind) {
        Ok(si) => prop_assert!(si.is_finite()),
        Err(fault) => {
            prop_assert!(text.get(fault.span.clone()).is_some(), "{:?} in {text:?}", fault.span);
            prop_assert!(!fault.what.is_empty() && !fault.why.is_empty() && !fault.mend.is_empty());
        }
    }
    Ok(())
}

/// How far a shown value may be from the true one, in SI: half of the last step shown.
fn rounding(si: f64, kind: Kind, system: System) -> f64 {
    // Three digits: half a unit in the third of 1.00.
    let three_digits = si.abs() * 0.005_000_1;
    match (kind, system) {
        // 1/32 in, or 0.5 mm; finer steps below.
        (Kind::Length, System::Us) if (0.0127..30.48).contains(&si.abs()) => 0.0254 / 32.0 + 1e-9,
        (Kind::Length, System::Metric) if (0.1..10.0).contains(&si.abs()) => 0.000_500_001,
        (Kind::Length, System::Metric) if (0.001..0.1).contains(&si.abs()) => 0.000_050_001,
        // 0.05 of a degree C.
        (Kind::Temperature, _) => 0.050_01,
        // tan and atan are not used when showing degrees, so the three digits rule holds for angles too.
        _ => three_digits,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_or_refused_with_a_place(text in ".*", kind in kinds()) {
        check(&text, kind)?;
    }

    #[test]
    fn any_row_of_marks_is_read_or_refused_with_a_place(text in marks(), kind in kinds()) {
        check(&text, kind)?;
    }

    #[test]
    fn what_is_shown_is_read_back_within_its_rounding(
        kind in kinds(),
        digits in 1.0_f64..10.0,
        power in -6_i32..9,
        negative in any::<bool>(),
        us in any::<bool>(),
    ) {
        let size = digits * 10_f64.powi(power);
        let si = if negative && kind != Kind::Temperature { -size } else { size };
        let system = if us { System::Us } else { System::Metric };
        let text = show_kind(si, kind, system);
        match parse_kind(&text, kind) {
            Ok(back) => prop_assert!(
                (back - si).abs() <= rounding(si, kind, system),
                "{kind:?} {si} -> {text} -> {back}"
            ),
            // Rounding to 0.1 degree may step just below absolute zero.
            Err(fault) => prop_assert!(kind == Kind::Temperature && si < 0.06, "{text}: {fault}"),
        }
    }

    #[test]
    fn mixed_fractions_mean_their_sum(whole in 0_u32..1000, eighths in 1_u32..8, minus in any::<bool>()) {
        let sign = if minus { "-" } else { "" };
        let want = (f64::from(whole) + f64::from(eighths) / 8.0) * if minus { -0.0254 } else { 0.0254 };
        for joint in ["-", " ", "\u{a0}", "\u{2013}"] {
            let text = format!("{sign}{whole}{joint}{eighths}/8 in");
            let got = parse_kind(&text, Kind::Length);
            prop_assert!(got.as_ref().is_ok_and(|v| (v - want).abs() < 1e-12), "{text}: {got:?}");
        }
    }

    #[test]
    fn decimal_point_and_decimal_comma_agree(whole in 0_u32..10_000, tenths in 0_u32..100) {
        let point = parse_kind(&format!("{whole}.{tenths:02} mm"), Kind::Length);
        let comma = parse_kind(&format!("{whole},{tenths:02} mm"), Kind::Length);
        prop_assert_eq!(point, comma);
    }
}
