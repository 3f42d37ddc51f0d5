//! A picture of what a process cannot make: the strip with each place in red, how it will come out, and every distinct
//! finding enlarged.

use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::check::{about, kind_words};
use crate::artwork::{Drawing, Group, Ink, Layer, LayerKind, Strip};
use crate::lettering::{Lettering, LetteringError};
use crate::parallel;
use crate::process::{Finding, FindingKind, Process, filled, outcome, shapes};
use crate::region::Region;
use crate::units::Length;

/// White round everything, mm.
const MARGIN: f64 = 5.0;
/// What a close-up shows, mm of the strip, and how large.
const WINDOW: (f64, f64) = (6.0, 5.0);
const ENLARGED: f64 = 4.0;
/// A close-up's cell with its two panes and its caption, mm.
const CELL: (f64, f64) = (56.0, 34.0);
/// Close-ups in a picture: enough to see every kind of fault, few enough to look at.
const MOST: usize = 24;
/// By how much a spot is grown so that it shows at true size, mm.
const SHOWN: f64 = 0.12;
/// Height of the digits of captions, mm.
const CAPTION: f64 = 1.8;

/// The strip with its findings, and how it comes out.
///
/// # Errors
/// When the face lacks a letter of a caption.
pub fn findings_picture(
    strip: &Strip,
    process: &Process,
    findings: &[Finding],
    lettering: &Lettering,
) -> Result<Drawing, LetteringError> {
    let (across, high) = (strip.drawing.width.to_mm(), strip.drawing.height.to_mm());
    let mut page = Page { lettering, black: Vec::new(), red: Vec::new(), frames: Vec::new() };
    let drawn: Vec<(&Group, Ink, bool)> = shapes(&strip.drawing).collect();
    let made = parallel::each(&drawn, |(group, ink, _)| filled(&group.path, *ink));
    let comes_out = outcome(strip, process);
    let mut y = MARGIN + 4.0;
    for (words, drawn) in [("as drawn, too fine in red", true), ("as it will come out", false)] {
        page.text(words, Point::new(MARGIN, y), f64::INFINITY)?;
        let place = Affine::translate((MARGIN, y + 2.0));
        if drawn {
            made.iter().for_each(|region| page.black.push(place * region.to_path()));
            let grown = parallel::each(findings, |finding| finding.spot.offset(Length::mm(SHOWN)).to_path());
            page.red.extend(grown.into_iter().map(|spot| place * spot));
        } else {
            comes_out.iter().for_each(|region| page.black.push(place * region.to_path()));
        }
        page.frame(place, Rect::new(0.0, 0.0, across, high));
        y += high + 9.0;
    }
    let close_ups = distinct(findings);
    let columns = (((across + MARGIN) / CELL.0) as usize).clamp(3, 6);
    for (i, finding) in close_ups.iter().take(MOST).enumerate() {
        let corner = Point::new(MARGIN + CELL.0 * (i % columns) as f64, y + CELL.1 * (i / columns) as f64);
        page.close_up(corner, finding, &made, &comes_out)?;
    }
    let rows = close_ups.len().min(MOST).div_ceil(columns);
    let width = (across + 2.0 * MARGIN).max(2.0 * MARGIN + CELL.0 * columns as f64);
    let height = y + CELL.1 * rows as f64 + MARGIN;
    let groups = |paths: Vec<BezPath>| paths.into_iter().map(|path| Group::new(None, path)).collect::<Vec<_>>();
    Ok(Drawing {
        title: format!("{}, what cannot be made", strip.drawing.title),
        width: Length::mm(width),
        height: Length::mm(height),
        layers: vec![
            Layer::new(LayerKind::Guide, groups(page.frames)).with_ink(Ink::Line(Length::mm(0.08))),
            Layer::new(LayerKind::Numerals, groups(page.black)),
            Layer::new(LayerKind::Guide, groups(page.red)).with_ink(Ink::Red),
        ],
    })
}

/// One finding for every kind at every label, the worst, in the strip's order; of ticks, which look alike, one for
/// every length.
fn distinct(findings: &[Finding]) -> Vec<&Finding> {
    let mut kept: Vec<&Finding> = Vec::new();
    let alike = |a: &Finding, b: &Finding| {
        let (a, b) = (a.spot.bounds().size().to_vec2(), b.spot.bounds().size().to_vec2());
        (a.hypot() - b.hypot()).abs() < 0.05
    };
    let ticks = |a: &Finding, b: &Finding| !a.lettering && !b.lettering && a.marks.len() == b.marks.len();
    let same = |a: &Finding, b: &Finding| a.kind == b.kind && (about(a) == about(b) || (ticks(a, b) && alike(a, b)));
    for finding in findings {
        match kept.iter_mut().find(|other| same(other, finding)) {
            Some(other) if finding.measured < other.measured => *other = finding,
            Some(_) => {}
            None => kept.push(finding),
        }
    }
    kept
}

struct Page<'a> {
    lettering: &'a Lettering,
    black: Vec<BezPath>,
    red: Vec<BezPath>,
    frames: Vec<BezPath>,
}

impl Page<'_> {
    /// A caption, made narrower where it would be wider than `room`.
    fn text(&mut self, text: &str, at: Point, room: f64) -> Result<(), LetteringError> {
        let line = self.lettering.line(text)?;
        let scale = CAPTION / self.lettering.numeral_height().to_mm();
        let narrow = (room / (line.width.to_mm() * scale)).min(1.0);
        let place = Affine::translate(at.to_vec2()) * Affine::scale_non_uniform(scale * narrow, scale);
        self.black.push(place * line.outline);
        Ok(())
    }

    fn frame(&mut self, place: Affine, rect: Rect) {
        self.frames.push(place * rect.to_path(1e-3));
    }

    /// A place as drawn, with the finding in red, and beside it as it comes out.
    fn close_up(
        &mut self,
        corner: Point,
        finding: &Finding,
        made: &[Region],
        comes_out: &[Region],
    ) -> Result<(), LetteringError> {
        let window = Rect::from_center_size(finding.place, WINDOW);
        let pane = Region::rectangle(window);
        let near = |region: &&Region| {
            let both = region.bounds().intersect(window);
            both.width() > 0.0 && both.height() > 0.0
        };
        for (at, drawn) in [(0.0, true), (WINDOW.0 * ENLARGED + 2.0, false)] {
            let place = Affine::translate((corner.x + at, corner.y))
                * Affine::scale(ENLARGED)
                * Affine::translate((-window.x0, -window.y0));
            if drawn {
                self.red.push(place * finding.spot.offset(Length::mm(0.02)).intersection(&pane).to_path());
            }
            let shown = if drawn { made } else { comes_out };
            shown.iter().filter(near).for_each(|region| {
                self.black.push(place * region.intersection(&pane).to_path());
            });
            self.frame(place, window);
        }
        let measured = format!("{:.2} mm, {:.2} mm can be made", finding.measured.to_mm(), finding.limit.to_mm());
        let below = corner.y + WINDOW.1 * ENLARGED;
        let room = CELL.0 - 4.0;
        let what = if finding.kind == FindingKind::Near {
            about(finding)
        } else {
            format!("{}: {}", about(finding), kind_words(finding.kind))
        };
        self.text(&what, Point::new(corner.x, below + 3.2), room)?;
        self.text(&measured, Point::new(corner.x, below + 6.6), room)
    }
}
