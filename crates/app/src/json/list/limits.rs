//! Every limit of the envelope.

use super::number;
use quantity::Kind;
use rig::Rig;
use serde::Serialize;
use verdict::limits::{Ask, CAP, Cell, Envelope, Limit, Place};

/// How hard the car may go in one way, at one speed, with the boom in one place.
#[derive(Debug, Serialize)]
pub(crate) struct LimitRow {
    speed_km_h: Option<f64>,
    speed_mph: Option<f64>,
    wet: bool,
    /// `boom`, `parked` or `fixed`.
    place: &'static str,
    bearing_from_deg: Option<f64>,
    bearing_to_deg: Option<f64>,
    elevation_from_deg: Option<f64>,
    elevation_to_deg: Option<f64>,
    /// `bends`, `brake` or `both`.
    way: &'static str,
    /// Whether any acceleration is allowed at all.
    allowed: bool,
    acceleration_g: Option<f64>,
    acceleration_m_s2: Option<f64>,
    acceleration_ft_s2: Option<f64>,
    /// Looked no farther: the limit is at or over this.
    at_least: bool,
    stopped_by: &'static str,
    part: String,
    state: String,
}

impl LimitRow {
    /// All limits of an envelope.
    pub(crate) fn all(rig: &Rig, e: &Envelope) -> Vec<Self> {
        e.cells.iter().flat_map(|c| c.limits.iter().map(|l| Self::of(rig, e, c, l))).collect()
    }

    fn of(rig: &Rig, e: &Envelope, c: &Cell, l: &Limit) -> Self {
        let (place, sector, band) = match c.place {
            Place::Fixed => ("fixed", None, None),
            Place::Parked => ("parked", None, None),
            Place::Boom { sector, band } => ("boom", e.sectors.get(sector), e.bands.get(band)),
        };
        let degrees = |v: Option<f64>| v.and_then(|v| number(v, Kind::Angle, "deg"));
        let acceleration = |unit: &str| l.acceleration.and_then(|a| number(a, Kind::Acceleration, unit));
        Self {
            speed_km_h: number(c.speed, Kind::Speed, "km/h"),
            speed_mph: number(c.speed, Kind::Speed, "mph"),
            wet: c.wet,
            place,
            bearing_from_deg: degrees(sector.map(|s| s.from)),
            bearing_to_deg: degrees(sector.map(|s| s.to)),
            elevation_from_deg: degrees(band.map(|b| b.from)),
            elevation_to_deg: degrees(band.map(|b| b.to)),
            way: match l.ask {
                Ask::Side => "bends",
                Ask::Brake => "brake",
                Ask::Both => "both",
            },
            allowed: l.acceleration.is_some(),
            acceleration_g: l.g(),
            acceleration_m_s2: acceleration("m/s2"),
            acceleration_ft_s2: acceleration("ft/s2"),
            at_least: l.acceleration.is_some_and(|a| a >= CAP - 1e-9),
            stopped_by: l.by.as_ref().map_or("", |by| by.check.row().name),
            part: l.by.as_ref().map_or(String::new(), |by| by.part.name(rig)),
            state: l.by.as_ref().map_or(String::new(), |by| by.when.clone()),
        }
    }
}
