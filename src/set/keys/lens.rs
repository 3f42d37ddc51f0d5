//! The tables of a lens and of a marking disc.

use super::focus::FOCUS;
use super::iris::IRIS;
use super::key::Kind::{Count, Length, Name, Stop, Table as Inner, Word, Words};
use super::key::Need::{Always, Default, Follows};
use super::key::{Key, Kind, Need, Table, key};
use super::ring::sense;
use crate::model::{DiscTurns, words};
use crate::units::DistanceUnit;

/// `[[lens]]`
pub static LENS: Table = Table {
    what: "a lens",
    written: "[[lens]] and its keys below it",
    list: "[[lens]]",
    help: "One lens of the set; it has a focus ring, an iris ring or both.",
    keys: &[
        key(
            "name",
            Name,
            Always("name = \"35 mm\""),
            "\"35 mm\"",
            "The lens's name, shown beside the strip and used for its file's name; unique in the set.",
        ),
        key(
            "focal_length",
            Length(4.0, 2000.0),
            Always("focal_length = \"50 mm\", as on the name ring"),
            "\"50 mm\"",
            "The focal length, from the name ring.",
        )
        .hint("from the name ring, like 50 mm"),
        key(
            "widest_stop",
            Stop(0.5, 64.0),
            Follows("Unknown: nothing is said of depth of field."),
            "2.8",
            "The widest stop, from the name ring.",
        )
        .hint("like 2.8"),
        key(
            "circle_of_confusion",
            Length(0.001, 0.5),
            Default("\"0.025 mm\""),
            "\"0.025 mm\"",
            "The largest blur that still counts as sharp, for the depth of field.",
        ),
        key(
            "units",
            Words(words::<DistanceUnit>),
            Follows("The set's."),
            "[\"m\", \"ft\"]",
            "This lens's own focus scales, when they differ from the set's.",
        )
        .hint("when they differ from the set's"),
        key("focus", Inner(&FOCUS), Follows("None."), "{}", "The focus ring."),
        key("iris", Inner(&IRIS), Follows("None."), "{}", "The iris ring."),
        key("disc", Inner(&DISC), Follows("None."), "{}", "A follow focus's marking disc."),
    ],
};

const fn teeth(name: &'static str, add: &'static str, example: &'static str, help: &'static str) -> Key {
    let need = Need::Sometimes(add, "where no pitch diameters are given");
    key(name, Count(5.0, 2000.0), need, example, help)
}

const fn pitch(name: &'static str, add: &'static str, help: &'static str) -> Key {
    let need = Need::Sometimes(add, "where no teeth are given");
    key(name, Kind::Length(3.0, 400.0), need, "\"101.6 mm\"", help)
}

/// `[lens.disc]`
pub static DISC: Table = Table {
    what: "a marking disc",
    written: "[lens.disc] and its keys below it",
    list: "",
    help: "A follow focus's marking disc, which shows the focus ring's scale.",
    keys: &[
        key(
            "diameter",
            Length(20.0, 300.0),
            Always("diameter = \"60 mm\", across the disc's rim"),
            "\"60 mm\"",
            "Across the disc's rim.",
        ),
        key("hole", Length(0.0, 280.0), Default("\"0 mm\""), "\"20 mm\"", "Across the disc's hole."),
        teeth(
            "ring_teeth",
            "ring_teeth = 127, on the lens; or ring_diameter and wheel_diameter",
            "127",
            "Teeth of the gear on the focus ring.",
        ),
        teeth("wheel_teeth", "wheel_teeth = 40, on the follow focus", "40", "Teeth of the follow focus's wheel."),
        pitch(
            "ring_diameter",
            "ring_diameter = \"101.6 mm\", of the ring gear's pitch circle",
            "Pitch circle of the gear on the focus ring.",
        ),
        pitch(
            "wheel_diameter",
            "wheel_diameter = \"40 mm\", of the wheel's pitch circle",
            "Pitch circle of the follow focus's wheel.",
        ),
        key(
            "turns",
            Word(words::<DiscTurns>),
            Default("\"scale\""),
            "\"scale\"",
            "\"scale\" when the disc turns under a fixed pointer, \"pointer\" when it is the other way round.",
        ),
        sense(
            "toward_close",
            "toward_close = \"clockwise\" or \"counterclockwise\", as you face the disc",
            "How what turns turns toward close focus, as you face the disc.",
        ),
        key(
            "units",
            Words(words::<DistanceUnit>),
            Follows("The lens's."),
            "[\"m\", \"ft\"]",
            "The disc's own scales, when they differ from the lens's.",
        ),
    ],
};
