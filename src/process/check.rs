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
        "ft" if tag.label != "∞" => tag.label.clone(),
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
mod tests {
    use super::*;
    use crate::artwork::Layer;
    use crate::check::assert_close;
    use crate::process::{Film, Vinyl};

    #[test]
    fn a_mark_whose_own_pieces_are_too_near_is_named_once() {
        let named = |words: &str| Named { words: words.into(), angle: None };
        let piece = |words: &str, x: f64| CheckedShape {
            named: named(words),
            lettering: true,
            region: Region::rectangle(kurbo::Rect::new(x, 0.0, x + 1.0, 1.0)),
        };
        let pieces = [piece("0.75 m", 0.0), piece("0.75 m", 1.1), piece("0.8 m", 2.2)];
        let found = neighbours(&pieces, Length::mm(0.3));
        let marks: Vec<Vec<Named>> = found.into_iter().map(|finding| finding.marks).collect();
        assert_eq!(marks, [vec![named("0.75 m")], vec![named("0.75 m"), named("0.8 m")]]);
    }

    /// Upright bars of 2 mm, each from one x to another.
    fn bars(spans: &[(f64, f64)]) -> Strip {
        let bar = |&(from, to): &(f64, f64)| Group::new(None, kurbo::Rect::new(from, 0.0, to, 2.0).to_path(1e-6));
        let drawing = Drawing {
            title: "bars".into(),
            width: Length::mm(10.0),
            height: Length::mm(2.0),
            layers: vec![Layer::new(LayerKind::Ticks, spans.iter().map(bar).collect())],
        };
        Strip { drawing, flat: None, round: None }
    }

    #[test]
    fn a_printer_keeps_lines_and_gaps_of_three_of_its_dots_and_loses_finer_ones() {
        for dpi in [300.0, 600.0, 1200.0] {
            let process = Process::Film(Film { dpi, ..Film::default() });
            // by hand: a dot is 25.4 mm over the dots to the inch, so 0.0423 mm at 600
            let dots = |count: f64| count * 25.4 / dpi;
            let ink = |spans: &[(f64, f64)]| outcome(&bars(spans), &process).iter().map(Region::area).sum::<f64>();
            // rounding its corners takes less than a dot's length off a line
            let (kept, lost) = (ink(&[(0.0, dots(3.1))]), ink(&[(0.0, dots(2.8))]));
            assert_close(kept, dots(3.1) * 2.0, dots(3.1) * dots(1.0));
            assert_eq!(lost, 0.0, "{dpi} dpi");
            // two bars of 1 mm: halfway up, a narrow gap between them is printed shut
            let shut = |gap: f64| {
                let regions = outcome(&bars(&[(0.0, 1.0), (1.0 + gap, 2.0 + gap)]), &process);
                regions.iter().any(|region| region.contains(Point::new(1.0 + 0.5 * gap, 1.0)))
            };
            assert!(!shut(dots(3.1)) && shut(dots(2.8)), "{dpi} dpi");
            // and what comes out whole is what the check lets pass
            let passes = |spans: &[(f64, f64)]| Checker::new(&process).check(&bars(spans)).is_empty();
            assert!(passes(&[(0.0, dots(3.1))]) && !passes(&[(0.0, dots(2.8))]));
        }
    }

    fn outline(data: &str) -> Strip {
        let mut strip = bars(&[]);
        strip.drawing.layers[0].groups = vec![Group::new(None, BezPath::from_svg(data).unwrap())];
        strip
    }

    #[test]
    fn the_finest_width_is_measured_up_to_twice_the_limit() {
        let process = Process::Vinyl(Vinyl::default());
        let limits = process.settings().limits();
        let larger = limits.stroke.max(limits.gap).to_mm();
        let smallest = |strip: &Strip| Checker::new(&process).smallest(strip).map(Length::to_mm);
        for (share, measured) in [(0.7, true), (1.5, true), (1.9, true), (2.1, false)] {
            let found = smallest(&bars(&[(30.0, 30.0 + share * larger)]));
            assert_eq!(found.is_some(), measured, "{share}");
            assert_close(found.unwrap_or(share * larger), share * larger, 0.02 * share * larger);
        }
        // a comb with teeth under the stroke's limit, and between them a clear way that is finer still but not too fine
        let limits = Limits { stroke: Length::mm(0.6), gap: Length::mm(0.4), ..limits };
        let process = Process::Vinyl(Vinyl { limits, ..Vinyl::default() });
        let comb = "M0 0L0.5 0L0.5 4L0.95 4L0.95 0L1.45 0L1.45 6L0 6Z";
        assert!(Checker::new(&process).check(&outline(comb)).iter().all(|one| one.kind == FindingKind::Stroke));
        assert_close(Checker::new(&process).smallest(&outline(comb)).unwrap().to_mm(), 0.45, 0.01);
    }

    #[test]
    fn a_finding_lies_on_the_mark_that_it_is_about() {
        let process = Process::Vinyl(Vinyl::default());
        let findings = Checker::new(&process).check(&bars(&[(10.0, 14.0), (30.0, 30.1)]));
        assert_eq!(findings.len(), 1);
        let (place, spot) = (findings[0].place, findings[0].spot.bounds());
        assert!((30.0..=30.1).contains(&place.x) && (0.0..=2.0).contains(&place.y), "{place:?}");
        for (found, expected) in [(spot.x0, 30.0), (spot.x1, 30.1), (spot.y0, 0.0), (spot.y1, 2.0)] {
            assert_close(found, expected, 0.01);
        }
        assert_close(findings[0].measured.to_mm(), 0.1, 0.01);
    }

    #[test]
    fn what_a_mark_surrounds_is_loose_in_a_mask_and_nothing_else_is() {
        let process = |cut| Process::Vinyl(Vinyl { cut, ..Vinyl::default() });
        let frame = outline("M20 0L28 0L28 9L20 9ZM22 3L22 7L25 7L25 3ZM40 0L43 0L43 9L40 9Z");
        let loose = |cut| {
            let process = process(cut);
            let found = Checker::new(&process).check(&frame);
            found.into_iter().filter(|one| one.kind == FindingKind::Loose).collect::<Vec<_>>()
        };
        let found = loose(Cut::Mask);
        assert_eq!(found.len(), 1);
        // the hole is 3 by 4 mm
        assert_close(found[0].measured.to_mm(), 3.0, 1e-6);
        assert_close(found[0].spot.area(), 12.0, 1e-4);
        assert_close(found[0].place.distance(Point::new(23.5, 5.0)), 0.0, 1e-5);
        assert!(loose(Cut::Marks).is_empty());
    }

    #[test]
    fn two_marks_too_near_are_shown_by_a_spot_as_wide_as_the_gap_that_is_needed() {
        let piece = |words: &str, x: f64| CheckedShape {
            named: Named { words: words.into(), angle: None },
            lettering: words == "1 m",
            region: Region::rectangle(kurbo::Rect::new(x, 0.0, x + 1.0, 1.0)),
        };
        let found = neighbours(&[piece("tick", 0.0), piece("1 m", 1.2), piece("tick", 2.9)], Length::mm(0.3));
        assert_eq!(found.len(), 1);
        assert_close(found[0].measured.to_mm(), 0.2, 1e-6);
        assert_close(found[0].place.x, 1.1, 1e-6);
        assert_close(found[0].spot.bounds().width(), 0.3, 0.01);
        assert!(found[0].lettering);
    }
}
