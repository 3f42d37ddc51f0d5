//! Readings of a ring, listed in the set file or in a file of their own.

use std::path::Path;
use std::sync::Arc;

use crate::model::{Refusal, Subject};
use crate::units::Angle;

use super::csv;
use super::document::Document;
use super::fault::{Place, Source, shown};
use super::file;
use super::keys::Key;
use super::quantity::{ReadOn, Text};
use super::read::{Table, Value};
use super::reading_error::read_on;
use super::refusals;

/// The most readings of one ring: about twenty are measured by hand, and the fit's work grows with each.
const MOST: usize = 10_000;

/// What else a reading says: keys of its table, or the further cell of its row.
pub(super) enum Beside<'a, 'd> {
    Table(&'a Table<'d>),
    Cell(Option<Text<'a>>),
}

/// A reading from the text of its value, the ring's position, and what stands beside them.
type Make<'k, T> = Box<dyn Fn(&Text, Angle, &Beside) -> Option<T> + 'k>;

/// What a reading pairs with the ring's position, and how both become a `T`.
pub(super) struct Kind<'k, T> {
    /// The keys of the list, and of the file that may stand in its place.
    pub(super) list: &'static str,
    pub(super) file: Option<&'static str>,
    /// The key and column: "distance" or "stop".
    pub(super) key: &'static str,
    /// The key besides its value and position that may be a column of a file.
    pub(super) column: Option<&'static str>,
    /// The text of the value in the set file.
    pub(super) text: for<'d> fn(&Value<'d>) -> Option<Text<'d>>,
    /// The reading itself.
    pub(super) reading: Make<'k, T>,
}

/// The readings of a ring, each with its place.
pub(super) struct Readings<T> {
    pub(super) items: Vec<(T, Place)>,
    /// Whether none was refused.
    pub(super) complete: bool,
    /// Where they stand in the set file.
    order: usize,
}

impl<T> Readings<T> {
    /// Notes what the model's checks refuse of readings, wherever they come from.
    pub(super) fn refuse(&self, doc: &Document, refusal: &Refusal) {
        let place = |subject: &Subject| match subject {
            Subject::Reading(_, _, at) => self.items.get(*at).map(|(_, place)| place),
            Subject::Typeface
            | Subject::Gap
            | Subject::Lens(_)
            | Subject::Ring(..)
            | Subject::Exposure(..)
            | Subject::Disc(_)
            | Subject::Scale { .. }
            | Subject::EveryScale(..) => None,
        };
        let fault = refusals::fault(&doc.source, refusal, place);
        if std::ptr::eq(fault.source(), doc.source.as_ref()) {
            doc.push(fault);
        } else {
            doc.push_at(self.order, fault);
        }
    }
}

/// The readings of `table`, lengths among them along `ring`.
pub(super) fn readings<T>(table: &Table, ring: ReadOn, kind: &Kind<'_, T>) -> Readings<T> {
    let doc = table.doc;
    let mut readings = Readings { items: Vec::new(), complete: true, order: table.span.start };
    let (listed, file) = (table.get(kind.list), kind.file.and_then(|key| table.get(key)));
    if let (Some(listed), Some(file)) = (&listed, &file) {
        let (first, second) = if listed.key_span.start < file.key_span.start { (listed, file) } else { (file, listed) };
        let message = "readings come from a list or from a file, not from both";
        let fault = doc.fault(second.key_span.clone(), message, format!("leave out this or `{}`", first.key.name));
        doc.push(fault.mark(first.key_span.clone(), "the other"));
    }
    if let Some(listed) = listed {
        list(&listed, ring, kind, &mut readings);
    }
    if let Some(file) = file {
        readings.order = file.span().start;
        from_file(table, &file, ring, kind, &mut readings);
    }
    readings
}

fn list<T>(value: &Value, ring: ReadOn, kind: &Kind<'_, T>, readings: &mut Readings<T>) {
    let Some(values) = value.list() else {
        readings.complete = false;
        return;
    };
    if values.len() > MOST {
        readings.complete = false;
        let label = format!("{} stand here; up to {MOST} of one ring are read", values.len());
        value.doc.push(value.doc.fault(value.key_span.clone(), "these are too many readings", label));
        return;
    }
    for value in values {
        let reading = reading(&value, ring, kind);
        readings.complete &= reading.is_some();
        readings.items.extend(reading.map(|reading| (reading, value.place())));
    }
}

fn reading<T>(value: &Value, ring: ReadOn, kind: &Kind<'_, T>) -> Option<T> {
    let table = value.table()?;
    let ring = if table.has("read_on") { read_on(&table) } else { ring };
    let text = table.need(kind.key).and_then(|value| (kind.text)(&value));
    let at = table.need("at").and_then(|value| value.position(ring));
    // A position that was refused must not hide what is wrong with the other value.
    let reading = text.and_then(|text| (kind.reading)(&text, at.unwrap_or(Angle::ZERO), &Beside::Table(&table)));
    at.and(reading)
}

fn from_file<T>(table: &Table, value: &Value, ring: ReadOn, kind: &Kind<'_, T>, readings: &mut Readings<T>) {
    let doc = value.doc;
    readings.complete = false;
    let Some(name) = value.text() else { return };
    let path = doc.folder.join(Path::new(name));
    let text = match file::read(&path) {
        Ok(text) => text,
        Err(refusal) => {
            let fault = doc.fault(
                value.span(),
                format!("`{}` was not read: {}", shown(name), refusal.message),
                refusal.way_out,
            );
            return doc.push(fault);
        }
    };
    let source = Source::new(&path.display().to_string(), text);
    let known = table.known_of(kind.list);
    let (Some(first), Some(second)) = (known(kind.key), known("at")) else { return };
    let (rows, faults) = csv::rows(&source, [kind.key, "at"], kind.column);
    readings.complete = faults.is_empty();
    for fault in faults {
        doc.push_at(readings.order, fault);
    }
    if rows.len() > MOST {
        readings.complete = false;
        let label = format!("the file holds {}; up to {MOST} of one ring are read", rows.len());
        return doc.push(doc.fault(value.span(), "these are too many readings", label));
    }
    let order = readings.order;
    for row in &rows {
        let (value, position) = (
            cell_text(doc, &source, order, &row.cells[0], first),
            cell_text(doc, &source, order, &row.cells[1], second),
        );
        let at = position.position(ring);
        let column = kind.column.and_then(&known);
        let more = row.more.as_ref().zip(column).map(|(more, key)| cell_text(doc, &source, order, more, key));
        let reading = (kind.reading)(&value, at.unwrap_or(Angle::ZERO), &Beside::Cell(more));
        let place = Place::new(&source, row.span.clone());
        readings.complete &= at.is_some() && reading.is_some();
        readings.items.extend(at.and(reading).map(|reading| (reading, place)));
    }
}

/// A cell as a text with its place; its faults come where the file is named.
fn cell_text<'c>(
    doc: &'c Document,
    source: &Arc<Source>,
    order: usize,
    cell: &'c csv::Cell,
    key: &'static Key,
) -> Text<'c> {
    Text { doc, place: Place::new(source, cell.span.clone()), order, key, text: &cell.text }
}
