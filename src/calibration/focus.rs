//! Readings of a focus ring become a law with errors, and the choice of law is explained.
//!
//! `auto` takes the travel law with prior knowledge; it drops the priors when the readings refute them, and takes
//! the curve when they refute the law itself. Source of the tests: chi-square differences of nested fits and
//! leave-one-out prediction, both standard statistics.

mod exchange;

use super::chi_square::exceeding;
use super::curve::{CurveFit, interior_errors};
use super::model::Model;
use super::prior::{Prior, both_ways, common_errors, priors, without_lead};
use super::repeats::widened;
use super::travel::{self, TravelErrors, TravelFit};
use super::warning::{CalibrationError, Warning};
use super::{Known, LawChoice, Means, Moves, Origin, Reading, ReadingError};
use crate::optics::FocusLaw;
use crate::units::{Angle, Distance, Length};

/// Level of significance: a refutation that would happen by chance once in a hundred sets is accepted (common practice, no
/// source). A larger one drops good priors on noisy readings, a smaller one keeps a wrong name ring.
const SIGNIFICANCE: f64 = 0.01;
/// The errors of the marks are widened when the readings' scatter is less probable than this. At one half they would be
/// widened, and too wide, for every second set of good readings.
const WIDENED_FROM: f64 = 0.1;
/// A single reading is an outlier when it is so many standard errors from the law of the others.
const OUTLIER_SIGMAS: f64 = 4.0;

/// A law with its errors, and how it was chosen.
#[derive(Clone, Debug)]
pub struct FocusCalibration {
    /// The function from distance to ring angle.
    pub law: FocusLaw,
    /// Whether the constants describe the readings only, and not the name ring and the lead.
    pub effective: bool,
    /// Standard errors of the law's constants; a curve has none.
    pub standard_errors: Option<TravelErrors>,
    /// Weighted sum of squares over readings and prior knowledge.
    pub chi_square: f64,
    /// Observations beyond the unknowns.
    pub freedom: usize,
    /// One for each reading, in the order given.
    pub residuals: Vec<Residual>,
    /// The reading that does not belong: its index in the order given, from 0, as in [`Residual::index`].
    pub outlier: Option<usize>,
    /// The ring's play: the difference of its positions when a distance is approached from either side; `None` where it was
    /// not read both ways.
    pub play: Option<Measured>,
    /// How far a checked strip is displaced toward close; `None` without checks.
    pub placing: Option<Measured>,
    /// What a user should know.
    pub warnings: Vec<Warning>,
    pub(super) errors: FocusErrors,
}

/// A turn that was found, with its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// What was found.
    pub value: Angle,
    /// Its standard error.
    pub sigma: Angle,
}

impl Measured {
    fn new((value, sigma): (f64, f64)) -> Option<Self> {
        Some(Measured { value: Angle::try_deg(value)?, sigma: Angle::try_deg(sigma)? })
    }

    /// Whether it differs from zero by more than two standard errors.
    pub fn is_there(&self) -> bool {
        self.value.abs() > self.sigma * 2.0
    }
}

/// How far one reading lies from the law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The reading's index in the order given, from 0.
    pub index: usize,
    /// The reading.
    pub reading: Reading,
    /// The subject's distance from the image plane.
    pub subject: Distance,
    /// Reading minus what it should say, on the ring.
    pub error: Angle,
    /// Distance at the ring's position minus the subject's; `None` where either is infinite.
    pub distance_error: Option<Length>,
    /// The standard error that was expected of it, on the ring.
    pub expected: Angle,
}

impl Residual {
    /// The reading's number for people, who count from 1.
    pub fn number(&self) -> usize {
        self.index + 1
    }
}

/// What the errors of the marks come from.
#[derive(Clone, Debug)]
pub(super) enum FocusErrors {
    Travel(Box<TravelFit>),
    /// With the errors that its readings share, where they share any.
    Curve(Box<CurveFit>, Option<Box<Model>>),
}

impl FocusCalibration {
    /// Fits the law that `choice` asks for; `error` is that of a reading for which none is stated.
    ///
    /// # Errors
    /// When too little is known, or no law of the asked form reaches the readings.
    pub fn new(
        known: &Known,
        choice: LawChoice,
        readings: &[Reading],
        error: &ReadingError,
    ) -> Result<Self, CalibrationError> {
        let (readings, repeats) = widened(readings);
        let mut calibration = Self::chosen(known, choice, &readings, error)?;
        if let Some(repeats) = repeats {
            let (found, stated) = (repeats.found, repeats.stated);
            calibration.warnings.insert(0, Warning::RepeatsScatter { found, stated });
        }
        if let Some(play) = calibration.play
            && play.is_there()
            && play.value < Angle::ZERO
        {
            calibration.warnings.push(Warning::PlayBackwards { play: play.value });
        }
        Ok(calibration)
    }

    fn chosen(
        known: &Known,
        choice: LawChoice,
        readings: &[Reading],
        error: &ReadingError,
    ) -> Result<Self, CalibrationError> {
        let fitter = FocusFitter { known, readings, error, priors: priors(known, readings, error) };
        if choice == LawChoice::Curve {
            return fitter.curve(Vec::new());
        }
        if readings.is_empty() {
            return Self::without_readings(known, error);
        }
        let held = fitter.fit(&fitter.priors);
        let doubted = held.as_ref().is_none_or(|held| exceeding(held.chi_square, held.freedom) < SIGNIFICANCE);
        if doubted
            && fitter.find_outlier(&fitter.priors).is_none()
            && fitter
                .fit(&fitter.zero_only())
                .is_none_or(|free| exceeding(free.chi_square, free.freedom) < SIGNIFICANCE)
            && let Some((one, other)) = fitter.exchanged(held.as_ref())
        {
            return Err(CalibrationError::Exchanged { one, other });
        }
        let free = (readings.len() >= 4).then(|| fitter.fit(&fitter.zero_only())).flatten();
        let Some(held) = held else {
            return match free {
                Some(free) => Ok(fitter.finish(free, &fitter.zero_only(), vec![Warning::PriorsLetGo { chance: 0.0 }])),
                None if choice == LawChoice::Auto && readings.len() >= 4 => fitter.curve(Vec::new()),
                None => Err(CalibrationError::NoLawReaches),
            };
        };
        let Some(free) = free else {
            let chance = exceeding(held.chi_square, held.freedom);
            let warnings = if chance < SIGNIFICANCE { vec![Warning::PriorsKept { chance }] } else { Vec::new() };
            return Ok(fitter.finish(held, &fitter.priors, warnings));
        };
        let chance = fitter.chance_of_priors(&held, &free, &fitter.priors);
        let free_chance = exceeding(free.chi_square, free.freedom);
        if free_chance >= SIGNIFICANCE {
            return Ok(if chance >= SIGNIFICANCE {
                fitter.finish(held, &fitter.priors, Vec::new())
            } else if let Some((fit, priors)) = fitter.without_lead_prior(&free) {
                fitter.finish(fit, &priors, vec![Warning::LeadLetGo { chance }])
            } else {
                fitter.finish(free, &fitter.zero_only(), vec![Warning::PriorsLetGo { chance }])
            });
        }
        // Even free constants do not satisfy the readings: there is an outlier, they scatter, or the law is wrong.
        if fitter.find_outlier(&fitter.priors).is_some() && choice == LawChoice::Auto {
            return Ok(fitter.finish(held, &fitter.priors, Vec::new()));
        }
        let (fit, priors, warnings) = if chance >= SIGNIFICANCE {
            (held, fitter.priors.clone(), Vec::new())
        } else {
            (free, fitter.zero_only(), vec![Warning::PriorsLetGo { chance }])
        };
        if choice == LawChoice::Auto
            && fitter.find_outlier(&fitter.zero_only()).is_none()
            && let (Some(travel), Some(curve)) = (
                fitter.left_out_error(&priors),
                interior_errors(known, &fitter.plain(Some(&fit)).into_iter().map(|(_, r)| r).collect::<Vec<_>>()),
            )
            && rms(&curve) < rms(&travel)
        {
            let warning = Warning::CurveTaken { travel: Angle::deg(rms(&travel)), curve: Angle::deg(rms(&curve)) };
            return fitter.curve(vec![warning]);
        }
        Ok(fitter.finish(fit, &priors, warnings))
    }

    fn without_readings(known: &Known, error: &ReadingError) -> Result<Self, CalibrationError> {
        let stand_in = match (known.lead, known.closest, known.throw) {
            (Some(_), _, _) if known.moves != Moves::Inside => None,
            (_, Some(closest), Some(throw)) => {
                Some([(Distance::Infinity, Angle::ZERO), (Distance::Finite(closest), throw)])
            }
            _ => return Err(CalibrationError::NothingKnown),
        };
        let Some(stops) = stand_in else {
            let fitter = FocusFitter { known, readings: &[], error, priors: priors(known, &[], error) };
            let fit = fitter.fit(&fitter.priors).ok_or(CalibrationError::NoLawReaches)?;
            return Ok(fitter.finish(fit, &fitter.priors, vec![Warning::TheoryOnly]));
        };
        // Rings run past infinity and closest distances are rounded: 3 % and 2 degrees (common practice, no source).
        let rough = ReadingError { distance: Length::ZERO, share: 0.03, at: error.at.max(Angle::deg(2.0)) };
        let readings = stops.map(|(distance, at)| Reading::taped(distance, at, rough));
        let fitter =
            FocusFitter { known, readings: &readings, error: &rough, priors: priors(known, &readings, &rough) };
        let fit = fitter.fit(&fitter.priors).ok_or(CalibrationError::NoLawReaches)?;
        let mut calibration = fitter.finish(fit, &fitter.priors, vec![Warning::StopsOnly]);
        calibration.residuals.clear();
        Ok(calibration)
    }

    /// Chi-square over its degrees of freedom; `None` where there are none.
    pub fn reduced_chi_square(&self) -> Option<f64> {
        (self.freedom > 0).then(|| self.chi_square / self.freedom as f64)
    }

    /// The outlier's number for people, who count from 1.
    pub fn outlier_number(&self) -> Option<usize> {
        self.outlier.map(|index| index + 1)
    }

    /// Whether this is the residual of the outlier.
    pub fn is_outlier(&self, residual: &Residual) -> bool {
        self.outlier == Some(residual.index)
    }

    /// Factor on the marks' errors: above 1 where the readings scatter more than chance allows.
    pub(super) fn widening(&self) -> f64 {
        let believed = exceeding(self.chi_square, self.freedom) < WIDENED_FROM;
        self.reduced_chi_square().filter(|_| believed).unwrap_or(1.0).max(1.0).sqrt()
    }

    /// Standard error of the mark at a distance, on the ring; widened where the readings scatter more than stated.
    /// `None` where the law does not reach.
    pub fn angle_error(&self, distance: Distance) -> Option<Angle> {
        let sigma = match &self.errors {
            FocusErrors::Travel(fit) => fit.angle_error(distance)? * self.widening(),
            FocusErrors::Curve(fit, _) => fit.angle_error(distance)?,
        };
        Angle::try_deg(sigma)
    }

    /// From the image plane to the subject of a reading that the law was not fitted to.
    pub(super) fn subject(&self, reading: &Reading) -> Option<Distance> {
        match &self.errors {
            FocusErrors::Travel(fit) => fit.model.subject(reading),
            FocusErrors::Curve(_, Some(model)) => model.subject(reading),
            // all its readings were taped from the image plane
            FocusErrors::Curve(_, None) => Some(reading.distance),
        }
    }
}

/// What every fit of a lens's travel law needs.
struct FocusFitter<'a> {
    known: &'a Known,
    readings: &'a [Reading],
    error: &'a ReadingError,
    priors: Vec<Prior>,
}

impl FocusFitter<'_> {
    fn fit(&self, priors: &[Prior]) -> Option<TravelFit> {
        travel::fit(self.known, self.readings, priors)
    }

    /// The priors of the zero and of the readings' shared errors alone; A, C and K are free.
    fn zero_only(&self) -> Vec<Prior> {
        self.priors.iter().copied().filter(|prior| !prior.refutable()).collect()
    }

    /// The readings as distances from the image plane at positions without play, for a curve, which models neither.
    fn plain(&self, fit: Option<&TravelFit>) -> Vec<(usize, Reading)> {
        let model = fit.map(|fit| self.beside_a_curve(fit));
        let plain = |reading: &Reading| -> Option<Reading> {
            let Some(model) = &model else { return Some(*reading) };
            let distance = model.subject(reading)?;
            let at = Angle::try_deg(reading.at.to_deg() - model.aside(reading))?;
            let mut plain = Reading { distance, at, from: Origin::ImagePlane, ..*reading };
            if let (Origin::Ahead { error, .. }, Some(_)) = (reading.from, reading.distance.to_mm()) {
                plain.error.distance = Length::mm(plain.error.distance.to_mm().hypot(error.to_mm()));
            }
            Some(plain)
        };
        self.readings.iter().enumerate().filter_map(|(i, reading)| Some((i, plain(reading)?))).collect()
    }

    /// The readings' shared errors, for use with a curve. A travel law that does not fit still gives play and zero; the
    /// travel of the rim is better taken from the lead.
    fn beside_a_curve(&self, fit: &TravelFit) -> Model {
        let lead = self.known.lead.filter(|_| self.known.moves != Moves::Inside).map(|lead| lead.to_mm() / 360.0);
        let mut model = fit.model;
        model.law.k_mm_per_deg = lead.unwrap_or(model.law.k_mm_per_deg);
        model
    }

    /// The curve through the readings.
    fn curve(&self, mut warnings: Vec<Warning>) -> Result<FocusCalibration, CalibrationError> {
        let common =
            self.readings.iter().any(|r| r.from != Origin::ImagePlane || r.turned.is_some() || r.by == Means::Strip);
        let travel = if common { self.fit(&self.zero_only()).or_else(|| self.fit(&self.priors)) } else { None };
        let plain = self.plain(travel.as_ref());
        let readings: Vec<Reading> = plain.iter().map(|(_, reading)| *reading).collect();
        let fit = CurveFit::new(self.known, &readings)?;
        if !readings.iter().any(|r| r.distance.is_infinite()) {
            let farthest = readings.iter().filter_map(|r| r.distance.to_mm()).fold(0.0, f64::max);
            warnings.push(Warning::CurveWithoutInfinity { farthest: Distance::mm(farthest) });
        }
        let law = FocusLaw::Curve(fit.law.clone());
        let residual = |(i, plain): &(usize, Reading)| {
            let off = (plain.at - law.angle(plain.distance)?).to_deg();
            self.residual(&law, *i, plain.distance, off, fit.reading_error(plain)?)
        };
        let (play, placing) = self.common(travel.as_ref());
        Ok(FocusCalibration {
            residuals: plain.iter().filter_map(residual).collect(),
            law: law.clone(),
            effective: true,
            standard_errors: None,
            chi_square: 0.0,
            freedom: 0,
            outlier: None,
            play,
            placing,
            warnings,
            errors: FocusErrors::Curve(Box::new(fit), travel.as_ref().map(|fit| Box::new(self.beside_a_curve(fit)))),
        })
    }

    /// Play and placing, where the readings determine them.
    fn common(&self, fit: Option<&TravelFit>) -> (Option<Measured>, Option<Measured>) {
        let play = fit.filter(|_| both_ways(self.readings)).and_then(|fit| Measured::new(fit.play()));
        let checked = self.readings.iter().any(|r| r.by == Means::Strip);
        (play, fit.filter(|_| checked).and_then(|fit| Measured::new(fit.placing())))
    }

    /// The residual of reading `i`: `off` degrees from the law, with an expected error of `expected` degrees.
    fn residual(&self, law: &FocusLaw, i: usize, subject: Distance, off: f64, expected: f64) -> Option<Residual> {
        let at = law.angle(subject)?;
        let distance_error = match (law.distance(Angle::try_deg(at.to_deg() + off)?), subject) {
            (Some(Distance::Finite(found)), Distance::Finite(taped)) => Some(found - taped),
            _ => None,
        };
        let (error, expected) = (Angle::try_deg(off)?, Angle::try_deg(expected)?);
        Some(Residual { index: i, reading: self.readings[i], subject, error, distance_error, expected })
    }

    /// Probability that true priors raise chi-square so much, in units of the readings' own scatter.
    fn chance_of_priors(&self, held: &TravelFit, free: &TravelFit, priors: &[Prior]) -> f64 {
        let scatter = if free.freedom > 1 { (free.chi_square / free.freedom as f64).max(1.0) } else { 1.0 };
        exceeding((held.chi_square - free.chi_square) / scatter, priors.iter().filter(|p| p.refutable()).count())
    }

    /// The fit without the prior of the lead, where there is one and the readings do not refute the others.
    fn without_lead_prior(&self, free: &TravelFit) -> Option<(TravelFit, Vec<Prior>)> {
        self.known.lead.filter(|_| self.known.moves != Moves::Inside)?;
        let priors = without_lead(self.known, &self.priors);
        let fit = self.fit(&priors)?;
        (self.chance_of_priors(&fit, free, &priors) >= SIGNIFICANCE).then_some((fit, priors))
    }

    /// The reading without which the rest agree, and how far it is from their law. The nearest and the farthest qualify
    /// only with the priors of a whole lens: otherwise a cam at its end would look like an outlier.
    fn find_outlier(&self, priors: &[Prior]) -> Option<(usize, Angle)> {
        if self.readings.len() < 4 {
            return None;
        }
        let whole = self.fit(priors)?.model;
        let ends_are_known = self.known.moves == Moves::Whole && priors.len() == self.priors.len();
        let inner: Vec<usize> = super::curve::interior(self.readings).collect();
        let mut suspects: Vec<(usize, f64, f64)> = Vec::new();
        for i in (0..self.readings.len()).filter(|i| ends_are_known || inner.contains(i)) {
            let Some((fit, off)) = self.without(i, priors, whole) else { continue };
            let subject = fit.model.subject(&self.readings[i])?;
            let expected = fit
                .model
                .error(&self.readings[i])
                .zip(fit.angle_error(subject))
                .map_or(f64::INFINITY, |(own, law)| own.hypot(law));
            if exceeding(fit.chi_square, fit.freedom) >= SIGNIFICANCE {
                suspects.push((i, off, (off / expected).abs()));
            }
        }
        let (i, off, sigmas) = suspects.into_iter().max_by(|a, b| a.2.total_cmp(&b.2))?;
        (sigmas > OUTLIER_SIGMAS).then(|| (i, Angle::deg(off.abs())))
    }

    /// The fit without reading `i`, and the reading minus that law in degrees.
    fn without(&self, i: usize, priors: &[Prior], whole: Model) -> Option<(TravelFit, f64)> {
        let mut others = self.readings.to_vec();
        let left_out = others.remove(i);
        // with one reading fewer the ring may no longer have been turned both ways
        let common = common_errors(&others);
        let own: Vec<Prior> = priors.iter().copied().filter(|p| p.of_the_lens()).chain(common).collect();
        let near = travel::fit_near(whole, &others, &own);
        let fit = near.or_else(|| travel::fit(self.known, &others, &own))?;
        let off = fit.model.off(&left_out)?;
        Some((fit, off))
    }

    /// Errors on left-out readings between the nearest and the farthest, which a curve can predict too.
    fn left_out_error(&self, priors: &[Prior]) -> Option<Vec<f64>> {
        let whole = self.fit(priors)?.model;
        super::curve::interior(self.readings).map(|i| self.without(i, priors, whole).map(|(_, off)| off)).collect()
    }

    /// `priors` are those that the fit was made with; constants are effective where some were let go.
    fn finish(&self, fit: TravelFit, priors: &[Prior], mut warnings: Vec<Warning>) -> FocusCalibration {
        let effective = priors.len() < self.priors.len();
        let mut fit = fit;
        let mut outlier = None;
        if exceeding(fit.chi_square, fit.freedom) < SIGNIFICANCE {
            match self.find_outlier(priors) {
                Some((i, off)) => {
                    outlier = Some(i);
                    // an outlier must not bend the scale: the law is fitted to the others, and a warning names it
                    if let Some((others, _)) = self.without(i, priors, fit.model) {
                        fit = others;
                    }
                    let rest = self.readings.len() - 1;
                    warnings.push(Warning::Outlier { number: i + 1, reading: self.readings[i], off, rest });
                }
                None if fit.freedom > 0 => {
                    warnings.push(Warning::Scatter { reduced_chi_square: fit.chi_square / fit.freedom as f64 });
                }
                None => {}
            }
        }
        if effective && fit.freedom == 0 {
            warnings.push(Warning::NothingToCheck);
        }
        let standard_errors = fit.standard_errors();
        if let Some(TravelErrors { infinity: sigma, .. }) = standard_errors
            && sigma > self.error.at.max(Angle::deg(0.5)) * 2.0
        {
            warnings.push(Warning::InfinityUnsure { sigma });
        }
        let law = FocusLaw::Travel(fit.law());
        let model = fit.model;
        let residual =
            |(i, r): (usize, &Reading)| self.residual(&law, i, model.subject(r)?, model.off(r)?, model.error(r)?);
        let (play, placing) = self.common(Some(&fit));
        FocusCalibration {
            residuals: self.readings.iter().enumerate().filter_map(residual).collect(),
            law: law.clone(),
            effective: effective || matches!(self.known.moves, Moves::Inside | Moves::Floating),
            standard_errors,
            chi_square: fit.chi_square,
            freedom: fit.freedom,
            outlier,
            play,
            placing,
            warnings,
            errors: FocusErrors::Travel(Box::new(fit)),
        }
    }
}

fn rms(errors: &[f64]) -> f64 {
    (errors.iter().map(|e| e * e).sum::<f64>() / errors.len().max(1) as f64).sqrt()
}
