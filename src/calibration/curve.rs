//! The curve of a cam: a monotone curve near the readings, and how far it can be trusted between them.
//!
//! In u = 1/(D - C0) a plain thread is a straight line. A cam's departure from it is modelled as a smooth random function
//! (universal kriging) of a size s and a reach l. All sizes and reaches that the readings allow are averaged, weighted by
//! their likelihood, so that the error of the curve between two readings is neither zero nor arbitrary. The law is the
//! monotone cubic through closely spaced values of that average.
//!
//! ```text
//! angle(u) = b0 + b1 u + s m(|u - u'|/l) + noise
//! m(h)     = (1 + r + r^2/3) exp(-r),  r = sqrt(5) h         Matérn covariance, twice differentiable
//! ```
//!
//! Source: C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, MIT Press 2006, eqs. 2.25, 2.41,
//! 2.42 and 4.17 (from memory); checked against the library scikit-learn.

use super::warning::CalibrationError;
use super::{Known, Reading};
use crate::optics::CurveLaw;
use crate::units::{Angle, Distance, Length};

/// A curve with what its errors are computed from.
#[derive(Clone, Debug)]
pub(super) struct CurveFit {
    pub law: CurveLaw,
    /// (u, standard error in degrees), in rising order.
    errors: Vec<(f64, f64)>,
    joints: Vec<Joint>,
    known: Known,
    readings: Vec<Reading>,
}

/// Readings at one distance joined.
#[derive(Clone, Copy, Debug)]
struct Joint {
    u: f64,
    distance: Distance,
    angle: f64,
    /// Standard error of a single reading here, and of all of them together, degrees.
    single: f64,
    sigma: f64,
}

/// u, angle and standard error in degrees.
type Weights = Vec<(f64, f64, f64)>;

/// The most joints: further ones are merged with their neighbours, because the work grows with the third power.
const MOST_JOINTS: usize = 64;
/// Values between two joints: enough for the cubic through them to follow the curve.
const BETWEEN: usize = 6;

impl CurveFit {
    pub fn new(known: &Known, readings: &[Reading]) -> Result<Self, CalibrationError> {
        let (law, joints, row) = through(known, readings, Mixture::at)?;
        let errors = row.into_iter().map(|(u, _, sigma)| (u, sigma)).collect();
        Ok(CurveFit { law, errors, joints, known: *known, readings: readings.to_vec() })
    }

    /// The curve with one more reading.
    pub fn with(&self, reading: &Reading) -> Option<Self> {
        let readings: Vec<Reading> = self.readings.iter().chain([reading]).copied().collect();
        CurveFit::new(&self.known, &readings).ok()
    }

    /// Standard error in degrees at a distance; `None` outside the readings.
    pub fn angle_error(&self, distance: Distance) -> Option<f64> {
        self.law.angle(distance)?;
        let u = distance.to_mm().map_or(0.0, |d| 1.0 / (d - self.law.offset().to_mm()));
        let i = self.errors.partition_point(|(at, _)| *at <= u).clamp(1, self.errors.len() - 1);
        let ((a, from), (b, to)) = (self.errors[i - 1], self.errors[i]);
        let share = ((u - a) / (b - a)).clamp(0.0, 1.0);
        Some(from + share * (to - from))
    }

    /// The standard error that was expected of one reading, degrees.
    pub fn reading_error(&self, reading: &Reading) -> Option<f64> {
        self.joints.iter().find(|joint| joint.distance == reading.distance).map(|joint| joint.single)
    }
}

/// The law through the readings, their joints, and the values that it goes through; `at` computes each of these.
fn through(
    known: &Known,
    readings: &[Reading],
    at: fn(&Mixture, f64) -> (f64, f64),
) -> Result<(CurveLaw, Vec<Joint>, Weights), CalibrationError> {
    let offset = offset(known, readings);
    let joints = joined(offset, readings);
    let too_few = CalibrationError::TooFewForCurve { have: joints.len() };
    if joints.len() < 3 {
        return Err(too_few);
    }
    let mixture = Mixture::through(&joints).ok_or(too_few.clone())?;
    let mut row = Weights::new();
    for pair in joints.windows(2) {
        for i in 0..BETWEEN {
            let u = pair[0].u + (pair[1].u - pair[0].u) * i as f64 / BETWEEN as f64;
            let (angle, sigma) = at(&mixture, u);
            row.push((u, angle, sigma));
        }
    }
    let last = joints.last().map_or(0.0, |joint| joint.u);
    let (angle, sigma) = at(&mixture, last);
    row.push((last, angle, sigma));
    level(&mut row);
    let point = |(u, angle, _): &(f64, f64, f64)| {
        let distance = if *u <= 0.0 { Distance::Infinity } else { Distance::mm(offset.to_mm() + 1.0 / u) };
        Some((distance, Angle::try_deg(*angle)?))
    };
    let points: Vec<(Distance, Angle)> = row.iter().map(point).collect::<Option<_>>().ok_or(too_few.clone())?;
    let law = CurveLaw::through(offset, &points).ok_or(too_few)?;
    Ok((law, joints, row))
}

/// C0: where a whole lens would have it, but nearer than the nearest reading.
fn offset(known: &Known, readings: &[Reading]) -> Length {
    let nearest = readings.iter().filter_map(|r| r.distance.to_mm()).fold(f64::INFINITY, f64::min);
    Length::mm((2.0 * known.focal_length.to_mm()).min(0.8 * nearest))
}

fn joined(offset: Length, readings: &[Reading]) -> Vec<Joint> {
    let mut sorted: Vec<(f64, &Reading)> =
        readings.iter().map(|r| (r.distance.to_mm().map_or(0.0, |d| 1.0 / (d - offset.to_mm())), r)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut groups: Vec<Vec<(f64, &Reading)>> = Vec::new();
    for one in sorted {
        match groups.last_mut() {
            Some(last) if last[0].0 >= one.0 => last.push(one),
            _ => groups.push(vec![one]),
        }
    }
    while groups.len() > MOST_JOINTS {
        groups = groups.chunks(2).map(<[_]>::concat).collect();
    }
    let mean = |group: &[(f64, &Reading)]| {
        let n = group.len() as f64;
        (group.iter().map(|g| g.0).sum::<f64>() / n, group.iter().map(|g| g.1.at.to_deg()).sum::<f64>() / n)
    };
    let middles: Vec<(f64, f64)> = groups.iter().map(|group| mean(group)).collect();
    let joint = |(i, group): (usize, &Vec<(f64, &Reading)>)| {
        let (u, angle) = middles[i];
        // the tape's error goes through the steeper neighbouring chord, in u
        let chord = |a: usize, b: usize| ((middles[b].1 - middles[a].1) / (middles[b].0 - middles[a].0)).abs();
        let before = if i > 0 { chord(i - 1, i) } else { 0.0 };
        let steep = if i + 1 < middles.len() { before.max(chord(i, i + 1)) } else { before };
        let first = group[0].1;
        let at = group.iter().map(|g| g.1.error.at.to_deg()).fold(0.0, f64::max);
        let tape = first.distance.to_mm().map_or(0.0, |d| {
            // du = u^2 dD
            first.error.tape_error(Length::mm(d)).to_mm() * u * u * steep
        });
        let sigma = (at / (group.len() as f64).sqrt()).hypot(tape);
        Joint { u, distance: first.distance, angle, single: at.hypot(tape), sigma }
    };
    groups.iter().enumerate().map(joint).collect()
}

/// Replaces neighbours whose angles fall by their mean until all angles grow (pool-adjacent-violators).
fn level(row: &mut [(f64, f64, f64)]) {
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (_, angle, _) in row.iter() {
        blocks.push((*angle, 1));
        while let [.., a, b] = blocks.as_slice()
            && a.0 > b.0
        {
            let pooled = ((a.0 * a.1 as f64 + b.0 * b.1 as f64) / (a.1 + b.1) as f64, a.1 + b.1);
            blocks.truncate(blocks.len() - 2);
            blocks.push(pooled);
        }
    }
    let angles = blocks.into_iter().flat_map(|(angle, count)| std::iter::repeat_n(angle, count));
    for (place, angle) in row.iter_mut().zip(angles) {
        place.1 = angle;
    }
}

/// Reaches that are tried for the cam's part, as shares of the whole range of u. One shorter than the gaps between readings
/// predicts nothing between them; one of several ranges is a straight line.
const REACHES: [f64; 6] = [0.15, 0.25, 0.4, 0.7, 1.2, 2.0];
/// Sizes that are tried for the cam's part, as shares of the whole turn.
const SIZES: [f64; 8] = [0.0005, 0.002, 0.006, 0.02, 0.06, 0.2, 0.6, 2.0];
/// The averaging drops curves whose likelihood is less than this share of the best.
const NEGLIGIBLE: f64 = 1e-4;

/// All curves that the readings allow, by their likelihood.
struct Mixture {
    parts: Vec<(f64, Kriging)>,
}

impl Mixture {
    fn through(joints: &[Joint]) -> Option<Self> {
        let range = joints.last()?.u - joints.first()?.u;
        let turn = joints.last()?.angle - joints.first()?.angle;
        let mut parts = Vec::new();
        for reach in REACHES {
            let shared = correlations(joints, reach * range);
            for size in SIZES {
                parts.extend(Kriging::new(joints, &shared, reach * range, size * turn.abs().max(1.0)));
            }
        }
        let best = parts.iter().map(|(likelihood, _)| *likelihood).fold(f64::NEG_INFINITY, f64::max);
        let mut parts: Vec<(f64, Kriging)> = parts
            .into_iter()
            .map(|(likelihood, part)| ((likelihood - best).exp(), part))
            .filter(|(weight, _)| *weight > NEGLIGIBLE)
            .collect();
        let sum: f64 = parts.iter().map(|(weight, _)| weight).sum();
        parts.iter_mut().for_each(|(weight, _)| *weight /= sum);
        (!parts.is_empty()).then_some(Mixture { parts })
    }

    /// Each part's prediction at a place, with its weight. Parts of one reach are neighbours and share their correlations.
    fn each<R>(&self, u: f64, says: fn(&Kriging, f64, &[f64]) -> R) -> impl Iterator<Item = (f64, R)> {
        let mut shared: Option<(f64, Vec<f64>)> = None;
        self.parts.iter().map(move |(weight, part)| {
            let known = shared.take().filter(|(reach, _)| *reach == part.reach);
            let (_, correlations) = shared.insert(known.unwrap_or_else(|| (part.reach, part.correlations(u))));
            let near: Vec<f64> = correlations.iter().map(|correlation| part.variance * correlation).collect();
            (*weight, says(part, u, &near))
        })
    }

    /// Angle in degrees.
    fn angle(&self, u: f64) -> f64 {
        self.each(u, Kriging::angle).map(|(weight, angle)| weight * angle).sum()
    }

    /// Angle and standard error in degrees.
    fn at(&self, u: f64) -> (f64, f64) {
        let each: Vec<(f64, f64, f64)> =
            self.each(u, Kriging::at).map(|(weight, (angle, variance))| (weight, angle, variance)).collect();
        let angle: f64 = each.iter().map(|(weight, angle, _)| weight * angle).sum();
        let variance: f64 =
            each.iter().map(|(weight, own, variance)| weight * (variance + (own - angle).powi(2))).sum();
        (angle, variance.max(0.0).sqrt())
    }
}

/// A curve of one size and reach.
struct Kriging {
    u: Vec<f64>,
    reach: f64,
    variance: f64,
    root: Cholesky,
    /// The inverse covariance times the readings' residuals from the line.
    weights: Vec<f64>,
    line: [f64; 2],
    /// Covariance of the line.
    line_covariance: [[f64; 2]; 2],
    /// The inverse covariance times the line's two columns.
    columns: [Vec<f64>; 2],
    scale: f64,
}

impl Kriging {
    /// With its restricted log-likelihood; `correlations` are those of the joints with each other.
    fn new(joints: &[Joint], correlations: &[f64], reach: f64, size: f64) -> Option<(f64, Self)> {
        let u: Vec<f64> = joints.iter().map(|joint| joint.u).collect();
        let scale = u.last().copied().filter(|u| *u > 0.0)?;
        let variance = size * size;
        let n = u.len();
        let mut matrix: Vec<f64> = correlations.iter().map(|correlation| variance * correlation).collect();
        for (i, joint) in joints.iter().enumerate() {
            matrix[i * n + i] += joint.sigma.powi(2);
        }
        let root = Cholesky::of(matrix, n)?;
        let angles: Vec<f64> = joints.iter().map(|joint| joint.angle).collect();
        let basis = [vec![1.0; n], u.iter().map(|u| u / scale).collect::<Vec<f64>>()];
        let columns = [root.solve(&basis[0]), root.solve(&basis[1])];
        let cross = |i: usize, j: usize| dot(&basis[i], &columns[j]);
        let (a, b, d) = (cross(0, 0), cross(0, 1), cross(1, 1));
        let determinant = a * d - b * b;
        if determinant.is_nan() || determinant <= 0.0 {
            return None;
        }
        let line_covariance = [[d / determinant, -b / determinant], [-b / determinant, a / determinant]];
        let moments = [dot(&columns[0], &angles), dot(&columns[1], &angles)];
        let line: [f64; 2] =
            std::array::from_fn(|i| line_covariance[i][0] * moments[0] + line_covariance[i][1] * moments[1]);
        let left: Vec<f64> = (0..n).map(|i| angles[i] - line[0] - line[1] * basis[1][i]).collect();
        let weights = root.solve(&left);
        let likelihood = -0.5 * (root.log_determinant() + determinant.ln() + dot(&left, &weights));
        let kriging = Kriging { u, reach, variance, root, weights, line, line_covariance, columns, scale };
        Some((likelihood, kriging))
    }

    /// Correlations with every joint.
    fn correlations(&self, u: f64) -> Vec<f64> {
        self.u.iter().map(|v| matern((u - v).abs() / self.reach)).collect()
    }

    /// Angle at a place with these covariances to the joints.
    fn angle(&self, u: f64, near: &[f64]) -> f64 {
        self.line[0] + self.line[1] * (u / self.scale) + dot(near, &self.weights)
    }

    /// Angle and variance there.
    fn at(&self, u: f64, near: &[f64]) -> (f64, f64) {
        let basis = [1.0, u / self.scale];
        let angle = self.angle(u, near);
        let rest: [f64; 2] = std::array::from_fn(|i| basis[i] - dot(near, &self.columns[i]));
        let c = &self.line_covariance;
        let line =
            rest[0] * (c[0][0] * rest[0] + c[0][1] * rest[1]) + rest[1] * (c[1][0] * rest[0] + c[1][1] * rest[1]);
        (angle, self.variance - dot(near, &self.root.solve(near)) + line)
    }
}

/// Correlations of the joints with each other, row by row.
fn correlations(joints: &[Joint], reach: f64) -> Vec<f64> {
    joints.iter().flat_map(|a| joints.iter().map(move |b| matern((a.u - b.u).abs() / reach))).collect()
}

fn matern(h: f64) -> f64 {
    let r = 5f64.sqrt() * h;
    (1.0 + r + r * r / 3.0) * (-r).exp()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The lower triangle L of L L' = a symmetric positive matrix.
struct Cholesky {
    lower: Vec<f64>,
    n: usize,
}

impl Cholesky {
    fn of(mut matrix: Vec<f64>, n: usize) -> Option<Self> {
        for j in 0..n {
            for k in 0..j {
                let factor = matrix[j * n + k];
                (j..n).for_each(|i| matrix[i * n + j] -= matrix[i * n + k] * factor);
            }
            let pivot = matrix[j * n + j];
            if pivot.is_nan() || pivot <= 0.0 {
                return None;
            }
            let root = pivot.sqrt();
            (j..n).for_each(|i| matrix[i * n + j] /= root);
        }
        Some(Cholesky { lower: matrix, n })
    }

    fn solve(&self, right: &[f64]) -> Vec<f64> {
        let (n, l) = (self.n, &self.lower);
        let mut x = right.to_vec();
        for i in 0..n {
            for k in 0..i {
                x[i] -= l[i * n + k] * x[k];
            }
            x[i] /= l[i * n + i];
        }
        for i in (0..n).rev() {
            for k in i + 1..n {
                x[i] -= l[k * n + i] * x[k];
            }
            x[i] /= l[i * n + i];
        }
        x
    }

    fn log_determinant(&self) -> f64 {
        (0..self.n).map(|i| 2.0 * self.lower[i * self.n + i].ln()).sum()
    }
}

/// Readings between the nearest and the farthest, by their place.
pub(super) fn interior(readings: &[Reading]) -> impl Iterator<Item = usize> {
    let far = |r: &Reading| r.distance.to_mm().unwrap_or(f64::INFINITY);
    let nearest = readings.iter().map(far).fold(f64::INFINITY, f64::min);
    let farthest = readings.iter().map(far).fold(0.0, f64::max);
    (0..readings.len()).filter(move |i| far(&readings[*i]) > nearest && far(&readings[*i]) < farthest)
}

/// Errors of the curve on left-out inner readings, degrees; `None` where there are too few.
pub(super) fn interior_errors(known: &Known, readings: &[Reading]) -> Option<Vec<f64>> {
    let errors: Vec<f64> = interior(readings)
        .map(|i| {
            let mut others = readings.to_vec();
            let left_out = others.remove(i);
            let (law, ..) = through(known, &others, |mixture, u| (mixture.angle(u), 0.0)).ok()?;
            Some((left_out.at - law.angle(left_out.distance)?).to_deg())
        })
        .collect::<Option<_>>()?;
    (errors.len() >= 2).then_some(errors)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::ReadingError;
    use crate::check::assert_close;

    const U: [f64; 7] = [0.0, 0.1, 0.25, 0.4, 0.6, 0.8, 1.0];
    const ANGLE: [f64; 7] = [0.0, 8.0, 26.0, 47.0, 85.0, 145.0, 180.0];
    const SIGMA: [f64; 7] = [0.5, 0.5, 0.6, 0.7, 0.8, 1.0, 1.2];

    fn joints() -> Vec<Joint> {
        (0..U.len())
            .map(|i| Joint {
                u: U[i],
                distance: Distance::Infinity,
                angle: ANGLE[i],
                single: SIGMA[i],
                sigma: SIGMA[i],
            })
            .collect()
    }

    #[test]
    fn one_curve_and_its_error_are_those_of_scikit_learn() {
        // scikit-learn 1.9.1, GaussianProcessRegressor, kernel 81 Matern(0.4, nu = 2.5) + 1e6 DotProduct(1) for the line,
        // alpha = sigma^2, no optimizer
        let expected = [
            (0.0, -0.268_480_19, 0.488_364_38),
            (0.05, 3.936_471_22, 0.436_136_31),
            (0.33, 36.785_389_9, 0.644_804_01),
            (0.7, 114.884_351_79, 1.001_269_32),
            (0.95, 173.369_952_32, 1.123_158_52),
        ];
        let (_, curve) = Kriging::new(&joints(), &correlations(&joints(), 0.4), 0.4, 9.0).unwrap();
        for (u, angle, sigma) in expected {
            let near: Vec<f64> = curve.correlations(u).iter().map(|correlation| curve.variance * correlation).collect();
            let (found, variance) = curve.at(u, &near);
            // scikit-learn gives the line a prior variance of a million, ours is free
            assert_close(found, angle, 1e-3);
            assert_close(variance.sqrt(), sigma, 1e-4);
        }
    }

    #[test]
    fn reaches_are_weighed_by_their_restricted_likelihood() {
        // numpy 2: -(log|V| + log|H'V^-1 H| + r'V^-1 r)/2 with the same covariance
        for (reach, expected) in [(0.25, -15.399_108_948), (0.4, -22.851_944_328), (0.7, -57.044_021_028)] {
            let (found, _) = Kriging::new(&joints(), &correlations(&joints(), reach), reach, 9.0).unwrap();
            assert_close(found, expected, 1e-6);
        }
    }

    #[test]
    fn a_plain_thread_is_a_straight_line_whose_error_is_that_of_a_weighted_line() {
        let line: Vec<Joint> =
            joints().into_iter().map(|joint| Joint { angle: 3.0 + 50.0 * joint.u, ..joint }).collect();
        let mixture = Mixture::through(&line).unwrap();
        // by hand: variance of a weighted line at its middle is one over the sum of the weights
        let weights: f64 = SIGMA.iter().map(|s| s.powi(-2)).sum();
        let middle = (0..U.len()).map(|i| U[i] * SIGMA[i].powi(-2)).sum::<f64>() / weights;
        let (angle, sigma) = mixture.at(middle);
        assert_close(angle, 3.0 + 50.0 * middle, 1e-6);
        // a cam that the readings do not exclude adds to it
        assert!((1.0..1.3).contains(&(sigma * weights.sqrt())), "{}", sigma * weights.sqrt());
    }

    #[test]
    fn the_lower_triangle_times_itself_is_the_matrix() {
        let matrix = vec![4.0, 2.0, 0.6, 2.0, 5.0, 1.0, 0.6, 1.0, 3.0];
        let root = Cholesky::of(matrix, 3).unwrap();
        // by hand: determinant 4(15-1) - 2(6-0.6) + 0.6(2-3)
        assert_close(root.log_determinant(), (56.0f64 - 10.8 - 0.6).ln(), 1e-12);
        let x = root.solve(&[1.0, 2.0, 3.0]);
        assert_close(0.6 * x[0] + x[1] + 3.0 * x[2], 3.0, 1e-12);
        assert!(Cholesky::of(vec![1.0, 2.0, 2.0, 1.0], 2).is_none());
    }

    #[test]
    fn between_its_values_the_curves_error_is_that_of_the_mixture_at_the_place() {
        let error = ReadingError { distance: Length::mm(4.0), share: 0.002, at: Angle::deg(0.4) };
        let read = |mm: f64, at: f64| Reading::taped(Distance::mm(mm), Angle::deg(at), error);
        let far = Reading::taped(Distance::Infinity, Angle::ZERO, error);
        let readings =
            [far, read(6000.0, 9.0), read(3000.0, 19.0), read(1500.0, 44.0), read(1000.0, 70.0), read(700.0, 118.0)];
        let fit = CurveFit::new(&Known::of(Length::mm(50.0)), &readings).unwrap();
        let mixture = Mixture::through(&fit.joints).unwrap();
        let at = |u: f64| fit.angle_error(Distance::mm(fit.law.offset().to_mm() + 1.0 / u)).unwrap();
        for pair in fit.errors.windows(2) {
            let (far, near) = (pair[0].0, pair[1].0);
            for share in [0.25, 0.5, 0.9] {
                let line = mixture.at(far).1 * (1.0 - share) + mixture.at(near).1 * share;
                assert_close(at(far + share * (near - far)) / line, 1.0, 1e-9);
            }
        }
        // the values stand so close that a straight line between two of them follows the mixture to a tenth
        for mm in [720.0, 810.0, 950.0, 1200.0, 1400.0, 2100.0, 4100.0, 9000.0, 40_000.0] {
            let (_, sigma) = mixture.at(1.0 / (mm - fit.law.offset().to_mm()));
            assert_close(fit.angle_error(Distance::mm(mm)).unwrap() / sigma, 1.0, 0.1);
        }
        assert_eq!(fit.angle_error(Distance::mm(690.0)), None);
    }
}
