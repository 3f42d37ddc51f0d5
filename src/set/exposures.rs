//! Exposures of a grey card, listed in the set file or in a file of their own.

use std::path::Path;
use std::sync::Arc;

use crate::calibration::{Exposure, Exposures, ReferenceExposure};
use crate::units::{Angle, Division, Stop, TStop};

use super::csv;
use super::fault::{Place, Source, shown};
use super::file;
use super::keys::{EXPOSURE, Kind};
use super::quantity::{ReadOn, Text};
use super::read::{Table, Value};
use super::reading_error::read_on;
use super::refusals;
use super::slip;
use crate::model::Subject;
use crate::model::checks::{Given, exposures_order, light_given, light_given_twice};

/// The most exposures of one ring; as for readings, the fit's work grows with each.
const MOST: usize = 1000;

/// Standard error of one exposure in stops: a steady lamp, one shutter and a camera's steps of a third of a stop;
/// common practice, no source.
const USUAL_ERROR: f64 = 0.1;

/// How brightness is written.
#[derive(Clone, Copy, PartialEq)]
enum Scale {
    Stops,
    Linear,
}

impl Scale {
    fn key(self) -> &'static str {
        match self {
            Scale::Stops => "stops",
            Scale::Linear => "value",
        }
    }

    fn in_stops(self, number: f64) -> f64 {
        match self {
            Scale::Stops => number,
            Scale::Linear => number.log2(),
        }
    }
}

/// A card's exposures, each with its place.
pub(super) struct Card {
    pub(super) exposures: Exposures,
    places: Vec<Place>,
    /// Whether none was refused.
    complete: bool,
    order: usize,
}

/// The exposures of `table`, where there are any.
pub(super) fn exposures(table: &Table, division: Division) -> Option<Card> {
    let doc = table.doc;
    let (listed, file) = (table.get("exposures"), table.get("exposures_file"));
    let reference_value = table.get("exposure_reference");
    let error = table.get("exposure_error").and_then(|value| value.number()).unwrap_or(USUAL_ERROR);
    let order = file.as_ref().or(listed.as_ref()).map_or(table.span.start, |value| value.span().start);
    if listed.is_none() && file.is_none() {
        if let Some(value) = reference_value {
            let message = "an exposure through another lens says nothing without exposures of this one";
            doc.push(doc.fault(value.key_span.clone(), message, format!("add exposures = {}", EXPOSURE.list)));
        }
        return None;
    }
    let mut card = Card {
        exposures: Exposures { list: Vec::new(), reference: None, error },
        places: Vec::new(),
        complete: true,
        order,
    };
    if let (Some(listed), Some(file)) = (&listed, &file) {
        let (first, second) = if listed.key_span.start < file.key_span.start { (listed, file) } else { (file, listed) };
        let message = "exposures come from a list or from a file, not from both";
        let fault = doc.fault(second.key_span.clone(), message, format!("leave out this or `{}`", first.key.name));
        doc.push(fault.mark(first.key_span.clone(), "the other"));
        card.complete = false;
        return Some(card);
    }
    let ring = read_on(table);
    let scale = match (&listed, &file) {
        (Some(listed), _) => list(listed, ring, &mut card),
        (None, Some(file)) => from_file(table, file, ring, &mut card),
        (None, None) => None,
    };
    card.exposures.reference = reference_value.and_then(|value| reference(&value, division, scale));
    Some(card)
}

/// The T-stop of the darkest exposure.
pub(super) fn darkest(card: &Card) -> Option<Stop> {
    let reference = card.exposures.reference?;
    let least = card.exposures.list.iter().map(|exposure| exposure.stops).min_by(f64::total_cmp)?;
    Some(Stop::exact((0.5 * (2.0 * reference.t.number().log2() + reference.stops - least)).exp2()))
}

fn list(value: &Value, ring: ReadOn, card: &mut Card) -> Option<Scale> {
    let Some(values) = value.list() else {
        card.complete = false;
        return None;
    };
    if values.len() > MOST {
        card.complete = false;
        let label = format!("{} stand here; up to {MOST} of one ring are read", values.len());
        return value.refuse("these are too many exposures", label);
    }
    let mut scale: Option<(Scale, Place)> = None;
    for value in values {
        let read = exposure(&value, ring);
        card.complete &= read.is_some();
        let Some((exposure, unit)) = read else { continue };
        match &scale {
            Some((first, place)) if *first != unit => {
                card.complete = false;
                let message = "stops and linear values are mixed in one ring";
                let fault = value.place().fault(message, format!("this one is in `{}`", unit.key()));
                value.doc.push(fault.mark(place.span(), format!("the first is in `{}`", first.key())));
                return None;
            }
            Some(_) => {}
            None => scale = Some((unit, value.place())),
        }
        card.exposures.list.push(exposure);
        card.places.push(value.place());
    }
    scale.map(|(scale, _)| scale)
}

fn exposure(value: &Value, ring: ReadOn) -> Option<(Exposure, Scale)> {
    let table = value.table()?;
    let ring = if table.has("read_on") { read_on(&table) } else { ring };
    let at = table.need("at").and_then(|value| value.position(ring));
    let (stops, scale) = brightness(&table, EXPOSURE.written)?;
    Some((Exposure { at: at?, stops }, scale))
}

/// `stops` or `value`, in stops.
fn brightness(table: &Table, example: &str) -> Option<(f64, Scale)> {
    if table.has("stops") && table.has("value") {
        let fault = "an exposure is given in stops or as a linear value, not as both";
        table.doc.push(table.doc.fault(table.span.clone(), fault, "leave out one of them"));
        return None;
    }
    let scale = if table.has("value") { Scale::Linear } else { Scale::Stops };
    let number = table.need_as(scale.key(), example)?.number()?;
    Some((scale.in_stops(number), scale))
}

fn reference(value: &Value, division: Division, scale: Option<Scale>) -> Option<ReferenceExposure> {
    let example = match scale {
        Some(Scale::Linear) => "{ T = 4, value = 1200 }",
        _ => "{ T = 4, stops = -1.7 }",
    };
    let table = value.table()?;
    let t = table.need_as("T", example).and_then(|value| value.stop_text()?.stop(division, true));
    let (stops, unit) = brightness(&table, example)?;
    if let Some(scale) = scale.filter(|scale| *scale != unit) {
        let message = format!("the exposures are in `{}`, and the reference is in `{}`", scale.key(), unit.key());
        return value.refuse(message, format!("write it like {example}"));
    }
    Some(ReferenceExposure { t: TStop::new(t?), stops })
}

fn from_file(table: &Table, value: &Value, ring: ReadOn, card: &mut Card) -> Option<Scale> {
    let doc = value.doc;
    card.complete = false;
    let name = value.text()?;
    let path = doc.folder.join(Path::new(name));
    let text = match file::read(&path) {
        Ok(text) => text,
        Err(refusal) => {
            return value.refuse(format!("`{}` was not read: {}", shown(name), refusal.message), refusal.way_out);
        }
    };
    let source = Source::new(&path.display().to_string(), text);
    let scale = column(&source);
    let (rows, faults) = csv::rows(&source, [scale.key(), "at"], None);
    card.complete = faults.is_empty();
    for fault in faults {
        doc.push_at(card.order, fault);
    }
    if rows.len() > MOST {
        card.complete = false;
        let label = format!("the file holds {}; up to {MOST} of one ring are read", rows.len());
        return value.refuse("these are too many exposures", label);
    }
    let known = table.known_of("exposures");
    let (brightness, position) = (known(scale.key())?, known("at")?);
    for row in &rows {
        let text = |i: usize, key| Text {
            doc,
            place: Place::new(&source, row.cells[i].span.clone()),
            order: card.order,
            key,
            text: &row.cells[i].text,
        };
        let (at, stops) = (text(1, position).position(ring), number(&text(0, brightness), scale));
        card.complete &= at.is_some() && stops.is_some();
        if let (Some(at), Some(stops)) = (at, stops) {
            card.exposures.list.push(Exposure { at, stops });
            card.places.push(Place::new(&source, row.span.clone()));
        }
    }
    Some(scale)
}

/// Which of the two columns the first line names.
fn column(source: &Arc<Source>) -> Scale {
    let text = source.text().trim_start_matches('\u{feff}');
    let head = text.lines().find(|line| !line.trim().is_empty() && !line.trim().starts_with('#')).unwrap_or_default();
    let names = |name: &str| {
        head.split([',', ';', '\t']).any(|cell| cell.trim_matches([' ', '"', '\r']).eq_ignore_ascii_case(name))
    };
    if names("value") && !names("stops") { Scale::Linear } else { Scale::Stops }
}

fn number(text: &Text, scale: Scale) -> Option<f64> {
    let Kind::Number(lowest, highest) = text.key.kind else { return None };
    match text.text.trim().parse::<f64>() {
        Ok(number) if (lowest..=highest).contains(&number) => Some(scale.in_stops(number)),
        Ok(_) => text.refuse(
            format!("`{}` cannot be {}", text.key.name, shown(text.text)),
            format!("allowed are {lowest} to {highest}"),
        ),
        Err(_) => text.refuse(format!("`{}` is not a number", shown(text.text)), slip::proposal(text.key, text.text)),
    }
}

impl Card {
    /// Notes what the exposures need beside themselves, and what they say about each other.
    pub(super) fn check(&self, table: &Table, at_error: Angle, alone: bool, t_scale: bool) {
        let doc = table.doc;
        let values = [table.get("exposures"), table.get("exposures_file")].into_iter().flatten();
        let span = values.map(|value| value.key_span).next().unwrap_or(table.span.clone());
        let (reference, stated) = (table.has("exposure_reference"), table.get("transmittance"));
        let transmittance = stated.is_some();
        let given = Given { alone, t_scale, reference, transmittance, complete: self.complete };
        for refusal in light_given("", &self.exposures, &given) {
            doc.refuse_at(span.clone(), &refusal);
        }
        if let (Some(stated), Some(refusal)) = (stated, light_given_twice("", transmittance, reference)) {
            doc.refuse_at(stated.key_span, &refusal);
        }
        if let Some(refusal) = exposures_order("", &self.exposures, at_error) {
            let place = |subject: &Subject| match subject {
                Subject::Exposure(_, at) => self.places.get(*at),
                Subject::Typeface
                | Subject::Gap
                | Subject::Lens(_)
                | Subject::Ring(..)
                | Subject::Reading(..)
                | Subject::Disc(_)
                | Subject::Scale { .. }
                | Subject::EveryScale(..) => None,
            };
            doc.push_at(self.order, refusals::fault(&doc.source, &refusal, place));
        }
    }
}
