//! The marks of a focus band: a law and a style become the scale that `graduation` chooses, with what stands beside it.

use super::graduation::{Choice, Comfort, Graduation, InTheWay, Obstacle, Tick, TickClass, WishFault, Wishes};
use super::ladder::{Count, DECIMAL_FOOT, FOOT, Ladder, METRE};
use super::{Band, BandUnit, Feet, Figures, Grounds, LeftOut, Mark, MarkValue, Sides, Spacing};
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
    /// The nearer half of the depth of field at a distance, in turn of the ring; `None` where it is not known.
    pub half_depth: &'a dyn Fn(Length) -> Option<Angle>,
    /// The unit in which `closest` was given.
    pub closest_unit: BandUnit,
    /// How numbers are written.
    pub figures: Figures,
    /// What the user fixes.
    pub wishes: &'a Wishes,
    /// Gaps and scale of the strip.
    pub spacing: Spacing,
    /// How far a label reaches from its tick.
    pub sides: &'a dyn Fn(&str) -> Sides,
}

/// No numeral stands farther out than so many focal lengths: old scales end there (common practice, no source).
const REACH: f64 = 2000.0;

/// A hyperfocal mark that has room.
struct Beside {
    stop: Stop,
    setting: Length,
    label: String,
    place: Obstacle,
}

impl FocusScale<'_> {
    /// Chooses the band of `unit`. A distance that the law does not reach is not marked.
    ///
    /// # Errors
    /// When wishes contradict each other or the law; never without wishes.
    pub fn band(&self, unit: BandUnit) -> Result<Band, WishFault> {
        let ladder = ladder_of(unit, self.figures);
        let (beside, mut left_out) = self.beside(unit);
        let obstacles: Vec<Obstacle> = beside.iter().map(|mark| mark.place).collect();
        let choice = Graduation {
            ladder,
            arc: &|mm| self.arc(mm),
            half_depth: &|mm| {
                let depth = (self.half_depth)(Length::mm(mm));
                depth.map_or(f64::INFINITY, |turn| turn.to_deg() * self.spacing.mm_per_degree)
            },
            sides: self.sides,
            closest: self.closest.to_mm(),
            farthest: self.farthest.map(|farthest| farthest.to_mm()),
            reach: REACH * self.focal_length.to_mm(),
            own_unit: self.closest_unit == unit,
            tick_gap: self.spacing.smallest_gap.to_mm(),
            label_gap: self.spacing.label_gap.to_mm(),
            tick_width: self.spacing.tick_width.to_mm(),
            comfort: Comfort::default(),
            period: self.spacing.period.to_mm(),
            obstacles: &obstacles,
            figures: self.figures,
            infinity: &self.figures.infinity(unit.sign()),
            wishes: self.wishes,
        }
        .choose()?;
        let missed = choice.untold.iter().filter(|untold| untold.value <= ladder.missed_to);
        left_out.extend(missed.map(|untold| LeftOut {
            label: ladder.label(untold.value, self.figures),
            unit,
            touches: match untold.by {
                InTheWay::Numeral(value) => Some(ladder.label(value, self.figures)),
                InTheWay::Infinity => Some("∞".to_string()),
                InTheWay::Crowd => None,
            },
        }));
        let marks = self.marks(unit, &choice, &beside);
        let numbered = choice.ticks.iter().filter(|tick| tick.class == TickClass::Numbered && !tick.label.is_empty());
        let numerals = numbered.filter_map(|tick| tick.value).collect();
        let Choice { sections, gaps, .. } = choice;
        Ok(Band { unit, marks, left_out, grounds: Grounds { sections, gaps, numerals, numeral_height: None } })
    }

    fn marks(&self, unit: BandUnit, choice: &Choice, beside: &[Beside]) -> Vec<Mark> {
        let infinity = Tick {
            value: None,
            mm: f64::INFINITY,
            arc: 0.0,
            class: TickClass::Numbered,
            label: self.figures.infinity(unit.sign()),
            shift: choice.infinity_shift,
            end: false,
        };
        let infinity = self.farthest.is_none().then_some(infinity);
        let mut marks: Vec<Mark> = infinity.iter().chain(&choice.ticks).filter_map(|tick| self.mark(tick)).collect();
        for beside in beside {
            let tick = Tick {
                value: None,
                mm: beside.setting.to_mm(),
                arc: beside.place.arc,
                class: TickClass::Fine,
                label: beside.label.clone(),
                shift: 0.0,
                end: false,
            };
            let mark = self.mark(&tick).map(|mark| Mark { hyperfocal: Some(beside.stop), ..mark });
            let place = marks.partition_point(|other| mark.as_ref().is_some_and(|mark| other.arc < mark.arc));
            marks.splice(place..place, mark);
        }
        marks
    }

    fn mark(&self, tick: &Tick) -> Option<Mark> {
        let value = if tick.mm.is_finite() { Distance::mm(tick.mm) } else { Distance::Infinity };
        Some(Mark {
            value: MarkValue::Distance(value),
            label: tick.label.clone(),
            // a long tick without a text looks like a numeral that was forgotten
            tick: if tick.end && tick.label.is_empty() { TickClass::Medium } else { tick.class },
            angle: self.angle(tick.mm)?,
            arc: Length::try_mm(self.arc(tick.mm)?)?,
            numeral_shift: Length::mm(tick.shift),
            short: false,
            hyperfocal: None,
        })
    }

    /// Hyperfocal marks that have room beside infinity, the end, what was asked for and each other. Numerals give way to
    /// them.
    fn beside(&self, unit: BandUnit) -> (Vec<Beside>, Vec<LeftOut>) {
        let ladder = ladder_of(unit, self.figures);
        let (gap, tick_gap) = (self.spacing.label_gap.to_mm(), self.spacing.smallest_gap.to_mm());
        let mut taken: Vec<(f64, Sides, String)> = Vec::new();
        if self.farthest.is_none() {
            taken.push((0.0, (self.sides)(&self.figures.infinity(unit.sign())), "∞".to_string()));
        }
        let end = closest_label(unit, self.closest);
        taken.extend(self.arc(self.closest.to_mm()).map(|at| (at, (self.sides)(&end), end)));
        let asked = self.wishes.asked().filter_map(|value| Some((value, self.arc(ladder.mm(value))?)));
        let label = |value| ladder.label(value, self.figures);
        taken.extend(asked.map(|(value, at)| (at, (self.sides)(&label(value)), label(value))));
        let (mut beside, mut left_out): (Vec<Beside>, Vec<LeftOut>) = (Vec::new(), Vec::new());
        let farthest = self.farthest.map_or(f64::INFINITY, |farthest| farthest.to_mm());
        for (stop, setting) in self.hyperfocal {
            let mm = setting.to_mm();
            let on_scale = mm > self.closest.to_mm() * 1.000_001 && mm < farthest * 0.999_999;
            let Some(arc) = self.arc(mm).filter(|_| on_scale) else { continue };
            let label = format!("H{}", stop.label());
            let place = Obstacle { arc, sides: (self.sides)(&label) };
            let touching = taken.iter().find(|(at, sides, _)| {
                let labels =
                    if *at < arc { sides.after + place.sides.before } else { place.sides.after + sides.before };
                (at - arc).abs() < tick_gap || (at - arc).abs() - labels < gap
            });
            match touching {
                Some((_, _, other)) => left_out.push(LeftOut { label, unit, touches: Some(other.clone()) }),
                None => {
                    taken.push((arc, place.sides, label.clone()));
                    beside.push(Beside { stop: *stop, setting: *setting, label, place });
                }
            }
        }
        (beside, left_out)
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
}

/// The ladder of a focus band's unit; feet without inches are divided in tenths.
pub fn ladder_of(unit: BandUnit, figures: Figures) -> &'static Ladder {
    match (unit, figures.feet) {
        (BandUnit::Distance(DistanceUnit::Foot), Feet::Decimal) => &DECIMAL_FOOT,
        (BandUnit::Distance(DistanceUnit::Foot), Feet::Primes | Feet::Dash | Feet::Words) => &FOOT,
        // stops are no distances: such a band is never asked of a focus scale
        (BandUnit::Distance(DistanceUnit::Metre) | BandUnit::F | BandUnit::T, _) => &METRE,
    }
}

/// A distance as a sentence says it: the coarsest of centimetres and millimetres, or of whole, half and quarter inches,
/// that is true to a quarter of a percent, which is under any tape's error there.
pub fn closest_label(unit: BandUnit, distance: Length) -> String {
    let figures = Figures::default();
    let ladder = ladder_of(unit, figures);
    let mm = distance.to_mm();
    let steps = if unit == BandUnit::Distance(DistanceUnit::Metre) { [100, 10, 1] } else { [8, 4, 2] };
    let rounded = |step: Count| ((mm / ladder.mm(step)).round() as Count) * step;
    let good = steps.into_iter().map(rounded).find(|value| (ladder.mm(*value) / mm - 1.0).abs() <= 0.0025);
    ladder.label(good.unwrap_or_else(|| rounded(steps[2])), figures)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::optics::TravelLaw;

    fn band(unit: BandUnit, ring: f64, throw: f64, closest: f64) -> Band {
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
            smallest_gap: Length::mm(0.928),
            label_gap: Length::mm(2.0),
            tick_width: Length::mm(0.2),
        };
        let sides = |text: &str| Sides::even(1.4 * text.chars().count() as f64);
        FocusScale {
            law: &law,
            closest: Length::mm(closest),
            farthest: None,
            focal_length: Length::mm(f),
            hyperfocal: &[],
            half_depth: &|_| None,
            closest_unit: BandUnit::Distance(DistanceUnit::Metre),
            figures: Figures::default(),
            wishes: &Wishes::default(),
            spacing,
            sides: &sides,
        }
        .band(unit)
        .unwrap()
    }

    fn labels(band: &Band) -> String {
        band.marks.iter().filter(|m| m.numbered()).map(|m| m.label.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_common_ring_carries_the_customary_distances() {
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Metre), 84.0, 270.0, 450.0)), @"∞ 10 5 4 3 2.5 2 1.5 1.2 1.1 1 0.9 0.8 0.75 0.7 0.65 0.6 0.55 0.5 0.45");
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Foot), 84.0, 270.0, 450.0)), @"∞ 40′ 20′ 10′ 8′ 6′ 5′ 4′ 3′6″ 3′ 2′9″ 2′6″ 2′4″ 2′2″ 2′ 1′10″ 1′9″ 1′8″ 1′7″ 1′6″");
    }

    #[test]
    fn a_small_ring_keeps_infinity_and_the_roundest() {
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Metre), 40.0, 90.0, 900.0)), @"∞ 5 3 2 1.5 1");
        insta::assert_snapshot!(labels(&band(BandUnit::Distance(DistanceUnit::Foot), 40.0, 90.0, 900.0)), @"∞ 10′ 5′ 4′ 3′");
    }

    #[test]
    fn what_is_left_out_names_the_neighbour() {
        let band = band(BandUnit::Distance(DistanceUnit::Metre), 40.0, 90.0, 900.0);
        let told: Vec<String> = band.left_out.iter().map(ToString::to_string).collect();
        insta::assert_snapshot!(told.join("\n"), @r"
        50 m would touch ∞; left out
        30 m would touch ∞; left out
        20 m would touch ∞; left out
        15 m would touch ∞; left out
        10 m would touch ∞; left out
        ");
    }

    #[test]
    fn a_distance_is_told_as_finely_as_it_must() {
        for (mm, metre, foot) in
            [(900.0, "0.9", "2′11½″"), (870.0, "0.87", "2′10¼″"), (914.4, "0.914", "3′"), (1219.2, "1.22", "4′")]
        {
            assert_eq!(closest_label(BandUnit::Distance(DistanceUnit::Metre), Length::mm(mm)), metre);
            assert_eq!(closest_label(BandUnit::Distance(DistanceUnit::Foot), Length::mm(mm)), foot);
        }
    }

    proptest::proptest! {
        #![proptest_config(proptest::prelude::ProptestConfig::with_cases(100))]
        #[test]
        fn marks_are_in_order_and_labels_never_overlap(ring in 30.0..150.0f64, throw in 30.0..350.0f64, closest in 210.0..3000.0f64, foot: bool) {
            let unit = if foot { BandUnit::Distance(DistanceUnit::Foot) } else { BandUnit::Distance(DistanceUnit::Metre) };
            let band = band(unit, ring, throw, closest);
            let marks = &band.marks;
            proptest::prop_assert!(marks.windows(2).all(|w| w[0].arc < w[1].arc));
            proptest::prop_assert_eq!(marks[0].value, MarkValue::Distance(Distance::Infinity));
            // the ring's end has its mark unless a numeral's tick stands in its place
            let end = std::f64::consts::PI * ring * throw / 360.0;
            let last = &marks[marks.len() - 1];
            let away = (last.arc.to_mm() - end).abs();
            proptest::prop_assert!(away < 1e-6 || (last.numbered() && away < 0.928));
            let period = std::f64::consts::PI * ring;
            let mut spans: Vec<(f64, f64)> = Vec::new();
            for mark in marks.iter().filter(|m| m.numbered()) {
                let (middle, half) = (mark.arc.to_mm() + mark.numeral_shift.to_mm(), 0.7 * mark.label.chars().count() as f64);
                spans.push((middle - half, middle + half));
            }
            proptest::prop_assert!(spans.windows(2).all(|w| w[1].0 - w[0].1 >= 1.4 - 1e-9), "{:?}", spans);
            let seam = spans[0].0 + period - spans[spans.len() - 1].1;
            proptest::prop_assert!(seam >= -1e-9, "the ends overlap by {} round the ring", -seam);
        }
    }
}
