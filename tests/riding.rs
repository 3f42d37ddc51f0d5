//! An iris ring that rides on the focusing group, from the set file to the drawing.

use std::path::Path;

use kurbo::Shape;
use ringwright::artwork::{LayerKind, Strip};
use ringwright::assembly::{self, Assembly};
use ringwright::model::{Piece, Set};

fn text(focus: &str, iris: &str) -> String {
    format!(
        r#"[set]
name = "quarry"
[[lens]]
name = "Basalt 58"
focal_length = "58 mm"
widest_stop = 2
  [lens.focus]
  ring = {{ diameter = "84 mm", width = "14 mm" }}
  closest = "0.6 m"
  lead = "18 mm"
  {focus}
  [lens.iris]
  ring = {{ diameter = "80 mm", width = "9 mm" }}
  toward_closed = "clockwise"
  rides_on_focus = true
  {iris}
  readings = [ {{ stop = 2, at = "0 deg" }}, {{ stop = 5.6, at = "30 deg" }}, {{ stop = 16, at = "60 deg" }} ]
"#
    )
}

fn with<T>(text: &str, look: impl FnOnce(&Assembly) -> T) -> T {
    let set = Set::parse("quarry.toml", text, Path::new("")).unwrap_or_else(|faults| panic!("{faults}"));
    let lettering = assembly::lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
    look(&Assembly::new(&set, &set.lenses[0], &lettering).unwrap_or_else(|faults| panic!("{faults}")))
}

fn strip(assembly: &Assembly, piece: Piece) -> Strip {
    let strips = assembly.strips().unwrap_or_else(|faults| panic!("{faults}"));
    strips.into_iter().find(|(name, _)| *name == piece).unwrap().1
}

fn wedge(strip: &Strip) -> kurbo::Rect {
    let layer = strip.drawing.layers.iter().find(|layer| layer.kind == LayerKind::Index).expect("an index layer");
    assert_eq!(layer.groups.len(), 1);
    layer.groups[0].path.bounding_box()
}

#[test]
fn the_index_stands_on_the_focus_strip_at_the_edge_toward_the_iris_ring_and_on_no_plate() {
    for (iris, at_front) in [("index = \"rear\"", true), ("index = \"front\"", false)] {
        // the scale's own index stands at the other edge
        let own = if at_front { "index = \"rear\"" } else { "index = \"front\"" };
        with(&text(&format!("toward_close = \"clockwise\"\n{own}"), iris), |assembly| {
            let focus = strip(assembly, Piece::Focus);
            let (wedge, high) = (wedge(&focus), focus.drawing.height.to_mm());
            let touches = if at_front { wedge.y0.abs() } else { (wedge.y1 - high).abs() };
            assert!(touches < 1e-6, "{wedge:?} on a strip {high} high");
            // only the focus ring's own plate is left
            let plates: Vec<bool> = assembly.plates().map(|(iris, _)| iris).collect();
            assert_eq!(plates, [false]);
        });
    }
}

#[test]
fn it_touches_neither_ticks_nor_numerals_wherever_it_is_wanted() {
    for sense in ["clockwise", "counterclockwise"] {
        for wanted in ["0 deg", "20 deg", "55 deg", "101.3 deg", "148 deg"] {
            // with its own index at the same edge as well: ticks stand there
            for own in ["rear", "front"] {
                let focus =
                    format!("toward_close = \"{sense}\"\nindex = \"{own}\"\nextent = 0").replace("\nextent = 0", "");
                let iris = format!("index_at = \"{wanted}\"");
                with(&text(&focus, &iris), |assembly| {
                    let focus = strip(assembly, Piece::Focus);
                    let wedge = wedge(&focus);
                    for layer in &focus.drawing.layers {
                        if matches!(layer.kind, LayerKind::Ticks | LayerKind::Numerals) {
                            for group in &layer.groups {
                                let overlap = group.path.bounding_box().intersect(wedge);
                                assert!(overlap.area() <= 0.0, "{wanted} {own}: {:?}", group.tag);
                            }
                        }
                    }
                    let ride = assembly.ride().unwrap();
                    // back from the drawing: the arc from infinity, to the left on a ring that turns clockwise toward close
                    let infinity =
                        focus.drawing.layers.iter().find(|layer| layer.kind == LayerKind::Ticks).unwrap().groups[0]
                            .path
                            .bounding_box()
                            .center()
                            .x;
                    let arc = (wedge.center().x - infinity) * if sense == "clockwise" { -1.0 } else { 1.0 };
                    let at = arc / (std::f64::consts::PI * 84.1 / 360.0);
                    assert!((ride.index_at.unwrap().to_deg() - at).abs() < 0.01, "{at} {:?}", ride.index_at);
                });
            }
        }
    }
}

#[test]
fn both_turns_add_up_and_a_motor_reaches_them_or_not() {
    let focus = "toward_close = \"clockwise\"";
    for sense in ["clockwise", "counterclockwise"] {
        let text = text(focus, "motor_sweep = \"200 deg\"")
            .replace("toward_closed = \"clockwise\"", &format!("toward_closed = \"{sense}\""));
        with(&text, |assembly| {
            let ride = assembly.ride().unwrap();
            // by hand: every corner of both turns, either sense
            let (own, along) = (ride.own.to_deg(), ride.along.to_deg());
            assert!((own - 60.0).abs() < 0.5, "{own}");
            let sign = if sense == "clockwise" { 1.0 } else { -1.0 };
            let corners = [0.0, sign * own, along, sign * own + along];
            let range =
                corners.iter().fold(0.0, |a: f64, b| a.max(*b)) - corners.iter().fold(0.0, |a: f64, b| a.min(*b));
            assert!((ride.sweep().to_deg() - range).abs() < 1e-9);
            assert!(!ride.motor_reaches());
            // six stops in 60 degrees
            assert!((ride.drift_stops().unwrap() - along / own * 6.0).abs() < 1e-9);
        });
    }
    with(&text(focus, ""), |assembly| assert!(assembly.ride().unwrap().motor_reaches()));
}

#[test]
fn the_report_says_what_a_motor_has_to_do() {
    let said =
        with(&text("toward_close = \"clockwise\"", "motor_sweep = \"200 deg\"\nindex_at = \"0 deg\""), |assembly| {
            ringwright::report::fit_text(std::slice::from_ref(assembly))
        });
    let lines: Vec<&str> = said.lines().skip_while(|line| !line.contains("turns along")).take(4).collect();
    insta::assert_snapshot!(lines.join("\n"), @r#"
it turns along when focusing: 60° of its own and 141° with the focus ring, 201° in all
a motor fixed to the rods that turns it 200° does not reach all of it, 1° are missing: let the motor ride along, or gear it otherwise
a motor that only holds it lets the aperture drift by 14.1 stops from infinity to the closest distance
its index stands on the focus ring at -4.1°, the free place nearest to 0.0°
"#);
}

#[test]
fn without_a_focus_ring_there_is_nothing_to_ride_on() {
    let text = text("toward_close = \"clockwise\"", "");
    let (head, rest) = text.split_once("  [lens.focus]").unwrap();
    let iris = &rest[rest.find("  [lens.iris]").unwrap()..];
    let faults = Set::parse("quarry.toml", &format!("{head}{iris}"), Path::new("")).unwrap_err();
    assert!(faults.to_string().contains("an iris ring rides on the focus ring, and this lens has none"), "{faults}");
}
