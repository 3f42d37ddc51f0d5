//! Plates for the fixed part beside a ring: the index line, and the marks of depth of field to both sides of it.
//!
//! A plate lies flat as a strip does, its outer face up and the lens's front at the top, and meets the ring with the
//! edge from which its lines grow. With a distance at the index, the ring's nearer marks lie on one side of it and its
//! farther ones on the other; a near limit is marked on the side of the nearer ones.

use kurbo::{Affine, BezPath, Rect, Shape};

use super::strip::{OUTLINE_MM, TICK_TO_NUMERAL};
use super::{Drawing, Group, Ink, Layer, LayerKind, LayoutError, Look, MarkTag, MarkValue, Strip};
use crate::lettering::Lettering;
use crate::surface::{Edge, Sense};
use crate::units::{Angle, Length, Stop};

/// One plate with an index line, for the fixed part beside a ring.
#[derive(Clone, Debug)]
pub struct IndexPlate {
    /// At which edge of the ring the index stands.
    pub index: Edge,
    /// How many times the plate is needed.
    pub copies: usize,
    /// How the ring turns toward close (toward closed).
    pub sense: Sense,
    /// From which side the numerals are upright.
    pub read_from: Edge,
    /// Beside the index line, from the nearest pair on.
    pub depth: Vec<DepthMark>,
}

impl IndexPlate {
    /// A plate with its line alone.
    pub fn bare(index: Edge, copies: usize) -> Self {
        IndexPlate { index, copies, sense: Sense::Clockwise, read_from: index, depth: Vec::new() }
    }
}

/// A pair of marks: as far as a subject may be from the set distance, on the ring, and still look sharp.
#[derive(Clone, Debug, PartialEq)]
pub struct DepthMark {
    /// The f-stop.
    pub stop: Stop,
    /// What is engraved at both.
    pub label: String,
    /// Turn of the ring from the index to the near limit.
    pub near: Angle,
    /// Turn from the far limit to the index.
    pub far: Angle,
    /// The same along the circumference.
    pub near_arc: Length,
    /// The same along the circumference.
    pub far_arc: Length,
}

/// Clear height beyond the numerals, in numeral heights.
const BEYOND_NUMERALS: f64 = 0.5;

/// Index plates side by side; each line grows from the plate's edge that meets the ring.
///
/// # Errors
/// When the face cannot set a stop.
pub fn index_plates(
    title: &str,
    look: &Look,
    lettering: &Lettering,
    plates: &[IndexPlate],
) -> Result<Strip, LayoutError> {
    let numeral = lettering.numeral_height().to_mm();
    let gap = numeral;
    let deep = look.numbered_tick.to_mm() + (TICK_TO_NUMERAL + 1.0 + BEYOND_NUMERALS) * numeral;
    let bare = 1.5 * look.numbered_tick.to_mm() + numeral;
    let height = if plates.iter().any(|plate| !plate.depth.is_empty()) { bare.max(deep) } else { bare };
    let mut drawn = Drawn { look, lettering, outlines: vec![], lines: vec![], ticks: vec![], numerals: vec![] };
    let mut x = 0.0;
    for plate in plates.iter().flat_map(|plate| std::iter::repeat_n(plate, plate.copies)) {
        let width = drawn.width(plate)?;
        drawn.plate(plate, x, width, height)?;
        x += width + gap;
    }
    let mut layers = vec![
        Layer::new(LayerKind::Outline, drawn.outlines),
        Layer::new(LayerKind::Index, drawn.lines).with_ink(look.ink()),
    ];
    if !drawn.ticks.is_empty() {
        layers.push(Layer::new(LayerKind::Ticks, drawn.ticks).with_ink(look.ink()));
        let ink = lettering.tool().map_or(Ink::Black, Ink::Line);
        layers.push(Layer::new(LayerKind::Numerals, drawn.numerals).with_ink(ink));
    }
    let (width, height) = (Length::mm((x - gap).max(4.0 * numeral)), Length::mm(height));
    Ok(Strip { drawing: Drawing { title: title.to_string(), width, height, layers }, flat: None, round: None })
}

struct Drawn<'a> {
    look: &'a Look,
    lettering: &'a Lettering,
    outlines: Vec<Group>,
    lines: Vec<Group>,
    ticks: Vec<Group>,
    numerals: Vec<Group>,
}

impl Drawn<'_> {
    /// Four numerals, or as wide as the outermost numerals and a gap beside them need; the line is in the middle.
    fn width(&self, plate: &IndexPlate) -> Result<f64, LayoutError> {
        let mut half = 2.0 * self.lettering.numeral_height().to_mm();
        for mark in &plate.depth {
            let beside = self.lettering.reach(&mark.label)?;
            let text = beside.left.max(beside.right).to_mm();
            let reach = mark.near_arc.max(mark.far_arc).to_mm();
            half = half.max(reach + text.max(0.5 * self.look.tick().to_mm()) + self.look.label_gap.to_mm());
        }
        Ok(2.0 * half)
    }

    fn plate(&mut self, plate: &IndexPlate, x: f64, width: f64, height: f64) -> Result<(), LayoutError> {
        let outer = Rect::new(x, 0.0, x + width, height);
        let mut frame = outer.to_path(1e-3);
        frame.extend(outer.inset(-OUTLINE_MM).to_path(1e-3).reverse_subpaths());
        self.outlines.push(Group::new(None, frame));
        let middle = x + 0.5 * width;
        let (base, away) = if plate.index == Edge::Rear { (0.0, 1.0) } else { (height, -1.0) };
        self.lines.push(Group::new(None, Affine::translate((middle, base)) * index_line(self.look, away)));
        for mark in &plate.depth {
            for (arc, turn) in [(mark.near_arc, mark.near), (-mark.far_arc, -mark.far)] {
                let at = middle + plate.sense.close_marks_sign() * arc.to_mm();
                self.depth_mark(plate, mark, (at, base, away), turn)?;
            }
        }
        Ok(())
    }

    /// A tick as long as a numbered one at a place of the ring's edge, and its numeral beyond it.
    fn depth_mark(
        &mut self,
        plate: &IndexPlate,
        mark: &DepthMark,
        (at, base, away): (f64, f64, f64),
        angle: Angle,
    ) -> Result<(), LayoutError> {
        let value = MarkValue::Stop(mark.stop.number());
        let tag = Some(MarkTag { unit: "depth".into(), value, angle, label: mark.label.clone() });
        let look = self.look;
        let frame = Affine::translate((at, base));
        let tick = frame * look.upright_tick(look.numbered_tick, away);
        self.ticks.push(Group { tag: tag.clone(), frame, path: tick });
        let line = self.lettering.line(&mark.label)?;
        let outline = Affine::translate((-line.middle.to_mm(), 0.0)) * line.outline;
        let numeral = self.lettering.numeral_height().to_mm();
        let near = look.numbered_tick.to_mm() + TICK_TO_NUMERAL * numeral;
        // upright figures stand on their lower side, turned ones on their upper side
        let (upright, turned) = if away > 0.0 { (near + numeral, near) } else { (near, near + numeral) };
        let frame = match plate.read_from {
            Edge::Rear => Affine::translate((at, base + away * upright)),
            Edge::Front => Affine::translate((at, base + away * turned)) * Affine::rotate(std::f64::consts::PI),
        };
        self.numerals.push(Group { tag, frame, path: frame * outline });
        Ok(())
    }
}

/// An index line from its base toward y > 0, or y < 0 where `away` is -1: half as strong again as a tick and half as
/// long again as a numbered one, so that the fixed line differs from the moving ones.
pub(super) fn index_line(look: &Look, away: f64) -> BezPath {
    let width = 1.5 * look.tick().to_mm();
    let length = 1.5 * look.numbered_tick.to_mm();
    match look.tool {
        // forth and back: two overlapping lines of the tool
        Some(tool) => {
            let (aside, end) = (0.5 * (width - tool.to_mm()), away * (length - 0.5 * tool.to_mm()).max(0.0));
            let mut path = kurbo::Line::new((-aside, 0.0), (-aside, end)).to_path(1e-3);
            path.line_to((aside, end));
            path.line_to((aside, 0.0));
            path
        }
        None => Rect::new(-0.5 * width, 0.0, 0.5 * width, away * length).abs().to_path(1e-3),
    }
}

#[cfg(test)]
mod tests;
