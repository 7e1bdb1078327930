//! Clock, spread, fitted exponents, memory.

use std::hint::black_box;
use std::time::Instant;

/// Several runs' times, s.
#[derive(Clone, Copy)]
pub(crate) struct Timing {
    pub(crate) median: f64,
    pub(crate) least: f64,
    pub(crate) most: f64,
}

impl Timing {
    /// Half of the way from the least to the most, over the median.
    pub(crate) fn spread(&self) -> f64 {
        (self.most - self.least) / 2.0 / self.median
    }
}

/// One run to warm up, then as many as asked, one after the other.
pub(crate) fn time<T>(repeats: usize, mut run: impl FnMut() -> T) -> Timing {
    black_box(run());
    of((0..repeats.max(1)).map(|_| once(&mut run)).collect())
}

/// Seconds of one run.
pub(crate) fn once<T>(mut run: impl FnMut() -> T) -> f64 {
    let start = Instant::now();
    black_box(run());
    start.elapsed().as_secs_f64()
}

/// The median of some times, with their ends.
pub(crate) fn of(mut seconds: Vec<f64>) -> Timing {
    seconds.sort_by(f64::total_cmp);
    let (n, last) = (seconds.len(), seconds.len() - 1);
    Timing {
        median: f64::midpoint(seconds[(n - 1) / 2], seconds[n / 2]),
        least: seconds[0],
        most: seconds[last],
    }
}

/// The exponent `b` of `y = a x^b` by least squares on the logarithms.
pub(crate) fn exponent(points: &[(f64, f64)]) -> f64 {
    let logs: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let n = logs.len() as f64;
    let (mx, my) = (logs.iter().map(|p| p.0).sum::<f64>() / n, logs.iter().map(|p| p.1).sum::<f64>() / n);
    let over: f64 = logs.iter().map(|(x, y)| (x - mx) * (y - my)).sum();
    over / logs.iter().map(|(x, _)| (x - mx).powi(2)).sum::<f64>()
}

/// The most memory that this program has held so far, MB; where the system says so.
pub(crate) fn most_memory_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}
