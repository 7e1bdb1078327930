//! The machine: its name, its width, and how fast it multiplies and adds at best.

use crate::measure;
use core::num::NonZero;
use core::time::Duration;
use pulp::{Simd, WithSimd};

/// What stands on the page.
pub(crate) struct Machine {
    pub(crate) model: String,
    pub(crate) cores: usize,
    pub(crate) vectors: &'static str,
    /// Cores that others kept busy just before the start, where the system says so.
    pub(crate) load: Option<f64>,
}

impl Machine {
    pub(crate) fn of() -> Self {
        Self {
            model: model(),
            cores: std::thread::available_parallelism().map_or(1, NonZero::get),
            vectors: vectors(),
            load: others(),
        }
    }
}

/// Cores at work over a second in which this program does nothing.
fn others() -> Option<f64> {
    // Times of all cores since the start, in ticks: user, nice, system, idle, waiting, ...
    let ticks = || -> Option<(f64, f64)> {
        let text = std::fs::read_to_string("/proc/stat").ok()?;
        let line = text.lines().next()?.strip_prefix("cpu ")?;
        let all: Vec<f64> = line.split_whitespace().filter_map(|t| t.parse().ok()).collect();
        // The first eight; those of guests are in them already.
        Some((all.iter().take(8).sum(), all.get(3)? + all.get(4)?))
    };
    let (all, idle) = ticks()?;
    std::thread::sleep(Duration::from_secs(1));
    let (all_after, idle_after) = ticks()?;
    let cores = std::thread::available_parallelism().map_or(1, NonZero::get) as f64;
    let share = 1.0 - (idle_after - idle) / (all_after - all);
    share.is_finite().then_some(share * cores)
}

/// As the processor names itself, with family and model number: rented machines often keep the rest to themselves.
fn model() -> String {
    let text = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let field = |name: &str| {
        text.lines()
            .filter_map(|l| l.split_once(':'))
            .find(|(k, _)| k.trim() == name)
            .map(|(_, v)| v.trim().to_owned())
    };
    match (field("model name"), field("cpu family"), field("model")) {
        (Some(name), Some(family), Some(number)) => format!("{name} (family {family}, model {number})"),
        (Some(name), ..) => name,
        _ => format!("a processor that does not name itself ({})", std::env::consts::ARCH),
    }
}

/// The widest extension that the sweep's run-time choice can take here.
fn vectors() -> &'static str {
    #[cfg(target_arch = "x86_64")]
    {
        if is_x86_feature_detected!("avx512f") && is_x86_feature_detected!("avx512dq") {
            return "AVX-512, 8 doubles wide";
        }
        if is_x86_feature_detected!("avx2") && is_x86_feature_detected!("fma") {
            return "AVX2 and FMA, 4 doubles wide";
        }
        "SSE2, 2 doubles wide"
    }
    #[cfg(not(target_arch = "x86_64"))]
    {
        "the target's own"
    }
}

/// Sums that run side by side: more than the two units times four cycles of latency that are usual, and few enough that they
/// and the two factors stay in sixteen registers.
const CHAINS: usize = 12;
const ROUNDS: usize = 10_000_000;

/// `x <- x m + c`, over and over, in registers alone.
struct Chains;

impl WithSimd for Chains {
    type Output = (f64, usize);

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Self::Output {
        let (m, c) = (simd.splat_f64s(0.999_999), simd.splat_f64s(1e-6));
        // Each starts elsewhere, so that none can be left out.
        let mut x: [S::f64s; CHAINS] =
            core::array::from_fn(|k| simd.splat_f64s(std::hint::black_box(k as f64)));
        for _ in 0..ROUNDS {
            for x in &mut x {
                *x = simd.mul_add_f64s(*x, m, c);
            }
        }
        let sum = x.into_iter().fold(simd.splat_f64s(0.0), |sum, x| simd.add_f64s(sum, x));
        (simd.reduce_sum_f64s(sum), S::F64_LANES)
    }
}

/// Multiply-adds at best, on all cores at once, FLOP/s: the best of several runs, for a peak is what can be reached.
pub(crate) fn peak_flops() -> f64 {
    let run = || rayon::broadcast(|_| pulp::Arch::new().dispatch(Chains));
    let lanes: usize = run().iter().map(|(_, lanes)| lanes).sum();
    let timing = measure::time(7, run);
    (2 * ROUNDS * CHAINS * lanes) as f64 / timing.least
}
