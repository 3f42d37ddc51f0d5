//! The set file: TOML keys become the inputs of the other modules, or errors that show the line.
//!
//! Everything that is wrong with a file is reported at once, in the order of the file; when the TOML itself is
//! broken, only that is. Lengths leave here in mm, angles in degrees, positions of a ring always as angles. Nothing
//! is computed beyond what a check needs: the laws are fitted elsewhere.
//!
//! Source of the grammar: the TOML specification 1.1.
//!
//! ```
//! use std::path::Path;
//!
//! use ringwright::model::Set;
//! use ringwright::set::TEMPLATE;
//!
//! let set = Set::parse("quarry.toml", TEMPLATE, Path::new("")).unwrap();
//! assert_eq!(set.lenses.len(), 1);
//! let faults = Set::parse("quarry.toml", &TEMPLATE.replace("\"84 mm\"", "84"), Path::new("")).unwrap_err();
//! assert!(faults.to_string().contains("did you mean"));
//! ```

mod checks;
mod csv;
mod disc;
mod document;
pub mod edit;
mod exposures;
mod fault;
mod file;
mod focus;
mod iris;
pub mod keys;
mod lens;
mod marks;
mod name;
mod near;
mod process;
mod quantity;
mod read;
mod reading_error;
mod readings;
mod refusals;
mod ring;
mod schema;
mod slip;
mod style;
mod syntax;
mod template;
#[cfg(test)]
mod tests;
mod toml_file;

pub use fault::{Fault, Faults, Place, Source};
pub use schema::schema;
pub use template::TEMPLATE;
pub use toml_file::{SetFile, text_of};
