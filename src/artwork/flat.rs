//! Where turns and heights of a ring lie on its strip's drawing, and back.

use kurbo::{Affine, BezPath, Point};

use crate::surface::{Edge, Surface};

/// The geometry of a strip on its drawing, for guides, cuts and views.
///
/// Turns are degrees of the ring from the strip's middle, to the right on the drawing; heights are mm below the front
/// edge.
#[derive(Clone, Debug)]
pub struct Flat {
    pub(super) surface: Surface,
    /// From the flat pattern to the drawing.
    pub(super) placed: Affine,
    pub(super) half_turn: f64,
    pub(super) closed: bool,
    pub(super) zeros: Vec<f64>,
    pub(super) index: Edge,
}

impl Flat {
    /// The frame at a turn and a height: its origin is the place, its x runs along the strip, its y toward the rear.
    pub fn frame(&self, turn_deg: f64, height: f64) -> Affine {
        self.placed * self.surface.frame(turn_deg, height)
    }

    /// Moves the geometry with its drawing.
    pub fn apply_affine(&mut self, affine: Affine) {
        self.placed = affine * self.placed;
    }

    /// The place at a turn and a height.
    pub fn place(&self, turn_deg: f64, height: f64) -> Point {
        self.frame(turn_deg, height) * Point::ZERO
    }

    /// The turn and the height at a place.
    pub fn turn_and_height(&self, place: Point) -> (f64, f64) {
        self.surface.turn_and_height(self.placed.inverse() * place)
    }

    /// Turns at which the strip's two ends lie, left and right.
    pub fn ends(&self) -> (f64, f64) {
        (-self.half_turn, self.half_turn)
    }

    /// Whether the strip goes once round the ring, so that its ends meet.
    pub fn closed(&self) -> bool {
        self.closed
    }

    /// Turns of the infinity marks (of the widest stop), one for every copy of the scale.
    pub fn zeros(&self) -> &[f64] {
        &self.zeros
    }

    /// The edge at which the index stands.
    pub fn index(&self) -> Edge {
        self.index
    }

    /// Width of the face in mm.
    pub fn width(&self) -> f64 {
        self.surface.width().to_mm()
    }

    /// Millimetres along the strip to a degree of the ring, at an edge.
    pub fn mm_per_degree(&self, edge: Edge) -> f64 {
        self.surface.mm_per_degree(edge)
    }

    /// Whether the strip is straight: the ring is a cylinder.
    pub fn straight(&self) -> bool {
        self.surface.straight()
    }

    /// One closed contour from turn to turn and from height to height, clockwise on a drawing that
    /// is not mirrored.
    pub fn patch(&self, turns: (f64, f64), heights: (f64, f64)) -> BezPath {
        // an even number puts a corner in the middle, where a bent edge reaches farthest: the drawing's height is exact
        let steps = match ((turns.1 - turns.0) / self.surface.chord_deg()).ceil() as usize {
            0 | 1 => 1,
            steps => steps.next_multiple_of(2),
        };
        let at = |k: usize, height: f64| {
            let turn = turns.0 + (turns.1 - turns.0) * k as f64 / steps as f64;
            self.place(turn, height)
        };
        let mut path = BezPath::new();
        path.move_to(at(0, heights.0));
        (1..=steps).for_each(|k| path.line_to(at(k, heights.0)));
        (0..=steps).rev().for_each(|k| path.line_to(at(k, heights.1)));
        path.close_path();
        path
    }

    /// The strip's own edge as one closed contour.
    pub fn edge(&self) -> BezPath {
        self.patch(self.ends(), (0.0, self.width()))
    }
}
