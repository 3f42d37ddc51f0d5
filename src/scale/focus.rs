//! The marks of a focus band: infinity and closest always, customary distances where they fit, plain marks that
//! divide the value evenly.

use super::choose::{Candidate, best};
use super::series::{Customary, DIVISIONS, countable, distances, foot_label, metre_label};
use super::{Band, BandUnit, Mark, MarkValue, Spacing, left_out};
use crate::optics::FocusLaw;
use crate::units::{Angle, Distance, DistanceUnit, Length, Stop};

/// Everything a focus band is chosen from.
pub struct FocusScale<'a> {
    /// From distance to ring angle.
    pub law: &'a FocusLaw,
    /// The closest distance that is marked.
    pub closest: Length,
    /// The farthest finite distance the law reaches, where it does not reach infinity.
    pub farthest: Option<Length>,
    /// The lens's focal length; it decides how far out numerals are customary.
    pub focal_length: Length,
    /// Settings that are marked for a stop, not for their distance.
    pub hyperfocal: &'a [(Stop, Length)],
    /// Gaps and scale of the strip.
    pub spacing: Spacing,
    /// Width of a text's ink.
    pub width: &'a dyn Fn(&str) -> Length,
}

/// Labels nearer than three gaps begin to look crowded: up to this is taken from a pair's worth, so that a numeral of
/// little roundness is dropped for air and a round one is kept.
const CROWDING: f64 = 4.0;
/// A stretch that no even division makes countable costs so much: less than a round numeral, more than a fine one.
const UNCOUNTABLE: f64 = 2.5;
/// What was asked for goes before any numeral but the ends.
const ASKED_FOR: f64 = 30.0;
/// Customary values of this weight and more are reported when they are left out.
const WORTH_TELLING: f64 = 7.0;

impl FocusScale<'_> {
    /// Chooses the band of `unit`. A distance that the law does not reach is not marked.
    pub fn band(&self, unit: BandUnit) -> Band {
        let values = self.values(unit);
        let (labels, candidates) = self.candidates(&values);
        let gap = self.spacing.label_gap.to_mm();
        let worth = |i: usize, j: usize| {
            let clear = candidates[i].clear_of(&candidates[j]);
            let crowding = CROWDING * (1.0 - (clear - gap) / (2.0 * gap)).clamp(0.0, 1.0).powi(2);
            let step = values[i].mm - values[j].mm;
            let split = DIVISIONS.iter().any(|n| countable(unit, step / f64::from(*n)));
            let numbers = values[i].hyperfocal.is_none() && values[j].hyperfocal.is_none();
            -crowding - if numbers && values[i].mm.is_finite() && !split { UNCOUNTABLE } else { 0.0 }
        };
        // Where even the two ends collide, the ends are numbered by weight alone.
        let chosen = best(&candidates, gap, worth).unwrap_or_else(|| vec![0]);
        let left_out = left_out(unit, &candidates, &labels, &chosen, gap, WORTH_TELLING);
        let mut marks: Vec<Mark> = Vec::new();
        let (beside, numbers): (Vec<usize>, Vec<usize>) = chosen.iter().partition(|i| values[**i].hyperfocal.is_some());
        let taken: Vec<f64> = beside.iter().map(|i| candidates[*i].at).collect();
        for (k, i) in numbers.iter().enumerate() {
            let next = numbers.get(k + 1).map(|j| values[*j].mm);
            let candidate = &candidates[*i];
            let shift = 0.5 * (candidate.after - candidate.before);
            marks.extend(self.mark(values[*i].mm, &values[*i].label, shift));
            if let Some(next) = next {
                marks.extend(self.plain_between(unit, values[*i].mm, next, &taken));
            }
        }
        for value in beside.iter().map(|i| &values[*i]) {
            let mark = self.mark(value.mm, &value.label, 0.0);
            let place = marks.partition_point(|other| mark.as_ref().is_some_and(|mark| other.arc < mark.arc));
            marks.splice(place..place, mark.map(|mark| Mark { hyperfocal: value.hyperfocal, ..mark }));
        }
        let closest = self.closest.to_mm();
        let end_is_marked = numbers.last().is_some_and(|i| values[*i].mm <= closest);
        if !end_is_marked {
            marks.extend(self.mark(closest, "", 0.0));
        }
        Band { unit, marks, left_out }
    }

    /// Distances that might be numbered, from far to near; infinity is the float.
    fn values(&self, unit: BandUnit) -> Vec<Customary> {
        let closest = self.closest.to_mm();
        let farthest = self.farthest.map_or(f64::INFINITY, |f| f.to_mm());
        let mut values = Vec::new();
        if self.law.angle(Distance::Infinity).is_some() {
            values.push(Customary { mm: f64::INFINITY, label: "∞".into(), weight: 10.0, hyperfocal: None });
        } else if farthest.is_finite() {
            let label = closest_label(unit, Length::mm(farthest));
            values.push(Customary { mm: farthest, label, weight: 5.0, hyperfocal: None });
        }
        let label = closest_label(unit, self.closest);
        let end = Customary { mm: closest, label, weight: 10.0, hyperfocal: None };
        let inner = distances(unit, closest, self.focal_length.to_mm());
        // a value so near an end that it would bear the end's own label is the end
        let distinct = |value: &Customary| {
            value.mm > closest * 1.000_001 && value.mm < farthest * 0.999_999 && value.label != end.label
        };
        let asked_for = self.hyperfocal.iter().map(|(stop, setting)| {
            let label = format!("H{}", stop.label());
            Customary { mm: setting.to_mm(), label, weight: ASKED_FOR, hyperfocal: Some(*stop) }
        });
        let inner = inner.into_iter().chain(asked_for);
        values.extend(inner.filter(|value| distinct(value) && self.law.angle(Distance::mm(value.mm)).is_some()));
        values.sort_by(|a, b| b.mm.total_cmp(&a.mm));
        if self.law.angle(Distance::mm(closest)).is_some() {
            values.push(end);
        }
        values
    }

    fn candidates(&self, values: &[Customary]) -> (Vec<String>, Vec<Candidate>) {
        let mut labels = Vec::new();
        let mut candidates = Vec::new();
        let last = values.len().saturating_sub(1);
        for (i, value) in values.iter().enumerate() {
            let half = 0.5 * (self.width)(&value.label).to_mm();
            let at = self.arc(value.mm).unwrap_or(0.0);
            labels.push(value.label.clone());
            let required = i == 0 || i == last;
            candidates.push(Candidate { at, before: half, after: half, weight: value.weight, required });
        }
        // Where the scale nearly meets itself round the ring, the closest numeral moves aside of its tick, and where
        // that is not enough, infinity's does too.
        if let [first, .., end] = candidates.as_mut_slice() {
            let half_tick = 0.5 * self.spacing.tick_width.to_mm();
            let room =
                self.spacing.period.to_mm() - (end.at - first.at) - first.before - self.spacing.label_gap.to_mm();
            let after = end.after.min(room.max(half_tick));
            end.before += end.after - after;
            end.after = after;
            let before = first.before.min((first.before + room - after).max(half_tick));
            first.after += first.before - before;
            first.before = before;
        }
        (labels, candidates)
    }

    fn arc(&self, mm: f64) -> Option<f64> {
        Some((self.angle(mm)?.to_deg() - self.zero()?.to_deg()) * self.spacing.mm_per_degree)
    }

    fn angle(&self, mm: f64) -> Option<Angle> {
        self.law.angle(if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity })
    }

    /// The ring's position from which arcs are counted.
    fn zero(&self) -> Option<Angle> {
        let far = self.farthest.map_or(Distance::Infinity, Distance::Finite);
        self.law.angle(Distance::Infinity).or_else(|| self.law.angle(far))
    }

    fn mark(&self, mm: f64, label: &str, shift: f64) -> Option<Mark> {
        let value = if mm.is_finite() { Distance::mm(mm) } else { Distance::Infinity };
        Some(Mark {
            value: MarkValue::Distance(value),
            label: label.to_string(),
            angle: self.angle(mm)?,
            arc: Length::try_mm(self.arc(mm)?)?,
            numeral_shift: Length::mm(shift),
            short: false,
            hyperfocal: None,
        })
    }

    /// Plain marks between two numbered distances: the finest even division of the value that can be counted and whose
    /// ticks keep their distance, from those at the arcs `taken` as well.
    fn plain_between(&self, unit: BandUnit, far: f64, near: f64, taken: &[f64]) -> Vec<Mark> {
        if !far.is_finite() {
            return Vec::new();
        }
        let smallest = self.spacing.smallest_gap.to_mm();
        for n in DIVISIONS {
            let step = (far - near) / f64::from(n);
            if !countable(unit, step) {
                continue;
            }
            let inner: Option<Vec<Mark>> = (1..n).map(|k| self.mark(far - step * f64::from(k), "", 0.0)).collect();
            let (Some(inner), Some(first), Some(last)) = (inner, self.arc(far), self.arc(near)) else {
                continue;
            };
            let mut arcs = vec![first];
            arcs.extend(inner.iter().map(|mark| mark.arc.to_mm()));
            arcs.push(last);
            let clear = |mark: &Mark| taken.iter().all(|at| (at - mark.arc.to_mm()).abs() >= smallest);
            if arcs.windows(2).all(|pair| pair[1] - pair[0] >= smallest) && inner.iter().all(clear) {
                return inner;
            }
        }
        Vec::new()
    }
}

/// The label of a distance that must be marked whatever it is: the coarsest of centimetres and millimetres, or of
/// whole, half and quarter inches, that is true to a quarter of a percent, which is under any tape's error there.
pub fn closest_label(unit: BandUnit, distance: Length) -> String {
    let mm = distance.to_mm();
    let steps = if unit == BandUnit::Distance(DistanceUnit::Metre) { [100.0, 10.0, 1.0] } else { [25.4, 12.7, 6.35] };
    let rounded = |step: f64| (mm / step).round() * step;
    let good = steps.into_iter().map(rounded).find(|value| (value / mm - 1.0).abs() <= 0.0025);
    let value = good.unwrap_or_else(|| rounded(steps[2]));
    if unit == BandUnit::Distance(DistanceUnit::Metre) { metre_label(value) } else { foot_label(value / 25.4) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optics::TravelLaw;

    pub(crate) fn band(unit: BandUnit, ring: f64, throw: f64, closest: f64) -> Band {
        // a 50 mm lens whose lead makes the throw
        let f = 50.0;
        let b = closest - 2.0 * f;
        let x = 2.0 * f * f / (b + (b * b - 4.0 * f * f).sqrt());
        let lead = x * 360.0 / throw;
        let law =
            FocusLaw::Travel(TravelLaw::from_lead(Angle::ZERO, Length::mm(f), Length::mm(lead), Length::mm(2.0 * f)));
        let spacing = Spacing {
            mm_per_degree: std::f64::consts::PI * ring / 360.0,
            period: Length::mm(std::f64::consts::PI * ring),
            smallest_gap: Length::mm(0.8),
            label_gap: Length::mm(2.0),
            tick_width: Length::mm(0.2),
        };
        let width = |text: &str| Length::mm(1.4 * text.chars().count() as f64);
        FocusScale {
            law: &law,
            closest: Length::mm(closest),
            farthest: None,
            focal_length: Length::mm(f),
            hyperfocal: &[],
            spacing,
            width: &width,
        }
        .band(unit)
    }

    fn labels(band: &Band) -> String {
        band.marks.iter().filter(|m| m.numbered()).map(|m| m.label.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_common_ring_carries_the_customary_distances() {
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Metre), 84.0, 270.0, 450.0)), @"∞ 10 5 4 3 2.5 2 1.5 1.3 1.1 1 0.9 0.8 0.7 0.65 0.6 0.55 0.5 0.45");
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Foot), 84.0, 270.0, 450.0)), @"∞ 20′ 10′ 8′ 6′ 5′ 4′ 3′6″ 3′ 2′6″ 2′2″ 2′ 1′10″ 1′8″ 1′7″ 1′5¾″");
    }

    #[test]
    fn a_small_ring_keeps_infinity_closest_and_the_roundest_between() {
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Metre), 40.0, 90.0, 900.0)), @"∞ 5 3 2 1.2 0.9");
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Foot), 40.0, 90.0, 900.0)), @"∞ 10′ 5′ 4′ 2′11½″");
    }

    #[test]
    fn a_large_ring_is_filled_without_crowding() {
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Metre), 120.0, 330.0, 600.0)), @"∞ 20 10 8 6 5 4 3.5 3 2.5 2 1.8 1.6 1.5 1.4 1.3 1.2 1.1 1 0.95 0.9 0.85 0.8 0.75 0.7 0.68 0.66 0.64 0.62 0.6");
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Foot), 120.0, 330.0, 600.0)), @"∞ 50′ 30′ 20′ 15′ 12′ 10′ 9′ 8′ 7′ 6′6″ 6′ 5′6″ 5′ 4′6″ 4′ 3′8″ 3′6″ 3′4″ 3′2″ 3′ 2′10″ 2′8″ 2′6″ 2′5″ 2′4″ 2′3″ 2′2″ 2′1″ 1′11½″");
    }

    #[test]
    fn what_is_left_out_names_the_neighbour() {
        let band = band(BandUnit::Distance(DistanceUnit::Metre), 40.0, 90.0, 900.0);
        let told: Vec<String> = band.left_out.iter().map(ToString::to_string).collect();
        insta::assert_snapshot!(told.join("\n"), @r#"
10 m would touch ∞; left out
4 m would touch 5; left out
1.5 m would touch 2; left out
1 m would touch 0.9; left out
"#);
    }

    #[test]
    fn an_odd_closest_distance_is_labelled_as_finely_as_it_must() {
        for (mm, metre, foot) in
            [(900.0, "0.9", "2′11½″"), (870.0, "0.87", "2′10¼″"), (914.4, "0.914", "3′"), (1219.2, "1.22", "4′")]
        {
            assert_eq!(closest_label(BandUnit::Distance(DistanceUnit::Metre), Length::mm(mm)), metre);
            assert_eq!(closest_label(BandUnit::Distance(DistanceUnit::Foot), Length::mm(mm)), foot);
        }
    }

    proptest::proptest! {
        #[test]
        fn marks_are_in_order_and_labels_never_overlap(ring in 30.0..150.0f64, throw in 30.0..350.0f64, closest in 210.0..3000.0f64, foot: bool) {
            let unit = if foot { BandUnit::Distance(DistanceUnit::Foot) } else { BandUnit::Distance(DistanceUnit::Metre) };
            let band = band(unit, ring, throw, closest);
            let marks = &band.marks;
            proptest::prop_assert!(marks.windows(2).all(|w| w[0].arc < w[1].arc));
            proptest::prop_assert_eq!(marks[0].value, MarkValue::Distance(Distance::Infinity));
            proptest::prop_assert_eq!(marks[marks.len() - 1].value, MarkValue::Distance(Distance::mm(closest)));
            let period = std::f64::consts::PI * ring;
            let mut spans: Vec<(f64, f64)> = Vec::new();
            for mark in marks.iter().filter(|m| m.numbered()) {
                let (middle, half) = (mark.arc.to_mm() + mark.numeral_shift.to_mm(), 0.7 * mark.label.chars().count() as f64);
                spans.push((middle - half, middle + half));
            }
            proptest::prop_assert!(spans.windows(2).all(|w| w[1].0 - w[0].1 >= 2.0 - 1e-9), "{:?}", spans);
            let seam = spans[0].0 + period - spans[spans.len() - 1].1;
            proptest::prop_assert!(seam >= -1e-9, "the ends overlap by {} round the ring", -seam);
        }
    }
}
