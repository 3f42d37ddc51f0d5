//! Tests of strips.

use std::f64::consts::PI;

use super::*;
use crate::check::assert_close;
use crate::lettering;
use crate::scale::{BandUnit, Grounds, MarkValue, TickClass};
use crate::surface::Ring;
use crate::units::{Distance, DistanceUnit};

const NUMERAL: f64 = 2.0;
const DIAMETER: f64 = 60.0;

fn look() -> Look {
    Look {
        tick_width: Length::mm(0.3),
        tool: None,
        numbered_tick: Length::mm(2.0),
        tick_follows: true,
        medium_tick: crate::artwork::medium_tick(Length::mm(2.0), Length::mm(1.0)),
        plain_tick: Length::mm(1.0),
        sign: crate::scale::UnitSign::Start,
        label_gap: Length::mm(1.2),
        extent: Extent::Used,
    }
}

/// A strip of a 60 mm ring, with marks at turns; an empty label makes a plain one.
fn ring(marks: &[(&str, f64)]) -> Strip {
    read(marks, Sense::Counterclockwise, Edge::Rear, Edge::Rear)
}

/// The same on a ring that turns so, read from an edge, with its index at one.
fn read(marks: &[(&str, f64)], sense: Sense, read_from: Edge, index: Edge) -> Strip {
    let diameter = Length::mm(DIAMETER);
    let ring = Ring { rear_diameter: diameter, front_diameter: diameter, width: Length::mm(12.0) };
    let face = ScaleFace { surface: Surface::new(&ring, Length::ZERO), sense, index, read_from, repeat: false };
    let mark = |(label, turn): &(&str, f64)| Mark {
        value: MarkValue::Distance(Distance::mm(1000.0)),
        label: (*label).into(),
        angle: Angle::deg(*turn),
        arc: Length::mm(turn * PI * DIAMETER / 360.0),
        tick: TickClass::beneath(label),
        numeral_shift: Length::ZERO,
        short: false,
        hyperfocal: None,
    };
    let band = Band {
        unit: BandUnit::Distance(DistanceUnit::Metre),
        marks: marks.iter().map(mark).collect(),
        left_out: vec![],
        grounds: Grounds::default(),
    };
    let lettering = Lettering::new(lettering::Face::plain(), Length::mm(NUMERAL)).unwrap();
    strip("Sample", &face, &look(), &lettering, &[band]).unwrap()
}

fn groups(strip: &Strip, kind: LayerKind) -> &[Group] {
    &strip.drawing.layers.iter().find(|layer| layer.kind == kind).unwrap().groups
}

/// What the unit sign covers along the strip.
fn sign(strip: &Strip) -> Option<(f64, f64)> {
    let sign = groups(strip, LayerKind::Numerals).iter().find(|group| group.tag.is_none())?;
    let bounds = sign.path.bounding_box();
    Some((bounds.x0, bounds.x1))
}

/// Numbered marks every 40 degrees, and plain ones between them.
fn marks(throw: f64, plain_every: f64) -> Vec<(&'static str, f64)> {
    let numbered = (0..).map(|k| f64::from(k) * 40.0).take_while(|turn| *turn <= throw - 20.0);
    let mut marks: Vec<_> = numbered.map(|turn| ("1", turn)).chain([("1", throw)]).collect();
    let plain = (1..).map(|k| f64::from(k) * plain_every).take_while(|turn| *turn < throw);
    let plain: Vec<f64> = plain.filter(|turn| marks.iter().all(|mark| (mark.1 - turn).abs() > 0.1)).collect();
    marks.extend(plain.into_iter().map(|turn| ("", turn)));
    marks.sort_by(|a, b| a.1.total_cmp(&b.1));
    marks
}

#[test]
fn the_digits_of_a_label_stand_over_its_tick_whichever_way_the_scale_runs_and_is_read() {
    for sense in [Sense::Clockwise, Sense::Counterclockwise] {
        for read_from in [Edge::Rear, Edge::Front] {
            for index in [Edge::Rear, Edge::Front] {
                let strip = read(&[("5′", 10.0), ("0", 30.0), ("2′6″", 50.0)], sense, read_from, index);
                let (ticks, numerals) = (groups(&strip, LayerKind::Ticks), groups(&strip, LayerKind::Numerals));
                let lettering = Lettering::new(lettering::Face::plain(), Length::mm(NUMERAL)).unwrap();
                for (tick, numeral) in ticks.iter().zip(numerals) {
                    let at = tick.path.bounding_box().center().x;
                    let label = &numeral.tag.as_ref().unwrap().label;
                    let reach = lettering.reach(label).unwrap();
                    let ink = numeral.path.bounding_box();
                    // the prime is to the right of the digits for whoever reads it
                    let turned = read_from == Edge::Front;
                    let (left, right) = if turned { (ink.x1 - at, at - ink.x0) } else { (at - ink.x0, ink.x1 - at) };
                    assert_close(left, reach.left.to_mm(), 1e-6);
                    assert_close(right, reach.right.to_mm(), 1e-6);
                    // and so it is along the scale
                    let sides = sides(reach, sense, read_from);
                    let to_the_right = sense == Sense::Counterclockwise;
                    let toward_close = if to_the_right { ink.x1 - at } else { at - ink.x0 };
                    assert_close(sides.after, toward_close, 1e-6);
                    assert_close(sides.width(), ink.width(), 1e-6);
                }
                let five = numerals[0].path.subpaths().next().unwrap();
                let five = BezPath::from_vec(five.to_vec()).bounding_box().center().x;
                assert!((five - ticks[0].path.bounding_box().center().x).abs() < 0.05 * NUMERAL);
            }
        }
    }
}

#[test]
fn a_strip_whose_ends_all_but_meet_is_closed_with_its_seam_in_the_unused_arc() {
    for throw in [350.5, 352.0, 353.5] {
        let strip = ring(&marks(throw, 10.0));
        let flat = strip.flat.as_ref().unwrap();
        assert!(flat.closed(), "{throw}");
        assert_close(strip.drawing.width.to_mm(), PI * DIAMETER, 1e-6);
        let ink = [LayerKind::Ticks, LayerKind::Numerals].into_iter().flat_map(|kind| groups(&strip, kind));
        let ink = ink.map(|group| group.path.bounding_box()).reduce(|a, b| a.union(b)).unwrap();
        assert_close(ink.x0, PI * DIAMETER - ink.x1, 1e-6);
    }
    let open = ring(&marks(300.0, 10.0));
    assert!(!open.flat.as_ref().unwrap().closed());
    assert!(open.drawing.width.to_mm() < PI * DIAMETER - 2.0 * look().label_gap.to_mm());
}

#[test]
fn a_unit_sign_among_labels_keeps_off_every_tick_or_is_left_out() {
    // room outside infinity
    assert!(sign(&ring(&marks(300.0, 4.0))).is_some());
    // none outside, and nothing but close ticks between the labels
    assert_eq!(sign(&ring(&marks(352.0, 4.0))), None);
    // bare ground between the labels
    let bare = ring(&marks(352.0, 400.0));
    let (from, to) = sign(&bare).expect("there is room");
    for tick in groups(&bare, LayerKind::Ticks) {
        let at = tick.path.bounding_box().center().x;
        assert!(at < from - NUMERAL || at > to + NUMERAL, "a numbered tick at {at}, the sign from {from} to {to}");
    }
    // a plain mark in the middle of all spaces but one, where it stands aside
    let mut some: Vec<_> = marks(352.0, 20.0).into_iter().filter(|mark| mark.1 != 100.0).collect();
    some.insert(3, ("", 86.0));
    some.sort_by(|a, b| a.1.total_cmp(&b.1));
    let some = ring(&some);
    let (from, to) = sign(&some).expect("there is room");
    for tick in groups(&some, LayerKind::Ticks) {
        let at = tick.path.bounding_box().center().x;
        assert!(at < from - 0.5 * NUMERAL || at > to + 0.5 * NUMERAL, "a tick at {at}, the sign from {from} to {to}");
    }
}

/// What is proposed for two bands on a face, with ticks of 3 mm that are stated or follow.
fn proposed(tick_follows: bool) -> (Length, Look) {
    let diameter = Length::mm(DIAMETER);
    let face = Ring { rear_diameter: diameter, front_diameter: diameter, width: Length::mm(11.0) };
    let face = ScaleFace {
        surface: Surface::new(&face, Length::ZERO),
        sense: Sense::Clockwise,
        index: Edge::Rear,
        read_from: Edge::Rear,
        repeat: false,
    };
    let look = Look { numbered_tick: Length::mm(3.0), tick_follows, ..look() };
    let lettering = Lettering::new(lettering::Face::plain(), Length::mm(NUMERAL)).unwrap();
    let bands = DistanceUnit::ALL.map(|unit| Band {
        unit: unit.into(),
        marks: Vec::new(),
        left_out: vec![],
        grounds: Grounds::default(),
    });
    match strip("two", &face, &look, &lettering, &bands) {
        Err(LayoutError::TooHigh { fits, .. }) => (fits, look),
        _ => panic!("two bands fit a face of 11 mm"),
    }
}

#[test]
fn a_proposed_numeral_height_fits_with_the_tick_that_is_stated() {
    let (fits, look) = proposed(false);
    assert!(height(&look, fits.to_mm(), 2) <= 11.0);
    assert!(height(&look, fits.to_mm() + 0.05, 2) > 11.0);
    // a tick that follows shrinks with the numeral, so higher ones fit, which would fail beside the stated tick
    let (in_proportion, _) = proposed(true);
    assert!(in_proportion > fits && height(&look, in_proportion.to_mm(), 2) > 11.0);
}
