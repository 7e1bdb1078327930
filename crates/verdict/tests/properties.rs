//! What must hold of every rig, whatever it looks like: random ladder rigs, written as files and read.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test program: a fault stops the test; counts are small"
)]

#[path = "common/always.rs"]
mod always;
mod common;
#[path = "common/ladder.rs"]
mod ladder;

use always::always;
use common::{all_known, example};
use glam::{DMat3, DVec3};
use ladder::{Ladder, ladders};
use mechanics::arm::Pose;
use mechanics::frame::Load;
use mechanics::wrench::Wrench;
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;
use rig::Rig;
use rig::model::{Hold, Item, PathPoint};
use rig::policy::{CheckId, Factors};
use verdict::check::{Source, Swept, reserve, retention, swept, utilisation};
use verdict::context::Resolution;
use verdict::responses::{ARM_COLUMN, mast_node, wind_load};
use verdict::structure::BuildOptions;
use verdict::{Context, PartRef, StateId, sweep};

/// Relative rounding of a solved rig: condition times 1e-16, with room.
const ROUNDING: f64 = 1e-9;

fn context(rig: &Rig) -> Context<'_> {
    Context::new(rig, BuildOptions::default()).unwrap()
}

/// One state out of four numbers from 0 to 1.
fn state(ctx: &Context<'_>, pick: (f64, f64, f64, (f64, f64))) -> StateId {
    let index = |x: f64, n: usize| ((x * n as f64).floor() as usize).min(n - 1);
    let drive = index(pick.1, ctx.actions.drives.len());
    let between = |(from, to): (f64, f64), x: f64| from + (to - from) * x;
    let pose = ctx.rig.arm.as_ref().map_or(Pose::default(), |a| Pose {
        pan_rad: between(a.pan, pick.3.0),
        elevation_rad: between(a.elevation, pick.3.1),
    });
    StateId {
        failure: index(pick.0, ctx.failures.len()),
        drive,
        motion: index(pick.2, ctx.motions(drive)),
        pose,
    }
}

fn picks() -> impl Strategy<Value = (f64, f64, f64, (f64, f64))> {
    (0.0..1.0, 0.0..1.0, 0.0..1.0, (0.0..1.0, 0.0..1.0))
}

/// What cups and straps do to the rig in a state, about the origin, and the size of what is summed.
fn held_by(ctx: &Context<'_>, state: &StateId) -> (Wrench, f64) {
    let (u, _) = ctx.action_of(state);
    let r = ctx.failures[state.failure].responses.as_ref().unwrap().respond(&u);
    let (mut sum, mut size) = (Wrench::ZERO, 0.0);
    for (c, cup) in ctx.rig.cups.iter().enumerate() {
        let row = ctx.layout.cup[c];
        let across = cup.normal.cross(cup.along);
        let out = |k: usize| cup.along * r[row + k] + across * r[row + k + 1] + cup.normal * r[row + k + 2];
        sum += Wrench::new(out(0), out(3)).about(cup.at, DVec3::ZERO);
        size += out(0).length() + out(3).length();
    }
    for (s, strap) in ctx.rig.straps.iter().enumerate() {
        let Some(row) = ctx.layout.strap[s] else { continue };
        let tension = r[row];
        assert!(tension >= -1e-6, "a strap only pulls: {tension}");
        for (i, p) in strap.path.iter().enumerate().filter(|(_, p)| p.on != Hold::Body) {
            let beside = [i.checked_sub(1), Some(i + 1)];
            for other in beside.into_iter().flatten().filter_map(|k| strap.path.get(k)) {
                let pull = (other.at - p.at).normalize() * tension;
                sum += Wrench::of_force_at(pull, p.at);
                size += tension;
            }
        }
    }
    (sum, size)
}

fn in_equilibrium(ctx: &Context<'_>, state: &StateId) -> Result<(), TestCaseError> {
    let (held, size) = held_by(ctx, state);
    let action = reserve::total_action(ctx, state);
    let left = held + action;
    let size = size + action.force.length() + action.moment.length();
    prop_assert!(left.force.length() <= ROUNDING * size, "{:?}: {left:?} of {size}", state);
    prop_assert!(left.moment.length() <= ROUNDING * size, "{:?}: {left:?} of {size}", state);
    Ok(())
}

#[test]
fn every_state_is_in_equilibrium() {
    always(12, &(ladders(), prop::collection::vec(picks(), 8)), |(ladder, picks)| {
        let rig = ladder.rig();
        let ctx = context(&rig);
        picks.iter().try_for_each(|p| in_equilibrium(&ctx, &state(&ctx, *p)))
    });
    for (name, _) in common::EXAMPLES {
        let rig = example(name);
        let ctx = context(&rig);
        always(12, &picks(), |p| in_equilibrium(&ctx, &state(&ctx, p)));
    }
}

/// Moves every point and direction of a rig.
fn moved(rig: &Rig, point: impl Fn(DVec3) -> DVec3, direction: impl Fn(DVec3) -> DVec3) -> Rig {
    let mut out = rig.clone();
    for c in &mut out.cups {
        (c.at, c.head) = (point(c.at), point(c.head));
        (c.normal, c.along) = (direction(c.normal), direction(c.along));
    }
    for t in &mut out.tubes {
        (t.a, t.b) = (point(t.a), point(t.b));
    }
    for p in &mut out.platforms {
        (p.at, p.along, p.normal) = (point(p.at), direction(p.along), direction(p.normal));
    }
    out.legs.iter_mut().for_each(|l| l.top = point(l.top));
    out.straps.iter_mut().flat_map(|s| &mut s.path).for_each(|p| p.at = point(p.at));
    out.items.iter_mut().for_each(|i| i.at = point(i.at));
    out
}

/// Cup rows, strap tensions and platform movement for a specific force and an arm wrench.
fn answers(rig: &Rig, b: DVec3, w: Wrench) -> Vec<Vec<f64>> {
    let ctx = context(rig);
    let r = ctx.failures[0].responses.as_ref().unwrap();
    let mut u = vec![0.0; ctx.columns.count()];
    u[..3].copy_from_slice(&b.to_array());
    u[ARM_COLUMN..ARM_COLUMN + 6].copy_from_slice(&w.to_array());
    for (s, t) in ctx.taken_up.iter().enumerate() {
        u[ctx.columns.strand(s)] = *t;
    }
    let r = r.respond(&u);
    let six = |row: &usize| r[*row..*row + 6].to_vec();
    let mut out: Vec<Vec<f64>> = ctx.layout.cup.iter().map(six).collect();
    out.extend(ctx.layout.strap.iter().flatten().map(|row| vec![r[*row]]));
    out.extend(ctx.layout.platform.iter().map(six));
    out
}

fn alike(a: &[Vec<f64>], b: &[Vec<f64>]) -> Result<(), TestCaseError> {
    prop_assert_eq!(a.len(), b.len());
    let largest = a.iter().flatten().fold(1e-12_f64, |m, x| m.max(x.abs()));
    for (x, y) in a.iter().zip(b) {
        // Movements are far smaller than forces: each part against its own size, rounding against the largest.
        let own = x.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        for (x, y) in x.iter().zip(y) {
            prop_assert!((x - y).abs() <= 1e-7 * own + 1e-14 * largest, "{x} {y}");
        }
    }
    Ok(())
}

#[test]
fn a_rig_turned_with_its_loads_gives_the_same() {
    always(10, &(ladders(), -3.0..3.0_f64, -1e3..1e3_f64, -1e3..1e3_f64), |(ladder, angle, p, q)| {
        let rig = ladder.rig();
        let (b, w) =
            (DVec3::new(2.0, -3.0, -9.0), Wrench::new(DVec3::new(p, q, -300.0), DVec3::new(q, p, 40.0)));
        let turn = DMat3::from_rotation_z(angle);
        let other = moved(&rig, |v| turn * v + DVec3::new(0.3, -0.2, 0.5), |v| turn * v);
        let mut expected = answers(&rig, b, w);
        let movement = expected.last_mut().unwrap();
        let (u, t) = (turn * DVec3::from_slice(&movement[..3]), turn * DVec3::from_slice(&movement[3..]));
        *movement = [u.to_array(), t.to_array()].concat();
        alike(&expected, &answers(&other, turn * b, Wrench::new(turn * w.force, turn * w.moment)))
    });
}

#[test]
fn a_rig_and_its_mirror_image_give_mirrored_answers() {
    always(10, &(ladders(), -1e3..1e3_f64, -1e3..1e3_f64), |(ladder, p, q)| {
        let rig = ladder.rig();
        let (b, w) =
            (DVec3::new(2.0, -3.0, -9.0), Wrench::new(DVec3::new(p, q, -300.0), DVec3::new(q, p, 40.0)));
        let flip = |v: DVec3| DVec3::new(v.x, -v.y, v.z);
        let other = moved(&rig, flip, flip);
        // Forces mirror, moments mirror and change sign; the cup's own axis across is normal x along.
        let expected: Vec<Vec<f64>> = answers(&rig, b, w)
            .into_iter()
            .map(|v| if v.len() == 6 { vec![v[0], -v[1], v[2], -v[3], v[4], -v[5]] } else { v })
            .collect();
        alike(&expected, &answers(&other, flip(b), Wrench::new(flip(w.force), -flip(w.moment))))
    });
}

#[test]
fn one_solve_of_all_loads_together_gives_what_the_columns_add_up_to() {
    always(10, &(ladders(), picks()), |(ladder, pick)| {
        let rig = ladder.rig();
        let ctx = context(&rig);
        let state = StateId { failure: 0, ..state(&ctx, pick) };
        let (u, arm) = ctx.action_of(&state);
        let d = &ctx.actions.drives[state.drive];
        let mut load: Load = wind_load(&rig, &ctx.structure, ctx.actions.density, ctx.actions.winds[d.wind]);
        load.specific_force = d.gravity - d.acceleration;
        load.nodal.push((mast_node(&rig, &ctx.structure).unwrap(), Wrench::from_array(arm.wrench)));
        load.fitted = (0..ctx.columns.strands).map(|s| (s, u[ctx.columns.strand(s)])).collect();
        let factored = ctx.structure.frame.factor(&[]).unwrap();
        let loads = [load];
        let solved = factored.solve(&loads).unwrap();
        let r = ctx.failures[0].responses.as_ref().unwrap().respond(&u);
        for (c, row) in ctx.layout.cup.iter().enumerate() {
            for (k, v) in solved.support(0, c).iter().enumerate() {
                prop_assert!((r[row + k] - v).abs() <= 1e-6, "{} {v}", r[row + k]);
            }
        }
        for (s, row) in ctx.layout.strap.iter().flatten().enumerate() {
            prop_assert!((r[*row] - solved.tension(0, s)).abs() <= 1e-6);
        }
        Ok(())
    });
}

/// What the plain way says of one item in one state.
fn plain(ctx: &Context<'_>, check: &dyn Swept, item: usize, state: &StateId) -> f64 {
    let item = &check.items()[item];
    let (demand, capacity) = check.demand_capacity(item, &sweep::numbers(ctx, item.source, state));
    utilisation(demand, capacity)
}

#[test]
fn the_sweep_agrees_with_the_plain_way() {
    // A narrow range at under a degree: nothing is left to look at more closely, so all is the batch's own.
    let step = Resolution { pan: 0.9_f64.to_radians(), elevation: 0.9_f64.to_radians() };
    always(6, &(ladders(), 0.0..6.0_f64, prop::collection::vec(picks(), 12)), |(ladder, pan, picks)| {
        let mut rig = ladder.rig();
        let arm = rig.arm.as_mut().unwrap();
        arm.pan = (pan - 0.02, pan + 0.02);
        arm.elevation = (0.3, 0.33);
        let ctx = context(&rig);
        let checks = swept(&ctx);
        let found = sweep::sweep(&ctx, &checks, step, &|_| {});
        for (check, pairs) in checks.iter().zip(&found.pairs) {
            for (i, pair) in pairs.iter().enumerate() {
                for worst in [pair.intact, pair.lost].into_iter().flatten() {
                    let u = plain(&ctx, check.as_ref(), i, &worst.state);
                    prop_assert!(
                        (u - worst.utilisation).abs() <= 1e-9 * u.abs().max(1.0),
                        "{:?}: {u} against {}",
                        check.id(),
                        worst.utilisation
                    );
                }
                // No state of the grid is worse than what was kept.
                for p in &picks {
                    let mut s = state(&ctx, *p);
                    let poses = ctx.poses(step);
                    s.pose = poses[(p.3.0 * poses.len() as f64) as usize];
                    let item = &check.items()[i];
                    let lost = ctx.failures[s.failure].lost;
                    if item.missing.is_some() || lost == Some(item.part) {
                        continue;
                    }
                    if s.failure > 0 && !matches!(item.source, Source::Rows { .. }) {
                        continue;
                    }
                    let kept = if s.failure == 0 { pair.intact } else { pair.lost };
                    let u = plain(&ctx, check.as_ref(), i, &s);
                    let kept = kept.unwrap().utilisation;
                    prop_assert!(u <= kept * (1.0 + 1e-9) + 1e-12, "{:?}: {u} over {kept}", check.id());
                }
            }
        }
        Ok(())
    });
}

fn coarse() -> Resolution {
    Resolution { pan: 60.0_f64.to_radians(), elevation: 30.0_f64.to_radians() }
}

/// Utilisations of one check at its grid's worst, item by item: nothing lost, one part lost.
fn worst_of(ctx: &Context<'_>, id: CheckId) -> Vec<f64> {
    let checks = swept(ctx);
    let found = sweep::sweep(ctx, &checks, coarse(), &|_| {});
    let at = checks.iter().position(|c| c.id() == id).unwrap();
    found.pairs[at].iter().flat_map(|p| [p.intact, p.lost]).map(|w| w.unwrap().utilisation).collect()
}

#[test]
fn more_vacuum_never_lowers_a_cups_margin() {
    always(4, &ladders(), |ladder| {
        let mut rig = ladder.rig();
        let checks = [CheckId::CupSeal, CheckId::CupSlip];
        let before: Vec<Vec<f64>> = checks.map(|id| worst_of(&context(&rig), id)).to_vec();
        rig.cups.iter_mut().for_each(|c| c.vacuum.as_mut().unwrap().value += 4e3);
        for (id, before) in checks.iter().zip(before) {
            for (a, b) in worst_of(&context(&rig), *id).iter().zip(before) {
                // Seeking the worst pose may stop a little elsewhere.
                prop_assert!(*a <= b * 1.0001, "{id:?}: {a} over {b}");
            }
        }
        Ok(())
    });
}

#[test]
fn friction_at_its_low_end_never_shows_a_better_slip_margin() {
    always(4, &ladders(), |ladder| {
        let rig = ladder.rig();
        let groups = verdict::vary::groups(&rig);
        let friction = groups.iter().find(|g| g.name.ends_with("friction")).unwrap();
        let low = verdict::vary::with(&rig, &[(friction, verdict::vary::End::Low)]);
        prop_assert!(low.panels[0].friction.value < rig.panels[0].friction.value);
        let (nominal, low) =
            (worst_of(&context(&rig), CheckId::CupSlip), worst_of(&context(&low), CheckId::CupSlip));
        for (n, l) in nominal.iter().zip(&low) {
            prop_assert!(l * 1.0001 >= *n, "{l} under {n}");
        }
        Ok(())
    });
}

/// All masses of the rig by a factor (people and the car left alone).
fn heavier(rig: &Rig, by: f64) -> Rig {
    let mut out = rig.clone();
    for m in out.cups.iter_mut().map(|c| &mut c.mass) {
        m.value *= by;
    }
    out.tubes.iter_mut().for_each(|t| t.section.material.density *= by);
    out.clamps.iter_mut().for_each(|c| c.mass.value *= by);
    out.legs.iter_mut().for_each(|l| l.mass.value *= by);
    out.platforms.iter_mut().for_each(|p| p.mass.value *= by);
    out.items.iter_mut().for_each(|i| i.mass.value *= by);
    if let Some(a) = &mut out.arm {
        a.sections.iter_mut().for_each(|s| s.mass.value *= by);
        for m in [
            &mut a.base_mass.0,
            &mut a.head_mass.0,
            &mut a.counterweight.mass,
            &mut a.isolator.mass,
            &mut a.payload.mass,
        ] {
            m.value *= by;
        }
    }
    out
}

/// Every force of a held throw may be scaled down with the mass: contacts are cones, straps reach from 0 to LC. So a
/// rig heavier all through is never held better. (Of one mass alone this is not so: its weight may steady the rig.)
#[test]
fn a_heavier_rig_is_never_retained_better() {
    always(4, &(ladders(), 1.05..1.6_f64), |(ladder, by)| {
        let rig = Ladder { straps: 2, ..ladder }.rig();
        let heavy = heavier(&rig, by);
        let tasks = retention::check(&context(&rig), None);
        for (light, heavy) in tasks.findings.iter().zip(retention::check(&context(&heavy), None).findings) {
            // Answers are rounded down by up to ten times a remainder of 1e-6 (`mechanics::limit`).
            prop_assert!(
                heavy.capacity <= light.capacity * 1.0001 + 1e-5,
                "{} {}",
                heavy.capacity,
                light.capacity
            );
        }
        Ok(())
    });
}

#[test]
fn a_stated_factor_scales_its_margins_and_no_others() {
    let mut rig = example("bonnet-camera");
    all_known(&mut rig);
    let options = verdict::verdict::Options { resolution: coarse(), ..Default::default() };
    let before = verdict::verdict::check(&rig, &options).unwrap();
    let was = rig.policy.factors(CheckId::CupSlip);
    rig.policy.factors.push((CheckId::CupSlip, Factors { intact: was.intact * 1.5, lost: was.lost * 2.0 }));
    let after = verdict::verdict::check(&rig, &options).unwrap();
    let mut seen = 0;
    for f in &before.findings {
        let same = |g: &&verdict::Finding| {
            (g.check, g.part, &g.place, &g.situation) == (f.check, f.part, &f.place, &f.situation)
        };
        let g = after.findings.iter().find(same).unwrap();
        let by = match (f.check, f.state.map(|s| s.failure > 0)) {
            (CheckId::CupSlip, Some(false)) => 1.5,
            (CheckId::CupSlip, _) => 2.0,
            _ => 1.0,
        };
        let (Some(a), Some(b)) = (f.margin, g.margin) else { continue };
        assert!(a.is_infinite() || (a / b - by).abs() < 1e-9, "{:?} {a} {b}", f.check);
        seen += usize::from(by > 1.0);
    }
    assert_eq!(seen, 6, "three cups, intact and with one lost");
}

#[test]
fn a_cup_taken_away_and_put_back_gives_the_same_to_the_last_bit() {
    always(4, &ladders(), |ladder| {
        let rig = ladder.rig();
        let mut without = rig.clone();
        let cup = without.cups.remove(1);
        let first = context(&rig).failures[0].responses.clone().unwrap();
        let gone = context(&without).failures[0].responses.clone().unwrap();
        prop_assert!(gone.r.len() < first.r.len());
        without.cups.insert(1, cup);
        let back = context(&without).failures[0].responses.clone().unwrap();
        prop_assert!(first == back);
        Ok(())
    });
}

#[test]
fn a_lost_cup_is_a_rig_without_it_that_still_carries_its_mass() {
    always(6, &ladders(), |ladder| {
        let rig = ladder.rig();
        let lost = 1;
        let mut without = rig.clone();
        let cup = without.cups.remove(lost);
        without.items.push(Item {
            tag: "dead".to_owned(),
            mass: cup.mass.clone(),
            at: cup.at,
            on: cup.holds,
            drag: None,
        });
        let (full, gone) = (context(&rig), context(&without));
        let (a, b) = (
            full.failures[1 + lost].responses.as_ref().unwrap(),
            gone.failures[0].responses.as_ref().unwrap(),
        );
        for (c, row) in gone.layout.cup.iter().enumerate() {
            let of_full = full.layout.cup[c + usize::from(c >= lost)];
            for k in 0..6 {
                for (x, y) in a.row(of_full + k).iter().zip(b.row(row + k)) {
                    // Stations of the tube differ where the cup stood: the same beam, cut once less.
                    prop_assert!((x - y).abs() <= 1e-6 * x.abs().max(1.0), "{x} {y}");
                }
            }
        }
        for k in 0..6 {
            prop_assert!(a.row(full.layout.cup[lost] + k).iter().all(|v| *v == 0.0));
        }
        Ok(())
    });
}

/// Writes every quantity of a file in the other units: feet, inches, pounds.
fn in_other_units(text: &str) -> String {
    let factor = |unit: &str| -> Option<(f64, &'static str)> {
        Some(match unit {
            "mm" => (1.0 / 25.4, "in"),
            "m" => (1.0 / 0.3048, "ft"),
            "kg" => (1.0 / 0.453_592_37, "lb"),
            "N" => (1.0 / 4.448_221_615_260_5, "lbf"),
            "kN" => (1000.0 / 4.448_221_615_260_5, "lbf"),
            "km/h" => (1.0 / 1.609_344, "mph"),
            "inHg" => (3.386_388_64, "kPa"),
            _ => return None,
        })
    };
    let mut out = String::new();
    for (i, piece) in text.split('"').enumerate() {
        if i > 0 {
            out.push('"');
        }
        let new = (i % 2 == 1)
            .then(|| piece.split_once(' '))
            .flatten()
            .and_then(|(n, unit)| Some((n.parse::<f64>().ok()?, factor(unit)?)))
            .map(|(n, (by, unit))| format!("{:.14} {unit}", n * by));
        out.push_str(new.as_deref().unwrap_or(piece));
    }
    out
}

#[test]
fn the_same_rig_in_feet_and_pounds_has_the_same_margins() {
    let kit = include_str!("../../../examples/kit.toml");
    for (name, text) in common::EXAMPLES {
        let metric = example(name);
        let other = in_other_units(text);
        assert!(other.matches(" lb\"").count() > 3 && other.matches(" in\"").count() > 5, "{name}");
        let reading = rig::read(&other, name, &|_| Ok(in_other_units(kit)));
        let imperial = reading.rig.unwrap_or_else(|| panic!("{name}: {:#?}", reading.diagnostics));
        let findings = |rig: &Rig| {
            let mut rig = rig.clone();
            all_known(&mut rig);
            let options = verdict::verdict::Options { resolution: coarse(), ..Default::default() };
            verdict::verdict::check(&rig, &options).unwrap().findings
        };
        let mut seen = 0;
        let (a, b) = (findings(&metric), findings(&imperial));
        assert_eq!(a.len(), b.len());
        for f in &a {
            let Some(m) = f.margin else { continue };
            let lost = |f: &verdict::Finding| f.state.map(|s| s.failure > 0);
            let like = |g: &&verdict::Finding| {
                (g.check, g.part, lost(g)) == (f.check, f.part, lost(f))
                    && (g.place == f.place || matches!(f.check, CheckId::TubeStress | CheckId::Rollover))
            };
            // Limit analysis rounds its answer down by what is left over; clearances are small differences of lengths.
            let tolerance = match f.check {
                CheckId::Retention | CheckId::Reserve => 1e-4,
                _ => 1e-7,
            };
            let near = b.iter().filter(like).filter_map(|g| g.margin);
            let off = near.map(|n| (m - n).abs() / m.abs()).fold(f64::INFINITY, f64::min);
            assert!(
                m.is_infinite() || m == 0.0 || off < tolerance,
                "{name} {:?} {}: {off:e}",
                f.check,
                f.place
            );
            seen += 1;
        }
        assert!(seen > 10, "{name}: {seen}");
    }
}

/// Everything on one tube in a state, about the origin: its jaws, cups, straps, lumps, weight and wind; and its size.
fn on_tube(ctx: &Context<'_>, tube: usize, state: &StateId, r: &[f64]) -> (Wrench, f64) {
    let rig = ctx.rig;
    let drive = &ctx.actions.drives[state.drive];
    let (b, v, density) = (drive.body_force(), ctx.actions.winds[drive.wind], ctx.actions.density);
    let this = &rig.tubes[tube];
    let mut all = Vec::new();
    let here = |hold: &Hold| matches!(hold, Hold::Tube { tube: t, .. } if *t == tube);
    let at = |row: usize, axes: [DVec3; 3], point: DVec3| {
        let out = |k: usize| axes[0] * r[row + k] + axes[1] * r[row + k + 1] + axes[2] * r[row + k + 2];
        Wrench::new(out(0), out(3)).about(point, DVec3::ZERO)
    };
    let x = (this.b - this.a).normalize();
    let y = DVec3::Z.cross(x).normalize();
    for (k, jaw) in ctx.structure.jaws.iter().enumerate().filter(|(_, j)| j.tube == tube) {
        let node = ctx.structure.frame.nodes[jaw.node];
        all.push(at(ctx.layout.jaw[k], [x, y, x.cross(y)], node));
        if let PartRef::Clamp(c) = jaw.part {
            all.push(Wrench::of_force_at(b * (rig.clamps[c].mass.value / 2.0), node));
        }
    }
    for (c, cup) in rig.cups.iter().enumerate().filter(|(_, c)| here(&c.holds)) {
        all.push(at(ctx.layout.cup[c], [cup.along, cup.normal.cross(cup.along), cup.normal], cup.at));
        all.push(Wrench::of_force_at(b * cup.mass.value, cup.at));
    }
    for (s, strap) in rig.straps.iter().enumerate() {
        let Some(row) = ctx.layout.strap[s] else { continue };
        for (i, p) in strap.path.iter().enumerate().filter(|(_, p)| here(&p.on)) {
            for other in [i.wrapping_sub(1), i + 1].into_iter().filter_map(|k| strap.path.get(k)) {
                all.push(Wrench::of_force_at((other.at - p.at).normalize() * r[row], p.at));
            }
        }
    }
    for item in rig.items.iter().filter(|i| here(&i.on)) {
        let drag = item.drag.as_ref();
        let wind = drag.map(|d| d.areas * v * (0.5 * density * d.coefficient.value * v.length()));
        all.push(Wrench::of_force_at(b * item.mass.value + wind.unwrap_or_default(), item.at));
    }
    let s = &this.section;
    let area = core::f64::consts::PI * s.wall * (s.outer - s.wall);
    let across = v - x * v.dot(x);
    let wind = across * across.length() * (0.5 * density * s.drag.value * s.outer * this.length());
    let weight = b * (area * s.material.density * this.length());
    all.push(Wrench::of_force_at(weight + wind, (this.a + this.b) / 2.0));
    let size = all.iter().map(|w| w.force.length() + w.moment.length()).sum();
    (all.into_iter().fold(Wrench::ZERO, |a, w| a + w), size)
}

#[test]
fn every_tube_alone_is_in_equilibrium_with_its_jaws() {
    let holds = |rig: &Rig, pick| {
        let ctx = context(rig);
        let state = state(&ctx, pick);
        let (u, _) = ctx.action_of(&state);
        let r = ctx.failures[state.failure].responses.as_ref().unwrap().respond(&u);
        for t in 0..rig.tubes.len() {
            let (left, size) = on_tube(&ctx, t, &state, &r);
            let off = left.force.length() + left.moment.length();
            // Jaw forces come from differences of end forces of short, stiff members.
            prop_assert!(off <= 1e-7 * size, "tube {}: {left:?} of {size}", rig.tubes[t].tag);
        }
        Ok(())
    };
    always(12, &(ladders(), picks()), |(ladder, pick)| holds(&ladder.rig(), pick));
    // Cups right under the rails, a strap round the same place: all on the clamps' own nodes.
    always(8, &(ladders(), picks()), |(ladder, pick)| {
        let mut rig = Ladder { wide: ladder.rail, lopsided: 0.0, straps: 1, ..ladder }.rig();
        let (tube, s) = rig.clamps[0].first;
        let (on, at) = (Hold::Tube { tube, s }, rig.tubes[tube].point(s));
        rig.straps[0].path[0] = PathPoint { at, on };
        // On a crowned roof a cup leans, and would hold the tube some millimetres beside the clamp.
        rig.cups[0].holds = on;
        holds(&rig, pick)
    });
    for name in ["estate-arm", "pickup-arm", "pickup-arm-mended"] {
        let rig = example(name);
        always(6, &picks(), |pick| holds(&rig, pick));
    }
}
