//! Warnings of a focus calibration, and the reasons why there is no law.

use std::fmt;

use super::Reading;
use crate::units::{Angle, Distance, DistanceUnit};

/// With a greater standard error the infinity position is undetermined, and with it the place of the whole scale.
const ADRIFT_DEG: f64 = 15.0;

/// Something a user should know about a calibration.
#[derive(Clone, Debug, PartialEq)]
pub enum Warning {
    /// No readings: the law follows from the name ring and the lead alone.
    TheoryOnly,
    /// Neither readings nor a lead: throw and closest distance stand in for them.
    StopsOnly,
    /// The readings refute the name ring, the lead or the way the lens moves.
    PriorsLetGo {
        /// Chance of so large a disagreement.
        chance: f64,
    },
    /// The readings refute the lead, but not the focal length.
    LeadLetGo {
        /// Chance of so large a disagreement.
        chance: f64,
    },
    /// The readings refute the priors, but are too few to do without them.
    PriorsKept {
        /// Chance of so large a disagreement.
        chance: f64,
    },
    /// The constants are free and no reading is left to check them.
    NothingToCheck,
    /// The readings refute the travel law; the curve predicts left-out readings better.
    CurveTaken {
        /// Root mean square error on left-out readings, travel law.
        travel: Angle,
        /// The same, curve.
        curve: Angle,
    },
    /// The readings scatter more than their stated errors allow.
    Scatter {
        /// Chi-square over its degrees of freedom.
        reduced_chi_square: f64,
    },
    /// One reading is an outlier.
    Outlier {
        /// Its place in the order given, from 1.
        number: usize,
        /// The reading.
        reading: Reading,
        /// How far the others' law is from it.
        off: Angle,
        /// How many readings the law rests on without it.
        rest: usize,
    },
    /// Readings repeated at one distance scatter more than stated.
    RepeatsScatter {
        /// Their standard deviation.
        found: Angle,
        /// What was stated.
        stated: Angle,
    },
    /// The ring lags behind what it moves, which no ring does.
    PlayBackwards {
        /// The play that was found, below zero.
        play: Angle,
    },
    /// No reading of infinity, and the others do not determine it well.
    InfinityUnsure {
        /// Standard error of the infinity position.
        sigma: Angle,
    },
    /// The curve ends at its last reading before infinity.
    CurveWithoutInfinity {
        /// The farthest reading.
        farthest: Distance,
    },
}

impl Warning {
    /// The warning as it is said of a lens whose distances are told in `unit`.
    pub fn told_in(&self, unit: DistanceUnit) -> String {
        Told { warning: self, unit }.to_string()
    }
}

impl fmt::Display for Warning {
    /// In metres.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        Told { warning: self, unit: DistanceUnit::Metre }.fmt(f)
    }
}

/// A warning with the unit of its distances.
struct Told<'w> {
    warning: &'w Warning,
    unit: DistanceUnit,
}

impl fmt::Display for Told<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.warning {
            Warning::TheoryOnly => {
                f.write_str("no readings: the marks rest on the name ring and the lead alone; two taped readings would tell")
            }
            Warning::StopsOnly => f.write_str(
                "no readings and no lead: the marks rest on throw and closest distance alone; measure before making anything",
            ),
            Warning::PriorsLetGo { chance } => write!(
                f,
                "the readings refute the name ring, the lead or the way the lens is said to move (chance {}); the constants were \
                 set free and are effective ones",
                percent(*chance)
            ),
            Warning::LeadLetGo { chance } => write!(
                f,
                "the readings refute the lead at this focal length (a wrong lead or name ring, or a floating group; chance {}); \
                 the lead was let go and the constants are effective ones",
                percent(*chance)
            ),
            Warning::PriorsKept { chance } => write!(
                f,
                "the readings disagree with the name ring, the lead or the way the lens is said to move (chance {}), but are too \
                 few to do without; take five or more",
                percent(*chance)
            ),
            Warning::NothingToCheck => {
                f.write_str("four unknowns from four readings: nothing is left to check them; take one or two more readings")
            }
            Warning::CurveTaken { travel, curve } => write!(
                f,
                "the readings refute the travel law (a cam?): it misses a left-out reading by {:.1}°, the curve by {:.1}°; the \
                 curve was taken and is only as good as the readings are dense",
                travel.to_deg(),
                curve.to_deg()
            ),
            Warning::Scatter { reduced_chi_square } => write!(
                f,
                "the readings scatter {:.1} times as much as their stated errors; the marks' errors were widened to match",
                reduced_chi_square.sqrt()
            ),
            Warning::Outlier { number, reading, off, rest } => write!(
                f,
                "reading {number}, {} at {:.1}°, is {:.1}° off the others and was set aside: the marks rest on the other {rest}; \
                 take it again, or delete it if it was misread",
                self.unit.say(reading.distance),
                reading.at.to_deg(),
                off.to_deg()
            ),
            Warning::RepeatsScatter { found, stated } => write!(
                f,
                "repeated readings scatter by ± {:.1}° where ± {:.1}° was stated; the errors were widened to match, or say so in \
                 reading_error",
                found.to_deg(),
                stated.to_deg()
            ),
            Warning::PlayBackwards { play } => write!(
                f,
                "the ring seems to have {:.1}° less than no play; `turned` may be the wrong way round",
                -play.to_deg()
            ),
            Warning::InfinityUnsure { sigma } if sigma.to_deg() > ADRIFT_DEG => write!(
                f,
                "what is known does not place the marks at all (infinity ± {:.0}°): make nothing from this; read the ring at \
                 infinity and at the closest distance as well",
                sigma.to_deg()
            ),
            Warning::InfinityUnsure { sigma } => write!(
                f,
                "infinity is placed to ± {:.1}° only; add a reading of something very far away",
                sigma.to_deg()
            ),
            Warning::CurveWithoutInfinity { farthest } => {
                let farthest = self.unit.say(*farthest);
                write!(f, "a curve never reaches beyond its readings: no marks beyond {farthest}; add a reading of infinity")
            }
        }
    }
}

fn percent(chance: f64) -> String {
    if chance < 1e-4 { "under 0.01 %".to_string() } else { format!("{:.2} %", chance * 100.0) }
}

/// Why no law could be fitted.
#[derive(Clone, Debug, PartialEq)]
pub enum CalibrationError {
    /// Neither readings, nor a lead, nor throw and closest distance.
    NothingKnown,
    /// A curve needs three different distances.
    TooFewForCurve {
        /// Different distances read.
        have: usize,
    },
    /// No law of the asked form reaches all readings.
    NoLawReaches,
    /// Two readings agree with all others once their positions are exchanged.
    Exchanged {
        /// The first, by its place in the order given, from 0.
        one: usize,
        /// The second.
        other: usize,
    },
}

impl fmt::Display for CalibrationError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CalibrationError::NothingKnown => {
                f.write_str("nothing to compute from: give readings, a lead, or the throw and the closest distance")
            }
            CalibrationError::TooFewForCurve { have } => {
                write!(f, "a curve needs readings at three different distances at least, there are {have}")
            }
            CalibrationError::NoLawReaches => {
                f.write_str("no travel law reaches all readings; check the nearest one and the sense of rotation, or try law = \"curve\"")
            }
            CalibrationError::Exchanged { one, other } => write!(
                f,
                "readings {} and {} agree with all others once their positions are exchanged",
                one + 1,
                other + 1
            ),
        }
    }
}

impl std::error::Error for CalibrationError {}
