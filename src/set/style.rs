//! How the strips of a set look, by the process that makes them.

use crate::artwork::Extent;
use crate::model::{Doubtful, StyleChoices, Subject, Treatment, Typeface, checks};
use crate::process::{Process, ProcessKind};
use crate::units::{DistanceUnit, Division, Length};

use super::fault::{Place, shown};
use super::file;
use super::marks::{self, focus_marks};
use super::near::nearest;
use super::read::Table;

/// The style as stated, and where its typeface is named when that is a file.
pub(super) fn style(table: Option<&Table>) -> (StyleChoices, Option<Place>) {
    let length = |key| table?.length(key);
    if let Some(table) = table {
        marks::remember(table.doc, table, |unit, key| Subject::EveryScale(unit.unwrap_or(DistanceUnit::Metre), key));
    }
    let tick_width = length("tick_width");
    let (typeface, place) = table.and_then(typeface).map_or((None, None), |(face, place)| (Some(face), place));
    let treatment = table.and_then(|table| table.choice("doubtful")).unwrap_or(Treatment::Drawn);
    let stop = table
        .and_then(|table| table.get("trust_stop"))
        .and_then(|value| value.stop_text()?.stop(Division::Third, false));
    let stated = StyleChoices {
        numeral_height: length("numeral_height"),
        numbered_tick: length("numbered_tick"),
        medium_tick: length("medium_tick"),
        plain_tick: length("plain_tick"),
        label_gap: length("label_gap"),
        smallest_numeral: length("smallest_numeral"),
        feet: table.and_then(|table| table.choice("feet")).unwrap_or_default(),
        inches: table.and_then(|table| table.choice("inches")),
        unit_sign: table.and_then(|table| table.choice("unit_sign")),
        scale: table.map(|table| focus_marks(table, None)).unwrap_or_default(),
        tick_width,
        smallest_gap: table.and_then(|table| {
            // as printed; another process notes it where its own ticks are wider
            smallest_gap(table, Process::usual(ProcessKind::Film).settings().tick_width(tick_width))
        }),
        typeface,
        extent: table.and_then(|table| table.choice("extent")).unwrap_or(Extent::Used),
        doubtful: Doubtful { treatment, stop },
    };
    (stated, place)
}

fn smallest_gap(table: &Table, tick_width: Length) -> Option<Length> {
    let value = table.get("smallest_gap")?;
    let gap = value.length()?;
    match checks::ticks_apart(gap, tick_width) {
        None => Some(gap),
        Some(refusal) => {
            table.doc.refuse_at(value.span(), &refusal);
            None
        }
    }
}

fn typeface(table: &Table) -> Option<(Typeface, Option<Place>)> {
    let value = table.get("typeface")?;
    let name = value.text()?;
    if let Some(shipped) = Typeface::named(name) {
        return Some((shipped, None));
    }
    let path = table.doc.folder.join(name);
    match file::find(&path) {
        Ok(()) => Some((Typeface::File(path), Some(value.place()))),
        Err(refusal) => {
            let label = match nearest(name, Typeface::WORDS) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => "allowed are \"plain\", \"bold\", \"stencil\" and the name of a font file beside the set"
                    .to_string(),
            };
            value.refuse(format!("`{}` is no typeface: {}", shown(name), refusal.message), label)
        }
    }
}

/// The units of `table`'s focus bands, if it names any.
pub(super) fn units(table: &Table) -> Option<Vec<DistanceUnit>> {
    let value = table.get("units")?;
    let listed = value.list()?;
    let mut units: Vec<DistanceUnit> = Vec::new();
    for unit in &listed {
        let known = unit.choice()?;
        if units.contains(&known) {
            return unit.refuse("this unit is listed twice", "leave one of them out");
        }
        units.push(known);
    }
    if units.is_empty() {
        return value.refuse("a focus scale needs a unit", format!("write one or both of {}", value.key.example));
    }
    Some(units)
}
