//! How the strips of a set look: what was chosen, and what follows from the rings and the process where nothing was.

use std::path::PathBuf;

use super::fitting::{Fitting, fitting};
use super::{Change, FocusScaleChoices, Lens};
use crate::artwork::{Extent, NUMBERED_TICK, medium_tick};
use crate::lettering::FaceFineness;
use crate::process::Process;
use crate::scale::{Feet, Figures, Inches, UnitSign};
use crate::units::{Length, Stop};

/// Which face the numerals are set in.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Typeface {
    /// The condensed technical sans that ships with the program.
    Plain,
    /// The same sans, bold: its strokes are half as wide again.
    Bold,
    /// The stencil face that ships with the program.
    Stencil,
    /// A font file of the user's.
    File(PathBuf),
}

impl Typeface {
    /// What ships with the program, in the order in which it is preferred.
    pub(super) const SHIPPED: [Typeface; 3] = [Typeface::Plain, Typeface::Bold, Typeface::Stencil];

    /// How fine its characters are; `None` of a file, which nobody has measured.
    pub(super) fn fineness(&self) -> Option<FaceFineness> {
        match self {
            Typeface::Plain => Some(FaceFineness::PLAIN),
            Typeface::Bold => Some(FaceFineness::BOLD),
            Typeface::Stencil => Some(FaceFineness::STENCIL),
            Typeface::File(_) => None,
        }
    }

    /// What the faces that ship with the program are called, in the order in which they are offered.
    pub const WORDS: &'static [&'static str] = &["plain", "bold", "stencil"];

    /// The shipped face of a name.
    pub fn named(word: &str) -> Option<Typeface> {
        Typeface::SHIPPED.into_iter().find(|face| face.word() == Some(word))
    }

    /// What a shipped face is called; `None` for a file.
    pub fn word(&self) -> Option<&'static str> {
        match self {
            Typeface::Plain => Some("plain"),
            Typeface::Bold => Some("bold"),
            Typeface::Stencil => Some("stencil"),
            Typeface::File(_) => None,
        }
    }
}

/// How every strip of the set looks.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Style {
    /// The face of the numerals.
    pub typeface: Typeface,
    /// Height of the digits.
    pub numeral_height: Length,
    /// Width of every tick.
    pub tick_width: Length,
    /// Length of a numbered mark's tick.
    pub numbered_tick: Length,
    /// Length of a tick between the two.
    pub medium_tick: Length,
    /// Length of a plain mark's tick.
    pub plain_tick: Length,
    /// Smallest distance between the centres of neighbouring ticks.
    pub smallest_gap: Length,
    /// Smallest clear distance between neighbouring labels.
    pub label_gap: Length,
    /// How far the numerals of an iris may shrink for a full stop's sake.
    pub smallest_numeral: Length,
    /// So many bands stand on a ring at most.
    pub bands: usize,
    /// How numbers are written.
    pub figures: Figures,
    /// What was chosen of every focus scale.
    pub scale: FocusScaleChoices,
    /// How much of the ring a strip covers.
    pub extent: Extent,
    /// What becomes of focus marks that are not to be trusted.
    pub doubtful: Doubtful,
    /// What was chosen and does not hold with this process, a sentence each.
    pub notes: Vec<String>,
}

/// What becomes of focus marks that are not to be trusted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubtful {
    /// What is done about them.
    pub treatment: Treatment,
    /// The stop at which two standard errors have to stay inside the depth of field; a lens's widest unless told.
    pub stop: Option<Stop>,
}

/// What is done about a doubtful mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Treatment {
    /// Drawn like the others.
    Drawn,
    /// Its tick is drawn shorter.
    Short,
    /// Left out; infinity and the closest distance are drawn shorter.
    LeftOut,
}

/// What was chosen of a style; what is `None` follows from the rings and from what the process can make.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct StyleChoices {
    /// The face of the numerals.
    pub typeface: Option<Typeface>,
    /// Height of the digits.
    pub numeral_height: Option<Length>,
    /// Width of every tick.
    pub tick_width: Option<Length>,
    /// Length of a numbered mark's tick.
    pub numbered_tick: Option<Length>,
    /// Length of a tick between the two.
    pub medium_tick: Option<Length>,
    /// Length of a plain mark's tick.
    pub plain_tick: Option<Length>,
    /// Smallest distance between the centres of neighbouring ticks.
    pub smallest_gap: Option<Length>,
    /// Smallest clear distance between neighbouring labels.
    pub label_gap: Option<Length>,
    /// How far the numerals of an iris may shrink for a full stop's sake.
    pub smallest_numeral: Option<Length>,
    /// How feet are written.
    pub feet: Feet,
    /// How parts of an inch are written.
    pub inches: Option<Inches>,
    /// Where the sign of the unit stands.
    pub unit_sign: Option<UnitSign>,
    /// What was chosen of every focus scale.
    pub scale: FocusScaleChoices,
    /// How much of the ring a strip covers.
    pub extent: Extent,
    /// What becomes of focus marks that are not to be trusted.
    pub doubtful: Doubtful,
}

impl Default for StyleChoices {
    fn default() -> Self {
        StyleChoices {
            typeface: None,
            numeral_height: None,
            tick_width: None,
            numbered_tick: None,
            medium_tick: None,
            plain_tick: None,
            smallest_gap: None,
            label_gap: None,
            smallest_numeral: None,
            feet: Feet::default(),
            inches: None,
            unit_sign: None,
            scale: FocusScaleChoices::default(),
            extent: Extent::Used,
            doubtful: Doubtful { treatment: Treatment::Drawn, stop: None },
        }
    }
}

impl StyleChoices {
    /// The same choices with those of a change in their place.
    pub fn change(&mut self, change: &Change) {
        self.numeral_height = change.numeral_height.or(self.numeral_height);
        self.tick_width = change.tick_width.or(self.tick_width);
        self.smallest_gap = change.smallest_gap.or(self.smallest_gap);
        self.label_gap = change.label_gap.or(self.label_gap);
        if let Some(typeface) = &change.typeface {
            self.typeface = Some(typeface.clone());
        }
    }

    /// One style for the whole set: what is not stated follows from the narrowest band of any ring, and from what the
    /// process can make.
    pub fn complete(&self, lenses: &[Lens], process: &Process) -> Style {
        let settings = process.settings();
        let Fitting { typeface, numeral_height, smallest, fractions_too_fine, signs_too_fine, bands, note } =
            fitting(self, lenses, process);
        let tick_width = settings.tick_width(self.tick_width);
        let apart = (tick_width + settings.limits().gap).to_mm().max(default_gap(tick_width).to_mm());
        let stated = self.smallest_gap.filter(|gap| may_stand_apart(*gap, tick_width));
        let smallest_gap = stated.unwrap_or(Length::mm(apart));
        let mut notes: Vec<String> = note.into_iter().collect();
        if let (Some(gap), None) = (self.smallest_gap, stated) {
            let (gap, tick) = (shown(gap), shown(tick_width));
            notes.push(format!(
                "`smallest_gap`, {gap} mm, does not hold here: ticks {tick} mm wide would run together; {} mm holds",
                shown(smallest_gap)
            ));
        }
        let numbered_tick = self.numbered_tick.unwrap_or(numeral_height * NUMBERED_TICK);
        // half of the numbered one: a medium tick between them is told from both
        let plain_tick = self.plain_tick.unwrap_or(numeral_height * 0.475);
        Style {
            typeface,
            numeral_height,
            tick_width,
            numbered_tick,
            medium_tick: self.medium_tick.unwrap_or(medium_tick(numbered_tick, plain_tick)),
            plain_tick,
            smallest_numeral: self.smallest_numeral.map_or(smallest, |smallest| smallest.min(numeral_height)),
            bands,
            figures: Figures {
                feet: self.feet,
                inches: self.inches.unwrap_or(if fractions_too_fine { Inches::Decimal } else { Inches::Fractions }),
                sign: self.unit_sign.unwrap_or(if signs_too_fine { UnitSign::Nowhere } else { UnitSign::Start }),
            },
            scale: self.scale.clone(),
            smallest_gap,
            label_gap: self.label_gap.unwrap_or(numeral_height * 0.8),
            extent: self.extent,
            doubtful: self.doubtful,
            notes,
        }
    }
}

/// A length in mm, to a thousandth.
fn shown(length: Length) -> f64 {
    (length.to_mm() * 1000.0).round() / 1000.0
}

/// Ticks nearer than twice their width leave less paper than ink and run together.
fn default_gap(tick_width: Length) -> Length {
    Length::mm(f64::max(0.8, 2.0 * tick_width.to_mm()))
}

/// Whether ticks so far apart leave as much ground as ink.
pub fn may_stand_apart(gap: Length, tick_width: Length) -> bool {
    // A part in a thousand million lies below any drawing's precision and above the rounding of 2 x 0.3.
    gap.to_mm() * (1.0 + 1e-9) >= 2.0 * tick_width.to_mm()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::process::{Engrave, Film, Vinyl};

    fn notes(gap: f64, process: Process) -> Vec<String> {
        let choices = StyleChoices { smallest_gap: Some(Length::mm(gap)), ..StyleChoices::default() };
        choices.complete(&[], &process).notes
    }

    #[test]
    fn every_word_of_a_typeface_names_it_and_nothing_else_does() {
        for word in Typeface::WORDS {
            assert_eq!(Typeface::named(word).and_then(|face| face.word()), Some(*word));
        }
        assert_eq!(Typeface::named("bolt"), None);
        assert_eq!(Typeface::File("bold".into()).word(), None);
    }

    #[test]
    fn a_gap_that_the_process_makes_too_small_is_told() {
        assert!(notes(0.5, Process::Film(Film::default())).is_empty());
        assert!(notes(0.9, Process::Vinyl(Vinyl::default())).is_empty());
        insta::assert_snapshot!(notes(0.5, Process::Vinyl(Vinyl::default())).join(""), @"`smallest_gap`, 0.5 mm, does not hold here: ticks 0.45 mm wide would run together; 0.9 mm holds");
        assert_eq!(notes(0.3, Process::Engrave(Engrave::default())).len(), 1);
    }
}
