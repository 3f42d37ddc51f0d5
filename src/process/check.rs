//! What a process cannot make of a strip, mark by mark, and how the strip will come out.
//!
//! Takes a strip as it was laid out and a process; gives findings with the mark, the place on the drawing and what
//! was measured there. Connected pieces are checked one by one in their own upright axes, each distinct one once;
//! neighbours by the clear width between them.

use std::collections::{BTreeMap, HashMap, HashSet};

use kurbo::{Affine, BezPath, Point, Shape, Stroke, StrokeOpts, Vec2};

use super::features::{self, Feature, Flaw};
use super::{Cut, Limits, Process};
use crate::artwork::{Drawing, Group, Ink, LayerKind, MarkTag, Strip};
use crate::parallel;
use crate::region::{Island, Region};
use crate::units::{Angle, Length};

/// How far flattened curves may stray in a check, mm: a third of what a caliper shows.
const FLATTENING: f64 = 0.006;

/// What is wrong at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "lowercase")]
#[non_exhaustive]
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
    /// Its name for programs.
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
    /// One mark, or both of a pair; one where pieces of a mark stand too near to each other.
    pub marks: Vec<Named>,
    /// Whether it is about a numeral or a unit sign, not only about ticks.
    pub lettering: bool,
    /// Where it is, on the strip's drawing.
    pub place: Point,
    /// The part of the drawing that is too fine: ink that is lost, or ground that fills up.
    pub spot: Region,
}

/// One connected piece of a mark on its drawing.
struct CheckedShape {
    named: Named,
    /// Whether it is a numeral or a unit sign.
    lettering: bool,
    region: Region,
}

/// Checks strips of one process, and keeps the results of shapes that were checked.
pub struct Checker<'a> {
    process: &'a Process,
    flaws: HashMap<Key, Vec<Flaw>>,
    smallest: HashMap<Key, Option<Length>>,
}

impl<'a> Checker<'a> {
    /// A checker for `process` without results yet.
    pub fn new(process: &'a Process) -> Self {
        Checker { process, flaws: HashMap::new(), smallest: HashMap::new() }
    }

    /// Everything that the process cannot make of the marks of a strip, from left to right.
    pub fn check(&mut self, strip: &Strip) -> Vec<Finding> {
        self.check_all(&[strip]).pop().unwrap_or_default()
    }

    /// The same of several strips, in their order, on all cores.
    pub fn check_all(&mut self, strips: &[&Strip]) -> Vec<Vec<Finding>> {
        let mut each: Vec<Vec<Mark>> = parallel::each(strips, |strip| marks(strip));
        let ends: Vec<usize> = each.iter().map(Vec::len).collect();
        let all: Vec<Mark> = each.drain(..).flatten().collect();
        self.look_at(&all);
        let mut rest = all.as_slice();
        let of_strips: Vec<&[Mark]> = ends.iter().filter_map(|end| rest.split_off(..*end)).collect();
        parallel::each(&of_strips, |marks| self.findings(marks))
    }

    /// What is wrong with the marks of one strip, whose shapes are known.
    fn findings(&self, marks: &[Mark]) -> Vec<Finding> {
        let limits = self.process.settings().limits();
        let mask = matches!(self.process, Process::Vinyl(vinyl) if vinyl.cut == Cut::Mask);
        let mut findings = Vec::new();
        let mut pieces = Vec::new();
        for mark in marks {
            let (lettering, named) = (mark.lettering, named(mark.group.tag.as_ref(), mark.lettering));
            for upright in &mark.uprights {
                let back = mark.group.frame * Affine::translate(upright.at);
                for flaw in &self.flaws[&upright.key] {
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
                pieces.push(CheckedShape { named: named.clone(), lettering, region });
            }
        }
        findings.extend(neighbours(&pieces, limits.gap));
        findings.sort_by(|a, b| a.place.x.total_cmp(&b.place.x));
        findings
    }

    /// The thinnest stroke or narrowest gap of a strip's shapes, up to twice what the process can make.
    pub fn smallest(&mut self, strip: &Strip) -> Option<Length> {
        let limits = self.process.settings().limits();
        let marks = marks(strip);
        self.look_at(&marks);
        let new = distinct(&marks, &self.smallest);
        let found = parallel::each(&new, |upright| least(&upright.shape, &self.flaws[&upright.key], &limits));
        self.smallest.extend(new.iter().map(|upright| upright.key.clone()).zip(found));
        let widths = marks.iter().flat_map(|mark| &mark.uprights).filter_map(|upright| self.smallest[&upright.key]);
        widths.reduce(Length::min)
    }

    /// Finds the flaws of shapes that were not yet seen.
    fn look_at(&mut self, marks: &[Mark]) {
        let limits = self.process.settings().limits();
        let new = distinct(marks, &self.flaws);
        let found = parallel::each(&new, |upright| features::flaws(&upright.shape, &limits));
        self.flaws.extend(new.iter().map(|upright| upright.key.clone()).zip(found));
    }
}

/// The thinnest stroke or narrowest gap of a shape whose flaws are known. These contain all strokes and gaps below the
/// limits, so that only widths below the thinnest of them are left to measure.
fn least(shape: &Region, flaws: &[Flaw], limits: &Limits) -> Option<Length> {
    let thin = flaws.iter().filter(|flaw| flaw.feature != Feature::Dot).map(|flaw| flaw.width);
    let thinnest = thin.reduce(Length::min);
    let dots = flaws.iter().any(|flaw| flaw.feature == Feature::Dot);
    match thinnest {
        Some(width) if !dots && width <= limits.stroke.min(limits.gap) => Some(width),
        _ => {
            let most = limits.stroke.max(limits.gap) * 2.0;
            let smallest = features::smallest(shape, thinnest.unwrap_or(most));
            let measured = [smallest.stroke, smallest.gap].into_iter().flatten();
            measured.map(|(width, _)| width).chain(thinnest).reduce(Length::min)
        }
    }
}

/// What tells a shape from others: its corners to two micrometres.
type Key = Vec<(i32, i32)>;

/// A connected piece of a mark in its own upright axes, moved to where all equal pieces are.
struct Upright {
    shape: Region,
    key: Key,
    /// Where it stood.
    at: Vec2,
}

/// A mark that is made, in pieces.
struct Mark<'a> {
    group: &'a Group,
    lettering: bool,
    uprights: Vec<Upright>,
}

fn marks(strip: &Strip) -> Vec<Mark<'_>> {
    let shapes: Vec<(&Group, Ink, bool)> = shapes(&strip.drawing).collect();
    parallel::each(&shapes, |(group, ink, lettering)| Mark {
        group,
        lettering: *lettering,
        uprights: upright(group, *ink),
    })
}

/// One of each kind of shape that is not yet known.
fn distinct<'m, T>(marks: &'m [Mark], known: &HashMap<Key, T>) -> Vec<&'m Upright> {
    let mut seen = HashSet::new();
    let uprights = marks.iter().flat_map(|mark| &mark.uprights);
    uprights.filter(|upright| !known.contains_key(&upright.key) && seen.insert(&upright.key)).collect()
}

fn upright(group: &Group, ink: Ink) -> Vec<Upright> {
    let own = group.frame.inverse() * group.path.clone();
    let piece = |island: Region| {
        let at = island.bounds().origin().to_vec2();
        let shape = placed(&island, Affine::translate(-at));
        let coarse = |mm: f64| (500.0 * mm).round() as i32;
        let key = shape.contours().flatten().map(|place| (coarse(place.x), coarse(place.y))).collect();
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
/// One region for every mark or piece of one that the tool keeps apart from the others.
pub fn outcome(strip: &Strip, process: &Process) -> Vec<Region> {
    let radius = process.settings().tool_radius();
    let marks = marks(strip);
    let pieces: Vec<(&Upright, Affine)> = marks
        .iter()
        .flat_map(|mark| mark.uprights.iter().map(|piece| (piece, mark.group.frame * Affine::translate(piece.at))))
        .collect();
    let regions: Vec<Region> = pieces.iter().map(|(piece, back)| placed(&piece.shape, *back)).collect();
    // shapes farther apart than the tool is wide do not affect each other
    let mut cluster: Vec<usize> = (0..pieces.len()).collect();
    for near in features::near(&regions, radius * 2.0 + Length::mm(FLATTENING)) {
        let (keep, join) = (cluster[near.pair.0], cluster[near.pair.1]);
        cluster.iter_mut().filter(|of| **of == join).for_each(|of| *of = keep);
    }
    let mut clusters: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    cluster.iter().enumerate().for_each(|(at, of)| clusters.entry(*of).or_default().push(at));
    let alone = clusters.values().filter(|members| members.len() == 1).map(|members| pieces[members[0]].0);
    let mut seen = HashSet::new();
    let distinct: Vec<&Upright> = alone.filter(|piece| seen.insert(&piece.key)).collect();
    let made = parallel::each(&distinct, |piece| features::simulated(&piece.shape, radius));
    let made: HashMap<&Key, Region> = distinct.iter().map(|piece| &piece.key).zip(made).collect();
    let clusters: Vec<Vec<usize>> = clusters.into_values().collect();
    parallel::each(&clusters, |members| match members[..] {
        [one] => placed(&made[&pieces[one].0.key], pieces[one].1),
        _ => features::simulated(&Region::union_of(members.iter().map(|at| &regions[*at])), radius),
    })
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
    let label = match tag.unit.as_str() {
        "f" => format!("f/{}", tag.label),
        "T" => format!("T{}", tag.label),
        // its primes show that it is in feet and inches
        "ft" if !tag.label.starts_with('∞') => tag.label.clone(),
        unit => format!("{} {unit}", tag.label),
    };
    let words = match (lettering, tag.label.is_empty()) {
        (true, _) => label,
        (false, false) => format!("the tick of {label}"),
        (false, true) => format!("a plain tick in {} at {:.1}°", tag.unit, tag.angle.to_deg()),
    };
    Named { words, angle: Some(tag.angle) }
}

/// Pairs of shapes nearer to each other than `gap`.
fn neighbours(pieces: &[CheckedShape], gap: Length) -> Vec<Finding> {
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
            marks: if a.named == b.named { vec![a.named.clone()] } else { vec![a.named.clone(), b.named.clone()] },
            lettering: a.lettering || b.lettering,
            place,
            spot: Region::new(&spot),
        }
    };
    pairs.into_iter().map(finding).collect()
}

#[cfg(test)]
mod tests;
