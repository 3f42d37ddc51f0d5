//! Cutting vinyl: the marks of a drawing as contours in cutting order, and the length and time of the cut.
//!
//! Takes a finished drawing; gives closed contours in the drawing's own coordinates, nothing cut twice. A contour comes
//! before the one that holds it, because a piece that is cut free may move under the knife. Within that, neighbours
//! follow each other, from the left end. Weeding boxes and guides are made elsewhere.
//!
//! Sources: nearest neighbour and 2-opt for short rounds (G. A. Croes, Operations Research 6, 1958, from memory). Times
//! are common practice, no source.

use kurbo::{BezPath, ParamCurve, PathEl, PathSeg, Point, Shape, Vec2};

use super::{Cut, Vinyl};
use crate::artwork::{Drawing, Ink, LayerKind};
use crate::region::{Region, united};

/// Seconds for turning the knife at a corner. Common practice, no source.
const CORNER_S: f64 = 0.05;

/// Seconds for lifting and lowering the knife once. Common practice, no source.
const LIFT_S: f64 = 0.2;

/// Lifted, the knife goes this many times as fast as it cuts. Common practice, no source.
const TRAVEL_SPEED: f64 = 2.0;

/// Turn from which on the knife swivels, in degrees; between the pieces of a curve, flattened or not, it turns less.
const CORNER_DEG: f64 = 30.0;

/// Passes of 2-opt over a row of contours at most; two suffice on strips.
const PASSES: usize = 12;

/// Shapes smaller or thinner than this are slivers, left where an edge and a mark nearly coincide, and are not cut. Larger
/// bounds would drop shapes that a finding should name; with smaller ones the knife would cut slivers.
const SLIVER_MM2: f64 = 1e-4;
const SLIVER_MM: f64 = 0.01;

/// What a cutter is handed.
#[derive(Clone, Debug)]
pub struct CutJob {
    /// Closed contours in mm in cutting order; each begins where the knife comes down.
    pub contours: Vec<BezPath>,
    /// What cutting and weeding them takes.
    pub report: CutReport,
}

/// What a cut takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutReport {
    /// Pieces that are kept.
    pub pieces: usize,
    /// Of a mask: kept pieces that nothing joins to it, because they stand in a mark. They must be placed one by one.
    pub loose_islands: usize,
    /// Small waste that kept pieces surround: counters of marks, marks of a mask.
    pub holes_to_pick_out: usize,
    /// All pieces of waste, those and the ground round the whole.
    pub pieces_to_weed: usize,
    /// Length of all cuts in mm.
    pub cut_mm: f64,
    /// Length of the lifted knife's moves in mm, from the drawing's upper left corner.
    pub travel_mm: f64,
    /// Places where the knife swivels.
    pub corners: usize,
    /// Estimated time.
    pub minutes: f64,
}

/// The contours that make a drawing of vinyl, in order.
///
/// For [`Cut::Mask`] the kept pieces are what the outlines fill, less the marks. Slivers are not cut.
pub fn cut_job(drawing: &Drawing, vinyl: &Vinyl) -> CutJob {
    let marks = paths(drawing, &[LayerKind::Ticks, LayerKind::Numerals, LayerKind::Index]);
    let kept = match vinyl.cut {
        Cut::Marks => united(&marks),
        Cut::Mask => mask(&paths(drawing, &[LayerKind::Outline]), marks),
    };
    let kept: Vec<BezPath> = kept.iter().filter_map(without_slivers).collect();
    let mut order = Order { knife: Point::ORIGIN, travel: 0.0, contours: Vec::new() };
    order.follow(&nested(&kept));

    let pieces = kept.len();
    let holes = order.contours.len() - pieces;
    let whole = match vinyl.cut {
        Cut::Marks => pieces,
        Cut::Mask => kept.iter().filter(|piece| !is_held(piece, &kept)).count(),
    };
    let report = CutReport {
        pieces,
        loose_islands: pieces - whole,
        holes_to_pick_out: holes,
        pieces_to_weed: holes + usize::from(pieces > 0),
        cut_mm: order.contours.iter().map(|contour| contour.perimeter(1e-3)).sum(),
        travel_mm: order.travel,
        corners: order.contours.iter().map(corners).sum(),
        minutes: 0.0,
    };
    let seconds = report.cut_mm / vinyl.speed
        + report.travel_mm / (TRAVEL_SPEED * vinyl.speed)
        + report.corners as f64 * CORNER_S
        + order.contours.len() as f64 * LIFT_S;
    CutJob { contours: order.contours, report: CutReport { minutes: seconds / 60.0, ..report } }
}

/// The filled paths of some layers.
fn paths(drawing: &Drawing, kinds: &[LayerKind]) -> Vec<BezPath> {
    let layers = drawing.layers.iter().filter(|layer| kinds.contains(&layer.kind) && layer.ink == Ink::Black);
    layers.flat_map(|layer| &layer.groups).map(|group| group.path.clone()).collect()
}

/// The strips' faces without the marks.
fn mask(outlines: &[BezPath], mut marks: Vec<BezPath>) -> Vec<BezPath> {
    let faces: Vec<Region> = outlines.iter().map(Region::new).collect();
    let marked: Vec<Region> = marks.iter().map(Region::new).collect();
    let kept = Region::union_of(&faces).difference(&Region::union_of(&marked));
    marks.extend_from_slice(outlines);
    kept.with_curves(&marks)
}

/// A piece without holes that are slivers; `None` where it is one itself.
fn without_slivers(piece: &BezPath) -> Option<BezPath> {
    let contours = piece.subpaths().map(|contour| contour.iter().copied().collect::<BezPath>());
    let kept: BezPath = contours.filter(|contour| !sliver(contour)).flatten().collect();
    (!sliver(&kept)).then_some(kept)
}

/// Whether a shape is smaller or thinner than a knife can follow. A long thin shape is 2 area / perimeter wide.
fn sliver(shape: &BezPath) -> bool {
    let area = shape.area().abs();
    area < SLIVER_MM2 || 2.0 * area < SLIVER_MM * shape.perimeter(1e-4)
}

/// Whether a piece stands in a hole of another.
fn is_held(piece: &BezPath, pieces: &[BezPath]) -> bool {
    let Some(PathEl::MoveTo(place)) = piece.elements().first() else { return false };
    pieces.iter().filter(|other| !std::ptr::eq(*other, piece)).any(|other| {
        let outer: BezPath = other.subpaths().next().into_iter().flatten().copied().collect();
        outer.bounding_box().contains(*place) && outer.winding(*place) != 0
    })
}

/// A contour and those directly inside it.
struct Nest {
    contour: BezPath,
    inside: Vec<Nest>,
}

/// All contours, each in the one that holds it.
fn nested(pieces: &[BezPath]) -> Vec<Nest> {
    let contours =
        pieces.iter().flat_map(BezPath::subpaths).map(|contour| contour.iter().copied().collect::<BezPath>());
    let mut sized: Vec<(f64, BezPath)> = contours.map(|contour| (contour.area().abs(), contour)).collect();
    sized.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut roots: Vec<Nest> = Vec::new();
    // larger ones first, so that the contour round another is placed before it
    for (_, contour) in sized {
        let place = contour.segments().next().map_or(Point::ORIGIN, |segment| segment.eval(0.5));
        let mut level = &mut roots;
        while let Some(at) = level.iter().position(|nest| holds(&nest.contour, place)) {
            level = &mut level[at].inside;
        }
        level.push(Nest { contour, inside: Vec::new() });
    }
    roots
}

fn holds(contour: &BezPath, place: Point) -> bool {
    contour.control_box().contains(place) && contour.winding(place) != 0
}

/// The contours as they are cut.
struct Order {
    knife: Point,
    travel: f64,
    contours: Vec<BezPath>,
}

impl Order {
    /// Cuts neighbours one after another, what lies inside each before it.
    fn follow(&mut self, nests: &[Nest]) {
        let places: Vec<Point> = nests.iter().map(|nest| nest.contour.bounding_box().center()).collect();
        for at in short_way(self.knife, &places) {
            self.follow(&nests[at].inside);
            let contour = beginning_near(&nests[at].contour, self.knife);
            if let Some(PathEl::MoveTo(start)) = contour.elements().first() {
                self.travel += self.knife.distance(*start);
                self.knife = *start;
                self.contours.push(contour);
            }
        }
    }
}

/// An order in which to visit places: the leftmost first, then always the nearest, then without crossings (2-opt).
fn short_way(start: Point, places: &[Point]) -> Vec<usize> {
    let mut left: Vec<usize> = (0..places.len()).collect();
    left.sort_by(|a, b| places[*a].x.total_cmp(&places[*b].x));
    let mut order = Vec::with_capacity(left.len());
    if !left.is_empty() {
        order.push(left.remove(0));
    }
    while let Some(&last) = order.last() {
        let away = |at: &usize| places[*at].distance_squared(places[last]);
        let next = (0..left.len()).min_by(|a, b| away(&left[*a]).total_cmp(&away(&left[*b])));
        match next {
            Some(next) => order.push(left.remove(next)),
            None => break,
        }
    }
    for _ in 0..PASSES {
        let mut shorter = false;
        for from in 0..order.len() {
            for to in from + 1..order.len() {
                let before = from.checked_sub(1).map_or(start, |at| places[order[at]]);
                let after = order.get(to + 1).map(|at| places[*at]);
                let (first, last) = (places[order[from]], places[order[to]]);
                let now = before.distance(first) + after.map_or(0.0, |after| last.distance(after));
                let turned = before.distance(last) + after.map_or(0.0, |after| first.distance(after));
                if turned < now - 1e-9 {
                    order[from..=to].reverse();
                    shorter = true;
                }
            }
        }
        if !shorter {
            break;
        }
    }
    order
}

/// The same contour from the corner nearest to a place on.
fn beginning_near(contour: &BezPath, place: Point) -> BezPath {
    let mut segments: Vec<PathSeg> = contour.segments().collect();
    let away = |segment: &PathSeg| segment.start().distance_squared(place);
    let nearest = (0..segments.len()).min_by(|a, b| away(&segments[*a]).total_cmp(&away(&segments[*b])));
    segments.rotate_left(nearest.unwrap_or(0));
    let mut turned = BezPath::from_path_segments(segments.into_iter());
    // the closing line is drawn by closing
    if let [PathEl::MoveTo(start), .., PathEl::LineTo(end)] = turned.elements()
        && start == end
    {
        turned.pop();
    }
    if !matches!(turned.elements().last(), Some(PathEl::ClosePath)) {
        turned.close_path();
    }
    turned
}

/// Places where a closed contour turns by more than a knife does smoothly.
fn corners(contour: &BezPath) -> usize {
    let tangents: Vec<(Vec2, Vec2)> = contour.segments().filter_map(|segment| tangents(&segment)).collect();
    let next = tangents.iter().cycle().skip(1);
    let turn = |((_, into), (out, _)): (&(Vec2, Vec2), &(Vec2, Vec2))| into.cross(*out).atan2(into.dot(*out)).abs();
    tangents.iter().zip(next).map(turn).filter(|turn| turn.to_degrees() > CORNER_DEG).count()
}

/// Directions in which a segment sets out and arrives.
fn tangents(segment: &PathSeg) -> Option<(Vec2, Vec2)> {
    let curve = segment.to_cubic();
    let points = [curve.p0, curve.p1, curve.p2, curve.p3];
    let out = points.iter().map(|point| *point - curve.p0).find(|along| along.hypot() > 1e-9)?;
    let into = points.iter().rev().map(|point| curve.p3 - *point).find(|along| along.hypot() > 1e-9)?;
    Some((out, into))
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;
    use crate::artwork::{Group, Layer};
    use crate::check::assert_close;
    use crate::lettering::{Face, Lettering};
    use crate::units::Length;

    fn square(x: f64, y: f64, side: f64) -> BezPath {
        Rect::new(x, y, x + side, y + side).to_path(1e-6)
    }

    fn drawing(marks: Vec<BezPath>) -> Drawing {
        let face = Rect::new(0.0, 0.0, 60.0, 10.0).to_path(1e-6);
        let groups = |paths: Vec<BezPath>| paths.into_iter().map(|path| Group::new(None, path)).collect();
        Drawing {
            title: String::new(),
            width: Length::mm(60.0),
            height: Length::mm(10.0),
            layers: vec![
                Layer::new(LayerKind::Outline, groups(vec![face])),
                Layer::new(LayerKind::Ticks, groups(marks)),
            ],
        }
    }

    fn label(text: &str, x: f64) -> BezPath {
        let line = Lettering::new(Face::plain(), Length::mm(4.0)).unwrap().line(text).unwrap();
        kurbo::Affine::translate((x, 7.0)) * line.outline
    }

    fn mask() -> Vinyl {
        Vinyl { cut: Cut::Mask, ..Vinyl::default() }
    }

    #[test]
    fn pieces_holes_and_lengths_are_counted() {
        let mut ring = square(10.0, 2.0, 4.0);
        ring.extend(square(11.0, 3.0, 2.0).reverse_subpaths());
        let job = cut_job(&drawing(vec![square(20.0, 2.0, 3.0), ring, square(21.0, 2.5, 1.0)]), &Vinyl::default());
        let report = job.report;
        assert_eq!((report.pieces, report.holes_to_pick_out, report.pieces_to_weed), (2, 1, 2));
        assert_eq!((report.loose_islands, report.corners), (0, 12));
        assert_close(report.cut_mm, 16.0 + 8.0 + 12.0, 1e-9);
        // from the corner to (11, 3), on to (10, 2), and over to (20, 2)
        assert_close(report.travel_mm, 130f64.sqrt() + 2f64.sqrt() + 10.0, 1e-9);
        let seconds = 36.0 / 20.0 + report.travel_mm / 40.0 + 12.0 * CORNER_S + 3.0 * LIFT_S;
        assert_close(report.minutes, seconds / 60.0, 1e-12);
    }

    #[test]
    fn inner_contours_come_before_those_that_hold_them() {
        let mut rings = square(5.0, 1.0, 8.0);
        rings.extend(square(6.0, 2.0, 6.0).reverse_subpaths());
        rings.extend(square(7.0, 3.0, 4.0));
        rings.extend(square(8.0, 4.0, 2.0).reverse_subpaths());
        let marks = vec![rings, label("6.80", 20.0), label("4", 40.0)];
        for vinyl in [Vinyl::default(), mask()] {
            let job = cut_job(&drawing(marks.clone()), &vinyl);
            let boxes: Vec<Rect> = job.contours.iter().map(|contour| contour.bounding_box()).collect();
            let inside = |a: Rect, b: Rect| a != b && b.union(a) == b;
            let mut held = 0;
            for (at, inner) in boxes.iter().enumerate() {
                for (after, outer) in boxes.iter().enumerate() {
                    if inside(*inner, *outer)
                        && job.contours[after].winding(job.contours[at].segments().next().unwrap().start()) != 0
                    {
                        assert!(at < after, "{inner:?} after {outer:?}");
                        held += 1;
                    }
                }
            }
            // six pairs of rings, and the counters of the digits (the face's 4 is open); in a mask the edge holds all
            assert_eq!(held, if vinyl.cut == Cut::Marks { 6 + 4 } else { 6 + 4 + 13 });
        }
    }

    #[test]
    fn nothing_is_cut_twice() {
        let tick = Rect::new(30.0, 0.0, 30.5, 9.0).to_path(1e-6);
        let job = cut_job(&drawing(vec![tick.clone(), tick.clone(), label("8", 30.2)]), &Vinyl::default());
        let whole: Vec<Region> = job.contours.iter().map(Region::new).collect();
        for (at, contour) in whole.iter().enumerate() {
            for other in &whole[..at] {
                let apart = contour.contours().flatten().all(|p| other.distance_to_edge(*p).unwrap().to_mm() > 1e-4);
                assert!(apart, "two contours share a line");
            }
        }
        assert_eq!(job.report.pieces, 1);
    }

    #[test]
    fn a_mask_is_the_face_less_the_marks() {
        let job = cut_job(&drawing(vec![label("80", 20.0), square(40.0, 3.0, 1.0)]), &mask());
        let report = job.report;
        // three counters stand alone in the 8 and the 0
        assert_eq!((report.pieces, report.loose_islands), (4, 3));
        assert_eq!((report.holes_to_pick_out, report.pieces_to_weed), (3, 4));
        let kept = job.contours.iter().map(|contour| contour.area()).sum::<f64>();
        assert_close(kept, 600.0 - label("80", 0.0).area().abs() - 1.0, 1e-6);
        let last = job.contours.last().unwrap().bounding_box();
        assert_eq!((last.width(), last.height()), (60.0, 10.0));
        // a mark that runs out over the edge makes an opening of the edge
        let open = cut_job(&drawing(vec![Rect::new(5.0, -1.0, 6.0, 4.0).to_path(1e-6)]), &mask());
        assert_eq!((open.contours.len(), open.report.holes_to_pick_out), (1, 0));
    }

    #[test]
    fn a_mask_of_bridged_numerals_has_no_loose_islands() {
        let bridged = crate::region::bridged(&label("80", 20.0), Length::mm(0.3)).unwrap();
        assert_eq!(cut_job(&drawing(vec![bridged]), &mask()).report.loose_islands, 0);
    }

    #[test]
    fn contours_are_closed_and_begin_near_the_last_place() {
        let marks: Vec<BezPath> =
            (0..20).map(|k| square(2.0 + 2.5 * f64::from(k * 7 % 20), 1.0 + f64::from(k % 3), 0.8)).collect();
        let job = cut_job(&drawing(marks.clone()), &Vinyl::default());
        let mut knife = Point::ORIGIN;
        for contour in &job.contours {
            assert!(matches!(contour.elements(), [PathEl::MoveTo(_), .., PathEl::ClosePath]));
            let start = contour.segments().next().unwrap().start();
            for segment in contour.segments() {
                assert!(knife.distance(start) <= knife.distance(segment.start()) + 1e-12);
            }
            knife = start;
        }
        // twenty squares in a row are followed from left to right with little way between
        assert!(job.report.travel_mm < 60.0, "{}", job.report.travel_mm);
        assert_eq!(job.report.corners, 80);
    }

    #[test]
    fn slivers_are_not_cut_and_thin_strokes_are() {
        let sliver = Rect::new(10.0, 2.0, 10.008, 5.0).to_path(1e-6);
        let stroke = Rect::new(20.0, 2.0, 20.02, 5.0).to_path(1e-6);
        let job = cut_job(&drawing(vec![sliver.clone(), square(30.0, 2.0, 0.009), stroke]), &Vinyl::default());
        assert_eq!(job.contours.len(), 1);
        assert_close(job.contours[0].bounding_box().x0, 20.0, 1e-9);
        // in a mask they are openings
        assert_eq!(cut_job(&drawing(vec![sliver]), &mask()).report.holes_to_pick_out, 0);
    }

    #[test]
    fn a_square_is_cut_in_four_lines_wherever_the_knife_comes_down_and_however_it_was_closed() {
        let written = BezPath::from_svg("M20 2L24 2L24 6L20 6L20 2Z").unwrap();
        for (shape, places) in
            [(square(20.0, 2.0, 4.0), [(0.0, 0.0), (60.0, 9.0)]), (written, [(60.0, 0.0), (0.0, 9.0)])]
        {
            for place in places {
                let cut = beginning_near(&shape, Point::from(place));
                // three lines, and the one that closing draws back to the start
                let three = [PathEl::LineTo(Point::ZERO); 3].map(|line| std::mem::discriminant(&line));
                let drawn: Vec<_> =
                    cut.elements()[1..cut.elements().len() - 1].iter().map(std::mem::discriminant).collect();
                assert_eq!(drawn, three, "{}", cut.to_svg());
                assert_close(cut.perimeter(1e-9), 16.0, 1e-9);
                assert_close(cut.area(), shape.area(), 1e-9);
            }
        }
    }

    #[test]
    fn curves_stay_curves_in_the_cut() {
        let digit = label("5", 20.0);
        let job = cut_job(&drawing(vec![digit.clone()]), &Vinyl::default());
        assert_eq!(job.contours.len(), 1);
        assert_close(job.contours[0].perimeter(1e-6), digit.perimeter(1e-6), 1e-6);
        let quads = |path: &BezPath| path.iter().filter(|element| matches!(element, PathEl::QuadTo(..))).count();
        assert_eq!(quads(&job.contours[0]), quads(&digit));
    }

    #[test]
    fn the_way_is_no_longer_than_any_order_of_a_few() {
        let places = [(3.0, 1.0), (0.0, 0.0), (5.0, 4.0), (1.0, 3.0), (4.0, 0.0), (2.0, 2.0)].map(Point::from);
        let length = |order: &[usize]| {
            order.iter().fold((0.0, Point::ORIGIN), |(sum, at), k| (sum + at.distance(places[*k]), places[*k])).0
        };
        let found = length(&short_way(Point::ORIGIN, &places));
        let mut order: Vec<usize> = (0..6).collect();
        let mut best = f64::MAX;
        // every order, by counting in the factorial system
        for rank in 0..720 {
            let (mut left, mut rest) = ((0..6).collect::<Vec<_>>(), rank);
            for (at, base) in [120, 24, 6, 2, 1, 1].into_iter().enumerate() {
                order[at] = left.remove(rest / base);
                rest %= base;
            }
            best = best.min(length(&order));
        }
        assert!(found <= 1.05 * best, "{found} against {best}");
    }

    #[test]
    fn nothing_to_cut_takes_no_time() {
        let job = cut_job(&drawing(Vec::new()), &Vinyl::default());
        assert!(job.contours.is_empty());
        assert_eq!((job.report.minutes, job.report.pieces_to_weed), (0.0, 0));
    }
}
