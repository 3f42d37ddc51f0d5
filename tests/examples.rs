//! Tests: the programs in `examples/` do what they say. `cargo test` builds them beside the program.

use std::path::Path;
use std::process::Command;

/// What an example prints.
fn printed(name: &str) -> String {
    let program = Path::new(env!("CARGO_BIN_EXE_ringwright")).with_file_name("examples").join(name);
    let output = Command::new(&program).output().unwrap_or_else(|error| panic!("{}: {error}", program.display()));
    assert!(output.status.success(), "{name}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("an example prints text")
}

#[test]
fn readings_become_marks_with_their_errors() {
    let text = printed("readings_to_marks");
    let metre = text.lines().find(|line| line.trim_start().starts_with("1 m ")).expect("1 m is numbered");
    // the ring was read at 96 degrees there: pi (84 + 0.1) 96 / 360 = 70.5 mm, to the reading's error of about 0.4 mm
    let arc: f64 = metre.split_whitespace().nth(3).and_then(|arc| arc.parse().ok()).expect("an arc in mm");
    assert!((arc - 70.5).abs() < 0.8, "{metre}");
    assert!(text.lines().all(|line| line.contains(" ± ")), "every mark has its error:\n{text}");
}

#[test]
fn a_ring_becomes_a_strip_of_its_own_length() {
    let text = printed("strip_to_svg");
    let svg = roxmltree::Document::parse(&text).expect("an SVG");
    assert_eq!(svg.root_element().tag_name().name(), "svg");
    let marks = svg.descendants().filter(|node| node.attribute("class") == Some("mark")).count();
    assert!(marks >= 7, "f/2 to f/16 are seven whole stops, {marks} marks");
}

#[test]
fn a_set_becomes_all_its_files() {
    let text = printed("whole_set");
    for ending in ["-focus.svg ", "-focus-transfer.dxf ", "-index.svg ", "-application.pdf "] {
        assert!(text.lines().any(|line| line.contains(ending)), "{ending}:\n{text}");
    }
    assert!(text.lines().all(|line| line.ends_with(" bytes") && !line.ends_with(" 0 bytes")), "{text}");
}
