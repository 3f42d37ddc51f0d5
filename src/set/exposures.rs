//! Exposures of a grey card, listed in the set file or in a file of their own.

use std::path::Path;
use std::sync::Arc;

use crate::calibration::{Exposure, Exposures, ReferenceExposure};
use crate::units::{Angle, Division, Stop, TStop};

use super::csv;
use super::fault::{Fault, Place, Source, shown};
use super::file;
use super::quantity::{Quantity, ReadOn, Text};
use super::read::{Table, Value};
use super::readings::read_on;

/// The most exposures of one ring; as for readings, the fit's work grows with each.
const MOST: usize = 1000;

/// Standard error of one exposure in stops: a steady lamp, one shutter and a camera's own steps of a third rounded off
/// by the eye; common practice, no source.
const USUAL_ERROR: f64 = 0.1;

/// Stops that are believed.
const STOPS: (f64, f64) = (-40.0, 40.0);
/// Linear values that are believed: shares of full scale, up to 24 bits.
const VALUES: (f64, f64) = (1e-6, 2e7);

const EXAMPLE: &str = "{ at = \"14 deg\", stops = -1.05 }";

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

    fn range(self) -> (f64, f64) {
        match self {
            Scale::Stops => STOPS,
            Scale::Linear => VALUES,
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
    let error = table.get("exposure_error").and_then(|value| value.number_within(0.001, 2.0)).unwrap_or(USUAL_ERROR);
    let order = file.as_ref().or(listed.as_ref()).map_or(table.span.start, |value| value.span().start);
    if listed.is_none() && file.is_none() {
        if let Some(value) = reference_value {
            let message = "an exposure through another lens says nothing without exposures of this one";
            doc.push(doc.fault(value.key_span.clone(), message, format!("add exposures = [ {EXAMPLE}, ... ]")));
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
        let fault = doc.fault(second.key_span.clone(), message, format!("leave out this or `{}`", first.key));
        doc.push(fault.mark(first.key_span.clone(), "the other"));
        card.complete = false;
        return Some(card);
    }
    let ring = read_on(table);
    let scale = match (&listed, &file) {
        (Some(listed), _) => list(listed, ring, &mut card),
        (None, Some(file)) => from_file(file, ring, &mut card),
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
    let Some(values) = value.list(&format!("[ {EXAMPLE}, ... ]")) else {
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
        let Some((exposure, own)) = read else { continue };
        match &scale {
            Some((first, place)) if *first != own => {
                card.complete = false;
                let message = "stops and linear values are mixed in one ring";
                let fault = value.place().fault(message, format!("this one is in `{}`", own.key()));
                value.doc.push(fault.mark(place.span(), format!("the first is in `{}`", first.key())));
                return None;
            }
            Some(_) => {}
            None => scale = Some((own, value.place())),
        }
        card.exposures.list.push(exposure);
        card.places.push(value.place());
    }
    scale.map(|(scale, _)| scale)
}

fn exposure(value: &Value, ring: ReadOn) -> Option<(Exposure, Scale)> {
    let table = value.table("an exposure", &["at", "stops", "value", "read_on"], &format!("write {EXAMPLE}"))?;
    let ring = if table.has("read_on") { read_on(&table) } else { ring };
    let at = table.need("at", EXAMPLE).and_then(|value| value.quantity(Quantity::Position, "14 deg")?.position(ring));
    let (stops, scale) = brightness(&table, EXAMPLE)?;
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
    let (lowest, highest) = scale.range();
    let number = table.need(scale.key(), example)?.number_within(lowest, highest)?;
    Some((scale.in_stops(number), scale))
}

fn reference(value: &Value, division: Division, scale: Option<Scale>) -> Option<ReferenceExposure> {
    let example = match scale {
        Some(Scale::Linear) => "{ T = 4, value = 1200 }",
        _ => "{ T = 4, stops = -1.7 }",
    };
    let table =
        value.table("an exposure through a known lens", &["T", "stops", "value"], &format!("write {example}"))?;
    let t = table.need("T", example).and_then(|value| value.stop_text()?.stop(division, 0.5, 256.0, true));
    let (stops, own) = brightness(&table, example)?;
    if let Some(scale) = scale.filter(|scale| *scale != own) {
        let message = format!("the exposures are in `{}`, and the reference is in `{}`", scale.key(), own.key());
        return value.refuse(message, format!("write it like {example}"));
    }
    Some(ReferenceExposure { t: TStop::new(t?), stops })
}

fn from_file(value: &Value, ring: ReadOn, card: &mut Card) -> Option<Scale> {
    let doc = value.doc;
    card.complete = false;
    let name = value.text("\"card.csv\"")?;
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
    for row in &rows {
        let text = |i: usize, key| Text {
            doc,
            place: Place::new(&source, row.cells[i].span.clone()),
            order: card.order,
            key,
            text: &row.cells[i].text,
        };
        let (at, stops) = (text(1, "at").position(ring), number(&text(0, scale.key()), scale));
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
    let (lowest, highest) = scale.range();
    match text.text.trim().parse::<f64>() {
        Ok(number) if (lowest..=highest).contains(&number) => Some(scale.in_stops(number)),
        Ok(_) => text.refuse(
            format!("`{}` cannot be {}", text.key, shown(text.text)),
            format!("allowed are {lowest} to {highest}"),
        ),
        Err(_) => text.refuse(format!("`{}` is not a number", shown(text.text)), "write it like -1.05"),
    }
}

impl Card {
    /// What the exposures need beside themselves, and what they say about each other.
    pub(super) fn check(&self, table: &Table, at_error: Angle, alone: bool, t_scale: bool) {
        let doc = table.doc;
        let values = [table.get("exposures"), table.get("exposures_file")].into_iter().flatten();
        let span = values.map(|value| value.key_span).next().unwrap_or(table.span.clone());
        let refuse = |message: &str, label: &str, help: &str| {
            doc.push(doc.fault(span.clone(), message, label).help(help));
        };
        if self.complete && self.positions() < 2 {
            let help = "expose the card wide open, clearly stopped down, and at the smallest stop";
            refuse("exposures are needed at two positions of the ring at least", "add further ones", help);
        }
        let reference = table.has("exposure_reference");
        if let (Some(stated), true) = (table.get("transmittance"), reference) {
            let fault = doc.fault(
                stated.key_span.clone(),
                "the transmittance is stated, and the exposures measure it",
                "leave this out, or leave out `exposure_reference`",
            );
            doc.push(fault);
        }
        if alone && !t_scale {
            let help = "write scale = \"T\", or add the f-stops that were read on the ring as `readings`";
            refuse("exposures alone place T-stops, and this is an f scale", "no reading tells the f-stops", help);
        } else if alone && !reference {
            let help = "add exposure_reference = { T = 4, stops = -1.7 }, the same card through a lens of known T-stop";
            refuse("exposures alone tell how the light falls off, not how much there is", "these are relative", help);
        } else if t_scale && !reference && !table.has("transmittance") {
            let help = "add exposure_reference = { T = 4, stops = -1.7 }, the same card through a lens of known T-stop, or state a transmittance";
            refuse("relative exposures cannot tell the transmittance that a T scale needs", "these are relative", help);
        }
        self.check_order(table, at_error);
    }

    /// Different positions of the ring.
    fn positions(&self) -> usize {
        let mut at: Vec<f64> = self.exposures.list.iter().map(|exposure| exposure.at.to_deg()).collect();
        at.sort_by(f64::total_cmp);
        at.dedup();
        at.len()
    }

    /// Light never grows toward closed by more than errors explain, and one turn holds all.
    fn check_order(&self, table: &Table, at_error: Angle) {
        let mut sorted: Vec<(&Exposure, &Place)> = self.exposures.list.iter().zip(&self.places).collect();
        sorted.sort_by(|a, b| a.0.at.to_deg().total_cmp(&b.0.at.to_deg()));
        let words = |exposure: &Exposure| format!("{:+.2} stop at {:.1} deg", exposure.stops, exposure.at.to_deg());
        let pair = |message: &str, a: &(&Exposure, &Place), b: &(&Exposure, &Place)| {
            let (first, second) = if a.1.span().start <= b.1.span().start { (a, b) } else { (b, a) };
            second.1.fault(message, words(second.0)).mark(first.1.span(), words(first.0))
        };
        let (Some(open), Some(closed)) = (sorted.first(), sorted.last()) else { return };
        let fault: Option<Fault> = if closed.0.at.to_deg() - open.0.at.to_deg() > 360.0 {
            let help = "check the diameter in `read_on` if the positions are lengths along a ring";
            Some(pair("these exposures are more than one turn apart", open, closed).help(help))
        } else if closed.0.at.to_deg() - open.0.at.to_deg() > 6.0 * at_error.to_deg()
            && closed.0.stops - open.0.stops > 6.0 * self.exposures.error
        {
            let fault = pair("these exposures run backwards", open, closed);
            let help = "brighter is more; check in which sense the ring was read and where its zero was";
            Some(fault.note("the card must come out darker from open toward closed").help(help))
        } else {
            None
        };
        if let Some(fault) = fault {
            table.doc.push_at(self.order, fault);
        }
    }
}
