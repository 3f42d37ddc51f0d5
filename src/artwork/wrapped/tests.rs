//! Tests of drawings taken back onto their ring.

use std::f64::consts::PI;

use kurbo::{BezPath, Shape};

use super::*;
use crate::artwork::sample::look;
use crate::artwork::{DepthMark, ScaleFace, strip};
use crate::check::assert_close;
use crate::lettering;
use crate::scale::{Band, BandUnit, Grounds, Mark, MarkValue, TickClass};
use crate::surface::{Ring, Sense, Surface};
use crate::units::{Angle, Distance, DistanceUnit, Length, Stop};

const WIDTH: f64 = 12.0;
const CYLINDER: (f64, f64) = (60.0, 60.0);
const CONES: [(f64, f64); 2] = [(66.0, 60.0), (60.0, 64.0)];

fn lettering(tool: Option<f64>, numeral: f64) -> Lettering {
    match tool {
        Some(tool) => Lettering::lines(Length::mm(numeral), Length::mm(tool)).unwrap(),
        None => Lettering::new(lettering::Face::plain(), Length::mm(numeral)).unwrap(),
    }
}

/// A strip with marks from 5° on, of a ring whose diameters at rear and front are given.
fn ring((rear, front): (f64, f64), sense: Sense, index: Edge, repeat: bool, tool: Option<f64>) -> Strip {
    let ring = Ring { rear_diameter: Length::mm(rear), front_diameter: Length::mm(front), width: Length::mm(WIDTH) };
    let surface = Surface::new(&ring, Length::ZERO);
    let face = ScaleFace { surface, sense, index, read_from: Edge::Rear, repeat };
    let mark = |(label, turn): (&str, f64)| Mark {
        value: MarkValue::Distance(Distance::mm(1000.0)),
        label: label.into(),
        angle: Angle::deg(5.0 + turn),
        arc: Length::mm(turn * surface.mm_per_degree(index)),
        tick: TickClass::beneath(label),
        numeral_shift: Length::ZERO,
        short: false,
        hyperfocal: None,
    };
    let marks = [("∞", 0.0), ("", 11.3), ("3", 31.0), ("0.85", 77.7), ("0.6", 120.0)].map(mark).to_vec();
    let band =
        Band { unit: BandUnit::Distance(DistanceUnit::Metre), marks, left_out: vec![], grounds: Grounds::default() };
    strip("Sample", &face, &look(tool), &lettering(tool, 4.0), &[band]).unwrap()
}

fn every_ring() -> impl Iterator<Item = (Strip, Sense, (f64, f64))> {
    [CYLINDER, CONES[0], CONES[1]].into_iter().flat_map(|diameters| {
        [Sense::Clockwise, Sense::Counterclockwise].into_iter().flat_map(move |sense| {
            [Edge::Rear, Edge::Front].into_iter().flat_map(move |index| {
                let made = [(false, None), (true, None), (true, Some(0.2))];
                made.map(|(repeat, tool)| (ring(diameters, sense, index, repeat, tool), sense, diameters))
            })
        })
    })
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0), |(sum, count), value| (sum + value, count + 1));
    sum / f64::from(count)
}

#[test]
fn every_tick_lies_at_its_marks_angle_on_the_side_that_the_sense_says() {
    for (strip, sense, _) in every_ring() {
        let zeros = strip.flat.as_ref().unwrap().zeros().to_vec();
        let shapes = wrapped(&strip).unwrap();
        let ticks: Vec<&Wrapped> = shapes.iter().filter(|shape| shape.layer == LayerKind::Ticks).collect();
        assert_eq!(ticks.len(), 5 * zeros.len());
        // a ring that turns clockwise toward close carries its close marks counterclockwise of infinity
        let sign = if sense == Sense::Clockwise { -1.0 } else { 1.0 };
        for (i, tick) in ticks.iter().enumerate() {
            let turn = mean(tick.lines[0].iter().map(|point| point.0)) - zeros[i / 5];
            assert_close(turn, sign * (tick.tag.as_ref().unwrap().angle.to_deg() - 5.0), 1e-9);
        }
        if let [first, second] = zeros[..] {
            assert_close((second - first).abs(), 180.0, 1e-9);
        }
    }
}

fn signed_area(line: &[(f64, f64)], degree: f64) -> f64 {
    let next = line.iter().cycle().skip(1);
    0.5 * line.iter().zip(next).map(|(a, b)| degree * (a.0 * b.1 - b.0 * a.1)).sum::<f64>()
}

#[test]
fn a_numeral_on_a_cylinder_fills_the_area_that_is_drawn() {
    let strip = ring(CYLINDER, Sense::Clockwise, Edge::Rear, false, None);
    let drawn = strip.drawing.layers.iter().find(|layer| layer.kind == LayerKind::Numerals).unwrap();
    let shapes = wrapped(&strip).unwrap();
    let numerals = shapes.iter().filter(|shape| shape.layer == LayerKind::Numerals);
    let mut counted = 0;
    for (group, shape) in drawn.groups.iter().zip(numerals) {
        let area: f64 = shape.lines.iter().map(|line| signed_area(line, PI * CYLINDER.0 / 360.0)).sum();
        assert!(group.path.area().abs() > 0.5);
        assert_close(area / group.path.area(), 1.0, 0.005);
        counted += 1;
    }
    // the unit sign as well
    assert_eq!(counted, 5);
}

/// In space, from the ring's diameters alone.
fn in_space((turn, height): (f64, f64), (rear, front): (f64, f64)) -> [f64; 3] {
    let sine = (front - rear) / (2.0 * WIDTH);
    let (sin, cos) = turn.to_radians().sin_cos();
    let radius = 0.5 * front - sine * height;
    [radius * cos, radius * sin, height * (1.0 - sine * sine).sqrt()]
}

fn length(path: &BezPath) -> f64 {
    path.segments().map(|segment| kurbo::ParamCurveArclen::arclen(&segment, 1e-6)).sum()
}

#[test]
fn every_line_is_as_long_in_space_as_on_the_drawing() {
    for (strip, _, diameters) in every_ring() {
        let shown = |layer: &&crate::artwork::Layer| matches!(layer.kind, LayerKind::Ticks | LayerKind::Numerals);
        let groups: Vec<_> = strip.drawing.layers.iter().filter(shown).flat_map(|layer| &layer.groups).collect();
        let shapes = wrapped(&strip).unwrap();
        assert_eq!(shapes.len(), groups.len());
        for (group, shape) in groups.iter().zip(&shapes) {
            let mut seen = 0.0;
            for line in &shape.lines {
                let places: Vec<[f64; 3]> = line.iter().map(|point| in_space(*point, diameters)).collect();
                let pieces = if matches!(shape.ink, Ink::Line(_)) { places.len() - 1 } else { places.len() };
                for k in 0..pieces {
                    let (a, b) = (places[k], places[(k + 1) % places.len()]);
                    seen += a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt();
                }
            }
            assert_close(seen / length(&group.path), 1.0, 0.005);
        }
    }
}

#[test]
fn no_piece_spans_more_than_two_degrees() {
    // figures 4 mm high on a ring 14 mm across: a 4's bar alone spans more than ten degrees
    for tool in [None, Some(0.2)] {
        let plate = IndexPlate::bare(Edge::Rear, 1);
        let depth = depth("14", 6.0, 5.0);
        let plate = IndexPlate { depth: vec![depth], ..plate };
        let mut widest = 0f64;
        for shape in wrapped_plate(&plate, &look(tool), &lettering(tool, 4.0), PI * 14.0 / 360.0).unwrap() {
            for line in &shape.lines {
                let closing = if tool.is_none() { line.first().zip(line.last()) } else { None };
                let pieces = line.windows(2).map(|pair| (pair[0], pair[1]));
                for (a, b) in pieces.chain(closing.map(|(a, b)| (*a, *b))) {
                    widest = widest.max((a.0 - b.0).abs());
                }
            }
        }
        assert!(widest <= 2.0 && widest > 1.5, "{widest}");
    }
}

fn depth(label: &str, near: f64, far: f64) -> DepthMark {
    let (near_arc, far_arc) = (Length::mm(near), Length::mm(far));
    let stop = Stop::from_sixths(36);
    DepthMark { stop, label: label.into(), near: Angle::deg(near), far: Angle::deg(far), near_arc, far_arc }
}

#[test]
fn the_line_of_a_plate_stands_at_no_turn_and_its_depth_marks_at_their_arcs() {
    for (sense, near_side) in [(Sense::Clockwise, -1.0), (Sense::Counterclockwise, 1.0)] {
        for index in [Edge::Rear, Edge::Front] {
            let plate =
                IndexPlate { index, copies: 2, sense, read_from: Edge::Rear, depth: vec![depth("7", 5.0, 3.5)] };
            let degree = 0.7;
            let shapes = wrapped_plate(&plate, &look(None), &lettering(None, 2.0), degree).unwrap();
            let lines: Vec<&Wrapped> = shapes.iter().filter(|shape| shape.layer == LayerKind::Index).collect();
            // one plate, though two are made
            assert_eq!(lines.len(), 1);
            assert_close(mean(lines[0].lines[0].iter().map(|point| point.0)), 0.0, 1e-9);
            let heights = lines[0].lines[0].iter().map(|point| point.1);
            assert_close(heights.clone().fold(f64::INFINITY, f64::min), 0.0, 1e-9);
            assert_close(heights.fold(0.0, f64::max), 1.5 * 2.0, 1e-9);
            let ticks: Vec<&Wrapped> = shapes.iter().filter(|shape| shape.layer == LayerKind::Ticks).collect();
            let at = |tick: &Wrapped| mean(tick.lines[0].iter().map(|point| point.0)) * degree;
            assert_close(at(ticks[0]), near_side * 5.0, 1e-9);
            assert_close(at(ticks[1]), near_side * -3.5, 1e-9);
        }
    }
}

#[test]
fn numerals_of_a_plate_keep_their_up_and_down() {
    // a 7 has most of its ink in the upper half; the front is up on a drawing, and away from the ring is up where the
    // index stands at the front
    for (index, read_from, away_is_up) in [
        (Edge::Front, Edge::Rear, true),
        (Edge::Front, Edge::Front, false),
        (Edge::Rear, Edge::Rear, false),
        (Edge::Rear, Edge::Front, true),
    ] {
        let depth = vec![depth("7", 5.0, 3.5)];
        let plate = IndexPlate { index, copies: 1, sense: Sense::Clockwise, read_from, depth };
        let shapes = wrapped_plate(&plate, &look(None), &lettering(None, 2.0), 0.7).unwrap();
        let seven = shapes.iter().find(|shape| shape.layer == LayerKind::Numerals).unwrap();
        let line = &seven.lines[0];
        let heights = || line.iter().map(|point| point.1);
        let (low, high) = (heights().fold(f64::INFINITY, f64::min), heights().fold(0.0, f64::max));
        let middle = 0.5 * (low + high);
        let upper: Vec<(f64, f64)> = line.iter().map(|point| (point.0, point.1.max(middle))).collect();
        let share = signed_area(&upper, 1.0) / signed_area(line, 1.0);
        assert!(if away_is_up { share > 0.55 } else { share < 0.45 }, "{index:?} {read_from:?} {share}");
    }
}
