//! The steps from evidence to a law: which exposures count, which mechanism fits, what it says of each exposure.

use super::joint::{Evidence, Joint, exact, variance};
use super::t_law::{LightErrors, Point, TLaw, levelled, of_points, of_shape};
use super::warning::LightWarning;
use super::{CLEARLY_STOPPED_DOWN, Exposure, ExposureUse, LightEvidence, REPORTED_FROM, Transmittance, WideOpen};
use crate::calibration::chi_square::exceeding;
use crate::calibration::{IrisCalibration, IrisChoice, IrisError, StopReading};
use crate::optics::{IrisLaw, IrisShape};
use crate::units::{Angle, Stop};

/// Level of significance, as for the other laws: a misfit that happens by chance once in a hundred sets is accepted as real.
const SIGNIFICANCE: f64 = 0.01;
/// A ring read so many stops short of a full stop still counts as at it.
const SLACK: f64 = 1.0 / 6.0;
/// An exposure near wide open is an outlier from so many standard errors on: by chance once in a thousand.
const OUTLIER_SIGMAS: f64 = 3.3;

/// What the evidence gave.
pub(super) enum Fit {
    Joint(Joint),
    Curve { geometry: Option<IrisLaw>, sum: f64, variance: f64 },
}

/// An exposure's distance from a law: stops, its own variance, and the law's.
pub(super) struct Off {
    pub(super) stops: f64,
    own: f64,
    law: f64,
}

pub(super) struct LightFitter<'a> {
    evidence: LightEvidence<'a>,
    /// The readings' widest stop; T-stop where there are none.
    pub(super) widest: Stop,
    /// Tv0 + e0 of the reference.
    reference: Option<f64>,
}

impl<'a> LightFitter<'a> {
    pub(super) fn new(evidence: LightEvidence<'a>) -> Result<Self, IrisError> {
        let reference = evidence.exposures.reference.map(|r| 2.0 * r.t.number().log2() + r.stops);
        let narrower = |a: &Stop, b: &Stop| a.number().total_cmp(&b.number());
        let read = evidence.readings.iter().map(|r| r.stop).min_by(narrower);
        let brightest = evidence.exposures.list.iter().map(|e| e.stops).max_by(f64::total_cmp);
        let widest = match (read, reference, brightest) {
            (Some(read), _, Some(_)) => evidence.widest.unwrap_or(read),
            (None, Some(reference), Some(brightest)) => exact(reference - brightest),
            _ => return Err(IrisError::TooFew { need: 2, have: 0 }),
        };
        Ok(LightFitter { evidence, widest, reference })
    }

    /// What the solver takes; s is known where exposures stand alone.
    fn measured(&self) -> Evidence<'a> {
        Evidence {
            readings: self.evidence.readings,
            at_error: self.evidence.at_error.to_deg(),
            error: self.evidence.exposures.error,
            sum: self.reference.filter(|_| self.evidence.readings.is_empty()),
        }
    }

    fn picked(&self, indices: &[usize]) -> Vec<Exposure> {
        indices.iter().map(|i| self.evidence.exposures.list[*i]).collect()
    }

    /// The law of the readings alone.
    fn geometry(&self) -> Result<Option<IrisLaw>, IrisError> {
        let LightEvidence { choice, widest, readings, at_error, .. } = self.evidence;
        if readings.is_empty() {
            return Ok(None);
        }
        IrisCalibration::new(choice, widest, readings, at_error).map(|fit| Some(fit.law))
    }

    /// Which exposures are within a stop of wide open; none where no reading tells.
    pub(super) fn wide(&self) -> Result<Vec<bool>, IrisError> {
        let Some(law) = self.geometry()? else { return Ok(vec![false; self.evidence.exposures.list.len()]) };
        let limit = self.widest.in_stops() + CLEARLY_STOPPED_DOWN - SLACK;
        let opens = self.evidence.readings.iter().map(|r| r.at.to_deg()).fold(f64::INFINITY, f64::min);
        let wide = |at: Angle| match law.stop(at) {
            Some(stop) => stop.in_stops() < limit,
            None => at.to_deg() <= opens,
        };
        Ok(self.evidence.exposures.list.iter().map(|e| wide(e.at)).collect())
    }

    /// The law that fits `far` best, without its outlier where there is one.
    pub(super) fn choose(
        &self,
        far: &mut Vec<usize>,
        used: &mut [ExposureUse],
        warnings: &mut Vec<LightWarning>,
    ) -> Result<Fit, IrisError> {
        let shapes: &[IrisShape] = match self.evidence.choice {
            IrisChoice::Auto => &[IrisShape::Even, IrisShape::Diameter, IrisShape::Blades],
            IrisChoice::Even => &[IrisShape::Even],
            IrisChoice::Diameter => &[IrisShape::Diameter],
            IrisChoice::Blades => &[IrisShape::Blades],
            IrisChoice::Curve => return self.curve(far),
        };
        let best = |indices: &[usize]| -> Result<Joint, IrisError> {
            let exposures = self.picked(indices);
            let fits = shapes.iter().map(|shape| Joint::fit(*shape, self.widest, self.measured(), &exposures));
            fits.reduce(|a, b| match (a, b) {
                (Ok(a), Ok(b)) => Ok(if b.chi_square < a.chi_square - 1e-9 { b } else { a }),
                (Ok(one), Err(_)) | (Err(_), Ok(one)) => Ok(one),
                (Err(error), Err(_)) => Err(error),
            })
            .unwrap_or(Err(IrisError::RunsBackwards))
        };
        let whole = best(far)?;
        if whole.freedom == 0 && shapes.len() > 1 {
            warnings.push(LightWarning::TooFewToTell);
            return Joint::fit(IrisShape::Even, self.widest, self.measured(), &self.picked(far)).map(Fit::Joint);
        }
        if believable(&whole) {
            return Ok(Fit::Joint(whole));
        }
        let without = |left_out: usize| far.iter().copied().filter(|i| *i != left_out).collect::<Vec<usize>>();
        let rest = far.iter().filter_map(|i| Some((*i, best(&without(*i)).ok()?)));
        let rest = rest.filter(|(_, fit)| fit.freedom >= 2 && believable(fit));
        if let Some((i, joint)) = rest.min_by(|a, b| a.1.chi_square.total_cmp(&b.1.chi_square)) {
            let fit = Fit::Joint(joint);
            self.leave_out(i, &fit, used, warnings);
            far.retain(|kept| *kept != i);
            return Ok(fit);
        }
        if self.evidence.choice == IrisChoice::Auto {
            warnings.push(LightWarning::CurveTaken);
            return self.curve(far);
        }
        let reduced = whole.chi_square / whole.freedom as f64;
        warnings.push(LightWarning::Scatter { factor: reduced.sqrt() });
        let covariance = whole.covariance.map(|row| row.map(|value| value * reduced));
        Ok(Fit::Joint(Joint { covariance, ..whole }))
    }

    fn leave_out(&self, i: usize, fit: &Fit, used: &mut [ExposureUse], warnings: &mut Vec<LightWarning>) {
        let exposure = self.evidence.exposures.list[i];
        used[i] = ExposureUse::LeftOut;
        let off = self.off(fit, &exposure).map_or(0.0, |off| off.stops);
        warnings.push(LightWarning::Outlier { number: i + 1, at: exposure.at, off });
    }

    pub(super) fn leave_out_wild(
        &self,
        fit: &Fit,
        near: &mut Vec<usize>,
        used: &mut [ExposureUse],
        warnings: &mut Vec<LightWarning>,
    ) {
        near.retain(|i| {
            let off = self.off(fit, &self.evidence.exposures.list[*i]);
            let outlier = off.is_some_and(|off| {
                off.stops.abs() > OUTLIER_SIGMAS * (off.own + off.law).sqrt() && off.stops.abs() > REPORTED_FROM
            });
            if outlier {
                self.leave_out(*i, fit, used, warnings);
            }
            !outlier
        });
    }

    /// The law with exposures near wide open as well, where they do not refute it.
    pub(super) fn joined(&self, fit: &Fit, all: &[usize]) -> Option<Joint> {
        let Fit::Joint(first) = fit else { return None };
        let joint = Joint::fit(first.shape, self.widest, self.measured(), &self.picked(all)).ok()?;
        // a law that is asked for keeps what it was widened by
        let widened = self.evidence.choice != IrisChoice::Auto && !believable(first);
        if widened {
            return None;
        }
        believable(&joint).then_some(joint)
    }

    /// s through a curve: the weighted mean over the exposures that it reaches.
    fn curve(&self, far: &[usize]) -> Result<Fit, IrisError> {
        let Some(law) = self.geometry()? else {
            let sum = self.reference.ok_or(IrisError::TooFew { need: 2, have: 0 })?;
            return Ok(Fit::Curve { geometry: None, sum, variance: 0.0 });
        };
        let (mut weights, mut sums) = (0.0, 0.0);
        for exposure in self.picked(far) {
            if let Some((sum, error)) = self.sum_at(&law, &exposure) {
                weights += 1.0 / error;
                sums += sum / error;
            }
        }
        if weights == 0.0 {
            return Err(IrisError::TooFew { need: 3, have: self.evidence.readings.len() });
        }
        Ok(Fit::Curve { geometry: Some(law), sum: sums / weights, variance: 1.0 / weights })
    }

    /// s by one exposure and its variance; the ring was read twice, for the curve and for the exposure.
    fn sum_at(&self, law: &IrisLaw, exposure: &Exposure) -> Option<(f64, f64)> {
        let stop = law.stop(exposure.at)?;
        let per_stop = law.degrees_per_stop(stop).filter(|per_stop| *per_stop > 0.0)?;
        let ring = self.evidence.at_error.to_deg() / per_stop;
        Some((stop.in_stops() + exposure.stops, self.evidence.exposures.error.powi(2) + 2.0 * ring * ring))
    }

    pub(super) fn off(&self, fit: &Fit, exposure: &Exposure) -> Option<Off> {
        match fit {
            Fit::Joint(joint) => {
                let (slope, per_stop) = joint.exposure_slope(exposure.at)?;
                let stops = exposure.stops - (joint.sum - joint.stops_at(exposure.at)?);
                let ring = self.evidence.at_error.to_deg() / per_stop;
                let own = self.evidence.exposures.error.powi(2) + ring * ring;
                Some(Off { stops, own, law: variance(&joint.covariance, slope) })
            }
            Fit::Curve { geometry, sum, variance } => {
                let (own_sum, own) = self.sum_at(geometry.as_ref()?, exposure)?;
                Some(Off { stops: own_sum - sum, own, law: *variance })
            }
        }
    }

    pub(super) fn transmittance(&self, fit: &Fit) -> Option<Transmittance> {
        let reference = self.reference.filter(|_| !self.evidence.readings.is_empty())?;
        let (sum, variance) = match fit {
            Fit::Joint(joint) => (joint.sum, joint.covariance[2][2]),
            Fit::Curve { sum, variance, .. } => (*sum, *variance),
        };
        let sigma_stops = (variance + self.evidence.exposures.error.powi(2)).sqrt();
        Some(Transmittance { stops: sum - reference, sigma_stops })
    }

    /// The exposures at the widest position of the ring, within its error.
    pub(super) fn open_group(&self, near: &[usize]) -> impl Iterator<Item = usize> {
        let at = |i: usize| self.evidence.exposures.list[i].at.to_deg();
        let widest = near.iter().map(|i| at(*i)).fold(f64::INFINITY, f64::min);
        let limit = widest + self.evidence.at_error.to_deg();
        near.iter().copied().filter(|i| at(*i) <= limit).collect::<Vec<usize>>().into_iter()
    }

    pub(super) fn wide_open(&self, fit: &Fit, near: &[usize]) -> Option<WideOpen> {
        let group = self.open_group(near);
        let offs: Vec<Off> = group.filter_map(|i| self.off(fit, &self.evidence.exposures.list[i])).collect();
        let (count, law) = (offs.len() as f64, offs.first()?.law);
        let short = -offs.iter().map(|off| off.stops).sum::<f64>() / count;
        let own = offs.iter().map(|off| off.own).sum::<f64>() / (count * count);
        Some(WideOpen { short, sigma: (own + law).sqrt() })
    }

    /// The law over T-stops; `None` where nothing tells the transmittance.
    pub(super) fn t_law(
        &self,
        fit: &Fit,
        used: &[ExposureUse],
        warnings: &mut Vec<LightWarning>,
    ) -> Result<Option<TLaw>, IrisError> {
        let LightEvidence { readings, exposures, .. } = self.evidence;
        let (sum, sum_variance) = match fit {
            Fit::Joint(joint) => (joint.sum, joint.covariance[2][2]),
            Fit::Curve { sum, variance, .. } => (*sum, *variance),
        };
        let stated = self.evidence.transmittance.map(f64::log2);
        let (shift, own, common) = match (self.reference, stated) {
            (Some(reference), _) => (sum - reference, exposures.error, exposures.error),
            (None, Some(stated)) => (stated, exposures.error.hypot(sum_variance.sqrt()), 0.0),
            (None, None) => return Ok(None),
        };
        let ring = self.evidence.at_error.to_deg();
        let by_light = |which: &dyn Fn(ExposureUse) -> bool| -> Vec<Point> {
            let kept = exposures.list.iter().zip(used).filter(|(_, used)| which(**used));
            kept.map(|(e, _)| Point { stops: sum - e.stops - shift, at: e.at.to_deg(), weight: 1.0 }).collect()
        };
        let mut errors = LightErrors { line: None, ring, own, common };
        let law = match fit {
            Fit::Joint(joint) => {
                // only missing light bends the law; other deviations near wide open are noise
                let short = warnings.iter().any(|warning| matches!(warning, LightWarning::Short { .. }));
                let (wide, joined) = levelled(by_light(&|used| short && used == ExposureUse::Itself));
                if joined > 0 {
                    warnings.push(LightWarning::Levelled { count: joined });
                }
                let mut joint = *joint;
                if self.reference.is_none() {
                    (0..3).for_each(|i| (joint.covariance[2][i], joint.covariance[i][2]) = (0.0, 0.0));
                }
                let darkest = exposures.list.iter().map(|e| e.stops).fold(f64::INFINITY, f64::min);
                let read = readings.iter().map(|r| r.stop.in_stops()).fold(f64::NEG_INFINITY, f64::max);
                let last = (sum - darkest).max(read) - shift + 3.0;
                let (law, line) = of_shape(&joint, shift, &wide, last).ok_or(IrisError::RunsBackwards)?;
                errors.line = Some(line);
                law
            }
            Fit::Curve { .. } => {
                let mut points = by_light(&|used| used != ExposureUse::LeftOut);
                points.extend(readings.iter().map(|r| Point {
                    stops: r.stop.in_stops() - shift,
                    at: r.at.to_deg(),
                    weight: 1.0,
                }));
                // errors of the ring count in stops by how far a stop is on the whole
                let span = |of: &dyn Fn(&Point) -> f64| {
                    let values = points.iter().map(of);
                    let (least, most) =
                        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), value| (a.min(value), b.max(value)));
                    most - least
                };
                let ring_stops = ring * span(&|point| point.stops) / span(&|point| point.at).max(1e-9);
                let exposed = points.len() - readings.len();
                points.iter_mut().enumerate().for_each(|(i, point)| {
                    let error = if i < exposed { own.hypot(ring_stops) } else { ring_stops };
                    point.weight = 1.0 / error.powi(2).max(1e-9);
                });
                let (points, joined) = levelled(points);
                if joined > 0 {
                    warnings.push(LightWarning::Levelled { count: joined });
                }
                of_points(&points)?
            }
        };
        let residual = |r: &StopReading| {
            let expected = match fit {
                Fit::Joint(joint) => Angle::try_deg(joint.angle(r.stop))?,
                Fit::Curve { geometry, .. } => geometry.as_ref()?.angle(r.stop)?,
            };
            Some((*r, r.at - expected))
        };
        let residuals = readings.iter().filter_map(residual).collect();
        let opens = exposures.list.iter().zip(used).filter(|(_, used)| **used != ExposureUse::LeftOut);
        let opens = opens.map(|(e, _)| e.at).min_by(Angle::total_cmp);
        let promised = exact(self.widest.in_stops() - shift);
        let widest = match &law {
            IrisLaw::Shaped { .. } if readings.is_empty() => opens.and_then(|at| law.stop(at)).unwrap_or(promised),
            IrisLaw::Shaped { .. } => promised,
            IrisLaw::Curve(curve) => exact(curve.first()),
        };
        let mechanism = match fit {
            Fit::Joint(joint) => joint.shape.kind(),
            Fit::Curve { .. } => law.kind(),
        };
        Ok(Some(TLaw { calibration: IrisCalibration::of_light(law, residuals, errors), mechanism, widest, shift }))
    }
}

fn believable(fit: &Joint) -> bool {
    exceeding(fit.chi_square, fit.freedom) >= SIGNIFICANCE
}
