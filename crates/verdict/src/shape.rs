//! The rig as an action bends it: where points along each tube, cup, leg, platform and strap go.
//!
//! One solve of the frame by itself, with the action's loads added up; movements of a strap's points and a platform's corners
//! follow the body that carries them (`docs/mechanics.md` §2.1 and §2.2).

use crate::context::Context;
use crate::parts::PartRef;
use crate::responses::ARM_COLUMN;
use crate::slack;
use crate::state::StateId;
use crate::structure::platform_axes;
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::{self, Accelerations, Base, BasisTerms, Pose, Rates};
use mechanics::frame::{Load, Solution, SolveError};

/// Points along a tube, at the least.
const ALONG_A_TUBE: usize = 12;
/// Points along a cup's stem or a leg.
const ALONG_A_LEG: usize = 4;

/// Where a point stands at rest and how far it goes, vehicle axes, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// At rest.
    pub at: DVec3,
    /// How far it goes.
    pub by: DVec3,
}

/// Points of a part in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The part.
    pub part: PartRef,
    /// Two or more.
    pub points: Vec<Point>,
}

/// A bent rig. The arm is not in it: it acts on its platform and is bent elsewhere ([`crate::boom`]).
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// Tubes, cups, legs, platforms (round their top, back to the first corner), straps and items.
    pub lines: Vec<Line>,
    /// Largest residual over largest load.
    pub residual: f64,
}

impl Shape {
    /// The part that moves most, and how far, m.
    pub fn most(&self) -> Option<(PartRef, f64)> {
        let all = self.lines.iter().flat_map(|l| l.points.iter().map(|p| (l.part, p.by.length())));
        all.max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

impl Context<'_> {
    /// The action of the car standing on the level in calm air, the boom still in a pose; slack straps settled.
    pub fn standing(&self, failure: usize, pose: Pose) -> Vec<f64> {
        let mut u = vec![0.0; self.columns.count()];
        let gravity = DVec3::NEG_Z * STANDARD_GRAVITY;
        u[..3].copy_from_slice(&gravity.to_array());
        for (strand, p) in self.taken_up.iter().enumerate() {
            u[self.columns.strand(strand)] = *p;
        }
        if let Some(arm) = &self.arm
            && let Ok(basis) = arm::wrench_basis(&arm.chain, pose)
        {
            let base = Base {
                acceleration_mps2: DVec3::ZERO,
                angular_velocity_rps: DVec3::ZERO,
                angular_acceleration_rps2: DVec3::ZERO,
                gravity_mps2: gravity,
            };
            let terms = BasisTerms::of(Rates::default(), Accelerations::default(), &base).unwrap_or_default();
            let wrench = basis.actions(&terms).on_platform.to_array();
            u[ARM_COLUMN..ARM_COLUMN + 6].copy_from_slice(&wrench);
        }
        if let Some(Ok(r)) = self.failures.get(failure).map(|f| &f.responses) {
            slack::settle(self, r, &mut u);
        }
        u
    }
}

/// The basis loads times an action, added up.
fn load_of(loads: &[Load], u: &[f64]) -> Load {
    let mut sum = Load::default();
    for (load, times) in loads.iter().zip(u).filter(|(_, times)| **times != 0.0) {
        sum.specific_force += load.specific_force * *times;
        sum.nodal.extend(load.nodal.iter().map(|(n, w)| (*n, *w * *times)));
        sum.line.extend(load.line.iter().map(|(m, w)| (*m, *w * *times)));
        sum.fitted.extend(load.fitted.iter().map(|(s, t)| (*s, t * times)));
    }
    sum
}

/// The shape in a state.
///
/// # Errors
///
/// As [`of_action`].
pub fn of_state(ctx: &Context<'_>, state: &StateId) -> Result<Shape, SolveError> {
    of_action(ctx, state.failure, &ctx.action_of(state).0)
}

/// The shape under an action `u` with what one failure takes away.
///
/// # Errors
///
/// [`SolveError`] where something can move freely or a number is lost.
pub fn of_action(ctx: &Context<'_>, failure: usize, u: &[f64]) -> Result<Shape, SolveError> {
    solved(ctx, failure, u, |solution| Shape {
        lines: Reader { ctx, solution }.lines(),
        residual: solution.worst_residual,
    })
}

fn solved<T>(
    ctx: &Context<'_>,
    failure: usize,
    u: &[f64],
    read: impl FnOnce(&Solution<'_>) -> T,
) -> Result<T, SolveError> {
    let lost = ctx.failures.get(failure).and_then(|f| f.lost);
    let gone: Vec<_> = lost.and_then(|p| ctx.structure.lost(p)).into_iter().collect();
    let frame = ctx.structure.frame_without(&gone);
    let factored = frame.factor(&gone)?;
    let solution = factored.solve(&[load_of(&ctx.loads, u)])?;
    Ok(read(&solution))
}

struct Reader<'a> {
    ctx: &'a Context<'a>,
    solution: &'a Solution<'a>,
}

impl Reader<'_> {
    fn lines(&self) -> Vec<Line> {
        let mut out = self.tubes();
        out.extend(self.cups());
        out.extend(self.legs());
        out.extend(self.platforms());
        out.extend(self.straps());
        out.extend(self.items());
        out
    }

    /// A point carried by a node's body.
    fn carried(&self, node: usize, at: DVec3) -> Point {
        let (slide, turn) = self.solution.node(0, node);
        Point { at, by: slide + turn.cross(at - self.ctx.structure.frame.nodes[node]) }
    }

    /// Points of a member in equal steps, its first end left out where another piece ends there.
    fn member(&self, member: usize, steps: usize, with_first: bool, points: &mut Vec<Point>) {
        let frame = &self.ctx.structure.frame;
        let m = &frame.members[member];
        let (from, to, length) = (frame.nodes[m.i], frame.nodes[m.j], frame.member_length(member));
        for step in usize::from(!with_first)..=steps {
            #[allow(clippy::cast_precision_loss, reason = "a few steps")]
            let share = step as f64 / steps as f64;
            points
                .push(Point { at: from.lerp(to, share), by: self.solution.bent(0, member, share * length) });
        }
    }

    fn tubes(&self) -> Vec<Line> {
        let mut out = Vec::new();
        for (t, map) in self.ctx.structure.tubes.iter().enumerate() {
            let mut points = Vec::new();
            let steps = ALONG_A_TUBE.div_ceil(map.members.len().max(1)).max(2);
            for (k, member) in map.members.iter().enumerate() {
                self.member(*member, steps, k == 0, &mut points);
            }
            out.push(Line { part: PartRef::Tube(t), points });
        }
        out.retain(|l| l.points.len() > 1);
        out
    }

    /// The member that a part owns both ends of: a stem, or a leg that bends.
    fn own_member(&self, part: PartRef) -> Option<usize> {
        let s = &self.ctx.structure;
        let owns = |node: usize| s.owner.get(node) == Some(&part);
        s.frame.members.iter().position(|m| owns(m.i) && owns(m.j))
    }

    fn cups(&self) -> Vec<Line> {
        let mut out = Vec::new();
        for (c, cup) in self.ctx.rig.cups.iter().enumerate() {
            let part = PartRef::Cup(c);
            let mut points = Vec::new();
            if let Some(member) = self.own_member(part) {
                self.member(member, ALONG_A_LEG, true, &mut points);
            } else if let Some(node) = self.ctx.structure.cup_node.get(c) {
                points.extend([cup.at, cup.head].map(|at| self.carried(*node, at)));
            }
            out.push(Line { part, points });
        }
        out
    }

    fn legs(&self) -> Vec<Line> {
        let s = &self.ctx.structure;
        let mut out = Vec::new();
        for (l, leg) in self.ctx.rig.legs.iter().enumerate() {
            let part = PartRef::Leg(l);
            let Some(jaw) = s.jaws.iter().find(|j| j.part == part) else { continue };
            let mut points = Vec::new();
            if let Some(member) = self.own_member(part) {
                self.member(member, ALONG_A_LEG, true, &mut points);
            } else if let Some(platform) = s.platform_node.get(leg.platform) {
                let foot = self.carried(jaw.node, s.frame.nodes[jaw.node]);
                points.extend([foot, self.carried(*platform, leg.top)]);
            }
            out.push(Line { part, points });
        }
        out
    }

    fn platforms(&self) -> Vec<Line> {
        let mut out = Vec::new();
        for (p, (platform, node)) in
            self.ctx.rig.platforms.iter().zip(&self.ctx.structure.platform_node).enumerate()
        {
            let [along, across, _] = platform_axes(platform);
            let (a, b) = (along * (platform.size.x / 2.0), across * (platform.size.y / 2.0));
            let corners = [a + b, a - b, -a - b, b - a, a + b];
            let points = corners.map(|r| self.carried(*node, platform.at + r)).to_vec();
            out.push(Line { part: PartRef::Platform(p), points });
        }
        out
    }

    /// Straps that pull; where one runs over the body it stays.
    fn straps(&self) -> Vec<Line> {
        let s = &self.ctx.structure;
        let mut out = Vec::new();
        for (i, strand) in s.strand_of.iter().enumerate() {
            let Some(strand) = strand.and_then(|k| s.frame.strands.get(k)) else { continue };
            let point = |p: &mechanics::frame::StrandPoint| {
                p.node.map_or(Point { at: p.at, by: DVec3::ZERO }, |node| self.carried(node, p.at))
            };
            out.push(Line { part: PartRef::Strap(i), points: strand.path.iter().map(point).collect() });
        }
        out
    }

    /// From what carries an item to its middle.
    fn items(&self) -> Vec<Line> {
        let s = &self.ctx.structure;
        let mut out = Vec::new();
        for (i, (item, node)) in self.ctx.rig.items.iter().zip(&s.item_node).enumerate() {
            if item.on == rig::model::Hold::Body {
                continue;
            }
            let points = [s.frame.nodes[*node], item.at].map(|at| self.carried(*node, at)).to_vec();
            out.push(Line { part: PartRef::Item(i), points });
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, manoeuvre, rig, tube_section};
    use rig::model::{ArmUse, Hold, Rig, Tube};

    fn line(shape: &Shape, part: PartRef) -> &Line {
        shape.lines.iter().find(|l| l.part == part).unwrap()
    }

    /// Two cups with a tube between their locked heads.
    fn beam_on_two_cups() -> Rig {
        let mut rig = rig();
        rig.arm = None;
        rig.manoeuvres = vec![manoeuvre("steady", 0.0, 0.0, ArmUse::Parked)];
        (rig.straps, rig.clamps, rig.legs, rig.platforms) = Default::default();
        rig.cups.truncate(2);
        let z = rig.cups[0].head.z;
        rig.tubes.truncate(1);
        rig.tubes[0] = Tube {
            tag: "T".to_owned(),
            section: tube_section(0.0483, 0.004),
            a: DVec3::new(-1.5, 0.43, z),
            b: DVec3::new(-1.5, -0.43, z),
        };
        for (cup, s) in rig.cups.iter_mut().zip([0.0, 0.86]) {
            cup.holds = Hold::Tube { tube: 0, s };
        }
        // So stiff that what the cups give is nothing beside the tube's own bend; soft enough for the solve's accuracy.
        for cup in &mut rig.cups {
            for k in [&mut cup.axial, &mut cup.shear, &mut cup.rocking, &mut cup.torsional] {
                k.value = 1e9;
            }
        }
        rig.panels[0].stiffness.value = 1e9;
        rig.panels[0].rocking.value = 1e9;
        rig
    }

    #[test]
    fn a_tube_held_at_both_ends_sags_as_the_books_say() {
        let rig = beam_on_two_cups();
        let ctx = context(&rig);
        let mut u = vec![0.0; ctx.columns.count()];
        u[2] = -STANDARD_GRAVITY;
        let shape = of_action(&ctx, 0, &u).unwrap();
        let tube = line(&shape, PartRef::Tube(0));
        assert_eq!(tube.points.len(), 13);
        let beam =
            crate::structure::beam_of(&rig.tubes[0].section, crate::structure::BuildOptions::default())
                .unwrap();
        let (w, l) = (beam.line_mass() * STANDARD_GRAVITY, 0.86);
        // w L⁴ / 384 E I, and w L² / 8 G As by shear (Gere and Goodno, beams held at both ends [from memory]).
        let middle = w * f64::powi(l, 4) / (384.0 * beam.e_pa * beam.iz_m4)
            + w * l * l / (8.0 * beam.g_pa * beam.shear_area_m2.unwrap());
        let moved = tube.points[6].by;
        let sag = tube.points[0].by.z - moved.z;
        // Ends turn by a newton metre over 5e8 N m/rad: 1e-9 m of 2e-6 m at most.
        assert!((sag - middle).abs() < 1e-3 * middle, "{sag} {middle}");
        assert!(middle > 2e-6 && moved.x.abs() < 1e-9 && moved.y.abs() < 1e-9);
        // Enough of it by shear to be missed.
        assert!(w * l * l / (8.0 * beam.g_pa * beam.shear_area_m2.unwrap()) > 0.05 * middle);
        assert_eq!(shape.most().unwrap().0, PartRef::Tube(0));
    }

    #[test]
    fn each_piece_of_a_tube_ends_where_the_next_begins() {
        let rig = rig();
        let ctx = context(&rig);
        for failure in 0..ctx.failures.len() {
            let state = StateId { failure, drive: 2, ..StateId::default() };
            let (u, _) = ctx.action_of(&state);
            let (worst, most) = solved(&ctx, failure, &u, |s| {
                let frame = &ctx.structure.frame;
                let mut worst = 0.0_f64;
                for (index, m) in frame.members.iter().enumerate() {
                    let end = s.bent(0, index, frame.member_length(index));
                    worst = worst.max((end - s.node(0, m.j).0).length());
                }
                (worst, (0..frame.nodes.len()).map(|n| s.node(0, n).0.length()).fold(0.0, f64::max))
            })
            .unwrap();
            // Sums of movements of whole tubes against each other: rounding of those.
            assert!(most > 1e-4 && worst < 1e-9 * most, "{worst} {most}");
        }
    }

    #[test]
    fn movements_agree_with_the_forces_of_the_verdict() {
        let rig = rig();
        let ctx = context(&rig);
        for failure in 0..ctx.failures.len() {
            let state = StateId { failure, drive: 1, ..StateId::default() };
            let shape = of_state(&ctx, &state).unwrap();
            let (u, _) = ctx.action_of(&state);
            let r = ctx.failures[failure].responses.as_ref().unwrap().respond(&u);
            for (c, cup) in rig.cups.iter().enumerate() {
                let contact = line(&shape, PartRef::Cup(c)).points[0].by;
                let k = 1.0 / (1.0 / cup.axial.value + 1.0 / rig.panels[0].stiffness.value);
                let lost = ctx.failures[failure].lost == Some(PartRef::Cup(c));
                let (pull, slide) = if lost {
                    (0.0, 0.0)
                } else {
                    (-k * contact.dot(cup.normal), -cup.shear.value * contact.dot(cup.along))
                };
                let row = ctx.layout.cup[c];
                // A different solve of the same frame: far under a millinewton of kilonewtons.
                assert!((r[row + 2] - pull).abs() < 1e-4 && (r[row] - slide).abs() < 1e-4, "{c} {failure}");
            }
            let platform = &line(&shape, PartRef::Platform(0)).points;
            let middle = platform[..4].iter().map(|p| p.by).sum::<DVec3>() / 4.0;
            let row = ctx.layout.platform[0];
            assert!((middle - DVec3::new(r[row], r[row + 1], r[row + 2])).length() < 1e-12);
            // A strap gets longer by what pulls it tighter than it was fitted.
            let strap = &line(&shape, PartRef::Strap(0)).points;
            let length = |f: &dyn Fn(&Point) -> DVec3| {
                strap.windows(2).map(|w| (f(&w[1]) - f(&w[0])).length()).sum::<f64>()
            };
            let longer = length(&|p| p.at + p.by) - length(&|p| p.at);
            let strand = &ctx.structure.frame.strands[0];
            let tension = r[ctx.layout.strap[0].unwrap()];
            if ctx.failures[failure].lost != Some(PartRef::Strap(0)) && tension > 1.0 {
                let fitted = u[ctx.columns.strand(0)];
                // The second order of a movement of millimetres over a strap of decimetres.
                let k = strand.k_n_per_m;
                assert!((tension - fitted - k * longer).abs() < k * 1e-4, "{tension} {fitted} {longer}");
            }
        }
    }

    #[test]
    fn standing_still_is_a_drive_that_does_nothing() {
        let mut rig = rig();
        rig.manoeuvres = vec![manoeuvre("still", 0.0, 0.0, ArmUse::Live)];
        rig.manoeuvres[0].speed.value = 0.0;
        let ctx = context(&rig);
        let pose = Pose { pan_rad: 0.7, elevation_rad: 0.3 };
        let (u, _) = ctx.action_of(&StateId { pose, ..StateId::default() });
        let standing = ctx.standing(0, pose);
        let mut same = u.iter().zip(&standing).collect::<Vec<_>>();
        same.truncate(ctx.columns.wind(0));
        assert!(same.iter().all(|(a, b)| (*a - *b).abs() < 1e-9), "{same:?}");
        // The whole arm hangs on the mast foot: 63.533 kg.
        assert!((standing[5] + 63.533_333 * STANDARD_GRAVITY).abs() < 1e-3);
    }

    #[test]
    fn a_rig_that_moves_freely_has_no_shape() {
        let mut rig = beam_on_two_cups();
        rig.cups.truncate(1);
        rig.cups[0].locked = false;
        let ctx = context(&rig);
        let u = vec![0.0; ctx.columns.count()];
        assert!(matches!(of_action(&ctx, 0, &u), Err(SolveError::Mechanism(_))));
    }
}
