//! Plain text tables with aligned columns.

/// Columns that line up: the first given number of columns to the left, the rest to the right.
pub(super) fn table(head: &[&str], rows: &[Vec<String>], left: usize) -> String {
    let mut width: Vec<usize> = head.iter().map(|cell| cell.chars().count()).collect();
    for row in rows {
        for (i, cell) in row.iter().enumerate().take(width.len()) {
            width[i] = width[i].max(cell.chars().count());
        }
    }
    let line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut out = String::new();
        for (i, cell) in cells.enumerate().take(width.len()) {
            let pad = " ".repeat(width[i] - cell.chars().count());
            out.push_str("  ");
            out.push_str(&if i < left { format!("{cell}{pad}") } else { format!("{pad}{cell}") });
        }
        format!("{}\n", out.trim_end())
    };
    let mut out = line(&mut head.iter().copied());
    for row in rows {
        out.push_str(&line(&mut row.iter().map(String::as_str)));
    }
    out
}
