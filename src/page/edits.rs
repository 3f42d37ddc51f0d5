//! What the page sends becomes edits of the set's texts: only fields and readings that the page shows.

use serde_json::Value;

use super::fields;
use crate::model::RingKind;
use crate::set::edit::{Edit, Written, pasted, with_unit};

/// The most rows of a pasted table; a longer one is refused, not cut.
const MOST_ROWS: usize = 500;

/// One change, which may come to several edits: `put` a field, `cell` of a reading, `add` or `drop` a reading, `paste`.
pub(super) fn one_edit(asked: &Value) -> Result<Vec<Edit>, String> {
    let text = |key: &str| asked[key].as_str().unwrap_or_default();
    let number = |key: &str| -> Result<usize, String> {
        asked[key].as_u64().and_then(|n| usize::try_from(n).ok()).ok_or_else(|| format!("`{key}` is a number"))
    };
    let ring = || match text("ring") {
        "focus" => Ok(RingKind::Focus),
        "iris" => Ok(RingKind::Iris),
        _ => Err("the ring is focus or iris".to_string()),
    };
    match text("kind") {
        "put" => {
            let field = fields::at(text("table"), text("key")).ok_or("the page does not change this key")?;
            let sort = field.sort().ok_or("the page does not change this key")?;
            let table = match field.table.strip_prefix("lens") {
                Some(rest) => format!("lens.{}{rest}", number("lens")?),
                None => field.table.to_string(),
            };
            let place = format!("{table}.{}", field.key).parse().map_err(|error| format!("{error}"))?;
            Ok(vec![Edit::Put { place, value: sort.written(text("text"))? }])
        }
        "cell" => {
            let (lens, ring, row, column) = (number("lens")?, ring()?, number("row")?, text("column"));
            if !columns(ring).contains(&column) {
                return Err(format!("readings have no column `{column}` here"));
            }
            let place = format!("lens.{lens}.{}.readings.{row}.{column}", ring.key());
            let place = place.parse().map_err(|error| format!("{error}"))?;
            Ok(vec![Edit::Put { place, value: cell(column, text("text")) }])
        }
        "add" => {
            let (lens, ring, before) = (number("lens")?, ring()?, number("before")?);
            // in the order of the columns, as a person writes them
            let cell = |key: &&str| Some((key.to_string(), asked["cells"][*key].as_str()?.to_string()));
            let cells = columns(ring).iter().filter_map(cell).collect();
            Ok(vec![Edit::AddReading { lens, ring, before, cells }])
        }
        "drop" => Ok(vec![Edit::DropReading { lens: number("lens")?, ring: ring()?, row: number("row")? }]),
        "paste" => paste(asked, number("lens")?, ring()?, number("row")?, number("rows")?),
        _ => Err("an edit is put, cell, add, drop or paste".to_string()),
    }
}

/// Rows of a spreadsheet over the readings from `row` on; what has no unit takes the one that is named.
fn paste(asked: &Value, lens: usize, ring: RingKind, row: usize, rows: usize) -> Result<Vec<Edit>, String> {
    let unit = asked["unit"].as_str().filter(|unit| ["m", "ft", "cm", "mm", "in"].contains(unit)).unwrap_or("m");
    let columns = columns(ring);
    let text = asked["text"].as_str().unwrap_or_default();
    let lines = text.lines().filter(|line| !line.trim().is_empty()).count();
    if lines > MOST_ROWS {
        return Err(format!(
            "these are {lines} rows; {MOST_ROWS} are pasted at most; keep so many readings in a file of their own, readings_file"
        ));
    }
    // a pasted cell may begin in the second column
    let from = asked["column"].as_str().and_then(|name| columns.iter().position(|column| *column == name)).unwrap_or(0);
    let mut table = pasted(text);
    let names_columns = |cells: &[String]| {
        cells
            .iter()
            .all(|cell| !cell.chars().any(|c| c.is_ascii_digit()) && !cell.trim().to_lowercase().starts_with("inf"))
    };
    if table.first().is_some_and(|cells| names_columns(cells)) {
        table.remove(0);
    }
    let mut edits = Vec::new();
    for (i, cells) in table.iter().enumerate() {
        let pairs = columns[from..].iter().zip(cells).map(|(column, text)| {
            let text = text.trim();
            let text = match *column {
                "distance" => with_unit(text, unit),
                "at" => with_unit(text, "deg"),
                _ => text.to_string(),
            };
            (*column, text)
        });
        let pairs: Vec<(&str, String)> = pairs.collect();
        if row + i < rows {
            for (column, text) in pairs {
                let place = format!("lens.{lens}.{}.readings.{}.{column}", ring.key(), row + i);
                let place = place.parse().map_err(|error| format!("{error}"))?;
                edits.push(Edit::Put { place, value: cell(column, &text) });
            }
        } else {
            let cells = pairs.into_iter().map(|(column, text)| (column.to_string(), text)).collect();
            edits.push(Edit::AddReading { lens, ring, before: row + i, cells });
        }
    }
    Ok(edits)
}

/// What of a reading can be typed on the page.
fn columns(ring: RingKind) -> &'static [&'static str] {
    match ring {
        RingKind::Focus => &["distance", "at", "turned"],
        RingKind::Iris => &["stop", "at"],
    }
}

/// A cell as it is written; an empty one stays, so that the row is not lost while it is typed anew.
fn cell(column: &str, text: &str) -> Option<Written> {
    match column {
        "stop" => Some(Written::Bare(text.to_string())),
        "turned" if text.trim().is_empty() => None,
        _ => Some(Written::Text(text.to_string())),
    }
}
