//! The settings of every process, and what its strips are laid out on.

use crate::process::{Engrave, Film, Process, ProcessKind, Vinyl};
use crate::sheet::Paper;

/// The settings of every process; what the file does not state is the default.
#[derive(Clone, Copy, Debug, Default)]
pub struct Processes {
    /// Printed on film.
    pub film: (Film, Laying),
    /// Cut from vinyl.
    pub vinyl: (Vinyl, Laying),
    /// Engraved.
    pub engrave: (Engrave, Laying),
}

/// What strips are laid out on, and how many more of each than are needed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Laying {
    /// The sheet, where one was chosen.
    pub paper: Option<Paper>,
    /// Further copies of each strip.
    pub spares: usize,
}

impl Processes {
    /// The settings of one of them.
    pub fn of(&self, kind: ProcessKind) -> Process {
        match kind {
            ProcessKind::Film => Process::Film(self.film.0),
            ProcessKind::Vinyl => Process::Vinyl(self.vinyl.0),
            ProcessKind::Engrave => Process::Engrave(self.engrave.0),
        }
    }

    /// How its strips are laid out.
    pub fn laying(&self, kind: ProcessKind) -> Laying {
        match kind {
            ProcessKind::Film => self.film.1,
            ProcessKind::Vinyl => self.vinyl.1,
            ProcessKind::Engrave => self.engrave.1,
        }
    }
}
