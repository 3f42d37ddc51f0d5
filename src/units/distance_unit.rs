//! The units that a focus scale can be marked in.

use super::Distance;

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

/// Eighths of an inch as they are written.
const EIGHTHS: [&str; 8] = ["", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞"];

/// A distance so near to a whole eighth of an inch, in eighths, was meant to be one: 3 µm.
const SAME_EIGHTH: f64 = 1e-3;

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

    /// A distance in words of this unit: `0.45 m`, to a millimetre; `4 ft 6½ in`, to a tenth of an inch where it is no whole
    /// eighth; `infinity`.
    pub fn say(self, distance: Distance) -> String {
        match (self, distance.to_mm()) {
            (DistanceUnit::Foot, Some(mm)) => {
                let eighths = mm / 25.4 * 8.0;
                let (parts, whole) =
                    if (eighths - eighths.round()).abs() < SAME_EIGHTH { (8, eighths) } else { (10, mm / 2.54) };
                let whole = whole.round() as i64;
                let (feet, inches, part) = (whole / (12 * parts), whole % (12 * parts) / parts, whole % parts);
                let part = if parts == 8 { EIGHTHS[part as usize].to_string() } else { format!(".{part}") };
                let inches = match (inches, part.as_str()) {
                    (0, "") if feet > 0 => None,
                    (0, ".0") if feet > 0 => None,
                    (_, ".0") => Some(format!("{inches} in")),
                    (0, _) if parts == 8 && !part.is_empty() => Some(format!("{part} in")),
                    _ => Some(format!("{inches}{part} in")),
                };
                let feet = (feet > 0).then(|| format!("{feet} ft"));
                [feet, inches].into_iter().flatten().collect::<Vec<_>>().join(" ")
            }
            (DistanceUnit::Metre, _) | (DistanceUnit::Foot, None) => distance.to_string(),
        }
    }

    /// The word for it in files, and its sign on a strip.
    pub fn word(self) -> &'static str {
        match self {
            DistanceUnit::Metre => "m",
            DistanceUnit::Foot => "ft",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_distance_is_said_in_the_unit_of_its_lens() {
        // 1 ft = 304.8 mm and 1 in = 25.4 mm exactly
        let feet = |mm: f64| DistanceUnit::Foot.say(Distance::mm(mm));
        assert_eq!([3048.0, 1371.6, 254.0, 600.0].map(feet), ["10 ft", "4 ft 6 in", "10 in", "1 ft 11.6 in"]);
        assert_eq!(
            [17.25, 0.5, 12.125, 23.99].map(|inches| feet(25.4 * inches)),
            ["1 ft 5¼ in", "½ in", "1 ft ⅛ in", "2 ft"]
        );
        assert_eq!(DistanceUnit::Metre.say(Distance::mm(450.0)), "0.45 m");
        assert_eq!(DistanceUnit::ALL.map(|unit| unit.say(Distance::Infinity)), ["infinity", "infinity"]);
    }
}
