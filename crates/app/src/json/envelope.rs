//! What `envelope --json` prints.

use super::around::Around;
use super::finding::Missing;
use rig::Rig;
use serde::Serialize;
use verdict::limits::{self, CAP, Envelope, Largest, Place, Stretch};

/// All limits.
#[derive(Debug, Serialize)]
pub(crate) struct Limits {
    rig: String,
    exit_status: u8,
    units: &'static str,
    /// Accelerations are looked at up to this, m/s².
    cap_m_s2: f64,
    arm_moving: bool,
    gusts: bool,
    road_class: char,
    /// Without these some check was left out: the limits are no permission.
    missing: Vec<Missing>,
    cells: Vec<Cell>,
    stretched: Vec<Stretched>,
    /// Least margins of the plan's own manoeuvres, at the values as they stand.
    plan: Option<Around>,
}

#[derive(Debug, Serialize)]
struct Cell {
    speed_m_s: f64,
    wet: bool,
    /// `boom`, `parked` or `fixed`.
    place: &'static str,
    /// From right to left, left positive.
    bearing_rad: Option<[f64; 2]>,
    elevation_rad: Option<[f64; 2]>,
    bends: Limit,
    brake: Limit,
    /// As much of each at once.
    both: Limit,
}

#[derive(Debug, Serialize)]
struct Limit {
    /// `null`: not even with none at all.
    acceleration_m_s2: Option<f64>,
    stopped_by: Option<By>,
}

#[derive(Debug, Serialize)]
struct By {
    check: &'static str,
    part: String,
    state: String,
}

/// One thing stretched.
#[derive(Debug, Serialize)]
pub(crate) struct Stretched {
    what: &'static str,
    unit: &'static str,
    planned: f64,
    largest: Option<f64>,
    looked_up_to: f64,
    stopped_by: Option<&'static str>,
}

impl Limits {
    pub(crate) fn of(rig: &Rig, e: &Envelope, stretched: &[Largest], exit_status: u8) -> Self {
        Self {
            rig: rig.name.clone(),
            exit_status,
            units: "SI: m, s, rad, kg",
            cap_m_s2: CAP,
            arm_moving: e.moving,
            gusts: e.gust,
            road_class: rig.site.road,
            missing: e.missing.iter().map(Missing::of).collect(),
            cells: e.cells.iter().map(|c| Cell::of(rig, e, c)).collect(),
            stretched: stretched.iter().map(Stretched::of).collect(),
            plan: None,
        }
    }

    /// With the margins by where the boom is; nothing without an arm.
    pub(crate) fn with(mut self, rig: &Rig, around: &verdict::sweep::Around) -> Self {
        self.plan = rig.arm.is_some().then(|| Around::of(rig, around));
        self
    }
}

impl Cell {
    fn of(rig: &Rig, e: &Envelope, c: &limits::Cell) -> Self {
        let limit = |k: usize| {
            let l = c.limits.get(k);
            Limit {
                acceleration_m_s2: l.and_then(|l| l.acceleration),
                stopped_by: l.and_then(|l| l.by.as_ref()).map(|by| By {
                    check: by.check.row().name,
                    part: by.part.name(rig),
                    state: by.when.clone(),
                }),
            }
        };
        let (place, sector, band) = match c.place {
            Place::Fixed => ("fixed", None, None),
            Place::Parked => ("parked", None, None),
            Place::Boom { sector, band } => ("boom", e.sectors.get(sector), e.bands.get(band)),
        };
        Self {
            speed_m_s: c.speed,
            wet: c.wet,
            place,
            bearing_rad: sector.map(|s| [s.from, s.to]),
            elevation_rad: band.map(|b| [b.from, b.to]),
            bends: limit(0),
            brake: limit(1),
            both: limit(2),
        }
    }
}

impl Stretched {
    pub(crate) fn of(l: &Largest) -> Self {
        let (what, unit) = match l.what {
            Stretch::PanRate => ("pan_rate", "rad/s"),
            Stretch::Payload => ("payload_with_balanced_counterweight", "kg"),
            Stretch::Gust => ("gust", "m/s"),
        };
        Self {
            what,
            unit,
            planned: l.planned,
            largest: l.value,
            looked_up_to: l.cap,
            stopped_by: l.by.map(|(check, _)| check.row().name),
        }
    }
}
