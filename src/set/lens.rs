//! One lens, and what its focus ring and its iris ring have in common: a face, a sense, an index.

use crate::units::{Division, Length, Stop};

use super::disc::{DISC_KEYS, disc};
use super::fault::{is_unprintable, shown};
use super::focus::{FOCUS_KEYS, focus};
use super::iris::{IRIS_KEYS, division, iris};
use super::quantity::Quantity;
use super::read::{Table, Value};
use super::style;
use crate::model::{DistanceUnit, Lens, RingKind, Subject, Trueness};
use crate::surface::{Edge, Ring, Sense};

/// The longest name: it stands on the sheet beside its strip and in file names.
const LONGEST_NAME: usize = 60;

pub(super) const LENS_KEYS: &[&str] =
    &["name", "focal_length", "widest_stop", "circle_of_confusion", "units", "focus", "iris", "disc"];

const RING_EXAMPLE: &str = "ring = { diameter = \"84 mm\", width = \"11 mm\" }";

/// The lens of `table`; `units` are the set's.
pub(super) fn lens(table: &Table, units: &[DistanceUnit]) -> Option<Lens> {
    let name_value = table.need("name", "name = \"35 mm\"");
    let name = name_value.as_ref().and_then(name);
    let focal_length = table
        .need("focal_length", "focal_length = \"50 mm\", as on the name ring")
        .and_then(|value| value.quantity(Quantity::Length, "50 mm")?.length_within(4.0, 2000.0));
    let circle = table
        .get("circle_of_confusion")
        .and_then(|value| value.quantity(Quantity::Length, "0.025 mm")?.length_within(0.001, 0.5))
        .unwrap_or(Length::mm(0.025));
    let units = style::units(table).unwrap_or_else(|| units.to_vec());
    let focus_table = table
        .get("focus")
        .and_then(|value| value.table("a focus ring", FOCUS_KEYS, "write [lens.focus] and its keys below it"));
    let iris_table = table
        .get("iris")
        .and_then(|value| value.table("an iris ring", IRIS_KEYS, "write [lens.iris] and its keys below it"));
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
    let disc_table = table
        .get("disc")
        .and_then(|value| value.table("a marking disc", DISC_KEYS, "write [lens.disc] and its keys below it"));
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
    table.get("widest_stop")?.stop_text()?.stop(division, 0.5, 64.0, false)
}

/// A name that can be shown and become part of a file's name.
pub(super) fn name<'d>(value: &Value<'d>) -> Option<&'d str> {
    let name = value.text("\"35 mm\"")?;
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
    let value = table.need("ring", RING_EXAMPLE)?;
    let ring = value.table(
        "a ring",
        &["diameter", "rear_diameter", "front_diameter", "width", "error", "off_centre"],
        &format!("write {RING_EXAMPLE}"),
    )?;
    let diameter = |key| ring.get(key)?.quantity(Quantity::Length, "84 mm")?.length_within(10.0, 400.0);
    let (straight, rear, front) = (diameter("diameter"), diameter("rear_diameter"), diameter("front_diameter"));
    let width = ring
        .need("width", "width = \"11 mm\", measured along the face")
        .and_then(|value| value.quantity(Quantity::Length, "11 mm")?.length_within(2.0, 120.0));
    let is_cone = ring.has("rear_diameter") || ring.has("front_diameter");
    if is_cone && ring.has("diameter") {
        let message = "this ring is a cylinder and a cone at once";
        return value.refuse(message, "give `diameter`, or `rear_diameter` and `front_diameter`");
    }
    if !is_cone {
        ring.need("diameter", "diameter = \"84 mm\", or rear_diameter and front_diameter of a cone");
        return Some(Ring { rear_diameter: straight?, front_diameter: straight?, width: width? });
    }
    ring.need("rear_diameter", "rear_diameter = \"84 mm\", at the edge toward the camera");
    ring.need("front_diameter", "front_diameter = \"80 mm\", at the edge toward the subject");
    let (rear, front, width) = (rear?, front?, width?);
    let difference = (rear.to_mm() - front.to_mm()).abs();
    if difference > 2.0 * width.to_mm() * (1.0 + 1e-9) {
        let message = format!("no cone {} mm wide has diameters {difference:.1} mm apart", width.to_mm());
        let label = format!("they can differ by twice the width, {} mm, at most", 2.0 * width.to_mm());
        let fault = table.doc.fault(value.span(), message, label);
        table.doc.push(fault.help("check both diameters, and measure the width along the slope of the face"));
        return None;
    }
    Some(Ring { rear_diameter: rear, front_diameter: front, width })
}

/// How true the ring of `table` is: a caliper's reading of a diameter and a shell turned on a lathe are both good to
/// about half a tenth (common practice, no source; makers of pi tapes state 0.03 mm).
pub(super) fn trueness(table: &Table) -> Trueness {
    let default = Trueness { diameter: Length::mm(0.05), off_centre: Length::mm(0.05) };
    let Some(ring) = table.get("ring").filter(Value::is_table).and_then(|value| value.bare_table()) else {
        return default;
    };
    let stated = |key| ring.get(key)?.quantity(Quantity::Length, "0.05 mm")?.length_within(0.0, 5.0);
    Trueness {
        diameter: stated("error").unwrap_or(default.diameter),
        off_centre: stated("off_centre").unwrap_or(default.off_centre),
    }
}

/// From where a ring's sense is told.
pub(super) const FROM_BEHIND: &str = "as seen from behind the camera";

/// How a ring or a disc turns, `seen` from somewhere.
pub(super) fn sense(table: &Table, key: &'static str, seen: &str) -> Option<Sense> {
    let example = format!("{key} = \"clockwise\" or \"counterclockwise\", {seen}");
    let value = table.need(key, &example)?;
    // These are four letters from the wrong one of the two, and the wrong one mirrors the scale.
    if let Some(word @ ("anticlockwise" | "anti-clockwise" | "ccw" | "acw")) = value.as_str() {
        return value.refuse(format!("`{key}` cannot be \"{word}\""), "did you mean \"counterclockwise\"?");
    }
    value.one_of(&[("clockwise", Sense::Clockwise), ("counterclockwise", Sense::Counterclockwise)])
}

/// The edge of the index, and the side from which numerals are read.
pub(super) fn edges(table: &Table) -> (Edge, Edge) {
    let edge = |key| table.get(key)?.one_of(&[("rear", Edge::Rear), ("front", Edge::Front)]);
    let index = edge("index").unwrap_or(Edge::Rear);
    (index, edge("read_from").unwrap_or(index))
}
