//! A small picture of each piece: how it lies on its ring, and where its infinity mark is. Not to scale; only the place
//! of the infinity marks along the strip is in true proportion.

use kurbo::{Affine, BezPath, Circle, Point, Rect, Shape};

use super::craft::craft;
use super::facts::{Words, degrees_per_mm};
use super::typeset::{Type, outline, rule};
use super::{Applied, AppliedPiece, IndexAt, OnDisc, OnRing};
use crate::artwork::{Drawing, Group, Layer, LayerKind};
use crate::lettering::LetteringError;
use crate::process::Process;
use crate::report::words::plain;
use crate::surface::Edge;
use crate::units::Length;

/// Width of every picture, mm.
pub(super) const WIDTH: f64 = 56.0;
/// Digits of the words in it, mm.
const SMALL: f64 = 1.9;
/// Lines that bound things, and those that explain them.
const FIRM: f64 = 0.3;
const FINE: f64 = 0.12;

/// Draws a piece.
pub(super) fn diagram(
    setter: &mut Type,
    piece: &AppliedPiece,
    process: &Process,
    title: &str,
) -> Result<Drawing, LetteringError> {
    // an engraved ring has no seam
    let seam = !craft(process).works_on_the_ring();
    let mut ink = BezPath::new();
    let height = match &piece.what {
        Applied::Focus(on) => strip(setter, &mut ink, piece, (on, seam, degrees_per_mm(on, process)), &Words::FOCUS)?,
        Applied::Iris(on) => strip(setter, &mut ink, piece, (on, seam, degrees_per_mm(on, process)), &Words::IRIS)?,
        Applied::Disc(on) => disc(setter, &mut ink, on)?,
        Applied::Index(plates) => index(setter, &mut ink, plates)?,
    };
    Ok(Drawing {
        title: title.to_string(),
        width: Length::mm(WIDTH),
        height: Length::mm(height),
        layers: vec![Layer::new(LayerKind::Guide, vec![Group::new(None, ink)])],
    })
}

/// The ring from the side, and the flat strip below it.
fn strip(
    setter: &mut Type,
    ink: &mut BezPath,
    piece: &AppliedPiece,
    (on, seam, degrees): (&OnRing, bool, Option<f64>),
    words: &Words,
) -> Result<f64, LetteringError> {
    on_the_lens(setter, ink, on, words)?;
    flat(setter, ink, piece, (on, seam, degrees), words)?;
    Ok(40.0)
}

/// Middle of the lens, and where its ring's edges are.
const MIDDLE: f64 = 19.0;
const RING_TOP: f64 = 5.5;
const RING_FOOT: f64 = 16.0;

fn on_the_lens(setter: &mut Type, ink: &mut BezPath, on: &OnRing, words: &Words) -> Result<(), LetteringError> {
    let (rear, front) = (on.ring.rear_diameter.to_mm(), on.ring.front_diameter.to_mm());
    let largest = rear.max(front);
    // a cone is shown as one, however slight or steep
    let half = |diameter: f64| if diameter < largest { 15.5 } else { 18.0 };
    let (rear, front) = (half(rear), half(front));
    let mut ring = BezPath::new();
    ring.move_to((MIDDLE - front, RING_TOP));
    ring.line_to((MIDDLE + front, RING_TOP));
    ring.line_to((MIDDLE + rear, RING_FOOT));
    ring.line_to((MIDDLE - rear, RING_FOOT));
    ring.close_path();
    outline(ink, &ring, FIRM);
    for (from, to) in [(0.5, RING_TOP), (RING_FOOT, 21.0)] {
        outline(ink, &Rect::new(MIDDLE - 13.0, from, MIDDLE + 13.0, to).to_path(0.01), FINE);
    }
    // the index line on the fixed part, the ticks on the ring from the same edge
    let (edge, away) = match on.index {
        Edge::Rear => (RING_FOOT, -1.0),
        Edge::Front => (RING_TOP, 1.0),
    };
    rule(ink, (MIDDLE, edge), (MIDDLE, edge - away * 4.0), 0.7);
    let side = toward_far(on);
    for (aside, length) in [(0.0, 3.4), (2.6, 1.8), (5.2, 1.8), (7.8, 3.4), (10.4, 1.8), (13.0, 3.4)] {
        let x = MIDDLE + side * aside;
        rule(ink, (x, edge), (x, edge + away * length), 0.35);
    }
    let label_middle = edge + away * 5.6;
    for (text, x) in [(words.sign, MIDDLE), (words.far, MIDDLE + side * 11.0)] {
        let mut label = BezPath::new();
        setter.put(&mut label, text, SMALL, Point::new(0.0, 0.5 * SMALL), 0.5)?;
        let turn = if on.read_from == Edge::Rear { 0.0 } else { std::f64::consts::PI };
        ink.extend(Affine::translate((x, label_middle)) * Affine::rotate(turn) * label);
    }
    for (text, y, tip) in [("front", 4.0, 1.0), ("camera", 19.5, 22.0)] {
        setter.put(ink, text, SMALL, Point::new(43.0, y), 0.0)?;
        arrow(ink, Point::new(41.0, y + if tip < y { 0.5 } else { -2.0 }), Point::new(41.0, tip));
    }
    setter.put(ink, "index", SMALL, Point::new(MIDDLE + 1.5, edge - away * 2.6 + 0.5 * SMALL), 0.0)
}

/// 1 where the close (closed) marks lie to the right, -1 where they lie to the left.
fn toward_far(on: &OnRing) -> f64 {
    on.sense.close_marks_sign()
}

/// The flat strip's place.
const FLAT: Rect = Rect::new(1.0, 24.5, WIDTH - 1.0, 32.0);

fn flat(
    setter: &mut Type,
    ink: &mut BezPath,
    piece: &AppliedPiece,
    (on, seam, degrees): (&OnRing, bool, Option<f64>),
    words: &Words,
) -> Result<(), LetteringError> {
    let (rear, front) = (on.ring.rear_diameter.to_mm(), on.ring.front_diameter.to_mm());
    // a cone's strip bulges toward its wider end
    let bulge = if front > rear { -1.2 } else { 1.2 } * f64::from(u8::from(front != rear));
    let sag = |x: f64| {
        let aside = (x - FLAT.center().x) / (0.5 * FLAT.width());
        bulge * (1.0 - aside * aside) - 0.5 * bulge
    };
    let lean = -0.5 * bulge;
    let mut edge = BezPath::new();
    // a parabola's middle control point lies twice as far out as the curve
    edge.move_to((FLAT.x0 - lean, FLAT.y0 - 0.5 * bulge));
    edge.quad_to((FLAT.center().x, FLAT.y0 + 1.5 * bulge), (FLAT.x1 + lean, FLAT.y0 - 0.5 * bulge));
    edge.line_to((FLAT.x1 - lean, FLAT.y1 - 0.5 * bulge));
    edge.quad_to((FLAT.center().x, FLAT.y1 + 1.5 * bulge), (FLAT.x0 + lean, FLAT.y1 - 0.5 * bulge));
    edge.close_path();
    outline(ink, &edge, FIRM);
    let (base, away) = match on.index {
        Edge::Rear => (FLAT.y1, -1.0),
        Edge::Front => (FLAT.y0, 1.0),
    };
    let side = toward_far(on);
    for zero in &on.zeros {
        let x = FLAT.x0 + FLAT.width() * (zero.to_mm() / piece.length.to_mm()).clamp(0.0, 1.0);
        let base = base + sag(x);
        rule(ink, (x, base), (x, base + away * 3.4), 0.35);
        let tip = (x + side * 7.0).clamp(FLAT.x0 + 0.8, FLAT.x1 - 0.8);
        arrow(ink, Point::new(x + side * 1.0, base + away * 1.7), Point::new(tip, base + away * 1.7));
    }
    if on.closed && seam {
        let y = FLAT.center().y - away * -1.8 + 0.5 * SMALL;
        setter.put(ink, "seam", SMALL, Point::new(FLAT.x0 + 1.2, y), 0.0)?;
        setter.put(ink, "seam", SMALL, Point::new(FLAT.x1 - 1.2, y), 1.0)?;
    }
    let text = |length: f64| degrees.map_or_else(|| plain(length, 1), |per_mm| format!("{:.2}°", length * per_mm));
    let unit = if degrees.is_some() { "" } else { " mm" };
    if let Some(zero) = on.zeros.first() {
        let x = FLAT.x0 + FLAT.width() * (zero.to_mm() / piece.length.to_mm()).clamp(0.0, 1.0);
        dimension(setter, ink, FLAT.x0, x, 35.2, &format!("{} {}", words.sign, text(zero.to_mm())))?;
    }
    dimension(setter, ink, FLAT.x0, FLAT.x1, 38.6, &format!("{}{unit}", text(piece.length.to_mm())))
}

/// A length with its figure, in the middle where there is room, else to the right.
fn dimension(
    setter: &mut Type,
    ink: &mut BezPath,
    from: f64,
    to: f64,
    y: f64,
    text: &str,
) -> Result<(), LetteringError> {
    for x in [from, to] {
        rule(ink, (x, y - 1.0), (x, y + 1.0), FINE);
    }
    let width = setter.width(text, SMALL)?;
    let baseline = y + 0.5 * SMALL;
    if to - from >= width + 4.0 {
        let middle = 0.5 * (from + to);
        rule(ink, (from, y), (middle - 0.5 * width - 1.0, y), FINE);
        rule(ink, (middle + 0.5 * width + 1.0, y), (to, y), FINE);
        return setter.put(ink, text, SMALL, Point::new(middle, baseline), 0.5);
    }
    rule(ink, (from, y), (to, y), FINE);
    setter.put(ink, text, SMALL, Point::new(to + 1.0, baseline), 0.0)
}

fn arrow(ink: &mut BezPath, from: Point, to: Point) {
    let along = (to - from).normalize();
    let aside = along.turn_90() * 0.6;
    rule(ink, (from.x, from.y), (to - along * 1.2).into(), FINE);
    let mut head = BezPath::new();
    head.move_to(to);
    head.line_to(to - along * 1.6 + aside);
    head.line_to(to - along * 1.6 - aside);
    head.close_path();
    ink.extend(head);
}

/// The disc from its face, infinity under its index or its pointer. How its marks lie is in the words beside it.
fn disc(setter: &mut Type, ink: &mut BezPath, on: &OnDisc) -> Result<f64, LetteringError> {
    let (rim, middle) = (13.0, Point::new(19.0, 19.0));
    let share = on.hole.to_mm() / on.diameter.to_mm();
    outline(ink, &Circle::new(middle, rim).to_path(0.01), FIRM);
    let mut inner = 0.0;
    if share > 0.0 {
        inner = rim * share.clamp(0.15, 0.75);
        outline(ink, &Circle::new(middle, inner).to_path(0.01), FIRM);
    } else {
        for (x, y) in [(0.8, 0.0), (0.0, 0.8)] {
            rule(ink, (middle.x - x, middle.y - y), (middle.x + x, middle.y + y), FINE);
        }
    }
    let length = 0.4 * (rim - inner);
    let top = middle.y - rim;
    rule(ink, (middle.x, top), (middle.x, top + length), 0.35);
    if on.pointer_turns {
        // beside the mark that it points at, from the axle to the rim
        setter.put(ink, "∞", SMALL, Point::new(middle.x - 2.6, top + length + 1.6), 0.5)?;
        let foot = Point::new(middle.x, middle.y);
        arrow(ink, foot, Point::new(middle.x, top + length + 0.6));
        ink.extend(Circle::new(foot, 0.7).to_path(0.01));
        setter.put(ink, "pointer", SMALL, Point::new(34.0, middle.y + 0.5 * SMALL), 0.0)?;
    } else {
        setter.put(ink, "∞", SMALL, Point::new(middle.x, top + length + 1.6 + 0.5 * SMALL), 0.5)?;
        rule(ink, (middle.x, top), (middle.x, top - 4.0), 0.7);
        setter.put(ink, "index", SMALL, Point::new(middle.x + 1.5, top - 2.0), 0.0)?;
    }
    Ok(34.0)
}

/// At most so many plates are drawn.
const MOST_PLATES: usize = 4;

/// The plates in their row, the heavy line where the ring's edge is.
fn index(setter: &mut Type, ink: &mut BezPath, plates: &[IndexAt]) -> Result<f64, LetteringError> {
    for (at, plate) in plates.iter().take(MOST_PLATES).enumerate() {
        let x = 1.0 + 14.0 * at as f64;
        let box_ = Rect::new(x, 5.0, x + 11.0, 12.0);
        outline(ink, &box_.to_path(0.01), FINE);
        let (edge, away, ring) = match plate.edge {
            Edge::Rear => (box_.y0, 1.0, box_.y0 - 1.0),
            Edge::Front => (box_.y1, -1.0, box_.y1 + 1.0 + SMALL),
        };
        rule(ink, (box_.x0, edge), (box_.x1, edge), 0.5);
        rule(ink, (box_.center().x, edge), (box_.center().x, edge + away * 4.5), 0.7);
        setter.put(ink, "ring", SMALL, Point::new(box_.center().x, ring), 0.5)?;
        let name = if plate.iris { "iris" } else { "focus" };
        setter.put(ink, name, SMALL, Point::new(box_.center().x, 18.2), 0.5)?;
    }
    if plates.len() > MOST_PLATES {
        let more = format!("and {} more", plates.len() - MOST_PLATES);
        setter.put(ink, &more, SMALL, Point::new(1.0, 21.6), 0.0)?;
        return Ok(23.0);
    }
    Ok(20.0)
}
