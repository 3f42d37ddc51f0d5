//! Iris laws: the turn of the aperture ring that a stop needs.
//!
//! Three shapes are linear in a number computed from the stop, so two constants place them on the ring; a fourth
//! goes through the readings.

use super::Monotone;
use crate::units::{Angle, Stop};

/// A mechanism whose turn is proportional to a function of the stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IrisShape {
    /// Equal turn for every stop.
    Even,
    /// Pupil diameter linear in the turn.
    Diameter,
    /// Blades of the opening's own radius, pivoted at its rim.
    Blades,
}

impl IrisShape {
    /// Turn from wide open in the shape's own measure.
    ///
    /// ```text
    /// even      2 log2(N/N0)           stops closed down
    /// diameter  1 - N0/N               lost share of the pupil's diameter
    /// blades    phi = 2 asin((1 - N0/N)/2), radians,  from  a = R (1 - 2 sin(phi/2)), a/R = N0/N
    ///
    /// N0 widest stop, N the stop, a opening, R radius of the blades and of the full opening
    /// ```
    ///
    /// Source for the blades: a blade edge of radius R pivoted at distance R from the axis turns its centre of curvature
    /// along a chord of 2 R sin(phi/2), and the distance from edge to axis is R minus that chord (plane geometry,
    /// no published source). Stops wider than N0 give negative turns.
    pub fn turn(self, stop: Stop, widest: Stop) -> f64 {
        let open = widest.number() / stop.number();
        match self {
            IrisShape::Even => stop.in_stops() - widest.in_stops(),
            IrisShape::Diameter => 1.0 - open,
            IrisShape::Blades => 2.0 * (0.5 * (1.0 - open)).clamp(-1.0, 1.0).asin(),
        }
    }

    /// The f-number at a turn in the shape's own measure; `None` where the iris is shut.
    pub fn number(self, turn: f64, widest: Stop) -> Option<f64> {
        let n0 = widest.number();
        let number = match self {
            IrisShape::Even => n0 * (turn / 2.0).exp2(),
            IrisShape::Diameter => n0 / (1.0 - turn),
            IrisShape::Blades => n0 / (1.0 - 2.0 * (turn / 2.0).sin()),
        };
        (number.is_finite() && number > 0.0).then_some(number)
    }

    /// How the turn grows with the stop, per stop closed down.
    ///
    /// ```text
    /// even      1
    /// diameter  (ln 2 / 2) N0/N
    /// blades    (ln 2 / 2) (N0/N) / sqrt(1 - ((1 - N0/N)/2)^2)
    ///
    /// from N = N0 2^(s/2):  d(N0/N)/ds = -(ln 2 / 2) N0/N,  s: stops closed down
    /// ```
    ///
    /// Source: the derivatives of [`IrisShape::turn`].
    pub fn turn_per_stop(self, stop: Stop, widest: Stop) -> f64 {
        let open = widest.number() / stop.number();
        let share = 0.5 * std::f64::consts::LN_2 * open;
        match self {
            IrisShape::Even => 1.0,
            IrisShape::Diameter => share,
            IrisShape::Blades => share / (1.0 - (0.5 * (1.0 - open)).powi(2)).max(1e-12).sqrt(),
        }
    }

    /// The shape's name in the set file.
    pub fn kind(self) -> &'static str {
        match self {
            IrisShape::Even => "even",
            IrisShape::Diameter => "diameter",
            IrisShape::Blades => "blades",
        }
    }
}

/// A function from stop to ring angle.
#[derive(Clone, Debug, PartialEq)]
pub enum IrisLaw {
    /// `angle = open + rate * turn`.
    Shaped {
        /// The mechanism.
        shape: IrisShape,
        /// The stop at which the turn is zero.
        widest: Stop,
        /// The ring's position there.
        open: Angle,
        /// Degrees per unit of the shape's own measure.
        rate: f64,
    },
    /// Monotone through the readings, in stops.
    Curve(Monotone),
}

impl IrisLaw {
    /// The ring's position for a stop; `None` outside a curve's readings.
    pub fn angle(&self, stop: Stop) -> Option<Angle> {
        match self {
            IrisLaw::Shaped { shape, widest, open, rate } => {
                Angle::try_deg(open.to_deg() + rate * shape.turn(stop, *widest))
            }
            IrisLaw::Curve(curve) => Angle::try_deg(curve.value(stop.in_stops())?),
        }
    }

    /// The stop at a position of the ring; `None` where the iris is shut and outside a curve's readings.
    pub fn stop(&self, at: Angle) -> Option<Stop> {
        match self {
            IrisLaw::Shaped { shape, widest, open, rate } => {
                shape.number((at.to_deg() - open.to_deg()) / rate, *widest).map(Stop::exact)
            }
            IrisLaw::Curve(curve) => curve.inverse(at.to_deg()).map(|stops| Stop::exact((0.5 * stops).exp2())),
        }
    }

    /// Degrees of the ring to a stop of light; `None` outside a curve's readings.
    pub fn degrees_per_stop(&self, stop: Stop) -> Option<f64> {
        match self {
            IrisLaw::Shaped { shape, widest, rate, .. } => Some(rate * shape.turn_per_stop(stop, *widest)),
            IrisLaw::Curve(curve) => {
                let at = stop.in_stops();
                let middle = curve.value(at)?;
                // a chord over a fiftieth of a stop, to one side at an end
                let (before, after) = (curve.value(at - 0.01), curve.value(at + 0.01));
                let width = if before.is_some() && after.is_some() { 0.02 } else { 0.01 };
                Some((after.unwrap_or(middle) - before.unwrap_or(middle)) / width)
            }
        }
    }

    /// The law's name in the set file.
    pub fn kind(&self) -> &'static str {
        match self {
            IrisLaw::Shaped { shape, .. } => shape.kind(),
            IrisLaw::Curve(_) => "curve",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn wide_open_needs_no_turn() {
        let widest = Stop::from_sixths(10);
        for shape in [IrisShape::Even, IrisShape::Diameter, IrisShape::Blades] {
            assert_close(shape.turn(widest, widest), 0.0, 1e-15);
        }
    }

    #[test]
    fn turn_and_number_are_inverse() {
        let widest = Stop::from_sixths(12);
        for shape in [IrisShape::Even, IrisShape::Diameter, IrisShape::Blades] {
            for s in 12..60 {
                let stop = Stop::from_sixths(s);
                assert_close(shape.number(shape.turn(stop, widest), widest).unwrap(), stop.number(), 1e-9);
            }
        }
    }

    #[test]
    fn the_turn_per_stop_is_the_difference_of_turns() {
        let widest = Stop::from_sixths(12);
        for shape in [IrisShape::Even, IrisShape::Diameter, IrisShape::Blades] {
            for stops in [1.5, 2.0, 3.3, 7.9] {
                let at = |off: f64| shape.turn(Stop::exact((0.5 * (stops + off)).exp2()), widest);
                let chord = (at(1e-4) - at(-1e-4)) / 2e-4;
                assert_close(shape.turn_per_stop(Stop::exact((0.5_f64 * stops).exp2()), widest), chord, 1e-7);
            }
        }
    }

    #[test]
    fn a_law_leads_from_the_ring_back_to_its_stop() {
        let widest = Stop::from_sixths(12);
        let curve = Monotone::through(&[(2.0, 0.0), (3.0, 5.0), (6.0, 40.0)]).unwrap();
        let shaped = IrisLaw::Shaped { shape: IrisShape::Blades, widest, open: Angle::deg(3.0), rate: 70.0 };
        for law in [shaped, IrisLaw::Curve(curve.clone())] {
            for sixths in [12, 15, 24, 36] {
                let at = law.angle(Stop::from_sixths(sixths)).unwrap();
                assert_close(law.stop(at).unwrap().in_stops(), f64::from(sixths) / 6.0, 1e-9);
            }
        }
        assert_eq!(IrisLaw::Curve(curve.clone()).stop(Angle::deg(41.0)), None);
        // the line from 2 to 3 stops rises by 5 degrees, and no curve through it can be steep everywhere
        let per_stop = IrisLaw::Curve(curve).degrees_per_stop(Stop::exact(2.0)).unwrap();
        assert!(per_stop > 0.0 && per_stop < 15.0, "{per_stop}");
    }

    #[test]
    fn blades_of_the_openings_own_radius_shut_at_sixty_degrees() {
        let shut = Stop::exact(1e12);
        assert_close(IrisShape::Blades.turn(shut, Stop::from_sixths(0)).to_degrees(), 60.0, 1e-6);
        assert_eq!(IrisShape::Blades.number(60f64.to_radians() + 0.01, Stop::from_sixths(0)), None);
    }

    #[test]
    fn every_law_turns_by_as_many_degrees_a_stop_as_two_places_near_each_other_show() {
        let widest = Stop::from_sixths(12);
        for shape in [IrisShape::Even, IrisShape::Diameter, IrisShape::Blades] {
            let law = IrisLaw::Shaped { shape, widest, open: Angle::deg(3.0), rate: 70.0 };
            let at = |stops: f64| law.angle(Stop::exact((0.5 * stops).exp2())).unwrap().to_deg();
            let per_stop = law.degrees_per_stop(Stop::exact(2f64.powf(2.0))).unwrap();
            assert_close(per_stop, (at(4.0 + 1e-4) - at(4.0 - 1e-4)) / 2e-4, 1e-5);
        }
        // a straight curve of 6 degrees a stop, between its ends and at each of them
        let straight = IrisLaw::Curve(Monotone::through(&[(2.0, 5.0), (3.0, 11.0), (6.0, 29.0)]).unwrap());
        for sixths in [12, 15, 25, 36] {
            assert_close(straight.degrees_per_stop(Stop::from_sixths(sixths)).unwrap(), 6.0, 1e-6);
        }
        assert_eq!(straight.degrees_per_stop(Stop::from_sixths(11)), None);
    }
}
