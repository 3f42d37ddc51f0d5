//! What several tests need.

pub mod drawing;
pub mod paths;
pub mod pixels;
pub mod sets;
pub mod strips;
