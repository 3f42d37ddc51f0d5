//! How long a strip of 300 x 20 mm with 400 ticks and 60 numerals takes as SVG and as PNG.

use ringwright::write::{BitDepth, Raster, png, svg};

#[path = "../tests/kit/strips.rs"]
mod strips;

fn main() {
    divan::main();
}

#[divan::bench]
fn svg_text(bencher: divan::Bencher) {
    let strip = strips::strip(300.0, 20.0, 400, 60);
    bencher.bench(|| svg(&strip));
}

#[divan::bench(args = [600.0, 1200.0, 2400.0], sample_count = 10)]
fn grey(bencher: divan::Bencher, dpi: f64) {
    render(bencher, Raster { dpi, depth: BitDepth::Grey8 });
}

#[divan::bench(args = [600.0, 1200.0, 2400.0], sample_count = 10)]
fn bilevel(bencher: divan::Bencher, dpi: f64) {
    render(bencher, Raster { dpi, depth: BitDepth::Bilevel });
}

fn render(bencher: divan::Bencher, raster: Raster) {
    let text = svg(&strips::strip(300.0, 20.0, 400, 60));
    bencher.bench(|| {
        let mut bytes = Vec::new();
        png(&text, &raster, &mut bytes).map(|_| bytes)
    });
}
