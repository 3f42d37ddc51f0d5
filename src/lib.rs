//! ringwright turns what can be measured on an old lens into true focus and iris scales.
//!
//! One worked ring, from a name ring and a helicoid's lead to the place of a mark on the strip:
//!
//! ```
//! use ringwright::optics::TravelLaw;
//! use ringwright::surface::arc;
//! use ringwright::units::{Angle, Distance, Length};
//!
//! // 50 mm, moved as a whole by 9.6 mm to the full turn; principal planes crossed by 4 mm
//! let c = Length::mm(2.0 * 50.0 - 4.0);
//! let law = TravelLaw::from_lead(Angle::ZERO, Length::mm(50.0), Length::mm(9.6), c);
//!
//! let turn = law.angle(Distance::mm(1000.0)).expect("a metre is farther than unit magnification");
//! assert!((turn.to_deg() - 104.025).abs() < 0.001);
//!
//! // on a ring 84 mm across, film 0.1 mm thick
//! let along = arc(Length::mm(84.0), Length::mm(0.1), turn);
//! assert!((along.to_mm() - 76.345).abs() < 0.001);
//! ```
//!
//! # Conventions
//!
//! - Lengths are in mm, angles in degrees, everywhere inside; each has a type of its own ([`units`]).
//! - Distances are measured from the image plane, the camera's ⌀ mark.
//! - A ring angle is what was read: any zero, growing from infinity toward close focus (from open toward closed).
//! - A strip lies flat with its outer face up, the lens's front at the top and its rear, the camera, at the bottom; x to
//!   the right is clockwise as seen from behind the camera. A ring that turns clockwise toward close focus carries
//!   its close marks to the left of infinity.
//! - A strip of thickness t on a diameter D has its neutral layer at mid-thickness: arc = π (D + t) angle / 360.
//! - Nominal stops (5.6, 11) stand for exact powers of two and are computed as such.
//!
//! # The house
//!
//! Each module imports only from those above it:
//! [`units`], [`optics`], [`calibration`], [`surface`], [`region`] (filled polygons), [`lettering`], [`scale`] and
//! [`artwork`] (pure data and choices), [`process`] (what can be made), [`sheet`] (strips on pages),
//! [`write`](mod@write) (one file a format), [`model`] (a set as plain data), [`assembly`] (one lens, all the way), [`report`],
//! [`export`] (the files). Three doors stand on top: [`set`] (the TOML file), the command line, and `page` (the workbench in a
//! browser). `examples/` goes from readings to marks, from a ring to a strip, and from a set file to all files.

pub mod artwork;
pub mod assembly;
pub mod calibration;
#[doc(hidden)]
pub mod cli;
pub mod export;
pub mod lettering;
pub mod model;
pub mod optics;
#[cfg(feature = "page")]
pub mod page;
pub mod process;
pub mod region;
pub mod report;
pub mod scale;
pub mod set;
pub mod sheet;
mod suggestion;
pub mod surface;
pub mod units;
pub mod write;

/// The curves of which all artwork is made: paths, points, affine maps.
pub use kurbo;

#[cfg(test)]
mod check;
mod parallel;
