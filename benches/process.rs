//! How long it takes to check numerals against limits, to unite a strip, and to check, unite and lay out a whole set.

use std::path::Path;

use kurbo::{Affine, BezPath, Rect, Shape};
use ringwright::artwork::Strip;
use ringwright::assembly::{Assembly, lettering};
use ringwright::lettering::{Face, Lettering};
use ringwright::model::Set;
use ringwright::process::{Checker, Film, Process, ProcessKind, Vinyl, finished, finished_all, flaws};
use ringwright::region::{Region, united};
use ringwright::sheet::{Item, Page, Paper, sheets};
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

/// The sample set's process and all its strips.
fn sample(kind: ProcessKind) -> (Process, Vec<Strip>) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/SET.toml");
    let set = Set::from_file(&path).unwrap_or_else(|faults| panic!("{faults}")).made_by(kind);
    let letters = lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
    let strips = |lens| {
        let assembly = Assembly::new(&set, lens, &letters).unwrap_or_else(|faults| panic!("{faults}"));
        let strips = assembly.strips().unwrap_or_else(|faults| panic!("{faults}"));
        strips.into_iter().map(|(_, strip)| strip).collect::<Vec<_>>()
    };
    (set.process, set.lenses.iter().flat_map(strips).collect())
}

/// As the program does it: every strip handed to its process.
fn unite(process: &Process, strips: &[Strip]) -> usize {
    finished_all(&strips.iter().collect::<Vec<_>>(), process).len()
}

fn check(process: &Process, strips: &[Strip]) -> usize {
    let mut checker = Checker::new(process);
    checker.check_all(&strips.iter().collect::<Vec<_>>()).iter().map(Vec::len).sum()
}

fn items(process: &Process, strips: &[Strip]) -> Vec<Item> {
    let made = strips.iter().map(|strip| finished(strip, process).unwrap_or_else(|error| panic!("{error}")));
    made.enumerate().map(|(at, strip)| Item { name: format!("strip {at}"), strip, copies: 1 }).collect()
}

fn lay_out(items: &[Item]) -> usize {
    let lettering = Lettering::new(Face::plain(), Length::mm(2.4)).expect("the plain face has digits");
    sheets(items, &Page::new(Paper::A4), &lettering).map_or(0, |laid| laid.sheets.len())
}

#[divan::bench(sample_count = 10)]
fn unite_the_sample_set(bencher: divan::Bencher) {
    let (process, strips) = sample(ProcessKind::Vinyl);
    bencher.bench(|| unite(&process, &strips));
}

/// With everything that is found and how wide it is.
#[divan::bench(sample_count = 10, args = ["vinyl", "film"])]
fn check_the_sample_set(bencher: divan::Bencher, kind: &str) {
    let (process, strips) = sample(if kind == "vinyl" { ProcessKind::Vinyl } else { ProcessKind::Film });
    assert_eq!(check(&process, &strips) > 0, kind == "vinyl");
    bencher.bench(|| check(&process, &strips));
}

#[divan::bench(sample_count = 10)]
fn lay_the_sample_set_out(bencher: divan::Bencher) {
    let (process, strips) = sample(ProcessKind::Vinyl);
    let items = items(&process, &strips);
    assert!(lay_out(&items) > 0);
    bencher.bench(|| lay_out(&items));
}

/// All three: 300 ms are wanted.
#[divan::bench(sample_count = 10)]
fn unite_check_and_lay_out_the_sample_set(bencher: divan::Bencher) {
    let (process, strips) = sample(ProcessKind::Vinyl);
    let items = items(&process, &strips);
    bencher.bench(|| (unite(&process, &strips), check(&process, &strips), lay_out(&items)));
}
