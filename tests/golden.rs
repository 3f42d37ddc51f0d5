//! Golden drawings: `tests/golden/NAME.toml` drawn is `tests/golden/NAME.svg`, byte by byte.
//!
//! A sentence at the top of each set file says what to look at. A missing or different reference fails and leaves the
//! new drawing, and a picture of expected | difference | actual, under `target/golden`. Look at the picture first.

use std::fs;
use std::path::{Path, PathBuf};

use ringwright::assembly::{Assembly, lettering};
use ringwright::model::{Piece, Set};
use ringwright::process::{ProcessKind, finished};
use ringwright::write::{BitDepth, Raster, png, svg};

use crate::kit::pixels;

/// The switch that overwrites the references.
const UPDATE: &str = "RINGWRIGHT_UPDATE_GOLDEN";

/// The first strip of a set file; one whose name begins with a process is what that process is handed, one that
/// begins with `disc` the marking disc, and one that ends with `index` the index plates.
fn draw(path: &Path) -> String {
    let set = Set::from_file(path).unwrap_or_else(|faults| panic!("{faults}"));
    let name = path.file_stem().unwrap().to_string_lossy().into_owned();
    let made =
        ["film", "vinyl", "engrave"].into_iter().zip([ProcessKind::Film, ProcessKind::Vinyl, ProcessKind::Engrave]);
    let process = made.into_iter().find(|(word, _)| name.starts_with(word)).map(|(_, kind)| kind);
    let set = process.map_or(set.clone(), |kind| set.made_by(kind));
    let lettering = lettering(&set).unwrap_or_else(|faults| panic!("{faults}"));
    let assembly = Assembly::new(&set, &set.lenses[0], &lettering).unwrap_or_else(|faults| panic!("{faults}"));
    let strips = assembly.strips().unwrap_or_else(|faults| panic!("{faults}"));
    let wanted = match name.as_str() {
        name if name.starts_with("disc") => Piece::Disc,
        name if name.ends_with("index") => Piece::Index,
        _ => strips[0].0,
    };
    let strip = &strips.iter().find(|(ending, _)| *ending == wanted).expect("it is drawn").1;
    match process {
        Some(_) => svg(&finished(strip, &set.process).unwrap_or_else(|error| panic!("{error}")).drawing),
        None => svg(&strip.drawing),
    }
}

fn picture(svg: &str) -> pixels::Picture {
    let mut bytes = Vec::new();
    png(svg, &Raster { dpi: 300.0, depth: BitDepth::Grey8 }, &mut bytes).expect("a drawing that can be rendered");
    pixels::decode(&bytes)
}

/// Expected, difference and actual: beside each other when upright, below each other for a long strip.
fn compare(expected: &str, actual: &str) -> Vec<u8> {
    let (expected, actual) = (picture(expected), picture(actual));
    let (width, height) = (expected.width.max(actual.width), expected.height.max(actual.height));
    let grey = |of: &pixels::Picture, x, y| if x < of.width && y < of.height { of.at(x, y) } else { 200 };
    let across = if width < height { 3 } else { 1 };
    let frame = 12;
    let (full_width, full_height) = (across * (width + frame), 3 / across * (height + frame));
    let mut greys = vec![128; full_width * full_height];
    for place in 0..3 {
        let (left, top) = (place % across * (width + frame), place / across * (height + frame));
        for (x, y) in (0..height).flat_map(|y| (0..width).map(move |x| (x, y))) {
            let (a, b) = (grey(&expected, x, y), grey(&actual, x, y));
            greys[(top + y) * full_width + left + x] = [a, 255 - a.abs_diff(b), b][place];
        }
    }
    let mut bytes = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut bytes, full_width as u32, full_height as u32);
    encoder.set_color(::png::ColorType::Grayscale);
    encoder.write_header().and_then(|mut writer| writer.write_image_data(&greys)).expect("a PNG in memory");
    bytes
}

#[test]
fn every_set_file_draws_its_reference() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let left = root.join("target/golden");
    let update = std::env::var_os(UPDATE).is_some_and(|value| value == "1");
    let mut paths: Vec<PathBuf> =
        fs::read_dir(root.join("tests/golden")).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let (sets, others): (Vec<_>, Vec<_>) =
        paths.into_iter().partition(|path| path.extension().is_some_and(|ending| ending == "toml"));
    let mut failures: Vec<String> = Vec::new();
    for stray in others.iter().filter(|path| !sets.contains(&path.with_extension("toml"))) {
        failures.push(format!("{} belongs to no set file", stray.display()));
    }
    for path in &sets {
        let name = path.file_stem().unwrap().to_string_lossy();
        if !fs::read_to_string(path).unwrap().starts_with("# Look ") {
            failures.push(format!("{name}.toml does not begin with what to look at"));
        }
        let (reference, actual) = (path.with_extension("svg"), draw(path));
        let expected = fs::read_to_string(&reference).ok();
        if expected.as_deref() == Some(&actual) {
            continue;
        }
        if update {
            fs::write(&reference, &actual).unwrap();
            continue;
        }
        fs::create_dir_all(&left).unwrap();
        fs::write(left.join(format!("{name}.svg")), &actual).unwrap();
        let blank = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1mm\" height=\"1mm\" viewBox=\"0 0 1 1\"/>";
        let compared = compare(expected.as_deref().unwrap_or(blank), &actual);
        fs::write(left.join(format!("{name}.png")), compared).unwrap();
        let what = if expected.is_some() { "differs from its reference" } else { "has no reference" };
        failures.push(format!("{name} {what}"));
    }
    assert!(sets.len() >= 12, "only {} set files", sets.len());
    assert!(
        failures.is_empty(),
        "{}\nlook at the pictures (expected, difference, actual) in {}; if the new drawings are right: {UPDATE}=1 cargo test --test suite golden",
        failures.join("\n"),
        left.display(),
    );
}
