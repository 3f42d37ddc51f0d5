//! One lens: its name, its rings, its disc.

use crate::units::{Division, Stop};

use super::disc::disc;
use super::focus::focus;
use super::iris::{division, iris};
use super::marks;
use super::name::name;
use super::read::Table;
use super::style;
use crate::model::{DistanceUnit, Lens, RingKind, Subject};

/// The lens of `table`; `units` are the set's.
pub(super) fn lens(table: &Table, units: &[DistanceUnit]) -> Option<Lens> {
    let name_value = table.need("name");
    let name = name_value.as_ref().and_then(name);
    let focal_length = table.need("focal_length").and_then(|value| value.length());
    let circle = table.length("circle_of_confusion").unwrap_or(Lens::CIRCLE_OF_CONFUSION);
    let units = style::units(table).unwrap_or_else(|| units.to_vec());
    let inner = |key| table.get(key).and_then(|value| value.table());
    let (focus_table, iris_table) = (inner("focus"), inner("iris"));
    let division = iris_table.as_ref().map_or(Division::Full, division);
    let widest_stop = widest_stop(table, division);
    if !table.has("focus") && !table.has("iris") {
        let fault = table.doc.fault(
            name_value.map_or(table.span.clone(), |value| value.span()),
            "this lens has neither a focus ring nor an iris ring",
            "add a table [lens.focus] or [lens.iris] below it",
        );
        table.doc.push(fault);
    }
    let disc_table = inner("disc");
    // a disc may show more units than the ring
    let disc = disc_table.as_ref().map(|disc_table| disc(disc_table, &units));
    let on_disc = disc.iter().flatten().flat_map(|disc| &disc.units);
    let shown: Vec<DistanceUnit> = units.iter().chain(on_disc).copied().collect();
    let focus = focus_table.as_ref().map(|table| focus(table, focal_length, widest_stop, division, &shown));
    let iris = iris_table.as_ref().map(|iris_table| iris(iris_table, division, widest_stop, table.has("widest_stop")));
    if let (Some(iris), false) = (iris_table.as_ref().and_then(|table| table.get("rides_on_focus")), table.has("focus"))
    {
        let message = "an iris ring rides on the focus ring, and this lens has none";
        table.doc.push(table.doc.fault(
            iris.span(),
            message,
            "add a table [lens.focus] to the lens, or leave this out",
        ));
    }
    if let (Some(disc), false) = (&disc_table, table.has("focus")) {
        let message = "a marking disc shows the focus ring's scale, and this lens has no focus ring";
        table.doc.push(table.doc.fault(disc.span.clone(), message, "add a table [lens.focus] to the lens"));
    }
    let (name, focus, iris) = (name?.to_string(), all_or_nothing(focus)?, all_or_nothing(iris)?);
    let ring_place = |ring: &Option<Table>| Some(ring.as_ref()?.get("ring")?.place());
    let doc = table.doc;
    doc.remember(Subject::Lens(name.clone()), table.get("name").map(|value| value.place()));
    doc.remember(Subject::Ring(name.clone(), RingKind::Focus), ring_place(&focus_table));
    doc.remember(Subject::Ring(name.clone(), RingKind::Iris), ring_place(&iris_table));
    doc.remember(Subject::Disc(name.clone()), disc_table.as_ref().and_then(|disc| Some(disc.get("diameter")?.place())));
    for (ring, table) in [(RingKind::Focus, &focus_table), (RingKind::Iris, &iris_table)] {
        if let Some(table) = table {
            let subject = |unit, key| Subject::Scale { lens: name.clone(), ring, unit, key };
            marks::remember(doc, table, subject);
        }
    }
    let places = [
        (RingKind::Focus, focus.as_ref().map(|(_, places)| places)),
        (RingKind::Iris, iris.as_ref().map(|(_, places)| places)),
    ];
    for (ring, places) in places {
        for (i, place) in places.into_iter().flatten().enumerate() {
            doc.remember(Subject::Reading(name.clone(), ring, i), Some(place.clone()));
        }
    }
    Some(Lens {
        name,
        focal_length: focal_length?,
        widest_stop,
        circle_of_confusion: circle,
        units,
        focus: focus.map(|(focus, _)| focus),
        iris: iris.map(|(iris, _)| iris),
        disc: match disc {
            Some(disc) => Some(disc?),
            None => None,
        },
    })
}

/// `None` for a ring that was refused, `Some(None)` for a missing one.
fn all_or_nothing<T>(ring: Option<Option<T>>) -> Option<Option<T>> {
    match ring {
        Some(ring) => Some(Some(ring?)),
        None => Some(None),
    }
}

fn widest_stop(table: &Table, division: Division) -> Option<Stop> {
    table.get("widest_stop")?.stop_text()?.stop(division, false)
}
