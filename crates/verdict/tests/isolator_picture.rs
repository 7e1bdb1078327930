//! The isolator's setting and travel, and the estimate of the picture, on whole rigs.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod common;

use common::{example, read, set};
use rig::Rig;
use rig::model::Hold;
use verdict::isolator::setting::Setting;
use verdict::isolator::{Fits, isolator};
use verdict::picture::{Asked, Picture, picture};

/// The small arm of the command line's tests: everything of isolator and camera stated.
const ARM: &str = include_str!("../../app/tests/rigs/arm.toml");
const G: f64 = 9.806_65;

fn arm() -> Rig {
    read("arm", ARM)
}

fn arm_with(old: &str, new: &str) -> Rig {
    assert_eq!(ARM.matches(old).count(), 1, "{old}");
    read("arm", &ARM.replacen(old, new, 1))
}

fn air(rig: &Rig) -> verdict::isolator::setting::AirSetting {
    let Some(Setting::Air(a)) = isolator(rig, None).unwrap().unwrap().setting else { unreachable!() };
    a
}

fn seen(rig: &Rig, asked: &Asked) -> Picture {
    picture(rig, asked).unwrap()
}

fn blur(rig: &Rig, asked: &Asked) -> f64 {
    seen(rig, asked).blur.unwrap().total_px()
}

#[test]
fn the_setting_floats_the_payload() {
    // Two springs of 5 cm² at 80 mm against the payload's 120 mm: 4 kg make 2 p A 80 = 4 g 120.
    let a = air(&arm());
    let gauge = 4.0 * G * 0.12 / (2.0 * 5e-4 * 0.08);
    assert!((a.gauge_pa - gauge).abs() < 1e-6 * gauge, "{a:?}");
    assert!((a.per_kg_pa * 4.0 - gauge).abs() < 1e-6 * gauge);
    // 60 kPa float 60/58.84 of 4 kg; 500 m up the air outside is 95.46 kPa (US Standard Atmosphere 1976).
    assert!((a.now.unwrap().1 - 4.0 * 60e3 / gauge).abs() < 1e-6);
    assert!((a.outside_pa - 95_461.0).abs() < 5.0, "{a:?}");
    // 2 n p A²/V (2/3)², p from vacuum.
    let slow = 2.0 * (gauge + a.outside_pa) * 25e-8 / 60e-6 * 4.0 / 9.0;
    assert!((a.rate_at_payload_n_m.0 / slow - 1.0).abs() < 1e-9);
    assert!((a.rate_at_payload_n_m.1 / slow - 1.4).abs() < 1e-9);
    let found = isolator(&arm(), None).unwrap().unwrap();
    let f = found.axes[0].frequency.unwrap();
    let hz = |k: f64| (k / 4.0).sqrt() / core::f64::consts::TAU;
    assert!((f.low - hz(slow)).abs() < 1e-9 && (f.value - hz(1.4 * slow)).abs() < 1e-9, "{f:?}");
    assert_eq!(found.fits(), Fits::Yes, "{found:#?}");
    // A heavier payload needs more air; a coil of the same rate is set by its length.
    let heavy = air(&arm_with("mass = \"4 kg\"\ncentre", "mass = \"5 kg\"\ncentre"));
    assert!((heavy.gauge_pa / a.gauge_pa - 1.25).abs() < 1e-9);
    let start = ARM.find("[isolator.air]").unwrap();
    let end = ARM.find("[payload]").unwrap();
    let text = format!(
        "{}[isolator.coil]\nrate = \"2 N/mm\"\nfree_length = \"150 mm\"\nsolid_length = \"60 mm\"\nset_length = \"130 mm\"\n\n{}",
        &ARM[..start],
        &ARM[end..]
    );
    let Some(Setting::Coil(c)) = isolator(&read("coil", &text), None).unwrap().unwrap().setting else {
        unreachable!()
    };
    // Each carries 4 g 120 / (2 x 80) = 29.42 N: 14.71 mm of 150 mm; 130 mm would carry 40 N.
    assert!((c.load_n - 29.419_95).abs() < 1e-4 && (c.gives_m - 0.014_709_975).abs() < 1e-8);
    let set = c.set.unwrap();
    assert!((set.carries_kg - 4.0 * 40.0 / 29.419_95).abs() < 1e-4);
    assert!((set.closer_m - (0.13 - 0.135_290_025)).abs() < 1e-8, "the seats go apart: {set:?}");
    assert!((c.to_solid_m.unwrap() - 0.075_290_025 * 1.5).abs() < 1e-8);
}

#[test]
fn what_does_not_fit_is_said() {
    let fits = |rig: &Rig| isolator(rig, None).unwrap().unwrap();
    let light = fits(&arm_with("from = \"3 kg\"", "from = \"4.5 kg\""));
    assert_eq!((light.fits(), light.wrong.len()), (Fits::No, 1), "{:?}", light.wrong);
    let heavy = fits(&arm_with("to = \"6 kg\"", "to = \"3.5 kg\""));
    assert!(heavy.wrong[0].contains("0.5 kg over"), "{:?}", heavy.wrong);
    let burst = fits(&arm_with("greatest_pressure = \"200 kPa\"", "greatest_pressure = \"50 kPa\""));
    assert!(
        burst.fits() == Fits::No && burst.wrong.len() == 2,
        "needs more, and has more: {:?}",
        burst.wrong
    );
    let off = fits(&arm_with("pressure = \"60 kPa\"", "pressure = \"40 kPa\""));
    assert!(off.fits() == Fits::Hold && off.doubts[0].contains("gauge"), "{:?}", off.doubts);
    // Nothing known of its damping: HOLD, with a range that is looked at.
    let unknown = fits(&arm_with("damping = 0.2\n", ""));
    assert_eq!(unknown.fits(), Fits::Hold);
    assert!(unknown.needs[0].settle.contains("release test") && unknown.passed[0].up_down.is_range());
    // Its centre at the pivot: it does not hang.
    let fault = isolator(&arm_with("pivot = \"20 mm\"", "pivot = \"300 mm\""), None).unwrap_err();
    assert!(fault.what.contains("does not hang"), "{fault}");
    // No isolator, no arm.
    let mut none = arm();
    let a = none.arm.as_mut().unwrap();
    a.isolator.unit = rig::isolator::Unit::default();
    set(&mut a.isolator.mass, 0.0);
    assert!(isolator(&none, None).unwrap().is_none());
    assert!(isolator(&example("bonnet-camera"), None).unwrap().is_none());
}

#[test]
fn a_kerb_may_reach_a_stop() {
    let rig = arm_with(
        "travel = { up = \"40 mm\", down = \"40 mm\" }",
        "travel = { up = \"40 mm\", down = \"21 mm\" }",
    );
    let found = isolator(&rig, None).unwrap().unwrap();
    let kerb = found.pushes.iter().find(|p| p.kerb).unwrap();
    assert!(kerb.left_m.unwrap().0 < 0.0 && kerb.left_m.unwrap().1 > 0.0, "{kerb:?}");
    assert_eq!(found.fits(), Fits::Hold);
    assert!(found.doubts.iter().any(|d| d.contains("lower stop")), "{:?}", found.doubts);
    // A steady road is a sudden push that stays: 1 + overshoot of the held one; 0.2 overshoots by 52.66 %.
    let steady = found.pushes.iter().find(|p| !p.kerb).unwrap();
    assert!((steady.goes_m.0 / steady.held_m.0 - 1.5266).abs() < 1e-4, "{steady:?}");
    // The payload goes down when the car goes up, and no farther than twice the held push.
    assert!(kerb.goes_m.0 < 2.0 * kerb.held_m.0 && kerb.goes_m.0 > 0.0);
}

#[test]
fn more_road_is_more_blur_and_a_longer_lens_too() {
    for small in [true, false] {
        let mut rig = if small { arm() } else { example("estate-arm") };
        let asked = Asked { speed_m_s: Some(10.0), ..Asked::default() };
        rig.site.road = 'A';
        let (a, lens) = (blur(&rig, &asked), seen(&rig, &asked).seen.unwrap());
        rig.site.road = 'C';
        // Two classes: 16 times the spectrum, four times the blur. The sums are settled to 1e-6.
        assert!((blur(&rig, &asked) / a - 4.0).abs() < 1e-5);
        rig.site.road = 'A';
        let longer = Asked { focal_m: Some(1.5 * lens.focal_m), ..asked };
        assert!((blur(&rig, &longer) / a - 1.5).abs() < 1e-5);
        let none = Asked { focal_m: Some(1e-3), ..asked };
        assert!(blur(&rig, &none) < 0.05 * a);
        let short = Asked { shutter_s: Some(1e-5), ..asked };
        assert!(blur(&rig, &short) < 0.01 * a, "no time, no blur");
    }
}

#[test]
fn a_stiff_isolator_lets_all_through_and_a_soft_one_little() {
    let mut rig = example("estate-arm");
    let unit = &mut rig.arm.as_mut().unwrap().isolator.unit;
    (unit.pivot, unit.spring) = (None, None);
    let mut up = |hz: f64| {
        set(rig.arm.as_mut().unwrap().isolator.frequency.as_mut().unwrap(), hz);
        let p = seen(&rig, &Asked::default());
        let z = |name: &str| p.stages.iter().find(|s| s.name.starts_with(name)).unwrap().acceleration_m_s2[2];
        (z("boom's tip"), z("camera"))
    };
    let (tip, camera) = up(5e4);
    // (139 Hz / 50 kHz)² is 8e-6; the payload hangs straight under the tip.
    assert!((camera / tip - 1.0).abs() < 1e-4, "{tip} {camera}");
    let (tip, camera) = up(0.2);
    assert!(camera < 0.1 * tip, "{tip} {camera}");
}

#[test]
fn every_change_is_the_chain_worked_out_again() {
    // 8 m/s: modes to 300 Hz are counted at any of these speeds.
    let rig = arm();
    let asked = Asked { speed_m_s: Some(8.0), ..Asked::default() };
    let now = seen(&rig, &asked);
    let lens = now.seen.unwrap();
    let of = |words: &str| now.changes.iter().find(|c| c.what.contains(words)).map(|c| c.blur_px);
    let near = |a: Option<f64>, b: f64| a.is_some_and(|a| (a / b - 1.0).abs() < 1e-4);
    assert!(near(of("focal length"), blur(&rig, &Asked { focal_m: Some(0.5 * lens.focal_m), ..asked })));
    assert!(near(of("shutter"), blur(&rig, &Asked { shutter_s: Some(0.5 * lens.shutter_s), ..asked })));
    let slower = blur(&rig, &Asked { speed_m_s: Some(6.0), ..asked });
    let unmoved = (slower / now.blur.unwrap().total_px() - 1.0).abs() < 0.01;
    assert!(unmoved || near(of("slower"), slower), "{:?} {slower}", of("slower"));
    // Half the rate at the same damper, stated in the file.
    let mut soft = rig.clone();
    let i = &mut soft.arm.as_mut().unwrap().isolator;
    if let Some(rig::isolator::Spring::Air(a)) = &mut i.unit.spring {
        let v = a.volume.value * 2.0;
        set(&mut a.volume, v);
    }
    let d = 0.2 * 2.0_f64.sqrt();
    set(i.unit.damping[0].as_mut().unwrap(), d);
    let half = of("half the spring rate").unwrap_or(now.blur.unwrap().total_px());
    assert!((blur(&soft, &asked) / half - 1.0).abs() < 0.01);
    assert!(now.changes.windows(2).all(|w| w[0].blur_px <= w[1].blur_px));
}

#[test]
fn without_isolator_or_arm_the_chain_is_shorter() {
    let mut rig = arm();
    let names = |rig: &Rig| seen(rig, &Asked::default()).stages.iter().map(|s| s.name).collect::<Vec<_>>();
    assert_eq!(
        names(&rig),
        ["car body, at the pivot", "rig, at the pivot", "boom's tip", "camera, isolated"]
    );
    let a = rig.arm.as_mut().unwrap();
    a.isolator.unit = rig::isolator::Unit::default();
    set(&mut a.isolator.mass, 0.0);
    let p = seen(&rig, &Asked::default());
    assert_eq!(p.stages[3].name, "camera");
    assert!(p.give_m.is_none());
    // Nothing between tip and payload: the same up and down (it hangs straight under the tip).
    assert!((p.stages[3].acceleration_m_s2[2] / p.stages[2].acceleration_m_s2[2] - 1.0).abs() < 1e-9);
    let mut bonnet = example("bonnet-camera");
    assert_eq!(names(&bonnet), ["car body, at the camera", "camera on the rig"]);
    // A camera that stands on the car itself shakes as the car does.
    bonnet.items[0].on = Hold::Body;
    let p = seen(&bonnet, &Asked::default());
    let bits = |k: usize| p.stages[k].acceleration_m_s2.map(f64::to_bits);
    assert_eq!(bits(0), bits(1));
    // Nobody can tell which of two boxes is the camera.
    let mut two = example("bonnet-camera");
    let mut other = two.items[0].clone();
    (other.tag, two.items[0].tag) = ("box".to_owned(), "lamp".to_owned());
    two.items.push(other);
    assert!(picture(&two, &Asked::default()).unwrap_err().what.contains("[camera]"));
}

#[test]
fn a_rigid_rig_shakes_as_the_car_under_it() {
    // Cups and panels ten thousand times stiffer: every frequency a hundred times higher, far over the road's band at 5 m/s.
    let mut rig = example("bonnet-camera");
    rig::facts_mut(&mut rig, &mut |f| {
        let stiffness = [".axial", ".shear", ".rocking", ".torsional", ".stiffness"];
        if !f.key.starts_with("vehicle") && stiffness.iter().any(|k| f.key.ends_with(k)) {
            let v = f.value * 1e4;
            set(f, v);
        }
    });
    let p = seen(&rig, &Asked { speed_m_s: Some(5.0), ..Asked::default() });
    for i in 0..3 {
        let (car, camera) = (p.stages[0].acceleration_m_s2[i], p.stages[1].acceleration_m_s2[i]);
        assert!((camera / car - 1.0).abs() < 0.02, "{i}: {car} {camera}, rig {:?} Hz", p.rig_hz);
    }
}
