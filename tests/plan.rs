//! `plan` as people run it: from nothing, with readings, as a form, as a readings file to fill in.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use serde_json::Value;
use snapbox::cmd::{Command, cargo_bin};

const LENS: &str = r#"
[set]
name = "quarry"

[[lens]]
name = "Granite 50"
focal_length = "50 mm"
widest_stop = 2
UNITS
[lens.focus]
ring = { diameter = "84 mm", width = "11 mm" }
toward_close = "clockwise"
closest = "0.6 m"
lead = "24 mm"
KEYS
"#;

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("plan-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn set(folder: &Path, units: &str, keys: &str) {
    fs::write(folder.join("set.toml"), LENS.replace("UNITS", units).replace("KEYS", keys)).unwrap();
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(cargo_bin!("ringwright")).current_dir(folder).args(arguments).output().unwrap()
}

fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!((output.status.code(), output.stdout.as_slice()), (Some(2), [].as_slice()));
    String::from_utf8(output.stderr).unwrap()
}

fn json(folder: &Path, more: &[&str]) -> Value {
    let text = done(folder, &[&["plan", "set.toml", "--format", "json"], more].concat());
    serde_json::from_str::<Value>(&text).unwrap()["lenses"][0]["focus"].clone()
}

fn distances(focus: &Value) -> Vec<Option<f64>> {
    focus["set_ups"].as_array().unwrap().iter().map(|one| one["distance_mm"].as_f64()).collect()
}

/// The ring's turn by the nominal law, D = A/t + 2 F + K t solved by halving.
fn turn(mm: f64) -> f64 {
    let k = 24.0 / 360.0;
    let (mut low, mut high) = (1e-9, 200.0);
    for _ in 0..200 {
        let t = 0.5 * (low + high);
        if 2500.0 / k / t + 100.0 + k * t > mm { low = t } else { high = t }
    }
    low
}

#[test]
fn the_readings_file_is_refused_while_empty_and_serves_once_filled() {
    for units in ["", "units = [\"ft\"]"] {
        let folder = folder(if units.is_empty() { "metres" } else { "feet" });
        set(&folder, units, "");
        let planned = distances(&json(&folder, &["--room", "6 m"]));
        let form = done(&folder, &["plan", "set.toml", "--room", "6 m", "--format", "csv"]);
        fs::write(folder.join("taped.csv"), &form).unwrap();
        set(&folder, units, "readings_file = \"taped.csv\"");
        let message = refused(&folder, &["fit", "set.toml"]);
        assert!(message.contains("this row has no `at`") && message.contains("begin the line with #"), "{message}");

        let mut filled = String::new();
        let mut set_ups = planned.iter();
        let mut last = String::new();
        let mut at = 0.0;
        for line in form.lines() {
            let distance = line.split(',').next().unwrap().to_string();
            if line.starts_with('#') || line.starts_with("distance") {
                assert!(line.starts_with('#') || line == "distance,at,turned");
            } else {
                if distance != last {
                    at = set_ups.next().unwrap().map_or(0.0, turn);
                }
                last = distance;
            }
            filled.push_str(&format!("{}\n", line.replace(",,", &format!(",{at:.3} deg,"))));
        }
        assert_eq!(set_ups.next(), None);
        fs::write(folder.join("taped.csv"), &filled).unwrap();
        let fit = done(&folder, &["fit", "set.toml"]);
        // distances that were read back wrongly would miss the law they were turned by
        assert!(fit.contains("worst 0.0°"), "{fit}");
        let after = json(&folder, &["--room", "6 m"]);
        assert_eq!(after["readings"].as_u64().unwrap() as usize, filled.lines().count() - 2);
    }
}

#[test]
fn what_was_promised_is_what_the_fit_then_has() {
    let folder = folder("promise");
    set(&folder, "", "");
    let before = json(&folder, &[]);
    let form = done(&folder, &["plan", "set.toml", "--format", "csv"]);
    let filled: Vec<String> = form
        .lines()
        .map(|line| {
            let metres = line.split(" m,").next().and_then(|text| text.parse::<f64>().ok());
            line.replace(",,", &format!(",{:.6} deg,", metres.map_or(0.0, |m| turn(1000.0 * m))))
        })
        .collect();
    fs::write(folder.join("taped.csv"), filled.join("\n")).unwrap();
    set(&folder, "", "readings_file = \"taped.csv\"");
    let after = json(&folder, &[]);
    let sigma = |value: &Value| value["sigma_deg"].as_f64().unwrap();
    let (promised, found) = (sigma(&before["worst_mark"]), sigma(&after["next"]["worst_mark_now"]));
    assert!((promised - found).abs() < 1e-4, "{promised} promised, {found}");
}

#[test]
fn the_form_goes_from_far_to_near_within_the_room_and_warns_of_the_sun() {
    let folder = folder("form");
    set(&folder, "", "");
    let text = done(&folder, &["plan", "set.toml", "--room", "3 m"]);
    let wide = distances(&json(&folder, &["--room", "3 m"]));
    assert!(wide.len() >= 5 && wide[1..].iter().all(Option::is_some));
    let finite: Vec<f64> = wide.iter().flatten().copied().collect();
    assert!(finite.windows(2).all(|pair| pair[0] > pair[1]) && finite[0] <= 3000.0 && *finite.last().unwrap() >= 600.0);
    assert!(text.contains("never the Sun") && text.contains("with these"), "{text}");
    assert!(!text.contains("no room is told") && done(&folder, &["plan", "set.toml"]).contains("no room is told"));
    // indoors there is no infinity, and no word of the Sun
    let indoors = LENS.replace("[[lens]]", "room = \"3 m\"\nfar_target = false\n[[lens]]");
    fs::write(folder.join("set.toml"), indoors.replace("UNITS", "").replace("KEYS", "")).unwrap();
    assert!(distances(&json(&folder, &[])).iter().all(Option::is_some));
    assert!(!done(&folder, &["plan", "set.toml"]).contains("Sun"));
    assert_eq!(distances(&json(&folder, &["--readings", "7"])).len(), 7);
}

#[test]
fn after_many_readings_the_best_next_ones_are_named_with_their_gain() {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/SET.toml");
    let sample = sample.to_str().unwrap();
    let folder = folder("next");
    for lens in ["Granite 50", "Marble 85", "Flint 100"] {
        let text = done(&folder, &["plan", sample, "--lens", lens, "--format", "json"]);
        let next = &serde_json::from_str::<Value>(&text).unwrap()["lenses"][0]["focus"]["next"];
        let sigma = |worst: &Value| worst["sigma_deg"].as_f64().unwrap();
        let now = sigma(&next["worst_mark_now"]);
        let best: Vec<f64> = next["best"].as_array().unwrap().iter().map(|gain| sigma(&gain["worst_mark"])).collect();
        assert_eq!(best.len(), 3, "{lens}");
        assert!(best[0] < now && best.windows(2).all(|pair| pair[0] <= pair[1] + 1e-9), "{lens}: {now} {best:?}");
    }
}

#[test]
fn a_room_that_is_too_small_and_a_file_for_several_lenses_are_refused() {
    let folder = folder("refused");
    set(&folder, "", "");
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/SET.toml");
    insta::assert_snapshot!(refused(&folder, &["plan", "set.toml", "--room", "0.5 m"]), @r#"
error: Granite 50: nothing can be set up within 0.5 m; its nearest distance to set up is 0.6 m
  give more room, --room, or room = "..." in [set]
"#);
    insta::assert_snapshot!(refused(&folder, &["plan", sample.to_str().unwrap(), "--format", "csv"]), @r#"
error: a readings file is for one lens
  say which one: --lens "Slate 28" or --lens "Granite 50" or --lens "Marble 85" or --lens "Flint 100"
"#);
}
