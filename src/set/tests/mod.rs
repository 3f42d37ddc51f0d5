//! Tests: set files in, sets or messages out.

mod bench_notes;
mod exposures;
mod files;
mod focus;
mod hostile;
mod iris;
mod keys;
mod lenses;
mod readings;
mod slips;
mod syntax;
mod valid;

use std::path::Path;

use crate::model::Set;

/// A small set that is read without a fault; the tests change one thing at a time.
const SAMPLE: &str = r#"[set]
name = "quarry"

[style]

[[lens]]
name = "Granite 50"
focal_length = "50 mm"
widest_stop = 2

[lens.focus]
ring = { diameter = "84 mm", width = "11 mm" }
toward_close = "clockwise"
closest = "0.6 m"
readings = [
    { distance = "inf", at = "0 deg" },
    { distance = "1 m", at = "41.6 deg" },
    { distance = "0.6 m", at = "75.9 deg" },
]
throw = "90 deg"

[lens.iris]
ring = { diameter = "70 mm", width = "8 mm" }
toward_closed = "clockwise"
readings = [{ stop = 2, at = "0 deg" }, { stop = 16, at = "60 deg" }]
steps = 1
"#;

/// The sample with the first `from` replaced by `to`.
fn changed(from: &str, to: &str) -> String {
    assert!(SAMPLE.contains(from), "the sample has no {from}");
    SAMPLE.replacen(from, to, 1)
}

fn read(text: &str) -> Set {
    Set::parse("quarry.toml", text, Path::new("")).unwrap_or_else(|faults| panic!("{faults}"))
}

/// The messages about `text`, which must be refused.
fn refusals(text: &str) -> String {
    match Set::parse("quarry.toml", text, Path::new("")) {
        Ok(_) => panic!("this was read:\n{text}"),
        Err(faults) => faults.render(false),
    }
}

fn refused(from: &str, to: &str) -> String {
    refusals(&changed(from, to))
}
