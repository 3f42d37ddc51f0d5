use std::collections::BTreeSet;

use super::values::{Millimetres, Number, Version};
use super::*;
use crate::calibration::{ExposureUse, Standing, Verdict};
use crate::process::{FindingKind, ProcessKind};
use crate::scale::BandUnit;
use crate::units::{Distance, DistanceUnit};

/// Every object of a schema, with the way to it.
fn objects<'a>(schema: &'a Value, way: &str, found: &mut Vec<(String, &'a Value)>) {
    if schema.get("properties").is_some() {
        found.push((way.to_string(), schema));
    }
    match schema {
        Value::Object(members) => {
            members.iter().for_each(|(name, inner)| objects(inner, &format!("{way}/{name}"), found));
        }
        Value::Array(members) => {
            members.iter().enumerate().for_each(|(i, inner)| objects(inner, &format!("{way}/{i}"), found));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// Every field of every document: the way to it, and its schema.
fn fields(schemas: &[Value]) -> Vec<(String, &Value)> {
    let mut all = Vec::new();
    for schema in schemas {
        let mut found = Vec::new();
        objects(schema, schema["title"].as_str().unwrap(), &mut found);
        for (way, object) in found {
            let properties = object["properties"].as_object().unwrap();
            all.extend(properties.iter().map(|(name, field)| (format!("{way}/{name}"), field)));
        }
    }
    all
}

fn schemas() -> Vec<Value> {
    Document::ALL.map(Document::schema).to_vec()
}

#[test]
fn every_field_has_a_description() {
    let schemas = schemas();
    let fields = fields(&schemas);
    assert!(fields.len() > 150, "{}", fields.len());
    for (way, field) in fields {
        // the word that tells one law from the other is described with the law
        let tag = field.get("const").is_some_and(Value::is_string);
        let described = field["description"].as_str().is_some_and(|words| words.len() > 10);
        assert!(described || tag, "{way}: {field}");
    }
}

#[test]
fn every_number_names_its_unit() {
    let units = ["mm", "degree", "stops", "f-number", "T-stop", "share", "pure number", "count", "from 1", "minutes"];
    let numeric = |field: &Value| {
        let kinds: BTreeSet<&str> = match &field["type"] {
            Value::String(kind) => BTreeSet::from([kind.as_str()]),
            Value::Array(kinds) => kinds.iter().filter_map(Value::as_str).collect(),
            _ => BTreeSet::new(),
        };
        kinds.contains("number") || kinds.contains("integer")
    };
    let schemas = schemas();
    let fields = fields(&schemas);
    let numbers: Vec<_> = fields.iter().filter(|(way, field)| numeric(field) && !way.ends_with("/version")).collect();
    assert!(numbers.len() > 90, "{}", numbers.len());
    for (way, field) in numbers {
        let words = field["description"].as_str().unwrap();
        assert!(units.iter().any(|unit| words.contains(unit)), "{way}: {words}");
        for (ending, unit) in [("_mm", "mm"), ("_deg", "degree"), ("_stops", "stops")] {
            assert!(!way.ends_with(ending) || words.contains(unit), "{way}: {words}");
        }
    }
}

#[test]
fn no_object_admits_a_field_that_is_not_described() {
    for schema in schemas() {
        let mut found = Vec::new();
        objects(&schema, "", &mut found);
        assert!(found.len() >= 3);
        for (way, object) in found {
            assert_eq!(object["additionalProperties"], false, "{way}");
        }
    }
}

#[test]
fn every_schema_names_its_draft_and_the_version_of_its_document() {
    for schema in schemas() {
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["properties"]["version"]["const"], 1);
        let required: BTreeSet<&str> =
            schema["required"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        assert!(required.is_superset(&BTreeSet::from(["version", "set", "lenses"])), "{required:?}");
    }
    assert_eq!(serde_json::to_value(Version::<3>).unwrap(), 3);
}

fn word(value: impl Serialize) -> String {
    serde_json::to_value(value).unwrap().as_str().unwrap().to_string()
}

#[test]
fn words_in_documents_are_those_of_their_vocabularies() {
    for unit in [DistanceUnit::Metre.into(), DistanceUnit::Foot.into(), BandUnit::F, BandUnit::T] {
        assert_eq!(word(unit), unit.sign());
    }
    for kind in [
        FindingKind::Stroke,
        FindingKind::Gap,
        FindingKind::Counter,
        FindingKind::Dot,
        FindingKind::Near,
        FindingKind::Loose,
    ] {
        assert_eq!(word(kind), kind.name());
    }
    assert_eq!([ProcessKind::Film, ProcessKind::Vinyl, ProcessKind::Engrave].map(word), ["film", "vinyl", "engrave"]);
    let verdicts = [Verdict::Keep, Verdict::Shift, Verdict::Refit, Verdict::Unsure];
    assert_eq!(verdicts.map(word), ["keep", "shift", "refit", "unsure"]);
    let standings = [Standing::Fine, Standing::InsideDepthOfField, Standing::Off, Standing::Outlier];
    assert_eq!(standings.map(word), ["fine", "inside depth of field", "off", "wild"]);
    assert_eq!([ExposureUse::Law, ExposureUse::Itself, ExposureUse::LeftOut].map(word), ["law", "itself", "left out"]);
}

#[test]
fn numbers_are_rounded_where_they_are_written_and_nothing_has_a_sign() {
    let written = |value: f64| serde_json::to_string(&Number::<4>::from(value)).unwrap();
    assert_eq!([1.0, 0.123_45, -0.000_01, 1.6e-4].map(written), ["1.0", "0.1235", "0.0", "0.0002"]);
    // rounded once: what is shown with 4 decimals is not what 6 decimals round to
    assert_eq!(Number::<6>::from(0.123_449_6).cell(4), "0.1234");
    let distances = [Distance::mm(914.4), Distance::Infinity].map(Millimetres);
    assert_eq!(distances.map(|distance| serde_json::to_string(&distance).unwrap()), ["914.4", "null"]);
    assert_eq!(distances.map(Millimetres::cell), ["914.4", "inf"]);
}
