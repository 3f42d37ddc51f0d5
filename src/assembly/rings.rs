//! A ring of a lens becomes a law, bands of marks and warnings; a disc becomes a scale.
//!
//! Takes a lens and the lettering; depth and hyperfocal marks are in `depth_marks`.

use super::{DiscScale, FocusRing, IrisRing, depth_marks, look, thin_lens, wishes};
use crate::artwork::{self, DiscFace};
use crate::calibration::{
    CalibrationError, FocusCalibration, IrisCalibration, IrisError, LightCalibration, LightEvidence, Reading,
};
use crate::lettering::{Lettering, Reach};
use crate::model::{Disc, DistanceUnit, Focus, Iris, Lens, Refusal, Refusals, RingKind, ScaleChoices, Set, Subject};
use crate::optics::{DIM_LIGHT_ACUITY, FocusLaw, stroke_blur};
use crate::scale::{Band, BandUnit, Figures, FocusScale, IrisScale, Sides, Spacing, UnitSign, WishFault, ladder_of};
use crate::surface::{Edge, Ring, Sense, Surface};
use crate::units::{Angle, Distance, Length, Stop};

/// What the rings of a lens are computed from.
pub(super) struct RingBuilder<'a> {
    pub(super) set: &'a Set,
    pub(super) lens: &'a Lens,
    pub(super) lettering: &'a Lettering,
}

impl<'a> RingBuilder<'a> {
    pub(super) fn width(&self, text: &str) -> Length {
        // the lettering was checked to have every character
        self.lettering.width(text).unwrap_or(Length::ZERO)
    }

    /// How far a label reaches from its tick on a scale that turns and is read so, where `wider` makes up for a cone.
    pub(super) fn sides(&self, text: &str, (sense, read_from): (Sense, Edge), wider: f64) -> Sides {
        let none = Reach { left: Length::ZERO, right: Length::ZERO };
        let sides = artwork::sides(self.lettering.reach(text).unwrap_or(none), sense, read_from);
        Sides { before: sides.before * wider, after: sides.after * wider }
    }

    /// A refusal of this lens.
    fn refused(&self, message: String) -> Refusal {
        Refusal::new(Subject::Lens(self.lens.name.clone()), message, "this lens")
    }

    /// Why no law was found, said of the readings where two of them are at fault.
    fn not_calibrated(&self, focus: &Focus, error: &CalibrationError) -> Refusal {
        let CalibrationError::Exchanged { one, other } = *error else { return self.refused(error.to_string()) };
        let subject = |i: usize| Subject::Reading(self.lens.name.clone(), RingKind::Focus, i);
        let unit = self.lens.units.first().copied().unwrap_or(DistanceUnit::Metre);
        let (first, second) = (&focus.readings[one], &focus.readings[other]);
        let label = |reading: &Reading, at: Angle| format!("{} at {:.1} deg?", unit.say(reading.distance), at.to_deg());
        Refusal { alike: true, ..Refusal::new(subject(one), error.to_string(), label(first, second.at)) }
            .other(subject(other), label(second, first.at))
            .way_out("exchange them if they were written down in each other's place, or take them again")
    }

    /// How near ticks may stand: what the style says, and never so near that an eye at a strip's usual distance in dim light
    /// runs them together, or that the process cannot make both.
    pub(super) fn tick_gap(&self) -> Length {
        let tick = look(self.set).tick();
        let told_apart = tick + stroke_blur(Length::mm(FROM_THE_EYE_MM), DIM_LIGHT_ACUITY) * 2.0;
        self.set.style.smallest_gap.max(told_apart).max(self.set.process.settings().tick_gap(tick))
    }

    /// On a cone labels stand closer at the narrower edge: gaps and widths grow by as much.
    fn spacing(&self, surface: &Surface, index: Edge, repeat: bool) -> (Spacing, f64) {
        let wider = 1.0 / surface.narrowing(index);
        let mm_per_degree = surface.mm_per_degree(index);
        let style = &self.set.style;
        let spacing = Spacing {
            mm_per_degree,
            period: Length::mm(mm_per_degree * if repeat { 180.0 } else { 360.0 }),
            smallest_gap: self.tick_gap() * wider,
            label_gap: style.label_gap * wider,
            tick_width: look(self.set).tick(),
        };
        (spacing, wider)
    }

    fn surface(&self, ring: &Ring) -> Surface {
        Surface::new(ring, self.set.process.settings().thickness())
    }

    /// The band on the ring, and the closest distance that it reaches.
    pub(super) fn band(
        &self,
        focus: &Focus,
        calibration: &FocusCalibration,
        surface: &Surface,
        unit: BandUnit,
    ) -> Result<(Band, Length), Refusals> {
        let (spacing, wider) = self.spacing(surface, focus.index, focus.repeat);
        let thin = thin_lens(self.lens);
        let setting = |stop: &Stop| (*stop, thin.hyperfocal_setting(*stop, self.lens.circle_of_confusion));
        let own = focus.scale.of(distance_unit(unit));
        // in the band of the first unit only
        let first = self.lens.units.first().map(|first| BandUnit::from(*first)) == Some(unit);
        let hyperfocal: Vec<(Stop, Length)> = focus.hyperfocal.iter().filter(|_| first).map(setting).collect();
        let read = (focus.toward_close, focus.read_from);
        self.spaced_band(focus, own, calibration, &hyperfocal, (spacing, wider, read), unit)
    }

    /// The focus scale on a disc, in one row or several.
    pub(super) fn disc(&self, disc: &'a Disc, ring: &FocusRing<'a>) -> Result<DiscScale<'a>, Refusals> {
        let turn = disc.ratio.wheel_turn(artwork::covered(&ring.bands));
        // under a pointer that turns, marks lie as on a disc that turns the other way
        let sense = if disc.pointer_turns { disc.toward_close.opposite() } else { disc.toward_close };
        let style = &self.set.style;
        let face = DiscFace { diameter: disc.diameter, hole: disc.hole, sense, turns: turn / Angle::deg(360.0) };
        let depth = face.depth(&look(self.set), style.numeral_height, disc.units.len().min(style.bands));
        // labels stand closer at the innermost row than at the rim; rows that reach the hole are refused by the layout
        let inner = (disc.diameter - depth * 2.0).max(disc.diameter * 0.05);
        let wider = disc.diameter / inner;
        let round = std::f64::consts::PI * disc.diameter.to_mm();
        let spacing = Spacing {
            mm_per_degree: round / 360.0 * disc.ratio.turns(),
            // a scale that winds inward never meets itself
            period: Length::mm(if face.winds() { 10.0 * (1.0 + face.turns) * round } else { round }),
            smallest_gap: self.tick_gap() * wider,
            label_gap: style.label_gap * wider,
            tick_width: style.tick_width,
        };
        let band = |unit: &DistanceUnit| {
            // a disc has another room than the ring: what was chosen for the ring's scale is not its own
            let own = ScaleChoices::default();
            let read = (sense, Edge::Rear);
            self.spaced_band(ring.focus, &own, &ring.calibration, &[], (spacing, wider, read), BandUnit::from(*unit))
                .map(|(band, _)| band)
        };
        let mut bands: Vec<Band> = disc.units.iter().take(style.bands).map(band).collect::<Result<_, _>>()?;
        for band in &mut bands {
            ring.treat_doubtful(self.lens, style.doubtful, band);
        }
        Ok(DiscScale { disc, bands, face })
    }

    fn spaced_band(
        &self,
        focus: &Focus,
        own: &ScaleChoices<Length>,
        calibration: &FocusCalibration,
        hyperfocal: &[(Stop, Length)],
        (spacing, wider, read): (Spacing, f64, (Sense, Edge)),
        unit: BandUnit,
    ) -> Result<(Band, Length), Refusals> {
        let finite = || focus.readings.iter().filter_map(|r| r.distance.to_mm());
        let law = &calibration.law;
        let reaches = |d: Distance| law.angle(d).is_some();
        let nearest = finite().fold(f64::INFINITY, f64::min);
        let closest = if reaches(Distance::Finite(focus.closest)) || !nearest.is_finite() {
            focus.closest
        } else {
            Length::mm(nearest)
        };
        let farthest = (!reaches(Distance::Infinity)).then(|| Length::mm(finite().fold(closest.to_mm(), f64::max)));
        let sides = |text: &str| self.sides(text, read, wider);
        let focal_length = self.lens.focal_length;
        let figures = self.set.style.figures;
        let ladder = ladder_of(unit, figures);
        let distance_unit = distance_unit(unit);
        let chosen = own.over(&self.set.style.scale.of(distance_unit).within(closest, farthest));
        let wishes = wishes::of_band(&chosen, ladder, figures)
            .map_err(|refused| wishes::off_ladder(self.lens, distance_unit, own, refused))?;
        let scale = FocusScale {
            law,
            closest,
            farthest,
            focal_length,
            hyperfocal,
            half_depth: &|distance| self.half_depth(law, distance),
            closest_unit: self
                .lens
                .units
                .first()
                .map_or(BandUnit::Distance(DistanceUnit::Metre), |first| BandUnit::from(*first)),
            figures,
            wishes: &wishes,
            spacing,
            sides: &sides,
        };
        let label = |count| ladder.label(count, Figures { sign: UnitSign::Each, ..figures });
        let refused =
            |fault: WishFault| Refusals::from(wishes::unmet(self.lens, distance_unit, own, &wishes, &fault, &label));
        Ok((scale.band(unit).map_err(refused)?, closest))
    }

    /// The nearer half of the depth of field, as a turn of the ring: at the stop that marks are trusted at, or the widest.
    fn half_depth(&self, law: &FocusLaw, distance: Length) -> Option<Angle> {
        let stop = self.set.style.doubtful.stop.or(self.lens.widest_stop)?;
        let distance = Distance::Finite(distance);
        let limits = thin_lens(self.lens).depth_of_field(distance, stop, self.lens.circle_of_confusion)?;
        Some(law.angle(limits.near)? - law.angle(distance)?)
    }

    pub(super) fn focus(&self, focus: &'a Focus) -> Result<FocusRing<'a>, Refusals> {
        let calibration = FocusCalibration::new(&focus.known, focus.law, &focus.readings, &focus.reading_error)
            .map_err(|error| self.not_calibrated(focus, &error))?;
        let surface = self.surface(&focus.ring);
        let own = self.lens.units.first().copied().unwrap_or(DistanceUnit::Metre);
        let said = |length: Length| own.say(Distance::Finite(length));
        let mut warnings = Vec::new();
        let mut bands = Vec::new();
        for unit in self.lens.units.iter().take(self.set.style.bands) {
            let (band, closest) = self.band(focus, &calibration, &surface, BandUnit::from(*unit))?;
            if closest != focus.closest && bands.is_empty() {
                warnings.push(format!(
                    "the law does not reach the closest distance {}; the scale ends at the nearest reading, {}",
                    said(focus.closest),
                    said(closest)
                ));
            }
            bands.push(band);
        }
        let turn = artwork::covered(&bands).to_deg();
        if turn >= 360.0 {
            let message = format!(
                "the law needs {turn:.0}° from infinity to {}, more than one turn: such a scale fits no single row",
                said(focus.closest)
            );
            let refusal =
                self.refused(message).way_out("check the lead, the closest distance and the nearest readings").way_out(
                    "a ring that does turn more than once can be marked for one turn only: give a closest distance \
                     farther away",
                );
            return Err(refusal.into());
        }
        if let Some(throw) = focus.known.throw
            && (turn - throw.to_deg()).abs() > 3f64.max(0.03 * throw.to_deg())
            && calibration.law.angle(Distance::Infinity).is_some()
        {
            warnings.push(format!(
                "by the law the ring turns {turn:.0}° from infinity to {}, the throw is {:.0}°: check both before cutting",
                said(focus.closest),
                throw.to_deg()
            ));
        }
        let mm_per_degree = surface.mm_per_degree(focus.index);
        let longest = bands.iter().flat_map(|band| &band.marks).map(|mark| self.width(&mark.label).to_mm());
        let wider = 1.0 / surface.narrowing(focus.index);
        let labels = longest.fold(0.0, f64::max) + self.set.style.label_gap.to_mm();
        let needed = turn * mm_per_degree + labels * wider;
        let repeat = focus.repeat && needed <= 180.0 * mm_per_degree;
        if focus.repeat && !repeat {
            warnings
                .push(format!("repeat = 2 has no room: the scale covers {turn:.0}° and its labels; it is drawn once"));
        }
        let tolerance = self.set.process.settings().tolerance();
        let (depth, left_out) = (Vec::new(), Vec::new());
        let mut ring = FocusRing {
            focus,
            calibration,
            bands,
            mm_per_degree,
            warnings,
            depth,
            left_out,
            surface,
            tolerance,
            repeat,
        };
        // uncertainty is counted from the mark at which the strip is placed, which stays
        let mut bands = ring.bands.clone();
        let mut sentences = Vec::new();
        for band in &mut bands {
            sentences.extend(ring.treat_doubtful(self.lens, self.set.style.doubtful, band));
        }
        ring.warnings.extend(sentences);
        ring.left_out = self.without_hyperfocal(focus, &mut bands);
        ring.bands = bands;
        let (depth, without) = self.depth(&ring);
        ring.left_out.extend(without);
        ring.warnings.extend(depth_marks::cautious(&depth, own));
        Ok(FocusRing { depth, ..ring })
    }

    pub(super) fn iris(&self, iris: &'a Iris) -> Result<IrisRing<'a>, Refusals> {
        let refused = |error: IrisError| self.refused(error.to_string());
        let light = iris.exposures.as_ref().map(|exposures| {
            LightCalibration::new(LightEvidence {
                choice: iris.law,
                widest: self.lens.widest_stop,
                readings: &iris.readings,
                at_error: iris.reading_error,
                exposures,
                t_scale: iris.t_scale,
                transmittance: iris.transmittance,
            })
        });
        let light = light.transpose().map_err(refused)?;
        let surface = self.surface(&iris.ring);
        let (spacing, wider) = self.spacing(&surface, iris.index, false);
        let t_law = light.as_ref().and_then(|light| light.t_law.as_ref());
        let (calibration, widest, smallest, transmittance) = match t_law {
            // the law is over T-stops already
            Some(t_law) => {
                let smallest =
                    if iris.readings.is_empty() { iris.smallest_stop } else { t_law.t_stop(iris.smallest_stop) };
                (t_law.calibration.clone(), t_law.widest, smallest, Some(1.0))
            }
            None => {
                let calibration =
                    IrisCalibration::new(iris.law, self.lens.widest_stop, &iris.readings, iris.reading_error)
                        .map_err(refused)?;
                let by_number = |a: &Stop, b: &Stop| a.number().total_cmp(&b.number());
                let widest_reading = iris.readings.iter().map(|r| r.stop).min_by(by_number);
                let reached = |stop: &Stop| calibration.law.angle(*stop).is_some();
                let widest = self.lens.widest_stop.filter(reached).or(widest_reading).unwrap_or(iris.smallest_stop);
                let transmittance = iris.t_scale.then(|| iris.transmittance.unwrap_or(1.0));
                (calibration, widest, iris.smallest_stop, transmittance)
            }
        };
        let sides = |text: &str| self.sides(text, (iris.toward_closed, iris.read_from), wider);
        let scale = IrisScale {
            law: &calibration.law,
            widest,
            smallest,
            division: iris.division,
            transmittance,
            spacing,
            numeral_height: self.set.style.numeral_height,
            smallest_numeral: self.set.style.smallest_numeral,
            wishes: &wishes::of_iris(&iris.scale),
            sides: &sides,
        };
        let band = scale.band().map_err(|fault| wishes::unmet_iris(self.lens, &iris.scale, &fault))?;
        let turn = artwork::covered(std::slice::from_ref(&band)).to_deg();
        if turn >= 360.0 {
            let message = format!("the iris law needs {turn:.0}°, more than one turn");
            return Err(self.refused(message).way_out("check the iris readings").into());
        }
        let mm_per_degree = surface.mm_per_degree(iris.index);
        let tolerance = self.set.process.settings().tolerance();
        Ok(IrisRing { iris, calibration, light, band, mm_per_degree, surface, tolerance })
    }
}

/// The unit of a focus band.
fn distance_unit(unit: BandUnit) -> DistanceUnit {
    unit.distance().unwrap_or(DistanceUnit::Metre)
}

/// From where a scale is read beside a camera, mm: common practice, no source.
const FROM_THE_EYE_MM: f64 = 500.0;

#[cfg(test)]
mod tests {
    use std::path::Path;

    use crate::assembly::{self, Assembly};
    use crate::check::assert_close;
    use crate::model::Set;

    /// Turn from infinity to 0.6 m of a 50 mm lens moved as a whole by `lead` mm a turn.
    ///
    /// By hand: u + v = 600 mm and x x' = f^2 (OpenStax University Physics vol. 3, section 2.4), so the travel x is the
    /// smaller root of x + f^2/x = 600 - 2 f.
    fn turn(lead: f64) -> f64 {
        let sum = 600.0 - 2.0 * 50.0;
        360.0 / lead * 0.5 * (sum - (sum * sum - 4.0 * 50.0 * 50.0f64).sqrt())
    }

    fn warnings(lead: f64, throw: f64) -> Vec<String> {
        let text = format!(
            "[set]\nname = \"quarry\"\nunits = [\"m\"]\n[[lens]]\nname = \"Granite 50\"\nfocal_length = \"50 mm\"\n\
             [lens.focus]\nring = {{ diameter = \"84 mm\", width = \"11 mm\" }}\ntoward_close = \"clockwise\"\n\
             closest = \"0.6 m\"\nprincipal_gap = \"0 mm\"\nlead = \"{lead} mm\"\nthrow = \"{throw} deg\"\n"
        );
        let set = Set::parse("quarry.toml", &text, Path::new("")).unwrap_or_else(|faults| panic!("{faults}"));
        let lettering = assembly::lettering(&set).unwrap();
        let assembly = Assembly::new(&set, &set.lenses[0], &lettering).unwrap();
        assembly.focus.unwrap().warnings
    }

    #[test]
    fn a_throw_four_degrees_beside_what_the_lens_needs_is_told() {
        // three degrees or three parts in a hundred pass (our choice: on a ring of 84 mm, 2.2 mm)
        assert_close(turn(18.0), 101.02, 0.01);
        for (throw, told) in [(97.0, true), (98.3, false), (103.7, false), (105.0, true)] {
            assert_eq!(warnings(18.0, throw).len(), usize::from(told), "throw {throw}");
        }
        insta::assert_snapshot!(warnings(18.0, 97.0)[0], @"by the law the ring turns 101° from infinity to 0.6 m, the throw is 97°: check both before cutting");
        // of a long throw a share: it is read off a strip of paper as long
        assert_close(turn(6.0), 303.06, 0.01);
        for (throw, told) in [(292.0, true), (296.0, false), (311.0, false), (314.0, true)] {
            assert_eq!(warnings(6.0, throw).len(), usize::from(told), "throw {throw}");
        }
    }
}
