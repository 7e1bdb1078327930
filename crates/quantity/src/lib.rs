//! What people write, read as typed SI quantities, and written back in both systems.
//!
//! `13-5/8 in`, `5' 6-1/2"`, `62 lb`, `24 inHg`, `0.5 g` and `35 ft·lb` are how a rigging crew states sizes and
//! loads. This crate reads them, refuses whatever could be read two ways and says how to mend it, and shows
//! a quantity in metric and US units. It knows nothing of a rig.
//!
//! One table ([`Kind::units`]) holds every unit: it drives the reader, the suggestions, the constructors of the
//! types and the lists printed in documents.
//!
//! ```
//! use quantity::{Length, Mass, Written, both, parse};
//!
//! let wide: Length = parse("13-5/8 in")?;
//! assert!((wide.to_mm() - 346.075).abs() < 1e-9);
//! assert_eq!(both(wide), "346 mm (13-5/8 in)");
//!
//! let head = Written::<Mass>::read("62 lb")?;
//! assert_eq!(head.echo(), "62 lb (28.1 kg)");
//!
//! let fault = parse::<Length>("62 lb").unwrap_err();
//! assert_eq!(&"62 lb"[fault.span], "lb");
//! # Ok::<(), quantity::Fault>(())
//! ```

mod fault;
mod gauge;
mod lex;
mod lookup;
mod number;
mod parse;
mod show;
mod table;
mod unit;
mod written;

pub use fault::Fault;
pub use gauge::{area_m2 as awg_area_m2, awg};
pub use parse::{parse, parse_kind};
pub use show::{both, both_kind, show, show_kind};
pub use table::*;
pub use unit::{Quantity, System, Unit};
pub use written::Written;
