//! Why a frame has no answer.

use super::model::FrameError;
use core::fmt;
use glam::DVec3;

/// A movement that nothing resists.
#[derive(Clone, Debug, PartialEq)]
pub struct Mechanism {
    /// The node that moves most.
    pub node: usize,
    /// How it moves, scaled so that the largest movement in the frame (m, or rad at 1 m) is 1.
    pub slide: DVec3,
    /// How it turns.
    pub turn: DVec3,
    /// Every node that moves by more than a tenth of that.
    pub moving: Vec<usize>,
}

/// Why a frame has no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum SolveError {
    /// The frame itself is at fault.
    Frame(FrameError),
    /// Something can move freely.
    Mechanism(Box<Mechanism>),
    /// The forces that the frame is under are beyond those at which it buckles.
    Buckled,
    /// The residual check failed: the numbers are too far apart to trust.
    Residual {
        /// Largest residual over largest load.
        relative: f64,
    },
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Frame(e) => e.fmt(f),
            Self::Buckled => write!(f, "the frame buckles under these forces"),
            Self::Mechanism(m) => write!(f, "node {} can move freely", m.node),
            Self::Residual { relative } => write!(f, "equilibrium is missed by {relative:.1e} of the load"),
        }
    }
}

impl core::error::Error for SolveError {}

impl From<FrameError> for SolveError {
    fn from(e: FrameError) -> Self {
        Self::Frame(e)
    }
}
