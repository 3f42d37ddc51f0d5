//! The follow focus's marking disc read back: every tick at its ring angle times the gear ratio, on either kind of disc.

use std::path::Path;

use kurbo::{Point, Shape};
use ringwright::artwork::{LayerKind, Strip};
use ringwright::assembly::{Assembly, lettering};
use ringwright::model::{Piece, Set};
use ringwright::process::{Cut, Vinyl, cut, transfer_guide};
use ringwright::write::svg;

use crate::kit::drawing;

fn set(disc: &str) -> Set {
    let text = format!(
        "[set]\nname = \"S\"\nunits = [\"m\"]\n[[lens]]\nname = \"Granite 50\"\nfocal_length = \"50 mm\"\n[lens.focus]\n\
         ring = {{ diameter = \"84 mm\", width = \"14 mm\" }}\ntoward_close = \"clockwise\"\nclosest = \"0.45 m\"\n\
         lead = \"10 mm\"\n[lens.disc]\n{disc}\n"
    );
    Set::parse("set.toml", &text, Path::new("")).unwrap_or_else(|faults| panic!("{faults}"))
}

fn draw(disc: &str) -> Result<drawing::Drawing, String> {
    Ok(drawing::read(&svg(&strip(disc)?.drawing)))
}

fn strip(disc: &str) -> Result<Strip, String> {
    let set = set(disc);
    let lettering = lettering(&set).unwrap();
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering).map_err(|faults| faults.to_string())?;
    let strips = assembly.strips().map_err(|refused| {
        let labels = refused.as_slice().iter().map(|refusal| format!("{refusal}: {}", refusal.label));
        labels.collect::<Vec<_>>().join("; ")
    })?;
    Ok(strips.into_iter().find(|(ending, _)| *ending == Piece::Disc).expect("a disc").1)
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

const PLAIN: &str =
    "diameter = \"80 mm\"\nhole = \"16 mm\"\nring_teeth = 60\nwheel_teeth = 80\ntoward_close = \"clockwise\"";

#[test]
fn a_mask_for_a_disc_is_one_plate_with_its_hole_and_an_opening_for_every_mark() {
    let disc = strip(PLAIN).unwrap();
    let mask = cut(&disc, &Vinyl { cut: Cut::Mask, ..Vinyl::default() });
    let pieces: Vec<_> = mask.drawing.layers.iter().flat_map(|layer| &layer.groups).collect();
    // islands of unbridged numerals stand in their openings; the plate is the largest piece
    let plate = pieces.iter().max_by(|a, b| a.path.bounding_box().area().total_cmp(&b.path.bounding_box().area()));
    let plate = &plate.expect("a plate").path;
    let bounds = plate.bounding_box();
    // a land of 3 mm beyond the rim
    assert!((bounds.width() - 86.0).abs() < 1e-3 && (bounds.height() - 86.0).abs() < 1e-3, "{bounds:?}");
    assert_eq!(plate.winding(Point::new(43.0, 43.0)), 0, "the hole is open");
    assert_ne!(plate.winding(Point::new(43.0, 51.5)), 0, "the plate begins at the hole");
    assert_ne!(plate.winding(Point::new(43.0, 2.5)), 0, "the land is closed");
    let openings: Vec<_> = plate.subpaths().map(|one| one.iter().copied().collect::<kurbo::BezPath>()).collect();
    let ticks = drawing::read(&svg(&disc.drawing)).ticks;
    for tick in &ticks {
        assert_eq!(plate.winding(tick.bounds.center() + kurbo::Vec2::new(3.0, 3.0)), 0, "{}", tick.value);
    }
    assert!(openings.len() > ticks.len() + 2);
    for contour in pieces.iter().flat_map(|piece| piece.path.subpaths()) {
        let contour: kurbo::BezPath = contour.iter().copied().collect();
        assert!(contour.area().abs() > 0.01, "a sliver of {} mm²", contour.area());
    }
}

#[test]
fn a_discs_transfer_guide_has_a_round_carrier_rim_hole_and_infinity_at_the_top() {
    let guide = transfer_guide(&strip(PLAIN).unwrap()).expect("a disc is carried over");
    let bounds = |layer: usize| guide.drawing.layers[layer].groups.iter().map(|group| group.path.bounding_box());
    let carrier = bounds(0).next().unwrap();
    assert!((carrier.width() - 96.0).abs() < 1e-3 && (carrier.height() - 96.0).abs() < 1e-3);
    let centre = carrier.center();
    for across in [80.0, 16.0] {
        let circle = bounds(1).find(|one| (one.width() - across).abs() < 1e-3).expect("a circle");
        assert!((circle.height() - across).abs() < 1e-3 && circle.center().distance(centre) < 1e-3);
    }
    let infinity = bounds(1).find(|one| one.width() < 1e-9 && one.y1 < centre.y - 39.0).expect("a line at the top");
    assert!((infinity.x0 - centre.x).abs() < 1e-6 && (infinity.height() - 8.0).abs() < 1e-6);
    // the pieces lie as on the disc
    assert!(bounds(2).all(|one| one.center().distance(centre) < 40.0));
    assert!(guide.drawing.layers.iter().all(|layer| layer.kind != LayerKind::Outline));
}
