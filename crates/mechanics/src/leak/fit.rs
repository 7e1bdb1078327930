//! From gauge readings to a leak rate with its uncertainty.

use super::flow::choked_ratio;
use super::law::Law;
use super::reading::{Ambient, Reading};
use super::{LeakError, positive};
use crate::settle::noise::student;

/// A value and its interval: 95 of 100 such intervals hold the truth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Best value.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Where the readings lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// All below the choked ratio: about 47 % vacuum and more.
    Choked,
    /// All above it.
    Subsonic,
    /// On both sides.
    Across,
}

/// One law fitted to the readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// The law.
    pub law: Law,
    /// Its rate at the temperature of the last reading, 1/s; see [`Law::vacuum_after_pa`].
    pub rate_per_s: Estimate,
    /// Vacuum at the last reading, at its ambient pressure and temperature, Pa.
    pub vacuum_pa: Estimate,
    /// Scatter about the fit, Pa; 0 with two readings, which show none.
    pub scatter_pa: f64,
}

/// A leak as far as the readings tell it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leak {
    /// Under the orifice law.
    pub orifice: Fit,
    /// Under the exponential law.
    pub exponential: Fit,
    /// Which of the two stands for what is likely: the exponential one where all readings are subsonic, else the orifice.
    pub likely: Law,
    /// Where the readings lie.
    pub regime: Regime,
    /// Whether a leak was seen. If not, its interval begins at 0: it is at most the upper end, and not nothing.
    pub seen: bool,
    /// Air outside at the last reading.
    pub ambient: Ambient,
    /// Moment of the last reading, s.
    pub last_s: f64,
}

/// Readings whose ambient pressure differs by more than this are of different leaks (judgement, no source): the flow goes with it.
const MOST_AMBIENT_CHANGE: f64 = 0.10;
/// Scatter, as a multiple of what the gauge explains, past which no law holds (judgement, no source).
const MOST_SCATTER: f64 = 5.0;
/// For how many readings the gauge's own word counts when scatter is judged (judgement, no source; held by the coverage test).
const GAUGE_COUNTS: f64 = 2.0;
/// 97.5 % point of the normal distribution.
const NORMAL: f64 = 1.959_964;

/// Fits both laws to readings since the last pumping, in order of time.
///
/// All readings are brought to the ambient pressure and temperature of the last one. Each law has a clock that runs evenly
/// ([`Law`]); its line is fitted by least squares with the weight of each reading on that clock. `resolution_pa` is the largest error of
/// one reading (half a division of a dial): its standard deviation is that over the root of three.
///
/// ```text
/// s² = (nu s_r² + 2 s_g²) / (nu + 2)          half width = max(1.96 s_g, t(nu + 2) s) x sqrt((J'WJ)^-1)
/// ```
///
/// `s_r` the scatter, `nu` readings less two, `s_g` the gauge. With two readings the gauge alone.
///
/// # Source
///
/// Weighted least squares and Student's t; how gauge and scatter are put together is ours. `docs/mechanics.md` §17.6. Checked by
/// `tests/leak_coverage.rs`.
///
/// # Errors
///
/// [`LeakError`] as its variants say.
///
/// # Examples
///
/// ```
/// # use mechanics::leak::{Reading, fit};
/// let at = |time_s, vacuum_pa| Reading { time_s, vacuum_pa, ambient_pa: 101_325.0, temperature_k: 293.15 };
/// let leak = fit(&[at(0.0, 84e3), at(3_600.0, 82e3)], 500.0)?;
/// let fall = leak.fall_pa_per_s();
/// assert!(leak.seen && (fall.value * 3_600.0 - 2_000.0).abs() < 1.0);
/// // Half a kilopascal of reading error at both ends.
/// assert!(fall.low * 3_600.0 > 1_150.0 && fall.high * 3_600.0 < 2_850.0);
/// # Ok::<(), mechanics::leak::LeakError>(())
/// ```
pub fn fit(readings: &[Reading], resolution_pa: f64) -> Result<Leak, LeakError> {
    let error = positive("resolution of the gauge", resolution_pa)?;
    let (Some(last), true) = (readings.last().copied(), readings.len() >= 2) else {
        return Err(LeakError::TooFew { readings: readings.len() });
    };
    in_order(readings)?;
    let vacua = corrected(readings, last.ambient(), error)?;
    let points: Vec<(f64, f64)> = readings
        .iter()
        .zip(&vacua)
        .map(|(r, v)| (r.time_s - last.time_s, 1.0 - v / last.ambient_pa))
        .collect();

    let choked = points.iter().filter(|p| p.1 <= choked_ratio()).count();
    let regime = match choked {
        0 => Regime::Subsonic,
        n if n == points.len() => Regime::Choked,
        _ => Regime::Across,
    };
    let gauge = error / 3.0_f64.sqrt();
    let orifice = line(Law::Orifice, &points, last.ambient_pa, gauge);
    let exponential = line(Law::Exponential, &points, last.ambient_pa, gauge);
    let times = orifice.scatter_pa.min(exponential.scatter_pa) / gauge;
    if times.is_nan() || times > MOST_SCATTER {
        return Err(LeakError::Scatter { times });
    }
    let by_regime = if regime == Regime::Subsonic { &exponential } else { &orifice };
    let likely = if by_regime.scatter_pa / gauge <= MOST_SCATTER {
        by_regime.law
    } else if by_regime.law == Law::Orifice {
        Law::Exponential
    } else {
        Law::Orifice
    };
    let mut leak = Leak {
        orifice,
        exponential,
        likely,
        regime,
        seen: false,
        ambient: last.ambient(),
        last_s: last.time_s,
    };
    let rate = leak.likely_fit().rate_per_s;
    if rate.high <= 0.0 {
        let span = points.first().map_or(0.0, |p| -p.0);
        let by_pa = -rate.high * span * last.ambient_pa;
        return Err(LeakError::Rises { reading: readings.len() - 1, by_pa });
    }
    leak.seen = rate.low > 0.0;
    for fit in [&mut leak.orifice, &mut leak.exponential] {
        let r = &mut fit.rate_per_s;
        *r = Estimate { value: r.value.max(0.0), low: r.low.max(0.0), high: r.high.max(0.0) };
    }
    Ok(leak)
}

fn in_order(readings: &[Reading]) -> Result<(), LeakError> {
    for (reading, pair) in readings.windows(2).enumerate() {
        if let [a, b] = pair
            && (b.time_s - a.time_s).partial_cmp(&0.0) != Some(core::cmp::Ordering::Greater)
        {
            return Err(LeakError::TimeNotIncreasing { reading: reading + 1 });
        }
    }
    match readings.iter().map(|r| r.time_s).find(|t| !t.is_finite()) {
        Some(value) => Err(LeakError::OutOfRange { what: "time of a reading", value, needs: "finite" }),
        None => Ok(()),
    }
}

/// Vacua at one ambient pressure and temperature, each checked.
fn corrected(readings: &[Reading], to: Ambient, error: f64) -> Result<Vec<f64>, LeakError> {
    let mut vacua = Vec::with_capacity(readings.len());
    let (mut thin, mut thick) = (to.pressure_pa, to.pressure_pa);
    let mut least = f64::INFINITY;
    for (reading, r) in readings.iter().enumerate() {
        let vacuum = r.vacuum_at_pa(to)?;
        if r.vacuum_pa > r.ambient_pa {
            return Err(LeakError::Impossible { reading, excess_pa: r.vacuum_pa - r.ambient_pa });
        }
        if vacuum <= error || r.vacuum_pa <= error {
            return Err(LeakError::NoVacuum { reading });
        }
        // Both readings may be off by the whole error.
        if vacuum - least > 2.0 * error {
            return Err(LeakError::Rises { reading, by_pa: vacuum - least - 2.0 * error });
        }
        least = least.min(vacuum);
        (thin, thick) = (thin.min(r.ambient_pa), thick.max(r.ambient_pa));
        vacua.push(vacuum);
    }
    let share = 1.0 - thin / thick;
    if share > MOST_AMBIENT_CHANGE {
        return Err(LeakError::AmbientChanged { share });
    }
    Ok(vacua)
}

/// Weighted line through `(time, clock)`; times end at 0.
fn line(law: Law, points: &[(f64, f64)], ambient: f64, gauge: f64) -> Fit {
    let rows: Vec<(f64, f64, f64)> =
        points.iter().map(|&(x, r)| (x, law.clock(r), law.flow(r).powi(2))).collect();
    let sum = |f: &dyn Fn(&(f64, f64, f64)) -> f64| rows.iter().map(f).sum::<f64>();
    let weight = sum(&|p| p.2);
    let (x_mean, z_mean) = (sum(&|p| p.2 * p.0) / weight, sum(&|p| p.2 * p.1) / weight);
    let spread = sum(&|p| p.2 * (p.0 - x_mean).powi(2));
    let slope = sum(&|p| p.2 * (p.0 - x_mean) * (p.1 - z_mean)) / spread;
    let at_last = z_mean - slope * x_mean;
    #[allow(clippy::cast_precision_loss, reason = "counts of readings")]
    let free = rows.len() as f64 - 2.0;
    let squares = sum(&|p| p.2 * (p.1 - at_last - slope * p.0).powi(2)) * ambient * ambient;
    let (scatter, reach) = if free > 0.0 {
        let scatter = (squares / free).sqrt();
        let both = ((free * scatter * scatter + GAUGE_COUNTS * gauge * gauge) / (free + GAUGE_COUNTS)).sqrt();
        (scatter, (NORMAL * gauge).max(student(free + GAUGE_COUNTS) * both))
    } else {
        (0.0, NORMAL * gauge)
    };
    let off = reach / ambient;
    let (half_slope, half_last) =
        (off / spread.sqrt(), off * (1.0 / weight + x_mean * x_mean / spread).sqrt());
    let vacuum = |clock: f64| ambient * (1.0 - law.ratio(clock).clamp(0.0, 1.0));
    Fit {
        law,
        rate_per_s: Estimate { value: slope, low: slope - half_slope, high: slope + half_slope },
        vacuum_pa: Estimate {
            value: vacuum(at_last),
            low: vacuum(at_last + half_last),
            high: vacuum(at_last - half_last),
        },
        scatter_pa: scatter,
    }
}

impl Leak {
    /// The fit that stands for what is likely.
    pub fn likely_fit(&self) -> &Fit {
        match self.likely {
            Law::Orifice => &self.orifice,
            Law::Exponential => &self.exponential,
        }
    }

    /// How fast the vacuum falls at the last reading, Pa/s. Where no leak was seen it is 0 to the upper end.
    pub fn fall_pa_per_s(&self) -> Estimate {
        let fit = self.likely_fit();
        let flow =
            fit.law.flow(1.0 - fit.vacuum_pa.value / self.ambient.pressure_pa) * self.ambient.pressure_pa;
        let r = fit.rate_per_s;
        Estimate { value: r.value * flow, low: r.low * flow, high: r.high * flow }
    }

    /// How fast it would fall at another vacuum and in other air, Pa/s: to compare cups that were read in different states.
    ///
    /// # Errors
    ///
    /// [`LeakError`] if a value is out of range or the vacuum more than the ambient pressure.
    pub fn fall_at_pa_per_s(&self, vacuum_pa: f64, ambient: Ambient) -> Result<Estimate, LeakError> {
        let fit = self.likely_fit();
        let heat = fit.law.heat(self.ambient.temperature_k, positive("temperature", ambient.temperature_k)?);
        let at = |rate: f64| fit.law.fall_pa_per_s(rate * heat, ambient.pressure_pa, vacuum_pa);
        let r = fit.rate_per_s;
        Ok(Estimate { value: at(r.value)?, low: at(r.low)?, high: at(r.high)? })
    }
}
