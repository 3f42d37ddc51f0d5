//! Settings of printing on film.

use super::{Limits, Settings, THICKNESS_ERROR_MM, Tolerance};
use crate::artwork::{Drawing, Strip};
use crate::process::{Process, ProcessError, ProcessKind, corrected, printed};
use crate::units::Length;

/// Printing on film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Thickness of the film.
    pub thickness: Length,
    /// The printer's dots to the inch.
    pub dpi: f64,
    /// Printed on the inner face, so drawn the wrong way round.
    pub mirrored: bool,
    /// Clear marks in black.
    pub reversed: bool,
    /// Whether guides for ring edge, seam and infinity are printed outside the artwork.
    pub guides: bool,
    /// Length of the tab that the other end of a closed strip is stuck onto; zero for none.
    pub overlap: Length,
    /// What the printed ruler's lines measured, along the paper's long and its short side, as shares of their true
    /// lengths.
    pub printed: (f64, f64),
    /// Whether the ruler was printed and measured at all.
    pub measured: bool,
    /// Standard error of the thickness.
    pub thickness_error: Length,
}

impl Default for Film {
    fn default() -> Self {
        Film {
            thickness: Length::mm(0.1),
            dpi: 600.0,
            mirrored: false,
            reversed: false,
            guides: true,
            overlap: Length::mm(5.0),
            printed: (1.0, 1.0),
            measured: false,
            thickness_error: Length::mm(THICKNESS_ERROR_MM),
        }
    }
}

impl Film {
    /// Three dots for strokes and gaps alike: fewer come out ragged, or not at all (common practice, no source).
    pub fn limits(&self) -> Limits {
        let dots = Length::mm(3.0 * 25.4 / self.dpi);
        Limits { stroke: dots, gap: dots, dot: dots, counter: dots }
    }
}

/// A tick that is printed, unless the style states another: clearly darker than a hairline, and thinner than the
/// strokes of numerals; common practice, no source.
const TICK_MM: f64 = 0.2;

impl Settings for Film {
    fn kind(&self) -> ProcessKind {
        ProcessKind::Film
    }

    fn thickness(&self) -> Length {
        self.thickness
    }

    fn tolerance(&self) -> Tolerance {
        // laser printers are commonly within 0.5 to 1 % along the feed (from memory)
        let length = if self.measured { Tolerance::MEASURED } else { 0.003 };
        Tolerance { thickness: self.thickness_error, length }
    }

    fn limits(&self) -> Limits {
        Film::limits(self)
    }

    /// Half of three dots.
    fn tool_radius(&self) -> Length {
        self.limits().stroke * 0.5
    }

    fn tick_width(&self, chosen: Option<Length>) -> Length {
        chosen.unwrap_or(Length::mm(TICK_MM))
    }

    fn finished(&self, strip: &Strip) -> Result<Strip, ProcessError> {
        Ok(printed(strip, self))
    }

    fn single(&self, finished: &Drawing) -> Drawing {
        corrected(finished, self)
    }

    fn printed(&self) -> (f64, f64) {
        self.printed
    }

    fn sheet_advice(&self) -> &'static str {
        "print at 100 %"
    }

    fn parting_words(&self) -> String {
        format!("for film {} thick; print at 100 %, measure a strip before cutting", self.thickness)
    }

    fn seen_at(&self, dpi: f64) -> Option<Process> {
        Some(Process::Film(Film { dpi: self.dpi.min(dpi), ..*self }))
    }
}
