//! The schema of the set file against a validator that shares no code with us: sets that the reader takes pass, and
//! faulty ones are refused at the place of the fault.
//!
//! Needs Python with jsonschema: `tests/run` installs it under target/outside.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

use ringwright::model::Set;
use ringwright::set::{TEMPLATE, schema};
use serde_json::json;

fn python() -> PathBuf {
    let ours = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/outside/bin/python");
    if ours.exists() { ours } else { "python3".into() }
}

/// What the validator refuses of each set. A Python or a package that is missing fails.
fn refused(name: &str, sets: &BTreeMap<String, String>) -> BTreeMap<String, Vec<String>> {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.json"));
    std::fs::write(&file, json!({ "schema": schema(), "sets": sets }).to_string()).unwrap();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/set_schema.py");
    let run = Command::new(python()).arg(script).arg(&file).output();
    let run = run.unwrap_or_else(|error| panic!("python3 cannot be started ({error}); tests/run installs it"));
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(run.status.success(), "jsonschema did not answer; tests/run installs it:\n{said}");
    serde_json::from_slice(&run.stdout).unwrap()
}

/// A comment of the template, where it is a key that may be left out.
fn optional(line: &str) -> Option<&str> {
    line.strip_prefix('#').filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()) && line.contains(" = "))
}

#[test]
fn the_sample_the_golden_sets_and_the_whole_template_pass() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut sets = BTreeMap::from([("template".to_string(), TEMPLATE.to_string())]);
    // every key at once: the schema knows nothing of lists and files that exclude each other
    let all: String = TEMPLATE.lines().map(|line| format!("{}\n", optional(line).unwrap_or(line))).collect();
    sets.insert("every key".to_string(), all);
    let golden = std::fs::read_dir(root.join("tests/golden")).unwrap().map(|entry| entry.unwrap().path());
    for path in
        golden.chain([root.join("samples/SET.toml")]).filter(|path| path.extension().is_some_and(|e| e == "toml"))
    {
        sets.insert(path.display().to_string(), std::fs::read_to_string(&path).unwrap());
    }
    assert!(sets.len() > 20, "{}", sets.len());
    for (set, found) in refused("schema-passes", &sets) {
        assert_eq!(found, [""; 0], "{set}");
    }
}

#[test]
fn every_spelling_that_the_reader_takes_passes() {
    let mut sets = BTreeMap::new();
    for (from, spellings) in [
        (
            "\"84 mm\"",
            &["\"84mm\"", "\"8.4 cm\"", "\"3 1/2 in\"", "\"3½″\"", "\"3.3\\\"\"", "\" 84 MM \"", "\"0.084 metres\""][..],
        ),
        ("\"inf\"", &["\"INF\"", "\"∞\""]),
        ("\"3 m\"", &["\"9'10\\\"\"", "\"9 ft 10 in\"", "\"2 m 95 cm\"", "\"9′ 10″\""]),
        ("\"41.6 deg\"", &["\"41.6°\"", "\"41.6 Degrees\"", "\"+41.6 deg\""]),
        ("stop = 5.6", &["stop = \"f/5.6\"", "stop = \"5.6\"", "stop = \"F5.6\""]),
        ("widest_stop = 2", &["widest_stop = 2.0", "widest_stop = \"1:2\""]),
        ("#sheet = \"A4\"", &["sheet = \"letter\"", "sheet = \"roll 300 mm\"", "sheet = \"200 mm x 250 mm\""]),
        (
            "#reading_error = { distance = \"5 mm + 0.3 %\"",
            &["reading_error = { distance = \"0.5%\"", "reading_error = { distance = \"5 mm\""],
        ),
    ] {
        for to in spellings {
            assert!(TEMPLATE.contains(from), "{from}");
            let text = TEMPLATE.replacen(from, to, 1);
            assert!(Set::parse("set.toml", &text, Path::new("")).is_ok(), "the reader refuses {to}");
            sets.insert(to.to_string(), text);
        }
    }
    for (spelling, found) in refused("schema-spellings", &sets) {
        assert_eq!(found, [""; 0], "{spelling}");
    }
}

#[test]
fn what_is_faulty_is_refused_where_it_stands() {
    let faulty = [
        ("diameter = \"84 mm\", width", "diameter = 84, width", "lens/0/focus/ring/diameter"),
        ("diameter = \"84 mm\", width", "diameter = \"84\", width", "lens/0/focus/ring/diameter"),
        ("diameter = \"84 mm\", width", "diameter = \"84 deg\", width", "lens/0/focus/ring/diameter"),
        ("diameter = \"84 mm\", width", "diameter = \"84 km\", width", "lens/0/focus/ring/diameter"),
        ("toward_close = \"clockwise\"", "toward_close = \"left\"", "lens/0/focus/toward_close"),
        ("closest = \"0.6 m\"", "", "lens/0/focus"),
        ("closest = \"0.6 m\"", "closest = \"0.6 m\"\nclosset = \"0.6 m\"", "lens/0/focus"),
        ("at = \"13.1 deg\"", "at = 13.1", "lens/0/focus/readings/1/at"),
        ("stop = 5.6", "stop = 0.1", "lens/0/iris/readings/1/stop"),
        ("stop = 5.6", "stop = \"5,6\"", "lens/0/iris/readings/1/stop"),
        ("#dpi = 600", "dpi = 6", "process/film/dpi"),
        ("#mirrored = true", "mirrored = \"true\"", "process/film/mirrored"),
        ("#units = [\"m\", \"ft\"]", "units = [\"m\", \"m\"]", "set/units"),
        ("#steps = 2", "steps = 4", "lens/0/iris/steps"),
        ("#spares = 1", "spares = 1.5", "process/film/spares"),
        ("[style]", "[styles]", ""),
        ("#trust_stop = 4", "trust_stop = true", "style/trust_stop"),
    ];
    let sets: BTreeMap<String, String> = faulty
        .iter()
        .map(|(from, to, _)| {
            assert!(TEMPLATE.contains(from), "{from}");
            let text = TEMPLATE.replacen(from, to, 1);
            assert!(Set::parse("set.toml", &text, Path::new("")).is_err(), "the reader takes {to}");
            (format!("{from} -> {to}"), text)
        })
        .collect();
    let found = refused("schema-faulty", &sets);
    for (from, to, place) in faulty {
        let found = &found[&format!("{from} -> {to}")];
        assert!(found.len() == 1 && found[0].starts_with(&format!("{place}: ")), "{to}: {found:?}");
    }
}
