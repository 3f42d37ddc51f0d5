//! What a focus law needs: a closest distance that a lens reaches, and something to be computed from.

use crate::calibration::{LawChoice, Moves, Reading};
use crate::model::{Refusal, RingKind, Subject};
use crate::units::Length;

/// A closest distance, `written` as a person wrote it, that no lens of that kind reaches.
///
/// ```text
/// D >= 4 F + HH'        a lens moved as a whole: least distance between subject and image, at 1:1
/// D >= F                any other: a lens cannot be nearer to its subject than to its image at infinity
/// ```
///
/// Source: the thin-lens equation 1/F = 1/s + 1/s', with s + s' least for s = s' = 2 F.
pub fn reachable(
    lens: &str,
    closest: Length,
    written: &str,
    focal_length: Length,
    gap: Option<Length>,
    moves: Moves,
) -> Option<Refusal> {
    let focal = focal_length.to_mm();
    let least = match moves {
        Moves::Whole => 4.0 * focal + gap.map_or(0.0, Length::to_mm),
        Moves::Front | Moves::Inside | Moves::Floating => focal,
    };
    if closest.to_mm() * (1.0 + 1e-9) >= least {
        return None;
    }
    let subject = Subject::Ring(lens.to_string(), RingKind::Focus);
    let message = format!("a {focal_length} lens cannot focus at {written}");
    let refusal = Refusal::new(subject, message, format!("at least {least:.0} mm, measured from the image plane"));
    Some(match moves {
        Moves::Whole => refusal
            .note("a lens moved as a whole stays four focal lengths and the gap of its principal planes away")
            .way_out("if only a group of the lens moves, say moves = \"front\" or moves = \"inside\""),
        Moves::Front | Moves::Inside | Moves::Floating => refusal,
    })
}

/// A law without enough to compute it from; `stated` where the lead, the throw or old marks are.
pub fn enough_for_a_law(lens: &str, law: LawChoice, readings: &[Reading], stated: bool) -> Option<Refusal> {
    let subject = Subject::Ring(lens.to_string(), RingKind::Focus);
    match law {
        LawChoice::Auto | LawChoice::Travel => (readings.is_empty() && !stated).then(|| {
            let message = "there is nothing to compute this scale from";
            Refusal::new(subject, message, "add `readings`, `lead` or `throw`")
                .way_out("tape some distances and read the ring's turn at each, or measure the travel of one full turn")
        }),
        LawChoice::Curve => {
            let mut distances: Vec<_> = readings.iter().map(|reading| reading.distance).collect();
            distances.sort_by(|a, b| a.to_mm().unwrap_or(f64::MAX).total_cmp(&b.to_mm().unwrap_or(f64::MAX)));
            distances.dedup();
            let found = match distances.len() {
                0 => "no reading",
                1 => "one distance",
                2 => "two distances",
                _ => return None,
            };
            let label = "a curve needs readings at three distances, of which infinity may be one";
            let refusal = Refusal::new(subject, "there are too few readings for a curve", label);
            Some(refusal.note(format!("found here: {found}")).way_out("or leave out law = \"curve\""))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::{Means, Origin, ReadingError};
    use crate::units::{Angle, Distance};

    #[test]
    fn a_whole_lens_stays_four_focal_lengths_away() {
        let refused = |mm: f64, gap: Option<f64>, moves| {
            reachable("A", Length::mm(mm), "", Length::mm(50.0), gap.map(Length::mm), moves).is_some()
        };
        assert!(!refused(200.0, None, Moves::Whole) && refused(199.0, None, Moves::Whole));
        assert!(!refused(196.0, Some(-4.0), Moves::Whole) && refused(200.0, Some(4.0), Moves::Whole));
        assert!(!refused(50.0, None, Moves::Front) && refused(49.0, None, Moves::Inside));
    }

    #[test]
    fn a_law_has_something_to_be_computed_from() {
        let reading = |mm: f64| Reading {
            distance: Distance::mm(mm),
            at: Angle::deg(10.0),
            error: ReadingError { distance: Length::mm(5.0), share: 0.0, at: Angle::deg(0.5) },
            from: Origin::ImagePlane,
            turned: None,
            by: Means::Tape,
        };
        assert!(enough_for_a_law("A", LawChoice::Auto, &[], false).is_some());
        assert_eq!(enough_for_a_law("A", LawChoice::Auto, &[], true), None);
        let twice = [1000.0, 1000.0, 2000.0].map(reading);
        let refused = enough_for_a_law("A", LawChoice::Curve, &twice, true).unwrap();
        assert_eq!(refused.notes, ["found here: two distances"]);
        assert_eq!(enough_for_a_law("A", LawChoice::Curve, &[1000.0, 3000.0, 2000.0].map(reading), false), None);
    }
}
