//! The smallest change of a set that its process can make: what a check proposes.
//!
//! Takes a set that a process cannot make as it stands; tries larger numerals, wider ticks and gaps (smaller numerals where
//! a scale does not fit), then bridges, another face, a single unit, and assembles and checks each until one passes.
//! Nothing is proposed that was not tried.

use crate::artwork::{LayoutError, SMALLEST_NUMERAL_MM, Strip};
use crate::assembly::{Assembly, lettering};
use crate::model::{Change, DistanceUnit, Lens, Set, Typeface};
use crate::process::{Checker, Finding, FindingKind};
use crate::units::Length;

/// Rounds of enlarging before a way is given up: larger numerals move marks, which can bring up one new fault or two.
const ROUNDS: usize = 5;

/// What a set needs.
#[derive(Clone, Debug, PartialEq)]
pub enum Suggestion {
    /// These changes pass, as tried.
    Change(Vec<String>),
    /// No change of style passes; the narrowest face that would carry what the process can make, where that is what
    /// stands in the way.
    Nothing(Option<Length>),
}

/// What is wrong with the chosen lenses of a set.
struct Trial {
    findings: Vec<Finding>,
    /// The width that a face would have to have at least, where a scale does not fit it; zero for what is no face.
    short: Option<f64>,
}

/// Steps of a numeral height that is looked for, mm: as a caliper reads.
const STEP: f64 = 0.05;

/// Finds the smallest change with which the lenses of `set` that `wanted` names can be made.
///
/// `found` is what `checker`, which is for the set's process, has found in them as they are; `None` where a scale does
/// not fit, so that not all was checked.
pub fn suggestion(
    set: &Set,
    wanted: &dyn Fn(&Lens) -> bool,
    found: Option<&[Finding]>,
    checker: &mut Checker,
) -> Suggestion {
    let several_units = set.style.bands > 1
        && set.lenses.iter().any(|lens| wanted(lens) && lens.focus.is_some() && lens.units.len() > 1);
    let settings = set.process.settings();
    let bridge = settings.missing_bridge();
    let stouter = [Typeface::Bold, Typeface::Stencil].into_iter();
    let stouter = stouter.filter(|face| settings.line().is_none() && set.style.typeface != *face);
    let mut ways = vec![Change::default()];
    if let Some(bridge) = bridge {
        ways.push(Change { bridge: Some(bridge), ..Change::default() });
    }
    ways.extend(stouter.map(|face| Change { typeface: Some(face), ..Change::default() }));
    if several_units {
        let single: Vec<Change> = ways.iter().map(|way| Change { one_unit: true, ..way.clone() }).collect();
        ways.extend(single);
    }
    let mut needed: Option<f64> = None;
    for way in ways {
        let known = found.filter(|_| way == Change::default());
        match enlarge(set, wanted, way, known, checker) {
            Ok(change) => return Suggestion::Change(words(set, &change)),
            Err(face) => needed = [needed, face].into_iter().flatten().reduce(f64::min),
        }
    }
    // no wider face than the set file takes
    Suggestion::Nothing(needed.filter(|face| (2.0..=120.0).contains(face)).map(Length::mm))
}

/// The greatest numeral height below the set's own at which everything fits, if one does that can be read.
fn fitting(set: &Set, wanted: &dyn Fn(&Lens) -> bool, change: &Change) -> Option<Length> {
    let fits = |steps: usize| {
        let height = Length::mm(steps as f64 * STEP);
        let changed = set.with(&Change { numeral_height: Some(height), ..change.clone() });
        lay_out(&changed, wanted).is_some_and(|(_, short)| short.is_none())
    };
    let least = (SMALLEST_NUMERAL_MM / STEP).round() as usize;
    let most = (set.with(change).style.numeral_height.to_mm() / STEP).ceil() as usize;
    if least >= most || !fits(least) {
        return None;
    }
    // what fits at a height fits at every lower one
    let (mut passes, mut fails) = (least, most);
    while fails - passes > 1 {
        let middle = (passes + fails) / 2;
        if fits(middle) { passes = middle } else { fails = middle }
    }
    Some(Length::mm((passes as f64 * STEP * 100.0).round() / 100.0))
}

/// Enlarges what is too fine until everything passes, or the width of the face that would have carried it.
/// `known` is what is wrong with the way as it is, where that is known.
fn enlarge(
    set: &Set,
    wanted: &dyn Fn(&Lens) -> bool,
    way: Change,
    known: Option<&[Finding]>,
    checker: &mut Checker,
) -> Result<Change, Option<f64>> {
    let mut change = way;
    for round in 0..ROUNDS {
        let changed = set.with(&change);
        let trial = match known.filter(|_| round == 0) {
            Some(known) => Trial { findings: known.to_vec(), short: None },
            None => try_out(&changed, wanted, checker).ok_or(None)?,
        };
        if trial.short.is_some() {
            // numerals that were made larger for the process cannot be made smaller for the face
            if round > 0 || change.numeral_height.is_some() {
                return Err(trial.short);
            }
            change.numeral_height = Some(fitting(set, wanted, &change).ok_or(trial.short)?);
            continue;
        }
        if trial.findings.is_empty() {
            return Ok(change);
        }
        let before = change.clone();
        widen(&mut change, &changed, &trial.findings);
        if change == before {
            return Err(None);
        }
    }
    Err(None)
}

/// Every strip, and the width that a face lacks; `None` where a lens cannot be assembled at all.
fn lay_out(set: &Set, wanted: &dyn Fn(&Lens) -> bool) -> Option<(Vec<Strip>, Option<f64>)> {
    let lettering = lettering(set).ok()?;
    let (mut strips, mut short) = (Vec::new(), None);
    for lens in set.lenses.iter().filter(|lens| wanted(lens)) {
        let assembly = Assembly::new(set, lens, &lettering).ok()?;
        let laid_out = assembly.laid_out();
        strips.extend(laid_out.strips.into_iter().map(|(_, strip)| strip));
        for unfit in laid_out.unfit {
            let needs = match unfit.error {
                LayoutError::TooHigh { needs, .. } => needs.to_mm(),
                _ => 0.0,
            };
            short = Some(f64::max(short.unwrap_or(0.0), needs));
        }
    }
    Some((strips, short))
}

/// Assembles and checks; `None` where a lens cannot be assembled at all.
fn try_out(set: &Set, wanted: &dyn Fn(&Lens) -> bool, checker: &mut Checker) -> Option<Trial> {
    let (strips, short) = lay_out(set, wanted)?;
    // what does not fit need not be looked at; no change of words changes the limits, and most shapes are those of the
    // trial before
    let strips: Vec<&Strip> = strips.iter().collect();
    let findings = if short.is_none() { checker.check_all(&strips).concat() } else { Vec::new() };
    Some(Trial { findings, short })
}

/// Up to the next twentieth of a millimetre, as a caliper reads.
fn rounded_up(mm: f64) -> Length {
    Length::mm((mm * 20.0 - 1e-6).ceil() / 20.0)
}

/// Enlarges what the findings are about.
fn widen(change: &mut Change, set: &Set, findings: &[Finding]) {
    let style = &set.style;
    let most = |of: &dyn Fn(&Finding) -> Option<f64>| findings.iter().filter_map(of).fold(0.0, f64::max);
    let lack = |finding: &Finding| finding.limit.to_mm() / finding.measured.to_mm().max(0.02);
    let numerals = most(&|f| (f.lettering && f.kind != FindingKind::Near).then(|| lack(f)));
    if numerals > 1.0 {
        change.numeral_height = Some(rounded_up(style.numeral_height.to_mm() * numerals));
        // a height that is stated brings back a band that was left out for the default one
        change.one_unit |= style.bands == 1;
    }
    let ticks =
        most(&|f| (!f.lettering && matches!(f.kind, FindingKind::Stroke | FindingKind::Dot)).then(|| f.limit.to_mm()));
    if ticks > style.tick_width.to_mm() {
        change.tick_width = Some(rounded_up(ticks));
    }
    let apart = most(&|f| (!f.lettering && f.kind == FindingKind::Near).then(|| (f.limit - f.measured).to_mm()));
    let tick_width = change.tick_width.unwrap_or(style.tick_width).to_mm();
    let gap =
        style.smallest_gap.to_mm().max(tick_width + set.process.settings().limits().gap.to_mm()).max(2.0 * tick_width);
    if apart > 0.0 || gap > style.smallest_gap.to_mm() + 1e-9 {
        change.smallest_gap = Some(rounded_up(gap + apart));
    }
    let crowd = most(&|f| (f.lettering && f.kind == FindingKind::Near).then(|| (f.limit - f.measured).to_mm()));
    if crowd > 0.0 && numerals <= 1.0 {
        // labels, and the room between a numeral and its tick, which grows with the numeral
        change.label_gap = Some(rounded_up(style.label_gap.to_mm() + crowd));
        change.numeral_height = Some(rounded_up(style.numeral_height.to_mm() + 3.0 * crowd));
    }
}

/// The change as lines of the set file.
fn words(set: &Set, change: &Change) -> Vec<String> {
    let changed = set.with(change);
    let length = |key: &str, before: Length, after: Length| {
        (before != after).then(|| format!("[style] {key} = \"{} mm\"", (after.to_mm() * 1000.0).round() / 1000.0))
    };
    let (before, after) = (&set.style, &changed.style);
    let mut lines = Vec::new();
    if let Some(word) = change.typeface.as_ref().and_then(Typeface::word) {
        lines.push(format!("[style] typeface = \"{word}\""));
    }
    if change.numeral_height.is_some() {
        lines.extend(length("numeral_height", before.numeral_height, after.numeral_height));
    }
    if change.tick_width.is_some() {
        lines.extend(length("tick_width", before.tick_width, after.tick_width));
    }
    if change.smallest_gap.is_some() {
        lines.extend(length("smallest_gap", before.smallest_gap, after.smallest_gap));
    }
    if change.label_gap.is_some() {
        lines.extend(length("label_gap", before.label_gap, after.label_gap));
    }
    if let Some(bridge) = change.bridge {
        lines.push(format!("[process.vinyl] bridge = \"{bridge}\""));
    }
    if change.one_unit {
        let first = set.lenses.iter().find_map(|lens| lens.units.first());
        let unit = if first == Some(&DistanceUnit::Foot) { "ft" } else { "m" };
        lines.push(format!("[set] units = [\"{unit}\"]"));
    }
    lines
}
