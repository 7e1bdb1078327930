//! What a logger wrote, read as samples of time and one signal.
//!
//! A phone or a data logger writes text: commas, tabs or semicolons between the cells, a point or a comma for decimals, comments and
//! a head of its own making, time as a count or a clock, columns in any order. This crate finds the separator, the head, the time and
//! the signal where they are clear, and else says which columns there are and which option chooses. A fault points at line and column.
//! It knows nothing of what the signal is for.
//!
//! ```
//! use trace::{Ask, Kind, read};
//!
//! let text = "time [ms];pitch (deg)\n0;1,5\n10;1,4\n20;1,2\n";
//! let trace = read(text, &Ask::default())?;
//! assert_eq!(trace.kind, Kind::Angle);
//! assert_eq!(trace.signal.name, "pitch");
//! assert!((trace.samples[1].0 - 0.010).abs() < 1e-12);
//! assert!((trace.samples[1].1 - 1.4_f64.to_radians()).abs() < 1e-12);
//! # Ok::<(), trace::Fault>(())
//! ```

mod clock;
mod fault;
mod head;
mod number;
mod order;
mod pick;
mod read;
mod table;
mod unit;

pub use fault::Fault;
pub use read::{Ask, Column, Trace, read};
pub use unit::Kind;
