//! A quantity together with the person's own text.

use crate::parse::read;
use crate::show::show_with_unit;
use crate::{Fault, Kind, Quantity, System};

/// A quantity that keeps the words it was written in.
#[derive(Clone, Debug, PartialEq, PartialOrd)]
pub struct Written<Q> {
    /// The person's own text.
    pub text: String,
    /// What it means.
    pub value: Q,
}

impl<Q: Quantity> Written<Q> {
    /// Reads the text and keeps it, blanks at both ends left out.
    ///
    /// # Errors
    ///
    /// As [`crate::parse`]; the span counts from the start of the text as given.
    pub fn read(text: &str) -> Result<Self, Fault> {
        let reading = read(text, Q::KIND)?;
        Ok(Self { text: text.trim().to_owned(), value: Q::from_si(reading.si) })
    }

    /// The person's own text, with the other system beside it where that says more: `24 inHg (81.3 kPa)`.
    ///
    /// A unit that both systems use stands alone (`12 deg`), except that it is turned into the everyday one
    /// if it is not that (`0.5 g (4.9 m/s2)`, `12 rpm (72 deg/s)`).
    pub fn echo(&self) -> String {
        let Ok(reading) = read(&self.text, Q::KIND) else {
            return format!("{} ({})", self.text, crate::both(self.value));
        };
        let other = reading.unit.system.map_or(System::Metric, System::other);
        let (shown, unit) = show_with_unit(self.value.si(), Q::KIND, other);
        let plain = matches!(Q::KIND, Kind::Number | Kind::Roughness) || reading.unit.symbol == unit;
        if plain { self.text.clone() } else { format!("{} ({shown})", self.text) }
    }
}
