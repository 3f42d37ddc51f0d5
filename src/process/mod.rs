//! What each way of making can make: its limits and corrections, and what it does to a strip.
//!
//! Takes a finished [`Strip`] and the settings of a process; gives the drawing that a printer,
//! a cutter or an engraver is handed, and says what cannot be made. Defaults stand with their sources beside them.

mod check;
mod engrave;
mod features;
mod film;
mod job;
#[cfg(test)]
mod sample;
mod transfer;
mod vinyl;

pub use check::{Checker, Finding, FindingKind, Named, filled, outcome, shapes};
pub use engrave::{EngraveError, engraved};
pub use features::{Feature, Flaw, Near, Smallest, flaws, near, simulated, smallest};
pub use film::{corrected, printed};
pub use job::{cut, cut_report};
pub use transfer::{transfer_guide, weed_box};
pub use vinyl::{CutJob, CutReport, cut_job};

use std::fmt;

use kurbo::BezPath;

use crate::artwork::Strip;
use crate::parallel;
use crate::units::Length;

/// How strips are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ProcessKind {
    /// Printed on film.
    Film,
    /// Cut from adhesive vinyl.
    Vinyl,
    /// Engraved into the ring.
    Engrave,
}

/// The smallest shapes that can be made; zero where a process has no such limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Width of a stroke.
    pub stroke: Length,
    /// Clear width between two shapes, or of an opening in one.
    pub gap: Length,
    /// Both sides of a piece that stands alone.
    pub dot: Length,
    /// Clear width of a hole that ink surrounds.
    pub counter: Length,
}

/// Film is sold as 0.100 to 0.110 mm (a laser printer's handbook), and so is vinyl within a hundredth (common practice, no
/// source).
const THICKNESS_ERROR_MM: f64 = 0.01;

/// How true a process comes out, standard errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Of the thickness of what goes round the ring.
    pub thickness: Length,
    /// Of lengths along the strip, as a share.
    pub length: f64,
}

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

/// What is cut from vinyl.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// The marks themselves, which stay on the ring.
    Marks,
    /// A mask round the marks, through which they are painted.
    Mask,
}

/// Cutting adhesive vinyl with a drag knife.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vinyl {
    /// Thickness of the vinyl on the ring.
    pub thickness: Length,
    /// What is cut.
    pub cut: Cut,
    /// The smallest shapes that can be cut and weeded.
    pub limits: Limits,
    /// Width of the bridges that join islands to what surrounds them; `None` for no bridges.
    pub bridge: Option<Length>,
    /// What of the blade's offset the cutter does not make up for; corners come out rounded by it.
    pub knife_offset: Length,
    /// By how much the drawing is stretched along and across, as shares: what a test cut asked for.
    pub stretch: (f64, f64),
    /// Whether there was a test cut at all.
    pub measured: bool,
    /// Standard error of the thickness.
    pub thickness_error: Length,
    /// Whether a box is cut round every strip, so that the waste comes off in one piece.
    pub weed_box: bool,
    /// How fast the knife moves while it cuts, mm/s.
    pub speed: f64,
}

impl Default for Vinyl {
    fn default() -> Self {
        Vinyl {
            // cast film of 2 mil (signs trade, several makers' pages) and 0.02 mm of adhesive (from memory)
            thickness: Length::mm(0.07),
            cut: Cut::Marks,
            limits: Limits {
                // strokes of 0.46 mm are barely possible, each piece placed with tweezers (tapeworks.com, 2016)
                stroke: Length::mm(0.45),
                // desktop cutters hold lands of half a 0.5 mm pitch in thin film (an open stencil cutter's notes)
                gap: Length::mm(0.25),
                // smaller pieces lift with the waste; common practice, no source
                dot: Length::mm(0.6),
                // smaller holes cannot be picked out; common practice, no source
                counter: Length::mm(0.5),
            },
            bridge: None,
            knife_offset: Length::ZERO,
            stretch: (1.0, 1.0),
            measured: false,
            thickness_error: Length::mm(THICKNESS_ERROR_MM),
            weed_box: true,
            // slow, as small lettering needs; common practice, no source
            speed: 20.0,
        }
    }
}

impl Vinyl {
    /// The smallest marks that can be made. In a mask they are the openings, which may be as narrow as a gap, while what
    /// stands between them has to hold like a stroke, and what is left inside them like a piece.
    pub fn mark_limits(&self) -> Limits {
        let Limits { stroke, gap, dot, counter } = self.limits;
        match self.cut {
            Cut::Marks => Limits { stroke, gap, dot, counter },
            Cut::Mask => Limits { stroke: gap, gap: stroke, dot: gap, counter: dot },
        }
    }
}

/// Engraving with a tool that follows lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engrave {
    /// Width of the line that the tool leaves.
    pub tool: Length,
    /// Whether numerals are single lines; otherwise outlines of the set's face are cut round.
    pub centreline: bool,
    /// Whether x is the turn of a rotary axis in degrees instead of a length.
    pub rotary: bool,
}

impl Default for Engrave {
    fn default() -> Self {
        Engrave { tool: Length::mm(0.2), centreline: true, rotary: false }
    }
}

impl Engrave {
    /// Lands between grooves narrower than half the tool crumble; common practice, no source.
    pub fn limits(&self) -> Limits {
        let none = Length::ZERO;
        Limits { stroke: none, gap: self.tool * 0.5, dot: none, counter: self.tool * 0.5 }
    }
}

/// The settings of one process.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Process {
    /// Printed on film.
    Film(Film),
    /// Cut from adhesive vinyl.
    Vinyl(Vinyl),
    /// Engraved into the ring.
    Engrave(Engrave),
}

impl Process {
    /// Which process it is.
    pub fn kind(&self) -> ProcessKind {
        match self {
            Process::Film(_) => ProcessKind::Film,
            Process::Vinyl(_) => ProcessKind::Vinyl,
            Process::Engrave(_) => ProcessKind::Engrave,
        }
    }

    /// Thickness of what goes round the ring.
    pub fn thickness(&self) -> Length {
        match self {
            Process::Film(film) => film.thickness,
            Process::Vinyl(vinyl) => vinyl.thickness,
            Process::Engrave(_) => Length::ZERO,
        }
    }

    /// How true it comes out.
    pub fn tolerance(&self) -> Tolerance {
        // two ends of a line of 240 mm read to 0.1 mm each: 0.06 %
        let measured = 0.0006;
        match self {
            // laser printers are commonly within 0.5 to 1 % along the feed (from memory)
            Process::Film(film) => {
                Tolerance { thickness: film.thickness_error, length: if film.measured { measured } else { 0.003 } }
            }
            // 2 mm to the metre are allowed in the trade (a print firm's tolerance), half of that is taken for one sigma
            Process::Vinyl(vinyl) => {
                Tolerance { thickness: vinyl.thickness_error, length: if vinyl.measured { measured } else { 0.001 } }
            }
            // lead screws and rotary axes (common practice, no source)
            Process::Engrave(_) => Tolerance { thickness: Length::ZERO, length: 0.0005 },
        }
    }

    /// Radius of what draws: half the finest stroke that a printer's dots or a knife make, and no less than the blade
    /// swings out at a corner.
    pub fn tool_radius(&self) -> Length {
        match self {
            Process::Film(film) => film.limits().stroke * 0.5,
            Process::Vinyl(vinyl) => Length::mm((vinyl.limits.gap.to_mm() * 0.5).max(vinyl.knife_offset.to_mm())),
            Process::Engrave(engrave) => engrave.tool * 0.5,
        }
    }

    /// The smallest shapes that can be made.
    pub fn limits(&self) -> Limits {
        match self {
            Process::Film(film) => film.limits(),
            Process::Vinyl(vinyl) => vinyl.mark_limits(),
            Process::Engrave(engrave) => engrave.limits(),
        }
    }
}

/// Why a strip cannot be handed to its process.
#[derive(Debug)]
pub enum ProcessError {
    /// Engraving.
    Engrave(EngraveError),
}

impl ProcessError {
    /// What a user can do about it.
    pub fn way_out(&self) -> Option<&str> {
        match self {
            ProcessError::Engrave(_) => Some("leave out rotary = true, or engrave this ring flat"),
        }
    }
}

impl fmt::Display for ProcessError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ProcessError::Engrave(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for ProcessError {}

/// The outer contour of a frame: the edge that it shows.
fn outer(frame: &BezPath) -> BezPath {
    frame.subpaths().next().into_iter().flatten().copied().collect()
}

/// Several strips as their process is handed them, in their order, on all cores; see [`finished`].
pub fn finished_all(strips: &[&Strip], process: &Process) -> Vec<Result<Strip, ProcessError>> {
    parallel::each(strips, |strip| finished(strip, process))
}

/// The strip as its process is handed it: printed film with its guides, contours in cutting order, lines in order.
///
/// # Errors
/// When the process cannot work on such a strip.
pub fn finished(strip: &Strip, process: &Process) -> Result<Strip, ProcessError> {
    match process {
        Process::Film(film) => Ok(printed(strip, film)),
        Process::Vinyl(vinyl) => Ok(cut(strip, vinyl)),
        Process::Engrave(engrave) => {
            let drawing = engraved(strip, engrave).map_err(ProcessError::Engrave)?;
            // in degrees of turn, nothing but the rotary axis knows where it lies
            let flat = if engrave.rotary { None } else { strip.flat.clone() };
            Ok(Strip { drawing, flat, round: strip.round })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;

    #[test]
    fn a_land_between_grooves_holds_from_half_the_tool_on_and_the_tool_is_half_its_line_wide() {
        // common practice, no source
        for tool in [0.1, 0.2, 0.5] {
            let engrave = Engrave { tool: Length::mm(tool), ..Engrave::default() };
            let limits = engrave.limits();
            assert_close(limits.gap.to_mm(), 0.5 * tool, 1e-12);
            assert_close(limits.counter.to_mm(), 0.5 * tool, 1e-12);
            assert_eq!((limits.stroke, limits.dot), (Length::ZERO, Length::ZERO));
            assert_close(Process::Engrave(engrave).tool_radius().to_mm(), 0.5 * tool, 1e-12);
        }
    }

    #[test]
    fn a_knife_rounds_by_its_offset_where_that_is_more_than_half_a_gap() {
        for (gap, offset, radius) in [(0.4, 0.1, 0.2), (0.4, 0.25, 0.25)] {
            let limits = Limits { gap: Length::mm(gap), ..Vinyl::default().limits };
            let vinyl = Vinyl { limits, knife_offset: Length::mm(offset), ..Vinyl::default() };
            assert_close(Process::Vinyl(vinyl).tool_radius().to_mm(), radius, 1e-12);
        }
    }

    #[test]
    fn a_length_that_was_measured_is_truer_than_the_trade_allows() {
        // a line of 240 mm whose ends are read to 0.1 mm each, by hand
        let measured = 2f64.sqrt() * 0.1 / 240.0;
        let film = |measured| Process::Film(Film { measured, ..Film::default() }).tolerance().length;
        let vinyl = |measured| Process::Vinyl(Vinyl { measured, ..Vinyl::default() }).tolerance().length;
        for length in [film(true), vinyl(true)] {
            assert_close(length, measured, 2e-5);
        }
        // 2 mm to the metre are allowed for cut vinyl (a print firm's tolerance), twice its standard error
        assert_close(2.0 * vinyl(false) * 1000.0, 2.0, 1e-9);
        // laser printers are within 0.5 to 1 % (from memory), which two standard errors cover
        assert!((0.5..=1.0).contains(&(2.0 * film(false) * 100.0)));
    }
}
