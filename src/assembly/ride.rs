//! An iris ring that rides on the focusing group: how far both rings turn together, and where its index stands.

use super::{Assembly, look};
use crate::artwork::{self, MarkValue, Strip, riding_index};
use crate::surface::Edge;
use crate::units::Angle;

/// The turns of an iris ring that rides on the focusing group.
#[derive(Clone, Copy, Debug)]
pub struct Ride {
    /// The iris ring's own turn, from the widest stop to the last.
    pub own: Angle,
    /// How far the focus ring turns it along.
    pub along: Angle,
    /// How far a motor that is fixed to the rods can turn it.
    pub motor_sweep: Angle,
    /// Stops of light from the first mark to the last.
    pub stops: f64,
    /// Where its index stands on the focus ring, in the readings' zero and sense; `None` where it has no room.
    pub index_at: Option<Angle>,
    /// Where the set file wants it.
    pub wanted_at: Option<Angle>,
}

impl Ride {
    /// All positions of the ring, seen from the rods: the range of the sum of two independent turns is the sum of their
    /// ranges, whichever way they turn.
    pub fn sweep(&self) -> Angle {
        self.own + self.along
    }

    /// Whether a motor fixed to the rods reaches every stop at every distance.
    pub fn motor_reaches(&self) -> bool {
        self.sweep() <= self.motor_sweep
    }

    /// By how many stops the aperture changes from infinity to the closest distance when the ring is held; `None` on a
    /// ring that has room for one mark only.
    pub fn drift_stops(&self) -> Option<f64> {
        (self.own > Angle::ZERO).then(|| self.stops * self.along.to_deg() / self.own.to_deg())
    }
}

impl Assembly<'_> {
    /// The turns of an iris ring that rides along; `None` where it does not.
    pub fn ride(&self) -> Option<Ride> {
        let (focus, iris) = (self.focus.as_ref()?, self.iris.as_ref()?);
        let rides = iris.iris.rides?;
        let number = |mark: Option<&crate::scale::Mark>| match mark?.value {
            MarkValue::Stop(number) => Some(number),
            MarkValue::Distance(_) => None,
        };
        let (first, last) = (number(iris.band.marks.first())?, number(iris.band.marks.last())?);
        let index_at = self.laid_out().riding_index;
        Some(Ride {
            own: artwork::covered(std::slice::from_ref(&iris.band)),
            along: artwork::covered(&focus.bands),
            motor_sweep: rides.motor_sweep,
            // N is the square root of two to the power of the stops
            stops: 2.0 * (last / first).log2(),
            index_at,
            wanted_at: rides.index_at,
        })
    }

    /// Puts the riding iris ring's index onto the focus strip; gives the focus ring's angle there, `None` without room.
    pub(super) fn draw_riding_index(&self, strip: &mut Strip) -> Option<Angle> {
        let (focus, iris) = (self.focus.as_ref()?, self.iris.as_ref()?);
        let rides = iris.iris.rides?;
        // the focus ring lies behind the iris ring where that has its index at the rear
        let edge = match iris.iris.index {
            Edge::Rear => Edge::Front,
            Edge::Front => Edge::Rear,
        };
        let angles = || focus.bands.iter().flat_map(|band| &band.marks).map(|mark| mark.angle);
        let (from, to) = (angles().reduce(Angle::min)?, angles().reduce(Angle::max)?);
        let wanted = rides.index_at.unwrap_or(from.midpoint(to));
        let zero = *strip.flat.as_ref()?.zeros().first()?;
        let sign = focus.focus.toward_close.close_marks_sign();
        let style = &self.set.style;
        let turn =
            riding_index(strip, edge, zero + sign * (wanted - from).to_deg(), &look(self.set), style.numeral_height)?;
        Some(from + Angle::try_deg(sign * (turn - zero))?)
    }
}
