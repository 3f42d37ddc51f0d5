//! A set file on its way to a set: its text, the faults found so far, and the places of what can be refused later.

use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

use crate::model::{Refusal, Subject};

use super::fault::{Fault, Faults, Place, Source};
use super::refusals;

/// A set file on its way to a [`Set`](crate::model::Set): its text and the faults found so far.
pub(super) struct Document {
    pub(super) source: Arc<Source>,
    /// Where files named in the set are looked for.
    pub(super) folder: PathBuf,
    /// Each with its place in the order of the set file.
    faults: RefCell<Vec<(usize, Fault)>>,
    /// Where what can be refused later stands.
    places: RefCell<HashMap<Subject, Place>>,
}

impl Document {
    pub(super) fn new(source: Arc<Source>, folder: PathBuf) -> Self {
        Document { source, folder, faults: RefCell::default(), places: RefCell::default() }
    }

    /// Notes a fault of this file.
    pub(super) fn push(&self, fault: Fault) {
        let order = fault.span().map_or(0, |span| span.start);
        self.push_at(order, fault);
    }

    /// Notes a fault of a file that the byte `order` of this one names.
    pub(super) fn push_at(&self, order: usize, fault: Fault) {
        self.faults.borrow_mut().push((order, fault));
    }

    /// Notes what the model's checks refuse of a value at `span`.
    pub(super) fn refuse_at(&self, span: Range<usize>, refusal: &Refusal) {
        let place = Place::new(&self.source, span);
        self.push(refusals::fault(&self.source, refusal, |_| Some(&place)));
    }

    /// Keeps the place of what can be refused later.
    pub(super) fn remember(&self, subject: Subject, place: Option<Place>) {
        self.places.borrow_mut().extend(place.map(|place| (subject, place)));
    }

    /// The places that were kept.
    pub(super) fn places(&self) -> HashMap<Subject, Place> {
        self.places.take()
    }

    /// Whether nothing was refused so far.
    pub(super) fn is_sound(&self) -> bool {
        self.faults.borrow().is_empty()
    }

    /// The faults in the order of the file.
    pub(super) fn into_faults(self) -> Option<Faults> {
        let mut faults = self.faults.into_inner();
        faults.sort_by_key(|(order, fault)| (*order, fault.span().map_or(0, |span| span.start)));
        Faults::new(faults.into_iter().map(|(_, fault)| fault).collect())
    }

    /// A fault with its place.
    pub(super) fn fault(&self, span: Range<usize>, message: impl Into<String>, label: impl Into<String>) -> Fault {
        Fault::new(&self.source, message).mark(span, label)
    }
}
