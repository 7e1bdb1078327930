//! The equations that `clingfish` computes with. SI in, SI out; vehicle axes after ISO 8855
//! (x forward, y left, z up, right-handed) unless a name says otherwise.
//!
//! This crate knows no files, clocks, text, rigs or verdicts. Each formula names its source and its
//! section of `docs/mechanics.md`.

pub mod air;
pub mod arm;
pub mod bolt;
pub mod clamp;
pub mod cup;
pub mod frame;
pub mod leak;
pub mod lift;
pub mod limit;
pub mod overhead;
pub mod power;
pub mod range;
pub mod restraint;
pub mod road;
pub mod settle;
pub mod shaking;
pub mod strap;
pub mod vehicle;
pub mod wrench;

/// Standard acceleration of free fall, m/s² (ISO 80000-3; exact by convention).
pub const STANDARD_GRAVITY: f64 = 9.806_65;
