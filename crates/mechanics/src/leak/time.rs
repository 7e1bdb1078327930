//! How long a cup holds until its vacuum is at a limit.

use super::fit::{Estimate, Fit, Leak};
use super::law::Law;
use super::reading::Ambient;
use super::{LeakError, positive};

/// Time from the last reading until the vacuum is at a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimeLeft {
    /// Not before this, s: the smaller one of both laws, each with the upper end of its leak and the lower end of its vacuum. 0: it may be there
    /// already.
    pub earliest_s: f64,
    /// The law that gives `earliest_s`.
    pub earliest_law: Law,
    /// Likely, s; `None` where no leak was seen.
    pub likely_s: Option<f64>,
    /// Vacuum in the air ahead with what is in the cup now, Pa; what the change alone leaves. Not below 0.
    pub then_pa: Estimate,
}

impl Leak {
    /// Time until the vacuum is at `limit_pa`, in the air of the last reading or the air ahead, whichever comes first.
    ///
    /// When the air changes is not asked. So the flow is taken at the greatest pressure and the least temperature of both, which lets most air
    /// in, and the limit where it needs the least air. In the same air it is the plain closed form.
    ///
    /// ```text
    /// q = p_inside / T,   q_limit = min over both of (p - limit) / T,   t = [clock(q_limit T_min / p_max) - clock(q T_min / p_max)] / rate
    /// ```
    ///
    /// # Source
    ///
    /// `docs/mechanics.md` §17.7. Checked by `the_earliest_time_is_never_late` and LK-* in `tests/sources/vacuum-leak`.
    ///
    /// # Errors
    ///
    /// [`LeakError`] if the limit, the pressure or the temperature is not positive.
    pub fn time_to(&self, limit_pa: f64, then: Ambient) -> Result<TimeLeft, LeakError> {
        let limit = positive("least vacuum", limit_pa)?;
        positive("ambient pressure", then.pressure_pa)?;
        positive("temperature", then.temperature_k)?;
        let worst = |fit: &Fit| self.seconds(fit.law, fit.rate_per_s.high, fit.vacuum_pa.low, limit, then);
        let (hole, gap) = (worst(&self.orifice), worst(&self.exponential));
        let (earliest_s, earliest_law) =
            if hole <= gap { (hole, Law::Orifice) } else { (gap, Law::Exponential) };
        let fit = self.likely_fit();
        let likely = self.seconds(fit.law, fit.rate_per_s.value, fit.vacuum_pa.value, limit, then);
        let at = |vacuum: f64| {
            let inside = self.ambient.pressure_pa - vacuum;
            (then.pressure_pa - inside * then.temperature_k / self.ambient.temperature_k).max(0.0)
        };
        let v = fit.vacuum_pa;
        Ok(TimeLeft {
            earliest_s,
            earliest_law,
            likely_s: (self.seen && likely.is_finite()).then_some(likely),
            then_pa: Estimate { value: at(v.value), low: at(v.low), high: at(v.high) },
        })
    }

    fn seconds(&self, law: Law, rate: f64, vacuum: f64, limit: f64, then: Ambient) -> f64 {
        let now = self.ambient;
        let air = (now.pressure_pa - vacuum) / now.temperature_k;
        let full = |a: Ambient| (a.pressure_pa - limit) / a.temperature_k;
        let target = full(now).min(full(then));
        if air >= target {
            return 0.0;
        }
        let cold = now.temperature_k.min(then.temperature_k);
        let share = cold / now.pressure_pa.max(then.pressure_pa);
        let way = law.clock(target * share) - law.clock(air * share);
        way / (rate * law.heat(now.temperature_k, cold))
    }
}
