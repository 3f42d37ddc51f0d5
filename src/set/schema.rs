//! The set file as a JSON Schema (draft 2020-12), from the table of keys: editors that know schemas complete and check
//! a set file with it.
//!
//! It says what each key alone may be. What several values must be together, and what a text says beyond its form,
//! stays with the reader.
//!
//! Source: JSON Schema, draft 2020-12, core and validation.

use serde_json::{Map, Value, json};
use toml::de::{DeTable, DeValue};

use super::keys::{Key, Kind, Need, SET_FILE, Table};
use super::name::LONGEST_NAME;

/// The schema of the set file.
pub fn schema() -> Value {
    let mut schema = of_table(&SET_FILE);
    schema.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".into(), json!("A set of lenses"));
    Value::Object(schema)
}

fn of_table(table: &Table) -> Map<String, Value> {
    let properties: Map<String, Value> =
        table.keys.iter().map(|key| (key.name.to_string(), Value::Object(of_key(key)))).collect();
    let required: Vec<&str> =
        table.keys.iter().filter(|key| matches!(key.need, Need::Always(_))).map(|key| key.name).collect();
    let mut schema = object(json!({
        "type": "object",
        "description": table.help,
        "properties": properties,
        "additionalProperties": false,
    }));
    if !required.is_empty() {
        schema.insert("required".into(), json!(required));
    }
    schema
}

fn of_key(key: &Key) -> Map<String, Value> {
    let mut schema = of_kind(&key.kind);
    let help = match key.need {
        Need::Always(_) => format!("{} Must be there.", key.help),
        Need::Sometimes(_, when) => format!("{} Must be there {when}.", key.help),
        Need::Default(default) => format!("{} Unless told: {default}.", key.help),
        Need::Follows(what) => format!("{} Unless told: {what}", key.help),
    };
    let range = match key.kind {
        Kind::Length(lowest, highest) | Kind::Lengths(lowest, highest) | Kind::LengthOr(lowest, highest, _) => {
            format!(" From {lowest} mm to {highest} mm.")
        }
        Kind::Turn(highest) => format!(" Above 0 deg, up to {highest} deg."),
        _ => String::new(),
    };
    schema.insert("description".into(), json!(help + &range));
    if let Need::Default(default) = key.need {
        schema.extend(literal(default).map(|value| ("default".to_string(), value)));
    }
    let known = matches!(key.kind, Kind::Table(_) | Kind::Tables(_) | Kind::Word(_) | Kind::Truth);
    if !known {
        schema.extend(literal(key.example).map(|value| ("examples".to_string(), json!([value]))));
    }
    schema
}

fn of_kind(kind: &Kind) -> Map<String, Value> {
    let text = |pattern: &str| json!({ "type": "string", "pattern": pattern });
    object(match kind {
        Kind::Length(..) => text(&length()),
        Kind::Lengths(..) => json!({ "type": "array", "items": text(&length()) }),
        Kind::LengthOr(_, _, words) => json!({ "anyOf": [{ "enum": words }, text(&length())] }),
        Kind::Text => json!({ "type": "string" }),
        Kind::Texts => json!({ "type": "object", "additionalProperties": { "type": "string" } }),
        Kind::Turn(_) => text(&angle()),
        Kind::Distance => json!({ "anyOf": [text(&length()), text(&infinity())] }),
        Kind::Position | Kind::PositionError => json!({ "anyOf": [text(&angle()), text(&length())] }),
        Kind::DistanceError => {
            json!({ "anyOf": [text(&length()), text(r"^\s*[0-9.]+\s*%"), text(r"\+\s*[0-9.]+\s*%\s*$")] })
        }
        Kind::Stop(lowest, highest) => stop(*lowest, *highest),
        Kind::Stops(lowest, highest) => json!({ "type": "array", "items": stop(*lowest, *highest) }),
        Kind::Number(lowest, highest) => json!({ "type": "number", "minimum": lowest, "maximum": highest }),
        Kind::Count(lowest, highest) => json!({ "type": "integer", "minimum": lowest, "maximum": highest }),
        Kind::OneOf(numbers) => json!({ "enum": numbers }),
        Kind::Word(words) => json!({ "enum": words() }),
        Kind::Words(words) => {
            json!({ "type": "array", "items": { "enum": words() }, "minItems": 1, "uniqueItems": true })
        }
        Kind::Truth => json!({ "type": "boolean" }),
        Kind::Name => json!({ "type": "string", "minLength": 1, "maxLength": LONGEST_NAME }),
        Kind::File => json!({ "type": "string", "minLength": 1 }),
        // the words on their own, so that an editor offers them
        Kind::WordOrFile(words) => json!({ "anyOf": [{ "enum": words }, { "type": "string", "minLength": 1 }] }),
        Kind::Sheet => text(&sheet()),
        Kind::Table(table) => Value::Object(of_table(table)),
        Kind::Tables(table) => json!({ "type": "array", "items": of_table(table) }),
    })
}

fn stop(lowest: f64, highest: f64) -> Value {
    json!({ "anyOf": [
        { "type": "number", "minimum": lowest, "maximum": highest },
        { "type": "string", "pattern": r"^\s*([fFtT]/*|1:)?\s*\+?[0-9.]+\s*$" },
    ] })
}

/// A pattern that takes a word in capitals and small letters alike.
fn in_any_case(word: &str) -> String {
    let letter = |c: char| {
        if c.is_ascii_alphabetic() {
            format!("[{}{}]", c.to_ascii_lowercase(), c.to_ascii_uppercase())
        } else {
            c.to_string()
        }
    };
    word.chars().map(letter).collect()
}

/// A number's characters, vulgar fractions among them.
const DIGITS: &str = "0-9.¼½¾⅛⅜⅝⅞⅓⅔";

/// A text that begins with a number and ends with one of these units, right behind a number.
fn with_unit(words: &[&str], signs: &str) -> String {
    let words: Vec<String> = words.iter().map(|word| in_any_case(word)).collect();
    format!(r"^\s*[-−+]?\s*[{DIGITS}](.*[{DIGITS}\s])?({}|[{signs}]+)\s*$", words.join("|"))
}

fn length() -> String {
    let words = [
        "mm",
        "millimetres?",
        "millimeters?",
        "cm",
        "centimetres?",
        "centimeters?",
        "m",
        "metres?",
        "meters?",
        "in",
        "inch",
        "inches",
        "ft",
        "foot",
        "feet",
    ];
    with_unit(&words, "\"″”'′’")
}

fn angle() -> String {
    with_unit(&["deg", "degrees?"], "°")
}

fn infinity() -> String {
    format!(r"^\s*({}|∞)\s*$", in_any_case("inf(inity)?"))
}

fn sheet() -> String {
    let [names, roll] = ["a4|a3|letter|mat", "roll"].map(in_any_case);
    format!(r"^\s*({names}|{roll} .+|.+[xX×].+)\s*$")
}

/// A value as it would be written in a set file.
fn literal(written: &str) -> Option<Value> {
    let text = format!("value = {written}");
    let (table, errors) = DeTable::parse_recoverable(&text);
    errors.is_empty().then(|| plain(table.get_ref().get("value")?.get_ref()))?
}

pub(super) fn plain(value: &DeValue) -> Option<Value> {
    Some(match value {
        DeValue::String(text) => json!(text),
        DeValue::Integer(number) => json!(number.as_str().parse::<i64>().ok()?),
        DeValue::Float(number) => json!(number.as_str().parse::<f64>().ok()?),
        DeValue::Boolean(truth) => json!(truth),
        DeValue::Array(list) => Value::Array(list.iter().filter_map(|value| plain(value.get_ref())).collect()),
        DeValue::Table(table) => Value::Object(
            table
                .iter()
                .filter_map(|(key, value)| Some((key.get_ref().to_string(), plain(value.get_ref())?)))
                .collect(),
        ),
        DeValue::Datetime(_) => return None,
    })
}

fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}
