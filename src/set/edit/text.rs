//! The texts of a set, and lines and spans of a text; and a value as it is to be written into one.

use std::collections::BTreeMap;

/// The texts of a set: its file, and the readings files that it names, under their names there.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Texts {
    /// The set file.
    pub set: String,
    /// Readings files; those that are not here are not edited.
    pub files: BTreeMap<String, String>,
}

/// A value as it is to be written.
#[derive(Clone, Debug, PartialEq)]
pub enum Written {
    /// In quotes.
    Text(String),
    /// What a person typed where a bare number is due: bare if it is one, else in quotes, so that the set's reader says what is
    /// wrong with it.
    Bare(String),
    /// `true` or `false`.
    Flag(bool),
    /// A list of texts.
    Words(Vec<String>),
    /// A list of bare numbers.
    Stops(Vec<String>),
}

/// The text without characters that end a line or never reach a screen.
pub(super) fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// How the lines of a text end.
pub(super) fn newline(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

/// The end of the line that holds the byte `at`, before its newline.
pub(super) fn line_end(text: &str, at: usize) -> usize {
    let end = text[at..].find('\n').map_or(text.len(), |newline| at + newline);
    if end > at && text[..end].ends_with('\r') { end - 1 } else { end }
}

/// The start of the line that holds the byte `at`.
pub(super) fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |newline| newline + 1)
}

/// The text with the bytes `span` replaced.
pub(super) fn replaced(text: &str, span: std::ops::Range<usize>, by: &str) -> String {
    format!("{}{by}{}", &text[..span.start], &text[span.end..])
}
