//! One step of the work.

/// Which part of the work a step belongs to, in the order in which a crew meets them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// The car as it comes.
    Car,
    /// Cups on their panels.
    Cups,
    /// Tubes and clamps.
    Grid,
    /// Platform and what stands on it.
    Platform,
    /// Straps and tethers: the second line.
    Retention,
    /// The arm.
    Arm,
    /// Payload, counterweight, isolator.
    Payload,
    /// Cables and power.
    Power,
    /// The last looks before driving.
    Proof,
    /// Taking it off again.
    Strip,
}

impl Stage {
    /// As a heading.
    pub fn word(self) -> &'static str {
        match self {
            Self::Car => "The car",
            Self::Cups => "Cups",
            Self::Grid => "Grid",
            Self::Platform => "Platform",
            Self::Retention => "Second line",
            Self::Arm => "Arm",
            Self::Payload => "Payload and balance",
            Self::Power => "Power",
            Self::Proof => "Before driving",
            Self::Strip => "Strip",
        }
    }

    /// All, in order.
    pub const ALL: [Self; 10] = [
        Self::Car,
        Self::Cups,
        Self::Grid,
        Self::Platform,
        Self::Retention,
        Self::Arm,
        Self::Payload,
        Self::Power,
        Self::Proof,
        Self::Strip,
    ];
}

/// What sort of thing is written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A measured value that takes the place of a planned one; the key is one of the rig file.
    Measured,
    /// A cup's gauge; the key is the cup's tag.
    Reading,
    /// A torque; the key is one of the rig file.
    Torque,
    /// A weight; the key is one of the rig file.
    Weight,
    /// Words or a number with no place in the rig file.
    Note,
}

/// Something that a step asks to be written down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// In words.
    pub what: String,
    /// Which sort.
    pub kind: Kind,
    /// Where it goes: a key of the rig file, a cup's tag, or the step's own name for a note.
    pub key: String,
}

/// A point at which nobody goes on before somebody has signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hold {
    /// Who signs.
    pub role: String,
    /// What the signature says.
    pub says: String,
}

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Its name, unlike any other's: `cup FL: pump`.
    pub name: String,
    /// The table of the rig file that it is about (`cup.FL`): where that changes, the step is to be done again.
    pub about: Option<String>,
    /// Part of the work.
    pub stage: Stage,
    /// What is done.
    pub does: String,
    /// Why, and why here.
    pub why: String,
    /// How many people it takes.
    pub people: usize,
    /// How long it may take, minutes: an estimate of ours, or what the person's own step says.
    pub minutes: f64,
    /// What they need in their hands.
    pub tools: Vec<String>,
    /// The torque it is brought to, N m.
    pub torque_nm: Option<f64>,
    /// What is written down.
    pub records: Vec<Record>,
    /// A hold point after it.
    pub hold: Option<Hold>,
    /// Why it cannot be left out; `None`: it can.
    pub kept: Option<&'static str>,
    /// Whether the person's own file put it there.
    pub is_own: bool,
}
