//! A rig in a state, as bars and blocks for least work, from the rig's own facts.

use super::least_work::{Answer, Bar, Work};
use core::f64::consts::PI;
use glam::DVec3;
use mechanics::wrench::Wrench;
use rig::Rig;
use rig::model::{ClampKind, Hold, PathPoint, Section, StrapKind};
use verdict::{Context, PartRef, StateId};

/// What acts on everything: force per mass, air past the rig and its density.
#[derive(Clone, Copy, Default)]
struct Acting {
    per_mass: DVec3,
    wind: DVec3,
    air: f64,
}

/// What least work says of a state.
pub(crate) struct Worked {
    /// Unknown forces, conditions of balance.
    pub(crate) size: (usize, usize),
    /// On the rig at each cup: along, across, out of the panel, then about the same lines.
    pub(crate) cups: Vec<[f64; 6]>,
    /// Tension of each strap.
    pub(crate) straps: Vec<f64>,
}

struct Bodies<'a> {
    rig: &'a Rig,
    work: Work,
    tubes: Vec<usize>,
    platforms: Vec<usize>,
    /// First of the six unknowns of each cup.
    cups: Vec<usize>,
    /// The unknown of each strap; a tether hangs slack and has none.
    straps: Vec<Option<usize>>,
}

/// The rig in a state with all that acts on it but straps.
fn in_state<'a>(ctx: &Context<'a>, state: &StateId) -> Bodies<'a> {
    let rig = ctx.rig;
    let drive = &ctx.actions.drives[state.drive];
    let acting = Acting {
        per_mass: drive.gravity - drive.acceleration,
        wind: ctx.actions.winds[drive.wind],
        air: ctx.actions.density,
    };
    let mut bodies = Bodies::new(rig, acting);
    if let Some(arm) = &rig.arm {
        let (_, actions) = ctx.action_of(state);
        let on = bodies.platforms[arm.platform];
        bodies.work.hang(on, 0.0, None, arm.base, Wrench::from_array(actions.wrench));
    }
    bodies
}

/// All that acts on the rig in a state but straps and cups, about the origin.
pub(crate) fn acts(ctx: &Context<'_>, state: &StateId) -> Wrench {
    in_state(ctx, state).work.known()
}

/// Forces of all cups and straps in a state.
pub(crate) fn worked(ctx: &Context<'_>, state: &StateId) -> Worked {
    let bodies = in_state(ctx, state);
    let held: Vec<(usize, f64)> = match ctx.failures[state.failure].lost {
        Some(PartRef::Cup(c)) => (0..6).map(|k| (bodies.cups[c] + k, 0.0)).collect(),
        Some(PartRef::Strap(s)) => bodies.straps[s].iter().map(|i| (*i, 0.0)).collect(),
        _ => Vec::new(),
    };
    let Answer { force, .. } = bodies.work.solve_taut(&held, &fitted(ctx.rig));
    Worked {
        size: bodies.work.size(),
        cups: bodies.cups.iter().map(|c| core::array::from_fn(|k| force[c + k])).collect(),
        straps: bodies.straps.iter().map(|s| s.map_or(0.0, |i| force[i])).collect(),
    }
}

/// How much too short each strap is made for the tension that is read when all are fitted and nothing else acts.
fn fitted(rig: &Rig) -> Vec<(usize, f64)> {
    let bodies = Bodies::new(rig, Acting::default());
    let held: Vec<(usize, f64)> = bodies
        .straps
        .iter()
        .zip(&rig.straps)
        .filter_map(|(unknown, strap)| Some(((*unknown)?, strap.pretension.value)))
        .collect();
    let answer = bodies.work.solve(&held, &[]);
    held.iter().map(|(i, _)| (*i, answer.gap[*i])).collect()
}

/// A bar of a round tube: `EA`, `kGA` with Cowper's `k`, `GJ`, `EI`.
fn bar(a: DVec3, b: DVec3, section: &Section, line: DVec3) -> Bar {
    let (e, g) = (section.material.e_pa, section.material.g_pa);
    let (ro, ri) = (section.outer / 2.0, section.outer / 2.0 - section.wall);
    let area = PI * (ro * ro - ri * ri);
    let inertia = PI / 4.0 * (ro.powi(4) - ri.powi(4));
    let nu = e / (2.0 * g) - 1.0;
    // Cowper 1966, hollow circle, with the squares of both radii instead of their ratio [from memory].
    let both = (ro * ro + ri * ri).powi(2);
    let k = 6.0 * (1.0 + nu) * both / ((7.0 + 6.0 * nu) * both + (20.0 + 12.0 * nu) * (ro * ri).powi(2));
    Bar {
        a,
        b,
        stretch: 1.0 / (e * area),
        shear: 1.0 / (k * g * area),
        twist: 1.0 / (2.0 * g * inertia),
        bending: 1.0 / (e * inertia),
        line,
    }
}

impl<'a> Bodies<'a> {
    fn new(rig: &'a Rig, acting: Acting) -> Self {
        let mut l = Self {
            rig,
            work: Work::default(),
            tubes: Vec::new(),
            platforms: Vec::new(),
            cups: Vec::new(),
            straps: Vec::new(),
        };
        l.tubes(acting);
        l.platforms(acting);
        l.cups(acting);
        l.clamps(acting);
        l.legs(acting);
        l.straps();
        l.items(acting);
        l
    }

    /// Body and place along it that something is fixed to; none for the car.
    fn on(&self, hold: Hold) -> Option<(usize, f64)> {
        match hold {
            Hold::Tube { tube, s } => Some((self.tubes[tube], s)),
            Hold::Platform(p) => Some((self.platforms[p], 0.0)),
            Hold::Cup(_) => panic!("no example fixes a thing to a cup's head"),
            Hold::Body => None,
        }
    }

    fn force(&mut self, on: (usize, f64), at: DVec3, force: DVec3) {
        self.work.hang(on.0, on.1, None, at, Wrench::new(force, DVec3::ZERO));
    }

    fn tubes(&mut self, acting: Acting) {
        for tube in &self.rig.tubes {
            let s = &tube.section;
            let axis = (tube.b - tube.a).normalize();
            let metal = PI * (s.outer - s.wall) * s.wall * s.material.density;
            let across = acting.wind - axis * acting.wind.dot(axis);
            let drag = across * (across.length() * 0.5 * acting.air * s.drag.value * s.outer);
            let body = self.work.body(Some(bar(tube.a, tube.b, s, acting.per_mass * metal + drag)));
            self.tubes.push(body);
        }
    }

    fn platforms(&mut self, acting: Acting) {
        for p in &self.rig.platforms {
            let body = self.work.body(None);
            self.platforms.push(body);
            let faces = [
                (p.along, p.size.y * p.size.z),
                (p.normal.cross(p.along), p.size.x * p.size.z),
                (p.normal, p.size.x * p.size.y),
            ];
            let square = |(line, area): &(DVec3, f64)| *line * (acting.wind.dot(*line) * area);
            let seen: DVec3 = faces.iter().map(square).sum();
            let drag = seen * (0.5 * acting.air * p.drag.value * acting.wind.length());
            let middle = p.at - p.normal * (p.size.z / 2.0);
            self.force((body, 0.0), middle, acting.per_mass * p.mass.value + drag);
        }
    }

    fn cups(&mut self, acting: Acting) {
        for cup in &self.rig.cups {
            assert!(cup.locked && cup.stem.is_none(), "the examples stand on rigid, locked heads");
            let panel = &self.rig.panels[cup.panel];
            let on = self.on(cup.holds).unwrap();
            let lines = [cup.along, cup.normal.cross(cup.along), cup.normal];
            let gives = [
                1.0 / cup.shear.value,
                1.0 / cup.shear.value,
                1.0 / cup.axial.value + 1.0 / panel.stiffness.value,
                1.0 / cup.rocking.value + 1.0 / panel.rocking.value,
                1.0 / cup.rocking.value + 1.0 / panel.rocking.value,
                1.0 / cup.torsional.value,
            ];
            let units = lines
                .map(|l| Wrench::new(l, DVec3::ZERO))
                .into_iter()
                .chain(lines.map(|l| Wrench::new(DVec3::ZERO, l)));
            let mut first = None;
            for (unit, give) in units.zip(gives) {
                let u = self.work.unknown(give);
                first.get_or_insert(u);
                self.work.hang(on.0, on.1, Some(u), cup.at, unit);
            }
            self.cups.extend(first);
            self.force(on, cup.at, acting.per_mass * cup.mass.value);
        }
    }

    fn clamps(&mut self, acting: Acting) {
        for clamp in &self.rig.clamps {
            assert!(clamp.kind != ClampKind::Swivel, "no example has a swivel");
            let place = |(tube, s): (usize, f64)| ((self.tubes[tube], s), self.rig.tubes[tube].point(s));
            let ((first, p), (second, q)) = (place(clamp.first), place(clamp.second));
            self.work.join(first, second, (p + q) / 2.0);
            let half = acting.per_mass * (clamp.mass.value / 2.0);
            self.force(first, p, half);
            self.force(second, q, half);
        }
    }

    fn legs(&mut self, acting: Acting) {
        for leg in &self.rig.legs {
            let foot = self.rig.tubes[leg.foot.0].point(leg.foot.1);
            let tube = (self.tubes[leg.foot.0], leg.foot.1);
            let platform = (self.platforms[leg.platform], 0.0);
            let weight = acting.per_mass * leg.mass.value;
            if let Some(section) = &leg.section {
                // What a leg was weighed at holds its tube: spread along it, no more.
                let length = (leg.top - foot).length();
                let body = self.work.body(Some(bar(foot, leg.top, section, weight / length)));
                self.work.join(tube, (body, 0.0), foot);
                self.work.join((body, length), platform, leg.top);
            } else {
                self.work.join(tube, platform, foot);
                self.force(platform, (foot + leg.top) / 2.0, weight);
            }
        }
    }

    fn straps(&mut self) {
        for strap in &self.rig.straps {
            if strap.kind == StrapKind::Tether {
                self.straps.push(None);
                continue;
            }
            let pieces = |w: &[PathPoint]| w[1].at - w[0].at;
            let length: f64 = strap.path.windows(2).map(|w| pieces(w).length()).sum();
            let u = self.work.unknown(strap.stretch.value * length / strap.capacity.value);
            self.straps.push(Some(u));
            // Each piece draws its two ends together.
            for w in strap.path.windows(2) {
                let pull = pieces(w).normalize();
                for (end, pull) in [(w[0], pull), (w[1], -pull)] {
                    if let Some(on) = self.on(end.on) {
                        self.work.hang(on.0, on.1, Some(u), end.at, Wrench::new(pull, DVec3::ZERO));
                    }
                }
            }
        }
    }

    fn items(&mut self, acting: Acting) {
        for item in &self.rig.items {
            let Some(on) = self.on(item.on) else { continue };
            let mut force = acting.per_mass * item.mass.value;
            if let Some(drag) = &item.drag {
                let (v, c) = (acting.wind, 0.5 * acting.air * drag.coefficient.value);
                force += v * drag.areas * (c * v.length());
            }
            self.force(on, item.at, force);
        }
    }
}
