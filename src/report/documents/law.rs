//! What the documents of `fit` and `marks` share: the law of a ring, and how far each reading lies off it.

use schemars::JsonSchema;
use serde::Serialize;

use super::values::{Millimetres, Number};

/// The law of a focus ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "lowercase", deny_unknown_fields)]
pub enum FocusLaw {
    /// The lens travels in proportion to the ring: with t the turn from infinity in degrees, a subject at A/t + C + K t mm
    /// from the image plane is sharp.
    Travel {
        /// Where infinity lies, degrees as read on the ring.
        infinity_deg: Number<6>,
        /// The constant A, mm times degrees.
        a_mm_deg: Number<6>,
        /// The constant C, mm.
        c_mm: Number<6>,
        /// The constant K, mm to a degree.
        k_mm_per_deg: Number<9>,
        /// Whether the constants describe the readings only, and not the name ring and the lead.
        effective: bool,
    },
    /// A smooth curve through the readings, over 1 / (distance - offset).
    Curve {
        /// The offset, mm from the image plane.
        offset_mm: Number<6>,
        /// Whether the constants describe the readings only, and not the name ring and the lead.
        effective: bool,
    },
}

/// A focus reading beside the law.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FocusResidual {
    /// Its number in the set file, from 1; in the table alone.
    #[serde(skip)]
    pub reading: usize,
    /// The distance that was taped, mm from where the tape was held; null is infinity.
    pub distance_mm: Millimetres,
    /// The turn of the ring that was read, degrees.
    pub at_deg: Number<6>,
    /// The turn that was read minus what the law says, degrees.
    pub error_deg: Number<6>,
    /// The same along the strip, mm.
    pub error_mm: Number<6>,
    /// The same as a distance to the subject, mm; null where there is none, as at infinity.
    pub error_distance_mm: Option<Number<4>>,
    /// The standard error that was expected of this reading, degrees.
    pub expected_deg: Number<6>,
}

/// The law of an iris ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IrisLaw {
    /// The mechanism that the law is of, or "curve" for a smooth curve through the readings.
    pub kind: Mechanism,
}

/// What carries an iris ring's law.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(transparent)]
pub struct Mechanism(#[schemars(extend("enum" = ["even", "diameter", "blades", "curve"]))] pub &'static str);
