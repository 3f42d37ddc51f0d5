//! The tables of the processes: what the film, the vinyl or the engraver can do, and what a test sheet measured.

use crate::model::{Laying, Lettered, Processes};
use crate::process::{Cut, Engrave, Film, Limits, Process, Vinyl};
use crate::sheet::{RULER_LONG, RULER_SHORT};
use crate::units::Length;

use super::fault::shown;
use super::read::Table;

/// Reads the tables below `[process]`.
pub(super) fn processes(table: Option<&Table>) -> Processes {
    let Some(table) = table else { return Processes::default() };
    let read = |key| table.get(key).and_then(|value| value.table());
    let (film, vinyl, engrave) = (read("film"), read("vinyl"), read("engrave"));
    let read = [
        film.as_ref().map(|table| (Process::Film(read_film(table)), laying(table))),
        vinyl.as_ref().map(|table| (Process::Vinyl(read_vinyl(table)), laying(table))),
        engrave.as_ref().map(|table| (Process::Engrave(read_engrave(table)), laying(table))),
    ];
    read.into_iter().flatten().fold(Processes::default(), |all, (process, laying)| all.with(process, laying))
}

fn laying(table: &Table) -> Laying {
    let paper = table.get("sheet").and_then(|value| {
        let text = value.text()?;
        match text.parse() {
            Ok(paper) => Some(paper),
            Err(_) => value.refuse(
                format!("`sheet` cannot be \"{}\"", shown(text)),
                "allowed are A4, A3, Letter, mat, \"roll 300 mm\" and two sides like \"200 mm x 250 mm\"",
            ),
        }
    });
    let spares = table.get("spares").and_then(|value| {
        let count = value.number()?;
        if count.fract() == 0.0 {
            return Some(count as usize);
        }
        value.refuse("spares are counted in whole numbers", "write it like 1")
    });
    Laying { paper, spares: spares.unwrap_or(0) }
}

fn truth(table: &Table, key: &str, default: bool) -> bool {
    table.get(key).and_then(|value| value.truth()).unwrap_or(default)
}

fn read_film(table: &Table) -> Film {
    let default = Film::default();
    // a printer that is out by more than a tenth scales on purpose
    let share = |key, long: Length| table.length(key).map_or(1.0, |measured: Length| measured.to_mm() / long.to_mm());
    Film {
        thickness: table.length("thickness").unwrap_or(default.thickness),
        dpi: table.get("dpi").and_then(|value| value.number()).unwrap_or(default.dpi),
        mirrored: truth(table, "mirrored", default.mirrored),
        reversed: truth(table, "reversed", default.reversed),
        guides: truth(table, "guides", default.guides),
        overlap: table.length("overlap").unwrap_or(default.overlap),
        printed: (share("ruler_long", RULER_LONG), share("ruler_short", RULER_SHORT)),
        measured: table.has("ruler_long") && table.has("ruler_short"),
        thickness_error: table.length("thickness_error").unwrap_or(default.thickness_error),
    }
}

fn read_vinyl(table: &Table) -> Vinyl {
    let default = Vinyl::default();
    let limit = |key, default: Length| table.length(key).unwrap_or(default);
    let stretch = |key| table.get(key).and_then(|value| value.number()).unwrap_or(1.0);
    let cut = table.choice("cut").unwrap_or(default.cut);
    let limits = Limits {
        stroke: limit("stroke", default.limits.stroke),
        gap: limit("gap", default.limits.gap),
        dot: limit("dot", default.limits.dot),
        counter: limit("counter", default.limits.counter),
    };
    let bridge = table.length("bridge");
    // the islands of a mask fall out without bridges, which have to hold like strokes
    let bridge = bridge.or((cut == Cut::Mask).then_some(limits.stroke));
    Vinyl {
        thickness: table.length("thickness").unwrap_or(default.thickness),
        cut,
        limits,
        bridge: bridge.filter(|width| width.to_mm() > 0.0),
        knife_offset: table.length("knife_offset").unwrap_or(default.knife_offset),
        stretch: (stretch("stretch_along"), stretch("stretch_across")),
        measured: table.has("stretch_along"),
        thickness_error: table.length("thickness_error").unwrap_or(default.thickness_error),
        weed_box: truth(table, "weed_box", default.weed_box),
        speed: table.length("cut_per_second").map_or(default.speed, Length::to_mm),
    }
}

fn read_engrave(table: &Table) -> Engrave {
    let default = Engrave::default();
    Engrave {
        tool: table.length("tool").unwrap_or(default.tool),
        centreline: table
            .choice("lettering")
            .map_or(default.centreline, |lettered: Lettered| lettered == Lettered::Centreline),
        rotary: truth(table, "rotary", default.rotary),
    }
}
