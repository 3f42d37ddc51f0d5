//! How long it takes to lay a hundred strips out on A4 sheets.

use ringwright::artwork::Strip;
use ringwright::lettering::{Face, Lettering};
use ringwright::sheet::{Item, Page, Paper, sheets};
use ringwright::units::Length;

#[path = "../tests/kit/strips.rs"]
mod strips;

fn main() {
    divan::main();
}

/// Strips of 120 to 290 mm by 9 to 16 mm with 60 ticks and 20 numerals each; some are longer than the sheet.
#[divan::bench]
fn a_hundred_strips_on_a4(bencher: divan::Bencher) {
    let item = |k: usize| {
        let (width, height) = (120.0 + (k * 37 % 171) as f64, 9.0 + (k * 5 % 8) as f64);
        let strip = Strip { drawing: strips::strip(width, height, 60, 20), flat: None, round: None };
        Item { name: format!("Granite {k}, focus"), strip, copies: 1 }
    };
    let items: Vec<Item> = (0..100).map(item).collect();
    let lettering = Lettering::new(Face::plain(), Length::mm(2.4)).expect("the plain face has digits");
    bencher.bench(|| sheets(&items, &Page::new(Paper::A4), &lettering).map(|laid| laid.sheets.len()));
}
