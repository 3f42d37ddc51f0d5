//! What each way of making can make: its limits and corrections, and what it does to a strip.
//!
//! Takes a finished [`Strip`] and the settings of a process; gives the drawing that a printer,
//! a cutter or an engraver is handed, and says what cannot be made. Defaults stand with their sources beside them.

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
