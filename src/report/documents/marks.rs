//! What `marks --format json` writes: every mark with its place and its error.

use schemars::JsonSchema;
use serde::Serialize;

use super::law::{FocusLaw, FocusResidual, IrisLaw};
use super::values::{Millimetres, Number, Version};
use crate::scale::BandUnit;

/// Every mark of a set: value, place on the ring, error.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Marks {
    /// The version of this document.
    pub version: Version<1>,
    /// The set's name.
    pub set: String,
    /// Its lenses, or those that were asked for.
    pub lenses: Vec<LensMarks>,
}

/// The marks of a lens.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LensMarks {
    /// The lens's name.
    pub name: String,
    /// Its focus ring; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FocusMarks")]
    pub focus: Option<FocusMarks>,
    /// Its iris ring; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "IrisMarks")]
    pub iris: Option<IrisMarks>,
}

/// The marks of a focus ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FocusMarks {
    /// The law that places them.
    pub law: FocusLaw,
    /// The readings beside the law.
    pub residuals: Vec<FocusResidual>,
    /// One band of marks a unit.
    pub bands: Vec<FocusBand>,
    /// Pairs of marks of depth of field beside the index.
    pub depth_marks: Vec<DepthPair>,
}

/// The marks of a focus ring in one unit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FocusBand {
    /// The unit of the labels.
    pub unit: BandUnit,
    /// The marks, from infinity to close.
    pub marks: Vec<FocusMark>,
}

/// A mark of a focus ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FocusMark {
    /// What its numeral says; empty for a tick alone.
    pub label: String,
    /// Whether it has a numeral, and is not a tick alone.
    pub numbered: bool,
    /// The distance that it stands for, mm from the image plane; null is infinity.
    pub distance_mm: Millimetres,
    /// Where it stands on the ring, degrees as they were read there.
    pub angle_deg: Number<6>,
    /// From infinity to the mark along the flat strip, mm.
    pub arc_mm: Number<6>,
    /// Its standard error on the ring, degrees; null where it is not known.
    pub sigma_deg: Option<Number<6>>,
    /// The same along the strip, mm.
    pub sigma_mm: Option<Number<6>>,
    /// The same as a distance to the subject, mm; null where it is not known, and at infinity.
    pub sigma_distance_mm: Option<Number<4>>,
    /// What the error is made of; null where it is not known.
    pub parts_deg: Option<Parts>,
    /// Whether its tick is drawn shorter, as a sign that it is not to be trusted.
    pub short: bool,
    /// The f-number from which on a subject at this distance is sharp in spite of the error; null where it is not known.
    pub sharp_from_stop: Option<Number<6>>,
    /// The near limit of depth of field wide open, mm; null where no widest stop is stated.
    pub near_mm: Option<Millimetres>,
    /// The far limit of depth of field wide open, mm; null is infinity, or that no widest stop is stated.
    pub far_mm: Option<Millimetres>,
    /// The f-number whose hyperfocal distance this is; left out at other marks.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Number<6>")]
    pub hyperfocal_stop: Option<Number<6>>,
}

/// The parts of a mark's standard error, which add up as squares.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Parts {
    /// From the readings, degrees.
    pub readings: Number<6>,
    /// From the ring's play, degrees.
    pub play: Number<6>,
    /// From the ring's diameter, degrees.
    pub diameter: Number<6>,
    /// From a shell that sits off centre, degrees.
    pub off_centre: Number<6>,
    /// From the thickness of what goes round the ring, degrees.
    pub thickness: Number<6>,
    /// From the printer or the cutter, degrees.
    pub process: Number<6>,
}

/// A pair of marks of depth of field beside the index.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DepthPair {
    /// The f-number.
    pub stop: Number<6>,
    /// What its numeral says.
    pub label: String,
    /// From the index to the mark of the near limit, degrees.
    pub near_deg: Number<6>,
    /// From the index to the mark of the far limit, degrees.
    pub far_deg: Number<6>,
    /// From the index to the mark of the near limit along the flat strip, mm.
    pub near_mm: Number<6>,
    /// From the index to the mark of the far limit along the flat strip, mm.
    pub far_mm: Number<6>,
    /// By which share the true depth is greater than marked, at the most: 0.1 is a tenth.
    pub most_cautious: Number<6>,
}

/// The marks of an iris ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IrisMarks {
    /// The law that places them.
    pub law: IrisLaw,
    /// The one band of an iris ring.
    pub bands: Vec<IrisBand>,
}

/// The marks of an iris ring in f-stops or T-stops.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IrisBand {
    /// What the labels are.
    pub unit: BandUnit,
    /// The marks, from open to closed.
    pub marks: Vec<IrisMark>,
}

/// A mark of an iris ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IrisMark {
    /// What its numeral says; empty for a tick alone.
    pub label: String,
    /// Whether it has a numeral, and is not a tick alone.
    pub numbered: bool,
    /// The exact stop that it stands for, a pure number: 5.656854 for 5.6.
    pub stop: Option<Number<6>>,
    /// Where it stands on the ring, degrees as they were read there.
    pub angle_deg: Number<6>,
    /// From the widest stop to the mark along the flat strip, mm.
    pub arc_mm: Number<6>,
    /// Its standard error on the ring, degrees; null where it is not known.
    pub sigma_deg: Option<Number<6>>,
    /// The same along the strip, mm.
    pub sigma_mm: Option<Number<6>>,
    /// The same as light, stops; null where it is not known.
    pub sigma_stops: Option<Number<6>>,
}
