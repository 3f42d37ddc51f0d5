//! A set with exposures of a grey card, as people run it.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;
use snapbox::cmd::{Command, cargo_bin};

/// An invented lens of f/2 whose barrel takes 0.38 stop wide open.
const SET: &str = r#"[set]
name = "Quarry"

[[lens]]
name = "Granite 50"
focal_length = "50 mm"
widest_stop = 2

[lens.iris]
ring = { diameter = "70 mm", width = "8 mm" }
toward_closed = "clockwise"
scale = "T"
readings = [
    { stop = 2, at = "0 deg" },
    { stop = 2.8, at = "10.4 deg" },
    { stop = 4, at = "19.8 deg" },
    { stop = 8, at = "40.3 deg" },
    { stop = 16, at = "60 deg" },
]
exposures = [
    { at = "0 deg", stops = 0.0 },
    { at = "5 deg", stops = -0.3 },
    { at = "10 deg", stops = -0.63 },
    { at = "20 deg", stops = -1.55 },
    { at = "30 deg", stops = -2.68 },
    { at = "40 deg", stops = -3.6 },
    { at = "60 deg", stops = -5.65 },
]
exposure_reference = { T = 4, stops = -1.35 }
"#;

fn folder(name: &str, set: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("light-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("set.toml"), set).unwrap();
    folder
}

fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = Command::new(cargo_bin!("ringwright")).current_dir(folder).args(arguments).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_report_tells_the_transmittance_and_the_barrel_that_cuts_in() {
    let folder = folder("fit", SET);
    insta::assert_snapshot!(done(&folder, &["fit", "set.toml"]), @r#"
Granite 50

  iris: law "even", near wide open by the light alone, 7 exposures, 5 readings, worst 0.3° (0.19 mm on the ring)
  stop  read at  off the law  on the ring
     2    0.00°       -0.14°     -0.08 mm
   2.8   10.40°       +0.28°     +0.17 mm
     4   19.80°       -0.31°     -0.19 mm
     8   40.30°       +0.22°     +0.13 mm
    16   60.00°       -0.05°     -0.03 mm
  exposure  read at  brightness  off the law
         1    0.00°   0.00 stop   -0.38 stop  by itself
         2    5.00°  -0.30 stop   -0.18 stop  by itself
         3   10.00°  -0.63 stop   -0.01 stop
         4   20.00°  -1.55 stop   +0.07 stop
         5   30.00°  -2.68 stop   -0.06 stop
         6   40.00°  -3.60 stop   +0.02 stop
         7   60.00°  -5.65 stop   -0.02 stop
    transmittance 0.82 ± 0.07, 0.28 stop lost
    wide open 0.38 ± 0.13 stop darker than the stopped-down exposures promise
  ! wide open the lens passes 0.4 ± 0.1 stop less light than f/2 promises (the barrel or the shell cuts in, or the pupil is smaller than engraved); the first marks were placed by the light
"#);
    insta::assert_snapshot!(done(&folder, &["marks", "set.toml"]), @r###"
    Granite 50

      iris, T, numerals 1.70 mm high, labels 2.24 mm and ticks 0.93 mm apart at least
      mark   exact   angle       arc  ± turn   ± ring    ± light
      2.5    2.505   0.00°   0.00 mm   2.49°  1.52 mm  0.14 stop
      2.8    2.828   5.82°   3.56 mm   2.39°  1.46 mm  0.14 stop
      4      4.000  17.30°  10.58 mm   1.13°  0.69 mm  0.11 stop
      5.6    5.657  27.29°  16.69 mm   1.12°  0.69 mm  0.11 stop
      8      8.000  37.27°  22.80 mm   1.12°  0.69 mm  0.11 stop
      11    11.314  47.26°  28.91 mm   1.14°  0.70 mm  0.11 stop
      16    16.000  57.25°  35.02 mm   1.16°  0.71 mm  0.12 stop
      ·     17.638  60.05°  36.74 mm   1.17°  0.71 mm  0.12 stop
    "###);
}

#[test]
fn programs_get_the_light_too() {
    let folder = folder("json", SET);
    let report: Value = serde_json::from_str(&done(&folder, &["fit", "set.toml", "--format", "json"])).unwrap();
    let light = &report["lenses"][0]["iris"]["light"];
    assert_eq!(light["exposures"].as_array().unwrap().len(), 7);
    assert_eq!(light["exposures"][0]["use"], "itself");
    let tau = |key: &str| light["transmittance"][key].as_f64().unwrap();
    // log2 of the share is what is lost, and errors go together as its derivative
    assert!((tau("value").log2() - tau("stops")).abs() < 1e-5);
    assert!((tau("sigma") - tau("value") * std::f64::consts::LN_2 * tau("sigma_stops")).abs() < 1e-5);
    let short = light["wide_open"]["short_stops"].as_f64().unwrap();
    assert!((short - 0.38).abs() < 0.02, "{short}");
    let marks: Value = serde_json::from_str(&done(&folder, &["marks", "set.toml", "--format", "json"])).unwrap();
    let marks = marks["lenses"][0]["iris"]["bands"][0]["marks"].as_array().unwrap().clone();
    assert_eq!(marks[0]["label"], "2.5");
    for mark in &marks {
        let [turn, stops] = ["sigma_deg", "sigma_stops"].map(|key| mark[key].as_f64().unwrap());
        assert!(turn > 0.5 && stops > 0.1 && stops < 0.2, "{mark}");
    }
    let rows = done(&folder, &["fit", "set.toml", "--format", "csv"]);
    assert_eq!(rows.lines().filter(|row| row.starts_with("Granite 50,iris light,")).count(), 7);
}

#[test]
fn an_f_scale_keeps_its_marks_whatever_the_light_says() {
    let on_f = SET.replace("scale = \"T\"\n", "");
    let without: String =
        on_f.lines().filter(|line| !line.contains("stops =")).map(|line| format!("{line}\n")).collect();
    let without = without.replace("exposures = [\n]\n", "");
    let marks = |name: &str, set: &str| done(&folder(name, set), &["marks", "set.toml", "--format", "csv"]);
    assert_eq!(marks("f", &on_f), marks("f-without", &without));
    let report = done(&folder("f-fit", &on_f), &["fit", "set.toml"]);
    assert!(report.contains("stop less light than f/2 promises") && !report.contains("placed by the light"));
}

#[test]
fn exposures_alone_make_a_t_scale_and_its_strip() {
    let start = SET.find("readings = [").unwrap();
    let end = SET.find("exposures = [").unwrap();
    let alone = format!("{}{}", &SET[..start], &SET[end..]);
    let folder = folder("alone", &alone);
    let report = done(&folder, &["fit", "set.toml"]);
    assert!(report.contains("no readings") && report.contains("the T-stops come from the light alone"), "{report}");
    done(&folder, &["draw", "set.toml", "--out", "drawn"]);
    assert!(fs::read_to_string(folder.join("drawn/granite-50-iris.svg")).unwrap().contains("data-unit=\"T\""));
}
