//! One law from two kinds of evidence: stops read on the ring, and exposures at positions of the ring.
//!
//! ```text
//! reading    at_j = a + b x(Nv_j)                        Nv = 2 log2 N, x: the shape's own measure
//! exposure   at_i = a + b x(s - e_i)                     e: stops, brighter is more
//!
//! a, b  where the ring stands wide open, degrees to the unit of x
//! s     the stop, in stops from f/1, whose exposure would be 0
//! ```
//!
//! The image's illuminance goes as 1/T^2, so an exposure e belongs to the stop s - e on any one lens. An error of the
//! ring enters as it is, one of the exposure over b x'. The weights change with b and s, so the equations are solved
//! again until they converge; minimising over the weights too would favour a steep law. Where s is known beforehand
//! it is not an unknown.

use crate::calibration::{IrisError, StopReading};
use crate::optics::IrisShape;
use crate::units::{Angle, Stop};

use super::Exposure;

/// A matrix over a, b and s.
pub(super) type Matrix = [[f64; 3]; 3];

/// What is measured, and how well.
#[derive(Clone, Copy)]
pub(super) struct Evidence<'a> {
    pub readings: &'a [StopReading],
    /// Standard error of a position of the ring, degrees.
    pub at_error: f64,
    /// Standard error of an exposure, stops.
    pub error: f64,
    /// s, where a reference gives it.
    pub sum: Option<f64>,
}

/// A law of one shape with its errors.
#[derive(Clone, Copy)]
pub(super) struct Joint {
    pub shape: IrisShape,
    pub widest: Stop,
    pub open: f64,
    pub rate: f64,
    pub sum: f64,
    pub covariance: Matrix,
    pub chi_square: f64,
    pub freedom: usize,
}

/// Rounds at most; well-posed fits converge in about six.
const ROUNDS: usize = 50;

impl Joint {
    /// The law of `shape` that fits best.
    ///
    /// # Errors
    /// When the evidence does not fix a law, or it runs backwards.
    pub fn fit(shape: IrisShape, widest: Stop, evidence: Evidence, exposures: &[Exposure]) -> Result<Self, IrisError> {
        let unknowns = if evidence.sum.is_some() { 2 } else { 3 };
        let have = evidence.readings.len() + exposures.len();
        let too_few = IrisError::TooFew { need: unknowns, have };
        if have < unknowns {
            return Err(too_few);
        }
        let (mut at, mut covariance) = (start(shape, widest, evidence, exposures)?, [[0.0; 3]; 3]);
        for _ in 0..ROUNDS {
            let rows = rows(shape, widest, evidence, exposures, at);
            let (step, inverse) = solve(&rows, unknowns).ok_or(too_few)?;
            covariance = inverse;
            (0..3).for_each(|i| at[i] += step[i]);
            if at[1] <= 0.0 || at.iter().any(|value| !value.is_finite()) {
                return Err(IrisError::RunsBackwards);
            }
            let moved = step[0].abs() + step[1].abs() + at[1] * step[2].abs();
            if moved < 1e-10 * (1.0 + at[1].abs()) {
                break;
            }
        }
        let chi_square =
            rows(shape, widest, evidence, exposures, at).iter().map(|row| row.weight * row.off * row.off).sum();
        let [open, rate, sum] = at;
        Ok(Joint { shape, widest, open, rate, sum, covariance, chi_square, freedom: have - unknowns })
    }

    /// The stop at a position of the ring, in stops from f/1.
    pub fn stops_at(&self, at: Angle) -> Option<f64> {
        let number = self.shape.number((at.to_deg() - self.open) / self.rate, self.widest)?;
        Some(2.0 * number.log2())
    }

    /// The ring's position at a stop.
    pub fn angle(&self, stop: Stop) -> f64 {
        self.open + self.rate * self.shape.turn(stop, self.widest)
    }

    /// Slope of the predicted exposure at a position along a, b and s, and degrees to a stop there.
    pub fn exposure_slope(&self, at: Angle) -> Option<([f64; 3], f64)> {
        let stop = exact(self.stops_at(at)?);
        let per_stop = self.rate * self.shape.turn_per_stop(stop, self.widest);
        Some(([1.0 / per_stop, self.shape.turn(stop, self.widest) / per_stop, 1.0], per_stop))
    }
}

/// The stop so many stops from f/1.
pub(super) fn exact(stops: f64) -> Stop {
    Stop::exact((0.5 * stops.clamp(-20.0, 40.0)).exp2())
}

/// `vector' matrix vector`.
pub(super) fn variance(matrix: &Matrix, vector: [f64; 3]) -> f64 {
    (0..3).map(|i| (0..3).map(|j| vector[i] * matrix[i][j] * vector[j]).sum::<f64>()).sum()
}

struct Equation {
    slope: [f64; 3],
    /// Observed minus computed, degrees.
    off: f64,
    weight: f64,
}

fn start(shape: IrisShape, widest: Stop, evidence: Evidence, exposures: &[Exposure]) -> Result<[f64; 3], IrisError> {
    let measured =
        |stop: Stop, at: Angle| Equation { slope: [1.0, shape.turn(stop, widest), 0.0], off: at.to_deg(), weight: 1.0 };
    let mut points: Vec<Equation> = evidence.readings.iter().map(|r| measured(r.stop, r.at)).collect();
    if let Some(sum) = evidence.sum {
        points.extend(exposures.iter().map(|e| measured(exact(sum - e.stops), e.at)));
    }
    let ([open, rate, _], _) = solve(&points, 2).ok_or(IrisError::TooFew { need: 2, have: 1 })?;
    if rate <= 0.0 {
        return Err(IrisError::RunsBackwards);
    }
    let sums: Vec<f64> = exposures
        .iter()
        .filter_map(|e| Some(2.0 * shape.number((e.at.to_deg() - open) / rate, widest)?.log2() + e.stops))
        .collect();
    let mean = sums.iter().sum::<f64>() / sums.len().max(1) as f64;
    Ok([open, rate, evidence.sum.unwrap_or(mean)])
}

fn rows(shape: IrisShape, widest: Stop, evidence: Evidence, exposures: &[Exposure], at: [f64; 3]) -> Vec<Equation> {
    let [open, rate, sum] = at;
    let ring = evidence.at_error.powi(2);
    let reading = |r: &StopReading| {
        let turn = shape.turn(r.stop, widest);
        Equation { slope: [1.0, turn, 0.0], off: r.at.to_deg() - open - rate * turn, weight: 1.0 / ring }
    };
    let exposure = |e: &Exposure| {
        let stop = exact(sum - e.stops);
        let (turn, per_stop) = (shape.turn(stop, widest), rate * shape.turn_per_stop(stop, widest));
        let weight = 1.0 / (ring + (per_stop * evidence.error).powi(2));
        Equation { slope: [1.0, turn, per_stop], off: e.at.to_deg() - open - rate * turn, weight }
    };
    evidence.readings.iter().map(reading).chain(exposures.iter().map(exposure)).collect()
}

/// Weighted least squares in the first `unknowns` of three: the solution and the inverse of the normal equations.
fn solve(rows: &[Equation], unknowns: usize) -> Option<([f64; 3], Matrix)> {
    let (mut left, mut right, mut gradient) = ([[0.0; 3]; 3], [[0.0; 3]; 3], [0.0; 3]);
    for row in rows {
        for i in 0..unknowns {
            gradient[i] += row.weight * row.slope[i] * row.off;
            (0..unknowns).for_each(|j| left[i][j] += row.weight * row.slope[i] * row.slope[j]);
        }
    }
    (0..unknowns).for_each(|i| right[i][i] = 1.0);
    let size: [f64; 3] = std::array::from_fn(|i| left[i][i]);
    // symmetric and positive: elimination needs no pivoting, and a vanishing pivot means an undetermined unknown
    for column in 0..unknowns {
        let pivot = left[column][column];
        if pivot.is_nan() || pivot <= 1e-12 * size[column] {
            return None;
        }
        for j in 0..unknowns {
            left[column][j] /= pivot;
            right[column][j] /= pivot;
        }
        for i in (0..unknowns).filter(|i| *i != column) {
            let factor = left[i][column];
            for j in 0..unknowns {
                left[i][j] -= factor * left[column][j];
                right[i][j] -= factor * right[column][j];
            }
        }
    }
    let solution = std::array::from_fn(|i| (0..3).map(|j| right[i][j] * gradient[j]).sum());
    Some((solution, right))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn a_weighted_line_is_numpys() {
        // numpy 2.4: polyfit(x, y, 1, w = 1/sigma, cov = "unscaled")
        let points = [(0.0, 0.4, 0.5), (1.05, 12.9, 1.3), (2.0, 23.5, 1.3), (3.1, 38.2, 1.3), (5.0, 60.3, 0.5)];
        let rows: Vec<Equation> = points
            .iter()
            .map(|(x, y, sigma)| Equation { slope: [1.0, *x, 0.0], off: *y, weight: 1.0 / (sigma * sigma) })
            .collect();
        let ([open, rate, _], covariance) = solve(&rows, 2).unwrap();
        assert_close(open, 0.357_714_423_515, 1e-9);
        assert_close(rate, 11.990_552_133_255, 1e-9);
        assert_close(covariance[0][0], 0.215_767_658_285, 1e-9);
        assert_close(covariance[0][1], -0.046_920_693_739, 1e-9);
        assert_close(covariance[1][1], 0.019_402_499_639, 1e-9);
    }

    #[test]
    fn without_errors_the_law_and_the_zero_of_the_exposures_come_back() {
        let widest = Stop::from_sixths(12);
        for shape in [IrisShape::Even, IrisShape::Diameter, IrisShape::Blades] {
            let rate = if shape == IrisShape::Even { 11.0 } else { 80.0 };
            let at = |stop: Stop| Angle::deg(4.0 + rate * shape.turn(stop, widest));
            let readings: Vec<StopReading> =
                [12, 30, 48].map(Stop::from_sixths).map(|stop| StopReading { stop, at: at(stop) }).to_vec();
            let exposures: Vec<Exposure> = [18.0, 24.0, 33.0, 42.0]
                .map(|sixths: f64| Exposure { at: at(exact(sixths / 6.0)), stops: 9.3 - sixths / 6.0 })
                .to_vec();
            let evidence = Evidence { readings: &readings, at_error: 0.5, error: 0.1, sum: None };
            let fit = Joint::fit(shape, widest, evidence, &exposures).unwrap();
            assert_close(fit.open, 4.0, 1e-7);
            assert_close(fit.rate, rate, 1e-6);
            assert_close(fit.sum, 9.3, 1e-7);
            assert_eq!(fit.freedom, 4);
        }
    }

    #[test]
    fn one_position_fixes_no_law() {
        let exposures = [0.0, -0.01].map(|stops| Exposure { at: Angle::deg(3.0), stops });
        let evidence = Evidence { readings: &[], at_error: 0.5, error: 0.1, sum: None };
        assert!(Joint::fit(IrisShape::Even, Stop::from_sixths(12), evidence, &exposures).is_err());
    }
}
