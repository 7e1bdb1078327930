//! A battery over a day's work.

use super::battery::Plate;
use super::{PowerError, not_negative, positive};

/// Longest step in time, s; the current changes little in it.
const STEP_S: f64 = 300.0;
/// Days after which it is left at that.
pub const MOST_DAYS: u8 = 14;

/// What is in a battery, and how much of it may be taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Store {
    /// What it gives, cold and age taken off.
    pub plate: Plate,
    /// Share of that charge in it at the start, 0 to 1.
    pub start: f64,
    /// Share that is to stay in it.
    pub floor: f64,
}

/// What became of a store.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RunDown {
    /// When it is down to its floor, s of work; `None` when not within [`MOST_DAYS`] such days.
    pub lasts_s: Option<f64>,
    /// Share left at the end of the first day, 0 when it is empty before.
    pub left: f64,
    /// Charge drawn in the first day as long as there was any, C.
    pub drawn_c: f64,
    /// Greatest current in the first day, A.
    pub greatest_a: f64,
    /// Share left over the first day, by the time, s.
    pub curve: Vec<(f64, f64)>,
}

/// Runs a store down over a day of intervals, then over more such days, until its floor.
///
/// ```text
/// dq/dt = - I'(I(t, q)) / C
/// ```
///
/// `draw` gives the current in an interval, by its number, with a share of the charge left. Midpoint rule, steps of 5 min at most.
///
/// # Source
///
/// Charge that flows is charge that is gone; `docs/mechanics.md` §16.6.
///
/// # Errors
///
/// [`PowerError`] for shares outside 0 to 1, a day without length, or what `draw` refuses.
pub fn run_down<E: From<PowerError>>(
    store: &Store,
    intervals_s: &[f64],
    mut draw: impl FnMut(usize, f64) -> Result<f64, E>,
) -> Result<RunDown, E> {
    not_negative("share of charge at the start", store.start)?;
    not_negative("share of charge that stays", store.floor)?;
    not_negative("share of charge short of full", 1.0 - store.start)?;
    let mut day_s = 0.0;
    for s in intervals_s {
        day_s += not_negative("length of an interval", *s)?;
    }
    positive("length of the day", day_s)?;
    let mut out = RunDown { curve: vec![(0.0, store.start)], ..RunDown::default() };
    let (mut share, mut time) = (store.start, 0.0);
    if share <= store.floor {
        return Ok(RunDown { lasts_s: Some(0.0), left: share, ..out });
    }
    for day in 0..MOST_DAYS {
        for (k, length) in intervals_s.iter().enumerate().filter(|(_, s)| **s > 0.0) {
            let steps = (length / STEP_S).ceil().max(1.0);
            let dt = length / steps;
            let mut done = 0.0;
            while done < steps {
                done += 1.0;
                let rate = |current: f64| store.plate.drain_a(current).map(|d| d / store.plate.charge_c);
                let first = rate(draw(k, share)?)?;
                let middle = (share - 0.5 * dt * first).max(0.0);
                let current = draw(k, middle)?;
                let lost = rate(current)? * dt;
                if out.lasts_s.is_none() && share - lost <= store.floor && lost > 0.0 {
                    out.lasts_s = Some(time + dt * ((share - store.floor) / lost).clamp(0.0, 1.0));
                }
                if day == 0 {
                    let some = if lost > share { share / lost } else { 1.0 };
                    out.drawn_c += current * dt * some;
                    out.greatest_a = out.greatest_a.max(current);
                }
                share = (share - lost).max(0.0);
                time += dt;
                if day == 0 {
                    out.curve.push((time, share));
                }
                if share <= 0.0 || (day > 0 && out.lasts_s.is_some()) {
                    if day == 0 {
                        out.left = 0.0;
                    }
                    return Ok(out);
                }
            }
        }
        if day == 0 {
            out.left = share;
            if out.lasts_s.is_some() {
                return Ok(out);
            }
        }
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn store(ah: f64, k: f64, floor: f64) -> Store {
        Store { plate: Plate::new(ah * 3600.0, 72e3, k).unwrap(), start: 1.0, floor }
    }

    fn even(current: f64) -> impl FnMut(usize, f64) -> Result<f64, PowerError> {
        move |_, _| Ok(current)
    }

    #[test]
    fn an_even_current_gives_the_closed_form() {
        // 100 Ah down to 15 % at 10 A: 8.5 h, whether the day is longer or shorter.
        for day in [10.0, 4.0, 8.5] {
            let out = run_down(&store(100.0, 1.0, 0.15), &[day * 3600.0], even(10.0)).unwrap();
            assert!((out.lasts_s.unwrap() - 8.5 * 3600.0).abs() < 1e-6, "{out:?}");
            assert!((out.left - (1.0 - day / 10.0)).abs() < 1e-9);
        }
        // Peukert, to empty: H (C / (I H))^k.
        let out = run_down(&store(100.0, 1.2, 0.0), &[9e4], even(20.0)).unwrap();
        assert!((out.lasts_s.unwrap() - 72e3 * 0.25_f64.powf(1.2)).abs() < 1e-3);
        assert!(out.left.abs() < 1e-12);
    }

    #[test]
    fn a_current_that_grows_as_it_empties_follows_the_differential_equation() {
        // I = I0 / (a + b q): a + b q squared falls evenly. C = 36 000 C, from 1 to 0.2.
        let (i0, a, b) = (10.0, 0.9, 0.1);
        let out =
            run_down(&store(10.0, 1.0, 0.2), &[3600.0 * 20.0], |_, q| Ok::<_, PowerError>(i0 / (a + b * q)))
                .unwrap();
        let exact = 36e3 / i0 * (a * 0.8 + b * (1.0 - 0.04) / 2.0);
        // Midpoint rule: error of third order in a step, and a straight line within the last one.
        assert!((out.lasts_s.unwrap() - exact).abs() < 1.0, "{} {exact}", out.lasts_s.unwrap());
    }

    #[test]
    fn intervals_count_and_nothing_drawn_lasts() {
        let out = run_down(&store(10.0, 1.0, 0.0), &[3600.0, 3600.0], |k, _| {
            Ok::<_, PowerError>(if k == 0 { 4.0 } else { 2.0 })
        })
        .unwrap();
        assert!((out.left - 0.4).abs() < 1e-9 && (out.drawn_c - 6.0 * 3600.0).abs() < 1e-6);
        // Second day: 4 Ah in its first hour.
        assert!((out.lasts_s.unwrap() - 3.0 * 3600.0).abs() < 1e-6);
        assert_eq!(run_down(&store(10.0, 1.0, 0.0), &[3600.0], even(0.0)).unwrap().lasts_s, None);
        assert!(run_down(&store(10.0, 1.0, 0.0), &[], even(1.0)).is_err());
        let empty = Store { start: 0.1, ..store(10.0, 1.0, 0.2) };
        assert_eq!(run_down(&empty, &[3600.0], even(1.0)).unwrap().lasts_s, Some(0.0));
    }
}
