//! A release test: the payload is pressed down on its isolator and let go; how does it settle?
//!
//! From samples of an angle, a rate, an acceleration or a displacement to damping ratio and frequency with their uncertainty, what
//! kind of damping it is, and how long it takes to rest; or a plain word why the trace tells none of it. `docs/mechanics.md` §15.

#![allow(clippy::cast_precision_loss, reason = "counts of samples and swings, far below 2^52")]

mod attempt;
mod checks;
mod clicks;
mod decrement;
mod error;
mod judge;
mod lobes;
pub(crate) mod noise;
mod project;
mod record;
mod report;
mod shapes;
mod solve;
mod spectrum;
mod window;

pub use checks::Check;
pub use clicks::{Curve, Setting, Tested, differ};
pub use decrement::{
    Between, Counted, FromCount, from_count, overshoot, ratio_of_decrement, ratio_of_overshoot,
};
pub use error::{Refusal, SettleError};
pub use judge::analyse;
pub use record::{Record, Signal};
pub use report::{Creeping, Damping, Drawn, Outcome, Quality, Settling, ToRest, Window};
