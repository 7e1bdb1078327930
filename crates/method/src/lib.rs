//! The order of work for a rig: what is done before what, who holds what, what is written down, and where nobody goes on
//! before somebody has signed.
//!
//! [`Method::of`] makes the steps from the model and the person's own steps; [`schedule`] puts them on a clock for a crew;
//! [`strip`] is the way back. Nothing here judges a margin or reads a clock.

mod draft;
mod fault;
mod graph;
mod house;
mod progress;
mod schedule;
mod step;
mod strip;
mod work;

pub use fault::Fault;
pub use graph::Method;
pub use house::fits;
pub use progress::{Progress, Refusal};
pub use schedule::{Schedule, Task, critical_path, schedule};
pub use step::{Hold, Kind, Record, Stage, Step};
pub use strip::strip;
