//! The user's own choice of numerals and ticks: of a set, of a ring, of a band.

use crate::model::{DistanceUnit, Finest, FocusScaleChoices, IrisScaleChoices, ScaleChoices, SectionChoice, Subject};
use crate::units::{Division, Length, Stop};

use super::document::Document;
use super::quantity::Text;
use super::read::{Table, Value};

/// The keys of a choice that can be refused later.
const KEYS: [&str; 6] = ["only", "also", "never", "text", "steps", "finest"];

/// What the table `marks` of `table` chooses of focus scales; a lens's own values are of `units`, those of a set of any.
pub(super) fn focus_marks(table: &Table, units: Option<&[DistanceUnit]>) -> FocusScaleChoices {
    let mut all = FocusScaleChoices::default();
    let Some(marks) = table.get("marks").and_then(|value| value.table()) else { return all };
    let general = band(&marks, &|text| {
        let unit = DistanceUnit::written(text.text)?;
        match units {
            Some(units) if !units.contains(&unit) => {
                let word = unit.word();
                text.refuse(
                    format!("this lens has no scale in {word}"),
                    format!("add \"{word}\" to its units, or leave this out"),
                )
            }
            _ => Some(unit),
        }
    });
    for unit in DistanceUnit::ALL {
        let own = marks.get(unit.word()).and_then(|value| value.table());
        let own = own.map(|own| {
            let only = |text: &Text| match DistanceUnit::written(text.text) {
                Some(other) if other != unit => {
                    let (word, way_out) =
                        (unit.word(), format!("write it in {}, or move it to [….marks.{}]", unit.word(), other.word()));
                    text.refuse(format!("this scale is in {word}"), way_out)
                }
                written => written,
            };
            band(&own, &only).of(unit).clone()
        });
        *all.of_mut(unit) = own.unwrap_or_default().over(general.of(unit));
    }
    all
}

/// The choices of a table, each value with the band of its unit, which `unit_of` tells or refuses.
fn band(table: &Table, unit_of: &dyn Fn(&Text) -> Option<DistanceUnit>) -> FocusScaleChoices {
    let mut all = FocusScaleChoices::default();
    let length = |value: &Value| {
        let text = value.quantity()?;
        let length = text.length()?;
        Some((unit_of(&text)?, length))
    };
    let end_mark = table.choice("end_mark");
    let end_text = table.get("end_text").and_then(|value| Some(value.short_text()?.to_string()));
    for unit in DistanceUnit::ALL {
        let choices = all.of_mut(unit);
        (choices.end_mark, choices.end_text) = (end_mark, end_text.clone());
    }
    let mut listed = |key: &str, of: fn(&mut ScaleChoices<Length>) -> &mut Option<Vec<Length>>| {
        let Some(values) = table.get(key).and_then(|value| value.list()) else { return };
        if values.is_empty() {
            // none at all, whatever is said more generally
            DistanceUnit::ALL.iter().for_each(|unit| *of(all.of_mut(*unit)) = Some(Vec::new()));
        }
        for (unit, length) in values.iter().filter_map(length) {
            of(all.of_mut(unit)).get_or_insert_default().push(length);
        }
    };
    listed("only", |choices| &mut choices.only);
    listed("also", |choices| &mut choices.also);
    listed("never", |choices| &mut choices.never);
    for (key, text) in table.get("text").and_then(|value| value.texts()).into_iter().flatten() {
        let Some(length) = key.length() else { continue };
        let Some(unit) = unit_of(&key) else { continue };
        all.of_mut(unit).text.get_or_insert_default().push((length, text));
    }
    let steps = table.get("steps").and_then(|value| value.list());
    if steps.as_ref().is_some_and(Vec::is_empty) {
        DistanceUnit::ALL.iter().for_each(|unit| all.of_mut(*unit).sections = Some(Vec::new()));
    }
    for value in steps.into_iter().flatten() {
        let Some(table) = value.table() else { continue };
        let step = |key: &str| table.get(key).and_then(|value| length(&value));
        let section = [step("to"), step("numbered"), step("medium"), step("fine")];
        let Some((unit, _)) = section.into_iter().flatten().next() else {
            table.doc.push(table.doc.fault(
                table.span.clone(),
                "this section says nothing",
                "write it like { to = \"5 ft\", numbered = \"1 ft\", fine = \"3 in\" }",
            ));
            continue;
        };
        let [to, numbered, medium, fine] = section.map(|part| part.map(|(_, length)| length));
        all.of_mut(unit).sections.get_or_insert_default().push(SectionChoice { to, numbered, medium, fine });
    }
    if let Some(value) = table.get("finest") {
        if value.as_str() == Some("none") {
            DistanceUnit::ALL.iter().for_each(|unit| all.of_mut(*unit).finest = Some(Finest::NumeralsAlone));
        } else if let Some((unit, step)) = length(&value) {
            all.of_mut(unit).finest = Some(Finest::Step(step));
        }
    }
    all
}

/// What the table `marks` of an iris ring chooses, in the stops that it shows.
pub(super) fn iris_marks(table: &Table, division: Division, t_scale: bool) -> IrisScaleChoices {
    let mut choices = IrisScaleChoices::default();
    let Some(marks) = table.get("marks").and_then(|value| value.table()) else { return choices };
    let stops = |key: &str| {
        let values = marks.get(key)?.list()?;
        Some(values.iter().filter_map(|value| value.stop_text()?.stop(division, t_scale)).collect::<Vec<Stop>>())
    };
    (choices.only, choices.also, choices.never) = (stops("only"), stops("also"), stops("never"));
    for (key, text) in marks.get("text").and_then(|value| value.texts()).into_iter().flatten() {
        if let Some(stop) = key.stop(division, t_scale) {
            choices.text.get_or_insert_default().push((stop, text));
        }
    }
    choices.end_mark = marks.choice("end_mark");
    choices.end_text = marks.get("end_text").and_then(|value| Some(value.short_text()?.to_string()));
    choices
}

/// Keeps the places of what a ring's table `marks` chooses; `subject` names them.
pub(super) fn remember(doc: &Document, table: &Table, subject: impl Fn(Option<DistanceUnit>, &'static str) -> Subject) {
    let Some(marks) = table.get("marks").and_then(|value| value.bare_table()) else { return };
    for key in KEYS {
        let general = || marks.get(key).map(|value| value.place());
        doc.remember(subject(None, key), general());
        for unit in DistanceUnit::ALL {
            let own = marks.get(unit.word()).and_then(|value| value.bare_table());
            let own = own.and_then(|own| own.get(key).map(|value| value.place()));
            doc.remember(subject(Some(unit), key), own.or_else(general));
        }
    }
}
