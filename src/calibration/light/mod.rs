//! Exposures of a grey card at positions of the iris ring become a transmittance and a law over T-stops.
//!
//! Takes relative exposures in stops (brighter is more), the stops that were read on the ring, and, where there is
//! one, the exposure of the same card through a lens of known T-stop. Gives the transmittance, a law over T-stops,
//! and the light that is missing wide open. Everything is in stops from f/1 or T1:
//!
//! ```text
//! e = s - Nv                  any one lens: image illuminance goes as 1/T^2, and T goes as N
//! Tv = Tv0 + e0 - e           against the reference's T-stop and exposure
//! log2 tau = Nv - Tv = s - (Tv0 + e0)
//!
//! Nv = 2 log2 N,  Tv = 2 log2 T
//! ```
//!
//! Source: T = N/sqrt(tau) (encyclopedia article "F-number"), Av = 2 log2 N (the APEX system).
//!
//! All evidence is fitted together: a reading gives the ring's position at a stop, an exposure the same up to the
//! unknown s, so s and the law have one fit, and the readings enter the T scale shifted by tau. Vignetting by the barrel
//! shows within the first stop only, so s comes from exposures that are clearly stopped down; those nearer to wide open
//! are compared with it first, and join the law only when they agree. The reference's error shifts all T marks
//! equally and is kept apart.

mod fitting;
mod joint;
mod t_law;
#[cfg(test)]
mod tests;
mod warning;

pub(super) use t_law::LightErrors;
pub use t_law::TLaw;
pub use warning::LightWarning;

use self::fitting::{Fit, LightFitter};
use super::{IrisChoice, IrisError, StopReading};
use crate::units::{Angle, Stop, TStop};

/// One exposure of the card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Where the ring stood.
    pub at: Angle,
    /// How bright the card came out, in stops from any zero; brighter is more.
    pub stops: f64,
}

/// The same card through a lens of known T-stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReferenceExposure {
    /// What that lens was set to.
    pub t: TStop,
    /// How bright the card came out, from the same zero.
    pub stops: f64,
}

/// The exposures of one lens in the same light at the same shutter.
#[derive(Clone, Debug, PartialEq)]
pub struct Exposures {
    /// In the file's order.
    pub list: Vec<Exposure>,
    /// What makes them absolute.
    pub reference: Option<ReferenceExposure>,
    /// Standard error of one exposure, the reference's too, in stops.
    pub error: f64,
}

/// Everything that says where an iris ring's T marks belong.
#[derive(Clone, Copy)]
pub struct LightEvidence<'a> {
    /// The law that is asked for.
    pub choice: IrisChoice,
    /// The widest stop, the widest reading if unknown.
    pub widest: Option<Stop>,
    /// f-stops read on the ring; may be none where there is a reference.
    pub readings: &'a [StopReading],
    /// Standard error of a position of the ring.
    pub at_error: Angle,
    /// The exposures.
    pub exposures: &'a Exposures,
    /// Whether T-stops are to be marked.
    pub t_scale: bool,
    /// A transmittance that is stated, where no reference measures it.
    pub transmittance: Option<f64>,
}

/// What became of an exposure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ExposureUse {
    /// The law was fitted to it.
    Law,
    /// It places a mark of its own beside the law.
    Itself,
    /// It was left out.
    #[serde(rename = "left out")]
    LeftOut,
}

/// The share of light that comes through.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transmittance {
    /// log2 of it: stops lost, below zero.
    pub stops: f64,
    /// Its standard error in stops.
    pub sigma_stops: f64,
}

impl Transmittance {
    /// The share itself.
    pub fn value(self) -> f64 {
        self.stops.exp2()
    }

    /// Its standard error.
    pub fn sigma(self) -> f64 {
        self.value() * std::f64::consts::LN_2 * self.sigma_stops
    }
}

/// The light wide open compared with what the readings imply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WideOpen {
    /// Stops of light that are missing.
    pub short: f64,
    /// Its standard error.
    pub sigma: f64,
}

/// What exposures say of a lens.
#[derive(Clone, Debug)]
pub struct LightCalibration {
    /// Observed minus expected in stops, where the law reaches, and what became of it; in the order given.
    pub exposures: Vec<(Exposure, Option<f64>, ExposureUse)>,
    /// Measured against the reference.
    pub transmittance: Option<Transmittance>,
    /// Where exposures both near wide open and clearly stopped down were taken.
    pub wide_open: Option<WideOpen>,
    /// The law for a T scale, where one is asked for.
    pub t_law: Option<TLaw>,
    /// What a user should know.
    pub warnings: Vec<LightWarning>,
}

/// Stops from wide open beyond which the barrel does not vignette. A smaller figure lets vignetting into the transmittance,
/// a larger one leaves fewer exposures for it; common practice, no source.
const CLEARLY_STOPPED_DOWN: f64 = 1.0;
/// Missing light wide open is reported from so many stops on: half of what a careful eye sees; common practice, no source.
const REPORTED_FROM: f64 = 0.15;

impl LightCalibration {
    /// Fits the law to readings and exposures together.
    ///
    /// # Errors
    /// When there are too few of them, or they run backwards.
    pub fn new(evidence: LightEvidence) -> Result<Self, IrisError> {
        let list = &evidence.exposures.list;
        let fitting = LightFitter::new(evidence)?;
        let wide = fitting.wide()?;
        let (mut near, mut far): (Vec<usize>, Vec<usize>) = (0..list.len()).partition(|i| wide[*i]);
        if far.is_empty() {
            far = std::mem::take(&mut near);
        }
        let mut warnings = Vec::new();
        let mut used = vec![ExposureUse::Law; list.len()];
        let mut fit = fitting.choose(&mut far, &mut used, &mut warnings)?;
        let transmittance = fitting.transmittance(&fit);
        let wide_open = fitting.wide_open(&fit, &near);
        let is_reported = |open: &WideOpen| open.short.abs() > 2.0 * open.sigma && open.short.abs() > REPORTED_FROM;
        let reported = wide_open.filter(is_reported);
        let widest = fitting.widest;
        match reported {
            Some(WideOpen { short, sigma }) if short > 0.0 => {
                near.iter().for_each(|i| used[*i] = ExposureUse::Itself);
                warnings.push(LightWarning::Short { stops: short, sigma, widest, placed: evidence.t_scale });
            }
            reported => {
                if let Some(WideOpen { short, sigma }) = reported {
                    fitting.open_group(&near).for_each(|i| used[i] = ExposureUse::LeftOut);
                    warnings.push(LightWarning::Bright { stops: -short, sigma, widest });
                }
                near.retain(|i| used[*i] == ExposureUse::Law);
                fitting.leave_out_wild(&fit, &mut near, &mut used, &mut warnings);
                let all: Vec<usize> = far.iter().chain(&near).copied().collect();
                match fitting.joined(&fit, &all) {
                    Some(joint) => fit = Fit::Joint(joint),
                    None if matches!(fit, Fit::Joint(_)) => near.iter().for_each(|i| used[*i] = ExposureUse::Itself),
                    None => {}
                }
            }
        }
        if let Some(Transmittance { stops, sigma_stops }) = transmittance
            && stops > 2.0 * sigma_stops
        {
            warnings.push(LightWarning::AboveOne { stops, sigma: sigma_stops });
        }
        let t_law = if evidence.t_scale { fitting.t_law(&fit, &used, &mut warnings)? } else { None };
        let offs = list.iter().map(|exposure| fitting.off(&fit, exposure).map(|off| off.stops));
        let exposures =
            list.iter().zip(offs).zip(&used).map(|((exposure, off), used)| (*exposure, off, *used)).collect();
        Ok(LightCalibration { exposures, transmittance, wide_open, t_law, warnings })
    }
}
