//! Isolators and the chain from road to camera against figures from outside (`sources/rao-damped`, `sources/shaking-chain`).
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

mod common;

use common::cases::{self, Computed};
use mechanics::road::profile::RoadClass;
use mechanics::road::quarter_car::{Corner, QuarterCar};
use mechanics::shaking::blur::shutter_weight;
use mechanics::shaking::c64;
use mechanics::shaking::carry::{ShakenMode, through_modes};
use mechanics::shaking::oscillator::Oscillator;
use mechanics::shaking::spectrum::mean_squares;
use std::f64::consts::TAU;

#[test]
fn damped_vibration_is_the_schoolbook() {
    cases::check("rao-damped", include_str!("sources/rao-damped/cases.toml"), |id| {
        let number = |t: &str| t.parse::<f64>().unwrap();
        let parts: Vec<&str> = id.split('-').collect();
        Some(match parts.as_slice() {
            ["OVERSHOOT", z] => {
                let o = Oscillator::new(1.0, number(z)).unwrap();
                Computed::from([("overshoot after a step", 100.0 * o.overshoot())])
            }
            ["TR", z, r] => {
                let o = Oscillator::new(2.5, number(z)).unwrap();
                Computed::from([("transmissibility", o.transmissibility(2.5 * number(r)))])
            }
            // The frequency whose sag it is: sag_m falls with its square.
            ["SAG", mm] => {
                let at_one_hz = Oscillator::new(1.0, 0.0).unwrap().sag_m();
                let f = (at_one_hz / (number(mm) * 1e-3)).sqrt();
                let back = Oscillator::new(f, 0.0).unwrap().sag_m();
                assert!((back / (number(mm) * 1e-3) - 1.0).abs() < 1e-12);
                Computed::from([("natural frequency of a static sag", f)])
            }
            _ => return None,
        })
    });
}

/// The chain of `sources/shaking-chain` by integrals over frequency, through the functions that the estimate uses.
fn chain(class: RoadClass) -> Computed {
    let car = QuarterCar::new(Corner {
        sprung_kg: 250.0,
        unsprung_kg: 45.0,
        spring_n_m: 16e3,
        damper_n_s_m: 1e3,
        tyre_n_m: 160e3,
    })
    .unwrap();
    let spectrum = class.road().velocity_psd(20.0).unwrap();
    // 9 kg on the rig: φ = 1/3 at the node, φᵀ M r = 3.
    let mode = ShakenMode {
        frequency_hz: 14.0,
        shape: [0.0, 0.0, 1.0 / 3.0, 0.0, 0.0, 0.0],
        pull: [0.0, 0.0, 3.0, 0.0, 0.0, 0.0],
    };
    let isolator = Oscillator::new(2.2, 0.2).unwrap();
    let (body_hz, hop_hz) = car.natural_frequencies_hz();
    let cuts = [body_hz, hop_hz, 2.2, 13.0, 14.0, 15.0, 50.0, 200.0];
    let sums = mean_squares((1e-4, 1e5), &cuts, |f| {
        let w2 = (TAU * f).powi(2);
        let mut base = [c64::new(0.0, 0.0); 6];
        base[2] = c64::new(car.gains(f).unwrap().body_per_s * spectrum.sqrt() / w2, 0.0);
        let rig = through_modes(&[mode], 0.05, &base, glam::DVec3::ZERO, f)[2];
        let camera = rig * isolator.through(f);
        let give = rig * isolator.against_foot(f);
        let square = |c: c64| c.norm_sqr();
        [
            square(base[2] * w2),
            square(rig * w2),
            square(camera * w2),
            square(give),
            square(camera) * shutter_weight(f, 1.0 / 50.0),
            square(camera) * shutter_weight(f, 1.0 / 200.0),
            square(rig) * shutter_weight(f, 1.0 / 50.0),
        ]
    })
    .unwrap()
    .map(f64::sqrt);
    Computed::from([
        ("car body acceleration r.m.s.", sums[0]),
        ("rig acceleration r.m.s.", sums[1]),
        ("camera acceleration r.m.s.", sums[2]),
        ("give of the isolator r.m.s.", sums[3]),
        ("camera, place after 1/50 s less place before, r.m.s.", sums[4]),
        ("camera, place after 1/200 s less place before, r.m.s.", sums[5]),
        ("rig, place after 1/50 s less place before, r.m.s.", sums[6]),
    ])
}

#[test]
fn the_chain_is_what_its_state_space_gives() {
    cases::check("shaking-chain", include_str!("sources/shaking-chain/cases.toml"), |id| match id {
        "CHAIN-B" => Some(chain(RoadClass::B)),
        "CHAIN-C" => Some(chain(RoadClass::C)),
        _ => None,
    });
}

#[test]
fn a_stiff_isolator_is_none_and_a_soft_one_takes_all() {
    let stiff = Oscillator::new(5e4, 0.1).unwrap();
    let soft = Oscillator::new(1e-3, 0.01).unwrap();
    for f in [0.5, 5.0, 50.0] {
        // (f/f_n)² is 1e-6 at most; r²: 2.5e5, and 2ζ/r adds 4e-5.
        assert!((stiff.through(f) - c64::new(1.0, 0.0)).norm() < 2e-6);
        assert!(soft.transmissibility(f) < 1e-4);
    }
}
