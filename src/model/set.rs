//! A style and the lenses that belong together.

use super::{Change, Laying, Lens, Processes, Style, StyleChoices};
use crate::process::{Process, ProcessKind};
use crate::sheet::Paper;
use crate::units::{DistanceUnit, Length};

/// A style and the lenses that belong together, as one process makes them.
///
/// What was chosen stands in [`Set::choices`] and [`Set::processes`]; what follows from that and from the rings is kept
/// beside it, and made anew by [`Set::made_by`] and the others that give a changed set.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Set {
    /// The set's name.
    pub name: String,
    /// What was chosen of the style.
    pub choices: StyleChoices,
    /// The settings of every process.
    pub processes: Processes,
    /// How every strip of the set looks.
    pub style: Style,
    /// How the strips are made.
    pub process: Process,
    /// What they are laid out on, where it was chosen.
    pub paper: Option<Paper>,
    /// How many more of each strip than are needed.
    pub spares: usize,
    /// The farthest distance that can be set up, where it is told.
    pub room: Option<Length>,
    /// Whether something very far away can be seen for a reading of infinity.
    pub far_target: bool,
    /// In the order in which they are drawn.
    pub lenses: Vec<Lens>,
}

impl Set {
    /// The set `name` of `lenses`, printed on film; everything else is left to the rings and the process.
    pub fn new(name: &str, lenses: Vec<Lens>) -> Set {
        Set::chosen(name, StyleChoices::default(), Processes::default(), lenses)
    }

    /// The same with a style and settings of its own.
    pub fn chosen(name: &str, choices: StyleChoices, processes: Processes, lenses: Vec<Lens>) -> Set {
        let process = processes.of(ProcessKind::Film);
        let Laying { paper, spares } = processes.laying(ProcessKind::Film);
        let style = choices.complete(&lenses, &process);
        let (name, room, far_target) = (name.to_string(), None, true);
        Set { name, choices, processes, style, process, paper, spares, room, far_target, lenses }
    }

    /// The same set made in another way: its own settings, and a style that it can make.
    pub fn made_by(&self, kind: ProcessKind) -> Set {
        let Laying { paper, spares } = self.processes.laying(kind);
        Set { paper, spares, ..self.with_process(self.processes.of(kind)) }
    }

    /// The same set made with other settings than its own.
    pub fn with_process(&self, process: Process) -> Set {
        let style = self.choices.complete(&self.lenses, &process);
        Set { style, process, ..self.clone() }
    }

    /// The same set with every focus scale in one unit.
    pub fn in_unit(&self, unit: DistanceUnit) -> Set {
        let mut set = self.clone();
        for lens in &mut set.lenses {
            lens.units = vec![unit];
            lens.disc.iter_mut().for_each(|disc| disc.units = vec![unit]);
        }
        set.with_process(set.process)
    }

    /// The same set with a few choices of its style or its units changed: what a check proposes.
    pub fn with(&self, change: &Change) -> Set {
        let mut set = self.clone();
        set.choices.change(change);
        if change.one_unit {
            for lens in &mut set.lenses {
                lens.units.truncate(1);
                lens.disc.iter_mut().for_each(|disc| disc.units.truncate(1));
            }
        }
        let bridged = change.bridge.and_then(|width| set.process.settings().with_bridge(width));
        set.with_process(bridged.unwrap_or(set.process))
    }
}
