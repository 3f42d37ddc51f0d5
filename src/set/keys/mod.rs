//! Every key of the set file, in one table: its kind and range, its words, its default, what it means.
//!
//! The reader takes known keys, ranges, words, examples and hints from here; so do the schema ([`schema`](fn@crate::set::schema)) and the
//! fields of the page. The template shows every key; a test holds all of them together. The words of a choice come from
//! its type ([`Choice`](crate::model::Choice)), defaults from the model: the table tells them, a test holds it to them.
//!
//! The tables, outermost first: [`SET_FILE`], [`SET`], [`STYLE`], [`PROCESS`] with [`FILM`], [`VINYL`] and [`ENGRAVE`],
//! [`LENS`] with [`FOCUS`], [`IRIS`] and [`DISC`], and within these [`RING`], [`READING`] and what else is written in braces.

mod focus;
mod iris;
mod key;
mod lens;
mod marks;
mod process;
mod ring;
mod top;

pub use focus::{CHECK, CHECK_ERROR, ENGRAVED, FOCUS, MEASURED_FROM, READING, READING_ERROR};
pub use iris::{EXPOSURE, IRIS, POSITION_ERROR, REFERENCE, STOP_READING};
pub use key::{Key, Kind, Need, Table};
pub use lens::{DISC, LENS};
pub use marks::{FOCUS_MARKS, FOOT_MARKS, IRIS_MARKS, METRE_MARKS, STEPS};
pub use process::{ENGRAVE, FILM, PROCESS, VINYL};
pub use ring::RING;
pub use top::{SET, SET_FILE, STYLE};
