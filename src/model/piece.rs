//! What is made for a lens.

use std::fmt;

use super::RingKind;

/// One of the pieces that are made for a lens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
#[non_exhaustive]
pub enum Piece {
    /// The focus ring's strip.
    Focus,
    /// The iris ring's strip.
    Iris,
    /// The marking disc.
    Disc,
    /// The fixed index marks.
    Index,
}

impl Piece {
    /// The word for it: in reports, and as the ending of its files' names.
    pub fn word(self) -> &'static str {
        match self {
            Piece::Focus => "focus",
            Piece::Iris => "iris",
            Piece::Disc => "disc",
            Piece::Index => "index",
        }
    }
}

impl From<RingKind> for Piece {
    fn from(ring: RingKind) -> Self {
        match ring {
            RingKind::Focus => Piece::Focus,
            RingKind::Iris => Piece::Iris,
        }
    }
}

impl fmt::Display for Piece {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
