//! Pieces of a sheet: a whole item or a part of one, with its name, placed as one.

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape};

use super::Item;
use super::words::{TEXT, Words};
use crate::artwork::{Flat, Group, Ink, Layer, LayerKind};

/// Clear height between a name and what it names.
const NAME_GAP: f64 = 1.0;

/// An item or a part of one.
#[derive(Clone, Debug)]
pub(super) struct SheetPiece {
    pub(super) item: usize,
    pub(super) part: Option<(usize, usize)>,
    /// What is drawn, in the item's own axes.
    pub(super) layers: Vec<Layer>,
    /// The item's own axes → the piece's, in which its middle lies level.
    pub(super) upright: Affine,
    /// Its box in its own axes, name included.
    pub(super) bounds: Rect,
    /// Corners of its convex hull, in its own axes, where it is to lie on the diagonal.
    pub(super) hull: Vec<Point>,
}

impl SheetPiece {
    /// A whole item; with its name at the middle where it is to lie on the diagonal, whose ends are narrow.
    pub(super) fn whole(at: usize, item: &Item, diagonal: bool, words: &Words) -> SheetPiece {
        let drawing = &item.strip.drawing;
        let side = item.strip.flat.as_ref().map_or(Side::Left, |flat| Side::of(flat, flat.ends()));
        let side = if diagonal && side == Side::Left { Side::Above } else { side };
        let layers = drawing.layers.clone();
        let piece =
            SheetPiece::named(at, None, layers, Affine::IDENTITY, Some(drawing.bounds()), &item.name, side, words);
        if diagonal { SheetPiece { hull: piece.ink_hull(), ..piece } } else { piece }
    }

    /// Writes the name beside the artwork, which is at least as large as `frame`.
    #[allow(clippy::too_many_arguments)] // one for each thing that differs between a whole and a part
    pub(super) fn named(
        item: usize,
        part: Option<(usize, usize)>,
        mut layers: Vec<Layer>,
        upright: Affine,
        frame: Option<Rect>,
        name: &str,
        side: Side,
        words: &Words,
    ) -> SheetPiece {
        let drawn = ink_bounds(&layers, upright).into_iter().chain(frame);
        let mut bounds = drawn.reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        let text = words.set(name, TEXT);
        let middle = 0.5 * (bounds.x0 + bounds.x1);
        let outline = match side {
            Side::Left => text.at(bounds.x0, bounds.y0 - NAME_GAP - text.descent.max(0.0), 0.0),
            Side::Above => text.at(middle, bounds.y0 - NAME_GAP - text.descent.max(0.0), 0.5),
            Side::Below => text.at(middle, bounds.y1 + NAME_GAP + text.ascent, 0.5),
        };
        if !outline.is_empty() {
            bounds = bounds.union(outline.bounding_box());
            let group = Group::new(None, upright.inverse() * outline);
            super::add(&mut layers, &Layer::new(LayerKind::Guide, vec![]), std::iter::once(group));
        }
        SheetPiece { item, part, layers, upright, bounds, hull: vec![] }
    }

    /// What it takes of a sheet: its box, on the diagonal its hull.
    pub(super) fn area(&self) -> f64 {
        if self.hull.is_empty() {
            return self.bounds.area();
        }
        let next = self.hull.iter().cycle().skip(1);
        let doubled: f64 = self.hull.iter().zip(next).map(|(a, b)| a.to_vec2().cross(b.to_vec2())).sum();
        0.5 * doubled.abs()
    }

    /// Corners of the convex hull of all ink, lines with their width.
    fn ink_hull(&self) -> Vec<Point> {
        let mut corners = Vec::new();
        for layer in &self.layers {
            let line = half_line(layer.ink);
            for point in layer.groups.iter().flat_map(|group| points(&group.path)) {
                let point = self.upright * point;
                if line > 0.0 {
                    corners.extend(rect_corners(Rect::from_points(point, point).inset(line)));
                } else {
                    corners.push(point);
                }
            }
        }
        hull(corners)
    }
}

/// Where a name stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Above the left end.
    Left,
    /// Above the middle.
    Above,
    /// Below the middle.
    Below,
}

impl Side {
    /// Above the left end of a straight strip; at the outer side of a bend's middle.
    pub(super) fn of(flat: &Flat, ends: (f64, f64)) -> Side {
        let middle = flat.frame(0.5 * (ends.0 + ends.1), 0.0);
        let end = middle.inverse() * flat.place(ends.0, 0.0);
        match end.y {
            y if y > 0.5 => Side::Above,
            y if y < -0.5 => Side::Below,
            _ => Side::Left,
        }
    }
}

fn rect_corners(rect: Rect) -> [Point; 4] {
    [(rect.x0, rect.y0), (rect.x1, rect.y0), (rect.x1, rect.y1), (rect.x0, rect.y1)].map(Point::from)
}

fn half_line(ink: Ink) -> f64 {
    match ink {
        Ink::Line(width) => 0.5 * width.to_mm(),
        _ => 0.0,
    }
}

/// The box of all ink, lines with their width.
fn ink_bounds(layers: &[Layer], upright: Affine) -> Option<Rect> {
    let groups = layers.iter().flat_map(|layer| layer.groups.iter().map(move |group| (layer, group)));
    let drawn = groups.filter(|(_, group)| !group.path.is_empty());
    let bounds = drawn.map(|(layer, group)| (upright * &group.path).bounding_box().inset(half_line(layer.ink)));
    bounds.reduce(|a, b| a.union(b))
}

/// Corners and control points: their hull holds the path.
pub(super) fn points(path: &BezPath) -> impl Iterator<Item = Point> + '_ {
    path.elements().iter().flat_map(|element| {
        let all = match *element {
            PathEl::MoveTo(a) | PathEl::LineTo(a) => [Some(a), None, None],
            PathEl::QuadTo(a, b) => [Some(a), Some(b), None],
            PathEl::CurveTo(a, b, c) => [Some(a), Some(b), Some(c)],
            PathEl::ClosePath => [None; 3],
        };
        all.into_iter().flatten()
    })
}

/// The convex hull, by the monotone chain (A. M. Andrew, "Another efficient algorithm for convex hulls in two
/// dimensions", Information Processing Letters 9, 1979).
pub(super) fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..] {
                if (b - a).cross(point - a) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut lower = chain(&mut points.iter().copied());
    lower.extend(chain(&mut points.iter().rev().copied()));
    lower
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hull_keeps_the_corners_and_nothing_within() {
        let mut points: Vec<Point> =
            (0..=4).flat_map(|x| (0..=3).map(move |y| Point::new(x.into(), y.into()))).collect();
        points.reverse();
        let corners: Vec<Point> =
            [(0, 0), (4, 0), (4, 3), (0, 3)].map(|(x, y)| Point::new(x.into(), y.into())).to_vec();
        assert_eq!(hull(points), corners);
    }
}
