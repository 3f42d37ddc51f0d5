//! Tests of the rings as they turn.

use std::path::Path;

use super::*;
use crate::artwork::LayerKind;
use crate::assembly::lettering;
use crate::check::assert_close;
use crate::model::Set;
use crate::process::ProcessKind;

fn with_rings(text: &str, look: impl Fn(&Assembly, &[TurningRing])) {
    let set = Set::parse("quarry.toml", text, Path::new("samples")).unwrap_or_else(|faults| panic!("{faults}"));
    // filled shapes, and lines that a tool follows
    for kind in [ProcessKind::Film, ProcessKind::Engrave] {
        let set = set.made_by(kind);
        let lettering = lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
        for lens in &set.lenses {
            let assembly = Assembly::new(&set, lens, &lettering).unwrap_or_else(|faults| panic!("{faults}"));
            look(&assembly, &assembly.turning());
        }
    }
}

fn text(set: &str, focus: &str, iris: &str) -> String {
    format!(
        r#"[set]
name = "quarry"
{set}
[[lens]]
name = "Basalt 58"
focal_length = "58 mm"
widest_stop = 2
  [lens.focus]
  ring = {{ rear_diameter = "84 mm", front_diameter = "81 mm", width = "14 mm" }}
  closest = "0.6 m"
  lead = "18 mm"
  {focus}
  [lens.iris]
  ring = {{ diameter = "80 mm", width = "9 mm" }}
  {iris}
  readings = [ {{ stop = 2, at = "-4 deg" }}, {{ stop = 5.6, at = "30 deg" }}, {{ stop = 16, at = "60 deg" }} ]
"#
    )
}

/// The middle of a tick in degrees.
fn turn(shape: &Shape) -> f64 {
    let line = &shape.drawn.lines[0];
    line.iter().map(|point| point.0).sum::<f64>() / line.len() as f64
}

/// The ticks of a mark that stand under an index when the ring is read at it: how many indices have one.
fn under_the_indices(ring: &TurningRing, mark: &NumberedMark) -> usize {
    let sign = if ring.sense == Sense::Clockwise { 1.0 } else { -1.0 };
    let turned = sign * (mark.at - ring.zero).to_deg();
    let labelled = |shape: &&Shape| {
        let tag = shape.drawn.tag.as_ref();
        // the label with its unit ends with the sign or begins with it
        shape.drawn.layer == LayerKind::Ticks
            && tag.is_some_and(|tag| !tag.label.is_empty() && mark.label.contains(&tag.label) && tag.angle == mark.at)
    };
    let indices: &[f64] = if ring.index_copies == 2 { &[0.0, 180.0, 360.0] } else { &[0.0, 360.0] };
    let mut found = Vec::new();
    for tick in ring.shapes.iter().filter(labelled) {
        let at = (turn(tick) + turned).rem_euclid(360.0);
        let nearest = indices.iter().copied().min_by(|a, b| (a - at).abs().total_cmp(&(b - at).abs())).unwrap();
        assert_close(at, nearest, 1e-6);
        found.push(nearest.rem_euclid(360.0) as i64);
    }
    found.sort_unstable();
    found.dedup();
    found.len()
}

fn marks_come_under_the_index(rings: &[TurningRing]) {
    for ring in rings {
        assert!(ring.marks.len() > 3, "{:?}", ring.marks);
        for mark in &ring.marks {
            assert_eq!(under_the_indices(ring, mark), ring.index_copies, "{:?} {mark:?}", ring.kind);
        }
        let (first, last) = (&ring.marks[0], &ring.marks[ring.marks.len() - 1]);
        assert_eq!((ring.from, ring.to), (first.at, last.at));
        assert_close((ring.zero - first.at).to_deg(), 0.0, 1e-9);
    }
}

#[test]
fn each_numbered_mark_stands_under_the_index_when_the_ring_is_read_at_it() {
    with_rings(include_str!("../../../samples/SET.toml"), |_, rings| {
        assert_eq!(rings.len(), 2);
        marks_come_under_the_index(rings);
    });
    for sense in ["clockwise", "counterclockwise"] {
        for index in ["rear", "front"] {
            let focus = format!("toward_close = \"{sense}\"\n  index = \"{index}\"\n  repeat = 2");
            let iris = format!("toward_closed = \"{sense}\"\n  index = \"{index}\"");
            with_rings(&text("", &focus, &iris), |_, rings| {
                assert_eq!(rings[0].index_copies, 2);
                marks_come_under_the_index(rings);
            });
        }
    }
}

#[test]
fn a_repeated_scale_has_two_indices_and_others_have_one() {
    with_rings(include_str!("../../../samples/SET.toml"), |assembly, rings| {
        let copies: Vec<usize> = rings.iter().map(|ring| ring.index_copies).collect();
        let repeated = assembly.lens.name == "Granite 50";
        assert_eq!(copies, [if repeated { 2 } else { 1 }, 1]);
    });
}

#[test]
fn marks_are_named_with_their_units() {
    with_rings(include_str!("../../../samples/SET.toml"), |assembly, rings| {
        if assembly.lens.name != "Marble 85" {
            return;
        }
        let labels =
            |ring: &TurningRing| ring.marks.iter().map(|mark| mark.label.clone()).collect::<Vec<_>>().join(" · ");
        // single-line numerals are wider, and 4 has no room among them
        let focus = match assembly.set.process.kind() {
            ProcessKind::Film | ProcessKind::Vinyl => "∞ · 10 m · 5 m · 4 m · 3 m · 2 m · 1.5 m · 1.2 m · 1.1 m · 1 m",
            ProcessKind::Engrave => "∞ · 10 m · 5 m · 3 m · 2 m · 1.5 m · 1.2 m · 1.1 m · 1 m",
        };
        assert_eq!(labels(&rings[0]), focus);
        // a knife cannot make numerals so low that T11 had room
        let iris = match assembly.set.process.kind() {
            ProcessKind::Film | ProcessKind::Engrave => "T2 · T2.8 · T4 · T5.6 · T8 · T11 · T16",
            ProcessKind::Vinyl => "T2 · T2.8 · T4 · T5.6 · T8 · T16",
        };
        assert_eq!(labels(&rings[1]), iris);
    });
}

#[test]
fn a_ring_that_rides_has_its_index_on_the_focus_ring_and_no_plate() {
    let focus = "toward_close = \"counterclockwise\"";
    let iris = "toward_closed = \"clockwise\"\n  rides_on_focus = true";
    with_rings(&text("", focus, iris), |_, rings| {
        let [focus, iris] = rings else { panic!("two rings") };
        assert!(iris.rides && iris.plate.is_empty() && !focus.rides && !focus.plate.is_empty());
        assert_eq!(focus.riding_index, None);
        // with the focus ring read there, its wedge stands where the fixed index is
        let wedge = focus.shapes.iter().find(|shape| shape.drawn.layer == LayerKind::Index).unwrap();
        let at = iris.riding_index.unwrap();
        assert!(at > focus.from && at < focus.to);
        assert_close(turn(wedge) - (at - focus.zero).to_deg(), 0.0, 1e-6);
    });
}

#[test]
fn marks_that_are_not_true_at_the_stop_asked_for_are_doubtful_with_tick_and_numeral() {
    let focus = "toward_close = \"clockwise\"";
    let iris = "toward_closed = \"clockwise\"";
    for (style, some, all) in [("[style]\ntrust_stop = 1", true, true), ("[style]\ntrust_stop = 64", false, false)] {
        with_rings(&text(style, focus, iris), |_, rings| {
            let marked = || rings[0].shapes.iter().filter(|shape| shape.drawn.tag.is_some());
            assert_eq!(marked().any(|shape| shape.doubtful), some);
            assert_eq!(marked().all(|shape| shape.doubtful), all);
            assert!(rings[1].shapes.iter().all(|shape| !shape.doubtful));
        });
    }
}
