//! What `compare --format json` writes: metric and imperial marks beside each other.

use schemars::JsonSchema;
use serde::Serialize;

use super::values::{Millimetres, Number, Version};
use crate::scale::BandUnit;

/// Metric and imperial marks beside each other.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Compare {
    /// The version of this document.
    pub version: Version<1>,
    /// The set's name.
    pub set: String,
    /// Its lenses with a focus ring, or those that were asked for.
    pub lenses: Vec<LensCompared>,
}

/// The marks of a lens in both units.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LensCompared {
    /// The lens's name.
    pub name: String,
    /// The numbered marks of both bands, in ring order from infinity to close.
    pub marks: Vec<ComparedMark>,
    /// How dense each band is.
    pub bands: Vec<Density>,
}

/// A numbered mark of either unit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ComparedMark {
    /// The unit of its label.
    pub unit: BandUnit,
    /// What its numeral says.
    pub label: String,
    /// The distance that it stands for, mm from the image plane; null is infinity.
    pub distance_mm: Millimetres,
    /// Where it stands on the ring, degrees as they were read there.
    pub angle_deg: Number<6>,
    /// From infinity to the mark along the flat strip, mm.
    pub arc_mm: Number<6>,
    /// The same distance in the other unit, exactly: "2 ft 3.6 in"; null at infinity.
    pub exact: Option<String>,
    /// The same as an assistant would call it: "2 ft 3½ in"; null at infinity.
    pub spoken: Option<String>,
    /// The label of the other unit's mark at the same place, with its unit; null where there is none.
    pub coincides: Option<String>,
}

/// How dense a band is.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Density {
    /// The unit of its labels.
    pub unit: BandUnit,
    /// How many numerals it has, a count.
    pub numerals: usize,
    /// How many ticks it has in all, a count.
    pub ticks: usize,
    /// The mean room to a numeral along the flat strip, mm.
    pub mean_room_mm: Number<4>,
}
