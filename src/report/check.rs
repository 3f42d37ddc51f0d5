//! What a process cannot make, for people and for programs.

use super::documents::check::{Check, Cut, LensChecked, MarkNamed, PieceChecked};
use super::documents::values::{Number, Version};
use super::documents::{self, text};
use crate::assembly::Assembly;
use crate::model::Piece;
use crate::process::{CutReport, Finding, FindingKind, Limits, Named, Process};
use crate::suggestion::Suggestion;
use crate::units::Length;

/// One strip, disc or row of plates that was checked.
pub struct Checked<'a> {
    /// Whose it is.
    pub assembly: &'a Assembly<'a>,
    /// The ending of its file's name.
    pub piece: Piece,
    /// What cannot be made.
    pub findings: Vec<Finding>,
    /// A scale that does not fit what is to carry it, in a sentence.
    pub unfit: Option<String>,
    /// The cutting job and its smallest feature, where it is cut.
    pub cut: Option<(CutReport, Option<Length>)>,
}

impl Checked<'_> {
    fn passes(&self) -> bool {
        self.findings.is_empty() && self.unfit.is_none()
    }
}

/// The most marks named in a line.
const NAMED: usize = 4;

fn mm(length: Length) -> String {
    format!("{:.2} mm", length.to_mm())
}

/// `strokes too thin`.
pub(super) fn kind_words(kind: FindingKind) -> &'static str {
    match kind {
        FindingKind::Stroke => "strokes too thin",
        FindingKind::Gap => "openings too narrow",
        FindingKind::Counter => "holes too small",
        FindingKind::Dot => "pieces too small",
        FindingKind::Near => "too near to each other",
        FindingKind::Loose => "islands that fall out of the mask",
    }
}

/// What a finding is about: one mark, or a pair.
pub(super) fn about(finding: &Finding) -> String {
    finding.marks.iter().map(|mark| mark.words.as_str()).collect::<Vec<_>>().join(" and ")
}

/// Findings of each kind, the worst first.
fn by_kind(findings: &[Finding]) -> Vec<(FindingKind, Vec<&Finding>)> {
    let mut kinds: Vec<(FindingKind, Vec<&Finding>)> = Vec::new();
    for finding in findings {
        match kinds.iter_mut().find(|(kind, _)| *kind == finding.kind) {
            Some((_, list)) => list.push(finding),
            None => kinds.push((finding.kind, vec![finding])),
        }
    }
    for (_, list) in &mut kinds {
        list.sort_by(|a, b| a.measured.to_mm().total_cmp(&b.measured.to_mm()));
    }
    kinds
}

/// The findings of one kind in a line.
fn line(kind: FindingKind, list: &[&Finding]) -> String {
    let worst = list[0];
    let mut names: Vec<String> = Vec::new();
    for finding in list {
        let name = about(finding);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let more = names.len().saturating_sub(NAMED);
    let mut named = names[..names.len().min(NAMED)].join(", ");
    if more > 0 {
        named.push_str(&format!(" and {more} more"));
    }
    let words = kind_words(kind);
    if kind == FindingKind::Loose {
        return format!("{words}: {named}; bridges would hold them");
    }
    format!("{words}: {} at the worst, {} can be made: {named}", mm(worst.measured), mm(worst.limit))
}

/// The worst of a strip's findings in a line; `None` when there are none.
pub fn worst_line(findings: &[Finding]) -> Option<String> {
    let lack = |finding: &&Finding| finding.measured.to_mm() / finding.limit.to_mm().max(1e-6);
    let worst = findings.iter().min_by(|a, b| lack(a).total_cmp(&lack(b)))?;
    let more = match findings.len() {
        1 => String::new(),
        2 => "; and 1 more place".to_string(),
        count => format!("; and {} more places", count - 1),
    };
    let (words, measured, limit) = (kind_words(worst.kind), mm(worst.measured), mm(worst.limit));
    if worst.kind == FindingKind::Loose {
        return Some(format!("{words} ({}){more}", about(worst)));
    }
    Some(format!("{words} ({}: {measured}, {limit} can be made){more}", about(worst)))
}

/// A place that cannot be made, in a line: `0.9 m: strokes too thin, 0.10 mm, 0.13 mm can be made`.
pub fn finding_line(finding: &Finding) -> String {
    let (words, about) = (kind_words(finding.kind), about(finding));
    if finding.kind == FindingKind::Loose {
        return format!("{about}: {words}");
    }
    format!("{about}: {words}, {}; {} can be made", mm(finding.measured), mm(finding.limit))
}

/// A cutting job in a line.
pub fn cut_line(cut: &CutReport, smallest: Option<Length>) -> String {
    let count = |n: usize, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
    let pieces = count(cut.pieces, "piece", "pieces");
    let holes = match cut.holes_to_pick_out {
        0 => "no hole to pick out".to_string(),
        n => count(n, "hole to pick out", "holes to pick out"),
    };
    let smallest = smallest.map_or(String::new(), |smallest| format!(", smallest feature {}", mm(smallest)));
    format!(
        "{pieces}, {holes}, {:.0} mm of cut, {}{smallest}, about {}",
        cut.cut_mm,
        count(cut.corners, "corner", "corners"),
        minutes(cut.minutes)
    )
}

fn minutes(minutes: f64) -> String {
    match minutes.ceil() as u64 {
        0 | 1 => "a minute".to_string(),
        n => format!("{n} minutes"),
    }
}

/// Everything that was found, for people.
///
/// `off_sheet` is why what fits its rings does not fit its sheets.
pub fn check_text(
    process: &Process,
    checked: &[Checked],
    off_sheet: Option<&str>,
    suggestion: Option<&Suggestion>,
) -> String {
    let mut text = String::new();
    for strip in checked {
        text.push_str(&format!("{}, {}\n", strip.assembly.lens.name, strip.piece));
        if let Some(unfit) = &strip.unfit {
            text.push_str(&format!("  does not fit: {unfit}\n"));
        }
        for (kind, list) in by_kind(&strip.findings) {
            text.push_str(&format!("  {}\n", line(kind, &list)));
        }
        if strip.passes() {
            text.push_str("  nothing too fine\n");
        }
        if let Some((cut, smallest)) = &strip.cut {
            text.push_str(&format!("  {}\n", cut_line(cut, *smallest)));
        }
    }
    text.push('\n');
    if let Some(off_sheet) = off_sheet {
        text.push_str(&format!("Sheets: {off_sheet}\n"));
    }
    let places: usize = checked.iter().map(|strip| strip.findings.len() + usize::from(strip.unfit.is_some())).sum();
    let places = places + usize::from(off_sheet.is_some());
    let name = process.kind().word();
    match places {
        0 => text.push_str(&format!("Everything can be made ({name}).\n")),
        1 => text.push_str(&format!("One place cannot be made ({name}).\n")),
        n => text.push_str(&format!("{n} places cannot be made ({name}).\n")),
    }
    match suggestion {
        None => {}
        Some(Suggestion::Change(lines)) => {
            let all = if lines.len() > 1 { ", all of it together" } else { "" };
            text.push_str(&format!("The smallest change that was found to pass{all}:\n"));
            lines.iter().for_each(|line| text.push_str(&format!("  {line}\n")));
        }
        Some(Suggestion::Nothing(face)) => {
            text.push_str("No change of style was found to pass");
            if let Some(face) = face {
                text.push_str(&format!(": it would need a face of {:.1} mm at least", face.to_mm()));
            }
            text.push_str(
                ". Try a larger ring or disc, another process, or the limits that your own tests have shown.\n",
            );
        }
    }
    text
}

fn limits(limits: &Limits) -> documents::check::Limits {
    documents::check::Limits {
        stroke_mm: limits.stroke.into(),
        gap_mm: limits.gap.into(),
        dot_mm: limits.dot.into(),
        counter_mm: limits.counter.into(),
    }
}

fn found(finding: &Finding) -> documents::check::Finding {
    let mark = |mark: &Named| MarkNamed { mark: mark.words.clone(), angle_deg: mark.angle.map(Number::from) };
    documents::check::Finding {
        kind: finding.kind,
        measured_mm: finding.measured.into(),
        limit_mm: finding.limit.into(),
        marks: finding.marks.iter().map(mark).collect(),
        x_mm: finding.place.x.into(),
        y_mm: finding.place.y.into(),
    }
}

fn cut((cut, smallest): &(CutReport, Option<Length>)) -> Cut {
    Cut {
        pieces: cut.pieces,
        pieces_to_weed: cut.pieces_to_weed,
        holes_to_pick_out: cut.holes_to_pick_out,
        cut_mm: cut.cut_mm.into(),
        travel_mm: cut.travel_mm.into(),
        corners: cut.corners,
        smallest_mm: smallest.map(Number::from),
        minutes: cut.minutes.into(),
    }
}

/// Everything that was found, for programs.
///
/// `off_sheet` as in [`check_text`].
pub fn check_document(
    set: &str,
    process: &Process,
    checked: &[Checked],
    off_sheet: Option<&str>,
    suggestion: Option<&Suggestion>,
) -> Check {
    let mut lenses: Vec<LensChecked> = Vec::new();
    for strip in checked {
        let name = &strip.assembly.lens.name;
        let piece = PieceChecked {
            piece: strip.piece,
            unfit: strip.unfit.clone(),
            findings: strip.findings.iter().map(found).collect(),
            cut: strip.cut.as_ref().map(cut),
        };
        match lenses.iter_mut().find(|lens| lens.name == *name) {
            Some(lens) => lens.pieces.push(piece),
            None => lenses.push(LensChecked { name: name.clone(), pieces: vec![piece] }),
        }
    }
    let (changes_that_pass, face) = match suggestion {
        None => (None, None),
        Some(Suggestion::Change(lines)) => (Some(lines.clone()), None),
        Some(Suggestion::Nothing(face)) => (Some(Vec::new()), *face),
    };
    Check {
        version: Version,
        set: set.to_string(),
        process: process.kind(),
        limits: limits(&process.settings().limits()),
        passes: off_sheet.is_none() && checked.iter().all(Checked::passes),
        lenses,
        sheets: off_sheet.map(str::to_string),
        changes_that_pass,
        face_needed_mm: face.map(Number::from),
    }
}

/// Everything that was found, as JSON.
///
/// `off_sheet` as in [`check_text`].
pub fn check_json(
    set: &str,
    process: &Process,
    checked: &[Checked],
    off_sheet: Option<&str>,
    suggestion: Option<&Suggestion>,
) -> String {
    text(&check_document(set, process, checked, off_sheet, suggestion))
}
