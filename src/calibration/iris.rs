//! Readings of an iris ring become a law.

use std::fmt;

use super::chi_square::exceeding;
use super::light::LightErrors;
use super::{IrisChoice, StopReading};
use crate::optics::{IrisLaw, IrisShape, Monotone};
use crate::units::{Angle, Stop};

/// Level of significance, as for focus: a misfit that happens by chance once in a hundred sets is accepted as real.
const SIGNIFICANCE: f64 = 0.01;

/// An iris law with its errors.
#[derive(Clone, Debug)]
pub struct IrisCalibration {
    /// The function from stop to ring angle.
    pub law: IrisLaw,
    /// Reading minus law on the ring, in the order given.
    pub residuals: Vec<(StopReading, Angle)>,
    /// What a user should know.
    pub warnings: Vec<IrisWarning>,
    errors: IrisErrors,
}

#[derive(Clone, Copy, Debug)]
enum IrisErrors {
    /// Variance of a straight line: at its middle, per unit of turn from there, and the middle.
    Line { middle: f64, at_middle: f64, per_turn: f64 },
    /// The error of a single reading, everywhere.
    Readings(Angle),
    /// A law from exposures.
    Light(LightErrors),
}

/// Something a user should know about an iris calibration.
#[derive(Clone, Debug, PartialEq)]
pub enum IrisWarning {
    /// Two readings fit every law.
    TwoReadings {
        /// The law that was taken.
        taken: &'static str,
    },
    /// No mechanism fits; the curve was taken.
    CurveTaken,
    /// The asked law misses readings by more than their error.
    Scatter {
        /// The worst miss.
        worst: Angle,
        /// The stop at which it happens.
        stop: Stop,
    },
}

impl fmt::Display for IrisWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            IrisWarning::TwoReadings { taken } => write!(
                f,
                "two readings cannot tell how the iris closes; law \"{taken}\" was taken, a third reading near the middle would tell"
            ),
            IrisWarning::CurveTaken => f.write_str(
                "no mechanism fits the iris readings; a curve through them was taken, without marks beyond them",
            ),
            IrisWarning::Scatter { worst, stop } => write!(
                f,
                "the iris law misses the reading at {stop} by {:.1}°, more than its error; read it again or try law = \"curve\"",
                worst.to_deg()
            ),
        }
    }
}

/// Why no iris law could be fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum IrisError {
    /// Two different stops are needed, three for a curve.
    TooFew {
        /// Different stops needed.
        need: usize,
        /// Different stops read.
        have: usize,
    },
    /// The ring's angle does not grow toward closed.
    RunsBackwards,
}

impl fmt::Display for IrisError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            IrisError::TooFew { need, have } => {
                write!(f, "an iris law of this kind needs readings at {need} different stops, there are {have}")
            }
            IrisError::RunsBackwards => f.write_str(
                "the iris readings do not grow from open toward closed; turn the zero round or check the stops",
            ),
        }
    }
}

impl std::error::Error for IrisError {}

impl IrisCalibration {
    /// Fits the law that `choice` asks for; `widest` is where blades stand fully open, the widest reading if unknown.
    ///
    /// # Errors
    /// When there are too few readings, or they run backwards.
    pub fn new(
        choice: IrisChoice,
        widest: Option<Stop>,
        readings: &[StopReading],
        error: Angle,
    ) -> Result<Self, IrisError> {
        let widest_reading = readings.iter().map(|r| r.stop).min_by(|a, b| a.number().total_cmp(&b.number()));
        let have = joined(readings).len();
        let Some(widest) = widest.or(widest_reading).filter(|_| have >= 2) else {
            return Err(IrisError::TooFew { need: 2, have });
        };
        let shaped = |shape| Self::shaped(shape, widest, readings, error);
        match choice {
            IrisChoice::Even => shaped(IrisShape::Even).map(|(fit, _)| fit),
            IrisChoice::Diameter => shaped(IrisShape::Diameter).map(|(fit, _)| fit),
            IrisChoice::Blades => shaped(IrisShape::Blades).map(|(fit, _)| fit),
            IrisChoice::Curve => Self::curve(readings, error, Vec::new()),
            IrisChoice::Auto if have == 2 => {
                let (mut fit, _) = shaped(IrisShape::Even)?;
                fit.warnings = vec![IrisWarning::TwoReadings { taken: IrisShape::Even.kind() }];
                Ok(fit)
            }
            IrisChoice::Auto => {
                let mut best: Option<(Self, f64)> = None;
                for shape in [IrisShape::Even, IrisShape::Diameter, IrisShape::Blades] {
                    let (fit, chi_square) = shaped(shape)?;
                    if best.as_ref().is_none_or(|(_, least)| chi_square < *least) {
                        best = Some((fit, chi_square));
                    }
                }
                match best {
                    Some((fit, chi_square)) if exceeding(chi_square, readings.len() - 2) >= SIGNIFICANCE => Ok(fit),
                    _ => Self::curve(readings, error, vec![IrisWarning::CurveTaken]),
                }
            }
        }
    }

    /// The straight line of least squares in the shape's own measure, and its chi-square.
    fn shaped(
        shape: IrisShape,
        widest: Stop,
        readings: &[StopReading],
        error: Angle,
    ) -> Result<(Self, f64), IrisError> {
        let points: Vec<(f64, f64)> = readings.iter().map(|r| (shape.turn(r.stop, widest), r.at.to_deg())).collect();
        let n = points.len() as f64;
        let middle = points.iter().map(|p| p.0).sum::<f64>() / n;
        let mean = points.iter().map(|p| p.1).sum::<f64>() / n;
        let spread: f64 = points.iter().map(|p| (p.0 - middle).powi(2)).sum();
        let rate = points.iter().map(|p| (p.0 - middle) * (p.1 - mean)).sum::<f64>() / spread;
        if rate.is_nan() || rate <= 0.0 {
            return Err(IrisError::RunsBackwards);
        }
        let law = IrisLaw::Shaped { shape, widest, open: Angle::deg(mean - rate * middle), rate };
        let residuals = residuals(&law, readings);
        let worst = residuals.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        let chi_square = residuals.iter().map(|(_, off)| (*off / error).powi(2)).sum();
        let mut warnings = Vec::new();
        if let Some((reading, off)) = worst
            && exceeding(chi_square, readings.len() - 2) < SIGNIFICANCE
        {
            warnings.push(IrisWarning::Scatter { worst: off.abs(), stop: reading.stop });
        }
        let variance = error.to_deg().powi(2);
        let errors = IrisErrors::Line { middle, at_middle: variance / n, per_turn: variance / spread };
        Ok((IrisCalibration { law, residuals, warnings, errors }, chi_square))
    }

    fn curve(readings: &[StopReading], error: Angle, warnings: Vec<IrisWarning>) -> Result<Self, IrisError> {
        let points = joined(readings);
        if points.len() < 3 {
            return Err(IrisError::TooFew { need: 3, have: points.len() });
        }
        if points.windows(2).any(|pair| pair[0].1 >= pair[1].1) {
            return Err(IrisError::RunsBackwards);
        }
        let curve = Monotone::through(&points).ok_or(IrisError::RunsBackwards)?;
        let law = IrisLaw::Curve(curve);
        Ok(IrisCalibration { residuals: residuals(&law, readings), law, warnings, errors: IrisErrors::Readings(error) })
    }

    /// Standard error of the mark at a stop, on the ring; `None` where the law does not reach.
    pub fn angle_error(&self, stop: Stop) -> Option<Angle> {
        self.law.angle(stop)?;
        match (self.errors, &self.law) {
            (IrisErrors::Line { middle, at_middle, per_turn }, IrisLaw::Shaped { shape, widest, .. }) => {
                let off = shape.turn(stop, *widest) - middle;
                Angle::try_deg((at_middle + per_turn * off * off).sqrt())
            }
            (IrisErrors::Readings(error), _) => Some(error),
            (IrisErrors::Light(errors), law) => errors.angle_error(law, stop),
            _ => None,
        }
    }

    /// The same in stops of light: what the mark may be off when the ring stands at it.
    pub fn stops_error(&self, stop: Stop) -> Option<f64> {
        let per_stop = self.law.degrees_per_stop(stop).filter(|per_stop| *per_stop > 0.0)?;
        Some(self.angle_error(stop)?.to_deg() / per_stop)
    }

    /// A law that exposures gave, over T-stops.
    pub(super) fn of_light(law: IrisLaw, residuals: Vec<(StopReading, Angle)>, errors: LightErrors) -> Self {
        IrisCalibration { law, residuals, warnings: Vec::new(), errors: IrisErrors::Light(errors) }
    }
}

fn residuals(law: &IrisLaw, readings: &[StopReading]) -> Vec<(StopReading, Angle)> {
    readings.iter().filter_map(|reading| Some((*reading, reading.at - law.angle(reading.stop)?))).collect()
}

/// (stops from f/1, degrees), repeats averaged, in rising order.
fn joined(readings: &[StopReading]) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = readings.iter().map(|r| (r.stop.in_stops(), r.at.to_deg())).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Vec<(f64, f64, f64)> = Vec::new();
    for (x, y) in points {
        match out.last_mut() {
            Some(last) if x - last.0 < 1e-9 => {
                last.1 = (last.1 * last.2 + y) / (last.2 + 1.0);
                last.2 += 1.0;
            }
            _ => out.push((x, y, 1.0)),
        }
    }
    out.into_iter().map(|(x, y, _)| (x, y)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;
    use crate::units::Division;

    fn reading(stop: f64, at: f64) -> StopReading {
        StopReading { stop: Stop::nominal(stop, Division::Full).unwrap(), at: Angle::deg(at) }
    }

    #[test]
    fn even_readings_are_recognised_and_partial_sets_reach_the_rest() {
        let readings = [reading(4.0, 10.0), reading(5.6, 20.1), reading(11.0, 40.0)];
        let fit = IrisCalibration::new(IrisChoice::Auto, None, &readings, Angle::deg(0.3)).unwrap();
        assert_eq!(fit.law.kind(), "even");
        assert_close(fit.law.angle(Stop::from_sixths(48)).unwrap().to_deg(), 50.0, 0.2);
        assert_close(fit.law.angle(Stop::from_sixths(12)).unwrap().to_deg(), -10.0, 0.2);
    }

    #[test]
    fn blades_are_told_from_the_other_mechanisms() {
        let widest = Stop::from_sixths(12);
        let readings: Vec<StopReading> = [12, 18, 24, 36, 48]
            .into_iter()
            .map(Stop::from_sixths)
            .map(|stop| StopReading { stop, at: Angle::deg(5.0 + 60.0 * IrisShape::Blades.turn(stop, widest)) })
            .collect();
        let fit = IrisCalibration::new(IrisChoice::Auto, None, &readings, Angle::deg(0.1)).unwrap();
        assert_eq!(fit.law.kind(), "blades");
        assert_close(fit.residuals.iter().map(|r| r.1.to_deg().abs()).fold(0.0, f64::max), 0.0, 1e-9);
    }

    #[test]
    fn a_cam_takes_the_curve_and_ends_at_its_readings() {
        let readings =
            [reading(2.0, 0.0), reading(2.8, 3.0), reading(4.0, 25.0), reading(8.0, 30.0), reading(16.0, 60.0)];
        let fit = IrisCalibration::new(IrisChoice::Auto, None, &readings, Angle::deg(0.3)).unwrap();
        assert_eq!(fit.law.kind(), "curve");
        assert_eq!(fit.warnings, [IrisWarning::CurveTaken]);
        assert_eq!(fit.law.angle(Stop::from_sixths(54)), None);
    }

    #[test]
    fn two_readings_are_taken_as_even_and_it_is_said() {
        let fit =
            IrisCalibration::new(IrisChoice::Auto, None, &[reading(2.8, 0.0), reading(16.0, 50.0)], Angle::deg(0.5))
                .unwrap();
        assert_close(fit.law.angle(Stop::from_sixths(30)).unwrap().to_deg(), 20.0, 1e-9);
        assert!(matches!(fit.warnings[..], [IrisWarning::TwoReadings { .. }]));
        // error propagation of a line through two readings: 0.5 deg at each of them
        assert_close(fit.angle_error(Stop::from_sixths(18)).unwrap().to_deg(), 0.5, 1e-9);
    }

    #[test]
    fn one_stop_is_too_few_and_a_backward_ring_is_refused() {
        let one = [reading(4.0, 10.0), reading(4.0, 10.5)];
        let refused = IrisCalibration::new(IrisChoice::Auto, None, &one, Angle::deg(0.5)).unwrap_err();
        assert_eq!(refused, IrisError::TooFew { need: 2, have: 1 });
        let back = [reading(4.0, 10.0), reading(8.0, 0.0)];
        let refused = IrisCalibration::new(IrisChoice::Even, None, &back, Angle::deg(0.5)).unwrap_err();
        assert_eq!(refused, IrisError::RunsBackwards);
    }

    #[test]
    fn a_stop_read_again_and_again_stands_at_the_mean_of_its_positions() {
        let reading = |sixths, at| StopReading { stop: Stop::from_sixths(sixths), at: Angle::deg(at) };
        let readings = [reading(18, 20.0), reading(12, 4.0), reading(12, 5.5), reading(18, 21.0), reading(12, 7.0)];
        let points = joined(&readings);
        assert_eq!(points.len(), 2);
        // by hand: f/2 at (4 + 5.5 + 7)/3 degrees, f/2.8 at (20 + 21)/2
        for (point, (stops, at)) in points.iter().zip([(2.0, 5.5), (3.0, 20.5)]) {
            assert_close(point.0, stops, 1e-12);
            assert_close(point.1, at, 1e-12);
        }
    }

    #[test]
    fn a_mark_is_as_uncertain_as_readings_moved_by_their_errors_make_it() {
        let (widest, error) = (Stop::from_sixths(12), Angle::deg(0.01));
        let laws = [
            (IrisChoice::Even, IrisShape::Even, 9.0),
            (IrisChoice::Diameter, IrisShape::Diameter, 55.0),
            (IrisChoice::Blades, IrisShape::Blades, 60.0),
        ];
        for (choice, shape, rate) in laws {
            let reading = |stop| StopReading { stop, at: Angle::deg(5.0 + rate * shape.turn(stop, widest)) };
            let readings = [12, 18, 24, 36, 48].map(Stop::from_sixths).map(reading);
            let fit = IrisCalibration::new(choice, None, &readings, error).unwrap();
            for stop in [12, 15, 30, 54].map(Stop::from_sixths) {
                let at = fit.law.angle(stop).unwrap();
                // independent: one reading after the other is moved by its error and the law fitted again
                let moved = |i: usize| {
                    let mut readings = readings;
                    readings[i].at = readings[i].at + error;
                    let law = IrisCalibration::new(choice, None, &readings, error).unwrap().law;
                    (law.angle(stop).unwrap() - at).to_deg()
                };
                let sigma = (0..readings.len()).map(|i| moved(i).powi(2)).sum::<f64>().sqrt();
                assert_close(fit.angle_error(stop).unwrap().to_deg() / sigma, 1.0, 1e-6);
                // in light: the stops at which the iris stands with the ring so far off to either side
                let light = |off: f64| fit.law.stop(at + Angle::deg(off)).unwrap().in_stops();
                let stops = 0.5 * (light(sigma) - light(-sigma));
                assert_close(fit.stops_error(stop).unwrap() / stops, 1.0, 1e-3);
            }
        }
    }
}
