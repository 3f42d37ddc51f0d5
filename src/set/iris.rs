//! An iris ring: its laws, its stops and the readings.

use crate::calibration::{IrisChoice, StopReading};
use crate::units::{Angle, Division, Stop};

use super::exposures::{darkest, exposures};
use super::fault::{Fault, Place};
use super::focus::error_ring;
use super::lens::{FROM_BEHIND, edges, ring, sense, trueness};
use super::quantity::{Quantity, ReadOn};
use super::read::Table;
use super::readings::{Kind, Readings, position_error, read_on, readings};
use crate::model::{Iris, Rides};

pub(super) const IRIS_KEYS: &[&str] = &[
    "ring",
    "toward_closed",
    "law",
    "scale",
    "transmittance",
    "steps",
    "smallest_stop",
    "readings",
    "readings_file",
    "read_on",
    "reading_error",
    "exposures",
    "exposures_file",
    "exposure_reference",
    "exposure_error",
    "index",
    "read_from",
    "rides_on_focus",
    "index_at",
    "motor_sweep",
];

/// Stops that are believed: from the limit of any lens in air, f/0.5, to a pinhole.
const STOPS: (f64, f64) = (0.5, 256.0);

/// Into how many steps the scale divides a stop.
pub(super) fn division(table: &Table) -> Division {
    let steps = table.get("steps").and_then(|value| value.one_of_numbers(&[1, 2, 3]));
    steps.and_then(Division::from_steps).unwrap_or(Division::Full)
}

/// The iris ring of `table` and the places of its readings, on a lens of the `widest` stop; `has_widest` when the lens names one at all.
pub(super) fn iris(
    table: &Table,
    division: Division,
    widest: Option<Stop>,
    has_widest: bool,
) -> Option<(Iris, Vec<Place>)> {
    let ring = ring(table);
    let toward_closed = sense(table, "toward_closed", FROM_BEHIND);
    let law = table
        .get("law")
        .and_then(|value| {
            value.one_of(&[
                ("auto", IrisChoice::Auto),
                ("even", IrisChoice::Even),
                ("diameter", IrisChoice::Diameter),
                ("blades", IrisChoice::Blades),
                ("curve", IrisChoice::Curve),
            ])
        })
        .unwrap_or(IrisChoice::Auto);
    let t_scale = table.get("scale").and_then(|value| value.one_of(&[("f", false), ("T", true)])).unwrap_or(false);
    let transmittance = table.get("transmittance").and_then(|value| value.number_within(0.05, 1.0));
    let (card, reading_error) = (exposures(table, division), reading_error(table));
    // with a card's exposures readings are f-stops: the light tells the T-stops
    let t_readings = t_scale && !table.has("transmittance") && card.is_none();
    let readings = readings(table, read_on(table), &kind(division, t_readings));
    let smallest_stop =
        table.get("smallest_stop").and_then(|value| value.stop_text()?.stop(division, STOPS.0, STOPS.1, t_scale));
    let (index, read_from) = edges(table);

    if law == IrisChoice::Blades && !has_widest {
        let value = table.get("law");
        let span = value.map_or(table.span.clone(), |value| value.span());
        let fault = table.doc.fault(
            span,
            "blades are computed from the widest stop, and this lens names none",
            "add widest_stop = 2.8 to the lens",
        );
        table
            .doc
            .push(fault.help("it is the stop at which the blades just clear the glass, as engraved on the name ring"));
    }
    let alone = card.is_some() && !table.has("readings") && !table.has("readings_file");
    if !alone {
        check_count(table, law, &readings);
    }
    if let Some(card) = &card {
        card.check(table, reading_error, alone, t_scale);
    }
    check_order(table, &readings, reading_error, t_readings);
    let largest = by_stop(&readings).last().map(|(reading, _)| reading.stop);
    let smallest_stop = match smallest_stop {
        Some(stop) => check_smallest(table, stop, law, &readings),
        None => largest.or_else(|| darkest(card.as_ref()?)),
    };
    if let (Some(widest), false) = (widest, t_readings) {
        check_widest(table, widest, &readings);
    }

    let (readings, places) = readings.items.into_iter().unzip();
    let iris = Iris {
        ring: ring?,
        trueness: trueness(table),
        toward_closed: toward_closed?,
        law,
        t_scale,
        transmittance,
        division,
        smallest_stop: smallest_stop?,
        readings,
        exposures: card.map(|card| card.exposures),
        reading_error,
        index,
        read_from,
        rides: rides(table),
    };
    Some((iris, places))
}

fn kind(division: Division, t_scale: bool) -> Kind<'static, StopReading> {
    Kind {
        list: "readings",
        file: Some("readings_file"),
        key: "stop",
        more: &[],
        what: "a reading of an iris ring",
        example: "{ stop = 5.6, at = \"22 deg\" }",
        text: |value| value.stop_text(),
        reading: Box::new(move |text, at, _| {
            Some(StopReading { stop: text.stop(division, STOPS.0, STOPS.1, t_scale)?, at })
        }),
    }
}

fn reading_error(table: &Table) -> Angle {
    let example = "write { at = \"0.5 deg\" }";
    let errors =
        table.get("reading_error").and_then(|value| value.table("an error of reading", &["at", "read_on"], example));
    errors.and_then(|errors| position_error(&errors.get("at")?, error_ring(&errors, table))).unwrap_or(Angle::deg(0.5))
}

/// Rods hold a motor that turns the ring once round at the most (common practice, no source).
const MOTOR_SWEEP_DEG: f64 = 360.0;

/// How an iris ring turns along when focusing, where it does.
fn rides(table: &Table) -> Option<Rides> {
    let rides = table.get("rides_on_focus").and_then(|value| value.truth()) == Some(true);
    let index_at =
        table.get("index_at").and_then(|value| value.quantity(Quantity::Position, "30 deg")?.position(ReadOn::Nothing));
    let motor_sweep = table
        .get("motor_sweep")
        .and_then(|value| value.quantity(Quantity::Angle, "300 deg")?.turn_up_to(3600.0))
        .unwrap_or(Angle::deg(MOTOR_SWEEP_DEG));
    rides.then_some(Rides { index_at, motor_sweep })
}

/// The readings from the widest stop to the smallest.
fn by_stop(readings: &Readings<StopReading>) -> Vec<&(StopReading, Place)> {
    let mut sorted: Vec<_> = readings.items.iter().collect();
    sorted.sort_by(|(a, _), (b, _)| a.stop.number().total_cmp(&b.stop.number()));
    sorted
}

fn words(reading: &StopReading, t_readings: bool) -> String {
    let letter = if t_readings { "T" } else { "f/" };
    format!("{letter}{} at {:.1} deg", reading.stop.label(), reading.at.to_deg())
}

fn check_count(table: &Table, law: IrisChoice, readings: &Readings<StopReading>) {
    if !readings.complete {
        return;
    }
    let mut stops: Vec<f64> = readings.items.iter().map(|(reading, _)| reading.stop.number()).collect();
    stops.sort_by(f64::total_cmp);
    stops.dedup();
    let (least, of_what) = if law == IrisChoice::Curve { (3, "three stops for a curve") } else { (2, "two stops") };
    if stops.len() >= least {
        return;
    }
    let span = table.get("readings").or(table.get("readings_file")).map_or(table.span.clone(), |value| value.key_span);
    let message = format!("an iris ring needs readings at {of_what}");
    let fault = table.doc.fault(span, message, "add { stop = 5.6, at = \"22 deg\" } and the like");
    table.doc.push(
        fault.help("read the ring's turn, or the old marks along the old ring, at the widest and the smallest stop"),
    );
}

fn pair(message: &str, a: &(StopReading, Place), b: &(StopReading, Place), t_readings: bool) -> Fault {
    let (first, second) = if a.1.span().start <= b.1.span().start { (a, b) } else { (b, a) };
    second.1.fault(message, words(&second.0, t_readings)).mark(first.1.span(), words(&first.0, t_readings))
}

/// Positions grow from stop to stop, and readings of one stop agree.
fn check_order(table: &Table, readings: &Readings<StopReading>, error: Angle, t_readings: bool) {
    let sorted = by_stop(readings);
    let mut backwards: Option<(f64, Fault)> = None;
    let mut torn: Option<(f64, Fault)> = None;
    let mut most_closed: Option<&(StopReading, Place)> = None;
    for group in sorted.chunk_by(|(a, _), (b, _)| a.stop.number() == b.stop.number()) {
        let least = group.iter().min_by(|(a, _), (b, _)| a.at.to_deg().total_cmp(&b.at.to_deg()));
        let most = group.iter().max_by(|(a, _), (b, _)| a.at.to_deg().total_cmp(&b.at.to_deg()));
        let (Some(least), Some(most)) = (least, most) else { continue };
        let apart = most.0.at.to_deg() - least.0.at.to_deg();
        if apart > 6.0 * error.to_deg() * (1.0 + 1e-9) && torn.as_ref().is_none_or(|(worst, _)| apart > *worst) {
            let fault = pair("one stop was read at two angles", least, most, t_readings)
                .note(format!("they are {apart:.1} deg apart, more than an error of {} deg explains", error.to_deg()))
                .help("take the wrong one out, or give the error of your readings in `reading_error`");
            torn = Some((apart, fault));
        }
        if let Some(wider) = most_closed {
            let by = wider.0.at.to_deg() - least.0.at.to_deg();
            if by >= 0.0 && backwards.as_ref().is_none_or(|(worst, _)| by > *worst) {
                let fault = pair("these readings run backwards", wider, least, t_readings)
                    .note("the angle must grow from open toward closed")
                    .help("check in which sense the ring was read and where its zero was");
                backwards = Some((by, fault));
            }
        }
        if most_closed.is_none_or(|wider| most.0.at.to_deg() > wider.0.at.to_deg()) {
            most_closed = Some(most);
        }
    }
    let turn = too_wide(&sorted, t_readings).filter(|_| backwards.is_none());
    for fault in [torn.map(|(_, fault)| fault), backwards.map(|(_, fault)| fault), turn].into_iter().flatten() {
        readings.push(table.doc, fault);
    }
}

fn too_wide(sorted: &[&(StopReading, Place)], t_readings: bool) -> Option<Fault> {
    let least = sorted.iter().min_by(|(a, _), (b, _)| a.at.to_deg().total_cmp(&b.at.to_deg()))?;
    let most = sorted.iter().max_by(|(a, _), (b, _)| a.at.to_deg().total_cmp(&b.at.to_deg()))?;
    let turn = most.0.at.to_deg() - least.0.at.to_deg();
    if turn <= 360.0 {
        return None;
    }
    let fault = pair("these readings are more than one turn apart", least, most, t_readings);
    Some(
        fault
            .note(format!("they span {turn:.1} deg, and a scale goes round its ring once"))
            .help("check the diameter in `read_on` if the positions are lengths along a ring"),
    )
}

/// The last stop to mark lies beyond the first reading, and on a curve not beyond the last.
fn check_smallest(table: &Table, stop: Stop, law: IrisChoice, readings: &Readings<StopReading>) -> Option<Stop> {
    let sorted = by_stop(readings);
    let (Some((widest, _)), Some((last, _))) = (sorted.first(), sorted.last()) else { return Some(stop) };
    let value = table.get("smallest_stop")?;
    if stop.number() <= widest.stop.number() {
        return value.refuse(
            format!("`smallest_stop` {} leaves no stop to mark", stop.label()),
            format!("more than {}, the widest stop that was read", widest.stop.label()),
        );
    }
    if law == IrisChoice::Curve && stop.number() > last.stop.number() * (1.0 + 1e-9) {
        return value.refuse(
            format!("a curve ends at its last reading, {}", last.stop.label()),
            format!("up to {}, or add a reading at this stop", last.stop.label()),
        );
    }
    Some(stop)
}

/// No reading is wider than the lens opens.
fn check_widest(table: &Table, widest: Stop, readings: &Readings<StopReading>) {
    let sorted = by_stop(readings);
    let Some((reading, place)) = sorted.first() else { return };
    // A sixth of a stop forgives a number that was rounded on the lens.
    if reading.stop.in_stops() < widest.in_stops() - 1.0 / 6.0 - 1e-9 {
        let message = format!("a reading is wider than `widest_stop`, {widest}");
        let fault = place.fault(message, words(reading, false));
        readings.push(table.doc, fault.help("check the reading, or set `widest_stop` to what the lens opens to"));
    }
}
