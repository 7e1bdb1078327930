//! Bolts where sections of the boom meet: proof load, opening and slip of the joint.

use super::bolt_ring::{self, force, largest};
use super::{Item, Side, Source, Swept};
use crate::context::Context;
use crate::finding::{HandCheck, Need};
use crate::parts::PartRef;
use quantity::Kind;
use rig::policy::CheckId;

/// Every joint whose bolts are stated, braces left out (they take load off it). Item data as [`bolt_ring::numbers`] gives it.
pub(super) struct BoomBolts(Vec<Item>);

impl BoomBolts {
    pub(super) fn of(ctx: &Context<'_>) -> Self {
        let mut items = Vec::new();
        if let (Some(model), Some(arm)) = (&ctx.arm, &ctx.rig.arm) {
            for (k, cut) in model.cuts.iter().enumerate() {
                let Some(section) = arm.sections.get(cut.section) else { continue };
                let Some(bolts) = &section.bolts else { continue };
                let (part, source) = (PartRef::BoomSection(cut.section), Source::Cut(k));
                let key = format!("arm.section.{}.bolts", section.tag);
                let of = format!("boom section {}", section.tag);
                if bolts.count == 2 {
                    let need = Need {
                        what: format!("three or more bolts on {of}: two hold no moment across their line"),
                        key,
                        settle: "count the bolts of the flange; a boom bends up, down and sideways"
                            .to_owned(),
                    };
                    items.push(Item::missing(part, source, need));
                    continue;
                }
                items.push(match bolt_ring::numbers(Some(bolts), (&key, "of", &of)) {
                    Ok(data) => Item::new(part, source, data),
                    Err(need) => Item::missing(part, source, need),
                });
            }
        }
        Self(items)
    }
}

/// `N Vy Vz T My Mz` of the boom as the ring reads it. A push along the boom counts as a pull, which is the safe side: the
/// flanges bear it, and it is small beside the bending.
fn ring(r: &[f64; 6]) -> [f64; 6] {
    let [n, vy, vz, t, my, mz] = *r;
    [vy, vz, -n.abs(), my, mz, t]
}

impl Swept for BoomBolts {
    fn id(&self) -> CheckId {
        CheckId::BoomBolts
    }

    fn kind(&self) -> Kind {
        Kind::Number
    }

    fn items(&self) -> &[Item] {
        &self.0
    }

    #[inline(always)]
    fn demand_capacity(&self, item: &Item, r: &[f64; 6]) -> (f64, f64) {
        (largest(&item.data, force(&item.data, &ring(r))), 1.0)
    }

    fn worse(&self) -> [Side; 6] {
        [Side::Size; 6]
    }

    fn hand(&self, item: &Item, r: &[f64; 6]) -> HandCheck {
        bolt_ring::hand(&item.data, &ring(r))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, fact, rig};
    use glam::{DVec2, DVec3};
    use mechanics::bolt::joint::bolt_forces;
    use mechanics::wrench::Wrench;
    use rig::model::{Bolts, Rig};

    fn bolts(count: usize) -> Bolts {
        Bolts {
            thread: "M8".to_owned(),
            class: "8.8".to_owned(),
            count,
            circle: 0.11,
            torque: fact(25.0),
            thread_friction: fact(0.14),
            face_friction: fact(0.15),
        }
    }

    fn bolted(count: usize) -> Rig {
        let mut rig = rig();
        for s in &mut rig.arm.as_mut().unwrap().sections {
            s.bolts = Some(bolts(count));
        }
        rig
    }

    #[test]
    fn the_worst_bolt_is_that_of_the_ring_turned_to_its_worst() {
        let rig = bolted(6);
        let check = BoomBolts::of(&context(&rig));
        let data = check.items()[0].data;
        // Pull 300 N, shear 120 and -160 N, torsion 11 N m, bending 90 and 120 N m.
        let r = [300.0, 120.0, -160.0, 11.0, 90.0, -120.0];
        let f = force(&data, &ring(&r));
        let (mut tension, mut shear) = (0.0_f64, 0.0_f64);
        for turn in 0..3600 {
            let at: Vec<DVec2> = (0..6)
                .map(|k| {
                    let a = f64::from(k) * core::f64::consts::TAU / 6.0 + f64::from(turn) * 1.745e-4 * 3.0;
                    DVec2::from_angle(a) * 0.055
                })
                .collect();
            // Ring axes: x, y across, z along the boom.
            let w = Wrench::new(DVec3::new(120.0, -160.0, 300.0), DVec3::new(90.0, -120.0, 11.0));
            for b in bolt_forces(&at, w).unwrap() {
                (tension, shear) = (tension.max(b.tension_n), shear.max(b.shear_n.length()));
            }
        }
        // By hand: 300/6 + 4 x 150 / (6 x 0.11) = 959.1 N; 200/6 + 2 x 11 / (6 x 0.11) = 66.7 N.
        assert!(
            (f.tension_n - (50.0 + 600.0 / 0.66)).abs() < 1e-9
                && (f.shear_n.x - 200.0 / 6.0 - 22.0 / 0.66).abs() < 1e-9
        );
        // The ring turned in steps of 0.03 deg meets the worst place to (0.03 deg)² / 2.
        assert!((tension / f.tension_n - 1.0).abs() < 1e-6, "{tension} {}", f.tension_n);
        assert!((shear / f.shear_n.x - 1.0).abs() < 1e-6, "{shear} {}", f.shear_n.x);
    }

    #[test]
    fn a_joint_without_stated_bolts_is_not_looked_at_and_two_bolts_are_not_enough() {
        assert!(BoomBolts::of(&context(&rig())).items().is_empty());
        let two = bolted(2);
        let check = BoomBolts::of(&context(&two));
        assert!(
            check.items().iter().all(|i| i.missing.as_ref().is_some_and(|n| n.what.starts_with("three")))
        );
        assert_eq!(check.items().len(), 2, "front and tail");
    }

    #[test]
    fn the_tail_pulls_on_its_joint_as_it_weighs() {
        use crate::state::StateId;
        use crate::sweep::numbers;
        use mechanics::STANDARD_GRAVITY as G;
        use mechanics::arm::Pose;
        let rig = bolted(6);
        let ctx = context(&rig);
        let check = BoomBolts::of(&ctx);
        let (pan_rad, elevation_rad) = (0.7, 0.3_f64);
        // "steady" at 10 m/s without gusts blows on it: its wind is taken out by one of no speed.
        let mut calm = rig.clone();
        calm.manoeuvres[0].speed = fact(0.0);
        let still = context(&calm);
        let state = StateId { failure: 0, drive: 0, motion: 0, pose: Pose { pan_rad, elevation_rad } };
        let r = numbers(&still, check.items()[1].source, &state);
        // Tail 2.4 kg with its middle at -0.3 m, counterweight at -0.6 m, both on the axis.
        let cw = 19.28 / 0.6;
        let (w, m) = (2.4 + cw, 2.4 * 0.3 + cw * 0.6);
        let (s, c) = elevation_rad.sin_cos();
        let want = [-w * G * s, 0.0, -w * G * c, 0.0, -m * G * c, 0.0];
        for (a, b) in r.iter().zip(want) {
            // Rounding of a few hundred N.
            assert!((a - b).abs() < 1e-9, "{r:?} {want:?}");
        }
        assert_eq!(check.items().len(), 2);
    }
}
