//! Two readings whose positions were written down in each other's place.
//!
//! Looked for only where the readings refute the law itself: every pair of neighbours is exchanged and the law fitted
//! anew. An exchange is believed where all readings then agree, where chi-square falls by more than chance gives, and where
//! no other exchange does nearly as well.

use super::{FocusFitter, SIGNIFICANCE, exceeding, priors};
use crate::calibration::Reading;
use crate::calibration::travel::TravelFit;

/// So far apart in the order of distances may two readings stand: who exchanges lines exchanges neighbours.
const APART: usize = 2;
/// An exchange has to take so much off chi-square: by chance it falls so far once in three hundred million sets (chi-square of
/// one degree of freedom, six standard errors).
const GAIN: f64 = 36.0;
/// So many of the readings that lie farthest off are tried with their neighbours.
const SUSPECTS: usize = 3;
/// Fewer observations beyond the unknowns tell nothing.
const LEAST_FREEDOM: usize = 2;
/// The next best exchange has to be worse by so much: three standard errors.
const CLEARER: f64 = 9.0;

impl FocusFitter<'_> {
    /// The two readings that agree with all others once their positions are exchanged, by their places in the order given;
    /// looked for where `refuted`, the fit of all readings as they are, allows for no law, and where there is none.
    pub(super) fn exchanged(&self, refuted: Option<&TravelFit>) -> Option<(usize, usize)> {
        let suspects = refuted.map(|fit| self.worst(fit));
        let refuted = refuted.map_or(f64::INFINITY, |fit| fit.chi_square);
        let mut order: Vec<usize> = (0..self.readings.len()).collect();
        let distance = |i: &usize| self.readings[*i].distance.to_mm().unwrap_or(f64::INFINITY);
        order.sort_by(|a, b| distance(b).total_cmp(&distance(a)));
        let near = (0..order.len()).flat_map(|k| (k + 1..=k + APART).map(move |l| (k, l)));
        let pairs = near.filter_map(|(k, l)| Some((*order.get(k)?, *order.get(l)?)));
        let suspected = |i: &usize| suspects.as_ref().is_none_or(|suspects| suspects.contains(i));
        let pairs = pairs.filter(|(i, j)| distance(i) != distance(j) && (suspected(i) || suspected(j)));
        let pairs: Vec<(usize, usize)> = pairs.collect();
        let tried = |i: usize, j: usize, free: bool| {
            let readings = exchange(self.readings, i, j);
            let priors = priors(self.known, &readings, self.error);
            let fitter = FocusFitter { readings: &readings, priors, ..*self };
            let fit = fitter.fit(&if free { fitter.zero_only() } else { fitter.priors.clone() })?;
            (fit.freedom >= LEAST_FREEDOM).then_some((fit.chi_square, fit.freedom, (i.min(j), i.max(j))))
        };
        // with the name ring, and for lenses that it does not tell of, by the readings alone
        [false, true].into_iter().find_map(|free| {
            let mut all: Vec<_> = pairs.iter().filter_map(|(i, j)| tried(*i, *j, free)).collect();
            all.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (chi_square, freedom, pair) = *all.first()?;
            let clear = all.get(1).is_none_or(|(next, ..)| next - chi_square > CLEARER);
            let agree = exceeding(chi_square, freedom) >= SIGNIFICANCE && refuted - chi_square > GAIN;
            (agree && clear).then_some(pair)
        })
    }

    /// The readings that lie farthest from a law, in their own errors: one of two that were exchanged is among them.
    fn worst(&self, fit: &TravelFit) -> Vec<usize> {
        let off = |reading: &Reading| {
            let (off, error) = (fit.model.off(reading), fit.model.error(reading));
            off.zip(error).map_or(f64::INFINITY, |(off, error)| (off / error).abs())
        };
        let mut all: Vec<(f64, usize)> =
            self.readings.iter().enumerate().map(|(i, reading)| (off(reading), i)).collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        all.into_iter().take(SUSPECTS).map(|(_, i)| i).collect()
    }
}

/// The readings with the positions of two of them exchanged.
fn exchange(readings: &[Reading], i: usize, j: usize) -> Vec<Reading> {
    let mut exchanged = readings.to_vec();
    (exchanged[i].at, exchanged[j].at) = (readings[j].at, readings[i].at);
    (exchanged[i].turned, exchanged[j].turned) = (readings[j].turned, readings[i].turned);
    exchanged
}
