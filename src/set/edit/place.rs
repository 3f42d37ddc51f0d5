//! Places in a set file, and why a change of one cannot be made.

use std::fmt;
use std::str::FromStr;

/// One step on the way to a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// A key of a table.
    Key(String),
    /// A place in a list, from 0.
    At(usize),
}

/// A value's place in a set file, as `lens.1.focus.readings.2.distance`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldPlace(pub Vec<Step>);

impl fmt::Display for FieldPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.0.iter().enumerate() {
            let dot = if i == 0 { "" } else { "." };
            match step {
                Step::Key(key) => write!(f, "{dot}{key}")?,
                Step::At(at) => write!(f, "{dot}{at}")?,
            }
        }
        Ok(())
    }
}

impl FromStr for FieldPlace {
    type Err = EditError;

    fn from_str(text: &str) -> Result<Self, EditError> {
        let step = |part: &str| {
            let plain = !part.is_empty() && part.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-');
            match part.parse() {
                Ok(at) => Some(Step::At(at)),
                Err(_) => plain.then(|| Step::Key(part.to_string())),
            }
        };
        let steps: Option<Vec<Step>> = text.split('.').map(step).collect();
        steps.map(FieldPlace).ok_or_else(|| EditError::new("this is no place in a set file"))
    }
}

/// Why a change cannot be made, with a way out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EditError(String);

impl EditError {
    pub(super) fn new(words: impl Into<String>) -> Self {
        EditError(words.into())
    }
}

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for EditError {}
