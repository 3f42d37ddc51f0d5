//! A set as plain data: lenses, rings, readings, style and the settings of processes, each with its defaults.
//!
//! Nothing here knows a text or a file: a set file, a page or a program builds these values, and everything that draws
//! or reports works from them. What is not chosen follows from the rings and from what the process can make
//! ([`StyleChoices::complete`]). What is refused names its [`Subject`]; where that was written is for whoever read it.

mod change;
pub mod checks;
mod lens;
mod piece;
mod processes;
mod refusal;
mod set;
mod style;
mod words;

pub use change::Change;
pub use lens::{Disc, Focus, FocusCheck, Iris, Lens, Rides, RingKind, Trueness, file_stem};
pub use piece::Piece;
pub use processes::{Laying, Processes};
pub use refusal::{Refusal, Refusals, Subject};
pub use set::Set;
pub use style::{Doubtful, Style, StyleChoices, Treatment, Typeface, may_stand_apart};
pub use words::{Choice, DiscTurns, Lettered, StopScale, TapedPoint, words};

pub use crate::units::DistanceUnit;
