//! What stands where in the texts of a set, whether or not the set can be read.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::place::{EditError, FieldPlace, Step};
use super::rows::{self, ReadingRow};
use super::text::Texts;
use crate::model::RingKind;

/// A value as a person would type it, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// Without quotes; a list with commas.
    pub text: String,
    /// Its bytes in the set file.
    pub span: Range<usize>,
}

/// A table of the texts.
pub struct Outline<'t> {
    root: DeTable<'t>,
    texts: Option<&'t Texts>,
}

impl<'t> Outline<'t> {
    /// The outline of a set's texts.
    ///
    /// # Errors
    /// When the set file is no TOML.
    pub fn of(texts: &'t Texts) -> Result<Self, EditError> {
        Ok(Outline { texts: Some(texts), ..Outline::of_text(&texts.set)? })
    }

    pub(super) fn of_text(text: &'t str) -> Result<Self, EditError> {
        let (root, errors) = DeTable::parse_recoverable(text);
        if errors.is_empty() {
            return Ok(Outline { root: root.into_inner(), texts: None });
        }
        Err(EditError::new("the set file is no TOML as it stands; mend it in an editor first"))
    }

    /// The number of lenses.
    pub fn lens_count(&self) -> usize {
        match self.root.get("lens").map(Spanned::get_ref) {
            Some(DeValue::Array(lenses)) => lenses.iter().count(),
            _ => 0,
        }
    }

    /// The name of a lens, where it has one.
    pub fn lens_name(&self, lens: usize) -> Option<String> {
        self.text_in(&[Step::Key("lens".into()), Step::At(lens), Step::Key("name".into())]).map(|shown| shown.text)
    }

    /// Whether a lens says anything of a ring.
    pub fn has_ring(&self, lens: usize, ring: RingKind) -> bool {
        self.ring(lens, ring).is_some()
    }

    /// What stands at a place.
    pub fn text_at(&self, place: &FieldPlace) -> Option<Shown> {
        self.text_in(&place.0)
    }

    fn text_in(&self, steps: &[Step]) -> Option<Shown> {
        let (_, value) = self.find(steps)?;
        Some(Shown { text: typed(value.get_ref())?, span: value.span() })
    }

    /// The readings files that the set names, each once.
    pub fn readings_files(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for lens in 0..self.lens_count() {
            for ring in [RingKind::Focus, RingKind::Iris] {
                names.extend(self.readings_file(lens, ring).filter(|name| !names.contains(name)));
            }
        }
        names
    }

    pub(super) fn readings_file(&self, lens: usize, ring: RingKind) -> Option<String> {
        match self.ring(lens, ring)?.get("readings_file")?.get_ref() {
            DeValue::String(name) => Some(name.to_string()),
            _ => None,
        }
    }

    /// Every reading of a ring, those that the set's reader refuses among them.
    pub fn readings(&self, lens: usize, ring: RingKind) -> Vec<ReadingRow> {
        if let Some(name) = self.readings_file(lens, ring) {
            let text = self.texts.and_then(|texts| texts.files.get(&name));
            return text.map_or(Vec::new(), |text| rows::read(&name, text));
        }
        let list = self.ring(lens, ring).and_then(|table| match table.get("readings")?.get_ref() {
            DeValue::Array(list) => Some(list),
            _ => None,
        });
        let row = |value: &Spanned<DeValue>| {
            let mut cells: Vec<(String, String, Range<usize>)> = match value.get_ref() {
                DeValue::Table(table) => {
                    let cell = |(key, value): (&Spanned<_>, &Spanned<DeValue>)| {
                        let key: &std::borrow::Cow<str> = key.get_ref();
                        Some((key.to_string(), typed(value.get_ref())?, value.span()))
                    };
                    table.iter().filter_map(cell).collect()
                }
                _ => Vec::new(),
            };
            cells.sort_by_key(|(_, _, span)| span.start);
            ReadingRow { cells, span: value.span(), file: None }
        };
        list.map_or(Vec::new(), |list| list.iter().map(row).collect())
    }

    /// The innermost value that holds the start of `span`, in the set file or in a readings file.
    pub fn place_of(&self, file: Option<&str>, span: &Range<usize>) -> Option<FieldPlace> {
        if let Some(file) = file {
            return self.place_in_file(file, span);
        }
        let mut steps = Vec::new();
        innermost(&self.root, span.start, &mut steps).then_some(FieldPlace(steps))
    }

    fn place_in_file(&self, file: &str, span: &Range<usize>) -> Option<FieldPlace> {
        for lens in 0..self.lens_count() {
            for ring in [RingKind::Focus, RingKind::Iris] {
                if self.readings_file(lens, ring).as_deref() != Some(file) {
                    continue;
                }
                let rows = self.readings(lens, ring);
                let row = rows.iter().position(|row| row.span.start <= span.start && span.start <= row.span.end)?;
                let cell =
                    rows[row].cells.iter().find(|(_, _, cell)| cell.start <= span.start && span.start <= cell.end);
                let place = format!("lens.{lens}.{}.readings.{row}", ring.key());
                return match cell.filter(|_| span.start != rows[row].span.start || span.end != rows[row].span.end) {
                    Some((key, ..)) => format!("{place}.{key}").parse().ok(),
                    None => place.parse().ok(),
                };
            }
        }
        None
    }

    fn ring(&self, lens: usize, ring: RingKind) -> Option<&DeTable<'t>> {
        let steps = [Step::Key("lens".into()), Step::At(lens), Step::Key(ring.key().into())];
        match self.find(&steps)?.1.get_ref() {
            DeValue::Table(table) => Some(table),
            _ => None,
        }
    }

    /// The value at the end of `steps`, with its key where the last step is one.
    pub(super) fn find(&self, steps: &[Step]) -> Option<(Option<Range<usize>>, &Spanned<DeValue<'t>>)> {
        let (first, rest) = steps.split_first()?;
        let Step::Key(first) = first else { return None };
        let (key, value) = self.root.get_key_value(first.as_str())?;
        let mut found = (Some(key.span()), value);
        for step in rest {
            found = match (found.1.get_ref(), step) {
                (DeValue::Table(table), Step::Key(key)) => {
                    let (key, value) = table.get_key_value(key.as_str())?;
                    (Some(key.span()), value)
                }
                (DeValue::Array(list), Step::At(at)) => (None, list.get(*at)?),
                _ => return None,
            };
        }
        Some(found)
    }

    pub(super) fn root(&self) -> &DeTable<'t> {
        &self.root
    }
}

/// A value without its quotes; `None` for tables and lists of them.
fn typed(value: &DeValue) -> Option<String> {
    match value {
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Integer(number) => Some(number.to_string()),
        DeValue::Float(number) => Some(number.to_string()),
        DeValue::Boolean(flag) => Some(flag.to_string()),
        DeValue::Datetime(date) => Some(date.to_string()),
        DeValue::Array(list) => {
            let parts: Option<Vec<String>> = list.iter().map(|value| typed(value.get_ref())).collect();
            Some(parts?.join(", "))
        }
        DeValue::Table(_) => None,
    }
}

/// Walks down to the innermost value that holds the byte `at`; whether there is one.
fn innermost(table: &DeTable, at: usize, steps: &mut Vec<Step>) -> bool {
    for (key, value) in table {
        steps.push(Step::Key(key.get_ref().to_string()));
        if inside(value, at, steps) || key.span().contains(&at) {
            return true;
        }
        steps.pop();
    }
    false
}

fn inside(value: &Spanned<DeValue>, at: usize, steps: &mut Vec<Step>) -> bool {
    let deeper = match value.get_ref() {
        DeValue::Table(table) => innermost(table, at, steps),
        DeValue::Array(list) => list.iter().enumerate().any(|(i, value)| {
            steps.push(Step::At(i));
            let found = inside(value, at, steps);
            if !found {
                steps.pop();
            }
            found
        }),
        _ => false,
    };
    deeper || value.span().contains(&at)
}
