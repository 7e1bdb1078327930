//! Cups, clamps, limit analysis and bolts against published values (`sources/cup_bolt`).

#[path = "common/validation.rs"]
#[allow(unreachable_pub, reason = "shared by several test programs")]
mod validation;

use glam::{DVec2, DVec3};
use mechanics::STANDARD_GRAVITY;
use mechanics::bolt::thread::{Class, REUSABLE_PRELOAD_SHARE, Thread};
use mechanics::clamp::COUPLERS;
use mechanics::cup::group::{Stand, share_n};
use mechanics::cup::seal::{Annulus, Core, lift_moment_nm};
use mechanics::cup::slip::SlipLimit;
use mechanics::cup::vacuum::{PumpLaw, Reading, TrappedAir, holding_force_n, reading, sealed_area_m2};
use mechanics::limit::{Friction, Outcome, Pull, Support, largest_multiplier};
use mechanics::wrench::Wrench;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::error::Error;
use validation::Row;

#[derive(Deserialize)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    source: String,
    quantity: String,
    published: f64,
    unit: String,
    tolerance: f64,
    marker: String,
}

type Computed = Result<f64, Box<dyn Error>>;
type Table = BTreeMap<String, Box<dyn Fn() -> Computed>>;

const PSI_PA: f64 = 6_894.757_293;
const INCH_M: f64 = 0.0254;
const LBF_N: f64 = 4.448_221_615;
const INHG_PA: f64 = 3_386.389;
/// US Standard Atmosphere 1976 at geometric altitudes of 0 to 4000 m, Pa.
const AMBIENT_PA: [(u32, f64); 5] =
    [(0, 101_325.0), (1_000, 89_876.3), (2_000, 79_501.4), (3_000, 70_121.1), (4_000, 61_660.4)];
/// As in the printed restraint examples.
const G_ROUNDED: f64 = 9.81;

fn missing(what: &str) -> Box<dyn Error> {
    format!("no {what}").into()
}

fn add(table: &mut Table, id: impl Into<String>, compute: impl Fn() -> Computed + 'static) {
    table.insert(id.into(), Box::new(compute));
}

fn vacuum_cases(t: &mut Table) {
    let pump = |fraction| PumpLaw::FractionOfAmbient { fraction };
    add(t, "VC-1-dp", move || Ok(pump(0.6).vacuum_pa(14.696 * PSI_PA)? / PSI_PA));
    add(t, "VC-1-force", move || {
        let dp = pump(0.6).vacuum_pa(14.696 * PSI_PA)?;
        Ok(holding_force_n(dp, sealed_area_m2(INCH_M)?)? / LBF_N)
    });
    for (law, at) in [("VC-2", pump(0.8)), ("VC-3", PumpLaw::UltimateAbsolute { absolute_pa: 20e3 })] {
        for (height, ambient) in AMBIENT_PA {
            add(t, format!("{law}/{height}"), move || {
                Ok(holding_force_n(at.vacuum_pa(ambient)?, sealed_area_m2(0.125)?)?)
            });
        }
    }
    for id in ["VC-4", "VC-4-exact"] {
        add(t, id, move || {
            let area = 100.0 * STANDARD_GRAVITY / pump(0.8).vacuum_pa(AMBIENT_PA[0].1)?;
            Ok(holding_force_n(pump(0.8).vacuum_pa(AMBIENT_PA[1].1)?, area)? / STANDARD_GRAVITY)
        });
    }
    add(t, "READ-25", || match reading(25.0 * INHG_PA, AMBIENT_PA[2].1)? {
        Reading::Impossible { excess_pa } => Ok(excess_pa / INHG_PA),
        Reading::Possible { .. } => Err(missing("excess")),
    });
    for celsius in [-10.0, 0.0, 40.0, 50.0, 60.0] {
        add(t, format!("GAS/{celsius}"), move || {
            let air = TrappedAir::from_reading(86_325.0, 101_325.0, 293.15)?;
            Ok(air.absolute_pa(celsius + 273.15)? / 1e3)
        });
    }
    add(t, "GAS-ALTITUDE", || {
        let air = TrappedAir::from_reading(81_325.0, 101_325.0, 288.15)?;
        let at = mechanics::cup::vacuum::Conditions {
            ambient_pa: AMBIENT_PA[2].1,
            temperature_k: 288.15,
            leak_pa_per_s: 0.0,
            until_next_round_s: 0.0,
        };
        Ok(air.vacuum_pa(at)? / 1e3)
    });
}

fn cup_cases(t: &mut Table) {
    const MASS_KG: f64 = 61.33;
    const PUSH: f64 = 5.0;
    let handling = |pull: f64, shear: f64, factor: f64| -> Computed {
        Ok(factor * SlipLimit::new(0.5, 0.1)?.check(0.0, pull, shear, 0.0)?.demand_n)
    };
    add(t, "SLIP-I", move || handling(MASS_KG * (G_ROUNDED + PUSH), 0.0, 1.5));
    add(t, "SLIP-II", move || handling(MASS_KG * G_ROUNDED, MASS_KG * PUSH, 1.5));
    add(t, "SLIP-III", move || handling(0.0, MASS_KG * (G_ROUNDED + PUSH), 2.0));

    let ring = || Annulus::new(0.110, 0.125);
    add(t, "SEAL-A", move || Ok(ring()?.area_m2()));
    add(t, "SEAL-Z", move || Ok(ring()?.section_modulus_m3()));
    for (id, core) in [
        ("SEAL-e", Core::Annulus),
        ("SEAL-e-thin", Core::ThinRing),
        ("SEAL-e-pivot", Core::EdgePivot),
        ("SEAL-e-disc", Core::Disc),
    ] {
        add(t, id, move || Ok(ring()?.core_radius_m(core)));
    }
    add(t, "SEAL-N0", move || Ok(ring()?.vacuum_force_n(80e3)?));
    add(t, "SEAL-N", move || {
        // The contact force is what the core turns into the lifting moment.
        let (n0, e) = (ring()?.vacuum_force_n(80e3)?, ring()?.core_radius_m(Core::Annulus));
        Ok(lift_moment_nm(e, n0, 1_000.0)? / e)
    });
    for (name, core) in [("annulus", Core::Annulus), ("thin", Core::ThinRing), ("pivot", Core::EdgePivot)] {
        for (label, pull) in [("0", 0.0), ("1000", 1_000.0)] {
            add(t, format!("SEAL-M/{name}/{label}"), move || {
                let ring = ring()?;
                Ok(lift_moment_nm(ring.core_radius_m(core), ring.vacuum_force_n(80e3)?, pull)?)
            });
        }
    }

    let four = [(0.4, 0.6), (0.4, -0.6), (-0.4, 0.6), (-0.4, -0.6)];
    let three = [(0.0, 0.7), (0.6, -0.35), (-0.6, -0.35)];
    let share = |at: &[(f64, f64)], force: f64, first: (f64, f64), cup: usize| -> Computed {
        let stands: Vec<Stand> = at.iter().map(|&(x, y)| Stand::equal(x, y)).collect();
        let shares = share_n(&stands, force, DVec2::from(first))?;
        shares.get(cup).copied().ok_or_else(|| missing("such cup"))
    };
    for (i, cup) in [0, 2].into_iter().enumerate() {
        add(t, format!("GROUP-4/{i}"), move || share(&four, 1_500.0, (900.0, 0.0), cup));
    }
    for i in 0..4 {
        add(t, format!("GROUP-4M/{i}"), move || share(&four, 1_500.0, (900.0, 600.0), i));
    }
    for i in 0..3 {
        add(t, format!("GROUP-3/{i}"), move || share(&three, 1_000.0, (100.0, 50.0), i));
    }
    for (id, coupler) in [("CLAMP-A", COUPLERS[0]), ("CLAMP-B", COUPLERS[1])] {
        add(t, id, move || Ok(coupler.allowable_n() / 1e3));
    }
}

/// Largest braking in g of a block on a friction floor, held back by straps.
fn braking_g(mass_kg: f64, mu: f64, straps: &[(f64, DVec3)]) -> Computed {
    let floor = Support::bearing(DVec3::ZERO, DVec3::Z, Friction::new(mu, 1.0, 1.0)?)?;
    let mut supports = vec![floor];
    for &(capacity, along) in straps {
        supports.push(Support::strap(capacity, vec![Pull::new(DVec3::ZERO, along)?])?);
    }
    let weight = mass_kg * G_ROUNDED;
    let down = Wrench::new(-weight * DVec3::Z, DVec3::ZERO);
    let ahead = Wrench::new(weight * DVec3::X, DVec3::ZERO);
    match largest_multiplier(&supports, down, ahead, DVec3::ZERO)? {
        Outcome::Multiplier { lambda, .. } => Ok(lambda),
        other => Err(format!("{other:?}").into()),
    }
}

fn limit_cases(t: &mut Table) {
    add(t, "LR-1", || braking_g(965.0, 0.20, &[(7_100.0 / 1.25, -DVec3::X)]));
    add(t, "LR-6", || {
        let (alpha, beta) = (35.0_f64.to_radians(), 35.0_f64.to_radians());
        let strap =
            |side: f64| DVec3::new(-alpha.cos() * beta.cos(), side * alpha.cos() * beta.sin(), -alpha.sin());
        braking_g(2_000.0, 0.30 * 0.75, &[(7_050.0, strap(1.0)), (7_050.0, strap(-1.0))])
    });
}

fn bolt_cases(t: &mut Table) {
    const CLASSES: [(&str, Class); 3] =
        [("8.8", Class::C8_8), ("10.9", Class::C10_9), ("12.9", Class::C12_9)];
    const FRICTION: [(&str, f64); 3] = [("0.10", 0.10), ("0.12", 0.12), ("0.14", 0.14)];
    let coarse = |size: u8| Thread::coarse(size).ok_or_else(|| missing("such thread"));
    let tightening = |t: &mut Table, name: &str, class_name: &str, class: Class, thread: Thread| {
        for (label, mu) in FRICTION {
            add(t, format!("VDI-F/{name}/{class_name}/{label}"), move || {
                Ok(thread.preload_n(class, mu, 0.9)? / 1e3)
            });
            add(t, format!("VDI-M/{name}/{class_name}/{label}"), move || {
                Ok(thread.torque_nm(thread.preload_n(class, mu, 0.9)?, mu, mu)?)
            });
        }
    };
    for size in [4, 5, 6, 8, 10, 12, 16] {
        let Some(thread) = Thread::coarse(size) else { continue };
        add(t, format!("THREAD-As/M{size}"), move || Ok(thread.stress_area_m2() * 1e6));
        for (name, class) in CLASSES {
            add(t, format!("THREAD-Fp/M{size}/{name}"), move || Ok(thread.proof_load_n(class) / 1e3));
            tightening(t, &format!("M{size}"), name, class, thread);
        }
    }
    for (name, class, d, p, bearing) in [
        ("M8x1", 0, 8.0, 1.0, 10.30),
        ("M10x1.25", 0, 10.0, 1.25, 12.80),
        ("M12x1.25", 0, 12.0, 1.25, 15.05),
        ("M16x1.5", 0, 16.0, 1.5, 20.00),
        ("M12x1.25", 1, 12.0, 1.25, 15.05),
        ("M16x1.5", 2, 16.0, 1.5, 20.00),
    ] {
        let Ok(thread) = Thread::new(d * 1e-3, p * 1e-3, bearing * 1e-3) else { continue };
        tightening(t, name, CLASSES[class].0, CLASSES[class].1, thread);
    }
    add(t, "VDI-M12-QUOTED", move || {
        let m12 = coarse(12)?;
        Ok(m12.torque_nm(m12.preload_n(Class::C8_8, 0.14, 0.9)?, 0.14, 0.14)?)
    });
    add(t, "SHIGLEY-F/M8", move || Ok(REUSABLE_PRELOAD_SHARE * coarse(8)?.proof_load_n(Class::C8_8) / 1e3));
    for size in [6, 8, 10, 12] {
        add(t, format!("SHIGLEY-T/M{size}"), move || {
            let thread = coarse(size)?;
            let preload = REUSABLE_PRELOAD_SHARE * thread.proof_load_n(Class::C8_8);
            Ok(thread.torque_by_nut_factor_nm(preload, 0.20)?)
        });
    }
    add(t, "SHIGLEY-K", move || Ok(coarse(12)?.nut_factor(0.15, 0.15)?));
}

fn table() -> Table {
    let mut t = Table::new();
    vacuum_cases(&mut t);
    cup_cases(&mut t);
    limit_cases(&mut t);
    bolt_cases(&mut t);
    t
}

#[test]
fn published_values_are_met() {
    let cases: Cases = toml::from_str(include_str!("sources/cup_bolt/cases.toml")).unwrap();
    let mut table = table();
    let (mut faults, mut rows) = (Vec::new(), Vec::new());
    for c in &cases.case {
        let Some(compute) = table.remove(&c.id) else {
            faults.push(format!("{}: nothing computes it, or it is there twice", c.id));
            continue;
        };
        assert!(!c.source.is_empty() && !c.marker.is_empty() && c.tolerance > 0.0, "{}", c.id);
        let got = compute().unwrap_or(f64::NAN);
        rows.push(Row {
            source: &c.source,
            id: &c.id,
            quantity: &c.quantity,
            published: c.published,
            ours: got,
            unit: &c.unit,
            allowed: c.tolerance,
            marker: &c.marker,
        });
        let off = (got - c.published).abs();
        if off.is_nan() || off > c.tolerance {
            faults.push(format!(
                "{} ({}): {got} {}, published {} +- {}",
                c.id, c.quantity, c.unit, c.published, c.tolerance
            ));
        }
    }
    validation::record("cup_bolt", &rows);
    faults.extend(table.keys().map(|id| format!("{id}: computed, but not in cases.toml")));
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
