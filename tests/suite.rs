//! The tests from outside the crate, in one program: linked one by one they cost more to build than to run.
//! Alone stand `page` (without that feature it is not built) and `png_memory` (it measures its whole process).

mod cli;
mod depth_marks;
mod disc;
mod dxf;
mod engraving;
mod examples;
mod exchanged;
mod fineness;
mod golden;
mod librsvg;
mod light;
mod never_panics;
mod own_marks;
mod pdf;
mod plan;
mod plot;
mod png;
mod processes;
mod published;
mod readback;
mod readme;
mod riding;
mod schema;
mod set_schema;
mod shapely;
mod sheets;
mod svg;
mod trust;
mod verify;
mod worked_optics;

mod kit;

/// Cargo looks for no tests by itself here, so that one left out of this list would never run.
#[test]
fn every_file_beside_this_one_is_run() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let [listed, manifest] =
        ["tests/suite.rs", "Cargo.toml"].map(|file| std::fs::read_to_string(root.join(file)).unwrap());
    let mut files = 0;
    for entry in std::fs::read_dir(root.join("tests")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let Some(test) = name.strip_suffix(".rs") else { continue };
        let alone = format!("path = \"tests/{name}\"");
        assert!(listed.contains(&format!("\nmod {test};\n")) || manifest.contains(&alone), "{name} is never run");
        files += 1;
    }
    assert!(files > 20, "{files} files");
}
