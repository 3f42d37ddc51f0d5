//! How the numbers of a distance scale are written.

/// How feet and inches are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Feet {
    /// With primes: 2′6″.
    #[default]
    Primes,
    /// With a dash: 2-6.
    Dash,
    /// As decimal feet: 2.5. The scale is divided in tenths of a foot then.
    Decimal,
    /// With words: 2 ft 6 in.
    Words,
}

/// How parts of an inch are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Inches {
    /// As fractions: 9½″.
    #[default]
    Fractions,
    /// As decimals: 9.5″.
    Decimal,
}

/// Where the sign of the unit stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum UnitSign {
    /// Once, outside infinity (the widest stop).
    #[default]
    Start,
    /// Once, behind infinity.
    Infinity,
    /// Behind every number that does not tell its unit by itself.
    Each,
    /// Nowhere.
    Nowhere,
}

/// How the numbers of a distance scale are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Figures {
    /// Feet and inches.
    pub feet: Feet,
    /// Parts of an inch.
    pub inches: Inches,
    /// Where the unit stands.
    pub sign: UnitSign,
}

impl Figures {
    /// A number with the sign of its unit, where every number bears it.
    pub(super) fn signed(self, number: String, sign: &str) -> String {
        match self.sign {
            UnitSign::Each => format!("{number} {sign}"),
            UnitSign::Start | UnitSign::Infinity | UnitSign::Nowhere => number,
        }
    }

    /// What stands at infinity.
    pub(super) fn infinity(self, sign: &str) -> String {
        match self.sign {
            UnitSign::Infinity => format!("∞ {sign}"),
            UnitSign::Start | UnitSign::Each | UnitSign::Nowhere => "∞".to_string(),
        }
    }
}
