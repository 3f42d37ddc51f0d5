//! A strip too long for any sheet is divided between its marks, into as few parts as possible and about equal ones.
//!
//! Everything is computed in turns and heights of the ring's face ([`Flat`]), where a cut is one turn on any surface.
//! Marks are never cut; the strip's edge, its ground and guides may be.

use kurbo::{Affine, BezPath, PathEl, Point, Shape};

use super::ground::Ground;
use super::piece::{SheetPiece, Side, points};
use super::words::{TEXT, Words};
use super::{Item, SheetError, add};
use crate::artwork::{Flat, Group, Ink, Layer, LayerKind};
use crate::surface::Edge;
use crate::units::Length;

/// Clear widths between a mark and a cut that are tried, mm: the widest with which parts are as few and about as even as
/// with any. Closer than half a millimetre a knife takes part of the mark (common practice, no source).
const CLEARANCES: [f64; 3] = [2.0, 1.0, 0.5];
/// From the artwork to the lines and letters at a cut, the length of such a line, and its width, mm.
const ASIDE: f64 = 0.6;
const LINE: f64 = 3.0;
const LINE_WIDTH: f64 = 0.15;
/// From a cut to its letters, mm.
const TO_LETTER: f64 = 0.8;
/// Turns closer than this are equal, degrees.
const SAME: f64 = 1e-9;

/// The parts of an item, each of which the ground takes.
pub(super) fn parts(at: usize, item: &Item, ground: &Ground, words: &Words) -> Result<Vec<SheetPiece>, SheetError> {
    let too_large = || {
        let bounds = SheetPiece::whole(at, item, false, words).bounds;
        let (size, room) = ((bounds.width(), bounds.height()), (ground.room.width(), ground.room.height()));
        SheetError::TooLarge { name: item.name.clone(), size, room }
    };
    let flat = item.strip.flat.as_ref().ok_or_else(too_large)?;
    let whole = Whole::new(flat, &item.strip.drawing.layers);
    let most = whole.longest(ground).ok_or_else(too_large)?;
    let tries: Vec<_> = CLEARANCES.iter().map(|&clearance| whole.cuts(most, clearance)).collect();
    let fewest = tries.iter().flatten().map(Vec::len).min();
    let even = |cuts: &Vec<f64>| (4.0 * whole.unevenness(cuts)) as i64;
    // of about equally even ones the first, which has the widest clearance
    let best = tries.iter().flatten().filter(|cuts| Some(cuts.len()) == fewest).min_by_key(|cuts| even(cuts)).cloned();
    let missing = || tries.iter().rev().find_map(|cuts| cuts.as_ref().err()).copied().unwrap_or((0.0, 0.0));
    let cuts = best.ok_or_else(|| SheetError::NoGap { name: item.name.clone(), between: missing() })?;
    let turns: Vec<f64> = [vec![whole.from], cuts, vec![whole.to]].concat();
    let count = turns.len() - 1;
    let part = |k: usize| {
        let span = (turns[k], turns[k + 1]);
        let mut layers: Vec<Layer> = item.strip.drawing.layers.iter().map(|layer| whole.layer(layer, span)).collect();
        for (cut, left) in [(k.checked_sub(1), false), ((k + 1 < count).then_some(k), true)] {
            if let Some(cut) = cut {
                whole.join(&mut layers, turns[cut + 1], cut, left, words);
            }
        }
        let upright = flat.frame(0.5 * (span.0 + span.1), 0.0).as_coeffs();
        let upright = if flat.straight() { Affine::IDENTITY } else { Affine::rotate(-upright[1].atan2(upright[0])) };
        let name = format!("{}, part {} of {count}", item.name, k + 1);
        SheetPiece::named(at, Some((k, count)), layers, upright, None, &name, Side::of(flat, span), words)
    };
    let parts: Vec<SheetPiece> = (0..count).map(part).collect();
    if parts.iter().all(|part| ground.takes(part.bounds)) { Ok(parts) } else { Err(too_large()) }
}

/// A strip with what is on it, in turns and heights.
struct Whole<'a> {
    flat: &'a Flat,
    /// Turns between which everything lies, at least the strip's ends.
    from: f64,
    to: f64,
    /// Heights between which everything lies, at least the face.
    top: f64,
    bottom: f64,
    /// Turns that each mark covers.
    marks: Vec<(f64, f64)>,
    /// Millimetres to a degree at the narrower edge.
    degree: f64,
}

impl<'a> Whole<'a> {
    fn new(flat: &'a Flat, layers: &[Layer]) -> Self {
        let (from, to) = flat.ends();
        let degree = flat.mm_per_degree(Edge::Front).min(flat.mm_per_degree(Edge::Rear));
        let mut whole = Whole { flat, from, to, top: 0.0, bottom: flat.width(), marks: Vec::new(), degree };
        for layer in layers {
            for group in &layer.groups {
                for point in points(&group.path) {
                    let (turn, height) = flat.turn_and_height(point);
                    (whole.from, whole.to) = (whole.from.min(turn), whole.to.max(turn));
                    (whole.top, whole.bottom) = (whole.top.min(height), whole.bottom.max(height));
                }
                match layer.kind {
                    LayerKind::Ticks | LayerKind::Numerals | LayerKind::Index => {
                        whole.marks.extend(whole.span(&group.path, layer.ink));
                    }
                    // a contour along most of the strip is its edge, any other a mark's
                    LayerKind::Cut => {
                        let spans = subpaths(&group.path).into_iter().filter_map(|path| whole.span(&path, layer.ink));
                        let spans: Vec<_> = spans.filter(|span| span.1 - span.0 < 0.5 * (to - from)).collect();
                        whole.marks.extend(spans);
                    }
                    LayerKind::Outline | LayerKind::Guide => {}
                }
            }
        }
        whole
    }

    /// Turns that a path covers, with the width of its line.
    fn span(&self, path: &BezPath, ink: Ink) -> Option<(f64, f64)> {
        let turns = points(path).map(|point| self.flat.turn_and_height(point).0);
        let half = match ink {
            Ink::Line(width) => 0.5 * width.to_mm() / self.degree,
            _ => 0.0,
        };
        let bare = turns.map(|turn| (turn, turn)).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
        Some((bare.0 - half, bare.1 + half))
    }

    /// The longest part that the ground takes, in degrees; `None` when it is too high.
    fn longest(&self, ground: &Ground) -> Option<f64> {
        // the name with its gap, a letter's descent, half a line
        let name = 1.6 * TEXT + 1.0;
        let heights = (self.top - ASIDE - LINE, self.bottom + ASIDE + LINE);
        let takes = |turn: f64| {
            let bounds = self.flat.patch((-0.5 * turn, 0.5 * turn), heights).bounding_box();
            let mut bounds = bounds.inset(LINE_WIDTH);
            bounds.y0 -= name;
            ground.takes(bounds)
        };
        let (mut fits, mut not) = (0.0, self.to - self.from);
        for _ in 0..50 {
            let middle = 0.5 * (fits + not);
            if takes(middle) { fits = middle } else { not = middle }
        }
        (fits * self.degree > 1.0).then_some(fits)
    }

    /// Spans of turns where a cut may lie.
    fn gaps(&self, clearance: f64) -> Vec<(f64, f64)> {
        let clear = clearance / self.degree;
        let mut marks = self.marks.clone();
        marks.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut gaps = Vec::new();
        let mut free_from = self.from;
        for (from, to) in marks {
            if from - clear > free_from {
                gaps.push((free_from, from - clear));
            }
            free_from = free_from.max(to + clear);
        }
        if self.to > free_from {
            gaps.push((free_from, self.to));
        }
        gaps
    }

    /// Cuts between parts of at most `most` degrees, or where on the strip, in mm from its left end, one is missing.
    fn cuts(&self, most: f64, clearance: f64) -> Result<Vec<f64>, (f64, f64)> {
        let gaps = self.gaps(clearance);
        // the farthest possible cut each time gives the fewest cuts
        let count = self.farthest(&gaps, most)?.len() + 1;
        let (mut few, mut short) = (most, (self.to - self.from) / count as f64);
        for _ in 0..50 {
            let middle = 0.5 * (few + short);
            match self.farthest(&gaps, middle) {
                Ok(cuts) if cuts.len() < count => few = middle,
                _ => short = middle,
            }
        }
        let longest = few + SAME;
        // the leftmost places from which the rest can be had, from the right
        let mut least = vec![self.to; count + 1];
        for k in (1..count).rev() {
            let (low, high) = (least[k + 1] - longest, least[k + 1]);
            least[k] = nearest(&gaps, low, low, high).unwrap_or(high);
        }
        let mut cuts: Vec<f64> = Vec::new();
        for (k, &low) in least.iter().enumerate().take(count).skip(1) {
            let last = cuts.last().copied().unwrap_or(self.from);
            let even = last + (self.to - last) / (count - k + 1) as f64;
            let cut = nearest(&gaps, even, low, last + longest);
            cuts.push(cut.ok_or_else(|| self.missing(last, longest))?);
        }
        Ok(cuts)
    }

    /// How unequal the parts are: the longest as a share of an even one.
    fn unevenness(&self, cuts: &[f64]) -> f64 {
        let ends = || std::iter::once(self.from).chain(cuts.iter().copied()).chain([self.to]);
        let longest = ends().zip(ends().skip(1)).map(|(a, b)| b - a).fold(0.0, f64::max);
        longest * (cuts.len() + 1) as f64 / (self.to - self.from)
    }

    /// The farthest cuts that leave no part longer than `most`.
    fn farthest(&self, gaps: &[(f64, f64)], most: f64) -> Result<Vec<f64>, (f64, f64)> {
        let mut cuts = Vec::new();
        let mut last = self.from;
        while self.to - last > most + SAME {
            let reach = last + most;
            let next = gaps.iter().rev().find(|gap| gap.0 <= reach).map(|gap| gap.1.min(reach));
            last = next.filter(|&next| next > last + SAME).ok_or_else(|| self.missing(last, most))?;
            cuts.push(last);
        }
        Ok(cuts)
    }

    fn missing(&self, last: f64, most: f64) -> (f64, f64) {
        ((last - self.from) * self.degree, (last + most - self.from) * self.degree)
    }

    /// The groups of a layer in a part.
    fn layer(&self, layer: &Layer, (from, to): (f64, f64)) -> Layer {
        let marks = matches!(layer.kind, LayerKind::Ticks | LayerKind::Numerals | LayerKind::Index);
        let group = |group: &Group| {
            if marks {
                let span = self.span(&group.path, layer.ink)?;
                let middle = 0.5 * (span.0 + span.1);
                let here = from <= middle && (middle < to || to == self.to);
                return here.then(|| group.clone());
            }
            let path = self.clip(&group.path, layer, (from, to));
            (!path.is_empty()).then(|| Group { path, ..group.clone() })
        };
        Layer { groups: layer.groups.iter().filter_map(group).collect(), ..*layer }
    }

    /// The part of a path between two turns. A filled frame keeps its thickness at the cut.
    fn clip(&self, path: &BezPath, layer: &Layer, (from, to): (f64, f64)) -> BezPath {
        let filled = !matches!(layer.ink, Ink::Line(_));
        let all = subpaths(path);
        let outer = all.first().and_then(|first| Some((first.area().signum(), self.span(first, Ink::Black)?.0)));
        let mut clipped = BezPath::new();
        for subpath in &all {
            let Some(span) = self.span(subpath, Ink::Black) else { continue };
            let (mut low, mut high) = (from, to);
            if let (LayerKind::Outline, true, Some((sense, left))) = (layer.kind, filled, outer)
                && subpath.area().signum() != sense
            {
                let thick = (span.0 - left).max(0.0);
                low += if from > self.from { thick } else { 0.0 };
                high -= if to < self.to { thick } else { 0.0 };
            }
            if span.0 >= low - SAME && span.1 <= high + SAME {
                clipped.extend(subpath.iter());
            } else if span.1 > low && span.0 < high {
                let closed = filled || subpath.elements().contains(&PathEl::ClosePath);
                self.clip_one(subpath, closed, (low, high), &mut clipped);
            }
        }
        clipped
    }

    fn clip_one(&self, path: &BezPath, closed: bool, (low, high): (f64, f64), clipped: &mut BezPath) {
        let mut polygon: Vec<(f64, f64)> = Vec::new();
        kurbo::flatten(path, 0.001, |element| {
            if let PathEl::MoveTo(point) | PathEl::LineTo(point) = element {
                polygon.push(self.flat.turn_and_height(point));
            }
        });
        let runs = if closed {
            // against one side after the other: I. E. Sutherland and G. W. Hodgman, "Reentrant polygon clipping", 1974
            let kept = beyond(&polygon, true, low, 1.0).into_iter().flatten().collect::<Vec<_>>();
            vec![beyond(&kept, true, -high, -1.0).into_iter().flatten().collect::<Vec<_>>()]
        } else {
            let kept = beyond(&polygon, false, low, 1.0);
            kept.iter().flat_map(|run| beyond(run, false, -high, -1.0)).collect()
        };
        for run in runs.iter().filter(|run| run.len() > 1) {
            for (k, &(turn, height)) in run.iter().enumerate() {
                let point = self.flat.place(turn, height);
                clipped.push(if k == 0 { PathEl::MoveTo(point) } else { PathEl::LineTo(point) });
            }
            if closed {
                clipped.close_path();
            }
        }
    }

    /// Lines that extend a cut beyond the artwork, and its letter: parts meet at equal letters.
    fn join(&self, layers: &mut Vec<Layer>, turn: f64, number: usize, left: bool, words: &Words) {
        let mut lines = BezPath::new();
        for (from, to) in [(self.top - ASIDE, -LINE), (self.bottom + ASIDE, LINE)] {
            let frame = self.flat.frame(turn, from);
            lines.move_to(frame * Point::ZERO);
            lines.line_to(frame * Point::new(0.0, to));
        }
        let letter = char::from(b'A' + (number % 26) as u8).to_string();
        let letter = words.set(&letter, TEXT);
        let (x, anchor) = if left { (-TO_LETTER, 1.0) } else { (TO_LETTER, 0.0) };
        let letter = self.flat.frame(turn, self.bottom + ASIDE + LINE) * letter.at(x, 0.0, anchor);
        let ink = Ink::Line(Length::mm(LINE_WIDTH));
        let lines_layer = Layer::new(LayerKind::Guide, vec![]).with_ink(ink);
        add(layers, &lines_layer, std::iter::once(Group::new(None, lines)));
        add(layers, &Layer::new(LayerKind::Guide, vec![]), std::iter::once(Group::new(None, letter)));
    }
}

/// The place in a gap that is nearest to `wish`, between two bounds.
fn nearest(gaps: &[(f64, f64)], wish: f64, low: f64, high: f64) -> Option<f64> {
    let inside = gaps.iter().map(|gap| (gap.0.max(low), gap.1.min(high))).filter(|gap| gap.0 <= gap.1);
    let places = inside.map(|gap| wish.clamp(gap.0, gap.1));
    places.min_by(|a, b| (a - wish).abs().total_cmp(&(b - wish).abs()))
}

/// The runs of a polygon or a polyline where `sign` times the turn is at least `limit`; a polygon's are one.
fn beyond(points: &[(f64, f64)], closed: bool, limit: f64, sign: f64) -> Vec<Vec<(f64, f64)>> {
    let inside = |point: (f64, f64)| sign * point.0 >= limit;
    let mut runs = vec![Vec::new()];
    let steps = if closed { 0..points.len() } else { 1..points.len() };
    if let (false, Some(&first)) = (closed, points.first())
        && inside(first)
    {
        runs[0].push(first);
    }
    for k in steps {
        let (last, next) = (points[(k + points.len() - 1) % points.len()], points[k]);
        if inside(last) != inside(next) {
            let at = sign * limit;
            let share = (at - last.0) / (next.0 - last.0);
            let crossing = (at, last.1 + share * (next.1 - last.1));
            if !closed && inside(next) {
                runs.push(Vec::new());
            }
            if let Some(run) = runs.last_mut() {
                run.push(crossing);
            }
        }
        if let (true, Some(run)) = (inside(next), runs.last_mut()) {
            run.push(next);
        }
    }
    runs
}

/// The subpaths of a path, each with its move.
fn subpaths(path: &BezPath) -> Vec<BezPath> {
    let mut all: Vec<BezPath> = Vec::new();
    for &element in path.elements() {
        if matches!(element, PathEl::MoveTo(_)) {
            all.push(BezPath::new());
        }
        if let Some(last) = all.last_mut() {
            last.push(element);
        }
    }
    all
}
