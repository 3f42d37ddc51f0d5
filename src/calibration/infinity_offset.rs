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

#[cfg(test)]
mod tests {
    use super::super::decisions_tests::{known, truth};
    use super::super::{Known, LawChoice, Reading, ReadingError};
    use super::*;
    use crate::check::assert_close;
    use crate::optics::TravelLaw;

    #[test]
    fn the_offset_is_as_unsure_as_infinity_and_the_stop_together() {
        let error = ReadingError { distance: Length::mm(2.0), share: 0.002, at: Angle::deg(0.3) };
        let at = |distance| Reading::taped(distance, truth().angle(distance).unwrap(), error);
        let near = [2500.0, 900.0, 600.0].map(Distance::mm);
        let readings: Vec<Reading> = [Distance::Infinity].into_iter().chain(near).map(at).collect();
        for choice in [LawChoice::Travel, LawChoice::Curve] {
            let fit = FocusCalibration::new(&known(), choice, &readings, &error).unwrap();
            let sigma = |stop_error: f64| {
                let offset = fit.infinity_offset(Angle::deg(2.0), Angle::deg(stop_error), known().focal_length);
                offset.unwrap().sigma.to_deg()
            };
            // a stop known exactly leaves the error of infinity alone
            let infinity = fit.angle_error(Distance::Infinity).unwrap().to_deg();
            assert_close(sigma(0.0), infinity, 1e-12);
            // variances of independent errors add up (JCGM 100:2008, 5.1.2), so a stop as unsure as infinity doubles them
            assert_close(sigma(infinity), 2f64.sqrt() * infinity, 1e-12);
            // and one read ten times worse than infinity is placed leaves little else
            assert_close(sigma(10.0 * infinity) / infinity, 101f64.sqrt(), 1e-9);
        }
    }

    #[test]
    fn a_shim_is_the_lenss_own_travel_whatever_its_lead_and_by_either_law() {
        let error = ReadingError { distance: Length::mm(2.0), share: 0.002, at: Angle::deg(0.3) };
        for lead in [6.0, 18.0, 40.0] {
            let focal_length = known().focal_length;
            let whole = TravelLaw::from_lead(Angle::deg(5.0), focal_length, Length::mm(lead), Length::mm(96.0));
            let near = [20_000.0, 8000.0, 4000.0, 2500.0, 1500.0, 900.0, 600.0].map(Distance::mm);
            let at = |distance| Reading::taped(distance, whole.angle(distance).unwrap(), error);
            let readings: Vec<Reading> = [Distance::Infinity].into_iter().chain(near).map(at).collect();
            let known = Known { lead: Some(Length::mm(lead)), throw: None, ..known() };
            for (choice, tolerance) in [(LawChoice::Travel, 0.01), (LawChoice::Curve, 0.1)] {
                let fit = FocusCalibration::new(&known, choice, &readings, &error).unwrap();
                // the ring stops 2 degrees before infinity; a helicoid carries the lens by its lead in a whole turn
                let offset = fit.infinity_offset(Angle::deg(3.0), Angle::deg(0.1), focal_length).unwrap();
                let travel = 2.0 * lead / 360.0;
                assert_close(offset.axial.to_mm(), travel, tolerance * travel);
            }
        }
    }
}
