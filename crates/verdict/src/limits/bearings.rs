//! Sectors of bearings and bands of elevation.

use crate::context::steps;
use core::f64::consts::{PI, TAU};
use mechanics::arm::Pose;
use rig::model::Arm;

/// A range of bearings, rad, left positive, `from < to`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sector {
    /// Its right end.
    pub from: f64,
    /// Its left end.
    pub to: f64,
}

/// A range of elevations, rad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lower end.
    pub from: f64,
    /// Upper end.
    pub to: f64,
}

/// Where the boom is, by index into the envelope's sectors and bands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// No arm.
    Fixed,
    /// As it travels parked.
    Parked,
    /// Anywhere in a sector and a band.
    Boom {
        /// Sector of bearings.
        sector: usize,
        /// Band of elevation.
        band: usize,
    },
}

/// Poses in a sector or band are no farther apart than this, rad.
const STEP: f64 = 5.0 * PI / 180.0;

/// Equal sectors, the first one straight ahead in its middle, then to the left; those that the arm does not reach are left out.
pub(super) fn sectors(arm: &Arm, count: usize) -> Vec<Sector> {
    let n = u32::try_from(count.clamp(1, 72)).map_or(12.0, f64::from);
    let width = TAU / n;
    let mut out = Vec::new();
    let mut k = 0.0;
    while k < n {
        let sector = Sector { from: (k - 0.5) * width, to: (k + 0.5) * width };
        if !pans(arm, &sector).is_empty() {
            out.push(sector);
        }
        k += 1.0;
    }
    out
}

/// Up to three equal bands of the arm's elevation, lowest first.
pub(super) fn bands(arm: &Arm) -> Vec<Band> {
    let (from, to) = arm.elevation;
    let n = if to - from > 0.4 { 3.0 } else { 1.0 };
    let width = (to - from) / n;
    let mut out = Vec::new();
    let mut k = 0.0;
    while k < n {
        out.push(Band { from: from + k * width, to: from + (k + 1.0) * width });
        k += 1.0;
    }
    out
}

/// Bearings of a sector that the arm reaches, with the ends of its own range.
fn pans(arm: &Arm, sector: &Sector) -> Vec<f64> {
    let (low, high) = arm.pan;
    let mut out = Vec::new();
    for turn in [-TAU, 0.0, TAU] {
        let (from, to) = ((sector.from + turn).max(low), (sector.to + turn).min(high));
        if to >= from {
            out.extend(steps(from, to, STEP));
        }
    }
    out
}

/// Poses of a sector and a band, ends included.
pub(super) fn poses(arm: &Arm, sector: &Sector, band: &Band) -> Vec<Pose> {
    let elevations = steps(band.from, band.to, STEP);
    pans(arm, sector)
        .into_iter()
        .flat_map(|pan_rad| elevations.iter().map(move |e| Pose { pan_rad, elevation_rad: *e }))
        .collect()
}

impl Sector {
    /// Does a bearing lie in it? One on the border lies in both neighbours.
    pub fn holds(&self, bearing: f64) -> bool {
        let past = (bearing - self.from + 1e-9).rem_euclid(TAU);
        past <= self.to - self.from + 2e-9
    }

    /// The direction in its middle as on a clock, 12 ahead and 3 to the right; none where it is not a whole hour.
    pub fn hour(&self) -> Option<u8> {
        let hours = -f64::midpoint(self.from, self.to) / (TAU / 12.0);
        let whole = hours.round();
        if (hours - whole).abs() > 1e-6 {
            return None;
        }
        let on_clock = whole.rem_euclid(12.0);
        (0..12_u8).find(|h| (f64::from(*h) - on_clock).abs() < 0.5).map(|h| if h == 0 { 12 } else { h })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn twelve_sectors_are_the_hours_of_a_clock() {
        let rig = crate::testing::rig();
        let arm = rig.arm.as_ref().unwrap();
        let all = sectors(arm, 12);
        let hours: Vec<u8> = all.iter().filter_map(Sector::hour).collect();
        assert_eq!(hours, [12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1]);
        // Left is positive, so nine o'clock is at +90°.
        assert!((f64::midpoint(all[3].from, all[3].to) - PI / 2.0).abs() < 1e-12);
        let mut half = arm.clone();
        half.pan = (-0.2, PI / 2.0);
        let some: Vec<u8> = sectors(&half, 12).iter().filter_map(Sector::hour).collect();
        assert_eq!(some, [12, 11, 10, 9]);
        for s in sectors(&half, 12) {
            assert!(pans(&half, &s).iter().all(|p| *p >= -0.2 - 1e-12 && *p <= PI / 2.0 + 1e-12));
        }
    }

    #[test]
    fn sectors_and_bands_leave_nothing_out() {
        let rig = crate::testing::rig();
        let arm = rig.arm.as_ref().unwrap();
        let (sectors, bands) = (sectors(arm, 12), bands(arm));
        assert!((bands[0].from - arm.elevation.0).abs() < 1e-12);
        assert!((bands[bands.len() - 1].to - arm.elevation.1).abs() < 1e-12);
        for degrees in -179..180 {
            let pan = f64::from(degrees).to_radians();
            let near = sectors.iter().flat_map(|s| pans(arm, s)).any(|p| {
                let apart = (p - pan + PI).rem_euclid(TAU) - PI;
                apart.abs() <= STEP / 2.0 + 1e-9
            });
            assert!(near, "{degrees}");
        }
    }
}
