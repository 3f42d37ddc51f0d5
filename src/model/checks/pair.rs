//! Two readings that do not go together.

use crate::model::{Refusal, Subject};

/// A refusal of two readings that do not go together, none more than the other.
pub(super) fn pair(message: &str, a: (Subject, String), b: (Subject, String)) -> Refusal {
    Refusal { alike: true, ..Refusal::new(a.0, message, a.1).other(b.0, b.1) }
}
