//! The units that a focus scale can be marked in.

/// A unit that a focus band can be marked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, schemars::JsonSchema)]
#[non_exhaustive]
pub enum DistanceUnit {
    /// Metres.
    #[serde(rename = "m")]
    Metre,
    /// Feet and inches.
    #[serde(rename = "ft")]
    Foot,
}

impl DistanceUnit {
    /// Every unit, in the order in which they are offered.
    pub const ALL: [DistanceUnit; 2] = [DistanceUnit::Metre, DistanceUnit::Foot];

    /// The unit in which the same distance is said as well, for those who are used to the other system.
    pub fn other_system(self) -> DistanceUnit {
        match self {
            DistanceUnit::Metre => DistanceUnit::Foot,
            DistanceUnit::Foot => DistanceUnit::Metre,
        }
    }

    /// The unit of a word in a file or an address.
    pub fn of_word(word: &str) -> Option<DistanceUnit> {
        DistanceUnit::ALL.into_iter().find(|unit| unit.word() == word)
    }

    /// What several of them are called.
    pub fn plural(self) -> &'static str {
        match self {
            DistanceUnit::Metre => "metres",
            DistanceUnit::Foot => "feet",
        }
    }

    /// The unit of the scale on which a distance would stand as it is written: `5 ft 8 in` on one in feet, `170 cm` on one in
    /// metres; `None` where the text has no unit or is none.
    ///
    /// ```
    /// use ringwright::units::DistanceUnit;
    ///
    /// assert_eq!(DistanceUnit::written("5 ft 8 in"), Some(DistanceUnit::Foot));
    /// assert_eq!(DistanceUnit::written("170 cm"), Some(DistanceUnit::Metre));
    /// assert_eq!(DistanceUnit::written("5"), None);
    /// ```
    pub fn written(text: &str) -> Option<DistanceUnit> {
        let imperial = super::parse::parse_terms(text).ok()?.is_imperial()?;
        Some(if imperial { DistanceUnit::Foot } else { DistanceUnit::Metre })
    }

    /// The word for it in files, and its sign on a strip.
    pub fn word(self) -> &'static str {
        match self {
            DistanceUnit::Metre => "m",
            DistanceUnit::Foot => "ft",
        }
    }
}
