//! What `plan --format json` writes: which readings to take, and how true the marks will be.

use schemars::JsonSchema;
use serde::Serialize;

use super::values::{Millimetres, Number, Version};

/// Which readings to take, and how true the marks will be.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// The version of this document.
    pub version: Version<1>,
    /// The set's name.
    pub set: String,
    /// Its lenses with a focus ring, or those that were asked for.
    pub lenses: Vec<LensPlan>,
}

/// The plan of a lens.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LensPlan {
    /// The lens's name.
    pub name: String,
    /// What to read of its focus ring.
    pub focus: FocusPlan,
}

/// What to read of a focus ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FocusPlan {
    /// How many readings there are already, a count.
    pub readings: usize,
    /// The farthest distance that can be taped, mm.
    pub room_mm: Number<4>,
    /// From where on a target is as good as infinity, mm; null where no far target can be had.
    pub infinity_from_mm: Option<Millimetres>,
    /// What to set up.
    pub set_ups: Vec<SetUp>,
    /// The mark that will be least true once all of that is read.
    pub worst_mark: WorstMark,
    /// How true each mark will be then, from near to far.
    pub marks: Vec<MarkPlanned>,
    /// What other numbers of set-ups would leave.
    pub numbers: Vec<NumberOfSetUps>,
    /// What one more reading would bring; null where nothing is read yet.
    pub next: Option<Next>,
}

/// A distance to set up and to read.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetUp {
    /// The distance to tape, mm; null is infinity.
    pub distance_mm: Millimetres,
    /// The subject's distance from the image plane, mm; null is infinity.
    pub from_image_plane_mm: Millimetres,
    /// About where the ring will stand, degrees as read on the ring; null where that is not known.
    pub at_deg: Option<Number<4>>,
    /// How often to read it, a count.
    pub repeats: usize,
}

/// The least true mark.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WorstMark {
    /// Its distance, mm from the image plane; null is infinity.
    pub distance_mm: Millimetres,
    /// Its standard error by the readings alone, degrees.
    pub sigma_deg: Number<6>,
    /// The same along the strip, mm.
    pub sigma_mm: Number<6>,
}

/// How true a mark will be.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkPlanned {
    /// Its distance, mm from the image plane; null is infinity.
    pub distance_mm: Millimetres,
    /// Its standard error from all causes, degrees; null where it is not known.
    pub sigma_deg: Option<Number<6>>,
    /// The f-number from which on a subject at this distance is sharp in spite of the error; null where it is not known.
    pub sharp_from_stop: Option<Number<6>>,
}

/// What a number of set-ups leaves.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NumberOfSetUps {
    /// How many, a count.
    pub set_ups: usize,
    /// The standard error of the least true mark, degrees.
    pub sigma_deg: Number<6>,
}

/// What one more reading would bring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Next {
    /// The least true mark as it is now.
    pub worst_mark_now: WorstMark,
    /// The set-ups that bring most, the best first.
    pub best: Vec<Gain>,
    /// The reading that is best taken once more; null where none is.
    pub repeat: Option<Gain>,
    /// Set-ups that lie beyond the ends of the curve: these first.
    pub unread: Vec<SetUp>,
    /// Whether no further reading is worth its while.
    pub enough: bool,
}

/// What one set-up brings.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Gain {
    /// The set-up.
    pub set_up: SetUp,
    /// The least true mark thereafter.
    pub worst_mark: WorstMark,
}
