//! A focus ring: what is known of it, what was asked for, and the readings.

use crate::calibration::{Known, LawChoice, Means, Moves, Origin, Reading, ReadingError, Turned};
use crate::units::{Division, Length, Stop};

use super::checks::checks;
use super::fault::{Place, shown};
use super::marks::focus_marks;
use super::read::Table;
use super::reading_error::{error_of, error_ring, read_error, read_on};
use super::readings::{Beside, Kind, readings};
use super::ring::{edges, ring, sense, trueness};
use crate::model::checks::{Expected, enough_for_a_law, focus_readings, reachable};
use crate::model::{Choice, DistanceUnit, Focus, TapedPoint, words};

/// The focus ring of `table` and the places of its readings, on a lens of `focal_length` and a `widest` stop whose stops are divided as `division` says, with
/// scales in `units`.
pub(super) fn focus(
    table: &Table,
    focal_length: Option<Length>,
    widest: Option<Stop>,
    division: Division,
    units: &[DistanceUnit],
) -> Option<(Focus, Vec<Place>)> {
    let ring = ring(table);
    let toward_close = sense(table, "toward_close");
    let throw = table.get("throw").and_then(|value| value.turn());
    let law = table.choice("law").unwrap_or(LawChoice::Auto);
    let lead = table.length("lead");
    let moves = table.choice("moves").unwrap_or(Moves::Whole);
    let principal_gap = principal_gap(table, focal_length);
    let closest = closest(table, focal_length, principal_gap, moves);
    let reading_error = error_of(table, "reading_error", ReadingError::TAPED);
    let engraved_error = error_of(table, "engraved_error", ReadingError::ENGRAVED);
    let from = measured_from(table);
    let along = read_on(table);
    let old_marks = readings(table, along, &engraved(table, engraved_error));
    let mut readings = readings(table, along, &taped(table, reading_error, from));
    readings.complete &= old_marks.complete;
    readings.items.extend(old_marks.items);
    let infinity_stop = table.get("infinity_stop").and_then(|value| value.position(along));
    let (index, read_from) = edges(table);
    let repeat = table.get("repeat").and_then(|value| value.one_of_numbers()) == Some(2);

    let checks = checks(table, ring, reading_error, from);
    let depth_marks = stops(table, "depth_marks", widest, division);
    let hyperfocal = stops(table, "hyperfocal", widest, division);

    let expected = Expected { focal_length, lead, throw, closest, error: reading_error };
    let taken: Vec<Reading> = readings.items.iter().map(|(reading, _)| *reading).collect();
    for refusal in focus_readings("", &taken, &expected) {
        readings.refuse(table.doc, &refusal);
    }
    let stated = ["lead", "throw", "engraved"].iter().any(|key| table.has(key));
    if let (Some(refusal), true) = (enough_for_a_law("", law, &taken, stated), readings.complete) {
        table.doc.refuse_at(table.span.clone(), &refusal);
    }

    let (readings, places) = readings.items.into_iter().unzip();
    let focus = Focus {
        ring: ring?,
        trueness: trueness(table),
        toward_close: toward_close?,
        closest: closest?,
        known: Known { focal_length: focal_length?, principal_gap, lead, moves, closest, throw },
        law,
        readings,
        reading_error,
        measured_from: from,
        infinity_stop,
        checks,
        index,
        read_from,
        repeat,
        depth_marks: depth_marks?,
        hyperfocal: hyperfocal?,
        scale: focus_marks(table, Some(units)),
    };
    Some((focus, places))
}

/// The most stops beside a scale: more cannot be told apart.
const MOST_STOPS: usize = 6;

/// A list of f-stops, from the widest on; empty where there is none, `None` where it is faulty.
fn stops(table: &Table, key: &str, widest: Option<Stop>, division: Division) -> Option<Vec<Stop>> {
    let Some(list) = table.get(key) else { return Some(Vec::new()) };
    let values = list.list()?;
    if values.len() > MOST_STOPS {
        return list.refuse(format!("`{key}` has {} stops", values.len()), format!("up to {MOST_STOPS} are marked"));
    }
    let mut stops: Vec<Stop> = Vec::new();
    let mut sound = true;
    for value in values {
        let Some(stop) = value.stop_text().and_then(|text| text.stop(division, false)) else {
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

/// Readings against a tape.
fn taped<'k>(ring: &'k Table<'k>, error: ReadingError, from: Origin) -> Kind<'k, Reading> {
    Kind {
        list: "readings",
        file: Some("readings_file"),
        key: "distance",
        column: Some("turned"),
        text: |value| value.quantity(),
        reading: Box::new(move |text, at, beside| {
            let turned = turned(beside);
            let error = own_error(beside, ring, error);
            Some(Reading { distance: text.distance()?, at, error, from, turned, by: Means::Tape })
        }),
    }
}

/// Marks of the old scale; they count from the image plane.
fn engraved<'k>(ring: &'k Table<'k>, error: ReadingError) -> Kind<'k, Reading> {
    Kind {
        list: "engraved",
        file: None,
        key: "distance",
        column: None,
        text: |value| value.quantity(),
        reading: Box::new(move |text, at, beside| {
            let error = own_error(beside, ring, error);
            let from = Origin::ImagePlane;
            Some(Reading { distance: text.distance()?, at, error, from, turned: None, by: Means::Engraving })
        }),
    }
}

fn turned(beside: &Beside) -> Option<Turned> {
    match beside {
        Beside::Table(table) => table.choice("turned"),
        Beside::Cell(cell) => {
            let cell = cell.as_ref()?;
            let meant = Turned::ALL.iter().find(|way| cell.text.trim().eq_ignore_ascii_case(way.word()));
            let message = format!("`turned` cannot be \"{}\"", shown(cell.text));
            let allowed = format!("allowed are {}", words::<Turned>().join(" and "));
            meant.copied().or_else(|| cell.refuse(message, allowed))
        }
    }
}

/// The error that one reading states for itself, else the ring's.
fn own_error(beside: &Beside, ring: &Table, error: ReadingError) -> ReadingError {
    let Beside::Table(table) = beside else { return error };
    let Some(errors) = table.get("error").and_then(|value| value.table()) else { return error };
    let along = if errors.has("read_on") || !table.has("read_on") { error_ring(&errors, ring) } else { read_on(table) };
    read_error(&errors, along, error)
}

/// Where distances were taped from.
fn measured_from(table: &Table) -> Origin {
    let Some(from) = table.get("measured_from").and_then(|value| value.table()) else { return Origin::ImagePlane };
    let point = from.need("point").and_then(|value| value.choice::<TapedPoint>());
    let ahead = from.need("ahead").and_then(|value| value.length());
    let error = from.length("error").unwrap_or(Length::mm(1.0));
    match (point, ahead) {
        (Some(point), Some(by)) => Origin::Ahead { by, error, travels: point == TapedPoint::FrontRim },
        _ => Origin::ImagePlane,
    }
}

fn principal_gap(table: &Table, focal_length: Option<Length>) -> Option<Length> {
    let value = table.get("principal_gap")?;
    let text = value.quantity()?;
    // a 20 mm retrofocus lens has a gap of over seven focal lengths (ray-traced from its prescription); without a focal
    // length the widest range stands in, so that the text itself is still checked
    let most = 12.0 * focal_length.map_or(2000.0, Length::to_mm);
    text.length_within(-most, most)
}

/// The closest distance, refused where no lens of that kind reaches.
fn closest(table: &Table, focal_length: Option<Length>, gap: Option<Length>, moves: Moves) -> Option<Length> {
    let value = table.need("closest")?;
    let text = value.quantity()?;
    let closest = text.length()?;
    match reachable("", closest, &shown(text.text), focal_length?, gap, moves) {
        None => Some(closest),
        Some(refusal) => {
            table.doc.refuse_at(value.span(), &refusal);
            None
        }
    }
}
