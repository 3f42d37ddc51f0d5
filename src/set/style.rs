//! How the strips of a set look, by the process that makes them.

use crate::artwork::{Extent, SMALLEST_NUMERAL_MM};
use crate::model::{Doubtful, StyleChoices, Treatment, Typeface, may_stand_apart};
use crate::process::{Process, ProcessKind};
use crate::units::{DistanceUnit, Division, Length};

use super::Place;
use super::fault::shown;
use super::file;
use super::near::nearest;
use super::quantity::Quantity;
use super::read::Table;

/// The style as stated, and where its typeface is named when that is a file.
pub(super) fn style(table: Option<&Table>) -> (StyleChoices, Option<Place>) {
    let length = |key, lowest, highest, example| {
        table?.get(key)?.quantity(Quantity::Length, example)?.length_within(lowest, highest)
    };
    let tick_width = length("tick_width", 0.05, 1.0, "0.2 mm");
    let (typeface, place) = table.and_then(typeface).unwrap_or((Typeface::Plain, None));
    let treatment = table
        .and_then(|table| table.get("doubtful"))
        .and_then(|value| {
            let ways = [("drawn", Treatment::Drawn), ("short", Treatment::Short), ("left out", Treatment::LeftOut)];
            value.one_of(&ways)
        })
        .unwrap_or(Treatment::Drawn);
    let stop = table
        .and_then(|table| table.get("trust_stop"))
        .and_then(|value| value.stop_text()?.stop(Division::Third, 0.5, 64.0, false));
    let stated = StyleChoices {
        numeral_height: length("numeral_height", SMALLEST_NUMERAL_MM, 8.0, "2.5 mm"),
        numbered_tick: length("numbered_tick", 0.2, 20.0, "2.6 mm"),
        plain_tick: length("plain_tick", 0.2, 20.0, "1.5 mm"),
        label_gap: length("label_gap", 0.1, 20.0, "2 mm"),
        tick_width,
        smallest_gap: table.and_then(|table| {
            smallest_gap(
                table,
                tick_width.unwrap_or_else(|| Process::usual(ProcessKind::Film).settings().tick_width(None)),
            )
        }),
        typeface,
        extent: table
            .and_then(|table| table.get("extent"))
            .and_then(|value| value.one_of(&[("used", Extent::Used), ("full turn", Extent::FullTurn)]))
            .unwrap_or(Extent::Used),
        doubtful: Doubtful { treatment, stop },
    };
    (stated, place)
}

fn smallest_gap(table: &Table, tick_width: Length) -> Option<Length> {
    let value = table.get("smallest_gap")?;
    let gap = value.quantity(Quantity::Length, "0.8 mm")?.length_within(0.1, 20.0)?;
    if may_stand_apart(gap, tick_width) {
        return Some(gap);
    }
    value.refuse(
        format!("ticks {} mm wide and {} mm apart would run together", tick_width.to_mm(), gap.to_mm()),
        format!("at least {} mm, twice `tick_width`", 2.0 * tick_width.to_mm()),
    )
}

fn typeface(table: &Table) -> Option<(Typeface, Option<Place>)> {
    let value = table.get("typeface")?;
    let name = value.text("\"plain\"")?;
    match name {
        "plain" => return Some((Typeface::Plain, None)),
        "stencil" => return Some((Typeface::Stencil, None)),
        _ => {}
    }
    let path = table.doc.folder.join(name);
    match file::find(&path) {
        Ok(()) => Some((Typeface::File(path), Some(value.place()))),
        Err(refusal) => {
            let label = match nearest(name, &["plain", "stencil"]) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "allowed are \"plain\", \"stencil\" and the name of a font file beside the set".to_string(),
            };
            value.refuse(format!("`{}` is no typeface: {}", shown(name), refusal.message), label)
        }
    }
}

/// The units of `table`'s focus bands, if it names any.
pub(super) fn units(table: &Table) -> Option<Vec<DistanceUnit>> {
    let value = table.get("units")?;
    let example = "[\"m\", \"ft\"]";
    let listed = value.list(example)?;
    let mut units = Vec::new();
    for unit in &listed {
        let known = unit.one_of(&[("m", DistanceUnit::Metre), ("ft", DistanceUnit::Foot)])?;
        if units.contains(&known) {
            return unit.refuse("this unit is listed twice", "leave one of them out");
        }
        units.push(known);
    }
    if units.is_empty() {
        return value.refuse("a focus scale needs a unit", format!("write one or both of {example}"));
    }
    Some(units)
}
