//! Angles of a ring, in degrees.

use std::fmt;
use std::ops::{Add, Neg, Sub};
use std::str::FromStr;

use super::parse::{QuantityError, parse_terms};

/// A turn of a ring in degrees; finite by construction.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Angle(f64);

impl Angle {
    /// No turn.
    pub const ZERO: Angle = Angle(0.0);

    /// An angle of `degrees`.
    ///
    /// # Panics
    /// When `degrees` is NaN or infinite: such an angle cannot be constructed.
    pub const fn deg(degrees: f64) -> Self {
        Self::try_deg(degrees).expect("an angle is finite")
    }

    /// An angle of `degrees`, or `None` when the number is not finite.
    pub const fn try_deg(degrees: f64) -> Option<Self> {
        if degrees.is_finite() { Some(Angle(degrees)) } else { None }
    }

    /// The angle in degrees.
    pub fn to_deg(self) -> f64 {
        self.0
    }
}

impl Add for Angle {
    type Output = Angle;
    fn add(self, other: Angle) -> Angle {
        Angle::deg(self.0 + other.0)
    }
}

impl Sub for Angle {
    type Output = Angle;
    fn sub(self, other: Angle) -> Angle {
        Angle::deg(self.0 - other.0)
    }
}

impl Neg for Angle {
    type Output = Angle;
    fn neg(self) -> Angle {
        Angle(-self.0)
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}°", self.0)
    }
}

impl FromStr for Angle {
    type Err = QuantityError;

    /// Reads `63.5 deg`, `63.5°` or `63.5 degrees`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        parse_terms(text)?.angle(text)
    }
}
