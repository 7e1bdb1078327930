//! On the small rig of the unit tests.

use super::*;
use crate::context::Resolution;
use crate::parts::PartRef;
use crate::testing::rig as small;
use quantity::Kind;
use rig::model::Hold;

/// Wide steps: the same sums in a tenth of the time.
fn options() -> Options<'static> {
    Options { resolution: Resolution::wide(), ..Options::default() }
}

/// A wider roof, so that cups can be moved and one more set down; the arm looks ahead only, which keeps the tests short.
fn roomy() -> Rig {
    let mut rig = small();
    rig.panels[0].size = (2.4, 1.5);
    if let Some(arm) = &mut rig.arm {
        (arm.pan, arm.elevation) = ((-0.5, 0.5), (0.0, 0.2));
    }
    rig
}

fn of_check(check: CheckId, situation: &str) -> Finding {
    Finding::of(check, PartRef::Rig, Kind::Number, 1.0, 1.0, 1.0).when(situation)
}

#[test]
fn every_change_gives_a_rig_that_can_be_computed() {
    let list = changes(&roomy(), &of_check(CheckId::Rollover, "bend; boom 90° R"), &options()).unwrap();
    for c in &list {
        let ctx = Context::new(&c.rig, options().build);
        assert!(ctx.is_ok_and(|ctx| ctx.failures[0].responses.is_ok()), "{}", c.what);
    }
    for says in [
        "move cup FL 100 mm (4 in) to the right along tube TF",
        "move cups FL and FR closer together",
        "add a cup like FL on tube TF",
        "slide tube TF with its cups 100 mm (4 in) aft",
        "set tubes TF and TR 100 mm (4 in) farther apart",
        "pump every cup to 91 kPa",
        "mast 100 mm (4 in) shorter",
        "tighten strap S by 100 N",
        "add a strap like S over tube TR",
        "slow the pan to 70 %",
        "take 10 % off the payload, 600 g (1.32 lb), and 2 kg",
        "in bend drive 10 km/h (6 mph) slower",
        "in bend drive 20 % more gently, at 0.29 g instead of 0.36 g",
        "park the arm for bend",
    ] {
        assert!(list.iter().any(|c| c.what.contains(says)), "{says}: {:#?}", whats(&list));
    }
    // Nothing to gain on a dry, clean roof with every clamp at its torque.
    assert!(!list.iter().any(|c| c.what.contains("wipe") || c.what.contains("clamp")));
}

fn whats(list: &[Change]) -> Vec<&str> {
    list.iter().map(|c| c.what.as_str()).collect()
}

#[test]
fn a_moved_cup_stays_under_its_tube_on_the_surface() {
    let mut rig = roomy();
    rig.panels[0].crown.1.value = 6.0;
    let target = of_check(CheckId::CupSeal, "");
    let mut moved = 0;
    for c in changes(&rig, &target, &options()).unwrap() {
        for (i, cup) in c.rig.cups.iter().enumerate() {
            let panel = &c.rig.panels[cup.panel];
            if rig.cups.get(i).is_some_and(|b| b.at == cup.at) {
                continue;
            }
            moved += 1;
            // Exact but for rounding.
            assert!(cup.at.distance(panel.point(cup.place.0, cup.place.1)) < 1e-12, "{}", c.what);
            assert!(
                cup.head.distance(cup.at + cup.normal * cup.height) < 1e-12
                    && cup.along.dot(cup.normal).abs() < 1e-12
            );
            let Hold::Tube { tube, s } = cup.holds else { panic!("{}", c.what) };
            // The pivoting head takes up 40 mm to the side.
            assert!(c.rig.tubes[tube].point(s).distance(cup.head) < 0.04, "{}", c.what);
        }
    }
    assert!(moved > 20, "{moved}");
}

#[test]
fn what_is_told_of_a_change_is_what_a_fresh_check_finds() {
    let rig = roomy();
    let advice = advise(&rig, Some(CheckId::CupSeal), &options()).unwrap();
    let target = advice.target.clone().unwrap();
    let list = changes(&rig, &target, &options()).unwrap();
    assert!(advice.helps.len() > 3 && !advice.worse.is_empty() && advice.refused == 0);
    assert_eq!(advice.helps.len() + advice.idle.len() + advice.worse.len(), list.len());
    let all = advice.helps.iter().chain(&advice.idle).chain(&advice.worse);
    for t in all.step_by(3) {
        let rig = &list.iter().find(|c| c.what == t.what).unwrap().rig;
        let fresh = crate::verdict::check(rig, &options()).unwrap();
        let own = least(fresh.findings.iter().filter(|f| f.check == CheckId::CupSeal)).0;
        // The same sums in the same order.
        assert!((own - t.margin).abs() < 1e-12, "{}: {own} {}", t.what, t.margin);
        if let Some(w) = &t.whole {
            assert_eq!(
                (w.least.to_bits(), w.governs),
                (least(&fresh.findings).0.to_bits(), least(&fresh.findings).1)
            );
            assert_eq!(w.holds, failing(&fresh.findings).is_empty());
        }
    }
}

#[test]
fn what_helps_most_stands_first_and_what_cannot_help_stands_apart() {
    let advice = advise(&roomy(), Some(CheckId::CupSlip), &options()).unwrap();
    let now = advice.target.as_ref().unwrap().margin.unwrap();
    let place = |list: &[Tried], says: &str| list.iter().position(|t| t.what.contains(says));
    // More vacuum presses the rubber harder; the tilt drive's torque has nothing to do with the cup.
    let vacuum = place(&advice.helps, "pump every cup").unwrap();
    assert!(advice.helps[vacuum].margin > 1.05 * now);
    assert!(place(&advice.helps, "carry").is_none());
    let clean: Vec<&Tried> = advice.helps.iter().filter(|t| !t.breaks()).collect();
    for pair in clean.windows(2) {
        assert!(pair[0].margin > pair[1].margin - 1e-6, "{} before {}", pair[0].what, pair[1].what);
    }
    assert!(advice.worse.iter().all(|t| t.margin < now && t.whole.is_none()));
    assert!(advice.idle.iter().all(|t| (t.margin - now).abs() < 0.01 * now.max(1.0)));
}

#[test]
fn a_change_that_breaks_something_else_says_so_and_comes_last() {
    let mut rig = roomy();
    // The roof bears just what stands on it: one more cup is too much for it.
    let now = nominal(&rig, &options()).unwrap();
    let roof = now.iter().find(|f| f.check == CheckId::RoofLoad).unwrap();
    let limit = roof.demand * 1.01;
    rig.vehicle.roof_rating = Some(crate::testing::fact(limit));
    let advice = advise(&rig, Some(CheckId::CupSlip), &options()).unwrap();
    let more = advice.helps.iter().find(|t| t.what.starts_with("add a cup")).unwrap();
    assert_eq!(more.whole.as_ref().unwrap().breaks, [CheckId::RoofLoad]);
    let first_bad = advice.helps.iter().position(Tried::breaks).unwrap();
    assert!(advice.helps[first_bad..].iter().all(Tried::breaks) && first_bad > 0);
}

#[test]
fn a_missing_fact_comes_first() {
    let mut rig = roomy();
    rig.panels[0].pull_limit = None;
    let all = advise(&rig, None, &options()).unwrap();
    assert!(all.target.is_some() && all.missing.iter().any(|n| n.key == "panel.roof.pull_limit"));
    let one = advise(&rig, Some(CheckId::PanelPull), &options()).unwrap();
    assert!(one.target.is_none() && one.applies && one.helps.is_empty() && one.missing.len() == 1);
    let other = advise(&rig, Some(CheckId::CupSeal), &options()).unwrap();
    assert!(other.missing.is_empty());
}

#[test]
fn wiping_tightening_and_stouter_tube_are_told_where_they_apply() {
    let mut rig = roomy();
    let wet = rig::friction_of("clean paint", true).unwrap();
    (rig.panels[0].wet, rig.panels[0].friction) = (true, wet);
    rig.clamps[0].torque.value = 30.0;
    for t in &mut rig.tubes {
        t.section =
            rig::tube_sections().into_iter().find(|s| s.part == "tube 48.3 x 4.0 EN AW-6082 T6").unwrap();
    }
    let list = changes(&rig, &of_check(CheckId::CupSlip, ""), &options()).unwrap();
    let find = |says: &str| list.iter().find(|c| c.what.contains(says)).unwrap_or_else(|| panic!("{says}"));
    let dry = &find("wipe panel roof dry").rig.panels[0];
    assert!(!dry.wet && (dry.friction.value - 0.5).abs() < 1e-12);
    assert!(
        (find("tighten clamps K1 to its rated torque, 50 N·m").rig.clamps[0].torque.value - 50.0).abs()
            < 1e-12
    );
    let thick = &find("grid of tube 48.3 x 5.0 EN AW-6082 T6").rig;
    assert!(thick.tubes.iter().all(|t| (t.section.wall - 0.005).abs() < 1e-12));
    let wide = &find("grid of tube 60.3 x 4.0 EN AW-6082 T6").rig;
    // The rails lie a tube's growth higher on the cups' tubes, which stay.
    assert!((wide.tubes[2].a.z - rig.tubes[2].a.z - 0.012).abs() < 1e-9);
    assert!((wide.tubes[0].a.z - rig.tubes[0].a.z).abs() < 1e-12);
    // A friction that somebody measured is not argued with.
    rig.panels[0].friction.value = 0.23;
    let list = changes(&rig, &of_check(CheckId::CupSlip, ""), &options()).unwrap();
    assert!(!list.iter().any(|c| c.what.contains("wipe")));
}

#[test]
fn less_payload_leaves_the_boom_in_balance() {
    let rig = roomy();
    let list = changes(&rig, &of_check(CheckId::CupSlip, ""), &options()).unwrap();
    let c = list.iter().find(|c| c.what.contains("off the payload")).unwrap();
    let moment = |r: &Rig| {
        let a = r.arm.as_ref().unwrap();
        a.payload.mass.value * (2.0 + a.payload.centre.x)
            - a.counterweight.mass.value * a.counterweight.behind.value
    };
    assert!((c.rig.arm.as_ref().unwrap().payload.mass.value - 5.4).abs() < 1e-12);
    assert!((moment(&c.rig) - moment(&rig)).abs() < 1e-12);
}

#[test]
fn the_same_line_slower_takes_the_square_of_the_speed_off_the_side() {
    let mut rig = roomy();
    // 54 km/h, 44 km/h.
    rig.manoeuvres[2].speed.value = 15.0;
    let list = changes(&rig, &of_check(CheckId::Rollover, "bend; boom 90° R"), &options()).unwrap();
    let slow = &list.iter().find(|c| c.what.starts_with("in bend drive 10 km/h")).unwrap().rig.manoeuvres[2];
    let share = 44.0 / 54.0;
    assert!(
        (slow.left.value - 3.5 * share * share).abs() < 1e-9 && (slow.speed.value * 3.6 - 44.0).abs() < 1e-9
    );
}

#[test]
fn a_rig_and_its_mirror_image_get_mirrored_advice() {
    // Lopsided, so that the two sides differ.
    let mut rig = roomy();
    assert!(rig::stand_cup(&mut rig, 0, (-0.5, -0.40)).is_some());
    rig.manoeuvres.truncate(2);
    let flip = |v: glam::DVec3| glam::DVec3::new(v.x, -v.y, v.z);
    let mut other = rig.clone();
    for c in &mut other.cups {
        (c.at, c.head, c.normal, c.along, c.place.1) =
            (flip(c.at), flip(c.head), flip(c.normal), flip(c.along), -c.place.1);
    }
    other.tubes.iter_mut().for_each(|t| (t.a, t.b) = (flip(t.a), flip(t.b)));
    other.legs.iter_mut().for_each(|l| l.top = flip(l.top));
    other.straps.iter_mut().flat_map(|s| &mut s.path).for_each(|p| p.at = flip(p.at));
    let advice = |r: &Rig| advise(r, Some(CheckId::CupSeal), &options()).unwrap();
    let (one, two) = (advice(&rig), advice(&other));
    assert!(one.helps.len() > 3 && one.helps.len() == two.helps.len());
    for (a, b) in one.helps.iter().zip(&two.helps) {
        // Sums of hundreds of terms in another order.
        assert!(
            (a.margin - b.margin).abs() < 1e-6 * a.margin,
            "{} {} / {} {}",
            a.what,
            a.margin,
            b.what,
            b.margin
        );
    }
    let turned = |w: &str| w.replace("left", "\u{1}").replace("right", "left").replace('\u{1}', "right");
    let mut mirrored: Vec<String> = one.helps.iter().map(|t| turned(&t.what)).collect();
    let mut said: Vec<String> = two.helps.iter().map(|t| t.what.clone()).collect();
    mirrored.sort();
    said.sort();
    assert_eq!(mirrored, said);
}
