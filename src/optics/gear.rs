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

/// Turn of a wheel that meshes with a ring.
///
/// ```text
/// wheel = ring * ring teeth / wheel teeth
/// ```
pub fn wheel_turn(ring: Angle, ring_teeth: u32, wheel_teeth: u32) -> Angle {
    Angle::deg(ring.to_deg() * f64::from(ring_teeth) / f64::from(wheel_teeth.max(1)))
}
