//! The open set as the page is told of it: its fields and readings as they stand in the files, what is wrong with them, and what
//! can be undone.

use std::collections::BTreeMap;
use std::path::Path;

use super::documents::{Defaults, ElsewhereWords, FaultWords, LensFields, Row, State};
use super::fields::FIELDS;
use super::open_set::{Elsewhere, OpenSet};
use crate::model::{RingKind, Set, Style};
use crate::process::ProcessKind;
use crate::set::edit::{Outline, ReadingRow};
use crate::set::{Fault, Faults};
use crate::units::Length;

/// The open set: its fields and readings as they stand in the files, what is wrong, what can be undone; `news` is how often
/// something was new.
pub(super) fn state(
    open: &OpenSet,
    faults: Option<&Faults>,
    shown: Option<&Set>,
    process: ProcessKind,
    news: u64,
) -> State {
    let outline = Outline::of(open.texts()).ok();
    let mut values = BTreeMap::new();
    let mut lenses = Vec::new();
    if let Some(outline) = &outline {
        for field in FIELDS.iter().filter(|field| !field.table.starts_with("lens")) {
            insert(&mut values, outline, format!("{}.{}", field.table, field.key));
        }
        for lens in 0..outline.lens_count() {
            for field in FIELDS.iter().filter(|field| field.table.starts_with("lens")) {
                let rest = field.table.strip_prefix("lens").unwrap_or_default();
                insert(&mut values, outline, format!("lens.{lens}{rest}.{}", field.key));
            }
            let readings = |kind| -> Vec<Row> { outline.readings(lens, kind).iter().map(row).collect() };
            let of = shown.and_then(|set| set.lenses.get(lens));
            lenses.push(LensFields {
                name: outline.lens_name(lens).unwrap_or_default(),
                units: of.map(|lens| lens.units.iter().map(|unit| unit.word()).collect()),
                has_focus: outline.has_ring(lens, RingKind::Focus),
                has_iris: outline.has_ring(lens, RingKind::Iris),
                focus: readings(RingKind::Focus),
                iris: readings(RingKind::Iris),
            });
        }
    }
    let faults = faults.map_or(Vec::new(), |faults| {
        faults.as_slice().iter().map(|fault| fault_words(open, outline.as_ref(), fault)).collect()
    });
    State {
        version: open.version(),
        news,
        file: open.path().file_name().map_or(String::new(), |name| name.to_string_lossy().into_owned()),
        path: open.path().display().to_string(),
        set: shown.map(|set| set.name.clone()),
        undo: open.undoes().map(str::to_string),
        redo: open.redoes().map(str::to_string),
        not_saved: open.not_saved().map(str::to_string),
        elsewhere: open.elsewhere().map(elsewhere),
        faults,
        lenses,
        values,
        defaults: shown.map(|set| defaults(&set.made_by(process).style)),
    }
}

fn elsewhere(elsewhere: &Elsewhere) -> ElsewhereWords {
    match elsewhere {
        Elsewhere::Changed(_) => {
            ElsewhereWords { gone: false, words: "The file was changed on disk by another program.".to_string() }
        }
        Elsewhere::Gone(why) => {
            ElsewhereWords { gone: true, words: format!("The file on disk cannot be read: {why}.") }
        }
    }
}

fn insert(values: &mut BTreeMap<String, String>, outline: &Outline, place: String) {
    if let Some(shown) = place.parse().ok().and_then(|at| outline.text_at(&at)) {
        values.insert(place, shown.text);
    }
}

fn row(row: &ReadingRow) -> Row {
    let cells = row.cells.iter().map(|(key, text, _)| (key.clone(), text.clone())).collect();
    Row { cells, file: row.file.clone() }
}

fn fault_words(open: &OpenSet, outline: Option<&Outline>, fault: &Fault) -> FaultWords {
    let whole = Faults::from(fault.clone()).render(false);
    let set_file = open.path().display().to_string();
    let folder = open.path().parent().unwrap_or(Path::new(""));
    let file = (fault.source().name() != set_file).then(|| {
        let names = open.texts().files.keys();
        names.into_iter().find(|name| folder.join(name).display().to_string() == fault.source().name())
    });
    let place = fault.span().and_then(|span| match &file {
        None => outline?.place_of(None, &span),
        Some(Some(name)) => outline?.place_of(Some(name), &span),
        Some(None) => None,
    });
    FaultWords {
        message: fault.message().to_string(),
        label: fault.marks().first().map(|(_, label)| label.to_string()),
        help: fault.ways_out().iter().map(ToString::to_string).collect(),
        whole,
        line: fault.line_and_column().map(|(line, _)| line),
        place: place.map(|place| place.to_string()),
    }
}

fn defaults(style: &Style) -> Defaults {
    let mm = |length: Length| format!("{} mm", (length.to_mm() * 100.0).round() / 100.0);
    Defaults {
        numeral_height: mm(style.numeral_height),
        tick_width: mm(style.tick_width),
        smallest_gap: mm(style.smallest_gap),
        label_gap: mm(style.label_gap),
    }
}
