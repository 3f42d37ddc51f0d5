//! The shortest distance between two regions, and where it is: exact on their polygons.

use kurbo::{Point, Rect};

use super::{Region, bounds, edges};
use crate::units::Length;

/// The shortest way from one region to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// How long it is; zero where they touch or overlap.
    pub distance: Length,
    /// Where it leaves the first.
    pub from: Point,
    /// Where it meets the second.
    pub to: Point,
}

impl Nearest {
    /// The middle of the way.
    pub fn middle(&self) -> Point {
        self.from.midpoint(self.to)
    }
}

/// From where to where.
pub(crate) type Edge = (Point, Point);

impl Region {
    /// The shortest way to another region; `None` when either is empty.
    pub fn nearest(&self, other: &Region) -> Option<Nearest> {
        let (mine, others) = (self.contours().next()?.first()?, other.contours().next()?.first()?);
        let mut best = (mine.distance_squared(*others), *mine, *others);
        // the edges of a region inside the other may be far from the edges of that one
        for place in self.islands.iter().filter_map(|island| island.outer.first()) {
            if other.contains(*place) {
                return Some(touch(*place));
            }
        }
        for place in other.islands.iter().filter_map(|island| island.outer.first()) {
            if self.contains(*place) {
                return Some(touch(*place));
            }
        }
        for mine in self.contours() {
            for others in other.contours() {
                if apart_squared(bounds(mine), bounds(others)) <= best.0 {
                    between(edges(mine), edges(others), &mut best);
                }
                if best.0 == 0.0 {
                    return Some(touch(best.1));
                }
            }
        }
        let (squared, from, to) = best;
        Some(Nearest { distance: Length::mm(squared.sqrt()), from, to })
    }

    /// How far a place is from the region, zero inside; `None` when the region is empty.
    pub fn distance_to(&self, place: Point) -> Option<Length> {
        if self.contains(place) { Some(Length::ZERO) } else { self.distance_to_edge(place) }
    }

    /// How far a place is from the region's edge, on either side; `None` when the region is empty.
    pub fn distance_to_edge(&self, place: Point) -> Option<Length> {
        let squares = self.contours().flat_map(edges).map(|edge| place.distance_squared(foot(place, edge)));
        squares.reduce(f64::min).map(|squared| Length::mm(squared.sqrt()))
    }
}

impl Region {
    /// Whether the region's edge comes as near to a place as `reach` mm.
    pub(crate) fn has_edge_within(&self, place: Point, reach: f64) -> bool {
        let near = |(a, b): (Point, Point)| {
            let out_x = (a.x.min(b.x) - place.x).max(place.x - a.x.max(b.x));
            let out_y = (a.y.min(b.y) - place.y).max(place.y - a.y.max(b.y));
            out_x <= reach && out_y <= reach && place.distance(foot(place, (a, b))) <= reach
        };
        self.contours().flat_map(edges).any(near)
    }
}

/// The shortest way from one run of edges to another; `None` when either is empty.
pub(crate) fn nearest_edges(mine: &[Edge], others: &[Edge]) -> Option<Nearest> {
    let (from, to) = (mine.first()?.0, others.first()?.0);
    let mut best = (from.distance_squared(to), from, to);
    between(mine.iter().copied(), others.iter().copied(), &mut best);
    let (squared, from, to) = best;
    Some(Nearest { distance: Length::mm(squared.sqrt()), from, to })
}

fn touch(place: Point) -> Nearest {
    Nearest { distance: Length::ZERO, from: place, to: place }
}

/// Squared distance of two boxes.
fn apart_squared(a: Rect, b: Rect) -> f64 {
    let x = (b.x0 - a.x1).max(a.x0 - b.x1).max(0.0);
    let y = (b.y0 - a.y1).max(a.y0 - b.y1).max(0.0);
    x * x + y * y
}

fn edge_box((a, b): Edge) -> Rect {
    Rect::from_points(a, b)
}

fn between(mine: impl Iterator<Item = Edge>, others: impl Iterator<Item = Edge>, best: &mut (f64, Point, Point)) {
    let others: Vec<(Rect, Edge)> = others.map(|edge| (edge_box(edge), edge)).collect();
    let Some(all) = others.iter().map(|(box_, _)| *box_).reduce(|a, b| a.union(b)) else { return };
    for edge in mine {
        let around = edge_box(edge);
        if apart_squared(around, all) > best.0 {
            continue;
        }
        for (box_, other) in &others {
            if apart_squared(around, *box_) < best.0 {
                let found = between_edges(edge, *other);
                if found.0 < best.0 {
                    *best = found;
                }
            }
        }
    }
}

/// Squared length and ends of the shortest way between two edges.
fn between_edges(a: Edge, b: Edge) -> (f64, Point, Point) {
    if let Some(place) = crossing(a, b) {
        return (0.0, place, place);
    }
    let from_a = |end: Point| {
        let foot = foot(end, b);
        (end.distance_squared(foot), end, foot)
    };
    let from_b = |end: Point| {
        let foot = foot(end, a);
        (end.distance_squared(foot), foot, end)
    };
    let ways = [from_a(a.0), from_a(a.1), from_b(b.0), from_b(b.1)];
    ways.into_iter().fold(ways[0], |best, way| if way.0 < best.0 { way } else { best })
}

/// The point of an edge nearest to a place.
fn foot(place: Point, (a, b): Edge) -> Point {
    let along = b - a;
    let length = along.hypot2();
    if length == 0.0 {
        return a;
    }
    a + along * ((place - a).dot(along) / length).clamp(0.0, 1.0)
}

/// Where two edges cross, each truly from one side of the other to its other side.
fn crossing(a: Edge, b: Edge) -> Option<Point> {
    let (along_a, along_b) = (a.1 - a.0, b.1 - b.0);
    let side = |edge: Edge, place: Point| (edge.1 - edge.0).cross(place - edge.0);
    let (a0, a1) = (side(b, a.0), side(b, a.1));
    let (b0, b1) = (side(a, b.0), side(a, b.1));
    if a0 * a1 >= 0.0 || b0 * b1 >= 0.0 {
        return None;
    }
    let at = along_b.cross(b.0 - a.0) / along_b.cross(along_a);
    Some(a.0 + along_a * at)
}
