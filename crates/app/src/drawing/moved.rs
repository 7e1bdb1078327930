//! The rig as it bends in the state that is shown, large enough to be seen.

use super::Desk;
use super::forces::none;
use crate::io::Stop;
use draw::view::Moved;
use verdict::shape;

/// How far the point that moves most is to be drawn from its place, m.
const DRAWN_M: f64 = 0.12;
/// No movement is drawn larger than so many times.
const MOST: f64 = 10_000.0;

/// The largest of 1, 2, 5, 10, 20, ... times that keeps a movement within what is to be drawn.
fn times(most_m: f64) -> f64 {
    let mut best = 1.0;
    let mut ten = 1.0;
    while ten <= MOST {
        for step in [1.0, 2.0, 5.0] {
            if step * ten <= MOST && step * ten * most_m <= DRAWN_M {
                best = step * ten;
            }
        }
        ten *= 10.0;
    }
    best
}

pub(super) fn of(desk: &Desk<'_>) -> Result<(Moved, Vec<String>), Stop> {
    let ctx = desk.context()?;
    let (failure, u) = desk.seen()?.action(desk)?;
    let shape = shape::of_action(ctx, failure, &u).map_err(|e| none(ctx, &e))?;
    let most = shape.most();
    let times = times(most.map_or(0.0, |(_, m)| m));
    let mut said = Vec::new();
    if let Some((part, _)) = most {
        // The drawing itself says how far, and how much larger it is drawn.
        let boom = " The boom is drawn straight; clingfish boom says how it bends.";
        let boom = if desk.rig.arm.is_some() { boom } else { "" };
        said.push(format!("What moves most is {}.{boom}", part.name(desk.rig)));
    }
    let lines = shape.lines.iter().map(|l| l.points.iter().map(|p| (p.at, p.by)).collect()).collect();
    Ok((Moved { times, lines }, said))
}

#[cfg(test)]
mod tests {
    use super::times;

    #[test]
    fn a_movement_is_drawn_a_round_number_of_times_larger() {
        for (m, drawn) in
            [(0.002, 50.0), (0.012, 10.0), (0.013, 5.0), (0.5, 1.0), (1e-5, 10_000.0), (0.0, 10_000.0)]
        {
            assert!((times(m) - drawn).abs() < 1e-9, "{m}: {}", times(m));
        }
        assert!((times(f64::NAN) - 1.0).abs() < 1e-9);
    }
}
