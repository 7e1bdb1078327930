//! Time stamps in order: units by their spacing, repeats and steps back.

use crate::fault::Fault;

/// A sample with its line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stamped {
    pub(crate) line: u64,
    pub(crate) t_s: f64,
    pub(crate) value: f64,
}

/// What was mended in the order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Mended {
    pub(crate) repeated: usize,
    pub(crate) swapped: usize,
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

/// The usual step forward.
pub(crate) fn usual_step(times: impl Iterator<Item = f64>) -> f64 {
    let mut last = None;
    let mut steps = Vec::new();
    for t in times {
        if let Some(before) = last.replace(t) {
            let step: f64 = t - before;
            if step > 0.0 {
                steps.push(step);
            }
        }
    }
    median(&mut steps)
}

/// Seconds in one unit of a column that states none: the one by which a logger takes 5 to 1000 samples a second. One at most fits.
pub(crate) fn unit_by_step(step: f64) -> Option<(f64, &'static str)> {
    [(1.0, "s"), (1e-3, "ms"), (1e-6, "us"), (1e-9, "ns")]
        .into_iter()
        .find(|(si, _)| (0.001..=0.2).contains(&(step * si)))
}

/// Sorts small steps back, drops repeats; a clock that was set back is a fault.
pub(crate) fn in_order(
    mut samples: Vec<Stamped>,
    time: (&str, usize),
) -> Result<(Vec<Stamped>, Mended), Fault> {
    let step = usual_step(samples.iter().map(|s| s.t_s));
    let mut mended = Mended::default();
    let mut latest = f64::NEG_INFINITY;
    for s in &samples {
        if s.t_s < latest {
            mended.swapped += 1;
            if latest - s.t_s > 5.0 * step || mended.swapped * 20 > samples.len() + 20 {
                let what = format!("the time goes back by {:.3} s", latest - s.t_s);
                let mend = "cut the file there and give the part with the release, or choose another column of time (--time)";
                return Err(Fault::whole(what, mend).at_line(s.line).in_column(time.0, time.1));
            }
        }
        latest = latest.max(s.t_s);
    }
    samples.sort_by(|a, b| a.t_s.total_cmp(&b.t_s));
    let all = samples.len();
    let first_repeat = samples
        .windows(2)
        .find_map(|w| matches!(w, [a, b] if a.t_s >= b.t_s).then(|| w.last().map(|s| s.line)).flatten());
    samples.dedup_by(|b, a| b.t_s <= a.t_s);
    mended.repeated = all - samples.len();
    if mended.repeated * 5 > all {
        let what = format!("{} of {all} samples have the time of the one before", mended.repeated);
        let mend = "the stamps are too coarse: export more digits, or choose another column of time (--time)";
        let fault = Fault::whole(what, mend).in_column(time.0, time.1);
        return Err(Fault { line: first_repeat, ..fault });
    }
    Ok((samples, mended))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamped(times: &[f64]) -> Vec<Stamped> {
        times.iter().enumerate().map(|(i, t)| Stamped { line: i as u64 + 2, t_s: *t, value: 1.0 }).collect()
    }

    #[test]
    fn small_faults_are_mended_and_large_ones_told() {
        let mut t: Vec<f64> = (0..40).map(|i| f64::from(i) * 0.01).collect();
        t.swap(10, 11);
        t[20] = t[19];
        let (got, mended) = in_order(stamped(&t), ("t", 1)).unwrap();
        assert_eq!(mended, Mended { repeated: 1, swapped: 1 });
        assert!(got.windows(2).all(|w| w[0].t_s < w[1].t_s) && got.len() == 39);
        t[30] = 0.0;
        let fault = in_order(stamped(&t), ("t", 1)).unwrap_err();
        assert_eq!(fault.line, Some(32));
        let coarse: Vec<f64> = (0..40).map(|i| f64::from(i / 10)).collect();
        assert!(in_order(stamped(&coarse), ("t", 1)).unwrap_err().what.contains("of the one before"));
    }

    #[test]
    fn the_unit_of_time_by_its_step() {
        for (step, want) in [
            (0.01, Some("s")),
            (10.0, Some("ms")),
            (1e4, Some("us")),
            (1e7, Some("ns")),
            (0.5, None),
            (500.0, None),
        ] {
            assert_eq!(unit_by_step(step).map(|u| u.1), want, "{step}");
        }
        assert_eq!(unit_by_step(f64::NAN), None);
    }
}
