//! The order of work for a rig: what is done before what, who holds what, what is written down, and where nobody goes on
//! before somebody has signed.
//!
//! [`Method::of`] makes the steps from the model and the person's own steps; [`schedule`] puts them on a clock for a crew;
//! [`strip`] is the way back. [`torque`], [`lifts`], [`line`], [`pack`], [`cases`] and [`differ`] say what hands, wrenches and the van need.
//! Nothing here repeats a check or reads a clock.

mod bulk;
pub mod cases;
pub mod differ;
mod draft;
mod fault;
mod graph;
mod house;
pub mod lifts;
pub mod line;
pub mod pack;
mod progress;
mod schedule;
mod step;
mod strip;
pub mod torque;
mod work;

pub use fault::Fault;
pub use graph::Method;
pub use house::fits;
pub use progress::{Progress, Refusal};
pub use schedule::{Schedule, Task, critical_path, schedule};
pub use step::{Hold, Kind, Record, Stage, Step};
pub use strip::strip;
