//! The travel law fitted to readings and to what is known beforehand.
//!
//! Unknowns: infinity, ln A, C, K, and what readings have in common (`model`). A reading's error combines the ring's and
//! the tape's, the latter carried over through dθ/dD at the current law. It is computed again after each pass until the fit
//! converges, so that errors in both variables count. Prior knowledge enters as further observations with errors of
//! their own (`prior`), so that the same code serves no readings at all, two, or twenty.

use super::least_squares::{Minimum, minimise, quadratic};
use super::model::{Model, angle_slope, groups, rows};
use super::prior::{Prior, both_ways};
use super::unknowns::{C, INFINITY, K, LOG_A, Matrix, N, PLACING, PLAY};
use super::{Known, Origin, Reading};
use crate::optics::TravelLaw;
use crate::units::{Angle, Distance, Length};

/// A fit of the travel law with all that is needed to judge it.
#[derive(Clone, Debug)]
pub(super) struct TravelFit {
    pub model: Model,
    /// Of the readings and of what was known beforehand.
    pub chi_square: f64,
    /// Readings and refutable priors beyond the unknowns they determine.
    pub freedom: usize,
    /// Over the unknowns of the model; absolute.
    pub covariance: Matrix,
}

/// Standard errors of the travel law's constants ([`TravelLaw`]).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TravelErrors {
    /// Of the ring's position at infinity.
    pub infinity: Angle,
    /// Of A, in mm deg.
    pub a_mm_deg: f64,
    /// Of C.
    pub c: Length,
    /// Of K, in mm per degree.
    pub k_mm_per_deg: f64,
}

impl TravelFit {
    /// The law alone.
    pub fn law(&self) -> TravelLaw {
        self.model.law
    }

    /// Standard errors of the law's constants; `None` where one is not finite.
    pub fn standard_errors(&self) -> Option<TravelErrors> {
        Some(TravelErrors {
            infinity: Angle::try_deg(self.sigma(INFINITY))?,
            // the unknown is ln A, so its error is a share of A
            a_mm_deg: self.sigma(LOG_A) * self.model.law.a_mm_deg,
            c: Length::try_mm(self.sigma(C))?,
            k_mm_per_deg: self.sigma(K),
        })
    }

    /// The play and its standard error, degrees.
    pub fn play(&self) -> (f64, f64) {
        (self.model.play, self.sigma(PLAY))
    }

    /// The displacement of a checked strip and its standard error, degrees.
    pub fn placing(&self) -> (f64, f64) {
        (self.model.placing, self.sigma(PLACING))
    }

    fn sigma(&self, unknown: usize) -> f64 {
        self.covariance[unknown][unknown].max(0.0).sqrt()
    }

    /// Standard error of the law's angle in degrees at a distance; `None` where the law does not reach.
    pub fn angle_error(&self, distance: Distance) -> Option<f64> {
        Some(quadratic(&self.covariance, &angle_slope(&self.model.law, distance)?).max(0.0).sqrt())
    }
}

/// Fits the law to readings and priors together; `None` where no law of this form reaches the readings.
pub(super) fn fit(known: &Known, readings: &[Reading], priors: &[Prior]) -> Option<TravelFit> {
    // for a start, the travel of a point that moves with the lens does not matter
    let from_plane: Vec<Reading> = readings.iter().map(roughly_from_the_image_plane).collect();
    let mut starts: Vec<(f64, TravelLaw)> = starts(known, &from_plane)
        .into_iter()
        .filter_map(|start| Some((misfit(&start, readings, priors)?, start)))
        .collect();
    starts.sort_by(|a, b| a.0.total_cmp(&b.0));
    starts
        .into_iter()
        .filter_map(|(_, start)| fit_from(Model::plain(start, readings), readings, priors))
        .take(SERIOUS_STARTS)
        .min_by(|a, b| a.chi_square.total_cmp(&b.chi_square))
}

/// The fit is run from so many of the best starts: two, in case one is at the edge of the law's reach.
const SERIOUS_STARTS: usize = 2;

fn roughly_from_the_image_plane(reading: &Reading) -> Reading {
    match (reading.from, reading.distance) {
        (Origin::Ahead { by, .. }, Distance::Finite(taped)) => {
            Reading { distance: Distance::Finite(taped + by), from: Origin::ImagePlane, ..*reading }
        }
        _ => *reading,
    }
}

/// The fit from a law that is already close.
pub(super) fn fit_near(model: Model, readings: &[Reading], priors: &[Prior]) -> Option<TravelFit> {
    fit_from(model, readings, priors)
}

/// Sum of squares at a law, for choosing where to start.
fn misfit(law: &TravelLaw, readings: &[Reading], priors: &[Prior]) -> Option<f64> {
    let model = Model::plain(*law, readings);
    let mut sum = 0.0;
    for reading in readings {
        sum += (model.off(reading)? / model.error(reading)?).powi(2);
    }
    for prior in priors {
        sum += prior.row(&model.to_vector())?.residual.powi(2);
    }
    Some(sum)
}

/// Passes that compute the readings' errors again, at most; they converge in about five.
const PASSES: usize = 20;

fn fit_from(start: Model, readings: &[Reading], priors: &[Prior]) -> Option<TravelFit> {
    let groups = groups(readings);
    let mut model = start;
    let mut found: Option<Minimum<N>> = None;
    for _ in 0..PASSES {
        let errors: Vec<(f64, f64)> = readings.iter().map(|r| model.errors(r)).collect::<Option<_>>()?;
        let before = model.to_vector();
        let minimum = minimise(before, |p| rows(p, readings, &groups, &errors, priors))?;
        let moved = (0..N).map(|i| (minimum.at[i] - before[i]).abs() / minimum.covariance[i][i].sqrt());
        let settled = moved.fold(0.0, f64::max) < 1e-4;
        model = Model::from_vector(&minimum.at)?;
        found = Some(minimum);
        if settled {
            break;
        }
    }
    let minimum = found?;
    let observations = readings.len() + priors.iter().filter(|p| p.refutable()).count();
    let unknowns = 4 + usize::from(both_ways(readings));
    Some(TravelFit {
        model,
        chi_square: minimum.chi_square,
        freedom: observations.saturating_sub(unknowns),
        covariance: minimum.covariance,
    })
}

/// Laws to start from: for a choice of C and K, θ is linear in the turn of unit A, so infinity and A come from a
/// straight line.
fn starts(known: &Known, readings: &[Reading]) -> Vec<TravelLaw> {
    let f = known.focal_length.to_mm();
    let nominal_c = 2.0 * f + known.principal_gap.map_or(0.0, |gap| gap.to_mm());
    let nearest = readings.iter().filter_map(|r| r.distance.to_mm()).fold(f64::INFINITY, f64::min);
    let mut laws = Vec::new();
    for c in [nominal_c, 0.0, 0.4 * nearest, 0.8 * nearest].into_iter().filter(|c| c.is_finite()) {
        for k in [known.lead.map(|lead| lead.to_mm() / 360.0), Some(f / 1000.0), Some(0.0)].into_iter().flatten() {
            laws.extend(start_with(c, k, f, readings));
        }
    }
    laws
}

fn start_with(c: f64, k: f64, f: f64, readings: &[Reading]) -> Option<TravelLaw> {
    let named = |a: f64| TravelLaw { infinity: Angle::ZERO, a_mm_deg: a, c_mm: c, k_mm_per_deg: k };
    let by_name = named(f * f / if k > 0.0 { k } else { f / 1000.0 });
    let mut points = Vec::new();
    for reading in readings {
        let x = match reading.distance {
            Distance::Infinity => 0.0,
            // where the nearest reading lies beyond the law's reach, its tangent form A/(D - C) starts as well
            Distance::Finite(d) if d.to_mm() > c => 1.0 / (d.to_mm() - c),
            Distance::Finite(_) => return None,
        };
        points.push((x, reading.at.to_deg()));
    }
    let line = straight_line(&points);
    let law = match line {
        Some((zero, a)) if a > 0.0 => TravelLaw { infinity: Angle::try_deg(zero)?, ..named(a) },
        _ => {
            let zero = points.first().map_or(0.0, |(x, y)| y - by_name.a_mm_deg * x);
            TravelLaw { infinity: Angle::try_deg(zero)?, ..by_name }
        }
    };
    // A steep start may not reach the nearest reading; less front travel always does.
    let reaches = |law: &TravelLaw| readings.iter().all(|r| law.angle(r.distance).is_some());
    [1.0, 0.5, 0.1, 0.001].iter().map(|share| TravelLaw { k_mm_per_deg: k * share, ..law }).find(reaches)
}

fn straight_line(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let n = points.len() as f64;
    let (mean_x, mean_y) = (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
    let spread: f64 = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
    let joint: f64 = points.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum();
    let slope = joint / spread;
    slope.is_finite().then_some((mean_y - slope * mean_x, slope))
}
