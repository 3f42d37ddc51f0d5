//! Tables of the set file: keys become values of the kind that is due, and everything else a fault.
//!
//! Nothing here stops at the first fault: a value that is refused is noted in the [`Document`] and comes back as
//! `None`, and the reader goes on with the next key.

use std::cell::RefCell;
use std::collections::HashMap;
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::model::Subject;

use super::fault::{Fault, Faults, Place, Source, shown};
use super::near::nearest;
use super::quantity::{Quantity, Text};

/// A set file on its way to a [`Set`](super::Set): its text and the faults found so far.
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

/// A table whose keys are known; unknown ones were refused when it was opened.
#[derive(Clone)]
pub(super) struct Table<'d> {
    pub(super) doc: &'d Document,
    table: &'d DeTable<'d>,
    /// The header, or the braces.
    pub(super) span: Range<usize>,
    /// What a person calls it: "a focus ring".
    what: &'static str,
    /// Keys that a misspelt one stands for.
    meant: Vec<&'static str>,
}

impl<'d> Table<'d> {
    pub(super) fn new(
        doc: &'d Document,
        table: &'d DeTable<'d>,
        span: Range<usize>,
        what: &'static str,
        known: &[&'static str],
    ) -> Self {
        let mut meant = Vec::new();
        for key in table.keys().filter(|key| !known.contains(&key.get_ref().as_ref())) {
            let label = match nearest(key.get_ref(), known) {
                Some(near) => {
                    meant.push(near);
                    format!("did you mean `{near}`?")
                }
                None => format!("known here: {}", known.join(", ")),
            };
            doc.push(doc.fault(key.span(), format!("{what} has no key `{}`", shown(key.get_ref())), label));
        }
        Table { doc, table, span, what, meant }
    }

    pub(super) fn get(&self, key: &'static str) -> Option<Value<'d>> {
        let (written, value) = self.table.get_key_value(key)?;
        Some(Value { doc: self.doc, key, key_span: written.span(), value })
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// The value of a key that must be there; `example` is a line that would do. A misspelt key is refused once.
    pub(super) fn need(&self, key: &'static str, example: &str) -> Option<Value<'d>> {
        let value = self.get(key);
        if value.is_none() && !self.meant.contains(&key) {
            let message = format!("{} needs `{key}`", self.what);
            self.doc.push(self.doc.fault(self.span.clone(), message, format!("add {example}")));
        }
        value
    }
}

/// One value with its key.
#[derive(Clone)]
pub(super) struct Value<'d> {
    pub(super) doc: &'d Document,
    pub(super) key: &'static str,
    pub(super) key_span: Range<usize>,
    value: &'d Spanned<DeValue<'d>>,
}

impl<'d> Value<'d> {
    pub(super) fn span(&self) -> Range<usize> {
        self.value.span()
    }

    pub(super) fn place(&self) -> Place {
        Place::new(&self.doc.source, self.span())
    }

    /// Notes a fault of this value; `None` for the caller to return.
    pub(super) fn refuse<T>(&self, message: impl Into<String>, label: impl Into<String>) -> Option<T> {
        self.doc.push(self.doc.fault(self.span(), message, label));
        None
    }

    fn refuse_kind<T>(&self, due: &str, way_out: &str) -> Option<T> {
        let found = match self.value.get_ref() {
            DeValue::String(_) => "a text in quotes",
            DeValue::Integer(_) | DeValue::Float(_) => "a bare number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.refuse(format!("`{}` must be {due}, not {found}", self.key), way_out)
    }

    pub(super) fn is_table(&self) -> bool {
        matches!(self.value.get_ref(), DeValue::Table(_))
    }

    /// The text, if it is one, without any fault.
    pub(super) fn as_str(&self) -> Option<&'d str> {
        self.value.get_ref().as_str()
    }

    /// The digits of a bare number as the user wrote them.
    fn bare_number(&self) -> Option<String> {
        match self.value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => {
                Some(self.doc.source.text().get(self.span()).unwrap_or_default().to_string())
            }
            _ => None,
        }
    }

    /// A word or a name.
    pub(super) fn text(&self, example: &str) -> Option<&'d str> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(text),
            _ => match self.bare_number() {
                Some(digits) => self.refuse_kind("a text", &format!("did you mean \"{}\"?", shown(&digits))),
                None => self.refuse_kind("a text", &format!("write it like {example}")),
            },
        }
    }

    /// A text with a unit in it; `example` is one that would do, and its unit the likely one.
    pub(super) fn quantity(&self, due: Quantity, example: &str) -> Option<Text<'d>> {
        let DeValue::String(text) = self.value.get_ref() else {
            return match self.bare_number() {
                Some(digits) => {
                    let unit = example.rsplit(' ').next().unwrap_or_default();
                    self.refuse(due.needs_a_unit(), format!("did you mean \"{} {unit}\"?", shown(&digits)))
                }
                None => self.refuse_kind(due.name(), &format!("write it like \"{example}\"")),
            };
        };
        Some(Text { doc: self.doc, place: self.place(), order: self.span().start, key: self.key, text })
    }

    /// A stop: a number, or a text like "f/2.8".
    pub(super) fn stop_text(&self) -> Option<Text<'d>> {
        let digits = match self.value.get_ref() {
            DeValue::String(text) => return self.text("\"f/2.8\"").map(|_| self.as_text(text)),
            DeValue::Integer(_) | DeValue::Float(_) => match self.value.get_ref() {
                DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
                DeValue::Float(number) => number.as_str(),
                _ => return self.refuse("a stop is written in decimal digits", "write it like 2.8"),
            },
            _ => return self.refuse_kind("a stop", "write it like 2.8 or \"f/2.8\""),
        };
        Some(self.as_text(digits))
    }

    fn as_text(&self, text: &'d str) -> Text<'d> {
        Text { doc: self.doc, place: self.place(), order: self.span().start, key: self.key, text }
    }

    /// A bare number in `lowest..=highest`.
    pub(super) fn number_within(&self, lowest: f64, highest: f64) -> Option<f64> {
        let number = match self.value.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse().ok(),
            DeValue::Float(number) => number.as_str().parse().ok(),
            DeValue::String(text) if text.trim().parse::<f64>().is_ok() => {
                return self.refuse_kind("a bare number", &format!("did you mean {}?", shown(text.trim())));
            }
            _ => return self.refuse_kind("a bare number", &format!("allowed are {lowest} to {highest}")),
        };
        match number {
            Some(number) if (lowest..=highest).contains(&number) => Some(number),
            _ => {
                let written = self.bare_number().unwrap_or_default();
                self.refuse(
                    format!("`{}` cannot be {}", self.key, shown(&written)),
                    format!("allowed are {lowest} to {highest}"),
                )
            }
        }
    }

    /// True or false.
    pub(super) fn truth(&self) -> Option<bool> {
        match self.value.get_ref() {
            DeValue::Boolean(truth) => Some(*truth),
            _ => self.refuse_kind("true or false", "write true or false, without quotes"),
        }
    }

    /// One of a few whole numbers.
    pub(super) fn one_of_numbers(&self, allowed: &[i64]) -> Option<i64> {
        let list = alternatives(allowed.iter().map(i64::to_string));
        let number = match self.value.get_ref() {
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix()).ok(),
            DeValue::Float(_) => None,
            _ => return self.refuse_kind("a bare number", &format!("allowed are {list}")),
        };
        match number {
            Some(number) if allowed.contains(&number) => Some(number),
            _ => {
                let written = self.bare_number().unwrap_or_default();
                self.refuse(format!("`{}` cannot be {}", self.key, shown(&written)), format!("allowed are {list}"))
            }
        }
    }

    /// One of a few words.
    pub(super) fn one_of<T: Copy>(&self, allowed: &[(&'static str, T)]) -> Option<T> {
        let words: Vec<&str> = allowed.iter().map(|(word, _)| *word).collect();
        let list = alternatives(words.iter().map(|word| format!("\"{word}\"")));
        let DeValue::String(text) = self.value.get_ref() else {
            return self.refuse_kind("a word in quotes", &format!("allowed are {list}"));
        };
        if let Some((_, meaning)) = allowed.iter().find(|(word, _)| word == text) {
            return Some(*meaning);
        }
        let label = match nearest(text, &words) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("allowed are {list}"),
        };
        self.refuse(format!("`{}` cannot be \"{}\"", self.key, shown(text)), label)
    }

    /// A table whose keys were looked at before.
    pub(super) fn bare_table(&self) -> Option<Table<'d>> {
        let DeValue::Table(table) = self.value.get_ref() else { return None };
        Some(Table { doc: self.doc, table, span: self.span(), what: "a table", meant: Vec::new() })
    }

    /// A table with known keys; `way_out` says how to write one.
    pub(super) fn table(&self, what: &'static str, known: &[&'static str], way_out: &str) -> Option<Table<'d>> {
        match self.value.get_ref() {
            DeValue::Table(table) => Some(Table::new(self.doc, table, self.span(), what, known)),
            _ => self.refuse_kind("a table", way_out),
        }
    }

    /// The values of a list.
    pub(super) fn list(&self, example: &str) -> Option<Vec<Value<'d>>> {
        match self.value.get_ref() {
            DeValue::Array(array) => {
                let value = |value| Value { doc: self.doc, key: self.key, key_span: self.key_span.clone(), value };
                Some(array.iter().map(value).collect())
            }
            _ => self.refuse_kind("a list", &format!("write it like {example}")),
        }
    }
}

/// "a", "a and b", "a, b and c".
fn alternatives(words: impl Iterator<Item = String>) -> String {
    let mut words: Vec<String> = words.collect();
    match words.pop() {
        Some(last) if words.is_empty() => last,
        Some(last) => format!("{} and {last}", words.join(", ")),
        None => String::new(),
    }
}
