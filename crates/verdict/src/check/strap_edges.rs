//! Where a strap bends over an edge of the body: how sharply, and how hard it presses there.

use crate::context::Context;
use crate::finding::{Finding, HandCheck, Step};
use crate::parts::PartRef;
use mechanics::strap::Path;
use quantity::{Kind, both_kind};
use rig::model::Hold;
use rig::policy::CheckId;

/// A bend under this, rad, is a straight run: 5°.
const STRAIGHT_RAD: f64 = 0.087;

/// One note a strap that bends over the body, at its sharpest bend.
pub(super) fn check(ctx: &Context<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    for (index, strap) in ctx.rig.straps.iter().enumerate() {
        let Ok(path) = Path::new(strap.path.iter().map(|p| p.at).collect()) else { continue };
        let (Ok(forces), wraps) = (path.edge_forces_n(strap.capacity.value), path.wraps_rad()) else {
            continue;
        };
        // Bends stand between the ends.
        let bends = strap.path.iter().skip(1).zip(wraps.iter().zip(&forces));
        let sharpest = bends
            .filter(|(p, (wrap, _))| p.on == Hold::Body && **wrap > STRAIGHT_RAD)
            .map(|(_, bend)| bend)
            .max_by(|a, b| a.0.total_cmp(b.0));
        let Some((wrap, force)) = sharpest else { continue };
        let words = format!(
            "bends by {:.0}° over the body and presses it with up to {} there at its full capacity: pad the edge, keep the \
             webbing off anything sharp",
            wrap.to_degrees(),
            both_kind(*force, Kind::Force)
        );
        out.push(Finding::note(CheckId::StrapLoad, PartRef::Strap(index), words).at("over an edge").hand(
            HandCheck {
                formula: "F = 2 LC sin(bend / 2)",
                source: "statics of a line over an edge without friction; mechanics.md §7.2",
                steps: vec![
                    Step::new("LC", "capacity of the strap", strap.capacity.value, Kind::Force),
                    Step::new("bend", "change of its direction at the edge", *wrap, Kind::Angle),
                    Step::new("F", "2 LC sin(bend / 2)", *force, Kind::Force),
                ],
            },
        ));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{context, rig};
    use glam::DVec3;
    use rig::model::PathPoint;

    #[test]
    fn a_square_corner_is_pressed_with_root_two_of_the_tension() {
        let mut rig = rig();
        let body = |x: f64, z: f64| PathPoint { at: DVec3::new(x, 0.5, z), on: Hold::Body };
        let top = PathPoint { at: DVec3::new(-2.0, 0.5, 1.6), on: Hold::Platform(0) };
        let mut strap = rig.straps[0].clone();
        strap.path = vec![top, body(-1.0, 1.6), body(-1.0, 0.6)];
        rig.straps = vec![strap];
        let found = check(&context(&rig));
        assert_eq!(found.len(), 1);
        let capacity = rig.straps[0].capacity.value;
        assert!((found[0].hand.steps[2].value - capacity * 2.0_f64.sqrt()).abs() < 1e-9 * capacity);
        assert!(found[0].situation.starts_with("bends by 90°"), "{}", found[0].situation);
        // A straight run says nothing.
        rig.straps[0].path.pop();
        assert!(check(&context(&rig)).is_empty());
    }
}
