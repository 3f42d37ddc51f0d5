//! What a style leaves open follows from the rings and from what the process can make: the face, the numerals' height and
//! how many bands stand on a ring.

use super::{Lens, StyleChoices, Typeface};
use crate::artwork::{filling_numeral_height, filling_width};
use crate::lettering::Fineness;
use crate::process::{Process, Settings};
use crate::units::{DistanceUnit, Length};

/// Nobody reads smaller numerals from the side of a camera; common practice, no source.
const SMALLEST_MM: f64 = 1.4;
/// Numerals above this gain nothing at arm's length and cost marks; common practice, no source.
const LARGEST_MM: f64 = 2.8;
/// Heights go in steps of a caliper's vernier: so many to a millimetre.
const STEPS: f64 = 20.0;
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
    /// Whether the sign of a unit is, and is not needed.
    pub signs_too_fine: bool,
    /// So many bands stand on a ring at most.
    pub bands: usize,
    /// What could not be had, a sentence.
    pub note: Option<String>,
}

/// Finds what the process can make of the rings: both bands before one, with the unit's sign before without, the plain face
/// before stouter ones.
pub(super) fn fitting(choices: &StyleChoices, lenses: &[Lens], process: &Process) -> Fitting {
    let settings = process.settings();
    let faces = match &choices.typeface {
        Some(typeface) => vec![typeface.clone()],
        None if !settings.holds_islands() => vec![Typeface::Stencil],
        None => Typeface::SHIPPED.to_vec(),
    };
    let both = lenses.iter().map(|lens| lens.units.len()).max().unwrap_or(1).min(MOST_BANDS);
    if let Some(height) = choices.numeral_height {
        let made = |signs: bool| faces.iter().find(|face| lowest(face, settings, signs) <= height);
        let typeface = made(true).or(made(false)).unwrap_or(&faces[0]).clone();
        return Fitting::new(typeface, height, both, settings);
    }
    let signs: &[bool] = if choices.unit_sign.is_none() { &[true, false] } else { &[true] };
    let ways = (1..=both).rev().flat_map(|bands| signs.iter().map(move |signs| (bands, *signs)));
    for (bands, signs) in ways {
        let room = room(lenses, bands, choices.numbered_tick);
        // two scales without a sign are not told apart
        let possible = signs || bands == 1;
        if let Some(face) = faces.iter().find(|face| possible && lowest(face, settings, signs) <= room) {
            let height = room.min(lowest(face, settings, signs).max(Length::mm(LARGEST_MM)));
            let note = (bands < both).then(|| one_unit(lenses, face, process));
            return Fitting { note, ..Fitting::new(face.clone(), height, bands, settings) };
        }
    }
    // nothing can be made on so narrow a ring: the least that is lost, and the check tells where
    let stoutest = |a: &&Typeface, b: &&Typeface| {
        lowest(a, settings, false).to_mm().total_cmp(&lowest(b, settings, false).to_mm())
    };
    let typeface = faces.iter().min_by(stoutest).unwrap_or(&faces[0]).clone();
    let (fits, needs) = (room(lenses, 1, choices.numbered_tick), lowest(&typeface, settings, false));
    let height = fits.max(Length::mm(SMALLEST_MM));
    // a scale that has no room at all is refused, which says enough
    let note = (fits == height).then(|| too_narrow(fits, needs, process));
    Fitting { note, ..Fitting::new(typeface, height, 1, settings) }
}

impl Fitting {
    fn new(typeface: Typeface, numeral_height: Length, bands: usize, settings: &dyn Settings) -> Fitting {
        let fine = typeface.fineness().filter(|_| settings.numeral_line().is_none());
        let too_fine = |of: Option<Fineness>| of.is_some_and(|fine| settings.limits().lowest(&fine) > numeral_height);
        let fractions_too_fine = too_fine(fine.map(|face| face.fractions));
        let signs_too_fine = bands == 1 && too_fine(fine.map(|face| face.signs));
        let stops = fine.map_or(Length::ZERO, |face| settings.limits().lowest(&face.stops));
        let stops = settings.numeral_line().map_or(stops, |tool| tool * LINE_STOPS);
        let smallest = readable(stops).min(numeral_height);
        Fitting { smallest, typeface, numeral_height, fractions_too_fine, signs_too_fine, bands, note: None }
    }
}

/// The height at which so many bands fill the narrowest face.
fn room(lenses: &[Lens], bands: usize, stated_tick: Option<Length>) -> Length {
    let focus = lenses.iter().filter_map(|lens| Some((lens.focus.as_ref()?.ring.width, lens.units.len().min(bands))));
    let iris = lenses.iter().filter_map(|lens| Some((lens.iris.as_ref()?.ring.width, 1)));
    let heights = focus.chain(iris).map(|(width, bands)| filling_numeral_height(width, bands, stated_tick).to_mm());
    let lowest = heights.fold(1e3, f64::min);
    // a little below what fills the face
    Length::mm((lowest * STEPS).floor() / STEPS)
}

/// The lowest numerals of a face that can be made and read, with the signs of units or without.
fn lowest(face: &Typeface, settings: &dyn Settings, signs: bool) -> Length {
    let needed = match (settings.numeral_line(), face.fineness()) {
        (Some(tool), _) => tool * LINE_HEIGHT,
        (None, Some(fine)) => {
            let limits = settings.limits();
            let numbers = limits.lowest(&fine.numbers);
            if signs { numbers.max(limits.lowest(&fine.signs)) } else { numbers }
        }
        (None, None) => Length::ZERO,
    };
    readable(needed)
}

/// A height that can be made, up to the next step, as far as it can be read.
fn readable(needed: Length) -> Length {
    Length::mm(f64::max(SMALLEST_MM, (needed.to_mm() * STEPS - 1e-6).ceil() / STEPS))
}

/// Numerals of single lines need so many widths of their tool: measured on all their glyphs, a test holds it.
const LINE_HEIGHT: f64 = 8.0;
/// The same of the digits of full stops.
const LINE_STOPS: f64 = 7.0;

/// That two bands do not fit, and what would.
fn one_unit(lenses: &[Lens], face: &Typeface, process: &Process) -> String {
    let several = || lenses.iter().filter(|lens| lens.units.len() > 1);
    let widths = several().filter_map(|lens| Some(lens.focus.as_ref()?.ring.width.to_mm()));
    let narrowest = widths.fold(f64::INFINITY, f64::min);
    let first = several().find_map(|lens| lens.units.first()).copied().unwrap_or(DistanceUnit::Metre);
    let wide = rounded_up(filling_width(lowest(face, process.settings(), true), MOST_BANDS));
    format!(
        "two units do not fit a face {narrowest} mm wide in {}: {} alone are drawn; give one unit, or a face {wide} mm wide",
        process.kind().word(),
        first.plural(),
    )
}

/// That no numerals which can be made fit the narrowest face.
fn too_narrow(fits: Length, needs: Length, process: &Process) -> String {
    let wide = rounded_up(filling_width(needs, 1));
    format!(
        "the narrowest face has room for numerals {:.2} mm high, {} needs {:.2} mm: a face {wide} mm wide has room for them",
        fits.to_mm(),
        process.kind().word(),
        needs.to_mm(),
    )
}

/// Up to the next tenth, mm.
fn rounded_up(length: Length) -> f64 {
    (length.to_mm() * 10.0 - 1e-6).ceil() / 10.0
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
        insta::assert_snapshot!(fitting.note.unwrap_or_default(), @"two units do not fit a face 14 mm wide in vinyl: metres alone are drawn; give one unit, or a face 22.4 mm wide");
    }
}
