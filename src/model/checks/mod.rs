//! What the values of a set must be together: readings that belong to one ring, a closest distance that a lens reaches,
//! a cone that can be made.
//!
//! Takes plain values, also parts of a set that could be read; gives refusals that name readings by their index. Where
//! something was written is for whoever read it. Only what no noise explains is refused of readings; which one lies off the
//! others is for the fit to say.

mod focus;
mod iris;
mod law;
mod light;
mod pair;
mod rings;
mod whole;

pub use focus::{Expected, focus_readings};
pub use iris::{blades_need_a_stop, iris_readings, smallest_stop, stops_enough, widest_read};
pub use law::{enough_for_a_law, reachable};
pub use light::{Given, exposures_order, light_given, light_given_twice};
pub use rings::{cone, hole, ticks_apart};
