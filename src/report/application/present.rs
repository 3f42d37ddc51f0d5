//! What occurs on the lenses of a set.

use super::{Application, Applied, OnRing};
use crate::report::words::listed;

/// What occurs on the lenses, so that no step is about what does not occur.
pub(super) struct Present {
    pub(super) focus: bool,
    pub(super) iris: bool,
    pub(super) disc: bool,
    /// A disc over which the pointer turns.
    pub(super) pointer: bool,
    pub(super) index: bool,
    /// An iris ring that turns along when focusing.
    pub(super) rides: bool,
    pub(super) closed: bool,
    pub(super) open: bool,
    pub(super) cone: bool,
    pub(super) cylinder: bool,
    pub(super) repeated: bool,
    /// Whether pieces lie on the sheets in parts, and whether their guides do.
    pub(super) parts: bool,
    pub(super) guide_parts: bool,
    /// The files that hold all pieces, and all guides.
    pub(super) sheets: String,
    pub(super) guides: String,
}

impl Present {
    pub(super) fn of(application: &Application) -> Present {
        let all = || application.lenses.iter().flat_map(|lens| &lens.pieces);
        let pieces = || all().map(|piece| &piece.what);
        let strips = || pieces().filter_map(strip);
        Present {
            focus: pieces().any(|what| matches!(what, Applied::Focus(_))),
            iris: pieces().any(|what| matches!(what, Applied::Iris(_))),
            disc: pieces().any(|what| matches!(what, Applied::Disc(on) if !on.pointer_turns)),
            pointer: pieces().any(|what| matches!(what, Applied::Disc(on) if on.pointer_turns)),
            index: pieces().any(|what| matches!(what, Applied::Index(plates) if !plates.is_empty())),
            rides: application.lenses.iter().any(|lens| lens.iris_rides),
            closed: strips().any(|on| on.closed),
            open: strips().any(|on| !on.closed),
            cone: strips().any(|on| on.ring.rear_diameter != on.ring.front_diameter),
            cylinder: strips().any(|on| on.ring.rear_diameter == on.ring.front_diameter),
            repeated: strips().any(|on| on.zeros.len() > 1),
            parts: all().any(|piece| piece.parts > 1),
            guide_parts: all().any(|piece| piece.guide_parts > 1),
            sheets: listed(&application.sheets),
            guides: listed(&application.guides),
        }
    }

    /// Whether anything goes round a ring.
    pub(super) fn strips(&self) -> bool {
        self.closed || self.open
    }

    /// What lies flat beside the ring, as the beginning of a sentence; nothing where there is nothing.
    pub(super) fn flat_pieces(&self) -> Option<&'static str> {
        match (self.disc || self.pointer, self.index) {
            (true, true) => Some("Discs and index plates"),
            (true, false) => Some("Discs"),
            (false, true) => Some("Index plates"),
            (false, false) => None,
        }
    }

    /// The file of the guides, in brackets where it is known.
    pub(super) fn named_guides(&self) -> String {
        if self.guides.is_empty() { "(the files …-transfer.*)".into() } else { format!("({})", self.guides) }
    }

    /// Steps for placing a strip that every process shares.
    pub(super) fn placing(&self, steps: &mut Vec<String>) {
        if self.cone {
            steps.push(
                "A strip for a conical ring is bent. Its longer edge goes to the larger diameter; it lies flat only \
                 there, so do not pull it straight."
                    .into(),
            );
        }
        if self.repeated {
            steps.push(
                "Where the scale stands twice on a ring, place it by one infinity mark and check the other at the \
                 opposite side: half the way round, both ways."
                    .into(),
            );
        }
    }
}

fn strip(what: &Applied) -> Option<&OnRing> {
    match what {
        Applied::Focus(on) | Applied::Iris(on) => Some(on),
        Applied::Disc(_) | Applied::Index(_) => None,
    }
}
