//! The units that a focus scale can be marked in.

/// A unit that a focus band can be marked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DistanceUnit {
    /// Metres.
    Metre,
    /// Feet and inches.
    Foot,
}

impl DistanceUnit {
    /// Every unit, in the order in which they are offered.
    pub const ALL: [DistanceUnit; 2] = [DistanceUnit::Metre, DistanceUnit::Foot];

    /// The word for it in files, and its sign on a strip.
    pub fn word(self) -> &'static str {
        match self {
            DistanceUnit::Metre => "m",
            DistanceUnit::Foot => "ft",
        }
    }
}
