//! Angles of a ring, in degrees.

use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Div, Mul, Neg, Sub};
use std::str::FromStr;

use super::figure::figure;
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

    /// The smaller of two angles.
    pub const fn min(self, other: Angle) -> Angle {
        Angle(self.0.min(other.0))
    }

    /// The larger of two angles.
    pub const fn max(self, other: Angle) -> Angle {
        Angle(self.0.max(other.0))
    }

    /// The angle without its sign.
    pub const fn abs(self) -> Angle {
        Angle(self.0.abs())
    }

    /// The nearest angle that is no smaller than `least` and no larger than `most`.
    ///
    /// # Panics
    /// When `least` is larger than `most`.
    pub const fn clamp(self, least: Angle, most: Angle) -> Angle {
        Angle(self.0.clamp(least.0, most.0))
    }

    /// Half way between two angles.
    pub const fn midpoint(self, other: Angle) -> Angle {
        Angle(self.0.midpoint(other.0))
    }

    /// How two angles are ordered, for sorting and for the smallest of many; -0 comes before 0.
    pub fn total_cmp(&self, other: &Angle) -> Ordering {
        self.0.total_cmp(&other.0)
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

impl Mul<f64> for Angle {
    type Output = Angle;

    /// # Panics
    /// When the product is not finite.
    fn mul(self, factor: f64) -> Angle {
        Angle::deg(self.0 * factor)
    }
}

impl Div<f64> for Angle {
    type Output = Angle;

    /// # Panics
    /// When the quotient is not finite, as by zero.
    fn div(self, divisor: f64) -> Angle {
        Angle::deg(self.0 / divisor)
    }
}

impl Div for Angle {
    type Output = f64;

    /// How many times `other` goes into the angle: a bare ratio, infinite or NaN where `other` is zero.
    fn div(self, other: Angle) -> f64 {
        self.0 / other.0
    }
}

impl Sum for Angle {
    /// The sum of all, [`Angle::ZERO`] of none.
    ///
    /// # Panics
    /// When the sum is not finite.
    fn sum<I: Iterator<Item = Angle>>(all: I) -> Angle {
        all.fold(Angle::ZERO, |sum, next| sum + next)
    }
}

impl<'a> Sum<&'a Angle> for Angle {
    fn sum<I: Iterator<Item = &'a Angle>>(all: I) -> Angle {
        all.copied().sum()
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}°", figure(self.0))
    }
}

impl FromStr for Angle {
    type Err = QuantityError;

    /// Reads `63.5 deg`, `63.5°` or `63.5 degrees`.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        parse_terms(text)?.angle(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_extremes_of_angles_keep_their_sign_and_abs_drops_it() {
        let (back, ahead) = (Angle::deg(-12.0), Angle::deg(5.0));
        assert_eq!((back.min(ahead), back.max(ahead)), (back, ahead));
        assert_eq!((ahead.min(back), ahead.max(back)), (back, ahead));
        assert_eq!(back.abs(), Angle::deg(12.0));
    }

    #[test]
    fn a_clamped_angle_is_the_nearest_one_allowed() {
        let clamped = |deg| Angle::deg(deg).clamp(Angle::ZERO, Angle::deg(270.0));
        assert_eq!([-1.0, 90.0, 300.0].map(clamped), [0.0, 90.0, 270.0].map(Angle::deg));
    }

    #[test]
    fn a_turn_over_a_turn_is_a_bare_ratio() {
        assert_eq!(Angle::deg(270.0) / Angle::deg(90.0), 3.0);
        assert_eq!(Angle::deg(270.0) / 3.0, Angle::deg(90.0));
        assert_eq!(Angle::deg(90.0) * 3.0, Angle::deg(270.0));
        assert_eq!(Angle::deg(-90.0) / Angle::ZERO, f64::NEG_INFINITY);
    }

    #[test]
    #[should_panic(expected = "an angle is finite")]
    fn an_angle_divided_by_zero_cannot_be_constructed() {
        let _ = Angle::deg(1.0) / 0.0;
    }

    #[test]
    fn turns_add_up_and_none_are_no_turn() {
        let turns = [100.0, -30.0, 20.0].map(Angle::deg);
        assert_eq!(turns.iter().sum::<Angle>(), Angle::deg(90.0));
        assert_eq!(turns.into_iter().sum::<Angle>(), Angle::deg(90.0));
        // no "-0°", as the sum of no floats is
        assert!(std::iter::empty::<Angle>().sum::<Angle>().to_deg().is_sign_positive());
    }

    #[test]
    fn the_midpoint_of_two_angles_halves_the_turn_between_them() {
        assert_eq!(Angle::deg(-10.0).midpoint(Angle::deg(80.0)), Angle::deg(35.0));
    }

    #[test]
    fn angles_are_sorted_from_the_smallest_on() {
        let mut places = [63.5, -4.0, 120.0].map(Angle::deg);
        places.sort_by(Angle::total_cmp);
        assert_eq!(places, [-4.0, 63.5, 120.0].map(Angle::deg));
    }
}
