//! The table of keys beside the reader, the template and the schema: a key that one of them does not know fails here.

use serde_json::Value;

use super::{Path, Set};
use crate::set::keys::{self, Key, Kind, Need, SET_FILE, Table};
use crate::set::{SetFile, TEMPLATE, schema};

/// A set that holds every table, and no key that another excludes.
const WHOLE: &str = r#"
set = { name = "quarry" }
style = { marks = { m = { steps = [{ to = "1 m", numbered = "1 m" }] }, ft = { steps = [{ to = "5 ft", numbered = "1 ft" }] }, steps = [{ to = "1 m", numbered = "1 m" }] } }
process.film = { }
process.vinyl = { }
process.engrave = { }
[[lens]]
name = "Granite 50"
focal_length = "50 mm"
focus = { ring = { diameter = "84 mm", width = "11 mm" }, toward_close = "clockwise", closest = "0.6 m", readings = [{ distance = "inf", at = "0 deg", error = { } }, { distance = "0.9 m", at = "46.7 deg" }], reading_error = { }, engraved_error = { }, engraved = [{ distance = "1 m", at = "41.6 deg", error = { } }], checks = [{ distance = "1 m", reads = "1 m", error = { } }], measured_from = { point = "fixed point", ahead = "0 mm" }, marks = { m = { steps = [{ to = "1 m", numbered = "50 cm" }] }, ft = { steps = [{ to = "5 ft", numbered = "1 ft" }] }, steps = [{ to = "1 m", numbered = "50 cm" }] } }
iris = { ring = { diameter = "70 mm", width = "8 mm" }, toward_closed = "clockwise", readings = [{ stop = 2.8, at = "0 deg" }, { stop = 16, at = "60 deg" }], reading_error = { }, exposures = [{ at = "0 deg", stops = 0 }, { at = "60 deg", stops = -6.1 }], exposure_reference = { T = 4, stops = -1.7 }, marks = { } }
disc = { diameter = "60 mm", ring_teeth = 127, wheel_teeth = 40, toward_close = "clockwise" }
"#;

/// The set as a tree that single keys are put into.
fn whole() -> Value {
    let table: toml::de::DeTable = toml::de::DeTable::parse(WHOLE).unwrap().into_inner();
    let keys = table.iter().map(|(key, value)| (key.get_ref().to_string(), json(value.get_ref())));
    Value::Object(keys.collect())
}

fn json(value: &toml::de::DeValue) -> Value {
    crate::set::schema::plain(value).unwrap()
}

/// A tree as one TOML value.
fn toml(value: &Value) -> String {
    match value {
        Value::Object(map) => {
            let parts: Vec<String> = map.iter().map(|(key, value)| format!("{key} = {}", toml(value))).collect();
            format!("{{ {} }}", parts.join(", "))
        }
        Value::Array(list) => format!("[{}]", list.iter().map(toml).collect::<Vec<_>>().join(", ")),
        Value::String(text) if text.starts_with(RAW) => text[RAW.len()..].to_string(),
        other => other.to_string(),
    }
}

/// Marks a text that is written as it stands.
const RAW: &str = "\u{1}";

/// The set with the value of one key as it is written in a file; `None` takes the key out.
fn with(path: &[&str], written: Option<&str>) -> String {
    let mut set = whole();
    let (last, tables) = path.split_last().unwrap();
    let mut at = &mut set;
    for table in tables {
        at = &mut at[*table];
        if at.is_array() {
            at = &mut at[0];
        }
    }
    let table = at.as_object_mut().unwrap_or_else(|| panic!("the whole set has no table for {path:?}"));
    match written {
        Some(written) => table.insert(last.to_string(), Value::String(format!("{RAW}{written}"))),
        None => table.remove(*last),
    };
    // what excludes the key, or comes in its place
    let beside: &[&str] = match *last {
        "readings_file" => &["readings"],
        "exposures_file" => &["exposures"],
        "value" => &["stops"],
        "rear_diameter" | "front_diameter" => &["diameter"],
        "ring_diameter" | "wheel_diameter" => &["ring_teeth", "wheel_teeth"],
        "transmittance" => &["exposure_reference"],
        _ => &[],
    };
    beside.iter().for_each(|key| {
        table.remove(*key);
    });
    let all = set.as_object().unwrap();
    all.iter().map(|(key, value)| format!("{key} = {}\n", toml(value))).collect()
}

fn read(text: &str) -> Result<SetFile, String> {
    SetFile::parse("quarry.toml", text, Path::new("")).map_err(|faults| faults.to_string())
}

/// Every key with the path to it.
fn every_key() -> Vec<(Vec<&'static str>, &'static Key)> {
    fn below(table: &'static Table, path: &[&'static str], all: &mut Vec<(Vec<&'static str>, &'static Key)>) {
        for key in table.keys {
            let path = [path, &[key.name]].concat();
            if let Some(inner) = key.kind.table() {
                below(inner, &path, all);
            }
            all.push((path, key));
        }
    }
    let mut all = Vec::new();
    below(&SET_FILE, &[], &mut all);
    all
}

#[test]
fn the_reader_takes_every_key_and_looks_at_what_stands_behind_it() {
    assert!(read(&with(&["set", "name"], Some("\"quarry\""))).is_ok());
    for (path, key) in every_key() {
        // no key is a date: one that is read as nothing at all would pass
        let refused = read(&with(&path, Some("1979-05-27"))).map(|_| ()).err().unwrap_or_default();
        let message = format!("error: `{}` must be ", key.name);
        assert!(refused.contains(&message), "{path:?}: {refused}");
        assert!(!refused.contains("please report"), "{path:?}: {refused}");
    }
}

#[test]
fn every_example_is_of_its_kind_and_in_its_range() {
    let mut sound = 0;
    for (path, key) in every_key() {
        let Err(refused) = read(&with(&path, Some(key.example))) else {
            sound += 1;
            continue;
        };
        // a single example may not go with the rest of the set, but is nothing wrong by itself
        let own = ["cannot be", "must be"].map(|words| format!("`{}` {words}", key.name));
        let wrong = own.iter().map(String::as_str).chain(["needs a unit", "has no key", "please report"]);
        wrong.for_each(|words| assert!(!refused.contains(words), "{path:?}: {refused}"));
    }
    assert!(sound > 60, "{sound}");
}

#[test]
fn what_holds_where_a_key_is_left_out_is_the_default_of_the_table() {
    let shown = |path: &[&str], written: Option<&str>| {
        let file = read(&with(path, written)).unwrap_or_else(|refused| panic!("{path:?}: {refused}"));
        format!("{:?}", file.set)
    };
    let mut count = 0;
    for (path, key) in every_key() {
        if let Need::Default(default) = key.need {
            assert_eq!(shown(&path, Some(default)), shown(&path, None), "{path:?}");
            count += 1;
        }
    }
    assert!(count > 40, "{count}");
}

#[test]
fn what_must_be_there_is_missed() {
    for (path, key) in every_key() {
        if let Need::Always(add) = key.need
            && path.len() > 1
        {
            let refused = read(&with(&path, None)).map(|_| ()).unwrap_err();
            assert!(refused.contains(&format!(" needs `{}`", key.name)), "{path:?}: {refused}");
            assert!(refused.contains("add "), "{path:?}: {add}: {refused}");
        }
    }
}

#[test]
fn ranges_and_words_are_those_of_the_table() {
    for (path, key) in every_key() {
        let refused = |written: &str| read(&with(&path, Some(written))).map(|_| ()).err().unwrap_or_default();
        let outside = format!("`{}` cannot be", key.name);
        let (inside, beyond): (Vec<String>, Vec<String>) = match key.kind {
            Kind::Length(lowest, highest) => (
                vec![format!("\"{lowest} mm\""), format!("\"{highest} mm\"")],
                vec![format!("\"{} mm\"", lowest - 1e-3), format!("\"{} mm\"", highest * 1.001)],
            ),
            Kind::Turn(highest) => {
                (vec![format!("\"{highest} deg\"")], vec![format!("\"{} deg\"", highest * 1.001), "\"0 deg\"".into()])
            }
            Kind::Number(lowest, highest) | Kind::Count(lowest, highest) => (
                vec![lowest.to_string(), highest.to_string()],
                vec![format!("{:.8}", lowest - 1e-7), format!("{}", highest + 1.0)],
            ),
            Kind::OneOf(numbers) => (
                numbers.iter().map(i64::to_string).collect(),
                vec![(numbers[0] - 1).to_string(), (numbers[numbers.len() - 1] + 1).to_string()],
            ),
            Kind::Word(words) => {
                (words().iter().map(|word| format!("\"{word}\"")).collect(), vec!["\"quarry\"".into()])
            }
            Kind::Stop(lowest, highest) => {
                (vec![lowest.to_string(), highest.to_string()], vec!["0.4".into(), "257".into()])
            }
            _ => continue,
        };
        // a gap of the planes goes with the focal length, and is refused by that
        for written in inside.iter().filter(|_| key.name != "principal_gap") {
            assert!(!refused(written).contains(&outside), "{path:?} = {written}: {}", refused(written));
        }
        for written in &beyond {
            assert!(refused(written).contains(&outside), "{path:?} = {written}: {}", refused(written));
        }
    }
}

/// What the template writes behind the key of a table, in its comments too.
fn in_the_template(path: &[&str]) -> Option<String> {
    let (last, tables) = path.split_last()?;
    let header = tables.join(".");
    let headers = [format!("[{header}]"), format!("[[{header}]]"), format!("# [{header}]")];
    let body = TEMPLATE.lines().skip_while(|line| !headers.iter().any(|header| line == header)).skip(1);
    let body = body.take_while(|line| !line.trim_start_matches("# ").starts_with('['));
    let start = format!("{last} = ");
    let mut lines = body.map(|line| line.strip_prefix("# ").or(line.strip_prefix('#')).unwrap_or(line));
    let first = lines.find(|line| line.starts_with(&start))?;
    let mut written = first[start.len()..].to_string();
    if written == "[" {
        lines.take_while(|line| *line != "]").for_each(|line| written.push_str(line));
        written.push(']');
    }
    Some(written)
}

#[test]
fn every_key_stands_in_the_template_with_its_default_or_an_example() {
    for (path, key) in every_key() {
        let in_braces = path.len() > 1
            && keys::SET_FILE.find(&path[..path.len() - 1].join(".")).is_some_and(|table| {
                !["set", "style", "film", "vinyl", "engrave", "lens", "focus", "iris", "disc", "process"]
                    .contains(&table.name)
            });
        if in_braces {
            // told in the comments or shown in the values
            assert!(TEMPLATE.contains(&format!("{} = ", key.name)), "{path:?}");
            continue;
        }
        if key.kind.table().is_some_and(|table| table.list.is_empty() && table.written.starts_with('['))
            || path == ["lens"]
        {
            continue;
        }
        let written = in_the_template(&path).unwrap_or_else(|| panic!("the template does not show {path:?}"));
        if let Need::Default(default) = key.need {
            assert!(written == default || written == key.example, "{path:?} = {written}, and {default} holds");
        }
    }
}

#[test]
fn the_schema_knows_every_key_with_its_help() {
    let schema = schema();
    for (path, key) in every_key() {
        let mut at = &schema;
        for step in &path {
            at = if at["type"] == "array" { &at["items"] } else { at };
            at = &at["properties"][*step];
        }
        assert!(at["description"].as_str().is_some_and(|text| text.starts_with(key.help)), "{path:?}: {at}");
    }
}

#[test]
fn every_key_is_explained_in_a_sentence_and_stands_once() {
    for (path, key) in every_key() {
        assert!(key.help.ends_with('.') && key.help.len() > 8, "{path:?}");
        let need = match key.need {
            Need::Always(text) | Need::Default(text) | Need::Follows(text) | Need::Sometimes(text, _) => text,
        };
        assert!(!need.is_empty() && !key.example.is_empty(), "{path:?}");
    }
    let mut paths: Vec<_> = every_key().into_iter().map(|(path, _)| path).collect();
    let count = paths.len();
    paths.sort();
    paths.dedup();
    assert_eq!(paths.len(), count);
    assert!(Set::parse("quarry.toml", WHOLE, Path::new("")).is_ok());
}
