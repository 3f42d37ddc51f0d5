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
