//! Tables of the set file: keys become values of the kind that is due, and everything else a fault.
//!
//! Nothing here stops at the first fault: a value that is refused is noted in the [`Document`] and comes back as
//! `None`, and the reader goes on with the next key.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::model::Choice;
use crate::units::{Angle, Distance, Length};

use super::document::Document;
use super::fault::{Place, shown};
use super::keys::{self, Key, Kind, Need};
use super::near::nearest;
use super::quantity::{Quantity, ReadOn, Text};
use super::slip::{self, alternatives};

/// At most so long is a text on a scale: longer ones cover their neighbours' ticks.
const LONGEST_TEXT: usize = 12;

/// A table whose keys are known; unknown ones were refused when it was opened.
#[derive(Clone)]
pub(super) struct Table<'d> {
    pub(super) doc: &'d Document,
    table: &'d DeTable<'d>,
    /// The header, or the braces.
    pub(super) span: Range<usize>,
    /// Its keys, and what a person calls it.
    known: &'static keys::Table,
    /// Keys that a misspelt one stands for.
    meant: Vec<&'static str>,
}

impl<'d> Table<'d> {
    pub(super) fn new(
        doc: &'d Document,
        table: &'d DeTable<'d>,
        span: Range<usize>,
        known: &'static keys::Table,
    ) -> Self {
        let (mut meant, names) = (Vec::new(), known.names());
        for key in table.keys().filter(|key| !names.contains(&key.get_ref().as_ref())) {
            let label = match nearest(key.get_ref(), &names) {
                Some(near) => {
                    meant.push(near);
                    format!("did you mean `{near}`?")
                }
                None => format!("known here: {}", names.join(", ")),
            };
            doc.push(doc.fault(key.span(), format!("{} has no key `{}`", known.what, shown(key.get_ref())), label));
        }
        Table { doc, table, span, known, meant }
    }

    /// The value of one of the known keys.
    pub(super) fn get(&self, key: &str) -> Option<Value<'d>> {
        let key = self.known.key(key)?;
        let (written, value) = self.table.get_key_value(key.name)?;
        Some(Value { doc: self.doc, key, key_span: written.span(), value })
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// The value of a key that must be there. A misspelt key is refused once.
    pub(super) fn need(&self, key: &str) -> Option<Value<'d>> {
        let add = match self.known.key(key)?.need {
            Need::Always(add) | Need::Sometimes(add, _) => add,
            Need::Default(_) | Need::Follows(_) => "",
        };
        self.need_as(key, add)
    }

    /// The same where the case at hand tells what to add.
    pub(super) fn need_as(&self, key: &str, add: &str) -> Option<Value<'d>> {
        let value = self.get(key);
        if value.is_none() && !self.meant.contains(&key) {
            let message = format!("{} needs `{key}`", self.known.what);
            self.doc.push(self.doc.fault(self.span.clone(), message, format!("add {add}")));
        }
        value
    }

    /// The keys of the table behind a key of this one.
    pub(super) fn known_of(&self, key: &str) -> impl Fn(&str) -> Option<&'static Key> {
        let inner = self.known.key(key).and_then(|key| key.kind.table());
        move |name| inner?.key(name)
    }

    /// The length behind a key that may be left out.
    pub(super) fn length(&self, key: &str) -> Option<Length> {
        self.get(key)?.length()
    }

    /// The choice behind a key that may be left out.
    pub(super) fn choice<T: Choice>(&self, key: &str) -> Option<T> {
        self.get(key)?.choice()
    }
}

/// One value with its key.
#[derive(Clone)]
pub(super) struct Value<'d> {
    pub(super) doc: &'d Document,
    pub(super) key: &'static Key,
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
        self.refuse(format!("`{}` must be {due}, not {found}", self.key.name), way_out)
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

    /// The key is of another kind than it is read as: a fault of this program, which a test finds.
    fn another_kind<T>(&self) -> Option<T> {
        self.refuse(format!("`{}` is read as something else than its kind", self.key.name), "please report this")
    }

    /// A word or a name.
    pub(super) fn text(&self) -> Option<&'d str> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(text),
            _ => match self.bare_number() {
                Some(digits) => self.refuse_kind("a text", &format!("did you mean \"{}\"?", shown(&digits))),
                None => self.refuse_kind("a text", &format!("write it like {}", self.key.example)),
            },
        }
    }

    /// A text with a unit in it; the unit of the key's example is the likely one.
    pub(super) fn quantity(&self) -> Option<Text<'d>> {
        let Some(due) = Quantity::of(&self.key.kind) else { return self.another_kind() };
        let DeValue::String(text) = self.value.get_ref() else {
            return match self.bare_number() {
                Some(digits) if digits.contains(|c: char| c.is_ascii_digit()) => {
                    self.refuse(due.needs_a_unit(), slip::proposal(self.key, &digits))
                }
                // TOML's own inf and nan
                Some(word) => self.refuse_kind(due.name(), &slip::proposal(self.key, &word)),
                None => self.refuse_kind(due.name(), &format!("write it like {}", self.key.example)),
            };
        };
        Some(Text { doc: self.doc, place: self.place(), order: self.span().start, key: self.key, text })
    }

    /// A length in the key's range.
    pub(super) fn length(&self) -> Option<Length> {
        self.quantity()?.length()
    }

    /// An angle above zero, up to the key's end.
    pub(super) fn turn(&self) -> Option<Angle> {
        self.quantity()?.turn()
    }

    /// A distance from the image plane.
    pub(super) fn distance(&self) -> Option<Distance> {
        self.quantity()?.distance()
    }

    /// A position of a ring in degrees.
    pub(super) fn position(&self, read_on: ReadOn) -> Option<Angle> {
        self.quantity()?.position(read_on)
    }

    /// A stop: a number, or a text like "f/2.8".
    pub(super) fn stop_text(&self) -> Option<Text<'d>> {
        let digits = match self.value.get_ref() {
            DeValue::String(text) => return Some(self.as_text(text)),
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

    /// A bare number in the key's range.
    pub(super) fn number(&self) -> Option<f64> {
        let (Kind::Number(lowest, highest) | Kind::Count(lowest, highest)) = self.key.kind else {
            return self.another_kind();
        };
        let number = match self.value.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse().ok(),
            DeValue::Float(number) => number.as_str().parse().ok(),
            _ => return self.refuse_kind("a bare number", &self.meant_or_allowed()),
        };
        match number {
            Some(number) if (lowest..=highest).contains(&number) => Some(number),
            _ => {
                let written = self.bare_number().unwrap_or_default();
                self.refuse(
                    format!("`{}` cannot be {}", self.key.name, shown(&written)),
                    format!("allowed are {lowest} to {highest}"),
                )
            }
        }
    }

    /// True or false.
    pub(super) fn truth(&self) -> Option<bool> {
        match self.value.get_ref() {
            DeValue::Boolean(truth) => Some(*truth),
            _ => {
                let meant = self.as_str().and_then(|text| slip::did_you_mean(&slip::meant(self.key, text)));
                let way_out = meant.unwrap_or_else(|| "write true or false, without quotes".to_string());
                self.refuse_kind("true or false", &way_out)
            }
        }
    }

    /// What a text was most likely meant to say where no text is due, else what is allowed.
    fn meant_or_allowed(&self) -> String {
        let meant = self.as_str().and_then(|text| slip::did_you_mean(&slip::meant(self.key, text)));
        meant.unwrap_or_else(|| format!("allowed are {}", slip::allowed(&self.key.kind).unwrap_or_default()))
    }

    /// One of a few whole numbers.
    pub(super) fn one_of_numbers(&self) -> Option<i64> {
        let Kind::OneOf(allowed) = self.key.kind else { return self.another_kind() };
        let number = match self.value.get_ref() {
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix()).ok(),
            DeValue::Float(_) => None,
            _ => return self.refuse_kind("a bare number", &self.meant_or_allowed()),
        };
        match number {
            Some(number) if allowed.contains(&number) => Some(number),
            _ => {
                let written = self.bare_number().unwrap_or_default();
                let list = alternatives(allowed.iter().map(i64::to_string));
                self.refuse(format!("`{}` cannot be {}", self.key.name, shown(&written)), format!("allowed are {list}"))
            }
        }
    }

    /// One of a few words.
    pub(super) fn choice<T: Choice>(&self) -> Option<T> {
        let (Kind::Word(of_key) | Kind::Words(of_key)) = self.key.kind else { return self.another_kind() };
        let words = of_key();
        if words != crate::model::words::<T>() {
            return self.another_kind();
        }
        let list = alternatives(words.iter().map(|word| format!("\"{word}\"")));
        let DeValue::String(text) = self.value.get_ref() else {
            return self.refuse_kind("a word in quotes", &format!("allowed are {list}"));
        };
        if let Some(meaning) = T::ALL.iter().find(|one| one.word() == text.as_ref()) {
            return Some(*meaning);
        }
        let label = match nearest(text, &words) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => format!("allowed are {list}"),
        };
        self.refuse(format!("`{}` cannot be \"{}\"", self.key.name, shown(text)), label)
    }

    /// A table whose keys were looked at before.
    pub(super) fn bare_table(&self) -> Option<Table<'d>> {
        let DeValue::Table(table) = self.value.get_ref() else { return None };
        Some(Table { doc: self.doc, table, span: self.span(), known: self.key.kind.table()?, meant: Vec::new() })
    }

    /// A table with known keys.
    pub(super) fn table(&self) -> Option<Table<'d>> {
        let Some(known) = self.key.kind.table() else { return self.another_kind() };
        match self.value.get_ref() {
            DeValue::Table(table) => Some(Table::new(self.doc, table, self.span(), known)),
            _ => self.refuse_kind("a table", &format!("write {}", known.written)),
        }
    }

    /// Short texts, each with the value at which it stands.
    pub(super) fn texts(&self) -> Option<Vec<(Text<'d>, String)>> {
        let DeValue::Table(table) = self.value.get_ref() else {
            return self.refuse_kind("a table", &format!("write it like {}", self.key.example));
        };
        let mut texts = Vec::new();
        for (at, value) in table.iter() {
            let place = Place::new(&self.doc.source, at.span());
            let at = Text { doc: self.doc, place, order: at.span().start, key: self.key, text: at.get_ref().as_ref() };
            match (Value { value, ..self.clone() }).short_text() {
                Some(text) => texts.push((at, text.to_string())),
                None => continue,
            }
        }
        Some(texts)
    }

    /// A text that has room on a scale.
    pub(super) fn short_text(&self) -> Option<&'d str> {
        let text = self.text()?;
        if text.chars().count() <= LONGEST_TEXT {
            return Some(text);
        }
        let message = format!("\"{}\" is too long for a scale", shown(text));
        self.refuse(message, format!("up to {LONGEST_TEXT} characters have room"))
    }

    /// The values of a list.
    pub(super) fn list(&self) -> Option<Vec<Value<'d>>> {
        match self.value.get_ref() {
            DeValue::Array(array) => {
                let value = |value| Value { doc: self.doc, key: self.key, key_span: self.key_span.clone(), value };
                Some(array.iter().map(value).collect())
            }
            _ => {
                let written = match self.key.kind {
                    Kind::Tables(table) => table.list.to_string(),
                    Kind::Stops(..) => format!("{} = {}", self.key.name, self.key.example),
                    _ => self.key.example.to_string(),
                };
                self.refuse_kind("a list", &format!("write it like {written}"))
            }
        }
    }
}
