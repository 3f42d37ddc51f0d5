//! Booleans and offsets of closed polygons on a fixed grid.
//!
//! The only file that knows the boolean library. Polygons come and go as points in mm; inside they lie on a grid of
//! [`GRID`], the same everywhere on the artwork, so that a shape gives the same result wherever it stands.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::angle::Angle;
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::mesh::int::arc::ArcOptions;
use i_overlay::mesh::int::outline::offset::IntOutlineOffset;
use i_overlay::mesh::int::style::{IntLineJoin, IntOutlineStyle};
use kurbo::Point;

use super::Island;

/// Step of the grid in mm. With a coarser one offsets of a few hundredths of a millimetre lose digits; a finer one gains
/// nothing, because flattening is coarser. Coordinates of 100 m still fit.
const GRID: f64 = 1e-6;

/// How far a round join's chords may stray from the circle, in mm: half of what flattening may.
const ARC_TOLERANCE: f64 = 0.0005;

/// What is made of two sets of polygons.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Operation {
    Union,
    Intersection,
    Difference,
}

/// Combines polygons, each set filled by the non-zero rule.
pub(super) fn combine<'a>(
    subject: impl Iterator<Item = &'a [Point]>,
    clip: impl Iterator<Item = &'a [Point]>,
    operation: Operation,
) -> Vec<Island> {
    let (subject, clip) = (on_grid(subject), on_grid(clip));
    let rule = match operation {
        Operation::Union => OverlayRule::Union,
        Operation::Intersection => OverlayRule::Intersect,
        Operation::Difference => OverlayRule::Difference,
    };
    islands(Overlay::<i64>::from_subj_and_clip(&subject, &clip).overlay(rule, FillRule::NonZero))
}

/// Moves every edge outward by a distance, inward when it is negative; new corners are round.
///
/// Takes contours as [`combine`] gives them: outer ones positive, holes negative, none crossing another.
pub(super) fn offset<'a>(contours: impl Iterator<Item = &'a [Point]>, distance: f64) -> Vec<Island> {
    let contours = on_grid(contours);
    let radius = distance.abs().max(GRID);
    let step = 2.0 * (1.0 - (ARC_TOLERANCE / radius).min(1.0)).acos();
    let max_step = Angle::from_bits((step / std::f64::consts::TAU * 2f64.powi(32)) as u32);
    let join = IntLineJoin::Round(ArcOptions { max_step, ..ArcOptions::default() });
    let style = IntOutlineStyle::<i64>::new(whole(distance)).line_join(join);
    // by its documentation the library gives this error only for a check that is not asked for here
    contours.outline(&style).map(islands).unwrap_or_default()
}

/// A place's lattice point: equal for places that are the same to the library.
pub(super) fn lattice(point: Point) -> (i64, i64) {
    (whole(point.x), whole(point.y))
}

/// The lattice point itself, in mm.
pub(super) fn snapped(point: Point) -> Point {
    let (x, y) = lattice(point);
    Point::new(x as f64 * GRID, y as f64 * GRID)
}

fn whole(mm: f64) -> i64 {
    (mm / GRID).round() as i64
}

fn on_grid<'a>(contours: impl Iterator<Item = &'a [Point]>) -> Vec<Vec<IntPoint<i64>>> {
    let point = |point: &Point| IntPoint::new(whole(point.x), whole(point.y));
    contours.map(|contour| contour.iter().map(point).collect()).collect()
}

fn islands(shapes: Vec<Vec<Vec<IntPoint<i64>>>>) -> Vec<Island> {
    let mm = |point: IntPoint<i64>| Point::new(point.x as f64 * GRID, point.y as f64 * GRID);
    let contour = |contour: Vec<IntPoint<i64>>| contour.into_iter().map(mm).collect::<Vec<_>>();
    let island = |shape: Vec<Vec<IntPoint<i64>>>| {
        let mut contours = shape.into_iter().map(contour);
        contours.next().map(|outer| Island { outer, holes: contours.collect() })
    };
    shapes.into_iter().filter_map(island).collect()
}
