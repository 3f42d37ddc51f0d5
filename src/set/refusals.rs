//! What the model's checks refuse, at the places where it was written.

use std::sync::Arc;

use crate::model::{Refusal, Subject};

use super::fault::{Fault, Place, Source};

/// A refusal at the place of its subject; a fault of the whole `source` where that has none.
///
/// Of two readings that are alike at fault, the later in the file is the fault's place.
pub(super) fn fault<'p>(
    source: &Arc<Source>,
    refusal: &Refusal,
    place: impl Fn(&Subject) -> Option<&'p Place>,
) -> Fault {
    let subject = (&refusal.subject, &refusal.label);
    let mut marks: Vec<(&Place, &String)> = std::iter::once(subject)
        .chain(refusal.others.iter().map(|(subject, label)| (subject, label)))
        .filter_map(|(subject, label)| Some((place(subject)?, label)))
        .collect();
    if refusal.alike {
        // two at one place keep their order, the second being the fault's own
        marks.sort_by_key(|(place, _)| place.span().start);
        marks.reverse();
    }
    let mut fault = match marks.first() {
        Some((place, label)) => place.fault(&refusal.message, *label),
        None => Fault::new(source, &refusal.message),
    };
    for (place, label) in marks.iter().skip(1).filter(|(place, _)| place.source() == marks[0].0.source()) {
        fault = fault.mark(place.span(), *label);
    }
    let fault = refusal.notes.iter().fold(fault, Fault::note);
    refusal.ways_out.iter().fold(fault, Fault::help)
}
