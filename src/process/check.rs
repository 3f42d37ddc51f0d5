//! What a process cannot make of a strip, mark by mark, and how the strip will come out.
//!
//! Takes a strip as it was laid out and a process; gives findings with the mark, the place on the drawing and what
//! was measured there. Connected pieces are looked at one by one in their own upright axes, each distinct one once;
//! neighbours by the clear width between them.

use std::collections::HashMap;

use kurbo::{Affine, BezPath, Point, Shape, Stroke, StrokeOpts, Vec2};

use super::features::{self, Feature, Flaw};
use super::{Cut, Limits, Process};
use crate::artwork::{Drawing, Group, Ink, LayerKind, MarkTag, Strip};
use crate::region::{Island, Region};
use crate::units::{Angle, Length};

/// How far flattened curves may stray in a check, mm: a fifth of what a caliper shows.
const FLATTENING: f64 = 0.004;

/// What is wrong at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FindingKind {
    /// A stroke is too thin.
    Stroke,
    /// An opening within a shape is too narrow.
    Gap,
    /// A hole that ink surrounds is too small.
    Counter,
    /// A piece that stands alone is too small.
    Dot,
    /// Two shapes stand too near to each other.
    Near,
    /// An island of a mask that nothing holds.
    Loose,
}

impl FindingKind {
    /// What programs call it.
    pub fn name(self) -> &'static str {
        match self {
            FindingKind::Stroke => "stroke",
            FindingKind::Gap => "gap",
            FindingKind::Counter => "counter",
            FindingKind::Dot => "dot",
            FindingKind::Near => "near",
            FindingKind::Loose => "loose",
        }
    }
}

/// A mark that a finding is about.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// What it says: `0.9 m`, `tick at 1.25 m`, `unit sign`.
    pub words: String,
    /// The ring angle of a mark.
    pub angle: Option<Angle>,
}

/// One place that cannot be made.
#[derive(Clone, Debug)]
pub struct Finding {
    /// What is wrong.
    pub kind: FindingKind,
    /// The clear width or the stroke's width there.
    pub measured: Length,
    /// What the process needs.
    pub limit: Length,
    /// One mark, or both of a pair.
    pub marks: Vec<Named>,
    /// Whether it is about a numeral or a unit sign, not only about ticks.
    pub lettering: bool,
    /// Where it is, on the strip's drawing.
    pub place: Point,
    /// The part of the drawing that is too fine: ink that is lost, or ground that fills up.
    pub spot: Region,
}

/// One connected piece of a mark on its drawing.
struct Piece {
    named: Named,
    /// Whether it is a numeral or a unit sign.
    lettering: bool,
    region: Region,
}

/// Checks strips of one process; shapes that were looked at once are known.
pub struct Checker<'a> {
    process: &'a Process,
    flaws: HashMap<String, Vec<Flaw>>,
    smallest: HashMap<String, Option<f64>>,
}

impl<'a> Checker<'a> {
    /// A checker for `process` that knows no shape yet.
    pub fn new(process: &'a Process) -> Self {
        Checker { process, flaws: HashMap::new(), smallest: HashMap::new() }
    }

    /// Everything that the process cannot make of the marks of a strip, from left to right.
    pub fn check(&mut self, strip: &Strip) -> Vec<Finding> {
        let limits = self.process.limits();
        let mask = matches!(self.process, Process::Vinyl(vinyl) if vinyl.cut == Cut::Mask);
        let mut findings = Vec::new();
        let mut pieces = Vec::new();
        for (group, ink, lettering) in shapes(&strip.drawing) {
            let named = named(group.tag.as_ref(), lettering);
            for upright in upright(group, ink) {
                let back = group.frame * Affine::translate(upright.at);
                let flaws = self.flaws.entry(upright.key).or_insert_with(|| features::flaws(&upright.shape, &limits));
                for flaw in flaws {
                    let kind = match flaw.feature {
                        Feature::Stroke => FindingKind::Stroke,
                        Feature::Gap => FindingKind::Gap,
                        Feature::Counter => FindingKind::Counter,
                        Feature::Dot => FindingKind::Dot,
                    };
                    findings.push(Finding {
                        kind,
                        measured: flaw.width,
                        limit: limit(&limits, kind),
                        marks: vec![named.clone()],
                        lettering,
                        place: back * flaw.place,
                        spot: placed(&flaw.residue, back),
                    });
                }
                let region = placed(&upright.shape, back);
                if mask {
                    findings.extend(loose(&region, &named, lettering));
                }
                pieces.push(Piece { named: named.clone(), lettering, region });
            }
        }
        findings.extend(neighbours(&pieces, limits.gap));
        findings.sort_by(|a, b| a.place.x.total_cmp(&b.place.x));
        findings
    }

    /// The thinnest stroke or narrowest gap of a strip's shapes, up to twice what the process can make.
    pub fn smallest(&mut self, strip: &Strip) -> Option<Length> {
        let limits = self.process.limits();
        let ceiling = Length::mm(2.0 * limits.stroke.to_mm().max(limits.gap.to_mm()));
        let mut least: Option<f64> = None;
        for (group, ink, _) in shapes(&strip.drawing) {
            for upright in upright(group, ink) {
                let widths = self.smallest.entry(upright.key).or_insert_with(|| {
                    let smallest = features::smallest(&upright.shape, ceiling);
                    let widths = [smallest.stroke, smallest.gap].into_iter().flatten();
                    widths.map(|(width, _)| width.to_mm()).reduce(f64::min)
                });
                least = [least, *widths].into_iter().flatten().reduce(f64::min);
            }
        }
        least.map(Length::mm)
    }
}

/// A connected piece of a mark in its own upright axes, moved to where all equal pieces are.
struct Upright {
    shape: Region,
    /// Equal for pieces that are equal to two micrometres.
    key: String,
    /// Where it stood.
    at: Vec2,
}

fn upright(group: &Group, ink: Ink) -> Vec<Upright> {
    let own = group.frame.inverse() * group.path.clone();
    let piece = |island: Region| {
        let at = island.bounds().origin().to_vec2();
        let shape = placed(&island, Affine::translate(-at));
        let places = shape.contours().flatten();
        let key = places.map(|place| format!("{:.0},{:.0};", 500.0 * place.x, 500.0 * place.y)).collect();
        Upright { shape, key, at }
    };
    filled(&own, ink).pieces().map(piece).collect()
}

/// What an outline in a group's own axes fills on the drawing.
fn placed(region: &Region, frame: Affine) -> Region {
    let moved = |contour: &[Point]| contour.iter().map(|point| frame * *point).collect();
    let island = |island: &Island| Island {
        outer: moved(&island.outer),
        holes: island.holes.iter().map(|hole| moved(hole)).collect(),
    };
    region.islands().iter().map(island).collect::<Vec<_>>().into()
}

/// Islands of a mask that nothing holds: the holes of a mark.
fn loose(region: &Region, named: &Named, lettering: bool) -> Vec<Finding> {
    let holes = region.islands().iter().flat_map(|island| &island.holes);
    let finding = |hole: &Vec<Point>| {
        let mut outer = hole.clone();
        outer.reverse();
        let spot = Region::from(vec![Island { outer, holes: Vec::new() }]);
        let bounds = spot.bounds();
        Finding {
            kind: FindingKind::Loose,
            measured: Length::mm(bounds.width().min(bounds.height())),
            limit: Length::ZERO,
            marks: vec![named.clone()],
            lettering,
            place: bounds.center(),
            spot,
        }
    };
    holes.map(finding).collect()
}

/// How the marks of a strip come out: thin ink is lost, narrow ground fills up, corners are rounded, each by the tool.
pub fn outcome(strip: &Strip, process: &Process) -> Region {
    let radius = process.tool_radius();
    let pieces = shapes(&strip.drawing).map(|(group, ink, _)| filled(&group.path, ink)).collect::<Vec<_>>();
    features::simulated(&Region::union_of(&pieces), radius)
}

/// The shapes that are made, with their ink and whether they are lettering.
pub fn shapes(drawing: &Drawing) -> impl Iterator<Item = (&Group, Ink, bool)> {
    let made = |kind| matches!(kind, LayerKind::Ticks | LayerKind::Numerals | LayerKind::Index);
    let layers = drawing.layers.iter().filter(move |layer| made(layer.kind));
    layers.flat_map(|layer| layer.groups.iter().map(|group| (group, layer.ink, layer.kind == LayerKind::Numerals)))
}

/// What a path fills, or what a tool leaves along it.
pub fn filled(path: &BezPath, ink: Ink) -> Region {
    let tolerance = Length::mm(FLATTENING);
    match ink {
        Ink::Line(width) => {
            let style = Stroke::new(width.to_mm());
            let outline = kurbo::stroke(path.elements().iter().copied(), &style, &StrokeOpts::default(), FLATTENING);
            Region::flattened(&outline, tolerance)
        }
        _ => Region::flattened(path, tolerance),
    }
}

fn limit(limits: &Limits, kind: FindingKind) -> Length {
    match kind {
        FindingKind::Stroke => limits.stroke,
        FindingKind::Counter => limits.counter,
        FindingKind::Dot => limits.dot,
        FindingKind::Gap | FindingKind::Near => limits.gap,
        FindingKind::Loose => Length::ZERO,
    }
}

fn named(tag: Option<&MarkTag>, lettering: bool) -> Named {
    let Some(tag) = tag else {
        let words = if lettering { "the unit sign" } else { "the index line" };
        return Named { words: words.to_string(), angle: None };
    };
    let words = match (lettering, tag.label.is_empty()) {
        (true, _) => format!("{} {}", tag.label, tag.unit),
        (false, false) => format!("the tick of {} {}", tag.label, tag.unit),
        (false, true) => format!("a plain tick in {} at {:.1}°", tag.unit, tag.angle.to_deg()),
    };
    Named { words, angle: Some(tag.angle) }
}

/// Pairs of shapes nearer to each other than `gap`.
fn neighbours(pieces: &[Piece], gap: Length) -> Vec<Finding> {
    let regions: Vec<Region> = pieces.iter().map(|piece| piece.region.clone()).collect();
    let pairs = features::near(&regions, gap);
    let finding = |pair: features::Near| {
        let (a, b) = (&pieces[pair.pair.0], &pieces[pair.pair.1]);
        let place = pair.way.middle();
        let spot = kurbo::Circle::new(place, 0.5 * gap.to_mm().max(0.05)).to_path(0.01);
        Finding {
            kind: FindingKind::Near,
            measured: pair.way.distance,
            limit: gap,
            marks: vec![a.named.clone(), b.named.clone()],
            lettering: a.lettering || b.lettering,
            place,
            spot: Region::new(&spot),
        }
    };
    pairs.into_iter().map(finding).collect()
}
