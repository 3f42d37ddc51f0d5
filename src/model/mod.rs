//! A set as plain data: lenses, rings, readings, style and the settings of processes, each with its defaults.
//!
//! Nothing here knows a text or a file: a set file, a page or a program builds these values, and everything that draws
//! or reports works from them. What is not chosen follows from the rings and from what the process can make
//! ([`StyleChoices::complete`]). What is refused names its [`Subject`]; where that was written is for whoever read it.
//!
//! ```
//! use ringwright::model::{Focus, Lens, Set};
//! use ringwright::surface::{Ring, Sense};
//! use ringwright::units::{Angle, Distance, Length};
//!
//! let mut lens = Lens::new("Sandstone 58", Length::mm(58.0));
//! let ring = Ring::cylinder(Length::mm(84.0), Length::mm(14.0));
//! let mut focus = Focus::new(lens.focal_length, ring, Sense::Clockwise, Length::mm(600.0));
//! focus.readings.push(focus.taped(Distance::Infinity, Angle::ZERO));
//! focus.readings.push(focus.taped(Distance::mm(1000.0), Angle::deg(96.0)));
//! lens.focus = Some(focus);
//! assert!(Set::new("Quarry", vec![lens]).check().is_ok());
//! ```

mod change;
pub mod checks;
mod fitting;
mod lens;
mod piece;
mod processes;
mod refusal;
mod scale_choices;
mod set;
mod style;
mod words;

pub use change::Change;
pub use lens::{Disc, Focus, FocusCheck, Iris, Lens, Rides, RingKind, Trueness, file_stem};
pub use piece::Piece;
pub use processes::{Laying, Processes};
pub use refusal::{Refusal, Refusals, Subject};
pub use scale_choices::{Finest, FocusScaleChoices, IrisScaleChoices, ScaleChoices, SectionChoice};
pub use set::Set;
pub use style::{Doubtful, Style, StyleChoices, Treatment, Typeface, may_stand_apart};
pub use words::{Choice, DiscTurns, Lettered, StopScale, TapedPoint, words};

pub use crate::units::DistanceUnit;
