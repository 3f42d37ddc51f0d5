//! What each way of making can make: its limits and corrections, and what it does to a strip.
//!
//! Takes a finished [`Strip`] and the settings of a process; gives the drawing that a printer,
//! a cutter or an engraver is handed, and says what cannot be made. Defaults stand with their sources beside them.
//!
//! ```
//! use ringwright::process::{Process, ProcessKind};
//!
//! for kind in ProcessKind::ALL {
//!     let process = Process::usual(kind);
//!     println!("{kind}: {:.2} mm between shapes", process.settings().limits().gap.to_mm());
//! }
//! ```

mod check;
mod engrave;
mod features;
mod film;
mod job;
mod kind;
#[cfg(test)]
mod sample;
mod settings;
mod transfer;
mod vinyl;

pub use check::{Checker, Finding, FindingKind, Named, filled, outcome, shapes};
pub use engrave::{EngraveError, engraved};
pub use features::{Feature, Flaw, Near, Smallest, flaws, near, simulated, smallest};
pub use film::{corrected, printed};
pub use job::{cut, cut_report};
pub use kind::{NoProcess, ProcessKind};
pub use settings::{Cut, Engrave, Film, Limits, Settings, Tolerance, Vinyl};
pub use transfer::{transfer_guide, weed_box};
pub use vinyl::{CutJob, CutReport, cut_job};

use std::fmt;

use kurbo::BezPath;

use crate::artwork::Strip;
use crate::parallel;

/// One process with its settings.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum Process {
    /// Printed on film.
    Film(Film),
    /// Cut from adhesive vinyl.
    Vinyl(Vinyl),
    /// Engraved into the ring.
    Engrave(Engrave),
}

impl Process {
    /// A process with its default settings.
    pub fn usual(kind: ProcessKind) -> Process {
        match kind {
            ProcessKind::Film => Process::Film(Film::default()),
            ProcessKind::Vinyl => Process::Vinyl(Vinyl::default()),
            ProcessKind::Engrave => Process::Engrave(Engrave::default()),
        }
    }

    /// What it says of itself; the only place that tells processes apart for that.
    pub fn settings(&self) -> &dyn Settings {
        match self {
            Process::Film(film) => film,
            Process::Vinyl(vinyl) => vinyl,
            Process::Engrave(engrave) => engrave,
        }
    }

    /// Which process it is.
    pub fn kind(&self) -> ProcessKind {
        self.settings().kind()
    }
}

/// Why a strip cannot be handed to its process.
#[derive(Debug)]
#[non_exhaustive]
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

/// Several strips as their process is handed them, in their order, on all cores; see [`Settings::finished`].
pub fn finished_all(strips: &[&Strip], process: &Process) -> Vec<Result<Strip, ProcessError>> {
    parallel::each(strips, |strip| finished(strip, process))
}

/// The strip as its process is handed it: printed film with its guides, contours in cutting order, lines in order.
///
/// # Errors
/// When the process cannot work on such a strip.
pub fn finished(strip: &Strip, process: &Process) -> Result<Strip, ProcessError> {
    process.settings().finished(strip)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::assert_close;
    use crate::units::Length;

    #[test]
    fn a_land_between_grooves_holds_from_half_the_tool_on_and_the_tool_is_half_its_line_wide() {
        // common practice, no source
        for tool in [0.1, 0.2, 0.5] {
            let engrave = Engrave { tool: Length::mm(tool), ..Engrave::default() };
            let limits = engrave.limits();
            assert_close(limits.gap.to_mm(), 0.5 * tool, 1e-12);
            assert_close(limits.counter.to_mm(), 0.5 * tool, 1e-12);
            assert_eq!((limits.stroke, limits.dot), (Length::ZERO, Length::ZERO));
            assert_close(Process::Engrave(engrave).settings().tool_radius().to_mm(), 0.5 * tool, 1e-12);
        }
    }

    #[test]
    fn a_knife_rounds_by_its_offset_where_that_is_more_than_half_a_gap() {
        for (gap, offset, radius) in [(0.4, 0.1, 0.2), (0.4, 0.25, 0.25)] {
            let limits = Limits { gap: Length::mm(gap), ..Vinyl::default().limits };
            let vinyl = Vinyl { limits, knife_offset: Length::mm(offset), ..Vinyl::default() };
            assert_close(Process::Vinyl(vinyl).settings().tool_radius().to_mm(), radius, 1e-12);
        }
    }

    #[test]
    fn a_length_that_was_measured_is_truer_than_the_trade_allows() {
        // a line of 240 mm whose ends are read to 0.1 mm each, by hand
        let measured = 2f64.sqrt() * 0.1 / 240.0;
        let film = |measured| Process::Film(Film { measured, ..Film::default() }).settings().tolerance().length;
        let vinyl = |measured| Process::Vinyl(Vinyl { measured, ..Vinyl::default() }).settings().tolerance().length;
        for length in [film(true), vinyl(true)] {
            assert_close(length, measured, 2e-5);
        }
        // 2 mm to the metre are allowed for cut vinyl (a print firm's tolerance), twice its standard error
        assert_close(2.0 * vinyl(false) * 1000.0, 2.0, 1e-9);
        // laser printers are within 0.5 to 1 % (from memory), which two standard errors cover
        assert!((0.5..=1.0).contains(&(2.0 * film(false) * 100.0)));
    }
}
