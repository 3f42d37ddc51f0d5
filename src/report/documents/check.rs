//! What `check --format json` writes: what a process cannot make.

use schemars::JsonSchema;
use serde::Serialize;

use super::values::{Number, Version};
use crate::model::Piece;
use crate::process::{FindingKind, ProcessKind};

/// What a process cannot make of a set.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// The version of this document.
    pub version: Version<1>,
    /// The set's name.
    pub set: String,
    /// How it is made.
    pub process: ProcessKind,
    /// The smallest shapes that can be made.
    pub limits: Limits,
    /// Whether everything can be made.
    pub passes: bool,
    /// Its lenses, or those that were asked for.
    pub lenses: Vec<LensChecked>,
    /// Why what fits its rings does not fit its sheets; null where it does.
    pub sheets: Option<String>,
    /// The smallest change that was tried and passes, as lines of the set file; empty where none was found, null where none is
    /// needed.
    pub changes_that_pass: Option<Vec<String>>,
    /// The width of a ring's face that would be needed, mm; null where that is not known or not needed.
    pub face_needed_mm: Option<Number<4>>,
}

/// The smallest shapes that can be made; zero where the process has no such limit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// Width of a stroke, mm.
    pub stroke_mm: Number<4>,
    /// Clear width between two shapes, or of an opening in one, mm.
    pub gap_mm: Number<4>,
    /// Both sides of a piece that stands alone, mm.
    pub dot_mm: Number<4>,
    /// Both sides of a hole that ink surrounds, mm.
    pub counter_mm: Number<4>,
}

/// What was checked of a lens.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LensChecked {
    /// The lens's name.
    pub name: String,
    /// Its strips, disc and index plates.
    pub pieces: Vec<PieceChecked>,
}

/// A piece that was checked.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceChecked {
    /// Which one: the ending of its file's name.
    pub piece: Piece,
    /// Why its scale does not fit what is to carry it; null where it does.
    pub unfit: Option<String>,
    /// Places that cannot be made.
    pub findings: Vec<Finding>,
    /// The cutting job; null where nothing is cut.
    pub cut: Option<Cut>,
}

/// A place that cannot be made.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// What is wrong.
    pub kind: FindingKind,
    /// What was measured there, mm.
    pub measured_mm: Number<4>,
    /// The least that can be made, mm.
    pub limit_mm: Number<4>,
    /// The mark or the marks that it is about.
    pub marks: Vec<MarkNamed>,
    /// From the left edge of the drawing, mm.
    pub x_mm: Number<4>,
    /// From its top edge, mm.
    pub y_mm: Number<4>,
}

/// A mark that a finding is about.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkNamed {
    /// What it says: "0.9 m", "tick at 1.25 m", "unit sign".
    pub mark: String,
    /// Its ring angle, degrees; null where it has none.
    pub angle_deg: Option<Number<4>>,
}

/// A cutting job.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cut {
    /// Pieces that are kept, a count.
    pub pieces: usize,
    /// Pieces of waste, the holes and the ground round the whole, a count.
    pub pieces_to_weed: usize,
    /// Small waste that kept pieces surround, a count.
    pub holes_to_pick_out: usize,
    /// Length of the cut, mm.
    pub cut_mm: Number<4>,
    /// Way of the lifted knife from the drawing's upper left corner, mm.
    pub travel_mm: Number<4>,
    /// Places where the knife swivels, a count.
    pub corners: usize,
    /// The smallest feature, mm; null where there is none.
    pub smallest_mm: Option<Number<4>>,
    /// About how long it takes, minutes.
    pub minutes: Number<4>,
}
