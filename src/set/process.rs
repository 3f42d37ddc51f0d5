//! The tables of the processes: what the film, the vinyl or the engraver can do, and what a test sheet measured.

use crate::model::{Laying, Processes};
use crate::process::{Cut, Engrave, Film, Limits, Process, Vinyl};
use crate::sheet::{RULER_LONG, RULER_SHORT};
use crate::units::Length;

use super::fault::shown;
use super::quantity::Quantity;
use super::read::{Table, Value};

pub(super) const FILM_KEYS: &[&str] = &[
    "thickness",
    "thickness_error",
    "dpi",
    "mirrored",
    "reversed",
    "guides",
    "overlap",
    "ruler_long",
    "ruler_short",
    "sheet",
    "spares",
];
pub(super) const VINYL_KEYS: &[&str] = &[
    "thickness",
    "thickness_error",
    "cut",
    "stroke",
    "gap",
    "dot",
    "counter",
    "bridge",
    "knife_offset",
    "stretch_along",
    "stretch_across",
    "weed_box",
    "cut_per_second",
    "sheet",
    "spares",
];
pub(super) const ENGRAVE_KEYS: &[&str] = &["tool", "lettering", "rotary", "sheet", "spares"];

/// Reads the tables below `[process]`.
pub(super) fn processes(table: Option<&Table>) -> Processes {
    let Some(table) = table else { return Processes::default() };
    let read = |key, what, known, way_out| table.get(key).and_then(|value: Value| value.table(what, known, way_out));
    let film = read("film", "the film", FILM_KEYS, "write [process.film] and thickness = \"0.1 mm\" below it");
    let vinyl = read("vinyl", "the vinyl", VINYL_KEYS, "write [process.vinyl] and stroke = \"0.5 mm\" below it");
    let engrave =
        read("engrave", "the engraving", ENGRAVE_KEYS, "write [process.engrave] and tool = \"0.2 mm\" below it");
    let read = [
        film.as_ref().map(|table| (Process::Film(read_film(table)), laying(table))),
        vinyl.as_ref().map(|table| (Process::Vinyl(read_vinyl(table)), laying(table))),
        engrave.as_ref().map(|table| (Process::Engrave(read_engrave(table)), laying(table))),
    ];
    read.into_iter().flatten().fold(Processes::default(), |all, (process, laying)| all.with(process, laying))
}

fn laying(table: &Table) -> Laying {
    let paper = table.get("sheet").and_then(|value| {
        let text = value.text("\"A4\"")?;
        match text.parse() {
            Ok(paper) => Some(paper),
            Err(_) => value.refuse(
                format!("`sheet` cannot be \"{}\"", shown(text)),
                "allowed are A4, A3, Letter, mat, \"roll 300 mm\" and two sides like \"200 mm x 250 mm\"",
            ),
        }
    });
    let spares = table.get("spares").and_then(|value| {
        let count = value.number_within(0.0, 20.0)?;
        if count.fract() == 0.0 {
            return Some(count as usize);
        }
        value.refuse("spares are counted in whole numbers", "write it like 1")
    });
    Laying { paper, spares: spares.unwrap_or(0) }
}

fn length(table: &Table, key: &'static str, range: (f64, f64), example: &str) -> Option<Length> {
    table.get(key)?.quantity(Quantity::Length, example)?.length_within(range.0, range.1)
}

fn thickness_error(table: &Table) -> Option<Length> {
    length(table, "thickness_error", (0.0, 0.5), "0.01 mm")
}

fn truth(table: &Table, key: &'static str, default: bool) -> bool {
    table.get(key).and_then(|value| value.truth()).unwrap_or(default)
}

fn read_film(table: &Table) -> Film {
    let default = Film::default();
    let share = |key, long: Length| {
        // a printer that is out by more than a tenth scales on purpose
        let (least, most) = ((0.9 * long.to_mm()).round(), (1.1 * long.to_mm()).round());
        let example = format!("{} mm", long.to_mm() - 0.7);
        length(table, key, (least, most), &example).map_or(1.0, |measured| measured.to_mm() / long.to_mm())
    };
    Film {
        thickness: length(table, "thickness", (0.0, 1.0), "0.1 mm").unwrap_or(default.thickness),
        dpi: table.get("dpi").and_then(|value| value.number_within(50.0, 9600.0)).unwrap_or(default.dpi),
        mirrored: truth(table, "mirrored", default.mirrored),
        reversed: truth(table, "reversed", default.reversed),
        guides: truth(table, "guides", default.guides),
        overlap: length(table, "overlap", (0.0, 30.0), "5 mm").unwrap_or(default.overlap),
        printed: (share("ruler_long", RULER_LONG), share("ruler_short", RULER_SHORT)),
        measured: table.has("ruler_long") && table.has("ruler_short"),
        thickness_error: thickness_error(table).unwrap_or(default.thickness_error),
    }
}

fn read_vinyl(table: &Table) -> Vinyl {
    let default = Vinyl::default();
    let limit = |key, default: Length| length(table, key, (0.05, 10.0), "0.5 mm").unwrap_or(default);
    let stretch = |key| table.get(key).and_then(|value| value.number_within(0.9, 1.1)).unwrap_or(1.0);
    let cut = table.get("cut").and_then(|value| value.one_of(&[("marks", Cut::Marks), ("mask", Cut::Mask)]));
    let cut = cut.unwrap_or(default.cut);
    let limits = Limits {
        stroke: limit("stroke", default.limits.stroke),
        gap: limit("gap", default.limits.gap),
        dot: limit("dot", default.limits.dot),
        counter: limit("counter", default.limits.counter),
    };
    let bridge = length(table, "bridge", (0.0, 5.0), "0.4 mm");
    // the islands of a mask fall out without bridges, which have to hold like strokes
    let bridge = bridge.or((cut == Cut::Mask).then_some(limits.stroke));
    Vinyl {
        thickness: length(table, "thickness", (0.0, 1.0), "0.07 mm").unwrap_or(default.thickness),
        cut,
        limits,
        bridge: bridge.filter(|width| width.to_mm() > 0.0),
        knife_offset: length(table, "knife_offset", (0.0, 2.0), "0.25 mm").unwrap_or(default.knife_offset),
        stretch: (stretch("stretch_along"), stretch("stretch_across")),
        measured: table.has("stretch_along"),
        thickness_error: thickness_error(table).unwrap_or(default.thickness_error),
        weed_box: truth(table, "weed_box", default.weed_box),
        speed: length(table, "cut_per_second", (1.0, 1000.0), "20 mm").map_or(default.speed, Length::to_mm),
    }
}

fn read_engrave(table: &Table) -> Engrave {
    let default = Engrave::default();
    let lettering = table.get("lettering").and_then(|value| value.one_of(&[("centreline", true), ("outline", false)]));
    Engrave {
        tool: length(table, "tool", (0.02, 2.0), "0.2 mm").unwrap_or(default.tool),
        centreline: lettering.unwrap_or(default.centreline),
        rotary: truth(table, "rotary", default.rotary),
    }
}
