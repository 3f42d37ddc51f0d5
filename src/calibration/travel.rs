//! The travel law fitted to readings and to what is known beforehand.
//!
//! Unknowns: infinity, ln A, C, K. Each reading's error joins the ring's and the tape's, the latter carried
//! over through dθ/dD at the current law, and is brought up to date until nothing moves; so a fit honours
//! errors in both variables. What is known beforehand enters as further observations with errors of their own,
//! which lets the same code serve no readings at all, two, or twenty.

use super::least_squares::{Matrix, Minimum, Row, Vector, minimise, quadratic};
use super::{Known, Moves, Reading, ReadingError};
use crate::optics::TravelLaw;
use crate::units::{Angle, Distance};

/// Name rings are rounded: the true focal length is rarely more than 3 % off (common practice, no source).
/// Wider would give theory-only scales no worth; narrower would fight true readings.
const NAME_RING_SHARE: f64 = 0.03;
/// Without a data sheet the gap of the principal planes is taken as zero give or take this share of F: traced lenses
/// have gaps from -0.3 F to 0.9 F, and one telephoto 1.2 F. Half of F would pull retrofocus lenses off their readings,
/// more would waste what the name ring tells.
const UNKNOWN_GAP_SHARE: f64 = 0.75;
/// A lead counted from the thread or measured over one turn is good to half a percent (common practice, no source).
const LEAD_SHARE: f64 = 0.005;
/// Without any reading of infinity the zero of the angles is unknown; a full turn says as much and keeps the
/// equations regular.
const UNKNOWN_ZERO_DEG: f64 = 360.0;

/// Something known beforehand: a function of the unknowns, its value and its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Prior {
    /// ln sqrt(A K), the logarithm of the moving focal length.
    LogFocalLength { value: f64, sigma: f64 },
    /// C in mm.
    Offset { value: f64, sigma: f64 },
    /// K in mm per degree.
    Travel { value: f64, sigma: f64 },
    /// The infinity position in degrees.
    Infinity { value: f64, sigma: f64 },
}

impl Prior {
    fn row(self, p: &Vector) -> Option<Row> {
        let [infinity, log_a, c, k] = *p;
        let (observed, slope, value, sigma) = match self {
            Prior::LogFocalLength { value, sigma } => {
                (k > 0.0).then_some((0.5 * (log_a + k.ln()), [0.0, 0.5, 0.0, 0.5 / k], value, sigma))?
            }
            Prior::Offset { value, sigma } => (c, [0.0, 0.0, 1.0, 0.0], value, sigma),
            Prior::Travel { value, sigma } => (k, [0.0, 0.0, 0.0, 1.0], value, sigma),
            Prior::Infinity { value, sigma } => (infinity, [1.0, 0.0, 0.0, 0.0], value, sigma),
        };
        Some(Row { residual: (observed - value) / sigma, slope: slope.map(|s| s / sigma) })
    }

    /// Whether readings can refute it; the zero of the angles is a convention.
    fn says_something(self) -> bool {
        !matches!(self, Prior::Infinity { .. })
    }
}

/// A fit of the travel law with all that is needed to judge it.
#[derive(Clone, Debug)]
pub(super) struct TravelFit {
    pub law: TravelLaw,
    /// Of the readings and of what was known beforehand.
    pub chi_square: f64,
    /// Readings and refutable priors beyond the unknowns they determine.
    pub freedom: usize,
    /// Over infinity, ln A, C, K; absolute.
    pub covariance: Matrix,
}

impl TravelFit {
    /// Standard errors of infinity (deg), A (mm deg), C (mm) and K (mm/deg).
    pub fn standard_errors(&self) -> [f64; 4] {
        let sigma: [f64; 4] = std::array::from_fn(|i| self.covariance[i][i].max(0.0).sqrt());
        [sigma[0], sigma[1] * self.law.a_mm_deg, sigma[2], sigma[3]]
    }

    /// Standard error of the law's angle in degrees at a distance; `None` where the law does not reach.
    pub fn angle_error(&self, distance: Distance) -> Option<f64> {
        Some(quadratic(&self.covariance, &angle_slope(&self.law, distance)?).max(0.0).sqrt())
    }
}

/// The angle's slope along infinity, ln A, C and K at fixed distance.
///
/// ```text
/// with g = dD/dt = K - A/t^2:   dt/dlnA = -A/(t g)    dt/dC = -1/g    dt/dK = -t/g
/// ```
fn angle_slope(law: &TravelLaw, distance: Distance) -> Option<Vector> {
    let Distance::Finite(length) = distance else {
        return Some([1.0, 0.0, 0.0, 0.0]);
    };
    let t = law.turn(length.to_mm())?;
    let g = law.slope(t);
    (g < 0.0).then(|| [1.0, -law.a_mm_deg / (t * g), -1.0 / g, -t / g])
}

/// The standard error of one reading at a law, in degrees on the ring.
pub(super) fn reading_error_deg(law: &TravelLaw, reading: &Reading, error: &ReadingError) -> Option<f64> {
    let at = error.at.to_deg();
    let Distance::Finite(length) = reading.distance else {
        return Some(at);
    };
    let t = law.turn(length.to_mm())?;
    let g = law.slope(t);
    let tape = error.tape_error(length).to_mm() / g;
    (g < 0.0).then(|| at.hypot(tape))
}

/// What a name ring, a lead and a gap say beforehand of the constants.
pub(super) fn priors(known: &Known, readings: &[Reading], error: &ReadingError) -> Vec<Prior> {
    let f = known.focal_length.to_mm();
    let mut priors = Vec::new();
    let gap = known.principal_gap.map(|gap| gap.to_mm());
    match known.moves {
        Moves::Whole => {
            priors.push(Prior::LogFocalLength { value: f.ln(), sigma: NAME_RING_SHARE });
            // C = 2 F + HH' carries twice the name ring's error
            let sigma = if gap.is_some() { 2.0 * NAME_RING_SHARE * f } else { UNKNOWN_GAP_SHARE * f };
            priors.push(Prior::Offset { value: 2.0 * f + gap.unwrap_or(0.0), sigma });
        }
        // The group's own focal length is unknown: between about half the lens's and twice it in the traced lenses.
        Moves::Front => {
            priors.push(Prior::LogFocalLength { value: f.ln(), sigma: 0.5 });
            priors.push(Prior::Offset { value: 2.0 * f, sigma: f });
        }
        Moves::Inside => priors.push(Prior::Offset { value: 2.0 * f, sigma: f }),
    }
    match (known.moves, known.lead) {
        // The front stays: K is zero but for a floating group's share of the nearest distance.
        (Moves::Inside, _) => {
            let nearest = readings.iter().filter_map(|r| r.distance.to_mm()).chain(known.closest.map(|c| c.to_mm()));
            let turn = readings.iter().map(|r| r.at.to_deg()).fold(known.throw.map_or(90.0, |t| t.to_deg()), f64::max);
            priors.push(Prior::Travel { value: 0.0, sigma: 0.02 * nearest.fold(20.0 * f, f64::min) / turn.max(1.0) });
        }
        (_, Some(lead)) => {
            let per_degree = lead.to_mm() / 360.0;
            priors.push(Prior::Travel { value: per_degree, sigma: LEAD_SHARE * per_degree });
        }
        (_, None) => {}
    }
    let sigma = if readings.is_empty() { error.at.to_deg() } else { UNKNOWN_ZERO_DEG };
    priors.push(Prior::Infinity { value: 0.0, sigma });
    priors
}

/// What is left of the priors when the lead is let go: a group floats or the lead is wrong, so that K is free and the
/// gap of the name ring's lens no longer tells C.
pub(super) fn without_lead(known: &Known, priors: &[Prior]) -> Vec<Prior> {
    let f = known.focal_length.to_mm();
    let looser = |prior: &Prior| match *prior {
        Prior::Travel { .. } => None,
        Prior::Offset { value, sigma } => Some(Prior::Offset { value, sigma: sigma.max(UNKNOWN_GAP_SHARE * f) }),
        other => Some(other),
    };
    priors.iter().filter_map(looser).collect()
}

/// Fits the law to readings and priors together; `None` where no law of this form reaches the readings.
pub(super) fn fit(known: &Known, readings: &[Reading], error: &ReadingError, priors: &[Prior]) -> Option<TravelFit> {
    let mut starts: Vec<(f64, TravelLaw)> = starts(known, readings)
        .into_iter()
        .filter_map(|start| Some((misfit(&start, readings, error, priors)?, start)))
        .collect();
    starts.sort_by(|a, b| a.0.total_cmp(&b.0));
    starts
        .into_iter()
        .filter_map(|(_, start)| fit_from(start, readings, error, priors))
        .take(SERIOUS_STARTS)
        .min_by(|a, b| a.chi_square.total_cmp(&b.chi_square))
}

/// Of the starts, so many of the best are followed to the end: two guard against a start at the edge of the law's reach.
const SERIOUS_STARTS: usize = 2;

/// The fit that begins at a law already near.
pub(super) fn fit_near(
    law: TravelLaw,
    readings: &[Reading],
    error: &ReadingError,
    priors: &[Prior],
) -> Option<TravelFit> {
    fit_from(law, readings, error, priors)
}

/// Sum of squares at a law, for choosing where to start.
fn misfit(law: &TravelLaw, readings: &[Reading], error: &ReadingError, priors: &[Prior]) -> Option<f64> {
    let mut sum = 0.0;
    for reading in readings {
        let off = law.angle(reading.distance)?.to_deg() - reading.at.to_deg();
        sum += (off / reading_error_deg(law, reading, error)?).powi(2);
    }
    for prior in priors {
        sum += prior.row(&to_vector(law))?.residual.powi(2);
    }
    Some(sum)
}

/// Passes that bring the readings' errors up to date; they settle in about five.
const PASSES: usize = 20;

fn fit_from(start: TravelLaw, readings: &[Reading], error: &ReadingError, priors: &[Prior]) -> Option<TravelFit> {
    let mut law = start;
    let mut found: Option<Minimum> = None;
    for _ in 0..PASSES {
        let sigma: Vec<f64> = readings.iter().map(|r| reading_error_deg(&law, r, error)).collect::<Option<_>>()?;
        let minimum = minimise(to_vector(&law), |p| {
            let law = to_law(p)?;
            let mut rows = Vec::with_capacity(readings.len() + priors.len());
            for (reading, sigma) in readings.iter().zip(&sigma) {
                let residual = (law.angle(reading.distance)?.to_deg() - reading.at.to_deg()) / sigma;
                rows.push(Row { residual, slope: angle_slope(&law, reading.distance)?.map(|s| s / sigma) });
            }
            for prior in priors {
                rows.push(prior.row(p)?);
            }
            Some(rows)
        })?;
        let next = to_law(&minimum.at)?;
        let moved = (0..4).map(|i| (minimum.at[i] - to_vector(&law)[i]).abs() / minimum.covariance[i][i].sqrt());
        let settled = moved.fold(0.0, f64::max) < 1e-4;
        law = next;
        found = Some(minimum);
        if settled {
            break;
        }
    }
    let minimum = found?;
    let observations = readings.len() + priors.iter().filter(|p| p.says_something()).count();
    Some(TravelFit {
        law,
        chi_square: minimum.chi_square,
        freedom: observations.saturating_sub(4),
        covariance: minimum.covariance,
    })
}

fn to_vector(law: &TravelLaw) -> Vector {
    [law.infinity.to_deg(), law.a_mm_deg.ln(), law.c_mm, law.k_mm_per_deg]
}

fn to_law(p: &Vector) -> Option<TravelLaw> {
    let a = p[1].exp();
    let valid = a.is_finite() && a > 0.0 && p[2].is_finite() && p[3].is_finite();
    Some(TravelLaw { infinity: Angle::try_deg(p[0])?, a_mm_deg: valid.then_some(a)?, c_mm: p[2], k_mm_per_deg: p[3] })
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
