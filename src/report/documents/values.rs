//! Numbers as they are written into documents.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};

use crate::units::{Angle, Distance, Length};

/// The version of a document.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Version<const N: u32>;

impl<const N: u32> Serialize for Version<N> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_u32(N)
    }
}

impl<const N: u32> JsonSchema for Version<N> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Version".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "integer", "const": N })
    }
}

/// A number that is written with so many decimals: enough for any purpose here, and none that differ between machines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number<const DECIMALS: i32>(f64);

impl<const DECIMALS: i32> Number<DECIMALS> {
    /// The value before rounding.
    pub fn value(self) -> f64 {
        self.0
    }

    /// As a cell of a table, with fewer decimals than the document has.
    pub(crate) fn cell(self, decimals: i32) -> String {
        serde_json::Value::from(rounded(self.0, decimals)).to_string()
    }
}

fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    // -0 is 0
    (value * scale).round() / scale + 0.0
}

impl<const DECIMALS: i32> From<f64> for Number<DECIMALS> {
    fn from(value: f64) -> Self {
        Number(value)
    }
}

/// In degrees.
impl<const DECIMALS: i32> From<Angle> for Number<DECIMALS> {
    fn from(angle: Angle) -> Self {
        Number(angle.to_deg())
    }
}

/// In millimetres.
impl<const DECIMALS: i32> From<Length> for Number<DECIMALS> {
    fn from(length: Length) -> Self {
        Number(length.to_mm())
    }
}

impl<const DECIMALS: i32> Serialize for Number<DECIMALS> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(rounded(self.0, DECIMALS))
    }
}

impl<const DECIMALS: i32> JsonSchema for Number<DECIMALS> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Number".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "number" })
    }
}

/// A distance in millimetres with four decimals; null is infinity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Millimetres(pub Distance);

impl Millimetres {
    /// As a cell of a table, where infinity is `inf`.
    pub(crate) fn cell(self) -> String {
        self.0.to_mm().map_or("inf".to_string(), |mm| Number::<4>(mm).cell(4))
    }
}

impl From<Distance> for Millimetres {
    fn from(distance: Distance) -> Self {
        Millimetres(distance)
    }
}

impl Serialize for Millimetres {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.to_mm().map(Number::<4>).serialize(serializer)
    }
}

impl JsonSchema for Millimetres {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Millimetres".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": ["number", "null"] })
    }
}
