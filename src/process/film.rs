//! A strip for film: guides outside the artwork, clear marks in black, mirrored for the inner face.
//!
//! The strip keeps its place and its size; everything that helps to cut and to mount it is drawn in a border round it
//! and goes into the waste: lines that lengthen the ring's edges, lines at the seam of a closed strip and a tab to
//! stick the other end onto, an arrowhead at every infinity mark (widest stop). The strip's own frame is the cut line.

use kurbo::{Affine, BezPath, Line, PathEl, Point, Rect, Shape};

use super::Film;
use crate::artwork::{Drawing, Flat, Group, Ink, Layer, LayerKind, Strip};
use crate::surface::Edge;
use crate::units::Length;

/// Room round the strip for the guides, mm: a thumb can hold it while the knife goes round.
const BORDER: f64 = 5.0;
/// Clear space between the strip and a guide, mm, so that no guide stays on the strip after a cut beside the line.
const CLEAR: f64 = 0.8;
/// Length of a guide, mm.
const GUIDE: f64 = 3.5;
/// Width of a guide's line, mm: three dots at 600 dpi.
const LINE: f64 = 0.13;

/// The strip as it is printed, at true size; what the printer stretches is corrected by [`corrected`].
pub fn printed(strip: &Strip, film: &Film) -> Strip {
    let mut strip = strip.clone();
    if film.reversed {
        reverse(&mut strip);
    }
    if film.guides
        && let Some(flat) = &strip.flat
    {
        let guides = guides(flat, film.overlap.to_mm());
        strip.drawing.layers.extend(guides);
        widen(&mut strip);
    }
    if film.mirrored {
        let width = strip.drawing.width.to_mm();
        strip.apply_affine(Affine::new([-1.0, 0.0, 0.0, 1.0, width, 0.0]));
    }
    strip
}

/// A single strip stretched against its printer, which feeds it lengthwise: along the paper's long side.
///
/// ```text
/// drawn = true length / printed share        printed share = length of the printed ruler / its true length
/// ```
pub fn corrected(drawing: &Drawing, film: &Film) -> Drawing {
    let (along, across) = (1.0 / film.printed.0, 1.0 / film.printed.1);
    let mut drawing = drawing.clone();
    drawing.apply_affine(Affine::new([along, 0.0, 0.0, across, 0.0, 0.0]));
    drawing.width = drawing.width * along;
    drawing.height = drawing.height * across;
    drawing
}

/// Black ground with the marks taken out of it.
fn reverse(strip: &mut Strip) {
    let Some(flat) = &strip.flat else { return };
    let ground = Layer::new(LayerKind::Outline, vec![Group::new(None, flat.edge())]);
    for layer in strip.drawing.layers.iter_mut().filter(|layer| layer.kind != LayerKind::Outline) {
        layer.ink = Ink::Clear;
    }
    strip.drawing.layers.retain(|layer| layer.kind != LayerKind::Outline);
    strip.drawing.layers.insert(0, ground);
}

/// Enlarges the drawing by the border, and farther where guides reach out of it.
fn widen(strip: &mut Strip) {
    let drawing = &mut strip.drawing;
    let own = Rect::new(0.0, 0.0, drawing.width.to_mm(), drawing.height.to_mm()).inflate(BORDER, BORDER);
    let guides = drawing.layers.iter().filter(|layer| layer.kind == LayerKind::Guide);
    let reach = guides.flat_map(|layer| &layer.groups).map(|group| group.path.bounding_box().inflate(CLEAR, CLEAR));
    let bounds = reach.fold(own, |all, one| all.union(one));
    drawing.width = Length::mm(bounds.width());
    drawing.height = Length::mm(bounds.height());
    strip.apply_affine(Affine::translate((-bounds.x0, -bounds.y0)));
}

fn guides(flat: &Flat, overlap: f64) -> [Layer; 2] {
    let (left, right) = flat.ends();
    let width = flat.width();
    let degree = flat.mm_per_degree(flat.index());
    let mut lines = Vec::new();
    let mut line = |from: Point, to: Point| lines.push(Group::new(None, Line::new(from, to).to_path(0.01)));
    let tab = if flat.closed() { overlap } else { 0.0 };
    for (end, outward, tab) in [(left, -1.0, 0.0), (right, 1.0, tab)] {
        for height in [0.0, width] {
            // the ring's edges, lengthened
            let frame = flat.frame(end + outward * tab / degree, height);
            line(frame * Point::new(outward * CLEAR, 0.0), frame * Point::new(outward * (CLEAR + GUIDE), 0.0));
        }
        if flat.closed() {
            // the seam, at both edges
            line(flat.place(end, -CLEAR), flat.place(end, -CLEAR - GUIDE));
            line(flat.place(end, width + CLEAR), flat.place(end, width + CLEAR + GUIDE));
        }
    }
    if tab > 0.0 {
        lines.push(Group::new(None, flat.patch((right, right + tab / degree), (0.0, width))));
    }
    let mut heads = Vec::new();
    for zero in flat.zeros() {
        for (edge, height) in [(Edge::Front, 0.0), (Edge::Rear, width)] {
            let outward = if edge == Edge::Front { -1.0 } else { 1.0 };
            let frame = flat.frame(*zero, height);
            let at = |x: f64, y: f64| frame * Point::new(x, outward * y);
            heads.push(Group::new(None, triangle(at(0.0, CLEAR), at(-0.9, CLEAR + 2.2), at(0.9, CLEAR + 2.2))));
        }
    }
    [Layer::new(LayerKind::Guide, lines).with_ink(Ink::Line(Length::mm(LINE))), Layer::new(LayerKind::Guide, heads)]
}

fn triangle(a: Point, b: Point, c: Point) -> BezPath {
    BezPath::from_vec(vec![PathEl::MoveTo(a), PathEl::LineTo(b), PathEl::LineTo(c), PathEl::ClosePath])
}
