use super::*;

mod beside;
mod exact;
mod golden;
mod rules;
pub(crate) mod sample;
mod slide_rule;
mod wishes;
