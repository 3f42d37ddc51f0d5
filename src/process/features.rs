//! What is too small to be made: thin strokes, narrow gaps, small counters and dots, each with its place and width.
//!
//! Takes filled regions in mm and the [`Limits`] of a process. A stroke is too thin where a disc of the limit's
//! diameter cannot go: the ink that opening by half the limit takes away. A disc does not fill corners either, so a
//! residue counts only when it is a whole island, when it joins the opened ink along two or more separate runs of its
//! edge (a bridge; a run also ends where two rims of the opened ink meet at an angle), or when it reaches farther than
//! three radii away from it. Square and round corners and pointed ends therefore do not count, only long spikes do.
//! Gaps are the strokes of the bare ground. A hole that no disc of the counter's limit fits into is a counter; an island
//! both of whose sides are under the limit is a dot, and is not named as a stroke as well.
//!
//! Not seen: a neck without length, where two sharp notches face each other, because a disc reaches into it from both
//! sides. Limits are met to within 2 µm, what flattening and rounding may take away.
//!
//! Source: opening by a disc, J. Serra, Image Analysis and Mathematical Morphology, 1982 (from memory); which residues count
//! is our choice.

use kurbo::{Point, Rect, Vec2};

use super::Limits;
use crate::region::{Island, Nearest, Region, edges, nearest_edges};
use crate::units::Length;

/// How much smaller the disc's radius is than half the limit, in mm: a stroke exactly as wide as its limit must pass,
/// and curves are flattened to this tolerance.
const SLACK: f64 = 0.001;

/// Residues thinner than this are what flattening and round joins leave, in mm.
const MARGIN: f64 = 0.002;

/// Radii that a piece may reach out of the opened ink at one end.
const REACH: f64 = 3.0;

/// Turn at which the opened ink's rim has two parts that met there, in degrees; chords of joins turn the other way.
const MEETING_DEG: f64 = 15.0;

/// Widths are measured to this share.
const PRECISION: f64 = 0.02;

/// Steps of measuring a width at most; two or three suffice.
const STEPS: usize = 16;

/// Bound on how far the grid's rounding moves an edge, in mm.
const ON_EDGE: f64 = 1e-5;

/// What is too small.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Feature {
    /// Ink that is too thin.
    Stroke,
    /// Bare ground between ink that is too narrow.
    Gap,
    /// A piece that is too small both ways.
    Dot,
    /// A hole that is too small.
    Counter,
}

/// One place that cannot be made.
#[derive(Clone, Debug)]
pub struct Flaw {
    /// What it is.
    pub feature: Feature,
    /// The ink or the ground concerned, for a picture.
    pub residue: Region,
    /// A point in it, at its narrowest where it is a stroke or a gap.
    pub place: Point,
    /// Its width as a caliper would measure it; of a dot the longer side.
    pub width: Length,
}

/// Everything in a shape that is smaller than the limits.
pub fn flaws(shape: &Region, limits: &Limits) -> Vec<Flaw> {
    let mut found = Vec::new();
    let mut strokes = Vec::new();
    for island in shape.pieces() {
        match longer_side(&island, limits.dot.to_mm()) {
            Some(side) => {
                let place = inner_place(&island);
                found.push(Flaw { feature: Feature::Dot, place, width: Length::mm(side), residue: island });
            }
            None => strokes.push(island),
        }
    }
    for island in &strokes {
        found.extend(thin(island, limits.stroke.to_mm(), Feature::Stroke));
    }
    let (ground, holes) = ground(shape, limits.gap.to_mm());
    for hole in holes {
        let counter = limits.counter.to_mm();
        if counter > 0.0 && shrunk(&hole, counter).is_empty() {
            let (width, place) = largest_disc(&hole);
            found.push(Flaw { feature: Feature::Counter, place, width: Length::mm(width), residue: hole });
        } else {
            let gaps = thin(&hole, limits.gap.to_mm(), Feature::Gap);
            // a hole as large as its own limit asks is no gap
            found.extend(gaps.into_iter().filter(|gap| gap.residue != hole));
        }
    }
    found.extend(thin(&ground, limits.gap.to_mm(), Feature::Gap));
    found
}

/// The thinnest stroke and the narrowest gap or counter of a shape, each with its place, as far as they are narrower
/// than a ceiling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Smallest {
    /// The thinnest stroke.
    pub stroke: Option<(Length, Point)>,
    /// The narrowest gap.
    pub gap: Option<(Length, Point)>,
}

/// Measures what [`flaws`] would name first if its limits were raised toward `ceiling`.
pub fn smallest(shape: &Region, ceiling: Length) -> Smallest {
    let ceiling = ceiling.to_mm();
    let (open, holes) = ground(shape, ceiling);
    let narrowest = |pieces: &mut dyn Iterator<Item = Region>| {
        let found = pieces.flat_map(|piece| thin(&piece, ceiling, Feature::Stroke));
        found.map(|found| (found.width, found.place)).min_by(|a, b| a.0.total_cmp(&b.0))
    };
    Smallest {
        stroke: narrowest(&mut shape.pieces()),
        gap: narrowest(&mut holes.into_iter().chain(std::iter::once(open))),
    }
}

/// Two shapes that come too near to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// The two, by their places in the list, the earlier first.
    pub pair: (usize, usize),
    /// The shortest way between them; of no length where they touch or overlap.
    pub way: Nearest,
}

/// Every pair of shapes less than `gap` apart, exactly, in the list's order.
pub fn near(shapes: &[Region], gap: Length) -> Vec<Near> {
    let gap = gap.to_mm();
    let boxes: Vec<Rect> = shapes.iter().map(Region::bounds).collect();
    let mut order: Vec<usize> = (0..shapes.len()).filter(|at| !shapes[*at].is_empty()).collect();
    order.sort_by(|a, b| boxes[*a].x0.total_cmp(&boxes[*b].x0));
    let mut found = Vec::new();
    for (rank, &left) in order.iter().enumerate() {
        for &right in order[rank + 1..].iter().take_while(|right| boxes[**right].x0 < boxes[left].x1 + gap) {
            let above = boxes[left].y1 + gap <= boxes[right].y0 || boxes[right].y1 + gap <= boxes[left].y0;
            let pair = (left.min(right), left.max(right));
            match (!above).then(|| shapes[pair.0].nearest(&shapes[pair.1])).flatten() {
                Some(way) if way.distance.to_mm() < gap => found.push(Near { pair, way }),
                _ => (),
            }
        }
    }
    found.sort_by_key(|near| near.pair);
    found
}

/// How a shape comes out of a tool of a radius: corners rounded, ink and gaps that it cannot enter gone.
pub fn simulated(shape: &Region, radius: Length) -> Region {
    shape.opened(radius).closed(radius)
}

/// The ground round a shape as far as a gap could matter, and its holes' ground.
fn ground(shape: &Region, gap: f64) -> (Region, Vec<Region>) {
    if shape.is_empty() {
        return (Region::default(), Vec::new());
    }
    // the frame is so far that nothing narrow lies between it and the ink
    let frame = shape.bounds().inflate(2.0 * gap + 1.0, 2.0 * gap + 1.0);
    let all = Region::rectangle(frame).difference(shape);
    let (open, holes): (Vec<Region>, Vec<Region>) =
        all.pieces().partition(|piece| piece.bounds().x0 < shape.bounds().x0);
    (open.into_iter().next().unwrap_or_default(), holes)
}

fn shrunk(shape: &Region, width: f64) -> Region {
    shape.offset(Length::mm(SLACK - width / 2.0))
}

/// Diameter of the largest disc that a connected shape holds, and a place within its middle.
///
/// ```text
/// a disc of diameter 2 A / P lies in every shape of area A and perimeter P without holes; so shrink by that,
/// repeatedly, until what is left is too small to measure
/// ```
///
/// A stroke is measured in two or three steps. A ring contains the disc as well; in a shape with more holes a step may leave
/// nothing, and is halved.
fn largest_disc(shape: &Region) -> (f64, Point) {
    let mut width = 0.0;
    let mut left = shape.clone();
    for _ in 0..STEPS {
        let held = |island: &Island| {
            let contours = island.contours().flat_map(edges);
            2.0 * island.area() / contours.map(|(from, to)| from.distance(to)).sum::<f64>()
        };
        let mut step = left.islands().iter().map(held).fold(0.0, f64::max);
        let mut smaller = left.offset(Length::mm(-0.5 * step));
        while smaller.is_empty() && step > 0.5 * SLACK {
            step *= 0.5;
            smaller = left.offset(Length::mm(-0.5 * step));
        }
        if smaller.is_empty() {
            break;
        }
        width += step;
        left = smaller;
        if step < 0.5 * SLACK {
            break;
        }
    }
    let bounds = |island: &Island| island.bounds().area();
    let widest = left.pieces().max_by(|a, b| bounds(&a.islands()[0]).total_cmp(&bounds(&b.islands()[0])));
    (width, inner_place(&widest.unwrap_or(left)))
}

/// Where one connected shape is thinner than a limit.
fn thin(shape: &Region, limit: f64, feature: Feature) -> Vec<Flaw> {
    let found = residues(shape, limit);
    found.into_iter().map(|residue| measured(shape, residue, limit, feature)).collect()
}

fn measured(shape: &Region, residue: Residue, limit: f64, feature: Feature) -> Flaw {
    let (width, place) = least_width(shape, &residue, limit);
    // equal strokes are equal
    let width = Length::mm((width * 1000.0).round() / 1000.0);
    Flaw { feature, place, width, residue: residue.region }
}

/// The width of what a disc of `ceiling` leaves, and where: no wider disc enters all of it.
///
/// A bridge is as wide as its two sides are apart, a piece that vanishes whole as the largest disc in it. Thinner parts are
/// left again by a slightly smaller disc, and are measured then. Where a point stands out, widths are bisected.
fn least_width(shape: &Region, residue: &Residue, ceiling: f64) -> (f64, Point) {
    let (mut width, mut place) = match (residue.sides(), residue.whole()) {
        (Some(bridge), _) => bridge,
        (None, true) => largest_disc(&residue.region),
        (None, false) => return bisected(shape, residue, ceiling),
    };
    if width >= ceiling || width < 4.0 * SLACK {
        return bisected(shape, residue, ceiling);
    }
    for _ in 0..STEPS {
        let below = width * (1.0 - PRECISION);
        let left = residues(shape, below).into_iter().filter(|left| left.touches(residue));
        let sides = left.map(|left| left.sides()).reduce(|a, b| Some(if a?.0 <= b?.0 { a? } else { b? }));
        match sides {
            None => break,
            Some(Some(bridge)) => (width, place) = bridge,
            Some(None) => return bisected(shape, residue, ceiling),
        }
    }
    (width, place)
}

/// The smallest width at which something is left near a residue, found by halving, and where.
fn bisected(shape: &Region, residue: &Residue, ceiling: f64) -> (f64, Point) {
    let mut narrowest = None;
    let (mut passes, mut fails) = (0.0, ceiling);
    while fails - passes > PRECISION * fails && fails > 4.0 * SLACK {
        let width = 0.5 * (passes + fails);
        match residues(shape, width).into_iter().find(|left| left.touches(residue)) {
            Some(left) => (narrowest, fails) = (Some(left), width),
            None => passes = width,
        }
    }
    let place = inner_place(&narrowest.as_ref().unwrap_or(residue).region);
    ((0.5 * (passes + fails) - 2.0 * SLACK).max(0.0), place)
}

/// A part of a shape that a disc cannot enter and that counts.
struct Residue {
    region: Region,
    /// The separate runs of its contours that lie on the shape's own edge, as edges.
    own: Vec<Vec<(Point, Point)>>,
    /// The edges that lie along the opened ink.
    rim: Vec<(Point, Point)>,
    /// How many separate runs those are.
    rims: usize,
}

impl Residue {
    fn new(region: Region, shape: &Region) -> Residue {
        let mut residue = Residue { region, own: Vec::new(), rim: Vec::new(), rims: 0 };
        let runs: Vec<_> = residue.region.contours().map(|contour| runs(contour, shape)).collect();
        for (rims, own, rim) in runs {
            residue.rims += rims;
            residue.own.extend(own);
            residue.rim.extend(rim);
        }
        residue
    }

    fn whole(&self) -> bool {
        self.rims == 0
    }

    fn touches(&self, other: &Residue) -> bool {
        self.region.nearest(&other.region).is_some_and(|way| way.distance == Length::ZERO)
    }

    /// The shortest way from one side of a bridge to the other, and its middle.
    fn sides(&self) -> Option<(f64, Point)> {
        if self.rims < 2 {
            return None;
        }
        let mut least: Option<Nearest> = None;
        for (at, side) in self.own.iter().enumerate() {
            for other in &self.own[at + 1..] {
                let way = nearest_edges(side, other);
                if way.is_some_and(|way| least.is_none_or(|least| way.distance < least.distance)) {
                    least = way;
                }
            }
        }
        least.map(|way| (way.distance.to_mm(), way.middle()))
    }
}

/// The parts of a shape that a disc of a diameter cannot enter and that count.
fn residues(shape: &Region, width: f64) -> Vec<Residue> {
    let radius = width / 2.0 - SLACK;
    if radius <= 0.0 {
        return Vec::new();
    }
    // where the disc's centre can go; what the disc reaches from there, and the margin more
    let centres = shape.offset(Length::mm(-radius));
    if centres.is_empty() {
        let whole = |region| Residue { region, own: Vec::new(), rim: Vec::new(), rims: 0 };
        return shape.pieces().map(whole).collect();
    }
    let rest = shape.difference(&centres.offset(Length::mm(radius + MARGIN)));
    let residues = rest.pieces().map(|piece| Residue::new(piece, shape));
    residues.filter(|residue| counts(residue, radius)).collect()
}

fn counts(residue: &Residue, radius: f64) -> bool {
    // none is a whole island, two make a bridge
    if residue.rims != 1 {
        return true;
    }
    // it joins the opened ink, so no corner is farther from there than across the piece
    let piece = &residue.region;
    if piece.bounds().size().to_vec2().hypot() < REACH * radius {
        return false;
    }
    // from where it joins: other ink may lie nearer, beyond a thin piece of ground, as beside the gap of a comb
    let far = |corner: &Point| {
        let way = nearest_edges(&[(*corner, *corner)], &residue.rim);
        way.is_some_and(|way| way.distance.to_mm() + MARGIN > REACH * radius)
    };
    piece.contours().flatten().any(far)
}

/// A run of edges of a contour.
type Run = Vec<(Point, Point)>;

/// How many separate runs of a residue's contour lie along the opened ink, those on the shape's own edge, and the edges along
/// the opened ink.
fn runs(contour: &[Point], shape: &Region) -> (usize, Vec<Run>, Run) {
    let edges: Vec<(Point, Point)> = edges(contour).collect();
    let count = edges.len();
    let along = |at: usize| edges[at].1 - edges[at].0;
    // edges on the shape's edge differ from it by the grid's rounding only
    let own: Vec<bool> = edges.iter().map(|(from, to)| shape.has_edge_within(from.midpoint(*to), ON_EDGE)).collect();
    let turn = |a: Vec2, b: Vec2| a.cross(b).atan2(a.dot(b)).to_degrees();
    let ends = |at: usize| {
        let next = (at + 1) % count;
        !own[at] && (own[next] || turn(along(at), along(next)) > MEETING_DEG)
    };
    let Some(rim) = own.iter().position(|own| !own) else { return (0, vec![edges], Run::new()) };
    let mut sides: Vec<Run> = Vec::new();
    for step in 1..=count {
        let (at, before) = ((rim + step) % count, (rim + step - 1) % count);
        match sides.last_mut() {
            _ if !own[at] => (),
            Some(side) if own[before] => side.push(edges[at]),
            _ => sides.push(vec![edges[at]]),
        }
    }
    // a run all the way round has no end
    let round = own.iter().all(|own| !own);
    let rims = (0..count).filter(|at| ends(*at)).count().max(usize::from(round));
    (rims, sides, (0..count).filter(|at| !own[*at]).map(|at| edges[at]).collect())
}

/// A place inside a region: the middle of its widest span at half height.
fn inner_place(region: &Region) -> Point {
    let bounds = region.bounds();
    let y = bounds.center().y;
    let mut crossings: Vec<f64> = Vec::new();
    for contour in region.contours() {
        for (a, b) in contour.iter().zip(contour.iter().cycle().skip(1)) {
            if (a.y <= y) != (b.y <= y) {
                crossings.push(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
            }
        }
    }
    crossings.sort_by(f64::total_cmp);
    let widest = crossings.chunks_exact(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])));
    widest.map_or(bounds.center(), |span| Point::new(0.5 * (span[0] + span[1]), y))
}

/// The longer side of the smallest rectangle round an island, whichever way it lies, if it is under a limit.
fn longer_side(island: &Region, limit: f64) -> Option<f64> {
    let bounds = island.bounds();
    if bounds.width().max(bounds.height()) >= limit * std::f64::consts::SQRT_2 {
        return None;
    }
    let corners: Vec<Point> = island.contours().next()?.to_vec();
    let span = |axis: Vec2| {
        let along = corners.iter().map(|corner| corner.to_vec2().dot(axis));
        let (least, most) = along.fold((f64::MAX, f64::MIN), |(least, most), at| (least.min(at), most.max(at)));
        most - least
    };
    // one side of the smallest rectangle lies along an edge of the hull, and the hull's edges join corners of ours; the
    // contour's own edges and the drawing's axes find it for every convex outline
    let directions = corners.windows(2).map(|pair| pair[1] - pair[0]).chain([Vec2::new(1.0, 0.0)]);
    let sides = directions.filter(|along| along.hypot() > 0.0).map(|along| {
        let along = along.normalize();
        span(along).max(span(along.turn_90()))
    });
    sides.reduce(f64::min).filter(|side| *side < limit - SLACK)
}

#[cfg(test)]
mod tests;
