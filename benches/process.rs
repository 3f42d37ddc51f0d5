//! How long it takes to check numerals against limits and to unite a strip.

use kurbo::{Affine, BezPath, Rect, Shape};
use ringwright::lettering::{Face, Lettering};
use ringwright::process::{Film, Vinyl, flaws};
use ringwright::region::{Region, united};
use ringwright::units::Length;

fn main() {
    divan::main();
}

fn outline(text: &str) -> BezPath {
    let lettering = Lettering::new(Face::plain(), Length::mm(2.0)).expect("the plain face can be set");
    lettering.line(text).expect("digits are there").outline
}

/// A digit that passes: what every numeral of a strip costs. Flattened to 0.005 mm.
#[divan::bench(args = ["0", "1", "4", "8"])]
fn check_a_digit_that_passes(bencher: divan::Bencher, digit: &str) {
    let (shape, limits) = (Region::flattened(&outline(digit), Length::mm(0.005)), Film::default().limits());
    assert!(flaws(&shape, &limits).is_empty());
    bencher.bench(|| flaws(&shape, &limits));
}

/// A digit too small for vinyl: every finding is measured.
#[divan::bench(args = ["0", "8"])]
fn check_a_digit_that_fails(bencher: divan::Bencher, digit: &str) {
    let (shape, limits) = (Region::flattened(&outline(digit), Length::mm(0.005)), Vinyl::default().limits);
    assert!(!flaws(&shape, &limits).is_empty());
    bencher.bench(|| flaws(&shape, &limits));
}

#[divan::bench]
fn unite_a_strip_of_60_labels(bencher: divan::Bencher) {
    let mut marks = Vec::new();
    for k in 0..60 {
        let x = 5.0 * f64::from(k);
        let label = outline(&format!("{}.{}", k % 10, 85 - k));
        marks.push(Affine::translate((x, 5.0)) * label);
        // every third tick runs into its label
        let long = if k % 3 == 0 { 4.0 } else { 2.0 };
        marks.push(Rect::new(x + 0.5, 0.0, x + 0.7, long).to_path(1e-6));
    }
    bencher.bench(|| united(&marks));
}
