//! Three-dimensional frames on springs: round tubes as Timoshenko beams, exact rigid offsets, releases by elimination,
//! cups as six springs, straps as one tension along a path (`docs/mechanics.md` §2).
//!
//! Build a [`Frame`], [`Frame::factor`] it once, then [`Factored::solve`] any number of [`Load`]s.

mod assemble;
pub mod beam;
mod bodies;
pub mod critical;
mod eliminate;
pub mod error;
pub mod factor;
pub mod geometric;
mod lanczos;
mod loads;
pub mod model;
pub mod modes;
mod reading;
pub mod section;
mod shaking;
pub mod solution;
mod solve;
pub mod split;
pub mod stress;
mod without;

pub use beam::{Beam, Internal};
pub use critical::Critical;
pub use error::{Mechanism, SolveError};
pub use factor::{Factored, Lost};
pub use model::{
    Frame, FrameError, Freedom, Joint, JointKind, Load, Member, PointMass, Strand, StrandPoint, Support,
};
pub use modes::Mode;
pub use solution::Solution;
pub use split::Split;
pub use stress::Stress;
