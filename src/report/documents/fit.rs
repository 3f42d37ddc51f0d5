//! What `fit --format json` writes: how well the laws fit the readings.

use schemars::JsonSchema;
use serde::Serialize;

use super::law::{FocusLaw, FocusResidual, IrisLaw, Mechanism};
use super::values::{Number, Version};
use crate::calibration::ExposureUse;

/// How well the laws fit the readings of a set.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// The version of this document.
    pub version: Version<1>,
    /// The set's name.
    pub set: String,
    /// Its lenses, or those that were asked for.
    pub lenses: Vec<LensFit>,
}

/// How well the laws of a lens fit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LensFit {
    /// The lens's name.
    pub name: String,
    /// Its focus ring; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "FocusFit")]
    pub focus: Option<FocusFit>,
    /// Its iris ring; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "IrisFit")]
    pub iris: Option<IrisFit>,
}

/// How well the law of a focus ring fits.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FocusFit {
    /// The law of the ring.
    pub law: FocusLaw,
    /// Standard errors of the travel law's constants; null with a curve.
    pub standard_errors: Option<TravelErrors>,
    /// Chi-square of the fit, a pure number.
    pub chi_square: Number<6>,
    /// Its degrees of freedom, a count.
    pub degrees_of_freedom: usize,
    /// The number of a reading that was set aside as an outlier, from 1; null where all belong.
    pub odd_reading: Option<usize>,
    /// The readings beside the law.
    pub residuals: Vec<FocusResidual>,
    /// How far the scale can be trusted.
    pub trust: Trust,
    /// Warnings, a sentence each.
    pub doubts: Vec<String>,
}

/// Standard errors of the travel law's constants.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TravelErrors {
    /// Of the place of infinity, degrees.
    pub infinity_deg: Number<6>,
    /// Of the constant A, mm times degrees.
    pub a_mm_deg: Number<4>,
    /// Of the constant C, mm.
    pub c_mm: Number<6>,
    /// Of the constant K, mm to a degree.
    pub k_mm_per_deg: Number<9>,
}

/// How far a focus scale can be trusted.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Trust {
    /// In words, a sentence each.
    pub in_words: Vec<String>,
    /// The ring's play; null where it was not measured.
    pub play: Option<Play>,
    /// How far infinity lies from the ring's stop; null where no stop was read.
    pub seating: Option<Seating>,
}

/// The play of a ring, from readings taken from both sides.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Play {
    /// The play, degrees.
    pub play_deg: Number<6>,
    /// Its standard error, degrees.
    pub sigma_deg: Number<6>,
}

/// How far infinity lies from the ring's stop.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Seating {
    /// From the stop to infinity on the ring, degrees: above zero where infinity comes before the stop is reached.
    pub off_deg: Number<6>,
    /// Its standard error, degrees.
    pub sigma_deg: Number<6>,
    /// The shim under the lens that would bring infinity to the stop, mm; below zero, what is to be taken off.
    pub shim_mm: Number<4>,
}

/// How well the law of an iris ring fits.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IrisFit {
    /// The law of the ring.
    pub law: IrisLaw,
    /// The readings beside the law.
    pub residuals: Vec<IrisResidual>,
    /// Warnings, a sentence each.
    pub doubts: Vec<String>,
    /// What exposures say; left out where none were taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Light")]
    pub light: Option<Light>,
    /// How the ring turns along with the focus ring; null where it stays.
    pub riding: Option<Riding>,
}

/// An iris reading beside the law.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IrisResidual {
    /// The exact f-number that was set, a pure number: 5.656854 for 5.6.
    pub stop: Number<6>,
    /// The turn of the ring that was read, degrees.
    pub at_deg: Number<6>,
    /// The turn that was read minus what the law says, degrees.
    pub error_deg: Number<6>,
    /// The same along the strip, mm.
    pub error_mm: Number<6>,
    /// The standard error that was expected of this reading, degrees; in the table alone.
    #[serde(skip)]
    pub expected_deg: Number<6>,
}

/// What exposures say of an iris ring.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Light {
    /// The exposures beside the law.
    pub exposures: Vec<ExposureResidual>,
    /// The share of light that comes through; null where it was not measured.
    pub transmittance: Option<Transmittance>,
    /// The mechanism that carries the law of T-stops, or "curve"; null where there is none.
    pub mechanism: Option<Mechanism>,
    /// The T-stop wide open; null where it is not known.
    pub widest_t_stop: Option<Number<6>>,
    /// How the light wide open compares with what the stopped-down exposures promise; null where that is not known.
    pub wide_open: Option<WideOpen>,
}

/// An exposure beside the law.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExposureResidual {
    /// The turn of the ring that was read, degrees.
    pub at_deg: Number<6>,
    /// The brightness that was read, stops.
    pub stops: Number<6>,
    /// The brightness that was read minus what the law says, stops; null where it does not count.
    pub error_stops: Option<Number<6>>,
    /// What became of it.
    #[serde(rename = "use")]
    pub used: ExposureUse,
    /// Its error on the ring, degrees; in the table alone.
    #[serde(skip)]
    pub error_deg: Option<Number<6>>,
    /// The same along the strip, mm; in the table alone.
    #[serde(skip)]
    pub error_mm: Option<Number<6>>,
}

/// The share of light that comes through.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Transmittance {
    /// The share: 1 is all of it.
    pub value: Number<6>,
    /// Its standard error, a share.
    pub sigma: Number<6>,
    /// The share as stops, below zero where light is lost.
    pub stops: Number<6>,
    /// Their standard error, stops.
    pub sigma_stops: Number<6>,
}

/// The light wide open, beside what the stopped-down exposures promise.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WideOpen {
    /// By how much it is darker, stops; below zero, brighter.
    pub short_stops: Number<6>,
    /// The standard error, stops.
    pub sigma_stops: Number<6>,
}

/// What an iris ring that rides on the focusing group asks of a motor.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Riding {
    /// Its own turn from the widest stop to the last, degrees.
    pub own_turn_deg: Number<6>,
    /// Its turn along with the focus ring, degrees.
    pub focus_turn_deg: Number<6>,
    /// Both together, degrees.
    pub sweep_deg: Number<6>,
    /// How far a motor fixed to the rods can turn it, degrees.
    pub motor_sweep_deg: Number<6>,
    /// Whether such a motor reaches all of it.
    pub motor_reaches: bool,
    /// By how many stops the aperture drifts from infinity to close where a motor only holds the ring; null where it is not
    /// known.
    pub drift_stops: Option<Number<4>>,
    /// Where its index stands on the focus ring, degrees as they were read there; null where it has no room.
    pub index_at_deg: Option<Number<6>>,
}
