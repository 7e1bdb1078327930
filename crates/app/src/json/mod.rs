//! The JSON that the commands print: shapes of their own, SI units, snake-case keys.

pub(crate) mod advise;
pub(crate) mod around;
pub(crate) mod balance;
pub(crate) mod boom;
pub(crate) mod card;
pub(crate) mod check;
pub(crate) mod diagnostic;
pub(crate) mod entries;
pub(crate) mod envelope;
pub(crate) mod explain;
pub(crate) mod finding;
pub(crate) mod isolator;
pub(crate) mod lift;
pub(crate) mod list;
pub(crate) mod pack;
pub(crate) mod picture;
pub(crate) mod power;
pub(crate) mod respond;
pub(crate) mod rounds;
pub(crate) mod settle;
pub(crate) mod standing;
pub(crate) mod steps;
pub(crate) mod torque;

use crate::io::Stop;
use serde::Serialize;
use std::io::Write;

/// One value, indented, with a line end.
pub(crate) fn write<T: Serialize>(out: &mut dyn Write, value: &T) -> Result<(), Stop> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|e| Stop::bad(format!("the answer cannot be written as JSON: {e}"), ""))?;
    writeln!(out, "{text}")?;
    Ok(())
}
