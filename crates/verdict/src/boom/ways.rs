//! The lowest frequencies of the boom, by which way it shakes.

use super::frame::{BoomFrame, MARK_M};
use glam::DVec3;
use mechanics::frame::{Lost, Mode, SolveError};

/// How many modes are looked through.
const LOOKED: usize = 12;
/// A mode goes a way when this share of the tip's movement is that way. Two modes of the same frequency (a round boom that
/// bends up as easily as sideways) come out in any mixture, and then both go both ways.
const SHARE: f64 = 0.3;

/// Lowest frequency each way, Hz; none where no mode of those looked through goes that way.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ways {
    /// Bending up and down.
    pub up_down_hz: Option<f64>,
    /// Bending sideways.
    pub sideways_hz: Option<f64>,
    /// Twisting about its own axis.
    pub twist_hz: Option<f64>,
}

/// Shares of up-down, sideways and twist in a mode, by the energy of the tip's movement.
///
/// `M z²`, `M y²` and `I θ²` with `M` the mass at the tip and Rayleigh's 0.2357 of the boom's own, `I` the tip's inertia about
/// the boom's axis. The shape tells `θ` by a node over the tip: `y_mark - y_tip = -h θ`.
fn shares(boom: &BoomFrame, mode: &Mode) -> [f64; 3] {
    let of = |n: usize| mode.shape.get(n).copied().unwrap_or(DVec3::ZERO);
    let tip = of(boom.tip);
    let twist = (of(boom.mark).y - tip.y) / MARK_M;
    let mass = boom.tip_kg + 0.2357 * boom.front_kg();
    let energy = [mass * tip.z * tip.z, mass * tip.y * tip.y, boom.tip_twist_kgm2 * twist * twist];
    let all: f64 = energy.iter().sum::<f64>() + mass * tip.x * tip.x;
    if all > 0.0 { energy.map(|e| e / all) } else { [0.0; 3] }
}

impl BoomFrame {
    /// The lowest frequency each way with some strands lost (those that hang slack at rest: [`super::Rest::lost`]).
    ///
    /// Sideways bending and twist go together where the payload hangs under or beside the boom's axis; such a mode is both when
    /// it moves clearly both ways.
    ///
    /// # Errors
    ///
    /// [`SolveError`] where the frame cannot be solved.
    pub fn ways(&self, lost: &[Lost]) -> Result<Ways, SolveError> {
        let modes = self.frame.factor(lost)?.modes(LOOKED)?;
        let first = |way: usize| {
            modes
                .iter()
                .find(|m| shares(self, m).get(way).is_some_and(|s| *s > SHARE))
                .map(|m| m.frequency_hz)
        };
        Ok(Ways { up_down_hz: first(0), sideways_hz: first(1), twist_hz: first(2) })
    }
}
