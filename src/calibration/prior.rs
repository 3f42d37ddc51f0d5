//! What is known before any reading, as further observations with errors of their own.

use super::least_squares::Observation;
use super::unknowns::{AHEAD, C, INFINITY, K, LOG_A, N, PLACING, PLAY, Vector};
use super::{Known, Means, Moves, Origin, Reading, ReadingError, Turned};

/// Name rings are rounded: the true focal length is rarely more than 3 % off (common practice, no source).
/// A wider one would make scales without readings useless; a narrower one would contradict true readings.
const NAME_RING_SHARE: f64 = 0.03;
/// Without a data sheet the gap of the principal planes is taken as zero give or take this share of F: traced lenses
/// have gaps from -0.3 F to 0.9 F, and one telephoto 1.2 F. Half of F would bend retrofocus lenses away from their readings,
/// more would waste the information of the name ring.
const UNKNOWN_GAP_SHARE: f64 = 0.75;
/// A lead counted from the thread or measured over one turn is good to half a percent (common practice, no source).
const LEAD_SHARE: f64 = 0.005;
/// Without any reading of infinity the zero of the angles is unknown; an error of a full turn says so and keeps the
/// equations regular.
const UNKNOWN_ZERO_DEG: f64 = 360.0;
/// Play that was not read from both sides: worn threads have a degree or two (common practice, no source).
const UNKNOWN_PLAY_DEG: f64 = 5.0;
/// How far a strip may have been stuck down beside its place, mistakes included: 2 mm on a ring of 70 mm (common
/// practice, no source). With a smaller figure a misplaced strip would bend the law.
const PLACING_DEG: f64 = 3.0;
/// Standard error that holds an unknown which no reading depends on.
const PINNED: f64 = 1e-6;

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
    /// The ring's play, in degrees.
    Play { sigma: f64 },
    /// How far ahead of the image plane distances were taped from, in mm.
    Ahead { value: f64, sigma: f64 },
    /// Displacement of a checked strip, in degrees.
    Placing { sigma: f64 },
}

impl Prior {
    pub fn row(self, p: &Vector) -> Option<Observation<N>> {
        let (place, value, sigma) = match self {
            Prior::LogFocalLength { value, sigma } => {
                let k = p[K];
                let mut slope = [0.0; N];
                (slope[LOG_A], slope[K]) = (0.5 / sigma, 0.5 / k / sigma);
                let residual = (0.5 * (p[LOG_A] + k.ln()) - value) / sigma;
                return (k > 0.0).then_some(Observation { residual, slope });
            }
            Prior::Offset { value, sigma } => (C, value, sigma),
            Prior::Travel { value, sigma } => (K, value, sigma),
            Prior::Infinity { value, sigma } => (INFINITY, value, sigma),
            Prior::Play { sigma } => (PLAY, 0.0, sigma),
            Prior::Ahead { value, sigma } => (AHEAD, value, sigma),
            Prior::Placing { sigma } => (PLACING, 0.0, sigma),
        };
        let mut slope = [0.0; N];
        slope[place] = 1.0 / sigma;
        Some(Observation { residual: (p[place] - value) / sigma, slope })
    }

    /// Whether it concerns the lens and the zero, and not the readings' shared errors.
    pub fn of_the_lens(self) -> bool {
        self.refutable() || matches!(self, Prior::Infinity { .. })
    }

    /// Whether it says something of the lens that readings can refute; the zero of the angles is a convention.
    pub fn refutable(self) -> bool {
        matches!(self, Prior::LogFocalLength { .. } | Prior::Offset { .. } | Prior::Travel { .. })
    }
}

/// Priors of the constants, from name ring, lead and gap, and of the readings' shared errors.
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
        // A K is no focal length then: A and K only give the law's pole and the travel of the front.
        Moves::Inside | Moves::Floating => priors.push(Prior::Offset { value: 2.0 * f, sigma: f }),
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
    priors.extend(common_errors(readings));
    priors
}

/// Priors of the shared errors: fixed where no reading depends on them.
pub(super) fn common_errors(readings: &[Reading]) -> [Prior; 3] {
    let ahead = readings.iter().find_map(|reading| match reading.from {
        Origin::Ahead { by, error, .. } => Some((by.to_mm(), error.to_mm().max(1e-3))),
        Origin::ImagePlane => None,
    });
    let (value, sigma) = ahead.unwrap_or((0.0, PINNED));
    let checked = readings.iter().any(|reading| reading.by == Means::Strip);
    [
        Prior::Play { sigma: if both_ways(readings) { UNKNOWN_PLAY_DEG } else { PINNED } },
        Prior::Ahead { value, sigma },
        Prior::Placing { sigma: if checked { PLACING_DEG } else { PINNED } },
    ]
}

/// Whether the ring was turned both ways, so that the readings determine its play.
pub(super) fn both_ways(readings: &[Reading]) -> bool {
    let any = |way| readings.iter().any(|reading| reading.turned == Some(way));
    any(Turned::TowardClose) && any(Turned::TowardInfinity)
}

/// The priors without the lead: a group floats or the lead is wrong, so that K is free and C no longer follows from the
/// lens's gap.
pub(super) fn without_lead(known: &Known, priors: &[Prior]) -> Vec<Prior> {
    let f = known.focal_length.to_mm();
    let looser = |prior: &Prior| match *prior {
        Prior::Travel { .. } => None,
        Prior::Offset { value, sigma } => Some(Prior::Offset { value, sigma: sigma.max(UNKNOWN_GAP_SHARE * f) }),
        other => Some(other),
    };
    priors.iter().filter_map(looser).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Angle, Distance, Length};

    fn readings(turned: &[Option<Turned>], by: Means) -> Vec<Reading> {
        let error = ReadingError { distance: Length::mm(2.0), share: 0.0, at: Angle::deg(0.3) };
        let reading = Reading::taped(Distance::mm(1000.0), Angle::deg(30.0), error);
        turned.iter().map(|turned| Reading { turned: *turned, by, ..reading }).collect()
    }

    #[test]
    fn play_shows_only_where_the_ring_was_turned_both_ways() {
        let (close, infinity) = (Some(Turned::TowardClose), Some(Turned::TowardInfinity));
        for (turned, shows) in [
            (&[close, infinity][..], true),
            (&[close, close], false),
            (&[infinity, None], false),
            (&[None, None], false),
            (&[], false),
        ] {
            let readings = readings(turned, Means::Tape);
            assert_eq!(both_ways(&readings), shows, "{turned:?}");
            let left_open = common_errors(&readings).contains(&Prior::Play { sigma: UNKNOWN_PLAY_DEG });
            assert_eq!(left_open, shows, "{turned:?}");
        }
    }

    #[test]
    fn only_a_strip_can_be_stuck_beside_its_place() {
        for (by, may_be) in [(Means::Tape, false), (Means::Engraving, false), (Means::Strip, true)] {
            let left_open = common_errors(&readings(&[None], by)).contains(&Prior::Placing { sigma: PLACING_DEG });
            assert_eq!(left_open, may_be, "{by:?}");
        }
    }
}
