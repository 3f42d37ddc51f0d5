//! Strips lettered with single lines and engraved, read back from their files: where every tick's line stands, how
//! long the ink is that the tool leaves, and that a rotary axis is told the ring's own turn. Expected places are
//! computed here from the ring's diameters, the thickness of what goes round it and the law.

use std::f64::consts::PI;
use std::path::Path;

use crate::kit::drawing::{Drawing, Shown, read};
use kurbo::{BezPath, PathEl, Point, Rect, Shape};
use ringwright::artwork::{self, Extent, Ink, LayerKind, Look, MarkValue, Strip};
use ringwright::assembly::Assembly;
use ringwright::lettering::{Face, Lettering};
use ringwright::model::{Lens, Piece, Set};
use ringwright::process::{Engrave, ProcessKind, engraved};
use ringwright::scale::{Band, BandUnit, Grounds, Mark, TickClass};
use ringwright::surface::{Edge, Ring, Sense, Surface};
use ringwright::units::{Angle, Distance, DistanceUnit, Length};
use ringwright::write::svg;

const TOOL: f64 = 0.2;

/// Text numbers have four decimals.
const ROUNDING: f64 = 1e-3;

fn sample() -> Set {
    let text = include_str!("../samples/SET.toml");
    let set = Set::parse("SET.toml", text, Path::new("samples")).unwrap_or_else(|faults| panic!("{faults}"));
    set.made_by(ProcessKind::Engrave)
}

/// A focus or an iris strip with what the set says of its ring.
struct Engraved<'a> {
    lens: &'a Lens,
    kind: Piece,
    ring: Ring,
    sense: Sense,
    index: Edge,
    strip: Strip,
}

impl Engraved<'_> {
    fn cone(&self) -> bool {
        self.ring.rear_diameter != self.ring.front_diameter
    }

    /// +1 where close lies to the right.
    fn toward_close(&self) -> f64 {
        if self.sense == Sense::Clockwise { -1.0 } else { 1.0 }
    }
}

fn strips(set: &Set) -> Vec<Engraved<'_>> {
    let lettering = Lettering::lines(set.style.numeral_height, Length::mm(TOOL)).unwrap();
    let mut all = Vec::new();
    for lens in &set.lenses {
        let assembly = Assembly::new(set, lens, &lettering).unwrap_or_else(|faults| panic!("{faults}"));
        for (kind, strip) in assembly.strips().unwrap_or_else(|faults| panic!("{faults}")) {
            let (ring, sense, index) = match (kind, &lens.focus, &lens.iris) {
                (Piece::Focus, Some(focus), _) => (focus.ring, focus.toward_close, focus.index),
                (Piece::Iris, _, Some(iris)) => (iris.ring, iris.toward_closed, iris.index),
                _ => continue,
            };
            if kind == Piece::Focus {
                for tick in &read(&svg(&strip.drawing)).ticks {
                    let distance = match tick.value.as_str() {
                        "inf" => Distance::Infinity,
                        mm => Distance::mm(mm.parse().unwrap()),
                    };
                    let law = assembly.focus.as_ref().unwrap().calibration.law.angle(distance).unwrap();
                    assert_close(tick.angle, law.to_deg(), 5e-4, &tick.value);
                }
            }
            all.push(Engraved { lens, kind, ring, sense, index, strip });
        }
    }
    assert_eq!(all.len(), 8);
    all
}

#[track_caller]
fn assert_close(actual: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((actual - expected).abs() <= tolerance, "{what}: {actual}, not {expected} ± {tolerance}");
}

/// The two ends of a tick's line.
fn ends(tick: &Shown) -> (Point, Point) {
    match tick.path.elements() {
        [PathEl::MoveTo(from), PathEl::LineTo(to)] => (*from, *to),
        other => panic!("{}: no straight open line, {other:?}", tick.value),
    }
}

/// Each tick with the first one of its copy of the scale.
fn with_first<'a>(drawing: &'a Drawing, unit: &str) -> Vec<(&'a Shown, &'a Shown)> {
    let ticks = drawing.ticks_of(unit);
    let mut first = ticks[0];
    let from_first = ticks.iter().map(|tick| {
        if tick.value == first.value {
            first = tick;
        }
        (first, *tick)
    });
    from_first.collect()
}

/// The units in the file's order.
fn units(drawing: &Drawing) -> Vec<String> {
    let mut units: Vec<String> = Vec::new();
    for tick in &drawing.ticks {
        if !units.contains(&tick.unit) {
            units.push(tick.unit.clone());
        }
    }
    units
}

#[test]
fn every_line_stands_where_the_law_puts_its_mark() {
    let set = sample();
    let thickness = set.process.settings().thickness().to_mm();
    for engraved in strips(&set) {
        let text = svg(&engraved.strip.drawing);
        assert!(text.contains(r##"<g class="ticks" fill="none" stroke="#000""##), "{}", engraved.lens.name);
        let drawing = read(&text);
        let (width, height) = drawing.width_height();
        let (rear, front) = (engraved.ring.rear_diameter.to_mm(), engraved.ring.front_diameter.to_mm());
        for unit in units(&drawing) {
            for (first, tick) in with_first(&drawing, &unit) {
                let what = format!("{} {} {unit} {}", engraved.lens.name, engraved.kind, tick.value);
                let turn = engraved.toward_close() * (tick.angle - first.angle);
                let (base, end) = ends(tick);
                if !engraved.cone() {
                    let along = PI * (rear + thickness) * turn / 360.0;
                    assert_close(base.x, ends(first).0.x + along, ROUNDING, &what);
                    assert_close(end.x, base.x, ROUNDING, &what);
                    continue;
                }
                // slant radius = d / (2 sin), sector angle = turn · sin, sin = difference of the radii / face width;
                // the middle of the wider rear edge touches the drawing's foot
                let sine = (rear - front) / (2.0 * engraved.ring.width.to_mm());
                let apex = Point::new(0.5 * width, height - (rear + thickness) / (2.0 * sine));
                let bend = |at: Point| (at.x - apex.x).atan2(at.y - apex.y);
                // seen from an apex above, turning to the right is turning toward +x
                let expected = bend(ends(first).0) + (turn * sine).to_radians();
                let radius = base.distance(apex);
                assert_close(bend(base) * radius, expected * radius, ROUNDING, &what);
                assert_close(bend(end) * radius, expected * radius, ROUNDING, &what);
            }
        }
    }
}

#[test]
fn a_line_begins_at_its_band_and_its_ink_ends_where_a_filled_tick_would() {
    let set = sample();
    let (numbered, plain) = (set.style.numbered_tick.to_mm(), set.style.plain_tick.to_mm());
    for engraved in strips(&set).iter().filter(|engraved| !engraved.cone()) {
        let drawing = read(&svg(&engraved.strip.drawing));
        let edge = if engraved.index == Edge::Rear { drawing.width_height().1 } else { 0.0 };
        for (at, unit) in units(&drawing).iter().enumerate() {
            for tick in drawing.ticks_of(unit) {
                let (base, end) = ends(tick);
                // three lengths: a numeral's and the end's, a medium one, a fine one
                let drawn = base.distance(end) + 0.5 * TOOL;
                let lengths = if tick.label.is_empty() {
                    vec![plain, plain + 0.44 * (numbered - plain), numbered]
                } else {
                    vec![numbered]
                };
                let length =
                    lengths.into_iter().min_by(|a, b| (a - drawn).abs().total_cmp(&(b - drawn).abs())).unwrap();
                assert_close(drawn, length, ROUNDING, &tick.value);
                assert!((end.y - edge).abs() > (base.y - edge).abs(), "{}", tick.value);
                if at == 0 {
                    assert_close(base.y, edge, ROUNDING, &tick.value);
                }
            }
        }
    }
}

#[test]
fn on_a_rotary_axis_a_mark_is_as_many_degrees_from_infinity_as_the_ring_turns() {
    let set = sample();
    let rotary = Engrave { rotary: true, ..Engrave::default() };
    for strip in strips(&set).iter().filter(|strip| !strip.cone()) {
        let turned = engraved(&strip.strip, &rotary).unwrap();
        assert!(turned.title.ends_with("x in degrees of turn"), "{}", turned.title);
        let drawing = read(&svg(&turned));
        assert_close(drawing.outline.x0, 0.0, ROUNDING, "left end");
        assert_close(drawing.outline.x1, drawing.width_height().0, ROUNDING, "right end");
        for unit in units(&drawing) {
            let ticks = drawing.ticks_of(&unit);
            let zero = ticks.iter().map(|tick| tick.angle).fold(f64::INFINITY, f64::min);
            let zeros: Vec<f64> = ticks.iter().filter(|tick| tick.angle == zero).map(|tick| ends(tick).0.x).collect();
            assert!(zeros.len() == 1 || (zeros.len() == 2 && strip.lens.name == "Granite 50"), "{zeros:?}");
            for tick in &ticks {
                let turn = strip.toward_close() * (tick.angle - zero);
                let from_zero = zeros.iter().map(|at| (ends(tick).0.x - at - turn).abs()).fold(f64::INFINITY, f64::min);
                assert_close(from_zero, 0.0, ROUNDING, &tick.value);
            }
            assert_close((zeros[0] - zeros[zeros.len() - 1]).abs(), 180.0 * (zeros.len() - 1) as f64, ROUNDING, &unit);
        }
    }
}

#[test]
fn on_a_rotary_axis_numerals_turn_with_the_ring_and_keep_their_height() {
    let set = sample();
    for strip in strips(&set).iter().filter(|strip| !strip.cone()) {
        let numerals = |rotary| {
            let drawing = engraved(&strip.strip, &Engrave { rotary, ..Engrave::default() }).unwrap();
            read(&svg(&drawing)).numerals
        };
        let degree = PI * (strip.ring.rear_diameter + set.process.settings().thickness()).to_mm() / 360.0;
        let (flat, turned) = (numerals(false), numerals(true));
        assert_eq!(flat.len(), turned.len());
        for (flat, turned) in flat.iter().zip(&turned) {
            let expected = Rect::new(flat.bounds.x0 / degree, flat.bounds.y0, flat.bounds.x1 / degree, flat.bounds.y1);
            for (actual, expected) in [
                (turned.bounds.x0, expected.x0),
                (turned.bounds.y0, expected.y0),
                (turned.bounds.x1, expected.x1),
                (turned.bounds.y1, expected.y1),
            ] {
                assert_close(actual, expected, ROUNDING, &flat.label);
            }
        }
    }
}

#[test]
fn a_cone_is_engraved_flat_or_not_at_all() {
    let set = sample();
    let strips = strips(&set);
    let cones: Vec<_> = strips.iter().filter(|strip| strip.cone()).collect();
    assert_eq!(cones.len(), 1);
    assert!(engraved(&cones[0].strip, &Engrave::default()).is_ok());
    let error = engraved(&cones[0].strip, &Engrave { rotary: true, ..Engrave::default() }).unwrap_err();
    assert!(error.to_string().starts_with("Flint 100, focus: the ring's face is a cone"), "{error}");
}

/// Ends of every line without a lift, in order, and the length of the moves between them.
fn lines_and_moves(drawing: &artwork::Drawing) -> (Vec<[String; 2]>, f64) {
    let mut lines = Vec::new();
    let mut moves = 0.0;
    let mut at: Option<Point> = None;
    let marks = drawing.layers.iter().filter(|layer| layer.kind != LayerKind::Outline);
    for element in marks.flat_map(|layer| &layer.groups).flat_map(|group| group.path.elements()) {
        let end = element.end_point().unwrap();
        if let PathEl::MoveTo(to) = element {
            moves += at.map_or(0.0, |from| from.distance(*to));
        } else {
            let mut pair = [at.unwrap(), end].map(|point| format!("{:.6} {:.6}", point.x, point.y));
            pair.sort();
            lines.push(pair);
        }
        at = Some(end);
    }
    lines.sort();
    (lines, moves)
}

#[test]
fn the_order_of_the_lines_saves_moves_and_loses_no_line() {
    let set = sample();
    for strip in strips(&set) {
        let (before, moved_before) = lines_and_moves(&strip.strip.drawing);
        let (after, moved_after) = lines_and_moves(&engraved(&strip.strip, &Engrave::default()).unwrap());
        assert_eq!(before, after, "{}", strip.lens.name);
        assert!(
            moved_after < moved_before,
            "{} {}: {moved_after}, not less than {moved_before}",
            strip.lens.name,
            strip.kind
        );
    }
}

#[test]
fn outlined_numerals_are_followed_round_beside_ticks_of_one_line() {
    let look = Look {
        tick_width: Length::mm(0.5),
        tool: Some(Length::mm(TOOL)),
        numbered_tick: Length::mm(2.0),
        tick_follows: true,
        medium_tick: ringwright::artwork::medium_tick(Length::mm(2.0), Length::mm(1.0)),
        plain_tick: Length::mm(1.0),
        sign: ringwright::scale::UnitSign::Start,
        label_gap: Length::mm(1.0),
        extent: Extent::Used,
    };
    let mark = |label: &str, distance, at: f64| Mark {
        value: MarkValue::Distance(distance),
        label: label.into(),
        angle: Angle::deg(at),
        arc: Length::mm(at * PI * 80.0 / 360.0),
        tick: TickClass::beneath(label),
        numeral_shift: Length::ZERO,
        short: false,
        hyperfocal: None,
    };
    let marks = vec![
        mark("∞", Distance::Infinity, 0.0),
        mark("", Distance::mm(2000.0), 20.0),
        mark("1", Distance::mm(1000.0), 50.0),
    ];
    let diameter = Length::mm(80.0);
    let ring = Ring { rear_diameter: diameter, front_diameter: diameter, width: Length::mm(10.0) };
    let face = artwork::ScaleFace {
        surface: Surface::new(&ring, Length::ZERO),
        sense: Sense::Counterclockwise,
        index: Edge::Rear,
        read_from: Edge::Rear,
        repeat: false,
    };
    let lettering = Lettering::new(Face::plain(), Length::mm(2.0)).unwrap();
    let band = Band {
        unit: BandUnit::Distance(DistanceUnit::Metre),
        marks,
        left_out: Vec::new(),
        grounds: Grounds::default(),
    };
    let strip = artwork::strip("Sample", &face, &look, &lettering, &[band]).unwrap();
    let layer =
        |drawing: &artwork::Drawing, kind| drawing.layers.iter().find(|layer| layer.kind == kind).unwrap().clone();
    let tool = Ink::Line(Length::mm(TOOL));
    assert_eq!(layer(&strip.drawing, LayerKind::Ticks).ink, tool);
    assert_eq!(layer(&strip.drawing, LayerKind::Numerals).ink, Ink::Black);
    let drawing = engraved(&strip, &Engrave { centreline: false, ..Engrave::default() }).unwrap();
    let numerals = layer(&drawing, LayerKind::Numerals);
    assert_eq!(numerals.ink, tool);
    let bounds =
        |groups: &[artwork::Group]| groups.iter().map(|group| group.path.bounding_box()).reduce(|a, b| a.union(b));
    assert_eq!(bounds(&numerals.groups), bounds(&layer(&strip.drawing, LayerKind::Numerals).groups));
    for group in &numerals.groups {
        let closed = |path: &BezPath| path.elements().iter().filter(|e| **e == PathEl::ClosePath).count();
        let moves = group.path.elements().iter().filter(|e| matches!(e, PathEl::MoveTo(_))).count();
        assert_eq!(closed(&group.path), moves);
    }
}
