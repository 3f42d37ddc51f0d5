//! Why a set cannot be made, and of what in it that is said; whoever knows where it was written can show the place.

use std::fmt;

use super::RingKind;

/// What in a set something is said of.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Subject {
    /// The typeface of the numerals.
    Typeface,
    /// A lens, by its name.
    Lens(String),
    /// A ring of a lens.
    Ring(String, RingKind),
    /// A reading of a ring of a lens, counted from 0 in the order given.
    Reading(String, RingKind, usize),
    /// The marking disc of a lens.
    Disc(String),
}

/// One thing that was refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Of what.
    pub subject: Subject,
    /// What was refused, in one line.
    pub message: String,
    /// A few words at the subject itself.
    pub label: String,
    /// Ways out.
    pub ways_out: Vec<String>,
}

impl Refusal {
    /// A refusal without a way out.
    pub fn new(subject: Subject, message: impl Into<String>, label: impl Into<String>) -> Self {
        Refusal { subject, message: message.into(), label: label.into(), ways_out: Vec::new() }
    }

    /// The same with a way out.
    pub fn way_out(mut self, way_out: impl Into<String>) -> Self {
        self.ways_out.push(way_out.into());
        self
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.subject {
            Subject::Typeface => write!(f, "typeface: {}", self.message),
            Subject::Lens(lens) => write!(f, "{lens}: {}", self.message),
            Subject::Ring(lens, ring) => write!(f, "{lens}, {}: {}", ring.key(), self.message),
            Subject::Reading(lens, ring, at) => {
                write!(f, "{lens}, {}, reading {}: {}", ring.key(), at + 1, self.message)
            }
            Subject::Disc(lens) => write!(f, "{lens}, disc: {}", self.message),
        }
    }
}

impl std::error::Error for Refusal {}

/// Everything that was refused at once; never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusals(Vec<Refusal>);

impl Refusals {
    /// The refusals, or `None` when there are none.
    pub fn new(refusals: Vec<Refusal>) -> Option<Self> {
        (!refusals.is_empty()).then_some(Refusals(refusals))
    }

    /// In the order of the set.
    pub fn as_slice(&self) -> &[Refusal] {
        &self.0
    }
}

impl From<Refusal> for Refusals {
    fn from(refusal: Refusal) -> Self {
        Refusals(vec![refusal])
    }
}

impl fmt::Display for Refusals {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&lines.join("\n"))
    }
}

impl std::error::Error for Refusals {}
