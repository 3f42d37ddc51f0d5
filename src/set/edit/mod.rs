//! Changes to the texts of a set that leave everything else as it stands: comments, order, blanks, quotes, ends of lines.
//!
//! Takes the text of a set file and of the readings files that it names; gives the texts with a value put, a key taken out,
//! a reading added or dropped. A change is spliced into the text at the place that the parser found, so that every other byte
//! stays; a text that could not be parsed any more afterwards is refused. No file is touched here.
//!
//! Source of the grammars: the TOML specification 1.1; readings files as in `set/csv.rs`.

mod clipboard;
mod outline;
mod place;
mod rows;
mod splice;
#[cfg(test)]
mod tests;
mod text;

pub use clipboard::{pasted, with_unit};
pub use outline::{Outline, Shown};
pub use place::{EditError, FieldPlace, Step};
pub use rows::ReadingRow;
pub use text::{Texts, Written};

use crate::model::RingKind;

/// The longest text that a change may lead to, in bytes: what the reader takes.
const LARGEST: usize = 4 << 20;

/// One change.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Puts a value at a place; `None` takes its key out, so that the default holds.
    Put {
        /// Where.
        place: FieldPlace,
        /// What.
        value: Option<Written>,
    },
    /// Adds a reading, in the list or the file in which the ring's readings stand.
    AddReading {
        /// Which lens, from 0.
        lens: usize,
        /// Which ring.
        ring: RingKind,
        /// The row it comes before; the number of rows to add it last.
        before: usize,
        /// Keys and texts.
        cells: Vec<(String, String)>,
    },
    /// Takes a reading out.
    DropReading {
        /// Which lens, from 0.
        lens: usize,
        /// Which ring.
        ring: RingKind,
        /// Which row, from 0.
        row: usize,
    },
}

impl Texts {
    /// The texts after some changes, made one after the other.
    ///
    /// # Errors
    /// A place that is not there, a text that is no TOML, a reading of a file that is not at hand. Nothing is changed then.
    pub fn edited(&self, edits: &[Edit]) -> Result<Texts, EditError> {
        let mut texts = self.clone();
        for edit in edits {
            texts.apply(edit)?;
            let largest = texts.files.values().map(String::len).max().unwrap_or(0).max(texts.set.len());
            if largest > LARGEST {
                return Err(EditError::new("the file would become too large; files up to 4 MiB are read"));
            }
        }
        Ok(texts)
    }

    fn apply(&mut self, edit: &Edit) -> Result<(), EditError> {
        let (lens, ring) = match edit {
            Edit::Put { place, value } => match of_a_reading(place) {
                Some((lens, ring, row, column)) => {
                    if let Some(file) = self.readings_file(lens, ring)? {
                        let text = value.as_ref().map_or(String::new(), plain);
                        let edited = rows::put(self.file(&file)?, row, column, &text)?;
                        self.files.insert(file, edited);
                        return Ok(());
                    }
                    self.set = splice::put(&self.set, &place.0, value.as_ref())?;
                    return Ok(());
                }
                None => {
                    self.set = splice::put(&self.set, &place.0, value.as_ref())?;
                    return Ok(());
                }
            },
            Edit::AddReading { lens, ring, .. } | Edit::DropReading { lens, ring, .. } => (*lens, *ring),
        };
        let file = self.readings_file(lens, ring)?;
        match (edit, file) {
            (Edit::AddReading { before, cells, .. }, Some(file)) => {
                let edited = rows::add(self.file(&file)?, *before, cells)?;
                self.files.insert(file, edited);
            }
            (Edit::DropReading { row, .. }, Some(file)) => {
                let edited = rows::dropped(self.file(&file)?, *row)?;
                self.files.insert(file, edited);
            }
            (Edit::AddReading { before, cells, .. }, None) => {
                self.set = splice::add_reading(&self.set, lens, ring, *before, cells)?;
            }
            (Edit::DropReading { row, .. }, None) => self.set = splice::drop_reading(&self.set, lens, ring, *row)?,
            (Edit::Put { .. }, _) => {}
        }
        Ok(())
    }

    /// The file in which a ring's readings stand, if they do.
    fn readings_file(&self, lens: usize, ring: RingKind) -> Result<Option<String>, EditError> {
        Ok(Outline::of_text(&self.set)?.readings_file(lens, ring))
    }

    fn file(&self, name: &str) -> Result<&str, EditError> {
        let text = self.files.get(name).map(String::as_str);
        text.ok_or_else(|| EditError::new(format!("{name} cannot be changed here: it is not at hand beside the set")))
    }
}

/// Which cell of which reading a place names.
fn of_a_reading(place: &FieldPlace) -> Option<(usize, RingKind, usize, &str)> {
    match place.0.as_slice() {
        [Step::Key(lens), Step::At(number), Step::Key(ring), Step::Key(readings), Step::At(row), Step::Key(column)]
            if lens == "lens" && readings == "readings" =>
        {
            let ring = [RingKind::Focus, RingKind::Iris].into_iter().find(|kind| kind.key() == ring)?;
            Some((*number, ring, *row, column))
        }
        _ => None,
    }
}

/// A value as a cell of a readings file.
fn plain(value: &Written) -> String {
    match value {
        Written::Text(text) | Written::Bare(text) => text.clone(),
        Written::Flag(flag) => flag.to_string(),
        Written::Words(list) | Written::Stops(list) => list.join(" "),
    }
}
