use super::*;

mod exact;
mod golden;
mod rules;
mod sample;
mod slide_rule;
mod wishes;
