//! DXF files read back with the Python package ezdxf, strictly: nothing to repair, and every contour at its place and
//! with its area.
//!
//! Needs Python with ezdxf, in `target/outside` (where `tests/run` puts it) or as `python3`.

use std::fs;
use std::path::Path;
use std::process::Command;

use kurbo::{BezPath, Circle, PathEl, Shape};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use ringwright::artwork::{Drawing, Group, Ink, Layer, LayerKind};
use ringwright::units::Length;
use ringwright::write::dxf;
use serde_json::Value;

use crate::kit::{paths, sets, strips};

/// What ezdxf finds in the drawings. Each must be free of complaints.
fn read(name: &str, drawings: &[Drawing]) -> Vec<Value> {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let files = drawings.iter().enumerate().map(|(at, drawing)| {
        let path = folder.join(format!("{name}-{at}.dxf"));
        fs::write(&path, dxf(drawing)).unwrap();
        path
    });
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let own = root.join("target/outside/bin/python");
    let python = if own.exists() { own } else { "python3".into() };
    let output = Command::new(&python)
        .arg(root.join("tests/outside/dxf.py"))
        .args(files)
        .output()
        .unwrap_or_else(|error| panic!("this check needs Python ({}): {error}", python.display()));
    let complaints = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "ezdxf could not read it, or is not there (tests/run installs it; else: pip install ezdxf):\n{complaints}"
    );
    let read: Vec<Value> = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(read.len(), drawings.len());
    for (at, file) in read.iter().enumerate() {
        assert_eq!(file["version"], "AC1009");
        assert_eq!(file["complaints"].as_array().map(Vec::len), Some(0), "{name}-{at}: {}", file["complaints"]);
        assert_eq!((&file["units"], &file["measurement"]), (&4.into(), &1.into()));
        assert_eq!(file["others"], 0);
    }
    read
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("an array").iter().map(|number| number.as_f64().expect("a number")).collect()
}

/// The contours of a drawing in order, with the names of their layers.
fn contours(drawing: &Drawing) -> Vec<(&'static str, BezPath)> {
    let mut all: Vec<(&'static str, BezPath)> = Vec::new();
    for layer in &drawing.layers {
        let name = match layer.kind {
            LayerKind::Ticks => "TICKS",
            LayerKind::Numerals => "NUMERALS",
            LayerKind::Index => "INDEX",
            LayerKind::Outline => "OUTLINE",
            LayerKind::Guide => "GUIDE",
            LayerKind::Cut => "CUT",
        };
        for element in layer.groups.iter().flat_map(|group| group.path.elements()) {
            if matches!(element, PathEl::MoveTo(_)) {
                all.push((name, BezPath::new()));
            }
            all.last_mut().expect("a path begins with a move").1.push(*element);
        }
    }
    all
}

fn straight(path: &BezPath) -> bool {
    !path.elements().iter().any(|element| matches!(element, PathEl::QuadTo(..) | PathEl::CurveTo(..)))
}

/// A straight contour with y up and 4 decimals.
fn rounded(path: &BezPath, height: f64) -> BezPath {
    let round = |value: f64| (value * 1e4).round() / 1e4;
    let place = |point: kurbo::Point| kurbo::Point::new(round(point.x), round(height - point.y));
    let elements = path.elements().iter().map(|element| match *element {
        PathEl::MoveTo(to) => PathEl::MoveTo(place(to)),
        PathEl::LineTo(to) => PathEl::LineTo(place(to)),
        other => other,
    });
    elements.collect()
}

/// Every contour is there, on its layer, within 0.005 mm and a thousandth of its area, with y up.
fn check(drawing: &Drawing, file: &Value) {
    let height = drawing.height.to_mm();
    let found = file["polylines"].as_array().unwrap();
    let expected = contours(drawing);
    assert_eq!(found.len(), expected.len());
    let mut extent: Option<kurbo::Rect> = None;
    for (found, (layer, path)) in found.iter().zip(&expected) {
        assert_eq!((found["layer"].as_str(), &found["closed"]), (Some(*layer), &true.into()));
        let bounds = path.bounding_box();
        extent = Some(extent.map_or(bounds, |extent| extent.union(bounds)));
        let upright = [bounds.x0, height - bounds.y1, bounds.x1, height - bounds.y0];
        for (found, expected) in numbers(&found["box"]).into_iter().zip(upright) {
            assert!((found - expected).abs() <= 0.005, "{found} for {expected} in {path:?}");
        }
        let area = found["area"].as_f64().unwrap();
        if straight(path) {
            assert_eq!(found["bent"], 0, "a straight edge was bent");
            // the corners are rounded to 4 decimals, after which nothing is left to chance
            let expected = rounded(path, height).area();
            assert!((area - expected).abs() <= 1e-8 * (1.0 + path.perimeter(1e-3)), "{area} mm2 for {expected}");
        } else {
            // upside down, a contour turns the other way
            let expected = -path.area();
            assert!((area - expected).abs() <= 1e-3 * expected.abs(), "{area} mm2 for {expected} of {path:?}");
        }
        assert!(found["shortest"].as_f64().unwrap() >= 1e-4 - 1e-9);
    }
    let extent = extent.expect("something drawn");
    let upright = [extent.x0, height - extent.y1, extent.x1, height - extent.y0];
    for (found, expected) in numbers(&file["extent"]).into_iter().zip(upright) {
        assert!((found - expected).abs() <= 0.005, "the extent is {found} for {expected}");
    }
}

#[test]
fn every_shape_of_real_strips_is_at_its_place_and_upright() {
    let strips = ["large-ring", "cone", "repeat", "iris-thirds-t-scale"].map(sets::golden);
    for (drawing, file) in strips.iter().zip(read("strips", &strips)) {
        check(drawing, &file);
        let bent = file["polylines"].as_array().unwrap().iter().filter(|shape| shape["bent"] != 0).count();
        assert!(bent >= 10, "only {bent} numerals have arcs");
    }
}

#[test]
fn quadratics_holes_and_the_far_end_of_a_large_sheet_are_where_they_should_be() {
    let sheets = [strips::strip(420.0, 297.0, 300, 60), strips::strip(60.0, 20.0, 20, 7)];
    for (drawing, file) in sheets.iter().zip(read("sheets", &sheets)) {
        check(drawing, &file);
    }
}

#[test]
fn circles_have_the_area_of_circles_and_each_role_its_colour() {
    let radii = [0.05, 0.5, 3.0, 40.0];
    let circles = radii.map(|radius| Group::new(None, Circle::new((50.0, 45.0), radius).to_path(1e-6)));
    let layers = vec![Layer::new(LayerKind::Guide, circles.to_vec())];
    let drawing = Drawing { title: String::new(), width: Length::mm(100.0), height: Length::mm(100.0), layers };
    let file = &read("circles", &[drawing])[0];
    for (circle, radius) in file["polylines"].as_array().unwrap().iter().zip(radii) {
        let area = circle["area"].as_f64().unwrap().abs();
        let expected = std::f64::consts::PI * radius * radius;
        assert!((area - expected).abs() <= 1e-3 * expected, "{area} mm2 for {expected}");
        for (found, side) in
            numbers(&circle["box"]).into_iter().zip([(50.0, -1.0), (55.0, -1.0), (50.0, 1.0), (55.0, 1.0)])
        {
            assert!((found - (side.0 + side.1 * radius)).abs() <= 0.002);
        }
    }
    let colours = file["colours"].as_object().unwrap();
    let mut seen: Vec<i64> = ["TICKS", "NUMERALS", "INDEX", "OUTLINE", "GUIDE", "CUT"]
        .iter()
        .map(|name| colours.get(*name).and_then(Value::as_i64).expect("every role has a layer"))
        .collect();
    seen.sort_unstable();
    seen.dedup();
    assert_eq!(seen.len(), 6, "two roles look alike: {colours:?}");
}

#[test]
fn lines_stay_open_where_they_are_open() {
    let path = |data| Group::new(None, BezPath::from_svg(data).unwrap());
    let groups = vec![path("M1 1L1 9"), path("M2 1C2 5 6 5 6 9"), path("M8 1L12 1L12 5Z")];
    let layers = vec![Layer::new(LayerKind::Ticks, groups).with_ink(Ink::Line(Length::mm(0.2)))];
    let drawing = Drawing { title: String::new(), width: Length::mm(20.0), height: Length::mm(10.0), layers };
    let file = &read("lines", &[drawing])[0];
    let lines = file["polylines"].as_array().unwrap();
    let told: Vec<_> = lines.iter().map(|line| line["closed"].as_bool().unwrap()).collect();
    assert_eq!(told, [false, false, true]);
    let boxes: Vec<_> = lines.iter().map(|line| numbers(&line["box"])).collect();
    for (found, expected) in boxes.iter().zip([[1.0, 1.0, 1.0, 9.0], [2.0, 1.0, 6.0, 9.0], [8.0, 5.0, 12.0, 9.0]]) {
        assert!(found.iter().zip(expected).all(|(found, expected)| (found - expected).abs() <= 0.002), "{found:?}");
    }
    assert_eq!((&lines[0]["corners"], &lines[2]["corners"]), (&2.into(), &3.into()));
}

#[test]
fn any_paths_make_a_file_without_faults() {
    // one start of Python for many drawings
    let mut runner = TestRunner::deterministic();
    let some = prop::collection::vec(paths::any_drawing(), 60..=60);
    let drawings = some.new_tree(&mut runner).unwrap().current();
    let mut shapes = 0;
    for file in read("any", &drawings) {
        for shape in file["polylines"].as_array().unwrap() {
            assert!(shape["shortest"].as_f64().unwrap() >= 1e-4 - 1e-9, "{shape}");
            shapes += 1;
        }
    }
    assert!(shapes >= 120, "only {shapes} shapes");
}

proptest! {
    #[test]
    fn any_paths_can_be_written_as_pairs_of_code_and_value(drawing in paths::any_drawing()) {
        let text = dxf(&drawing);
        let lines: Vec<&str> = text.lines().collect();
        prop_assert_eq!(lines.len() % 2, 0);
        for pair in lines.chunks(2) {
            let code: u8 = pair[0].trim().parse().unwrap();
            if matches!(code, 10 | 20 | 30 | 40 | 42) {
                prop_assert!(pair[1].parse::<f64>().unwrap().is_finite());
            }
        }
        prop_assert_eq!(&lines[lines.len() - 2..], ["  0", "EOF"]);
        prop_assert_eq!(dxf(&drawing), text);
    }
}
