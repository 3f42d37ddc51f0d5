//! Every document that programs read is held against the schema that `schema` prints, by the Python package jsonschema.
//!
//! Needs Python with jsonschema, in `target/outside` (where `tests/run` puts it) or as `python3`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::{Value, json};

/// Commands that write JSON, each with its own schema.
const DOCUMENTS: [&str; 6] = ["fit", "marks", "compare", "plan", "verify", "check"];

/// An invented lens with play, a stop at infinity, checks of its scale and exposures of a grey card.
const RICH: &str = r#"[set]
name = "Chert"
units = ["m", "ft"]

[[lens]]
name = "Chert 50"
focal_length = "50 mm"
widest_stop = 2

[lens.focus]
ring = { diameter = "84 mm", width = "16 mm" }
toward_close = "clockwise"
closest = "0.6 m"
infinity_stop = "-0.7 deg"
readings = [
    { distance = "inf", at = "0 deg" },
    { distance = "3 m", at = "13.1 deg" },
    { distance = "1 m", at = "41.6 deg" },
    { distance = "0.6 m", at = "75.9 deg" },
    { distance = "3 m", at = "13.9 deg", turned = "toward infinity" },
    { distance = "1 m", at = "42.4 deg", turned = "toward infinity" },
    { distance = "0.7 m", at = "61.5 deg", turned = "toward close" },
]
checks = [
    { distance = "inf", reads = "inf" },
    { distance = "3 m", reads = "2.9 m" },
    { distance = "1 m", reads = "0.9 m" },
    { distance = "0.3 m", reads = "0.1 m" },
]

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

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("schema-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn ringwright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ringwright")).args(arguments).output().unwrap()
}

/// What a command says on standard output; what is only found fault with is written too.
fn written(arguments: &[&str]) -> Value {
    let output = ringwright(arguments);
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{arguments:?}: {said}");
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{arguments:?}: {error}: {said}"))
}

fn schema(document: &str) -> Value {
    written(&["schema", document])
}

/// What the validator finds wrong: for each schema, for each of its documents, the places and the words.
fn faults(folder: &Path, jobs: &[(Value, Vec<Value>)]) -> Vec<Vec<Vec<(String, String)>>> {
    let file = |name: String, value: &Value| -> String {
        let path = folder.join(name);
        fs::write(&path, value.to_string()).unwrap();
        path.to_str().unwrap().to_string()
    };
    let jobs = jobs.iter().enumerate().map(|(at, (schema, documents))| {
        let documents = documents.iter().enumerate().map(|(i, document)| file(format!("{at}-{i}.json"), document));
        json!({ "schema": file(format!("{at}-schema.json"), schema), "documents": documents.collect::<Vec<_>>() })
    });
    let asked = file("jobs.json".to_string(), &Value::Array(jobs.collect()));
    let own = root().join("target/outside/bin/python");
    let python = if own.exists() { own } else { "python3".into() };
    let output = Command::new(&python)
        .arg(root().join("tests/outside/schema.py"))
        .arg(asked)
        .output()
        .unwrap_or_else(|error| panic!("this check needs Python ({}): {error}", python.display()));
    assert!(
        output.status.success(),
        "jsonschema did not run, or is not there (tests/run installs it; else: pip install jsonschema):\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The path of the rich lens's set.
fn rich(folder: &Path) -> String {
    let path = folder.join("rich.toml");
    fs::write(&path, RICH).unwrap();
    path.to_str().unwrap().to_string()
}

/// Documents of one command: of the sample set, of golden sets that show what few sets have, and of a rich lens.
fn documents(folder: &Path, command: &str) -> Vec<Value> {
    let sample = |name: &str| root().join(name).to_str().unwrap().to_string();
    let mut sets = vec![rich(folder)];
    if command != "verify" {
        sets.push(sample("samples/SET.toml"));
        sets.push(sample("tests/golden/film-riding-iris.toml"));
    }
    if command == "marks" {
        sets.push(sample("tests/golden/film-depth-index.toml"));
        sets.push(sample("tests/golden/film-hyperfocal.toml"));
    }
    let processes: &[&str] = if command == "check" { &["film", "vinyl", "engrave"] } else { &["film"] };
    let each = sets.iter().flat_map(|set| processes.iter().map(move |process| (set, process)));
    each.map(|(set, process)| written(&[command, set, "--process", process, "--format", "json"])).collect()
}

#[test]
fn every_document_is_as_its_schema_says() {
    let folder = folder("valid");
    let jobs: Vec<(Value, Vec<Value>)> =
        DOCUMENTS.iter().map(|command| (schema(command), documents(&folder, command))).collect();
    for (command, found) in DOCUMENTS.iter().zip(faults(&folder, &jobs)) {
        assert!(!found.is_empty());
        for (i, wrong) in found.iter().enumerate() {
            assert!(wrong.is_empty(), "{command}, document {i}: {wrong:?}");
        }
    }
    // they fill what may be left out or null
    let of = |command: &str, set: usize| {
        let at = DOCUMENTS.iter().position(|known| *known == command).unwrap();
        &jobs[at].1[set]["lenses"][0]
    };
    let fit = of("fit", 0);
    for way in ["/focus/trust/play", "/focus/trust/seating", "/focus/standard_errors", "/iris/light/transmittance"] {
        assert!(fit.pointer(way).is_some_and(Value::is_object), "{way}");
    }
    assert!(of("fit", 2)["iris"]["riding"].is_object());
    assert!(of("marks", 3)["focus"]["depth_marks"].as_array().is_some_and(|pairs| !pairs.is_empty()));
    assert!(of("marks", 4).to_string().contains("hyperfocal_stop"));
    assert!(of("plan", 0)["focus"]["next"].is_object());
    assert_eq!(of("verify", 0)["not_read"], json!([4]));
}

/// A document with the value at `way` replaced.
fn with(document: &Value, way: &str, value: Value) -> Value {
    let mut changed = document.clone();
    *changed.pointer_mut(way).unwrap_or_else(|| panic!("no {way}")) = value;
    changed
}

/// A document in which the object at `way` loses one field and gains another.
fn renamed(document: &Value, way: &str, from: &str, to: &str) -> Value {
    let mut changed = document.clone();
    let object = changed.pointer_mut(way).and_then(Value::as_object_mut).unwrap_or_else(|| panic!("no {way}"));
    let value = object.remove(from).unwrap_or_else(|| panic!("no {from}"));
    object.insert(to.to_string(), value);
    changed
}

#[test]
fn a_document_that_breaks_its_schema_is_refused_where_it_breaks() {
    let folder = folder("broken");
    let set = rich(&folder);
    let document = |command| written(&[command, &set, "--format", "json"]);
    let more = |document: &Value, way: &str| {
        let mut changed = document.clone();
        changed.pointer_mut(way).and_then(Value::as_object_mut).unwrap().insert("more".to_string(), json!(1));
        changed
    };
    let (fit, marks, compare) = (document("fit"), document("marks"), document("compare"));
    let (plan, verify, check) = (document("plan"), document("verify"), document("check"));
    // a word that is none, a number that is a text, a field of another name, a field too many, another version
    let broken: Vec<(&str, Vec<(&str, Value)>)> = vec![
        (
            "fit",
            vec![
                ("$.version", with(&fit, "/version", json!(2))),
                ("$.lenses[0].focus.law", with(&fit, "/lenses/0/focus/law/kind", json!("cam"))),
                ("$.lenses[0].iris.law.kind", with(&fit, "/lenses/0/iris/law/kind", json!("cam"))),
                (
                    "$.lenses[0].iris.light.exposures[0]",
                    renamed(&fit, "/lenses/0/iris/light/exposures/0", "use", "used"),
                ),
            ],
        ),
        (
            "marks",
            vec![
                ("$", renamed(&marks, "", "version", "edition")),
                (
                    "$.lenses[0].focus.bands[0].marks[1].angle_deg",
                    with(&marks, "/lenses/0/focus/bands/0/marks/1/angle_deg", json!("41.5")),
                ),
                ("$.lenses[0].focus.bands[0].unit", with(&marks, "/lenses/0/focus/bands/0/unit", json!("yd"))),
                ("$.lenses[0].focus.bands[0].marks[0]", more(&marks, "/lenses/0/focus/bands/0/marks/0")),
            ],
        ),
        (
            "compare",
            vec![
                ("$.lenses[0].bands[0].ticks", with(&compare, "/lenses/0/bands/0/ticks", json!(-1))),
                ("$.lenses[0].marks[0].arc_mm", with(&compare, "/lenses/0/marks/0/arc_mm", Value::Null)),
            ],
        ),
        (
            "plan",
            vec![
                ("$.lenses[0].focus.worst_mark", more(&plan, "/lenses/0/focus/worst_mark")),
                ("$.lenses[0].focus.set_ups[0]", renamed(&plan, "/lenses/0/focus/set_ups/0", "repeats", "times")),
            ],
        ),
        (
            "verify",
            vec![
                ("$.lenses[0].verdict", with(&verify, "/lenses/0/verdict", json!("maybe"))),
                ("$.lenses[0].checks[0].standing", with(&verify, "/lenses/0/checks/0/standing", json!("fair"))),
                ("$.lenses[0].not_read[0]", with(&verify, "/lenses/0/not_read/0", json!(0.5))),
            ],
        ),
        (
            "check",
            vec![
                ("$.process", with(&check, "/process", json!("etch"))),
                ("$.lenses[0].pieces[0].piece", with(&check, "/lenses/0/pieces/0/piece", json!("strip"))),
                ("$.passes", with(&check, "/passes", json!("yes"))),
            ],
        ),
    ];
    let jobs: Vec<(Value, Vec<Value>)> = broken
        .iter()
        .map(|(command, cases)| (schema(command), cases.iter().map(|(_, document)| document.clone()).collect()))
        .collect();
    for ((command, cases), found) in broken.iter().zip(faults(&folder, &jobs)) {
        assert_eq!(cases.len(), found.len());
        for ((place, _), wrong) in cases.iter().zip(found) {
            assert!(wrong.iter().any(|(at, _)| at == place), "{command}, {place}: {wrong:?}");
        }
    }
}

#[test]
fn a_document_without_a_schema_lists_those_that_have_one() {
    let output = ringwright(&["schema", "sheet"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(DOCUMENTS.iter().all(|document| said.contains(document)), "{said}");
}
