//! How the strips of a set look, by the process that makes them.

use crate::artwork::{Extent, SMALLEST_NUMERAL_MM, filling_numeral_height};
use crate::process::{Process, ProcessKind};
use crate::units::{Division, Length, Stop};

use super::fault::shown;
use super::file;
use super::near::nearest;
use super::quantity::Quantity;
use super::read::Table;
use super::{Change, DistanceUnit, Doubtful, Lens, Place, Style, Treatment, Typeface};

/// The style as far as the file states it.
#[derive(Clone, Debug)]
pub(super) struct Stated {
    numeral_height: Option<Length>,
    numbered_tick: Option<Length>,
    plain_tick: Option<Length>,
    label_gap: Option<Length>,
    tick_width: Option<Length>,
    smallest_gap: Option<Length>,
    typeface: Typeface,
    extent: Extent,
    doubtful: Treatment,
    trust_stop: Option<Stop>,
}

/// The style as stated, and where its typeface is named when that is a file.
pub(super) fn style(table: Option<&Table>) -> (Stated, Option<Place>) {
    let length = |key, lowest, highest, example| {
        table?.get(key)?.quantity(Quantity::Length, example)?.length_within(lowest, highest)
    };
    let tick_width = length("tick_width", 0.05, 1.0, "0.2 mm");
    let (typeface, place) = table.and_then(typeface).unwrap_or((Typeface::Plain, None));
    let stated = Stated {
        numeral_height: length("numeral_height", SMALLEST_NUMERAL_MM, 8.0, "2.5 mm"),
        numbered_tick: length("numbered_tick", 0.2, 20.0, "2.6 mm"),
        plain_tick: length("plain_tick", 0.2, 20.0, "1.5 mm"),
        label_gap: length("label_gap", 0.1, 20.0, "2 mm"),
        tick_width,
        smallest_gap: table.and_then(|table| smallest_gap(table, tick_width.unwrap_or(PRINTED_TICK))),
        typeface,
        extent: table
            .and_then(|table| table.get("extent"))
            .and_then(|value| value.one_of(&[("used", Extent::Used), ("full turn", Extent::FullTurn)]))
            .unwrap_or(Extent::Used),
        doubtful: table
            .and_then(|table| table.get("doubtful"))
            .and_then(|value| {
                let ways = [("drawn", Treatment::Drawn), ("short", Treatment::Short), ("left out", Treatment::LeftOut)];
                value.one_of(&ways)
            })
            .unwrap_or(Treatment::Drawn),
        trust_stop: table
            .and_then(|table| table.get("trust_stop"))
            .and_then(|value| value.stop_text()?.stop(Division::Third, 0.5, 64.0, false)),
    };
    (stated, place)
}

/// A tick that is printed, unless the style states another: clearly darker than a hairline, and thinner than the
/// strokes of numerals; common practice, no source.
const PRINTED_TICK: Length = Length::mm(0.2);
/// Numerals above this gain nothing at arm's length and cost marks; common practice, no source.
const LARGEST_DEFAULT_MM: f64 = 2.8;
/// Cut numerals need thick strokes, and so height: up to this a face is filled before fewer of them are shown.
const LARGEST_CUT_MM: f64 = 6.0;
/// Nobody reads smaller numerals from the side of a camera: narrower faces need fewer bands instead.
const SMALLEST_DEFAULT_MM: f64 = 1.4;

impl Stated {
    /// States what a change states.
    pub(super) fn change(&mut self, change: &Change) {
        self.numeral_height = change.numeral_height.or(self.numeral_height);
        self.tick_width = change.tick_width.or(self.tick_width);
        self.smallest_gap = change.smallest_gap.or(self.smallest_gap);
        self.label_gap = change.label_gap.or(self.label_gap);
        if let Some(typeface) = &change.typeface {
            self.typeface = typeface.clone();
        }
    }

    /// One style for the whole set: what is not stated follows from the narrowest band of any ring, and from what the
    /// process can make.
    pub(super) fn complete(&self, lenses: &[Lens], process: &Process) -> Style {
        let focus = lenses.iter().filter_map(|lens| Some((lens.focus.as_ref()?.ring.width, lens.units.len())));
        let iris = lenses.iter().filter_map(|lens| Some((lens.iris.as_ref()?.ring.width, 1)));
        let fitting = focus.chain(iris).map(|(width, bands)| filling_numeral_height(width, bands).to_mm());
        // a little below what fills the face, in steps of the caliper's vernier
        let fitting = (fitting.fold(f64::INFINITY, f64::min) * 20.0).floor() / 20.0;
        let largest = if process.kind() == ProcessKind::Vinyl { LARGEST_CUT_MM } else { LARGEST_DEFAULT_MM };
        let default = Length::mm(fitting.clamp(SMALLEST_DEFAULT_MM, largest));
        let numeral_height = self.numeral_height.unwrap_or(default);
        let tick_width = match process {
            // the tool leaves its own width, whatever the style says
            Process::Engrave(engrave) => engrave.tool,
            Process::Vinyl(vinyl) => self.tick_width.unwrap_or(vinyl.mark_limits().stroke),
            Process::Film(_) => self.tick_width.unwrap_or(PRINTED_TICK),
        };
        let apart = (tick_width + process.limits().gap).to_mm().max(default_gap(tick_width).to_mm());
        let stated = self.smallest_gap.filter(|gap| may_stand_apart(*gap, tick_width));
        let smallest_gap = stated.unwrap_or(Length::mm(apart));
        Style {
            typeface: self.typeface.clone(),
            numeral_height,
            tick_width,
            numbered_tick: self.numbered_tick.unwrap_or(numeral_height * 0.95),
            plain_tick: self.plain_tick.unwrap_or(numeral_height * 0.55),
            smallest_gap,
            label_gap: self.label_gap.unwrap_or(numeral_height * 0.8),
            extent: self.extent,
            doubtful: Doubtful { treatment: self.doubtful, stop: self.trust_stop },
        }
    }
}

/// Ticks nearer than twice their width leave less paper than ink and run together.
fn default_gap(tick_width: Length) -> Length {
    Length::mm(f64::max(0.8, 2.0 * tick_width.to_mm()))
}

/// Whether ticks so far apart leave as much ground as ink.
fn may_stand_apart(gap: Length, tick_width: Length) -> bool {
    // A part in a thousand million lies below any drawing's precision and above the rounding of 2 x 0.3.
    gap.to_mm() * (1.0 + 1e-9) >= 2.0 * tick_width.to_mm()
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
