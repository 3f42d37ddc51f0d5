//! What was computed, as tables for people and as JSON and CSV for programs.
//!
//! Takes assembled lenses, gives text; prints nothing. The JSON's names and units are fixed ([`documents`]); the CSV is made
//! from the same documents. Tables show what a person would write down: metres, feet and inches.
//!
//! ```
//! use std::path::Path;
//!
//! use ringwright::assembly::{assembled, lettering};
//! use ringwright::model::Set;
//! use ringwright::report::marks_text;
//! use ringwright::set::TEMPLATE;
//!
//! let set = Set::parse("quarry.toml", TEMPLATE, Path::new("")).unwrap();
//! let lettering = lettering(&set).unwrap();
//! let lenses = assembled(&set, set.lenses.iter(), &lettering).unwrap();
//! assert!(marks_text(&lenses).starts_with("Granite 50"));
//! ```

pub mod application;
pub mod documents;

mod budget;
mod check;
mod compare;
mod depth;
mod findings;
mod fit;
mod light;
mod marks;
mod plan;
mod plot;
mod riding;
mod sections;
mod table;
mod under_index;
mod verify;
mod words;

use std::fmt;

pub use budget::trust_lines;
pub use check::{Checked, check_document, check_json, check_text, cut_line, finding_line, worst_line};
pub use compare::{compare_csv, compare_document, compare_json, compare_text};
pub use findings::findings_picture;
pub use fit::{fit_csv, fit_document, fit_json, fit_line, fit_text, residual_words};
pub use marks::{iris_line, left_out_lines, marks_csv, marks_document, marks_json, marks_text, marks_text_wide};
pub use plan::{NextReading, NotPlanned, Planned, next_reading, plan_csv, plan_document, plan_json, plan_text};
pub use plot::plot;
pub use sections::marks_as_keys;
pub use under_index::{UnderIndexWords, stop_under_index_words, under_index_words};
pub use verify::{Verified, verify_csv, verify_document, verify_json, verify_text};

/// One finished CSV document.
fn csv(head: &[&str], rows: &[Vec<String>]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut written = writer.write_record(head);
    for row in rows {
        written = written.and_then(|()| writer.write_record(row));
    }
    match written.ok().and_then(|()| writer.into_inner().ok()) {
        Some(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
        None => String::new(),
    }
}

/// A value that may be missing, as a cell.
fn cell(value: Option<impl fmt::Display>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}
