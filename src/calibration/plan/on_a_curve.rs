//! Plans for a cam, whose curve has no constants: each further reading is put on the curve as it is, and the curve's error is
//! computed again.

use super::{FEWEST, Gain, Next, Plan, Planner, SetUp, TRIED_ON_A_CURVE, Worst, different, far_to_near, unread};
use crate::calibration::curve::CurveFit;
use crate::calibration::focus::FocusErrors;
use crate::calibration::{Means, Reading};
use crate::parallel;
use crate::units::{Angle, Distance};

impl Planner<'_> {
    pub(super) fn plan_for_curve(&self, fit: &CurveFit, possible: &[SetUp], count: Option<usize>) -> Plan {
        let unread = unread(possible, fit);
        let mut curve = fit.clone();
        let mut set_ups: Vec<SetUp> = unread;
        let count = count.unwrap_or(FEWEST.saturating_sub(self.taken()).max(1));
        let mut numbers = Vec::new();
        set_ups.truncate(count);
        while set_ups.len() < count {
            let Some((_, set_up, better)) = self.tried(&curve, possible, &set_ups).into_iter().next() else { break };
            set_ups.push(set_up);
            curve = better;
            numbers.push((set_ups.len(), self.worst_on(&curve).sigma));
        }
        let worst = self.worst_on(&curve);
        let mut expected = self.calibration.clone();
        expected.errors = FocusErrors::Curve(Box::new(curve), None);
        Plan { set_ups: far_to_near(set_ups), expected, worst, amid: None, numbers }
    }

    pub(super) fn next_for_curve(&self, fit: &CurveFit, possible: &[SetUp]) -> Next {
        let tried = self.tried(fit, possible, &[]);
        let place = |i: usize| tried[i].1.at.map_or(0.0, Angle::to_deg);
        let places: Vec<(usize, f64)> = (0..tried.len()).map(|i| (i, place(i))).collect();
        let gain = |i: usize| Gain { set_up: tried[i].1, after: self.worst_on(&tried[i].2) };
        let best = different(&places).into_iter().map(gain).collect();
        let mut old: Vec<SetUp> = Vec::new();
        for reading in self.readings.iter().filter(|r| r.by == Means::Tape) {
            if !old.iter().any(|one| one.taped == reading.distance) {
                old.extend(self.set_up(reading.distance).map(|one| SetUp { repeats: 1, ..one }));
            }
        }
        let again = parallel::each(&old, |one| {
            let curve = fit.with(&self.on_the_curve(fit, one)?)?;
            Some(Gain { set_up: *one, after: self.worst_on(&curve) })
        });
        let repeat = again.into_iter().flatten();
        let repeat = repeat.min_by(|a, b| a.after.sigma.total_cmp(&b.after.sigma));
        Next { now: self.worst_on(fit), best, repeat, unread: unread(possible, fit) }
    }

    /// The curve with each of some possible readings, the best first.
    fn tried(&self, fit: &CurveFit, possible: &[SetUp], planned: &[SetUp]) -> Vec<(f64, SetUp, CurveFit)> {
        let old = |one: &SetUp| {
            let same = |taped: Distance| taped == one.taped;
            self.readings.iter().any(|r| same(r.distance)) || planned.iter().any(|p| same(p.taped))
        };
        let fresh: Vec<SetUp> = possible.iter().filter(|one| one.at.is_some() && !old(one)).copied().collect();
        let at = |one: &SetUp| one.at.map_or(0.0, Angle::to_deg);
        let span = fresh.first().zip(fresh.last()).map_or(0.0, |(near, far)| at(near) - at(far));
        let mut few: Vec<SetUp> = Vec::new();
        for one in fresh {
            if few.last().is_none_or(|last| at(last) - at(&one) >= span / TRIED_ON_A_CURVE as f64) {
                few.push(one);
            }
        }
        let each = parallel::each(&few, |one| {
            let curve = fit.with(&self.on_the_curve(fit, one)?)?;
            Some((self.worst_on(&curve).sigma.to_deg(), *one, curve))
        });
        let mut each: Vec<(f64, SetUp, CurveFit)> = each.into_iter().flatten().collect();
        each.sort_by(|a, b| a.0.total_cmp(&b.0));
        each
    }

    /// The mean of a set-up's readings, from the image plane, where the curve runs.
    fn on_the_curve(&self, fit: &CurveFit, one: &SetUp) -> Option<Reading> {
        let mut error = self.error();
        error.at = error.at / (one.repeats as f64).sqrt();
        Some(Reading::taped(one.subject, fit.law.angle(one.subject)?, error))
    }

    fn worst_on(&self, fit: &CurveFit) -> Worst {
        let nothing = Worst { distance: Distance::Infinity, sigma: Angle::ZERO };
        let each = self.marks.iter().filter_map(|mark| Some((*mark, fit.angle_error(*mark)?)));
        each.fold(nothing, |worst, (distance, sigma)| {
            if sigma > worst.sigma.to_deg() { Worst { distance, sigma: Angle::deg(sigma) } } else { worst }
        })
    }
}
