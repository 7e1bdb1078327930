//! Release tests made up: exact swings, a hand that presses and holds, a logger with its faults. Seeded.

use mechanics::settle::{Record, Refusal, Signal};
use std::f64::consts::{PI, TAU};

/// Random numbers of one seed (`SplitMix64`).
#[derive(Debug, Clone)]
pub struct Dice(pub u64);

impl Dice {
    /// Evenly from 0 to 1.
    pub fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Between two numbers.
    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.even()
    }

    /// Normal, of deviation one.
    pub fn normal(&mut self) -> f64 {
        (-2.0 * self.even().max(1e-300).ln()).sqrt() * (TAU * self.even()).cos()
    }
}

/// What is recorded of a swing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Of {
    Place,
    Speed,
    Acceleration,
}

/// A release test.
#[derive(Debug, Clone, Copy)]
pub struct Made {
    pub zeta: f64,
    /// Undamped frequency, Hz.
    pub hz: f64,
    /// Size of the push.
    pub push: f64,
    pub of: Of,
    /// Time of pressing and holding before the release, s; 0 starts at the release.
    pub before_s: f64,
    /// Length after the release, s.
    pub after_s: f64,
    pub rate_hz: f64,
    /// Share by which the steps between samples vary.
    pub jitter: f64,
    /// Deviation of the noise as a share of the largest value after the release.
    pub noise: f64,
    /// Share of each sample's noise that the next one keeps.
    pub kept: f64,
    pub offset: f64,
    /// Drift a second, as a share of the largest value.
    pub drift: f64,
    pub seed: u64,
}

impl Made {
    pub fn plain(zeta: f64) -> Self {
        Self {
            zeta,
            hz: 1.6,
            push: 0.1,
            of: Of::Place,
            before_s: 1.5,
            after_s: 12.0,
            rate_hz: 100.0,
            jitter: 0.3,
            noise: 0.01,
            kept: 0.0,
            offset: 0.4,
            drift: 0.0,
            seed: 1,
        }
    }

    pub fn wn(&self) -> f64 {
        TAU * self.hz
    }

    pub fn damped_hz(&self) -> f64 {
        self.hz * (1.0 - self.zeta * self.zeta).sqrt()
    }

    /// `x(t)` of a mass let go at `push`, at rest, and its derivatives; any damping.
    pub fn exact(&self, t: f64) -> f64 {
        let (z, w, a) = (self.zeta, self.wn(), self.push);
        if t < 0.0 {
            // Pressed over the first half second of `before_s`, then held.
            let pressed = ((t + self.before_s) / 0.5).clamp(0.0, 1.0);
            let s = 0.5 - 0.5 * (PI * pressed).cos();
            return match self.of {
                Of::Place => a * s,
                Of::Speed => a * PI * (PI * pressed).sin() * f64::from(u8::from(pressed < 1.0)),
                Of::Acceleration => {
                    a * 2.0
                        * PI
                        * PI
                        * (PI * pressed).cos()
                        * f64::from(u8::from(pressed < 1.0 && pressed > 0.0))
                }
            };
        }
        let s = z * w;
        let (c, r) = if z < 1.0 {
            let wd = w * (1.0 - z * z).sqrt();
            ((wd * t).cos(), (wd * t).sin() / wd)
        } else {
            let k = w * (z * z - 1.0).sqrt().max(1e-9);
            ((k * t).cosh(), (k * t).sinh() / k)
        };
        let e = (-s * t).exp();
        // x = a e (c + s r); x' = -a w² e r; x'' = -w² x - 2 s x'.
        let (x, v) = (a * e * (c + s * r), -a * w * w * e * r);
        match self.of {
            Of::Place => x,
            Of::Speed => v,
            Of::Acceleration => -w * w * x - 2.0 * s * v,
        }
    }

    /// Largest value after the release.
    pub fn size(&self) -> f64 {
        (0..2000).map(|i| self.exact(f64::from(i) * 0.001).abs()).fold(0.0, f64::max)
    }

    pub fn times(&self, dice: &mut Dice) -> Vec<f64> {
        let count = ((self.before_s + self.after_s) * self.rate_hz) as u32;
        (0..count)
            .map(|i| (f64::from(i) + self.jitter * (dice.even() - 0.5)) / self.rate_hz - self.before_s)
            .collect()
    }

    /// The samples, with whatever `true_value` says in place of the exact swing.
    pub fn samples_of(&self, true_value: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
        let mut dice = Dice(self.seed);
        let size = self.size();
        let mut noise = 0.0;
        let times = self.times(&mut dice);
        times
            .into_iter()
            .map(|t| {
                noise = self.kept * noise + (1.0 - self.kept * self.kept).sqrt() * dice.normal();
                (t + 100.0, true_value(t) + self.offset + self.drift * size * t + self.noise * size * noise)
            })
            .collect()
    }

    pub fn samples(&self) -> Vec<(f64, f64)> {
        self.samples_of(|t| self.exact(t))
    }

    pub fn signal(&self) -> Signal {
        match self.of {
            Of::Place => Signal::Angle,
            Of::Speed => Signal::AngularRate,
            Of::Acceleration => Signal::Acceleration,
        }
    }

    pub fn record(&self) -> Result<Record, Refusal> {
        Record::new(&self.samples(), self.signal())
    }
}

/// A mass on a spring with a dry rub and a damper, exactly: each half swing is a damped swing about a rest moved by `rub`.
///
/// `x'' + 2 zeta w x' + w² (x +- rub) = 0`, the sign that of `x'`; it stays where it stops within `rub` of rest.
pub fn rubbing(zeta: f64, w: f64, push: f64, rub: f64, t: f64) -> f64 {
    if t < 0.0 {
        return push;
    }
    let (s, wd) = (zeta * w, w * (1.0 - zeta * zeta).sqrt());
    let half = PI / wd;
    let (mut top, mut left) = (push, t);
    for _ in 0..10_000 {
        if top.abs() <= rub {
            return top;
        }
        let middle = rub * top.signum();
        let at =
            |t: f64| middle + (top - middle) * (-s * t).exp() * ((wd * t).cos() + s / wd * (wd * t).sin());
        if left <= half {
            return at(left);
        }
        top = at(half);
        left -= half;
    }
    top
}
