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
//!
//! ```
//! use glam::DVec3;
//! use mechanics::arm::{Accelerations, Arm, Base, Body, Carrier, Geometry, Levelling, Pose, Rates};
//! use mechanics::arm::{Section, TiltBalance, actions};
//!
//! let geometry = Geometry::new(1.2, 4.0)?;
//! let boom = Section { mass_kg: 14.0, start_m: 0.0, length_m: 4.0, centre_m: 1.8 };
//! let arm = Arm::new(
//!     geometry,
//!     Levelling::Linkage,
//!     vec![
//!         Body::cuboid(25.0, DVec3::new(0.0, 0.0, 0.6), DVec3::new(0.3, 0.3, 1.2), Carrier::Mast)?,
//!         Body::boom_section(&geometry, &boom)?,
//!         Body::point(6.0, DVec3::ZERO, Carrier::LevelTip)?, // isolator
//!         Body::point(16.0, DVec3::new(0.0, 0.0, -0.4), Carrier::LevelTip)?, // payload below it
//!     ],
//! )?;
//! // The plates that balance it 1.1 m behind the pivot: (14 x 1.8 + 22 x 4.0) / 1.1 = 102.9 kg.
//! let plates_kg = TiltBalance::of(&arm).counterweight_kg(-1.1, 0.0, 0.0)?;
//! assert!((plates_kg - 102.909).abs() < 0.001);
//! let arm = arm.with_body(Body::point(plates_kg, DVec3::new(-1.1, 0.0, 0.0), Carrier::Boom)?);
//!
//! // Parked and level it weighs straight down on the mast base.
//! let still = (Rates::default(), Accelerations::default());
//! let a = actions(&arm, Pose::default(), still.0, still.1, &Base::LEVEL)?;
//! assert!((a.on_platform.force.z + arm.mass_kg() * mechanics::STANDARD_GRAVITY).abs() < 1e-9);
//! assert!(a.on_platform.moment.length() < 1e-9 && a.tilt_torque_nm.abs() < 1e-9);
//! # Ok::<(), mechanics::arm::ArmError>(())
//! ```

pub mod balance;
pub mod basis;
pub mod body;
pub mod chain;
pub mod dynamics;
mod error;
pub mod motion;
mod poses;
pub mod wind;

pub use balance::TiltBalance;
pub use basis::{BasisTerms, TERMS, WrenchBasis, wrench_basis};
pub use body::{Body, Inertia, Section};
pub use chain::{Arm, Carrier, Geometry, Levelling};
pub use dynamics::{Accelerations, Actions, Base, Pose, Rates, actions};
pub use error::ArmError;
pub use motion::{DriveLimits, Motion, MotionKind};
pub use poses::{Flow, InPoses, Lanes, POSES, Six};
pub use wind::{Drag, DragShape, InWind, Wind, wind_actions};
