//! Road roughness classes after ISO 8608, and the spectra that follow from them.

use super::{RoadError, SPEED, band};
use crate::range::Range;
use std::f64::consts::PI;

/// Reference spatial frequency `n₀` of ISO 8608, cycles/m.
pub const REFERENCE_CYCLES_PER_M: f64 = 0.1;
/// Lower end of the band on which ISO 8608 describes roads, cycles/m.
pub const BAND_LOW_CYCLES_PER_M: f64 = 0.01;
/// Upper end of that band, cycles/m.
pub const BAND_HIGH_CYCLES_PER_M: f64 = 10.0;

const ROUGHNESS: Range = Range { what: "road roughness at 0.1 cycle/m", low: 0.0, high: 1.0, unit: "m³" };
const SPATIAL: Range = Range { what: "spatial frequency", low: 1e-4, high: 1e4, unit: "cycle/m" };

/// Roughness class of ISO 8608, from `A` (motorway) to `H` (broken track).
///
/// The geometric mean of class `A` is 16·10⁻⁶ m³ and each class is four times the one before; a class reaches from half
/// to twice its mean. Tables in circulation that start at 1·10⁻⁸ m³, or give class `C` 160·10⁻⁶ m³, are wrong.
///
/// # Source
///
/// ISO 8608:2016, annex C, table C.1 (displacement, `n₀` = 0.1 cycle/m, waviness 2) [from memory].
/// `docs/mechanics.md` §3.6. Checked by `tests/sources/iso-8608-2016`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RoadClass {
    /// Motorway, very good main road.
    A,
    /// Good paved road.
    B,
    /// Average paved road.
    C,
    /// Poor paved road.
    D,
    /// Rough road, cobbles, good gravel.
    E,
    /// Gravel, track.
    F,
    /// Bad track.
    G,
    /// Broken ground; no upper limit.
    H,
}

impl RoadClass {
    /// All classes from smooth to rough.
    pub const ALL: [Self; 8] = [Self::A, Self::B, Self::C, Self::D, Self::E, Self::F, Self::G, Self::H];

    /// Geometric mean `G_d(n₀)` of the class, m³.
    pub fn mean_m3(self) -> f64 {
        match self {
            Self::A => 16e-6,
            Self::B => 64e-6,
            Self::C => 256e-6,
            Self::D => 1_024e-6,
            Self::E => 4_096e-6,
            Self::F => 16_384e-6,
            Self::G => 65_536e-6,
            Self::H => 262_144e-6,
        }
    }

    /// Lower limit of the class, m³; `None` for `A`.
    pub fn lower_m3(self) -> Option<f64> {
        (self != Self::A).then(|| self.mean_m3() / 2.0)
    }

    /// Upper limit of the class, m³; `None` for `H`.
    pub fn upper_m3(self) -> Option<f64> {
        (self != Self::H).then(|| self.mean_m3() * 2.0)
    }

    /// The class a measured roughness falls in; a value on a limit belongs to the rougher class.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] outside 0 to 1 m³.
    pub fn of(roughness_m3: f64) -> Result<Self, RoadError> {
        let g = ROUGHNESS.check(roughness_m3)?;
        let found = Self::ALL.into_iter().find(|class| class.upper_m3().is_some_and(|upper| g < upper));
        Ok(found.unwrap_or(Self::H))
    }

    /// The road of this class at its geometric mean.
    pub fn road(self) -> Road {
        Road { roughness_m3: self.mean_m3() }
    }
}

/// A road as a random profile: `G_d(n) = G_d(n₀) (n/n₀)⁻²`.
///
/// # Symbols
///
/// | here           | in the source | unit    | meaning                                            |
/// |----------------|---------------|---------|----------------------------------------------------|
/// | `roughness_m3` | `G_d(n₀)`     | m³      | one-sided displacement spectrum at 0.1 cycle/m     |
/// | `cycles_per_m` | `n`           | cycle/m | spatial frequency, one over wavelength             |
/// | `speed_m_s`    | `v`           | m/s     | time frequency is `f = n v`                        |
///
/// # Assumes
///
/// Waviness 2, one wheel track, no single bumps (see [`kerb`](super::kerb)).
///
/// # Source
///
/// ISO 8608:2016, cl. 5 and annex B [from memory]. `docs/mechanics.md` §3.6. Checked by `tests/sources/iso-8608-2016`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Road {
    roughness_m3: f64,
}

impl Road {
    /// A road of measured roughness.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] outside 0 to 1 m³.
    pub fn new(roughness_m3: f64) -> Result<Self, RoadError> {
        Ok(Self { roughness_m3: ROUGHNESS.check(roughness_m3)? })
    }

    /// Roughness `G_d(n₀)`, m³.
    pub fn roughness_m3(&self) -> f64 {
        self.roughness_m3
    }

    /// Displacement spectrum over spatial frequency, m³ (m² per cycle/m), one-sided.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] for the frequency.
    pub fn displacement_psd(&self, cycles_per_m: f64) -> Result<f64, RoadError> {
        let ratio = SPATIAL.check(cycles_per_m)? / REFERENCE_CYCLES_PER_M;
        Ok(self.roughness_m3 / (ratio * ratio))
    }

    /// Spectrum of the road's vertical velocity under a wheel, (m/s)²/Hz, one-sided: `G_v = (2π n₀)² G_d(n₀) v`.
    ///
    /// The same at every frequency, because waviness 2 makes the road's velocity white.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] for a speed outside 0.1 to 100 m/s.
    pub fn velocity_psd(&self, speed_m_s: f64) -> Result<f64, RoadError> {
        let slope = 2.0 * PI * REFERENCE_CYCLES_PER_M;
        Ok(slope * slope * self.roughness_m3 * SPEED.check(speed_m_s)?)
    }

    /// Root-mean-square height between two spatial frequencies, m: `√(G_d(n₀) n₀² (1/n₁ - 1/n₂))`.
    ///
    /// # Errors
    ///
    /// [`RoadError::OutOfRange`] or [`RoadError::EmptyBand`] for the band.
    pub fn displacement_rms(&self, low_cycles_per_m: f64, high_cycles_per_m: f64) -> Result<f64, RoadError> {
        let (low, high) = band(&SPATIAL, low_cycles_per_m, high_cycles_per_m)?;
        let n0 = REFERENCE_CYCLES_PER_M;
        Ok((self.roughness_m3 * n0 * n0 * (1.0 / low - 1.0 / high)).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_touch_and_their_means_are_geometric() {
        for pair in RoadClass::ALL.windows(2) {
            assert_eq!(pair[0].upper_m3(), pair[1].lower_m3());
            // Powers of two times a decimal: rounding only.
            assert!((pair[1].mean_m3() / pair[0].mean_m3() - 4.0).abs() < 1e-12);
        }
        assert_eq!(RoadClass::A.lower_m3(), None);
        assert_eq!(RoadClass::H.upper_m3(), None);
    }

    #[test]
    fn a_roughness_finds_its_class() {
        for class in RoadClass::ALL {
            assert_eq!(RoadClass::of(class.mean_m3()), Ok(class));
        }
        assert_eq!(RoadClass::of(0.0), Ok(RoadClass::A));
        assert_eq!(RoadClass::of(128e-6), Ok(RoadClass::C));
        assert_eq!(RoadClass::of(1.0), Ok(RoadClass::H));
        assert!(RoadClass::of(f64::NAN).is_err());
        assert!(RoadClass::of(-1e-6).is_err());
    }

    #[test]
    fn the_rms_is_the_integral_of_the_spectrum() {
        let road = RoadClass::C.road();
        // Midpoint rule in ln n, 20 000 strips over three decades: relative error below 1e-7.
        let strips = 20_000;
        let (low, high) = (BAND_LOW_CYCLES_PER_M, BAND_HIGH_CYCLES_PER_M);
        let width = (high / low).ln() / f64::from(strips);
        let sum: f64 = (0..strips)
            .map(|k| {
                let n = low * ((f64::from(k) + 0.5) * width).exp();
                road.displacement_psd(n).unwrap() * n * width
            })
            .sum();
        let rms = road.displacement_rms(low, high).unwrap();
        assert!((sum.sqrt() / rms - 1.0).abs() < 1e-6);
    }

    #[test]
    fn refuses_bands_and_speeds_that_make_no_sense() {
        let road = RoadClass::A.road();
        assert_eq!(road.displacement_rms(1.0, 1.0), Err(RoadError::EmptyBand { low: 1.0, high: 1.0 }));
        assert!(road.displacement_rms(f64::NAN, 1.0).is_err());
        assert!(road.velocity_psd(0.0).is_err());
        assert!(road.velocity_psd(f64::INFINITY).is_err());
        assert!(road.displacement_psd(0.0).is_err());
        assert!(Road::new(f64::NAN).is_err());
        assert!(Road::new(1.1).is_err());
    }
}
