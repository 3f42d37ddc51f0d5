//! Whether the readings of an iris ring can belong to one ring: their number, their order, the stops at both ends.

use super::pair::pair;
use crate::calibration::{IrisChoice, StopReading};
use crate::model::{Refusal, RingKind, Subject};
use crate::units::{Angle, Stop, figure};

/// Readings of one stop lie within this many standard errors of each other; more has another cause than noise.
const SAME: f64 = 6.0;

/// A sixth of a stop forgives a number that was rounded on the lens.
const ROUNDED: f64 = 1.0 / 6.0;

/// A reading, and which of the list it is.
type Taken<'r> = (usize, &'r StopReading);

/// The readings from the widest stop to the smallest.
fn by_stop(readings: &[StopReading]) -> Vec<Taken<'_>> {
    let mut sorted: Vec<Taken> = readings.iter().enumerate().collect();
    sorted.sort_by(|(_, a), (_, b)| a.stop.number().total_cmp(&b.stop.number()));
    sorted
}

fn words(reading: &StopReading, t_readings: bool) -> String {
    let letter = if t_readings { "T" } else { "f/" };
    format!("{letter}{} at {:.1} deg", reading.stop.label(), reading.at.to_deg())
}

fn subject(lens: &str, index: usize) -> Subject {
    Subject::Reading(lens.to_string(), RingKind::Iris, index)
}

/// Blades without the stop at which they just clear the glass.
pub fn blades_need_a_stop(lens: &str, law: IrisChoice, has_widest: bool) -> Option<Refusal> {
    if law != IrisChoice::Blades || has_widest {
        return None;
    }
    let message = "blades are computed from the widest stop, and this lens names none";
    let refusal = Refusal::new(ring(lens), message, "add widest_stop = 2.8 to the lens");
    Some(refusal.way_out("it is the stop at which the blades just clear the glass, as engraved on the name ring"))
}

fn ring(lens: &str) -> Subject {
    Subject::Ring(lens.to_string(), RingKind::Iris)
}

/// Too few stops for a law.
pub fn stops_enough(lens: &str, law: IrisChoice, readings: &[StopReading]) -> Option<Refusal> {
    let mut stops: Vec<f64> = readings.iter().map(|reading| reading.stop.number()).collect();
    stops.sort_by(f64::total_cmp);
    stops.dedup();
    let (least, of_what) = match law {
        IrisChoice::Curve => (3, "three stops for a curve"),
        IrisChoice::Auto | IrisChoice::Even | IrisChoice::Diameter | IrisChoice::Blades => (2, "two stops"),
    };
    if stops.len() >= least {
        return None;
    }
    let message = format!("an iris ring needs readings at {of_what}");
    let refusal = Refusal::new(ring(lens), message, "add { stop = 5.6, at = \"22 deg\" } and the like");
    Some(
        refusal
            .way_out("read the ring's turn, or the old marks along the old ring, at the widest and the smallest stop"),
    )
}

/// Positions grow from stop to stop, readings of one stop agree, and all lie within one turn.
pub fn iris_readings(lens: &str, readings: &[StopReading], error: Angle, t_readings: bool) -> Vec<Refusal> {
    let sorted = by_stop(readings);
    let two = |message: &str, a: &Taken, b: &Taken| {
        pair(message, (subject(lens, a.0), words(a.1, t_readings)), (subject(lens, b.0), words(b.1, t_readings)))
    };
    let at = |taken: &Taken| taken.1.at.to_deg();
    let mut backwards: Option<(f64, Refusal)> = None;
    let mut torn: Option<(f64, Refusal)> = None;
    let mut most_closed: Option<&Taken> = None;
    for group in sorted.chunk_by(|(_, a), (_, b)| a.stop.number() == b.stop.number()) {
        let least = group.iter().min_by(|a, b| at(a).total_cmp(&at(b)));
        let most = group.iter().max_by(|a, b| at(a).total_cmp(&at(b)));
        let (Some(least), Some(most)) = (least, most) else { continue };
        let apart = at(most) - at(least);
        if apart > SAME * error.to_deg() * (1.0 + 1e-9) && torn.as_ref().is_none_or(|(worst, _)| apart > *worst) {
            let refusal = two("one stop was read at two angles", least, most)
                .note(format!(
                    "they are {apart:.1} deg apart, more than an error of {} deg explains",
                    figure(error.to_deg())
                ))
                .way_out("take the wrong one out, or give the error of your readings in `reading_error`");
            torn = Some((apart, refusal));
        }
        if let Some(wider) = most_closed {
            let by = at(wider) - at(least);
            if by >= 0.0 && backwards.as_ref().is_none_or(|(worst, _)| by > *worst) {
                let refusal = two("these readings run backwards", wider, least)
                    .note("the angle must grow from open toward closed")
                    .way_out("check in which sense the ring was read and where its zero was");
                backwards = Some((by, refusal));
            }
        }
        if most_closed.is_none_or(|wider| at(most) > at(wider)) {
            most_closed = Some(most);
        }
    }
    let least = sorted.iter().min_by(|a, b| at(a).total_cmp(&at(b)));
    let most = sorted.iter().max_by(|a, b| at(a).total_cmp(&at(b)));
    let turn = least.zip(most).filter(|(least, most)| at(most) - at(least) > 360.0 && backwards.is_none());
    let too_wide = turn.map(|(least, most)| {
        two("these readings are more than one turn apart", least, most)
            .note(format!("they span {:.1} deg, and a scale goes round its ring once", at(most) - at(least)))
            .way_out("check the diameter in `read_on` if the positions are lengths along a ring")
    });
    [torn.map(|(_, refusal)| refusal), backwards.map(|(_, refusal)| refusal), too_wide].into_iter().flatten().collect()
}

/// The last stop to mark lies beyond the first reading, and on a curve not beyond the last.
pub fn smallest_stop(lens: &str, stop: Stop, law: IrisChoice, readings: &[StopReading]) -> Option<Refusal> {
    let sorted = by_stop(readings);
    let (Some((_, widest)), Some((_, last))) = (sorted.first(), sorted.last()) else { return None };
    if stop.number() <= widest.stop.number() {
        let message = format!("`smallest_stop` {} leaves no stop to mark", stop.label());
        let label = format!("more than {}, the widest stop that was read", widest.stop.label());
        return Some(Refusal::new(ring(lens), message, label));
    }
    if law == IrisChoice::Curve && stop.number() > last.stop.number() * (1.0 + 1e-9) {
        let message = format!("a curve ends at its last reading, {}", last.stop.label());
        let label = format!("up to {}, or add a reading at this stop", last.stop.label());
        return Some(Refusal::new(ring(lens), message, label));
    }
    None
}

/// A reading wider than the lens opens.
pub fn widest_read(lens: &str, widest: Stop, readings: &[StopReading]) -> Option<Refusal> {
    let sorted = by_stop(readings);
    let (index, reading) = sorted.first()?;
    if reading.stop.in_stops() >= widest.in_stops() - ROUNDED - 1e-9 {
        return None;
    }
    let message = format!("a reading is wider than `widest_stop`, {widest}");
    let refusal = Refusal::new(subject(lens, *index), message, words(reading, false));
    Some(refusal.way_out("check the reading, or set `widest_stop` to what the lens opens to"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Division;

    fn read(pairs: &[(f64, f64)]) -> Vec<StopReading> {
        let stop = |number| Stop::nominal(number, Division::Full).unwrap();
        pairs.iter().map(|(number, at)| StopReading { stop: stop(*number), at: Angle::deg(*at) }).collect()
    }

    fn found(pairs: &[(f64, f64)]) -> Vec<String> {
        let refused = iris_readings("A", &read(pairs), Angle::deg(0.5), false);
        refused.iter().map(|refusal| format!("{refusal}")).collect()
    }

    #[test]
    fn positions_grow_from_stop_to_stop_within_one_turn() {
        assert_eq!(found(&[(16.0, 60.0), (2.0, 0.0), (5.6, 30.0)]), [""; 0]);
        assert_eq!(found(&[(2.0, 60.0), (16.0, 0.0)]), ["A, iris, reading 1 and 2: these readings run backwards"]);
        assert_eq!(
            found(&[(2.0, 0.0), (16.0, 361.0)]),
            ["A, iris, reading 1 and 2: these readings are more than one turn apart"]
        );
        assert_eq!(
            found(&[(2.0, 0.0), (2.0, 3.1), (16.0, 60.0)]),
            ["A, iris, reading 1 and 2: one stop was read at two angles"]
        );
    }

    #[test]
    fn a_law_has_the_stops_that_it_needs() {
        let two = read(&[(2.0, 0.0), (16.0, 60.0)]);
        assert_eq!(stops_enough("A", IrisChoice::Auto, &two), None);
        assert!(stops_enough("A", IrisChoice::Curve, &two).is_some());
        assert!(stops_enough("A", IrisChoice::Even, &two[..1]).is_some());
        assert!(blades_need_a_stop("A", IrisChoice::Blades, false).is_some());
        assert_eq!(blades_need_a_stop("A", IrisChoice::Even, false), None);
    }

    #[test]
    fn the_last_stop_and_the_widest_go_with_the_readings() {
        let two = read(&[(2.0, 0.0), (16.0, 60.0)]);
        let stop = |number| Stop::nominal(number, Division::Full).unwrap();
        assert!(smallest_stop("A", stop(2.0), IrisChoice::Auto, &two).is_some());
        assert_eq!(smallest_stop("A", stop(22.0), IrisChoice::Auto, &two), None);
        assert!(smallest_stop("A", stop(22.0), IrisChoice::Curve, &two).is_some());
        assert_eq!(widest_read("A", stop(2.0), &two), None);
        assert!(widest_read("A", stop(2.8), &two).is_some());
    }
}
