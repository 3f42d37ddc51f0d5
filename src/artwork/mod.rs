//! Finished strips as plain data: named layers of closed paths in millimetres, nothing left to decide.
//!
//! Axes: x to the right is clockwise as seen from behind the camera, y runs down from the lens's front edge at the
//! top of the strip, as in SVG. Every path is filled; nothing is stroked. No file format is known here.

mod strip;

pub use strip::{
    Extent, Face, IndexPlate, LayoutError, Look, SMALLEST_NUMERAL_MM, covered, filling_numeral_height, index_plates,
    strip,
};

use kurbo::BezPath;

pub use crate::scale::MarkValue;

use crate::units::{Angle, Length};

/// What a layer of the artwork is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LayerKind {
    /// Lines of the scale.
    Ticks,
    /// Numerals and unit signs.
    Numerals,
    /// The fixed line against which marks are read.
    Index,
    /// The strip's own edge.
    Outline,
    /// Help for placing the strip; not part of the scale.
    Guide,
    /// Where a knife goes.
    Cut,
}

/// What a tick or a numeral belongs to, for those who read the drawing back.
#[derive(Clone, Debug, PartialEq)]
pub struct MarkTag {
    /// The band: `m`, `ft`, `f` or `T`.
    pub unit: String,
    /// The value at the tick.
    pub value: MarkValue,
    /// The ring angle with the readings' zero and sense.
    pub angle: Angle,
    /// What is engraved, empty for a plain mark.
    pub label: String,
}

/// Shapes that belong together, black where filled (non-zero winding).
#[derive(Clone, Debug)]
pub struct Group {
    /// The mark it draws, if it draws one.
    pub tag: Option<MarkTag>,
    /// One closed outline, possibly of several contours, in millimetres.
    pub path: BezPath,
}

/// All groups of one kind.
#[derive(Clone, Debug)]
pub struct Layer {
    /// What the layer is for.
    pub kind: LayerKind,
    /// In drawing order.
    pub groups: Vec<Group>,
}

/// Flat artwork of a stated true size.
#[derive(Clone, Debug)]
pub struct Strip {
    /// For people: which lens and ring it is for.
    pub title: String,
    /// Width of the drawing.
    pub width: Length,
    /// Height of the drawing.
    pub height: Length,
    /// The layers, from the bottom up.
    pub layers: Vec<Layer>,
}
