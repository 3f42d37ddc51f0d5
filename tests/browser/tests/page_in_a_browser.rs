//! All that is tried in a browser, in one program: it is linked once.

mod beside;
mod looking;
mod reaching;
mod turning;
mod typing;

/// Cargo looks for no tests by itself here, so that one left out of this list would never run.
#[test]
fn every_file_beside_this_one_is_run() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let listed = std::fs::read_to_string(folder.join("page_in_a_browser.rs")).unwrap();
    let mut files = 0;
    for entry in std::fs::read_dir(&folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let test = name.strip_suffix(".rs").unwrap_or_else(|| panic!("{name} is no test"));
        files += 1;
        assert!(test == "page_in_a_browser" || listed.contains(&format!("\nmod {test};\n")), "{name} is never run");
    }
    assert!(files > 5, "{files} files");
}
