//! What the lifting equation says nothing about.

/// A circumstance under which the equation has no answer: the lift needs a judgement of its own.
///
/// # Source
///
/// DHHS (NIOSH) 94-110, lifting task limitations. Looked up in a transcription: one hand, seated, long shifts, narrow
/// space, unstable loads, heat and cold, slippery floor. \[from memory\]: the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exclusion {
    /// With one hand.
    OneHanded,
    /// Sitting or kneeling.
    SeatedOrKneeling,
    /// More than eight hours a day.
    LongShift,
    /// Where there is no room to move.
    RestrictedSpace,
    /// A load whose centre of mass moves: liquids, something that swings.
    UnstableLoad,
    /// A load that is hot, cold or dirty, so that it is held away from the body.
    UnpleasantLoad,
    /// Carrying, pushing, pulling, climbing or holding beside the lift.
    OtherWork,
    /// A barrow or a shovel.
    BarrowOrShovel,
    /// A jerk: faster than about 0.76 m/s.
    HighSpeed,
    /// Friction between shoe and floor under 0.4.
    SlipperyFloor,
    /// Air outside 19 to 26 °C, or damp.
    HeatOrCold,
    /// A load heavier than expected, a slip, a fall: the limit keeps nothing in hand for them.
    Unexpected,
}

impl Exclusion {
    /// All of them, in the order in which a list would show them.
    pub const ALL: [Self; 12] = [
        Self::OneHanded,
        Self::SeatedOrKneeling,
        Self::RestrictedSpace,
        Self::UnstableLoad,
        Self::UnpleasantLoad,
        Self::OtherWork,
        Self::BarrowOrShovel,
        Self::HighSpeed,
        Self::SlipperyFloor,
        Self::HeatOrCold,
        Self::LongShift,
        Self::Unexpected,
    ];

    /// In plain words, to stand after "not covered:".
    pub fn text(self) -> &'static str {
        match self {
            Self::OneHanded => "lifting with one hand",
            Self::SeatedOrKneeling => "lifting while sitting or kneeling",
            Self::LongShift => "lifting for more than 8 hours a day",
            Self::RestrictedSpace => "lifting where there is no room to stand or move freely",
            Self::UnstableLoad => "a load that shifts, swings or slops",
            Self::UnpleasantLoad => "a load that is hot, cold or dirty",
            Self::OtherWork => "carrying, pushing, pulling, climbing or holding beside the lift",
            Self::BarrowOrShovel => "a barrow or a shovel",
            Self::HighSpeed => "a jerk, faster than about 0.76 m/s",
            Self::SlipperyFloor => "a floor on which shoes slip (friction under 0.4)",
            Self::HeatOrCold => "air outside 19 to 26 C, or damp",
            Self::Unexpected => "a load heavier than expected, a slip or a fall",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_exclusion_is_listed_once_and_has_its_own_words() {
        let kinds: BTreeSet<Exclusion> = Exclusion::ALL.into_iter().collect();
        let words: BTreeSet<&str> = Exclusion::ALL.into_iter().map(Exclusion::text).collect();
        assert_eq!((kinds.len(), words.len()), (Exclusion::ALL.len(), Exclusion::ALL.len()));
    }
}
