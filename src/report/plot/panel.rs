//! The page of a plot: lines, dots and texts in black, and texts that give way to each other.

use kurbo::{Affine, BezPath, Line, PathEl, Point, Rect, Shape};

use crate::artwork::{Drawing, Group, Ink, Layer, LayerKind, MarkTag};
use crate::lettering::{Face, Lettering, LetteringError};
use crate::units::Length;

/// Height of the digits, mm: 18 dots at 200 dpi.
pub(super) const TEXT: f64 = 2.3;
/// Clear room round a text that gives way, mm.
const CLEAR: f64 = 0.45;

/// What is drawn, from the bottom up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sort {
    Grid,
    Hatch,
    Frame,
    Law,
    MarkTick,
    Bar,
    WideBar,
    Clear,
    ReadingBar,
    Dot,
    Text,
}

const SORTS: [(Sort, LayerKind, Ink); 11] = [
    (Sort::Grid, LayerKind::Guide, Ink::Line(Length::mm(0.06))),
    (Sort::Hatch, LayerKind::Outline, Ink::Line(Length::mm(0.1))),
    (Sort::Frame, LayerKind::Guide, Ink::Line(Length::mm(0.2))),
    (Sort::Law, LayerKind::Ticks, Ink::Line(Length::mm(0.35))),
    (Sort::MarkTick, LayerKind::Ticks, Ink::Line(Length::mm(0.2))),
    (Sort::Bar, LayerKind::Ticks, Ink::Line(Length::mm(0.3))),
    (Sort::WideBar, LayerKind::Ticks, Ink::Line(Length::mm(0.75))),
    (Sort::Clear, LayerKind::Guide, Ink::Clear),
    (Sort::ReadingBar, LayerKind::Ticks, Ink::Line(Length::mm(0.2))),
    (Sort::Dot, LayerKind::Ticks, Ink::Black),
    (Sort::Text, LayerKind::Numerals, Ink::Black),
];

/// A drawing under way.
pub(super) struct Page {
    lettering: Lettering,
    drawn: Vec<(Sort, Group)>,
    /// Where no text may stand.
    taken: Vec<Rect>,
}

impl Page {
    /// Lettered in the plain face whatever the set's: that may hold numerals only, or lines for a tool.
    pub(super) fn new() -> Result<Self, LetteringError> {
        Ok(Page { lettering: Lettering::new(Face::plain(), Length::mm(TEXT))?, drawn: Vec::new(), taken: Vec::new() })
    }

    pub(super) fn add(&mut self, sort: Sort, tag: Option<MarkTag>, path: BezPath) {
        self.drawn.push((sort, Group::new(tag, path)));
    }

    /// Keeps texts away from a place.
    pub(super) fn take(&mut self, place: Rect) {
        self.taken.push(place);
    }

    /// A text that must stand, made smaller where it is wider than `widest`; `anchor` 0 for its left end at the point,
    /// 0.5 for its middle, 1 for its right end.
    pub(super) fn text(
        &mut self,
        text: &str,
        at: Point,
        anchor: f64,
        size: f64,
        widest: f64,
    ) -> Result<(), LetteringError> {
        let (outline, place) = self.set(text, at, anchor, size, widest)?;
        self.taken.push(place);
        self.add(Sort::Text, None, outline);
        Ok(())
    }

    /// A text that stands only inside `room` and where it touches nothing; whether it does.
    pub(super) fn text_if_free(
        &mut self,
        text: &str,
        at: Point,
        anchor: f64,
        room: Rect,
    ) -> Result<bool, LetteringError> {
        let (outline, place) = self.set(text, at, anchor, 1.0, f64::INFINITY)?;
        let clear = place.inflate(CLEAR, CLEAR);
        let inside = clear.x0 >= room.x0 && clear.x1 <= room.x1 && clear.y0 >= room.y0 && clear.y1 <= room.y1;
        if !inside || self.taken.iter().any(|other| overlap(clear, *other)) {
            return Ok(false);
        }
        self.taken.push(place);
        self.add(Sort::Clear, None, clear.to_path(0.01));
        self.add(Sort::Text, None, outline);
        Ok(true)
    }

    fn set(
        &self,
        text: &str,
        at: Point,
        anchor: f64,
        size: f64,
        widest: f64,
    ) -> Result<(BezPath, Rect), LetteringError> {
        let known = |c: char| if self.lettering.line(c.encode_utf8(&mut [0; 4])).is_ok() { c } else { '?' };
        let line = self.lettering.line(&text.chars().map(known).collect::<String>())?;
        let scale = size.min(widest / line.width.to_mm().max(1e-3));
        let outline = Affine::translate((at.x - anchor * line.width.to_mm() * scale, at.y)) * Affine::scale(scale);
        let outline = outline * line.outline;
        let place = outline.bounding_box();
        Ok((outline, place))
    }

    pub(super) fn finish(self, title: String, (width, height): (f64, f64)) -> Drawing {
        let layer = |(sort, kind, ink): (Sort, LayerKind, Ink)| {
            let groups = self.drawn.iter().filter(|(of, _)| *of == sort).map(|(_, group)| group.clone()).collect();
            Layer::new(kind, groups).with_ink(ink)
        };
        let layers = SORTS.into_iter().map(layer).filter(|layer: &Layer| !layer.groups.is_empty()).collect();
        Drawing { title, width: Length::mm(width), height: Length::mm(height), layers }
    }
}

fn overlap(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

pub(super) fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> BezPath {
    Line::new((x0, y0), (x1, y1)).to_path(0.01)
}

/// The points joined.
pub(super) fn joined(points: &[Point]) -> BezPath {
    let element = |(i, point): (usize, &Point)| if i == 0 { PathEl::MoveTo(*point) } else { PathEl::LineTo(*point) };
    points.iter().enumerate().map(element).collect()
}

/// An upright bar with caps `cap` wide to either side.
pub(super) fn capped(x: f64, y0: f64, y1: f64, cap: f64) -> BezPath {
    let mut path = line(x, y0, x, y1);
    for y in [y0, y1] {
        path.extend(line(x - cap, y, x + cap, y));
    }
    path
}

/// Slanted lines over `panel` wherever `between` gives a lower and an upper edge (y down: upper is smaller) at x.
pub(super) fn hatching(panel: Rect, between: impl Fn(f64) -> Option<(f64, f64)>) -> BezPath {
    const APART: f64 = 2.4;
    const STEP: f64 = 0.08;
    let edges: Vec<_> = (0..=(panel.width() / STEP) as usize).map(|i| between(panel.x0 + STEP * i as f64)).collect();
    let mut path = BezPath::new();
    let mut foot = panel.x0 - panel.height();
    while foot < panel.x1 {
        let mut run: Option<(Point, Point)> = None;
        for (i, edge) in edges.iter().enumerate() {
            let x = panel.x0 + STEP * i as f64;
            let at = Point::new(x, panel.y1 - (x - foot));
            let within = edge.is_some_and(|(top, bottom)| at.y >= top && at.y <= bottom);
            match (within, run) {
                (true, None) => run = Some((at, at)),
                (true, Some((from, _))) => run = Some((from, at)),
                (false, Some((from, to))) => {
                    path.extend(line(from.x, from.y, to.x, to.y));
                    run = None;
                }
                (false, None) => {}
            }
        }
        if let Some((from, to)) = run {
            path.extend(line(from.x, from.y, to.x, to.y));
        }
        foot += APART;
    }
    path
}
