//! Tests: what is found, where it lies, and what comes out.

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
