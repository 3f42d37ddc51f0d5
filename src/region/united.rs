//! Outlines united: nothing is cut or filled twice, and curves stay curves where nothing overlaps.

use std::collections::HashMap;

use kurbo::{BezPath, PathEl, Point, Shape};

use super::boolean::{lattice, snapped};
use super::{FLATTENING, Island, Region, polygon, polyline, signed_area};

/// Places where the boolean library counts.
type Lattice = (i64, i64);

/// A contour of the input, and the corners of its polygon.
struct Original<'a> {
    contour: &'a [PathEl],
    area: f64,
    round: f64,
    corners: Vec<Lattice>,
}

/// The outlines' common area, one path an island: its outer contour, positive, and then its holes, negative. Islands
/// go from left to right.
///
/// Each outline is filled by the non-zero rule, whichever way it runs. A contour that neither crosses nor touches
/// another, nor itself, keeps its curves; the rest become polygons within a micrometre. Contours that
/// are hidden in ink or have no area are dropped.
pub fn united(paths: &[BezPath]) -> Vec<BezPath> {
    let regions: Vec<Region> = paths.iter().map(Region::new).collect();
    Region::union_of(&regions).with_curves(paths)
}

impl Region {
    /// The islands from left to right, one path each as of [`united`]. A contour that one of the outlines has too, and
    /// of which nothing was cut and nothing added, keeps that outline's curves.
    pub fn with_curves(&self, outlines: &[BezPath]) -> Vec<BezPath> {
        let mut originals: HashMap<Lattice, Vec<Original>> = HashMap::new();
        for contour in outlines.iter().flat_map(BezPath::subpaths) {
            let Some(polygon) = polygon(contour, FLATTENING) else { continue };
            let mut corners: Vec<Lattice> = polygon.iter().map(|corner| lattice(*corner)).collect();
            corners.sort_unstable();
            let polygon: Vec<Point> = polygon.into_iter().map(snapped).collect();
            let (area, round) = (signed_area(&polygon), length_round(&polygon));
            originals.entry(corners[0]).or_default().push(Original { contour, area, round, corners });
        }
        let mut islands: Vec<&Island> = self.islands.iter().collect();
        islands.sort_by(|a, b| {
            let (a, b) = (a.bounds(), b.bounds());
            a.x0.total_cmp(&b.x0).then(a.y0.total_cmp(&b.y0))
        });
        islands.into_iter().map(|island| curved(island, &originals)).collect()
    }
}

/// An island's contours, each with the curves of the input where it was not changed.
fn curved(island: &Island, originals: &HashMap<Lattice, Vec<Original>>) -> BezPath {
    let mut path = BezPath::new();
    for contour in island.contours() {
        let area = signed_area(contour);
        match original(contour, area, originals) {
            Some(found) => path.extend(running(found.contour, area > 0.0)),
            None => polyline(contour, &mut path),
        }
    }
    path
}

/// The contour whose polygon this is: the same area and length, and no corner that is not its own.
fn original<'a>(
    contour: &[Point],
    area: f64,
    originals: &'a HashMap<Lattice, Vec<Original<'a>>>,
) -> Option<&'a Original<'a>> {
    let least = contour.iter().map(|corner| lattice(*corner)).min()?;
    originals.get(&least)?.iter().find(|original| {
        let own = |corner: &Point| original.corners.binary_search(&lattice(*corner)).is_ok();
        // collinear corners are left out of results; that and rounding change the area by far less than a grid cell
        let slack = 1e-9 * (1.0 + area.abs());
        // a contour that crosses itself may by chance have the same area, but not the same length as well
        (original.area.abs() - area.abs()).abs() <= slack
            && (original.round - length_round(contour)).abs() <= 1e-9 * (1.0 + original.round)
            && contour.iter().all(own)
    })
}

/// Length of a closed polygon.
fn length_round(polygon: &[Point]) -> f64 {
    polygon.iter().zip(polygon.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum()
}

/// The contour, closed, in the wanted sense.
fn running(contour: &[PathEl], positive: bool) -> BezPath {
    let mut path: BezPath = contour.iter().copied().collect();
    if !matches!(contour.last(), Some(PathEl::ClosePath)) {
        path.close_path();
    }
    if (path.area() > 0.0) == positive { path } else { path.reverse_subpaths() }
}
