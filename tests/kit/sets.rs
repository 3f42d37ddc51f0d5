//! Real strips: what a set file draws.

use std::path::Path;

use ringwright::artwork::Drawing;
use ringwright::assembly::{Assembly, lettering};
use ringwright::model::Set;

/// The first strip of a set file in `tests/golden`.
pub fn golden(name: &str) -> Drawing {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name).with_extension("toml");
    let set = Set::from_file(&path).unwrap_or_else(|faults| panic!("{faults}"));
    let lettering = lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering).unwrap_or_else(|faults| panic!("{faults}"));
    let strips = assembly.strips().unwrap_or_else(|faults| panic!("{faults}"));
    strips.into_iter().next().expect("a lens has a strip").1.drawing
}
