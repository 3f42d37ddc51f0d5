//! Infinity offset: the turn from the ring's stop to infinity, and the shim that would make it zero.

use super::FocusCalibration;
use crate::optics::FocusLaw;
use crate::units::{Angle, Distance, Length};

/// Where infinity lies as seen from the ring's stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InfinityOffset {
    /// Turn from the stop to infinity: positive where infinity comes before the stop is reached, negative where the ring
    /// stops short of it.
    pub off: Angle,
    /// Standard error of that.
    pub sigma: Angle,
    /// The same along the axis: how far the image lies behind the image plane when the ring is at its stop, and so how
    /// thick a shim under the lens would bring infinity to the stop; negative where as much has to be taken away.
    pub axial: Length,
}

impl FocusCalibration {
    /// Compares infinity with the ring's stop at `stop`, for a lens of `focal_length` whose ring's positions are known to
    /// `error`. `None` where the law does not reach infinity.
    ///
    /// ```text
    /// axial = f^2 n,   n = 1/D at which the lens focuses when turned as far from infinity: off/A for the travel law
    /// ```
    ///
    /// Newton's form x x' = f^2 of the conjugate equation (OpenStax University Physics vol. 3, section 2.4) for a small x'.
    /// For a lens moved as a whole it is lead/360 times the turn.
    pub fn infinity_offset(&self, stop: Angle, error: Angle, focal_length: Length) -> Option<InfinityOffset> {
        let infinity = self.law.angle(Distance::Infinity)?;
        let sigma = self.angle_error(Distance::Infinity)?.to_deg().hypot(error.to_deg());
        let f = focal_length.to_mm();
        let per_degree = match &self.law {
            FocusLaw::Travel(law) => f * f / law.a_mm_deg,
            FocusLaw::Curve(law) => {
                // far enough for C0 to be negligible, near enough for the turn to exceed rounding
                let far = Distance::mm(1000.0 * f);
                let turn = (law.angle(far)? - infinity).to_deg();
                (turn > 0.0).then(|| f / 1000.0 / turn)?
            }
        };
        let off = infinity.to_deg() - stop.to_deg();
        Some(InfinityOffset {
            off: Angle::deg(off),
            sigma: Angle::deg(sigma),
            axial: Length::try_mm(off * per_degree)?,
        })
    }
}
