//! The distance or the stop under the index at any position of a ring, between marks as well, and its uncertainty.

use super::{FocusRing, IrisRing, Uncertainty, thin_lens};
use crate::calibration::TLaw;
use crate::model::Lens;
use crate::optics::DepthOfField;
use crate::units::{Angle, Distance, Stop, TStop};

/// A focus ring's position and what belongs to it.
#[derive(Clone, Copy, Debug)]
pub struct UnderIndex {
    /// The ring's position.
    pub at: Angle,
    /// The distance in focus.
    pub distance: Distance,
    /// The lens's widest stop, where it is known.
    pub widest: Option<Stop>,
    /// What looks sharp at that stop.
    pub sharp: Option<DepthOfField>,
    /// The uncertainty of a mark here.
    pub budget: Uncertainty,
    /// What it rests on.
    pub evidence: Evidence,
}

/// What a distance rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Evidence {
    /// Readings to both sides, or one right here.
    BetweenReadings,
    /// All readings lie to one side.
    BeyondReadings,
    /// There are no readings.
    Theory,
}

/// An iris ring's position and what belongs to it.
#[derive(Clone, Copy, Debug)]
pub struct StopUnderIndex {
    /// The ring's position.
    pub at: Angle,
    /// The f-stop; `None` where the readings are T-stops and no transmittance leads back.
    pub stop: Option<Stop>,
    /// The T-stop, where the ring is marked in T-stops.
    pub t_stop: Option<TStop>,
    /// Standard error in stops of light; `None` where it is not known.
    pub error_stops: Option<f64>,
}

/// Positions this close are the same: a page may have rounded the infinity position; the ring's play is a thousand times as
/// wide.
const SAME_PLACE_DEG: f64 = 1e-6;

impl FocusRing<'_> {
    /// What is in focus with the ring at a position; `None` outside the law, and so beyond infinity.
    pub fn under_index(&self, lens: &Lens, at: Angle) -> Option<UnderIndex> {
        let law = &self.calibration.law;
        let infinity = law.angle(Distance::Infinity);
        let distance = match infinity {
            Some(infinity) if (at - infinity).abs().to_deg() <= SAME_PLACE_DEG => Distance::Infinity,
            Some(infinity) if at < infinity => return None,
            _ => law.distance(at)?,
        };
        self.position(lens, distance, at)
    }

    /// The same with the ring set to a distance; `None` where the law does not reach.
    pub fn set_to(&self, lens: &Lens, distance: Distance) -> Option<UnderIndex> {
        self.position(lens, distance, self.calibration.law.angle(distance)?)
    }

    fn position(&self, lens: &Lens, distance: Distance, at: Angle) -> Option<UnderIndex> {
        let sharp = |widest: Stop| thin_lens(lens).depth_of_field(distance, widest, lens.circle_of_confusion);
        Some(UnderIndex {
            at,
            distance,
            widest: lens.widest_stop,
            sharp: lens.widest_stop.and_then(sharp),
            budget: self.budget(lens, distance)?,
            evidence: self.evidence(at),
        })
    }

    fn evidence(&self, at: Angle) -> Evidence {
        let law = &self.calibration.law;
        let residuals = &self.calibration.residuals;
        if residuals.is_empty() {
            return Evidence::Theory;
        }
        // the readings' places by the law, not as they were read: the law need not pass through these
        let read = residuals.iter().filter_map(|residual| law.angle(residual.subject)).map(Angle::to_deg);
        let (from, to) = read.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
        let depth_marks = self.focus.reading_error.at.to_deg();
        if at.to_deg() >= from - depth_marks && at.to_deg() <= to + depth_marks {
            Evidence::BetweenReadings
        } else {
            Evidence::BeyondReadings
        }
    }
}

impl IrisRing<'_> {
    /// The stop with the ring at a position; `None` where the iris is shut and outside a curve's readings.
    pub fn under_index(&self, at: Angle) -> Option<StopUnderIndex> {
        let stop = self.calibration.law.stop(at)?;
        let error_stops = self.error_stops(stop, at);
        let t_law = self.light.as_ref().and_then(|light| light.t_law.as_ref());
        let (f, t) = match (t_law, self.iris.t_scale, self.iris.transmittance) {
            (Some(t_law), _, _) => (Some(f_stop(stop, t_law)), Some(TStop::new(stop))),
            (None, false, _) => (Some(stop), None),
            (None, true, Some(transmittance)) => (Some(stop), Some(TStop::of(stop, transmittance))),
            // the readings are T-stops themselves
            (None, true, None) => (None, Some(TStop::new(stop))),
        };
        Some(StopUnderIndex { at, stop: f, t_stop: t, error_stops })
    }
}

/// The f-stop of a T-stop, from the transmittance; where light is missing wide open, the iris is a little wider than this.
fn f_stop(t_stop: Stop, law: &TLaw) -> Stop {
    // T/N is the same at every stop
    Stop::exact(t_stop.number() * t_stop.number() / law.t_stop(t_stop).number())
}

#[cfg(test)]
mod tests;
