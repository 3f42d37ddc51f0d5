//! An iris ring: its laws, its stops and the readings.

use crate::calibration::{IrisChoice, StopReading};
use crate::units::{Angle, Division, Stop};

use super::exposures::{darkest, exposures};
use super::fault::{Place, shown};
use super::marks::iris_marks;
use super::quantity::ReadOn;
use super::read::Table;
use super::reading_error::{error_ring, position_error, read_on};
use super::readings::{Kind, readings};
use super::ring::{edges, ring, sense, trueness};
use crate::model::{Iris, Rides, StopScale, checks};

/// Into how many steps the scale divides a stop.
pub(super) fn division(table: &Table) -> Division {
    let steps = table.get("steps").and_then(|value| value.one_of_numbers());
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
    let toward_closed = sense(table, "toward_closed");
    let law = table.choice("law").unwrap_or(IrisChoice::Auto);
    let t_scale = table.choice("scale") == Some(StopScale::T);
    let transmittance = table.get("transmittance").and_then(|value| value.number());
    let (card, reading_error) = (exposures(table, division), reading_error(table));
    // with exposures of a card, readings are f-stops: the T-stops follow from the exposures
    let t_readings = t_scale && !table.has("transmittance") && card.is_none();
    let readings = readings(table, read_on(table), &kind(division, t_readings));
    let smallest_stop = table.get("smallest_stop").and_then(|value| value.stop_text()?.stop(division, t_scale));
    let (index, read_from) = edges(table);

    let doc = table.doc;
    let span_of = |key: &str| table.get(key).map(|value| value.span());
    if let Some(refusal) = checks::blades_need_a_stop("", law, has_widest) {
        doc.refuse_at(span_of("law").unwrap_or(table.span.clone()), &refusal);
    }
    let taken: Vec<StopReading> = readings.items.iter().map(|(reading, _)| *reading).collect();
    let alone = card.is_some() && !table.has("readings") && !table.has("readings_file");
    if let (Some(refusal), true) = (checks::stops_enough("", law, &taken), readings.complete && !alone) {
        let key = table.get("readings").or(table.get("readings_file"));
        doc.refuse_at(key.map_or(table.span.clone(), |value| value.key_span), &refusal);
    }
    if let Some(card) = &card {
        card.check(table, reading_error, alone, t_scale);
    }
    for refusal in checks::iris_readings("", &taken, reading_error, t_readings) {
        readings.refuse(doc, &refusal);
    }
    let largest = taken.iter().map(|reading| reading.stop).max_by(|a, b| a.number().total_cmp(&b.number()));
    let smallest_stop = match smallest_stop {
        Some(stop) => match checks::smallest_stop("", stop, law, &taken) {
            None => Some(stop),
            Some(refusal) => {
                doc.refuse_at(span_of("smallest_stop").unwrap_or(table.span.clone()), &refusal);
                None
            }
        },
        None => largest.or_else(|| darkest(card.as_ref()?)),
    };
    if let Some(refusal) = widest.filter(|_| !t_readings).and_then(|widest| checks::widest_read("", widest, &taken)) {
        readings.refuse(doc, &refusal);
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
        scale: iris_marks(table, division, t_scale),
    };
    Some((iris, places))
}

fn kind(division: Division, t_scale: bool) -> Kind<'static, StopReading> {
    Kind {
        list: "readings",
        file: Some("readings_file"),
        key: "stop",
        column: None,
        text: |value| value.stop_text(),
        reading: Box::new(move |text, at, _| {
            if t_scale && text.text.trim_start().starts_with(['f', 'F']) {
                let message = format!("this scale shows T-stops, and `{}` is an f-stop", shown(text.text));
                let label =
                    "give the T-stop that a light meter tells, or the glass's transmittance beside the readings";
                return text.refuse(message, label);
            }
            Some(StopReading { stop: text.stop(division, t_scale)?, at })
        }),
    }
}

fn reading_error(table: &Table) -> Angle {
    let errors = table.get("reading_error").and_then(|value| value.table());
    let at = errors.and_then(|errors| {
        let along = error_ring(&errors, table);
        position_error(&errors.get("at")?, along)
    });
    at.unwrap_or(Iris::READING_ERROR)
}

/// A motor on rods turns the ring once round at most (common practice, no source).
const MOTOR_SWEEP_DEG: f64 = 360.0;

/// How an iris ring turns along when focusing, where it does.
fn rides(table: &Table) -> Option<Rides> {
    let rides = table.get("rides_on_focus").and_then(|value| value.truth()) == Some(true);
    let index_at = table.get("index_at").and_then(|value| value.position(ReadOn::Nothing));
    let motor_sweep = table.get("motor_sweep").and_then(|value| value.turn()).unwrap_or(Angle::deg(MOTOR_SWEEP_DEG));
    rides.then_some(Rides { index_at, motor_sweep })
}
