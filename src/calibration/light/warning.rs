//! What a user should know about exposures.

use std::fmt;

use crate::units::{Angle, Stop};

/// Something a user should know about exposures.
#[derive(Clone, Debug, PartialEq)]
pub enum LightWarning {
    /// There are too few readings to tell one mechanism from another.
    TooFewToTell,
    /// No mechanism fits; the curve was taken.
    CurveTaken,
    /// The asked law misses the evidence by more than its errors.
    Scatter {
        /// How many times as much.
        factor: f64,
    },
    /// One exposure does not belong to the others.
    Outlier {
        /// Its number in the list, from 1.
        number: usize,
        /// Where the ring stood.
        at: Angle,
        /// Observed minus expected, stops.
        off: f64,
    },
    /// Wide open the lens transmits less light than the readings imply.
    Short {
        /// By so many stops.
        stops: f64,
        /// Its standard error.
        sigma: f64,
        /// The stated widest stop.
        widest: Stop,
        /// Whether marks stand where the light was measured.
        placed: bool,
    },
    /// Wide open the lens transmits more light than the readings allow.
    Bright {
        /// By so many stops.
        stops: f64,
        /// Its standard error.
        sigma: f64,
        /// The stated widest stop.
        widest: Stop,
    },
    /// More light comes out than goes in.
    AboveOne {
        /// Stops gained.
        stops: f64,
        /// Its standard error.
        sigma: f64,
    },
    /// Neighbours ran backwards by their errors.
    Levelled {
        /// How many were joined to a neighbour.
        count: usize,
    },
}

impl fmt::Display for LightWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LightWarning::TooFewToTell => f.write_str(
                "readings and exposures are too few to tell how the iris closes; law \"even\" was taken, one more exposure near the middle would tell",
            ),
            LightWarning::CurveTaken => f.write_str(
                "no mechanism fits the readings and exposures together; a curve through them was taken, without marks beyond them",
            ),
            LightWarning::Scatter { factor } => write!(
                f,
                "readings and exposures scatter {factor:.1} times as much about the iris law as their errors; the marks' errors were widened to match, law = \"curve\" may fit"
            ),
            LightWarning::Outlier { number, at, off } => write!(
                f,
                "exposure {number}, at {:.1}°, is {:.1} stop {} than the others make it; it was left out, expose it again",
                at.to_deg(),
                off.abs(),
                if *off < 0.0 { "darker" } else { "brighter" }
            ),
            LightWarning::Short { stops, sigma, widest, placed } => {
                write!(
                    f,
                    "wide open the lens passes {stops:.1} ± {sigma:.1} stop less light than {widest} promises (the barrel or the shell cuts in, or the pupil is smaller than engraved)"
                )?;
                if *placed { f.write_str("; the first marks were placed by the light") } else { Ok(()) }
            }
            LightWarning::Bright { stops, sigma, widest } => write!(
                f,
                "wide open the lens passes {stops:.1} ± {sigma:.1} stop more light than {widest} allows; that exposure was left out, expose it again and check the readings"
            ),
            LightWarning::AboveOne { stops, sigma } => write!(
                f,
                "the lens would pass {stops:.1} ± {sigma:.1} stop more light than falls on it; the reference or the readings are wrong"
            ),
            LightWarning::Levelled { count } => write!(
                f,
                "neighbouring exposures run backwards by their errors ({count} joined to a neighbour); they were levelled to their mean"
            ),
        }
    }
}
