//! Lengths and distances, in millimetres.

use std::fmt;
use std::ops::{Add, Mul, Neg, Sub};
use std::str::FromStr;

use super::parse::{QuantityError, parse_terms};

/// A length in millimetres, of a ring, a strip or a gap; finite by construction, possibly negative.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Length(f64);

impl Length {
    /// No length.
    pub const ZERO: Length = Length(0.0);

    /// A length of `millimetres`.
    ///
    /// # Panics
    /// When `millimetres` is NaN or infinite: such a length cannot be constructed.
    pub const fn mm(millimetres: f64) -> Self {
        Self::try_mm(millimetres).expect("a length is finite")
    }

    /// A length of `millimetres`, or `None` when the number is not finite.
    pub const fn try_mm(millimetres: f64) -> Option<Self> {
        if millimetres.is_finite() { Some(Length(millimetres)) } else { None }
    }

    /// The length in millimetres.
    pub fn to_mm(self) -> f64 {
        self.0
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length::mm(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length::mm(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<f64> for Length {
    type Output = Length;
    fn mul(self, factor: f64) -> Length {
        Length::mm(self.0 * factor)
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // to the millionth, so that 8.5 in are 215.9 mm
        write!(f, "{} mm", (self.0 * 1e6).round() / 1e6)
    }
}

impl FromStr for Length {
    type Err = QuantityError;

    /// Reads `84 mm`, `1.5 m`, `4 1/2 in`, `4 ft 6 in`, `4'6"` or `4′6″`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        parse_terms(text)?.length(text)
    }
}

/// A distance from the image plane to a subject.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distance {
    /// A subject that a tape reaches.
    Finite(Length),
    /// A subject so far that its rays arrive parallel.
    Infinity,
}

impl Distance {
    /// A finite distance of `millimetres`.
    ///
    /// # Panics
    /// When `millimetres` is NaN or infinite; infinity is [`Distance::Infinity`].
    pub fn mm(millimetres: f64) -> Self {
        Distance::Finite(Length::mm(millimetres))
    }

    /// The distance in millimetres, `None` for infinity.
    pub fn to_mm(self) -> Option<f64> {
        match self {
            Distance::Finite(length) => Some(length.to_mm()),
            Distance::Infinity => None,
        }
    }

    /// Whether the subject is at infinity.
    pub fn is_infinite(self) -> bool {
        matches!(self, Distance::Infinity)
    }
}

impl fmt::Display for Distance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Distance::Infinity => f.write_str("infinity"),
            Distance::Finite(length) => {
                let metres = format!("{:.3}", length.to_mm() / 1000.0);
                write!(f, "{} m", metres.trim_end_matches('0').trim_end_matches('.'))
            }
        }
    }
}

impl FromStr for Distance {
    type Err = QuantityError;

    /// Reads `inf`, `infinity`, `∞` or any length greater than zero.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        match text.trim().to_lowercase().as_str() {
            "inf" | "infinity" | "∞" => Ok(Distance::Infinity),
            _ => {
                let length: Length = text.parse()?;
                if length.to_mm() > 0.0 {
                    Ok(Distance::Finite(length))
                } else {
                    Err(QuantityError::new("a distance must be greater than zero", 0..text.len())
                        .hint("distances are measured from the image plane toward the subject"))
                }
            }
        }
    }
}
