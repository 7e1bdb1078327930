//! Less usual things a file can say, and what becomes of them in the model.
#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]
#![allow(clippy::float_cmp, reason = "values that are copied, not computed, come through exactly")]

#[path = "common/base.rs"]
mod common;

use common::base;
use rig::model::{ClampKind, Hold, Vertical};
use rig::policy::CheckId;
use rig::{Origin, Rig};

/// Reads a text that must be without errors.
fn sound(text: &str) -> Rig {
    let kit = |file: &str| {
        std::fs::read_to_string(format!("{}/../../examples/{file}", env!("CARGO_MANIFEST_DIR")))
            .map_err(|e| e.to_string())
    };
    let reading = rig::read(text, "rig.toml", &kit);
    let said: Vec<String> =
        reading.diagnostics.iter().map(|d| format!("{} {} ({})", d.code, d.message, d.why)).collect();
    assert!(!reading.has_errors(), "{said:?}");
    reading.rig.unwrap()
}

fn edited(old: &str, new: &str) -> Rig {
    let text = base();
    assert_eq!(text.matches(old).count(), 1, "{old}");
    sound(&text.replacen(old, new, 1))
}

fn example(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

#[test]
fn heads_of_cups_lie_in_the_plane_of_the_plate_they_hold() {
    // The plate lies flat over a bonnet that slopes 5 deg: no cup is square to it.
    let text = example("bonnet-camera").replacen(
        "slope = \"5 deg\"                                 # lies along the bonnet\n",
        "",
        1,
    );
    for text in [text, example("bonnet-camera"), example("door-camera")] {
        let rig = sound(&text);
        let plate = &rig.platforms[0];
        let under = plate.at - plate.normal * plate.size.z;
        for cup in &rig.cups {
            assert_eq!(cup.holds, Hold::Platform(0));
            // Rounding of metre-sized numbers.
            assert!((cup.head - under).dot(plate.normal).abs() < 1e-12, "{}", cup.tag);
            assert!(cup.along.dot(cup.normal).abs() < 1e-12 && (cup.along.length() - 1.0).abs() < 1e-12);
        }
    }
}

#[test]
fn a_panel_that_faces_ahead_takes_left_and_up() {
    let tail = "[panel.grille]\nfaces = \"ahead\"\nslope = \"10 deg\"\nat = { forward = \"1.9 m\", down = \"800 mm\" }\nlength = \"400 mm\"\nwidth = \"900 mm\"\ncrown_along = \"flat\"\ncrown_across = \"flat\"\nmaterial = \"plastic\"\nfinish = \"clean paint\"\nsurface = \"dry\"\n\n[platform.plate]\nfaces = \"ahead\"\nslope = \"10 deg\"\nat = { forward = \"2.03 m\", down = \"777 mm\" }\nlength = \"300 mm\"\nwidth = \"300 mm\"\nthickness = \"10 mm\"\nmass = \"2 kg\"\n\n[cup.G]\npart = \"cup-200\"\npanel = \"grille\"\nleft = \"50 mm\"\ndown = \"780 mm\"\nholds = \"plate\"\n\n[policy]";
    let rig = edited("[policy]", tail);
    let cup = rig.cups.iter().find(|c| c.tag == "G").unwrap();
    let (s, c) = 10.0_f64.to_radians().sin_cos();
    // 20 mm higher than the middle on a face that leans back: further aft by 20 tan 10.
    assert!((cup.at.y - 0.05).abs() < 1e-9 && (cup.at.z - (1.43 - 0.78)).abs() < 1e-9);
    assert!((cup.at.x - (-1.05 + 1.9 - 0.02 * s / c)).abs() < 1e-9, "{}", cup.at);
    assert!((cup.along.z - c).abs() < 1e-9 && cup.along.x < 0.0, "up the panel: {}", cup.along);
    // 130 mm along the way it faces, less the plate: 130 cos 10 + 23 sin 10 - 10.
    assert!((cup.height - (0.13 * c + 0.023 * s - 0.01)).abs() < 1e-9, "{}", cup.height);
    assert!(cup.vacuum.is_none(), "no reading was given");
}

#[test]
fn tubes_side_by_side_are_clamped_where_the_file_says() {
    let twin = "[tube.TF2]\npart = \"tube 48.3 x 4.0 EN AW-6082 T6\"\nfrom = { aft = \"380 mm\", left = \"560 mm\", up = \"49.65 mm\" }\nto = { aft = \"380 mm\", right = \"560 mm\", up = \"49.65 mm\" }\n\n[clamp.P]\npart = \"swivel clamp\"\njoins = [\"TF\", \"TF2\"]\nat = { left = \"200 mm\" }\ntorque = \"50 N·m\"\n\n[platform.base]";
    let rig = edited("[platform.base]", twin);
    let clamp = rig.clamps.iter().find(|c| c.tag == "P").unwrap();
    assert_eq!(clamp.kind, ClampKind::Swivel);
    assert!((clamp.first.1 - 0.36).abs() < 1e-9 && (clamp.second.1 - 0.36).abs() < 1e-9, "560 - 200 mm");
}

#[test]
fn an_end_clamp_holds_the_tubes_end() {
    // A post that starts half a tube above TM's axis.
    let post = "[tube.post]\npart = \"tube 48.3 x 4.0 EN AW-6082 T6\"\nfrom = { aft = \"880 mm\", left = \"400 mm\", up = \"500 mm\" }\nto = { aft = \"880 mm\", left = \"400 mm\", up = \"126 mm\" }\n\n[clamp.E]\npart = \"end clamp\"\njoins = [\"post\", \"TM\"]\ntorque = \"50 N·m\"\n\n[platform.base]";
    let rig = edited("[platform.base]", post);
    let clamp = rig.clamps.iter().find(|c| c.tag == "E").unwrap();
    assert_eq!(clamp.kind, ClampKind::End);
    assert!((clamp.first.1 - 0.374).abs() < 1e-9 && (clamp.second.1 - 0.16).abs() < 1e-9, "{clamp:?}");
}

#[test]
fn above_counts_the_way_the_panel_faces() {
    let rail = "[tube.rail]\npart = \"tube 48.3 x 4.0 EN AW-6082 T6\"\nfrom = { aft = \"500 mm\", down = \"500 mm\", above = \"140 mm\", panel = \"door\" }\nto = { aft = \"900 mm\", down = \"500 mm\", above = \"140 mm\", panel = \"door\" }\n\n[panel.door]\nfaces = \"right\"\nat = { aft = \"700 mm\", right = \"850 mm\", down = \"500 mm\" }\nlength = \"1 m\"\nwidth = \"600 mm\"\ncrown_along = \"5 m\"\ncrown_across = \"flat\"\nmaterial = \"steel\"\nfinish = \"clean paint\"\nsurface = \"dry\"\n\n[platform.base]";
    let rig = edited("[platform.base]", rail);
    let tube = rig.tubes.iter().find(|t| t.tag == "rail").unwrap();
    // Crown 0.2²/10 = 4 mm into the car at both ends; 140 mm out to the right.
    assert!((tube.a.y + 0.850 - 0.004 + 0.140).abs() < 1e-9, "{}", tube.a);
    assert!((tube.a.y - tube.b.y).abs() < 1e-12);
}

#[test]
fn a_strap_may_end_on_a_platform_or_a_cup() {
    let points = "  { platform = \"base\" },\n  { cup = \"FL\" },\n  { tube = \"TF\", left = \"0 mm\" },";
    let rig = edited("  { tube = \"TF\", left = \"0 mm\" },", points);
    let path = &rig.straps.iter().find(|s| s.tag == "ahead").unwrap().path;
    assert_eq!((path[0].on, path[1].on), (Hold::Platform(0), Hold::Cup(0)));
    assert_eq!((path[0].at, path[1].at), (rig.platforms[0].at, rig.cups[0].head));
}

#[test]
fn a_brace_has_the_stiffness_of_its_rod() {
    let brace = "[arm.brace.top]\nalong = \"1.5 m\"\nheight = \"250 mm\"\nright = \"30 mm\"\ndiameter = \"6 mm\"\nmaterial = \"S235\"\n\n[arm.counterweight]";
    let rig = edited("[arm.counterweight]", brace);
    let brace = &rig.arm.unwrap().braces[0];
    // 210 GPa x pi x 6² / 4 mm² = 5.9376 MN.
    assert!((brace.ea - 5.937_6e6).abs() < 100.0, "{}", brace.ea);
    assert_eq!((brace.along, brace.left), (1.5, -0.03));
}

#[test]
fn a_kind_of_manoeuvre_gives_what_is_not_stated() {
    let rig = edited("forward = \"-0.9 g\"\n", "");
    let stop = rig.manoeuvres.iter().find(|m| m.tag == "stop").unwrap();
    // 0.9 x 9.80665.
    assert!((stop.forward.value + 8.825_985).abs() < 1e-9);
    assert_eq!((stop.forward.origin, stop.forward.key.as_str()), (Origin::Assumed, "manoeuvre.stop.forward"));
    assert!(stop.forward.source.contains("no source"));
    assert_eq!((stop.left.value, stop.left.origin), (0.0, Origin::Stated), "braking is straight: no guess");
    assert!(!stop.gust && matches!(stop.vertical, Vertical::Road));
    let rig = edited(
        "forward = \"-0.9 g\"\n",
        "forward = \"-0.8 g\"\nvertical = \"0.3 g\"\ngust = true\ngrade = \"-10 %\"\n",
    );
    let stop = rig.manoeuvres.iter().find(|m| m.tag == "stop").unwrap();
    assert!(stop.gust && (stop.grade + 0.1_f64.atan()).abs() < 1e-12);
    assert!(matches!(&stop.vertical, Vertical::Range(f) if (f.value - 2.941_995).abs() < 1e-9));
}

#[test]
fn a_factor_replaces_only_what_it_states() {
    let rig =
        edited("sway_limit = \"25 mm\"", "factor.cup-seal = { intact = 2.5 }\nretention.forward = \"1.2 g\"");
    let factors = rig.policy.factors(CheckId::CupSeal);
    assert_eq!((factors.intact, factors.lost), (2.5, 1.5));
    assert_eq!(rig.policy.factors(CheckId::CupSlip), CheckId::CupSlip.row().factors);
    assert!((rig.policy.retention.forward.value - 11.767_98).abs() < 1e-9);
    assert_eq!(rig.policy.retention.rearward.origin, Origin::Assumed);
    assert!(rig.policy.sway_limit.is_none());
}

#[test]
fn a_car_may_come_whole_from_a_ready_set() {
    let text = base();
    let (start, end) = (text.find("mass = \"1480 kg\"").unwrap(), text.find("datum = {").unwrap());
    let tail = text[end..].replacen(
        "length = \"4.62 m\"\nwidth = \"1.81 m\"\nheight = \"1.49 m\"\nfront_overhang = \"900 mm\"\n",
        "",
        1,
    );
    let rig = sound(&format!("{}{tail}", text[..start].replacen("estate car\"  ", "compact car\"  ", 1)));
    let v = &rig.vehicle;
    // Vehicle 1 of the commonroad-vehicle-models 3.0.2 data set: 1225.888 kg, 2.39268 m, both to the set's rounding.
    assert!((v.mass.value - 1225.888).abs() < 0.5 && (v.wheelbase.value - 2.392_68).abs() < 0.001);
    assert!(v.mass.is_assumed() && v.mass.settle.contains("weigh") && v.mass.key == "vehicle.mass");
    assert!(v.roof_rating.is_none(), "no set knows the roof rating");
}

#[test]
fn every_check_has_one_row_and_a_name_of_its_own() {
    for check in rig::policy::CHECKS {
        assert_eq!(check.id.row().name, check.name);
        assert_eq!(
            rig::policy::CHECKS.iter().filter(|c| c.name == check.name || c.id == check.id).count(),
            1
        );
    }
}
