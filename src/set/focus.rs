//! A focus ring: what is known of it, what was asked for, and the readings.

use crate::calibration::{Known, LawChoice, Means, Moves, Origin, Reading, ReadingError, Turned};
use crate::units::{Angle, Division, Length, Stop};

use super::checks::checks;
use super::fault::{Place, shown};
use super::focus_readings::{Expected, check};
use super::lens::{FROM_BEHIND, edges, ring, sense, trueness};
use super::quantity::{Quantity, ReadOn};
use super::read::Table;
use super::readings::{Beside, Kind, Readings, position_error, read_on, readings};
use crate::model::Focus;

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
    "measured_from",
    "infinity_stop",
    "engraved",
    "engraved_error",
    "checks",
    "index",
    "read_from",
    "repeat",
    "depth_marks",
    "hyperfocal",
];

/// The focus ring of `table` and the places of its readings, on a lens of `focal_length` and a `widest` stop whose stops are divided as `division` says.
pub(super) fn focus(
    table: &Table,
    focal_length: Option<Length>,
    widest: Option<Stop>,
    division: Division,
) -> Option<(Focus, Vec<Place>)> {
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
        .and_then(|value| {
            value.one_of(&[
                ("whole", Moves::Whole),
                ("front", Moves::Front),
                ("inside", Moves::Inside),
                ("floating", Moves::Floating),
            ])
        })
        .unwrap_or(Moves::Whole);
    let principal_gap = principal_gap(table, focal_length);
    let closest = closest(table, focal_length, principal_gap, moves);
    let reading_error = error_of(table, "reading_error", TAPED);
    let engraved_error = error_of(table, "engraved_error", ENGRAVED);
    let from = measured_from(table);
    let along = read_on(table);
    let old_marks = readings(table, along, &engraved(table, engraved_error));
    let mut readings = readings(table, along, &taped(table, reading_error, from));
    readings.complete &= old_marks.complete;
    readings.items.extend(old_marks.items);
    let infinity_stop =
        table.get("infinity_stop").and_then(|value| value.quantity(Quantity::Position, "0 deg")?.position(along));
    let (index, read_from) = edges(table);
    let repeat = table.get("repeat").and_then(|value| value.one_of_numbers(&[1, 2])) == Some(2);

    let checks = checks(table, ring, reading_error, from);
    let depth_marks = stops(table, "depth_marks", widest, division);
    let hyperfocal = stops(table, "hyperfocal", widest, division);

    let expected = Expected { focal_length, lead, throw, closest, error: reading_error };
    check(table.doc, &readings, &expected);
    check_there_is_enough(table, law, &readings);

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
    };
    Some((focus, places))
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

/// A tape held by one person, and a ring read against a paper strip (common practice, no source).
const TAPED: (f64, f64, f64) = (5.0, 0.003, 0.5);
/// Marks of an old scale stand for a whole class of lenses and are a few tenths of a millimetre wide (common practice,
/// no source).
const ENGRAVED: (f64, f64, f64) = (0.0, 0.01, 0.5);

/// Readings against a tape.
fn taped<'k>(ring: &'k Table<'k>, error: ReadingError, from: Origin) -> Kind<'k, Reading> {
    Kind {
        list: "readings",
        file: Some("readings_file"),
        key: "distance",
        more: &["turned", "error"],
        what: "a reading of a focus ring",
        example: "{ distance = \"0.9 m\", at = \"84 deg\" }",
        text: |value| value.quantity(Quantity::Distance, "0.9 m"),
        reading: Box::new(move |text, at, own| {
            let turned = turned(own);
            let error = own_error(own, ring, error);
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
        more: &["error"],
        what: "a mark of the old scale",
        example: "{ distance = \"0.9 m\", at = \"61.3 mm\" }",
        text: |value| value.quantity(Quantity::Distance, "0.9 m"),
        reading: Box::new(move |text, at, own| {
            let error = own_error(own, ring, error);
            let from = Origin::ImagePlane;
            Some(Reading { distance: text.distance()?, at, error, from, turned: None, by: Means::Engraving })
        }),
    }
}

fn turned(own: &Beside) -> Option<Turned> {
    let ways = [("toward close", Turned::TowardClose), ("toward infinity", Turned::TowardInfinity)];
    match own {
        Beside::Table(table) => table.get("turned")?.one_of(&ways),
        Beside::Cell(cell) => {
            let cell = cell.as_ref()?;
            let meant = ways.iter().find(|(word, _)| cell.text.trim().eq_ignore_ascii_case(word));
            let message = format!("`turned` cannot be \"{}\"", shown(cell.text));
            meant.map(|(_, way)| *way).or_else(|| cell.refuse(message, "allowed are toward close and toward infinity"))
        }
    }
}

/// The error that one reading states for itself, else the ring's.
fn own_error(own: &Beside, ring: &Table, error: ReadingError) -> ReadingError {
    let Beside::Table(own) = own else { return error };
    let Some(errors) = own.get("error").and_then(|value| value.table("an error of reading", ERROR_KEYS, ERROR_EXAMPLE))
    else {
        return error;
    };
    let along = if errors.has("read_on") || !own.has("read_on") { error_ring(&errors, ring) } else { read_on(own) };
    read_error(&errors, along, error)
}

/// Where distances were taped from.
fn measured_from(table: &Table) -> Origin {
    let example = "write { point = \"front rim\", ahead = \"62 mm\" }";
    let Some(value) = table.get("measured_from") else { return Origin::ImagePlane };
    let Some(from) = value.table("the point measured from", &["point", "ahead", "error"], example) else {
        return Origin::ImagePlane;
    };
    // false: fixed to the camera; true: it travels when the lens is focused
    let points = [("front rim", true), ("fixed point", false)];
    let travels =
        from.need("point", "point = \"front rim\" or \"fixed point\"").and_then(|value| value.one_of(&points));
    let ahead = from
        .need("ahead", "ahead = \"62 mm\", how far it lies before the image plane with the ring at infinity")
        .and_then(|value| value.quantity(Quantity::Length, "62 mm")?.length_within(-500.0, 1000.0));
    let error = from
        .get("error")
        .and_then(|value| value.quantity(Quantity::Length, "1 mm")?.length_within(0.0, 50.0))
        .unwrap_or(Length::mm(1.0));
    match (travels, ahead) {
        (Some(travels), Some(by)) => Origin::Ahead { by, error, travels },
        _ => Origin::ImagePlane,
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
        Moves::Front | Moves::Inside | Moves::Floating => focal,
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
        Moves::Front | Moves::Inside | Moves::Floating => fault,
    });
    None
}

const ERROR_KEYS: &[&str] = &["distance", "at", "read_on"];
const ERROR_EXAMPLE: &str = "write { distance = \"5 mm\", at = \"0.5 deg\" }";

/// `default` is mm, share of the distance, degrees.
fn error_of(table: &Table, key: &'static str, default: (f64, f64, f64)) -> ReadingError {
    let (distance, share, at) = default;
    let default = ReadingError { distance: Length::mm(distance), share, at: Angle::deg(at) };
    let errors = table.get(key).and_then(|value| value.table("an error of reading", ERROR_KEYS, ERROR_EXAMPLE));
    errors.map_or(default, |errors| read_error(&errors, error_ring(&errors, table), default))
}

/// What a table of errors says; the rest as in `default`.
pub(super) fn read_error(errors: &Table, along: ReadOn, default: ReadingError) -> ReadingError {
    let distance = errors.get("distance").and_then(|value| value.quantity(Quantity::Error, "5 mm")?.distance_error());
    let (distance, share) = distance.unwrap_or((default.distance, default.share));
    let at = errors.get("at").and_then(|value| position_error(&value, along));
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
            if readings.items.is_empty() && !table.has("lead") && !table.has("throw") && !table.has("engraved") {
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
