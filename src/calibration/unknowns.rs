//! The unknowns of a fit by the travel law, by their places in its vectors.

/// Four constants of the law, and three errors that readings have in common.
pub(super) const N: usize = 7;
pub(super) const INFINITY: usize = 0;
pub(super) const LOG_A: usize = 1;
pub(super) const C: usize = 2;
pub(super) const K: usize = 3;
pub(super) const PLAY: usize = 4;
pub(super) const AHEAD: usize = 5;
pub(super) const PLACING: usize = 6;
pub(super) type Vector = super::least_squares::Vector<N>;
pub(super) type Matrix = super::least_squares::Matrix<N>;
