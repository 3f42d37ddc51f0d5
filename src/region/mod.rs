//! Filled areas in mm: polygons with holes that can be united, cut, grown and shrunk, and measured.
//!
//! Takes closed Bézier outlines, filled by the non-zero rule, so that overlapping contours of a glyph unite; curves
//! become polygons within a stated tolerance, with corners on the curve. Gives islands, each an outer contour with its
//! holes: outer ones run in the positive sense (clockwise to the eye, y down), holes in the other, and no two cross.
//! [`united`] gives back the curves of everything that nothing overlaps.
//!
//! Sources: opening and closing by a disc as in J. Serra, Image Analysis and Mathematical Morphology, 1982 (from
//! memory); the area of a polygon by the shoelace formula.
//!
//! ```
//! use ringwright::kurbo::{Rect, Shape};
//! use ringwright::region::Region;
//!
//! let tick = Region::new(&Rect::new(0.0, 0.0, 0.2, 2.3).to_path(0.001));
//! assert!((tick.area() - 0.46).abs() < 1e-5);
//! ```

mod boolean;
mod bridge;
mod distance;
#[cfg(test)]
mod tests;
mod united;

use boolean::Operation;
pub use bridge::{Unbridged, bridged};
pub use distance::Nearest;
pub(crate) use distance::nearest_edges;
pub use united::united;

use kurbo::{BezPath, PathEl, Point, Rect};

use crate::units::Length;

/// How far flattened curves may stray, in mm: a hundredth of what a printer or a cutter resolves. With a coarser tolerance
/// reports of strokes at their limit would be wrong in the second decimal; a finer one takes time in every check.
const FLATTENING: f64 = 0.001;

/// Coordinates are clamped to this, in mm: no drawing is 10 m long, and a damaged one must not take unlimited time.
const REACH: f64 = 1e4;

/// The farthest that edges are moved, in mm: no tool is as large, and larger arcs take more time.
const FARTHEST_OFFSET: f64 = 100.0;

/// One connected piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Island {
    /// The contour round it.
    pub outer: Vec<Point>,
    /// Contours of the holes in it.
    pub holes: Vec<Vec<Point>>,
}

impl Island {
    /// The outer contour and then the holes.
    pub fn contours(&self) -> impl Iterator<Item = &[Point]> {
        std::iter::once(&self.outer).chain(&self.holes).map(Vec::as_slice)
    }

    /// Filled area in mm².
    pub fn area(&self) -> f64 {
        self.contours().map(signed_area).sum()
    }

    /// The box round it.
    pub fn bounds(&self) -> Rect {
        bounds(&self.outer)
    }
}

/// A filled area: islands that do not overlap.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Region {
    islands: Vec<Island>,
}

impl From<Vec<Island>> for Region {
    /// The area of islands that do not overlap each other.
    fn from(islands: Vec<Island>) -> Self {
        Region { islands }
    }
}

impl Region {
    /// What an outline fills, its curves flattened to a micrometre.
    pub fn new(path: &BezPath) -> Self {
        Self::flattened(path, Length::mm(FLATTENING))
    }

    /// What an outline fills, its curves flattened to `tolerance`. Open contours are closed; those with a place that
    /// is no number are left out.
    pub fn flattened(path: &BezPath, tolerance: Length) -> Self {
        let contours = polygons(path, tolerance.to_mm());
        let contours = contours.iter().map(Vec::as_slice);
        boolean::combine(contours, std::iter::empty(), Operation::Union).into()
    }

    /// What any of the regions fills.
    pub fn union_of<'a>(regions: impl IntoIterator<Item = &'a Region>) -> Self {
        let contours = regions.into_iter().flat_map(Region::contours);
        boolean::combine(contours, std::iter::empty(), Operation::Union).into()
    }

    /// A rectangle.
    pub fn rectangle(rect: Rect) -> Self {
        let Rect { x0, y0, x1, y1 } = rect.abs();
        if x0 == x1 || y0 == y1 {
            return Region::default();
        }
        let outer = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|corner| boolean::snapped(corner.into())).to_vec();
        vec![Island { outer, holes: Vec::new() }].into()
    }

    /// What one contour goes round.
    pub fn from_contour(contour: &[Point]) -> Self {
        boolean::combine(std::iter::once(contour), std::iter::empty(), Operation::Union).into()
    }

    /// Every island without its holes.
    pub fn filled(&self) -> Self {
        let outers = self.islands.iter().map(|island| island.outer.as_slice());
        boolean::combine(outers, std::iter::empty(), Operation::Union).into()
    }

    fn combined(&self, other: &Region, operation: Operation) -> Self {
        boolean::combine(self.contours(), other.contours(), operation).into()
    }

    /// What either fills.
    pub fn union(&self, other: &Region) -> Self {
        self.combined(other, Operation::Union)
    }

    /// What both fill.
    pub fn intersection(&self, other: &Region) -> Self {
        if self.is_empty() || other.is_empty() || !overlap(self.bounds(), other.bounds()) {
            return Region::default();
        }
        self.combined(other, Operation::Intersection)
    }

    /// What this fills and the other does not.
    pub fn difference(&self, other: &Region) -> Self {
        self.combined(other, Operation::Difference)
    }

    /// Every edge moved outward by a distance, or inward when it is negative, by 100 mm at most; new corners are round.
    pub fn offset(&self, distance: Length) -> Self {
        if distance == Length::ZERO || self.is_empty() {
            return self.clone();
        }
        boolean::offset(self.contours(), distance.to_mm().clamp(-FARTHEST_OFFSET, FARTHEST_OFFSET)).into()
    }

    /// What a disc of a radius can reach while it stays inside: shrunk, then grown.
    ///
    /// ```text
    /// a square of side a >= 2r keeps a² - (4 - π) r²; a disc of radius R < r vanishes
    /// ```
    pub fn opened(&self, radius: Length) -> Self {
        self.offset(-radius).offset(radius)
    }

    /// What a disc of a radius cannot reach from outside: grown, then shrunk.
    pub fn closed(&self, radius: Length) -> Self {
        self.offset(radius).offset(-radius)
    }

    /// Filled area in mm².
    pub fn area(&self) -> f64 {
        self.islands.iter().map(Island::area).sum()
    }

    /// The connected pieces.
    pub fn islands(&self) -> &[Island] {
        &self.islands
    }

    /// Every piece as a region of its own.
    pub fn pieces(&self) -> impl Iterator<Item = Region> {
        self.islands.iter().map(|island| vec![island.clone()].into())
    }

    /// How many holes there are.
    pub fn hole_count(&self) -> usize {
        self.islands.iter().map(|island| island.holes.len()).sum()
    }

    /// Whether nothing is filled.
    pub fn is_empty(&self) -> bool {
        self.islands.is_empty()
    }

    /// All contours, each outer one before its holes.
    pub fn contours(&self) -> impl Iterator<Item = &[Point]> {
        self.islands.iter().flat_map(Island::contours)
    }

    /// The box round all; [`Rect::ZERO`] for nothing.
    pub fn bounds(&self) -> Rect {
        self.islands.iter().map(Island::bounds).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
    }

    /// Whether a place is filled; on an edge it may be either.
    pub fn contains(&self, place: Point) -> bool {
        self.islands.iter().any(|island| {
            winds_round(&island.outer, place) && !island.holes.iter().any(|hole| winds_round(hole, place))
        })
    }

    /// The same area as closed polylines, right under the non-zero rule.
    pub fn to_path(&self) -> BezPath {
        let mut path = BezPath::new();
        self.contours().for_each(|contour| polyline(contour, &mut path));
        path
    }
}

/// The polygons of a path's contours, without those of fewer than three corners.
fn polygons(path: &BezPath, tolerance: f64) -> Vec<Vec<Point>> {
    path.subpaths().filter_map(|contour| polygon(contour, tolerance)).collect()
}

/// One contour's polygon.
fn polygon(contour: &[PathEl], tolerance: f64) -> Option<Vec<Point>> {
    let tame = |point: Point| Point::new(point.x.clamp(-REACH, REACH), point.y.clamp(-REACH, REACH));
    let tamed = contour.iter().map(|element| match *element {
        PathEl::MoveTo(a) => PathEl::MoveTo(tame(a)),
        PathEl::LineTo(a) => PathEl::LineTo(tame(a)),
        PathEl::QuadTo(a, b) => PathEl::QuadTo(tame(a), tame(b)),
        PathEl::CurveTo(a, b, c) => PathEl::CurveTo(tame(a), tame(b), tame(c)),
        PathEl::ClosePath => PathEl::ClosePath,
    });
    let mut corners = Vec::new();
    kurbo::flatten(tamed, tolerance.max(1e-5), |element| match element {
        PathEl::MoveTo(point) | PathEl::LineTo(point) => corners.push(point),
        _ => (),
    });
    (corners.len() > 2 && corners.iter().all(|corner| corner.is_finite())).then_some(corners)
}

fn polyline(contour: &[Point], path: &mut BezPath) {
    if let [first, rest @ ..] = contour {
        path.move_to(*first);
        rest.iter().for_each(|point| path.line_to(*point));
        path.close_path();
    }
}

/// Shoelace formula: positive for a contour that runs from x toward y.
fn signed_area(contour: &[Point]) -> f64 {
    let Some(origin) = contour.first() else { return 0.0 };
    let cross = |pair: &[Point]| (pair[0] - *origin).cross(pair[1] - *origin);
    contour.windows(2).map(cross).sum::<f64>() / 2.0
}

fn bounds(contour: &[Point]) -> Rect {
    let Some(first) = contour.first() else { return Rect::ZERO };
    contour.iter().fold(Rect::from_points(*first, *first), |bounds, point| bounds.union_pt(*point))
}

fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

/// The edges of a contour, the closing one included.
pub(crate) fn edges(contour: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    let ends = contour.iter().skip(1).chain(contour.first());
    contour.iter().copied().zip(ends.copied())
}

/// Whether a contour that does not cross itself goes round a place: a ray to the right meets it an odd number of times.
fn winds_round(contour: &[Point], place: Point) -> bool {
    let crossed = |(a, b): &(Point, Point)| {
        (a.y <= place.y) != (b.y <= place.y) && place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x)
    };
    edges(contour).filter(crossed).count() % 2 == 1
}
