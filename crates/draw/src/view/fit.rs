//! How large a thing is drawn: as large as its field lets, at a round scale in print.

use super::View;
use super::bounds::Extent;
use super::eye::Paper;
use glam::DVec2;

/// Round scales for print: so many to one.
const ROUND: [f64; 9] = [5.0, 10.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0];
/// Closer than this nothing is drawn on a screen, drawing units to a metre.
const CLOSEST: f64 = 900.0;

/// What is shown, and how large.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Fit {
    pub(crate) low: DVec2,
    pub(crate) high: DVec2,
    /// Drawing units to a metre.
    pub(crate) scale: f64,
    /// So many to one on paper.
    pub(crate) to_one: Option<f64>,
    pub(crate) extent: Extent,
}

/// The round scale at which no more than `most` drawing units come to a metre; beyond 1:100 by 1, 2, 5.
fn round(most: f64, per_mm: f64) -> f64 {
    let fits = |one: &f64| per_mm * 1000.0 / one <= most;
    if let Some(one) = ROUND.iter().copied().find(fits) {
        return one;
    }
    let mut ten = 100.0;
    while ten < 1e9 {
        if let Some(one) = [2.0, 5.0, 10.0].map(|k| k * ten).into_iter().find(fits) {
            return one;
        }
        ten *= 10.0;
    }
    1e10
}

/// Fits what `seen` says into a field of this size.
pub(crate) fn fit(paper: &Paper, view: View, field: DVec2, seen: impl Fn(Extent) -> (DVec2, DVec2)) -> Fit {
    let room = (field - 2.0 * paper.air).max(DVec2::splat(4.0));
    let at = |extent: Extent| {
        let (low, high) = seen(extent);
        let most = (room / (high - low)).min_element();
        match paper.per_mm {
            Some(per_mm) => {
                let one = round(most, per_mm);
                Fit { low, high, scale: per_mm * 1000.0 / one, to_one: Some(one), extent }
            }
            None => Fit { low, high, scale: most.min(CLOSEST), to_one: None, extent },
        }
    };
    if paper.is_phone || paper.is_small {
        return at(Extent::Rig);
    }
    let mut best = at(Extent::Whole);
    if paper.per_mm.is_none() {
        return best;
    }
    // On paper the next round scale is worth cutting the sweep; a third larger is worth cutting the car.
    if matches!(view, View::Plan | View::Corner { .. }) {
        let other = at(Extent::NoSweep);
        if other.scale > best.scale {
            best = other;
        }
    }
    let other = at(Extent::Rig);
    if other.scale >= 1.33 * best.scale { other } else { best }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::Medium;

    #[test]
    fn scales_in_print_are_round_and_fit() {
        let cases = [
            (900.0, 5.0),
            (800.0, 5.0),
            (799.0, 10.0),
            (170.0, 25.0),
            (40.0, 100.0),
            (39.0, 200.0),
            (3.0, 2000.0),
        ];
        for (most, one) in cases {
            assert!((round(most, 4.0) - one).abs() < 1e-9, "{most}");
        }
    }

    #[test]
    fn a_small_field_shows_the_rig_alone() {
        let paper = Paper::new(Medium::Print { width: 190.0, height: 120.0 });
        let seen = |extent: Extent| {
            let half = match extent {
                Extent::Whole => 2.3,
                Extent::NoSweep => 2.0,
                Extent::Rig => 0.6,
            };
            (DVec2::splat(-half), DVec2::splat(half))
        };
        let fitted = fit(&paper, View::Side, DVec2::new(600.0, 300.0), seen);
        // 4.6 m in 272 units is 1:100 (40 to a metre); 1.2 m goes in at 1:20 (200 to a metre).
        assert_eq!((fitted.extent, fitted.to_one), (Extent::Rig, Some(20.0)));
    }
}
