//! Strips from set files, drawn and read back: where every tick stands, which way the scale runs, and that nothing
//! touches. Expected places are computed here from the ring's diameter and the film's thickness alone.

use std::f64::consts::PI;
use std::path::Path;

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape};
use proptest::prelude::*;
use ringwright::assembly::{Assembly, lettering};
use ringwright::lettering::Lettering;
use ringwright::model::{Piece, Refusals, Set};
use ringwright::surface::{Edge, Ring, Sense};
use ringwright::units::{Distance, Length, Stop};
use ringwright::write::{BitDepth, Raster, png, svg};

use crate::kit::drawing::{Drawing, Shown, read};
use crate::kit::pixels;

const SAMPLE: &str = include_str!("../samples/SET.toml");

/// A strip read back, with what the set says of its ring.
struct Drawn {
    name: String,
    ring: Ring,
    sense: Sense,
    index: Edge,
    read_from: Edge,
    drawing: Drawing,
    svg: String,
}

fn parse(text: &str) -> Set {
    Set::parse("set.toml", text, Path::new("samples")).unwrap_or_else(|faults| panic!("{faults}\n{text}"))
}

/// Every focus and iris strip of a set. On the way each `data-value` is compared with the law.
fn drawn(set: &Set, lettering: &Lettering) -> Result<Vec<Drawn>, Refusals> {
    let mut all = Vec::new();
    for lens in &set.lenses {
        let assembly = Assembly::new(set, lens, lettering)?;
        for (kind, strip) in assembly.strips()? {
            let (ring, sense, index, read_from) = match (kind, &lens.focus, &lens.iris) {
                (Piece::Focus, Some(f), _) => (f.ring, f.toward_close, f.index, f.read_from),
                (Piece::Iris, _, Some(i)) => (i.ring, i.toward_closed, i.index, i.read_from),
                _ => continue,
            };
            let svg = svg(&strip.drawing);
            let drawing = read(&svg);
            drawing.ticks.iter().for_each(|tick| check_value(&assembly, kind, tick));
            all.push(Drawn { name: format!("{} {kind}", lens.name), ring, sense, index, read_from, drawing, svg });
        }
    }
    Ok(all)
}

/// The mark's angle is what the law says of its value; 0.0005 degrees are the rounding of both in the file.
fn check_value(assembly: &Assembly<'_>, kind: Piece, tick: &Shown) {
    let expected = if kind == Piece::Focus {
        let distance = match tick.value.as_str() {
            "inf" => Distance::Infinity,
            mm => Distance::mm(mm.parse().unwrap()),
        };
        assembly.focus.as_ref().unwrap().calibration.law.angle(distance)
    } else {
        let ring = assembly.iris.as_ref().unwrap();
        // N = T sqrt(tau)
        let light = if ring.iris.t_scale { ring.iris.transmittance.unwrap_or(1.0) } else { 1.0 };
        let number: f64 = tick.value.parse().unwrap();
        ring.calibration.law.angle(Stop::exact(number * light.sqrt()))
    };
    let expected = expected.expect("a mark within the law").to_deg();
    assert!((tick.angle - expected).abs() <= 5e-4, "{} stands at {}, the law says {expected}", tick.value, tick.angle);
}

fn one(text: &str) -> Drawn {
    let set = parse(text);
    drawn(&set, &lettering(&set).unwrap()).unwrap_or_else(|faults| panic!("{faults}")).remove(0)
}

/// A whole 50 mm lens; `of_focus` adds keys to the focus ring, `of_style` to the style.
fn lens(units: &str, of_focus: &str, of_style: &str) -> String {
    format!(
        "[set]\nname = \"S\"\nunits = {units}\n[style]\n{of_style}\n[process.film]\nthickness = \"0.1 mm\"\n\
         [[lens]]\nname = \"L\"\nfocal_length = \"50 mm\"\nwidest_stop = 2\n[lens.focus]\n\
         closest = \"0.45 m\"\nlead = \"22 mm\"\n{of_focus}\n"
    )
}

const RING: &str = "ring = { diameter = \"84 mm\", width = \"14 mm\" }";

/// Sets that have between them every sense, index, band count, copy and face.
fn sets() -> Vec<String> {
    let clockwise = format!("{RING}\ntoward_close = \"clockwise\"");
    let counter = format!("{RING}\ntoward_close = \"counterclockwise\"");
    let cone = |rear, front| {
        format!("ring = {{ rear_diameter = \"{rear} mm\", front_diameter = \"{front} mm\", width = \"15 mm\" }}")
    };
    let both = "[\"m\", \"ft\"]";
    vec![
        SAMPLE.to_string(),
        lens(both, &clockwise, ""),
        lens("[\"ft\"]", &counter, "extent = \"full turn\""),
        lens(both, &format!("{counter}\nindex = \"front\""), ""),
        lens(both, &format!("{clockwise}\nindex = \"front\"\nread_from = \"rear\"\nrepeat = 2"), ""),
        lens(both, &format!("{clockwise}\nindex = \"rear\"\nread_from = \"front\""), "extent = \"full turn\""),
        lens(both, &format!("{}\ntoward_close = \"clockwise\"", cone(80, 90)), ""),
        lens(both, &format!("{}\ntoward_close = \"counterclockwise\"\nindex = \"front\"", cone(92, 84)), ""),
        lens(both, &format!("{}\ntoward_close = \"clockwise\"\nrepeat = 2\nindex = \"front\"", cone(80, 84)), ""),
    ]
}

fn everything() -> Vec<(Set, Drawn)> {
    let mut all = Vec::new();
    for text in sets() {
        let set = parse(&text);
        let strips = drawn(&set, &lettering(&set).unwrap()).unwrap_or_else(|faults| panic!("{faults}"));
        assert!(!strips.is_empty());
        all.extend(strips.into_iter().map(|strip| (set.clone(), strip)));
    }
    all
}

impl Drawn {
    fn units(&self) -> Vec<String> {
        let mut units: Vec<String> = Vec::new();
        for tick in &self.drawing.ticks {
            if !units.contains(&tick.unit) {
                units.push(tick.unit.clone());
            }
        }
        units
    }

    /// The marks of each copy of a band, in the file's order: from infinity (the widest stop) on.
    fn copies(&self, unit: &str) -> Vec<Vec<&Shown>> {
        let ticks = self.drawing.ticks_of(unit);
        let first = &ticks[0].value;
        let starts: Vec<usize> = (0..ticks.len()).filter(|i| ticks[*i].value == *first).collect();
        let ends = starts.iter().skip(1).copied().chain([ticks.len()]);
        starts.iter().zip(ends).map(|(start, end)| ticks[*start..end].to_vec()).collect()
    }

    /// +1 where close lies to the right.
    fn toward_close(&self) -> f64 {
        if self.sense == Sense::Clockwise { -1.0 } else { 1.0 }
    }

    /// Where a tick's middle should be, its band's first tick being where it is.
    ///
    /// ```text
    /// cylinder   x = x0 ± pi (D + t) (angle - angle0) / 360
    /// cone       slant radius = d / (2 sin),  sector angle = turn · sin,  sin = difference of the radii / face width
    /// ```
    ///
    /// Source of the cone: "Cones", anvilfire.com/21centbs/math/cones1.htm.
    fn expected(&self, film: f64, first: &Shown, tick: &Shown) -> Point {
        let turn = self.toward_close() * (tick.angle - first.angle);
        let (rear, front) = (self.ring.rear_diameter.to_mm() + film, self.ring.front_diameter.to_mm() + film);
        let middle = |of: &Shown| of.bounds.center();
        if rear == front {
            return Point::new(middle(first).x + PI * rear * turn / 360.0, middle(tick).y);
        }
        let sine = (rear - front).abs() / (2.0 * self.ring.width.to_mm());
        let (width, height) = self.drawing.width_height();
        // a strip is the same on both sides of its middle, and the wider edge's middle touches the drawing's edge
        let radius = rear.max(front) / (2.0 * sine);
        let (apex, outward) = if rear > front {
            (Point::new(0.5 * width, height - radius), 1.0)
        } else {
            (Point::new(0.5 * width, radius), -1.0)
        };
        let bend = |at: Point| (at.x - apex.x).atan2(outward * (at.y - apex.y));
        let to = bend(middle(first)) + (turn * sine).to_radians();
        let index_radius = if self.index == Edge::Rear { rear } else { front } / (2.0 * sine);
        let measured_from_index = self.measured_from_index(film, tick);
        let inward = (self.index == Edge::Rear) == (rear > front);
        let at = if inward { index_radius - measured_from_index } else { index_radius + measured_from_index };
        Point::new(apex.x + at * to.sin(), apex.y + outward * at * to.cos())
    }

    /// Height of a tick's middle above the index edge, from the drawn radius: not what is tested by `expected`.
    fn measured_from_index(&self, film: f64, tick: &Shown) -> f64 {
        let (rear, front) = (self.ring.rear_diameter.to_mm() + film, self.ring.front_diameter.to_mm() + film);
        let sine = (rear - front).abs() / (2.0 * self.ring.width.to_mm());
        let (width, height) = self.drawing.width_height();
        let radius = rear.max(front) / (2.0 * sine);
        let apex = Point::new(0.5 * width, if rear > front { height - radius } else { radius });
        let index_radius = if self.index == Edge::Rear { rear } else { front } / (2.0 * sine);
        (apex.distance(tick.bounds.center()) - index_radius).abs()
    }
}

#[track_caller]
fn assert_close(actual: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((actual - expected).abs() <= tolerance, "{what}: {actual}, not {expected} ± {tolerance}");
}

#[test]
fn every_tick_stands_within_a_micrometre_of_its_computed_place() {
    let mut compared = 0;
    for (set, strip) in everything() {
        let film = set.process.settings().thickness().to_mm();
        for unit in strip.units() {
            for copy in strip.copies(&unit) {
                for tick in &copy {
                    let (at, expected) = (tick.bounds.center(), strip.expected(film, copy[0], tick));
                    let what = format!("{} {} {unit}", strip.name, tick.value);
                    assert_close(at.x, expected.x, 1e-3, &what);
                    assert_close(at.y, expected.y, 1e-3, &what);
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 500, "only {compared} ticks");
}

#[test]
fn ticks_grow_from_the_index_edge_and_the_second_band_stands_beyond_the_first() {
    for (set, strip) in everything() {
        let style = &set.style;
        let cone = strip.ring.rear_diameter != strip.ring.front_diameter;
        let height = strip.drawing.width_height().1;
        let mut beyond = 0.0;
        for (place, unit) in strip.units().iter().enumerate() {
            let numeral = style.numeral_height.to_mm();
            // each band: ticks, numerals, and a clear space before the next
            for tick in strip.drawing.ticks_of(unit) {
                // three lengths: a numeral's and the end's, a medium one, a fine one
                let (long, fine) = (style.numbered_tick.to_mm(), style.plain_tick.to_mm());
                let lengths =
                    if tick.label.is_empty() { vec![fine, fine + 0.44 * (long - fine), long] } else { vec![long] };
                let what = format!("{} {} {unit}", strip.name, tick.value);
                let reach = |length: f64| {
                    if cone {
                        let middle = strip.measured_from_index(set.process.settings().thickness().to_mm(), tick);
                        (middle - 0.5 * length, middle + 0.5 * length)
                    } else if strip.index == Edge::Rear {
                        (height - tick.bounds.y1, height - tick.bounds.y0)
                    } else {
                        (tick.bounds.y0, tick.bounds.y1)
                    }
                };
                let off = |length: &f64| {
                    let (near, far) = reach(*length);
                    (far - near - length).abs() + if place == 0 { near.abs() } else { 0.0 }
                };
                let length = lengths.into_iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap();
                let (near, far) = reach(length);
                assert_close(far - near, length, 1e-3, &what);
                if place == 0 {
                    assert_close(near, 0.0, 1e-3, &what);
                } else {
                    assert!(near > beyond + numeral, "{what} stands {near} mm from the index edge");
                }
            }
            beyond = style.numbered_tick.to_mm();
        }
    }
}

fn signed_offset_of_close(strip: &Drawn) -> f64 {
    let ticks = strip.drawing.ticks_of("m");
    let (infinity, close) = (ticks.first().unwrap(), ticks.last().unwrap());
    assert_eq!((infinity.value.as_str(), close.value.as_str()), ("inf", "450"));
    close.bounds.center().x - infinity.bounds.center().x
}

#[test]
fn on_a_ring_that_turns_clockwise_toward_close_the_close_marks_lie_left_of_infinity() {
    for index in ["rear", "front"] {
        let of_focus = format!("{RING}\ntoward_close = \"clockwise\"\nindex = \"{index}\"");
        assert!(signed_offset_of_close(&one(&lens("[\"m\"]", &of_focus, ""))) < -50.0);
    }
}

#[test]
fn on_a_ring_that_turns_counterclockwise_toward_close_the_close_marks_lie_right_of_infinity() {
    for index in ["rear", "front"] {
        let of_focus = format!("{RING}\ntoward_close = \"counterclockwise\"\nindex = \"{index}\"");
        assert!(signed_offset_of_close(&one(&lens("[\"m\"]", &of_focus, ""))) > 50.0);
    }
}

fn points(path: &BezPath) -> Vec<Point> {
    let corner = path.bounding_box().origin().to_vec2();
    let of = |element: &PathEl| match *element {
        PathEl::MoveTo(a) | PathEl::LineTo(a) => vec![a],
        PathEl::QuadTo(a, b) => vec![a, b],
        PathEl::CurveTo(a, b, c) => vec![a, b, c],
        PathEl::ClosePath => vec![],
    };
    path.elements().iter().flat_map(of).map(|point| point - corner).collect()
}

/// How much of the style's height a strip's numerals have: an iris lowers all of its own, by whole steps of 0.05 mm and
/// never under 1.4 mm, where full stops would touch.
fn size(set: &Set, strip: &Drawn, lettering: &Lettering) -> f64 {
    let style = set.style.numeral_height.to_mm();
    let first = strip.drawing.numerals.iter().find(|numeral| !numeral.label.is_empty()).unwrap();
    let drawn = first.bounds.height() / lettering.line(&first.label).unwrap().outline.bounding_box().height();
    let steps = ((1.0 - drawn) * style / 0.05).round();
    let height = (style - 0.05 * steps).max(style.min(1.4));
    assert_close(drawn * style, height, 2e-3, &strip.name);
    let iris = strip.units().iter().all(|unit| unit == "f" || unit == "T");
    assert!(steps == 0.0 || (steps > 0.0 && iris), "{} is {steps} steps lower", strip.name);
    height / style
}

#[test]
fn numerals_are_upright_as_read_from_the_stated_side_and_never_mirrored() {
    let mut compared = 0;
    for (set, strip) in everything() {
        if strip.ring.rear_diameter != strip.ring.front_diameter {
            continue;
        }
        let lettering = lettering(&set).unwrap();
        let size = size(&set, &strip, &lettering);
        for numeral in strip.drawing.numerals.iter().filter(|numeral| !numeral.label.is_empty()) {
            let mut outline = Affine::scale(size) * lettering.line(&numeral.label).unwrap().outline;
            if strip.read_from == Edge::Front {
                outline.apply_affine(Affine::rotate(PI));
            }
            let (drawn, expected) = (points(&numeral.path), points(&outline));
            assert_eq!(drawn.len(), expected.len());
            for (drawn, expected) in drawn.iter().zip(&expected) {
                assert!(drawn.distance(*expected) < 5e-4, "{} {}: {drawn}, not {expected}", strip.name, numeral.label);
            }
            compared += 1;
        }
    }
    assert!(compared > 150, "only {compared} numerals");
}

#[test]
fn every_numeral_stands_over_its_own_tick() {
    for (_, strip) in everything() {
        if strip.ring.rear_diameter != strip.ring.front_diameter {
            continue;
        }
        let numbered: Vec<&Shown> = strip.drawing.ticks.iter().filter(|tick| !tick.label.is_empty()).collect();
        let numerals: Vec<&Shown> = strip.drawing.numerals.iter().filter(|n| !n.label.is_empty()).collect();
        assert_eq!(numbered.len(), numerals.len());
        for (tick, numeral) in numbered.iter().zip(numerals) {
            assert_eq!((&tick.label, &tick.value, &tick.unit), (&numeral.label, &numeral.value, &numeral.unit));
            let what = format!("{} {}", strip.name, tick.label);
            assert_close(optical_middle(numeral), tick.bounds.center().x, 0.01, &what);
            // never far from the middle of the ink of its digits
            let digits = standing(numeral).bounding_box();
            let off = (digits.center().x - tick.bounds.center().x).abs();
            assert!(off < 0.1 * digits.height(), "{what} is {off} aside");
        }
    }
}

/// A numeral's contours without those of its last prime: one for ′, two for ″.
fn standing(numeral: &Shown) -> BezPath {
    let contours: Vec<_> = numeral.path.subpaths().collect();
    let hanging = match numeral.label.chars().last() {
        Some('′') => 1,
        Some('″') => 2,
        _ => 0,
    };
    contours[..contours.len() - hanging].iter().flat_map(|contour| contour.iter().copied()).collect()
}

/// The mean over its height of the middle between the first and the last ink, from points along the curves.
fn optical_middle(numeral: &Shown) -> f64 {
    const ROWS: usize = 400;
    let standing = standing(numeral);
    let bounds = standing.bounding_box();
    let mut rows = vec![(f64::INFINITY, f64::NEG_INFINITY); ROWS];
    for segment in standing.segments() {
        for k in 0..=4000 {
            let place = kurbo::ParamCurve::eval(&segment, f64::from(k) / 4000.0);
            let row = ((place.y - bounds.y0) / bounds.height() * ROWS as f64) as usize;
            let row = &mut rows[row.min(ROWS - 1)];
            *row = (row.0.min(place.x), row.1.max(place.x));
        }
    }
    let middles: Vec<f64> = rows.iter().filter(|row| row.0 <= row.1).map(|row| 0.5 * (row.0 + row.1)).collect();
    middles.iter().sum::<f64>() / middles.len() as f64
}

#[test]
fn a_repeat_draws_every_mark_twice_half_a_circumference_apart() {
    for index in ["rear", "front"] {
        let of_focus = format!("{RING}\ntoward_close = \"clockwise\"\nindex = \"{index}\"\nrepeat = 2");
        let strip = one(&lens("[\"m\", \"ft\"]", &of_focus, ""));
        for shapes in [&strip.drawing.ticks, &strip.drawing.numerals] {
            let (first, second) = shapes.split_at(shapes.len() / 2);
            assert_eq!(first.len(), second.len());
            for (a, b) in first.iter().zip(second) {
                assert_eq!((&a.value, &a.unit, &a.label), (&b.value, &b.unit, &b.label));
                let offset = b.bounds.center() - a.bounds.center();
                assert_close(offset.x.abs(), 0.5 * PI * 84.1, 1e-3, &a.label);
                assert_close(offset.y, 0.0, 1e-3, &a.label);
            }
        }
        assert_close(strip.drawing.width_height().0, PI * 84.1, 1e-3, "a repeat goes once round");
    }
}

#[test]
fn a_full_turn_is_the_circumference_at_mid_thickness_and_its_seam_lies_outside_the_marks() {
    for sense in ["clockwise", "counterclockwise"] {
        let of_focus = format!("{RING}\ntoward_close = \"{sense}\"");
        let used = one(&lens("[\"m\", \"ft\"]", &of_focus, ""));
        let full = one(&lens("[\"m\", \"ft\"]", &of_focus, "extent = \"full turn\""));
        let length = full.drawing.width_height().0;
        assert_close(length, PI * 84.1, 1e-3, "length");
        assert!(used.drawing.width_height().0 < length - 50.0);
        let ink = |strip: &Drawn| {
            let all = strip.drawing.ticks.iter().chain(&strip.drawing.numerals);
            all.map(|shape| shape.bounds).reduce(|a, b| a.union(b)).unwrap()
        };
        assert_close(ink(&full).width(), ink(&used).width(), 1e-3, "the marks themselves");
        assert_close(ink(&full).x0, length - ink(&full).x1, 1e-3, "the seam in the middle of the unused arc");
    }
}

#[test]
fn each_band_shows_its_unit_once_a_copy() {
    for (set, strip) in everything() {
        let lettering = lettering(&set).unwrap();
        let signs: Vec<&Shown> = strip.drawing.numerals.iter().filter(|n| n.unit.is_empty()).collect();
        let units = strip.units();
        let cone = strip.ring.rear_diameter != strip.ring.front_diameter;
        let size = if cone { 1.0 } else { size(&set, &strip, &lettering) };
        for unit in &units {
            let outline = Affine::scale(size) * lettering.line(unit).unwrap().outline;
            let copies = strip.copies(unit).len();
            let upside_down = strip.read_from == Edge::Front;
            let expected = points(&if upside_down { Affine::rotate(PI) * outline } else { outline });
            let like = |sign: &&&Shown| {
                let drawn = points(&sign.path);
                drawn.len() == expected.len()
                    && (cone || drawn.iter().zip(&expected).all(|(a, b)| a.distance(*b) < 5e-4))
            };
            assert_eq!(signs.iter().filter(like).count(), copies, "{} {unit}", strip.name);
        }
        let copies: usize = units.iter().map(|unit| strip.copies(unit).len()).sum();
        assert_eq!(signs.len(), copies, "{}", strip.name);
    }
}

#[test]
fn width_height_and_view_box_are_the_same_numbers_and_the_strip_fills_them() {
    for (_, strip) in everything() {
        let (width, height, view_box) = &strip.drawing.size;
        let (w, h) = (width.strip_suffix("mm").unwrap(), height.strip_suffix("mm").unwrap());
        assert_eq!(*view_box, format!("0 0 {w} {h}"));
        let (w, h) = strip.drawing.width_height();
        let outline = strip.drawing.outline;
        for (drawn, expected) in [(outline.x0, 0.0), (outline.y0, 0.0), (outline.x1, w), (outline.y1, h)] {
            assert_close(drawn, expected, 1.5e-4, &strip.name);
        }
        if strip.ring.rear_diameter == strip.ring.front_diameter {
            assert_close(h, strip.ring.width.to_mm(), 1e-9, "the face's width");
        }
    }
}

#[test]
fn every_edge_of_every_tick_is_within_a_pixel_of_its_place_in_the_png() {
    let both = "[\"m\", \"ft\"]";
    let clockwise = format!("{RING}\ntoward_close = \"clockwise\"");
    let front = format!("{RING}\ntoward_close = \"counterclockwise\"\nindex = \"front\"\nrepeat = 2");
    for text in [SAMPLE.to_string(), lens(both, &clockwise, ""), lens(both, &front, "tick_width = \"0.15 mm\"")] {
        let set = parse(&text);
        let (film, tick_width) = (set.process.settings().thickness().to_mm(), set.style.tick_width.to_mm());
        for strip in drawn(&set, &lettering(&set).unwrap()).unwrap() {
            for dpi in [300.0, 600.0, 1200.0] {
                check_pixels(&strip, dpi, film, tick_width, set.style.plain_tick);
            }
        }
    }
}

fn check_pixels(strip: &Drawn, dpi: f64, film: f64, tick_width: f64, plain_tick: Length) {
    let mut bytes = Vec::new();
    png(&strip.svg, &Raster { dpi, depth: BitDepth::Grey8 }, &mut bytes).unwrap();
    let per_mm = dpi / 25.4;
    let (width, height) = strip.drawing.width_height();
    let decoder = ::png::Decoder::new(std::io::Cursor::new(&bytes));
    let stated = decoder.read_info().unwrap().info().pixel_dims.expect("a stated scale");
    // PNG: pHYs counts whole pixels per metre
    let per_metre = (dpi / 0.0254).round() as u32;
    assert_eq!((stated.xppu, stated.yppu, stated.unit), (per_metre, per_metre, ::png::Unit::Meter));
    let picture = pixels::decode(&bytes);
    let expected = ((width * per_mm).ceil() as usize, (height * per_mm).ceil() as usize);
    assert_eq!((picture.width, picture.height), expected, "{} at {dpi} dpi", strip.name);
    if strip.ring.rear_diameter != strip.ring.front_diameter {
        return;
    }
    for unit in strip.units() {
        let foot = strip.drawing.ticks_of(&unit)[0].bounds;
        let row = match strip.index {
            Edge::Rear => foot.y1 - 0.5 * plain_tick.to_mm(),
            Edge::Front => foot.y0 + 0.5 * plain_tick.to_mm(),
        };
        let row = (row * per_mm) as usize;
        // the ends of the outline, 0.1 mm wide, are no ticks
        let inside = |x: usize| (0.2 * per_mm..(width - 0.2) * per_mm).contains(&(x as f64));
        let black: Vec<bool> = (0..picture.width).map(|x| inside(x) && picture.is_black(x, row)).collect();
        let changes: Vec<usize> = (1..black.len()).filter(|x| black[*x] != black[x - 1]).collect();
        let mut edges: Vec<f64> = Vec::new();
        for copy in strip.copies(&unit) {
            for tick in &copy {
                let middle = strip.expected(film, copy[0], tick).x;
                edges.extend([middle - 0.5 * tick_width, middle + 0.5 * tick_width]);
            }
        }
        edges.sort_by(f64::total_cmp);
        assert_eq!(changes.len(), edges.len(), "{} {unit} at {dpi} dpi", strip.name);
        for (change, edge) in changes.iter().zip(edges) {
            assert_close(*change as f64, edge * per_mm, 1.0, &format!("{} {unit} at {dpi} dpi", strip.name));
        }
    }
}

/// The TOML of a whole lens whose lead makes the throw.
///
/// ```text
/// x = 2 F^2 / (B + sqrt(B^2 - 4 F^2)),  B = closest - 2 F      extension at the closest distance
/// lead = 360 x / throw
/// ```
fn with_throw(of: &Case) -> String {
    let (f, b) = (of.focal, of.closest - 2.0 * of.focal);
    let x = 2.0 * f * f / (b + (b * b - 4.0 * f * f).sqrt());
    let units = ["[\"m\"]", "[\"ft\"]", "[\"m\", \"ft\"]", "[\"ft\", \"m\"]"][of.units];
    format!(
        "[set]\nname = \"S\"\nunits = {units}\n[style]\nextent = \"{}\"\n[[lens]]\nname = \"L\"\n\
         focal_length = \"{f} mm\"\nwidest_stop = 2\n[lens.focus]\nring = {{ diameter = \"{:.2} mm\", width = \"{:.1} mm\" }}\n\
         toward_close = \"{}\"\nindex = \"{}\"\nclosest = \"{:.0} mm\"\nlead = \"{:.6} mm\"\nrepeat = {}\n",
        if of.full { "full turn" } else { "used" },
        of.ring,
        of.face,
        if of.clockwise { "clockwise" } else { "counterclockwise" },
        if of.front { "front" } else { "rear" },
        of.closest,
        360.0 * x / of.throw,
        if of.repeat { 2 } else { 1 },
    )
}

#[derive(Clone, Debug)]
struct Case {
    focal: f64,
    ring: f64,
    face: f64,
    throw: f64,
    closest: f64,
    units: usize,
    clockwise: bool,
    front: bool,
    repeat: bool,
    full: bool,
}

fn cases() -> impl Strategy<Value = Case> {
    let numbers = (prop::sample::select(vec![24.0, 35.0, 50.0, 75.0]), 30.0..150.0, 9.0..18.0, 30.0..350.0, 5.0..40.0);
    let choices = (0usize..4, any::<bool>(), any::<bool>(), any::<bool>(), any::<bool>());
    (numbers, choices).prop_map(|((focal, ring, face, throw, closest), (units, clockwise, front, repeat, full))| Case {
        focal,
        ring,
        face,
        throw,
        closest: f64::round(closest * focal),
        units,
        clockwise,
        front,
        repeat,
        full,
    })
}

/// Sides that touch, to the file's rounding, do not overlap.
fn overlap(a: Rect, b: Rect) -> bool {
    let common = a.intersect(b);
    common.width() > 3e-4 && common.height() > 3e-4
}

/// Distances that are customary on scales, in either unit, and infinity.
const CUSTOMARY: [&str; 37] = [
    "∞", "0.1", "0.15", "0.2", "0.3", "0.5", "1", "1.5", "2", "3", "5", "10", "15", "20", "30", "50", "100", "150",
    "200", "300", "500", "6″", "1′", "1′6″", "2′", "3′", "4′", "5′", "6′", "10′", "15′", "20′", "30′", "50′", "100′",
    "200′", "500′",
];

/// What is wrong with a drawing: shapes that touch, stand too close or leave the strip, ticks out of order.
fn wrong(set: &Set, strip: &Drawn) -> Vec<String> {
    let mut wrong = Vec::new();
    let drawing = &strip.drawing;
    let (width, height) = drawing.width_height();
    let room = Rect::new(0.0, 0.0, width, height).inflate(2e-4, 2e-4);
    for shape in drawing.ticks.iter().chain(&drawing.numerals) {
        if shape.bounds.union(room) != room {
            wrong.push(format!("{} {} leaves the strip: {:?}", shape.value, shape.unit, shape.bounds));
        }
    }
    for (i, a) in drawing.numerals.iter().enumerate() {
        let numerals = drawing.numerals[i + 1..].iter().map(|b| (b, "numeral"));
        for (b, what) in numerals.chain(drawing.ticks.iter().map(|tick| (tick, "tick"))) {
            if overlap(a.bounds, b.bounds) {
                wrong.push(format!("the numeral {} {} overlaps the {what} {} {}", a.label, a.unit, b.value, b.unit));
            }
        }
    }
    let round = PI * (strip.ring.rear_diameter + set.process.settings().thickness()).to_mm();
    let (label_gap, smallest_gap) = (set.style.label_gap.to_mm(), set.style.smallest_gap.to_mm());
    for unit in strip.units() {
        // the band's numerals and its sign lie in one row
        let of_unit = drawing.numerals.iter().find(|n| n.unit == unit).expect("a numeral").bounds;
        let mut row: Vec<&Shown> = drawing.numerals.iter().filter(|n| overlap_in_height(n.bounds, of_unit)).collect();
        row.sort_by(|a, b| a.bounds.x0.total_cmp(&b.bounds.x0));
        for (i, a) in row.iter().enumerate() {
            // round the ring the last one's neighbour is the first
            let (b, turn) = row.get(i + 1).map_or((row[0], round), |next| (*next, 0.0));
            let clear = b.bounds.x0 + turn - a.bounds.x1;
            // what everybody looks for, and the ring's ends, may stand a little nearer
            let nearest = drawing.ticks_of(&unit).iter().map(|tick| tick.angle).fold(0.0, f64::max);
            let sought = |shown: &&Shown| CUSTOMARY.contains(&shown.label.as_str()) || shown.angle == nearest;
            let numerals = turn == 0.0 && !a.label.is_empty() && !b.label.is_empty();
            let squeezed = numerals && [a, &b].into_iter().any(sought);
            let least = if squeezed { 0.7 * label_gap } else { label_gap };
            if clear < least - 3e-4 {
                wrong.push(format!("{unit}: only {clear:.4} mm between {:?} and {:?}", a.label, b.label));
            }
        }
        for copy in strip.copies(&unit) {
            for pair in copy.windows(2) {
                let step = strip.toward_close() * (pair[1].bounds.center().x - pair[0].bounds.center().x);
                if step < smallest_gap - 3e-4 {
                    wrong.push(format!("{unit}: {step:.4} mm from the tick {} to {}", pair[0].value, pair[1].value));
                }
            }
        }
    }
    wrong
}

fn overlap_in_height(a: Rect, b: Rect) -> bool {
    a.y0.max(b.y0) < a.y1.min(b.y1)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn nothing_touches_on_any_ring(case in cases()) {
        let text = with_throw(&case);
        let set = parse(&text);
        let lettering = lettering(&set).unwrap();
        match drawn(&set, &lettering) {
            Ok(strips) => {
                let strip = &strips[0];
                let ticks = strip.drawing.ticks_of(&strip.units()[0]);
                let close = ticks.iter().map(|tick| tick.angle).fold(0.0, f64::max);
// a numeral nearer to the end than ticks are told apart, 0.93 mm for these, stands for the end itself, as does one
                // that the end holds to 0.03 mm
                let last = ticks.iter().find(|tick| tick.angle == close);
                let short = (case.throw - close) * PI * case.ring / 360.0;
                let stands_for_it = last.is_some_and(|tick| !tick.label.is_empty()) && (-0.03..0.93).contains(&short);
                prop_assert!(
                    (close - case.throw).abs() < 0.01 || stands_for_it,
                    "the ring turns {} degrees",
                    close
                );
                let wrong = wrong(&set, strip);
                prop_assert!(wrong.is_empty(), "{}\n{}", wrong.join("\n"), text);
            }
            // the only good reason: the scale meets itself round the ring
            Err(faults) => {
                let message = faults.to_string();
                prop_assert!(message.contains("once round the ring") && case.throw > 300.0, "{}\n{}", message, text);
            }
        }
    }
}

/// A 30 mm ring, on which a label's gap is 8 degrees.
fn nearly_closed(throw: f64) -> Case {
    Case {
        focal: 24.0,
        ring: 30.0,
        face: 9.0,
        throw,
        closest: 120.0,
        units: 0,
        clockwise: true,
        front: false,
        repeat: false,
        full: true,
    }
}

#[test]
fn where_the_scale_nearly_meets_itself_both_end_numerals_move_aside_of_their_ticks() {
    let text = with_throw(&nearly_closed(349.0));
    let (set, strip) = (parse(&text), one(&text));
    assert_eq!(wrong(&set, &strip), Vec::<String>::new());
    let aside = |label: &str| {
        let of = |shapes: &[Shown]| shapes.iter().find(|s| s.label == label).unwrap().bounds.center().x;
        of(&strip.drawing.numerals) - of(&strip.drawing.ticks)
    };
    // close lies to the left: its numeral moves right, away from the seam, and infinity's moves left
    assert!(aside("0.12") > 0.5 && aside("∞") < -0.1, "{} and {}", aside("0.12"), aside("∞"));
}

#[test]
fn a_scale_whose_ends_would_touch_round_the_ring_is_refused() {
    let set = parse(&with_throw(&nearly_closed(357.0)));
    let faults = drawn(&set, &lettering(&set).unwrap()).err().expect("no room for a gap");
    let message = faults.to_string();
    assert!(message.contains("once round the ring; a smaller label_gap"), "{message}");
    assert_eq!(faults.as_slice()[0].label, "this ring is too small");
}
