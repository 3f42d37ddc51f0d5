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

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Subject::Typeface => f.write_str("typeface"),
            Subject::Lens(lens) => f.write_str(lens),
            Subject::Ring(lens, ring) => write!(f, "{lens}, {}", ring.key()),
            Subject::Reading(lens, ring, at) => write!(f, "{lens}, {}, reading {}", ring.key(), at + 1),
            Subject::Disc(lens) => write!(f, "{lens}, disc"),
        }
    }
}

impl fmt::Display for Refusal {
    /// In one line: the subject, what was refused, the words at the subject, the ways out.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {} ({})", self.subject, self.message, self.label)?;
        self.ways_out.iter().try_for_each(|way_out| write!(f, "; {way_out}"))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_names_its_subject_the_reason_and_the_way_out() {
        let ring = Subject::Ring("Granite 50".into(), RingKind::Focus);
        let refusal =
            Refusal::new(ring, "the scale is too long", "this ring is too small").way_out("give a larger one");
        let text = "Granite 50, focus: the scale is too long (this ring is too small); give a larger one";
        assert_eq!(refusal.to_string(), text);
        assert_eq!(Refusals::from(refusal).to_string(), text);
        assert_eq!(Subject::Reading("Granite 50".into(), RingKind::Iris, 0).to_string(), "Granite 50, iris, reading 1");
        assert_eq!(Refusals::new(Vec::new()), None);
    }
}
