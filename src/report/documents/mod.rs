//! What is written for programs: one struct a document, every field with its unit, and their JSON Schemas.
//!
//! Lengths are millimetres, turns of a ring degrees; a distance at infinity is null. A `version` stands in every document.
//! It grows when a field is taken out, renamed, or comes to mean something else. Fields that are added leave it as it is:
//! a program that reads these documents does well to pass over what it does not know.

pub mod check;
pub mod compare;
pub mod fit;
pub mod law;
pub mod marks;
pub mod plan;
pub mod values;
pub mod verify;

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema};
use serde::Serialize;
use serde_json::Value;

/// The documents that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Document {
    /// What `fit` writes.
    Fit,
    /// What `marks` writes.
    Marks,
    /// What `compare` writes.
    Compare,
    /// What `plan` writes.
    Plan,
    /// What `verify` writes.
    Verify,
    /// What `check` writes.
    Check,
}

impl Document {
    /// Every document.
    pub const ALL: [Document; 6] =
        [Document::Fit, Document::Marks, Document::Compare, Document::Plan, Document::Verify, Document::Check];

    /// Its JSON Schema, draft 2020-12.
    pub fn schema(self) -> Value {
        match self {
            Document::Fit => schema::<fit::Fit>(),
            Document::Marks => schema::<marks::Marks>(),
            Document::Compare => schema::<compare::Compare>(),
            Document::Plan => schema::<plan::Plan>(),
            Document::Verify => schema::<verify::Verify>(),
            Document::Check => schema::<check::Check>(),
        }
    }
}

fn schema<T: JsonSchema>() -> Value {
    let settings = SchemaSettings::draft2020_12().for_serialize().with_transform(RecursiveTransform(in_one_line));
    settings.into_generator().into_root_schema_for::<T>().to_value()
}

/// A description is a comment of the source, whose lines end where the source's do.
fn in_one_line(schema: &mut Schema) {
    if let Some(Value::String(description)) = schema.get_mut("description") {
        *description = description.replace('\n', " ");
    }
}

/// A document as it is written: names in alphabetical order, so that the order of fields in the source does not matter.
pub(super) fn text(document: &impl Serialize) -> String {
    let sorted = serde_json::to_value(document).unwrap_or_default();
    let mut text = serde_json::to_string_pretty(&sorted).unwrap_or_default();
    text.push('\n');
    text
}

#[cfg(test)]
mod tests;
