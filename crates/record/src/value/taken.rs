//! What was measured: the value and its unit as they were written, and what it was measured with.

use super::Checked;
use crate::fault::Fault;
use crate::limits::{NAME_CHARS, WRITTEN_CHARS};
use crate::text;
use serde::{Deserialize, Serialize};

fn taken(value: &str, with: &str) -> Result<(), Fault> {
    text::line("value", value, WRITTEN_CHARS)?;
    text::line("with what", with, NAME_CHARS)
}

fn perhaps(what: &str, value: Option<&String>) -> Result<(), Fault> {
    value.map_or(Ok(()), |v| text::line(what, v, WRITTEN_CHARS))
}

/// An as-built value; the entry is about the key of the rig file that it replaces.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// As written, with its unit: `302 mm`.
    pub value: String,
    /// The tool: `tape`, `laser`.
    pub with: String,
}

impl Checked for Measured {
    const ABOUT: bool = true;

    fn check(&self) -> Result<(), Fault> {
        taken(&self.value, &self.with)
    }
}

/// A cup's vacuum; the entry is about the cup.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Vacuum below ambient as written: `23.6 inHg`.
    pub vacuum: String,
    /// The gauge.
    pub with: String,
    /// Whether the cup was pumped again just before this reading.
    pub pumped: bool,
    /// Air temperature as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<String>,
    /// Pressure of the air as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pressure: Option<String>,
    /// Altitude as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub altitude: Option<String>,
}

impl Checked for Reading {
    const ABOUT: bool = true;

    fn check(&self) -> Result<(), Fault> {
        text::line("vacuum", &self.vacuum, WRITTEN_CHARS)?;
        text::line("with what", &self.with, NAME_CHARS)?;
        perhaps("temperature", self.temperature.as_ref())?;
        perhaps("pressure", self.pressure.as_ref())?;
        perhaps("altitude", self.altitude.as_ref())
    }
}

/// A torque; the entry is about the fastener or clamp.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Torque {
    /// As written, with its unit: `50 N m`.
    pub value: String,
    /// The wrench.
    pub with: String,
}

impl Checked for Torque {
    const ABOUT: bool = true;

    fn check(&self) -> Result<(), Fault> {
        taken(&self.value, &self.with)
    }
}

/// A weight; the entry is about what was weighed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weight {
    /// As written, with its unit: `62 lb`.
    pub value: String,
    /// The scale.
    pub with: String,
}

impl Checked for Weight {
    const ABOUT: bool = true;

    fn check(&self) -> Result<(), Fault> {
        taken(&self.value, &self.with)
    }
}

/// The weather on the spot, each as written; at least one is said.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weather {
    /// Air temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<String>,
    /// Wind, with gusts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind: Option<String>,
    /// Rain or dry.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rain: Option<String>,
}

impl Checked for Weather {
    const ABOUT: bool = false;

    fn check(&self) -> Result<(), Fault> {
        if self.temperature.is_none() && self.wind.is_none() && self.rain.is_none() {
            return Err(Fault::Empty { what: "weather".into() });
        }
        perhaps("temperature", self.temperature.as_ref())?;
        perhaps("wind", self.wind.as_ref())?;
        perhaps("rain", self.rain.as_ref())
    }
}
