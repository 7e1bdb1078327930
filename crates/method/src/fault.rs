//! What is wrong with an order of work.

use core::fmt;

/// Why there is no order of work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Steps that wait for each other, each for the one after it and the last for the first.
    Circle(Vec<String>),
    /// A step or rule names one that there is not.
    Unknown {
        /// Who names it.
        by: String,
        /// What is named.
        name: String,
        /// The nearest there is.
        meant: Option<String>,
    },
    /// Two steps have one name.
    Twice(String),
    /// A step that may not be left out is.
    Kept {
        /// The step.
        name: String,
        /// Why it has to stay.
        why: &'static str,
    },
}

impl Fault {
    /// How to mend it.
    pub fn mend(&self) -> String {
        match self {
            Self::Circle(_) => {
                "take out one `after`, `before` or rule of your own steps among these: the program's own steps have no circle".to_owned()
            }
            Self::Unknown { meant: Some(meant), .. } => format!("did you mean \"{meant}\"?"),
            Self::Unknown { meant: None, .. } => {
                "clingfish build RIG without your own steps lists the names".to_owned()
            }
            Self::Twice(_) => "give your own step another name".to_owned(),
            Self::Kept { .. } => "take it out of `leave_out`; say in a step of your own what else is done".to_owned(),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Circle(names) => {
                let first = names.first().map_or("?", String::as_str);
                write!(f, "steps wait for each other: ")?;
                for name in names {
                    write!(f, "\"{name}\", then ")?;
                }
                write!(f, "\"{first}\" again")
            }
            Self::Unknown { by, name, .. } => write!(f, "{by} names \"{name}\", and there is no such step"),
            Self::Twice(name) => write!(f, "two steps are called \"{name}\""),
            Self::Kept { name, why } => write!(f, "\"{name}\" cannot be left out: {why}"),
        }
    }
}

impl core::error::Error for Fault {}
