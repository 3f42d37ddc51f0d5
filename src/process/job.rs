//! The drawing that a cutter is handed: contours in cutting order, and the box that the waste comes off in.

use kurbo::{Affine, BezPath, Shape};

use super::{Cut, CutReport, Vinyl, cut_job, outer, weed_box};
use crate::artwork::{Group, Ink, Layer, LayerKind, Strip};
use crate::units::Length;

/// How far the weeding box stands out of the strip, mm.
const BEYOND: f64 = 2.0;
/// How far a mask reaches beyond the face on both sides, mm: enough to stay in one piece, and to be rubbed down over an edge.
const LAND: f64 = 3.0;
/// The line that shows the box on a screen; a cutter follows its middle, mm.
const BOX_LINE: f64 = 0.05;

/// The strip as contours to cut: each piece is a group of its holes and then its edge, in cutting order; the weeding box
/// comes last, so that nothing moves before. Everything is stretched by the correction from a test cut.
pub fn cut(strip: &Strip, vinyl: &Vinyl) -> Strip {
    let mut strip = with_land(strip, vinyl);
    let job = cut_job(&strip.drawing, vinyl);
    let mut layers = vec![Layer::new(LayerKind::Cut, pieces(job.contours))];
    // a mask has its own edge, and its waste is in its openings
    let boxed = vinyl.weed_box && vinyl.cut == Cut::Marks;
    if boxed {
        let path = vec![Group::new(None, weed_box(&strip.drawing, Length::mm(BEYOND)))];
        layers.push(Layer::new(LayerKind::Cut, path).with_ink(Ink::Line(Length::mm(BOX_LINE))));
    }
    strip.drawing.layers = layers;
    if boxed {
        // the box's line stays inside the drawing
        let room = BEYOND + BOX_LINE;
        strip.drawing.width = strip.drawing.width + Length::mm(2.0 * room);
        strip.drawing.height = strip.drawing.height + Length::mm(2.0 * room);
        strip.apply_affine(Affine::translate((room, room)));
    }
    let (along, across) = vinyl.stretch;
    strip.drawing.width = strip.drawing.width * along;
    strip.drawing.height = strip.drawing.height * across;
    strip.apply_affine(Affine::new([along, 0.0, 0.0, across, 0.0, 0.0]));
    strip
}

/// What a strip takes to cut and to weed.
pub fn cut_report(strip: &Strip, vinyl: &Vinyl) -> CutReport {
    cut_job(&with_land(strip, vinyl).drawing, vinyl).report
}

/// A mask reaches beyond the face of a ring and beyond the rim of a disc, because ticks begin there and would leave only
/// fingers between them. The overhang is folded over the edge and covers the part beside it. Marks that stay on the ring need
/// no land.
fn with_land(strip: &Strip, vinyl: &Vinyl) -> Strip {
    let mut strip = strip.clone();
    let edge = match (vinyl.cut, &strip.flat, &strip.round) {
        (Cut::Mask, Some(flat), _) => flat.patch(flat.ends(), (-LAND, flat.width() + LAND)),
        (Cut::Mask, None, Some(round)) => round.face(LAND),
        (Cut::Mask, None, None) => return filled(strip),
        (Cut::Marks, ..) => return strip,
    };
    let bounds = edge.bounding_box();
    strip.drawing.layers.retain(|layer| layer.kind != LayerKind::Outline);
    strip.drawing.layers.insert(0, Layer::new(LayerKind::Outline, vec![Group::new(None, edge)]));
    strip.drawing.width = Length::mm(bounds.width());
    strip.drawing.height = Length::mm(bounds.height());
    strip.apply_affine(Affine::translate((-bounds.x0, -bounds.y0)));
    strip
}

/// Frames round plates become the plates themselves.
fn filled(mut strip: Strip) -> Strip {
    let outlines = strip.drawing.layers.iter_mut().filter(|layer| layer.kind == LayerKind::Outline);
    for group in outlines.flat_map(|layer| &mut layer.groups) {
        group.path = outer(&group.path);
    }
    strip
}

/// Contours in order, holes and what they lie in together, so that what is kept is filled.
fn pieces(contours: Vec<BezPath>) -> Vec<Group> {
    let mut groups = Vec::new();
    let mut holes: Vec<BezPath> = Vec::new();
    for contour in contours {
        if contour.area() <= 0.0 {
            holes.push(contour);
            continue;
        }
        // an island of a mask comes between openings of the plate round it
        let within = |hole: &BezPath| {
            hole.segments().next().is_some_and(|segment| contour.winding(kurbo::ParamCurve::eval(&segment, 0.5)) != 0)
        };
        let (own, others): (Vec<_>, Vec<_>) = std::mem::take(&mut holes).into_iter().partition(within);
        holes = others;
        let mut path: BezPath = own.into_iter().flatten().collect();
        path.extend(contour);
        groups.push(Group::new(None, path));
    }
    groups.extend(holes.into_iter().map(|hole| Group::new(None, hole)));
    groups
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;
    use crate::artwork::Extent;
    use crate::check::assert_close;
    use crate::process::sample::ring_strip;

    /// What is drawn, with half the width of its lines.
    fn drawn(strip: &Strip) -> Rect {
        let layers = strip.drawing.layers.iter();
        let boxes = layers.flat_map(|layer| {
            let half = match layer.ink {
                Ink::Line(width) => 0.5 * width.to_mm(),
                _ => 0.0,
            };
            layer.groups.iter().map(move |group| group.path.bounding_box().inflate(half, half))
        });
        boxes.reduce(|all, one| all.union(one)).unwrap()
    }

    #[test]
    fn everything_that_is_cut_lies_on_the_drawing_and_as_large_as_the_cutter_needs() {
        for (rear, front) in [(80.0, 80.0), (84.0, 78.0)] {
            let strip = ring_strip(rear, front, Extent::Used);
            for kind in [Cut::Marks, Cut::Mask] {
                for weed_box in [true, false] {
                    let plain = Vinyl { cut: kind, weed_box, ..Vinyl::default() };
                    let straight = cut(&strip, &plain);
                    let (width, height) = (straight.drawing.width.to_mm(), straight.drawing.height.to_mm());
                    let ink = drawn(&straight);
                    let room = Rect::new(0.0, 0.0, width, height).inflate(1e-6, 1e-6);
                    assert_eq!(room.union(ink), room, "{kind:?} {rear} {front}: {ink:?}");
                    // a box and a mask reach the drawing's edges
                    if weed_box || kind == Cut::Mask {
                        assert!(ink.width() > width - 0.5 && ink.height() > height - 0.5, "{kind:?}: {ink:?}");
                    }
                    // of a cutter that cuts 1 % short one way and 2 % long the other everything is drawn the other way
                    let stretched = cut(&strip, &Vinyl { stretch: (1.01, 0.98), ..plain });
                    assert_close(stretched.drawing.width.to_mm(), 1.01 * width, 1e-9);
                    assert_close(stretched.drawing.height.to_mm(), 0.98 * height, 1e-9);
                    let (a, b) = (straight.flat.unwrap(), stretched.flat.unwrap());
                    let (was, is) = (a.place(a.zeros()[0], 3.0), b.place(b.zeros()[0], 3.0));
                    assert_close(is.x, 1.01 * was.x, 1e-9);
                    assert_close(is.y, 0.98 * was.y, 1e-9);
                }
            }
        }
    }
}
