//! Why a set cannot be made, and of what in it that is said; whoever knows where it was written can show the place.

use std::fmt;

use super::{DistanceUnit, RingKind};

/// What in a set something is said of.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Subject {
    /// The typeface of the numerals.
    Typeface,
    /// A lens, by its name.
    Lens(String),
    /// A ring of a lens.
    Ring(String, RingKind),
    /// A reading of a ring of a lens, counted from 0 in the order given.
    Reading(String, RingKind, usize),
    /// An exposure of a lens's iris ring, counted from 0 in the order given.
    Exposure(String, usize),
    /// The smallest gap between ticks.
    Gap,
    /// The marking disc of a lens.
    Disc(String),
    /// A choice of a ring's scale.
    Scale {
        /// The lens.
        lens: String,
        /// Its ring.
        ring: RingKind,
        /// The band of a focus ring.
        unit: Option<DistanceUnit>,
        /// Which choice, by its key.
        key: &'static str,
    },
    /// A choice for every focus scale of the set, by its key.
    EveryScale(DistanceUnit, &'static str),
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
    /// What else it is said of, with a few words each.
    pub others: Vec<(Subject, String)>,
    /// Whether those are no less at fault than the subject: two readings that do not go together.
    pub alike: bool,
    /// Sentences of explanation.
    pub notes: Vec<String>,
    /// Ways out.
    pub ways_out: Vec<String>,
}

impl Refusal {
    /// A refusal without a way out.
    pub fn new(subject: Subject, message: impl Into<String>, label: impl Into<String>) -> Self {
        let (message, label, ways_out) = (message.into(), label.into(), Vec::new());
        Refusal { subject, message, label, others: Vec::new(), alike: false, notes: Vec::new(), ways_out }
    }

    /// The same, said of something else too.
    pub fn other(mut self, subject: Subject, label: impl Into<String>) -> Self {
        self.others.push((subject, label.into()));
        self
    }

    /// The same with a sentence of explanation.
    pub fn note(mut self, note: impl Into<String>) -> Self {
        self.notes.push(note.into());
        self
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
            Subject::Gap => f.write_str("smallest_gap"),
            Subject::Lens(lens) => f.write_str(lens),
            Subject::Ring(lens, ring) => write!(f, "{lens}, {}", ring.key()),
            Subject::Reading(lens, ring, at) => write!(f, "{lens}, {}, reading {}", ring.key(), at + 1),
            Subject::Exposure(lens, at) => write!(f, "{lens}, iris, exposure {}", at + 1),
            Subject::Disc(lens) => write!(f, "{lens}, disc"),
            Subject::Scale { lens, ring, unit: None, key } => write!(f, "{lens}, {}, {key}", ring.key()),
            Subject::Scale { lens, ring, unit: Some(unit), key } => {
                write!(f, "{lens}, {} in {}, {key}", ring.key(), unit.word())
            }
            Subject::EveryScale(unit, key) => write!(f, "scales in {}, {key}", unit.word()),
        }
    }
}

impl fmt::Display for Refusal {
    /// In one line: the subject, with the readings that are alike at fault, and what was refused.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let others = self.others.iter().filter(|_| self.alike).filter_map(|(subject, _)| match subject {
            Subject::Reading(_, _, at) | Subject::Exposure(_, at) => Some(format!(" and {}", at + 1)),
            Subject::Typeface | Subject::Gap | Subject::Lens(_) | Subject::Ring(..) | Subject::Disc(_) => None,
            Subject::Scale { .. } | Subject::EveryScale(..) => None,
        });
        let others: String = others.collect();
        write!(f, "{}{others}: {}", self.subject, self.message)
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
    fn a_refusal_names_its_subject_and_the_reason_in_one_line() {
        let ring = Subject::Ring("Granite 50".into(), RingKind::Focus);
        let refusal =
            Refusal::new(ring, "the scale is too long", "this ring is too small").way_out("give a larger one");
        assert_eq!(refusal.to_string(), "Granite 50, focus: the scale is too long");
        assert_eq!((refusal.label.as_str(), refusal.ways_out.len()), ("this ring is too small", 1));
        assert_eq!(Subject::Reading("Granite 50".into(), RingKind::Iris, 0).to_string(), "Granite 50, iris, reading 1");
        assert_eq!(Refusals::new(Vec::new()), None);
    }
}
