//! What an isolated payload does when one wheel goes over a bump.

use super::ShakingError;
use super::oscillator::Oscillator;
use crate::road::RoadError;
use crate::road::kerb::{Bump, Run};
use crate::road::quarter_car::QuarterCar;
use std::f64::consts::TAU;

/// Change of either peak at a halving, as a share of the greater peak, that counts as settled.
const SETTLED: f64 = 1e-4;

/// Greatest way of a payload against what carries it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Give {
    /// Down, m, not negative.
    pub down_m: f64,
    /// Up, m, not negative.
    pub up_m: f64,
}

/// Peak give of an isolator on the body of a quarter car that goes over a bump.
///
/// The run of [`jolt`](crate::road::kerb::jolt) with the payload on top: `y'' = -z_s'' - 2ζ ω_n y' - ω_n² y`, `y` the payload against the
/// body, up +. Fourth-order Runge-Kutta, through the bump and three periods of the body after it, the step halved until both
/// peaks move by less than 10⁻⁴.
///
/// # Assumes
///
/// As [`jolt`](crate::road::kerb::jolt); stiff rig and boom between body and isolator, isolator free of its stops, payload light beside the
/// car.
///
/// # Source
///
/// Equations of motion as [`Oscillator`]. `docs/mechanics.md` §14.6. Checked by `a_payload_follows_the_response_to_an_impulse`.
///
/// # Errors
///
/// [`ShakingError::Road`] for the speed or a corner too stiff to step, [`ShakingError::NotSettled`].
pub fn give_over(
    car: &QuarterCar,
    bump: &Bump,
    speed_m_s: f64,
    isolator: &Oscillator,
) -> Result<Give, ShakingError> {
    let run = Run::new(car.corner(), bump, crate::road::SPEED.check(speed_m_s)?);
    // A fifth of a radian of the isolator as well.
    let own = (5.0 * TAU * isolator.frequency_hz() * run.on_bump_s).ceil();
    let mut steps = run.first_steps().max(own);
    let mut coarse = peaks(&run, isolator, steps)?;
    let mut change = f64::INFINITY;
    for _ in 0..8 {
        steps *= 2.0;
        let fine = peaks(&run, isolator, steps)?;
        let size = fine.down_m.max(fine.up_m);
        let moved = (fine.down_m - coarse.down_m).abs().max((fine.up_m - coarse.up_m).abs());
        change = if size > 0.0 { moved / size } else { 0.0 };
        if change <= SETTLED {
            return Ok(fine);
        }
        coarse = fine;
    }
    Err(ShakingError::NotSettled { change })
}

fn peaks(run: &Run, isolator: &Oscillator, steps_on_bump: f64) -> Result<Give, ShakingError> {
    let dt = run.on_bump_s / steps_on_bump;
    let steps = steps_on_bump + (run.after_s / dt).ceil();
    if steps.is_nan() || steps > crate::road::kerb::MOST_STEPS {
        return Err(RoadError::TooStiff { steps }.into());
    }
    let w = TAU * isolator.frequency_hz();
    let rates = |x: &[f64; 6], road: f64| -> [f64; 6] {
        let [zs, vs, zu, vu, y, v] = *x;
        let ([a, b, c, d], _) = run.rates(&[zs, vs, zu, vu], road);
        [a, b, c, d, v, -b - 2.0 * isolator.damping() * w * v - w * w * y]
    };
    let along = |x: &[f64; 6], k: &[f64; 6], h: f64| -> [f64; 6] { std::array::from_fn(|i| x[i] + h * k[i]) };
    let mut x = [0.0; 6];
    let mut give = Give { down_m: 0.0, up_m: 0.0 };
    let mut done = 0.0;
    while done < steps {
        let (share, next) = (done / steps_on_bump, (done + 1.0) / steps_on_bump);
        let (now, mid, then) = (run.road(share), run.road(f64::midpoint(share, next)), run.road(next));
        let k1 = rates(&x, now);
        let k2 = rates(&along(&x, &k1, dt / 2.0), mid);
        let k3 = rates(&along(&x, &k2, dt / 2.0), mid);
        let k4 = rates(&along(&x, &k3, dt), then);
        for i in 0..6 {
            x[i] += dt / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]);
        }
        give.down_m = give.down_m.max(-x[4]);
        give.up_m = give.up_m.max(x[4]);
        done += 1.0;
    }
    // `max` passes over NaN; the state keeps it.
    if x.iter().all(|v| v.is_finite()) {
        Ok(give)
    } else {
        Err(ShakingError::NotSettled { change: f64::INFINITY })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::road::kerb::jolt;
    use crate::road::quarter_car::Corner;
    use crate::road::transition::Transition;

    fn car() -> QuarterCar {
        QuarterCar::new(Corner {
            sprung_kg: 300.0,
            unsprung_kg: 60.0,
            spring_n_m: 16e3,
            damper_n_s_m: 1e3,
            tyre_n_m: 190e3,
        })
        .unwrap()
    }

    #[test]
    fn a_payload_follows_the_response_to_an_impulse() {
        // 10 mm over 1 m at 5 m/s, the tyre stays down. Body by exact steps, payload by Duhamel's integral
        // y(t) = -∫ a(s) e^(-ζω(t-s)) sin(ω_d (t-s)) / ω_d ds over them (midpoint, second order in 0.5 ms: 1e-3 of it).
        let bump = Bump::new(0.01, 1.0).unwrap();
        let o = Oscillator::new(2.2, 0.2).unwrap();
        let got = give_over(&car(), &bump, 5.0, &o).unwrap();
        let dt = 5e-4;
        let step = Transition::new(&car(), dt).unwrap();
        let count = 4000_u32;
        let (mut x, mut speeds) = ([0.0; 4], vec![0.0]);
        for k in 0..count {
            let s = 5.0 * (f64::from(k) + 0.5) * dt;
            x = step.step(&x, if s < 1.0 { 0.01 * (std::f64::consts::PI * s).sin() } else { 0.0 });
            speeds.push(x[1]);
        }
        let w = TAU * 2.2;
        let wd = w * (1.0 - 0.04_f64).sqrt();
        let (mut down, mut up) = (0.0_f64, 0.0_f64);
        for n in 0..speeds.len() {
            let y: f64 = -speeds
                .windows(2)
                .take(n)
                .enumerate()
                .map(|(k, v)| {
                    let t = (f64::from(u32::try_from(n - k).unwrap()) - 0.5) * dt;
                    (v[1] - v[0]) * (-0.2 * w * t).exp() * (wd * t).sin() / wd
                })
                .sum::<f64>();
            (down, up) = (down.max(-y), up.max(y));
        }
        assert!(
            (got.down_m / down - 1.0).abs() < 5e-3 && (got.up_m / up - 1.0).abs() < 5e-3,
            "{got:?} {down} {up}"
        );
    }

    #[test]
    fn a_stiff_isolator_gives_as_much_as_the_jolt_held() {
        let bump = Bump::new(0.06, 0.6).unwrap();
        // 60 Hz, well damped, over 7 m/s: quasi-static but for the quick edge of the jolt, some per cent.
        let o = Oscillator::new(60.0, 0.7).unwrap();
        let (give, jolt) = (give_over(&car(), &bump, 7.0, &o).unwrap(), jolt(&car(), &bump, 7.0).unwrap());
        assert!((give.down_m / o.held_m(jolt.up_m_s2) - 1.0).abs() < 0.1, "{give:?} {jolt:?}");
        assert!((give.up_m / o.held_m(jolt.down_m_s2) - 1.0).abs() < 0.1, "{give:?} {jolt:?}");
        assert!(give_over(&car(), &bump, f64::NAN, &o).is_err());
    }
}
