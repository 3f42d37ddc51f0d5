//! The index of an iris ring that turns along when focusing: it stands on the focus ring and travels with it.
//!
//! A wedge, so that it is not taken for a tick or a 1; its point touches the edge toward the iris ring. It takes the place
//! nearest to the wanted one that is free of ticks and numerals of the focus scale.

use kurbo::{BezPath, Point, Shape};

use super::{Group, Layer, LayerKind, Look, Strip};
use crate::surface::Edge;
use crate::units::Length;

/// Height and half width of the wedge in numeral heights: seen at arm's length, and lower than a numeral.
const HEIGHT: f64 = 0.6;
const HALF_WIDTH: f64 = 0.22;
/// Clear way to ticks and numerals, in label gaps.
const CLEAR: f64 = 0.35;

/// Draws the wedge onto a focus strip at its `edge`, as near to the flat turn `wanted` (degrees) as ticks and numerals let
/// it; gives the turn where it stands, `None` where there is no room at all.
pub fn riding_index(strip: &mut Strip, edge: Edge, wanted: f64, look: &Look, numeral_height: Length) -> Option<f64> {
    let flat = strip.flat.as_ref()?;
    let numeral = numeral_height.to_mm();
    let degree = flat.mm_per_degree(edge);
    let (high, half) = (HEIGHT * numeral, HALF_WIDTH * numeral);
    let clear = CLEAR * look.label_gap.to_mm();
    // heights count from the front edge
    let (from, to) = match edge {
        Edge::Front => (0.0, high),
        Edge::Rear => (flat.width() - high, flat.width()),
    };
    let aside = (half + clear) / degree;
    let thick = 0.5 * look.tick().to_mm();
    let mut taken: Vec<(f64, f64)> = Vec::new();
    let shown =
        strip.drawing.layers.iter().filter(|layer| matches!(layer.kind, LayerKind::Ticks | LayerKind::Numerals));
    for group in shown.flat_map(|layer| &layer.groups) {
        let bounds = group.path.bounding_box().inflate(thick, thick);
        let corners = [(bounds.x0, bounds.y0), (bounds.x1, bounds.y0), (bounds.x0, bounds.y1), (bounds.x1, bounds.y1)];
        let corners = corners.map(|corner| flat.turn_and_height(Point::from(corner)));
        let span = |pick: fn(&(f64, f64)) -> f64| {
            let values = corners.iter().map(pick);
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)))
        };
        let (turns, heights) = (span(|corner| corner.0), span(|corner| corner.1));
        if heights.0 < to + clear && heights.1 > from - clear {
            taken.push((turns.0 - aside, turns.1 + aside));
        }
    }
    let (left, right) = flat.ends();
    taken.extend([(f64::NEG_INFINITY, left + aside), (right - aside, f64::INFINITY)]);
    let free = |turn: f64| taken.iter().all(|span| turn <= span.0 + 1e-9 || turn >= span.1 - 1e-9);
    let places = [wanted].into_iter().chain(taken.iter().flat_map(|span| [span.0, span.1]));
    let turn = places
        .filter(|turn| turn.is_finite() && free(*turn))
        .min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))?;
    let frame = flat.frame(turn, if edge == Edge::Front { 0.0 } else { flat.width() });
    // y runs toward the rear; the point on the edge, the foot inside the face
    let inward = if edge == Edge::Front { 1.0 } else { -1.0 };
    // a tool's line is as thick outside its path as inside
    let inset = look.tool.map_or(0.0, |tool| 0.5 * tool.to_mm());
    let mut wedge = BezPath::new();
    wedge.move_to((0.0, inward * inset));
    wedge.line_to((half, inward * (high - inset)));
    wedge.line_to((-half, inward * (high - inset)));
    wedge.close_path();
    let group = Group { tag: None, frame, path: frame * wedge };
    strip.drawing.layers.push(Layer::new(LayerKind::Index, vec![group]).with_ink(look.ink()));
    Some(turn)
}
