//! How far readings may be off: errors of a tape and of a ring's position, and the ring along which lengths count.

use crate::calibration::ReadingError;
use crate::units::Angle;

use super::fault::shown;
use super::quantity::ReadOn;
use super::read::{Table, Value};

/// The diameter of the ring along which positions were read.
pub(super) fn read_on(table: &Table) -> ReadOn {
    let Some(value) = table.get("read_on") else { return ReadOn::Nothing };
    value.length().map_or(ReadOn::Refused, ReadOn::Ring)
}

/// The standard error of a position: an angle, or a length along the ring `read_on`.
pub(super) fn position_error(value: &Value, read_on: ReadOn) -> Option<Angle> {
    let text = value.quantity()?;
    let error = text.position(read_on)?;
    if (0.001..=30.0).contains(&error.to_deg()) {
        return Some(error);
    }
    value.refuse(format!("the error `at` cannot be {}", shown(text.text)), "allowed are 0.001 deg to 30 deg")
}

/// `default` is mm, share of the distance, degrees.
pub(super) fn error_of(table: &Table, key: &str, default: ReadingError) -> ReadingError {
    let errors = table.get(key).and_then(|value| value.table());
    errors.map_or(default, |errors| read_error(&errors, error_ring(&errors, table), default))
}

/// What a table of errors says; the rest as in `default`.
pub(super) fn read_error(errors: &Table, along: ReadOn, default: ReadingError) -> ReadingError {
    let distance = errors.get("distance").and_then(|value| value.quantity()?.distance_error());
    let (distance, share) = distance.unwrap_or((default.distance, default.share));
    let at = errors.get("at").and_then(|value| position_error(&value, along));
    ReadingError { distance, share, at: at.unwrap_or(default.at) }
}

/// The diameter that an error along a ring refers to: its own, or the ring's.
pub(super) fn error_ring(errors: &Table, ring: &Table) -> ReadOn {
    if errors.has("read_on") {
        return read_on(errors);
    }
    let Some(value) = ring.get("read_on") else { return ReadOn::Nothing };
    // A faulty diameter is refused where the readings are read; here it only has to be looked up.
    value.as_str().and_then(|text| text.parse().ok()).map_or(ReadOn::Refused, ReadOn::Ring)
}
