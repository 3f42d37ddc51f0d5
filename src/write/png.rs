//! A drawing of ours becomes PNG: on white, at an exact scale, in bands that keep memory small.
//!
//! Takes the text of an SVG whose width and height are in millimetres and whose `viewBox` has the same numbers; anything
//! else is refused, because its scale would be a guess. One millimetre is dpi / 25.4 pixels exactly, never stretched
//! to fill a whole pixel, so the last column and row may be partly white.
//!
//! Coverage is sampled 4 × 4 within each pixel, so an edge lies within a quarter of a pixel of its place. Where an edge
//! falls on a sample to within rounding, it may go either way from one height of band to another; with the one height
//! used here the same drawing gives the same pixels.
//!
//! Source: Portable Network Graphics (PNG) Specification, W3C, chunk `pHYs`: it counts whole pixels per metre, an inch
//! being 0.0254 m, so 600 dpi are stated as 23622, which is 599.9988 dpi.

use std::fmt;
use std::io::{self, Write};
use std::ops::RangeInclusive;

use png::{ColorType, Compression, Encoder, PixelDimensions, Unit};
use resvg::tiny_skia::{Color, Pixmap, Transform};
use usvg::roxmltree;

use crate::units::figure;

/// Rows rendered at a time. Memory is 4 bytes × the pixels of a row × this: 29 MB for 300 mm at 2400 dpi. Fewer rows
/// save memory, but every shape is processed once for each band: a sheet full of strips gets slower. Another number
/// may move an edge by a quarter of a pixel where the edge is on a sample.
const BAND_ROWS: u32 = 256;

/// The longest side in pixels, 2.8 m at 2400 dpi. A band then takes 256 MiB; and single precision, in which shapes
/// are rendered, still resolves 1/32 pixel at the far end, well below the quarter of a sample.
const MAX_SIDE: u32 = 1 << 18;

/// The resolutions that can be rendered. At 50 dpi a pixel is half a millimetre, the width of a bold tick; at 9600 dpi
/// it is 2.6 µm, below what any film or cutter resolves.
pub const DPI: RangeInclusive<f64> = 50.0..=9600.0;

/// Millimetres in an inch (agreement of 1 July 1959).
const INCH: f64 = 25.4;

/// What a pixel can be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BitDepth {
    /// 256 greys, so that edges keep their place between pixels.
    #[default]
    Grey8,
    /// Black or white: a pixel that is half covered or more is black.
    Bilevel,
    /// Three times 256 levels, for pictures with red in them. The other depths take the red channel as grey.
    Colour,
}

/// How a drawing is rendered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Raster {
    /// Pixels per inch, from 50 to 9600.
    pub dpi: f64,
    /// What a pixel can be.
    pub depth: BitDepth,
}

/// The size of a rendered drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PixelSize {
    /// Pixels in a row.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

/// Why a drawing was not rendered.
#[derive(Debug)]
pub enum PngError {
    /// A resolution outside of what can be rendered.
    Dpi(f64),
    /// A side with more pixels than can be rendered.
    Side {
        /// The side's length in millimetres.
        mm: f64,
        /// The resolution asked for.
        dpi: f64,
    },
    /// The drawing does not state a true size.
    Size,
    /// The drawing is no SVG that can be read.
    Svg(usvg::Error),
    /// The file could not be written.
    Write(io::Error),
}

impl fmt::Display for PngError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PngError::Dpi(dpi) => {
                write!(f, "a resolution of {dpi} dpi cannot be rendered ({} to {} dpi can)", DPI.start(), DPI.end())
            }
            PngError::Side { mm, dpi } => {
                let most = (f64::from(MAX_SIDE) * INCH / mm).floor();
                write!(f, "{} mm at {dpi} dpi are more than {MAX_SIDE} pixels in a row or column", figure(*mm))?;
                if most >= *DPI.start() {
                    write!(f, " (up to {most} dpi fit)")
                } else {
                    f.write_str(" (make it shorter)")
                }
            }
            PngError::Size => f.write_str(
                "the drawing states no true size (width and height in mm, and a viewBox in the same numbers)",
            ),
            PngError::Svg(_) => f.write_str("the drawing is no SVG that can be read"),
            PngError::Write(_) => f.write_str("the PNG could not be written"),
        }
    }
}

impl std::error::Error for PngError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            PngError::Svg(cause) => Some(cause),
            PngError::Write(cause) => Some(cause),
            PngError::Dpi(_) | PngError::Side { .. } | PngError::Size => None,
        }
    }
}

/// Renders a drawing written by [`svg()`](super::svg()) and writes it as PNG.
///
/// ```text
/// pixels = ceil(l · dpi / 25.4)        l: width or height in mm
/// pHYs   = round(dpi / 0.0254)         pixels per metre
/// ```
///
/// # Errors
/// When the resolution or a side is out of bounds, when the drawing cannot be read or states no true size, and when
/// `out` fails; the cause is then the error of `out` itself.
pub fn png(svg: &str, raster: &Raster, out: &mut dyn Write) -> Result<PixelSize, PngError> {
    let Raster { dpi, depth } = *raster;
    if !DPI.contains(&dpi) {
        return Err(PngError::Dpi(dpi));
    }
    let document = roxmltree::Document::parse(svg).map_err(|cause| PngError::Svg(cause.into()))?;
    let (width_mm, height_mm) = true_size(&document).ok_or(PngError::Size)?;
    let size = PixelSize { width: pixels(width_mm, dpi)?, height: pixels(height_mm, dpi)? };
    // At 25.4 dpi a user unit is a millimetre.
    let options = usvg::Options { dpi: INCH as f32, ..usvg::Options::default() };
    let tree = usvg::Tree::from_xmltree(&document, &options).map_err(PngError::Svg)?;

    let mut sink = Sink { out, failed: None };
    let written = encode(&tree, size, dpi, depth, &mut sink);
    match (written, sink.failed) {
        (_, Some(cause)) => Err(PngError::Write(cause)),
        (Err(cause), None) => Err(PngError::Write(cause)),
        (Ok(()), None) => Ok(size),
    }
}

fn encode(tree: &usvg::Tree, size: PixelSize, dpi: f64, depth: BitDepth, sink: &mut Sink<'_>) -> io::Result<()> {
    let mut encoder = Encoder::new(sink, size.width, size.height);
    let (colour, bits) = match depth {
        BitDepth::Grey8 => (ColorType::Grayscale, png::BitDepth::Eight),
        BitDepth::Bilevel => (ColorType::Grayscale, png::BitDepth::One),
        BitDepth::Colour => (ColorType::Rgb, png::BitDepth::Eight),
    };
    encoder.set_color(colour);
    encoder.set_depth(bits);
    encoder.set_compression(match depth {
        // these pictures are temporary
        BitDepth::Colour => Compression::Fast,
        BitDepth::Grey8 | BitDepth::Bilevel => Compression::Balanced,
    });
    let per_metre = (dpi / 0.0254).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
    let mut writer = encoder.write_header()?;
    let mut stream = writer.stream_writer_with_size(1 << 16)?;

    let mut band = Pixmap::new(size.width, BAND_ROWS).ok_or_else(|| io::Error::from(io::ErrorKind::OutOfMemory))?;
    let scale = (dpi / INCH) as f32;
    let mut row_bytes = Vec::with_capacity(size.width as usize);
    for top in (0..size.height).step_by(BAND_ROWS as usize) {
        band.fill(Color::WHITE);
        resvg::render(tree, Transform::from_row(scale, 0.0, 0.0, scale, 0.0, -(top as f32)), &mut band.as_mut());
        let rows = BAND_ROWS.min(size.height - top) as usize;
        for row in band.data().chunks_exact(4 * size.width as usize).take(rows) {
            // Black on an opaque white: one channel is enough, except in colour.
            let greys = row.chunks_exact(4).map(|pixel| pixel[0]);
            row_bytes.clear();
            match depth {
                BitDepth::Grey8 => row_bytes.extend(greys),
                BitDepth::Bilevel => pack(greys, &mut row_bytes),
                BitDepth::Colour => row.chunks_exact(4).for_each(|pixel| row_bytes.extend_from_slice(&pixel[..3])),
            }
            stream.write_all(&row_bytes)?;
        }
    }
    stream.finish()?;
    Ok(writer.finish()?)
}

/// Eight pixels to the byte, the leftmost in the highest bit; white is 1.
fn pack(greys: impl Iterator<Item = u8>, bytes: &mut Vec<u8>) {
    for (at, grey) in greys.enumerate() {
        if at % 8 == 0 {
            bytes.push(0);
        }
        if let Some(last) = bytes.last_mut() {
            *last |= u8::from(grey >= 128) << (7 - at % 8);
        }
    }
}

/// Whole pixels that hold a length.
fn pixels(mm: f64, dpi: f64) -> Result<u32, PngError> {
    // A length has 4 decimals, so a millionth of a pixel is rounding and no part of the drawing.
    let count = (mm * dpi / INCH - 1e-6).ceil().max(1.0);
    if count <= f64::from(MAX_SIDE) { Ok(count as u32) } else { Err(PngError::Side { mm, dpi }) }
}

/// Width and height in millimetres, if the user unit is one millimetre.
fn true_size(document: &roxmltree::Document<'_>) -> Option<(f64, f64)> {
    let root = document.root_element();
    let side = |name| root.attribute(name)?.strip_suffix("mm");
    let (width, height) = (side("width")?, side("height")?);
    if root.attribute("viewBox")? != format!("0 0 {width} {height}") {
        return None;
    }
    let mm = |text: &str| text.parse().ok().filter(|mm: &f64| mm.is_finite() && *mm > 0.0);
    Some((mm(width)?, mm(height)?))
}

/// Passes bytes on and keeps the first error, of which the encoder would only keep the text.
struct Sink<'a> {
    out: &'a mut dyn Write,
    failed: Option<io::Error>,
}

impl Sink<'_> {
    fn keep<T>(&mut self, done: io::Result<T>) -> io::Result<T> {
        done.map_err(|cause| {
            let kind = cause.kind();
            if kind != io::ErrorKind::Interrupted {
                self.failed.get_or_insert(cause);
            }
            kind.into()
        })
    }
}

impl Write for Sink<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let done = self.out.write(bytes);
        self.keep(done)
    }

    fn flush(&mut self) -> io::Result<()> {
        let done = self.out.flush();
        self.keep(done)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_of_whole_pixels_takes_no_further_one() {
        assert_eq!(pixels(25.4, 600.0).unwrap(), 600);
        assert_eq!(pixels(300.0, 600.0).unwrap(), 7087);
        assert_eq!(pixels(0.0001, 50.0).unwrap(), 1);
        for inches_hundredth in 1..=2700u32 {
            let mm: f64 = format!("{:.4}", f64::from(inches_hundredth) * 0.254).parse().unwrap();
            for dpi in [300, 600, 1200, 2400, 9600] {
                assert_eq!(pixels(mm, f64::from(dpi)).unwrap(), dpi / 100 * inches_hundredth, "{mm} mm at {dpi} dpi");
            }
        }
    }

    #[test]
    fn the_smallest_length_beyond_whole_pixels_takes_one_more() {
        assert_eq!(pixels(25.4001, 600.0).unwrap(), 601);
        assert_eq!(pixels(25.4001, 50.0).unwrap(), 51);
    }

    #[test]
    fn half_covered_is_black_and_bits_run_from_the_left() {
        let mut bytes = Vec::new();
        pack([255, 128, 127, 0, 255, 0, 0, 255, 255, 0].into_iter(), &mut bytes);
        assert_eq!(bytes, [0b1100_1001, 0b1000_0000]);
    }

    #[test]
    fn errors_name_the_limit_and_a_way_out() {
        let said = |error: PngError| error.to_string();
        insta::assert_snapshot!(said(PngError::Dpi(f64::NAN)), @"a resolution of NaN dpi cannot be rendered (50 to 9600 dpi can)");
        insta::assert_snapshot!(said(PngError::Side { mm: 1500.0, dpi: 9600.0 }), @"1500 mm at 9600 dpi are more than 262144 pixels in a row or column (up to 4438 dpi fit)");
        insta::assert_snapshot!(said(PngError::Side { mm: 1e9, dpi: 600.0 }), @"1000000000 mm at 600 dpi are more than 262144 pixels in a row or column (make it shorter)");
        insta::assert_snapshot!(said(PngError::Size), @"the drawing states no true size (width and height in mm, and a viewBox in the same numbers)");
    }
}
