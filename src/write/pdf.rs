//! Drawings become PDF: one page for each, exactly as large as the drawing, filled paths and lines and nothing else.
//!
//! A page's unit is the point, 1/72 inch = 25.4/72 mm. One matrix at the head of each page turns it into the drawing's
//! own axes, so that every coordinate in the content is a millimetre with y down, as in the drawing. Viewers are asked
//! not to scale the print and to choose the paper by the page; only a measured print shows whether they do.
//!
//! Coordinates have 4 decimals, as in SVG. The page's size alone is held in single precision, which is 0.00002 mm off
//! at 420 mm at most. The file has no date and no identifier, so the same drawings give the same bytes.
//!
//! Source: ISO 32000-1:2008, from memory: 7.7.3.3 page objects, 7.9.2.2 text strings, 8.3.3 units, 8.4.4 and 8.5
//! operators, 12.2 viewer preferences, 12.3.3 outline.

use kurbo::{BezPath, PathEl, Point, QuadBez};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::OutlineItemFlags;
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, TextStr};

use super::layers::drawn;
use super::number::{FINE, push};
use crate::artwork::{Drawing, Ink};
use crate::parallel;

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// Decimals of the matrix: at 10 m its rounding is 0.00001 mm.
const MATRIX: usize = 9;

/// How hard the content is compressed, 0 to 10. Five pages of type, 8.7 MB of operators, come to 3.3 MB at 1, 2.6 MB at
/// 2 in 95 ms, 2.5 MB at 3 in twice the time, 2.4 MB at 6 in ten times the time, and no less at 9.
const EFFORT: u8 = 2;

/// The drawings as the pages of one file, which bears the title; with several pages, their titles are its bookmarks.
///
/// Layers without shapes are left out, and layers of one kind and ink are drawn together, as in SVG.
///
/// # Panics
/// When there is no page, as no PDF can be without one, or when a coordinate of a path is NaN or infinite.
pub fn pdf(title: &str, pages: &[Drawing]) -> Vec<u8> {
    assert!(!pages.is_empty(), "a PDF has a page");
    let (catalog, tree, info, outline) = (Ref::new(1), Ref::new(2), Ref::new(3), Ref::new(4));
    // each page has an object for itself, for its content and for its bookmark
    let own = |page: usize, part: i32| Ref::new(5 + 3 * page as i32 + part);
    let page_ref = |page| own(page, 0);

    let mut file = Pdf::new();
    file.set_version(1, 7);
    file.document_info(info).title(TextStr(&text(title))).producer(TextStr("ringwright"));

    let mut root = file.catalog(catalog);
    root.pages(tree).lang(TextStr("en"));
    let mut preferences = root.viewer_preferences();
    preferences.pair(Name(b"PrintScaling"), Name(b"None"));
    preferences.pair(Name(b"PickTrayByPDFSize"), true);
    preferences.finish();
    if pages.len() > 1 {
        root.outlines(outline);
    }
    root.finish();
    file.pages(tree).kids((0..pages.len()).map(page_ref)).count(pages.len() as i32);

    let contents = parallel::each(pages, |page| compress_to_vec_zlib(content(page).as_bytes(), EFFORT));
    for (at, drawing) in pages.iter().enumerate() {
        let (width, height) = (drawing.width.to_mm() * POINTS, drawing.height.to_mm() * POINTS);
        let mut page = file.page(page_ref(at));
        page.parent(tree).media_box(Rect::new(0.0, 0.0, width as f32, height as f32)).contents(own(at, 1));
        page.resources();
        page.finish();
        file.stream(own(at, 1), &contents[at]).filter(Filter::FlateDecode);
    }
    if pages.len() > 1 {
        let bookmark = |at| own(at, 2);
        let last = pages.len() - 1;
        file.outline(outline).first(bookmark(0)).last(bookmark(last)).count(pages.len() as i32);
        for (at, drawing) in pages.iter().enumerate() {
            let mut item = file.outline_item(bookmark(at));
            item.title(TextStr(&text(&drawing.title))).parent(outline).flags(OutlineItemFlags::empty());
            if at > 0 {
                item.prev(bookmark(at - 1));
            }
            if at < last {
                item.next(bookmark(at + 1));
            }
            item.dest().page(page_ref(at)).fit();
        }
    }
    file.finish()
}

/// The operators that draw a page.
fn content(drawing: &Drawing) -> String {
    let mut ops = String::new();
    for (at, value) in [POINTS, 0.0, 0.0, -POINTS, 0.0, drawing.height.to_mm() * POINTS].into_iter().enumerate() {
        if at > 0 {
            ops.push(' ');
        }
        push(&mut ops, value, MATRIX);
    }
    ops.push_str(" cm\n");
    for layer in drawn(drawing) {
        let paint = match layer.ink {
            Ink::Black => {
                ops.push_str("0 g\n");
                "f\n"
            }
            Ink::Clear => {
                ops.push_str("1 g\n");
                "f\n"
            }
            // #d00 of the SVG
            Ink::Red => {
                ops.push_str("0.8667 0 0 rg\n");
                "f\n"
            }
            Ink::Line(width) => {
                push(&mut ops, width.to_mm(), FINE);
                ops.push_str(" w 1 J 1 j 0 G\n");
                "S\n"
            }
        };
        for group in layer.groups.iter().filter(|group| !group.path.elements().is_empty()) {
            construct(&mut ops, &group.path);
            ops.push_str(paint);
        }
    }
    ops
}

/// Path construction operators: quadratics raised to cubics, which are all that PDF has.
fn construct(ops: &mut String, path: &BezPath) {
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    let mut closed = false;
    for element in path.elements() {
        if closed && !matches!(element, PathEl::MoveTo(_) | PathEl::ClosePath) {
            operator(ops, 'm', &[start]);
        }
        closed = false;
        match *element {
            PathEl::MoveTo(to) => {
                operator(ops, 'm', &[to]);
                (start, last) = (to, to);
            }
            PathEl::LineTo(to) => {
                operator(ops, 'l', &[to]);
                last = to;
            }
            PathEl::QuadTo(control, to) => {
                let cubic = QuadBez::new(last, control, to).raise();
                operator(ops, 'c', &[cubic.p1, cubic.p2, to]);
                last = to;
            }
            PathEl::CurveTo(first, second, to) => {
                operator(ops, 'c', &[first, second, to]);
                last = to;
            }
            PathEl::ClosePath => {
                operator(ops, 'h', &[]);
                last = start;
                closed = true;
            }
        }
    }
}

fn operator(ops: &mut String, letter: char, points: &[Point]) {
    for value in points.iter().flat_map(|point| [point.x, point.y]) {
        push(ops, value, FINE);
        ops.push(' ');
    }
    ops.push(letter);
    ops.push('\n');
}

/// The text with U+FFFD for control characters, of which escape would begin a language code (7.9.2.2).
fn text(title: &str) -> String {
    title.chars().map(|c| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artwork::{Group, Layer, LayerKind};
    use crate::units::Length;

    fn drawing(title: &str, layers: Vec<Layer>) -> Drawing {
        Drawing { title: title.into(), width: Length::mm(25.4), height: Length::mm(12.7), layers }
    }

    fn layer(kind: LayerKind, data: &str) -> Layer {
        Layer::new(kind, vec![Group::new(None, BezPath::from_svg(data).unwrap())])
    }

    #[test]
    fn a_small_page_is_drawn_like_this() {
        let page = drawing(
            "one",
            vec![
                layer(LayerKind::Ticks, "M1 0H1.2V3H1Z"),
                Layer::new(LayerKind::Guide, vec![]),
                layer(LayerKind::Index, "M9 0L10 0L9.5 1Z").with_ink(Ink::Red),
                layer(LayerKind::Numerals, "M0 0Q3 0 3 3C3 4 2 4 0 3.33333Z").with_ink(Ink::Clear),
                layer(LayerKind::Cut, "M5 5H6ZL7 7").with_ink(Ink::Line(Length::mm(0.2))),
                layer(LayerKind::Ticks, ""),
                layer(LayerKind::Ticks, "M2 0H2.2V3H2Z"),
            ],
        );
        insta::assert_snapshot!(content(&page), @r"
        2.834645669 0 0 -2.834645669 0 36 cm
        0 g
        1 0 m
        1.2 0 l
        1.2 3 l
        1 3 l
        h
        f
        2 0 m
        2.2 0 l
        2.2 3 l
        2 3 l
        h
        f
        0.8667 0 0 rg
        9 0 m
        10 0 l
        9.5 1 l
        h
        f
        1 g
        0 0 m
        2 0 3 1 3 3 c
        3 4 2 4 0 3.3333 c
        h
        f
        0.2 w 1 J 1 j 0 G
        5 5 m
        6 5 l
        h
        5 5 m
        7 7 l
        S
        ");
    }

    #[test]
    fn a_page_is_as_large_as_its_drawing_and_nothing_tells_the_time() {
        let file = pdf("A & B", &[drawing("one", vec![layer(LayerKind::Ticks, "M1 0H1.2V3H1Z")])]);
        let shown = String::from_utf8_lossy(&file);
        // places and lengths, which compression decides, are checked by readers of the file
        let objects = shown.split("xref").next().unwrap_or_default();
        let plain: String = objects.split("stream\n").step_by(2).collect();
        let kept: Vec<&str> = plain.lines().skip(2).filter(|line| !line.contains("/Length")).collect();
        insta::assert_snapshot!(kept.join("\n").trim(), @r"
        3 0 obj
        <<
          /Title (A & B)
          /Producer (ringwright)
        >>
        endobj

        1 0 obj
        <<
          /Type /Catalog
          /Pages 2 0 R
          /Lang (en)
          /ViewerPreferences <<
            /PrintScaling /None
            /PickTrayByPDFSize true
          >>
        >>
        endobj

        2 0 obj
        <<
          /Type /Pages
          /Kids [5 0 R]
          /Count 1
        >>
        endobj

        5 0 obj
        <<
          /Type /Page
          /Parent 2 0 R
          /MediaBox [0 0 72 36]
          /Contents 6 0 R
          /Resources <<>>
        >>
        endobj

        6 0 obj
        <<
          /Filter /FlateDecode
        >>
        endobj
        ");
    }

    #[test]
    fn several_pages_are_listed_by_their_titles() {
        let file = pdf("three", &["one", "2 → ∞", "c\u{1b}d"].map(|title| drawing(title, vec![])));
        let shown = String::from_utf8_lossy(&file);
        assert!(shown.contains("/Count 3"));
        // UTF-16, big end first, behind its mark
        for title in ["/Title (one)", "/Title <FEFF0032002021920020221E>", "/Title <FEFF0063FFFD0064>"] {
            assert!(shown.contains(title), "{title}");
        }
    }

    #[test]
    fn the_same_drawings_give_the_same_bytes() {
        let page = || drawing("one", vec![layer(LayerKind::Ticks, "M1 0H1.2V3H1Z")]);
        assert_eq!(pdf("x", &[page(), page()]), pdf("x", &[page(), page()]));
    }
}
