//! What a style leaves open follows from the rings and from what the process can make: the face, the numerals' height and
//! how many bands stand on a ring.

use super::{Lens, StyleChoices, Typeface};
use crate::artwork::{filling_numeral_height, filling_width};
use crate::lettering::Fineness;
use crate::process::{Limits, Process, Settings};
use crate::units::{DistanceUnit, Length};

/// Nobody reads smaller numerals from the side of a camera; common practice, no source.
const SMALLEST_MM: f64 = 1.4;
/// Numerals above this gain nothing at arm's length and cost marks; common practice, no source.
const LARGEST_MM: f64 = 2.8;
/// Heights go in steps of a caliper's vernier, mm.
const STEP_MM: f64 = 0.05;
/// Bands on a ring at most.
const MOST_BANDS: usize = 2;

/// What was found.
pub(super) struct Fitting {
    /// The face of the numerals.
    pub typeface: Typeface,
    /// Height of the digits.
    pub numeral_height: Length,
    /// The lowest numerals that can be made and read.
    pub smallest: Length,
    /// Whether fractions of an inch are too fine at that height.
    pub fractions_too_fine: bool,
    /// So many bands stand on a ring at most.
    pub bands: usize,
    /// What could not be had, a sentence.
    pub note: Option<String>,
}

/// Finds what the process can make of the rings: both bands before one, the plain face before stouter ones.
pub(super) fn fitting(choices: &StyleChoices, lenses: &[Lens], process: &Process) -> Fitting {
    let settings = process.settings();
    let faces = match &choices.typeface {
        Some(typeface) => vec![typeface.clone()],
        None if !settings.holds_islands() => vec![Typeface::Stencil],
        None => Typeface::SHIPPED.to_vec(),
    };
    let both = lenses.iter().map(|lens| lens.units.len()).max().unwrap_or(1).min(MOST_BANDS);
    if let Some(height) = choices.numeral_height {
        let typeface = faces.iter().find(|face| lowest(face, settings) <= height).unwrap_or(&faces[0]).clone();
        return Fitting::new(typeface, height, both, settings);
    }
    for bands in (1..=both).rev() {
        let room = room(lenses, bands, choices.numbered_tick);
        if let Some(face) = faces.iter().find(|face| lowest(face, settings) <= room) {
            let height = room.min(lowest(face, settings).max(Length::mm(LARGEST_MM)));
            let note = (bands < both).then(|| without_a_band(lenses, face, settings, process));
            return Fitting { note, ..Fitting::new(face.clone(), height, bands, settings) };
        }
    }
    // nothing can be made on so narrow a ring: the least that is lost, and the check tells what
    let stoutest = faces.iter().min_by(|a, b| lowest(a, settings).to_mm().total_cmp(&lowest(b, settings).to_mm()));
    let typeface = stoutest.unwrap_or(&faces[0]).clone();
    let height = room(lenses, 1, choices.numbered_tick).max(Length::mm(SMALLEST_MM));
    Fitting::new(typeface, height, 1, settings)
}

impl Fitting {
    fn new(typeface: Typeface, numeral_height: Length, bands: usize, settings: &dyn Settings) -> Fitting {
        let fractions = settings.line().is_none()
            && typeface.fineness().is_some_and(|(_, fine)| needs(&fine, &settings.limits()) > numeral_height);
        let smallest = lowest(&typeface, settings).min(numeral_height);
        Fitting { smallest, typeface, numeral_height, fractions_too_fine: fractions, bands, note: None }
    }
}

/// The height at which so many bands fill the narrowest face.
fn room(lenses: &[Lens], bands: usize, stated_tick: Option<Length>) -> Length {
    let focus = lenses.iter().filter_map(|lens| Some((lens.focus.as_ref()?.ring.width, lens.units.len().min(bands))));
    let iris = lenses.iter().filter_map(|lens| Some((lens.iris.as_ref()?.ring.width, 1)));
    let heights = focus.chain(iris).map(|(width, bands)| filling_numeral_height(width, bands, stated_tick).to_mm());
    let lowest = heights.fold(1e3, f64::min);
    // a little below what fills the face
    Length::mm((lowest / STEP_MM).floor() * STEP_MM)
}

/// The lowest numerals of a face that can be made and read.
fn lowest(face: &Typeface, settings: &dyn Settings) -> Length {
    let needed = match settings.numeral_line() {
        Some(tool) => tool * LINE_HEIGHT,
        None => face.fineness().map_or(Length::ZERO, |(fine, _)| needs(&fine, &settings.limits())),
    };
    let steps = (needed.to_mm() / STEP_MM - 1e-6).ceil();
    Length::mm(f64::max(SMALLEST_MM, (steps * STEP_MM * 100.0).round() / 100.0))
}

/// The height from which on nothing of a face is finer than the limits.
fn needs(fine: &Fineness, limits: &Limits) -> Length {
    let pairs =
        [(limits.stroke, fine.stroke), (limits.gap, fine.gap), (limits.dot, fine.dot), (limits.counter, fine.counter)];
    Length::mm(pairs.iter().map(|(limit, share)| limit.to_mm() / share).fold(0.0, f64::max))
}

/// Numerals of single lines need so many widths of their tool: measured on all their glyphs, a test holds it.
const LINE_HEIGHT: f64 = 7.0;

/// That two bands do not fit, and what would.
fn without_a_band(lenses: &[Lens], face: &Typeface, settings: &dyn Settings, process: &Process) -> String {
    let faces =
        lenses.iter().filter(|lens| lens.units.len() > 1).filter_map(|lens| Some(lens.focus.as_ref()?.ring.width));
    let narrowest = faces.map(|width| width.to_mm()).fold(f64::INFINITY, f64::min);
    let first = lenses.iter().find(|lens| lens.units.len() > 1).and_then(|lens| lens.units.first().copied());
    let alone = match first.unwrap_or(DistanceUnit::Metre) {
        DistanceUnit::Metre => "metres",
        DistanceUnit::Foot => "feet",
    };
    let wide = filling_width(lowest(face, settings), MOST_BANDS).to_mm();
    format!(
        "two units do not fit a face {narrowest} mm wide in {}: {alone} alone are drawn; give one unit, or a face {:.1} mm wide",
        process.kind().word(),
        (wide * 10.0).ceil() / 10.0
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Focus;
    use crate::process::{Engrave, Film, Vinyl};
    use crate::surface::{Ring, Sense};

    fn lens(width: f64) -> Lens {
        let focal = Length::mm(50.0);
        let mut lens = Lens::new("Granite 50", focal);
        let ring = Ring::cylinder(Length::mm(84.0), Length::mm(width));
        lens.focus = Some(Focus::new(focal, ring, Sense::Clockwise, Length::mm(600.0)));
        lens
    }

    fn of(width: f64, process: Process) -> (Typeface, f64, usize) {
        let fitting = fitting(&StyleChoices::default(), &[lens(width)], &process);
        assert_eq!(fitting.note.is_some(), fitting.bands == 1, "{width}");
        (fitting.typeface, fitting.numeral_height.to_mm(), fitting.bands)
    }

    #[test]
    fn what_a_knife_can_cut_goes_before_the_second_unit() {
        assert_eq!(of(14.0, Process::Film(Film::default())), (Typeface::Plain, 2.65, 2));
        assert_eq!(of(14.0, Process::Engrave(Engrave::default())).2, 2);
        let (face, height, bands) = of(14.0, Process::Vinyl(Vinyl::default()));
        assert!(face != Typeface::Plain && height > 2.8 && bands == 1, "{face:?} {height}");
        assert_eq!(of(40.0, Process::Vinyl(Vinyl::default())).2, 2);
    }

    #[test]
    fn a_stated_height_stays_and_so_do_both_units() {
        let choices = StyleChoices { numeral_height: Some(Length::mm(2.0)), ..StyleChoices::default() };
        let fitting = fitting(&choices, &[lens(14.0)], &Process::Vinyl(Vinyl::default()));
        assert_eq!((fitting.numeral_height, fitting.bands), (Length::mm(2.0), 2));
    }

    #[test]
    fn what_could_not_be_had_is_told_with_a_way_out() {
        let fitting = fitting(&StyleChoices::default(), &[lens(14.0)], &Process::Vinyl(Vinyl::default()));
        insta::assert_snapshot!(fitting.note.unwrap_or_default(), @"");
    }
}
