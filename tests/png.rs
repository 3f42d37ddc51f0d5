//! The PNG decoded again: sizes, places of edges, and how far bands may differ from one rendering of the whole.

use std::io::{self, Write};

use kurbo::{Rect, Shape};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use ringwright::artwork::{Drawing, Group, Layer, LayerKind};
use ringwright::units::Length;
use ringwright::write::{BitDepth, PixelSize, PngError, Raster, png, svg};

use crate::kit::pixels::decode;
use crate::kit::{pixels, strips};

fn rendered(svg: &str, dpi: f64, depth: BitDepth) -> Vec<u8> {
    let mut bytes = Vec::new();
    png(svg, &Raster { dpi, depth }, &mut bytes).unwrap();
    bytes
}

#[test]
fn the_file_states_its_size_its_scale_and_its_depth() {
    for (mm, dpi, per_metre, width, height) in [
        (300.0, 600.0, 23622, 7087, 473),
        (300.0, 1200.0, 47244, 14174, 945),
        (50.8, 2400.0, 94488, 4800, 1890),
        (50.8, 333.0, 13110, 666, 263),
    ] {
        let text = svg(&strips::strip(mm, 20.0, 20, 4));
        for (depth, colour, bits) in [
            (BitDepth::Grey8, ::png::ColorType::Grayscale, ::png::BitDepth::Eight),
            (BitDepth::Bilevel, ::png::ColorType::Grayscale, ::png::BitDepth::One),
            (BitDepth::Colour, ::png::ColorType::Rgb, ::png::BitDepth::Eight),
        ] {
            let mut bytes = Vec::new();
            let size = png(&text, &Raster { dpi, depth }, &mut bytes).unwrap();
            assert_eq!(size, PixelSize { width, height });
            let reader = ::png::Decoder::new(io::Cursor::new(bytes)).read_info().unwrap();
            let info = reader.info();
            assert_eq!((info.width, info.height), (width, height));
            assert_eq!((info.color_type, info.bit_depth), (colour, bits));
            let dims = info.pixel_dims.unwrap();
            assert_eq!((dims.xppu, dims.yppu, dims.unit), (per_metre, per_metre, ::png::Unit::Meter));
        }
    }
}

/// Bars of known place: upright ones in a row, and one below them that lies.
fn bars() -> (Drawing, Vec<Rect>, Rect) {
    let upright: Vec<_> = (0..40)
        .map(|at| {
            let (x, thick) = (1.0 + 7.0123 * f64::from(at), 0.1 + 0.0173 * f64::from(at % 11));
            Rect::new(x, 1.2345, x + thick, 4.3217)
        })
        .collect();
    let lying = Rect::new(0.5, 18.0017, 290.0, 18.3456);
    let groups = upright.iter().chain([&lying]).map(|bar| Group::new(None, bar.to_path(1e-4))).collect();
    let layers = vec![Layer::new(LayerKind::Ticks, groups)];
    (Drawing { title: "bars".into(), width: Length::mm(300.0), height: Length::mm(20.0), layers }, upright, lying)
}

/// Where black begins and ends, as (first pixel, pixel after the last).
fn runs(black: impl Iterator<Item = bool>) -> Vec<(usize, usize)> {
    let mut runs = Vec::new();
    let mut since = None;
    for (at, black) in black.chain([false]).enumerate() {
        match (since, black) {
            (None, true) => since = Some(at),
            (Some(start), false) => {
                runs.push((start, at));
                since = None;
            }
            _ => {}
        }
    }
    runs
}

#[test]
fn every_edge_lies_within_a_pixel_of_its_place() {
    // Half a pixel from cutting at half, and a quarter from the samples.
    let (strip, upright, lying) = bars();
    for dpi in [600.0, 1200.0] {
        let per_mm = dpi / 25.4;
        let near = |pixel: usize, mm: f64| {
            let off = (pixel as f64 - mm * per_mm).abs();
            assert!(off <= 0.75, "an edge at {mm} mm is {off} pixels off at {dpi} dpi");
        };
        for depth in [BitDepth::Grey8, BitDepth::Bilevel] {
            let picture = decode(&rendered(&svg(&strip), dpi, depth));
            let row = (2.5 * per_mm) as usize;
            let across = runs((0..picture.width).map(|x| picture.is_black(x, row)));
            assert_eq!(across.len(), upright.len());
            for ((start, end), bar) in across.into_iter().zip(&upright) {
                near(start, bar.x0);
                near(end, bar.x1);
                let column = ((bar.x0 + bar.x1) / 2.0 * per_mm) as usize;
                let down = runs((0..picture.height).map(|y| picture.is_black(column, y)));
                assert_eq!(down.len(), 2);
                for ((start, end), bar) in down.into_iter().zip([bar, &lying]) {
                    near(start, bar.y0);
                    near(end, bar.y1);
                }
            }
        }
    }
}

#[test]
fn the_scale_is_exact_and_the_last_pixels_stay_partly_white() {
    // At 600 dpi 300.03 mm are 7087.32 pixels and 20.02 mm are 472.91: black covers parts of the last column and row.
    let groups = vec![Group::new(None, Rect::new(0.0, 0.0, 300.03, 20.02).to_path(1e-4))];
    let strip = Drawing {
        title: String::new(),
        width: Length::mm(300.03),
        height: Length::mm(20.02),
        layers: vec![Layer::new(LayerKind::Cut, groups)],
    };
    let picture = decode(&rendered(&svg(&strip), 600.0, BitDepth::Grey8));
    assert_eq!((picture.width, picture.height), (7088, 473));
    let covered = |grey: u8| 1.0 - f64::from(grey) / 255.0;
    for (found, expected) in [
        (covered(picture.at(7087, 100)), 300.03 / 25.4 * 600.0 - 7087.0),
        (covered(picture.at(100, 472)), 20.02 / 25.4 * 600.0 - 472.0),
    ] {
        assert!((found - expected).abs() <= 0.25, "{found} of the pixel is black, {expected} should be");
    }
    assert_eq!(picture.at(7086, 100), 0);
}

#[test]
fn two_runs_give_the_same_bytes() {
    let text = svg(&strips::strip(40.0, 20.0, 60, 16));
    for depth in [BitDepth::Grey8, BitDepth::Bilevel] {
        assert_eq!(rendered(&text, 1200.0, depth), rendered(&text, 1200.0, depth));
    }
}

#[test]
fn one_bit_is_the_grey_picture_cut_at_half() {
    let text = svg(&strips::strip(61.3, 20.0, 60, 20));
    let (grey, bilevel) =
        (decode(&rendered(&text, 1200.0, BitDepth::Grey8)), decode(&rendered(&text, 1200.0, BitDepth::Bilevel)));
    assert_eq!((grey.width, grey.height), (bilevel.width, bilevel.height));
    let cut: Vec<u8> = grey.greys.iter().map(|grey| if *grey < 128 { 0 } else { 255 }).collect();
    assert!(cut == bilevel.greys);
    assert!(cut.contains(&0) && cut.contains(&255));
}

#[test]
fn bands_differ_from_the_whole_by_one_row_of_samples_on_edges_at_most() {
    // A pixel has 4 x 4 samples of 16/256 each. Rounding can move an edge over one sample: one that lies over a whole
    // row of four, one that stands or leans over one in each of four rows. Either way 4 samples: 64 of 255.
    const FOUR_SAMPLES: u8 = 64;
    let text = svg(&strips::strip(150.0, 40.0, 200, 60));
    let options = usvg::Options { dpi: 25.4, ..usvg::Options::default() };
    let tree = usvg::Tree::from_str(&text, &options).unwrap();
    for dpi in [600.0, 1200.0] {
        let banded = decode(&rendered(&text, dpi, BitDepth::Grey8));
        let (width, height) = (banded.width, banded.height);
        let mut pixmap = Pixmap::new(width as u32, height as u32).unwrap();
        pixmap.fill(Color::WHITE);
        let scale = (dpi / 25.4) as f32;
        resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
        let greys = pixmap.data().chunks_exact(4).map(|pixel| pixel[0]).collect();
        let whole = pixels::Picture { width, height, greys };

        let mut differing = 0;
        for (at, (band, all)) in banded.greys.iter().zip(&whole.greys).enumerate() {
            if band == all {
                continue;
            }
            differing += 1;
            let (x, y) = (at % width, at / width);
            let difference = band.abs_diff(*all);
            assert!(difference <= FOUR_SAMPLES, "pixel {x}, {y} is {band} in a band and {all} in the whole");
            let beside = [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)];
            let on_edge = !matches!(all, 0 | 255)
                || beside.into_iter().any(|(x, y)| x < width && y < height && whole.at(x, y) != *all);
            assert!(on_edge, "pixel {x}, {y} is {band} in a band, and no edge is near");
        }
        let edges = whole.greys.iter().filter(|grey| !matches!(grey, 0 | 255)).count();
        // A band that was shifted as a whole would differ on nearly all of its edges.
        assert!(differing * 50 < edges, "{differing} of {edges} pixels on edges differ at {dpi} dpi");
    }
}

fn refused(svg: &str, dpi: f64) -> PngError {
    let mut bytes = Vec::new();
    let error = png(svg, &Raster { dpi, depth: BitDepth::Grey8 }, &mut bytes).unwrap_err();
    assert!(bytes.is_empty(), "something was written before the refusal");
    error
}

#[test]
fn a_resolution_beyond_reason_is_refused() {
    let text = svg(&strips::strip(30.0, 20.0, 3, 1));
    for dpi in [0.0, -600.0, 49.999, 9600.001, 1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert!(matches!(refused(&text, dpi), PngError::Dpi(_)), "{dpi}");
    }
    rendered(&text, 50.0, BitDepth::Grey8);
    rendered(&svg(&strips::strip(10.0, 5.0, 1, 0)), 9600.0, BitDepth::Bilevel);
}

#[test]
fn a_side_beyond_reason_is_refused() {
    for (width, height) in [(700.0, 20.0), (20.0, 700.0), (1e12, 20.0), (1e300, 1e300)] {
        let strip =
            Drawing { title: String::new(), width: Length::mm(width), height: Length::mm(height), layers: vec![] };
        assert!(matches!(refused(&svg(&strip), 9600.0), PngError::Side { .. }), "{width} x {height} mm");
    }
}

#[test]
fn a_drawing_without_a_true_size_is_refused() {
    let head = r#"<svg xmlns="http://www.w3.org/2000/svg""#;
    for size in [
        r#"width="30" height="20" viewBox="0 0 30 20""#,
        r#"width="3cm" height="2cm" viewBox="0 0 30 20""#,
        r#"width="30mm" height="20mm""#,
        r#"width="30mm" height="20mm" viewBox="0 0 300 200""#,
        r#"width="0mm" height="0mm" viewBox="0 0 0 0""#,
        r#"width="-1mm" height="-1mm" viewBox="0 0 -1 -1""#,
        r#"width="NaNmm" height="infmm" viewBox="0 0 NaN inf""#,
        "",
    ] {
        assert!(matches!(refused(&format!("{head} {size}/>"), 600.0), PngError::Size), "{size}");
    }
    for text in ["", "<svg", "no drawing at all"] {
        assert!(matches!(refused(text, 600.0), PngError::Svg(_)), "{text}");
    }
}

/// Takes `room` bytes and is full.
struct Disk {
    room: usize,
}

impl Write for Disk {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let taken = bytes.len().min(self.room);
        self.room -= taken;
        if taken == 0 { Err(io::Error::new(io::ErrorKind::StorageFull, "no room left")) } else { Ok(taken) }
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_disk_that_fills_up_is_reported_with_its_own_error_at_every_byte() {
    let text = svg(&strips::strip(20.0, 10.0, 5, 2));
    let raster = Raster { dpi: 300.0, depth: BitDepth::Grey8 };
    let needed = rendered(&text, 300.0, BitDepth::Grey8).len();
    png(&text, &raster, &mut Disk { room: needed }).unwrap();
    for room in (0..needed).step_by(7).chain([needed - 1]) {
        match png(&text, &raster, &mut Disk { room }) {
            Err(PngError::Write(cause)) => {
                assert_eq!(cause.kind(), io::ErrorKind::StorageFull);
                assert_eq!(cause.to_string(), "no room left");
            }
            other => panic!("{other:?} with room for {room} bytes of {needed}"),
        }
    }
}

#[test]
fn colour_shows_red_and_is_grey_where_the_drawing_is_black() {
    let strip = strips::strip(20.0, 12.0, 20, 5);
    let of_black = rendered(&svg(&strip), 600.0, BitDepth::Colour);
    let grey = decode(&rendered(&svg(&strip), 600.0, BitDepth::Grey8));
    let colours = |bytes: Vec<u8>| {
        let mut reader = ::png::Decoder::new(io::Cursor::new(bytes)).read_info().unwrap();
        assert_eq!(reader.info().color_type, ::png::ColorType::Rgb);
        assert_eq!(reader.info().bit_depth, ::png::BitDepth::Eight);
        let mut data = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut data).unwrap();
        data
    };
    let thrice: Vec<u8> = grey.greys.iter().flat_map(|grey| [*grey; 3]).collect();
    assert!(colours(of_black) == thrice, "black is not grey");

    let square = |x: f64| vec![Group::new(None, Rect::new(x, 1.0, x + 2.0, 3.0).to_path(1e-4))];
    let layers = vec![
        Layer::new(LayerKind::Ticks, square(1.0)),
        Layer::new(LayerKind::Guide, square(5.0)).with_ink(ringwright::artwork::Ink::Red),
    ];
    let drawing = Drawing { title: "red".into(), width: Length::mm(10.0), height: Length::mm(4.0), layers };
    // at 254 dpi a millimetre is ten pixels, and every edge lies between two
    let data = colours(rendered(&svg(&drawing), 254.0, BitDepth::Colour));
    assert_eq!(data.len(), 3 * 100 * 40);
    for (at, pixel) in data.chunks(3).enumerate() {
        let inside = |from: usize| (from..from + 20).contains(&(at % 100)) && (10..30).contains(&(at / 100));
        let expected = if inside(10) {
            [0, 0, 0]
        } else if inside(50) {
            [0xdd, 0, 0]
        } else {
            [255; 3]
        };
        assert_eq!(pixel, expected, "at {}, {}", at % 100, at / 100);
    }
}
