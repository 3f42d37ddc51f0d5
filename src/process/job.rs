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
