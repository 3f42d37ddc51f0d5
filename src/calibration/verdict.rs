//! Checks of a finished scale become a verdict: keep it, shift the strip, or draw it again.
//!
//! A distance D is set by tape, the picture focused, and the mark m read under the index. With θ the law by which the scale
//! was drawn, the scale misses there, in degrees of the ring, by
//!
//! ```text
//! off = θ(m) - θ(D)                                positive where it reads too near
//! own = at, and tape dθ/dD carried over            the errors of reading and of taping
//! ```
//!
//! A displaced strip misses by the same amount everywhere. So the misses' weighted mean is its shift, and chi-square
//! about that mean tests whether a shift explains them. The weights are the inverse of the misses' covariance, in which checks at
//! one taped distance share the tape's error:
//!
//! ```text
//! shift = (1' W off) / (1' W 1)     sigma = 1 / sqrt(1' W 1)     chi-square = r' W r,   r = off - shift
//! ```
//!
//! Sources: the weighted mean and its error, and chi-square about it with n - 1 degrees of freedom, are standard statistics
//! (P. R. Bevington, Data Reduction and Error Analysis, chapters 4 and 5, from memory; A. C. Aitken, Proc. R. Soc.
//! Edinburgh 55, 1935, for the covariance, from memory).

use super::chi_square::exceeding;
use super::model::groups;
use super::{FocusCalibration, Means, Measured, Origin, Reading, ReadingError};
use crate::optics::ThinLens;
use crate::units::{Angle, Distance, Length, Stop};

/// Level of significance for misses that differ: by chance once in a hundred true scales (common practice, no source). At a
/// larger one good scales would be drawn again, at a smaller one strips whose law is wrong would be shifted.
const IMPROBABLE: f64 = 0.01;
/// Probability that a set of checks of a true scale has one that is called off, however many there are (Bonferroni's
/// inequality).
const OFF_BY_CHANCE: f64 = 0.05;
/// A single check is an outlier, as a reading is, when it is so many standard errors from the others.
const OUTLIER_SIGMAS: f64 = 4.0;
/// Accuracy of placing a strip by hand (common practice, no source); a smaller shift is not worth peeling it off.
const PLACED_MM: f64 = 0.2;
/// A shift of more than two standard errors is corrected where it exceeds the depth of field wide open; one of so many
/// always (our choice). At two, true scales would be peeled off once in twenty rounds of checks.
const BEYOND_DOUBT: f64 = 3.0;
/// Checks over less of the scale than this cannot tell a shift from a wrong law (our choice).
const WIDE: f64 = 1.0 / 3.0;
/// A further check is proposed in a gap of so much of the scale (our choice).
const GAP: f64 = 0.2;

/// What a scale is used on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// The lens for depth of field.
    pub lens: ThinLens,
    /// The largest blur that still counts as sharp.
    pub circle_of_confusion: Length,
    /// The widest stop; where it is not known, nothing is inside the depth of field.
    pub widest: Option<Stop>,
    /// mm along the strip to a degree of the ring.
    pub mm_per_degree: f64,
    /// The closest distance of the scale.
    pub closest: Length,
}

/// The result of one check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// Within its own error.
    Fine,
    /// Off, but a subject there is sharp wide open when the scale is set to its distance.
    #[serde(rename = "inside depth of field")]
    InsideDepthOfField,
    /// Off.
    Off,
    /// Far from the others.
    #[serde(rename = "wild")]
    Outlier,
}

/// How far the scale misses one check.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Miss {
    /// The subject's distance from the image plane.
    pub subject: Distance,
    /// What the scale reads.
    pub reads: Distance,
    /// Ring position of what it reads minus that of the subject: positive where it reads too near.
    pub off: Angle,
    /// Standard error of that, from reading and taping.
    pub own: Angle,
    /// Standard error of the law by which the scale was drawn.
    pub law: Angle,
    /// The f-number above which the subject is sharp when the scale is set to its distance; `None` where the law cannot tell.
    pub sharp_from: Option<f64>,
    /// The result.
    pub standing: Standing,
}

/// The result of all checks together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// The scale is good.
    Keep,
    /// The strip is displaced.
    Shift,
    /// The law is wrong: no shift makes the scale true.
    Refit,
    /// Something is off, and the checks do not show what.
    Unsure,
}

/// A shift that the checks would not have noticed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blind {
    /// The distance with the least depth of field.
    pub subject: Distance,
    /// Depth of field wide open there, to either side, on the ring.
    pub depth: Angle,
    /// The same in distance; `None` at infinity.
    pub depth_in_distance: Option<Length>,
}

/// Checks judged, each and together.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// One for each check, in the order given.
    pub misses: Vec<Miss>,
    /// Indices, from 0, of those that count: no outlier, and none beyond the infinity mark, which bounds the shift on one side only.
    pub counted: Vec<usize>,
    /// What they miss in common; positive where the scale reads too near.
    pub shift: Measured,
    /// Of the counted misses about that.
    pub chi_square: f64,
    /// Counted checks but one.
    pub freedom: usize,
    /// What to do.
    pub verdict: Verdict,
    /// Index of the check that does not belong, from 0.
    pub outlier: Option<usize>,
    /// Index of the check without which the others agree, from 0: the verdict rests on it.
    pub rests_on: Option<usize>,
    /// Whether the misses are larger than the errors that the readings allow.
    pub refutes_readings: bool,
    /// Whether the checks cover too little of the scale to tell a shift from a wrong law.
    pub narrow: bool,
    /// A shift that the checks were too rough to notice.
    pub blind: Option<Blind>,
    /// Where a further check would help most; `None` where the scale is covered.
    pub next: Option<Distance>,
}

impl Judgement {
    /// Whether the shift is more than two standard errors and more than the accuracy of placing a strip.
    pub fn shifted(&self, camera: &Camera) -> bool {
        self.shift.is_there() && self.shift.value.abs().to_deg() * camera.mm_per_degree >= PLACED_MM
    }
}

/// The shift that a set of checks shares.
#[derive(Clone, Copy)]
struct Common {
    shift: f64,
    sigma: f64,
    chi_square: f64,
    freedom: usize,
}

impl Common {
    fn improbable(&self) -> bool {
        exceeding(self.chi_square, self.freedom) < IMPROBABLE
    }
}

impl FocusCalibration {
    /// A check of the finished scale as a reading of the ring; `None` where the scale has no such mark, or no law.
    ///
    /// It holds only while the scale is the one that this law draws.
    pub fn read_off(&self, distance: Distance, reads: Distance, error: ReadingError, from: Origin) -> Option<Reading> {
        let at = self.law.angle(reads)?;
        let reading = Reading { distance, at, error, from, turned: None, by: Means::Strip };
        self.law.angle(self.subject(&reading)?)?;
        Some(reading)
    }

    /// Judges what [`FocusCalibration::read_off`] gave; `None` without any.
    pub fn judge(&self, checks: &[Reading], camera: &Camera) -> Option<Judgement> {
        let judge = Judge { scale: self, checks, camera, errors: Vec::new(), misses: Vec::new() };
        (!checks.is_empty()).then(|| judge.filled()?.judged()).flatten()
    }
}

struct Judge<'a> {
    scale: &'a FocusCalibration,
    checks: &'a [Reading],
    camera: &'a Camera,
    /// Errors of the ring's position and of the tape, in degrees.
    errors: Vec<(f64, f64)>,
    misses: Vec<Miss>,
}

impl Judge<'_> {
    fn filled(mut self) -> Option<Self> {
        for check in self.checks {
            let subject = self.scale.subject(check)?;
            let law = &self.scale.law;
            let off = check.at - law.angle(subject)?;
            let (at, tape) = self.errors_of(check, subject);
            let own = Angle::try_deg(at.hypot(tape))?;
            let sharp_from = self.stop_needed(subject, off.to_deg());
            self.errors.push((at, tape));
            self.misses.push(Miss {
                subject,
                reads: law.distance(check.at)?,
                off,
                own,
                law: self.scale.angle_error(subject)?,
                sharp_from,
                standing: self.standing(off / own, sharp_from),
            });
        }
        Some(self)
    }

    fn standing(&self, sigmas: f64, sharp_from: Option<f64>) -> Standing {
        if exceeding(sigmas * sigmas, 1) >= OFF_BY_CHANCE / self.checks.len() as f64 {
            Standing::Fine
        } else if self.sharp_wide_open(sharp_from) {
            Standing::InsideDepthOfField
        } else {
            Standing::Off
        }
    }

    /// The ring's error, half its play with it, and the tape's carried over by the law itself.
    fn errors_of(&self, check: &Reading, subject: Distance) -> (f64, f64) {
        let play = self.scale.play.filter(Measured::is_there).map_or(0.0, |play| play.value.to_deg());
        let at = check.error.at.to_deg().hypot(0.5 * play);
        let (Distance::Finite(taped), Distance::Finite(length)) = (check.distance, subject) else { return (at, 0.0) };
        let error = check.error.tape_error(taped).to_mm();
        let angle = |by: f64| self.scale.law.angle(Distance::Finite(Length::try_mm(length.to_mm() + by)?));
        let (near, here, far) = (angle(-error), angle(0.0), angle(error));
        let between = |a: Option<Angle>, b: Option<Angle>| a.zip(b).map(|(a, b)| (a - b).to_deg());
        let tape = between(near, far).map(|both| 0.5 * both).or(between(near, here)).or(between(here, far));
        (at, tape.unwrap_or(0.0))
    }

    /// The f-number above which a subject is sharp when the scale, which misses by `off` degrees, is set to its distance.
    ///
    /// The ring is then `off` short of the position at which the subject is in focus, and the law gives the distance that
    /// is. Past infinity by e, the image is as far from the image plane as it is e before infinity, on the other side
    /// (Newton's form of the conjugate equation), and this adds to the subject's own blur:
    ///
    /// ```text
    /// focused at D' = D(θ(D) - off);   past infinity by e:  N = N(infinity, D) + N(D(θ(infinity) + e), infinity)
    /// ```
    fn stop_needed(&self, subject: Distance, off: f64) -> Option<f64> {
        let law = &self.scale.law;
        let (lens, c) = (&self.camera.lens, self.camera.circle_of_confusion);
        let at = law.angle(subject)?.to_deg() - off;
        if let Some(infinity) = law.angle(Distance::Infinity)
            && at < infinity.to_deg()
        {
            let mirrored = law.distance(Angle::try_deg(2.0 * infinity.to_deg() - at)?)?;
            let own = lens.stop_for_blur(Distance::Infinity, subject, c)?;
            return Some(own + lens.stop_for_blur(mirrored, Distance::Infinity, c)?);
        }
        lens.stop_for_blur(law.distance(Angle::try_deg(at)?)?, subject, c)
    }

    fn sharp_wide_open(&self, stop: Option<f64>) -> bool {
        stop.zip(self.camera.widest).is_some_and(|(needed, widest)| needed <= widest.number())
    }

    /// Whether a miss of `off(i)` degrees is inside the depth of field wide open at all these checks.
    fn all_sharp(&self, subset: &[usize], off: impl Fn(usize) -> f64) -> bool {
        subset.iter().all(|i| self.sharp_wide_open(self.stop_needed(self.misses[*i].subject, off(*i))))
    }

    /// Weighted mean of the misses of some checks, and chi-square about it.
    fn mean(&self, subset: &[usize]) -> Common {
        let readings: Vec<Reading> = subset.iter().map(|i| self.checks[*i]).collect();
        let groups = groups(&readings);
        let errors = |i: usize| self.errors[subset[i]];
        // x' W y, block by block: each is a diagonal and one rank, whose inverse is Sherman and Morrison's
        let inner = |x: &[f64], y: &[f64]| -> f64 {
            let block = |group: &Vec<usize>| {
                let sum = |f: &dyn Fn(usize) -> f64| group.iter().map(|i| f(*i) / errors(*i).0.powi(2)).sum::<f64>();
                let tape = |i: usize| errors(i).1;
                let across = sum(&|i| x[i] * tape(i)) * sum(&|i| y[i] * tape(i));
                sum(&|i| x[i] * y[i]) - across / (1.0 + sum(&|i| tape(i) * tape(i)))
            };
            groups.iter().map(block).sum()
        };
        let ones = vec![1.0; subset.len()];
        let off: Vec<f64> = subset.iter().map(|i| self.misses[*i].off.to_deg()).collect();
        let weight = inner(&ones, &ones);
        let shift = inner(&ones, &off) / weight;
        let rest: Vec<f64> = off.iter().map(|off| off - shift).collect();
        Common {
            shift,
            sigma: 1.0 / weight.sqrt(),
            chi_square: inner(&rest, &rest).max(0.0),
            freedom: subset.len().saturating_sub(1),
        }
    }

    /// The shift that some checks share. A check that reads infinity shows only that the index stood at that mark or beyond,
    /// so it bounds the shift on one side (a censored observation), and its likelihood is that of all misses so large or less:
    ///
    /// ```text
    /// -ln L(s) = (s - mean)^2 / (2 sigma^2) - sum ln Phi((off - s) / own)
    /// ```
    ///
    /// the sum over such checks, mean and sigma of the others. The shift is at its minimum, its error from its curvature.
    /// Source: J. Tobin, Estimation of relationships for limited dependent variables, Econometrica 26, 1958 (from memory).
    fn common(&self, subset: &[usize]) -> Common {
        let (open, at_infinity): (Vec<usize>, Vec<usize>) =
            subset.iter().partition(|i| !self.misses[**i].reads.is_infinite());
        if open.is_empty() {
            return self.mean(&at_infinity);
        }
        let mean = self.mean(&open);
        let limits: Vec<(f64, f64)> =
            at_infinity.iter().map(|i| (self.misses[*i].off.to_deg(), self.misses[*i].own.to_deg())).collect();
        let slope = |s: f64| {
            let pull = limits.iter().map(|(off, own)| hazard((off - s) / own) / own).sum::<f64>();
            (s - mean.shift) / mean.sigma.powi(2) + pull
        };
        // the slope grows with s and is positive at the mean, so its zero is below the mean
        let (mut low, mut high) = (mean.shift - mean.sigma, mean.shift);
        while slope(low) > 0.0 {
            low -= 2.0 * (mean.shift - low);
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if slope(middle) > 0.0 { high = middle } else { low = middle }
        }
        let shift = 0.5 * (low + high);
        let bend = |(off, own): &(f64, f64)| {
            let z = (off - shift) / own;
            hazard(z) * (hazard(z) + z) / (own * own)
        };
        let beyond = |(off, own): &(f64, f64)| ((shift - off).max(0.0) / own).powi(2);
        Common {
            shift,
            sigma: 1.0 / (mean.sigma.powi(-2) + limits.iter().map(bend).sum::<f64>()).sqrt(),
            chi_square: mean.chi_square
                + ((shift - mean.shift) / mean.sigma).powi(2)
                + limits.iter().map(beyond).sum::<f64>(),
            freedom: mean.freedom + limits.iter().filter(|(off, own)| off - shift <= *own).count(),
        }
    }

    /// Whether a check fixes the shift on both sides: not one that reads infinity where, by the others, the index was beyond it.
    fn is_two_sided(&self, i: usize, shift: f64) -> bool {
        let miss = &self.misses[i];
        !miss.reads.is_infinite() || miss.off.to_deg() - shift <= miss.own.to_deg()
    }

    /// Of `subset`, the check without which the others agree, and by how many standard errors it misses them.
    fn disagreeing(&self, subset: &[usize]) -> Option<(usize, f64)> {
        let without = |i: &usize| {
            let others: Vec<usize> = subset.iter().copied().filter(|other| other != i).collect();
            let rest = self.common(&others);
            let miss = &self.misses[*i];
            let sigmas = (miss.off.to_deg() - rest.shift).abs() / miss.own.to_deg().hypot(rest.sigma);
            let qualifies = self.is_two_sided(*i, rest.shift) && rest.freedom > 0 && !rest.improbable();
            qualifies.then_some((*i, sigmas))
        };
        subset.iter().filter_map(without).max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Whether a check stands out from the next ones to both sides: at the end of the scale, or on the way from one neighbour
    /// to the other, an apparent outlier may be a wrong law.
    fn stands_out(&self, i: usize) -> bool {
        let (here, off) = (self.place(i), |i: usize| self.misses[i].off.to_deg());
        let others = || (0..self.misses.len()).filter(|other| *other != i);
        let farther = others().filter(|other| self.place(*other) <= here);
        let nearer = others().filter(|other| self.place(*other) > here);
        let farther = farther.max_by(|a, b| self.place(*a).total_cmp(&self.place(*b)));
        let nearer = nearer.min_by(|a, b| self.place(*a).total_cmp(&self.place(*b)));
        let Some((a, b)) = farther.zip(nearer) else { return false };
        off(i) < off(a).min(off(b)) || off(i) > off(a).max(off(b))
    }

    /// Where the subject of a check stands on the scale, degrees.
    fn place(&self, i: usize) -> f64 {
        (self.checks[i].at - self.misses[i].off).to_deg()
    }

    fn judged(mut self) -> Option<Judgement> {
        let mut kept: Vec<usize> = (0..self.misses.len()).collect();
        let mut common = self.common(&kept);
        let mut outlier = None;
        let mut rests_on = None;
        if common.improbable()
            && let Some((i, sigmas)) = self.disagreeing(&kept)
        {
            if kept.len() >= 4 && sigmas > OUTLIER_SIGMAS && self.stands_out(i) {
                outlier = Some(i);
                kept.retain(|other| *other != i);
                common = self.common(&kept);
                self.misses[i].standing = Standing::Outlier;
            } else {
                rests_on = Some(i);
            }
        }
        let off = |i: usize| self.misses[i].off.to_deg();
        let shift = Measured { value: Angle::try_deg(common.shift)?, sigma: Angle::try_deg(common.sigma)? };
        let counted: Vec<usize> = kept.iter().copied().filter(|i| self.is_two_sided(*i, common.shift)).collect();
        let (narrow, next) = self.cover(&kept);
        let mut judgement = Judgement {
            misses: Vec::new(),
            shift,
            chi_square: common.chi_square,
            freedom: common.freedom,
            verdict: Verdict::Keep,
            outlier,
            rests_on,
            refutes_readings: counted.iter().any(|i| {
                let miss = &self.misses[*i];
                (off(*i) - common.shift).abs() > 2.0 * miss.own.to_deg().hypot(miss.law.to_deg())
            }),
            narrow,
            blind: self.blind(&counted, common.sigma),
            next,
            counted,
        };
        let counted = &judgement.counted;
        judgement.verdict = if common.improbable() && !self.all_sharp(counted, |i| off(i) - common.shift) {
            if counted.len() > 2 { Verdict::Refit } else { Verdict::Unsure }
        } else if judgement.shifted(self.camera)
            && (common.shift.abs() > BEYOND_DOUBT * common.sigma || !self.all_sharp(counted, |_| common.shift))
        {
            if narrow { Verdict::Unsure } else { Verdict::Shift }
        } else {
            Verdict::Keep
        };
        judgement.misses = self.misses;
        Some(judgement)
    }

    /// Whether the `subset` covers too little of the scale, and where it has the widest gap.
    fn cover(&self, subset: &[usize]) -> (bool, Option<Distance>) {
        let law = &self.scale.law;
        let mut places: Vec<f64> = subset.iter().map(|i| self.place(*i)).collect();
        places.sort_by(f64::total_cmp);
        let (Some(first), Some(last)) = (places.first().copied(), places.last().copied()) else { return (true, None) };
        let far = law.angle(Distance::Infinity).map_or(first, |angle| angle.to_deg());
        let near = law.angle(Distance::Finite(self.camera.closest)).map_or(last, |angle| angle.to_deg());
        let turn = near.max(last) - far.min(first);
        let ends = [(far, first - far), (near, near - last)];
        let between = places.windows(2).map(|pair| (0.5 * (pair[0] + pair[1]), 0.5 * (pair[1] - pair[0])));
        let widest = ends.into_iter().chain(between).max_by(|a, b| a.1.total_cmp(&b.1));
        let next = widest.filter(|(_, gap)| *gap > GAP * turn).and_then(|(at, _)| law.distance(Angle::try_deg(at)?));
        (last - first < WIDE * turn || subset.len() < 2, next)
    }

    /// The place with the least depth of field, where two standard errors of the shift are more than that.
    fn blind(&self, subset: &[usize], sigma: f64) -> Option<Blind> {
        let widest = self.camera.widest?.number();
        let law = &self.scale.law;
        // blur grows in proportion to a small turn
        let small = 0.05;
        let depth = |i: &usize| {
            let subject = self.misses[*i].subject;
            let needed = self.stop_needed(subject, small)?.max(self.stop_needed(subject, -small)?);
            Some((subject, widest * small / needed))
        };
        let (subject, depth) = subset.iter().filter_map(depth).min_by(|a, b| a.1.total_cmp(&b.1))?;
        let depth = Angle::try_deg(depth).filter(|depth| depth.to_deg() < 2.0 * sigma)?;
        let nearer = law.distance(law.angle(subject)? + depth);
        let depth_in_distance = match (subject, nearer) {
            (Distance::Finite(here), Some(Distance::Finite(nearer))) => Some(here - nearer),
            _ => None,
        };
        Some(Blind { subject, depth, depth_in_distance })
    }
}

/// Density over distribution of the standard normal at `z` (inverse Mills ratio); -z for large negative z.
fn hazard(z: f64) -> f64 {
    if z < -30.0 {
        return -z;
    }
    let root = std::f64::consts::SQRT_2;
    let below = 0.5 * libm::erfc(-z / root);
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() / below
}

#[cfg(test)]
mod simulated_tests;
#[cfg(test)]
mod tests;
