//! Checks of a finished strip: distances set by tape, and what was read under the index.

use crate::calibration::{Origin, ReadingError};
use crate::surface::Ring;
use crate::units::{Angle, Length};

use super::read::Table;
use super::reading_error::{error_ring, read_error};
use crate::model::FocusCheck;

/// Standard error of a position estimated by eye between two marks, mm along the ring (common practice, no source).
const READ_BY_EYE_MM: f64 = 0.3;

/// The checks of `table`, on `ring`; distances are taped as the readings were.
pub(super) fn checks(table: &Table, ring: Option<Ring>, error: ReadingError, from: Origin) -> Vec<FocusCheck> {
    let Some(listed) = table.get("checks") else { return Vec::new() };
    let Some(values) = listed.list() else { return Vec::new() };
    let along = Length::mm(READ_BY_EYE_MM);
    let around = ring.map(|ring| std::f64::consts::PI * ring.rear_diameter.to_mm().min(ring.front_diameter.to_mm()));
    let by_eye = around.map_or(error.at, |around| Angle::deg(360.0 * along.to_mm() / around));
    let default = ReadingError { at: by_eye, ..error };
    let mut checks = Vec::new();
    for value in values {
        let Some(check) = value.table() else { continue };
        let distance = |key| check.need(key)?.distance();
        let (distance, reads) = (distance("distance"), distance("reads"));
        let errors = check.get("error").and_then(|value| value.table());
        let error = errors.map_or(default, |errors| read_error(&errors, error_ring(&errors, table), default));
        if let (Some(distance), Some(reads)) = (distance, reads) {
            checks.push(FocusCheck { distance, reads, error, from });
        }
    }
    checks
}
