//! The kinds of entries, and what an entry of each kind says.

mod plan;
mod said;
mod taken;

pub use plan::{Answer, File, Rig, Verdict};
pub use said::{Damage, Note, Photo, Signature, State, Step, Wear};
pub use taken::{Measured, Reading, Torque, Weather, Weight};

use crate::fault::Fault;
use crate::limits::VALUE_BYTES;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// What the value of a kind is checked for, going in and coming out.
trait Checked: Serialize + DeserializeOwned {
    /// Whether an entry of this kind must say what it is about.
    const ABOUT: bool;
    fn check(&self) -> Result<(), Fault>;
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident $name:literal,)*) => {
        /// What kind of thing happened. The names are stored and stay.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Kind {
            $($(#[$doc])* $kind,)*
        }

        impl Kind {
            /// All kinds.
            pub const ALL: &[Self] = &[$(Self::$kind,)*];

            /// The name as it is stored.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$kind => $name,)*
                }
            }

            /// The kind of that name.
            pub fn named(name: &str) -> Option<Self> {
                match name {
                    $($name => Some(Self::$kind),)*
                    _ => None,
                }
            }

            fn needs_about(self) -> bool {
                match self {
                    $(Self::$kind => $kind::ABOUT,)*
                }
            }
        }

        /// What an entry says.
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub enum Value {
            $($(#[$doc])* $kind($kind),)*
        }

        impl Value {
            /// Its kind.
            pub fn kind(&self) -> Kind {
                match self {
                    $(Self::$kind(_) => Kind::$kind,)*
                }
            }

            fn check(&self) -> Result<(), Fault> {
                match self {
                    $(Self::$kind(v) => v.check(),)*
                }
            }

            fn json(&self) -> serde_json::Result<String> {
                match self {
                    $(Self::$kind(v) => serde_json::to_string(v),)*
                }
            }

            fn parsed(kind: Kind, text: &str) -> serde_json::Result<Self> {
                match kind {
                    $(Kind::$kind => serde_json::from_str(text).map(Self::$kind),)*
                }
            }
        }
    };
}

kinds! {
    /// The rig file and its parts files as they were planned; a later one is a change of plan.
    Rig "rig",
    /// An as-built value of a key of the rig file.
    Measured "measured",
    /// A cup's vacuum.
    Reading "reading",
    /// The torque of a fastener or clamp.
    Torque "torque",
    /// A weight as weighed.
    Weight "weight",
    /// A step of the build done, undone or skipped.
    Step "step",
    /// A signature under a hold point.
    Signature "signature",
    /// Words.
    Note "note",
    /// A picture.
    Photo "photo",
    /// The weather on the spot.
    Weather "weather",
    /// What the program answered about a rig.
    Verdict "verdict",
    /// What car or kit looked like at wrap.
    Damage "damage",
}

impl Value {
    /// The value as it is stored: JSON without spaces, keys in the order of the struct.
    ///
    /// # Errors
    ///
    /// A text that is empty, too long or has control characters in it.
    pub(crate) fn text(&self) -> Result<String, Fault> {
        self.check()?;
        let text = self.json().map_err(|e| bad(self.kind(), &e.to_string()))?;
        if text.len() > VALUE_BYTES {
            let (found, limit) = (text.len() as u64, VALUE_BYTES as u64);
            return Err(Fault::TooLong { what: "value".into(), found, limit, unit: "bytes" });
        }
        Ok(text)
    }

    /// A stored value read back; it must be exactly as [`Value::text`] writes it.
    pub(crate) fn of_text(kind: Kind, text: &str) -> Result<Self, Fault> {
        let value = Self::parsed(kind, text).map_err(|e| bad(kind, &e.to_string()))?;
        if value.text()? == text {
            Ok(value)
        } else {
            Err(bad(kind, "it is not written the way this program writes it"))
        }
    }

    /// What an entry is about, checked.
    pub(crate) fn check_about(&self, about: &str) -> Result<(), Fault> {
        use crate::{limits::ABOUT_CHARS, text};
        let most = ABOUT_CHARS;
        if self.kind().needs_about() {
            text::line("about", about, most)
        } else {
            text::maybe("about", about, most)
        }
    }
}

fn bad(kind: Kind, why: &str) -> Fault {
    Fault::Form {
        what: format!("the value of a {}", kind.name()),
        found: crate::fault::shown(why),
        needs: "the JSON of that kind, as the description of the format says",
    }
}

#[cfg(test)]
mod tests;
