//! What exposures of a grey card need beside themselves, and what they say about each other.

use super::pair::pair;
use crate::calibration::{Exposure, Exposures};
use crate::model::{Refusal, RingKind, Subject};
use crate::units::Angle;

/// Light that grows toward closed by more than this many standard errors has another cause than noise.
const SAME: f64 = 6.0;

/// A transmittance that is stated and measured.
pub fn light_given_twice(lens: &str, transmittance: bool, reference: bool) -> Option<Refusal> {
    (transmittance && reference).then(|| {
        let message = "the transmittance is stated, and the exposures measure it";
        Refusal::new(ring(lens), message, "leave this out, or leave out `exposure_reference`")
    })
}

fn ring(lens: &str) -> Subject {
    Subject::Ring(lens.to_string(), RingKind::Iris)
}

/// What an iris ring says beside its exposures.
#[derive(Clone, Copy, Debug)]
pub struct Given {
    /// No stop was read on the ring.
    pub alone: bool,
    /// T-stops are marked.
    pub t_scale: bool,
    /// The card was exposed through a lens of known T-stop.
    pub reference: bool,
    /// A transmittance is stated.
    pub transmittance: bool,
    /// Every exposure could be read.
    pub complete: bool,
}

/// Exposures that do not tell what the scale needs.
pub fn light_given(lens: &str, exposures: &Exposures, given: &Given) -> Vec<Refusal> {
    let refuse = |message: &str, label: &str, help: &str| Refusal::new(ring(lens), message, label).way_out(help);
    let mut refused = Vec::new();
    let mut at: Vec<f64> = exposures.list.iter().map(|exposure| exposure.at.to_deg()).collect();
    at.sort_by(f64::total_cmp);
    at.dedup();
    if given.complete && at.len() < 2 {
        let help = "expose the card wide open, clearly stopped down, and at the smallest stop";
        refused.push(refuse("exposures are needed at two positions of the ring at least", "add further ones", help));
    }
    let Given { alone, t_scale, reference, transmittance, .. } = *given;
    if alone && !t_scale {
        let help = "write scale = \"T\", or add the f-stops that were read on the ring as `readings`";
        refused.push(refuse(
            "exposures alone place T-stops, and this is an f scale",
            "no reading tells the f-stops",
            help,
        ));
    } else if alone && !reference {
        let help = "add exposure_reference = { T = 4, stops = -1.7 }, the same card through a lens of known T-stop";
        refused.push(refuse(
            "exposures alone tell how the light falls off, not how much there is",
            "these are relative",
            help,
        ));
    } else if t_scale && !reference && !transmittance {
        let help = "add exposure_reference = { T = 4, stops = -1.7 }, the same card through a lens of known T-stop, or state a transmittance";
        refused.push(refuse(
            "relative exposures cannot tell the transmittance that a T scale needs",
            "these are relative",
            help,
        ));
    }
    refused
}

/// Light never grows toward closed by more than errors explain, and one turn holds all.
pub fn exposures_order(lens: &str, exposures: &Exposures, at_error: Angle) -> Option<Refusal> {
    let mut sorted: Vec<(usize, &Exposure)> = exposures.list.iter().enumerate().collect();
    sorted.sort_by(|a, b| a.1.at.to_deg().total_cmp(&b.1.at.to_deg()));
    let words = |exposure: &Exposure| format!("{:+.2} stop at {:.1} deg", exposure.stops, exposure.at.to_deg());
    let (open, closed) = (sorted.first()?, sorted.last()?);
    let two = |message: &str| {
        let named = |taken: &(usize, &Exposure)| (Subject::Exposure(lens.to_string(), taken.0), words(taken.1));
        pair(message, named(open), named(closed))
    };
    let turn = closed.1.at.to_deg() - open.1.at.to_deg();
    if turn > 360.0 {
        let help = "check the diameter in `read_on` if the positions are lengths along a ring";
        return Some(two("these exposures are more than one turn apart").way_out(help));
    }
    if turn > SAME * at_error.to_deg() && closed.1.stops - open.1.stops > SAME * exposures.error {
        let help = "brighter is more; check in which sense the ring was read and where its zero was";
        let refusal = two("these exposures run backwards");
        return Some(refusal.note("the card must come out darker from open toward closed").way_out(help));
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(pairs: &[(f64, f64)]) -> Exposures {
        let list = pairs.iter().map(|(at, stops)| Exposure { at: Angle::deg(*at), stops: *stops }).collect();
        Exposures { list, reference: None, error: 0.1 }
    }

    #[test]
    fn light_falls_toward_closed_within_one_turn() {
        let order = |pairs| exposures_order("A", &card(pairs), Angle::deg(0.5)).map(|refusal| refusal.to_string());
        assert_eq!(order(&[(60.0, -6.0), (0.0, 0.0)]), None);
        assert_eq!(order(&[(0.0, 0.0), (60.0, 0.5)]), None);
        let backwards = "A, iris, exposure 1 and 2: these exposures run backwards";
        assert_eq!(order(&[(0.0, -6.0), (60.0, 0.0)]).as_deref(), Some(backwards));
        let apart = "A, iris, exposure 1 and 2: these exposures are more than one turn apart";
        assert_eq!(order(&[(0.0, 0.0), (361.0, -6.0)]).as_deref(), Some(apart));
    }

    #[test]
    fn exposures_tell_what_the_scale_needs() {
        let all = Given { alone: false, t_scale: true, reference: true, transmittance: false, complete: true };
        let found = |given: Given, pairs| light_given("A", &card(pairs), &given).len();
        let two: &[(f64, f64)] = &[(0.0, 0.0), (60.0, -6.0)];
        assert_eq!(found(all, two), 0);
        assert_eq!(found(all, &two[..1]), 1);
        assert_eq!(found(Given { complete: false, ..all }, &two[..1]), 0);
        assert_eq!(found(Given { alone: true, t_scale: false, ..all }, two), 1);
        assert_eq!(found(Given { alone: true, reference: false, ..all }, two), 1);
        assert_eq!(found(Given { reference: false, ..all }, two), 1);
        assert_eq!(found(Given { reference: false, transmittance: true, ..all }, two), 0);
        assert!(light_given_twice("A", true, true).is_some() && light_given_twice("A", true, false).is_none());
    }
}
