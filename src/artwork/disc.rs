//! Layout of a follow focus's marking disc: the focus scale round a flat disc, in rows where it turns more than once.
//!
//! Ticks grow from the rim inward, numerals stand below them with their feet to the centre, infinity is at the top. A
//! scale of more than one turn winds inward like a spiral, one row's depth a turn, so that no label meets the end
//! of its own row.
//!
//! Source: the disc is the flat pattern of a cone of half angle 90 degrees.

use kurbo::{Affine, Circle, Line, Shape};

use super::strip::{BETWEEN_BANDS, BandLayout, OUTLINE_MM, height};
use super::{Drawing, Group, Ink, Layer, LayerKind, LayoutError, Look, Round, ScaleFace, Strip};
use crate::lettering::Lettering;
use crate::scale::Band;
use crate::surface::{Edge, Sense, Surface};
use crate::units::Length;

/// A disc and how its scale is wound.
#[derive(Clone, Copy, Debug)]
pub struct DiscFace {
    /// Across the rim.
    pub diameter: Length,
    /// Across the hole, zero for none.
    pub hole: Length,
    /// How the disc turns toward close focus under a fixed pointer, seen from the marked face.
    pub sense: Sense,
    /// Turns of the disc that the scale covers.
    pub turns: f64,
}

/// A scale that covers more than this share of a turn, labels included, winds inward.
const ONE_ROW: f64 = 0.97;

impl DiscFace {
    /// Whether the scale is wound in rows.
    pub fn winds(&self) -> bool {
        self.turns > ONE_ROW
    }

    /// Depth from the rim that `bands` bands take, all rows together.
    pub fn depth(&self, look: &Look, numeral_height: Length, bands: usize) -> Length {
        let row = height(look, numeral_height.to_mm(), bands);
        Length::mm(row + self.pitch(look, numeral_height, bands) * self.turns)
    }

    /// How much nearer to the centre each turn lies, mm.
    fn pitch(&self, look: &Look, numeral_height: Length, bands: usize) -> f64 {
        let numeral = numeral_height.to_mm();
        if self.winds() { height(look, numeral, bands) + BETWEEN_BANDS * numeral } else { 0.0 }
    }
}

/// Radius of the cross that shows the centre, mm.
const CENTRE: f64 = 2.0;

/// Lays the bands out on a disc.
///
/// # Errors
/// When the rows reach into the hole, or a label cannot be set.
pub fn disc(
    title: &str,
    disc: &DiscFace,
    look: &Look,
    lettering: &Lettering,
    bands: &[Band],
) -> Result<Strip, LayoutError> {
    let needs = disc.depth(look, lettering.numeral_height(), bands.len());
    // the cross in the middle of a disc without a hole stays clear
    let has = (disc.diameter - disc.hole) * 0.5 - Length::mm(if disc.hole == Length::ZERO { CENTRE } else { 0.0 });
    if needs > has + Length::mm(1e-9) {
        return Err(LayoutError::TooDeep { needs, has, turns: disc.turns });
    }
    let surface = Surface::disc(disc.diameter, needs);
    let face = ScaleFace { surface, sense: disc.sense, index: Edge::Front, read_from: Edge::Rear, repeat: false };
    let pitch = disc.pitch(look, lettering.numeral_height(), bands.len());
    let layout = BandLayout { face: &face, look, lettering, degree: surface.mm_per_degree(Edge::Front), pitch };
    let (mut ticks, mut numerals) = (Vec::new(), Vec::new());
    for (place, band) in bands.iter().enumerate() {
        layout.draw(&layout.row(place, band)?, 0.0, &mut ticks, &mut numerals);
    }
    let radius = 0.5 * disc.diameter.to_mm();
    let centre = (0.0, radius);
    let ring = |outer: f64, inner: f64| {
        let mut path = Circle::new(centre, outer).to_path(1e-4);
        path.extend(Circle::new(centre, inner).to_path(1e-4).reverse_subpaths());
        Group::new(None, path)
    };
    let mut edges = vec![ring(radius, radius - OUTLINE_MM)];
    let hole = 0.5 * disc.hole.to_mm();
    if hole > OUTLINE_MM {
        edges.push(ring(hole + OUTLINE_MM, hole));
    }
    let arm = |x: f64, y: f64| Line::new((-x, radius - y), (x, radius + y)).to_path(1e-3);
    let cross = [arm(CENTRE, 0.0), arm(0.0, CENTRE)].map(|path| Group::new(None, path));
    let drawing = Drawing {
        title: title.to_string(),
        width: disc.diameter,
        height: disc.diameter,
        layers: vec![
            Layer::new(LayerKind::Outline, edges),
            Layer::new(LayerKind::Guide, cross.into()).with_ink(Ink::Line(Length::mm(OUTLINE_MM))),
            Layer::new(LayerKind::Ticks, ticks).with_ink(look.ink()),
            Layer::new(LayerKind::Numerals, numerals).with_ink(lettering.tool().map_or(Ink::Black, Ink::Line)),
        ],
    };
    let mut round = Round::new(disc.diameter, disc.hole);
    round.apply_affine(Affine::translate((0.0, radius)));
    let mut strip = Strip { drawing, flat: None, round: Some(round) };
    strip.apply_affine(Affine::translate((radius, 0.0)));
    Ok(strip)
}
