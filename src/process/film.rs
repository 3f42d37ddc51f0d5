//! A strip for film: guides outside the artwork, clear marks in black, mirrored for the inner face.
//!
//! The strip keeps its place and its size; guides for cutting and mounting are drawn in a border round it, which is cut
//! off: lines that lengthen the ring's edges, lines at the seam of a closed strip and a tab to
//! stick the other end onto, an arrowhead at every infinity mark (widest stop). The strip's own frame is the cut line.

use kurbo::{Affine, BezPath, Line, PathEl, Point, Shape, Stroke, StrokeOpts};

use super::{Film, outer};
use crate::artwork::{Drawing, Flat, Group, Ink, Layer, LayerKind, Strip};
use crate::surface::Edge;
use crate::units::Length;

/// Room round the strip for the guides, mm: wide enough to hold the film while cutting.
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

/// Black ground with the marks cut out of it: the strip, the disc without its hole, each index plate.
fn reverse(strip: &mut Strip) {
    let faces: Vec<BezPath> = match (&strip.flat, &strip.round) {
        (Some(flat), _) => vec![flat.edge()],
        (None, Some(round)) => vec![round.face(0.0)],
        (None, None) => {
            let frames = strip.drawing.layers.iter().filter(|layer| layer.kind == LayerKind::Outline);
            frames.flat_map(|layer| &layer.groups).map(|group| outer(&group.path)).collect()
        }
    };
    let hole = strip.round.map_or(0.0, |round| round.hole());
    for layer in strip.drawing.layers.iter_mut().filter(|layer| layer.kind != LayerKind::Outline) {
        // a cross in a disc's hole stands on clear film already
        let in_hole = |group: &Group| {
            strip.round.is_some_and(|round| {
                let bounds = group.path.bounding_box();
                let corners =
                    [(bounds.x0, bounds.y0), (bounds.x1, bounds.y0), (bounds.x0, bounds.y1), (bounds.x1, bounds.y1)];
                corners.iter().all(|corner| round.place(0.0, 0.0).distance(Point::from(*corner)) < hole)
            })
        };
        if layer.kind == LayerKind::Guide && layer.groups.iter().all(in_hole) {
            continue;
        }
        if let Ink::Line(width) = layer.ink {
            // what is taken out of the ground is a shape
            let (style, options) = (Stroke::new(width.to_mm()), StrokeOpts::default());
            for group in &mut layer.groups {
                group.path = kurbo::stroke(group.path.elements().iter().copied(), &style, &options, 1e-3);
            }
        }
        layer.ink = Ink::Clear;
    }
    let ground = Layer::new(LayerKind::Outline, faces.into_iter().map(|face| Group::new(None, face)).collect());
    strip.drawing.layers.retain(|layer| layer.kind != LayerKind::Outline);
    strip.drawing.layers.insert(0, ground);
}

/// Enlarges the drawing by the border, and farther where guides reach out of it.
fn widen(strip: &mut Strip) {
    let drawing = &mut strip.drawing;
    let own = drawing.bounds().inflate(BORDER, BORDER);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::artwork::{self, Extent};
    use crate::check::assert_close;
    use crate::lettering::{Face, Lettering};
    use crate::process::sample::ring_strip;
    use crate::surface::Sense;

    fn ticks(drawing: &Drawing) -> Vec<Point> {
        let ticks = drawing.layers.iter().find(|layer| layer.kind == LayerKind::Ticks).unwrap();
        ticks.groups.iter().map(|group| group.path.bounding_box().center()).collect()
    }

    #[test]
    fn guides_lie_outside_the_strip_and_leave_it_as_it_is() {
        for (rear, front) in [(80.0, 80.0), (84.0, 78.0)] {
            for extent in [Extent::Used, Extent::FullTurn] {
                let bare = ring_strip(rear, front, extent);
                let film = printed(&bare, &Film::default());
                let flat = film.flat.as_ref().unwrap();
                let page = film.drawing.bounds();
                let moved = ticks(&film.drawing)[0] - ticks(&bare.drawing)[0];
                for (a, b) in ticks(&bare.drawing).iter().zip(ticks(&film.drawing)) {
                    assert_close((*a + moved).distance(b), 0.0, 1e-9);
                }
                let (left, right) = flat.ends();
                let guides = film.drawing.layers.iter().filter(|layer| layer.kind == LayerKind::Guide);
                let mut count = 0;
                for group in guides.flat_map(|layer| &layer.groups) {
                    count += 1;
                    assert!(page.contains_rect(group.path.bounding_box()));
                    for element in group.path.elements() {
                        let Some(place) = element.end_point() else { continue };
                        let (turn, height) = flat.turn_and_height(place);
                        let inside = turn > left + 1e-6 && turn < right - 1e-6 && height > 1e-6 && height < 12.0 - 1e-6;
                        assert!(!inside, "a guide reaches {turn} degrees, {height} mm");
                    }
                }
                // edges at both ends, infinity at both edges; and for a closed strip the seam and the tab
                assert_eq!(count, if extent == Extent::Used { 6 } else { 11 });
            }
        }
    }

    #[test]
    fn guides_lengthen_edges_and_seam_and_point_at_infinity_from_a_border_that_is_cut_off() {
        for extent in [Extent::Used, Extent::FullTurn] {
            let (bare, overlap) = (ring_strip(80.0, 80.0, extent), 7.0);
            let film = Film { overlap: Length::mm(overlap), ..Film::default() };
            let printed = printed(&bare, &film);
            let flat = printed.flat.as_ref().unwrap();
            let (left, right) = (flat.place(flat.ends().0, 0.0), flat.place(flat.ends().1, 0.0));
            let guides: Vec<&Layer> =
                printed.drawing.layers.iter().filter(|layer| layer.kind == LayerKind::Guide).collect();
            // three dots of a printer of 600 dpi
            let Ink::Line(width) = guides[0].ink else { panic!("{:?}", guides[0].ink) };
            assert_close(width.to_mm(), 3.0 * 25.4 / 600.0, 0.004);
            // every guide begins 0.8 mm beside the strip or its tab and is 3.5 mm long; x and y from the front left corner
            let tab = if extent == Extent::FullTurn { overlap } else { 0.0 };
            let (near, far, length) = (0.8, 4.3, right.x - left.x);
            let mut expected = vec![
                ((-near, 0.0), (-far, 0.0)),
                ((-near, 12.0), (-far, 12.0)),
                ((length + tab + near, 0.0), (length + tab + far, 0.0)),
                ((length + tab + near, 12.0), (length + tab + far, 12.0)),
            ];
            if extent == Extent::FullTurn {
                for end in [0.0, length] {
                    expected.extend([((end, -near), (end, -far)), ((end, 12.0 + near), (end, 12.0 + far))]);
                }
            }
            let ends: Vec<(Point, Point)> = guides[0]
                .groups
                .iter()
                .filter_map(|group| match group.path.elements() {
                    [PathEl::MoveTo(from), PathEl::LineTo(to)] => Some((*from, *to)),
                    _ => None,
                })
                .collect();
            assert_eq!(ends.len(), expected.len());
            for (from, to) in expected {
                let at = |place: (f64, f64)| left + kurbo::Vec2::new(place.0, place.1);
                let drawn = |(a, b): &(Point, Point)| a.distance(at(from)) < 1e-6 && b.distance(at(to)) < 1e-6;
                assert!(ends.iter().any(drawn), "{from:?} to {to:?}: {ends:?}");
            }
            // a head at each edge, its tip toward the strip
            let zero = flat.place(flat.zeros()[0], 0.0).x;
            for (head, (tip, foot)) in guides[1].groups.iter().zip([(-0.8, -3.0), (12.8, 15.0)]) {
                let corners: Vec<Point> = head.path.elements().iter().filter_map(PathEl::end_point).collect();
                for (corner, (aside, y)) in corners.iter().zip([(0.0, tip), (-0.9, foot), (0.9, foot)]) {
                    assert_close(corner.x - zero, aside, 1e-6);
                    assert_close(corner.y - left.y, y, 1e-6);
                }
            }
            // the film is held by 5 mm all round, and by 0.8 mm beyond every guide
            let seam = if tab > 0.0 { far + 0.8 } else { 5.0 };
            assert_close(printed.drawing.height.to_mm(), 12.0 + 2.0 * seam, 1e-6);
            assert_close(printed.drawing.width.to_mm(), length + tab + 2.0 * (far + 0.8), 1e-6);
        }
    }

    #[test]
    fn lines_are_taken_out_of_a_reversed_strip_at_their_own_width() {
        let mut strip = ring_strip(80.0, 80.0, Extent::Used);
        let line = Group::new(None, Line::new((10.0, 5.0), (20.0, 5.0)).to_path(1e-6));
        let kind = LayerKind::Numerals;
        strip.drawing.layers = vec![Layer::new(kind, vec![line]).with_ink(Ink::Line(Length::mm(0.3)))];
        let reversed = printed(&strip, &Film { reversed: true, guides: false, ..Film::default() }).drawing;
        let cut = reversed.layers.iter().find(|layer| layer.kind == kind).unwrap();
        assert_eq!(cut.ink, Ink::Clear);
        // 10 mm long and 0.3 mm wide, with half a disc at each end
        assert_close(cut.groups[0].path.area().abs(), 3.0 + std::f64::consts::PI * 0.15 * 0.15, 1e-3);
    }

    #[test]
    fn the_tab_is_as_long_as_the_overlap() {
        let bare = ring_strip(80.0, 80.0, Extent::FullTurn);
        let film = printed(&bare, &Film { overlap: Length::mm(7.0), ..Film::default() });
        let guides = film.drawing.layers.iter().filter(|layer| layer.kind == LayerKind::Guide);
        let widest = guides.flat_map(|layer| &layer.groups).map(|group| group.path.bounding_box());
        let tab = widest.max_by(|a, b| a.area().total_cmp(&b.area())).unwrap();
        assert_close(tab.width(), 7.0, 1e-9);
        assert_close(tab.height(), 12.0, 1e-9);
    }

    #[test]
    fn mirrored_film_carries_the_close_marks_of_a_clockwise_ring_to_the_right() {
        let bare = ring_strip(80.0, 80.0, Extent::Used);
        let mirrored = printed(&bare, &Film { mirrored: true, guides: false, ..Film::default() });
        let (plain, turned) = (ticks(&bare.drawing), ticks(&mirrored.drawing));
        assert!(plain[2].x < plain[0].x && turned[2].x > turned[0].x);
        for (a, b) in plain.iter().zip(turned) {
            assert_close(a.x + b.x, bare.drawing.width.to_mm(), 1e-9);
            assert_close(a.y, b.y, 1e-9);
        }
        let flat = mirrored.flat.unwrap();
        assert_close(flat.place(flat.zeros()[0], 1.0).x, mirrored.drawing.width.to_mm() - plain[0].x, 1e-9);
    }

    #[test]
    fn reversed_film_is_black_where_nothing_is_marked() {
        let bare = ring_strip(80.0, 80.0, Extent::Used);
        let reversed = printed(&bare, &Film { reversed: true, guides: false, ..Film::default() }).drawing;
        assert_eq!(reversed.layers[0].ink, Ink::Black);
        let ground = reversed.layers[0].groups[0].path.area().abs();
        assert_close(ground, bare.drawing.width.to_mm() * 12.0, 1e-6);
        assert!(reversed.layers[1..].iter().all(|layer| layer.ink == Ink::Clear));
        assert_eq!(ticks(&reversed), ticks(&bare.drawing));
    }

    #[test]
    fn reversed_discs_and_plates_are_black_but_for_their_marks() {
        let film = Film { reversed: true, ..Film::default() };
        let look = artwork::Look {
            tick_width: Length::mm(0.4),
            tool: None,
            numbered_tick: Length::mm(2.0),
            tick_follows: true,
            medium_tick: artwork::medium_tick(Length::mm(2.0), Length::mm(1.0)),
            plain_tick: Length::mm(1.0),
            sign: crate::scale::UnitSign::Start,
            label_gap: Length::mm(1.0),
            extent: Extent::Used,
        };
        let lettering = Lettering::new(Face::plain(), Length::mm(2.0)).unwrap();
        let plates = [Edge::Rear, Edge::Front].map(|index| artwork::IndexPlate::bare(index, 1));
        let plates = artwork::index_plates("P", &look, &lettering, &plates).unwrap();
        let reversed = printed(&plates, &film).drawing;
        let grounds: f64 = reversed.layers[0].groups.iter().map(|group| group.path.area().abs()).sum();
        // 4 numerals wide, 1.5 ticks and a numeral high
        assert_close(grounds, 2.0 * 8.0 * 5.0, 1e-9);
        assert_eq!((reversed.layers[0].ink, reversed.layers[1].ink), (Ink::Black, Ink::Clear));
        for (hole, cross) in [(0.0, Ink::Clear), (16.0, Ink::Line(Length::mm(0.1)))] {
            let (diameter, hole_mm) = (Length::mm(60.0), Length::mm(hole));
            let face = artwork::DiscFace { diameter, hole: hole_mm, sense: Sense::Clockwise, turns: 0.5 };
            let disc = artwork::disc("D", &face, &look, &lettering, &[]).unwrap();
            let reversed = printed(&disc, &film).drawing;
            let ground = reversed.layers[0].groups[0].path.area().abs();
            assert_close(ground, std::f64::consts::PI * (900.0 - 0.25 * hole * hole), 0.02);
            // the cross is seen on black ground and in the hole
            assert_eq!(reversed.layers[1].ink, cross, "hole {hole}");
            assert_eq!((reversed.layers[2].ink, reversed.layers[3].ink), (Ink::Clear, Ink::Clear));
        }
    }

    #[test]
    fn a_printer_that_prints_short_is_given_a_longer_drawing() {
        let bare = ring_strip(80.0, 80.0, Extent::Used).drawing;
        // the ruler of 240 mm came out as 238.8 mm, that of 180 mm as 180.9 mm
        let film = Film { printed: (238.8 / 240.0, 180.9 / 180.0), ..Film::default() };
        let drawn = corrected(&bare, &film);
        for (a, b) in ticks(&bare).iter().zip(ticks(&drawn)) {
            assert_close(b.x * 238.8 / 240.0, a.x, 1e-9);
            assert_close(b.y * 180.9 / 180.0, a.y, 1e-9);
        }
        assert_close(drawn.width.to_mm() * 238.8 / 240.0, bare.width.to_mm(), 1e-9);
    }
}
