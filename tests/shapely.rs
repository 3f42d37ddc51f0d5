//! Booleans, offsets and distances of our shapes against shapely (GEOS), which shares no code with the library used here.
//!
//! Outlines are flattened here, so that both see the same corners; shapely fills them by the non-zero rule, by its
//! definition (tests/outside/areas.py). Needs Python with shapely: `tests/run` installs it under target/outside.

use std::path::{Path, PathBuf};
use std::process::Command;

use kurbo::{Affine, BezPath, PathEl, Point};
use ringwright::artwork::LayerKind;
use ringwright::assembly::{Assembly, lettering};
use ringwright::lettering::{Face, Lettering};
use ringwright::model::Set;
use ringwright::region::{Region, united};
use ringwright::units::Length;
use serde_json::{Value, json};

/// Corners per curve are the same for both sides, so this is the grid's rounding along some hundred mm of edges.
const AREA_MM2: f64 = 2e-3;

fn python() -> PathBuf {
    let ours = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/outside/bin/python");
    if ours.exists() { ours } else { "python3".into() }
}

/// What shapely finds. A Python or a shapely that is missing fails.
fn ask(name: &str, job: &Value) -> Value {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.json"));
    std::fs::write(&file, job.to_string()).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/areas.py");
    let run = Command::new(python()).arg(script).arg(&file).output();
    let run = run.unwrap_or_else(|error| panic!("python3 cannot be started ({error}); tests/run installs it"));
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(run.status.success(), "shapely did not answer; tests/run installs it:\n{said}");
    serde_json::from_slice(&run.stdout).unwrap()
}

/// Every contour as corners, curves flattened to a micrometre.
fn corners(path: &BezPath) -> Vec<Vec<[f64; 2]>> {
    let mut contours: Vec<Vec<[f64; 2]>> = Vec::new();
    kurbo::flatten(path, 0.001, |element| match element {
        PathEl::MoveTo(point) => contours.push(vec![[point.x, point.y]]),
        PathEl::LineTo(point) => contours.last_mut().unwrap().push([point.x, point.y]),
        _ => (),
    });
    contours
}

/// The outline of those very corners.
fn polygons(contours: &[Vec<[f64; 2]>]) -> BezPath {
    let mut path = BezPath::new();
    for contour in contours {
        path.move_to(Point::from((contour[0][0], contour[0][1])));
        contour[1..].iter().for_each(|corner| path.line_to((corner[0], corner[1])));
        path.close_path();
    }
    path
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn same(what: &str, ours: f64, theirs: &Value, tolerance: f64) {
    let theirs = number(theirs);
    assert!((ours - theirs).abs() <= tolerance, "{what}: {ours} here, {theirs} there, {tolerance} allowed");
}

fn same_counts(what: &str, ours: &Region, theirs: &Value) {
    same(what, ours.area(), &theirs["area"], AREA_MM2);
    assert_eq!(Some(ours.islands().len() as u64), theirs["islands"].as_u64(), "islands of {what}");
    assert_eq!(Some(ours.hole_count() as u64), theirs["holes"].as_u64(), "holes of {what}");
}

/// Compares shapes one by one, all neighbours' distances, and all together.
fn compare(name: &str, paths: &[BezPath], radius: f64) {
    let contours: Vec<_> = paths.iter().map(corners).collect();
    let pairs: Vec<[usize; 2]> = (1..paths.len()).map(|at| [at - 1, at]).collect();
    let shapes: Vec<Value> = contours.iter().map(|contours| json!({ "contours": contours })).collect();
    let found = ask(name, &json!({ "shapes": shapes, "radius": radius, "pairs": pairs }));

    let regions: Vec<Region> = contours.iter().map(|contours| Region::new(&polygons(contours))).collect();
    for (at, (region, theirs)) in regions.iter().zip(found["shapes"].as_array().unwrap()).enumerate() {
        let what = format!("{name}, shape {at}");
        same_counts(&what, region, theirs);
        // round joins: our chords stray 0.5 µm, theirs, 64 to the quarter, 0.08 µm at 0.5 mm; along every edge at most
        let edge: f64 = region.contours().map(|c| way_round(c) + 2.0 * std::f64::consts::PI * radius).sum();
        let offset = |by: f64| region.offset(Length::mm(by)).area();
        same(&format!("{what} grown"), offset(radius), &theirs["grown"], 0.0006 * edge);
        same(&format!("{what} shrunk"), offset(-radius), &theirs["shrunk"], 0.0006 * edge);
    }
    for (pair, theirs) in pairs.iter().zip(found["pairs"].as_array().unwrap()) {
        let way = regions[pair[0]].nearest(&regions[pair[1]]).unwrap();
        // places are on a grid of 1e-6 mm
        same(&format!("{name}, from {} to {}", pair[0], pair[1]), way.distance.to_mm(), theirs, 5e-6);
    }
    same_counts(&format!("{name}, all united"), &Region::union_of(&regions), &found["all"]);
    // and with curves kept where nothing overlaps: those enclose what flattening cut off, a micrometre along the edge
    let edge: f64 = regions.iter().flat_map(Region::contours).map(way_round).sum();
    let curved = united(paths);
    let area: f64 = curved.iter().map(kurbo::Shape::area).sum();
    same(&format!("{name}, curves united"), area, &found["all"]["area"], 0.001 * edge);
    assert_eq!(Some(curved.len() as u64), found["all"]["islands"].as_u64());
}

fn way_round(contour: &[Point]) -> f64 {
    contour.iter().zip(contour.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum()
}

#[test]
fn shapely_agrees_on_numerals_apart_and_overlapping() {
    for (face, name) in [(Face::plain(), "plain"), (Face::bold(), "bold"), (Face::stencil(), "stencil")] {
        let lettering = Lettering::new(face, Length::mm(2.0)).unwrap();
        let texts = ["0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "∞", "10.85", "4′6″", "1½", "ft"];
        let outline = |text: &str| lettering.line(text).unwrap().outline;
        // apart at odd places, then so near that many overlap
        for (pitch, layout) in [(8.0137, "apart"), (0.5173, "overlapping")] {
            let place = |at: usize| Affine::translate((900.0 + pitch * at as f64, 0.31 * (at % 3) as f64));
            let paths: Vec<BezPath> = texts.iter().enumerate().map(|(at, text)| place(at) * outline(text)).collect();
            compare(&format!("{name}-{layout}"), &paths, 0.08);
        }
    }
}

#[test]
fn shapely_agrees_on_all_marks_of_a_drawn_set() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/small-ring.toml");
    let set = Set::from_file(&path).unwrap_or_else(|faults| panic!("{faults}"));
    let lettering = lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering).unwrap_or_else(|faults| panic!("{faults}"));
    let strips = assembly.strips().unwrap_or_else(|faults| panic!("{faults}"));
    for (at, (_, strip)) in strips.iter().enumerate() {
        let layers = strip
            .drawing
            .layers
            .iter()
            .filter(|layer| matches!(layer.kind, LayerKind::Ticks | LayerKind::Numerals | LayerKind::Index));
        let marks: Vec<BezPath> = layers.flat_map(|layer| &layer.groups).map(|group| group.path.clone()).collect();
        assert!(!marks.is_empty());
        compare(&format!("small-ring-{at}"), &marks, 0.05);
    }
}
