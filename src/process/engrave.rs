//! Engraving: a strip becomes the lines that a tool follows, in an order with short moves.
//!
//! Takes a strip in mm; gives a drawing whose ticks, numerals and index are lines of the tool's width, with the strip's
//! edge as a thin line beside them for setting up. With `rotary` every x becomes the turn of the ring in degrees from
//! the strip's left end, clockwise as seen from behind the camera, so that one user unit along x is one degree; y
//! stays in mm. That is linear on a cylinder, and so is only done there.
//!
//! ```text
//! x in degrees = 360 (x in mm - left end) / (pi D)
//! ```
//!
//! Where the artwork is filled, as numerals of a font are, the tool follows its outline: ink then reaches half the
//! tool's width beyond it all round. Nothing makes up for that here, and contours that overlap are each followed.

use std::fmt;

use kurbo::{Affine, BezPath, PathEl, Point};

use super::Engrave;
use crate::artwork::{Drawing, Flat, Group, Ink, Layer, LayerKind, Strip};
use crate::surface::Edge;
use crate::units::Length;

/// Width of the line that shows the strip's edge: too thin to be taken for a groove.
const EDGE_MM: f64 = 0.05;

/// Why a strip cannot be engraved as asked.
#[derive(Clone, Debug, PartialEq)]
pub enum EngraveError {
    /// A cone's strip is bent: a place on it is no turn of a rotary axis and a height.
    Cone {
        /// Which drawing it is.
        title: String,
    },
}

impl fmt::Display for EngraveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            EngraveError::Cone { title } => write!(
                f,
                "{title}: the ring's face is a cone, and a rotary axis is given turns for a cylinder alone (engrave \
                 it flat, without `rotary`, or measure the ring again if both its diameters should be the same)"
            ),
        }
    }
}

impl std::error::Error for EngraveError {}

/// The lines that the tool follows on a strip, and the strip's edge.
///
/// The tool begins at the left; within a layer it goes on to the nearest end of a line that is left, and follows that
/// line backward where its last end is the nearer one. The layers' own order stays, and each mark's lines stay
/// together. Index plates and the like do not go round a ring and stay in mm.
///
/// # Errors
/// When turns of a rotary axis are asked for and the ring's face is a cone.
pub fn engraved(strip: &Strip, engrave: &Engrave) -> Result<Drawing, EngraveError> {
    let mut drawing =
        Drawing { layers: Vec::with_capacity(strip.drawing.layers.len()), ..size_and_title(&strip.drawing) };
    let mut tool_at = Point::new(0.0, 0.5 * drawing.height.to_mm());
    for layer in &strip.drawing.layers {
        let kept = match (layer.kind, layer.ink) {
            (LayerKind::Outline, _) => Some(edges(layer)),
            (LayerKind::Ticks | LayerKind::Numerals | LayerKind::Index, Ink::Black | Ink::Line(_)) => {
                let groups = in_short_moves(&layer.groups, &mut tool_at);
                Some(Layer::new(layer.kind, groups).with_ink(Ink::Line(engrave.tool)))
            }
            _ => None,
        };
        drawing.layers.extend(kept);
    }
    match &strip.flat {
        Some(flat) if engrave.rotary => on_rotary_axis(drawing, flat),
        _ => Ok(drawing),
    }
}

fn size_and_title(drawing: &Drawing) -> Drawing {
    Drawing { title: drawing.title.clone(), width: drawing.width, height: drawing.height, layers: Vec::new() }
}

/// The outer contour of each frame: the edge itself.
fn edges(layer: &Layer) -> Layer {
    let outer = |group: &Group| {
        let path = BezPath::from_vec(strokes(&group.path).into_iter().next().unwrap_or_default());
        Group { path, ..group.clone() }
    };
    Layer::new(layer.kind, layer.groups.iter().map(outer).collect()).with_ink(Ink::Line(Length::mm(EDGE_MM)))
}

/// x in mm becomes degrees of turn from the strip's left end.
fn on_rotary_axis(mut drawing: Drawing, flat: &Flat) -> Result<Drawing, EngraveError> {
    if !flat.straight() {
        return Err(EngraveError::Cone { title: drawing.title });
    }
    let (from, to) = flat.ends();
    let per_mm = 1.0 / flat.mm_per_degree(Edge::Rear);
    let left = flat.place(from, 0.0).x;
    drawing.apply_affine(Affine::new([per_mm, 0.0, 0.0, 1.0, -left * per_mm, 0.0]));
    drawing.width = Length::mm(to - from);
    drawing.title.push_str(", x in degrees of turn");
    Ok(drawing)
}

/// The strokes of a path, each from its own move.
fn strokes(path: &BezPath) -> Vec<Vec<PathEl>> {
    let mut found: Vec<Vec<PathEl>> = Vec::new();
    for element in path.elements() {
        match (element, found.last_mut()) {
            (PathEl::MoveTo(_), _) | (_, None) => found.push(vec![*element]),
            (_, Some(stroke)) => stroke.push(*element),
        }
    }
    found
}

/// A line that the tool follows without a lift.
struct Stroke {
    elements: Vec<PathEl>,
    first: Point,
    last: Point,
}

impl Stroke {
    fn new(elements: Vec<PathEl>) -> Option<Stroke> {
        let first = elements.first()?.end_point()?;
        let closed = elements.last() == Some(&PathEl::ClosePath);
        let last = if closed { first } else { elements.last()?.end_point()? };
        Some(Stroke { elements, first, last })
    }

    /// How far the tool moves to the nearer end.
    fn move_from(&self, tool_at: Point) -> f64 {
        self.first.distance(tool_at).min(self.last.distance(tool_at))
    }
}

/// The same groups, nearest first, their lines nearest first; `tool_at` becomes the place where the tool ends.
fn in_short_moves(groups: &[Group], tool_at: &mut Point) -> Vec<Group> {
    let mut left: Vec<(&Group, Vec<Stroke>)> = groups
        .iter()
        .map(|group| (group, strokes(&group.path).into_iter().filter_map(Stroke::new).collect()))
        .collect();
    let mut ordered = Vec::with_capacity(groups.len());
    while !left.is_empty() {
        let near = |(_, strokes): &(&Group, Vec<Stroke>)| {
            strokes.iter().map(|stroke| stroke.move_from(*tool_at)).fold(f64::INFINITY, f64::min)
        };
        let (group, mut strokes) = left.remove(nearest(&left, near));
        let mut path = BezPath::new();
        while !strokes.is_empty() {
            let stroke = strokes.remove(nearest(&strokes, |stroke| stroke.move_from(*tool_at)));
            let drawn = BezPath::from_vec(stroke.elements);
            if stroke.last.distance(*tool_at) < stroke.first.distance(*tool_at) {
                path.extend(drawn.reverse_subpaths());
                *tool_at = stroke.first;
            } else {
                path.extend(drawn);
                *tool_at = stroke.last;
            }
        }
        ordered.push(Group { path, ..group.clone() });
    }
    ordered
}

/// Place of the item with the smallest distance, the first of equals; 0 where there is none.
fn nearest<T>(items: &[T], distance: impl Fn(&T) -> f64) -> usize {
    let distances = items.iter().map(distance).enumerate();
    distances.min_by(|(_, a), (_, b)| a.total_cmp(b)).map_or(0, |(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artwork;
    use crate::check::assert_close;
    use crate::lettering::Lettering;

    fn path(data: &str) -> BezPath {
        BezPath::from_svg(data).unwrap()
    }

    /// Ticks from the right to the left, drawn downward, then what only film has.
    fn plate() -> Strip {
        let ticks = [30.0, 10.0, 20.0].map(|x| Group::new(None, path(&format!("M{x} 10L{x} 7"))));
        let numeral = Group::new(None, path("M29 5L31 5M29 1L31 1"));
        let guide = Group::new(None, path("M0 0L1 1"));
        let frame = Group::new(None, path("M0 0L40 0L40 10L0 10ZM1 1L1 9L39 9L39 1Z"));
        let line = Ink::Line(Length::mm(0.3));
        Strip {
            drawing: Drawing {
                title: "Sample".into(),
                width: Length::mm(40.0),
                height: Length::mm(10.0),
                layers: vec![
                    Layer::new(LayerKind::Outline, vec![frame]),
                    Layer::new(LayerKind::Ticks, ticks.to_vec()).with_ink(line),
                    Layer::new(LayerKind::Guide, vec![guide.clone()]),
                    Layer::new(LayerKind::Numerals, vec![numeral]).with_ink(line),
                    Layer::new(LayerKind::Index, vec![guide]).with_ink(Ink::Clear),
                ],
            },
            flat: None,
            round: None,
        }
    }

    #[test]
    fn the_tool_goes_from_the_left_to_the_nearest_end_each_time() {
        let drawing = engraved(&plate(), &Engrave::default()).unwrap();
        let drawn = |layer: &Layer| layer.groups.iter().map(|group| group.path.to_svg()).collect::<Vec<_>>().join(" ");
        let kinds: Vec<LayerKind> = drawing.layers.iter().map(|layer| layer.kind).collect();
        assert_eq!(kinds, [LayerKind::Outline, LayerKind::Ticks, LayerKind::Numerals]);
        // the tool starts at half height, where the ticks' upper ends are nearer
        assert_eq!(drawn(&drawing.layers[1]), "M10,7 L10,10 M20,10 L20,7 M30,7 L30,10");
        assert_eq!(drawn(&drawing.layers[2]), "M29,5 L31,5 M31,1 L29,1");
        assert_eq!(drawing.layers[1].ink, Ink::Line(Engrave::default().tool));
    }

    #[test]
    fn the_edge_is_one_thin_line() {
        let drawing = engraved(&plate(), &Engrave::default()).unwrap();
        let edge = &drawing.layers[0];
        assert_eq!(edge.groups[0].path.to_svg(), "M0,0 L40,0 L40,10 L0,10 Z");
        assert_eq!(edge.ink, Ink::Line(Length::mm(0.05)));
    }

    #[test]
    fn what_goes_round_no_ring_stays_in_millimetres() {
        let rotary = engraved(&plate(), &Engrave { rotary: true, ..Engrave::default() }).unwrap();
        let flat = engraved(&plate(), &Engrave::default()).unwrap();
        assert_eq!((rotary.title, rotary.width), (flat.title, flat.width));
    }

    #[test]
    fn the_tool_starts_at_the_left_edge_at_half_height() {
        let mut strip = plate();
        // 2.5 mm from there, and 4.5 mm from there but 2.2 mm from the corner
        let lines = ["M2 6L2 9", "M2 1L2 0.5"].map(|line| Group::new(None, path(line)));
        strip.drawing.layers[1].groups = lines.to_vec();
        let drawn = engraved(&strip, &Engrave::default()).unwrap();
        assert_eq!(drawn.layers[1].groups[0].path.to_svg(), "M2,6 L2,9");
    }

    #[test]
    fn the_line_with_the_nearest_end_is_next_however_far_its_other_end_lies() {
        let groups = ["M0 0L100 0", "M90 10L95 10"].map(|line| Group::new(None, path(line)));
        let mut at = Point::new(99.0, 1.0);
        let drawn = in_short_moves(&groups, &mut at);
        assert_eq!(drawn[0].path.to_svg(), "M100,0 L0,0");
        assert_close(at.distance(Point::new(95.0, 10.0)), 0.0, 0.0);
    }

    #[test]
    fn degrees_of_a_rotary_axis_count_from_the_strips_left_end_wherever_it_was_drawn() {
        use crate::artwork::Extent;
        let strip = crate::process::sample::ring_strip(80.0, 80.0, Extent::Used);
        let mut moved = strip.clone();
        moved.apply_affine(Affine::translate((7.0, 0.0)));
        let engrave = Engrave { rotary: true, ..Engrave::default() };
        let edges = [strip, moved].map(|strip| {
            let turned = engraved(&strip, &engrave).unwrap();
            kurbo::Shape::bounding_box(&turned.layers[0].groups[0].path)
        });
        // a full turn is pi D long: the strip's length in degrees
        let flat = crate::process::sample::ring_strip(80.0, 80.0, Extent::Used).drawing.width.to_mm();
        for edge in edges {
            assert_close(edge.x0, 0.0, 1e-6);
            assert_close(edge.x1, 360.0 * flat / (std::f64::consts::PI * 80.0), 1e-6);
        }
    }

    #[test]
    fn a_closed_contour_is_followed_once_round_and_left_where_it_began() {
        let mut at = Point::new(3.0, 0.0);
        let groups = [Group::new(None, path("M0 0L2 0L2 2Z"))];
        let drawn = in_short_moves(&groups, &mut at);
        assert_eq!(drawn[0].path.to_svg(), "M0,0 L2,0 L2,2 Z");
        assert_close(at.distance(Point::ZERO), 0.0, 0.0);
    }

    #[test]
    fn an_index_line_is_half_as_wide_again_as_a_tick() {
        let look = artwork::Look {
            tick_width: Length::mm(0.5),
            tool: Some(Length::mm(0.2)),
            numbered_tick: Length::mm(2.0),
            tick_follows: true,
            medium_tick: artwork::medium_tick(Length::mm(2.0), Length::mm(1.0)),
            plain_tick: Length::mm(1.0),
            sign: crate::scale::UnitSign::Start,
            label_gap: Length::mm(1.0),
            extent: artwork::Extent::Used,
        };
        for edge in [Edge::Rear, Edge::Front] {
            let lettering = Lettering::lines(Length::mm(2.0), Length::mm(0.2)).unwrap();
            let plates = [artwork::IndexPlate::bare(edge, 1)];
            let plate = artwork::index_plates("Sample", &look, &lettering, &plates).unwrap();
            let line = &plate.drawing.layers[1];
            assert_eq!(line.ink, Ink::Line(Length::mm(0.2)));
            let bounds = kurbo::Shape::bounding_box(&line.groups[0].path);
            assert_close(bounds.width() + 0.2, 0.3, 1e-9);
            // 1.5 times a numbered tick, less what the tool adds at its far end
            assert_close(bounds.height() + 0.1, 3.0, 1e-9);
            let base = if edge == Edge::Rear { bounds.y0 } else { plate.drawing.height.to_mm() - bounds.y1 };
            assert_close(base, 0.0, 1e-9);
        }
    }

    #[test]
    fn a_cone_is_refused_with_a_way_out() {
        let error = EngraveError::Cone { title: "Sample, focus".into() };
        insta::assert_snapshot!(error, @"Sample, focus: the ring's face is a cone, and a rotary axis is given turns for a cylinder alone (engrave it flat, without `rotary`, or measure the ring again if both its diameters should be the same)");
    }
}
