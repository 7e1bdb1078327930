//! The inverse question: how hard may the car turn and brake, with the boom there, at that speed, on dry or wet panels?
//!
//! [`envelope`] answers for every sector of bearings, band of elevations, speed and surface; [`largest`] says how far the
//! plan itself may be stretched: pan rate, payload, gust.

use crate::context::Context;
use crate::parts::PartRef;
use crate::state::StateId;
use crate::structure::BuildOptions;
use crate::{Fault, Need, check};
use mechanics::STANDARD_GRAVITY;
use mechanics::arm::Pose;
use rayon::prelude::*;
use rig::model::{ArmUse, Rig};
use rig::policy::CheckId;
use std::sync::atomic::{AtomicU64, Ordering};

mod around;
mod bearings;
pub mod card;
mod judge;
pub mod largest;
mod seek;
mod vacuum;

pub use around::around;
pub use bearings::{Band, Place, Sector};
pub use card::Card;
pub use largest::{Largest, Stretch, largest};
pub use seek::CAP;
pub use vacuum::{Vacuum, vacuum};

/// What the car does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ask {
    /// Bends to either side, nothing else.
    Side,
    /// Brakes, nothing else.
    Brake,
    /// Both, with as much of the one as of the other.
    Both,
}

impl Ask {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Side, Self::Brake, Self::Both];
}

/// What stops it from being more.
#[derive(Clone, Debug, PartialEq)]
pub struct By {
    /// The check.
    pub check: CheckId,
    /// The part.
    pub part: PartRef,
    /// The state, in words.
    pub when: String,
    /// The state.
    pub state: StateId,
}

/// The largest acceleration at which everything holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// What is asked of the rig.
    pub ask: Ask,
    /// m/s², rounded down to [`seek::FINE`]; none where not even standing still on that road holds, or where without some part
    /// something moves freely.
    pub acceleration: Option<f64>,
    /// What would fail next; none at the cap.
    pub by: Option<By>,
}

impl Limit {
    /// In g, rounded down to two places.
    pub fn g(&self) -> Option<f64> {
        self.acceleration.map(|a| (a / STANDARD_GRAVITY * 100.0 + 1e-6).floor() / 100.0)
    }
}

/// One line of the envelope.
#[derive(Clone, Debug)]
pub struct Cell {
    /// m/s.
    pub speed: f64,
    /// Rain, dew or washing water on the panels.
    pub wet: bool,
    /// Where the boom is.
    pub place: Place,
    /// One for each of [`Ask::ALL`].
    pub limits: Vec<Limit>,
}

/// All limits of a rig.
#[derive(Clone, Debug)]
pub struct Envelope {
    /// Every place at every speed, dry and wet.
    pub cells: Vec<Cell>,
    /// Speeds, m/s.
    pub speeds: Vec<f64>,
    /// Sectors of bearings, in the order in which they are counted; empty without an arm that roams.
    pub sectors: Vec<Sector>,
    /// Bands of elevation.
    pub bands: Vec<Band>,
    /// Surfaces that are known: dry, wet.
    pub surfaces: Vec<bool>,
    /// May the arm move (pan, tilt, start and stop) while it roams?
    pub moving: bool,
    /// Does the plan have gusts, so that they blow here too?
    pub gust: bool,
    /// Values without which some check could not be made: the limits are then no permission.
    pub missing: Vec<Need>,
}

/// How to look.
#[derive(Clone)]
pub struct Options<'a> {
    /// Speeds, m/s; none: up to four, up to the fastest of the plan.
    pub speeds: Vec<f64>,
    /// How many sectors of bearings.
    pub sectors: usize,
    /// How the frame is built.
    pub build: BuildOptions,
    /// Told of progress: limits found, limits in all.
    pub tick: &'a (dyn Fn(u64, u64) + Sync),
}

impl Default for Options<'_> {
    fn default() -> Self {
        Self { speeds: Vec::new(), sectors: 12, build: BuildOptions::default(), tick: &|_, _| {} }
    }
}

/// Speeds that people remember, km/h.
const ROUND_KMH: [f64; 3] = [30.0, 60.0, 90.0];

/// Up to four speeds up to the fastest that a plan has for some use of the arm.
fn speeds(rig: &Rig, parked: bool) -> Vec<f64> {
    let of = |m: &&rig::model::Manoeuvre| (m.arm == ArmUse::Parked) == parked;
    let fastest = rig.manoeuvres.iter().filter(of).map(|m| m.speed.value).fold(0.0, f64::max);
    if fastest <= 0.1 {
        return Vec::new();
    }
    let mut out: Vec<f64> = ROUND_KMH.iter().map(|k| k / 3.6).filter(|v| *v < fastest - 0.5).collect();
    out.push(fastest);
    out
}

/// One limit to be found.
struct Task {
    place: Place,
    poses: Vec<Pose>,
    wet: bool,
    ask: Ask,
}

/// The largest accelerations at which every check that looks at states holds.
///
/// The car is on the level on a road of the site's class, with its ups and downs at that speed; gusts blow if any manoeuvre of
/// the plan has them. Assumed values are at their typical value and at all their bad ends together, and the least counts. Checks
/// that need one look (masses, fit, retention) are not part of it: [`crate::verdict::check`] has them.
///
/// # Errors
///
/// [`Fault`] where the rig cannot be computed with at all.
pub fn envelope(rig: &Rig, options: &Options<'_>) -> Result<Envelope, Fault> {
    let roams = rig.manoeuvres.iter().any(|m| m.arm != ArmUse::Parked) || rig.manoeuvres.is_empty();
    let moving = rig.manoeuvres.iter().any(|m| m.arm == ArmUse::Live) && rig.arm.is_some();
    let parks = rig.arm.is_some() && rig.manoeuvres.iter().any(|m| m.arm == ArmUse::Parked);
    let (sectors, bands) = match &rig.arm {
        Some(arm) if roams => (bearings::sectors(arm, options.sectors), bearings::bands(arm)),
        _ => (Vec::new(), Vec::new()),
    };
    let mut places: Vec<(Place, Vec<Pose>)> = Vec::new();
    match &rig.arm {
        None => places.push((Place::Fixed, vec![Pose::default()])),
        Some(arm) => {
            for (s, sector) in sectors.iter().enumerate() {
                for (b, band) in bands.iter().enumerate() {
                    places.push((Place::Boom { sector: s, band: b }, bearings::poses(arm, sector, band)));
                }
            }
            if parks {
                let pose = Pose { pan_rad: arm.parked.0, elevation_rad: arm.parked.1 };
                places.push((Place::Parked, vec![pose]));
            }
        }
    }
    let stated = !options.speeds.is_empty();
    let of_plan = |parked| if stated { options.speeds.clone() } else { speeds(rig, parked) };
    let (roaming, parked) = (of_plan(false), of_plan(true));
    let mut all: Vec<f64> = roaming.iter().chain(if parks { &parked[..] } else { &[] }).copied().collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let surfaces = judge::surfaces(rig);
    let has = |place: Place, v: f64| {
        let list = if place == Place::Parked { &parked } else { &roaming };
        list.iter().any(|s| (s - v).abs() < 1e-6)
    };
    let total: usize = all
        .iter()
        .map(|v| places.iter().filter(|(p, _)| has(*p, *v)).count() * surfaces.len() * Ask::ALL.len())
        .sum();
    let done = AtomicU64::new(0);
    let mut cells = Vec::new();
    for speed in &all {
        for use_of_arm in [false, true] {
            let here: Vec<&(Place, Vec<Pose>)> = places
                .iter()
                .filter(|(p, _)| (*p == Place::Parked) == use_of_arm && has(*p, *speed))
                .collect();
            if here.is_empty() {
                continue;
            }
            let live = moving && !use_of_arm;
            let rigs = judge::variants(rig, *speed, live, &surfaces);
            let judges = judge::judges(&rigs, options.build)?;
            let tasks: Vec<Task> = here
                .iter()
                .flat_map(|(place, poses)| {
                    surfaces.iter().flat_map(move |wet| {
                        Ask::ALL.map(|ask| Task { place: *place, poses: poses.clone(), wet: *wet, ask })
                    })
                })
                .collect();
            let found: Vec<Limit> = tasks
                .par_iter()
                .map(|t| {
                    let of: Vec<&judge::Judge<'_>> = judges.iter().filter(|j| j.wet == t.wet).collect();
                    let limit = seek::limit(&of, t.ask, &t.poses);
                    (options.tick)(done.fetch_add(1, Ordering::Relaxed) + 1, total as u64);
                    limit
                })
                .collect();
            for (tasks, limits) in tasks.chunks(Ask::ALL.len()).zip(found.chunks(Ask::ALL.len())) {
                let (place, wet) = (tasks[0].place, tasks[0].wet);
                cells.push(Cell { speed: *speed, wet, place, limits: limits.to_vec() });
            }
        }
    }
    let mut missing: Vec<Need> = Vec::new();
    for need in check::swept(&Context::new(rig, options.build)?)
        .iter()
        .flat_map(|c| c.items())
        .filter_map(|i| i.missing.as_ref())
    {
        if !missing.contains(need) {
            missing.push(need.clone());
        }
    }
    Ok(Envelope {
        cells,
        speeds: all,
        sectors,
        bands,
        surfaces,
        moving,
        gust: rig.manoeuvres.iter().any(|m| m.gust),
        missing,
    })
}
