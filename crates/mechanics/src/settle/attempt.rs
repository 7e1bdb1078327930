//! One start of the free swing, fitted: window, models, residuals.

use super::noise::inflation;
use super::project::{Data, Fit, best, fit};
use super::record::Record;
use super::shapes::{Both, Dry, Viscous};
use super::window::Start;
use std::f64::consts::PI;

/// More samples than this are averaged in groups before the fit.
const MOST_SAMPLES: f64 = 6000.0;

/// A fit of the free swing from one start. Time in the fits is `(t - start) w`.
#[derive(Debug, Clone)]
pub(super) struct Attempt {
    pub(super) start: Start,
    pub(super) end_s: f64,
    /// Unit of time of the fits: 1/s.
    pub(super) w: f64,
    pub(super) t: Vec<f64>,
    pub(super) y: Vec<f64>,
    pub(super) viscous: Fit<2>,
    pub(super) both: Option<Fit<3>>,
    pub(super) dry: Option<Fit<2>>,
}

/// Level and slope, size and half period of a viscous fit.
impl Attempt {
    /// Rest level at a time of the record, by the viscous fit.
    pub(super) fn level(&self, t_s: f64) -> f64 {
        let [b, d, ..] = self.viscous.linear;
        b + d * (t_s - self.start.at_s) * self.w
    }

    /// Size of the swing at the start.
    pub(super) fn size(&self) -> f64 {
        let ([_, q], [_, _, a, c]) = (self.viscous.p, self.viscous.linear);
        // Near critical damping the two halves are no sine: what was seen stands for it.
        if q > 0.04 { (a * a + c * c / q).sqrt() } else { self.start.size }
    }

    /// Period, s: of the fit where it swings, else as first seen.
    pub(super) fn period_s(&self) -> f64 {
        let q = self.viscous.p[1];
        if q > 0.04 { 2.0 * PI / (q.sqrt() * self.w) } else { 2.0 * self.start.half_s }
    }

    /// Root mean square that the viscous fit leaves.
    pub(super) fn noise(&self) -> f64 {
        (self.viscous.sum_squares / self.t.len().max(1) as f64).sqrt()
    }

    /// What the best of the models leaves, in order of time.
    pub(super) fn rest(&self) -> Vec<f64> {
        let both = self.both.as_ref().filter(|b| b.sum_squares < self.viscous.sum_squares);
        self.pairs(|t| both.map_or_else(|| self.viscous.value(&Viscous, t), |b| b.value(&Both, t)))
    }

    fn pairs(&self, model: impl Fn(f64) -> f64) -> Vec<f64> {
        self.t.iter().zip(&self.y).map(|(t, y)| y - model(*t)).collect()
    }

    /// How much worse the first half cycle fits than the rest; below one is as it should be.
    pub(super) fn start_misfit(&self) -> f64 {
        let rest = self.rest();
        let half = PI / self.viscous.p[1].max(0.04).sqrt();
        let rms = |early: bool| {
            let part: Vec<f64> = self
                .t
                .iter()
                .zip(&rest)
                .filter(|(t, _)| (**t <= half) == early)
                .map(|(_, r)| r * r)
                .collect();
            (part.iter().sum::<f64>() / part.len().max(1) as f64).sqrt()
        };
        rms(true) / (2.0 * rms(false) + 0.01 * self.size())
    }

    /// Energy of the movement about its level, in the window.
    pub(super) fn energy(&self) -> f64 {
        let [b, d, ..] = self.viscous.linear;
        self.t.iter().zip(&self.y).map(|(t, y)| (y - b - d * t).powi(2)).sum()
    }

    /// The factor by which shared errors widen every variance.
    pub(super) fn inflation(&self) -> f64 {
        inflation(&self.rest())
    }
}

/// Fits from one start; `None` when no model takes hold.
pub(super) fn attempt(record: &Record, start: &Start) -> Option<Attempt> {
    let limit_s = start.again_s.unwrap_or(record.seconds()).min(record.seconds());
    let w = PI / start.half_s;
    let mut end_s = (start.last_s + 3.0 * start.half_s).min(limit_s);
    let mut found: Option<Attempt> = None;
    // Two or three rounds settle the end of the window.
    for _ in 0..4 {
        let (t, y) = samples(record, start.at_s, end_s, w);
        let data = Data { t: &t, y: &y };
        let viscous = if let Some(f) = &found {
            fit(&Viscous, f.viscous.p, data)?
        } else {
            // The search from many starts is done on few samples, the best of it on all.
            let (t, y) = thinned(&t, &y);
            let rough = best(&Viscous, guesses(start), Data { t: &t, y: &y })?;
            fit(&Viscous, rough.p, data)?
        };
        let made = Attempt { start: start.clone(), end_s, w, t, y, viscous, both: None, dry: None };
        let to = end_of(&made).min(limit_s);
        let settled = found.is_some() && (to - end_s).abs() < 0.02 * (end_s - start.at_s);
        found = Some(made);
        if settled {
            break;
        }
        end_s = to;
    }
    let mut found = found?;
    add_friction(&mut found);
    Some(found)
}

/// Samples in a window, time scaled, averaged in groups if there are very many.
fn samples(record: &Record, from_s: f64, to_s: f64, w: f64) -> (Vec<f64>, Vec<f64>) {
    let (t, y) = record.between(from_s, to_s);
    // 40 groups a cycle at least keep the shape.
    let rate = (MOST_SAMPLES / (to_s - from_s).max(1e-9)).max(40.0 * w / (2.0 * PI));
    let (t, y) = if record.rate_hz() > 1.5 * rate {
        record.coarse(rate).into_iter().filter(|(t, _)| (from_s..=to_s).contains(t)).unzip()
    } else {
        (t, y)
    };
    (t.into_iter().map(|t: f64| (t - from_s) * w).collect(), y)
}

/// Every so many of the samples, 600 at most: enough to find the valley in which the fit ends.
fn thinned(t: &[f64], y: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let every = t.len() / 600 + 1;
    (t.iter().step_by(every).copied().collect(), y.iter().step_by(every).copied().collect())
}

/// First guesses `[s, q]`, with the frequency as first seen near one.
fn guesses(start: &Start) -> Vec<[f64; 2]> {
    let seen = if start.halves > 0.0 {
        (start.size / start.last_size).ln().max(0.0) / (PI * start.halves)
    } else {
        0.3
    };
    let mut out = Vec::new();
    for s in [seen, 0.05, 0.3, 0.8] {
        for q in [0.8, 1.0, 1.25] {
            out.push([s, q]);
        }
    }
    out.extend([[1.0, 0.3], [1.5, 0.0], [1.0, -0.3]]);
    out
}

/// Where the swing drowns: its envelope under 0.7 of what the fit leaves; two and a half cycles at least, for the level.
fn end_of(a: &Attempt) -> f64 {
    let s = a.viscous.p[0].max(0.0) * a.w;
    let floor = (0.7 * a.noise()).max(1e-3 * a.size());
    let quiet = if s > 0.0 { (a.size() / floor).ln().max(0.0) / s } else { f64::INFINITY };
    a.start.at_s + quiet.max(2.5 * a.period_s()) + 0.5 * a.period_s()
}

/// Fits the models with dry friction where there are swings enough to tell them apart.
fn add_friction(a: &mut Attempt) {
    let [s, q] = a.viscous.p;
    if q < 0.2 || a.start.halves < 3.0 {
        return;
    }
    let w = q.sqrt();
    let data = Data { t: &a.t, y: &a.y };
    // A straight envelope from the same start to where the exponential is at a tenth or a quarter.
    let straight = [0.43 * s, 0.6 * s, 0.8 * s].map(|k| [w, k.max(1e-3)]);
    let (t, y) = thinned(&a.t, &a.y);
    let few = Data { t: &t, y: &y };
    let dry = best(&Dry, straight, few).and_then(|d| fit(&Dry, d.p, data));
    let mut starts = vec![[s, w, 0.0], [0.5 * s, w, 0.3 * s], [0.8 * s, w, 0.1 * s]];
    starts.extend(dry.iter().map(|d| [1e-3, d.p[0], d.p[1]]));
    a.both = best(&Both, starts, few).and_then(|b| fit(&Both, b.p, data));
    a.dry = dry;
}
