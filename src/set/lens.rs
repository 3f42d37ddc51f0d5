//! One lens, and what its focus ring and its iris ring have in common: a face, a sense, an index.

use crate::units::{Division, Length, Stop};

use super::disc::disc;
use super::fault::{is_unprintable, shown};
use super::focus::focus;
use super::iris::{division, iris};
use super::read::{Table, Value};
use super::style;
use crate::model::checks::cone;
use crate::model::{DistanceUnit, Lens, RingKind, Subject, Trueness};
use crate::surface::{Edge, Ring, Sense};

/// The longest name: it stands on the sheet beside its strip and in file names.
pub(super) const LONGEST_NAME: usize = 60;

/// The lens of `table`; `units` are the set's.
pub(super) fn lens(table: &Table, units: &[DistanceUnit]) -> Option<Lens> {
    let name_value = table.need("name");
    let name = name_value.as_ref().and_then(name);
    let focal_length = table.need("focal_length").and_then(|value| value.length());
    let circle = table.length("circle_of_confusion").unwrap_or(Length::mm(0.025));
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
    let focus = focus_table.as_ref().map(|table| focus(table, focal_length, widest_stop, division));
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
    let disc_table = inner("disc");
    if let (Some(disc), false) = (&disc_table, table.has("focus")) {
        let message = "a marking disc shows the focus ring's scale, and this lens has no focus ring";
        table.doc.push(table.doc.fault(disc.span.clone(), message, "add a table [lens.focus] to the lens"));
    }
    let disc = disc_table.as_ref().map(|disc_table| disc(disc_table, &units));
    let (name, focus, iris) = (name?.to_string(), all_or_nothing(focus)?, all_or_nothing(iris)?);
    let ring_place = |ring: &Option<Table>| Some(ring.as_ref()?.get("ring")?.place());
    let doc = table.doc;
    doc.remember(Subject::Lens(name.clone()), table.get("name").map(|value| value.place()));
    doc.remember(Subject::Ring(name.clone(), RingKind::Focus), ring_place(&focus_table));
    doc.remember(Subject::Ring(name.clone(), RingKind::Iris), ring_place(&iris_table));
    doc.remember(Subject::Disc(name.clone()), disc_table.as_ref().and_then(|disc| Some(disc.get("diameter")?.place())));
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

/// `None` for a ring that was refused; one that is not there is nothing to refuse.
fn all_or_nothing<T>(ring: Option<Option<T>>) -> Option<Option<T>> {
    match ring {
        Some(ring) => Some(Some(ring?)),
        None => Some(None),
    }
}

fn widest_stop(table: &Table, division: Division) -> Option<Stop> {
    table.get("widest_stop")?.stop_text()?.stop(division, false)
}

/// A name that can be shown and become part of a file's name.
pub(super) fn name<'d>(value: &Value<'d>) -> Option<&'d str> {
    let name = value.text()?;
    if name.trim().is_empty() {
        return value.refuse("this name is empty", "a name needs at least one letter or digit");
    }
    if name.chars().any(is_unprintable) {
        return value
            .refuse("this name has a character that cannot be shown", "write it with letters, digits and blanks");
    }
    if name.chars().count() > LONGEST_NAME {
        return value
            .refuse(format!("this name has {} characters", name.chars().count()), format!("up to {LONGEST_NAME} fit"));
    }
    if !name.chars().any(char::is_alphanumeric) {
        return value.refuse(
            format!("\"{}\" cannot become a file's name", shown(name)),
            "a name needs at least one letter or digit",
        );
    }
    Some(name)
}

/// The face of the ring that `table` describes.
pub(super) fn ring(table: &Table) -> Option<Ring> {
    let value = table.need("ring")?;
    let ring = value.table()?;
    let (straight, rear, front) =
        (ring.length("diameter"), ring.length("rear_diameter"), ring.length("front_diameter"));
    let width = ring.need("width").and_then(|value| value.length());
    let is_cone = ring.has("rear_diameter") || ring.has("front_diameter");
    if is_cone && ring.has("diameter") {
        let message = "this ring is a cylinder and a cone at once";
        return value.refuse(message, "give `diameter`, or `rear_diameter` and `front_diameter`");
    }
    if !is_cone {
        ring.need("diameter");
        return Some(Ring { rear_diameter: straight?, front_diameter: straight?, width: width? });
    }
    ring.need("rear_diameter");
    ring.need("front_diameter");
    let (rear, front, width) = (rear?, front?, width?);
    let ring = Ring { rear_diameter: rear, front_diameter: front, width };
    match cone(Subject::Lens(String::new()), &ring) {
        None => Some(ring),
        Some(refusal) => {
            table.doc.refuse_at(value.span(), &refusal);
            None
        }
    }
}

/// How true the ring of `table` is: a caliper's reading of a diameter and a shell turned on a lathe are both good to
/// about half a tenth (common practice, no source; makers of pi tapes state 0.03 mm).
pub(super) fn trueness(table: &Table) -> Trueness {
    let default = Trueness { diameter: Length::mm(0.05), off_centre: Length::mm(0.05) };
    let Some(ring) = table.get("ring").filter(Value::is_table).and_then(|value| value.bare_table()) else {
        return default;
    };
    Trueness {
        diameter: ring.length("error").unwrap_or(default.diameter),
        off_centre: ring.length("off_centre").unwrap_or(default.off_centre),
    }
}

/// How a ring or a disc turns.
pub(super) fn sense(table: &Table, key: &str) -> Option<Sense> {
    let value = table.need(key)?;
    // These are four letters from the wrong one of the two, and the wrong one mirrors the scale.
    if let Some(word @ ("anticlockwise" | "anti-clockwise" | "ccw" | "acw")) = value.as_str() {
        return value.refuse(format!("`{key}` cannot be \"{word}\""), "did you mean \"counterclockwise\"?");
    }
    value.choice()
}

/// The edge of the index, and the side from which numerals are read.
pub(super) fn edges(table: &Table) -> (Edge, Edge) {
    let index = table.choice("index").unwrap_or(Edge::Rear);
    (index, table.choice("read_from").unwrap_or(index))
}
