//! PDF files read back with Poppler, which shares no code with what wrote them: the size of the pages, and every shape
//! at its place.
//!
//! Needs the programs `pdfinfo`, `pdftocairo` and `pdftoppm` (Debian: poppler-utils).

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use kurbo::{Affine, BezPath, Circle, PathEl, Rect, Shape};
use proptest::prelude::*;
use ringwright::artwork::{Drawing, Group, Ink, Layer, LayerKind};
use ringwright::units::Length;
use ringwright::write::{pdf, svg};

use crate::kit::{paths, sets, strips};

/// Millimetres in a point.
const POINT: f64 = 25.4 / 72.0;

/// Cairo holds coordinates in 1/256 point (cairo-fixed-private.h), here rounded either way, and ours have 4 decimals.
const CAIRO: f64 = POINT / 512.0 + 0.5e-4 + 1e-6;

fn saved(name: &str, bytes: &[u8]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(&path, bytes).unwrap();
    path
}

/// What one of Poppler's programs answers. It must find nothing to complain of.
fn poppler(program: &str, args: &[&str], file: &Path) -> Vec<u8> {
    // the file and, for those who write one, standard output
    let to: &[&str] = if program == "pdftocairo" { &["-"] } else { &[] };
    let output = Command::new(program).args(args).arg(file).args(to).output().unwrap_or_else(|error| {
        panic!("this check needs the program {program} (Debian: apt-get install poppler-utils): {error}")
    });
    let complaints = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && complaints.is_empty(), "{program}: {}: {complaints}", output.status);
    output.stdout
}

fn info(file: &Path) -> String {
    String::from_utf8(poppler("pdfinfo", &["-f", "1", "-l", "9"], file)).unwrap()
}

/// The value of a line of `pdfinfo`.
fn line<'a>(info: &'a str, key: &str) -> Option<&'a str> {
    info.lines().find_map(|line| line.strip_prefix(key)?.trim_start().strip_prefix(':').map(str::trim))
}

/// The filled paths of an SVG in the file's order, in mm.
fn shapes(svg: &str, unit: f64) -> Vec<BezPath> {
    let document = roxmltree::Document::parse(svg).expect("an SVG is XML");
    let paths = document.descendants().filter(|node| {
        node.tag_name().name() == "path" && !node.ancestors().any(|above| above.tag_name().name() == "clipPath")
    });
    paths
        .map(|node| {
            assert_eq!(node.attribute("transform"), None);
            let path = BezPath::from_svg(node.attribute("d").unwrap_or_default()).expect("path data");
            let mut elements = path.into_iter().collect::<Vec<_>>();
            // Cairo moves to the start again after each contour that it closes
            if matches!(elements.last(), Some(PathEl::MoveTo(_))) {
                elements.pop();
            }
            Affine::scale(unit) * BezPath::from_vec(elements)
        })
        .collect()
}

/// A page's shapes in mm. Without the switches, `pdftocairo` would shrink and shift a page to fit a printer's margins.
fn drawn(file: &Path, page: usize) -> Vec<BezPath> {
    let page = page.to_string();
    let answer = poppler("pdftocairo", &["-svg", "-noshrink", "-nocenter", "-f", &page, "-l", &page], file);
    shapes(std::str::from_utf8(&answer).unwrap(), POINT)
}

/// Every shape of the page has the place, the size and the area that it has in the drawing's SVG.
fn check_page(file: &Path, page: usize, drawing: &Drawing) {
    let found = drawn(file, page);
    let expected = shapes(&svg(drawing), 1.0);
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(&expected) {
        let (a, b) = (found.bounding_box(), expected.bounding_box());
        for (a, b) in [(a.x0, b.x0), (a.x1, b.x1), (a.y0, b.y0), (a.y1, b.y1)] {
            assert!((a - b).abs() <= CAIRO, "{a} for {b} in {expected:?}");
        }
        // every edge may be off by that much
        let bound = CAIRO * expected.perimeter(1e-3) + 1e-4;
        assert!((found.area() - expected.area()).abs() <= bound, "{} mm2 for {}", found.area(), expected.area());
    }
}

fn plain(width: f64, height: f64, layers: Vec<Layer>) -> Drawing {
    Drawing { title: "sample".into(), width: Length::mm(width), height: Length::mm(height), layers }
}

fn layer(kind: LayerKind, path: BezPath) -> Layer {
    Layer::new(kind, vec![Group::new(None, path)])
}

#[test]
fn pages_have_the_size_of_their_drawings() {
    let sizes = [(420.0, 297.0), (300.0, 20.0), (210.0, 297.0), (33.333, 7.001), (1500.0, 12.5)];
    let pages = sizes.map(|(width, height)| plain(width, height, vec![]));
    let info = info(&saved("sizes.pdf", &pdf("sizes", &pages)));
    assert_eq!(line(&info, "Pages"), Some("5"));
    for (at, size) in sizes.iter().enumerate() {
        let found = line(&info, &format!("Page    {} size", at + 1)).expect("a size of each page");
        let numbers: Vec<f64> = found.split(' ').filter_map(|word| word.parse().ok()).collect();
        let [width, height] = numbers[..] else { panic!("{found}") };
        // pdfinfo prints 6 digits
        for (points, mm) in [(width, size.0), (height, size.1)] {
            assert!((points * POINT - mm).abs() <= 0.02, "{points} pt for {mm} mm");
        }
    }
}

#[test]
fn the_file_names_itself_and_tells_no_time() {
    let page = plain(30.0, 10.0, vec![]);
    let info = info(&saved("info.pdf", &pdf("Größe (1:1) \\ ∞ 2′6″ 𝄞", &[page])));
    assert_eq!(line(&info, "Title"), Some("Größe (1:1) \\ ∞ 2′6″ 𝄞"));
    assert_eq!(line(&info, "Producer"), Some("ringwright"));
    assert_eq!(line(&info, "PDF version"), Some("1.7"));
    assert_eq!(line(&info, "Pages"), Some("1"));
    for unwanted in ["CreationDate", "ModDate", "Creator", "Author"] {
        assert_eq!(line(&info, unwanted), None, "{unwanted}");
    }
}

#[test]
fn every_tick_of_a_real_strip_stands_where_the_svg_has_it() {
    for name in ["large-ring", "cone", "two-bands-with-primes"] {
        let strip = sets::golden(name);
        let file = saved(&format!("{name}.pdf"), &pdf(name, std::slice::from_ref(&strip)));
        check_page(&file, 1, &strip);
        // the ticks by themselves, so that the count says that none is missing
        let layers = strip.layers.iter().filter(|layer| layer.kind == LayerKind::Ticks);
        let ticks: Vec<Rect> = layers.flat_map(|layer| &layer.groups).map(|tick| tick.path.bounding_box()).collect();
        let found = drawn(&file, 1);
        for tick in &ticks {
            let there = found.iter().filter(|path| path.bounding_box().center().distance(tick.center()) <= 0.02);
            assert_eq!(there.count(), 1, "{tick:?} of {name}");
        }
        assert!(ticks.len() >= 20, "{name} has only {} ticks", ticks.len());
    }
}

#[test]
fn quadratics_holes_and_the_far_end_of_a_large_sheet_are_where_they_should_be() {
    let pages = [strips::strip(420.0, 297.0, 300, 60), strips::strip(60.0, 20.0, 20, 7)];
    let file = saved("pages.pdf", &pdf("pages", &pages));
    for (at, page) in pages.iter().enumerate() {
        check_page(&file, at + 1, page);
    }
}

/// A page rendered by Splash, Poppler's own renderer: how black its pixels are, 0 to 1, by columns and rows.
struct Rendered {
    dpi: f64,
    width: usize,
    samples: Vec<u8>,
    colours: usize,
}

impl Rendered {
    fn new(name: &str, page: &Drawing, dpi: f64, colours: usize) -> Self {
        let file = saved(name, &pdf(name, std::slice::from_ref(page)));
        let dpi_text = dpi.to_string();
        let args: &[&str] = if colours == 1 { &["-gray", "-r", &dpi_text] } else { &["-r", &dpi_text] };
        let data = poppler("pdftoppm", args, &file);
        // "P5\nWIDTH HEIGHT\n255\n" and the samples
        let header: Vec<&[u8]> = data.splitn(4, |byte| *byte == b'\n').collect();
        assert_eq!(header[0], if colours == 1 { b"P5" } else { b"P6" });
        let size = std::str::from_utf8(header[1]).unwrap();
        let width = size.split(' ').next().and_then(|width| width.parse().ok()).expect("a width");
        Rendered { dpi, width, samples: header[3].to_vec(), colours }
    }

    fn pixel(&self, x: usize, y: usize) -> &[u8] {
        &self.samples[self.colours * (y * self.width + x)..][..self.colours]
    }

    fn at_mm(&self, x: f64, y: f64) -> &[u8] {
        self.pixel((x * self.dpi / 25.4) as usize, (y * self.dpi / 25.4) as usize)
    }

    /// The box of all black in a window, in mm, to the pixel.
    fn black(&self, window: Rect) -> Rect {
        let per_mm = self.dpi / 25.4;
        let mut found: Option<Rect> = None;
        for y in (window.y0 * per_mm) as usize..(window.y1 * per_mm) as usize {
            for x in (window.x0 * per_mm) as usize..(window.x1 * per_mm) as usize {
                if self.pixel(x, y)[0] < 128 {
                    let pixel = Rect::new(x as f64, y as f64, x as f64 + 1.0, y as f64 + 1.0);
                    found = Some(found.map_or(pixel, |all| all.union(pixel)));
                }
            }
        }
        found.expect("something black").scale_from_origin(1.0 / per_mm)
    }
}

#[test]
fn rendered_edges_and_lines_lie_where_the_drawing_has_them() {
    let bar = Rect::new(2.017, 3.113, 2.531, 9.877);
    let ring = Circle::new((12.0, 6.0), 3.3);
    let mut hollow = ring.to_path(1e-5);
    hollow.extend(Circle::new((12.0, 6.0), 1.7).to_path(1e-5).reverse_subpaths());
    let mut stroke = BezPath::new();
    stroke.move_to((20.0, 3.0));
    stroke.line_to((20.0, 9.0));
    stroke.line_to((24.0, 9.0));
    let page = plain(
        30.0,
        12.0,
        vec![
            layer(LayerKind::Ticks, bar.to_path(1e-4)),
            layer(LayerKind::Numerals, hollow),
            layer(LayerKind::Cut, stroke).with_ink(Ink::Line(Length::mm(0.6))),
        ],
    );
    let picture = Rendered::new("edges.pdf", &page, 2400.0, 1);
    // a pixel is 0.0106 mm
    let window = |x0, x1| Rect::new(x0, 1.0, x1, 11.0);
    for (window, expected) in [
        (window(0.5, 5.0), bar),
        (window(7.0, 17.0), ring.bounding_box()),
        (window(18.0, 29.0), Rect::new(19.7, 2.7, 24.3, 9.3)),
    ] {
        let found = picture.black(window);
        let off = [found.x0 - expected.x0, found.x1 - expected.x1, found.y0 - expected.y0, found.y1 - expected.y1];
        assert!(off.iter().all(|off| off.abs() <= 0.02), "{found:?} for {expected:?}");
    }
    for (x, y, black) in [
        (12.0, 6.0, false), // the hole
        (14.5, 6.0, true),
        (24.25, 9.0, true),   // within the round end,
        (24.25, 9.25, false), // beside it,
        (24.0, 8.75, true),   // and before it
        (19.75, 9.25, false), // a round corner
        (22.0, 6.0, false),   // a line is not filled
    ] {
        assert_eq!(picture.at_mm(x, y)[0] < 128, black, "at {x}, {y}");
    }
}

#[test]
fn inks_have_their_colours_and_later_layers_lie_on_top() {
    let square = |at: f64| Rect::new(at, 1.0, at + 4.0, 5.0).to_path(1e-4);
    let page = plain(
        12.0,
        6.0,
        vec![
            layer(LayerKind::Ticks, square(1.0)),
            layer(LayerKind::Guide, square(3.0)).with_ink(Ink::Clear),
            layer(LayerKind::Index, square(6.5)).with_ink(Ink::Red),
        ],
    );
    let picture = Rendered::new("inks.pdf", &page, 100.0, 3);
    assert_eq!(picture.at_mm(2.0, 3.0), [0, 0, 0]);
    assert_eq!(picture.at_mm(4.0, 3.0), [255, 255, 255]);
    assert_eq!(picture.at_mm(8.0, 3.0), [0xdd, 0, 0]);
    assert_eq!(picture.at_mm(11.5, 3.0), [255, 255, 255]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn any_paths_make_pages_that_can_be_read(pages in prop::collection::vec(paths::any_drawing(), 1..4)) {
        let file = saved("any.pdf", &pdf(&pages[0].title, &pages));
        let info = info(&file);
        prop_assert_eq!(line(&info, "Pages").and_then(|count| count.parse().ok()), Some(pages.len()));
        // at 20 dpi every operator is carried out and every complaint of a reader heard
        poppler("pdftoppm", &["-r", "20"], &file);
    }
}
