//! Changes of a TOML text at the places that its parser found.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::outline::Outline;
use super::place::{EditError, Step};
use super::text::{Written, line_end, line_start, newline, one_line, replaced};
use crate::model::RingKind;

/// The text with a value put at a place, or its key taken out.
pub(super) fn put(text: &str, steps: &[Step], value: Option<&Written>) -> Result<String, EditError> {
    let outline = Outline::of_text(text)?;
    let Some(value) = value else {
        return match outline.find(steps) {
            Some((Some(key), found)) => parsed(taken_out(text, key, found.span())),
            Some((None, _)) => Err(EditError::new("a part of a list is taken out in an editor")),
            None => Ok(text.to_string()),
        };
    };
    let literal = literal(value);
    if let Some((_, found)) = outline.find(steps) {
        if matches!(found.get_ref(), DeValue::Table(_)) {
            return Err(EditError::new("a table stands here, not a value; change it in an editor"));
        }
        return parsed(replaced(text, found.span(), &literal));
    }
    // as deep as there are tables
    let deepest = (0..steps.len()).rev().find_map(|depth| match depth {
        0 => Some((0, Container { table: outline.root(), span: 0..0, root: true })),
        _ => match outline.find(&steps[..depth]) {
            Some((_, value)) => match value.get_ref() {
                DeValue::Table(table) => Some((depth, Container { table, span: value.span(), root: false })),
                _ => None,
            },
            None => None,
        },
    });
    let not_here = || EditError::new("there is no table for this in the set file; add it in an editor");
    let (depth, container) = deepest.ok_or_else(not_here)?;
    let keys: Option<Vec<&str>> = steps[depth..]
        .iter()
        .map(|step| match step {
            Step::Key(key) => Some(key.as_str()),
            Step::At(_) => None,
        })
        .collect();
    let keys = keys.ok_or_else(not_here)?;
    let Some((last, between)) = keys.split_last() else { return Err(not_here()) };
    // [style] and [process.film] get a header of their own; whatever lies deeper in a lens is one value
    let of_a_lens = matches!(steps.first(), Some(Step::Key(key)) if key == "lens");
    if !between.is_empty() && !of_a_lens && !container.is_inline(text) {
        let keys: Vec<&str> =
            steps.iter().filter_map(|step| if let Step::Key(key) = step { Some(key.as_str()) } else { None }).collect();
        let header = keys[..keys.len() - 1].join(".");
        return parsed(with_table(text, &header, &format!("{last} = {literal}")));
    }
    if between.first().is_some_and(|key| ["focus", "iris"].contains(key)) {
        return Err(not_here());
    }
    let value = between.iter().rev().fold(format!("{last} = {literal}"), |inner, key| format!("{key} = {{ {inner} }}"));
    parsed(container.with(text, &value)?)
}

/// A table that takes a further key.
struct Container<'a, 'd> {
    table: &'a DeTable<'d>,
    span: Range<usize>,
    root: bool,
}

impl Container<'_, '_> {
    fn is_inline(&self, text: &str) -> bool {
        !self.root && text[self.span.clone()].starts_with('{')
    }

    /// The text with `key = value` as the last of the table.
    fn with(&self, text: &str, statement: &str) -> Result<String, EditError> {
        let assigned = self.table.iter().filter(|(key, _)| is_assigned(text, key.span().end));
        let last = assigned.max_by_key(|(_, value)| value.span().end);
        if self.is_inline(text) {
            return Ok(match last {
                Some((_, value)) => replaced(text, value.span().end..value.span().end, &format!(", {statement}")),
                None => replaced(text, self.span.clone(), &format!("{{ {statement} }}")),
            });
        }
        let new = newline(text);
        if let Some((key, value)) = last {
            // the blanks before the key, and what leads to it with dots
            let lead = &text[line_start(text, key.span().start)..key.span().start];
            let end = line_end(text, value.span().end);
            return Ok(replaced(text, end..end, &format!("{new}{lead}{statement}")));
        }
        if self.root || !text[self.span.clone()].starts_with('[') {
            return Err(EditError::new("there is no place for this key; add it in an editor"));
        }
        let start = line_start(text, self.span.start);
        let indent: String = text[start..].chars().take_while(|c| *c == ' ' || *c == '\t').collect();
        let end = line_end(text, self.span.end);
        Ok(replaced(text, end..end, &format!("{new}{indent}{statement}")))
    }
}

/// Whether a key is followed by its value, and is not a header or a part of a dotted key.
fn is_assigned(text: &str, key_end: usize) -> bool {
    text[key_end..].trim_start_matches([' ', '\t']).starts_with('=')
}

/// The text with a table of its own, before the lenses or at the end.
fn with_table(text: &str, header: &str, statement: &str) -> String {
    let new = newline(text);
    let table = format!("[{header}]{new}{statement}{new}");
    let mut at = 0;
    let mut before_lenses = None;
    for line in text.split_inclusive('\n') {
        if line.trim_start().starts_with("[[lens]]") || line.trim_start().starts_with("[[ lens") {
            before_lenses = Some(at);
            break;
        }
        at += line.len();
    }
    match before_lenses {
        Some(mut at) => {
            // the comment above the first lens stays above it
            while at > 0 {
                let start = line_start(text, at - 1);
                if !text[start..at].trim_start().starts_with('#') {
                    break;
                }
                at = start;
            }
            replaced(text, at..at, &format!("{table}{new}"))
        }
        None => {
            let gap = if text.is_empty() || text.ends_with('\n') { "" } else { new };
            format!("{text}{gap}{new}{table}")
        }
    }
}

/// The text without `key = value`; its line goes too, unless a comment stands behind it.
fn taken_out(text: &str, key: Range<usize>, value: Range<usize>) -> String {
    let start = line_start(text, key.start);
    let before = text[start..key.start].trim_start();
    let in_braces = before.contains('{') || before.contains(',') || is_inside_braces(text, value.end);
    if in_braces {
        let rest = &text[value.end..];
        let blanks = rest.len() - rest.trim_start().len();
        if rest.trim_start().starts_with(',') {
            let after = &rest[blanks + 1..];
            let end = value.end + blanks + 1 + (after.len() - after.trim_start_matches(' ').len());
            return replaced(text, key.start..end, "");
        }
        let comma = text[..key.start].trim_end();
        let from = if comma.ends_with(',') { comma.len() - 1 } else { key.start };
        return replaced(text, from..value.end, "");
    }
    let end = line_end(text, value.end);
    if text[value.end..end].trim().is_empty() {
        let next = text[end..].find('\n').map_or(text.len(), |newline| end + newline + 1);
        return replaced(text, start..next, "");
    }
    let indent = start + (text[start..].len() - text[start..].trim_start_matches([' ', '\t']).len());
    let comment = text[value.end..end].len() - text[value.end..end].trim_start().len();
    replaced(text, indent..value.end + comment, "")
}

/// Whether a value that is the only one of its line stands in an inline table that spans lines.
fn is_inside_braces(text: &str, value_end: usize) -> bool {
    text[value_end..].trim_start().starts_with([',', '}'])
}

/// The text with a reading more in a ring's list.
pub(super) fn add_reading(
    text: &str,
    lens: usize,
    ring: RingKind,
    before: usize,
    cells: &[(String, String)],
) -> Result<String, EditError> {
    let outline = Outline::of_text(text)?;
    let row = reading(ring, cells);
    let at = [Step::Key("lens".into()), Step::At(lens), Step::Key(ring.key().into())];
    let Some((_, table)) = outline.find(&at) else {
        let words = format!("lens {} has no [lens.{}] in the set file; add it in an editor", lens + 1, ring.key());
        return Err(EditError::new(words));
    };
    let DeValue::Table(of_ring) = table.get_ref() else {
        return Err(EditError::new("the ring is no table in the set file; change it in an editor"));
    };
    let new = newline(text);
    let list = match of_ring.get_key_value("readings") {
        Some((key, value)) => match value.get_ref() {
            DeValue::Array(list) if is_assigned(text, key.span().end) => Some((list, value.span())),
            _ => return Err(EditError::new("these readings are no list of one line each; add to them in an editor")),
        },
        None => None,
    };
    let Some((list, span)) = list else {
        let container = Container { table: of_ring, span: table.span(), root: false };
        let list = if container.is_inline(text) { format!("[{row}]") } else { format!("[{new}    {row},{new}  ]") };
        return parsed(container.with(text, &format!("readings = {list}"))?);
    };
    let spans: Vec<Range<usize>> = list.iter().map(Spanned::span).collect();
    if spans.is_empty() {
        return parsed(replaced(text, span, &format!("[{new}    {row},{new}  ]")));
    }
    if let Some(next) = spans.get(before) {
        // in its place, with the separator of the rows here
        let own_line = text[line_start(text, next.start)..next.start].trim().is_empty();
        let lead =
            if own_line { format!("{new}{}", &text[line_start(text, next.start)..next.start]) } else { " ".into() };
        return parsed(replaced(text, next.start..next.start, &format!("{row},{lead}")));
    }
    let Some(last) = spans.last().cloned() else { return Ok(text.to_string()) };
    let own_line = text[line_start(text, last.start)..last.start].trim().is_empty();
    let after = &text[last.end..span.end - 1];
    let comma = comma_before_comments(after).map(|at| last.end + at + 1);
    if !own_line {
        return parsed(match comma {
            Some(end) => replaced(text, end..end, &format!(" {row},")),
            None => replaced(text, last.end..last.end, &format!(", {row}")),
        });
    }
    let lead = &text[line_start(text, last.start)..last.start];
    // behind the comment of the last row, if it has one
    let end = line_end(text, comma.unwrap_or(last.end)).min(span.end - 1);
    let end = if text[comma.unwrap_or(last.end)..end].trim().is_empty() { comma.unwrap_or(last.end) } else { end };
    parsed(match comma {
        Some(_) => replaced(text, end..end, &format!("{new}{lead}{row},")),
        None => {
            let with_row = replaced(text, end..end, &format!("{new}{lead}{row}"));
            replaced(&with_row, last.end..last.end, ",")
        }
    })
}

/// Where the comma behind a row stands, looking past blanks, ends of lines and comments.
fn comma_before_comments(after: &str) -> Option<usize> {
    let mut at = 0;
    loop {
        let rest = &after[at..];
        let next = at + (rest.len() - rest.trim_start().len());
        match after[next..].chars().next()? {
            ',' => return Some(next),
            '#' => at = line_end(after, next).max(next + 1),
            _ => return None,
        }
    }
}

/// A reading as one row of a list.
fn reading(ring: RingKind, cells: &[(String, String)]) -> String {
    let cells = cells
        .iter()
        .filter(|(key, text)| !text.trim().is_empty() || ["distance", "stop", "at"].contains(&key.as_str()));
    let cell = |(key, text): &(String, String)| {
        let value = if ring == RingKind::Iris && key == "stop" {
            Written::Bare(text.clone())
        } else {
            Written::Text(text.clone())
        };
        format!("{key} = {}", literal(&value))
    };
    format!("{{ {} }}", cells.map(cell).collect::<Vec<_>>().join(", "))
}

/// The text without a reading of a ring's list.
pub(super) fn drop_reading(text: &str, lens: usize, ring: RingKind, row: usize) -> Result<String, EditError> {
    let outline = Outline::of_text(text)?;
    let at = [Step::Key("lens".into()), Step::At(lens), Step::Key(ring.key().into()), Step::Key("readings".into())];
    let missing = || EditError::new(format!("there is no reading {} any more", row + 1));
    let (key, list) = outline.find(&at).ok_or_else(missing)?;
    let DeValue::Array(rows) = list.get_ref() else { return Err(missing()) };
    if !key.is_some_and(|key| is_assigned(text, key.end)) {
        return Err(EditError::new("these readings are no list of one line each; take them out in an editor"));
    }
    let spans: Vec<Range<usize>> = rows.iter().map(Spanned::span).collect();
    let row_span = spans.get(row).cloned().ok_or_else(missing)?;
    let comma = comma_before_comments(&text[row_span.end..list.span().end - 1]).map(|at| row_span.end + at);
    let end = comma.map_or(row_span.end, |comma| comma + 1);
    let start = line_start(text, row_span.start);
    let close = line_end(text, end);
    if text[start..row_span.start].trim().is_empty()
        && text[end..close].trim().is_empty()
        && text[row_span.clone()].find('\n').is_none()
    {
        // the whole line, unless a comment stands on it
        let next = text[close..].find('\n').map_or(text.len(), |newline| close + newline + 1);
        return parsed(replaced(text, start..next, ""));
    }
    match comma {
        Some(_) => {
            let blanks = text[end..].len() - text[end..].trim_start_matches(' ').len();
            parsed(replaced(text, row_span.start..end + blanks, ""))
        }
        None => {
            let before = text[..row_span.start].trim_end();
            let from = if before.ends_with(',') { before.len() - 1 } else { row_span.start };
            parsed(replaced(text, from..row_span.end, ""))
        }
    }
}

/// A value in TOML.
fn literal(value: &Written) -> String {
    match value {
        Written::Text(text) => quoted(text),
        Written::Bare(text) => {
            let text = text.trim();
            if is_number(text) { text.to_string() } else { quoted(text) }
        }
        Written::Flag(flag) => flag.to_string(),
        Written::Words(words) => list(words.iter().map(|word| quoted(word))),
        Written::Stops(stops) => list(stops.iter().map(|stop| literal(&Written::Bare(stop.clone())))),
    }
}

fn is_number(text: &str) -> bool {
    let line = format!("n = {text}");
    let (table, errors) = DeTable::parse_recoverable(&line);
    let number =
        matches!(table.get_ref().get("n").map(Spanned::get_ref), Some(DeValue::Integer(_) | DeValue::Float(_)));
    errors.is_empty() && number && table.get_ref().iter().count() == 1 && !text.contains(['#', '\n', '\r'])
}

fn list(parts: impl Iterator<Item = String>) -> String {
    format!("[{}]", parts.collect::<Vec<_>>().join(", "))
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", one_line(text).replace('\\', "\\\\").replace('"', "\\\""))
}

/// The text, if it can still be read.
fn parsed(text: String) -> Result<String, EditError> {
    match Outline::of_text(&text) {
        Ok(_) => Ok(text),
        Err(_) => Err(EditError::new("this cannot be written into the file from here; change it in an editor")),
    }
}
