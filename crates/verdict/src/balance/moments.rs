//! The boom's moments with another counterweight, at another place.

use mechanics::arm::{ArmError, TiltBalance};
use rig::model::Arm;

/// Steps of the search for the least of a curve with one valley: each keeps 0.618 of the span, so 90 leave 1e-19 of it.
const STEPS: usize = 90;

/// A counterweight nearer to the pivot than this is none, m.
const LEAST_M: f64 = 0.001;

/// What is left to hold over the elevation range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// With the boom level, on level ground, N m; nose-heavy is positive.
    pub level_nm: f64,
    /// Elevation where holding takes most, rad.
    pub at_rad: f64,
    /// There, N m.
    pub worst_nm: f64,
}

/// The boom apart from its counterweight, and where that hangs.
#[derive(Clone, Copy, Debug)]
pub struct Moments {
    /// Everything but the counterweight.
    rest: TiltBalance,
    /// Counterweight now, kg.
    pub weight_kg: f64,
    /// Behind the pivot now, m.
    pub behind_m: f64,
    /// Under the boom's axis, m.
    pub under_m: f64,
    /// Elevation range, rad.
    pub range: (f64, f64),
}

impl Moments {
    /// From the balance of the whole arm and its counterweight.
    pub fn of(whole: &TiltBalance, arm: &Arm) -> Self {
        let w = &arm.counterweight;
        let range = (arm.elevation.0.min(arm.elevation.1), arm.elevation.0.max(arm.elevation.1));
        Self {
            rest: whole.with(-w.mass.value, -w.behind.value, -w.under),
            weight_kg: w.mass.value,
            behind_m: w.behind.value,
            under_m: w.under,
            range,
        }
    }

    /// The whole boom with a counterweight of some mass at some place.
    pub fn with(&self, weight_kg: f64, behind_m: f64) -> TiltBalance {
        self.rest.with(weight_kg, -behind_m, -self.under_m)
    }

    /// What is then left to hold.
    ///
    /// # Errors
    ///
    /// [`ArmError`] where a number is not finite.
    pub fn left(&self, weight_kg: f64, behind_m: f64) -> Result<Left, ArmError> {
        let b = self.with(weight_kg, behind_m);
        let (at_rad, worst_nm) = b.worst_torque_nm(self.range.0, self.range.1)?;
        Ok(Left { level_nm: b.torque_nm(0.0)?, at_rad, worst_nm })
    }

    /// Size of the most that is left, infinite where it cannot be told.
    fn most(&self, weight_kg: f64, behind_m: f64) -> f64 {
        self.left(weight_kg, behind_m).map_or(f64::INFINITY, |l| l.worst_nm.abs())
    }

    /// The largest cosine in the range: what a lever along the boom is worth at its best.
    fn reach(&self) -> f64 {
        let (low, high) = self.range;
        if low <= 0.0 && high >= 0.0 { 1.0 } else { low.cos().max(high.cos()) }
    }

    /// First moments whose size bounds what the counterweight along the boom must make up, kg m.
    fn bound_kgm(&self) -> f64 {
        let b = &self.rest;
        let off_axis = b.above_kgm.abs() + self.weight_kg * self.under_m.abs() + b.level_kgm.abs();
        b.along_kgm.abs() + 2.0 * off_axis / self.reach().max(1e-6) + 1e-6
    }

    /// Counterweight at its present place that leaves least to hold over the range, kg; none where nothing on the tail helps.
    ///
    /// `max |g (A cos e - B sin e + C)|` over the range is the largest of functions linear in the mass, so it has one valley.
    pub fn weight_kg(&self) -> Option<f64> {
        if self.behind_m <= 0.0 || self.reach() < 1e-6 {
            return None;
        }
        let most = 2.0 * self.bound_kgm() / self.behind_m;
        let kg = valley(0.0, most, |kg| self.most(kg, self.behind_m));
        (kg > 1e-6 * most).then_some(kg)
    }

    /// Place behind the pivot where a counterweight of this mass leaves least to hold, m: within `reach` where that is given,
    /// else anywhere behind the pivot.
    pub fn place_m(&self, weight_kg: f64, reach: Option<(f64, f64)>) -> Option<f64> {
        if weight_kg <= 0.0 || self.reach() < 1e-6 {
            return None;
        }
        let (from, to) = reach.unwrap_or((0.0, 2.0 * self.bound_kgm() / weight_kg));
        if from > to {
            return None;
        }
        let place = valley(from, to, |b| self.most(weight_kg, b));
        // At the pivot itself it does nothing.
        (place > LEAST_M).then_some(place)
    }

    /// How far under the boom's axis the counterweight's centre would have to sit for the moment not to change with elevation,
    /// m; negative is above. The lever along the boom then balances every elevation.
    pub fn neutral_under_m(&self, weight_kg: f64) -> Option<f64> {
        (weight_kg > 0.0).then(|| self.rest.above_kgm / weight_kg)
    }

    /// Least and greatest moment over the range, N m.
    ///
    /// # Errors
    ///
    /// [`ArmError`] where a number is not finite.
    pub fn span_nm(&self, weight_kg: f64, behind_m: f64) -> Result<(f64, f64), ArmError> {
        let b = self.with(weight_kg, behind_m);
        // A sine of the elevation: ends and peaks, and the levelled share lifts all alike.
        let peak = (-b.above_kgm).atan2(b.along_kgm);
        let mut span = (f64::INFINITY, f64::NEG_INFINITY);
        let turns = [-1.0, 0.0, 1.0].map(|k| peak + k * core::f64::consts::PI);
        let inside = turns.into_iter().filter(|t| (self.range.0..=self.range.1).contains(t));
        for t in [self.range.0, self.range.1].into_iter().chain(inside) {
            let nm = b.torque_nm(t)?;
            span = (span.0.min(nm), span.1.max(nm));
        }
        Ok(span)
    }
}

/// Where a curve with one valley is least between two places, by golden sections.
fn valley(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    const SHARE: f64 = 0.618_033_988_749_894_9;
    let (mut a, mut b) = (from, to);
    let (mut p, mut q) = (b - SHARE * (b - a), a + SHARE * (b - a));
    let (mut fp, mut fq) = (f(p), f(q));
    for _ in 0..STEPS {
        if fp <= fq {
            (b, q, fq) = (q, p, fp);
            p = b - SHARE * (b - a);
            fp = f(p);
        } else {
            (a, p, fp) = (p, q, fq);
            q = a + SHARE * (b - a);
            fq = f(q);
        }
    }
    // An end may be the least itself.
    let mid = f64::midpoint(a, b);
    [from, to].into_iter().fold(mid, |best, x| if f(x) < f(best) { x } else { best })
}
