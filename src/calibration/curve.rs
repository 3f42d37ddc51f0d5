//! The monotone curve through readings, and how far it can be trusted between them.

use super::doubt::CalibrationError;
use super::{Known, Reading, ReadingError};
use crate::optics::CurveLaw;
use crate::units::{Angle, Distance, Length};

/// A curve with what its trust is computed from.
#[derive(Clone, Debug)]
pub(super) struct CurveFit {
    pub law: CurveLaw,
    knots: Vec<Knot>,
    error: ReadingError,
}

#[derive(Clone, Copy, Debug)]
struct Knot {
    u: f64,
    distance: Distance,
    angle: f64,
    /// Standard error of the readings that were joined here, degrees.
    sigma: f64,
    /// What a curve without this knot misses, degrees; zero at the ends.
    left_out: f64,
}

/// Leaving a reading out doubles the gap there, and the error of the curve grows at least with the square of the gap
/// (common numerics for piecewise cubics with limited slopes): a quarter is what remains with the reading in.
const GAP_SHARE: f64 = 0.25;

impl CurveFit {
    pub fn new(known: &Known, readings: &[Reading], error: &ReadingError) -> Result<Self, CalibrationError> {
        let offset = offset(known, readings);
        let joined = joined(offset, readings);
        if joined.len() < 3 {
            return Err(CalibrationError::TooFewForCurve { have: joined.len() });
        }
        let law = through(offset, &joined).ok_or(CalibrationError::TooFewForCurve { have: joined.len() })?;
        let mut knots: Vec<Knot> = Vec::new();
        for (i, joint) in joined.iter().enumerate() {
            let left_out = if i == 0 || i + 1 == joined.len() { 0.0 } else { missed_without(offset, &joined, i) };
            knots.push(Knot {
                u: joint.u,
                distance: joint.distance,
                angle: joint.angle,
                sigma: 0.0,
                left_out: left_out.abs(),
            });
        }
        for i in 0..knots.len() {
            knots[i].sigma = knot_error(&knots, i, error) / (joined[i].count as f64).sqrt();
        }
        Ok(CurveFit { law, knots, error: *error })
    }

    /// Standard error in degrees at a distance; `None` outside the readings.
    ///
    /// The readings' own errors are carried through linearly, and the curve's error between readings follows the
    /// parabola 4 s (1 - s), s the share of the gap in u.
    pub fn angle_error(&self, distance: Distance) -> Option<f64> {
        self.law.angle(distance)?;
        let u = distance.to_mm().map_or(0.0, |d| 1.0 / (d - self.law.offset().to_mm()));
        let i = self.knots.partition_point(|knot| knot.u <= u).clamp(1, self.knots.len() - 1) - 1;
        let (a, b) = (&self.knots[i], &self.knots[i + 1]);
        let s = ((u - a.u) / (b.u - a.u)).clamp(0.0, 1.0);
        let read = ((1.0 - s) * a.sigma).hypot(s * b.sigma);
        let between = GAP_SHARE * a.left_out.max(b.left_out) * 4.0 * s * (1.0 - s);
        Some(read.hypot(between))
    }

    /// The standard error that was expected of one reading, degrees.
    pub fn reading_error(&self, reading: &Reading) -> Option<f64> {
        let i = self.knots.iter().position(|knot| knot.distance == reading.distance)?;
        Some(knot_error(&self.knots, i, &self.error))
    }
}

/// The tape's error goes through the steeper neighbouring chord.
fn knot_error(knots: &[Knot], i: usize, error: &ReadingError) -> f64 {
    let Distance::Finite(length) = knots[i].distance else {
        return error.at.to_deg();
    };
    let chord = |a: &Knot, b: &Knot| match (a.distance.to_mm(), b.distance.to_mm()) {
        (Some(da), Some(db)) => ((b.angle - a.angle) / (db - da)).abs(),
        _ => 0.0,
    };
    let before = if i > 0 { chord(&knots[i - 1], &knots[i]) } else { 0.0 };
    let after = if i + 1 < knots.len() { chord(&knots[i], &knots[i + 1]) } else { 0.0 };
    error.at.to_deg().hypot(before.max(after) * error.tape_error(length).to_mm())
}

/// Readings at one distance joined, and inversions within the noise levelled.
#[derive(Clone, Copy, Debug)]
struct Joint {
    u: f64,
    distance: Distance,
    angle: f64,
    count: usize,
}

/// C0: where a whole lens would have it, but nearer than the nearest reading.
fn offset(known: &Known, readings: &[Reading]) -> Length {
    let nearest = readings.iter().filter_map(|r| r.distance.to_mm()).fold(f64::INFINITY, f64::min);
    Length::mm((2.0 * known.focal_length.to_mm()).min(0.8 * nearest))
}

fn joined(offset: Length, readings: &[Reading]) -> Vec<Joint> {
    let mut joints: Vec<Joint> = Vec::new();
    for reading in readings {
        let u = reading.distance.to_mm().map_or(0.0, |d| 1.0 / (d - offset.to_mm()));
        joints.push(Joint { u, distance: reading.distance, angle: reading.at.to_deg(), count: 1 });
    }
    joints.sort_by(|a, b| a.u.total_cmp(&b.u));
    let mut out: Vec<Joint> = Vec::new();
    for joint in joints {
        match out.last_mut() {
            Some(last) if last.u >= joint.u => {
                last.angle = (last.angle * last.count as f64 + joint.angle) / (last.count as f64 + 1.0);
                last.count += 1;
            }
            _ => out.push(joint),
        }
    }
    level(&mut out);
    out
}

/// Pools neighbours that run backwards to their mean until the angles grow (pool-adjacent-violators).
fn level(joints: &mut [Joint]) {
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for joint in joints.iter() {
        blocks.push((joint.angle, 1));
        while let [.., a, b] = blocks.as_slice()
            && a.0 > b.0
        {
            let pooled = ((a.0 * a.1 as f64 + b.0 * b.1 as f64) / (a.1 + b.1) as f64, a.1 + b.1);
            blocks.truncate(blocks.len() - 2);
            blocks.push(pooled);
        }
    }
    let angles = blocks.into_iter().flat_map(|(angle, count)| std::iter::repeat_n(angle, count));
    for (joint, angle) in joints.iter_mut().zip(angles) {
        joint.angle = angle;
    }
}

fn through(offset: Length, joints: &[Joint]) -> Option<CurveLaw> {
    let points: Vec<(Distance, Angle)> =
        joints.iter().map(|joint| Some((joint.distance, Angle::try_deg(joint.angle)?))).collect::<Option<_>>()?;
    CurveLaw::through(offset, &points)
}

fn missed_without(offset: Length, joints: &[Joint], i: usize) -> f64 {
    let mut others = joints.to_vec();
    let left_out = others.remove(i);
    let predicted = through(offset, &others).and_then(|law| law.angle(left_out.distance));
    predicted.map_or(0.0, |angle| left_out.angle - angle.to_deg())
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
    let offset = offset(known, readings);
    let errors: Vec<f64> = interior(readings)
        .map(|i| {
            let mut others = readings.to_vec();
            let left_out = others.remove(i);
            let law = through(offset, &joined(offset, &others))?;
            Some(left_out.at.to_deg() - law.angle(left_out.distance)?.to_deg())
        })
        .collect::<Option<_>>()?;
    (errors.len() >= 2).then_some(errors)
}
