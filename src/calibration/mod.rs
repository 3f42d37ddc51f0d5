//! From readings to a law: what was measured, what is known beforehand, and how far each can be trusted.

mod chi_square;
mod curve;
#[cfg(test)]
mod decisions;
mod doubt;
mod focus;
mod iris;
mod least_squares;
mod light;
#[cfg(test)]
mod traced;
mod travel;

pub use doubt::{CalibrationError, Doubt};
pub use focus::{FocusCalibration, Residual};
pub use iris::{IrisCalibration, IrisDoubt, IrisError};
pub use light::{
    Exposure, ExposureUse, Exposures, LightCalibration, LightDoubt, LightEvidence, ReferenceExposure, TLaw,
    Transmittance, WideOpen,
};

use crate::units::{Angle, Distance, Length, Stop};

/// One measured pair: a taped distance and the ring's position at it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// From the image plane to the subject.
    pub distance: Distance,
    /// What was read on the ring, any zero, growing toward close focus.
    pub at: Angle,
}

/// Standard errors of one reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadingError {
    /// The constant part of the distance's error.
    pub distance: Length,
    /// The part that grows with the distance, as a share of it.
    pub share: f64,
    /// The error of the ring's position.
    pub at: Angle,
}

impl ReadingError {
    /// Standard error of a taped distance of this length.
    pub fn tape_error(&self, distance: Length) -> Length {
        self.distance + distance * self.share
    }
}

/// What moves when the focus ring is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moves {
    /// The whole lens.
    Whole,
    /// The front group alone.
    Front,
    /// An inner or rear group; the front stays.
    Inside,
}

/// Which focus law the set file asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LawChoice {
    /// The travel law unless the readings refute it.
    Auto,
    /// The travel law.
    Travel,
    /// The monotone curve through the readings.
    Curve,
}

/// What is known of a lens before any reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The name ring's focal length.
    pub focal_length: Length,
    /// Signed gap of the principal planes, rear minus front.
    pub principal_gap: Option<Length>,
    /// Travel of the moving part per full turn of the ring.
    pub lead: Option<Length>,
    /// What moves.
    pub moves: Moves,
    /// The closest distance.
    pub closest: Option<Length>,
    /// Turn of the ring from stop to stop.
    pub throw: Option<Angle>,
}

/// One measured pair of an iris ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopReading {
    /// The engraved or measured stop.
    pub stop: Stop,
    /// What was read on the ring, any zero, growing toward closed.
    pub at: Angle,
}

/// Which iris law the set file asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IrisChoice {
    /// The simplest law that the readings allow.
    Auto,
    /// Equal turn per stop.
    Even,
    /// Pupil diameter linear in the turn.
    Diameter,
    /// Pivoted arc blades.
    Blades,
    /// Monotone through the readings.
    Curve,
}
