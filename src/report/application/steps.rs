//! The work in order. Waiting times and habits without a named source are common
//! practice, and say so where they are figures.

mod engrave;
mod film;
mod vinyl;

use super::craft::{Craft, craft};
use super::present::Present;
use super::{Application, Part};

/// The parts of the work.
pub(super) fn of(application: &Application) -> Vec<Part> {
    let present = Present::of(application);
    let craft = craft(&application.process);
    let (clean, align) = (clean(craft), align(craft, &present));
    let mut parts = vec![before(craft, &present)];
    parts.extend(craft.prepare(&present));
    // a ring is marked on the lens before it comes off to be engraved
    parts.extend(if craft.works_on_the_ring() { [align, clean] } else { [clean, align] });
    parts.push(craft.put_on(&present));
    parts.extend(beside_the_ring(craft, &present));
    // wet paint is not turned under the camera; a strip can still be lifted before it has set
    let (check, wait) = (check(craft, &present), wait(craft));
    parts.extend(if craft.painted() { [wait, check] } else { [check, wait] });
    parts
}

/// What every paint needs.
const PAINT_HARDENS: &str = "Let the paint harden for as long as its data sheet says; where it says nothing, 24 hours \
                             (common practice, no source). No solvent and no follow focus until then.";

fn part(heading: &str, steps: Vec<String>) -> Part {
    Part { heading: heading.to_string(), steps }
}

fn lines(steps: &[&str]) -> Vec<String> {
    steps.iter().map(|step| step.to_string()).collect()
}

fn before(craft: &dyn Craft, present: &Present) -> Part {
    let mut steps = craft.before(present);
    // printed on the inner face, a scale reads right only through the film
    let through = craft.look_through();
    if present.focus {
        steps.push(format!(
            "Check that no scale is mirrored{through}. Front edge up: on a ring that turns clockwise toward close \
             focus, seen from behind the camera, the close marks lie to the left of infinity; on a ring that turns \
             the other way they lie to the right."
        ));
    }
    if present.iris {
        steps.push(format!(
            "Check the iris scales {}: on a ring that closes clockwise, seen from behind the camera, the small \
             openings (the large numbers) lie to the left of the widest.",
            if present.focus { "likewise".to_string() } else { format!("for mirroring{through}") }
        ));
    }
    if present.disc || present.pointer {
        let through = if present.focus || present.iris { "" } else { through };
        steps.push(format!(
            "Check the discs likewise by the line `Order` of the lens's table, their marked face toward you{through}."
        ));
    }
    part("Before you start", steps)
}

fn clean(craft: &dyn Craft) -> Part {
    let mut steps = lines(&[
        "Cap both ends of the lens. Air the room, put out every flame, put on gloves without powder.",
        "Wipe the ring's face with isopropanol on a lint-free cloth, one way round, with a fresh part of the cloth \
         until it stays clean. Keep the solvent out of the gap beside the ring: it carries grease into the iris.",
        "Let it dry for five minutes (common practice, no source), and do not touch the face again with bare \
         fingers.",
    ]);
    if craft.works_on_the_ring() {
        steps[0] = "Take the ring off the lens, or have it taken off, and cap the lens. Air the room, put out every \
                    flame, put on gloves without powder; take them off before the tool runs."
            .into();
        steps[1] = "Wipe the ring's face with isopropanol on a lint-free cloth until the cloth stays clean.".into();
    }
    part("Clean the ring", steps)
}

fn align(craft: &dyn Craft, present: &Present) -> Part {
    let mut steps = Vec::new();
    if present.focus || present.disc || present.pointer {
        steps.push(
            "Turn the focus ring to infinity: the very position that was read as infinity when the lens was \
             measured, be it the stop or where the horizon is sharp. A stop may lie beyond it.",
        );
    }
    if present.iris {
        steps.push("Turn the iris ring to its widest stop.");
    }
    if present.rides {
        steps.push(
            "An iris ring that turns along when focusing has its index on the focus ring: the wedge at the edge toward it. Lay on \
             the focus scale first, then the iris scale with its widest stop at the wedge, the lens at any distance.",
        );
    }
    steps.push(
        "Put masking tape on the fixed barrel beside the ring and draw the index line on it, up to the ring, with a \
         fine pencil: where the reader is to look, in line with the old index or where the new one shall stand.",
    );
    steps.push(if craft.works_on_the_ring() {
        "Carry the line onto the ring's edge with a light scratch, which cleaning does not take away."
    } else {
        "Hold the ring there with a strip of tape while you work, and check the line before every piece."
    });
    part("Set the ring and mark the index", lines(&steps))
}

fn beside_the_ring(craft: &dyn Craft, present: &Present) -> Option<Part> {
    let made = craft.verb();
    let mut steps = Vec::new();
    let guided = craft.has_guides();
    if guided && (present.disc || present.pointer) {
        steps.push(format!(
            "Discs have a round transfer guide {}: its circles are the disc's rim and hole, its line is infinity. Cut \
             the tape to its outer circle and place it by the cross in the middle.",
            present.named_guides()
        ));
    }
    if guided && present.index {
        steps.push(
            "Index plates have no transfer guide: weed them, lift them with transfer tape and place them by eye as \
             follows."
                .into(),
        );
    }
    if present.index {
        let scribed = if guided {
            " Scribe the index line lightly before the tape comes off, and lay the plate's line on the scribed line."
        } else {
            ""
        };
        steps.push(format!(
            "Index plates: take the masking tape off; {made} them on the fixed part, at the edge of the ring that the \
             table names. With the ring at infinity (at the widest stop) the plate's line continues that mark.{scribed}"
        ));
    }
    if present.disc {
        steps.push(format!(
            "Discs that turn: {made} the scale flat on the wheel's face, centred on its axle. With the lens at \
             infinity and the gears in mesh, infinity must stand at the wheel's index. A wheel in direct mesh turns \
             the other way from the ring: the marks must come to the index in order."
        ));
    }
    if present.pointer {
        steps.push(format!(
            "Discs under a pointer: {made} the scale flat on the fixed part, centred on the pointer's axle; it does \
             not turn. With the lens at infinity and the gears in mesh, the pointer must stand over infinity, and \
             from there go to the closer marks in order."
        ));
    }
    (!steps.is_empty()).then(|| part("Beside the ring", steps))
}

fn check(craft: &dyn Craft, present: &Present) -> Part {
    let mut steps = Vec::new();
    steps.push("Turn the ring from stop to stop: nothing may rub, lift or stop it, the seam least of all.");
    if present.focus || present.disc || present.pointer {
        steps.push(
            "Infinity: on the camera, widest stop, picture magnified, focus on the horizon (never the Sun). The \
             infinity mark must stand at the index.",
        );
        steps.push(
            "Two distances: tape one near the closest mark and one in the middle of the scale, from the image plane \
             to a chart. Focus each by eye three times, read the ring, and compare.",
        );
        steps.push(if craft.painted() {
            "Where every mark is off by the same way, move the index. Where the error changes from mark to mark, note \
             distance and position as new readings and draw the scale anew."
        } else {
            "Where every mark is off by the same way, the piece has slipped: place it again, or move the index. Where \
             the error changes from mark to mark, note distance and position as new readings and draw it anew."
        });
    }
    if present.iris {
        steps.push(
            "Iris: with the ring at its widest stop the smallest number stands at the index, and the openings become \
             smaller as the numbers grow.",
        );
    }
    steps.push("Note on this sheet what was off, and keep it with the lens.");
    part("Check on the camera", lines(&steps))
}

fn wait(craft: &dyn Craft) -> Part {
    let steps = lines(craft.wait());
    part(if craft.painted() { "Let it dry" } else { "Let it rest" }, steps)
}
