//! What must be true of every limit, whatever the rig.

use super::*;
use crate::wrench::Wrench;
use glam::{DQuat, DVec3};
use proptest::prelude::*;

/// Accuracy of a multiplier, relative, with the solver's tolerance of 1e-10 and rigs of ordinary proportions.
const LAMBDA_TOL: f64 = 1e-5;

#[derive(Clone, Debug)]
struct Cup {
    at: DVec3,
    normal: DVec3,
    vacuum: f64,
}

#[derive(Clone, Debug)]
struct Line {
    at: DVec3,
    along: DVec3,
    capacity: f64,
}

#[derive(Clone, Debug)]
struct Rig {
    mu: f64,
    core: f64,
    torsion: f64,
    cups: Vec<Cup>,
    lines: Vec<Line>,
    fixed: Wrench,
    variable: Wrench,
}

impl Rig {
    fn supports(&self) -> Vec<Support> {
        let f = Friction::new(self.mu, self.core, self.torsion).unwrap();
        let cups = self.cups.iter().map(|c| Support::cup(c.at, c.normal, f, c.vacuum).unwrap());
        let lines = self.lines.iter().map(|l| {
            Support::strap(l.capacity, vec![Pull::new(l.at, l.along.normalize()).unwrap()]).unwrap()
        });
        cups.chain(lines).collect()
    }

    /// The multiplier; a rig that does not hold the fixed action counts as below 0.
    fn lambda(&self) -> f64 {
        match largest_multiplier_within(1e3, &self.supports(), self.fixed, self.variable, DVec3::ZERO)
            .unwrap()
        {
            Outcome::Multiplier { lambda, .. } => lambda,
            Outcome::AtLeast(cap) => cap,
            Outcome::FixedActionNotHeld { share } => share - 1.0,
            Outcome::NotSolved { status } => panic!("{status}: {self:?}"),
        }
    }

    fn mapped(&self, point: impl Fn(DVec3) -> DVec3, axial: f64) -> Self {
        let wrench = |w: Wrench| Wrench::new(point(w.force), axial * point(w.moment));
        let mut r = self.clone();
        for c in &mut r.cups {
            c.at = point(c.at);
            c.normal = point(c.normal);
        }
        for l in &mut r.lines {
            l.at = point(l.at);
            l.along = point(l.along);
        }
        r.fixed = wrench(r.fixed);
        r.variable = wrench(r.variable);
        r
    }
}

fn vec3(size: f64) -> impl Strategy<Value = DVec3> {
    (-size..size, -size..size, -size..size).prop_map(|(x, y, z)| DVec3::new(x, y, z))
}

/// Cups on a gently crowned roof, straps downwards, weight and an action of similar size.
fn rig() -> impl Strategy<Value = Rig> {
    let cup = (-0.7..0.7_f64, -0.6..0.6_f64, vec3(0.2), 0.0..3_000.0_f64).prop_map(|(x, y, tilt, vacuum)| {
        Cup { at: DVec3::new(x, y, -0.05 * (x * x + y * y)), normal: (DVec3::Z + tilt).normalize(), vacuum }
    });
    let line = (vec3(0.6), vec3(0.7), 500.0..5_000.0_f64).prop_map(|(at, along, capacity)| Line {
        at,
        along: along - DVec3::Z,
        capacity,
    });
    (
        (0.15..0.8_f64, 0.02..0.06_f64, 0.05..0.12_f64),
        prop::collection::vec(cup, 3..7),
        prop::collection::vec(line, 0..4),
        (300.0..2_000.0_f64, vec3(0.3)),
        (vec3(1_500.0), vec3(0.5)),
    )
        .prop_map(|((mu, core, torsion), cups, lines, (weight, at), (push, place))| Rig {
            mu,
            core,
            torsion,
            cups,
            lines,
            fixed: Wrench::of_force_at(-weight * DVec3::Z, at),
            variable: Wrench::of_force_at(push, place + 0.5 * DVec3::Z),
        })
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= LAMBDA_TOL * a.abs().max(1.0)
}

fn not_less(a: f64, b: f64) -> bool {
    a >= b - LAMBDA_TOL * b.abs().max(1.0)
}

/// Power that the supports can take up at most in a rigid motion (velocity at the origin and turning
/// rate), or `None` where a contact resists the motion without limit.
fn most_resisted(rig: &Rig, v: DVec3, turn: DVec3) -> Option<f64> {
    let mut sum = 0.0;
    for c in &rig.cups {
        let at = v + turn.cross(c.at);
        let opening = at.dot(c.normal);
        let (sliding, spin) = (at - opening * c.normal, turn.dot(c.normal));
        let tilting = turn - spin * c.normal;
        let rub = rig.mu * sliding.length().hypot(rig.torsion * spin);
        // Per newton of contact force: what rubbing and tilting resist less what opening gives back.
        if rub + rig.core * tilting.length() - opening > 0.0 {
            return None;
        }
        sum += c.vacuum * opening;
    }
    for l in &rig.lines {
        sum += l.capacity * (v + turn.cross(l.at)).dot(-l.along.normalize()).max(0.0);
    }
    Some(sum)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn no_separating_motion_gives_less(r in rig(), motions in prop::collection::vec((vec3(0.3), vec3(0.6)), 200)) {
        let got = r.lambda();
        for (slide, turn) in motions {
            let v = DVec3::Z + slide;
            let power = |w: Wrench| w.force.dot(v) + w.moment.dot(turn);
            let drive = power(r.variable);
            if drive > 1e-6
                && let Some(resisted) = most_resisted(&r, v, turn)
            {
                let bound = (resisted - power(r.fixed)) / drive;
                prop_assert!(got <= bound + LAMBDA_TOL * bound.abs().max(1.0), "{got} above {bound}");
            }
        }
    }

    #[test]
    fn more_vacuum_friction_and_straps_never_lower_it(r in rig(), extra in 1.0..2.0_f64) {
        let base = r.lambda();
        let mut more = r.clone();
        more.cups.iter_mut().for_each(|c| c.vacuum *= extra);
        prop_assert!(not_less(more.lambda(), base), "vacuum");
        let mut more = r.clone();
        more.mu *= extra;
        prop_assert!(not_less(more.lambda(), base), "friction");
        let mut more = r.clone();
        more.core *= extra;
        prop_assert!(not_less(more.lambda(), base), "core radius");
        let mut more = r.clone();
        more.lines.push(Line { at: DVec3::new(0.3, 0.2, 0.1), along: DVec3::new(-1.0, 0.5, -1.0), capacity: 800.0 });
        prop_assert!(not_less(more.lambda(), base), "strap");
        let mut fewer = r.clone();
        fewer.cups.pop();
        prop_assert!(not_less(base, fewer.lambda()), "lost cup");
    }

    #[test]
    fn what_some_supports_hold_need_not_be_asked_of_all(r in rig()) {
        // Without its straps: what then holds the weight holds it with them too.
        let few = Rig { lines: Vec::new(), variable: Wrench::ZERO, ..r.clone() };
        if few.lambda() > 0.0 {
            let shortcut = largest_multiplier_of_held(&r.supports(), r.fixed, r.variable, DVec3::ZERO).unwrap();
            let whole = largest_multiplier(&r.supports(), r.fixed, r.variable, DVec3::ZERO).unwrap();
            prop_assert_eq!(shortcut, whole);
        }
    }

    #[test]
    fn all_forces_times_ten_is_the_same_problem(r in rig(), k in 0.01..50.0_f64) {
        let base = r.lambda();
        let mut big = r.clone();
        big.cups.iter_mut().for_each(|c| c.vacuum *= k);
        big.lines.iter_mut().for_each(|l| l.capacity *= k);
        big.fixed = big.fixed * k;
        big.variable = big.variable * k;
        prop_assert!(same(big.lambda(), base));
        let mut half = r;
        half.variable = half.variable * 0.5;
        let doubled = half.lambda();
        prop_assert!(base < 0.0 || doubled >= 1e3 || same(doubled, 2.0 * base));
    }

    #[test]
    fn turned_or_mirrored_it_holds_the_same(r in rig(), axis in vec3(1.0), angle in 0.0..3.0_f64) {
        prop_assume!(axis.length() > 0.1);
        let base = r.lambda();
        let turn = DQuat::from_axis_angle(axis.normalize(), angle);
        prop_assert!(same(r.mapped(|p| turn * p, 1.0).lambda(), base), "turned");
        // Moments are axial: a mirror turns them round once more.
        prop_assert!(same(r.mapped(|p| DVec3::new(p.x, -p.y, p.z), -1.0).lambda(), base), "mirrored");
    }

    #[test]
    fn moments_may_be_taken_about_any_point(r in rig(), about in vec3(3.0)) {
        let base = r.lambda();
        let move_to = |w: Wrench| w.about(DVec3::ZERO, about);
        let there =
            largest_multiplier_within(1e3, &r.supports(), move_to(r.fixed), move_to(r.variable), about).unwrap();
        if let Outcome::Multiplier { lambda, .. } = there {
            prop_assert!(same(lambda, base));
        } else {
            prop_assert!(!(LAMBDA_TOL..1e3).contains(&base));
        }
    }

    #[test]
    fn retention_without_vacuum_is_always_answered(r in rig(), smooth in any::<bool>(), in_line in any::<bool>()) {
        let mut bare = r;
        for c in &mut bare.cups {
            c.vacuum = 0.0;
            if in_line {
                c.at.y = 0.0;
            }
        }
        if smooth {
            bare.mu = 0.0;
            bare.core = 0.0;
        }
        // Rig::lambda fails on NotSolved; without straps nothing holds a lift of more than the weight.
        let lift = bare.lambda();
        prop_assert!(lift >= -1.0 - LAMBDA_TOL);
        bare.lines.clear();
        bare.variable = -bare.fixed;
        let got = bare.lambda();
        prop_assert!(got <= 1.0 + LAMBDA_TOL, "{got}");
    }
}
