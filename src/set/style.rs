//! How the strips of a set look, and the film they are printed on.

use crate::artwork::{Extent, SMALLEST_NUMERAL_MM, filling_numeral_height};
use crate::units::Length;

use super::fault::shown;
use super::file;
use super::near::nearest;
use super::quantity::Quantity;
use super::read::Table;
use super::{DistanceUnit, Lens, Place, Style, Typeface};

/// The style as far as the file states it.
pub(super) struct Stated {
    numeral_height: Option<Length>,
    numbered_tick: Option<Length>,
    plain_tick: Option<Length>,
    label_gap: Option<Length>,
    tick_width: Length,
    smallest_gap: Length,
    typeface: Typeface,
    extent: Extent,
}

/// The style as stated, and where its typeface is named when that is a file.
pub(super) fn style(table: Option<&Table>) -> (Stated, Option<Place>) {
    let length = |key, lowest, highest, example| {
        table?.get(key)?.quantity(Quantity::Length, example)?.length_within(lowest, highest)
    };
    let tick_width = length("tick_width", 0.05, 1.0, "0.2 mm").unwrap_or(Length::mm(0.2));
    let (typeface, place) = table.and_then(typeface).unwrap_or((Typeface::Plain, None));
    let stated = Stated {
        numeral_height: length("numeral_height", SMALLEST_NUMERAL_MM, 8.0, "2.5 mm"),
        numbered_tick: length("numbered_tick", 0.2, 20.0, "2.6 mm"),
        plain_tick: length("plain_tick", 0.2, 20.0, "1.5 mm"),
        label_gap: length("label_gap", 0.1, 20.0, "2 mm"),
        tick_width,
        smallest_gap: table.and_then(|table| smallest_gap(table, tick_width)).unwrap_or(default_gap(tick_width)),
        typeface,
        extent: table
            .and_then(|table| table.get("extent"))
            .and_then(|value| value.one_of(&[("used", Extent::Used), ("full turn", Extent::FullTurn)]))
            .unwrap_or(Extent::Used),
    };
    (stated, place)
}

/// Numerals above this gain nothing at arm's length and cost marks; common practice, no source.
const LARGEST_DEFAULT_MM: f64 = 2.8;
/// Nobody reads smaller numerals from the side of a camera: narrower faces need fewer bands instead.
const SMALLEST_DEFAULT_MM: f64 = 1.4;

impl Stated {
    /// One style for the whole set: what is not stated follows from the narrowest band of any ring.
    pub(super) fn complete(self, lenses: &[Lens]) -> Style {
        let focus = lenses.iter().filter_map(|lens| Some((lens.focus.as_ref()?.ring.width, lens.units.len())));
        let iris = lenses.iter().filter_map(|lens| Some((lens.iris.as_ref()?.ring.width, 1)));
        let fitting = focus.chain(iris).map(|(width, bands)| filling_numeral_height(width, bands).to_mm());
        // a little below what fills the face, in steps of the caliper's vernier
        let fitting = (fitting.fold(f64::INFINITY, f64::min) * 20.0).floor() / 20.0;
        let default = Length::mm(fitting.clamp(SMALLEST_DEFAULT_MM, LARGEST_DEFAULT_MM));
        let numeral_height = self.numeral_height.unwrap_or(default);
        Style {
            typeface: self.typeface,
            numeral_height,
            tick_width: self.tick_width,
            numbered_tick: self.numbered_tick.unwrap_or(numeral_height * 0.95),
            plain_tick: self.plain_tick.unwrap_or(numeral_height * 0.55),
            smallest_gap: self.smallest_gap,
            label_gap: self.label_gap.unwrap_or(numeral_height * 0.8),
            extent: self.extent,
        }
    }
}

/// Ticks nearer than twice their width leave less paper than ink and run together.
fn default_gap(tick_width: Length) -> Length {
    Length::mm(f64::max(0.8, 2.0 * tick_width.to_mm()))
}

fn smallest_gap(table: &Table, tick_width: Length) -> Option<Length> {
    let value = table.get("smallest_gap")?;
    let gap = value.quantity(Quantity::Length, "0.8 mm")?.length_within(0.1, 20.0)?;
    // A part in a thousand million lies below any drawing's precision and above the rounding of 2 x 0.3.
    if gap.to_mm() * (1.0 + 1e-9) >= 2.0 * tick_width.to_mm() {
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

/// The film's thickness from the tables of the processes.
pub(super) fn film_thickness(processes: Option<&Table>) -> Length {
    let default = Length::mm(0.1);
    let Some(processes) = processes else { return default };
    for key in ["vinyl", "engrave"] {
        if let Some(value) = processes.get(key) {
            // The header of a table, or the key of anything else.
            let header = processes.doc.source.text().get(value.span()).is_some_and(|text| text.starts_with('['));
            let place = if header { value.span() } else { value.key_span };
            let message = format!("the process `{key}` is not known in this version, which draws for film");
            processes.doc.push(processes.doc.fault(place, message, "leave this table out"));
        }
    }
    let film = processes.get("film").and_then(|film| {
        film.table("the film", &["thickness"], "write [process.film] and thickness = \"0.1 mm\" below it")
    });
    film.and_then(|film| film.get("thickness"))
        .and_then(|value| value.quantity(Quantity::Length, "0.1 mm")?.length_within(0.0, 1.0))
        .unwrap_or(default)
}
