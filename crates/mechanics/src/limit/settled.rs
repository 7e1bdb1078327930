//! What contacts and straps carry once some of them lift, rock, slide or hang slack: Coulomb contact on an elastic rig.

use super::contact::{Friction, LimitError, finite, not_negative, positive};
use super::influence::Influence;
use super::mixing::Mixing;
use super::nearest::{Found, Limit, Nearest};

/// Share of the characteristic force within which a limit counts as reached.
const REACHED: f64 = 1e-5;
/// Movement under which a part counts as still, as a share of the give of its stiffest spring under the characteristic force.
const STILL: f64 = 1e-5;
/// Change of a round, as a share of the characteristic force, at which friction has settled.
const LEVEL_TOL: f64 = 1e-8;
/// Rounds in which friction must settle; a handful is usual.
const ROUNDS: usize = 60;

/// A cup as it stands: what its contact passes on and what presses it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cup {
    /// Friction, core radius, torsion radius.
    pub friction: Friction,
    /// Force of its vacuum, N; 0 leaves a contact that only bears and rubs.
    pub vacuum_n: f64,
}

/// What a cup carries and how it has given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CupState {
    /// Force (N) and moment (N m) of the panel on the rig, vacuum included, the cup's own axes, about its contact.
    pub forces: [f64; 6],
    /// How its contact has given beyond its springs, m and rad, the same axes: third is lift.
    pub movement: [f64; 6],
    /// Part of its seal has no press left and opens.
    pub lifts: bool,
    /// It slides or turns on its panel.
    pub slides: bool,
    /// Demand over capacity of seal and friction, the worse of the two; 1 where it gives.
    pub utilisation: f64,
}

/// What a strap carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrapState {
    /// Tension, N.
    pub tension_n: f64,
    /// By how much it hangs loose, m; negative where it is held to its capacity.
    pub loose_m: f64,
    /// It hangs slack.
    pub slack: bool,
    /// It would carry more than its capacity if it could.
    pub at_capacity: bool,
}

/// The rig in balance within every limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// Each cup, `None` where it is lost.
    pub cups: Vec<Option<CupState>>,
    /// Each strap, `None` where it is lost.
    pub straps: Vec<Option<StrapState>>,
    /// Sliding goes along the panel (Coulomb). Where no such answer was found, sliding opens the contact by `mu` times its
    /// way (the nearest answer in energy): still a set of forces that balances, but nothing leads to it. Nearly always every
    /// cup slides then, and the rig slides away. Not to be counted as held; its movements are not to be trusted.
    pub level: bool,
}

/// Answer of a contact question.
#[derive(Clone, Debug, PartialEq)]
#[must_use]
pub enum Settled {
    /// It holds, so.
    Held(Held),
    /// No forces within the limits balance it, and that is proved: it lets go.
    LetsGo,
    /// The solver gave no answer that passes the check: nothing is known, which counts as not held.
    NotSolved {
        /// Why.
        status: &'static str,
    },
}

/// A rig ready to be settled for any action: its influences factored once.
#[derive(Clone, Debug)]
pub struct Settling {
    cups: Vec<Option<Cup>>,
    straps: Vec<Option<f64>>,
    nearest: Nearest,
}

impl Settling {
    /// From the influences and, in their order, the cups and the straps' capacities, N; `None` for one that is lost.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if the counts differ, a vacuum force is negative, a radius or capacity is not positive, or a number is lost.
    pub fn new(
        influence: &Influence,
        cups: Vec<Option<Cup>>,
        straps: Vec<Option<f64>>,
    ) -> Result<Self, LimitError> {
        if cups.len() != influence.supports() || straps.len() != influence.strands() {
            #[expect(clippy::cast_precision_loss, reason = "a count to be shown")]
            let value = (cups.len() + straps.len()) as f64;
            return Err(LimitError::OutOfRange {
                what: "number of cups and straps",
                value,
                needs: "that of the influences",
            });
        }
        for cup in cups.iter().flatten() {
            not_negative("vacuum force", cup.vacuum_n)?;
            positive("core radius", cup.friction.core_radius_m)?;
            positive("torsion radius", cup.friction.torsion_radius_m)?;
        }
        for capacity in straps.iter().flatten() {
            positive("strap capacity", *capacity)?;
        }
        let nearest = Nearest::new(influence, &limits(&cups, &straps), &radii(&cups, straps.len()));
        Ok(Self { cups, straps, nearest })
    }

    /// The same rig with the vacuum of some cups gone: they only bear and rub.
    #[must_use]
    pub fn without_vacuum(&self, cups: &[usize]) -> Self {
        let mut out = self.clone();
        for (_, cup) in out.cups.iter_mut().enumerate().filter(|(i, _)| cups.contains(i)) {
            if let Some(cup) = cup {
                cup.vacuum_n = 0.0;
            }
        }
        out
    }

    /// What carries what under an action whose linear answer (nothing gives, straps pull and push) is given.
    ///
    /// ```text
    /// F = F_linear + A p                                     elastic rig, parts that give by p
    /// cup     N = N0 + Fz >= |(Mx, My)| / e                   press all round the seal, or
    ///           lift - e |rock| >= 0, = 0 while it presses      the edge opens
    ///         |(Fx, Fy, Mz / rt)| <= mu N                     friction, or
    ///           slide against the friction force                it slides, along the panel
    /// strap   0 <= T <= LC                                   or it hangs loose (or is held to LC)
    /// ```
    ///
    /// # Symbols
    ///
    /// | here     | unit   | meaning                                                                  |
    /// |----------|--------|--------------------------------------------------------------------------|
    /// | `linear` | N, N m | six a cup (panel on rig, its own axes, about its contact), one a strap   |
    /// | `p`      | m, rad | see [`Influence`]; nil where a part is strictly within its limits        |
    ///
    /// # Assumes
    ///
    /// One step from the unloaded rig: the way there (which cup slid first) is left out. Vacuum stays in a cup whose edge
    /// opens; the caller takes it away with [`Settling::without_vacuum`] where it would leak. A strap held to its capacity
    /// counts as giving. Whether there **is** an answer does not depend on any of this: forces within the limits that
    /// balance exist or they do not.
    ///
    /// # Method
    ///
    /// With sliding that opens by `mu` times its way the answer is the point within the limits nearest to `F_linear` in
    /// energy (Haar and Kármán), a second-order cone program. Coulomb sliding is level: lift taken back by `mu` times the way
    /// is put in by hand and the program asked again until it agrees. An answer is checked for its limits and its balance; a
    /// refusal counts only with a movement that proves it.
    ///
    /// # Source
    ///
    /// Haar and Kármán 1909; Acary, Cadoux, Lemaréchal and Malick, "A formulation of the linear discrete Coulomb friction
    /// problem via convex optimization", 2011 \[both from memory\]. `docs/mechanics.md` §6.4.
    ///
    /// # Errors
    ///
    /// [`LimitError`] if the number of forces is wrong or one is not finite.
    pub fn settle(&self, linear: &[f64]) -> Result<Settled, LimitError> {
        let count = 6 * self.cups.len() + self.straps.len();
        if linear.len() != count {
            #[expect(clippy::cast_precision_loss, reason = "a count to be shown")]
            let value = linear.len() as f64;
            return Err(LimitError::OutOfRange {
                what: "number of linear forces",
                value,
                needs: "six a cup and one a strap",
            });
        }
        for v in linear {
            finite("linear force", *v)?;
        }
        let limits = limits(&self.cups, &self.straps);
        let mut vacuum = vec![0.0; self.cups.len()];
        for (v, cup) in vacuum.iter_mut().zip(&self.cups) {
            *v = cup.map_or(0.0, |c| c.vacuum_n);
        }
        let none = vec![0.0; count];
        let opening = match self.nearest.of(&limits, linear, &none) {
            Found::At(at) => at,
            Found::Nowhere => return Ok(Settled::LetsGo),
            Found::Unknown(status) => return Ok(Settled::NotSolved { status }),
        };
        let unit = opening.unit_n;
        let stiff = self.nearest.stiffest();
        let mut answer = opening.clone();
        let mut back = none;
        let mut level = false;
        let mut mixing = Mixing::default();
        for _ in 0..ROUNDS {
            let level_now: Vec<f64> =
                back.iter().skip(2).step_by(6).take(self.cups.len()).map(|b| -b).collect();
            let mu = |cup: &Option<Cup>| cup.map_or(0.0, |c| c.friction.mu);
            let asked: Vec<f64> =
                self.cups.iter().enumerate().map(|(c, cup)| mu(cup) * slide(&answer.rub, c)).collect();
            let change = asked.iter().zip(&level_now).map(|(a, l)| (a - l).abs() * stiff).fold(0.0, f64::max);
            if change <= LEVEL_TOL * unit {
                level = true;
                break;
            }
            for (c, lift) in mixing.next(&level_now, &asked).into_iter().enumerate() {
                back[6 * c + 2] = -lift.max(0.0);
            }
            match self.nearest.of(&limits, linear, &back) {
                Found::At(at) => answer = at,
                Found::Nowhere | Found::Unknown(_) => break,
            }
        }
        if !level {
            answer = opening;
            back.fill(0.0);
        }
        let still = STILL * unit / stiff;
        let force = |i: usize| answer.forces.get(i).copied().unwrap_or(f64::NAN);
        let moved = |i: usize| {
            answer.movement.get(i).copied().unwrap_or(f64::NAN) + back.get(i).copied().unwrap_or(0.0)
        };
        let cups = self.cups.iter().enumerate().map(|(c, cup)| {
            let cup = (*cup)?;
            let forces: [f64; 6] = core::array::from_fn(|d| force(6 * c + d));
            let movement = core::array::from_fn(|d| moved(6 * c + d));
            let lift = answer.press.get(c).copied().flatten().unwrap_or(0.0);
            let [seal, slip] = cup.spare(&forces);
            Some(CupState {
                forces,
                movement,
                lifts: lift > still && seal <= REACHED * unit,
                slides: slide(&answer.rub, c) > still && slip <= REACHED * unit,
                utilisation: cup.utilisation(&forces),
            })
        });
        let straps = self.straps.iter().enumerate().map(|(s, capacity)| {
            let capacity = (*capacity)?;
            let i = 6 * self.cups.len() + s;
            let (tension_n, loose_m) = (force(i), moved(i));
            Some(StrapState {
                tension_n,
                loose_m,
                slack: tension_n <= REACHED * unit && loose_m > still,
                at_capacity: tension_n >= capacity - REACHED * unit && loose_m < -still,
            })
        });
        Ok(Settled::Held(Held { cups: cups.collect(), straps: straps.collect(), level }))
    }
}

impl Cup {
    /// What is left of the press at the edge of the seal, and of friction over `mu`, N.
    fn spare(&self, f: &[f64; 6]) -> [f64; 2] {
        let n = self.vacuum_n + f[2];
        let Friction { mu, core_radius_m, torsion_radius_m } = self.friction;
        let rub = f[0].hypot(f[1]).hypot(f[5] / torsion_radius_m);
        [n - f[3].hypot(f[4]) / core_radius_m, n - if mu > 0.0 { rub / mu } else { 0.0 }]
    }

    /// Demand over capacity, the worse of seal and friction; a press counts as capacity.
    fn utilisation(&self, f: &[f64; 6]) -> f64 {
        let capacity = self.vacuum_n + f[2].max(0.0);
        let least = self.spare(f).into_iter().fold(f64::INFINITY, f64::min);
        if capacity > 0.0 { (1.0 - least / capacity).max(0.0) } else { 1.0 }
    }
}

fn slide(rub: &[Option<f64>], cup: usize) -> f64 {
    rub.get(cup).copied().flatten().unwrap_or(0.0)
}

/// Radii by which moments are made forces, one a force: core radius, torsion radius, 1 for forces.
fn radii(cups: &[Option<Cup>], straps: usize) -> Vec<f64> {
    let of = |c: &Option<Cup>| {
        let (e, t) = c.map_or((1.0, 1.0), |c| (c.friction.core_radius_m, c.friction.torsion_radius_m));
        [1.0, 1.0, 1.0, e, e, t]
    };
    cups.iter().flat_map(of).chain(core::iter::repeat_n(1.0, straps)).collect()
}

/// The limits as cones on the forces.
fn limits(cups: &[Option<Cup>], straps: &[Option<f64>]) -> Vec<Limit> {
    let mut out = Vec::new();
    for (c, cup) in cups.iter().enumerate() {
        let Some(cup) = cup else { continue };
        let f = cup.friction;
        let i = 6 * c;
        out.push(Limit::Press { cup: c, vacuum_n: cup.vacuum_n, normal: i + 2, tail: [i + 3, i + 4] });
        out.push(Limit::Rub {
            cup: c,
            vacuum_n: cup.vacuum_n,
            normal: i + 2,
            tail: [i, i + 1, i + 5],
            mu: f.mu,
        });
    }
    for (s, capacity) in straps.iter().enumerate() {
        if let Some(capacity_n) = *capacity {
            out.push(Limit::Strap { force: 6 * cups.len() + s, capacity_n });
        }
    }
    out
}
