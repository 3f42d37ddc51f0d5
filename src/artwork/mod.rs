//! Finished drawings as plain data: named layers of paths in millimetres, nothing left to decide.
//!
//! Axes: x to the right is clockwise as seen from behind the camera, y runs down from the lens's front edge at the
//! top of the strip, as in SVG. A layer's paths are filled or, for a tool that follows lines, stroked; its [`Ink`] says
//! which. No file format is known here.
//!
//! ```
//! use ringwright::artwork::{Group, Layer, LayerKind};
//! use ringwright::kurbo::{Affine, Rect, Shape};
//!
//! // one tick, moved to its place on the strip
//! let mut tick = Group::new(None, Rect::new(-0.1, 0.0, 0.1, 2.3).to_path(1e-3));
//! tick.apply_affine(Affine::translate((76.345, 0.0)));
//! let layer = Layer::new(LayerKind::Ticks, vec![tick]);
//! assert!((layer.groups[0].path.bounding_box().center().x - 76.345).abs() < 1e-9);
//! ```

mod disc;
mod flat;
mod index;
mod riding;
mod round;
mod strip;
mod wrapped;

pub use disc::{DiscFace, disc};
pub use flat::Flat;
pub use index::{DepthMark, IndexPlate, index_plates};
pub use riding::riding_index;
pub use round::Round;
pub use strip::{
    Extent, LayoutError, Look, NUMBERED_TICK, SMALLEST_NUMERAL_MM, ScaleFace, covered, filling_numeral_height,
    filling_width, medium_tick, sides, strip,
};
pub use wrapped::{Wrapped, wrapped, wrapped_plate};

use kurbo::{Affine, BezPath, Rect};

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
    /// Guides for placing the strip; not part of the scale.
    Guide,
    /// Where a knife goes.
    Cut,
}

/// The mark of a tick or a numeral, for reading the drawing back.
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

/// How the paths of a layer are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ink {
    /// Filled black, by the non-zero rule.
    Black,
    /// Filled with the bare ground: clear film, paper. Takes away what lies below.
    Clear,
    /// Filled red: a place to look at, never part of what is made.
    Red,
    /// A black line of this width along the paths, with round ends and corners, as a tool leaves it.
    Line(Length),
}

/// Shapes that belong together.
#[derive(Clone, Debug)]
pub struct Group {
    /// The mark it draws, if it draws one.
    pub tag: Option<MarkTag>,
    /// Where its own upright axes lie on the drawing: x along the text, y down from the base. A numeral's text, taken
    /// back through it, stands upright with its baseline at y = 0.
    pub frame: Affine,
    /// One outline, possibly of several contours, in millimetres; closed unless the layer draws lines.
    pub path: BezPath,
}

impl Group {
    /// A group whose axes are the drawing's.
    pub fn new(tag: Option<MarkTag>, path: BezPath) -> Self {
        Group { tag, frame: Affine::IDENTITY, path }
    }

    /// Moves the group, axes and all.
    pub fn apply_affine(&mut self, affine: Affine) {
        self.path.apply_affine(affine);
        self.frame = affine * self.frame;
    }
}

/// All groups of one kind.
#[derive(Clone, Debug)]
pub struct Layer {
    /// What the layer is for.
    pub kind: LayerKind,
    /// How its paths are drawn.
    pub ink: Ink,
    /// In drawing order.
    pub groups: Vec<Group>,
}

impl Layer {
    /// A layer of filled black shapes.
    pub fn new(kind: LayerKind, groups: Vec<Group>) -> Self {
        Layer { kind, ink: Ink::Black, groups }
    }

    /// The same layer in another ink.
    pub fn with_ink(self, ink: Ink) -> Self {
        Layer { ink, ..self }
    }
}

/// One piece to be made: a ring's strip, a disc, a row of index plates.
#[derive(Clone, Debug)]
pub struct Strip {
    /// What is drawn.
    pub drawing: Drawing,
    /// Where turns and heights of the ring lie on the drawing; `None` for what does not go round a ring.
    pub flat: Option<Flat>,
    /// Where rim and hole lie on the drawing; `None` for what is no disc.
    pub round: Option<Round>,
}

impl Strip {
    /// Moves what is drawn, and its geometry with it; the size stays.
    pub fn apply_affine(&mut self, affine: Affine) {
        self.drawing.apply_affine(affine);
        if let Some(flat) = &mut self.flat {
            flat.apply_affine(affine);
        }
        if let Some(round) = &mut self.round {
            round.apply_affine(affine);
        }
    }
}

/// Flat artwork of a stated true size.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// For people: which lens and ring it is for.
    pub title: String,
    /// Width of the drawing.
    pub width: Length,
    /// Height of the drawing.
    pub height: Length,
    /// The layers, from the bottom up.
    pub layers: Vec<Layer>,
}

impl Drawing {
    /// The whole drawing, in mm.
    pub fn bounds(&self) -> Rect {
        Rect::new(0.0, 0.0, self.width.to_mm(), self.height.to_mm())
    }

    /// Moves everything that is drawn; the size stays.
    pub fn apply_affine(&mut self, affine: Affine) {
        for group in self.layers.iter_mut().flat_map(|layer| &mut layer.groups) {
            group.apply_affine(affine);
        }
    }
}

#[cfg(test)]
mod sample {
    use super::*;

    /// A look for tests, of filled shapes or of lines for a tool.
    pub(super) fn look(tool: Option<f64>) -> Look {
        Look {
            tick_width: Length::mm(0.3),
            tool: tool.map(Length::mm),
            numbered_tick: Length::mm(2.0),
            tick_follows: true,
            medium_tick: super::medium_tick(Length::mm(2.0), Length::mm(1.0)),
            plain_tick: Length::mm(1.0),
            sign: crate::scale::UnitSign::Start,
            label_gap: Length::mm(1.2),
            extent: Extent::Used,
        }
    }
}
