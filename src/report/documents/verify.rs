//! What `verify --format json` writes: a finished scale judged by its checks on the camera.

use schemars::JsonSchema;
use serde::Serialize;

use super::values::{Millimetres, Number, Version};
use crate::calibration::{Standing, Verdict};

/// Finished scales, judged by their checks on the camera.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Verify {
    /// The version of this document.
    pub version: Version<1>,
    /// The set's name.
    pub set: String,
    /// Its lenses with checks, or those that were asked for.
    pub lenses: Vec<LensVerified>,
}

/// A lens whose finished scale was checked.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LensVerified {
    /// The lens's name.
    pub name: String,
    /// What is to be done.
    pub verdict: Verdict,
    /// The same in a sentence.
    pub sentence: String,
    /// What else to know, a sentence each.
    pub doubts: Vec<String>,
    /// By how much the scale reads too near in common, mm along the strip; null where no check could be read.
    pub too_near_mm: Option<Number<6>>,
    /// Its standard error, mm along the strip.
    pub too_near_error_mm: Option<Number<6>>,
    /// Chi-square of the checks after the common shift, a pure number.
    pub chi_square: Option<Number<6>>,
    /// Its degrees of freedom, a count.
    pub degrees_of_freedom: Option<usize>,
    /// The largest miss of a check, mm along the strip; null where no law was made with the checks.
    pub worst_mm: Option<Number<6>>,
    /// The same on a scale that is drawn with the checks among the readings, mm along the strip.
    pub worst_with_checks_mm: Option<Number<6>>,
    /// Where a further check would tell most, mm from the image plane; null is infinity, or nowhere.
    pub next_check_mm: Option<Number<1>>,
    /// Numbers of the checks that lie where the scale has no marks, from 1.
    pub not_read: Vec<usize>,
    /// The checks that could be read.
    pub checks: Vec<Check>,
}

/// A check of a finished scale.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Its number in the set file, from 1.
    pub check: usize,
    /// The distance that was taped, mm; null is infinity.
    pub distance_mm: Millimetres,
    /// The subject's distance from the image plane, mm; null is infinity.
    pub subject_mm: Millimetres,
    /// What the scale read, mm; null is infinity.
    pub reads_mm: Millimetres,
    /// By how much the scale reads too near, degrees of the ring.
    pub too_near_deg: Number<6>,
    /// The same along the strip, mm.
    pub too_near_mm: Number<6>,
    /// What the scale reads minus where the subject is, mm; null where either is infinite.
    pub error_distance_mm: Option<Number<4>>,
    /// The standard error of the check itself, mm along the strip.
    pub own_error_mm: Number<6>,
    /// The standard error of the law there, mm along the strip.
    pub law_error_mm: Number<6>,
    /// The f-number from which on the subject is sharp in spite of the miss; null where it is not known.
    pub sharp_from: Option<Number<4>>,
    /// How it stands.
    pub standing: Standing,
}
