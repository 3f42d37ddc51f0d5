//! The settings of every process, and what its strips are laid out on.

use crate::process::{Process, ProcessKind};
use crate::sheet::Paper;

/// The settings of every process; what was not chosen is the default.
#[derive(Clone, Debug)]
pub struct Processes {
    all: Vec<(Process, Laying)>,
}

/// What strips are laid out on, and how many more of each than are needed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Laying {
    /// The sheet, where one was chosen.
    pub paper: Option<Paper>,
    /// Further copies of each strip.
    pub spares: usize,
}

impl Default for Processes {
    fn default() -> Self {
        Processes { all: ProcessKind::ALL.map(|kind| (Process::usual(kind), Laying::default())).to_vec() }
    }
}

impl Processes {
    /// The same with other settings of one process.
    pub fn with(mut self, process: Process, laying: Laying) -> Self {
        self.all.retain(|(other, _)| other.kind() != process.kind());
        self.all.push((process, laying));
        self
    }

    fn one(&self, kind: ProcessKind) -> (Process, Laying) {
        let found = self.all.iter().find(|(process, _)| process.kind() == kind);
        found.copied().unwrap_or_else(|| (Process::usual(kind), Laying::default()))
    }

    /// The settings of one of them.
    pub fn of(&self, kind: ProcessKind) -> Process {
        self.one(kind).0
    }

    /// How its strips are laid out.
    pub fn laying(&self, kind: ProcessKind) -> Laying {
        self.one(kind).1
    }
}
