//! A follow focus's marking disc: its size, and how far it turns for a turn of the focus ring.

use crate::optics::GearRatio;
use crate::surface::Sense;

use super::lens::sense;
use super::quantity::Quantity;
use super::read::Table;
use super::style;
use crate::model::{Disc, DistanceUnit};

pub(super) const DISC_KEYS: &[&str] = &[
    "diameter",
    "hole",
    "ring_teeth",
    "wheel_teeth",
    "ring_diameter",
    "wheel_diameter",
    "turns",
    "toward_close",
    "units",
];

/// The disc of `table`; `units` are the lens's.
pub(super) fn disc(table: &Table, units: &[DistanceUnit]) -> Option<Disc> {
    let length = |key, lowest, highest, example| {
        table.get(key)?.quantity(Quantity::Length, example)?.length_within(lowest, highest)
    };
    table.need("diameter", "diameter = \"60 mm\", across the disc's rim");
    let diameter = length("diameter", 20.0, 300.0, "60 mm");
    let hole = length("hole", 0.0, 280.0, "20 mm").unwrap_or_default();
    let ratio = ratio(table);
    let turns = table.get("turns").and_then(|value| value.one_of(&[("scale", false), ("pointer", true)]));
    let toward_close: Option<Sense> = sense(table, "toward_close", "as you face the disc");
    let diameter = diameter?;
    if hole >= diameter {
        let value = table.get("hole")?;
        return value.refuse(
            format!("a disc {} mm across has no hole of {} mm", diameter.to_mm(), hole.to_mm()),
            "less than `diameter`; 0 mm for a disc without a hole",
        );
    }
    Some(Disc {
        diameter,
        hole,
        ratio: ratio?,
        pointer_turns: turns.unwrap_or(false),
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
        let diameter =
            |key, example| table.need(key, example)?.quantity(Quantity::Length, "101.6 mm")?.length_within(3.0, 400.0);
        let ring = diameter("ring_diameter", "ring_diameter = \"101.6 mm\", of the ring gear's pitch circle");
        let wheel = diameter("wheel_diameter", "wheel_diameter = \"40 mm\", of the wheel's pitch circle");
        return GearRatio::diameters(ring?, wheel?);
    }
    let count = |key, example| {
        let value = table.need(key, example)?;
        let number = value.number_within(5.0, 2000.0)?;
        if number.fract() == 0.0 {
            return Some(number as u32);
        }
        value.refuse("teeth are counted in whole numbers", "write it like 64")
    };
    let ring = count("ring_teeth", "ring_teeth = 127, on the lens; or ring_diameter and wheel_diameter");
    let wheel = count("wheel_teeth", "wheel_teeth = 40, on the follow focus");
    Some(GearRatio::teeth(ring?, wheel?))
}
