//! Rows of a readings file: read, put, added, dropped, every other byte left as it is.

use std::ops::Range;
use std::sync::Arc;

use super::place::EditError;
use super::text::{line_end, line_start, newline, one_line, replaced};
use crate::set::csv::{cells, lines, separator};
use crate::set::fault::Source;

/// A reading as it stands in the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingRow {
    /// Key, text, and its bytes.
    pub cells: Vec<(String, String, Range<usize>)>,
    /// The bytes of the whole row.
    pub span: Range<usize>,
    /// The readings file that holds it; `None` for the set file.
    pub file: Option<String>,
}

/// A readings file taken apart.
struct Sheet {
    source: Arc<Source>,
    separator: char,
    /// The names of its columns, in lower case, and the line that holds them.
    columns: Vec<String>,
    head: Range<usize>,
    rows: Vec<Range<usize>>,
}

impl Sheet {
    fn of(text: &str) -> Option<Sheet> {
        let source = Source::new("readings", text);
        let mut all = lines(text);
        let head = all.next()?;
        let rows = all.collect();
        let separator = separator(&text[head.clone()]);
        let columns = cells(&source, head.clone(), separator).ok()?;
        let columns = columns.iter().map(|cell| cell.text.trim().to_lowercase()).collect();
        Some(Sheet { source, separator, columns, head, rows })
    }

    /// A text as a cell.
    fn cell(&self, text: &str) -> String {
        let text = one_line(text);
        let bare = !text.contains(self.separator) && !text.starts_with(['"', '#']) && text.trim() == text;
        if bare { text } else { format!("\"{}\"", text.replace('"', "\"\"")) }
    }

    fn column(&self, name: &str) -> Result<usize, EditError> {
        let found = self.columns.iter().position(|column| column == name);
        found.ok_or_else(|| {
            EditError::new(format!("this readings file has no column `{name}`; add it to its first line in an editor"))
        })
    }

    fn row(&self, row: usize) -> Result<Range<usize>, EditError> {
        self.rows.get(row).cloned().ok_or_else(|| EditError::new(format!("there is no reading {} any more", row + 1)))
    }
}

fn sheet(text: &str) -> Result<Sheet, EditError> {
    Sheet::of(text)
        .ok_or_else(|| EditError::new("this readings file has no line that names its columns; add it in an editor"))
}

/// Every row of a readings file, empty cells among them.
pub(super) fn read(name: &str, text: &str) -> Vec<ReadingRow> {
    let Some(sheet) = Sheet::of(text) else { return Vec::new() };
    let row = |span: &Range<usize>| {
        let found = cells(&sheet.source, span.clone(), sheet.separator).unwrap_or_default();
        let cells = sheet.columns.iter().zip(found).filter(|(column, _)| !column.is_empty());
        let cells = cells.map(|(column, cell)| (column.clone(), cell.text.to_string(), cell.span.clone())).collect();
        ReadingRow { cells, span: span.clone(), file: Some(name.to_string()) }
    };
    sheet.rows.iter().map(row).collect()
}

/// The text with another cell.
pub(super) fn put(text: &str, row: usize, column: &str, value: &str) -> Result<String, EditError> {
    let sheet = sheet(text)?;
    let span = sheet.row(row)?;
    if value.trim().is_empty() && !sheet.columns.iter().any(|name| name == column) {
        return Ok(text.to_string());
    }
    let column = sheet.column(column)?;
    let found = cells(&sheet.source, span.clone(), sheet.separator)
        .map_err(|fault| EditError::new(format!("{}; mend the row in an editor", fault.message())))?;
    match found.get(column) {
        Some(cell) => Ok(replaced(text, cell.span.clone(), &sheet.cell(value))),
        None => {
            let missing = sheet.separator.to_string().repeat(column + 1 - found.len());
            Ok(replaced(text, span.end..span.end, &format!("{missing}{}", sheet.cell(value))))
        }
    }
}

/// The text with a row more.
pub(super) fn add(text: &str, before: usize, given: &[(String, String)]) -> Result<String, EditError> {
    let sheet = sheet(text)?;
    for (key, text) in given.iter().filter(|(_, text)| !text.trim().is_empty()) {
        sheet.column(key).map_err(|error| EditError::new(format!("{error}; {key} was {text}")))?;
    }
    let cell = |column: &String| {
        given.iter().find(|(key, _)| key == column).map_or(String::new(), |(_, text)| sheet.cell(text))
    };
    let line = sheet.columns.iter().map(cell).collect::<Vec<_>>().join(&sheet.separator.to_string());
    let new = newline(text);
    Ok(match sheet.rows.get(before) {
        Some(next) => {
            let start = line_start(text, next.start);
            replaced(text, start..start, &format!("{line}{new}"))
        }
        None => {
            let last = sheet.rows.last().unwrap_or(&sheet.head).clone();
            let end = line_end(text, last.end);
            replaced(text, end..end, &format!("{new}{line}"))
        }
    })
}

/// The text without a row.
pub(super) fn dropped(text: &str, row: usize) -> Result<String, EditError> {
    let span = sheet(text)?.row(row)?;
    let start = line_start(text, span.start);
    let end = text[span.end..].find('\n').map_or(text.len(), |newline| span.end + newline + 1);
    Ok(replaced(text, start..end, ""))
}
