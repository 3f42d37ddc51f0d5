//! The physics as pure functions of numbers: focus laws, depth of field, iris laws, and the curve between readings.
//!
//! Nothing here knows a file, a ring's diameter or a reading's error. Distances run from the image plane to the
//! subject, ring angles grow from infinity toward close focus (from open toward closed on an iris).
//! The stop series itself lives with the quantities, in [`crate::units::Stop`].
//!
//! ```
//! use ringwright::optics::ThinLens;
//! use ringwright::units::{Distance, Length, Stop};
//!
//! // 50 mm at f/2, focused at 3 m, blur up to 0.025 mm: sharp from 2.84 m on
//! let lens = ThinLens { focal_length: Length::mm(50.0), principal_gap: Length::ZERO };
//! let limits = lens.depth_of_field(Distance::mm(3000.0), Stop::from_sixths(12), Length::mm(0.025)).unwrap();
//! assert!((limits.near.to_mm().unwrap() - 2838.0).abs() < 2.0);
//! ```

mod depth_of_field;
mod eye;
mod focus;
mod gear;
mod iris;
mod monotone;

pub use depth_of_field::{DepthOfField, ThinLens};
pub use eye::{DIM_LIGHT_ACUITY, readable_to, stroke_blur};
pub use focus::{CurveLaw, FocusLaw, TravelLaw};
pub use gear::{GearRatio, ToothSize};
pub use iris::{IrisLaw, IrisShape};
pub use monotone::Monotone;
