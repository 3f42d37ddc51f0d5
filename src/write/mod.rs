//! Finished artwork becomes files: one file of code for each format, and nothing decided about the scale.
//!
//! A [`Drawing`](crate::artwork::Drawing) holds paths in millimetres. [`svg()`] writes them down at true size, one user
//! unit to the millimetre; [`png()`] renders such a text, so that every PNG also shows that the SVG can be read.
//! [`pdf()`] makes one page of each drawing, for printing at true size, and [`dxf()`] contours of lines and arcs for
//! drawing programs and machines.
//! [`whole`] puts any of them on disk complete or not at all, and [`try_folder`] checks beforehand that a folder can be written.
//!
//! The same input gives the same bytes: no date, no path of the machine, no order that changes from run to run. Every
//! number in a text is written by one function, without exponent and without `-0`.
//!
//! ```
//! use ringwright::artwork::Drawing;
//! use ringwright::units::Length;
//! use ringwright::write::svg;
//!
//! let (title, layers) = ("An empty plate".to_string(), Vec::new());
//! let plate = Drawing { title, width: Length::mm(40.0), height: Length::mm(10.0), layers };
//! assert!(svg(&plate).contains("width=\"40mm\""));
//! ```

mod arcs;
mod dxf;
mod file;
mod format;
mod layers;
mod number;
mod pdf;
mod png;
mod svg;

pub use dxf::dxf;
pub use file::{try_folder, whole, whole_soon};
pub use format::Format;
pub use pdf::pdf;
pub use png::{BitDepth, DPI, PixelSize, PngError, Raster, png};
pub use svg::svg;
