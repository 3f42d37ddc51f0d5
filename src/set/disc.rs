//! A follow focus's marking disc: its size, and how far it turns for a turn of the focus ring.

use crate::optics::GearRatio;
use crate::surface::Sense;

use super::read::Table;
use super::ring::sense;
use super::style;
use crate::model::{Disc, DiscTurns, DistanceUnit, checks};

/// The disc of `table`; `units` are the lens's.
pub(super) fn disc(table: &Table, units: &[DistanceUnit]) -> Option<Disc> {
    let diameter = table.need("diameter").and_then(|value| value.length());
    let hole = table.length("hole").unwrap_or_default();
    let ratio = ratio(table);
    let turns = table.choice("turns");
    let toward_close: Option<Sense> = sense(table, "toward_close");
    let diameter = diameter?;
    if let Some(refusal) = checks::hole("", diameter, hole) {
        table.doc.refuse_at(table.get("hole")?.span(), &refusal);
        return None;
    }
    Some(Disc {
        diameter,
        hole,
        ratio: ratio?,
        pointer_turns: turns == Some(DiscTurns::Pointer),
        toward_close: toward_close?,
        units: style::units(table).unwrap_or_else(|| units.to_vec()),
    })
}

/// Turn of the wheel for a turn of the ring, from teeth or from pitch diameters.
fn ratio(table: &Table) -> Option<GearRatio> {
    let (teeth, across) = (["ring_teeth", "wheel_teeth"], ["ring_diameter", "wheel_diameter"]);
    let has = |keys: [&str; 2]| keys.iter().any(|key| table.has(key));
    if has(teeth) && has(across) {
        let fault = table.doc.fault(
            table.span.clone(),
            "this disc's gears are given twice",
            "give teeth, or diameters of the pitch circles, not both",
        );
        table.doc.push(fault);
        return None;
    }
    if has(across) {
        let diameter = |key| table.need(key)?.length();
        let (ring, wheel) = (diameter("ring_diameter"), diameter("wheel_diameter"));
        return GearRatio::diameters(ring?, wheel?);
    }
    let count = |key| {
        let value = table.need(key)?;
        let number = value.number()?;
        if number.fract() == 0.0 {
            return Some(number as u32);
        }
        value.refuse("teeth are counted in whole numbers", "write it like 64")
    };
    let ring = count("ring_teeth");
    let wheel = count("wheel_teeth");
    Some(GearRatio::teeth(ring?, wheel?))
}
