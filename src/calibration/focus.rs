//! Readings of a focus ring become a law with errors, and the choice of law is explained.
//!
//! `auto` takes the travel law with what is known beforehand; lets that go when the readings refute it; takes
//! the curve when they refute the law itself. Source of the tests: chi-square differences of nested fits and
//! leave-one-out prediction, both standard statistics.

use super::chi_square::exceeding;
use super::curve::{CurveFit, interior_errors};
use super::doubt::{CalibrationError, Doubt};
use super::travel::{self, Prior, TravelFit};
use super::{Known, LawChoice, Moves, Reading, ReadingError};
use crate::optics::{FocusLaw, TravelLaw};
use crate::units::{Angle, Distance, Length};

/// A refutation that would happen by chance once in a hundred sets is believed (common practice, no source). Larger
/// lets go of good knowledge on noisy readings, smaller clings to a wrong name ring.
const SIGNIFICANCE: f64 = 0.01;
/// A single reading is called odd when the others miss it by so many standard errors.
const ODD_SIGMAS: f64 = 4.0;

/// A law with its errors and the story of how it was chosen.
#[derive(Clone, Debug)]
pub struct FocusCalibration {
    /// The function from distance to ring angle.
    pub law: FocusLaw,
    /// Whether the constants describe the readings only, and not the name ring and the lead.
    pub effective: bool,
    /// Standard errors of infinity (deg), A (mm·deg), C (mm) and K (mm/deg); a curve has no constants.
    pub standard_errors: Option<[f64; 4]>,
    /// Weighted sum of squares over readings and prior knowledge.
    pub chi_square: f64,
    /// Observations beyond the unknowns.
    pub freedom: usize,
    /// One for each reading, in the order given.
    pub residuals: Vec<Residual>,
    /// The reading that does not belong, by its place in the order given.
    pub odd: Option<usize>,
    /// What a user should know.
    pub doubts: Vec<Doubt>,
    trust: Trust,
}

/// How far one reading lies from the law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The reading.
    pub reading: Reading,
    /// Reading minus law, on the ring.
    pub error: Angle,
    /// Distance at the ring's position minus the taped distance; `None` where either is infinite.
    pub distance_error: Option<Length>,
    /// The standard error that was expected of it, on the ring.
    pub expected: Angle,
}

#[derive(Clone, Debug)]
enum Trust {
    Travel(TravelFit),
    Curve(CurveFit),
}

impl FocusCalibration {
    /// Fits the law that `choice` asks for.
    ///
    /// # Errors
    /// When too little is known, or no law of the asked form reaches the readings.
    pub fn new(
        known: &Known,
        choice: LawChoice,
        readings: &[Reading],
        error: &ReadingError,
    ) -> Result<Self, CalibrationError> {
        if choice == LawChoice::Curve {
            return Self::curve(known, readings, error, Vec::new());
        }
        if readings.is_empty() {
            return Self::without_readings(known, error);
        }
        let bench = Bench { known, readings, error, priors: travel::priors(known, readings, error) };
        let held = bench.fit(&bench.priors);
        let free = (readings.len() >= 4).then(|| bench.fit(&bench.zero_only())).flatten();
        let Some(held) = held else {
            return match free {
                Some(free) => Ok(bench.finish(free, &bench.zero_only(), vec![Doubt::PriorsLetGo { chance: 0.0 }])),
                None if choice == LawChoice::Auto && readings.len() >= 4 => {
                    Self::curve(known, readings, error, Vec::new())
                }
                None => Err(CalibrationError::NoLawReaches),
            };
        };
        let Some(free) = free else {
            let chance = exceeding(held.chi_square, held.freedom);
            let doubts = if chance < SIGNIFICANCE { vec![Doubt::PriorsKept { chance }] } else { Vec::new() };
            return Ok(bench.finish(held, &bench.priors, doubts));
        };
        let chance = bench.chance_of_priors(&held, &free, &bench.priors);
        let free_chance = exceeding(free.chi_square, free.freedom);
        if free_chance >= SIGNIFICANCE {
            return Ok(if chance >= SIGNIFICANCE {
                bench.finish(held, &bench.priors, Vec::new())
            } else if let Some((fit, priors)) = bench.with_lead_let_go(&free) {
                bench.finish(fit, &priors, vec![Doubt::LeadLetGo { chance }])
            } else {
                bench.finish(free, &bench.zero_only(), vec![Doubt::PriorsLetGo { chance }])
            });
        }
        // Even free constants do not satisfy the readings: one may be odd, they may scatter, or the law may be wrong.
        if bench.odd_reading(&bench.priors).is_some() && choice == LawChoice::Auto {
            return Ok(bench.finish(held, &bench.priors, Vec::new()));
        }
        let (fit, priors, doubts) = if chance >= SIGNIFICANCE {
            (held, bench.priors.clone(), Vec::new())
        } else {
            (free, bench.zero_only(), vec![Doubt::PriorsLetGo { chance }])
        };
        if choice == LawChoice::Auto
            && bench.odd_reading(&bench.zero_only()).is_none()
            && let (Some(travel), Some(curve)) = (bench.left_out_error(&priors), interior_errors(known, readings))
            && rms(&curve) < rms(&travel)
        {
            let doubt = Doubt::CurveTaken { travel: Angle::deg(rms(&travel)), curve: Angle::deg(rms(&curve)) };
            return Self::curve(known, readings, error, vec![doubt]);
        }
        Ok(bench.finish(fit, &priors, doubts))
    }

    fn without_readings(known: &Known, error: &ReadingError) -> Result<Self, CalibrationError> {
        let stand_in = match (known.lead, known.closest, known.throw) {
            (Some(_), _, _) if known.moves != Moves::Inside => None,
            (_, Some(closest), Some(throw)) => Some([
                Reading { distance: Distance::Infinity, at: Angle::ZERO },
                Reading { distance: Distance::Finite(closest), at: throw },
            ]),
            _ => return Err(CalibrationError::NothingKnown),
        };
        let Some(readings) = stand_in else {
            let bench = Bench { known, readings: &[], error, priors: travel::priors(known, &[], error) };
            let fit = bench.fit(&bench.priors).ok_or(CalibrationError::NoLawReaches)?;
            return Ok(bench.finish(fit, &bench.priors, vec![Doubt::TheoryOnly]));
        };
        // Rings run past infinity and closest distances are rounded: 3 % and 2 degrees (common practice, no source).
        let rough = ReadingError { distance: Length::ZERO, share: 0.03, at: Angle::deg(error.at.to_deg().max(2.0)) };
        let bench =
            Bench { known, readings: &readings, error: &rough, priors: travel::priors(known, &readings, &rough) };
        let fit = bench.fit(&bench.priors).ok_or(CalibrationError::NoLawReaches)?;
        let mut calibration = bench.finish(fit, &bench.priors, vec![Doubt::StopsOnly]);
        calibration.residuals.clear();
        Ok(calibration)
    }

    fn curve(
        known: &Known,
        readings: &[Reading],
        error: &ReadingError,
        mut doubts: Vec<Doubt>,
    ) -> Result<Self, CalibrationError> {
        let fit = CurveFit::new(known, readings, error)?;
        if !readings.iter().any(|r| r.distance.is_infinite()) {
            let farthest = readings.iter().filter_map(|r| r.distance.to_mm()).fold(0.0, f64::max);
            doubts.push(Doubt::CurveWithoutInfinity { farthest: Distance::mm(farthest) });
        }
        let law = FocusLaw::Curve(fit.law.clone());
        let residuals = residuals(&law, readings, |reading| fit.reading_error(reading));
        Ok(FocusCalibration {
            law,
            effective: true,
            standard_errors: None,
            chi_square: 0.0,
            freedom: 0,
            residuals,
            odd: None,
            doubts,
            trust: Trust::Curve(fit),
        })
    }

    /// Chi-square over its degrees of freedom; `None` where there are none.
    pub fn reduced_chi_square(&self) -> Option<f64> {
        (self.freedom > 0).then(|| self.chi_square / self.freedom as f64)
    }

    /// Standard error of the mark at a distance, on the ring; widened where the readings scatter more than stated.
    /// `None` where the law does not reach.
    pub fn angle_error(&self, distance: Distance) -> Option<Angle> {
        let sigma = match &self.trust {
            Trust::Travel(fit) => fit.angle_error(distance)? * self.reduced_chi_square().unwrap_or(1.0).max(1.0).sqrt(),
            Trust::Curve(fit) => fit.angle_error(distance)?,
        };
        Angle::try_deg(sigma)
    }
}

/// One lens on the bench: what every fit of the travel law needs.
struct Bench<'a> {
    known: &'a Known,
    readings: &'a [Reading],
    error: &'a ReadingError,
    priors: Vec<Prior>,
}

impl Bench<'_> {
    fn fit(&self, priors: &[Prior]) -> Option<TravelFit> {
        travel::fit(self.known, self.readings, self.error, priors)
    }

    /// Only the convention of the zero; A, C and K free.
    fn zero_only(&self) -> Vec<Prior> {
        self.priors.iter().copied().filter(|prior| matches!(prior, Prior::Infinity { .. })).collect()
    }

    /// Chance that prior knowledge which is true raises chi-square so much, in units of the readings' own scatter.
    fn chance_of_priors(&self, held: &TravelFit, free: &TravelFit, priors: &[Prior]) -> f64 {
        let scatter = if free.freedom > 1 { (free.chi_square / free.freedom as f64).max(1.0) } else { 1.0 };
        exceeding((held.chi_square - free.chi_square) / scatter, priors.len() - 1)
    }

    /// The fit without the lead, where there is one to let go and the rest of the priors stands.
    fn with_lead_let_go(&self, free: &TravelFit) -> Option<(TravelFit, Vec<Prior>)> {
        self.known.lead.filter(|_| self.known.moves != Moves::Inside)?;
        let priors = travel::without_lead(self.known, &self.priors);
        let fit = self.fit(&priors)?;
        (self.chance_of_priors(&fit, free, &priors) >= SIGNIFICANCE).then_some((fit, priors))
    }

    /// The reading without which the rest agree, and how far it lies off their law. The nearest and the farthest are
    /// suspected only where a whole lens's priors stand in for them: else what looks odd may be a cam at its end.
    fn odd_reading(&self, priors: &[Prior]) -> Option<(usize, Angle)> {
        if self.readings.len() < 4 {
            return None;
        }
        let whole = self.fit(priors)?.law;
        let ends_are_known = self.known.moves == Moves::Whole && priors.len() == self.priors.len();
        let inner: Vec<usize> = super::curve::interior(self.readings).collect();
        let mut suspects: Vec<(usize, f64, f64)> = Vec::new();
        for i in (0..self.readings.len()).filter(|i| ends_are_known || inner.contains(i)) {
            let (fit, off) = self.without(i, priors, whole)?;
            let expected = travel::reading_error_deg(&fit.law, &self.readings[i], self.error)
                .zip(fit.angle_error(self.readings[i].distance))
                .map_or(f64::INFINITY, |(own, law)| own.hypot(law));
            if exceeding(fit.chi_square, fit.freedom) >= SIGNIFICANCE {
                suspects.push((i, off, (off / expected).abs()));
            }
        }
        let (i, off, sigmas) = suspects.into_iter().max_by(|a, b| a.2.total_cmp(&b.2))?;
        (sigmas > ODD_SIGMAS).then(|| (i, Angle::deg(off.abs())))
    }

    /// The fit without reading `i`, and the reading minus that law in degrees.
    fn without(&self, i: usize, priors: &[Prior], whole: TravelLaw) -> Option<(TravelFit, f64)> {
        let mut others = self.readings.to_vec();
        let left_out = others.remove(i);
        let near = travel::fit_near(whole, &others, self.error, priors);
        let fit = near.or_else(|| travel::fit(self.known, &others, self.error, priors))?;
        let predicted = fit.law.angle(left_out.distance)?;
        Some((fit, left_out.at.to_deg() - predicted.to_deg()))
    }

    /// Errors on left-out readings between the nearest and the farthest, which a curve can predict too.
    fn left_out_error(&self, priors: &[Prior]) -> Option<Vec<f64>> {
        let whole = self.fit(priors)?.law;
        super::curve::interior(self.readings).map(|i| self.without(i, priors, whole).map(|(_, off)| off)).collect()
    }

    /// `priors` are those that the fit was made with; constants are effective where some were let go.
    fn finish(&self, fit: TravelFit, priors: &[Prior], mut doubts: Vec<Doubt>) -> FocusCalibration {
        let effective = priors.len() < self.priors.len();
        let law = FocusLaw::Travel(fit.law);
        let chance = exceeding(fit.chi_square, fit.freedom);
        let mut odd = None;
        if chance < SIGNIFICANCE {
            match self.odd_reading(priors) {
                Some((i, off)) => {
                    odd = Some(i);
                    doubts.push(Doubt::OddReading { number: i + 1, reading: self.readings[i], off });
                }
                None if fit.freedom > 0 => {
                    doubts.push(Doubt::Scatter { reduced_chi_square: fit.chi_square / fit.freedom as f64 });
                }
                None => {}
            }
        }
        if effective && fit.freedom == 0 {
            doubts.push(Doubt::NothingToCheck);
        }
        let errors = fit.standard_errors();
        if errors[0] > 2.0 * self.error.at.to_deg().max(0.5) {
            doubts.push(Doubt::InfinityUnsure { sigma: Angle::deg(errors[0]) });
        }
        let expected = |reading: &Reading| travel::reading_error_deg(&fit.law, reading, self.error);
        FocusCalibration {
            residuals: residuals(&law, self.readings, expected),
            law,
            effective: effective || self.known.moves == Moves::Inside,
            standard_errors: Some(errors),
            chi_square: fit.chi_square,
            freedom: fit.freedom,
            odd,
            doubts,
            trust: Trust::Travel(fit),
        }
    }
}

fn residuals(law: &FocusLaw, readings: &[Reading], expected: impl Fn(&Reading) -> Option<f64>) -> Vec<Residual> {
    let residual = |reading: &Reading| {
        let error = reading.at - law.angle(reading.distance)?;
        let distance_error = match (law.distance(reading.at), reading.distance) {
            (Some(Distance::Finite(found)), Distance::Finite(taped)) => Some(found - taped),
            _ => None,
        };
        let expected = Angle::try_deg(expected(reading)?)?;
        Some(Residual { reading: *reading, error, distance_error, expected })
    };
    readings.iter().filter_map(residual).collect()
}

fn rms(errors: &[f64]) -> f64 {
    (errors.iter().map(|e| e * e).sum::<f64>() / errors.len().max(1) as f64).sqrt()
}
