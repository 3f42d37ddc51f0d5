//! A readings file: rows of cells that know their place.
//!
//! The first row names the columns, in any order. Commas, semicolons or tabs separate the cells, whichever the first
//! row uses; a cell in double quotes may hold them, and a doubled quote stands for one. Blank lines and lines that
//! begin with # are skipped.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

use super::fault::{Fault, Source, shown};
use super::near::nearest;

/// One cell: its text without quotes, and the bytes that hold it.
pub(super) struct Cell<'t> {
    pub(super) span: Range<usize>,
    pub(super) text: Cow<'t, str>,
}

/// One row's cells in the order of the wanted columns, and the bytes of its line.
pub(super) struct CsvRow<'t> {
    pub(super) span: Range<usize>,
    pub(super) cells: [Cell<'t>; 2],
    /// The cell of the optional column, where it is not empty.
    pub(super) more: Option<Cell<'t>>,
}

/// The rows of `source` that can be read, and the faults of the others; the column `more` is optional.
pub(super) fn rows<'t>(
    source: &'t Arc<Source>,
    wanted: [&'static str; 2],
    more: Option<&'static str>,
) -> (Vec<CsvRow<'t>>, Vec<Fault>) {
    let text = source.text();
    let mut faults = Vec::new();
    let mut rows = Vec::new();
    // an empty form is one fault, not one a row
    let mut empty: Option<(usize, Range<usize>, usize)> = None;
    let mut lines = lines(text);
    let Some(header) = lines.next() else {
        faults.push(Fault::new(source, "this readings file is empty").help(first_row(wanted)));
        return (rows, faults);
    };
    let separator = separator(&text[header.clone()]);
    let Some(columns) = columns(source, header, separator, wanted, more, &mut faults) else {
        return (rows, faults);
    };
    for line in lines {
        let mut cells = match cells(source, line.clone(), separator) {
            Ok(cells) => cells,
            Err(fault) => {
                faults.push(*fault);
                continue;
            }
        };
        if let Some(extra) = cells.iter().skip(columns.count).find(|cell| !cell.text.is_empty()) {
            let message = format!("this row has more cells than the {} columns", columns.count);
            let fault = Fault::new(source, message).mark(extra.span.clone(), "no column goes with this");
            let is_digit = |c: char| c.is_ascii_digit();
            let parted = |pair: &[Cell]| pair[0].text.ends_with(is_digit) && pair[1].text.starts_with(is_digit);
            let help = "numbers are written with a decimal point here: a comma parts cells";
            let comma = separator == ',' && cells.windows(2).any(parted);
            faults.push(if comma { fault.help(help) } else { fault });
            continue;
        }
        let missing = (0..2).find(|i| cells.get(columns.at[*i]).is_none_or(|cell| cell.text.is_empty()));
        if let Some(i) = missing {
            let (.., count) = empty.get_or_insert((i, line, 0));
            *count += 1;
            continue;
        }
        let mut take =
            |i: usize| std::mem::replace(&mut cells[columns.at[i]], Cell { span: 0..0, text: Cow::Borrowed("") });
        let both = [take(0), take(1)];
        let more = columns.more.and_then(|i| (i < cells.len()).then(|| cells.swap_remove(i)));
        rows.push(CsvRow { span: line, cells: both, more: more.filter(|cell| !cell.text.is_empty()) });
    }
    if let Some((i, line, count)) = empty {
        let fault = Fault::new(source, format!("this row has no `{}`", wanted[i]));
        let fault = fault.mark(line, "fill the cell, or begin the line with # to skip it");
        faults.push(match count - 1 {
            0 => fault,
            1 => fault.note("and one further row has an empty cell"),
            more => fault.note(format!("and {more} further rows have empty cells")),
        });
    }
    (rows, faults)
}

/// The separator of a file with this first row.
pub(super) fn separator(header: &str) -> char {
    [',', ';', '\t'].into_iter().find(|c| header.contains(*c)).unwrap_or(',')
}

/// The lines that are not blank, without line ends and surrounding blanks.
pub(super) fn lines(text: &str) -> impl Iterator<Item = Range<usize>> {
    let mut at = 0;
    text.split_inclusive('\n')
        .map(move |line| {
            let start = at;
            at += line.len();
            let body = if start == 0 { line.trim_start_matches('\u{feff}') } else { line };
            let start = start + line.len() - body.len();
            let trimmed = body.trim_matches([' ', '\r', '\n']);
            let start = start + body.len() - body.trim_start_matches([' ', '\r', '\n']).len();
            start..start + trimmed.len()
        })
        .filter(|line| !text[line.clone()].trim().is_empty() && !text[line.clone()].starts_with('#'))
}

struct Columns {
    /// Where the wanted columns stand.
    at: [usize; 2],
    more: Option<usize>,
    count: usize,
}

fn first_row(wanted: [&str; 2]) -> String {
    format!("the first line names the columns: {},{}", wanted[0], wanted[1])
}

fn columns(
    source: &Arc<Source>,
    line: Range<usize>,
    separator: char,
    wanted: [&'static str; 2],
    more: Option<&'static str>,
    faults: &mut Vec<Fault>,
) -> Option<Columns> {
    let cells = match cells(source, line.clone(), separator) {
        Ok(cells) => cells,
        Err(fault) => {
            faults.push(*fault);
            return None;
        }
    };
    let names = |cell: &Cell, name: &str| cell.text.eq_ignore_ascii_case(name);
    if !cells.iter().any(|cell| wanted.iter().any(|name| names(cell, name) || nearest(&cell.text, &[name]).is_some())) {
        let fault = Fault::new(source, "this line does not name the columns");
        faults.push(fault.mark(line, format!("put a line \"{},{}\" above it", wanted[0], wanted[1])));
        return None;
    }
    let before = faults.len();
    let mut at = [None, None];
    let mut beside = None;
    let known: Vec<&'static str> = wanted.into_iter().chain(more).collect();
    for (i, cell) in cells.iter().enumerate().filter(|(_, cell)| !cell.text.is_empty()) {
        let fault = match known.iter().position(|name| names(cell, name)) {
            Some(2) if beside.is_none() => {
                beside = Some(i);
                continue;
            }
            Some(which) if which < 2 && at[which].is_none() => {
                at[which] = Some(i);
                continue;
            }
            Some(_) => Fault::new(source, format!("the column `{}` is there twice", shown(&cell.text)))
                .mark(cell.span.clone(), "leave one of them out"),
            None => {
                let label = match nearest(&cell.text, &known) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("known here: {}", known.join(", ")),
                };
                Fault::new(source, format!("a readings file has no column `{}`", shown(&cell.text)))
                    .mark(cell.span.clone(), label)
            }
        };
        faults.push(fault);
    }
    if let ([Some(first), Some(second)], true) = (at, before == faults.len()) {
        return Some(Columns { at: [first, second], more: beside, count: cells.len() });
    }
    if before == faults.len() {
        let missing = if at[0].is_none() { wanted[0] } else { wanted[1] };
        let fault = Fault::new(source, format!("a readings file needs a column `{missing}`"));
        faults.push(fault.mark(line, first_row(wanted)));
    }
    None
}

pub(super) fn cells(source: &Arc<Source>, line: Range<usize>, separator: char) -> Result<Vec<Cell<'_>>, Box<Fault>> {
    let text = source.text();
    let blank = |c: char| c != separator && (c == ' ' || c == '\t');
    let mut cells = Vec::new();
    let mut at = line.start;
    loop {
        let rest = &text[at..line.end];
        let start = line.end - rest.trim_start_matches(blank).len();
        if text[start..line.end].starts_with('"') {
            let close = closing_quote(&text[start + 1..line.end]).map(|close| start + 1 + close);
            let Some(close) = close else {
                let fault = Fault::new(source, "this quote is never closed");
                return Err(Box::new(fault.mark(start..line.end, "end the cell with a double quote")));
            };
            let inner = &text[start + 1..close];
            let unescaped =
                if inner.contains("\"\"") { inner.replace("\"\"", "\"").into() } else { Cow::Borrowed(inner) };
            cells.push(Cell { span: start..close + 1, text: unescaped });
            let after = text[close + 1..line.end].trim_start_matches(blank);
            let next = line.end - after.len();
            match after.chars().next() {
                None => return Ok(cells),
                Some(c) if c == separator => at = next + c.len_utf8(),
                Some(_) => {
                    let fault = Fault::new(source, "this cell goes on after its closing quote");
                    return Err(Box::new(
                        fault.mark(next..line.end, "write a quote inside quotes twice, as in \"4'6\"\"\""),
                    ));
                }
            }
        } else {
            let end = text[start..line.end].find(separator).map_or(line.end, |found| start + found);
            let body = text[start..end].trim_end_matches(blank);
            cells.push(Cell { span: start..start + body.len(), text: Cow::Borrowed(body) });
            if end == line.end {
                return Ok(cells);
            }
            at = end + separator.len_utf8();
        }
    }
}

/// Where the quote closes that was opened just before `text`.
fn closing_quote(text: &str) -> Option<usize> {
    let mut at = 0;
    loop {
        let quote = at + text[at..].find('"')?;
        if !text[quote + 1..].starts_with('"') {
            return Some(quote);
        }
        at = quote + 2;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<[String; 2]> {
        let source = Source::new("taped.csv", text);
        let (rows, faults) = rows(&source, ["distance", "at"], Some("turned"));
        assert_eq!(faults, []);
        for row in &rows {
            for cell in &row.cells {
                assert!(text[cell.span.clone()].contains(cell.text.trim_matches('"').split('"').next().unwrap()));
            }
        }
        rows.iter().map(|row| [row.cells[0].text.to_string(), row.cells[1].text.to_string()]).collect()
    }

    #[test]
    fn columns_come_in_any_order_and_comments_and_blank_lines_are_skipped() {
        let text = "\u{feff}# taped on the bench\n\nat , distance\r\n 84 deg,0.9 m\r\n# no\n\n0 deg, inf ,\n";
        assert_eq!(read(text), [["0.9 m", "84 deg"], ["inf", "0 deg"]]);
    }

    #[test]
    fn quotes_hide_separators_and_semicolons_or_tabs_part_cells_too() {
        assert_eq!(read("distance,at\n\"4'6\"\"\",\"63 deg\" \n"), [["4'6\"", "63 deg"]]);
        assert_eq!(read("Distance;At\n4'6\";63 deg"), [["4'6\"", "63 deg"]]);
        assert_eq!(read("distance\tat\n0.9 m\t63 deg\n"), [["0.9 m", "63 deg"]]);
    }

    proptest::proptest! {
        #[test]
        fn any_text_gives_rows_or_faults_with_places_inside_it(text in "([dista\",;# \t\r\n0-9é\u{feff}]|at|distance,at\n){0,40}") {
            let source = Source::new("taped.csv", text.clone());
            let (rows, _) = rows(&source, ["distance", "at"], Some("turned"));
            for span in rows.iter().flat_map(|row| row.cells.iter().map(|cell| cell.span.clone())) {
                proptest::prop_assert!(text.get(span).is_some());
            }
        }
    }
}
