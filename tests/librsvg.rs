//! The SVG rendered by librsvg and Cairo, which share no code with the renderer behind our PNG, and compared with it
//! pixel by pixel.
//!
//! Needs the program `rsvg-convert` (Debian: librsvg2-bin).

use std::io::Write;
use std::process::{Command, Stdio};

use kurbo::Shape;
use ringwright::write::{BitDepth, Raster, png, svg};

use crate::kit::pixels::Picture;
use crate::kit::{pixels, strips};

const DPI: f64 = 600.0;

fn by_librsvg(svg: &str) -> Picture {
    let dpi = DPI.to_string();
    let mut child = Command::new("rsvg-convert")
        .args(["--dpi-x", &dpi, "--dpi-y", &dpi, "--background-color", "white"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("this check needs the program rsvg-convert (Debian: apt-get install librsvg2-bin)");
    child.stdin.take().unwrap().write_all(svg.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "rsvg-convert failed: {}", output.status);
    pixels::decode(&output.stdout)
}

/// First and last column and row with a black pixel inside of a window.
fn black_box(picture: &Picture, columns: (usize, usize), rows: (usize, usize)) -> Option<[usize; 4]> {
    let mut found: Option<[usize; 4]> = None;
    for y in rows.0..rows.1 {
        for x in (columns.0..columns.1).filter(|x| picture.is_black(*x, y)) {
            let [x0, x1, y0, y1] = found.unwrap_or([x, x, y, y]);
            found = Some([x0.min(x), x1.max(x), y0, y1.max(y)]);
        }
    }
    found
}

#[test]
fn another_renderer_draws_the_same_picture() {
    // An edge of ours lies within one of four samples of its place, a quarter of a pixel: 64 of 255. Cairo samples
    // a pixel in 15 rows (cairo-tor-scan-converter.c, GRID_Y), so an edge of its may be one row off: 17 of 255.
    const ONE_PIXEL: u8 = 64 + 17;
    // Spread evenly between nothing and a quarter of a pixel, ours are an eighth off: 32 of 255. A whole picture that is
    // off by a quarter of a pixel has twice that.
    const MEAN: f64 = 32.0;

    let strip = strips::strip(300.0, 20.0, 400, 60);
    let text = svg(&strip);
    let mut bytes = Vec::new();
    png(&text, &Raster { dpi: DPI, depth: BitDepth::Grey8 }, &mut bytes).unwrap();
    let ours = pixels::decode(&bytes);
    let theirs = by_librsvg(&text);
    assert!(ours.width.abs_diff(theirs.width) <= 1 && ours.height.abs_diff(theirs.height) <= 1);
    let (width, height) = (ours.width.min(theirs.width), ours.height.min(theirs.height));

    let (mut sum, mut edges) = (0u64, 0u64);
    for y in 0..height {
        for x in 0..width {
            let (our, their) = (ours.at(x, y), theirs.at(x, y));
            let difference = our.abs_diff(their);
            assert!(difference <= ONE_PIXEL, "pixel {x}, {y} is {our} of ours and {their} of theirs");
            if !matches!(our, 0 | 255) || !matches!(their, 0 | 255) {
                sum += u64::from(difference);
                edges += 1;
            } else {
                assert_eq!(our, their, "pixel {x}, {y}, which lies on no edge");
            }
        }
    }
    let mean = sum as f64 / edges as f64;
    assert!(edges > 10_000, "the picture has hardly any edges");
    assert!(mean <= MEAN, "pixels on edges differ by {mean} of 255 in the mean");

    let per_mm = DPI / 25.4;
    for group in strip.layers.iter().flat_map(|layer| &layer.groups) {
        let bounds = group.path.bounding_box().inflate(0.1, 0.1);
        let window = |from: f64, to: f64, most: usize| {
            ((from * per_mm).max(0.0) as usize, ((to * per_mm).ceil() as usize).min(most))
        };
        let (columns, rows) = (window(bounds.x0, bounds.x1, width), window(bounds.y0, bounds.y1, height));
        let our = black_box(&ours, columns, rows).unwrap_or_else(|| panic!("nothing of ours in {bounds:?}"));
        let their = black_box(&theirs, columns, rows).unwrap_or_else(|| panic!("nothing of theirs in {bounds:?}"));
        for (our, their) in our.into_iter().zip(their) {
            assert!(our.abs_diff(their) <= 1, "{our:?} of ours, {their:?} of theirs in {bounds:?}");
        }
    }
}
