//! The example rigs read without a fault. Places agree with sums done by hand on rigs that stand beside this test, so that
//! the examples can be tuned without redoing the sums.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use rig::{Reading, Rig};

fn example(name: &str) -> Reading {
    reading(&format!("{}/../../examples", env!("CARGO_MANIFEST_DIR")), name)
}

fn reading(folder: &str, name: &str) -> Reading {
    let text = |file: &str| std::fs::read_to_string(format!("{folder}/{file}")).map_err(|e| e.to_string());
    rig::read(&text(&format!("{name}.toml")).unwrap(), name, &text)
}

/// A rig beside this test.
fn frozen(name: &str) -> Rig {
    without_fault(reading(&format!("{}/tests/rigs", env!("CARGO_MANIFEST_DIR")), name), name)
}

/// An example.
fn clean(name: &str) -> Rig {
    without_fault(example(name), name)
}

fn without_fault(reading: Reading, name: &str) -> Rig {
    let said: Vec<String> = reading
        .diagnostics
        .iter()
        .map(|d| {
            let at = rig::line_column(&reading.sources[d.source].text, d.span.start);
            format!("{} {}:{} {} ({}; {})", d.code, at.0, at.1, d.message, d.why, d.mend)
        })
        .collect();
    assert_eq!(said, Vec::<String>::new(), "{name}");
    reading.rig.unwrap()
}

#[test]
fn the_estate_car_reads_without_a_fault() {
    let rig = clean("estate-arm");
    assert_eq!((rig.cups.len(), rig.tubes.len(), rig.clamps.len(), rig.legs.len()), (6, 5, 6, 4));
}

#[test]
fn the_other_examples_read_without_a_fault() {
    for name in ["bonnet-camera", "door-camera", "pickup-arm", "pickup-arm-mended"] {
        clean(name);
    }
}

#[test]
fn the_bonnet_plate_lies_along_the_bonnet() {
    let rig = clean("bonnet-camera");
    let (plate, bonnet) = (&rig.platforms[0], &rig.panels[0]);
    // Both nose down by 5 deg: the normals lean ahead, the lengths run aft and up.
    assert!((plate.normal - bonnet.normal).length() < 1e-12 && (plate.along - bonnet.ea).length() < 1e-12);
    assert!(near(plate.normal.x, 5.0_f64.to_radians().sin()), "{}", plate.normal);
    assert_eq!(rig.manoeuvres.len(), 10, "the usual set");
    assert!(rig.manoeuvres.iter().any(|m| m.tag == "swerve-right" && m.left.value < -5.8));
    assert!(rig.straps.iter().all(|s| s.pretension.value == 0.0), "tethers are slack");
}

#[test]
fn door_cups_stand_upright_and_look_ahead() {
    let rig = clean("door-camera");
    let cup = &rig.cups[0];
    assert!(cup.normal.y > 0.99 && cup.along.x > 0.99, "{} {}", cup.normal, cup.along);
    assert!(cup.along.dot(cup.normal).abs() < 1e-12);
    // 120 mm from the door's middle to the plate's inner face, and the crown: 0.14²/12 + 0.12²/5 = 4.5 mm, and a little for
    // the slopes.
    assert!((cup.height - 0.1245).abs() < 0.002, "{}", cup.height);
}

/// A tenth of a millimetre: the sums below are done by hand to that.
const HAND_M: f64 = 1e-4;

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < HAND_M
}

#[test]
fn cups_stand_on_the_crown() {
    let rig = frozen("estate-arm");
    let roof = &rig.panels[0];
    // Datum 1.05 m behind the front axle, 1.43 m up; the roof's middle 0.95 m aft and 15 mm up of it.
    assert!(near(roof.centre.x, -2.0) && near(roof.centre.z, 1.445), "{}", roof.centre);
    let front_left = rig.cups.iter().find(|c| c.tag == "FL").unwrap();
    // 0.57 m ahead of the middle, 0.43 m to the left: 0.57²/(2 x 9) + 0.43²/(2 x 3.2) = 18.05 + 28.89 = 46.94 mm lower.
    assert!(near(front_left.at.x, -1.43) && near(front_left.at.y, 0.43), "{}", front_left.at);
    assert!(near(front_left.at.z, 1.445 - 0.046_94), "{}", front_left.at);
    // The panel leans ahead by 0.57/9 and to the left by 0.43/3.2 there.
    let n = front_left.normal;
    assert!(near(n.x / n.z, 0.57 / 9.0) && near(n.y / n.z, 0.43 / 3.2), "{n}");
    // Place on the panel: `ea` runs aft, `eb` to the right.
    assert!(near(front_left.place.0, -0.57) && near(front_left.place.1, -0.43), "{:?}", front_left.place);
    // Tube TF: the roof at 0.56 m left is 18.05 + 0.56²/6.4 (49.00) = 67.05 mm below the middle; 150 mm above that.
    let tf = &rig.tubes[0];
    assert!(near(tf.a.z, 1.445 - 0.067_05 + 0.150), "{}", tf.a);
    // Height along the cup's axis to TF: 129.89 mm of rise, times the normal's z / (1 - nY²), as TF runs along y:
    // n = (0.06333, 0.13438, 1)/1.01097; the foot of the square between both axes is 129.89 x 0.98914 / 0.98233.
    let (nx, ny, nz) = (0.0633, 0.1344, 1.0);
    let length = f64::sqrt(nx * nx + ny * ny + nz * nz);
    let expected = 0.129_89 * (nz / length) / (1.0 - (ny / length).powi(2));
    assert!(near(front_left.height, expected), "{} {expected}", front_left.height);
    assert!(near((front_left.head - front_left.at).length(), front_left.height));
}

#[test]
fn tubes_lie_on_tubes_and_clamps_sit_where_they_cross() {
    let rig = frozen("estate-arm");
    let ll = rig.tubes.iter().find(|t| t.tag == "LL").unwrap();
    // On TF (axis at 1.5280 m): half of 48.3 + 48.3 mm higher. On TR: crown 0.43²/18 = 10.27 mm, so 1.5357 m + 48.3 mm.
    assert!(near(ll.a.z, 1.445 - 0.067_05 + 0.150 + 0.0483), "{}", ll.a);
    assert!(near(ll.b.z, 1.445 - 0.010_27 - 0.049 + 0.150 + 0.0483), "{}", ll.b);
    let k1 = &rig.clamps[0];
    // TF runs from 560 mm left; LL is 180 mm left: 380 mm along TF. LL starts 100 mm ahead of TF and rises 7.78 mm in
    // 1200 mm, so the line square to both meets it 48.3 x 7.78 / 1200 = 0.31 mm short of that.
    assert!(near(k1.first.1, 0.380) && near(k1.second.1, 0.099_69), "{:?} {:?}", k1.first, k1.second);
    let leg = &rig.legs[0];
    assert!(near(leg.foot.1, 0.440), "aft 720 mm is 440 mm along LL: {:?}", leg.foot);
    // The platform's underside: 1.43 + 0.320 - 0.012.
    assert!(near(leg.top.z, 1.738), "{}", leg.top);
}

#[test]
fn facts_keep_the_text_and_say_where_they_come_from() {
    let rig = frozen("estate-arm");
    let vacuum = rig.cups[0].vacuum.as_ref().unwrap();
    assert_eq!((vacuum.text.as_deref(), vacuum.key.as_str()), (Some("24 inHg"), "cup.FL.vacuum"));
    assert_eq!(vacuum.origin, rig::Origin::Stated);
    let roll = &rig.vehicle.ride.roll_stiffness;
    assert_eq!((roll.origin, roll.key.as_str()), (rig::Origin::Assumed, "vehicle.roll_stiffness"));
    assert!(roll.low < roll.value && roll.value < roll.high && !roll.settle.is_empty());
    // One make of cup is one unknown; two sheets are two.
    assert_eq!(
        (rig.cups[0].axial.group.as_str(), rig.cups[5].axial.group.as_str()),
        ("cup.cup-250.axial", "cup.cup-250.axial")
    );
    assert_eq!(rig.panels[0].stiffness.group, "panel.roof.stiffness");
    assert_eq!(
        (vacuum.group.as_str(), rig.tubes[0].section.drag.group.as_str()),
        ("cup.FL.vacuum", "tube.drag")
    );
    let friction = &rig.panels[0].friction;
    // Clean paint, dry: 0.5, from 0.4 to 0.6.
    assert!(near(friction.value, 0.5) && near(friction.low, 0.4) && near(friction.high, 0.6));
    assert!(friction.settle.contains("spring scale") && friction.source.contains("0.5"));
    let assumed = rig::assumed(&rig);
    let keys: Vec<&str> = assumed.iter().map(|f| f.key.as_str()).collect();
    assert!(keys.contains(&"panel.roof.stiffness") && keys.contains(&"cup.FL.axial"), "{keys:?}");
    assert!(!keys.contains(&"vehicle.mass"), "the file states it");
    assert!(assumed.iter().all(|f| !f.source.is_empty()), "every assumption says where it comes from");
}

#[test]
fn every_fact_is_visited() {
    let mut rig = frozen("estate-arm");
    // Each `Fact { .. }` of the debug print has one `origin:`; a visitor that forgets one falls behind.
    let printed = format!("{rig:?}").matches("origin: ").count();
    let mut visited = 0;
    rig::facts_mut(&mut rig, &mut |_| visited += 1);
    // Friction in the other state is for limits alone: a verdict is on the panels as they are, so it is not varied.
    let of_another_state = rig.panels.iter().filter(|p| p.other_friction.is_some()).count();
    assert!(of_another_state > 0);
    assert_eq!(visited + of_another_state, printed);
}

#[test]
fn sizes_and_areas_come_through_in_si() {
    let rig = frozen("estate-arm");
    let cup = &rig.cups[0];
    // cup-250: 250 mm lip, 220 mm seal.
    assert!(near(cup.outer_radius, 0.125) && near(cup.seal_radius, 0.110) && cup.locked);
    // 24 inHg x 3.386389 kPa (NIST SP 811).
    assert!((cup.vacuum.as_ref().unwrap().value - 81_273.3).abs() < 1.0);
    let arm = rig.arm.as_ref().unwrap();
    // The mast stands on the platform's top: 1.43 + 0.320 up, 1.05 + 0.880 aft.
    assert!(near(arm.base.x, -1.93) && near(arm.base.z, 1.75) && near(arm.pivot_height, 0.52));
    let spans: Vec<(f64, f64)> = arm.sections.iter().map(|s| s.span).collect();
    assert_eq!(spans, [(0.0, 0.9), (0.9, 1.7), (0.0, -0.65)], "root to tip, then tail");
    let weight = arm.counterweight.drag.as_ref().unwrap();
    // 120 x 200 x 200 mm: seen from ahead 200 x 200, from the side 120 x 200, from above 120 x 200.
    assert!(near(weight.areas.x, 0.04) && near(weight.areas.y, 0.024) && near(weight.areas.z, 0.024));
    assert_eq!(arm.counterweight.plates, [5.0, 5.0, 2.5, 1.0, 0.5]);
    assert!(near(arm.payload.centre.z, -0.21) && near(arm.payload.centre.x, 0.0));
    assert!(near(arm.drives.pan_rate.value, 60.0_f64.to_radians()));
    assert!(near(arm.drives.tilt_stop.value, 120.0_f64.to_radians()));
    assert!(near(arm.elevation.0, (-20.0_f64).to_radians()) && near(arm.elevation.1, 35.0_f64.to_radians()));
    assert!(near(arm.pan.1, std::f64::consts::PI) && near(arm.pan.0, -std::f64::consts::PI), "all round");
    // 14 °C; 30 km/h.
    assert!(near(rig.site.temperature.value, 287.15) && near(rig.site.gust.value, 30.0 / 3.6));
    // Aboard: from the front axle and the road, not from the windscreen.
    let crew = &rig.vehicle.aboard[0];
    assert!(near(crew.at.x, -1.5) && near(crew.at.z, 0.65), "{}", crew.at);
    // The aerial stands 1.78 m aft: 830 mm behind the roof's middle.
    let aerial = &rig.panels[0].keep_outs[0];
    assert!(near(aerial.centre.0, 0.83) && near(aerial.centre.1, 0.0) && near(aerial.size.0, 0.12));
    // The strap's body point: 400 mm aft of the windscreen's edge, 640 mm left, 60 mm down.
    let point = &rig.straps[0].path[1];
    assert!(near(point.at.x, -1.45) && near(point.at.y, 0.64) && near(point.at.z, 1.37));
    assert_eq!(point.on, rig::model::Hold::Body);
    // Aluminium tube: the clamp's grip on aluminium counts, 6 kN and not 10.
    assert!((rig.clamps[0].slip.as_ref().unwrap().value - 6000.0).abs() < 1e-6);
    let steel = frozen("pickup-arm");
    assert!((steel.clamps[0].slip.as_ref().unwrap().value - 10_000.0).abs() < 1e-6);
    // Wet paint.
    assert!(near(steel.panels[0].friction.value, 0.2));
}
