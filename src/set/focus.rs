//! A focus ring: what is known of it, what was asked for, and the readings.

use crate::calibration::{Known, LawChoice, Moves, Reading, ReadingError};
use crate::units::{Angle, Division, Length, Stop};

use super::Focus;
use super::fault::shown;
use super::focus_readings::{Expected, check};
use super::lens::{FROM_BEHIND, edges, ring, sense};
use super::quantity::{Quantity, ReadOn};
use super::read::Table;
use super::readings::{Kind, Readings, position_error, read_on, readings};

pub(super) const FOCUS_KEYS: &[&str] = &[
    "ring",
    "toward_close",
    "throw",
    "closest",
    "law",
    "lead",
    "principal_gap",
    "moves",
    "readings",
    "readings_file",
    "read_on",
    "reading_error",
    "index",
    "read_from",
    "repeat",
    "depth_marks",
    "hyperfocal",
];

/// The focus ring of `table`, on a lens of `focal_length` and a `widest` stop whose stops are divided as `division` says.
pub(super) fn focus(
    table: &Table,
    focal_length: Option<Length>,
    widest: Option<Stop>,
    division: Division,
) -> Option<Focus> {
    let ring_value = table.get("ring");
    let ring = ring(table);
    let toward_close = sense(table, "toward_close", FROM_BEHIND);
    let throw = table.get("throw").and_then(|value| value.quantity(Quantity::Angle, "270 deg")?.turn_up_to(360.0));
    let law = table
        .get("law")
        .and_then(|value| {
            value.one_of(&[("auto", LawChoice::Auto), ("travel", LawChoice::Travel), ("curve", LawChoice::Curve)])
        })
        .unwrap_or(LawChoice::Auto);
    let lead = table.get("lead").and_then(|value| value.quantity(Quantity::Length, "24 mm")?.length_within(0.1, 400.0));
    let moves = table
        .get("moves")
        .and_then(|value| value.one_of(&[("whole", Moves::Whole), ("front", Moves::Front), ("inside", Moves::Inside)]))
        .unwrap_or(Moves::Whole);
    let principal_gap = principal_gap(table, focal_length);
    let closest = closest(table, focal_length, principal_gap, moves);
    let reading_error = reading_error(table);
    let readings = readings(table, &kind());
    let (index, read_from) = edges(table);
    let repeat = table.get("repeat").and_then(|value| value.one_of_numbers(&[1, 2])) == Some(2);

    let depth_marks = stops(table, "depth_marks", widest, division);
    let hyperfocal = stops(table, "hyperfocal", widest, division);

    let expected = Expected { focal_length, lead, throw, closest, error: reading_error };
    check(table.doc, &readings, &expected);
    check_there_is_enough(table, law, &readings);

    let (readings, reading_places) = readings.items.into_iter().unzip();
    Some(Focus {
        ring: ring?,
        toward_close: toward_close?,
        closest: closest?,
        known: Known { focal_length: focal_length?, principal_gap, lead, moves, closest, throw },
        law,
        readings,
        reading_error,
        index,
        read_from,
        repeat,
        depth_marks: depth_marks?,
        hyperfocal: hyperfocal?,
        ring_place: ring_value?.place(),
        reading_places,
    })
}

/// At most so many stops stand beside a scale; more cannot be told apart.
const MOST_STOPS: usize = 6;

/// A list of f-stops, from the widest on; empty where there is none, `None` where it is faulty.
fn stops(table: &Table, key: &'static str, widest: Option<Stop>, division: Division) -> Option<Vec<Stop>> {
    let Some(list) = table.get(key) else { return Some(Vec::new()) };
    let values = list.list(&format!("{key} = [5.6, 11]"))?;
    if values.len() > MOST_STOPS {
        return list.refuse(format!("`{key}` has {} stops", values.len()), format!("up to {MOST_STOPS} are marked"));
    }
    let mut stops: Vec<Stop> = Vec::new();
    let mut sound = true;
    for value in values {
        let Some(stop) = value.stop_text().and_then(|text| text.stop(division, 0.5, 256.0, false)) else {
            sound = false;
            continue;
        };
        let refused = if stops.contains(&stop) {
            let message = format!("`{key}` names f/{} twice", stop.label());
            Some((message, "name each stop once".to_string()))
        } else if let Some(widest) = widest.filter(|widest| stop.number() < widest.number() * (1.0 - 1e-9)) {
            let message = format!("f/{} is wider than this lens opens", stop.label());
            Some((message, format!("its widest stop is {}", widest.label())))
        } else {
            None
        };
        match refused {
            Some((message, label)) => {
                value.refuse::<()>(message, label);
                sound = false;
            }
            None => stops.push(stop),
        }
    }
    stops.sort_by(|a, b| a.number().total_cmp(&b.number()));
    sound.then_some(stops)
}

fn kind() -> Kind<Reading> {
    Kind {
        key: "distance",
        what: "a reading of a focus ring",
        example: "{ distance = \"0.9 m\", at = \"84 deg\" }",
        text: |value| value.quantity(Quantity::Distance, "0.9 m"),
        reading: Box::new(|text, at| Some(Reading { distance: text.distance()?, at })),
    }
}

fn principal_gap(table: &Table, focal_length: Option<Length>) -> Option<Length> {
    let value = table.get("principal_gap")?;
    let text = value.quantity(Quantity::Length, "-4 mm")?;
    // Without a focal length the widest range stands in, so that the text itself is still checked.
    let most = 3.0 * focal_length.map_or(2000.0, Length::to_mm);
    text.length_within(-most, most)
}

/// The closest distance, refused where no lens of that kind reaches.
///
/// ```text
/// D >= 4 F + HH'        a lens moved as a whole: least distance between subject and image, at 1:1
/// D >= F                any other: a lens cannot be nearer to its subject than to its image at infinity
/// ```
///
/// Source: the thin-lens equation 1/F = 1/s + 1/s', with s + s' least for s = s' = 2 F.
fn closest(table: &Table, focal_length: Option<Length>, gap: Option<Length>, moves: Moves) -> Option<Length> {
    let value = table.need("closest", "closest = \"0.9 m\", the nearest distance that comes into focus")?;
    let text = value.quantity(Quantity::Length, "0.9 m")?;
    let closest = text.length_within(1.0, 1e6)?;
    let focal = focal_length?.to_mm();
    let least = match moves {
        Moves::Whole => 4.0 * focal + gap.map_or(0.0, Length::to_mm),
        Moves::Front | Moves::Inside => focal,
    };
    if closest.to_mm() * (1.0 + 1e-9) >= least {
        return Some(closest);
    }
    let message = format!("a {focal} mm lens cannot focus at {}", shown(text.text));
    let label = format!("at least {least:.0} mm, measured from the image plane");
    let fault = table.doc.fault(value.span(), message, label);
    table.doc.push(match moves {
        Moves::Whole => fault
            .note("a lens moved as a whole stays four focal lengths and the gap of its principal planes away")
            .help("if only a group of the lens moves, say moves = \"front\" or moves = \"inside\""),
        Moves::Front | Moves::Inside => fault,
    });
    None
}

fn reading_error(table: &Table) -> ReadingError {
    let default = ReadingError { distance: Length::mm(5.0), share: 0.003, at: Angle::deg(0.5) };
    let example = "write { distance = \"5 mm\", at = \"0.5 deg\" }";
    let errors = table
        .get("reading_error")
        .and_then(|value| value.table("an error of reading", &["distance", "at", "read_on"], example));
    let Some(errors) = errors else { return default };
    let distance = errors.get("distance").and_then(|value| value.quantity(Quantity::Error, "5 mm")?.distance_error());
    let (distance, share) = distance.unwrap_or((default.distance, default.share));
    let at = errors.get("at").and_then(|value| position_error(&value, error_ring(&errors, table)));
    ReadingError { distance, share, at: at.unwrap_or(default.at) }
}

/// The diameter that an error along a ring refers to: its own, or the ring's.
pub(super) fn error_ring(errors: &Table, ring: &Table) -> ReadOn {
    if errors.has("read_on") {
        return read_on(errors);
    }
    let Some(value) = ring.get("read_on") else { return ReadOn::Nothing };
    // A faulty diameter is refused where the readings are read; here it only has to be looked up.
    value.as_str().and_then(|text| text.parse().ok()).map_or(ReadOn::Refused, ReadOn::Ring)
}

/// A law needs something to be computed from.
fn check_there_is_enough(table: &Table, law: LawChoice, readings: &Readings<Reading>) {
    if !readings.complete {
        return;
    }
    let fault = |message, label| table.doc.fault(table.span.clone(), message, label);
    match law {
        LawChoice::Auto | LawChoice::Travel => {
            if readings.items.is_empty() && !table.has("lead") && !table.has("throw") {
                let fault = fault("there is nothing to compute this scale from", "add `readings`, `lead` or `throw`");
                table.doc.push(fault.help(
                    "tape some distances and read the ring's turn at each, or measure the travel of one full turn",
                ));
            }
        }
        LawChoice::Curve => {
            let mut distances: Vec<_> = readings.items.iter().map(|(reading, _)| reading.distance).collect();
            distances.sort_by(|a, b| a.to_mm().unwrap_or(f64::MAX).total_cmp(&b.to_mm().unwrap_or(f64::MAX)));
            distances.dedup();
            if distances.len() < 3 {
                let found = match distances.len() {
                    0 => "no reading".to_string(),
                    1 => "one distance".to_string(),
                    _ => "two distances".to_string(),
                };
                let label = "a curve needs readings at three distances, of which infinity may be one";
                let fault = fault("there are too few readings for a curve", label);
                table.doc.push(fault.note(format!("found here: {found}")).help("or leave out law = \"curve\""));
            }
        }
    }
}
