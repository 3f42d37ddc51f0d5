//! What is pasted from a spreadsheet: rows and cells, and units for bare numbers.

/// The most rows and columns that are taken.
const MOST: (usize, usize) = (500, 20);

/// Rows and cells of a clipboard's text: parted by tabs, else by semicolons or commas; cells in double quotes may hold them.
pub fn pasted(text: &str) -> Vec<Vec<String>> {
    let separator = [b'\t', b';', b','].into_iter().find(|separator| text.as_bytes().contains(separator));
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator.unwrap_or(b'\t'))
        // 4'6" copied as such is no quoted cell
        .quoting(text.contains("\t\"") || text.contains("\n\"") || text.starts_with('"'))
        .from_reader(text.as_bytes());
    let records = reader.byte_records().filter_map(Result::ok).take(MOST.0);
    let cells = |record: csv::ByteRecord| -> Vec<String> {
        record.iter().take(MOST.1).map(|cell| String::from_utf8_lossy(cell).trim().to_string()).collect()
    };
    records.map(cells).filter(|cells| cells.iter().any(|cell| !cell.is_empty())).collect()
}

/// A bare number with a unit; anything else as it is.
pub fn with_unit(text: &str, unit: &str) -> String {
    let text = text.trim();
    let number = text.parse::<f64>().is_ok_and(f64::is_finite) && text.bytes().any(|b| b.is_ascii_digit());
    if number { format!("{text} {unit}") } else { text.to_string() }
}
