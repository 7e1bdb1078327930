//! The motorised balanced arm on a moving car: what it weighs, how it moves, what it does to the platform.
//!
//! Axes (`docs/mechanics.md` §3.4.1), all right-handed:
//!
//! ```text
//! vehicle   x forward, y left, z up (ISO 8855); origin at the mast base, on top of the platform
//! mast      the vehicle axes turned by the pan angle about z; same origin
//! boom      the mast axes tilted by the elevation, front up; origin at the boom pivot, x along the boom
//! level tip the mast axes; origin at the boom tip
//! fixed tip the boom axes; origin at the boom tip
//! ```
//!
//! Pan is positive to the left (counter-clockwise from above), elevation positive with the boom front up.
//! The boom front rises by a turn about the axis `e = -y` of the mast.

pub mod balance;
pub mod basis;
pub mod body;
pub mod chain;
pub mod dynamics;
mod error;
pub mod motion;
pub mod wind;

pub use balance::TiltBalance;
pub use basis::{BasisTerms, WrenchBasis, wrench_basis};
pub use body::{Body, Inertia, Section};
pub use chain::{Arm, Carrier, Geometry, Levelling};
pub use dynamics::{Accelerations, Actions, Base, Pose, Rates, actions};
pub use error::ArmError;
pub use motion::{DriveLimits, Motion, MotionKind};
pub use wind::{Drag, DragShape, Wind, wind_actions};
