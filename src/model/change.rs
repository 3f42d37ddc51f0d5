//! A change of a set that a check proposes.

use super::Typeface;
use crate::units::Length;

/// A change of a set's words; what is `None` stays as it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// Height of the digits.
    pub numeral_height: Option<Length>,
    /// Width of every tick.
    pub tick_width: Option<Length>,
    /// Smallest distance between the centres of neighbouring ticks.
    pub smallest_gap: Option<Length>,
    /// Smallest clear distance between neighbouring labels.
    pub label_gap: Option<Length>,
    /// The face of the numerals.
    pub typeface: Option<Typeface>,
    /// Whether every lens keeps its first unit only.
    pub one_unit: bool,
    /// Width of the bridges in cut numerals.
    pub bridge: Option<Length>,
}
