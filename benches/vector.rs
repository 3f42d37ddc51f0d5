//! How long a sheet of A3, 420 x 297 mm, with 14,600 ticks and 2,200 numerals takes as SVG, PDF and DXF.

use ringwright::write::{dxf, pdf, svg};

#[path = "../tests/kit/strips.rs"]
mod strips;

fn main() {
    divan::main();
}

fn sheet() -> ringwright::artwork::Drawing {
    strips::strip(420.0, 297.0, 14_600, 2_200)
}

#[divan::bench(sample_count = 10)]
fn sheet_svg(bencher: divan::Bencher) {
    let sheet = sheet();
    bencher.bench(|| svg(&sheet));
}

#[divan::bench(sample_count = 10)]
fn sheet_pdf(bencher: divan::Bencher) {
    let sheet = [sheet()];
    bencher.bench(|| pdf("sheet", &sheet));
}

#[divan::bench(sample_count = 10)]
fn sheet_dxf(bencher: divan::Bencher) {
    let sheet = sheet();
    bencher.bench(|| dxf(&sheet));
}
