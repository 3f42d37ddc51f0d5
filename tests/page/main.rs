//! The page that `ringwright page` serves, asked over its own socket: who may come in, what may be changed, and that the
//! file on disk is the truth whatever happens.

#![cfg(feature = "page")]

mod disk;
mod doors;
mod edits;
mod files;
mod load;
mod served;
mod told;
