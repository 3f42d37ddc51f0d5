//! The follow focus's marking disc read back: every tick at its ring angle times the gear ratio, on either kind of disc.

use std::path::Path;

use kurbo::{Point, Shape};
use ringwright::assembly::{Assembly, lettering};
use ringwright::set::Set;
use ringwright::write::svg;

#[allow(dead_code, reason = "shared by several tests, of which this one does not ask for sizes and bands")]
#[path = "kit/drawing.rs"]
mod drawing;

fn set(disc: &str) -> Set {
    let text = format!(
        "[set]\nname = \"S\"\nunits = [\"m\"]\n[[lens]]\nname = \"Granite 50\"\nfocal_length = \"50 mm\"\n[lens.focus]\n\
         ring = {{ diameter = \"84 mm\", width = \"14 mm\" }}\ntoward_close = \"clockwise\"\nclosest = \"0.45 m\"\n\
         lead = \"10 mm\"\n[lens.disc]\n{disc}\n"
    );
    Set::parse("set.toml", &text, Path::new("")).unwrap_or_else(|faults| panic!("{faults}"))
}

fn draw(disc: &str) -> Result<drawing::Drawing, String> {
    let set = set(disc);
    let lettering = lettering(&set).unwrap();
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering).map_err(|faults| faults.to_string())?;
    let strips = assembly.strips().map_err(|faults| faults.to_string())?;
    let disc = strips.iter().find(|(ending, _)| *ending == "disc").expect("a disc");
    Ok(drawing::read(&svg(&disc.1.drawing)))
}

/// Clockwise from the top, and from the centre, of a tick's outer end.
fn polar(tick: &drawing::Shown, centre: Point) -> (f64, f64) {
    let points = tick.path.elements().iter().filter_map(|element| element.end_point());
    let mut ends: Vec<Point> = points.collect();
    ends.sort_by(|a, b| b.distance(centre).total_cmp(&a.distance(centre)));
    let outer = ends[0].midpoint(ends[1]);
    ((outer.x - centre.x).atan2(centre.y - outer.y).to_degrees(), outer.distance(centre))
}

/// What a disc is read by: with the scale turning clockwise toward close under a fixed pointer, the closer mark has
/// to come under the pointer from the left, so it lies counterclockwise of infinity; with a turning pointer the
/// other way round.
#[test]
fn every_tick_lies_at_its_ring_angle_times_the_gear_ratio() {
    let gears = ["ring_teeth = 110\nwheel_teeth = 88", "ring_diameter = \"88 mm\"\nwheel_diameter = \"70.4 mm\""];
    for (turns, sense, clockwise) in [
        ("scale", "clockwise", false),
        ("scale", "counterclockwise", true),
        ("pointer", "clockwise", true),
        ("pointer", "counterclockwise", false),
    ] {
        for gears in gears {
            let drawn = draw(&format!(
                "diameter = \"80 mm\"\nhole = \"16 mm\"\n{gears}\nturns = \"{turns}\"\ntoward_close = \"{sense}\""
            ))
            .unwrap();
            assert!(drawn.ticks.len() > 20);
            let infinity = drawn.ticks.iter().find(|tick| tick.value == "inf").expect("infinity").angle;
            for tick in &drawn.ticks {
                let (at, from_centre) = polar(tick, Point::new(40.0, 40.0));
                let expected = (tick.angle - infinity) * 110.0 / 88.0 * if clockwise { 1.0 } else { -1.0 };
                let off = (at - expected + 180.0).rem_euclid(360.0) - 180.0;
                assert!(off.abs() < 0.001, "{turns} {sense} {}: {at} is not {expected}", tick.value);
                assert!((from_centre - 40.0).abs() < 1e-3, "{} begins at {from_centre}", tick.value);
            }
        }
    }
}

#[test]
fn a_scale_of_several_turns_winds_inward_in_rows_that_never_touch() {
    let drawn = draw(
        "diameter = \"80 mm\"\nhole = \"16 mm\"\nring_teeth = 110\nwheel_teeth = 40\ntoward_close = \"clockwise\"",
    )
    .unwrap();
    let centre = Point::new(40.0, 40.0);
    let infinity = drawn.ticks.iter().find(|tick| tick.value == "inf").expect("infinity").angle;
    let mut rows: Vec<(f64, f64)> = Vec::new();
    for tick in &drawn.ticks {
        let (at, from_centre) = polar(tick, centre);
        let turned = (tick.angle - infinity) * 110.0 / 40.0;
        assert!(((at + turned + 180.0).rem_euclid(360.0) - 180.0).abs() < 0.001, "{}", tick.value);
        rows.push((turned, from_centre));
    }
    let last = rows.iter().fold(0.0, |most: f64, row| most.max(row.0));
    assert!(last > 720.0, "this disc turns more than twice: {last}");
    // one law for all: the same depth for every turn
    let pitch = (40.0 - rows.iter().map(|row| row.1).fold(f64::INFINITY, f64::min)) / last * 360.0;
    assert!(rows.iter().all(|(turned, at)| (40.0 - pitch * turned / 360.0 - at).abs() < 1e-3));
    let shapes: Vec<_> = drawn.ticks.iter().chain(&drawn.numerals).collect();
    for (i, a) in shapes.iter().enumerate() {
        for b in &shapes[..i] {
            let apart = apart(&a.path, &b.path);
            assert!(apart > 0.3, "{}{} and {}{} are {apart} mm apart", a.value, a.label, b.value, b.label);
        }
    }
}

/// The distance of two outlines, to a twentieth of a millimetre.
fn apart(a: &kurbo::BezPath, b: &kurbo::BezPath) -> f64 {
    if a.bounding_box().inflate(1.0, 1.0).intersect(b.bounding_box()).area() <= 0.0 {
        return f64::INFINITY;
    }
    let points = |path: &kurbo::BezPath| -> Vec<Point> {
        path.segments().flat_map(|s| (0..8).map(move |k| kurbo::ParamCurve::eval(&s, f64::from(k) / 8.0))).collect()
    };
    let (a, b) = (points(a), points(b));
    a.iter().flat_map(|p| b.iter().map(|q| p.distance(*q))).fold(f64::INFINITY, f64::min)
}

#[test]
fn a_disc_that_is_too_small_says_how_much_room_it_needs() {
    let message = draw(
        "diameter = \"30 mm\"\nhole = \"16 mm\"\nring_teeth = 110\nwheel_teeth = 40\ntoward_close = \"clockwise\"",
    );
    let message = message.err().expect("nine rows fit no such disc");
    assert!(message.contains("turns 2.") && message.contains("this disc is too small"), "{message}");
}

#[test]
fn the_disc_is_as_large_as_it_says() {
    let drawn =
        draw("diameter = \"61.5 mm\"\nring_teeth = 60\nwheel_teeth = 80\ntoward_close = \"clockwise\"").unwrap();
    assert_eq!(drawn.width_height(), (61.5, 61.5));
    let rim = drawn.outline;
    assert!((rim.width() - 61.5).abs() < 1e-3 && (rim.height() - 61.5).abs() < 1e-3);
}
