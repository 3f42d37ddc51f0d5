//! The transfer guide of a ring or a disc: a sheet under the transfer tape for placing a whole band in one piece.
//!
//! It shows the outline of the carrier to cut, both edges of the ring's face, the infinity line (widest stop) across
//! the carrier, the seam of a closed strip, and the pieces in thin lines: lay the weeded vinyl on it, tape over it, cut
//! the carrier out along its outline, and carry edge line to edge and infinity line to index. A disc's carrier is round.

use kurbo::{Affine, BezPath, Line, Point, Shape};

use crate::artwork::{Drawing, Flat, Group, Ink, Layer, LayerKind, Round, Strip};
use crate::surface::Edge;
use crate::units::Length;

/// How far the carrier reaches beyond the strip on every side, mm: enough to hold it by, and to stick to the ring beside
/// the vinyl.
const BEYOND: f64 = 8.0;
/// White round the guide, mm.
const MARGIN: f64 = 2.0;
/// Half the length of the cross at a disc's centre, mm: the cross of the disc itself.
const CROSS: f64 = 2.0;
/// Lines that are cut or laid onto something, mm.
const STRONG: f64 = 0.2;
/// Lines that only show where the pieces lie, mm.
const FAINT: f64 = 0.05;

/// The transfer guide of a strip or a disc; `None` for index plates.
pub fn transfer_guide(strip: &Strip) -> Option<Strip> {
    if let Some(round) = &strip.round {
        return Some(disc_guide(strip, round));
    }
    let flat = strip.flat.as_ref()?;
    let degree = flat.mm_per_degree(flat.index());
    let (left, right) = flat.ends();
    let beyond = BEYOND / degree;
    let width = flat.width();
    let carrier = flat.patch((left - beyond, right + beyond), (-BEYOND, width + BEYOND));
    let plain = |path: BezPath| Group::new(None, path);
    let mut lines = [0.0, width].map(|height| plain(along(flat, (left - beyond, right + beyond), height))).to_vec();
    for zero in flat.zeros() {
        // interrupted on the strip itself, where it would hide the mark
        lines.push(plain(across(flat, *zero, -BEYOND, 0.0)));
        lines.push(plain(across(flat, *zero, width, width + BEYOND)));
        lines.push(plain(arrow(flat, *zero)));
    }
    if flat.closed() {
        for end in [left, right] {
            lines.push(plain(across(flat, end, -0.5 * BEYOND, 0.0)));
            lines.push(plain(across(flat, end, width, width + 0.5 * BEYOND)));
        }
    }
    Some(laid_out(strip, carrier, lines))
}

/// The carrier round a drawing's pieces, with the lines that help to lay it.
fn laid_out(strip: &Strip, carrier: BezPath, lines: Vec<Group>) -> Strip {
    let bounds = carrier.bounding_box().inflate(MARGIN, MARGIN);
    let shown = |layer: &&Layer| matches!(layer.kind, LayerKind::Ticks | LayerKind::Numerals | LayerKind::Index);
    let pieces = strip.drawing.layers.iter().filter(shown).flat_map(|layer| layer.groups.iter().cloned());
    let drawing = Drawing {
        title: format!("{}, transfer guide", strip.drawing.title),
        width: Length::mm(bounds.width()),
        height: Length::mm(bounds.height()),
        layers: vec![
            Layer::new(LayerKind::Cut, vec![Group::new(None, carrier)]).with_ink(Ink::Line(Length::mm(STRONG))),
            Layer::new(LayerKind::Guide, lines).with_ink(Ink::Line(Length::mm(STRONG))),
            Layer::new(LayerKind::Guide, pieces.collect()).with_ink(Ink::Line(Length::mm(FAINT))),
        ],
    };
    let mut guide = Strip { drawing, flat: strip.flat.clone(), round: strip.round };
    guide.apply_affine(Affine::translate((-bounds.x0, -bounds.y0)));
    guide
}

/// A round carrier: circles to lay onto rim and hole, a cross at the centre, and the infinity line at the top, beyond the
/// rim, where it hides no mark.
fn disc_guide(strip: &Strip, round: &Round) -> Strip {
    let line = |from: (f64, f64), to: (f64, f64)| {
        let (from, to) = (round.place(from.0, from.1), round.place(to.0, to.1));
        Group::new(None, Line::new(from, to).to_path(1e-3))
    };
    let rim = round.rim();
    let mut lines = vec![
        Group::new(None, round.circle(rim)),
        line((0.0, -rim - BEYOND), (0.0, -rim)),
        line((-1.2, -rim - 2.4), (0.0, -rim - 0.4)),
        line((1.2, -rim - 2.4), (0.0, -rim - 0.4)),
        line((-CROSS, 0.0), (CROSS, 0.0)),
        line((0.0, -CROSS), (0.0, CROSS)),
    ];
    if round.hole() > 0.0 {
        lines.push(Group::new(None, round.circle(round.hole())));
    }
    laid_out(strip, round.circle(rim + BEYOND), lines)
}

/// A line along the strip at a height.
fn along(flat: &Flat, turns: (f64, f64), height: f64) -> BezPath {
    let patch = flat.patch(turns, (height, height));
    // one way; the way back is the same line
    let there = patch.elements().len().div_ceil(2);
    BezPath::from_vec(patch.elements()[..there].to_vec())
}

/// A line across the strip at a turn.
fn across(flat: &Flat, turn: f64, from: f64, to: f64) -> BezPath {
    Line::new(flat.place(turn, from), flat.place(turn, to)).to_path(1e-3)
}

/// A small head on the infinity line, at the edge where the index stands.
fn arrow(flat: &Flat, turn: f64) -> BezPath {
    let (height, away) = match flat.index() {
        Edge::Front => (0.0, -1.0),
        Edge::Rear => (flat.width(), 1.0),
    };
    let frame = flat.frame(turn, height);
    let at = |x: f64, y: f64| frame * Point::new(x, away * y);
    let mut path = BezPath::new();
    path.move_to(at(-1.2, 2.4));
    path.line_to(at(0.0, 0.4));
    path.line_to(at(1.2, 2.4));
    path
}

/// A box round a drawing, a little outside of it: the waste between box and pieces comes off in one piece.
pub fn weed_box(drawing: &Drawing, beyond: Length) -> BezPath {
    let own = drawing.bounds();
    own.inflate(beyond.to_mm(), beyond.to_mm()).to_path(1e-3)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artwork::Extent;
    use crate::check::assert_close;
    use crate::process::sample::{ring_strip, ring_strip_at};

    #[test]
    fn the_carrier_holds_the_whole_strip_and_its_lines_lie_on_edges_and_infinity() {
        for (rear, front) in [(80.0, 80.0), (84.0, 78.0)] {
            let strip = ring_strip(rear, front, Extent::Used);
            let guide = transfer_guide(&strip).unwrap().drawing;
            let carrier = &guide.layers[0].groups[0].path;
            let own = strip.flat.as_ref().unwrap();
            // the strip's place on the guide: the carrier's corner against the strip's own
            let offset = carrier.bounding_box().origin()
                - own
                    .patch(
                        (
                            own.ends().0 - BEYOND / own.mm_per_degree(Edge::Rear),
                            own.ends().1 + BEYOND / own.mm_per_degree(Edge::Rear),
                        ),
                        (-BEYOND, 12.0 + BEYOND),
                    )
                    .bounding_box()
                    .origin();
            let lines = &guide.layers[1].groups;
            for (line, height) in [(0, 0.0), (1, 12.0)] {
                for element in lines[line].path.elements() {
                    let place = element.end_point().unwrap() - offset;
                    assert_close(own.turn_and_height(place).1, height, 1e-6);
                }
            }
            for line in &lines[2..4] {
                for element in line.path.elements() {
                    assert_close(own.turn_and_height(element.end_point().unwrap() - offset).0, own.zeros()[0], 1e-6);
                }
            }
            for layer in &guide.layers {
                for group in &layer.groups {
                    let bounds = group.path.bounding_box();
                    let page = guide.bounds().inflate(1e-6, 1e-6);
                    assert!(page.contains_rect(bounds), "{bounds:?}");
                }
            }
            for group in &guide.layers[2].groups {
                let centre = group.path.bounding_box().center();
                assert!(carrier.contains(centre));
            }
        }
    }

    #[test]
    fn index_plates_need_no_guide() {
        let strip = Strip { flat: None, ..ring_strip(80.0, 80.0, Extent::Used) };
        assert!(transfer_guide(&strip).is_none());
    }

    #[test]
    fn lines_of_infinity_and_of_the_seam_lie_beside_the_face_and_hide_no_mark() {
        for index in [Edge::Rear, Edge::Front] {
            let strip = ring_strip_at(index, 80.0, 80.0, Extent::FullTurn);
            let guide = transfer_guide(&strip).unwrap();
            let flat = guide.flat.as_ref().unwrap();
            let bent: Vec<Vec<(f64, f64)>> = guide.drawing.layers[1].groups[2..]
                .iter()
                .map(|line| line.path.elements().iter().filter_map(|element| element.end_point()))
                .map(|places| places.map(|place| flat.turn_and_height(place)).collect())
                .collect();
            let zero = flat.zeros()[0];
            let (left, right) = flat.ends();
            // the carrier reaches 8 mm beyond a face of 12 mm; the seam is marked half as far
            let expected = [
                vec![(zero, -8.0), (zero, 0.0)],
                vec![(zero, 12.0), (zero, 20.0)],
                // a head of 2.4 mm with its tip 0.4 mm from the edge at which the index stands
                match index {
                    Edge::Rear => vec![(zero, 14.4), (zero, 12.4), (zero, 14.4)],
                    Edge::Front => vec![(zero, -2.4), (zero, -0.4), (zero, -2.4)],
                },
                vec![(left, -4.0), (left, 0.0)],
                vec![(left, 12.0), (left, 16.0)],
                vec![(right, -4.0), (right, 0.0)],
                vec![(right, 12.0), (right, 16.0)],
            ];
            assert_eq!(bent.len(), expected.len());
            let degree = flat.mm_per_degree(index);
            for (k, (found, expected)) in bent.iter().zip(&expected).enumerate() {
                assert_eq!(found.len(), expected.len());
                for (place, (turn, height)) in found.iter().zip(expected) {
                    assert_close(place.1, *height, 1e-6);
                    // the barbs of the head lie 1.2 mm to either side
                    let aside = if k == 2 && (height - 6.0).abs() > 7.0 { 1.2 } else { 0.0 };
                    assert_close(((place.0 - turn) * degree).abs(), aside, 1e-6);
                }
                if k == 2 {
                    assert!(found[0].0 < found[1].0 && found[1].0 < found[2].0, "the barbs are on both sides");
                }
            }
        }
    }
}
