//! Follow-focus gears: how far a wheel turns with the ring it drives, and how large a toothed ring is.
//!
//! Source: pitch diameter = module x teeth, outside diameter = module x (teeth + 2) ("Metric Gears", metrication.com);
//! 0.8 module is the trade's common tooth.

use crate::units::{Angle, Length};

/// A tooth size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToothSize(f64);

impl ToothSize {
    /// 0.8 module, the trade's common tooth.
    pub const FOLLOW_FOCUS: ToothSize = ToothSize(0.8);

    /// Diameter of the pitch circle of a ring with so many teeth.
    ///
    /// ```text
    /// d = m z        m module in mm, z teeth
    /// ```
    pub fn pitch_diameter(self, teeth: u32) -> Length {
        Length::mm(self.0 * f64::from(teeth))
    }
}

/// How far a wheel turns with the ring it meshes with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GearRatio(f64);

impl GearRatio {
    /// From the teeth of the ring and of the wheel.
    ///
    /// ```text
    /// ratio = ring teeth / wheel teeth
    /// ```
    pub fn teeth(ring: u32, wheel: u32) -> GearRatio {
        GearRatio(f64::from(ring) / f64::from(wheel.max(1)))
    }

    /// From the diameters of the pitch circles; `None` when the wheel has none.
    ///
    /// ```text
    /// ratio = ring diameter / wheel diameter        both pitch circles, which have the same tooth size
    /// ```
    pub fn diameters(ring: Length, wheel: Length) -> Option<GearRatio> {
        (wheel > Length::ZERO).then(|| GearRatio(ring / wheel))
    }

    /// Turns of the wheel to a turn of the ring.
    pub fn turns(self) -> f64 {
        self.0
    }

    /// Turn of the wheel for a turn of the ring.
    pub fn wheel_turn(self, ring: Angle) -> Angle {
        ring * self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn a_wheel_turns_by_as_many_teeth_as_pass_it() {
        // independent: a twelfth of a turn of a ring of 120 teeth passes 10 of them, a quarter of a wheel of 40
        let wheel = |teeth| ToothSize::FOLLOW_FOCUS.pitch_diameter(teeth);
        for ratio in [GearRatio::teeth(120, 40), GearRatio::diameters(wheel(120), wheel(40)).unwrap()] {
            assert_close(ratio.wheel_turn(Angle::deg(30.0)).to_deg(), 90.0, 1e-9);
            assert_close(ratio.turns(), 3.0, 1e-9);
        }
        // the pitch circle carries a tooth every pi modules
        assert_close(std::f64::consts::PI * wheel(120).to_mm() / 120.0, std::f64::consts::PI * 0.8, 1e-12);
    }

    #[test]
    fn a_wheel_without_a_diameter_turns_nothing() {
        assert_eq!(GearRatio::diameters(Length::mm(96.0), Length::ZERO), None);
    }
}
