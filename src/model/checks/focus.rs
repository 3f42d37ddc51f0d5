//! Whether the readings of a focus ring can belong to one ring: its sense, its turn, its closest distance.
//!
//! Only what no noise explains is refused here; which reading lies off the others is for the fit to say.

use super::pair::pair;
use crate::calibration::{Origin, Reading, ReadingError};
use crate::model::{Refusal, RingKind, Subject};
use crate::units::{Angle, Distance, Length, figure};

/// Readings of one place lie within this many standard errors of each other; more has another cause than noise.
const SAME: f64 = 6.0;

/// How far a nearer reading may lie before a farther one, in standard errors.
const BACKWARDS: f64 = 3.0;

/// How much nearer than the closest distance a reading may be: that distance is often rounded on the lens.
const NEARER: f64 = 0.05;

/// A single reading that disagrees with the rest of so many is left to the fit.
const OUTVOTED_BY: usize = 6;
/// So many readings are tried for being the single wild one; a person takes twenty.
const MOST_SUSPECTS: usize = 100;

/// How far apart the ring may stand when a distance is approached from both sides; more is no play.
const MOST_PLAY_DEG: f64 = 10.0;

/// How many places of one kind of fault are underlined.
const UNDERLINED: usize = 5;

/// What is known of a focus ring beside its readings; what is not known is not checked.
#[derive(Clone, Copy, Debug)]
pub struct Expected {
    /// The lens's focal length.
    pub focal_length: Option<Length>,
    /// Travel in one turn of the ring.
    pub lead: Option<Length>,
    /// Turn of the ring from stop to stop.
    pub throw: Option<Angle>,
    /// The closest distance.
    pub closest: Option<Length>,
    /// Standard errors of a reading.
    pub error: ReadingError,
}

/// One reading in bare numbers, and which of the list it is.
#[derive(Clone, Copy)]
struct Taken<'l> {
    reading: Reading,
    /// 1/mm, 0 at infinity: grows toward close focus.
    nearness: f64,
    at: f64,
    index: usize,
    lens: &'l str,
}

impl Taken<'_> {
    fn subject(&self) -> Subject {
        Subject::Reading(self.lens.to_string(), RingKind::Focus, self.index)
    }

    fn words(&self) -> String {
        format!("{} at {:.1} deg", self.reading.distance, self.reading.at.to_deg())
    }
}

/// What no noise explains about the readings of a lens's focus ring.
pub fn focus_readings(lens: &str, readings: &[Reading], expected: &Expected) -> Vec<Refusal> {
    let zero = readings.iter().map(|reading| reading.at.to_deg()).fold(f64::INFINITY, f64::min);
    let take = |(index, reading)| take(reading, index, lens, expected, zero);
    let mut taken: Vec<Taken> = readings.iter().enumerate().map(take).collect();
    let mut refused: Vec<Refusal> = nearer_than_closest(&taken, expected).into_iter().collect();
    taken.sort_by(|a, b| a.nearness.total_cmp(&b.nearness));
    let found = impossible(&taken, expected);
    // One wild reading among enough others is for the fit to name: it sets it aside and says so.
    let outvoted = !found.is_empty() && taken.len() >= OUTVOTED_BY && {
        let without =
            |i: usize| taken.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, one)| *one).collect::<Vec<_>>();
        (0..taken.len().min(MOST_SUSPECTS)).any(|i| impossible(&without(i), expected).is_empty())
    };
    refused.extend(found.into_iter().filter(|_| !outvoted));
    refused
}

/// What no noise explains about readings sorted from far to near.
fn impossible(taken: &[Taken], expected: &Expected) -> Vec<Refusal> {
    let order = backwards(taken, expected).or_else(|| too_wide(taken, expected));
    [order, one_angle(taken, expected), one_distance(taken, expected)].into_iter().flatten().collect()
}

/// The ring's first position is taken for infinity, where a point that travels with the lens is known to lie.
fn take<'l>(reading: &Reading, index: usize, lens: &'l str, expected: &Expected, zero: f64) -> Taken<'l> {
    let ahead = match reading.from {
        Origin::ImagePlane => 0.0,
        Origin::Ahead { by, travels, .. } => {
            let lead = expected.lead.filter(|_| travels).map_or(0.0, Length::to_mm);
            by.to_mm() + lead / 360.0 * (reading.at.to_deg() - zero)
        }
    };
    let nearness = reading.distance.to_mm().map_or(0.0, |mm| (mm + ahead).max(1.0).recip());
    Taken { reading: *reading, nearness, at: reading.at.to_deg(), index, lens }
}

fn two(message: &str, a: &Taken, b: &Taken) -> Refusal {
    pair(message, (a.subject(), a.words()), (b.subject(), b.words()))
}

fn nearer_than_closest(taken: &[Taken], expected: &Expected) -> Option<Refusal> {
    let closest = expected.closest?.to_mm();
    let too_near = |one: &&Taken| one.nearness * closest * (1.0 - NEARER) > 1.0 + 1e-9;
    let mut nearer = taken.iter().filter(too_near);
    let first = nearer.next()?;
    let message = format!("a reading is nearer than `closest`, {}", Distance::Finite(expected.closest?));
    let mut refusal = Refusal::new(first.subject(), message, first.words());
    let others: Vec<_> = nearer.collect();
    for other in others.iter().take(UNDERLINED) {
        refusal = refusal.other(other.subject(), other.words());
    }
    if others.len() > UNDERLINED {
        refusal = refusal.note(format!("and {} further readings", others.len() - UNDERLINED));
    }
    Some(
        refusal
            .way_out("check the distance, or set `closest` to what the lens reaches; both count from the image plane"),
    )
}

/// The two readings that run backwards the most, if more than noise explains.
fn backwards(taken: &[Taken], expected: &Expected) -> Option<Refusal> {
    let allowed = BACKWARDS * expected.error.at.to_deg();
    let mut farthest_turned: Option<Taken> = None;
    let mut worst: Option<(f64, Taken, Taken)> = None;
    let mut pending: Vec<Taken> = Vec::new();
    let mut count = 0;
    for near in taken {
        // Readings of the same distance are no pair here; they join the farther ones when the distance changes.
        if pending.first().is_some_and(|held| held.nearness < near.nearness) {
            for held in pending.drain(..) {
                if farthest_turned.is_none_or(|far| held.at > far.at) {
                    farthest_turned = Some(held);
                }
            }
        }
        pending.push(*near);
        let Some(far) = farthest_turned else { continue };
        let by = far.at - near.at;
        let play = if far.reading.turned == near.reading.turned { 0.0 } else { MOST_PLAY_DEG };
        let allowed = allowed + play;
        if by > allowed * (1.0 + 1e-9) {
            count += 1;
            if worst.is_none_or(|(most, ..)| by > most) {
                worst = Some((by, far, *near));
            }
        }
    }
    let (by, far, near) = worst?;
    let mut refusal = two("these readings run backwards", &far, &near).note(format!(
        "the angle must grow toward close focus, and the nearer of the two lies {by:.1} deg before the other"
    ));
    if count > 1 {
        refusal = refusal.note(format!("{count} readings run backwards in all; this is the worst"));
    }
    Some(
        refusal
            .way_out("check in which sense the ring was read and where its zero was")
            .way_out("or exchange their positions, if they were written down in each other's place"),
    )
}

fn too_wide(taken: &[Taken], expected: &Expected) -> Option<Refusal> {
    let least = taken.iter().min_by(|a, b| a.at.total_cmp(&b.at))?;
    let most = taken.iter().max_by(|a, b| a.at.total_cmp(&b.at))?;
    let turn = most.at - least.at;
    let noise = SAME * expected.error.at.to_deg();
    if turn > 360.0 {
        let refusal = two("these readings are more than one turn apart", least, most);
        return Some(
            refusal
                .note(format!("they span {turn:.1} deg, and a scale goes round its ring once"))
                .way_out("check the diameter in `read_on` if the positions are lengths along a ring"),
        );
    }
    let throw = expected.throw?.to_deg();
    if turn <= throw + noise {
        return None;
    }
    let refusal = two("these readings do not fit the throw", least, most);
    let note = format!("they span {turn:.1} deg, and `throw` lets the ring turn {} deg", figure(throw));
    Some(refusal.note(note).way_out("measure the throw from stop to stop again, or check the two readings"))
}

/// How far the ring turns per unit of nearness, in degrees times mm: from the readings, or from what is known.
fn turn_per_nearness(taken: &[Taken], expected: &Expected) -> Option<f64> {
    let (far, near) = (taken.first()?, taken.last()?);
    if near.nearness > far.nearness && near.at > far.at {
        return Some((near.at - far.at) / (near.nearness - far.nearness));
    }
    if let (Some(focal), Some(lead)) = (expected.focal_length, expected.lead) {
        return Some(360.0 * focal.to_mm().powi(2) / lead.to_mm());
    }
    Some(expected.throw?.to_deg() * expected.closest?.to_mm())
}

/// Two readings at exactly one angle whose distances are too different for that.
fn one_angle(taken: &[Taken], expected: &Expected) -> Option<Refusal> {
    let mut by_angle = taken.to_vec();
    by_angle.sort_by(|a, b| a.at.total_cmp(&b.at).then(a.nearness.total_cmp(&b.nearness)));
    let slope = turn_per_nearness(taken, expected);
    let error = |one: &Taken| {
        one.reading.distance.to_mm().map_or(0.0, |mm| expected.error.distance.to_mm() + expected.error.share * mm)
    };
    for group in by_angle.chunk_by(|a, b| (a.at - b.at).abs() < 1e-9) {
        let (Some(far), Some(near)) = (group.first(), group.last()) else { continue };
        let beyond_tape = match (far.reading.distance.to_mm(), near.reading.distance.to_mm()) {
            (Some(far_mm), Some(near_mm)) => far_mm - near_mm > SAME * error(far).hypot(error(near)),
            (None, None) => false,
            _ => true,
        };
        let apart = slope.map_or(f64::INFINITY, |slope| slope * (near.nearness - far.nearness));
        if beyond_tape && apart > SAME * expected.error.at.to_deg() {
            let mut refusal = two("two distances cannot share one angle", far, near);
            if apart.is_finite() {
                refusal = refusal.note(format!("by the other values they lie about {apart:.0} deg apart"));
            }
            return Some(refusal.way_out("one of the two was written down wrongly; read the ring again at both"));
        }
    }
    None
}

/// The same distance at angles too different for noise.
fn one_distance(taken: &[Taken], expected: &Expected) -> Option<Refusal> {
    let allowed = SAME * expected.error.at.to_deg() * (1.0 + 1e-9);
    for group in taken.chunk_by(|a, b| a.reading.distance == b.reading.distance) {
        let least = group.iter().min_by(|a, b| a.at.total_cmp(&b.at))?;
        let most = group.iter().max_by(|a, b| a.at.total_cmp(&b.at))?;
        let play = if least.reading.turned == most.reading.turned { 0.0 } else { MOST_PLAY_DEG };
        if most.at - least.at > allowed + play {
            return Some(
                two("one distance was read at two angles", least, most)
                    .note(format!(
                        "they are {:.1} deg apart, more than an error of {} deg explains",
                        most.at - least.at,
                        figure(expected.error.at.to_deg())
                    ))
                    .way_out("take the wrong one out, or give the error of your readings in `reading_error`"),
            );
        }
    }
    None
}
