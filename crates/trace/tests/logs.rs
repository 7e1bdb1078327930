//! Logs of odd makes, and what is wrong with others.

#![allow(missing_docs, clippy::unwrap_used, reason = "tests")]

use proptest::prelude::*;
use std::fmt::Write as _;
use trace::{Ask, Fault, Kind, read};

/// Rounding of a unit's factor and a difference of stamps.
const ROUNDING: f64 = 1e-9;

fn check(text: &str, kind: Kind, at: usize, t: f64, si: f64) {
    let got = read(text, &Ask::default()).unwrap();
    assert_eq!(got.kind, kind, "{text}");
    let (gt, gy) = got.samples[at];
    assert!((gt - t).abs() < ROUNDING && (gy - si).abs() < ROUNDING, "{text}: {gt} {gy}");
}

#[test]
fn logs_of_odd_makes_are_read() {
    check("time,angle [deg]\n0.00,180\n0.01,90\n", Kind::Angle, 1, 0.01, std::f64::consts::FRAC_PI_2);
    check(
        "\u{feff}# made up\r\nsep=;\r\nZeit (ms);gyro z (°/s)\r\n\r\n0;0\r\n10;180,0\r\n",
        Kind::AngularRate,
        1,
        0.01,
        std::f64::consts::PI,
    );
    check(
        "timestamp_ns\tacc_z_g\n1795629785000000000\t1.0\n1795629785010000001\t2\n",
        Kind::Acceleration,
        1,
        0.010_000_001,
        19.6133,
    );
    check("clock,height mm\n23:59:59.990,1\n00:00:00.010,3\n", Kind::Displacement, 1, 0.02, 0.003);
    check(
        "time,pitch_deg\n2026-11-25T18:00:00.00Z,0\n2026-11-25T18:00:00.02Z,180\n",
        Kind::Angle,
        1,
        0.02,
        std::f64::consts::PI,
    );
    check("t,x\ns,mm\n0,5\n0.5,7\n", Kind::Displacement, 1, 0.5, 0.007);
    // Unit of time by its step, repeats and an empty cell.
    check("time,roll [rad]\n0,1\n10,\n20,2\n20,9\n30,3\n40,3\n50,3\n60,3\n", Kind::Angle, 2, 0.03, 3.0);
    // Three axes: the one that moves.
    let mut three = "time [s],ax [m/s2],ay [m/s2],az [m/s2]\n".to_owned();
    for i in 0..50 {
        let z = 9.8 + f64::from(i % 5);
        let _ = writeln!(
            three,
            "{},{},{},{z}",
            f64::from(i) * 0.01,
            0.01 * f64::from(i % 3),
            0.02 * f64::from(i % 2)
        );
    }
    let got = read(&three, &Ask::default()).unwrap();
    assert_eq!((got.signal.name.as_str(), got.signal.number), ("az", 4));
    assert!(got.notes.iter().any(|n| n.contains("moves most")), "{:?}", got.notes);
    // Without a head: time is what rises, the unit is stated.
    let ask = Ask { unit: Some("mm"), ..Ask::default() };
    let got = read("0.00;1,5\n0.01;1,2\n0.02;1,4\n", &ask).unwrap();
    assert!((got.samples[0].1 - 0.0015).abs() < ROUNDING);
}

fn fault(text: &str, ask: &Ask<'_>) -> Fault {
    read(text, ask).unwrap_err()
}

#[test]
fn faults_point_at_line_and_column_and_say_how_to_mend() {
    let none = Ask::default();
    let f = fault("time [s],x [mm]\n0,1\n0.01,2\n0.02,oops\n", &none);
    assert_eq!(f.to_string(), "line 4, column 2 (x): \"oops\" is no number");
    let f = fault("time [s],x [mm]\n0,1\n0.01,1.5\nnoon,2\n", &none);
    assert_eq!((f.line, f.column.unwrap().1), (Some(4), 1));
    // Which option chooses.
    let f = fault("time [s],x [mm],y [mm]\n0,1,1\n0.01,2,2.1\n0.02,1,1\n", &none);
    assert!(f.mend.contains("--signal") && f.mend.contains("2 x [mm], 3 y [mm]"), "{f:?}");
    let f = fault("time [s],x\n0,1\n0.01,2\n", &none);
    assert!(f.mend.contains("--unit"), "{f:?}");
    let f = fault("time [s],x [kPa]\n0,1\n0.01,2\n", &Ask { signal: Some("x"), ..none });
    assert!(f.what.contains("kPa") && f.mend.contains("--unit"), "{f:?}");
    let f = fault("a,b\n1,1\n0,2\n3,1\n1,5\n", &none);
    assert!(f.mend.contains("--time"), "{f:?}");
    let f = fault("time,x [mm]\n0,1\n5,2\n10,3\n", &Ask { time_unit: Some("kg"), ..none });
    assert!(f.mend.contains("--time-unit"), "{f:?}");
    let f = fault("time,x [mm]\n0,1\n0.6,2\n1.2,3\n", &none);
    assert!(f.mend.contains("--time-unit"), "{f:?}");
    let f = fault("time [s],x [mm]\n0,1\n0.01,2\n", &Ask { signal: Some("z"), ..none });
    assert!(f.what.contains("\"z\"") && f.mend.contains("1 time [s], 2 x [mm]"), "{f:?}");
    let f = fault("time [s],x [mm]\n0,01,9,5\n0,02,9,6\n", &none);
    assert!(f.line == Some(2) && f.mend.contains("semicolons"), "{f:?}");
    let f = fault("time [s];x [mm]\n0,01;9.5\n0.02;9,6\n", &none);
    assert!(f.what.contains("decimal comma and decimal point"), "{f:?}");
    let f = fault("time [s];x [mm]\n0,01;9,5\n0,02;9,6\n0,03;1.009,5\n", &none);
    assert!(f.line == Some(4) && f.what.contains("1.009,5"), "{f:?}");
    let f = fault("time,x [mm]\n1,1\n18:00:00,2\n", &none);
    assert!(f.what.contains("clock and number"), "{f:?}");
}

proptest! {
    #[test]
    fn any_text_gives_samples_in_order_or_a_fault(text in "([-0-9.,;\t:eE a-z\\[\\]\n\"#]{0,200})") {
        for ask in [Ask::default(), Ask { time: Some("1"), signal: Some("2"), unit: Some("mm"), time_unit: Some("s") }] {
            match read(&text, &ask) {
                Ok(t) => {
                    prop_assert!(t.samples.windows(2).all(|w| w[0].0 < w[1].0));
                    prop_assert!(t.samples.iter().all(|(t, y)| t.is_finite() && y.is_finite()));
                }
                Err(f) => {
                    prop_assert!(!f.what.is_empty() && !f.mend.is_empty());
                    prop_assert!(f.line.is_none_or(|l| l >= 1 && l <= text.lines().count() as u64 + 1));
                }
            }
        }
    }
}
