//! The uncertainty budget of a mark: all parts of its error, on the ring, in distance, and compared with the depth of field.
//!
//! The strip is placed at its infinity mark (its first one), so errors of its length grow from there. All parts are
//! independent and add as the root of their squares.

use std::f64::consts::PI;

use super::{FocusRing, IrisRing, law_stop, mark_distance, thin_lens};
use crate::model::{Doubtful, Lens, Treatment, Trueness};
use crate::process::Tolerance;
use crate::scale::{Band, Mark};
use crate::units::{Angle, Distance, DistanceUnit, Length, Stop};

/// The uncertainty of a focus mark.
#[derive(Clone, Copy, Debug)]
pub struct Uncertainty {
    /// Standard error on the ring, of all parts together.
    pub sigma: Angle,
    /// Its parts.
    pub parts: Budget,
    /// The same along the strip.
    pub arc: Length,
    /// Half the distance between the ring positions one standard error to either side; infinite at infinity.
    pub distance: Distance,
    /// The widest stop at which two standard errors to either side stay inside the depth of field.
    pub sharp_from: Option<Stop>,
}

/// The parts of the uncertainty: standard errors on the ring, each from one cause.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Budget {
    /// The law: readings and priors.
    pub law: Angle,
    /// The ring's play: half of it on either side of the mark.
    pub play: Angle,
    /// The ring's diameter as measured.
    pub diameter: Angle,
    /// The eccentricity of the shell.
    pub off_centre: Angle,
    /// The thickness of film or vinyl.
    pub thickness: Angle,
    /// The printer, the cutter or the engraver.
    pub process: Angle,
}

impl Budget {
    /// All of them together.
    pub fn sigma(&self) -> Angle {
        Angle::deg(self.named().iter().map(|(_, part)| part.to_deg().powi(2)).sum::<f64>().sqrt())
    }

    /// Each with the word that reports use for it.
    pub fn named(&self) -> [(&'static str, Angle); 6] {
        [
            ("readings", self.law),
            ("play", self.play),
            ("diameter", self.diameter),
            ("off_centre", self.off_centre),
            ("thickness", self.thickness),
            ("process", self.process),
        ]
    }

    /// The parts of the ring and the process for a mark that lies `turn` from where the strip is placed; `around` is the
    /// diameter of the strip's neutral layer.
    ///
    /// ```text
    /// diameter, thickness   turn s/(D + t)
    /// process               turn p
    /// shell off by e        2e/D (sin(turn + a) - sin a) radians, a unknown: its root mean square over a is
    ///                       2e/D sqrt(2) sin(turn/2)
    /// ```
    ///
    /// Source: arc = (D + t)/2 angle, differentiated; a circle about a point off its middle (elementary geometry).
    fn of_the_ring(turn: Angle, around: Length, trueness: &Trueness, tolerance: &Tolerance) -> Budget {
        let (turn, around) = (turn.to_deg().abs(), around.to_mm());
        let share = |error: Length| Angle::deg(turn * error.to_mm() / around);
        let off = 2.0 * trueness.off_centre.to_mm() / around * 2f64.sqrt() * (0.5 * turn.to_radians()).sin().abs();
        Budget {
            diameter: share(trueness.diameter),
            thickness: share(tolerance.thickness),
            process: Angle::deg(turn * tolerance.length),
            off_centre: Angle::deg(off.to_degrees()),
            ..Budget::default()
        }
    }
}

/// The smallest stop of lenses (common practice): where a smaller one would be needed, no stop covers the error.
pub const SMALLEST_STOP: f64 = 64.0;

impl FocusRing<'_> {
    /// The unit in which the ring's distances are told: that of its first band.
    pub fn unit(&self) -> DistanceUnit {
        self.bands.first().and_then(|band| band.unit.distance()).unwrap_or(DistanceUnit::Metre)
    }

    /// Warnings of the law and of the scale, distances in the ring's own unit.
    pub fn warnings(&self) -> impl Iterator<Item = String> {
        let unit = self.unit();
        self.calibration.warnings.iter().map(move |warning| warning.told_in(unit)).chain(self.warnings.iter().cloned())
    }

    /// The uncertainty of the mark at a distance; `None` where the law does not reach.
    pub fn budget(&self, lens: &Lens, distance: Distance) -> Option<Uncertainty> {
        let law = &self.calibration.law;
        let at = law.angle(distance)?;
        let laid_on = self.bands.first().and_then(|band| band.marks.first()).map_or(at, |mark| mark.angle);
        let play = self.calibration.play.filter(|play| play.is_there()).map_or(Angle::ZERO, |play| play.value * 0.5);
        let parts = Budget {
            law: self.calibration.angle_error(distance)?,
            play: play.max(Angle::ZERO),
            ..Budget::of_the_ring(at - laid_on, self.around(), &self.focus.trueness, &self.tolerance)
        };
        let sigma = parts.sigma();
        let reach = |sigmas: f64| law.distance(at + sigma * sigmas);
        let half = match (reach(-1.0), reach(1.0)) {
            (Some(Distance::Finite(far)), Some(Distance::Finite(near))) => Distance::Finite((far - near).abs() * 0.5),
            _ => Distance::Infinity,
        };
        let thin = thin_lens(lens);
        let blur = |sigmas: f64| {
            let subject = reach(sigmas).unwrap_or(distance);
            thin.stop_for_blur(distance, subject, lens.circle_of_confusion)
        };
        let needed = blur(-2.0).zip(blur(2.0)).map(|(far, near)| far.max(near).max(0.5));
        Some(Uncertainty {
            sigma,
            parts,
            arc: Length::mm(sigma.to_deg() * self.mm_per_degree),
            distance: half,
            sharp_from: needed.map(next_third),
        })
    }

    /// Whether two standard errors at a distance stay inside the depth of field at a stop; `None` where that is not known.
    pub fn is_true_at(&self, lens: &Lens, distance: Distance, stop: Stop) -> Option<bool> {
        let needed = self.budget(lens, distance)?.sharp_from?;
        Some(needed.number() <= stop.number() * (1.0 + 1e-9))
    }

    /// Shortens or removes the doubtful marks of a band, and gives a sentence that names them. Infinity and the closest
    /// distance always stay.
    pub(super) fn treat_doubtful(&self, lens: &Lens, doubtful: Doubtful, band: &mut Band) -> Option<String> {
        let stop = doubtful.stop.or(lens.widest_stop)?;
        let is_doubtful = |mark: &Mark| {
            mark_distance(mark.value).and_then(|distance| self.is_true_at(lens, distance, stop)) == Some(false)
        };
        let shorten = |mark: &mut Mark| mark.short = is_doubtful(mark);
        match doubtful.treatment {
            Treatment::Drawn => None,
            Treatment::Short => {
                band.marks.iter_mut().for_each(shorten);
                None
            }
            Treatment::LeftOut => {
                let last = band.marks.len().saturating_sub(1);
                let mut labels = Vec::new();
                let mut plain = 0;
                let mut place = 0;
                band.marks.retain(|mark| {
                    let ends = place == 0 || place == last;
                    place += 1;
                    let stays = ends || !is_doubtful(mark);
                    if !stays && mark.numbered() {
                        labels.push(mark.label.clone());
                    }
                    plain += usize::from(!stays && !mark.numbered());
                    stays
                });
                band.marks.iter_mut().for_each(shorten);
                let plain = (plain > 0).then(|| format!("{plain} plain"));
                let gone: Vec<String> = labels.into_iter().chain(plain).collect();
                let unit = band.unit.sign();
                (!gone.is_empty()).then(|| format!("left out as not true at {stop}: {} ({unit})", gone.join(", ")))
            }
        }
    }

    /// Diameter of the strip's neutral layer at the index edge.
    fn around(&self) -> Length {
        Length::mm(360.0 * self.mm_per_degree / PI)
    }
}

impl IrisRing<'_> {
    /// Standard error of an iris mark on the ring, of everything together.
    pub fn mark_error(&self, mark: &Mark) -> Option<Angle> {
        let law = self.calibration.angle_error(law_stop(self, mark)?)?;
        Some(Budget { law, ..self.parts_of_the_ring(mark.angle) }.sigma())
    }

    /// The same in stops of light.
    pub fn mark_error_stops(&self, mark: &Mark) -> Option<f64> {
        self.error_stops(law_stop(self, mark)?, mark.angle)
    }

    /// Standard error in stops of light where the ring stands `at` the position of a `stop` of the law's own scale.
    pub(super) fn error_stops(&self, stop: Stop, at: Angle) -> Option<f64> {
        let law = self.calibration.stops_error(stop)?;
        let per_stop = self.calibration.law.degrees_per_stop(stop).filter(|degrees| *degrees > 0.0)?;
        let ring = self.parts_of_the_ring(at).sigma().to_deg() / per_stop;
        Some(law.hypot(ring))
    }

    /// Warnings of the law and of the exposures.
    pub fn warnings(&self) -> impl Iterator<Item = String> {
        let light = self.light.iter().flat_map(|light| light.warnings.iter().map(ToString::to_string));
        self.calibration.warnings.iter().map(ToString::to_string).chain(light)
    }

    fn parts_of_the_ring(&self, at: Angle) -> Budget {
        let laid_on = self.band.marks.first().map_or(at, |first| first.angle);
        let around = Length::mm(360.0 * self.mm_per_degree / PI);
        Budget::of_the_ring(at - laid_on, around, &self.iris.trueness, &self.tolerance)
    }
}

/// The next third stop at or above a number.
pub fn next_third(number: f64) -> Stop {
    Stop::from_sixths(((12.0 * number.log2() / 2.0 - 1e-9).ceil() as i32) * 2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;
    use crate::surface::{Edge, Ring, Surface};

    fn parts(turn: f64) -> Budget {
        let trueness = Trueness { diameter: Length::mm(0.05), off_centre: Length::mm(0.1) };
        let tolerance = Tolerance { thickness: Length::mm(0.01), length: 0.001 };
        Budget::of_the_ring(Angle::deg(turn), Length::mm(84.1), &trueness, &tolerance)
    }

    #[test]
    fn nothing_of_the_ring_touches_the_mark_that_the_strip_is_laid_on_by() {
        assert_eq!(parts(0.0).sigma(), Angle::ZERO);
    }

    #[test]
    fn a_wrong_diameter_shifts_the_last_mark_of_a_full_turn_by_pi_times_the_error() {
        // published: 0.1 mm of diameter are 0.314 mm round the whole turn
        let mm = parts(360.0).diameter.to_deg() * PI * 84.1 / 360.0;
        assert_close(mm, PI * 0.05, 1e-9);
    }

    #[test]
    fn a_strip_thicker_than_it_was_laid_out_for_carries_its_marks_short_of_their_places() {
        // independent: drawn for a film of 0.10 mm, made on one of 0.11 mm, whose neutral layer goes round farther out
        let ring = Ring { rear_diameter: Length::mm(84.0), front_diameter: Length::mm(84.0), width: Length::mm(11.0) };
        let laid_out = |thickness: f64| Surface::new(&ring, Length::mm(thickness)).mm_per_degree(Edge::Rear);
        for turn in [40.0, 148.8, 330.0] {
            let drawn = turn * laid_out(0.10);
            let short = turn - drawn / laid_out(0.11);
            // the second order is a hundredth of a millimetre in 84
            assert_close(parts(turn).thickness.to_deg(), short, 2e-4 * short);
        }
    }

    #[test]
    fn a_shell_off_centre_shifts_marks_as_a_drawn_circle_shows() {
        // independent: a mark on a circle of radius R whose middle stands e off the axis, seen from the axis, measured from
        // the mark at zero; its root mean square over all directions of e
        let (radius, e) = (0.5 * 84.1, 0.1);
        let seen = |mark: f64, aside: f64| {
            (e * aside.sin() + radius * mark.sin()).atan2(e * aside.cos() + radius * mark.cos())
        };
        for turn in [30.0f64, 90.0, 180.0, 270.0] {
            let squares: f64 = (0..360)
                .map(|a| {
                    let aside = f64::from(a).to_radians();
                    let apart = seen(turn.to_radians(), aside) - seen(0.0, aside) - turn.to_radians();
                    (apart - (apart / (2.0 * PI)).round() * 2.0 * PI).powi(2)
                })
                .sum();
            assert_close(parts(turn).off_centre.to_deg(), (squares / 360.0).sqrt().to_degrees(), 1e-3);
        }
        // half a turn away both marks may be off by 2e/D against each other, so 4e/D at the worst
        assert_close(parts(180.0).off_centre.to_deg(), (4.0 * 0.1 / 84.1 / 2f64.sqrt()).to_degrees(), 1e-12);
    }

    #[test]
    fn parts_join_as_the_root_of_their_squares() {
        let parts = Budget { law: Angle::deg(0.3), play: Angle::deg(0.4), ..Budget::default() };
        assert_close(parts.sigma().to_deg(), 0.5, 1e-12);
    }

    #[test]
    fn a_stop_is_rounded_to_the_next_third_that_is_not_wider() {
        // published thirds: 2.8 3.2 3.5 4
        assert_eq!([2.82, 2.9, 3.3, 3.9].map(|number| next_third(number).label()), ["2.8", "3.2", "3.5", "4"]);
    }
}
