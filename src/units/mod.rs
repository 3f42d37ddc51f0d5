//! Quantities with their units: text a person writes becomes lengths, distances, angles and stops.
//!
//! Inside the crate every length is in millimetres and every angle in degrees; a bare `f64` never
//! crosses a module's border as a quantity. A [`Length`] is something a caliper measures, a [`Distance`]
//! reaches from the image plane to a subject and may be infinite. NaN and infinite floats cannot be
//! constructed. A [`Stop`] is held as steps of the standard series, so that it prints 5.6 and computes
//! with 2^(5/2); a [`TStop`] is a type of its own, because geometry must never be given one.
//!
//! Sources: the international inch of 25.4 mm and foot of 304.8 mm (agreement of 1 July 1959); the prime ′ for
//! feet and double prime ″ for inches (U+2032, U+2033).
//!
//! ```
//! use ringwright::units::{Distance, Length};
//!
//! let ring: Length = "3 1/2 in".parse().unwrap();
//! assert!((ring.to_mm() - 88.9).abs() < 1e-9);
//! assert!("inf".parse::<Distance>().unwrap().is_infinite());
//! ```

mod angle;
mod distance_unit;
mod figure;
mod length;
mod parse;
mod stop;

pub use angle::Angle;
pub use distance_unit::DistanceUnit;
pub(crate) use figure::figure;
pub use length::{Distance, Length};
pub use parse::QuantityError;
pub use stop::{Division, Stop, TStop};
