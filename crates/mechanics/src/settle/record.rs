//! The samples of a release test, checked.

use super::error::Refusal;
use super::noise::median;
use std::f64::consts::PI;

/// What was recorded. All are linear in the swing and shrink alike; only what can be believed differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Signal {
    /// Angle, rad.
    Angle,
    /// Angular rate, rad/s.
    AngularRate,
    /// Acceleration, m/s²; gravity in it is an offset.
    Acceleration,
    /// Displacement, m.
    Displacement,
}

impl Signal {
    /// The largest swing to one side that a payload on an isolator can make: half a turn, 40 rad/s, 16 g, 2 m.
    ///
    /// Common practice, no source: past them a unit is mistaken (degrees read as radians), or the phone fell.
    pub fn most(self) -> f64 {
        match self {
            Self::Angle => PI,
            Self::AngularRate => 40.0,
            Self::Acceleration => 16.0 * crate::STANDARD_GRAVITY,
            Self::Displacement => 2.0,
        }
    }
}

/// Samples in order of time, all finite.
#[derive(Debug, Clone)]
pub struct Record {
    pub(super) t: Vec<f64>,
    pub(super) y: Vec<f64>,
    pub(super) signal: Signal,
    /// Usual time between samples, s.
    pub(super) step_s: f64,
}

/// Fewer samples than this hold no swing with its uncertainty.
const FEWEST: usize = 30;

impl Record {
    /// Checks time (s, rising) and values (SI) of equal number.
    ///
    /// `docs/mechanics.md` §15.3. Checked by `every_refusal_has_its_trace` in `tests/settle_refusals.rs`.
    ///
    /// # Errors
    ///
    /// [`Refusal::NotNumbers`] and [`Refusal::TooShort`].
    pub fn new(samples: &[(f64, f64)], signal: Signal) -> Result<Self, Refusal> {
        let wrong = |(i, (t, y)): (usize, &(f64, f64))| {
            let before = i.checked_sub(1).and_then(|b| samples.get(b)).is_none_or(|b| b.0 < *t);
            (!(t.is_finite() && y.is_finite() && t.abs() < 1e12 && y.abs() < 1e12 && before)).then_some(i)
        };
        if let Some(sample) = samples.iter().enumerate().find_map(wrong) {
            return Err(Refusal::NotNumbers { sample });
        }
        let start = samples.first().map_or(0.0, |s| s.0);
        let t: Vec<f64> = samples.iter().map(|s| s.0 - start).collect();
        let y = samples.iter().map(|s| s.1).collect();
        let seconds = t.last().copied().unwrap_or(0.0);
        let steps: Vec<f64> =
            t.windows(2).map(|w| w.last().unwrap_or(&0.0) - w.first().unwrap_or(&0.0)).collect();
        let step_s = median(&steps);
        if samples.len() < FEWEST || step_s.is_nan() || step_s <= 0.0 {
            return Err(Refusal::TooShort { samples: samples.len(), seconds });
        }
        Ok(Self { t, y, signal, step_s })
    }

    /// Seconds from first to last sample.
    pub fn seconds(&self) -> f64 {
        self.t.last().copied().unwrap_or(0.0)
    }

    /// Samples a second, as a rule.
    pub fn rate_hz(&self) -> f64 {
        1.0 / self.step_s
    }

    /// Time from the first sample and value, in order.
    pub fn samples(&self) -> impl Iterator<Item = (f64, f64)> {
        self.t.iter().copied().zip(self.y.iter().copied())
    }

    /// Index range of the samples from one time to another, both in.
    pub(super) fn between(&self, from_s: f64, to_s: f64) -> (Vec<f64>, Vec<f64>) {
        self.samples().filter(|(t, _)| (from_s..=to_s).contains(t)).unzip()
    }

    /// Means of as many samples as make at most `rate_hz` a second: quieter, and quicker to look through.
    pub(super) fn coarse(&self, rate_hz: f64) -> Vec<(f64, f64)> {
        let many = (self.rate_hz() / rate_hz).round().max(1.0);
        // At most as many as there are samples; a whole number of at least one.
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "checked: from 1 to the count"
        )]
        let many = many.min(self.t.len() as f64) as usize;
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
        self.t.chunks(many).zip(self.y.chunks(many)).map(|(t, y)| (mean(t), mean(y))).collect()
    }
}
