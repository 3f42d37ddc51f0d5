//! The ways of making strips: each with its word, what it is called, and what is written for it.

use std::fmt;
use std::str::FromStr;

use serde::Serialize;

use crate::write::Format;

/// How strips are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
#[non_exhaustive]
pub enum ProcessKind {
    /// Printed on film.
    Film,
    /// Cut from adhesive vinyl.
    Vinyl,
    /// Engraved into the ring.
    Engrave,
}

impl ProcessKind {
    /// Every process, in the order in which they are offered; the first is taken unless another is named.
    pub const ALL: [ProcessKind; 3] = [ProcessKind::Film, ProcessKind::Vinyl, ProcessKind::Engrave];

    /// The word for it in files, on the command line and in addresses.
    pub fn word(self) -> &'static str {
        match self {
            ProcessKind::Film => "film",
            ProcessKind::Vinyl => "vinyl",
            ProcessKind::Engrave => "engrave",
        }
    }

    /// How its strips are made, in a few words.
    pub fn in_words(self) -> &'static str {
        match self {
            ProcessKind::Film => "Printed on film",
            ProcessKind::Vinyl => "Cut from adhesive vinyl",
            ProcessKind::Engrave => "Engraved into the ring",
        }
    }

    /// The formats that are written unless others are named.
    pub fn usual_formats(self) -> &'static [Format] {
        match self {
            ProcessKind::Film => &[Format::Svg, Format::Png, Format::Pdf],
            ProcessKind::Vinyl | ProcessKind::Engrave => &[Format::Svg, Format::Dxf, Format::Pdf],
        }
    }
}

impl fmt::Display for ProcessKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// A word that names no process.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoProcess;

impl fmt::Display for NoProcess {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<&str> = ProcessKind::ALL.iter().map(|kind| kind.word()).collect();
        match words.split_last() {
            Some((last, others)) => write!(f, "the process is {} or {last}", others.join(", ")),
            None => Ok(()),
        }
    }
}

impl std::error::Error for NoProcess {}

impl FromStr for ProcessKind {
    type Err = NoProcess;

    fn from_str(word: &str) -> Result<Self, NoProcess> {
        ProcessKind::ALL.into_iter().find(|kind| kind.word() == word).ok_or(NoProcess)
    }
}
