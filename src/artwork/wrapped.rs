//! Flat artwork taken back onto its ring: what is drawn becomes lines of turns and heights.
//!
//! Takes a strip or an index plate before a process has changed it; gives its ticks, numerals and index lines as
//! points (degrees of the ring, clockwise as seen from behind the camera; mm along the face), without edges, guides and
//! cuts. Lines follow the drawing to a hundredth of a millimetre, and no piece of one spans more than two degrees,
//! so that a ring drawn with straight pieces from point to point looks round: at 100 mm across they stray by 0.008 mm.

use kurbo::{PathEl, Point};

use super::{Drawing, IndexPlate, Ink, LayerKind, LayoutError, Look, MarkTag, Strip, index_plates};
use crate::lettering::Lettering;
use crate::surface::Edge;

/// One shape on a ring or beside it.
#[derive(Clone, Debug)]
pub struct Wrapped {
    /// Ticks, numerals or the index.
    pub layer: LayerKind,
    /// How its lines are drawn: for a filling ink each is a contour whose last point joins its first, and all are filled
    /// together by the non-zero rule; for [`Ink::Line`] each is a line from its first point to its last.
    pub ink: Ink,
    /// The mark it draws, if it draws one.
    pub tag: Option<MarkTag>,
    /// Points of (turn in degrees, height in mm).
    pub lines: Vec<Vec<(f64, f64)>>,
}

/// How far flattened curves may stray, mm: a tenth of the thinnest stroke. With a coarser tolerance large figures on a
/// screen show corners; a finer one takes more points.
const STRAY: f64 = 0.01;
/// The widest turn between two points: with a wider one a ring's outline shows corners.
const WIDEST_DEG: f64 = 2.0;

/// A strip on its ring: turns in degrees from the strip's middle, heights in mm below the ring's front edge, along the
/// slope. `None` for what does not go round a ring.
pub fn wrapped(strip: &Strip) -> Option<Vec<Wrapped>> {
    let flat = strip.flat.as_ref()?;
    Some(wrap(&strip.drawing, &|place| flat.turn_and_height(place)))
}

/// An index plate on the barrel beside its ring: turns in degrees from the index line, heights in mm from the ring's edge
/// away from the ring, toward the rear for an index at the rear and toward the front for one at the front.
///
/// The barrel is taken to be as wide as the strip at that edge, `mm_per_degree` along it to a degree: so a millimetre of
/// the plate lies against a millimetre of the strip.
///
/// # Errors
/// When the face cannot set a stop.
pub fn wrapped_plate(
    plate: &IndexPlate,
    look: &Look,
    lettering: &Lettering,
    mm_per_degree: f64,
) -> Result<Vec<Wrapped>, LayoutError> {
    let alone = IndexPlate { copies: 1, ..plate.clone() };
    let drawing = index_plates("", look, lettering, &[alone])?.drawing;
    let (middle, high) = (0.5 * drawing.width.to_mm(), drawing.height.to_mm());
    Ok(wrap(&drawing, &|place| {
        let away = if plate.index == Edge::Rear { place.y } else { high - place.y };
        ((place.x - middle) / mm_per_degree, away)
    }))
}

fn wrap(drawing: &Drawing, on_ring: &dyn Fn(Point) -> (f64, f64)) -> Vec<Wrapped> {
    let shown = drawing
        .layers
        .iter()
        .filter(|layer| matches!(layer.kind, LayerKind::Ticks | LayerKind::Numerals | LayerKind::Index));
    let groups = shown.flat_map(|layer| layer.groups.iter().map(move |group| (layer, group)));
    groups
        .map(|(layer, group)| {
            let filled = !matches!(layer.ink, Ink::Line(_));
            let lines = group.path.subpaths().map(|line| points(line, filled, on_ring)).collect();
            Wrapped { layer: layer.kind, ink: layer.ink, tag: group.tag.clone(), lines }
        })
        .collect()
}

/// One contour's or one line's points; a contour does not come back to its first.
fn points(line: &[PathEl], filled: bool, on_ring: &dyn Fn(Point) -> (f64, f64)) -> Vec<(f64, f64)> {
    let (mut places, mut closed): (Vec<Point>, bool) = (Vec::new(), filled);
    kurbo::flatten(line.iter().copied(), STRAY, |element| match element {
        PathEl::MoveTo(place) | PathEl::LineTo(place) => places.push(place),
        PathEl::ClosePath => closed = true,
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
    });
    places.dedup();
    let Some(first) = places.first().copied() else { return Vec::new() };
    if closed && places.last() != Some(&first) {
        places.push(first);
    }
    let mut points = vec![on_ring(first)];
    for pair in places.windows(2) {
        let turned = (on_ring(pair[1]).0 - on_ring(pair[0]).0).abs();
        // 1 % more pieces, because a straight line on a cone does not turn evenly
        let pieces = (turned * 1.01 / WIDEST_DEG).ceil().max(1.0);
        points.extend((1..=pieces as usize).map(|k| on_ring(pair[0].lerp(pair[1], k as f64 / pieces))));
    }
    if filled && points.len() > 1 {
        points.pop();
    }
    points
}

#[cfg(test)]
mod tests;
