//! Where rim and hole of a marking disc lie on its drawing.

use kurbo::{Affine, BezPath, Circle, Point, Shape};

use crate::units::Length;

/// How far circles drawn as curves may stray, mm.
const STRAY: f64 = 1e-4;

/// The geometry of a disc on its drawing, for guides and cuts.
#[derive(Clone, Copy, Debug)]
pub struct Round {
    rim: f64,
    hole: f64,
    /// From the disc, its centre at the origin and infinity at the top, to the drawing.
    placed: Affine,
}

impl Round {
    /// A disc whose centre is the drawing's origin; zero for no hole.
    pub fn new(diameter: Length, hole: Length) -> Self {
        Round { rim: 0.5 * diameter.to_mm(), hole: 0.5 * hole.to_mm(), placed: Affine::IDENTITY }
    }

    /// Moves the geometry with its drawing.
    pub fn apply_affine(&mut self, affine: Affine) {
        self.placed = affine * self.placed;
    }

    /// Radius of the rim, mm.
    pub fn rim(&self) -> f64 {
        self.rim
    }

    /// Radius of the hole, mm; zero for none.
    pub fn hole(&self) -> f64 {
        self.hole
    }

    /// The place at a distance from the centre along the drawing's axes, toward y < 0 for infinity.
    pub fn place(&self, x: f64, y: f64) -> Point {
        self.placed * Point::new(x, y)
    }

    /// A circle round the centre, clockwise on a drawing that is not mirrored.
    pub fn circle(&self, radius: f64) -> BezPath {
        self.placed * Circle::new(Point::ZERO, radius).to_path(STRAY)
    }

    /// The disc without its hole, its rim moved out by `beyond` mm.
    pub fn face(&self, beyond: f64) -> BezPath {
        let mut path = self.circle(self.rim + beyond);
        if self.hole > 0.0 {
            path.extend(self.circle(self.hole).reverse_subpaths());
        }
        path
    }
}
