//! From readings to a law: what was measured, what is known beforehand, and how far each can be trusted.
//!
//! ```
//! use ringwright::calibration::{FocusCalibration, Known, LawChoice, Reading, ReadingError};
//! use ringwright::units::{Angle, Distance, Length};
//!
//! let error = ReadingError::TAPED;
//! let readings = [("inf", 0.0), ("3 m", 28.5), ("1 m", 96.0), ("2 ft", 181.0)]
//!     .map(|(distance, at)| Reading::taped(distance.parse().unwrap(), Angle::deg(at), error));
//! let known = Known::of(Length::mm(58.0));
//! let fit = FocusCalibration::new(&known, LawChoice::Auto, &readings, &error).unwrap();
//! let turn = fit.law.angle(Distance::mm(2000.0)).unwrap();
//! assert!((turn.to_deg() - 44.0).abs() < 2.0);
//! ```

mod chi_square;
mod curve;
#[cfg(test)]
mod decisions_tests;
mod design;
mod focus;
mod infinity_offset;
mod iris;
mod least_squares;
mod light;
#[cfg(test)]
mod messy_tests;
mod model;
mod plan;
#[cfg(test)]
mod plan_tests;
mod prior;
mod repeats;
mod set_ups;
#[cfg(test)]
mod traced_tests;
mod travel;
mod unknowns;
mod verdict;
mod warning;

pub use focus::{FocusCalibration, Measured, Residual};
pub use infinity_offset::InfinityOffset;
pub use iris::{IrisCalibration, IrisError, IrisWarning};
pub use light::{
    Exposure, ExposureUse, Exposures, LightCalibration, LightEvidence, LightWarning, ReferenceExposure, TLaw,
    Transmittance, WideOpen,
};
pub use plan::{Gain, Next, Plan, PlanError, Planner, SetUp, Worst};
pub use travel::TravelErrors;
pub use verdict::{Blind, Camera, Judgement, Miss, Standing, Verdict};
pub use warning::{CalibrationError, Warning};

use crate::units::{Angle, Distance, Length, Stop};

/// One measured pair, a distance and the ring's position at it, and how it was come by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// From the point `from` to the subject.
    pub distance: Distance,
    /// What was read on the ring, any zero, growing toward close focus.
    pub at: Angle,
    /// How far it may be off.
    pub error: ReadingError,
    /// Where the distance counts from.
    pub from: Origin,
    /// Which way the ring was turned to get there, where it was noted.
    pub turned: Option<Turned>,
    /// What the distance was read from.
    pub by: Means,
}

impl Reading {
    /// A distance taped from the image plane, the ring turned either way.
    pub fn taped(distance: Distance, at: Angle, error: ReadingError) -> Self {
        Reading { distance, at, error, from: Origin::ImagePlane, turned: None, by: Means::Tape }
    }
}

/// Where taped distances count from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Origin {
    /// The image plane.
    ImagePlane,
    /// A point ahead of the image plane, toward the subject.
    Ahead {
        /// How far ahead, with the ring at infinity.
        by: Length,
        /// Standard error of that.
        error: Length,
        /// Whether it travels with the front of the lens.
        travels: bool,
    },
}

/// The last way the ring was turned before it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turned {
    /// From the far side, toward close focus.
    TowardClose,
    /// From the near side, toward infinity.
    TowardInfinity,
}

/// What a reading's distance was read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Means {
    /// A tape: readings at one distance share its error.
    Tape,
    /// The old engraved scale.
    Engraving,
    /// A tape, the ring's position being read off a finished strip.
    Strip,
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
    /// A tape held by one person, and a ring read against a paper strip (common practice, no source).
    pub const TAPED: ReadingError = ReadingError { distance: Length::mm(5.0), share: 0.003, at: Angle::deg(0.5) };
    /// Marks of an old scale stand for a whole class of lenses and are a few tenths of a millimetre wide (common practice,
    /// no source).
    pub const ENGRAVED: ReadingError = ReadingError { distance: Length::ZERO, share: 0.01, at: Angle::deg(0.5) };

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
    /// The front and the groups behind it, each by its own share.
    Floating,
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

impl Known {
    /// A lens moved as a whole of which only the name ring is known.
    pub fn of(focal_length: Length) -> Known {
        let (principal_gap, lead, closest, throw) = (None, None, None, None);
        Known { focal_length, principal_gap, lead, moves: Moves::Whole, closest, throw }
    }
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
