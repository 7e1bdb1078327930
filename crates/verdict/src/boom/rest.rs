//! The boom at rest under its own weight and payload.

use super::frame::BoomFrame;
use glam::DVec3;
use mechanics::STANDARD_GRAVITY;
use mechanics::frame::{Load, Lost, SolveError};

/// How the boom lies, and what it carries.
#[derive(Clone, Debug)]
pub struct Rest {
    /// Sag of the tip square to the boom, m, + down.
    pub sag_m: f64,
    /// Movement of the tip to the left, m.
    pub left_m: f64,
    /// Twist of the tip about the boom's axis, rad; + leans the payload's top to the right.
    pub twist_rad: f64,
    /// Tension of each strand of the frame, N; none where it is taken away or hangs slack.
    pub tension_n: Vec<Option<f64>>,
    /// Strands that hang slack or are taken away.
    pub lost: Vec<Lost>,
    /// How many of them hang slack.
    pub slack: usize,
    /// Forces of what lies beyond on what lies before, at the inner end of each member: `N Vy Vz T My Mz`, boom axes.
    pub cuts: Vec<(f64, [f64; 6])>,
}

impl BoomFrame {
    /// The boom at rest at an elevation (rad), with some braces (indices of strands) taken away.
    ///
    /// A brace that would push hangs slack: it is taken out and the rest solved again, one after the other.
    ///
    /// # Errors
    ///
    /// [`SolveError`] where the frame cannot be solved.
    pub fn at_rest(&self, elevation_rad: f64, gone: &[usize]) -> Result<Rest, SolveError> {
        let (s, c) = elevation_rad.sin_cos();
        let load = Load { specific_force: DVec3::new(-s, 0.0, -c) * STANDARD_GRAVITY, ..Load::default() };
        let mut lost: Vec<Lost> = gone.iter().copied().map(Lost::Strand).collect();
        loop {
            let factored = self.frame.factor(&lost)?;
            let solution = factored.solve(core::slice::from_ref(&load))?;
            let is_lost = |i: usize| lost.contains(&Lost::Strand(i));
            let strands = 0..self.frame.strands.len();
            if let Some(slack) = strands.clone().find(|i| !is_lost(*i) && solution.tension(0, *i) < 0.0) {
                lost.push(Lost::Strand(slack));
                continue;
            }
            let (slide, turn) = solution.node(0, self.tip);
            let cuts = (0..self.frame.members.len()).map(|m| {
                let along =
                    self.frame.members.get(m).and_then(|m| self.frame.nodes.get(m.i)).map_or(0.0, |p| p.x);
                // The member's own end feels the node; the node, and all before it, feels the opposite.
                (along, solution.member_ends(0, m).0.map(|f| -f))
            });
            return Ok(Rest {
                sag_m: -slide.z,
                left_m: slide.y,
                twist_rad: turn.x,
                tension_n: strands.map(|i| (!is_lost(i)).then(|| solution.tension(0, i))).collect(),
                slack: lost.len() - gone.len(),
                cuts: cuts.collect(),
                lost,
            });
        }
    }
}
