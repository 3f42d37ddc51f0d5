//! What focus rings, iris rings and discs have in common: a face, a sense, an index.

use crate::model::checks::cone;
use crate::model::{Subject, Trueness};
use crate::surface::{Edge, Ring, Sense};

use super::read::{Table, Value};

/// The face of the ring that `table` describes.
pub(super) fn ring(table: &Table) -> Option<Ring> {
    let value = table.need("ring")?;
    let ring = value.table()?;
    let (straight, rear, front) =
        (ring.length("diameter"), ring.length("rear_diameter"), ring.length("front_diameter"));
    let width = ring.need("width").and_then(|value| value.length());
    let is_cone = ring.has("rear_diameter") || ring.has("front_diameter");
    if is_cone && ring.has("diameter") {
        let message = "this ring is a cylinder and a cone at once";
        return value.refuse(message, "give `diameter`, or `rear_diameter` and `front_diameter`");
    }
    if !is_cone {
        ring.need("diameter");
        return Some(Ring { rear_diameter: straight?, front_diameter: straight?, width: width? });
    }
    ring.need("rear_diameter");
    ring.need("front_diameter");
    let (rear, front, width) = (rear?, front?, width?);
    let ring = Ring { rear_diameter: rear, front_diameter: front, width };
    match cone(Subject::Lens(String::new()), &ring) {
        None => Some(ring),
        Some(refusal) => {
            table.doc.refuse_at(value.span(), &refusal);
            None
        }
    }
}

/// How true the ring of `table` is: a caliper's reading of a diameter and a shell turned on a lathe are both good to
/// about half a tenth (common practice, no source; makers of pi tapes state 0.03 mm).
pub(super) fn trueness(table: &Table) -> Trueness {
    let default = Trueness::default();
    let Some(ring) = table.get("ring").filter(Value::is_table).and_then(|value| value.bare_table()) else {
        return default;
    };
    Trueness {
        diameter: ring.length("error").unwrap_or(default.diameter),
        off_centre: ring.length("off_centre").unwrap_or(default.off_centre),
    }
}

/// How a ring or a disc turns.
pub(super) fn sense(table: &Table, key: &str) -> Option<Sense> {
    let value = table.need(key)?;
    // Near in spelling to "clockwise", their opposite, which would mirror the scale.
    if let Some(word @ ("anticlockwise" | "anti-clockwise" | "ccw" | "acw")) = value.as_str() {
        return value.refuse(format!("`{key}` cannot be \"{word}\""), "did you mean \"counterclockwise\"?");
    }
    value.choice()
}

/// The edge of the index, and the side from which numerals are read.
pub(super) fn edges(table: &Table) -> (Edge, Edge) {
    let index = table.choice("index").unwrap_or(Edge::Rear);
    (index, table.choice("read_from").unwrap_or(index))
}
