//! ringwright turns what can be measured on an old lens into true focus and iris scales.
pub mod artwork;
pub mod assembly;
pub mod calibration;
pub mod cli;
pub mod lettering;
pub mod optics;
pub mod report;
pub mod scale;
pub mod set;
pub mod surface;
pub mod units;
pub mod write;

#[cfg(test)]
mod check;
