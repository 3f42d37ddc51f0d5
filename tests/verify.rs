//! `verify` as people run it: what it says, which way the strip has to go on the drawing, and checks that join the readings.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use serde_json::Value;
use snapbox::cmd::{Command, cargo_bin};

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(cargo_bin!("ringwright")).current_dir(folder).args(arguments).output().unwrap()
}

/// A folder with a set of an invented lens that turns toward close in one sense, with these checks.
fn bench(name: &str, toward_close: &str, checks: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("verify-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let set = format!(
        "[set]\nname = \"Chert\"\nunits = [\"m\"]\n[[lens]]\nname = \"Chert 50\"\nfocal_length = \"50 mm\"\nwidest_stop = 2\n[lens.focus]\n\
         ring = {{ diameter = \"84 mm\", width = \"11 mm\" }}\ntoward_close = \"{toward_close}\"\nclosest = \"0.6 m\"\nchecks = [{checks}]\n\
         readings = [ {{ distance = \"inf\", at = \"0 deg\" }}, {{ distance = \"3 m\", at = \"13.1 deg\" }}, \
         {{ distance = \"1 m\", at = \"41.6 deg\" }}, {{ distance = \"0.6 m\", at = \"75.9 deg\" }} ]\n"
    );
    fs::write(folder.join("set.toml"), set).unwrap();
    folder
}

const TOO_NEAR: &str = "{ distance = \"5 m\", reads = \"4.2 m\" }, { distance = \"3 m\", reads = \"2.65 m\" }, \
                        { distance = \"1 m\", reads = \"0.963 m\" }, { distance = \"0.65 m\", reads = \"0.64 m\" }";
const TRUE: &str = "{ distance = \"inf\", reads = \"inf\" }, { distance = \"3 m\", reads = \"3.02 m\" }, \
                    { distance = \"1 m\", reads = \"1.003 m\" }, { distance = \"0.6 m\", reads = \"0.601 m\" }";
const WRONG: &str = "{ distance = \"inf\", reads = \"inf\" }, { distance = \"3 m\", reads = \"2.9 m\" }, \
                     { distance = \"1 m\", reads = \"0.9 m\" }, { distance = \"0.8 m\", reads = \"0.7 m\" }";

fn judged(folder: &Path) -> (Option<i32>, Value) {
    let output = run(folder, &["verify", "set.toml", "--format", "json"]);
    let value: Value = serde_json::from_slice(&output.stdout).unwrap();
    (output.status.code(), value["lenses"][0].clone())
}

#[test]
fn the_exit_status_tells_whether_something_is_to_be_done() {
    for (name, checks, verdict, status) in
        [("true", TRUE, "keep", 0), ("shift", TOO_NEAR, "shift", 1), ("wrong", WRONG, "refit", 1)]
    {
        let (code, lens) = judged(&bench(name, "clockwise", checks));
        assert_eq!((code, lens["verdict"].as_str()), (Some(status), Some(verdict)));
        assert_eq!(lens["checks"].as_array().unwrap().len(), 4);
    }
}

/// How far to the right the first metre mark of a value (mm) stands on the drawn strip.
fn x_of(svg: &str, value: &str) -> f64 {
    let mark = &svg[svg.find(&format!("data-value=\"{value}\"")).unwrap()..];
    let path = &mark[mark.find(" d=\"M").unwrap() + 5..];
    path.split([' ', ',']).find(|word| !word.is_empty()).unwrap().parse().unwrap()
}

#[test]
fn a_strip_that_reads_too_near_is_shifted_so_that_farther_marks_come_under_the_index() {
    for sense in ["clockwise", "counterclockwise"] {
        let folder = bench(&format!("way-{sense}"), sense, TOO_NEAR);
        let output = run(&folder, &["draw", "set.toml", "--out", "strips", "--format", "svg"]);
        assert_eq!(output.status.code(), Some(0));
        let svg = fs::read_to_string(folder.join("strips/chert-50-focus.svg")).unwrap();
        // the right of a strip is clockwise as seen from behind the camera
        let farther_is_clockwise = x_of(&svg, "3000") > x_of(&svg, "1000");
        // what lies clockwise comes to the fixed index when the strip goes counterclockwise
        let way = if farther_is_clockwise { "mm, counterclockwise" } else { "mm, clockwise" };
        let (_, lens) = judged(&folder);
        assert!(lens["too_near_mm"].as_f64().unwrap() > 0.0);
        assert!(lens["sentence"].as_str().unwrap().contains(way), "{sense}: {}", lens["sentence"]);
    }
}

#[test]
fn the_corrected_scale_is_drawn_with_the_checks_among_the_readings() {
    let folder = bench("joined", "clockwise", WRONG);
    let residuals = |arguments: &[&str]| {
        let output = run(&folder, arguments);
        let value: Value = serde_json::from_slice(&output.stdout).unwrap();
        value["lenses"][0]["focus"]["residuals"].as_array().unwrap().len()
    };
    assert_eq!(residuals(&["fit", "set.toml", "--format", "json"]), 4);
    assert_eq!(residuals(&["fit", "set.toml", "--format", "json", "--with-checks"]), 8);
    for command in ["marks", "check", "compare"] {
        let output = run(&folder, &[command, "set.toml", "--with-checks"]);
        assert_ne!(output.status.code(), Some(2), "{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn without_checks_the_way_to_make_them_is_shown() {
    let folder = bench("none", "clockwise", "");
    for arguments in [&["verify", "set.toml"][..], &["fit", "set.toml", "--with-checks"]] {
        let output = run(&folder, arguments);
        assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0));
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.starts_with("error: set.toml has no checks of a finished scale to judge"), "{said}");
        assert!(said.contains("[[lens.focus.checks]]") && said.contains("wide open"), "{said}");
    }
}

#[test]
fn a_check_where_the_scale_has_no_mark_is_left_out_and_said() {
    let folder = bench("unread", "clockwise", &format!("{TRUE}, {{ distance = \"0.3 m\", reads = \"0.1 m\" }}"));
    let (code, lens) = judged(&folder);
    assert_eq!((code, lens["not_read"][0].as_i64()), (Some(0), Some(5)));
}

#[test]
fn the_table_has_a_row_for_every_check() {
    let folder = bench("table", "clockwise", TOO_NEAR);
    let csv = run(&folder, &["verify", "set.toml", "--format", "csv"]).stdout;
    assert_eq!(String::from_utf8(csv).unwrap().lines().count(), 5);
    let text = String::from_utf8(run(&folder, &["verify", "set.toml"]).stdout).unwrap();
    let sides = |text: &str| text.lines().filter(|line| line.contains(" mm too near")).count();
    assert!(text.lines().any(|line| line.contains("on the ring") && !line.contains("too near")), "{text}");
    assert!(sides(&text) >= 4, "{text}");
    // a size on the other side is said in words too, and has no sign
    let swapped = TOO_NEAR.replace("distance", "taped").replace("reads", "distance").replace("taped", "reads");
    let folder = bench("table-far", "clockwise", &swapped);
    let far = String::from_utf8(run(&folder, &["verify", "set.toml"]).stdout).unwrap();
    assert!(far.lines().filter(|line| line.contains(" mm too far")).count() >= 4, "{far}");
    assert!(
        !far.split(" mm too far")
            .any(|before| before.split_whitespace().last().is_some_and(|size| size.starts_with('-'))),
        "{far}"
    );
    let sentence = text.lines().find(|line| line.contains("shift the strip")).unwrap();
    insta::assert_snapshot!(sentence.trim(), @"shift the strip on its ring by 1.20 ± 0.18 mm, counterclockwise as seen from behind the camera (the way the ring turns toward infinity): it reads too near by as much everywhere");
}
