//! Which distances to set up, how often to read each, and how accurate the marks will be: before any reading from what is
//! known of the lens, later from the fit.
//!
//! The information of a reading depends on its place, the ring's error and the tape's; `design` finds the readings with
//! the most information together. A cam's curve has no constants: there each further reading is tried at the
//! curve's own prediction. Set-ups stay apart on the ring and there are always a few more than the law has unknowns: the law
//! itself may be wrong, and only readings between the others show it.

mod on_a_curve;

use super::curve::CurveFit;
use super::design::{Candidate, Design};
use super::focus::FocusErrors;
use super::least_squares::inverse;
use super::model::{Model, angle_slope, groups};
use super::prior::{both_ways, priors};
use super::repeats::widened;
use super::set_ups::round_distances;
use super::travel::TravelFit;
use super::unknowns::{AHEAD, K, LOG_A, Matrix, Vector};
use super::{FocusCalibration, Known, Means, Origin, Reading, ReadingError, Turned};
use crate::optics::FocusLaw;
use crate::units::{Angle, Distance, DistanceUnit, Length};

/// Fewer set-ups than this leave no degrees of freedom to check a law of four unknowns.
const FEWEST: usize = 5;
/// The most set-ups that are proposed for one lens (common practice, no source).
const MOST: usize = 12;
/// One more set-up is worth it when it lowers the greatest error by this share.
const WORTH_A_SET_UP: f64 = 0.10;
/// With some readings there, one more that gains less is not worth it.
const WORTH_A_READING: f64 = 0.05;
/// A stretch without readings over this share of the turn can hide a cam (common practice, no source).
const WIDE: f64 = 0.4;
/// The most readings of one set-up: beyond, the reader's systematic error outweighs chance (common practice, no source).
const MOST_REPEATS: usize = 5;
/// The most distances to choose from: about evenly spaced on the ring, they are closer than a ring is read.
const MOST_POSSIBLE: usize = 400;
/// Distances at which a further reading of a cam's curve is tried: each takes a fit.
const TRIED_ON_A_CURVE: usize = 40;
/// A target whose turn from infinity is less than this share of the ring's reading error is infinity.
const AS_GOOD_AS_INFINITY: f64 = 0.2;

/// The lens, the tape and the room that set-ups are planned for.
#[derive(Clone, Debug)]
pub struct Planner<'a> {
    /// What is known before any reading.
    pub known: &'a Known,
    /// The law so far: nominal where there is no reading yet.
    pub calibration: &'a FocusCalibration,
    /// What was read so far.
    pub readings: &'a [Reading],
    /// The standard errors of a further reading.
    pub error: ReadingError,
    /// Where the tape is held.
    pub from: Origin,
    /// The farthest distance that can be taped.
    pub room: Length,
    /// Whether something very far away can be seen.
    pub far_target: bool,
    /// What the tape is divided in.
    pub tape: DistanceUnit,
    /// The marks of the scale.
    pub marks: Vec<Distance>,
}

/// A distance to set up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetUp {
    /// What is taped, from where the tape is held.
    pub taped: Distance,
    /// From the image plane.
    pub subject: Distance,
    /// Where the ring should come to stand; `None` where the law does not reach.
    pub at: Option<Angle>,
    /// How often the ring is to be set and read.
    pub repeats: usize,
}

/// The mark with the greatest error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// Its distance.
    pub distance: Distance,
    /// Its standard error on the ring.
    pub sigma: Angle,
}

/// Set-ups, and the errors to expect with them.
#[derive(Clone, Debug)]
pub struct Plan {
    /// From far to near, so that the ring is always turned toward close.
    pub set_ups: Vec<SetUp>,
    /// The calibration with the errors to expect then.
    pub expected: FocusCalibration,
    /// The mark with the greatest error then.
    pub worst: Worst,
    /// In the middle of the widest gap between readings, where that is wide enough to hide a cam.
    pub amid: Option<SetUp>,
    /// The same error for each number of set-ups that was looked at.
    pub numbers: Vec<(usize, Angle)>,
}

/// A further reading and the worst mark's standard error with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// What to set up.
    pub set_up: SetUp,
    /// The worst mark then.
    pub after: Worst,
}

/// The gain of one more reading.
#[derive(Clone, Debug)]
pub struct Next {
    /// The worst mark so far.
    pub now: Worst,
    /// The best distances, from different parts of the ring, the best first.
    pub best: Vec<Gain>,
    /// The best gain from reading an old set-up again.
    pub repeat: Option<Gain>,
    /// Distances that the law does not reach yet: to be read first.
    pub unread: Vec<SetUp>,
}

impl Next {
    /// Whether no further reading lowers the greatest error by a twentieth.
    pub fn enough(&self) -> bool {
        let gains = self.best.iter().chain(&self.repeat).map(|gain| gain.after.sigma.to_deg());
        let least = gains.fold(f64::INFINITY, f64::min);
        self.unread.is_empty() && least > (1.0 - WORTH_A_READING) * self.now.sigma.to_deg()
    }
}

/// Why nothing can be planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlanError {
    /// The room ends before the closest distance.
    RoomTooSmall {
        /// The nearest distance that can be taped and set.
        nearest: Length,
    },
    /// The law reaches neither the closest distance nor anything else in the room.
    OutOfReach,
}

impl Planner<'_> {
    /// The distances to set up: `count` of them, or as many as are worth it; with readings there, that many more.
    ///
    /// # Errors
    /// When nothing can be set up in this room.
    pub fn plan(&self, count: Option<usize>) -> Result<Plan, PlanError> {
        let possible = self.possible()?;
        match &self.calibration.errors {
            FocusErrors::Travel(fit) => self.plan_for_law(fit, &possible, count),
            FocusErrors::Curve(fit, _) => Ok(self.plan_for_curve(fit, &possible, count)),
        }
    }

    /// The gain of one more set-up; `None` where there is no reading yet.
    ///
    /// # Errors
    /// When nothing can be set up in this room.
    pub fn next(&self) -> Result<Option<Next>, PlanError> {
        if self.readings.is_empty() {
            return Ok(None);
        }
        let possible = self.possible()?;
        Ok(Some(match &self.calibration.errors {
            FocusErrors::Travel(fit) => self.next_for_law(fit, &possible).ok_or(PlanError::OutOfReach)?,
            FocusErrors::Curve(fit, _) => self.next_for_curve(fit, &possible),
        }))
    }

    /// The distance from which a target serves as infinity: the ring cannot be read finely enough to tell them apart.
    ///
    /// ```text
    /// turn from infinity < 0.2 of the standard error of the ring's position
    /// ```
    pub fn infinity_from(&self) -> Option<Distance> {
        let law = &self.calibration.law;
        law.distance(law.angle(Distance::Infinity)? + self.error().at * AS_GOOD_AS_INFINITY)
    }

    /// Errors of a further reading: repeats may have shown that the ring is read less well than stated.
    fn error(&self) -> ReadingError {
        let ratio = widened(self.readings).1.map_or(1.0, |repeats| repeats.found / repeats.stated);
        ReadingError { at: self.error.at * ratio, ..self.error }
    }

    /// Distances that can be taped in this room and set on the ring, from near to far, and infinity.
    pub(super) fn possible(&self) -> Result<Vec<SetUp>, PlanError> {
        let closest = self.known.closest.unwrap_or(self.known.focal_length * 4.0);
        let within = |d: Distance| d.to_mm().is_some_and(|mm| mm >= closest.to_mm() - 1e-6);
        let mut all: Vec<SetUp> = Vec::new();
        let infinity_from = self.infinity_from().filter(|_| self.far_target).and_then(Distance::to_mm);
        let curve = matches!(self.calibration.law, FocusLaw::Curve(_));
        for mm in round_distances(self.tape, self.room) {
            let set_up = self.set_up(Distance::mm(mm)).filter(|one| within(one.subject) && (curve || one.at.is_some()));
            let Some(set_up) = set_up else { continue };
            let far = infinity_from.is_some_and(|from| set_up.subject.to_mm().is_some_and(|mm| mm > from));
            if !far || all.is_empty() {
                all.push(set_up);
            }
        }
        let (Some(first), Some(last)) = (all.first().copied(), all.last().copied()) else {
            let beyond = round_distances(self.tape, closest * 2.0 + Length::mm(1000.0)).into_iter();
            let reached = beyond.filter(|mm| self.set_up(Distance::mm(*mm)).is_some_and(|one| within(one.subject)));
            let nearest = reached.map(Length::mm).next();
            return Err(nearest.map_or(PlanError::OutOfReach, |nearest| PlanError::RoomTooSmall { nearest }));
        };
        // where a curve does not reach, only the ends
        all.retain(|one| one.at.is_some() || [first.taped, last.taped].contains(&one.taped));
        let mut reached = all.iter().filter_map(|one| one.at);
        let ends = reached.next().and_then(|near| Some((near, reached.next_back()?)));
        let span = ends.map_or(0.0, |(near, far)| (near - far).to_deg());
        let step = span / (MOST_POSSIBLE - 3) as f64;
        let mut kept: Vec<SetUp> = Vec::new();
        for one in all {
            let moved = |last: &SetUp| last.at.zip(one.at).is_none_or(|(a, b)| (a - b).to_deg() >= step);
            if kept.last().is_none_or(moved) {
                kept.push(one);
            }
        }
        if kept.last().is_some_and(|end| end.taped != last.taped) {
            kept.push(last);
        }
        kept.extend(self.set_up(Distance::Infinity).filter(|_| self.far_target));
        Ok(kept)
    }

    /// A taped distance, where the ring will stand, and how often it is worth reading it.
    ///
    /// ```text
    /// repeats = (error of the ring / error of the tape, both in degrees)^2, rounded up, 1 to 5
    /// ```
    ///
    /// With as many, the ring's error of the mean is no greater than the tape's, which every repeat shares.
    pub(super) fn set_up(&self, taped: Distance) -> Option<SetUp> {
        let law = &self.calibration.law;
        let reach = |subject: Distance| law.angle(subject).map(|at| (subject, at));
        let (subject, at) = match (taped, self.from) {
            (Distance::Finite(mm), Origin::Ahead { by, travels, .. }) => {
                let by = self.ahead().unwrap_or(by.to_mm());
                let travel = if travels { self.travel() } else { 0.0 };
                let infinity = law.angle(Distance::Infinity).map_or(0.0, Angle::to_deg);
                let mut found = reach(Distance::mm(mm.to_mm() + by))?;
                // the rim moves with the ring that is set from it; each round gains a digit, except near 1:1
                for _ in 0..40 {
                    found = reach(Distance::mm(mm.to_mm() + by + travel * (found.1.to_deg() - infinity)))?;
                }
                found
            }
            _ => match reach(taped) {
                Some(found) => found,
                None => return Some(SetUp { taped, subject: taped, at: None, repeats: 2 }),
            },
        };
        let (ring, tape) = self.errors(taped, subject)?;
        let repeats =
            if tape > 0.0 { (ring / tape).powi(2).ceil().min(MOST_REPEATS as f64) as usize } else { MOST_REPEATS };
        Some(SetUp { taped, subject, at: Some(at), repeats: repeats.max(1) })
    }

    /// Standard errors of one reading in degrees: the ring's, and the tape's through the law's slope.
    fn errors(&self, taped: Distance, subject: Distance) -> Option<(f64, f64)> {
        let ring = self.error().at.to_deg();
        let (Distance::Finite(taped), Some(mm)) = (taped, subject.to_mm()) else { return Some((ring, 0.0)) };
        let law = &self.calibration.law;
        let steep = match law {
            FocusLaw::Travel(law) => (1.0 / law.slope(law.turn(mm)?)).abs(),
            FocusLaw::Curve(_) => {
                let near = |share: f64| law.angle(Distance::mm(mm * share)).map(|at| (at.to_deg(), mm * share));
                let (a, b) = (near(0.999).or(near(1.0))?, near(1.001).or(near(1.0))?);
                ((a.0 - b.0) / (b.1 - a.1)).abs()
            }
        };
        Some((ring, self.error.tape_error(taped).to_mm() * steep))
    }

    /// How far ahead of the image plane the tape is held, where readings determine it better than the set does.
    fn ahead(&self) -> Option<f64> {
        match &self.calibration.errors {
            FocusErrors::Travel(fit) if self.determines_ahead() => Some(fit.model.ahead),
            _ => None,
        }
    }

    fn determines_ahead(&self) -> bool {
        self.readings.iter().any(|reading| reading.from != Origin::ImagePlane)
    }

    /// Travel of the rim, mm per degree.
    fn travel(&self) -> f64 {
        match (&self.calibration.law, self.known.lead) {
            (FocusLaw::Travel(law), _) => law.k_mm_per_deg,
            (FocusLaw::Curve(_), Some(lead)) => lead.to_mm() / 360.0,
            (FocusLaw::Curve(_), None) => 0.0,
        }
    }

    /// The reading that a set-up will give when the law is right.
    pub(super) fn predicted(&self, set_up: &SetUp) -> Option<Reading> {
        let turned = both_ways(self.readings).then_some(Turned::TowardClose);
        let (distance, error) = (set_up.taped, self.error());
        Some(Reading { distance, at: set_up.at?, error, from: self.from, turned, by: Means::Tape })
    }

    /// How many set-ups there are so far.
    fn taken(&self) -> usize {
        groups(self.readings).len()
    }
}

/// Plans for the travel law: the information of each reading about its constants.
impl Planner<'_> {
    fn model(&self, fit: &TravelFit) -> Model {
        match self.from {
            Origin::Ahead { by, .. } if !self.determines_ahead() => Model { ahead: by.to_mm(), ..fit.model },
            _ => fit.model,
        }
    }

    pub(super) fn candidate(&self, model: &Model, set_up: &SetUp) -> Option<Candidate> {
        let reading = self.predicted(set_up)?;
        let (at, tape) = model.errors(&reading)?;
        let weight = 1.0 / (at * at / set_up.repeats as f64 + tape * tape);
        Some(Candidate { slope: model.slope(&reading)?, weight, at: reading.at.to_deg() })
    }

    /// What is known so far: of the fit, or of the priors that a fit of such readings will have.
    pub(super) fn information(&self, fit: &TravelFit, possible: &[SetUp]) -> Option<Matrix> {
        if self.readings.is_empty() {
            let ends = [possible.first()?, possible.last()?];
            let readings: Vec<Reading> = ends.into_iter().filter_map(|one| self.predicted(one)).collect();
            let model = self.model(fit);
            let mut information = [[0.0; super::unknowns::N]; super::unknowns::N];
            for prior in priors(self.known, &readings, &self.error) {
                let slope = prior.row(&model.to_vector())?.slope;
                super::design::add(&mut information, &Candidate { slope, weight: 1.0, at: 0.0 });
            }
            return Some(information);
        }
        let mut information = inverse(&fit.covariance)?;
        if let (Origin::Ahead { error, .. }, false) = (self.from, self.determines_ahead()) {
            information[AHEAD][AHEAD] = error.to_mm().max(1e-3).powi(-2);
        }
        Some(information)
    }

    pub(super) fn mark_slopes(&self, fit: &TravelFit) -> (Vec<Distance>, Vec<Vector>) {
        let slope = |mark: &Distance| Some((*mark, angle_slope(&fit.model.law, *mark)?));
        self.marks.iter().filter_map(slope).unzip()
    }

    /// The set-ups that have not been taped yet, and the information of each.
    fn fresh(&self, model: &Model, possible: &[SetUp]) -> (Vec<SetUp>, Vec<Candidate>) {
        let old = |one: &SetUp| self.readings.iter().any(|r| r.by == Means::Tape && r.distance == one.taped);
        let candidate = |one: &SetUp| Some((*one, self.candidate(model, one)?));
        possible.iter().filter(|one| !old(one)).filter_map(candidate).unzip()
    }

    fn plan_for_law(&self, fit: &TravelFit, possible: &[SetUp], count: Option<usize>) -> Result<Plan, PlanError> {
        let known = self.information(fit, possible).ok_or(PlanError::OutOfReach)?;
        // negligible information that makes the equations regular before the first readings are chosen
        let mut before = known;
        before[LOG_A][LOG_A] += 1e-2;
        before[K][K] += 1e-4 / fit.model.law.k_mm_per_deg.abs().max(1e-3).powi(2);
        let (set_ups, candidates) = self.fresh(&self.model(fit), possible);
        let (marks, slopes) = self.mark_slopes(fit);
        let range = candidates
            .iter()
            .map(|one| one.at)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |r, at| (r.0.min(at), r.1.max(at)));
        let taken = self.taken();
        let best = |count: usize| {
            // a third of the even spacing: clusters of readings would not check the law between them
            let apart = (range.1 - range.0).max(0.0) / (taken + count).saturating_sub(1).max(1) as f64 / 3.0;
            Design { before, candidates: &candidates, marks: &slopes, apart }.best(count)
        };
        let mut numbers = Vec::new();
        let widening = self.calibration.widening();
        let chosen = match (count, taken) {
            (None, 0) => {
                let mut now = best(FEWEST).ok_or(PlanError::OutOfReach)?;
                for count in FEWEST.. {
                    numbers.push((count, Angle::deg(now.1.sqrt())));
                    let more = best(count + 1).ok_or(PlanError::OutOfReach)?;
                    let gain = 1.0 - (more.1 / now.1).sqrt();
                    if gain < WORTH_A_SET_UP || more.0.len() <= now.0.len() || count == MOST {
                        numbers.push((count + 1, Angle::deg(more.1.sqrt())));
                        break;
                    }
                    now = more;
                }
                now
            }
            (count, _) => {
                let count = count.unwrap_or(FEWEST.saturating_sub(taken).max(1));
                let found = best(count).ok_or(PlanError::OutOfReach)?;
                numbers.push((count, Angle::deg(found.1.sqrt() * widening)));
                found
            }
        };
        let design = |before| Design { before, candidates: &candidates, marks: &slopes, apart: 0.0 };
        let covariance = design(known).covariance(&chosen.0).or_else(|| design(before).covariance(&chosen.0));
        let (design, covariance) = (design(known), covariance.ok_or(PlanError::OutOfReach)?);
        let (place, variance) = design.worst(&covariance);
        let mut expected = self.calibration.clone();
        if self.readings.is_empty() {
            (expected.chi_square, expected.freedom) = (0.0, 0);
        }
        let sigma = Angle::deg(variance.sqrt() * expected.widening());
        expected.errors = FocusErrors::Travel(Box::new(TravelFit { covariance, ..fit.clone() }));
        let set_ups = far_to_near(chosen.0.iter().map(|i| set_ups[*i]).collect());
        let worst = Worst { distance: *marks.get(place).ok_or(PlanError::OutOfReach)?, sigma };
        let amid = self.amid(&set_ups, possible);
        Ok(Plan { set_ups, expected, worst, amid, numbers })
    }

    /// The distance in the middle of the widest gap between readings, where that is much of the ring.
    fn amid(&self, set_ups: &[SetUp], possible: &[SetUp]) -> Option<SetUp> {
        let (readings, law) = (self.readings.iter(), &self.calibration.law);
        let read = readings.filter_map(|reading| Some(law.angle(reading.distance)?.to_deg()));
        let mut at: Vec<f64> = set_ups.iter().filter_map(|one| Some(one.at?.to_deg())).chain(read).collect();
        at.sort_by(f64::total_cmp);
        let widest = at.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))?;
        let off = |one: &SetUp| (one.at.map_or(f64::INFINITY, Angle::to_deg) - 0.5 * (widest[0] + widest[1])).abs();
        let wide = widest[1] - widest[0] > WIDE * (at.last()? - at.first()?);
        possible.iter().min_by(|a, b| off(a).total_cmp(&off(b))).filter(|_| wide).copied()
    }

    fn next_for_law(&self, fit: &TravelFit, possible: &[SetUp]) -> Option<Next> {
        let model = self.model(fit);
        let before = self.information(fit, possible)?;
        let covariance = inverse(&before)?;
        let (set_ups, candidates) = self.fresh(&model, possible);
        let (marks, slopes) = self.mark_slopes(fit);
        let widening = self.calibration.widening();
        let worst_of = |covariance: &Matrix| {
            let (place, variance) = Design { before, candidates: &[], marks: &slopes, apart: 0.0 }.worst(covariance);
            Some(Worst { distance: *marks.get(place)?, sigma: Angle::deg(variance.sqrt() * widening) })
        };
        let design = Design { before, candidates: &candidates, marks: &slopes, apart: 0.0 };
        let mut gains: Vec<(f64, usize)> = design.one_more(&covariance).into_iter().zip(0..).collect();
        gains.sort_by(|a, b| a.0.total_cmp(&b.0));
        let places: Vec<(usize, f64)> = gains.iter().map(|(_, i)| (*i, candidates[*i].at)).collect();
        let gain = |i: usize| Some(Gain { set_up: set_ups[i], after: worst_of(&design.covariance(&[i])?)? });
        let best = different(&places).into_iter().filter_map(gain).collect();
        let repeat = self.repeated(&model).into_iter().filter_map(|(set_up, further)| {
            let design = Design { before, candidates: &[further], marks: &slopes, apart: 0.0 };
            Some(Gain { set_up, after: worst_of(&design.covariance(&[0])?)? })
        });
        let repeat = repeat.min_by(|a, b| a.after.sigma.total_cmp(&b.after.sigma));
        Some(Next { now: worst_of(&covariance)?, best, repeat, unread: Vec::new() })
    }

    /// The information of reading old set-ups again: their tape's error stays.
    ///
    /// ```text
    /// weight of a set-up = 1/(1/sum(1/ring^2) + tape^2)
    /// ```
    fn repeated(&self, model: &Model) -> Vec<(SetUp, Candidate)> {
        let (readings, _) = widened(self.readings);
        let further = |group: Vec<usize>| -> Option<(SetUp, Candidate)> {
            let first = &readings[group[0]];
            if first.by != Means::Tape || group.iter().any(|i| Some(*i) == self.calibration.outlier) {
                return None;
            }
            let set_up = SetUp { repeats: 1, ..self.set_up(first.distance)? };
            let reading = Reading { error: first.error, ..self.predicted(&set_up)? };
            let (at, tape) = model.errors(&reading)?;
            let ring: f64 = group.iter().filter_map(|i| Some(model.errors(&readings[*i])?.0.powi(-2))).sum();
            let weight = |ring: f64| 1.0 / (1.0 / ring + tape * tape);
            let weight = weight(ring + at.powi(-2)) - weight(ring);
            Some((set_up, Candidate { slope: model.slope(&reading)?, weight, at: reading.at.to_deg() }))
        };
        groups(&readings).into_iter().filter_map(further).collect()
    }
}

/// The ends of what can be set up, where the curve does not reach them yet.
fn unread(possible: &[SetUp], fit: &CurveFit) -> Vec<SetUp> {
    let ends = possible.first().into_iter().chain(possible.last());
    ends.filter(|one| fit.law.angle(one.subject).is_none()).copied().collect()
}

/// The first three of a sorted list that are in different parts of the ring.
fn different(places: &[(usize, f64)]) -> Vec<usize> {
    let at = || places.iter().map(|place| place.1);
    let span = at().fold(f64::NEG_INFINITY, f64::max) - at().fold(f64::INFINITY, f64::min);
    let mut chosen: Vec<(usize, f64)> = Vec::new();
    for (i, at) in places {
        if chosen.iter().all(|other| (other.1 - at).abs() > span / 12.0) && chosen.len() < 3 {
            chosen.push((*i, *at));
        }
    }
    chosen.into_iter().map(|place| place.0).collect()
}

fn far_to_near(mut set_ups: Vec<SetUp>) -> Vec<SetUp> {
    let far = |one: &SetUp| one.taped.to_mm().unwrap_or(f64::INFINITY);
    set_ups.sort_by(|a, b| far(b).total_cmp(&far(a)));
    set_ups
}
