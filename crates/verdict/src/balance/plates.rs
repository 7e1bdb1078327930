//! Which plates to put on and take off.

use core::fmt;

/// A gain smaller than this is not worth a plate, N m.
pub const WORTH_NM: f64 = 0.05;
/// More ways to choose plates than these are not tried.
const MOST_WAYS: usize = 200_000;
/// Plates nearer in mass than this are alike, kg.
const ALIKE_KG: f64 = 1e-6;

/// Some plates put on, some taken off.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choice {
    /// More on the counterweight, kg; negative is less.
    pub kg: f64,
    /// Put on, kg each, heavy first.
    pub on: Vec<f64>,
    /// Taken off, kg each, heavy first.
    pub off: Vec<f64>,
}

impl Choice {
    /// How many plates it moves.
    pub fn moved(&self) -> usize {
        self.on.len() + self.off.len()
    }
}

/// There are too many plates to try them all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooMany;

impl fmt::Display for TooMany {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("too many plates to try them all; list those that you would use")
    }
}

impl core::error::Error for TooMany {}

/// Every sum that the plates at hand and the plates fitted can make, lightest first, each by as few plates as it takes.
///
/// A plate put on while one of the same mass comes off changes nothing, so each mass counts by its net number alone.
///
/// # Errors
///
/// [`TooMany`] where there are over 200 000 ways.
pub fn choices(at_hand: &[f64], fitted: &[f64]) -> Result<Vec<Choice>, TooMany> {
    let sane = |list: &[f64]| list.iter().copied().filter(|p| p.is_finite() && *p > 0.0).collect::<Vec<_>>();
    let (at_hand, fitted) = (sane(at_hand), sane(fitted));
    let mut masses: Vec<f64> = at_hand.iter().chain(&fitted).copied().collect();
    masses.sort_by(|a, b| b.total_cmp(a));
    masses.dedup_by(|a, b| (*a - *b).abs() < ALIKE_KG);
    let count = |list: &[f64], m: f64| list.iter().filter(|p| (**p - m).abs() < ALIKE_KG).count();
    let mut ways = vec![Choice::default()];
    for m in masses {
        let (on, off) = (count(&at_hand, m), count(&fitted, m));
        if ways.len().saturating_mul(on + off + 1) > MOST_WAYS {
            return Err(TooMany);
        }
        let mut more = Vec::with_capacity(ways.len() * (on + off + 1));
        for way in &ways {
            let one = |n: usize, sign: f64| {
                let mut w = way.clone();
                let list = if sign > 0.0 { &mut w.on } else { &mut w.off };
                list.extend(core::iter::repeat_n(m, n));
                w.kg += sign * m * list_len(n);
                w
            };
            more.push(way.clone());
            more.extend((1..=on).map(|n| one(n, 1.0)));
            more.extend((1..=off).map(|n| one(n, -1.0)));
        }
        ways = more;
    }
    ways.sort_by(|a, b| a.kg.total_cmp(&b.kg).then(a.moved().cmp(&b.moved())));
    // Of one sum the first has the fewest plates, but for sums that differ by rounding.
    ways.dedup_by(|b, a| {
        let same = b.kg - a.kg < ALIKE_KG;
        if same && b.moved() < a.moved() {
            core::mem::swap(a, b);
        }
        same
    });
    Ok(ways)
}

/// A number of plates as a number to reckon with.
fn list_len(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

/// The choice that leaves least by `left` (N m, by size): of those within [`WORTH_NM`] of the least the one that moves fewest
/// plates, of these the one that leaves least.
pub fn best(choices: &[Choice], left: impl Fn(&Choice) -> f64) -> Option<(&Choice, f64)> {
    let reckoned: Vec<(&Choice, f64)> =
        choices.iter().map(|c| (c, left(c))).filter(|(_, l)| l.is_finite()).collect();
    let least = reckoned.iter().map(|r| r.1).fold(f64::INFINITY, f64::min);
    reckoned
        .into_iter()
        .filter(|r| r.1 <= least + WORTH_NM)
        .min_by(|a, b| a.0.moved().cmp(&b.0.moved()).then(a.1.total_cmp(&b.1)))
}
