//! Lengths and distances, in millimetres.

use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Div, Mul, Neg, Sub};
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

    /// The smaller of two lengths.
    pub const fn min(self, other: Length) -> Length {
        Length(self.0.min(other.0))
    }

    /// The larger of two lengths.
    pub const fn max(self, other: Length) -> Length {
        Length(self.0.max(other.0))
    }

    /// The length without its sign.
    pub const fn abs(self) -> Length {
        Length(self.0.abs())
    }

    /// The nearest length that is no smaller than `least` and no larger than `most`.
    ///
    /// # Panics
    /// When `least` is larger than `most`.
    pub const fn clamp(self, least: Length, most: Length) -> Length {
        Length(self.0.clamp(least.0, most.0))
    }

    /// Half way between two lengths.
    pub const fn midpoint(self, other: Length) -> Length {
        Length(self.0.midpoint(other.0))
    }

    /// How two lengths are ordered, for sorting and for the smallest of many; -0 comes before 0.
    pub fn total_cmp(&self, other: &Length) -> Ordering {
        self.0.total_cmp(&other.0)
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

    /// # Panics
    /// When the product is not finite.
    fn mul(self, factor: f64) -> Length {
        Length::mm(self.0 * factor)
    }
}

impl Div<f64> for Length {
    type Output = Length;

    /// # Panics
    /// When the quotient is not finite, as by zero.
    fn div(self, divisor: f64) -> Length {
        Length::mm(self.0 / divisor)
    }
}

impl Div for Length {
    type Output = f64;

    /// How many times `other` goes into the length: a bare ratio, infinite or NaN where `other` is zero.
    fn div(self, other: Length) -> f64 {
        self.0 / other.0
    }
}

impl Sum for Length {
    /// The sum of all, [`Length::ZERO`] of none.
    ///
    /// # Panics
    /// When the sum is not finite.
    fn sum<I: Iterator<Item = Length>>(all: I) -> Length {
        all.fold(Length::ZERO, |sum, next| sum + next)
    }
}

impl<'a> Sum<&'a Length> for Length {
    fn sum<I: Iterator<Item = &'a Length>>(all: I) -> Length {
        all.copied().sum()
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // to a tenth of a micrometre, so that 8.5 in are 215.9 mm; the sum takes the sign off a zero
        write!(f, "{} mm", (self.0 * 1e4).round() / 1e4 + 0.0)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_extremes_of_lengths_keep_their_sign_and_abs_drops_it() {
        let (short, long) = (Length::mm(-3.0), Length::mm(2.0));
        assert_eq!((short.min(long), short.max(long)), (short, long));
        assert_eq!((long.min(short), long.max(short)), (short, long));
        assert_eq!(short.abs(), Length::mm(3.0));
    }

    #[test]
    fn a_clamped_length_is_the_nearest_one_allowed() {
        let clamped = |mm| Length::mm(mm).clamp(Length::mm(0.1), Length::mm(0.5));
        assert_eq!([0.0, 0.3, 9.0].map(clamped), [0.1, 0.3, 0.5].map(Length::mm));
    }

    #[test]
    fn a_length_over_a_length_is_a_bare_ratio() {
        // figures without rounding in binary
        assert_eq!(Length::mm(84.0) / Length::mm(10.5), 8.0);
        assert_eq!(Length::mm(84.0) / 8.0, Length::mm(10.5));
        assert_eq!(Length::mm(1.0) / Length::ZERO, f64::INFINITY);
        assert!((Length::ZERO / Length::ZERO).is_nan());
    }

    #[test]
    #[should_panic(expected = "a length is finite")]
    fn a_length_divided_by_zero_cannot_be_constructed() {
        let _ = Length::mm(1.0) / 0.0;
    }

    #[test]
    fn lengths_add_up_and_none_are_no_length() {
        let bands = [1.5, 2.25, -0.75].map(Length::mm);
        assert_eq!(bands.iter().sum::<Length>(), Length::mm(3.0));
        assert_eq!(bands.into_iter().sum::<Length>(), Length::mm(3.0));
        // no "-0 mm", as the sum of no floats is
        assert!(std::iter::empty::<Length>().sum::<Length>().to_mm().is_sign_positive());
    }

    #[test]
    fn the_midpoint_is_as_far_from_either_end() {
        let (from, to) = (Length::mm(-4.0), Length::mm(10.0));
        assert_eq!(from.midpoint(to), Length::mm(3.0));
        assert_eq!(to.midpoint(from), Length::mm(3.0));
        // the sum of the two would be infinite
        assert_eq!(Length::mm(f64::MAX).midpoint(Length::mm(f64::MAX)), Length::mm(f64::MAX));
    }

    #[test]
    fn lengths_are_sorted_from_the_shortest_on() {
        let mut gaps = [0.4, -0.1, 7.0, 0.0].map(Length::mm);
        gaps.sort_by(Length::total_cmp);
        assert_eq!(gaps, [-0.1, 0.0, 0.4, 7.0].map(Length::mm));
        assert_eq!(gaps.into_iter().min_by(Length::total_cmp), Some(Length::mm(-0.1)));
    }
}
