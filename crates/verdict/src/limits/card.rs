//! The few numbers of an envelope that a driver can remember, all rounded to the safe side.

use super::{Ask, Cell, Envelope, Place};
use mechanics::STANDARD_GRAVITY;
use rig::model::{ArmUse, Rig};
use rig::policy::CheckId;

/// What is remembered is a multiple of this, g.
const ROUND_G: f64 = 0.05;
/// A sector is worth a line of its own if it allows so much more, g.
const WORTH_G: f64 = 0.1;

/// What the boom does in a row of the card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Boom {
    /// There is none.
    None,
    /// It points anywhere, and works as the plan lets it.
    Anywhere,
    /// Parked for travel.
    Parked,
}

/// What may be done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Allowed {
    /// g, a multiple of 0.05, rounded down.
    UpTo(f64),
    /// As much as the plan has, g, rounded down: the rig would bear more, but car and road were not checked for it.
    AsPlanned(f64),
    /// Not at all.
    No,
    /// The plan has none of it, so it was not checked.
    NotPlanned,
}

impl Allowed {
    /// g; none where it must not be done.
    pub fn g(self) -> Option<f64> {
        match self {
            Self::UpTo(g) | Self::AsPlanned(g) => Some(g),
            Self::No | Self::NotPlanned => None,
        }
    }

    /// The less of a limit and of what the plan has, m/s².
    fn of(limit: Option<f64>, planned: f64) -> Self {
        match (remembered(limit), remembered(Some(planned))) {
            (_, None) => Self::NotPlanned,
            (None, Some(_)) => Self::No,
            (Some(g), Some(plan)) if plan < g => Self::AsPlanned(plan),
            (Some(g), Some(_)) => Self::UpTo(g),
        }
    }
}

/// One row: up to a speed.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What the boom does.
    pub boom: Boom,
    /// Wet panels.
    pub wet: bool,
    /// Up to this speed, m/s.
    pub speed: f64,
    /// For each of [`Ask::ALL`].
    pub allowed: [Allowed; 3],
    /// Least radius of a bend at that speed, m, rounded up to whole 5 m; none where bends are not allowed.
    pub radius: Option<f64>,
    /// Clock hours where the boom allows clearly harder bends, and how hard, g.
    pub better: Option<(Vec<u8>, f64)>,
    /// The check that stops bends from being harder.
    pub by: Option<CheckId>,
}

/// All rows, dry before wet, slow before fast.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// Rows.
    pub rows: Vec<Row>,
}

/// Rounded down to what is remembered; none under it.
fn remembered(acceleration: Option<f64>) -> Option<f64> {
    let steps = (acceleration? / STANDARD_GRAVITY / ROUND_G + 1e-6).floor();
    (steps >= 1.0).then_some(steps * ROUND_G)
}

/// The least of some limits: none at all is less than any.
fn least<'a>(cells: impl Iterator<Item = &'a Cell>, ask: usize) -> (Option<f64>, Option<CheckId>) {
    let mut out: Option<(Option<f64>, Option<CheckId>)> = None;
    for limit in cells.filter_map(|c| c.limits.get(ask)) {
        let less = out.as_ref().is_none_or(|(least, _)| match (limit.acceleration, least) {
            (None, Some(_)) => true,
            (Some(a), Some(b)) => a < *b,
            (_, None) => false,
        });
        if less {
            out = Some((limit.acceleration, limit.by.as_ref().map(|b| b.check)));
        }
    }
    out.unwrap_or((None, None))
}

impl Card {
    /// The card of a rig and its envelope. What holds up to a speed holds at every speed of the envelope up to it, and nothing is
    /// allowed beyond what the plan has: the car's own checks (rolling over, axles) know the plan alone.
    pub fn of(rig: &Rig, envelope: &Envelope) -> Self {
        let mut rows = Vec::new();
        for boom in [Boom::None, Boom::Anywhere, Boom::Parked] {
            let here = |c: &&Cell| match c.place {
                Place::Fixed => boom == Boom::None,
                Place::Parked => boom == Boom::Parked,
                Place::Boom { .. } => boom == Boom::Anywhere,
            };
            let planned = planned(rig, boom);
            for wet in &envelope.surfaces {
                let of: Vec<&Cell> = envelope.cells.iter().filter(here).filter(|c| c.wet == *wet).collect();
                for speed in envelope.speeds.iter().filter(|v| of.iter().any(|c| same(c.speed, **v))) {
                    let up_to: Vec<&Cell> =
                        of.iter().copied().filter(|c| c.speed <= *speed || same(c.speed, *speed)).collect();
                    let mut row = row(envelope, &up_to, planned);
                    (row.boom, row.wet, row.speed) = (boom, *wet, *speed);
                    row.radius = row.allowed[0].g().map(|g| least_radius(*speed, g));
                    rows.push(row);
                }
            }
        }
        Self { rows }
    }
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

/// Largest acceleration of a plan's manoeuvres to a side, in braking, and of both at once, m/s².
fn planned(rig: &Rig, boom: Boom) -> [f64; 3] {
    let here = rig.manoeuvres.iter().filter(|m| (m.arm == ArmUse::Parked) == (boom == Boom::Parked));
    let (mut side, mut brake) = (0.0_f64, 0.0_f64);
    for m in here {
        side = side.max(m.left.value.abs());
        brake = brake.max(-m.forward.value);
    }
    [side, brake, side.min(brake)]
}

/// Radius of a bend, rounded up to whole 5 m.
fn least_radius(speed: f64, g: f64) -> f64 {
    (speed * speed / (g * STANDARD_GRAVITY) / 5.0 - 1e-9).ceil() * 5.0
}

fn row(envelope: &Envelope, cells: &[&Cell], planned: [f64; 3]) -> Row {
    let limits = [0, 1, 2].map(|ask| least(cells.iter().copied(), ask));
    let allowed: [Allowed; 3] = core::array::from_fn(|k| Allowed::of(limits[k].0, planned[k]));
    let side = allowed[0].g().unwrap_or(0.0);
    let better = (0..envelope.sectors.len()).filter_map(|s| {
        let of =
            cells.iter().copied().filter(|c| matches!(c.place, Place::Boom { sector, .. } if sector == s));
        let g = Allowed::of(least(of, 0).0, planned[0]).g()?;
        let hour = envelope.sectors.get(s)?.hour()?;
        (g >= side + WORTH_G - 1e-9).then_some((hour, g))
    });
    let better: Vec<(u8, f64)> = better.collect();
    let least_better = better.iter().map(|(_, g)| *g).fold(f64::INFINITY, f64::min);
    let better = (!better.is_empty()).then(|| (better.iter().map(|(h, _)| *h).collect(), least_better));
    Row { boom: Boom::None, wet: false, speed: 0.0, allowed, radius: None, better, by: limits[0].1 }
}

impl Ask {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Side => "bends",
            Self::Brake => "brake",
            Self::Both => "both at once",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Band, Limit, Sector};
    use super::*;
    use core::f64::consts::PI;

    fn cell(speed: f64, wet: bool, sector: usize, g: [Option<f64>; 3]) -> Cell {
        let limits = Ask::ALL
            .iter()
            .zip(g)
            .map(|(ask, g)| Limit { ask: *ask, acceleration: g.map(|g| g * STANDARD_GRAVITY), by: None })
            .collect();
        Cell { speed, wet, place: Place::Boom { sector, band: 0 }, limits }
    }

    fn envelope(cells: Vec<Cell>) -> Envelope {
        let half = PI / 12.0;
        Envelope {
            cells,
            speeds: vec![10.0, 20.0],
            sectors: vec![
                Sector { from: -half, to: half },
                Sector { from: PI / 2.0 - half, to: PI / 2.0 + half },
            ],
            bands: vec![Band { from: -0.1, to: 0.1 }],
            surfaces: vec![false],
            moving: true,
            gust: false,
            missing: Vec::new(),
        }
    }

    #[test]
    fn everything_is_rounded_to_the_safe_side() {
        let e = envelope(vec![
            cell(10.0, false, 0, [Some(0.549), Some(0.6), Some(0.2)]),
            cell(10.0, false, 1, [Some(0.319), Some(0.599), Some(0.04)]),
            cell(20.0, false, 0, [Some(0.9), Some(0.7), Some(0.3)]),
            cell(20.0, false, 1, [Some(0.8), None, Some(0.3)]),
        ]);
        let mut rig = crate::testing::rig();
        let asked = |forward, left| crate::testing::manoeuvre("asked", forward, left, ArmUse::Still);
        rig.manoeuvres = vec![asked(-8.9, 0.0), asked(0.0, -5.0)];
        let rows = Card::of(&rig, &e).rows;
        assert_eq!(rows.len(), 2);
        let near = |a: Option<f64>, b: f64| a.is_some_and(|a| (a - b).abs() < 1e-9);
        assert!(near(rows[0].allowed[0].g(), 0.3) && near(rows[0].allowed[1].g(), 0.55), "{:?}", rows[0]);
        assert_eq!(rows[0].allowed[2], Allowed::No);
        // 10² / (0.3 x 9.80665) = 33.99 m.
        assert!(near(rows[0].radius, 35.0));
        // What did not hold slower is not allowed faster; what never holds is not allowed.
        assert!(near(rows[1].allowed[0].g(), 0.3));
        assert_eq!(rows[1].allowed[1], Allowed::No);
        // 20² / (0.3 x 9.80665) = 135.96 m.
        assert!(near(rows[1].radius, 140.0));
        // Ahead allows clearly more.
        assert_eq!(rows[0].better.as_ref().unwrap().0, [12]);
        assert!((rows[0].better.as_ref().unwrap().1 - 0.5).abs() < 1e-9);
        // The plan bends with 0.26 g at most and never brakes: no more is handed out.
        rig.manoeuvres = vec![asked(0.0, 2.6)];
        let rows = Card::of(&rig, &e).rows;
        assert!(matches!(rows[0].allowed[0], Allowed::AsPlanned(g) if (g - 0.25).abs() < 1e-9));
        assert_eq!(rows[0].allowed[1], Allowed::NotPlanned);
    }

    #[test]
    fn a_limit_on_a_step_is_that_step() {
        assert!((remembered(Some(0.35 * STANDARD_GRAVITY)).unwrap() - 0.35).abs() < 1e-9);
        assert_eq!(remembered(Some(0.049 * STANDARD_GRAVITY)), None);
        assert_eq!(remembered(None), None);
    }
}
